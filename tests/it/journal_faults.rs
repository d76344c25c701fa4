//! A walk over a disk that fails by a seed: nothing confirmed is ever lost, nothing is doubled.

use crate::facts::{Dice, count, draft, opened, remark, session};
use crate::faulty::{Broken, Faulty};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use witnessmark::domain::record::{Draft, Fact, Line, SessionCause, Torn};
use witnessmark::journal::{End, Journal, ResumeError, StoreError, StoreFault, Trouble, read, resume};

macro_rules! must {
    ($holds:expr, $($words:tt)*) => {
        if !$holds {
            return Err(format!($($words)*));
        }
    };
}

/// What a person at the board knows, and does.
struct Walk {
    disk: Faulty,
    dice: Dice,
    path: PathBuf,
    journal: Option<Journal<Faulty>>,
    /// Lines that were said to be recorded.
    confirmed: Vec<Line>,
    /// What was asked to be recorded and neither was said to be nor given up.
    waiting: Vec<Draft>,
    answers: u64,
    folders: u64,
    /// How often each thing happened, so that the test can show that it was met.
    met: Met,
}

#[derive(Debug, Default)]
struct Met {
    failed: u32,
    retried: u32,
    given_up: u32,
    elsewhere: u32,
    crashes: u32,
    resumed: u32,
    torn: u32,
    unconfirmed_found: u32,
}

const ID: &str = "aaaa2222";

impl Walk {
    fn new(seed: u64, broken: Broken) -> Self {
        Self {
            disk: Faulty::new(seed, broken),
            dice: Dice(!seed),
            path: PathBuf::new(),
            journal: None,
            confirmed: Vec::new(),
            waiting: Vec::new(),
            answers: 0,
            folders: 0,
            met: Met::default(),
        }
    }

    fn walk(&mut self, steps: u32) -> Result<(), String> {
        for _ in 0..steps {
            if self.disk.crashed() {
                self.journal = None;
                self.disk.power_cut(false);
                self.met.crashes += 1;
            }
            if self.journal.is_none() {
                self.begin()?;
            } else {
                self.answer()?;
            }
        }
        Ok(())
    }

    /// Starts the program.
    fn begin(&mut self) -> Result<(), String> {
        if self.confirmed.is_empty() && read(&self.disk, &self.path).is_err() {
            // nothing was ever said to be recorded: another visit, as a person would open one
            self.folders += 1;
            let base = if self.folders.is_multiple_of(2) { "/r" } else { "/r/rehearsals" };
            let number = self.folders;
            self.path = PathBuf::from(format!("{base}/site=x/board=y/2026-11-25-first-a{number:07}.jsonl"));
            self.waiting.clear();
            self.journal = Journal::create(self.disk.clone(), &self.path).ok();
            return Ok(());
        }
        let mut torn_seen = false;
        let go_on = |lines: &[Line], torn: Option<Torn>| {
            torn_seen = torn.is_some();
            let next = count(lines.len()) + 1;
            draft(next, session(SessionCause::Resumed, torn))
        };
        match resume(&self.disk, &self.path, go_on) {
            Ok((journal, lines)) => {
                self.met.resumed += 1;
                self.met.torn += u32::from(torn_seen);
                self.found(&lines)?;
                must!(journal.lines() == count(lines.len()), "the journal counts {}", journal.lines());
                self.confirmed = lines;
                self.waiting.clear();
                self.journal = Some(journal);
                Ok(())
            }
            Err(ResumeError::Store(StoreError { fault: StoreFault::Disk(_), .. })) => Ok(()),
            Err(other) => Err(format!("resume refused: {other}")),
        }
    }

    /// Whether lines are those confirmed, then some of those waiting in their order, then sessions.
    fn found(&mut self, lines: &[Line]) -> Result<(), String> {
        must!(lines.starts_with(&self.confirmed), "a confirmed line is lost: {} found", lines.len());
        let extra: Vec<&Fact> = lines[self.confirmed.len()..].iter().map(|line| &line.fact).collect();
        let unconfirmed = extra.iter().zip(&self.waiting).take_while(|(a, b)| **a == &b.fact).count();
        self.met.unconfirmed_found += u32::from(unconfirmed > 0);
        let sessions = extra[unconfirmed..].iter().all(|fact| matches!(fact, Fact::Session(_)));
        must!(sessions, "something came back that nobody waits for: {extra:?}");
        Ok(())
    }

    fn answer(&mut self) -> Result<(), String> {
        let mut journal = self.journal.take().unwrap();
        let done = if journal.is_pending() { self.mend(&mut journal)? } else { self.say(&mut journal)? };
        if done {
            self.journal = Some(journal);
        }
        Ok(())
    }

    /// The next answer, of one to three lines.
    fn say(&mut self, journal: &mut Journal<Faulty>) -> Result<bool, String> {
        let next = journal.lines() + 1;
        let mut facts = Vec::new();
        if next == 1 {
            facts = vec![opened(ID), session(SessionCause::Opened, None)];
        }
        for _ in 0..=self.dice.below(3) {
            self.answers += 1;
            facts.push(remark(&format!("answer {}", self.answers)));
        }
        self.waiting = (next..).zip(facts).map(|(seq, fact)| draft(seq, fact)).collect();
        match journal.append(&self.waiting.clone()) {
            Ok(lines) => self.confirm(lines)?,
            Err(error) => {
                self.met.failed += 1;
                must!(error.confirmed == count(self.confirmed.len()), "miscounted: {error}");
                must!(journal.is_pending(), "nothing waits after: {error}");
            }
        }
        Ok(self.dice.below(12) != 0)
    }

    /// What a person does while an answer waits. False = leaves, or is killed.
    fn mend(&mut self, journal: &mut Journal<Faulty>) -> Result<bool, String> {
        match self.dice.below(10) {
            0..5 => {
                if let Ok(lines) = journal.retry() {
                    self.met.retried += 1;
                    self.confirm(lines)?;
                }
            }
            5 | 6 => {
                if journal.give_up_pending().is_ok() {
                    self.met.given_up += 1;
                    self.waiting.clear();
                }
            }
            7 | 8 => {
                self.folders += 1;
                let folder = PathBuf::from(format!("/r/elsewhere {}/deeper", self.folders));
                if let Ok(path) = journal.save_elsewhere(&folder) {
                    self.met.elsewhere += 1;
                    must!(path == journal.path(), "it is said to be at {}", path.display());
                    self.path = path;
                }
            }
            _ => return Ok(false),
        }
        Ok(true)
    }

    fn confirm(&mut self, lines: Vec<Line>) -> Result<(), String> {
        let facts = lines.iter().map(|line| &line.fact);
        must!(facts.eq(self.waiting.iter().map(|draft| &draft.fact)), "not what was asked: {lines:?}");
        self.confirmed.extend(lines);
        self.waiting.clear();
        Ok(())
    }

    /// Everything unsynced is lost, the disk is mended, and the visit resumed.
    fn end(&mut self) -> Result<(), String> {
        self.journal = None;
        self.disk.power_cut(true);
        self.disk.0.borrow_mut().broken.one_in = 0;
        if self.confirmed.is_empty() {
            return Ok(());
        }
        self.begin()?;
        must!(self.journal.is_some(), "the visit could not be resumed");
        let record = read(&self.disk, &self.path).map_err(|error| error.to_string())?;
        must!(record.lines == self.confirmed && record.end == End::Open, "read back differently");
        let mut said = BTreeSet::new();
        for line in &record.lines {
            if let Fact::Remark(remark) = &line.fact {
                must!(said.insert(&remark.text), "doubled: {}", remark.text);
            }
        }
        Ok(())
    }
}

fn run(seed: u64, broken: Broken) -> Result<(Met, usize), String> {
    let mut walk = Walk::new(seed, broken);
    walk.walk(60)?;
    walk.end()?;
    Ok((walk.met, walk.confirmed.len()))
}

#[test]
fn whatever_the_disk_does_nothing_confirmed_is_lost_and_nothing_is_doubled() {
    let mut total = Met::default();
    let mut lines = 0;
    for seed in 0..320 {
        let broken = Broken { one_in: 6 + seed % 40, crashes: seed % 4 != 0, ..Broken::default() };
        let (met, confirmed) = run(seed, broken).unwrap_or_else(|why| panic!("seed {seed}: {why}"));
        lines += confirmed;
        total.failed += met.failed;
        total.retried += met.retried;
        total.given_up += met.given_up;
        total.elsewhere += met.elsewhere;
        total.crashes += met.crashes;
        total.resumed += met.resumed;
        total.torn += met.torn;
        total.unconfirmed_found += met.unconfirmed_found;
    }
    // the schedule means nothing unless all of this happened
    let Met { failed, retried, given_up, elsewhere, crashes, resumed, torn, unconfirmed_found } = total;
    let all = [failed, retried, given_up, elsewhere, crashes, resumed, torn, unconfirmed_found];
    assert!(lines > 5_000 && all.iter().all(|times| *times > 30), "{lines} lines, {total:?}");
}

/// The test above can fail: it does, on a disk whose sync does nothing.
#[test]
fn a_sync_that_does_nothing_is_found_out() {
    for seed in 0..20 {
        let files = Broken { sync_does_nothing: true, ..Broken::default() };
        let lost = run(seed, files).unwrap_err();
        assert!(
            lost.contains("not a visit") || lost.contains("confirmed line is lost"),
            "seed {seed}: {lost}"
        );
        let folders = Broken { folder_sync_does_nothing: true, ..Broken::default() };
        let lost = run(seed, folders).unwrap_err();
        assert!(lost.contains("not there"), "seed {seed}: {lost}");
    }
}

#[test]
fn a_full_disk_is_said_and_mended_and_an_answer_may_be_changed_only_after_the_cut() {
    let disk = Faulty::new(1, Broken::default());
    let path = Path::new("/r/site=x/board=y/a.jsonl");
    let mut journal = Journal::create(disk.clone(), path).unwrap();
    journal.append(&[draft(1, opened(ID))]).unwrap();
    disk.0.borrow_mut().broken.always = Some(std::io::ErrorKind::StorageFull);
    let error = journal.append(&[draft(2, remark("firm"))]).unwrap_err();
    assert_eq!((&error.fault, error.confirmed), (&StoreFault::Disk(Trouble::DiskFull), 1));
    let error = journal.append(&[draft(2, remark("shifted"))]).unwrap_err();
    assert_eq!(error.fault, StoreFault::Pending);
    assert!(journal.retry().is_err() && journal.give_up_pending().is_err() && journal.is_pending());
    disk.0.borrow_mut().broken.always = None;
    journal.give_up_pending().unwrap();
    journal.append(&[draft(2, remark("shifted"))]).unwrap();
    assert_eq!(read(&disk, path).unwrap().lines[1].fact, remark("shifted"));
}
