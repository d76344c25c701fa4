//! The screens of an audit, looked at as their reader.

use crate::audit::{HOUR, SAMPLE, auditor, until};
use crate::desk::Person;
use crate::rig::snap;
use crate::screens::as_seen;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use witnessmark::session::desk::Command;
use witnessmark::tui::theme::Theme;
use witnessmark::tui::ui::Ui;
use witnessmark::tui::view;

fn snapshot_with(person: &Person, ui: &Ui, name: &str) {
    for (columns, rows) in [(80, 24), (120, 40)] {
        let mut terminal = Terminal::new(TestBackend::new(columns, rows)).unwrap();
        terminal.draw(|frame| view::draw(frame, &person.state, ui, &Theme::colours())).unwrap();
        let visible = terminal.backend().cursor_visible();
        let cursor = if visible { Some(terminal.get_cursor_position().unwrap()) } else { None };
        let text = as_seen(terminal.backend().buffer(), cursor);
        snap().bind(|| insta::assert_snapshot!(format!("screen_audit_{name}_{columns}x{rows}"), text));
    }
}

fn snapshot(person: &Person, name: &str) {
    snapshot_with(person, &Ui::default(), name);
}

#[test]
fn screens_of_the_claim_and_the_look() {
    let mut person = auditor();
    until(&mut person, "How far does the tool go", SAMPLE, HOUR);
    snapshot(&person, "claim");
    until(&mut person, "Which plan?", SAMPLE, HOUR);
    snapshot(&person, "plan");
    until(&mut person, "are drawn?", SAMPLE, HOUR);
    snapshot(&person, "basis");
    until(&mut person, "Begin?", SAMPLE, HOUR);
    snapshot(&person, "begin");
    until(&mut person, "left column: look", SAMPLE, HOUR);
    snapshot(&person, "look_place");
    person.says("1L1 line");
    snapshot(&person, "look_count");
    until(&mut person, "look at it", SAMPLE, HOUR);
    snapshot(&person, "look_one");
    until(&mut person, "Thermal round", SAMPLE, HOUR);
    snapshot(&person, "thermal");
    for said in ["1", "5L2 line", "48", "1"] {
        person.says(said);
    }
    snapshot(&person, "measure");
}

#[test]
fn screens_of_the_draw_the_tug_and_the_tool() {
    let mut person = auditor();
    until(&mut person, "Draw ", SAMPLE, HOUR);
    snapshot(&person, "draw");
    until(&mut person, "tug it firmly", SAMPLE, HOUR);
    snapshot(&person, "tug");
    until(&mut person, "Set tool", SAMPLE, HOUR);
    snapshot(&person, "set_tool");
    until(&mut person, "Before the click", SAMPLE, HOUR);
    snapshot(&person, "tool");
    person.says("did not click");
    snapshot(&person, "not_tried");
    person.does(Command::Back);
    until(&mut person, "tug it firmly", SAMPLE, HOUR);
    person.says("shifted");
    snapshot(&person, "bad");
    person.says("2");
    snapshot(&person, "escalate");
    person.says("1");
    person.says("one is too many");
    snapshot_with(&person, &Ui { so_far: true, ..Ui::default() }, "so_far");
}

#[test]
fn screens_of_tugging_everything() {
    let mut person = auditor();
    until(&mut person, "left column: tug", &[], HOUR);
    snapshot(&person, "tug_place");
}
