//! The tools file of this machine: where it lies, what is read from it, and how it is replaced.
//!
//! A file that cannot be read is never written over, and neither is one that somebody changed since it was read: only
//! what was read here can be replaced, and only as a whole.

use super::Surroundings;
use crate::clock::Clock;
use crate::domain::toolbox::Toolbox;
use crate::journal::storage::{ensure_folder, folder_of, length, replace};
use crate::journal::{RealStorage, Storage, Trouble};
use crate::tools_file::{self, BYTES_MAX, HEAD, LoadError, LoadFault, ReadTools, Warning};
use jiff::civil::Date;
use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

/// Name of the tools file in the folder of settings.
pub const FILE: &str = "tools.ron";

/// Where the tools file lies: as named, else in the folder of settings; nothing where this user has none.
#[must_use]
pub fn place(around: &Surroundings, named: Option<&Path>) -> Option<PathBuf> {
    let path = match named {
        Some(named) => std::path::absolute(named).unwrap_or_else(|_| named.to_owned()),
        None => around.config()?.join(FILE),
    };
    // a link would be replaced by a file, and what it points at would grow old
    if path.is_symlink() { Some(std::fs::canonicalize(&path).unwrap_or(path)) } else { Some(path) }
}

/// The tools file of this machine; none is an empty toolbox.
///
/// # Errors
/// [`LoadError`] with the whole message; a command that stops at it ends with exit code 2.
pub fn load(around: &Surroundings, named: Option<&Path>) -> Result<ToolsOnDisk<RealStorage>, LoadError> {
    let Some(path) = place(around, named) else {
        let why = io::Error::other("this user has no home folder; name a file with --tools FILE");
        return Err(tools_file::fails(Path::new(FILE), LoadFault::Unreadable(why)));
    };
    ToolsOnDisk::open(RealStorage, &path, today())
}

/// Today on the wall.
#[must_use]
pub(super) fn today() -> Option<Date> {
    Clock::start().now().wall.day().parse().ok()
}

/// A tools file as it was read, ready to be replaced.
#[derive(Debug)]
pub struct ToolsOnDisk<S: Storage> {
    storage: S,
    path: PathBuf,
    /// Bytes of the file; nothing where there is none.
    found: Option<Vec<u8>>,
    /// What saves failed to make durable since: any of it may stand there.
    tried: Vec<Vec<u8>>,
    read: ReadTools,
}

/// Why a toolbox was not saved. The file is as it was, or holds the new tools without being durable.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SaveError {
    /// Somebody changed the file since it was read.
    Changed(PathBuf),
    /// The text would not give the same tools when read.
    NotTheSame(PathBuf),
    /// The file would be larger than it may be; its bytes.
    TooLarge(PathBuf, u64),
    /// The disk refused.
    Disk(PathBuf, Trouble),
}

impl fmt::Display for SaveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Changed(path) => write!(
                f,
                "{} was changed since it was read here; nothing was written. Read it again, then change it",
                path.display()
            ),
            Self::NotTheSame(path) => write!(
                f,
                "these tools cannot be written so that {} reads the same again; nothing was written. Look for a value \
                 with more than 9 digits, or more than 6 after the point",
                path.display()
            ),
            Self::TooLarge(path, bytes) => write!(
                f,
                "{} would be {bytes} bytes large; a tools file has at most {BYTES_MAX}. Begin another one",
                path.display()
            ),
            Self::Disk(path, why) => write!(f, "{} was not saved: {why}", path.display()),
        }
    }
}

impl std::error::Error for SaveError {}

impl<S: Storage> ToolsOnDisk<S> {
    /// Reads a tools file; none is an empty toolbox. Days after `today` are problems where it is given.
    ///
    /// # Errors
    /// [`LoadError`] with the whole message.
    pub fn open(storage: S, path: &Path, today: Option<Date>) -> Result<Self, LoadError> {
        let path = path.to_owned();
        let fails = |fault| tools_file::fails(&path, fault);
        let found = bytes(&storage, &path).map_err(fails)?;
        let read = match &found {
            None => ReadTools { head: HEAD.to_owned(), ..ReadTools::default() },
            Some(bytes) => tools_file::read(bytes, today).map_err(|problems| {
                let source = String::from_utf8_lossy(bytes).into_owned();
                fails(LoadFault::Wrong { source, problems })
            })?,
        };
        Ok(Self { storage, path, found, tried: Vec::new(), read })
    }

    /// The tools as they stand in the file.
    #[must_use]
    pub fn toolbox(&self) -> &Toolbox {
        &self.read.toolbox
    }

    /// What to know of the file, in file order; nothing any more once it was saved.
    #[must_use]
    pub fn warnings(&self) -> &[Warning] {
        &self.read.warnings
    }

    /// Where the file lies or will lie.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Whether the file is there.
    #[must_use]
    pub fn is_there(&self) -> bool {
        self.found.is_some()
    }

    /// Puts other tools in the place of those of the file. Only when this gives `Ok` are they durable.
    ///
    /// # Errors
    /// [`SaveError`]; the same can be tried again.
    pub fn save(&mut self, toolbox: Toolbox) -> Result<(), SaveError> {
        let text = tools_file::write(&toolbox, &self.read.head);
        if length(text.as_bytes()) > BYTES_MAX {
            return Err(SaveError::TooLarge(self.path.clone(), length(text.as_bytes())));
        }
        if !tools_file::read(text.as_bytes(), None).is_ok_and(|read| read.toolbox == toolbox) {
            return Err(SaveError::NotTheSame(self.path.clone()));
        }
        let refused = |why: io::Error| SaveError::Disk(self.path.clone(), why.into());
        let there = there(&self.storage, &self.path).map_err(refused)?;
        let ours = there == self.found || there.as_ref().is_some_and(|there| self.tried.contains(there));
        if !ours {
            return Err(SaveError::Changed(self.path.clone()));
        }
        let bytes = text.into_bytes();
        let done = ensure_folder(&self.storage, folder_of(&self.path))
            .and_then(|()| replace(&self.storage, &self.path, &bytes));
        match done {
            Ok(()) => {
                self.found = Some(bytes);
                self.tried.clear();
                self.read.toolbox = toolbox;
                self.read.warnings.clear();
                Ok(())
            }
            Err(why) => {
                if !self.tried.contains(&bytes) {
                    self.tried.push(bytes);
                }
                Err(SaveError::Disk(self.path.clone(), why.into()))
            }
        }
    }
}

/// Bytes of a file; nothing where there is none.
fn there<S: Storage>(storage: &S, path: &Path) -> io::Result<Option<Vec<u8>>> {
    match storage.read(path) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(why) if why.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(why) => Err(why),
    }
}

/// As [`there`], with the limits of a tools file.
fn bytes<S: Storage>(storage: &S, path: &Path) -> Result<Option<Vec<u8>>, LoadFault> {
    match storage.len(path) {
        Ok(bytes) if bytes > BYTES_MAX => return Err(LoadFault::TooLarge(bytes)),
        Ok(_) => {}
        Err(why) if why.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(why) => return Err(LoadFault::Unreadable(why)),
    }
    there(storage, path).map_err(|why| {
        let folder = why.kind() == io::ErrorKind::IsADirectory;
        if folder { LoadFault::Directory } else { LoadFault::Unreadable(why) }
    })
}
