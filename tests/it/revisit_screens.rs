//! The screens of a revisit, looked at as their reader; both sizes. No source outside the project.

use crate::desk::Person;
use crate::office::AtPage;
use crate::revisit::{OFFICE, asks, comes_back, first_visit, tells};
use crate::rig::snap;
use crate::screens::as_seen;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use witnessmark::office::{PastVisits, Turn};
use witnessmark::session::desk::Command;
use witnessmark::session::past::Past;
use witnessmark::tui::theme::Theme;
use witnessmark::tui::ui::Ui;
use witnessmark::tui::view;

fn snapshot(person: &Person, name: &str) {
    for (columns, rows) in [(80, 24), (120, 40)] {
        let mut terminal = Terminal::new(TestBackend::new(columns, rows)).unwrap();
        terminal.draw(|frame| view::draw(frame, &person.state, &Ui::default(), &Theme::colours())).unwrap();
        let visible = terminal.backend().cursor_visible();
        let cursor = if visible { Some(terminal.get_cursor_position().unwrap()) } else { None };
        let text = as_seen(terminal.backend().buffer(), cursor);
        snap().bind(|| insta::assert_snapshot!(format!("screen_revisit_{name}_{columns}x{rows}"), text));
    }
}

#[test]
fn screens_of_the_scope_and_of_the_walk() {
    let first = first_visit(OFFICE);
    let mut person = comes_back(OFFICE, std::slice::from_ref(&first));
    person.until(asks("What happened"));
    snapshot(&person, "what_happened");
    tells(&mut person, &[("What happened", "device changed"), ("Which terminals", "picked on the drawing")]);
    let at = |person: &Person, name: &str| person.state.visit.find(&name.into()).unwrap();
    let line = at(&person, "4 line");
    person.does(Command::Go(line));
    tells(&mut person, &[("Go to a terminal", "1")]);
    let neutral = at(&person, "incomer N");
    person.does(Command::Go(neutral));
    snapshot(&person, "picked_on_the_drawing");
    tells(&mut person, &[("Go to a terminal", "1"), ("Go to a terminal", "2")]);
    snapshot(&person, "how");
    tells(&mut person, &[("How were", "twisted"), ("Who did it", ""), ("check the tightness", "not known")]);
    snapshot(&person, "scope");
    tells(
        &mut person,
        &[
            ("Does it hold", "add terminals"),
            ("Which are added", "4 neutral"),
            ("Does it hold", "leave some out, with a reason"),
            ("Which are left out", "main earth"),
            ("Left out why", "its cover is sealed"),
            ("In scope: 5", "yes, go on"),
        ],
    );
    let scope = person.state.visit.scope().unwrap().1;
    assert_eq!(scope.dropped[0].terminal.as_str(), "main earth");
    assert!(scope.terminals.iter().any(|entry| entry.terminal.as_str() == "4 neutral"));
    person.until(asks("incomer N: look"));
    snapshot(&person, "look");
    person.says("wrong");
    snapshot(&person, "what_is_wrong");
    person.does(Command::Back);
    person.until(asks("as it was found"));
    snapshot(&person, "tug");
    person.until(asks("Before the click the screw"));
    snapshot(&person, "held_or_moved");
}

#[test]
fn screens_beside_a_live_tail() {
    let first = first_visit(OFFICE);
    let mut person = comes_back(OFFICE, std::slice::from_ref(&first));
    person.until(asks("incoming side is"));
    tells(
        &mut person,
        &[("incoming side is", "live"), ("shrouded", "shrouded"), ("Who decided", "Rowan Ashby")],
    );
    person.until(asks("DO NOT TOUCH"));
    snapshot(&person, "live");
}

#[test]
fn the_page_of_past_visits() {
    let first = first_visit(OFFICE);
    let mut person = comes_back(OFFICE, std::slice::from_ref(&first));
    person.until(asks("incomer N (25 mm2, 7 wires): tug it firmly, as it was found"));
    person.says("came out");
    person.walks_to_the_end();
    let past = Past::of(&[first, person.state.visit]);
    let page = PastVisits::new("Ticket office   Fennick Vale Light Railway".into(), past);
    let mut page = AtPage::new(page);
    page.snapshot("past_visits");
    page.every_size();
    assert!(matches!(page.keys("<Enter>"), Turn::Leave));
}
