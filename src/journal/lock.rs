//! One writer a record: the operating system's lock, on a file of its own.
//!
//! Where locks are mandatory a lock on the record itself would keep readers out. The lock file stays behind when the
//! lock is let go, because taking it away would let two writers hold two files of one name; it then means nothing.
//! The lock holds on one machine only.

use std::ffi::OsString;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, Read as _, Write as _};
use std::path::{Path, PathBuf};

/// Why a lock was not had.
#[derive(Debug)]
pub enum LockFault {
    /// Somebody else holds it; who, where the lock file says so.
    Held {
        /// In words, `process 4711`.
        by: Option<String>,
    },
    /// The lock file cannot be made or locked.
    Io(io::Error),
}

/// A lock that is held until it is dropped.
#[derive(Debug)]
pub struct FileLock {
    file: File,
}

impl FileLock {
    /// Takes the lock that belongs to a record or folder; never waits.
    ///
    /// # Errors
    /// [`LockFault`]
    pub fn take(record: &Path) -> Result<Self, LockFault> {
        let path = lock_path(record);
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(&path)
            .map_err(LockFault::Io)?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => return Err(LockFault::Held { by: holder(&mut file) }),
            Err(TryLockError::Error(why)) => return Err(LockFault::Io(why)),
        }
        let mut lock = Self { file };
        lock.sign();
        Ok(lock)
    }

    /// Says who holds it. A courtesy: on a full disk the lock holds without it.
    fn sign(&mut self) {
        let words = format!("process {}\n", std::process::id());
        let _courtesy = self.file.set_len(0).and_then(|()| self.file.write_all(words.as_bytes()));
    }
}

impl Drop for FileLock {
    fn drop(&mut self) {
        // so that nobody is named who has gone; the lock itself goes with the handle
        let _courtesy = self.file.set_len(0);
    }
}

/// Where the lock file of a record stands: its name and `.lock`.
#[must_use]
pub fn lock_path(record: &Path) -> PathBuf {
    let mut name = OsString::from(record.as_os_str());
    name.push(".lock");
    PathBuf::from(name)
}

fn holder(file: &mut File) -> Option<String> {
    let mut words = String::new();
    file.take(80).read_to_string(&mut words).ok()?;
    let number = words.trim().strip_prefix("process ")?;
    let plain = !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| format!("process {number}"))
}
