//! Checking records for damage, and two copies of one visit against each other.
//!
//! The chain finds accident and careless editing; whoever works it out anew is found only by the printed closing
//! link. Whole lines cut off the end show as *not closed*. Whether the outcomes are those that the facts give is
//! asked elsewhere.

use super::error::{ReadError, ReadFault};
use super::line::Link;
use super::read::{self, Chain, End, Record};
use super::storage::{Storage, length};
use crate::domain::record::FORMAT;
use std::fmt;
use std::path::{Path, PathBuf};

/// What was found of one file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Found {
    /// Every line fits; the record says whether it is finished.
    Whole(Box<Record>),
    /// Of another format than this program reads; every link fits.
    OtherFormatWhole {
        /// Its format.
        format: u64,
        /// Number of lines.
        lines: u64,
        /// Link of the last.
        link: Link,
        /// Bytes torn off behind it.
        torn_bytes: u64,
    },
    /// Damaged, no visit, or not to be read.
    Bad(ReadError),
}

/// One file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Report {
    /// Where it is.
    pub path: PathBuf,
    /// What was found.
    pub found: Found,
    id: Option<String>,
    links: Vec<Link>,
}

impl Report {
    /// Whether nothing speaks against it. A record that is not closed is whole all the same.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        !matches!(self.found, Found::Bad(_))
    }
}

/// Two files of one visit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Twins {
    /// The visit's id.
    pub id: String,
    /// The one.
    pub one: PathBuf,
    /// The other.
    pub other: PathBuf,
    /// Lines at their beginning that are the same; 0 where they only share the id.
    pub common: u64,
    /// Lines of the one that fit.
    pub one_lines: u64,
    /// Lines of the other that fit.
    pub other_lines: u64,
}

/// Everything that was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Intact {
    /// One report a file, in the order given.
    pub reports: Vec<Report>,
    /// Every pair with one id.
    pub twins: Vec<Twins>,
}

/// Checks files. Nothing in them is changed.
#[must_use]
pub fn intact<S: Storage>(storage: &S, paths: &[PathBuf]) -> Intact {
    let reports: Vec<Report> = paths.iter().map(|path| report(storage, path)).collect();
    let mut twins = Vec::new();
    for (number, one) in reports.iter().enumerate() {
        twins.extend(reports.iter().skip(number.saturating_add(1)).filter_map(|other| compared(one, other)));
    }
    Intact { reports, twins }
}

fn report<S: Storage>(storage: &S, path: &Path) -> Report {
    let bad = |fault| Found::Bad(ReadError::new(path, fault));
    let bytes = match storage.read(path) {
        Ok(bytes) => bytes,
        Err(why) => {
            let found = bad(ReadFault::Disk(why.into()));
            return Report { path: path.to_path_buf(), found, id: None, links: Vec::new() };
        }
    };
    let chain = read::chain(&bytes);
    let id = bytes.split(|byte| *byte == b'\n').next().and_then(read::id_of);
    let found = match read::parse(&bytes) {
        Ok(record) => Found::Whole(Box::new(record)),
        Err(ReadFault::OtherFormat { format }) => other_format(&chain, format).unwrap_or_else(bad),
        Err(fault) => bad(fault),
    };
    Report { path: path.to_path_buf(), found, id, links: chain.links }
}

fn other_format(chain: &Chain, format: u64) -> Result<Found, ReadFault> {
    match &chain.damage {
        Some(damage) => Err(ReadFault::Damaged(damage.clone())),
        None => Ok(Found::OtherFormatWhole {
            format,
            lines: count(chain.links.len()),
            link: chain.links.last().copied().unwrap_or(Link::ZERO),
            torn_bytes: chain.torn_bytes,
        }),
    }
}

fn compared(one: &Report, other: &Report) -> Option<Twins> {
    let id = one.id.clone().filter(|id| other.id.as_ref() == Some(id))?;
    let common = one.links.iter().zip(&other.links).take_while(|(a, b)| a == b).count();
    Some(Twins {
        id,
        one: one.path.clone(),
        other: other.path.clone(),
        common: count(common),
        one_lines: count(one.links.len()),
        other_lines: count(other.links.len()),
    })
}

fn count(number: usize) -> u64 {
    u64::try_from(number).unwrap_or(u64::MAX)
}

fn lines(number: u64) -> String {
    if number == 1 { "1 line".into() } else { format!("{number} lines") }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let path = self.path.display();
        match &self.found {
            Found::Whole(record) => {
                let number = lines(count(record.lines.len()));
                match record.end {
                    End::Closed => write!(f, "{path}: every link fits, closed, {number}")?,
                    End::Abandoned => write!(f, "{path}: every link fits, abandoned, {number}")?,
                    End::Open => write!(f, "{path}: every link fits, not closed, {number}")?,
                }
                torn(f, record.torn.as_ref().map_or(0, |torn| length(torn)))?;
                let what = if record.end == End::Closed { "closing link" } else { "last link" };
                write!(f, "\n    {what} {}", record.link)
            }
            Found::OtherFormatWhole { format, lines: number, link, torn_bytes } => {
                let number = lines(*number);
                let than = if *format < u64::from(FORMAT) {
                    "older than this program reads"
                } else {
                    "newer than this program"
                };
                write!(f, "{path}: every link fits, {number}; format {format} is {than}")?;
                torn(f, *torn_bytes)?;
                write!(f, "\n    last link {link}")
            }
            Found::Bad(error) => write!(f, "{error}"),
        }
    }
}

fn torn(f: &mut fmt::Formatter<'_>, bytes: u64) -> fmt::Result {
    if bytes == 0 { Ok(()) } else { write!(f, ", and {bytes} bytes of a line that was torn off") }
}

impl fmt::Display for Twins {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { id, common, one_lines, other_lines, .. } = self;
        let (one, other) = (self.one.display(), self.other.display());
        write!(
            f,
            "visit {id} has two files, {one} ({}) and {other} ({}): ",
            lines(*one_lines),
            lines(*other_lines)
        )?;
        match common {
            0 => f.write_str("they differ from line 1 on"),
            common if common == one_lines && common == other_lines => {
                write!(f, "they are the same up to line {common}, the last of both")
            }
            common => write!(f, "the last line they share is line {common}; nothing is merged"),
        }
    }
}
