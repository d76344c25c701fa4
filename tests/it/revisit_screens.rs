//! The screens of a revisit, looked at as their reader; both sizes. No source outside the project.

use crate::desk::{Memory, Person, start};
use crate::office::AtPage;
use crate::revisit::{OFFICE, WORDS, asks, comes_back, first_visit, tells};
use crate::screens::snapshot_of;
use witnessmark::board_file;
use witnessmark::domain::board::Supply;
use witnessmark::domain::record::VisitKind;
use witnessmark::office::{PastVisits, Turn};
use witnessmark::session::desk::{Command, State};
use witnessmark::session::flat::Flat;
use witnessmark::session::past::Past;
use witnessmark::tui::ui::Ui;

fn snapshot(person: &Person, name: &str) {
    snapshot_with(person, &Ui::default(), name);
}

fn snapshot_with(person: &Person, ui: &Ui, name: &str) {
    snapshot_of(&person.state, ui, &format!("revisit_{name}"));
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

/// Rowan Ashby at a place of which nothing is known.
fn at_flat() -> Person {
    let place = "a place without a board file".to_owned();
    let nothing = Flat { place, supply: Supply::SinglePhase, tail_mm2: None, wires: None, torque: None };
    let mut begun = start(&nothing.text(), false);
    begun.visit = VisitKind::Revisit;
    begun.flat = Some(|text| board_file::read(text.as_bytes()).ok().map(|read| (read.board, read.sha256)));
    begun.person_offered = Some(("Rowan Ashby".into(), "electrician".into()));
    let state = State::new(begun);
    Person { state, memory: Memory::default(), second: 0, behind: 0, words: &WORDS }
}

/// The questions of a place without a board file, from its name to the scope.
#[test]
fn screens_of_a_flat() {
    let mut person = at_flat();
    snapshot(&person, "flat_place");
    for (asked, name, said) in [
        ("Which place", "", "14 Station Cottages, flat 3"),
        ("its supply", "flat_supply", ""),
        ("Your name", "", "Rowan Ashby"),
        ("Who proved", "flat_gate", "Rowan Ashby"),
        ("voltage tester", "", "two-pole tester"),
        ("known source", "", "tried"),
        ("locked off", "", "main switch, own padlock"),
        ("incoming side is", "flat_incoming_side", "dead"),
        ("another supply", "", "none"),
        ("How thick", "flat_tails", "2"),
        ("How many wires", "", "1"),
        ("in N.m?", "flat_torque", "3.5"),
        ("Where did you read", "flat_read_at", "2"),
        ("Its reference", "", "sheet 12"),
        ("What kind of torque tool", "flat_tool", "none yet: it is stated when it is needed"),
        ("What happened", "flat_happened", ""),
        ("How were their", "flat_how", "1"),
    ] {
        assert!(person.state.question().text.contains(asked), "{asked}: {:?}", person.state.question());
        if !name.is_empty() {
            snapshot(&person, name);
        }
        person.says(said);
    }
    person.until(asks("look at it"));
    snapshot(&person, "flat_look");
}

/// What was named, and how each of several was disturbed, stands there with its name.
#[test]
fn screens_of_several_that_are_not_all_alike() {
    let first = first_visit(OFFICE);
    let mut person = comes_back(OFFICE, std::slice::from_ref(&first));
    person.until(asks("What happened"));
    tells(
        &mut person,
        &[
            ("What happened", "other, in own words"),
            ("in your own words", "the cupboard was rebuilt"),
            ("Which terminals", "named, with commas"),
            ("Which?", "incomer L, incomer N, N link"),
            ("How were", "not all alike"),
            ("incomer L:", "flexed"),
            ("incomer N:", "twisted"),
        ],
    );
    snapshot(&person, "not_all_alike");
    tells(
        &mut person,
        &[
            ("N link:", "repositioned"),
            ("Who did it", "joiners"),
            ("check the tightness", "no"),
            ("Does it hold", "add terminals"),
            ("Which are added", "4 neutral"),
            ("Does it hold", "leave some out, with a reason"),
            ("Which are left out", "main earth"),
            ("Left out why", "its cover is sealed"),
        ],
    );
    snapshot(&person, "scope_changed");
}

/// What a key means at a coming back is what it means there: a look, a screw that is tried.
#[test]
fn help_speaks_of_the_look_and_of_the_screw_that_is_tried() {
    let first = first_visit(OFFICE);
    let mut person = comes_back(OFFICE, std::slice::from_ref(&first));
    person.until(asks("look at it"));
    snapshot_with(&person, &Ui { help: true, ..Ui::default() }, "help");
}

#[test]
fn a_rehearsal_of_a_revisit_says_so_and_answers_itself() {
    let mut begun = start(OFFICE, true);
    begun.visit = VisitKind::Revisit;
    let state = State::new(begun);
    let mut person = Person { state, memory: Memory::default(), second: 0, behind: 0, words: &WORDS };
    while !asks("look at it")(&person.state.question()) {
        person.says("");
    }
    snapshot(&person, "rehearsed");
}
