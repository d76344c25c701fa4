//! Visits as they really go, told at the keys of the lamp hut, each with its appendix as a reader gets it.
//! What is done where stands in the tables of the machine; *common practice, no source* for the stories themselves.

use crate::desk::Person;
use crate::rig::snap;
use witnessmark::appendix::{Options, print};
use witnessmark::board_file;
use witnessmark::domain::record::{DisturbedHow, Fact, Mode, Outcome};
use witnessmark::session::desk::{Answers, Command, Question, Topic};
use witnessmark::session::{Need, RemarkWhy, Standing};

const HUT: &str = include_str!("../boards/lamp-hut.ron");

/// The hut with something else in its file.
fn hut(changes: &[(&str, &str)]) -> String {
    changes.iter().fold(HUT.to_owned(), |text, (was, is)| {
        assert!(text.contains(was), "{was}");
        text.replace(was, is)
    })
}

/// What the person says in own words.
const WORDS: [(&str, &str); 15] = [
    ("Your name", "Rowan Ashby"),
    ("What are you here", "electrician"),
    ("Reference of the certificate", "EIC 2026-118"),
    ("What do you call it", "torque driver"),
    ("serial number", "TD-2041"),
    ("Number of the calibration", "K-1187"),
    ("Who proved", "Rowan Ashby"),
    ("voltage tester", "two-pole tester"),
    ("locked off", "main switch, own padlock, key in pocket"),
    ("Shrouds, covers", "all back"),
    ("Locks and tools", "all out, one padlock, one driver"),
    ("Who energised", "Rowan Ashby"),
    ("Who was told", "M. Cole, client"),
    ("cut back and remade why", "moved twice after settling"),
    ("In your own words", "seen to"),
];

/// Rowan Ashby before a board.
fn at(board: &str) -> Person {
    let mut person = Person::at_board(board);
    person.words = &WORDS;
    person
}

fn settling_hut() -> String {
    hut(&[("kind: Cage,", "kind: Cage, settle: Settle(wait: \"15 min\", asked_by: OwnPractice),")])
}

fn clicks(question: &Question) -> bool {
    question.text.contains("to the click")
}

fn settled(question: &Question) -> bool {
    question.text.contains("settled: the same torque")
}

/// Says one answer after the other, each to a question that holds the words before it.
pub(crate) fn tells(person: &mut Person, talk: &[(&str, &str)]) {
    for (asked, answer) in talk {
        let question = person.state.question();
        assert!(question.text.contains(asked), "{asked}: {question:?}, {}", person.note());
        person.says(answer);
    }
}

pub(crate) fn picks(person: &mut Person, words: &str) {
    person.does(Command::List);
    let Answers::Choice(list) = person.state.question().answers else { panic!("a list") };
    let at = list.iter().position(|entry| entry.contains(words)).unwrap_or_else(|| panic!("{list:#?}"));
    person.says(&(at + 1).to_string());
}

pub(crate) fn goes(person: &mut Person, name: &str) {
    let at = person.state.visit.find(&name.into()).unwrap();
    person.does(Command::Go(at));
}

pub(crate) fn standing<'a>(person: &'a Person, name: &str) -> &'a Standing {
    person.state.visit.standing(person.state.visit.find(&name.into()).unwrap()).unwrap()
}

/// Walks on, a minute for every look at a wait, until the visit is closed.
pub(crate) fn to_the_end(person: &mut Person) {
    for _ in 0..2_000 {
        if person.state.desk.left.is_some() {
            break;
        }
        if person.state.question().text.contains("Nothing else is left:") {
            person.second += 60;
        }
        person.answers_well();
    }
    let counts = person.state.visit.counts();
    assert_eq!((counts.open, counts.settling), (0, 0), "{:?}", person.state.question());
}

/// The appendix, read line by line before it was accepted.
pub(crate) fn told(person: &Person, name: &str) {
    let text = print(&person.state.visit, Options::default());
    snap().bind(|| insta::assert_snapshot!(format!("story_{name}"), text));
}

#[test]
fn one_span_ends_too_low_and_one_too_high() {
    let mut person = at(HUT);
    let ends =
        |question: &Question| question.topic == Topic::Scale && question.text.contains("before it is turned");
    for (read, cause) in [("1.6", "not known"), ("2.8", "not known")] {
        person.until(ends);
        tells(&mut person, &[("before it is turned", read), ("once more", read), ("What happened", cause)]);
    }
    assert!(person.state.visit.terminals().any(|(_, _, s)| !s.struck.is_empty()));
    assert!(person.state.visit.terminals().any(|(_, _, s)| s.need == Some(Need::Strands)));
    to_the_end(&mut person);
    told(&person, "span_too_low_and_too_high");
}

#[test]
fn one_settle_moves_once_and_one_moves_twice() {
    let mut person = at(&settling_hut());
    person.until(settled);
    let once = person.state.desk.focus.unwrap();
    person.says("moved");
    person.until(|question| settled(question) && question.about != Some(once));
    let twice = person.state.desk.focus.unwrap();
    person.says("moved");
    for _ in 0..1_000 {
        if settled(&person.state.question()) && person.state.visit.standing(twice).unwrap().round == 2 {
            let here = person.state.desk.focus.unwrap();
            if here == twice {
                break;
            }
        }
        if person.state.question().text.contains("Nothing else is left:") {
            person.second += 60;
        }
        person.answers_well();
    }
    person.says("moved");
    assert_eq!(person.state.visit.standing(twice).unwrap().need, Some(Need::Remake));
    to_the_end(&mut person);
    assert_eq!(person.state.visit.standing(once).unwrap().round, 2);
    assert_eq!(person.state.visit.standing(twice).unwrap().attempt.0, 2);
    told(&person, "settle_moved_once_and_twice");
}

#[test]
fn a_row_has_two_exceptions() {
    let board = hut(&[
        ("ways: 2", "ways: 5"),
        ("at: [\"1\"]", "at: [\"1\", \"2\", \"3\", \"4\"]"),
        ("Spare(at: [\"2\"]", "Spare(at: [\"5\"]"),
        ("circuit: \"lamps\"", "circuits: [\"lamps\", \"bell\", \"heater\", \"yard\"]"),
    ]);
    let mut person = at(&board);
    person.until(clicks);
    let row = loop {
        let row = witnessmark::session::desk::row::row_here(&person.state);
        if clicks(&person.state.question())
            && let Some(row) = row.filter(|row| row.terminals.len() >= 4)
        {
            break row;
        }
        person.answers_well();
    };
    let name = |nth: usize| person.state.visit.terminal(row.terminals[nth]).unwrap().name.0.clone();
    let out = format!("{}, {}", name(1), name(2));
    let count = (row.terminals.len() - 2).to_string();
    person.does(Command::Row);
    person.says("2");
    person.says(&out);
    for answer in [count.as_str(), "firm", "made"] {
        person.says(answer);
    }
    to_the_end(&mut person);
    assert!(person.memory.lines.iter().any(|l| matches!(&l.fact, Fact::Torqued(f) if f.mode == Mode::Row)));
    told(&person, "row_with_two_exceptions");
}

#[test]
fn a_mate_takes_over_at_lunch() {
    let mut person = at(HUT);
    person.until(clicks);
    person.says("clicked");
    person.second += 3 * 3_600;
    person.input(witnessmark::session::desk::Input::Woke);
    person.until(|question| question.topic == Topic::Scale);
    person.answers_well();
    person.does(Command::Person);
    if person.state.question().topic == Topic::Scale {
        person.answers_well();
        person.does(Command::Person);
    }
    tells(
        &mut person,
        &[("Who takes the tool", "somebody else"), ("Name", "Sam Weir"), ("What are they", "mate")],
    );
    person.until(|question| question.text.contains("Close the visit?"));
    person.says("somebody countersigns first");
    person.says("1");
    to_the_end(&mut person);
    assert_eq!(person.state.visit.persons().len(), 2);
    told(&person, "mate_takes_over_at_lunch");
}

#[test]
fn a_tool_is_dropped() {
    let mut person = at(HUT);
    person.until(clicks);
    person.says("clicked");
    picks(&mut person, "tool A was dropped");
    person.says("dropped");
    person.until(|question| question.text.contains("no tool in hand"));
    picks(&mut person, "tool A is released");
    person.says("R. Holt, tool store");
    person.says("checked at three points on the bench");
    to_the_end(&mut person);
    let remarked = person.state.visit.terminals().filter(|(_, _, s)| !s.remarks.is_empty()).count();
    assert_eq!(remarked, 1, "only what was done with it since it was last trusted");
    told(&person, "dropped_tool");
}

#[test]
fn a_driver_is_borrowed_over_lunch_and_reset_on_purpose() {
    let mut person = at(HUT);
    person.until(|question| question.text.contains("witness mark"));
    person.says("made");
    person.second += 45 * 60;
    person.input(witnessmark::session::desk::Input::Woke);
    person.until(|question| question.topic == Topic::Scale);
    tells(
        &mut person,
        &[
            ("before it is turned", "3.5"),
            ("once more", "3.5"),
            ("What happened", "reset on purpose in between"),
            ("By whom", "J. Pell"),
            ("For what", "borrowed for the pump house over lunch"),
        ],
    );
    to_the_end(&mut person);
    let reset = |s: &Standing| s.remarks.contains(&RemarkWhy::ResetOnPurpose);
    assert!(person.state.visit.terminals().any(|(_, _, s)| reset(s)));
    assert!(person.state.visit.terminals().all(|(_, _, s)| s.struck.is_empty()), "nothing is struck out");
    told(&person, "driver_borrowed_and_reset");
}

#[test]
fn surge_protection_is_opened_again_for_a_test() {
    let board = hut(&[(
        "    ways: 2,",
        "    fittings: {\n        \"surge\": Fitting(maker: \"Illustrative\", type: \"IL-SP2\", terminals: {\n            \
         \"L\": On(clamp: \"cage\", conductors: \"2.5\", pole: L1),\n        }),\n    },\n    ways: 2,",
    )]);
    let mut person = at(&board);
    person.until(|_| true);
    for _ in 0..2_000 {
        let done = person
            .state
            .visit
            .find(&"surge L".into())
            .and_then(|at| person.state.visit.standing(at))
            .is_some_and(|s| s.outcome == Outcome::Complete);
        if done {
            break;
        }
        person.answers_well();
    }
    goes(&mut person, "surge L");
    person.does(Command::Disturbed);
    tells(
        &mut person,
        &[
            ("how was it disturbed", "taken out and put back"),
            ("By whom", "R. Ashdown"),
            ("For what", "insulation test, the lead was off"),
        ],
    );
    assert_eq!(standing(&person, "surge L").outcome, Outcome::Open);
    to_the_end(&mut person);
    assert_eq!(standing(&person, "surge L").outcome, Outcome::Complete);
    let how = person.memory.lines.iter().find_map(|line| match &line.fact {
        Fact::Disturbed(f) => Some(f.how),
        _ => None,
    });
    assert_eq!(how, Some(DisturbedHow::ReTerminated));
    told(&person, "surge_protection_opened_for_a_test");
}

#[test]
fn a_board_is_amended_twice() {
    let mut person = at(HUT);
    person.until(clicks);
    while !person.state.question().about.is_some_and(|at| {
        person.state.visit.terminal(at).unwrap().clamp.as_str() == "cage" && clicks(&person.state.question())
    }) {
        person.answers_well();
    }
    person.says("clicked");
    person.does(Command::Amend);
    tells(
        &mut person,
        &[
            ("what does its maker state", "2.4 N.m"),
            ("Where was that read", "door label"),
            ("Its title", "label 3"),
        ],
    );
    for _ in 0..12 {
        assert!(!person.state.question().text.contains("board file differs"), "the file is still the same");
        person.answers_well();
    }
    let changed = hut(&[
        (
            "torque: Value(value: \"2.0 N.m\", source: OnDevice)",
            "torque: Value(value: \"2.4 N.m\", source: OnDevice)",
        ),
        (
            ", terminals: {\"main earth\": On(conductors: \"16\")}",
            ", terminals: {\"bond\": On(conductors: \"16\")}",
        ),
        ("cpc: \"2.5\"", "cpc: \"4\""),
        (
            "        \"2.5\": Conductor",
            "        \"4\": Conductor(csa: \"4 mm2\", class: 2, wires: 7, metal: Copper),\n        \"2.5\": Conductor",
        ),
    ]);
    let read = board_file::read(changed.as_bytes()).unwrap();
    person.state.desk.start.board = read.board;
    person.state.desk.start.board_sha256 = read.sha256;
    person.state.desk.form = None;
    person.until(|question| question.text.contains("board file differs"));
    person.says("1");
    person.says("another earth bar was fitted");
    to_the_end(&mut person);
    let amended = person.memory.lines.iter().filter(|line| matches!(line.fact, Fact::BoardAmended(_)));
    assert_eq!(amended.count(), 2);
    told(&person, "board_amended_twice");
}

#[test]
fn a_solar_supply_stays_live() {
    let mut person = at(HUT);
    person.until(|question| question.text.contains("another supply"));
    tells(
        &mut person,
        &[
            ("another supply", "yes"),
            ("Which second supply", "solar"),
            ("Which terminals does solar feed", "1 line, 1 neutral"),
            ("solar is", "live"),
            ("Is it shrouded", "shrouded"),
            ("Who decided", "R. Ashdown"),
        ],
    );
    to_the_end(&mut person);
    for name in ["1 line", "1 neutral"] {
        assert_eq!(standing(&person, name).outcome, Outcome::SetAside, "{name}");
    }
    told(&person, "solar_supply_stays_live");
}

#[test]
fn a_disk_fills_in_mid_visit() {
    let mut person = at(HUT);
    person.until(clicks);
    let lines = person.memory.lines.len();
    person.memory.full = true;
    person.says("clicked");
    assert_eq!(person.state.question().topic, Topic::Trouble);
    person.says("firm");
    assert_eq!(person.state.visit.lines().len(), lines, "nothing counts as recorded");
    person.memory.full = false;
    person.says("1");
    assert_eq!(
        person.state.visit.lines().len(),
        lines + 1,
        "the same answer is stored, once: {}",
        person.note()
    );
    to_the_end(&mut person);
    told(&person, "disk_fills_in_mid_visit");
}
