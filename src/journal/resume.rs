//! Going on with a visit that was left, killed or cut off.
//!
//! Resume is refused rather than guessed: where it cannot be made durable, the record is as it was.

use super::error::{ReadError, ResumeError, StoreError, StoreFault};
use super::line;
use super::read::{End, Record, read};
use super::storage::{Storage, StoredFile as _, folder_of, length};
use super::writer::{Journal, Standing};
use crate::domain::record::{Draft, Line, Torn};
use data_encoding::{BASE64, HEXLOWER};
use sha2::{Digest as _, Sha256};
use std::ffi::OsString;
use std::io;
use std::path::{Path, PathBuf};

/// Most torn bytes that a `session` line can carry.
pub const TORN_BYTES_MAX: u64 = 4 * 1024 * 1024;

/// Takes the lock, reads the record, and appends the `session` line that the caller makes from its lines and from
/// what was torn off. Gives the lines with the `session` line behind them. A whole line that was never confirmed
/// is a fact like every other.
///
/// With a torn tail, the good lines and the `session` line are written to a new file, which takes the place of the
/// old one in one step.
///
/// # Errors
/// [`ResumeError`]; a finished record is refused.
pub fn resume<S: Storage>(
    storage: &S,
    path: &Path,
    session: impl FnOnce(&[Line], Option<Torn>) -> Draft,
) -> Result<(Journal<S>, Vec<Line>), ResumeError> {
    let refused = |fault, confirmed| StoreError { path: path.to_path_buf(), fault, confirmed };
    let missing = |why| ReadError { path: path.to_path_buf(), fault: super::error::ReadFault::Disk(why) };
    // a lock file is never made beside a record that is not there
    if let Err(why) = storage.read(path) {
        return Err(missing(why.into()).into());
    }
    let lock = storage.lock(path).map_err(|fault| refused(fault.into(), 0))?;
    let mut record = read(storage, path)?;
    let lines = count(&record);
    if record.end != End::Open {
        return Err(refused(StoreFault::Finished, lines).into());
    }
    let torn = record.torn.take();
    if let Some(bytes) = torn.as_ref().map(|torn| length(torn)).filter(|bytes| *bytes > TORN_BYTES_MAX) {
        return Err(ResumeError::TornTooLong { path: path.to_path_buf(), bytes, allowed: TORN_BYTES_MAX });
    }
    let draft = session(&record.lines, torn.as_deref().map(described));
    let standing = add(&mut record, &draft).map_err(|fault| refused(fault, lines))?;
    let written = if torn.is_some() {
        replace(storage, path, &standing.bytes)
    } else {
        go_on(storage, path, &standing.bytes, length(&record.bytes))
    };
    let file = written.map_err(|why| refused(why.into(), lines))?;
    Ok((Journal::standing(storage.clone(), path, lock, file, standing), record.lines))
}

/// What a `session` line says of torn bytes.
#[must_use]
pub fn described(torn: &[u8]) -> Torn {
    Torn { bytes: length(torn), sha256: HEXLOWER.encode(&Sha256::digest(torn)), base64: BASE64.encode(torn) }
}

fn count(record: &Record) -> u64 {
    u64::try_from(record.lines.len()).unwrap_or(u64::MAX)
}

/// The record with its `session` line: into its lines, and as the bytes that shall stand in the file.
fn add(record: &mut Record, draft: &Draft) -> Result<Standing, StoreFault> {
    let expected = count(record).saturating_add(1);
    if draft.seq.0 != expected {
        return Err(StoreFault::OutOfTurn { found: draft.seq.0, expected });
    }
    let (bytes, line, its_link) = line::encode(draft, &record.link).map_err(StoreFault::Line)?;
    let mut all = record.bytes.clone();
    if record.unended() {
        all.push(b'\n');
    }
    all.extend_from_slice(&bytes);
    record.lines.push(line);
    record.link = its_link;
    Ok(Standing { bytes: all, lines: expected, link: its_link })
}

/// Without a torn tail. The good lines are written over themselves: a sync that failed before the program was left
/// may have let the disk forget bytes that are still read from memory.
fn go_on<S: Storage>(storage: &S, path: &Path, all: &[u8], stood: u64) -> io::Result<S::File> {
    let mut file = storage.open(path)?;
    let written = file
        .write_at(0, all)
        .and_then(|()| file.sync_data())
        .and_then(|()| storage.sync_folder(folder_of(path)));
    if let Err(why) = written {
        // best effort: what could not be cut here is a torn tail or a whole line for the next resume
        let _left_behind = file.set_len(stood).and_then(|()| file.sync_data());
        return Err(why);
    }
    Ok(file)
}

/// With a torn tail.
fn replace<S: Storage>(storage: &S, path: &Path, all: &[u8]) -> io::Result<S::File> {
    let aside = aside(path);
    // left by a resume that was interrupted; the lock is ours, so nobody else is writing it
    match storage.remove(&aside) {
        Err(why) if why.kind() != io::ErrorKind::NotFound => return Err(why),
        _ => {}
    }
    let mut file = storage.create_new(&aside)?;
    let written = file.write_at(0, all).and_then(|()| file.sync_data());
    drop(file);
    let renamed = written.and_then(|()| storage.rename(&aside, path));
    if let Err(why) = renamed {
        let _left_behind = storage.remove(&aside);
        return Err(why);
    }
    storage.sync_folder(folder_of(path))?;
    storage.open(path)
}

/// Where the new file is written before it takes the old one's place.
fn aside(path: &Path) -> PathBuf {
    let mut name = OsString::from(path.as_os_str());
    name.push(".new");
    PathBuf::from(name)
}
