//! What is wrong with a line of a record, and the line quoted so that it can be shown.

use super::line::LineFault;
use crate::domain::text;
use std::fmt;

/// Most characters of a damaged line that are quoted.
const QUOTED_MAX: usize = 60;

/// A damaged line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Damage {
    /// Its number, from 1.
    pub line: u64,
    /// What is wrong.
    pub what: DamageKind,
    /// Its beginning, printable, cut.
    pub quoted: String,
}

/// What is wrong with a line of a record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DamageKind {
    /// The line by itself, or its link.
    Line(LineFault),
    /// Its number is not its place.
    Seq {
        /// Number it has.
        found: u64,
    },
    /// The visit opens a second time.
    OpensAgain,
    /// It stands behind the line that closed or abandoned the visit.
    BehindClosing,
}

impl Damage {
    pub(super) fn new(line: u64, what: DamageKind, bytes: &[u8]) -> Self {
        Self { line, what, quoted: quote(bytes) }
    }
}

/// The beginning of a line as it can be shown: control characters escaped, cut after 60 characters.
fn quote(bytes: &[u8]) -> String {
    let whole = String::from_utf8_lossy(bytes);
    let mut quoted: String = whole
        .chars()
        .take(QUOTED_MAX)
        .map(|c| if text::checked(&format!("x{c}x"), 4).is_ok() { c } else { '\u{fffd}' })
        .collect();
    if whole.chars().nth(QUOTED_MAX).is_some() {
        quoted.push_str(" ...");
    }
    quoted
}

impl fmt::Display for Damage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}: ", self.line)?;
        match &self.what {
            DamageKind::Line(fault) => write!(f, "{fault}")?,
            DamageKind::Seq { found } => write!(f, "the line says it is number {found}")?,
            DamageKind::OpensAgain => f.write_str("the visit opens a second time")?,
            DamageKind::BehindClosing => f.write_str("it stands behind the line that ended the visit")?,
        }
        write!(f, "\n    {}", self.quoted)
    }
}
