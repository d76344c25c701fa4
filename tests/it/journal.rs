//! The record on the disk: real files, a faulty disk, damage, torn tails, locks.

use crate::facts::{draft, opened, remark, session};
use std::path::PathBuf;
use tempfile::TempDir;
use witnessmark::domain::record::{Draft, Line, SessionCause, Torn};
use witnessmark::journal::{End, Journal, RealStorage, read, resume};

fn first_drafts() -> Vec<Draft> {
    vec![draft(1, opened("aaaa2222")), draft(2, session(SessionCause::Opened, None))]
}

fn resumed(lines: &[Line], torn: Option<Torn>) -> Draft {
    let next = u64::try_from(lines.len()).unwrap() + 1;
    draft(next, session(SessionCause::Resumed, torn))
}

fn place() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("site=x/board=y/2026-11-25-first-aaaa2222.jsonl");
    (folder, path)
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
