//! How a command fails, and with which exit code.

use crate::journal::error::{ReadError, ReadFault};
use crate::tools_file::LoadError;
use std::fmt;
use std::io;

/// Why a command did not do what was asked.
#[derive(Debug)]
pub(super) enum Failure {
    /// The person can mend it; the whole message. Exit code 2.
    Mend(String),
    /// Something went wrong; the whole message. Exit code 1.
    Wrong(String),
    /// Our own output could not be written. A closed pipe is no failure: who reads has read enough.
    Output(io::Error),
}

impl Failure {
    /// What the person can mend: reason, and what to do.
    pub(super) fn mend(reason: impl fmt::Display, help: impl fmt::Display) -> Self {
        Self::Mend(format!("error: {reason}\nhelp: {help}"))
    }

    /// 2 for what the person can mend, 1 for what went wrong, 0 for a closed pipe.
    pub(super) fn code(&self) -> u8 {
        match self {
            Self::Mend(_) => 2,
            Self::Output(why) if why.kind() == io::ErrorKind::BrokenPipe => 0,
            Self::Wrong(_) | Self::Output(_) => 1,
        }
    }

    /// What is told; nothing where nobody reads.
    pub(super) fn message(&self) -> Option<String> {
        match self {
            Self::Mend(words) | Self::Wrong(words) => Some(words.clone()),
            Self::Output(why) if why.kind() == io::ErrorKind::BrokenPipe => None,
            Self::Output(why) => Some(format!("error: the output cannot be written: {why}")),
        }
    }
}

impl From<io::Error> for Failure {
    fn from(why: io::Error) -> Self {
        Self::Output(why)
    }
}

/// A written file is the person's to mend.
impl From<LoadError> for Failure {
    fn from(error: LoadError) -> Self {
        Self::Mend(error.to_string())
    }
}

/// A damaged record cannot be mended; a wrong or missing one, or one of another format, is a matter of the right file or program.
impl From<ReadError> for Failure {
    fn from(error: ReadError) -> Self {
        match error.fault {
            ReadFault::Damaged(_) => Self::Wrong(format!("error: {error}")),
            ReadFault::Disk(_) => Self::mend(error, "look at the spelling, and at who may read there"),
            ReadFault::NotAVisit | ReadFault::OtherFormat { .. } => Self::Mend(format!("error: {error}")),
        }
    }
}
