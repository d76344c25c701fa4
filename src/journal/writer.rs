//! Appending to a record: durable, or not said.
//!
//! What is confirmed is kept in memory too, so that a vanished file can be written whole elsewhere. What is not
//! confirmed is kept as bytes, and the same bytes are written again: a changed answer is possible only after the
//! file was cut back.

use super::error::{StoreError, StoreFault, Trouble};
use super::line::{self, Link};
use super::read::{self, End};
use super::storage::{Storage, StoredFile as _, ensure_folder, folder_of, length};
use crate::domain::record::{Draft, Line};
use std::ffi::OsStr;
use std::io;
use std::path::{Path, PathBuf};

/// Bytes and lines that are not confirmed yet.
#[derive(Debug)]
struct Pending {
    bytes: Vec<u8>,
    lines: Vec<Line>,
    link: Link,
}

/// A record that is being written. It holds the record's lock until it is dropped.
#[derive(Debug)]
pub struct Journal<S: Storage> {
    storage: S,
    path: PathBuf,
    lock: Option<S::Lock>,
    /// Nothing after a failure, until the file was opened again by its path and found to be ours.
    file: Option<S::File>,
    confirmed: Vec<u8>,
    lines: u64,
    link: Link,
    end: End,
    pending: Option<Pending>,
}

/// What a resume hands to the writer: bytes that stand in the file, durable and checked.
pub(super) struct Standing {
    pub(super) bytes: Vec<u8>,
    pub(super) lines: u64,
    pub(super) link: Link,
}

impl<S: Storage> Journal<S> {
    /// Makes a new record, empty and durable, with every folder it needs, and takes its lock. Nothing is made over
    /// something: only an empty file that an interrupted run left behind is taken up.
    ///
    /// # Errors
    /// [`StoreError`]; the same call may be made again.
    pub fn create(storage: S, path: &Path) -> Result<Self, StoreError> {
        match Self::make(&storage, path, &[]) {
            Ok((file, lock)) => Ok(Self {
                storage,
                path: path.to_path_buf(),
                lock: Some(lock),
                file: Some(file),
                confirmed: Vec::new(),
                lines: 0,
                link: Link::ZERO,
                end: End::Open,
                pending: None,
            }),
            Err(fault) => Err(StoreError { path: path.to_path_buf(), fault, confirmed: 0 }),
        }
    }

    /// Takes up a record that stands.
    pub(super) fn standing(
        storage: S,
        path: &Path,
        lock: S::Lock,
        file: S::File,
        standing: Standing,
    ) -> Self {
        let Standing { bytes: confirmed, lines, link } = standing;
        Self {
            storage,
            path: path.to_path_buf(),
            lock: Some(lock),
            file: Some(file),
            confirmed,
            lines,
            link,
            end: End::Open,
            pending: None,
        }
    }

    /// Where the record is.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Number of confirmed lines.
    #[must_use]
    pub fn lines(&self) -> u64 {
        self.lines
    }

    /// Link of the last confirmed line; once closed, the closing link.
    #[must_use]
    pub fn link(&self) -> Link {
        self.link
    }

    /// Whether an answer waits to be recorded.
    #[must_use]
    pub fn is_pending(&self) -> bool {
        self.pending.is_some()
    }

    /// Records facts: all lines in one write, then synced, and only then given back.
    ///
    /// # Errors
    /// [`StoreError`]. After a fault of the disk the lines wait: [`Journal::retry`], [`Journal::save_elsewhere`] or
    /// [`Journal::give_up_pending`]. After any other fault nothing waits and nothing was written.
    pub fn append(&mut self, drafts: &[Draft]) -> Result<Vec<Line>, StoreError> {
        let pending = self.encoded(drafts).map_err(|fault| self.error(fault))?;
        if pending.lines.is_empty() {
            return Ok(Vec::new());
        }
        self.pending = Some(pending);
        self.write()
    }

    /// Writes the same bytes again, after the file was opened by its path, found to be this record, and cut to
    /// what was confirmed. Nothing to do is no error.
    ///
    /// # Errors
    /// [`StoreError`]; the lines still wait.
    pub fn retry(&mut self) -> Result<Vec<Line>, StoreError> {
        if self.pending.is_none() {
            return Ok(Vec::new());
        }
        self.reopen().map_err(|fault| self.error(fault))?;
        self.write()
    }

    /// Cuts the file to what was confirmed and forgets what waits; only then may another answer be given.
    ///
    /// # Errors
    /// [`StoreError`]; the lines still wait.
    pub fn give_up_pending(&mut self) -> Result<(), StoreError> {
        if self.pending.is_none() {
            return Ok(());
        }
        let cut = self.reopen().and_then(|()| self.sync());
        cut.map_err(|fault| self.error(fault))?;
        self.pending = None;
        Ok(())
    }

    /// Writes every confirmed line into another folder under the same file name, durable, and goes on there. What
    /// waits goes on waiting; the old file, if there is one, is left alone.
    ///
    /// # Errors
    /// [`StoreError`] about the new place; the record then is where it was.
    pub fn save_elsewhere(&mut self, folder: &Path) -> Result<PathBuf, StoreError> {
        let path = folder.join(self.path.file_name().unwrap_or(OsStr::new("record.jsonl")));
        let refused = |fault| StoreError { path: path.clone(), fault, confirmed: self.lines };
        if path == self.path {
            if self.storage.len(&path).is_ok() {
                return Err(refused(StoreFault::Disk(Trouble::Exists)));
            }
            // the lock lies in the folder that was lost
            self.lock = None;
        }
        let (file, lock) = Self::make(&self.storage, &path, &self.confirmed).map_err(refused)?;
        self.file = Some(file);
        self.lock = Some(lock);
        self.path.clone_from(&path);
        Ok(path)
    }

    /// A new file with its folders, its contents and its lock, all durable.
    fn make(storage: &S, path: &Path, contents: &[u8]) -> Result<(S::File, S::Lock), StoreFault> {
        let folder = folder_of(path);
        ensure_folder(storage, folder)?;
        let lock = storage.lock(path)?;
        let mut file = match storage.create_new(path) {
            Err(why) if why.kind() == io::ErrorKind::AlreadyExists => {
                let mut file = storage.open(path)?;
                if !file.read()?.is_empty() {
                    return Err(StoreFault::Disk(Trouble::Exists));
                }
                file
            }
            made => made?,
        };
        let written = file
            .write_at(0, contents)
            .and_then(|()| file.sync_data())
            .and_then(|()| storage.sync_folder(folder));
        if let Err(why) = written {
            drop(file);
            // best effort: a try in the same place wants it empty or gone
            let _left_behind = storage.remove(path);
            return Err(why.into());
        }
        Ok((file, lock))
    }

    fn encoded(&self, drafts: &[Draft]) -> Result<Pending, StoreFault> {
        if self.pending.is_some() {
            return Err(StoreFault::Pending);
        }
        let mut pending = Pending { bytes: Vec::new(), lines: Vec::new(), link: self.link };
        let mut end = self.end;
        for (expected, draft) in (self.lines.saturating_add(1)..).zip(drafts) {
            if end != End::Open {
                return Err(StoreFault::Finished);
            }
            if draft.seq.0 != expected {
                return Err(StoreFault::OutOfTurn { found: draft.seq.0, expected });
            }
            let (bytes, line, its_link) = line::encode(draft, &pending.link).map_err(StoreFault::Line)?;
            end = read::end_after(&line.fact);
            pending.bytes.extend_from_slice(&bytes);
            pending.lines.push(line);
            pending.link = its_link;
        }
        Ok(pending)
    }

    /// Writes and syncs what waits, and confirms it.
    fn write(&mut self) -> Result<Vec<Line>, StoreError> {
        let Some(pending) = self.pending.take() else { return Ok(Vec::new()) };
        if let Err(fault) = self.put(&pending.bytes) {
            self.pending = Some(pending);
            // whatever is in the file now is looked at through its path, not through a handle that failed
            self.file = None;
            return Err(self.error(fault));
        }
        self.confirmed.extend_from_slice(&pending.bytes);
        self.lines = self.lines.saturating_add(length_of(&pending.lines));
        self.link = pending.link;
        self.end = pending.lines.last().map_or(End::Open, |line| read::end_after(&line.fact));
        Ok(pending.lines)
    }

    fn put(&mut self, bytes: &[u8]) -> Result<(), StoreFault> {
        let at = length(&self.confirmed);
        // another machine on a shared disk knows nothing of the lock: its lines are not written over
        self.stands_at(at)?;
        let file = self.file.as_mut().ok_or(StoreFault::Disk(Trouble::Vanished))?;
        file.write_at(at, bytes)?;
        self.sync()?;
        self.stands_at(at.saturating_add(length(bytes)))
    }

    /// Whether the file of our path has a length. A handle goes on writing into a file that was taken away or
    /// replaced, so the path is asked.
    fn stands_at(&self, expected: u64) -> Result<(), StoreFault> {
        if self.storage.len(&self.path)? == expected {
            return Ok(());
        }
        self.compare(&self.storage.read(&self.path)?)?;
        Err(self.next_line_changed())
    }

    fn next_line_changed(&self) -> StoreFault {
        StoreFault::Changed { line: self.lines.saturating_add(1) }
    }

    fn sync(&mut self) -> Result<(), StoreFault> {
        let file = self.file.as_mut().ok_or(StoreFault::Disk(Trouble::Vanished))?;
        Ok(file.sync_data()?)
    }

    /// Opens the file by its path, makes sure that it is this record, and cuts it to what was confirmed. Confirmed
    /// lines that the disk lost at its end are written again.
    fn reopen(&mut self) -> Result<(), StoreFault> {
        self.file = None;
        // the lock may lie in a folder that is gone: it is taken anew by its path, like the file
        self.lock = None;
        self.lock = Some(self.storage.lock(&self.path)?);
        let mut file = match self.storage.open(&self.path) {
            Err(why) if why.kind() == io::ErrorKind::NotFound && self.confirmed.is_empty() => {
                self.storage.create_new(&self.path)?
            }
            opened => opened?,
        };
        let found = file.read()?;
        let keep = self.compare(&found)?;
        file.set_len(length(keep))?;
        if let Some(lost) = self.confirmed.strip_prefix(keep) {
            file.write_at(length(keep), lost)?;
        }
        self.storage.sync_folder(folder_of(&self.path))?;
        self.file = Some(file);
        Ok(())
    }

    /// The part of the file that is confirmed, all of it or, where the disk lost its end, less.
    fn compare<'a>(&self, found: &'a [u8]) -> Result<&'a [u8], StoreFault> {
        let first = first_line(&self.confirmed);
        // with nothing confirmed yet, all that may stand there is the beginning of what waits
        let ours = self.pending.as_ref().is_some_and(|pending| pending.bytes.starts_with(found));
        if !found.starts_with(first) || (first.is_empty() && !ours) {
            return Err(StoreFault::Replaced);
        }
        let same = found.iter().zip(&self.confirmed).take_while(|(a, b)| a == b).count();
        let (keep, beyond) = found.split_at_checked(same).unwrap_or((found, &[]));
        if same < found.len().min(self.confirmed.len()) {
            let line = keep.split(|byte| *byte == b'\n').count();
            return Err(StoreFault::Changed { line: length_of_usize(line) });
        }
        let waiting = self.pending.as_ref().map_or(&[][..], |pending| &pending.bytes);
        if found.len() > same && self.is_foreign(beyond, waiting) {
            return Err(self.next_line_changed());
        }
        Ok(keep)
    }

    /// Whether what stands behind the confirmed lines is a whole line that goes on from them and is not ours. It
    /// is never cut off; anything else there is what a failed write left.
    fn is_foreign(&self, beyond: &[u8], waiting: &[u8]) -> bool {
        let next = first_line(beyond);
        let whole = next.strip_suffix(b"\n").unwrap_or(next);
        line::check(whole, &self.link).is_ok() && !waiting.starts_with(whole)
    }

    fn error(&self, fault: StoreFault) -> StoreError {
        StoreError { path: self.path.clone(), fault, confirmed: self.lines }
    }
}

fn first_line(bytes: &[u8]) -> &[u8] {
    bytes.split_inclusive(|byte| *byte == b'\n').next().unwrap_or_default()
}

fn length_of(lines: &[Line]) -> u64 {
    length_of_usize(lines.len())
}

fn length_of_usize(count: usize) -> u64 {
    u64::try_from(count).unwrap_or(u64::MAX)
}
