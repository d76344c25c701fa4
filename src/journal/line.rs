//! One fact, one line, both ways; and the link that ties a line to all before it.
//!
//! `{"seq":…,"time":…,"who":…,"writer":…,"fact":{…},"link":"64 lower-case hex"}` and LF. The link is the SHA-256 of
//! the previous link as its 64 hex digits, followed by this line's raw bytes before `,"link":"`; it is compared as
//! bytes, so a line that was laid out anew no longer fits.

use crate::domain::record::{Draft, Fact, Line};
use data_encoding::HEXLOWER;
use sha2::{Digest as _, Sha256};
use std::fmt;

/// Longest line that is read, bytes.
pub const LINE_BYTES_MAX: usize = 8 * 1024 * 1024;
/// Longest line that is written, bytes; a board of 2,000 terminals takes about a quarter. A `session` line may be
/// as long as is read, because it carries torn bytes.
pub const FACT_BYTES_MAX: usize = 4 * 1024 * 1024;

const BEFORE_LINK: &[u8] = b",\"link\":\"";
const AFTER_LINK: &[u8] = b"\"}";
const LINK_DIGITS: usize = 64;

/// A link.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Link([u8; 32]);

impl Link {
    /// What stands before line 1: 64 zeros.
    pub const ZERO: Self = Self([0; 32]);

    /// 64 lower-case hex digits.
    #[must_use]
    pub fn hex(&self) -> String {
        HEXLOWER.encode(&self.0)
    }

    fn after(self, before_link: &[u8]) -> Self {
        let mut hash = Sha256::new();
        hash.update(self.hex().as_bytes());
        hash.update(before_link);
        Self(hash.finalize().into())
    }
}

impl fmt::Display for Link {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.hex())
    }
}

/// What is wrong with a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LineFault {
    /// Longer than is written or read; bytes.
    TooLong {
        /// What was found.
        bytes: usize,
        /// What is allowed.
        allowed: usize,
    },
    /// No link at its end.
    NoLink,
    /// Something stands behind the end of a line that fits.
    BehindTheEnd,
    /// The link does not fit the line and what stands before it.
    LinkDoesNotFit,
    /// The link fits, but the line is no fact this program knows; why, and where in the line (column from 1).
    NotAFact {
        /// The reader's words.
        why: String,
        /// Column.
        column: usize,
    },
}

impl fmt::Display for LineFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooLong { bytes, allowed } => {
                write!(f, "the line is {bytes} bytes long, at most {allowed} are allowed")
            }
            Self::NoLink => f.write_str("the line does not end with its link"),
            Self::BehindTheEnd => f.write_str("something else stands where the line should end"),
            Self::LinkDoesNotFit => f.write_str("the link does not fit this line and those before it"),
            Self::NotAFact { why, column } => {
                write!(f, "the line is no fact this program knows ({why}, column {column})")
            }
        }
    }
}

/// The exact bytes of a line, its LF included, the line as they will be read back, and its link.
///
/// # Errors
/// Where the line would be too long, or could not be read back: neither is ever written.
pub fn encode(draft: &Draft, previous: &Link) -> Result<(Vec<u8>, Line, Link), LineFault> {
    let not_a_fact = |why: serde_json::Error| LineFault::NotAFact { why: why.to_string(), column: 0 };
    let mut bytes = serde_json::to_vec(draft).map_err(not_a_fact)?;
    // the brace comes back behind the link
    bytes.pop();
    let its_link = previous.after(&bytes);
    bytes.extend_from_slice(BEFORE_LINK);
    bytes.extend_from_slice(its_link.hex().as_bytes());
    bytes.extend_from_slice(AFTER_LINK);
    let allowed = if matches!(draft.fact, Fact::Session(_)) { LINE_BYTES_MAX } else { FACT_BYTES_MAX };
    if bytes.len() > allowed {
        return Err(LineFault::TooLong { bytes: bytes.len(), allowed });
    }
    let (line, _) = decode(&bytes, previous)?;
    bytes.push(b'\n');
    Ok((bytes, line, its_link))
}

/// Checks the raw bytes of a line, without its LF, against the link before it, whatever the line says.
///
/// # Errors
/// Every [`LineFault`] but [`LineFault::NotAFact`].
pub fn check(bytes: &[u8], previous: &Link) -> Result<Link, LineFault> {
    if bytes.len() > LINE_BYTES_MAX {
        return Err(LineFault::TooLong { bytes: bytes.len(), allowed: LINE_BYTES_MAX });
    }
    let at = last_place(bytes, BEFORE_LINK).ok_or(LineFault::NoLink)?;
    let (before, rest) = bytes.split_at_checked(at).ok_or(LineFault::NoLink)?;
    let rest = rest.strip_prefix(BEFORE_LINK).ok_or(LineFault::NoLink)?;
    let (digits, end) = rest.split_at_checked(LINK_DIGITS).ok_or(LineFault::NoLink)?;
    let link = previous.after(before);
    if digits != link.hex().as_bytes() {
        return Err(LineFault::LinkDoesNotFit);
    }
    match end.strip_prefix(AFTER_LINK) {
        Some([]) => Ok(link),
        Some(_) => Err(LineFault::BehindTheEnd),
        None => Err(LineFault::NoLink),
    }
}

/// Reads the bytes of a line, without its LF, and gives the line and its link.
///
/// # Errors
/// [`LineFault`]
pub fn decode(bytes: &[u8], previous: &Link) -> Result<(Line, Link), LineFault> {
    let its_link = check(bytes, previous)?;
    let line: Line = serde_json::from_slice(bytes)
        .map_err(|why| LineFault::NotAFact { column: why.column(), why: words(&why) })?;
    if line.link != its_link.hex() {
        return Err(LineFault::LinkDoesNotFit);
    }
    Ok((line, its_link))
}

/// The reader's words without its own line number, which is always 1 here.
fn words(why: &serde_json::Error) -> String {
    let text = why.to_string();
    text.split_once(" at line ").map_or(text.clone(), |(words, _)| words.to_owned())
}

/// Whether a link stands anywhere in it, fitting or not.
pub(super) fn carries_a_link(bytes: &[u8]) -> bool {
    last_place(bytes, BEFORE_LINK).is_some()
}

fn last_place(bytes: &[u8], wanted: &[u8]) -> Option<usize> {
    let first = wanted.first()?;
    let mut before = bytes;
    loop {
        let at = before.iter().rposition(|byte| byte == first)?;
        if bytes.get(at..).is_some_and(|rest| rest.starts_with(wanted)) {
            return Some(at);
        }
        before = before.get(..at)?;
    }
}
