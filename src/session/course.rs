//! How a terminal is gone through, chosen by the kind of the visit: **this is the one place where that is decided.**
//!
//! | visit | terminal | course | steps |
//! |---|---|---|---|
//! | first | every one | make off | [`steps_of`] |
//! | revisit | in scope, disturbed but not taken out | check | [`check_steps_of`] |
//! | revisit | in scope, re-terminated, new, or changed since | make off | [`steps_of`], in the attempt that begins |
//! | audit | in use | check | [`steps_at`]: those of its part and its draw |
//! | audit | spare | outside | none |
//! | revisit | not in scope | outside | none; the outcome is *not in scope* |
//!
//! What is found on a check changes the steps from there on, and only `session::derive` (its part `coming_back`) does
//! that: a screw that moved is marked, settled and tightened once more; a tug that shifted puts entry, torque, tug and
//! mark in the place of what was left; a remake or a new device puts the steps of a first visit there. Which
//! terminals an audit draws or leaves out its own facts say (`session::audit`).

use super::audit::{Part, part_at, steps_at};
use super::steps::{Step, check_steps_of, steps_of};
use super::visit::{TerminalIndex, Visit};
use crate::domain::board::Terminal;
use crate::domain::clamp::Clamp;
use crate::domain::names::{Seq, TerminalName};
use crate::domain::record::{Attempt, InScope, Scope, VisitKind};

/// Wait before a screw that moved at a coming back is tightened once more, in minutes, where its clamp has no rule of
/// its own. Own practice is 10 to 15 minutes; there is no published source.
pub const SETTLE_MINUTES: u16 = 10;

/// How a terminal is gone through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Course {
    /// Prepare, entry, torque, tug, mark.
    MakeOff,
    /// Look, tug, try with the tool.
    Check,
    /// Not part of this visit.
    Outside,
}

impl Course {
    /// The steps a terminal begins with.
    #[must_use]
    pub fn steps(self, terminal: &Terminal, clamp: &Clamp) -> Vec<Step> {
        match self {
            Self::MakeOff => steps_of(terminal, clamp),
            Self::Check => check_steps_of(terminal, clamp),
            Self::Outside => Vec::new(),
        }
    }
}

/// The course of a terminal, and the attempt it begins in.
#[must_use]
pub fn course_of(visit: &Visit, at: TerminalIndex) -> (Course, Attempt) {
    let Some(terminal) = visit.terminal(at) else { return (Course::Outside, Attempt::FIRST) };
    match visit.kind() {
        VisitKind::First => (Course::MakeOff, Attempt::FIRST),
        VisitKind::Audit if part_at(visit, at) == Part::Spare => (Course::Outside, Attempt::FIRST),
        VisitKind::Audit => (Course::Check, Attempt::FIRST),
        VisitKind::Revisit => match visit.in_scope(&terminal.name) {
            None => (Course::Outside, Attempt::FIRST),
            Some(entry) if entry.afresh() => (Course::MakeOff, entry.attempt),
            Some(entry) => (Course::Check, entry.attempt),
        },
    }
}

/// The steps a terminal begins with.
#[must_use]
pub(super) fn first_steps(visit: &Visit, at: TerminalIndex) -> Vec<Step> {
    let Some((terminal, clamp)) = visit.terminal(at).zip(visit.clamp(at)) else { return Vec::new() };
    match visit.kind() {
        VisitKind::Audit => steps_at(visit, at),
        VisitKind::First | VisitKind::Revisit => course_of(visit, at).0.steps(terminal, clamp),
    }
}

impl Visit {
    /// Kind of the visit; a first one before it is opened.
    #[must_use]
    pub fn kind(&self) -> VisitKind {
        self.opened().map_or(VisitKind::First, |opened| opened.visit)
    }

    /// Whether terminals are come back to rather than made off: a revisit or an audit.
    #[must_use]
    pub fn is_coming_back(&self) -> bool {
        self.kind() != VisitKind::First
    }

    /// Whether a terminal is part of the visit: always in a first visit, at a coming back where it is in scope.
    #[must_use]
    pub fn is_part(&self, name: &TerminalName) -> bool {
        self.find(name).is_some_and(|at| course_of(self, at).0 != Course::Outside)
    }

    /// The scope that holds, with its line; nothing before it is said.
    #[must_use]
    pub fn scope(&self) -> Option<(Seq, &Scope)> {
        self.scope.as_ref().map(|(seq, scope)| (*seq, scope))
    }

    /// What the scope says of a terminal; nothing where it is not in scope.
    #[must_use]
    pub fn in_scope(&self, name: &TerminalName) -> Option<&InScope> {
        self.scope()?.1.terminals.iter().find(|entry| entry.terminal == *name)
    }
}
