//! What can go wrong with a record, as data, and what the person is told.
//!
//! Every message says where, what was found, what is safe and what to do. Deliberately absent: how it is shown.

use super::damage::Damage;
use super::line::LineFault;
use super::lock::LockFault;
use crate::domain::record::FORMAT;
use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

/// Why the disk refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// No room, or the user's share is used up.
    DiskFull,
    /// The disk can only be read.
    ReadOnly,
    /// This user may not.
    NoPermission,
    /// The file or a folder above it is not there.
    Vanished,
    /// Something of that name exists.
    Exists,
    /// A folder, not a file.
    Folder,
    /// Larger than any record.
    TooLarge,
    /// The operating system's own words.
    Other(String),
}

impl From<io::Error> for Trouble {
    fn from(why: io::Error) -> Self {
        #[allow(clippy::wildcard_enum_match_arm, reason = "the list is the standard library's and grows")]
        match why.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::DiskFull,
            io::ErrorKind::ReadOnlyFilesystem => Self::ReadOnly,
            io::ErrorKind::PermissionDenied => Self::NoPermission,
            io::ErrorKind::NotFound
            | io::ErrorKind::NotADirectory
            | io::ErrorKind::StaleNetworkFileHandle => Self::Vanished,
            io::ErrorKind::AlreadyExists => Self::Exists,
            io::ErrorKind::IsADirectory => Self::Folder,
            io::ErrorKind::FileTooLarge => Self::TooLarge,
            _ => Self::Other(why.to_string()),
        }
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::DiskFull => "the disk is full",
            Self::ReadOnly => "the disk can only be read, not written",
            Self::NoPermission => "this user has no permission there",
            Self::Vanished => "the file or its folder is not there",
            Self::Exists => "something of that name is already there",
            Self::Folder => "it is a folder, not a record",
            Self::TooLarge => "it is larger than any record",
            Self::Other(words) => words,
        })
    }
}

impl Trouble {
    fn mend(&self) -> &'static str {
        match self {
            Self::DiskFull => "make room on the disk, then try again",
            Self::ReadOnly => "make the disk writable, then try again",
            Self::NoPermission => "get permission to write there, then try again",
            Self::Vanished => "bring the folder back (is a stick or share unplugged?), then try again",
            Self::Exists | Self::Folder => "move away what is there, then try again",
            Self::TooLarge | Self::Other(_) => "try again",
        }
    }
}

/// Why something is not recorded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StoreFault {
    /// The disk refused.
    Disk(Trouble),
    /// Another program writes this record.
    Held {
        /// Who, where known.
        by: Option<String>,
    },
    /// Another record stands in the place of this one: its first line differs.
    Replaced,
    /// The file no longer holds what was confirmed, from this line on.
    Changed {
        /// First line that differs, from 1.
        line: u64,
    },
    /// An earlier answer still waits to be recorded.
    Pending,
    /// The record is closed or abandoned.
    Finished,
    /// The lines are not numbered on from the last one: a mistake of this program.
    OutOfTurn {
        /// Number it came with.
        found: u64,
        /// Number it should have.
        expected: u64,
    },
    /// The line cannot be written as it is.
    Line(LineFault),
}

impl From<LockFault> for StoreFault {
    fn from(fault: LockFault) -> Self {
        match fault {
            LockFault::Held { by } => Self::Held { by },
            LockFault::Io(why) => Self::Disk(why.into()),
        }
    }
}

impl From<io::Error> for StoreFault {
    fn from(why: io::Error) -> Self {
        Self::Disk(why.into())
    }
}

/// Something is not recorded. Everything confirmed before is safe: on the disk, or, where the file itself is gone,
/// in this program, which can save it elsewhere.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoreError {
    /// The record.
    pub path: PathBuf,
    /// Why.
    pub fault: StoreFault,
    /// Lines confirmed before.
    pub confirmed: u64,
}

impl StoreError {
    /// Whether what is on the disk can no longer be relied upon, so that only saving elsewhere keeps it whole.
    #[must_use]
    pub fn file_is_gone(&self) -> bool {
        matches!(
            self.fault,
            StoreFault::Disk(Trouble::Vanished) | StoreFault::Replaced | StoreFault::Changed { .. }
        )
    }

    fn reason(&self) -> String {
        match &self.fault {
            StoreFault::Disk(trouble) => trouble.to_string(),
            StoreFault::Held { by } => held(by.as_deref()),
            StoreFault::Replaced => "another file stands in its place: its first line differs".into(),
            StoreFault::Changed { line } => {
                format!("somebody changed the file: line {line} is not what was recorded")
            }
            StoreFault::Pending => "the answer before this one still waits to be recorded".into(),
            StoreFault::Finished => "the record is finished; a correction is a new visit".into(),
            StoreFault::OutOfTurn { found, expected } => {
                format!("line {found} came where line {expected} was due; this is a fault of the program")
            }
            StoreFault::Line(fault) => fault.to_string(),
        }
    }

    /// What mends it, by itself.
    fn mend(&self) -> &'static str {
        match &self.fault {
            StoreFault::Disk(trouble) => trouble.mend(),
            StoreFault::Held { .. } => "leave the other one, then try again",
            StoreFault::Replaced | StoreFault::Changed { .. } => "put the right file back, then try again",
            StoreFault::Pending => "try again, or give that answer up first",
            StoreFault::Finished => "open a new visit",
            StoreFault::OutOfTurn { .. } => "leave and resume the visit",
            StoreFault::Line(_) => "answer with less text",
        }
    }

    /// Whether writing the record into another folder helps.
    #[must_use]
    pub fn elsewhere_helps(&self) -> bool {
        match &self.fault {
            StoreFault::Disk(_) | StoreFault::Replaced | StoreFault::Changed { .. } | StoreFault::Pending => {
                true
            }
            StoreFault::Held { .. }
            | StoreFault::Finished
            | StoreFault::OutOfTurn { .. }
            | StoreFault::Line(_) => false,
        }
    }

    /// What became of the lines confirmed before.
    fn safe(&self) -> String {
        let lines = match self.confirmed {
            0 => return "Nothing was recorded before, so nothing is lost.".into(),
            1 => "The line recorded before is".to_owned(),
            number => format!("The {number} lines recorded before are"),
        };
        if self.file_is_gone() {
            format!(
                "{lines} whole in this program: do not leave it before the file is back or saved elsewhere."
            )
        } else {
            format!("{lines} safe.")
        }
    }
}

fn held(by: Option<&str>) -> String {
    let who = by.map_or(String::new(), |by| format!(" ({by})"));
    format!("another Witnessmark{who} is writing this record")
}

impl fmt::Display for StoreError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "not recorded: {}: {}", self.path.display(), self.reason())?;
        writeln!(f, "{}", self.safe())?;
        let or = match (self.elsewhere_helps(), self.confirmed) {
            (false, _) => "",
            (true, 0) => "; or keep the record in another folder",
            (true, _) => "; or save elsewhere",
        };
        write!(f, "help: {}{or}", self.mend())
    }
}

impl std::error::Error for StoreError {}

/// Why a record cannot be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ReadFault {
    /// The disk refused.
    Disk(Trouble),
    /// The first line is not whole, or does not open a visit.
    NotAVisit,
    /// Of a newer format, or of one from before the format was frozen: can be checked for damage, but neither resumed
    /// nor printed.
    OtherFormat {
        /// Its format.
        format: u64,
    },
    /// A line is damaged.
    Damaged(Damage),
}

/// A record cannot be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadError {
    /// The record.
    pub path: PathBuf,
    /// Why.
    pub fault: ReadFault,
}

impl ReadError {
    pub(super) fn new(path: &Path, fault: ReadFault) -> Self {
        Self { path: path.to_path_buf(), fault }
    }
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let path = self.path.display();
        match &self.fault {
            ReadFault::Disk(trouble) => write!(f, "{path} cannot be read: {trouble}"),
            ReadFault::NotAVisit => write!(
                f,
                "{path} is not a visit: its first line is not whole or does not open one\n\
                 help: give a record that this program wrote; if this was one, nothing had been recorded in it yet"
            ),
            ReadFault::OtherFormat { format } if *format < u64::from(FORMAT) => write!(
                f,
                "{path} was written by a version from before the format of records was settled: its format is \
                 {format}, this program goes on with and prints format {FORMAT}\n\
                 help: keep the file, and print it with the version that wrote it, which its first line names; this one \
                 can only check it for damage (intact). To walk the board anew, move the file to another folder"
            ),
            ReadFault::OtherFormat { format } => write!(
                f,
                "{path} was written by a newer program: its format is {format}, this program knows up to {FORMAT}\n\
                 help: use the newer program; this one can only check it for damage (intact)"
            ),
            ReadFault::Damaged(damage) => write!(
                f,
                "{path} {damage}\n\
                 help: nothing was changed in the file; the lines before it are whole. Compare it with a copy, or \
                 open a new visit"
            ),
        }
    }
}

impl std::error::Error for ReadError {}

/// Why a visit cannot be resumed. The file is as it was.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ResumeError {
    /// It cannot be read.
    Read(ReadError),
    /// It cannot be written.
    Store(StoreError),
    /// What was torn off is too long to be kept in a line; bytes.
    TornTooLong {
        /// The record.
        path: PathBuf,
        /// What was found.
        bytes: u64,
        /// What is allowed.
        allowed: u64,
    },
}

impl fmt::Display for ResumeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Read(error) => write!(f, "{error}"),
            Self::Store(error) => write!(
                f,
                "the visit is not resumed: {}: {}\nWhat was recorded is safe.\nhelp: {}",
                error.path.display(),
                error.reason(),
                error.mend()
            ),
            Self::TornTooLong { path, bytes, allowed } => write!(
                f,
                "{} ends in {bytes} bytes that are no whole line; at most {allowed} can be kept when a visit is \
                 resumed\nhelp: keep a copy of the file, and cut what stands behind the last line end",
                path.display()
            ),
        }
    }
}

impl std::error::Error for ResumeError {}

impl From<ReadError> for ResumeError {
    fn from(error: ReadError) -> Self {
        Self::Read(error)
    }
}

impl From<StoreError> for ResumeError {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}
