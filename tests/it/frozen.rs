//! Records of format 1 that are read for ever: one closed visit of each kind, byte for byte.
//!
//! They were written once, from the stories of these tests with their links worked out. A change that no longer reads
//! them, or writes a line of theirs otherwise, makes another format. What they must hold is our own rule.

use crate::program::{Input, run, steady};
use crate::properties::agrees;
use crate::rig::snap;
use crate::scripted::Script;
use crate::{appendix, audit, revisit};
use data_encoding::HEXLOWER;
use sha2::{Digest as _, Sha256};
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use witnessmark::appendix::{Options, print};
use witnessmark::domain::clamp::{Settle, SettleBasis};
use witnessmark::domain::names::Seq;
use witnessmark::domain::record::{
    AsideWhy, Closed, Draft, FORMAT, Fact, Line, MarkResult, Person, SettleKnown, TorqueResult, Tug, Turned,
    VisitKind,
};
use witnessmark::domain::verdict::RULES;
use witnessmark::journal::line::encode;
use witnessmark::journal::read::parse;
use witnessmark::journal::{End, Link};
use witnessmark::session::audit::AuditAct;
use witnessmark::session::{Act, closing, decide, invariant, replay};

/// Name, kind, and the SHA-256 of its bytes.
const FIXTURES: [(&str, VisitKind, &str); 3] = [
    ("first", VisitKind::First, "4f8e2f9164f8474d0d124a209ca127e28305ff3f18623a44c6c667c10f3407e7"),
    ("revisit", VisitKind::Revisit, "3bb008567b9c1afac92abef85b1ac56d37141b0315ca05ddc840dab7e884a709"),
    ("audit", VisitKind::Audit, "eb93502ac89064f5a16bfc8b11613fdbf74738105cb4cebdc50aaf8b1230cc7b"),
];

fn place(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/records").join(format!("{name}.jsonl"))
}

/// Bytes of the fixtures, in their order.
pub(crate) fn fixtures() -> Vec<Vec<u8>> {
    FIXTURES.iter().map(|(name, _, _)| std::fs::read(place(name)).unwrap()).collect()
}

fn draft(line: &Line) -> Draft {
    let Line { seq, time, who, writer, fact, .. } = line.clone();
    Draft { seq, time, who, writer, fact }
}

#[test]
fn a_kept_record_of_each_kind_is_read_byte_for_byte_for_ever() {
    for ((name, kind, sum), bytes) in FIXTURES.iter().zip(fixtures()) {
        assert_eq!(HEXLOWER.encode(&Sha256::digest(&bytes)), *sum, "{name} was changed");
        let record = parse(&bytes).unwrap_or_else(|fault| panic!("{name}: {fault:?}"));
        assert_eq!((record.end, &record.torn, &record.bytes), (End::Closed, &None, &bytes), "{name}");
        let opened = record.opened().unwrap();
        assert_eq!((opened.format, opened.visit), (FORMAT, *kind), "{name}");
        let mut again = Vec::new();
        let mut link = Link::ZERO;
        for line in &record.lines {
            let (bytes, _, next) = encode(&draft(line), &link).unwrap();
            again.extend(bytes);
            link = next;
        }
        assert_eq!(again, bytes, "{name} is written otherwise now");
        assert_eq!(link, record.link);
        let (last, before) = record.lines.split_last().unwrap();
        let Fact::Closed(closed) = &last.fact else { panic!("{name} is not closed") };
        let visit = replay(&record.lines);
        // what earlier rules decided stays decided; a later program does not judge anew, as `intact` does not
        if opened.rules == RULES {
            assert_eq!(**closed, closing(&replay(before)), "{name}: other outcomes now");
            assert!(invariant::check(&visit).is_ok(), "{name}");
            agrees(&visit);
        }
        let page = print(&visit, Options::default());
        snap().bind(|| insta::assert_snapshot!(format!("frozen__{name}"), page));
    }
}

/// All but *abandoned*, which no closed visit holds.
#[test]
fn the_kept_records_hold_every_kind_of_fact_that_a_closed_visit_can() {
    let records: Vec<_> = fixtures().iter().map(|bytes| parse(bytes).unwrap()).collect();
    let held: BTreeSet<&str> =
        records.iter().flat_map(|record| &record.lines).map(|line| line.fact.kind()).collect();
    let mut expected = crate::frozen_doc::kinds();
    expected.remove("abandoned");
    let held: BTreeSet<String> = held.into_iter().map(str::to_owned).collect();
    assert_eq!(held, expected);
}

/// The first kept record as a version of before the format was settled would have written it.
fn older() -> Vec<u8> {
    let text = String::from_utf8(fixtures().remove(0)).unwrap();
    let mut older = String::new();
    let mut link = Link::ZERO.hex();
    for line in text.lines() {
        let (before, _) = line.rsplit_once(",\"link\":").unwrap();
        let before = before.replacen("\"format\":1,", "\"format\":0,", 1);
        link = HEXLOWER.encode(&Sha256::digest(format!("{link}{before}")));
        writeln!(older, "{before},\"link\":\"{link}\"}}").unwrap();
    }
    older.into_bytes()
}

#[test]
fn a_record_of_format_0_is_checked_for_damage_and_neither_printed_nor_gone_on_with() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("2026-11-25-first-k7m2q4xa.jsonl");
    std::fs::write(&path, older()).unwrap();
    let said =
        |command: &str| run(&[command, path.to_str().unwrap()], folder.path(), Input::Bytes(Vec::new()));
    let printed = said("appendix").expect(2);
    assert_eq!(printed.out, "");
    let checked = said("intact").expect(0);
    assert_eq!(checked.err, "");
    let words = steady(&format!("{}---\n{}", printed.err, checked.out), folder.path());
    snap().bind(|| insta::assert_snapshot!("frozen_format_0", words));
    assert_eq!(std::fs::read(&path).unwrap(), older(), "nothing in it is changed");
}

/// Numbers lines anew from 1 and works their links out.
fn linked(facts: &[Line]) -> (Vec<u8>, Link) {
    let mut bytes = Vec::new();
    let mut link = Link::ZERO;
    for (seq, line) in (1..).zip(facts) {
        let mut draft = draft(line);
        draft.seq = Seq(seq);
        let (written, _, next) = encode(&draft, &link).unwrap();
        bytes.extend(written);
        link = next;
    }
    (bytes, link)
}

fn first() -> Vec<Line> {
    appendix::everything_and(more).lines().to_vec()
}

/// A second person, a tool doubted and released, a clamp that has to settle, a device replaced, taken up again.
fn more(script: Script) -> Script {
    let mut board = script.visit.board().unwrap().clone();
    let at = board.terminals.iter().position(|terminal| terminal.name.as_str() == "1 neutral").unwrap();
    let clamp = board.terminals[at].clamp.clone();
    for clamp in board.clamps.iter_mut().filter(|other| other.name == clamp) {
        clamp.settle = Some(Settle { wait_minutes: 15, basis: SettleBasis::OwnPractice });
    }
    let spare = || vec!["4 line".into()];
    let settled = |script: Script, turned| {
        let act = Act::Settle {
            terminal: "1 neutral".into(),
            tool: Some("A".into()),
            result: TorqueResult::Clicked,
            turned: Some(turned),
            mode: witnessmark::domain::record::Mode::Singly,
        };
        script.act(act).tug("1 neutral", Tug::Firm).mark("1 neutral", MarkResult::Made)
    };
    let person = Person { id: "P2".into(), name: "Sam Weir".into(), role: "mate".into() };
    let script = script
        .act(Act::Join(person))
        .act(Act::DoubtTool { tool: "C".into(), what: "dropped".into() })
        .act(Act::ReleaseTool {
            tool: "C".into(),
            by: "Sam Weir".into(),
            why: "tried against the other".into(),
        })
        .act(Act::AmendBoard {
            board: Box::new(board),
            board_sha256: "b7".repeat(32),
            reason: "the bar's sheet asks for a second tightening".into(),
        })
        .make_off("1 neutral")
        .begin("A", "1.8 N.m")
        .finish("1 neutral", "A")
        .end("A", "1.8 N.m", None)
        .wait(20)
        .act(Act::SettleReady { terminal: "1 neutral".into(), how: SettleKnown::Timed })
        .begin("A", "1.8 N.m");
    let script = settled(script, Turned::Moved)
        .end("A", "1.8 N.m", None)
        .act(Act::WaiveSettle { terminal: "1 neutral".into(), why: "the last train leaves".into() });
    let script = script.act(Act::Replace { device: "3".into(), why: "cracked".into() });
    let new = AsideWhy::Other("new device comes tomorrow".into());
    script
        .aside(&["3 line"], new, Some("M. Cole, client"))
        .aside(&["4 line"], AsideWhy::NoAccess, Some("M. Cole, client"))
        .act(Act::TakeUp { terminals: spare(), why: "it is a spare way".into() })
}

fn revisit() -> Vec<Line> {
    let (first, visit) = revisit::meter_exchanged();
    let mut lines = visit.lines().to_vec();
    if let Fact::Opened(opened) = &mut lines[0].fact {
        opened.follows.as_mut().unwrap().link = linked(first.lines()).1.hex();
    }
    lines
}

/// The audit with a code typed before its end.
fn audit() -> Vec<Line> {
    let mut lines = audit::one_loose().memory.lines;
    let at = lines.iter().position(|line| matches!(line.fact, Fact::LastLook(_))).unwrap();
    let visit = replay(&lines[..at]);
    let code = AuditAct::Code { terminal: "5L2 line".into(), code: "C2".into() };
    let fact = decide(&visit, &lines[at].who, &Act::Audit(code)).unwrap().remove(0);
    let line = Line { fact, ..lines[at].clone() };
    lines.insert(at, line);
    for (seq, line) in (1..).zip(&mut lines) {
        line.seq = Seq(seq);
    }
    let closed: Closed = closing(&replay(&lines[..lines.len() - 1]));
    lines.last_mut().unwrap().fact = Fact::Closed(Box::new(closed));
    lines
}

/// How the kept records came about. It writes only what is not there.
#[test]
#[ignore = "the records are kept for ever; only a new format gets new ones"]
fn made_once() {
    for ((name, _, _), lines) in FIXTURES.iter().zip([first(), revisit(), audit()]) {
        let path = place(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        if !path.exists() {
            std::fs::write(path, linked(&lines).0).unwrap();
        }
    }
}
