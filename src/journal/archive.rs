//! The records that lie in the records folder: which visits are open, which was closed last, which tools were in
//! hand.
//!
//! Folders are a convenience: what a record is about is read from its line 1, wherever it lies. A file that cannot
//! be read is named and never stops the scan. Rehearsals never count unless they are asked for.

use super::error::{ReadError, ReadFault};
use super::names::{self, EXTENSION, REHEARSALS};
use super::read::{End, Record, read};
use super::storage::Storage;
use crate::domain::board::Board;
use crate::domain::moment::Moment;
use crate::domain::record::{Fact, Outcome, Pace, VisitKind};
use crate::domain::tool::Tool;
use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

/// Folders below the records that are looked into: `rehearsals/site=…/board=…`, and one to spare.
const DEPTH_MAX: usize = 4;

/// One record, in short.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Where it lies.
    pub path: PathBuf,
    /// Its id.
    pub id: String,
    /// Site of its board.
    pub site: String,
    /// Reference of its board.
    pub board: String,
    /// Kind of visit.
    pub kind: VisitKind,
    /// Practice only.
    pub rehearsal: bool,
    /// When it was opened.
    pub opened: Moment,
    /// How it ends.
    pub end: End,
    /// Where its terminals stood when it was closed, in board order; of one that is not closed, nothing.
    pub outcomes: Vec<Outcome>,
    /// How fast it went; of one that is not closed, nothing.
    pub pace: Option<Pace>,
    /// Whole lines.
    pub lines: u64,
    /// Link of the last line; of a closed record, the closing link.
    pub link: String,
    /// Tools as last stated in it, each letter once, in the order in which they came.
    pub tools: Vec<Tool>,
    /// Operations of each tool on each day: by serial number, then by day, `2026-03-02`.
    pub operations: Operations,
}

/// Operations of tools: by serial number, then by day, `2026-03-02`.
pub type Operations = BTreeMap<String, BTreeMap<String, u64>>;

/// What the records folder holds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Archive {
    /// Every record that can be read, the latest opened last.
    pub entries: Vec<Entry>,
    /// Every file that looks like one and cannot be read.
    pub unreadable: Vec<ReadError>,
}

/// Looks through the records folder. A folder that is not there holds nothing.
///
/// # Errors
/// Where the records folder itself cannot be listed.
pub fn scan<S: Storage>(storage: &S, records: &Path, rehearsals: bool) -> Result<Archive, ReadError> {
    let mut archive = Archive::default();
    let mut folders = vec![(records.to_path_buf(), 0_usize)];
    while let Some((folder, depth)) = folders.pop() {
        let listed = match storage.list(&folder) {
            Ok(listed) => listed,
            Err(why) if depth == 0 && why.kind() == io::ErrorKind::NotFound => return Ok(archive),
            Err(why) => {
                let error = ReadError::new(&folder, ReadFault::Disk(why.into()));
                if depth == 0 {
                    return Err(error);
                }
                archive.unreadable.push(error);
                continue;
            }
        };
        for found in listed {
            let passed_over = depth == 0 && !rehearsals && found.path.ends_with(REHEARSALS);
            if found.folder && depth < DEPTH_MAX && !passed_over {
                folders.push((found.path, depth.saturating_add(1)));
            } else if !found.folder && found.path.extension().is_some_and(|ending| ending == EXTENSION) {
                archive.take_up(storage, &found.path, rehearsals);
            }
        }
    }
    archive.entries.sort_by(|a, b| (a.opened.at, &a.path).cmp(&(b.opened.at, &b.path)));
    archive.unreadable.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(archive)
}

impl Archive {
    fn take_up<S: Storage>(&mut self, storage: &S, path: &Path, rehearsals: bool) {
        match read(storage, path) {
            Ok(record) => {
                let entry = entry(path, &record).filter(|entry| rehearsals || !entry.rehearsal);
                self.entries.extend(entry);
            }
            Err(error) => self.unreadable.push(error),
        }
    }

    /// Records of a board, the latest opened last.
    #[must_use]
    pub fn of<'a>(&'a self, board: &'a Board) -> impl DoubleEndedIterator<Item = &'a Entry> {
        self.entries.iter().filter(|entry| entry.board == board.reference && entry.site == board.site)
    }

    /// Visits of a kind that were left open on a board; there should be at most one.
    pub fn open_visits<'a>(&'a self, board: &'a Board, kind: VisitKind) -> impl Iterator<Item = &'a Entry> {
        self.of(board).filter(move |entry| entry.kind == kind && entry.end == End::Open)
    }

    /// Files that cannot be read in the folder of a board: one of them may be its open visit.
    pub fn unreadable_of(
        &self,
        records: &Path,
        board: &Board,
        rehearsal: bool,
    ) -> impl Iterator<Item = &ReadError> {
        let folder = names::board_folder(records, board, rehearsal);
        self.unreadable.iter().filter(move |error| error.path.starts_with(&folder))
    }

    /// Operations over all records but one, named by its id.
    #[must_use]
    pub fn operations_besides(&self, id: &str) -> Operations {
        let mut all = Operations::new();
        for (serial, days) in self.entries.iter().filter(|entry| entry.id != id).flat_map(|e| &e.operations) {
            for (day, count) in days {
                add(all.entry(serial.clone()).or_default().entry(day.clone()).or_default(), *count);
            }
        }
        all
    }

    /// The closed visit of a board that was opened last.
    #[must_use]
    pub fn last_closed_of<'a>(&'a self, board: &'a Board) -> Option<&'a Entry> {
        self.of(board).rfind(|entry| entry.end == End::Closed)
    }

    /// The closed visit of any board that was opened last.
    #[must_use]
    pub fn last_closed(&self) -> Option<&Entry> {
        self.entries.iter().rfind(|entry| entry.end == End::Closed)
    }

    /// Tools of the last visit that had any, on whatever board.
    #[must_use]
    pub fn last_tools(&self) -> &[Tool] {
        let last = self.entries.iter().rfind(|entry| !entry.tools.is_empty());
        last.map_or(&[], |entry| &entry.tools)
    }
}

fn entry(path: &Path, record: &Record) -> Option<Entry> {
    let first = record.lines.first()?;
    let opened = record.opened()?;
    Some(Entry {
        path: path.to_path_buf(),
        id: opened.id.clone(),
        site: opened.board.site.clone(),
        board: opened.board.reference.clone(),
        kind: opened.visit,
        rehearsal: opened.rehearsal,
        opened: first.time,
        end: record.end,
        outcomes: outcomes(record),
        pace: pace(record),
        lines: u64::try_from(record.lines.len()).unwrap_or(u64::MAX),
        link: record.link.hex(),
        tools: tools(record),
        operations: operations(record),
    })
}

fn outcomes(record: &Record) -> Vec<Outcome> {
    match record.lines.last().map(|line| &line.fact) {
        Some(Fact::Closed(closed)) => closed.outcomes.iter().map(|terminal| terminal.outcome).collect(),
        _ => Vec::new(),
    }
}

fn pace(record: &Record) -> Option<Pace> {
    match &record.lines.last()?.fact {
        Fact::Closed(closed) => Some(closed.pace),
        _ => None,
    }
}

fn operations(record: &Record) -> Operations {
    let mut found = Operations::new();
    for line in &record.lines {
        let used = if let Fact::Torqued(torqued) = &line.fact {
            torqued.serial.as_ref().map(|serial| (serial, torqued.operations()))
        } else if let Fact::Movement(movement) = &line.fact {
            Some((&movement.serial, 1))
        } else {
            None
        };
        if let Some((serial, more)) = used {
            add(found.entry(serial.clone()).or_default().entry(line.time.day()).or_default(), more);
        }
    }
    found
}

fn add(count: &mut u64, more: u64) {
    *count = count.saturating_add(more);
}

fn tools(record: &Record) -> Vec<Tool> {
    let mut tools: Vec<Tool> = Vec::new();
    for line in &record.lines {
        if let Some(stated) = stated(&line.fact) {
            match tools.iter_mut().find(|tool| tool.id == stated.id) {
                Some(tool) => tool.clone_from(stated),
                None => tools.push(stated.clone()),
            }
        }
    }
    tools
}

/// The tool a fact states, also where an earlier statement is put right.
fn stated(fact: &Fact) -> Option<&Tool> {
    #[allow(clippy::wildcard_enum_match_arm, reason = "two facts state a tool, whatever facts are added")]
    match fact {
        Fact::Tool(tool) => Some(tool),
        Fact::Corrected(corrected) => stated(&corrected.fact),
        _ => None,
    }
}
