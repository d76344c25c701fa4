//! Reading a record: every line, its link, its number and its form, before anything is believed.
//!
//! What follows the last LF and is no whole line was torn off by a crash and is told apart from damage. A last line
//! that is whole but for its LF is accepted.

use super::damage::{Damage, DamageKind};
use super::error::{ReadError, ReadFault};
use super::line::{self, LineFault, Link};
use super::storage::Storage;
use crate::domain::record::{FORMAT, Fact, Line, Opened};
use serde::Deserialize;
use std::path::Path;

/// How a record ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Neither closed nor abandoned.
    Open,
    /// Closed.
    Closed,
    /// Abandoned.
    Abandoned,
}

/// A record as read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Record {
    /// Every line; the first is *opened*.
    pub lines: Vec<Line>,
    /// What was torn off behind the last whole line.
    pub torn: Option<Vec<u8>>,
    /// How it ends.
    pub end: End,
    /// Link of the last line; of a closed record, the closing link.
    pub link: Link,
    /// The bytes of the whole lines. The last may lack its LF.
    pub bytes: Vec<u8>,
}

impl Record {
    /// Line 1.
    #[must_use]
    pub fn opened(&self) -> Option<&Opened> {
        opened(self.lines.first()?)
    }

    /// Whether the last line lacks its LF.
    #[must_use]
    pub fn unended(&self) -> bool {
        self.bytes.last() != Some(&b'\n')
    }
}

/// The opening fact of a line 1.
#[must_use]
pub fn opened(line: &Line) -> Option<&Opened> {
    if let Fact::Opened(opened) = &line.fact { Some(opened) } else { None }
}

/// What the chain alone says of a record, whatever its lines say: for another format, and to compare two copies.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Chain {
    /// Link of every whole line that fits, in order.
    pub links: Vec<Link>,
    /// Bytes torn off behind the last whole line.
    pub torn_bytes: u64,
    /// The first line that does not fit.
    pub damage: Option<Damage>,
}

/// Reads a record.
///
/// # Errors
/// [`ReadError`] names the line that is damaged.
pub fn read<S: Storage>(storage: &S, path: &Path) -> Result<Record, ReadError> {
    let bytes = storage.read(path).map_err(|why| ReadError::new(path, ReadFault::Disk(why.into())))?;
    parse(&bytes).map_err(|fault| ReadError::new(path, fault))
}

/// Reads the bytes of a record.
///
/// # Errors
/// [`ReadFault`], without the path.
pub fn parse(bytes: &[u8]) -> Result<Record, ReadFault> {
    let mut record =
        Record { lines: Vec::new(), torn: None, end: End::Open, link: Link::ZERO, bytes: Vec::new() };
    for (place, piece) in pieces(bytes) {
        let content = piece.strip_suffix(b"\n");
        let whole = content.unwrap_or(piece);
        let decoded = line::decode(whole, &record.link);
        if place == 1 && !decoded.as_ref().is_ok_and(|(line, _)| opens_ours(line)) {
            first_line(whole, content.is_some())?;
        }
        match decoded {
            Ok((line, its_link)) => {
                let damaged = |what| ReadFault::Damaged(Damage::new(place, what, whole));
                in_its_place(place, &line, record.end).map_err(damaged)?;
                record.end = end_after(&line.fact);
                record.link = its_link;
                record.lines.push(line);
                record.bytes.extend_from_slice(piece);
            }
            // nothing is ever written behind the end, so nothing can be torn off there
            Err(_) if record.end != End::Open => {
                return Err(ReadFault::Damaged(Damage::new(place, DamageKind::BehindClosing, whole)));
            }
            Err(fault) if content.is_none() && torn(&fault) => record.torn = Some(piece.to_vec()),
            Err(fault) => {
                return Err(ReadFault::Damaged(Damage::new(place, DamageKind::Line(fault), whole)));
            }
        }
    }
    if record.lines.is_empty() { Err(ReadFault::NotAVisit) } else { Ok(record) }
}

/// Checks the chain alone.
#[must_use]
pub fn chain(bytes: &[u8]) -> Chain {
    let mut found = Chain { links: Vec::new(), torn_bytes: 0, damage: None };
    let mut previous = Link::ZERO;
    for (place, piece) in pieces(bytes) {
        let content = piece.strip_suffix(b"\n");
        let whole = content.unwrap_or(piece);
        match line::check(whole, &previous) {
            Ok(link) => {
                previous = link;
                found.links.push(link);
            }
            Err(fault) if content.is_none() && torn(&fault) => {
                found.torn_bytes = super::storage::length(piece);
            }
            Err(fault) => {
                found.damage = Some(Damage::new(place, DamageKind::Line(fault), whole));
                break;
            }
        }
    }
    found
}

/// The lines with their LF and their numbers from 1; the last may lack its LF.
fn pieces(bytes: &[u8]) -> impl Iterator<Item = (u64, &[u8])> {
    (1_u64..).zip(bytes.split_inclusive(|byte| *byte == b'\n'))
}

/// Whether a piece without LF may be the beginning of a line that was never written to its end.
fn torn(fault: &LineFault) -> bool {
    match fault {
        LineFault::NoLink | LineFault::LinkDoesNotFit | LineFault::TooLong { .. } => true,
        LineFault::BehindTheEnd | LineFault::NotAFact { .. } => false,
    }
}

fn in_its_place(place: u64, line: &Line, before: End) -> Result<(), DamageKind> {
    if line.seq.0 != place {
        return Err(DamageKind::Seq { found: line.seq.0 });
    }
    if before != End::Open {
        return Err(DamageKind::BehindClosing);
    }
    if place != 1 && opened(line).is_some() {
        return Err(DamageKind::OpensAgain);
    }
    Ok(())
}

pub(super) fn end_after(fact: &Fact) -> End {
    #[allow(clippy::wildcard_enum_match_arm, reason = "two facts end a visit, whatever facts are added")]
    match fact {
        Fact::Closed(_) => End::Closed,
        Fact::Abandoned(_) => End::Abandoned,
        _ => End::Open,
    }
}

/// Only what says whether the rest can be understood: everything else in the line is passed over.
#[derive(Deserialize)]
struct FirstLine {
    fact: FirstFact,
}

#[derive(Deserialize)]
struct FirstFact {
    opened: FormatOnly,
}

#[derive(Deserialize)]
struct FormatOnly {
    format: u64,
    id: String,
}

/// The format a first line claims, if it opens a visit at all.
#[must_use]
pub fn format_of(first_line: &[u8]) -> Option<u64> {
    let first: FirstLine = serde_json::from_slice(first_line).ok()?;
    Some(first.fact.opened.format)
}

/// The id a first line claims.
pub(super) fn id_of(first_line: &[u8]) -> Option<String> {
    let first: FirstLine = serde_json::from_slice(first_line).ok()?;
    Some(first.fact.opened.id)
}

/// Whether it opens a visit in our own format.
fn opens_ours(line: &Line) -> bool {
    opened(line).is_some_and(|opened| opened.format == FORMAT)
}

/// Tells a record of another format, and what never was a record, from a damaged one, before line 1 is judged by rules that
/// may not be its own.
fn first_line(whole: &[u8], ended: bool) -> Result<(), ReadFault> {
    let fault = line::check(whole, &Link::ZERO).err();
    match (fault, format_of(whole)) {
        (None, Some(format)) if format != u64::from(FORMAT) => Err(ReadFault::OtherFormat { format }),
        (None, Some(_)) => Ok(()),
        (Some(fault), _) if looks_like_a_line(whole) && (ended || !torn(&fault)) => {
            Err(ReadFault::Damaged(Damage::new(1, DamageKind::Line(fault), whole)))
        }
        (None, None) | (Some(_), _) => Err(ReadFault::NotAVisit),
    }
}

/// Either end of a line of ours: damage to one leaves the other.
fn looks_like_a_line(whole: &[u8]) -> bool {
    whole.starts_with(b"{\"seq\":1,") || line::carries_a_link(whole)
}
