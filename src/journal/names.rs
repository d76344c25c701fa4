//! Where records lie: folder names, file names, ids and nonces.
//!
//! Folders are a convenience for the person who looks for a record; the truth about a record is its line 1.

use super::storage::Storage;
use crate::domain::board::Board;
use crate::domain::moment::Moment;
use crate::domain::record::VisitKind;
use data_encoding::{BASE32_NOPAD, HEXLOWER};
use sha2::{Digest as _, Sha256};
use std::fmt::Write as _;
use std::io;
use std::path::{Path, PathBuf};

/// The folder under the records in which rehearsals lie.
pub const REHEARSALS: &str = "rehearsals";
/// What a record's file name ends with.
pub const EXTENSION: &str = "jsonl";
/// Longest encoded name before it is cut, bytes.
const NAME_BYTES_MAX: usize = 80;
/// Draws of an id before giving up; eight characters are 40 bits, so a second draw is already a rarity.
const DRAWS_MAX: usize = 16;

/// A site, board or other name as part of a folder name: `a`–`z` `0`–`9` `-` `.` kept, lower-case, every other UTF-8
/// byte as `%` and two hex digits, no dot at the end, past 80 bytes cut with `-` and eight hex digits of the SHA-256
/// of the whole encoded name, nothing = `_`.
#[must_use]
pub fn encoded(name: &str) -> String {
    let mut pieces: Vec<String> = name.to_lowercase().bytes().map(piece).collect();
    if let Some(last) = pieces.last_mut()
        && last == "."
    {
        *last = escape(b'.');
    }
    let whole = pieces.concat();
    if whole.is_empty() {
        return "_".to_owned();
    }
    if whole.len() <= NAME_BYTES_MAX {
        return whole;
    }
    let mut cut = String::new();
    for piece in pieces {
        // an escape is never parted
        if cut.len().saturating_add(piece.len()) > NAME_BYTES_MAX {
            break;
        }
        cut.push_str(&piece);
    }
    let hash = HEXLOWER.encode(&Sha256::digest(whole.as_bytes()));
    format!("{cut}-{}", hash.get(..8).unwrap_or(&hash))
}

fn piece(byte: u8) -> String {
    match byte {
        b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' => char::from(byte).to_string(),
        _ => escape(byte),
    }
}

fn escape(byte: u8) -> String {
    let mut text = String::new();
    let _never_fails = write!(text, "%{byte:02x}");
    text
}

/// The folder of a board's records.
#[must_use]
pub fn board_folder(records: &Path, board: &Board, rehearsal: bool) -> PathBuf {
    let base = if rehearsal { records.join(REHEARSALS) } else { records.to_path_buf() };
    base.join(format!("site={}", encoded(&board.site))).join(format!("board={}", encoded(&board.reference)))
}

/// Draws an id that no record in the board's folder has, and gives it with the path of the new record,
/// `<date>-<kind>-<id>.jsonl`. Nothing is made yet.
///
/// # Errors
/// Where the operating system gives no randomness, or the folder exists and cannot be listed.
pub fn fresh<S: Storage>(
    storage: &S,
    folder: &Path,
    kind: VisitKind,
    opened: &Moment,
) -> io::Result<(String, PathBuf)> {
    let there = match storage.list(folder) {
        Err(why) if why.kind() == io::ErrorKind::NotFound => Vec::new(),
        listed => listed?,
    };
    for _ in 0..DRAWS_MAX {
        let id = new_id()?;
        let taken = |path: &Path| path.file_name().is_some_and(|name| name.to_string_lossy().contains(&id));
        if !there.iter().any(|entry| taken(&entry.path)) {
            let path = folder.join(format!("{}-{}-{id}.{EXTENSION}", opened.day(), kind.words()));
            return Ok((id, path));
        }
    }
    Err(io::Error::other("the operating system gives the same random numbers again and again"))
}

/// Eight base-32 characters (RFC 4648, lower-case: no 0, 1, 8 or 9, safe where case is not told apart) from the
/// operating system.
///
/// # Errors
/// Where the operating system gives no randomness.
pub fn new_id() -> io::Result<String> {
    random::<5>()
}

/// Sixteen base-32 characters that tell two sessions apart.
///
/// # Errors
/// As [`new_id`].
pub fn new_nonce() -> io::Result<String> {
    random::<10>()
}

fn random<const N: usize>() -> io::Result<String> {
    let mut bytes = [0_u8; N];
    getrandom::fill(&mut bytes).map_err(|why| io::Error::other(why.to_string()))?;
    Ok(BASE32_NOPAD.encode(&bytes).to_ascii_lowercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Vectors worked out by hand from the rule; our own rule, no outside source.
    #[test]
    fn folder_names_are_safe_everywhere() {
        let vectors = [
            ("", "_"),
            ("_", "%5f"),
            (".", "%2e"),
            ("..", ".%2e"),
            ("con", "con"),
            ("DB-3.", "db-3%2e"),
            ("DB 3", "db%203"),
            ("a/b\\c:d", "a%2fb%5cc%3ad"),
            ("Größe", "gr%c3%b6%c3%9fe"),
            ("🔩", "%f0%9f%94%a9"),
            ("site=x", "site%3dx"),
            ("100%", "100%25"),
        ];
        for (name, folder) in vectors {
            assert_eq!(encoded(name), folder, "{name:?}");
        }
    }

    #[test]
    fn long_names_are_cut_and_stay_apart() {
        let (one, two) = (encoded(&"x".repeat(200)), encoded(&"x".repeat(201)));
        assert_eq!((one.len(), two.len()), (89, 89));
        assert_ne!(one, two);
        assert_eq!(encoded(&"x".repeat(80)), "x".repeat(80));
        // 79 letters leave no room for an escape of three bytes
        let parted = encoded(&format!("{}ö", "x".repeat(79)));
        assert!(parted.starts_with(&format!("{}-", "x".repeat(79))), "{parted}");
        assert_eq!(parted.len(), 88);
    }

    #[test]
    fn ids_are_eight_letters_that_survive_any_file_system() {
        let id = new_id().unwrap();
        assert_eq!(id.len(), 8);
        assert!(id.bytes().all(|b| b.is_ascii_lowercase() || (b'2'..=b'7').contains(&b)), "{id}");
        assert_eq!(new_nonce().unwrap().len(), 16);
        assert_ne!(new_nonce().unwrap(), new_nonce().unwrap());
    }
}
