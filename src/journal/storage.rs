//! What the journal needs of a disk, and the real one.
//!
//! The trait is as small as the job allows, so that the tests can put a faulty disk in its place. Habits that keep
//! it portable: a file is cut through a read-and-write handle, a folder is synced on Unix only, and the lock is a
//! file of its own.

use super::lock::{FileLock, LockFault};
use std::fs::{self, File, OpenOptions};
use std::io::{self, Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};

/// Most bytes a record may have, 256 MiB; more is refused unread. Our choice: a thousand times a large board's.
pub const RECORD_BYTES_MAX: u64 = 256 * 1024 * 1024;

/// How many levels of an existing folder are synced again before a record is made in it: those this program may
/// have made in a run that was interrupted (`rehearsals`, `site=…`, `board=…`) and the one above.
const LEVELS_OF_OURS: usize = 4;

/// Of those, the two (`board=…`, `site=…`) that lie in folders which are always ours to sync.
const LEVELS_CERTAINLY_OURS: usize = 2;

/// Something found in a folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed {
    /// Where it is.
    pub path: PathBuf,
    /// Whether it is a folder.
    pub folder: bool,
}

/// A disk. Errors are the operating system's; [`super::Trouble`] puts them into trade words.
#[allow(clippy::missing_errors_doc, reason = "every method fails exactly where the operating system refuses")]
pub trait Storage: Clone {
    /// An open file.
    type File: StoredFile;
    /// A lock that is held until it is dropped.
    type Lock;

    /// Makes a file to read and write; refused where anything of that name exists.
    fn create_new(&self, path: &Path) -> io::Result<Self::File>;
    /// Opens an existing file to read and write.
    fn open(&self, path: &Path) -> io::Result<Self::File>;
    /// Length of a file in bytes, asked by its path.
    fn len(&self, path: &Path) -> io::Result<u64>;
    /// Reads a whole file of at most [`RECORD_BYTES_MAX`].
    fn read(&self, path: &Path) -> io::Result<Vec<u8>>;
    /// Puts a file in the place of another, in one step.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// Takes a file away.
    fn remove(&self, path: &Path) -> io::Result<()>;
    /// Makes one folder in an existing one.
    fn create_folder(&self, folder: &Path) -> io::Result<()>;
    /// What stands in a folder, by name.
    fn list(&self, folder: &Path) -> io::Result<Vec<Listed>>;
    /// Makes the entries of a folder durable.
    fn sync_folder(&self, folder: &Path) -> io::Result<()>;
    /// Takes the lock of a record; never waits.
    fn lock(&self, record: &Path) -> Result<Self::Lock, LockFault>;
}

/// An open file.
#[allow(clippy::missing_errors_doc, reason = "every method fails exactly where the operating system refuses")]
pub trait StoredFile {
    /// Everything in it.
    fn read(&mut self) -> io::Result<Vec<u8>>;
    /// Writes at a place counted in bytes from the beginning; on an error any part of it may have been written.
    fn write_at(&mut self, at: u64, bytes: &[u8]) -> io::Result<()>;
    /// Makes its contents and its length durable.
    fn sync_data(&mut self) -> io::Result<()>;
    /// Cuts it to a length in bytes.
    fn set_len(&mut self, len: u64) -> io::Result<()>;
}

/// The disk of this machine.
#[derive(Clone, Copy, Debug, Default)]
pub struct RealStorage;

impl Storage for RealStorage {
    type File = File;
    type Lock = FileLock;

    fn create_new(&self, path: &Path) -> io::Result<File> {
        OpenOptions::new().read(true).write(true).create_new(true).open(path)
    }

    fn open(&self, path: &Path) -> io::Result<File> {
        OpenOptions::new().read(true).write(true).open(path)
    }

    fn len(&self, path: &Path) -> io::Result<u64> {
        Ok(fs::metadata(path)?.len())
    }

    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        let about = fs::metadata(path)?;
        if about.is_dir() {
            return Err(io::ErrorKind::IsADirectory.into());
        }
        // a pipe or a device would block or never end
        if !about.is_file() {
            return Err(io::Error::new(io::ErrorKind::InvalidInput, "it is not a file"));
        }
        StoredFile::read(&mut File::open(path)?)
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }

    fn create_folder(&self, folder: &Path) -> io::Result<()> {
        fs::create_dir(folder)
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<Listed>> {
        let mut found = Vec::new();
        for entry in fs::read_dir(folder)? {
            let path = entry?.path();
            found.push(Listed { folder: path.is_dir(), path });
        }
        found.sort_by(|a, b| a.path.cmp(&b.path));
        Ok(found)
    }

    #[cfg(unix)]
    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        match File::open(folder)?.sync_all() {
            // some network and FUSE disks cannot sync a folder at all; they keep entries by other means
            Err(why) if matches!(why.kind(), io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported) => {
                Ok(())
            }
            done => done,
        }
    }

    #[cfg(not(unix))]
    fn sync_folder(&self, _folder: &Path) -> io::Result<()> {
        Ok(())
    }

    fn lock(&self, record: &Path) -> Result<FileLock, LockFault> {
        FileLock::take(record)
    }
}

impl StoredFile for File {
    fn read(&mut self) -> io::Result<Vec<u8>> {
        self.seek(SeekFrom::Start(0))?;
        let mut bytes = Vec::new();
        self.take(RECORD_BYTES_MAX.saturating_add(1)).read_to_end(&mut bytes)?;
        if length(&bytes) > RECORD_BYTES_MAX { Err(io::ErrorKind::FileTooLarge.into()) } else { Ok(bytes) }
    }

    fn write_at(&mut self, at: u64, bytes: &[u8]) -> io::Result<()> {
        self.seek(SeekFrom::Start(at))?;
        self.write_all(bytes)
    }

    fn sync_data(&mut self) -> io::Result<()> {
        File::sync_data(self)
    }

    fn set_len(&mut self, len: u64) -> io::Result<()> {
        File::set_len(self, len)
    }
}

/// The folder a path stands in; `.` for a bare name.
#[must_use]
pub fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// Length of something in memory, in the width in which files count.
#[must_use]
pub fn length(bytes: &[u8]) -> u64 {
    u64::try_from(bytes.len()).unwrap_or(u64::MAX)
}

/// Puts a whole file in the place of another, or where none was: written beside, made durable, then renamed. At every
/// moment the old contents or the new ones stand there, never a part.
///
/// # Errors
/// The operating system's. Where only the folder could not be synced, the new contents may stand there and yet be lost
/// with the power.
pub fn replace<S: Storage>(storage: &S, path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut aside = path.as_os_str().to_owned();
    aside.push(".new");
    let aside = PathBuf::from(aside);
    match storage.remove(&aside) {
        Err(why) if why.kind() != io::ErrorKind::NotFound => return Err(why),
        _ => {}
    }
    let written = storage.create_new(&aside).and_then(|mut file| {
        file.write_at(0, bytes)?;
        file.sync_data()
    });
    if let Err(why) = written.and_then(|()| storage.rename(&aside, path)) {
        let _left_behind = storage.remove(&aside);
        return Err(why);
    }
    storage.sync_folder(folder_of(path))
}

/// Makes a folder with all that is missing above it, and makes every new entry durable.
///
/// # Errors
/// The operating system's. What was made until then stays and is synced by the next try.
pub fn ensure_folder<S: Storage>(storage: &S, folder: &Path) -> io::Result<()> {
    let mut missing = Vec::new();
    let mut at = folder;
    while let Err(why) = storage.create_folder(at) {
        match (why.kind(), at.parent()) {
            (io::ErrorKind::AlreadyExists, _) => break,
            (io::ErrorKind::NotFound, Some(above)) if !above.as_os_str().is_empty() => {
                missing.push(at);
                at = above;
            }
            _ => return Err(why),
        }
    }
    let made = missing.len().saturating_add(1);
    while let Some(next) = missing.pop() {
        match storage.create_folder(next) {
            Err(why) if why.kind() != io::ErrorKind::AlreadyExists => return Err(why),
            _ => {}
        }
    }
    let above = folder.ancestors().filter(|at| at.parent().is_some());
    for (level, at) in above.enumerate().take(made.max(LEVELS_OF_OURS)) {
        match storage.sync_folder(folder_of(at)) {
            // far above, where nothing was made, the folder may be somebody else's; who may not read it now has
            // not made anything in it before
            Err(why)
                if level >= made.max(LEVELS_CERTAINLY_OURS)
                    && why.kind() == io::ErrorKind::PermissionDenied => {}
            Err(why) => return Err(why),
            Ok(()) => {}
        }
    }
    Ok(())
}
