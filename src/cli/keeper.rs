//! The journal behind the desk: what is confirmed is durable, what fails is told in trade words and kept.

use super::place;
use super::places::typed_folder;
use crate::domain::record::{Draft, Fact, Line};
use crate::journal::{Journal, RealStorage, StoreError, names};
use crate::session::desk::{Recorder, StoreTrouble};
use std::path::{Path, PathBuf};

/// Keeps a visit in a file. A new record is made with its first lines, so that who only looks leaves nothing.
#[derive(Debug)]
pub(super) struct Keeper {
    path: PathBuf,
    journal: Option<Journal<RealStorage>>,
    /// Records folder of a visit whose board is entered at the place: where it lies is known with its first line.
    of_place: Option<PathBuf>,
    /// What is not confirmed yet; the journal may never have had it.
    waiting: Vec<Draft>,
}

impl Keeper {
    /// For a record that is not there yet.
    pub(super) fn new(path: PathBuf) -> Self {
        Self { path, journal: None, of_place: None, waiting: Vec::new() }
    }

    /// For a record that is not there yet, of a board that is still to be entered; the file has that name.
    pub(super) fn of_place(records: PathBuf, name: &str) -> Self {
        Self { of_place: Some(records), ..Self::new(PathBuf::from(name)) }
    }

    /// For a record that is gone on with.
    pub(super) fn resumed(journal: Journal<RealStorage>) -> Self {
        Self {
            path: journal.path().to_path_buf(),
            journal: Some(journal),
            of_place: None,
            waiting: Vec::new(),
        }
    }

    /// Where the record lies or will lie.
    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    fn store(&mut self) -> Result<Vec<Line>, StoreError> {
        if self.waiting.is_empty() {
            return Ok(Vec::new());
        }
        let mut entered = None;
        if let (Some(records), Some(Fact::Opened(opened))) =
            (&self.of_place, self.waiting.first().map(|draft| &draft.fact))
        {
            let name = self.path.file_name().unwrap_or_default().to_owned();
            self.path = names::board_folder(records, &opened.board, false).join(name);
            self.of_place = None;
            entered = Some(opened.clone());
        }
        let journal = match self.journal.take() {
            Some(journal) => journal,
            None => Journal::create(RealStorage, &self.path)?,
        };
        let journal = self.journal.insert(journal);
        let lines = if journal.is_pending() { journal.retry() } else { journal.append(&self.waiting) }?;
        if let Some(opened) = entered {
            // the record is what counts; where the file cannot be written now it is told when the person leaves
            let _told_at_leaving = place::keep_board(&self.path, &opened);
        }
        self.waiting.clear();
        Ok(lines)
    }

    fn move_to(&mut self, folder: &Path) -> Result<Vec<Line>, StoreError> {
        if let Some(journal) = self.journal.as_mut() {
            self.path = journal.save_elsewhere(folder)?;
            return self.store();
        }
        let name = self.path.file_name().unwrap_or_default().to_owned();
        let before = std::mem::replace(&mut self.path, folder.join(name));
        let stored = self.store();
        if self.journal.is_none() {
            self.path = before;
        }
        stored
    }
}

fn told(error: &StoreError) -> StoreTrouble {
    StoreTrouble(error.to_string())
}

impl Recorder for Keeper {
    fn append(&mut self, drafts: Vec<Draft>) -> Result<Vec<Line>, StoreTrouble> {
        self.waiting = drafts;
        self.store().map_err(|error| told(&error))
    }

    fn retry(&mut self) -> Result<Vec<Line>, StoreTrouble> {
        self.store().map_err(|error| told(&error))
    }

    fn give_up(&mut self) -> Result<(), StoreTrouble> {
        if let Some(journal) = self.journal.as_mut() {
            journal.give_up_pending().map_err(|error| told(&error))?;
        }
        self.waiting.clear();
        Ok(())
    }

    fn save_elsewhere(&mut self, folder: &str) -> Result<Vec<Line>, StoreTrouble> {
        self.move_to(&typed_folder(folder)).map_err(|error| told(&error))
    }

    fn lies_at(&self) -> Option<String> {
        self.journal.as_ref().map(|journal| journal.path().display().to_string())
    }
}
