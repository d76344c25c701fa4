//! Audits of the pump house at the desk, from the claim to the closing.

use crate::desk::{Memory, Person, start};
use crate::properties::agrees;
use crate::rig::snap;
use witnessmark::appendix::{Options, print};
use witnessmark::board_file;
use witnessmark::board_file::quick::Quick;
use witnessmark::domain::names::TerminalName;
use witnessmark::domain::record::{Fact, VisitKind};
use witnessmark::session::audit::{AuditAct, ResultWord, found_at, picture};
use witnessmark::session::desk::{Answers, Command, Left, State};
use witnessmark::session::{Act, decide, replay};

const PUMP_HOUSE: &str = include_str!("../../boards/pump-house.ron");

/// What is answered; the first whose words the question holds.
pub(crate) type Table = &'static [(&'static str, &'static str)];

/// The frame of an audit: who, with what, the gate, and its end.
const FRAME: Table = &[
    ("Your name:", "A. Ferris"),
    ("Who is on the tool now?", ""),
    ("What are you here?", "inspector"),
    ("Reference of the certificate", "FV-2026-031"),
    ("What kind of torque tool", "1"),
    ("What do you call it?", "long driver"),
    ("Its serial number", "IL 9020"),
    ("Unit of its scale", "1"),
    ("Lowest marked value", "0.5"),
    ("Highest marked value", "30"),
    ("Graduation", "0.1"),
    ("Type and class", "II A"),
    ("Day of its last calibration", "2026-06-02"),
    ("certificate", "IL-26-0400"),
    ("Who proved this board dead?", "A. Ferris"),
    ("With which voltage tester", "two-pole tester IL-9"),
    ("tried on a known source", "tried"),
    ("locked off", "main switch locked, key in my pocket"),
    ("The incoming side is", "dead"),
    ("Is there another supply", "none"),
    ("Nothing is left to do", "1"),
    ("Who was told", "R. Alder, owner's engineer"),
    ("Last look,", "1"),
    ("tug it. It is:", "firm"),
    ("its witness mark is:", "not used"),
    ("Shrouds, covers", "all back"),
    ("Locks and tools", "all out"),
    ("Who energised", ""),
    ("you sign", "1"),
    ("Close the visit?", "1"),
];

/// An hour without supply, everything looked at and tugged, nothing found.
pub(crate) const HOUR: Table = &[
    ("How many minutes are there", "120"),
    ("without supply", "60"),
    ("on load now?", "2"),
    ("insulation of this board", "1"),
    ("How far does the tool go", "1"),
    ("Minutes a terminal for tugging", ""),
    ("Minutes a terminal with the tool", ""),
    ("Confidence", ""),
    ("Which plan?", "1"),
    ("are drawn?", "1"),
    ("Begin?", "1"),
    ("Thermal round", "3"),
    ("Why is there no thermal round", "nothing runs in winter"),
    ("in any case", "none"),
    ("Draw ", "1"),
    ("not right, or not to be seen", "none"),
    ("not firm, or not tugged", "none"),
    ("look at it. It is:", "right"),
    ("tug it firmly", "firm"),
    ("Before the click the screw", "held"),
];

pub(crate) fn auditor() -> Person {
    auditor_of(PUMP_HOUSE)
}

pub(crate) fn auditor_of(board: &str) -> Person {
    let mut begun = start(board, false);
    begun.visit = VisitKind::Audit;
    Person { state: State::new(begun), memory: Memory::default(), second: 0, behind: 0, words: &[] }
}

/// Answers one question: by the special table first, then by the others.
pub(crate) fn answer(person: &mut Person, special: Table, table: Table) {
    let question = person.state.question();
    let asked = &question.text;
    if let Answers::Reading { unit, .. } = &question.answers
        && asked.contains("read its scale")
    {
        let required = person.state.work().and_then(|work| work.required);
        let span = person.state.open_spans().next().map(|span| span.required);
        let read = span.or(required).unwrap();
        assert_eq!(read.unit, *unit);
        return person.says(&read.value.to_string());
    }
    if asked.contains("Count them") {
        let before = person.state.visit.lines().len();
        for count in 1..200 {
            if person.state.question().text == *asked {
                person.says(&count.to_string());
            }
            if person.state.visit.lines().len() > before {
                return;
            }
        }
        panic!("no count was taken: {question:?}");
    }
    if asked.contains("has to be set") || asked.starts_with("Set tool") {
        return person.says("1");
    }
    let found = special.iter().chain(table).chain(FRAME).find(|(words, _)| asked.contains(words));
    let (_, said) = found.unwrap_or_else(|| panic!("no answer to {question:?}"));
    person.says(said);
    let refused = person.state.question() == question && person.note().starts_with("not");
    assert!(!refused, "{question:?} refused {said:?}: {}", person.note());
}

pub(crate) fn to_the_end(person: &mut Person, special: Table, table: Table) {
    for _ in 0..2_000 {
        if person.state.desk.left.is_some() {
            assert_eq!(person.state.desk.left, Some(Left::Ended));
            return;
        }
        answer(person, special, table);
    }
    panic!("stuck at {:?}", person.state.question());
}

/// Walks on until a question holds these words.
pub(crate) fn until(person: &mut Person, words: &str, special: Table, table: Table) {
    for _ in 0..2_000 {
        if person.state.question().text.contains(words) {
            return;
        }
        assert!(person.state.desk.left.is_none(), "the visit ended before {words:?}");
        answer(person, special, table);
    }
    panic!("never asked {words:?}; stands at {:?}", person.state.question());
}

fn appendix(person: &Person, name: &str) {
    agrees(&person.state.visit);
    let text = print(&replay(&person.memory.lines), Options::default());
    snap().bind(|| insta::assert_snapshot!(name, text));
}

/// A claim first, looked at everywhere, tug and tool by the sample.
pub(crate) const SAMPLE: Table = &[
    ("How many minutes are there", "180"),
    ("without supply", "90"),
    ("on load now?", "1"),
    ("Load now", "62"),
    ("Which plan?", "2"),
    ("are drawn?", "2"),
    ("At most how many", ""),
];

/// Our own rule: where a terminal was measured there was a thermal round, so the record cannot say there was none.
#[test]
fn a_measured_terminal_is_a_thermal_round() {
    let mut person = auditor();
    until(&mut person, "Thermal round", SAMPLE, HOUR);
    let list = |person: &Person| match person.state.question().answers {
        Answers::Choice(list) => list,
        other => panic!("{other:?}"),
    };
    assert!(list(&person).contains(&"there is no thermal round".to_owned()));
    for said in ["1", "5L2 line", "48", "1", "41", "25", "40", "2"] {
        person.says(said);
    }
    assert_eq!(list(&person), ["a terminal stands out", "the round is over"]);
    let none = Act::Audit(AuditAct::NoThermal { why: "nothing runs".into() });
    let who = person.memory.lines.last().unwrap().who.clone();
    let refused = decide(&person.state.visit, &who, &none).unwrap_err();
    assert!(refused.to_string().contains("a terminal was measured"), "{refused}");
}

/// An audit of the pump house with a hot and a loose terminal, gone on to everything and closed.
pub(crate) fn one_loose() -> Person {
    let mut person = auditor();
    let thermal: Table = &[("Thermal round", "2"), ("Which camera", "camera IL-T3, no 88")];
    let special: Vec<(&str, &str)> = SAMPLE.iter().chain(thermal).copied().collect();
    let special: Table = Box::leak(special.into_boxed_slice());
    until(&mut person, "Thermal round", special, HOUR);
    for (asked, said) in [
        ("Thermal round", "1"),
        ("Which terminal stands out", "5L2 line"),
        ("temperature, degrees", "48"),
        ("Compared with what", "1"),
        ("Temperature of that", "41"),
        ("Load current", "25"),
        ("Rated current", "40"),
        ("Exponent", ""),
    ] {
        assert!(person.state.question().text.contains(asked), "{asked}: {:?}", person.state.question());
        person.says(said);
    }
    // too little load: refused, and nothing recorded
    let lines = person.memory.lines.len();
    for said in ["1", "5L1 line", "44", "2", "20", "15.9", "40", "2"] {
        person.says(said);
    }
    assert!(person.note().contains("40 %"), "{}", person.note());
    assert_eq!(person.memory.lines.len(), lines);
    while person.state.desk.form.is_some() {
        person.does(Command::Back);
    }
    let seen = |person: &Person| {
        let question = person.state.question();
        question.text.contains("tug it firmly")
            && question.about.is_some_and(|at| {
                let visit = &person.state.visit;
                let name = &visit.terminal(at).unwrap().name;
                visit.audit().draw().unwrap().terminals.iter().take(8).any(|drawn| drawn == name)
            })
    };
    while !seen(&person) {
        answer(&mut person, special, HOUR);
    }
    let before = picture(&person.state.visit).unwrap();
    let sample = |size| usize::try_from(before.claimed.claim.sample(size)).unwrap();
    assert_eq!(before.drawn.of_remainder().count(), sample(31));
    assert_eq!(before.drawn.fingers().count(), sample(27), "fingers have a claim and a sample of their own");
    assert!(before.drawn.always_in.iter().any(|entry| entry.terminal.0 == "5L2 line"), "hot joins");
    let loose = person.state.desk.focus.unwrap();
    person.says("shifted");
    assert!(person.state.question().text.contains("cannot stay so"));
    person.says("2");
    let question = person.state.question();
    assert!(question.text.contains("Go on to everything"), "{question:?}");
    assert!(question.hints.iter().any(|hint| hint.contains("one more bad")), "{question:?}");
    person.says("1");
    person.says("one loose in the first block is one too many");
    let after = picture(&person.state.visit).unwrap();
    assert_eq!(after.bad.sampled.drawn, after.bad.sampled.remainder);
    to_the_end(&mut person, special, HOUR);
    let visit = replay(&person.memory.lines);
    assert_eq!(found_at(&visit, loose).word, ResultWord::Loose);
    let last = picture(&visit).unwrap();
    assert_eq!((last.bad.bounds.worst, last.bad.bounds.provisional), (1, false), "{last:?}");
    person
}

#[test]
fn one_loose_terminal_is_escalated_and_the_bounds_stand_before_and_after() {
    appendix(&one_loose(), "audit_loose_escalated");
}

#[test]
fn not_escalated_and_not_finished_stays_provisional() {
    let mut person = auditor();
    until(&mut person, "look at every terminal", SAMPLE, HOUR);
    // one cannot be seen, one is burnt, one cannot be got at
    while !person.state.question().text.starts_with("left column") {
        answer(&mut person, SAMPLE, HOUR);
    }
    person.says("1L1 line, 3L2 line, 5L3 line");
    answer(&mut person, SAMPLE, HOUR);
    for (name, said) in [
        ("1L1 line", &["not visible"][..]),
        ("3L2 line", &["wrong", "1", "6"]),
        ("5L3 line", &["wrong", "7"]),
    ] {
        assert!(person.state.question().text.starts_with(name), "{name}: {:?}", person.state.question());
        for said in said {
            person.says(said);
        }
        if person.state.question().text.contains("cannot stay so") {
            person.says("1");
        }
    }
    until(&mut person, "Go on to everything", SAMPLE, HOUR);
    person.says("2");
    person.says("the owner wants the supply back at noon");
    // the hour is over in the middle of the first block
    for _ in 0..85 {
        answer(&mut person, SAMPLE, HOUR);
    }
    let open = person.state.visit.counts().open;
    assert!(open > 3, "{open}");
    person.does(Command::List);
    let Answers::Choice(list) = person.state.question().answers else { panic!("a list") };
    let at = list.iter().position(|words| words == "sign off").unwrap() + 1;
    person.says(&at.to_string());
    let end: Table = &[
        ("Still open", "2"),
        ("set aside why", "6"),
        ("Why, in your own words", "the hour was over"),
        ("before it is turned", "13.6"),
    ];
    to_the_end(&mut person, end, HOUR);
    let visit = replay(&person.memory.lines);
    let picture = picture(&visit).unwrap();
    assert!(picture.is_provisional());
    assert_eq!(picture.always_in.bad, 1, "seen bad before the draw: counted, not sampled");
    assert!(picture.bad.bounds.worst > picture.bad.bounds.reachable);
    appendix(&person, "audit_hour_over");
}

#[test]
fn an_hour_without_supply_and_nothing_found() {
    let mut person = auditor();
    to_the_end(&mut person, &[], HOUR);
    let visit = replay(&person.memory.lines);
    let picture = picture(&visit).unwrap();
    assert!(!picture.is_provisional(), "{picture:?}");
    appendix(&person, "audit_hour_nothing_found");
    let board = board_file::read(PUMP_HOUSE.as_bytes()).unwrap().board;
    for (at, terminal, _) in visit.terminals() {
        let word = found_at(&visit, at).word;
        assert!(
            matches!(word, ResultWord::Held | ResultWord::NotDrawn | ResultWord::NoData),
            "{}: {word:?}",
            terminal.name
        );
    }
    assert_eq!(visit.board(), Some(&board));
}

#[test]
fn one_of_a_place_told_at_once_can_be_put_right() {
    let mut person = auditor();
    until(&mut person, "right column: look", &[], HOUR);
    answer(&mut person, &[], HOUR);
    answer(&mut person, &[], HOUR);
    person.does(Command::Slip);
    let Answers::Choice(list) = person.state.question().answers else { panic!("which of them") };
    let at = list.iter().position(|words| words == "2L1 line").unwrap() + 1;
    for said in [at.to_string().as_str(), "wrong", "1", "mistyped"] {
        person.says(said);
    }
    let visit = &person.state.visit;
    let bad: Vec<&str> = visit
        .terminals()
        .filter(|(at, _, _)| found_at(visit, *at).bad)
        .map(|(_, terminal, _)| terminal.name.as_str())
        .collect();
    assert_eq!(bad, ["2L1 line"], "{}", person.note());
    assert!(person.state.question().text.contains("2L1 line cannot stay so"));
    agrees(visit);
}

#[test]
fn a_name_that_is_not_on_the_board_is_no_exception() {
    let mut person = auditor();
    until(&mut person, "left column: look", &[], HOUR);
    person.says("1L1 lime");
    assert!(person.note().contains("no terminal, place or way"), "{}", person.note());
    assert!(person.note().contains("near it: 1L1 line"), "{}", person.note());
    assert!(person.state.question().text.contains("left column: look"));
    // on the board, but not here: nobody would ask about it again
    person.says("incomer L1");
    assert!(person.note().contains("not one of those asked about here"), "{}", person.note());
    assert!(person.state.question().text.contains("left column: look"));
    // several could be meant
    person.says("line");
    assert!(person.note().contains("type which"), "{}", person.note());
    // one only
    person.says("1l2, way 5");
    person.says("5");
    let looked = person.memory.lines.last().unwrap();
    let Fact::Looked(looked) = &looked.fact else { panic!("{looked:?}") };
    let names: Vec<&str> = looked.terminals.iter().map(TerminalName::as_str).collect();
    assert_eq!(names, ["1L1 line", "1L3 line", "3L1 line", "3L2 line", "3L3 line"]);
}

/// A board that nobody has papers of, entered as ways and poles: nothing is known of its clamps.
pub(crate) fn old_board() -> String {
    Quick {
        reference: "PH-2".into(),
        title: "Old pump board".into(),
        site: "Fennick Vale Light Railway".into(),
        location: "pump house, ground floor".into(),
        three_phase: true,
        rated_a: "100".into(),
        ways: 8,
        three_pole: vec![1, 2, 3],
        spare: vec![8],
    }
    .text()
}

#[test]
fn an_unknown_board_with_one_loose_terminal_is_escalated_without_any_makers_value() {
    let mut person = auditor_of(&old_board());
    until(&mut person, "Which plan?", LOOSE, HOUR);
    let Answers::Choice(list) = person.state.question().answers else { panic!("plans") };
    assert!(list[0].contains("no sample") && list[1].contains("bad)"), "{list:?}");
    until(&mut person, "Go on to everything", LOOSE, HOUR);
    let before = picture(&person.state.visit).unwrap();
    assert!(before.moved.is_none(), "no maker's value, nothing is tried");
    person.says("1");
    person.says("what one clamp hides the others may hide");
    to_the_end(&mut person, SAMPLE, HOUR);
    let after = picture(&person.state.visit).unwrap();
    assert!(before.drawn.terminals.len() < before.drawn.remainder.len());
    assert_eq!((after.bad.bounds.worst, after.bad.bounds.provisional), (1, false));
    appendix(&person, "audit_unknown_board");
}

/// Tugged by the sample; the first that is tugged of the remainder shifts.
const LOOSE: Table = &[
    ("How many minutes are there", "180"),
    ("without supply", "90"),
    ("on load now?", "2"),
    ("Which plan?", "2"),
    ("are drawn?", "2"),
    ("At most how many", "10"),
    ("neutral (", "firm"),
    ("incomer L", "firm"),
    ("incomer N", "firm"),
    ("main earth (", "firm"),
    ("tug it firmly", "shifted"),
    ("cannot stay so", "2"),
];

#[test]
fn a_scale_that_disagrees_names_what_was_tried_with_it() {
    let mut person = auditor();
    until(&mut person, "before it is turned", &[], HOUR);
    let span = person.state.open_spans().next().unwrap();
    let tried: Vec<String> = (person.state.visit.lines().iter())
        .filter_map(|line| match &line.fact {
            Fact::Movement(movement) if movement.span.as_ref() == Some(&span.id) => {
                Some(movement.terminal.to_string())
            }
            _ => None,
        })
        .collect();
    assert!((1..=3).contains(&tried.len()), "{tried:?}");
    for said in ["29.0", "29.0", "2"] {
        person.says(said);
    }
    assert_eq!(person.note(), format!("the scale stood too high; tried with it: {}", tried.join(", ")));
}
