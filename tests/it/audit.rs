//! Audits of the pump house at the desk, from the claim to the closing.

use crate::desk::{Memory, Person, start};
use crate::rig::snap;
use witnessmark::appendix::{Options, print};
use witnessmark::board_file;
use witnessmark::domain::record::VisitKind;
use witnessmark::session::audit::{ResultWord, found_at, picture};
use witnessmark::session::desk::{Answers, Left, State};
use witnessmark::session::replay;

const PUMP_HOUSE: &str = include_str!("../../boards/pump-house.ron");

/// What is answered; the first whose words the question holds.
pub(crate) type Table = &'static [(&'static str, &'static str)];

/// The frame of an audit: who, with what, the gate, and its end.
const FRAME: Table = &[
    ("Your name:", "A. Ferris"),
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
const HOUR: Table = &[
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
    let mut begun = start(PUMP_HOUSE, false);
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
    if person.state.question() == question && person.note().starts_with("not") {
        panic!("{question:?} refused {said:?}: {}", person.note());
    }
}

fn to_the_end(person: &mut Person, special: Table, table: Table) {
    for _ in 0..2_000 {
        if person.state.desk.left.is_some() {
            assert_eq!(person.state.desk.left, Some(Left::Ended));
            return;
        }
        answer(person, special, table);
    }
    panic!("stuck at {:?}", person.state.question());
}

#[test]
fn an_hour_without_supply_and_nothing_found() {
    let mut person = auditor();
    to_the_end(&mut person, &[], HOUR);
    let visit = replay(&person.memory.lines);
    let picture = picture(&visit).unwrap();
    assert!(!picture.is_provisional(), "{picture:?}");
    let text = print(&visit, Options::default());
    snap().bind(|| insta::assert_snapshot!("audit_hour_nothing_found", text));
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
