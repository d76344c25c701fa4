//! Where in the file each part of a tool stands, so that a fault of the tool becomes a problem of the file.

use crate::domain::toolbox::{At, CalibrationAt};
use std::ops::Range;

/// Places of one tool's parts.
#[derive(Debug)]
pub(super) struct Places {
    /// Where the tool begins.
    head: Range<usize>,
    known: Vec<(At, Range<usize>)>,
    /// Parts that could not be read: told already.
    unread: Vec<At>,
}

impl Places {
    /// None yet.
    pub(super) fn new(head: Range<usize>) -> Self {
        Self { head, known: Vec::new(), unread: Vec::new() }
    }

    /// Notes where a part stands.
    pub(super) fn note(&mut self, at: At, span: Range<usize>) {
        self.known.push((at, span));
    }

    /// Notes a part that could not be read.
    pub(super) fn unread(&mut self, at: At) {
        self.unread.push(at);
    }

    /// Whether it was told already that a part cannot be read.
    pub(super) fn told(&self, at: At) -> bool {
        self.unread.contains(&at)
    }

    /// Where a part stands, else what it belongs to, else where the tool begins.
    pub(super) fn of(&self, at: At) -> Range<usize> {
        let known = |at: At| self.known.iter().find(|(known, _)| *known == at).map(|(_, span)| span.clone());
        let above = match at {
            At::Calibration(number, _) => Some(At::Calibration(number, CalibrationAt::Date)),
            _ => None,
        };
        known(at).or_else(|| above.and_then(known)).unwrap_or_else(|| self.head.clone())
    }
}
