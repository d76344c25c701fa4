//! Audits that are broken off: killed, resumed, entered without a board file; and how many keys a held terminal costs.
#![cfg(unix)]

use crate::audit::{HOUR, SAMPLE, answer, auditor, to_the_end, until};
use crate::desk::{Memory, Person, at, start};
use crate::facts::Dice;
use crate::keys::keys_of;
use crate::program::{Input, records, run};
use crate::talk::Talk;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use witnessmark::board_file;
use witnessmark::domain::board::Board;
use witnessmark::domain::names::TerminalName;
use witnessmark::domain::record::{Fact, Line, Session, SessionCause, VisitKind};
use witnessmark::journal::{End, RealStorage, Record, read};
use witnessmark::session::audit::picture;
use witnessmark::session::desk::{Recorder as _, State, session_draft};
use witnessmark::session::{invariant, replay};

const HUT: &str = "tests/boards/lamp-hut.ron";

/// Answers in the plain face, the first whose words are in what was heard.
const SAID: &[(&str, &str)] = &[
    ("Your name:", "A. Ferris"),
    ("Who is on the tool now?", ""),
    ("What are you here?", "inspector"),
    ("Reference of the certificate", ""),
    ("What kind of torque tool", "1"),
    ("Which torque tool", "1"),
    ("What do you call it?", "long driver"),
    ("Its serial number", "IL 9020"),
    ("Unit of its scale", "1"),
    ("Lowest marked value", "0.5"),
    ("Highest marked value", "30"),
    ("Graduation", "0.1"),
    ("Type and class", ""),
    ("Day of its last calibration", ""),
    ("How many minutes are there", "120"),
    ("without supply?", "60"),
    ("on load now?", "2"),
    ("insulation of this board", "1"),
    ("How far does the tool go", "1"),
    ("Minutes a terminal", ""),
    ("Confidence", ""),
    ("Which plan?", "1"),
    ("are drawn?", "4"),
    ("Begin?", "1"),
    ("Thermal round", "3"),
    ("Why is there no thermal round", "nothing runs"),
    ("in any case", "none"),
    ("Draw ", "1"),
    ("not right, or not to be seen", "none"),
    ("not firm, or not tugged", "none"),
    ("look at it. It is:", "r"),
    ("tug it firmly", "f"),
    ("Before the click the screw", "h"),
    ("Who proved this board dead?", "A. Ferris"),
    ("With which voltage tester", "two-pole tester"),
    ("tried on a known source", "tried"),
    ("locked off", "main switch, key in pocket"),
    ("The incoming side is", "dead"),
    ("Is there another supply", "none"),
    ("Nothing is left to do", "1"),
    ("Last look,", "1"),
    ("tug it. It is:", "f"),
    ("its witness mark is:", "u"),
    ("Shrouds, covers", "all back"),
    ("Locks and tools", "all out"),
    ("Who energised", ""),
    ("you sign", "1"),
    ("Close the visit?", "1"),
];

/// A person who counts what is listed.
struct Auditor {
    board: Board,
    setting: String,
    listed: Vec<TerminalName>,
}

impl Auditor {
    fn of(path: &str) -> Self {
        let board = board_file::read(&std::fs::read(path).unwrap()).unwrap().board;
        Self { board, setting: String::new(), listed: Vec::new() }
    }

    fn answer(&mut self, heard: &str) -> String {
        let asked = heard.rsplit("\n\n").next().unwrap();
        let flat = asked.split_whitespace().collect::<Vec<_>>().join(" ");
        if let Some((_, rest)) = flat.split_once("Here: ") {
            let list = rest.split(". >").next().unwrap();
            self.listed =
                list.split(", ").map(|name| TerminalName::from(name.trim_end_matches('.'))).collect();
        }
        if flat.contains("Count them") {
            let many = if flat.contains("conductors") {
                let of = |name: &TerminalName| self.board.terminal(name).unwrap().conductors.len();
                self.listed.iter().map(of).sum()
            } else {
                self.listed.len()
            };
            return many.to_string();
        }
        if let Some((_, rest)) = flat.split_once("Set tool A to ") {
            rest.split(' ').next().unwrap().clone_into(&mut self.setting);
            return "1".into();
        }
        if flat.contains("read its scale") {
            return self.setting.clone();
        }
        let found = SAID.iter().find(|(words, _)| flat.contains(words));
        found.unwrap_or_else(|| panic!("no answer to {flat}")).1.to_owned()
    }
}

fn visit(home: &Path) -> Option<(PathBuf, Record)> {
    let mut found: Vec<_> = records(home)
        .into_iter()
        .filter(|path| std::fs::metadata(path).unwrap().len() > 0)
        .map(|path| read(&RealStorage, &path).map(|record| (path, record)).unwrap())
        .collect();
    assert!(found.len() <= 1, "two audits of one board");
    found.pop()
}

/// Nothing stands twice, nothing is touched before the gate of its session, nothing is tried before its scale.
fn in_order(lines: &[Line]) {
    let (mut once, mut gate, mut scale) = (BTreeSet::new(), false, false);
    for line in lines {
        let done = match &line.fact {
            Fact::Session(_) => {
                (gate, scale) = (false, false);
                None
            }
            Fact::Gates(_) => {
                gate = true;
                None
            }
            Fact::Scale(_) => {
                scale = true;
                None
            }
            Fact::Claim(_) | Fact::Drawn(_) => Some(line.fact.kind().to_owned()),
            Fact::Looked(f) => Some(format!("looked {:?}", f.terminals)),
            Fact::Tugged(f) => {
                assert!(gate, "line {}: the gate comes first in every session", line.seq.0);
                Some(format!("tugged {:?}", f.conductors))
            }
            Fact::Movement(f) => {
                assert!(gate && scale, "line {}: gate and scale come first in every session", line.seq.0);
                Some(format!("tried {:?}", f.terminal))
            }
            _ => None,
        };
        if let Some(done) = done {
            assert!(once.insert(done.clone()), "{done} stands twice");
        }
    }
}

/// One audit, killed as the dice fall, to its end.
fn killed(home: &Path, dice: &mut Dice, enough: usize) -> usize {
    let mut kills = 0;
    let mut auditor = Auditor::of(HUT);
    loop {
        let before = visit(home).map_or(0, |(_, record)| record.lines.len());
        if let Some(span) = visit(home).and_then(|(_, r)| replay(&r.lines).open_spans().next().cloned()) {
            auditor.setting = span.required.value.to_string();
        }
        let mut talk = Talk::of("audit", HUT, home);
        let mut left = dice.below(25) + 1;
        let killed = loop {
            let Some(heard) = talk.question() else { break false };
            talk.say(&auditor.answer(&heard));
            left -= 1;
            if left == 0 && kills < enough {
                std::thread::sleep(std::time::Duration::from_micros(dice.below(4) * dice.below(400)));
                break true;
            }
        };
        let said = if killed { talk.kill() } else { talk.end().1 };
        kills += usize::from(killed);
        let Some((_, record)) = visit(home) else { continue };
        let state = State::over(replay(&record.lines), start(&std::fs::read_to_string(HUT).unwrap(), false));
        let own = usize::from(before > 0);
        let stored: Vec<String> =
            record.lines.iter().skip(before + own).map(|line| state.line_in_words(line)).collect();
        let recorded: Vec<&str> =
            said.lines().filter_map(|line| line.split_once("recorded ").map(|(_, words)| words)).collect();
        assert!(
            stored.iter().map(String::as_str).take(recorded.len()).eq(recorded.iter().copied()),
            "{said}"
        );
        in_order(&record.lines);
        assert_eq!(invariant::check(&replay(&record.lines)), Ok(()));
        if record.end == End::Closed {
            return kills;
        }
        assert!(killed, "it ended by itself before the audit was closed:\n{said}");
    }
}

/// Our own rule, as for the walk: what was said to be recorded is there, and nothing stands twice.
#[test]
fn an_audit_killed_again_and_again_goes_on_where_it_stopped() {
    let mut dice = Dice(20_261_126);
    let mut kills = 0;
    while kills < 40 {
        let home = tempfile::tempdir().unwrap();
        kills += killed(home.path(), &mut dice, 40);
    }
}

#[test]
fn an_audit_can_be_gone_on_with_from_every_line_of_it() {
    let mut whole = auditor();
    to_the_end(&mut whole, SAMPLE, HOUR);
    let lines = whole.memory.lines.clone();
    for many in (2..lines.len()).step_by(6) {
        let kept: Vec<Line> = lines.iter().take(many).cloned().collect();
        let session = Session {
            nonce: "m".into(),
            program: "witnessmark test".into(),
            cause: SessionCause::Resumed,
            torn: None,
        };
        let mut memory = Memory { lines: kept.clone(), ..Memory::default() };
        memory.append(vec![session_draft(&kept, at(40_000).wall, session)]).unwrap();
        let mut begun = start(&std::fs::read_to_string("boards/pump-house.ron").unwrap(), false);
        begun.visit = VisitKind::Audit;
        let state = State::over(replay(&memory.lines), begun);
        let mut person = Person { state, memory, second: 40_000, behind: 0, words: &[] };
        to_the_end(&mut person, SAMPLE, HOUR);
        let (one, other) = (picture(&whole.state.visit).unwrap(), picture(&person.state.visit).unwrap());
        assert_eq!(one, other, "broken off after line {many}");
    }
}

/// Issue 6: at most three keys for a held terminal.
#[test]
fn a_held_terminal_costs_three_keys() {
    let mut person = auditor();
    // one by one: the place is told with everything as an exception but one
    until(&mut person, "right column: look", SAMPLE, HOUR);
    let waiting = "2L1 line, 2L2 line";
    person.says(waiting);
    answer(&mut person, SAMPLE, HOUR);
    let mut pressed = 0;
    let mut seen = 0;
    while !person.state.question().text.contains("Nothing is left") {
        let question = person.state.question();
        let name = question.about.and_then(|at| person.state.visit.terminal(at)).map(|t| t.name.0.clone());
        let mine = name.as_deref() == Some("2L1 line");
        let observed = matches!(question.answers, witnessmark::session::desk::Answers::Observed(_));
        if mine && observed {
            let said =
                ["look at it", "tug it", "Before the click"].iter().position(|w| question.text.contains(w));
            let word = ["right", "firm", "held"][said.unwrap()];
            pressed += keys_of(&question, word).chars().count();
            seen += 1;
        }
        answer(&mut person, SAMPLE, HOUR);
    }
    assert_eq!(seen, 3, "looked at, tugged and tried");
    assert!(pressed <= 3, "{pressed} keys");
}

#[test]
fn a_board_without_a_file_is_entered_as_ways_and_poles_and_kept() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("lamp room.ron");
    let path = path.to_str().unwrap();
    let folder = home.path().join("records");
    let arguments = ["audit", path, "--plain", "--records", folder.to_str().unwrap()];
    let typed = "LR-2\n\n\nFennick Vale Light Railway\nlamp room\n3\n63 A\nmany\n4\n2, 3\n9\n4\nA. Ferris\n";
    let said = run(&arguments, home.path(), Input::Bytes(typed.into())).expect(0);
    for words in ["There is no board file", "cannot be left empty", "not taken: \"many\"", "not taken: \"9\""]
    {
        assert!(said.out.contains(words), "{words}: {}", said.out);
    }
    let board = board_file::read(&std::fs::read(path).unwrap()).unwrap().board;
    assert_eq!((board.reference.as_str(), board.title.as_str(), board.ways), ("LR-2", "LR-2", 4));
    assert!(board.terminals.iter().any(|terminal| terminal.name.0 == "2L3 line"));
    assert!(board.terminals.iter().all(|terminal| board.torque_row(terminal).is_none()));
    // what is there is never asked for again, nor written over
    let before = std::fs::read(path).unwrap();
    let said = run(&arguments, home.path(), Input::Bytes(b"A. Ferris\n".to_vec())).expect(0);
    assert!(!said.out.contains("There is no board file"), "{}", said.out);
    assert_eq!(std::fs::read(path).unwrap(), before);
    // the input ends in the middle: nothing is written
    let other = home.path().join("other.ron");
    let arguments = ["audit", other.to_str().unwrap(), "--plain"];
    let said = run(&arguments, home.path(), Input::Bytes(b"OT-1\n".to_vec())).expect(2);
    assert!(said.err.contains("nothing was written"), "{}", said.err);
    assert!(!other.exists());
}
