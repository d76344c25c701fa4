//! The screens of an audit, looked at as their reader.

use crate::audit::{HOUR, SAMPLE, Table, answer, auditor, auditor_of, old_board, until};
use crate::desk::{Memory, Person, start};
use crate::keys::{Hand, parse};
use crate::screens::snapshot_of;
use witnessmark::board_file;
use witnessmark::domain::record::VisitKind;
use witnessmark::session::desk::{Command, State};
use witnessmark::tui::ui::Ui;
use witnessmark::tui::{Keyboard, LEANING_MS};

fn snapshot_with(person: &Person, ui: &Ui, name: &str) {
    snapshot_of(&person.state, ui, &format!("audit_{name}"));
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
    answer(&mut person, SAMPLE, HOUR);
    // the claim is told whole, on two lines where it needs them
    snapshot(&person, "look_first");
    snapshot_with(&person, &Ui { help: true, ..Ui::default() }, "help");
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

/// What is seen wrong is chosen from a list that is asked again without it, so the same digit means another thing
/// there: held down, it would report one fault after the other. Design section 1, own rule.
#[test]
fn leaning_on_a_digit_reports_one_fault() {
    let mut person = auditor();
    until(&mut person, "left column: look", SAMPLE, HOUR);
    person.says("1L1 line");
    until(&mut person, "look at it", SAMPLE, HOUR);
    let ms = (person.second + 60) * 1_000;
    let Person { state, memory, .. } = person;
    let mut hand = Hand { state, memory, keyboard: Keyboard::default(), ms, presses: 0 };
    let before = hand.memory.lines.len();
    hand.keys("w 4");
    assert!(hand.asked().ends_with("and what else?"), "{}", hand.asked());
    for _ in 0..40 {
        hand.key(30, parse("4")[0]);
    }
    assert!(hand.asked().ends_with("and what else?"), "{}", hand.asked());
    assert_eq!(hand.memory.lines.len(), before, "nothing is reported yet");
    assert!(hand.told().contains("4 again so soon was not taken"), "{}", hand.told());
    hand.key(i64::try_from(LEANING_MS).unwrap(), parse("4")[0]);
    hand.keys("4 4");
    assert_eq!(hand.memory.lines.len(), before + 1, "pressed with time between, each counts");
}

/// A hot terminal counts as complete once it is looked at, tugged and tried: the sign-off says that it is to be told.
#[test]
fn the_sign_off_counts_what_is_hot_and_not_told() {
    let thermal: Table = &[("Thermal round", "2"), ("Which camera", "camera IL-T3, no 88")];
    let told: Vec<(&str, &str)> = thermal.iter().chain(SAMPLE).copied().collect();
    let told: Table = Box::leak(told.into_boxed_slice());
    let mut person = auditor();
    until(&mut person, "Thermal round", SAMPLE, HOUR);
    for said in ["1", "5L2 line", "48", "1", "41", "25", "40", "2"] {
        person.says(said);
    }
    until(&mut person, "Hot, ", told, HOUR);
    snapshot(&person, "hot_to_tell");
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

/// Looked at and tugged, no tool on any screw.
const NO_TOOL: Table = &[("How far does the tool go", "3")];

#[test]
fn a_plan_without_a_sample_says_why_and_nothing_is_asked_about_it() {
    let mut person = auditor();
    until(&mut person, "Which plan?", NO_TOOL, HOUR);
    snapshot(&person, "plan_without_tool");
    person.says("1");
    assert!(
        person.state.question().text.contains("Nothing is drawn. Begin?"),
        "{:?}",
        person.state.question()
    );
    assert!(!person.state.desk.form.as_ref().unwrap().given.iter().any(|(_, said)| said == "1.5"));

    // nothing is known of its clamps
    let mut person = auditor_of(&old_board());
    until(&mut person, "How far does the tool go", &[], HOUR);
    snapshot(&person, "no_makers_value");
    person.says("1");
    until(&mut person, "Which plan?", &[], HOUR);
    snapshot(&person, "plan_without_value");
}

/// What is asked in numbers is refused where it is typed, not when everything is answered.
#[test]
fn numbers_of_the_claim_that_cannot_be_are_refused_at_once() {
    let mut person = auditor();
    let refused = |person: &mut Person, asked: &str, said: &[&str]| {
        until(person, asked, &[("on load now?", "1"), ("How far", "2"), ("are drawn?", "2")], HOUR);
        for said in said {
            person.says(said);
            assert!(person.state.question().text.contains(asked), "{said}: {:?}", person.state.question());
            assert!(person.note().starts_with("not taken"), "{said}: {}", person.note());
        }
    };
    refused(&mut person, "How many minutes are there", &["0", "20000"]);
    refused(&mut person, "without supply", &["121"]);
    refused(&mut person, "Load now", &["0", "250"]);
    person.says("62");
    refused(&mut person, "how many per cent of the maker's value", &["0", "80.5", "100"]);
    person.says("80");
    refused(&mut person, "Minutes a terminal for tugging", &["0"]);
    refused(&mut person, "Minutes a terminal with the tool", &["0"]);
    refused(&mut person, "Confidence", &["0", "100"]);
    refused(&mut person, "At most how many", &["100"]);
    person.says("");
    assert!(person.state.question().text.contains("Begin?"));
}

#[test]
fn a_rehearsal_of_an_audit_says_so_and_answers_itself() {
    let mut begun = start(board_file::pump_house(), true);
    begun.visit = VisitKind::Audit;
    let state = State::new(begun);
    let mut person = Person { state, memory: Memory::default(), second: 0, behind: 0, words: &[] };
    while !person.state.question().text.contains("Count them") {
        person.says("");
    }
    snapshot(&person, "rehearsed");
}
