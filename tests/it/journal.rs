//! The record on the disk: real files, a faulty disk, damage, torn tails, locks.

use crate::facts::{Dice, KINDS, abandoned, closed, count, draft, opened, remark, session, some_fact};
use crate::faulty::{Broken, Faulty};
use crate::rig::snap;
use data_encoding::HEXLOWER;
use proptest::prelude::*;
use sha2::{Digest as _, Sha256};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use witnessmark::domain::record::{Draft, Fact, Line, SessionCause, Torn};
use witnessmark::journal::line::{FACT_BYTES_MAX, LINE_BYTES_MAX, LineFault, decode, encode};
use witnessmark::journal::read::parse;
use witnessmark::journal::resume::{TORN_BYTES_MAX, described};
use witnessmark::journal::{
    DamageKind, End, Journal, Link, ReadFault, RealStorage, ResumeError, Storage, StoreError, StoreFault,
    intact, read, resume,
};

const ID: &str = "aaaa2222";

fn first_drafts() -> Vec<Draft> {
    vec![draft(1, opened(ID)), draft(2, session(SessionCause::Opened, None))]
}

fn resumed(lines: &[Line], torn: Option<Torn>) -> Draft {
    let next = count(lines.len()) + 1;
    draft(next, session(SessionCause::Resumed, torn))
}

fn place() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("site=x/board=y/2026-11-25-first-aaaa2222.jsonl");
    (folder, path)
}

/// The bytes of a record of these facts behind the first two lines.
fn written(facts: &[Fact]) -> Vec<u8> {
    let disk = Faulty::new(0, Broken::default());
    let path = Path::new("/r/a.jsonl");
    let mut journal = Journal::create(disk.clone(), path).unwrap();
    journal.append(&first_drafts()).unwrap();
    let drafts: Vec<Draft> = (3..).zip(facts).map(|(seq, fact)| draft(seq, fact.clone())).collect();
    journal.append(&drafts).unwrap();
    disk.read(path).unwrap()
}

/// A disk without faults that holds one record.
fn holding(bytes: &[u8]) -> (Faulty, PathBuf) {
    let disk = Faulty::new(0, Broken::default());
    let path = PathBuf::from("/r/2026-11-25-first-aaaa2222.jsonl");
    disk.put(&path, bytes);
    (disk, path)
}

fn json(fact: &Fact) -> String {
    serde_json::to_string(fact).unwrap()
}

proptest! {
    /// The link is worked out again here from machine section 6, not from the code.
    #[test]
    fn every_kind_of_fact_survives_its_line(seed: u64, seq in 1_u64.., kind in 0..KINDS) {
        let mut dice = Dice(seed);
        let draft = draft(seq % 1_000_000_000, some_fact(kind, &mut dice));
        let (_, _, previous) = encode(&draft, &Link::ZERO).unwrap();
        let (bytes, line, link) = encode(&draft, &previous).unwrap();
        let whole = bytes.strip_suffix(b"\n").unwrap();
        prop_assert_eq!(&decode(whole, &previous).unwrap(), &(line.clone(), link));
        prop_assert_eq!((line.seq, line.time, &line.fact), (draft.seq, draft.time, &draft.fact));
        // the digits too: quantities are equal whatever their digits
        prop_assert_eq!(json(&line.fact), json(&draft.fact));
        let text = std::str::from_utf8(whole).unwrap();
        let (before, rest) = text.rsplit_once(",\"link\":\"").unwrap();
        let hash = Sha256::digest(format!("{previous}{before}"));
        let hex = HEXLOWER.encode(&hash);
        prop_assert_eq!(rest, format!("{hex}\"}}"));
        let starts = text.starts_with("{\"seq\":");
        prop_assert!(starts && !whole.contains(&b'\n'));
    }

    #[test]
    fn any_bytes_are_read_without_a_panic(bytes: Vec<u8>, seed: u64) {
        let _ = parse(&bytes);
        let mut good = written(&[remark("a"), closed(4)]);
        let mut dice = Dice(seed);
        for byte in bytes {
            let at = dice.index(good.len());
            good[at] = byte;
        }
        let _ = parse(&good).map_err(|fault| format!("{fault:?}"));
    }
}

#[test]
fn every_kind_occurs_once_in_the_generator() {
    let kinds: Vec<&str> = (0..KINDS).map(|kind| some_fact(kind, &mut Dice(1)).kind()).collect();
    let mut once = kinds.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), kinds.len(), "{kinds:?}");
}

#[test]
fn a_flip_of_any_byte_is_found_and_its_line_named() {
    for facts in [vec![remark("nut behind the busbar"), closed(4)], vec![abandoned()], vec![remark("open")]] {
        let good = written(&facts);
        parse(&good).unwrap();
        let mut line = 1;
        for at in 0..good.len() {
            for mask in [0x01, 0x20, 0x80] {
                let mut bad = good.clone();
                bad[at] ^= mask;
                match parse(&bad) {
                    Err(ReadFault::Damaged(damage)) => assert_eq!(damage.line, line, "byte {at} ^ {mask}"),
                    other => panic!("byte {at} ^ {mask}: {other:?}"),
                }
            }
            line += u64::from(good[at] == b'\n');
        }
    }
}

#[test]
fn a_line_taken_out_doubled_or_moved_is_found() {
    let good = written(&[remark("a"), remark("b"), remark("c")]);
    let lines: Vec<&[u8]> = good.split_inclusive(|byte| *byte == b'\n').collect();
    let named = |order: &[usize]| {
        let bytes: Vec<u8> = order.iter().flat_map(|at| lines[*at].to_vec()).collect();
        match parse(&bytes) {
            Err(ReadFault::Damaged(damage)) => Some(damage.line),
            _ => None,
        }
    };
    assert_eq!(named(&[0, 1, 3, 4]), Some(3));
    assert_eq!(named(&[0, 1, 2, 2, 3, 4]), Some(4));
    assert_eq!(named(&[0, 2, 1, 3, 4]), Some(2));
    assert_eq!(named(&[1, 2, 3, 4]), Some(1));
    // machine section 6: what the chain cannot see is whole lines cut off the end
    assert_eq!(named(&[0, 1, 2]), None);
}

#[test]
fn a_copy_cut_anywhere_goes_on_without_losing_a_whole_line() {
    let good = written(&[remark("nut behind the busbar"), remark("found"), remark("taken out")]);
    let ends: Vec<usize> = (0..good.len()).filter(|at| good[*at] == b'\n').collect();
    for cut in 0..=good.len() {
        let (disk, path) = holding(&good[..cut]);
        // a line is whole with or without its LF
        let whole = ends.iter().filter(|end| **end <= cut).count();
        let seen = std::cell::RefCell::new(None);
        let outcome = resume(&disk, &path, |lines, torn| {
            *seen.borrow_mut() = torn.clone();
            resumed(lines, torn)
        });
        if whole == 0 {
            let refused = matches!(&outcome, Err(ResumeError::Read(e)) if e.fault == ReadFault::NotAVisit);
            assert!(refused, "cut at {cut}");
            assert_eq!(disk.read(&path).unwrap(), good[..cut]);
            continue;
        }
        let (mut journal, lines) = outcome.unwrap();
        assert_eq!(lines.len(), whole + 1, "cut at {cut}");
        let rest = &good[(ends[whole - 1] + 1).min(cut)..cut];
        let torn = (!rest.is_empty()).then(|| described(rest));
        assert_eq!(*seen.borrow(), torn);
        assert_eq!(lines.last().unwrap().fact, session(SessionCause::Resumed, torn));
        journal.append(&[draft(count(whole) + 2, remark("goes on"))]).unwrap();
        assert_eq!(disk.list(Path::new("/r")).unwrap().len(), 1, "something is left behind");
        disk.power_cut(true);
        assert_eq!(read(&disk, &path).unwrap().lines.len(), whole + 2);
    }
}

#[test]
fn a_tail_too_long_to_be_kept_and_a_line_too_long_to_be_read_are_refused() {
    let mut bytes = written(&[remark("a")]);
    let good = bytes.len();
    bytes.resize(good + usize::try_from(TORN_BYTES_MAX).unwrap(), 0);
    let (disk, path) = holding(&bytes);
    let (journal, _) = resume(&disk, &path, resumed).unwrap();
    drop(journal);
    assert_eq!(read(&disk, &path).unwrap().lines.len(), 4);
    bytes.push(0);
    let (disk, path) = holding(&bytes);
    assert!(matches!(resume(&disk, &path, resumed), Err(ResumeError::TornTooLong { .. })));
    assert_eq!(disk.read(&path).unwrap().len(), bytes.len());
    bytes.resize(good + LINE_BYTES_MAX + 1, b'x');
    bytes.push(b'\n');
    let Err(ReadFault::Damaged(damage)) = parse(&bytes) else { panic!("read") };
    let too_long = LineFault::TooLong { bytes: LINE_BYTES_MAX + 1, allowed: LINE_BYTES_MAX };
    assert_eq!((damage.line, damage.what), (4, DamageKind::Line(too_long)));
}

#[test]
fn nothing_stands_behind_the_end() {
    for behind in [&b"x"[..], b"x\n", b"\n"] {
        let bytes = [&written(&[closed(3)]), behind].concat();
        let Err(ReadFault::Damaged(damage)) = parse(&bytes) else { panic!("{behind:?} is accepted") };
        assert_eq!((damage.line, damage.what), (4, DamageKind::BehindClosing));
    }
}

/// RFC 4648 and FIPS 180-4 vectors for what a `session` line says of torn bytes.
#[test]
fn torn_bytes_are_kept_as_they_were() {
    let torn = described(b"abc");
    assert_eq!((torn.bytes, torn.base64.as_str()), (3, "YWJj"));
    assert_eq!(torn.sha256, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

#[test]
fn a_failed_resume_of_a_torn_record_touches_nothing() {
    let good = written(&[remark("a")]);
    let cut = good[..good.len() - 9].to_vec();
    for kind in [ErrorKind::StorageFull, ErrorKind::ReadOnlyFilesystem, ErrorKind::PermissionDenied] {
        let (disk, path) = holding(&cut);
        disk.0.borrow_mut().broken.always = Some(kind);
        assert!(matches!(resume(&disk, &path, resumed), Err(ResumeError::Store(_))));
        assert_eq!(disk.read(&path).unwrap(), cut);
    }
}

#[test]
fn what_is_finished_or_out_of_turn_is_not_written_to() {
    let (disk, path) = holding(&written(&[closed(3)]));
    let refused = resume(&disk, &path, resumed).unwrap_err();
    let finished = StoreFault::Finished;
    assert_eq!(refused, ResumeError::Store(StoreError { path, fault: finished.clone(), confirmed: 3 }));
    let mut journal = Journal::create(disk, Path::new("/r/b.jsonl")).unwrap();
    let late = StoreFault::OutOfTurn { found: 2, expected: 1 };
    assert_eq!(journal.append(&[draft(2, remark("a"))]).unwrap_err().fault, late);
    journal.append(&first_drafts()).unwrap();
    let behind = [draft(3, abandoned()), draft(4, remark("a"))];
    assert_eq!(journal.append(&behind).unwrap_err().fault, finished);
    let long = "x".repeat(FACT_BYTES_MAX);
    let fault = journal.append(&[draft(3, remark(&long))]).unwrap_err().fault;
    assert!(matches!(fault, StoreFault::Line(LineFault::TooLong { .. })), "{fault:?}");
    // none of that left anything waiting
    journal.append(&[draft(3, abandoned())]).unwrap();
    assert_eq!(journal.append(&[draft(4, remark("a"))]).unwrap_err().fault, finished);
}

/// Texts of lines without their link, made to a chain whatever they say.
fn linked(texts: &[String]) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut previous = "0".repeat(64);
    for text in texts {
        previous = HEXLOWER.encode(&Sha256::digest(format!("{previous}{text}")));
        bytes.extend_from_slice(format!("{text},\"link\":\"{previous}\"}}\n").as_bytes());
    }
    bytes
}

/// A line up to its link.
fn text(seq: u64, fact: Fact) -> String {
    let mut text = serde_json::to_string(&draft(seq, fact)).unwrap();
    text.pop();
    text
}

/// A chain that fits is no licence: number, opening and end are looked at too, and unknown fields refused.
#[test]
fn a_chain_that_fits_may_still_be_wrong() {
    let damage = |texts: &[String]| match parse(&linked(texts)) {
        Err(ReadFault::Damaged(damage)) => (damage.line, damage.what),
        other => panic!("{other:?}"),
    };
    let first = text(1, opened(ID));
    assert!(parse(&linked(std::slice::from_ref(&first))).is_ok());
    assert_eq!(damage(&[first.clone(), text(3, remark("a"))]), (2, DamageKind::Seq { found: 3 }));
    assert_eq!(damage(&[first.clone(), text(2, opened(ID))]), (2, DamageKind::OpensAgain));
    let end = text(2, abandoned());
    assert_eq!(damage(&[first.clone(), end, text(3, remark("a"))]), (3, DamageKind::BehindClosing));
    for (from, to) in [("\"text\":", "\"colour\":\"red\",\"text\":"), ("\"seq\":", "\"site\":\"x\",\"seq\":")]
    {
        let unknown = text(2, remark("a")).replace(from, to);
        let (line, what) = damage(&[first.clone(), unknown]);
        assert!(line == 2 && matches!(what, DamageKind::Line(LineFault::NotAFact { .. })), "{what:?}");
    }
    let reading = r#"{"seq":2,"time":"2026-11-25T09:13:47+01:00","who":"P1","writer":"P1","fact":{"torqued":{"terminals":["1 line"],"attempt":1,"round":0,"result":{"reading":{"text":"2.5","value":"2.5","unit":"N.m","EXTRA"}},"limits":{"unit":"N.m","basis":"none","source":""},"rules":1,"verdict":"not_judged","mode":"singly"}}"#;
    assert!(parse(&linked(&[first.clone(), reading.replace(",\"EXTRA\"", "")])).is_ok());
    let (_, what) = damage(&[first.clone(), reading.replace("\"EXTRA\"", "\"extra\":1")]);
    assert!(matches!(what, DamageKind::Line(LineFault::NotAFact { .. })), "{what:?}");
    assert_eq!(parse(&linked(&[text(1, remark("a"))])), Err(ReadFault::NotAVisit));
    // a newer format is told before its unknown lines are judged, and is checked by its chain alone
    let newer = first.replace("\"format\":1", "\"format\":7,\"novelty\":[]");
    let strange = r#"{"seq":2,"fact":{"scope":{}}"#.to_owned();
    let bytes = linked(&[newer, strange]);
    assert_eq!(parse(&bytes), Err(ReadFault::OtherFormat { format: 7 }));
    let (disk, path) = holding(&bytes);
    assert!(resume(&disk, &path, resumed).is_err());
    let report = intact::intact(&disk, std::slice::from_ref(&path)).reports.remove(0);
    let whole =
        matches!(report.found, intact::Found::OtherFormatWhole { format: 7, lines: 2, torn_bytes: 0, .. });
    assert!(whole, "{report}");
    let mut flipped = bytes.clone();
    flipped[bytes.len() - 100] ^= 1;
    let (disk, path) = holding(&flipped);
    let report = intact::intact(&disk, &[path]).reports.remove(0);
    assert!(!report.is_whole() && report.to_string().contains("line 2"), "{report}");
}

/// Records of before the format was settled: our own rule, the machine's section 6.
#[test]
fn a_record_of_an_older_format_is_checked_for_damage_and_neither_resumed_nor_read() {
    let older = text(1, opened(ID)).replace("\"format\":1", "\"format\":0");
    let bytes = linked(&[older, r#"{"seq":2,"fact":{"gone_since":{}}"#.to_owned()]);
    assert_eq!(parse(&bytes), Err(ReadFault::OtherFormat { format: 0 }));
    let (disk, path) = holding(&bytes);
    let refused = resume(&disk, &path, resumed).unwrap_err().to_string();
    snap().bind(|| insta::assert_snapshot!("journal_older_format", refused));
    assert_eq!(holding(&bytes).0.read(&path).unwrap(), disk.read(&path).unwrap(), "nothing in it is changed");
    let report = intact::intact(&disk, std::slice::from_ref(&path)).reports.remove(0);
    assert!(
        report.is_whole()
            && report.to_string().contains("2 lines; format 0 is older than this program reads")
    );
    let mut flipped = bytes.clone();
    flipped[bytes.len() - 100] ^= 1;
    let (disk, path) = holding(&flipped);
    let report = intact::intact(&disk, &[path]).reports.remove(0);
    assert!(!report.is_whole() && report.to_string().contains("line 2"), "{report}");
}

#[test]
fn what_is_appended_is_read_back_and_gone_on_with() {
    let (_folder, path) = place();
    let mut journal = Journal::create(RealStorage, &path).unwrap();
    let mut lines = journal.append(&first_drafts()).unwrap();
    lines.extend(journal.append(&[draft(3, remark("nut behind the busbar"))]).unwrap());
    assert_eq!((journal.lines(), journal.link().hex()), (3, lines[2].link.clone()));
    drop(journal);
    let record = read(&RealStorage, &path).unwrap();
    assert_eq!((&record.lines, record.end, &record.torn), (&lines, End::Open, &None));
    let (mut journal, again) = resume(&RealStorage, &path, resumed).unwrap();
    assert_eq!(again[..3], lines);
    journal.append(&[draft(5, remark("found and taken out"))]).unwrap();
    drop(journal);
    assert_eq!(read(&RealStorage, &path).unwrap().lines.len(), 5);
}
