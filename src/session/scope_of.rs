//! The scope of a revisit, worked out from the board: what was disturbed, and what that concerns besides.
//!
//! A terminal is one clamp, so what shares a clamp with a disturbed conductor is in scope with it. The other end of a
//! conductor is known by its name (`incomer N link` and `N link`) or, at a fitting, by its circuit. Where that cannot be
//! told nothing is guessed: the person adds it. Whether somebody checked the tightness is not asked here at all: it never
//! shrinks the scope.

use super::difference::{Change, difference};
use super::past::Past;
use super::steps::steps_of;
use crate::domain::board::{Board, PlaceKind, Role, Terminal};
use crate::domain::names::TerminalName;
use crate::domain::record::{Attempt, DisturbedHow, Dropped, Happened, InScope, InScopeWhy, Known, Scope};

/// What a person says of a disturbance.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Disturbance {
    /// What happened.
    pub happened: Happened,
    /// Terminals that were disturbed themselves, and how.
    pub disturbed: Vec<(TerminalName, DisturbedHow)>,
    /// Who did it; nothing where it is not known.
    pub by: Option<String>,
    /// Whether they checked the tightness.
    pub checked_by_them: Known,
    /// Terminals the person adds.
    pub added: Vec<TerminalName>,
    /// Terminals the person leaves out, each with a reason.
    pub dropped: Vec<Dropped>,
}

/// The scope that follows from a board, a disturbance and what is recorded of the board.
#[must_use]
pub fn scope_of(board: &Board, what: &Disturbance, past: &Past) -> Scope {
    let changes = past.board.as_ref().map_or_else(Vec::new, |before| difference(before, board));
    let change = |name: &TerminalName| changes.iter().find(|(n, _)| n == name).map(|(_, change)| *change);
    let mut terminals = Vec::new();
    for terminal in &board.terminals {
        let worked = board.clamp(terminal).is_some_and(|clamp| !steps_of(terminal, clamp).is_empty());
        let left_out = what.dropped.iter().any(|dropped| dropped.terminal == terminal.name);
        let Some(why) = why_in_scope(board, what, terminal, change(&terminal.name)) else { continue };
        if !worked || left_out {
            continue;
        }
        let how = what.disturbed.iter().find(|(name, _)| *name == terminal.name).map(|(_, how)| *how);
        terminals.push(entry(terminal, why, how, past));
    }
    let gone = changes.iter().filter(|(_, change)| *change == Change::Gone).map(|(name, _)| name.clone());
    Scope {
        happened: what.happened.clone(),
        by: what.by.clone(),
        checked_by_them: what.checked_by_them,
        terminals,
        dropped: what.dropped.clone(),
        gone: gone.collect(),
        not_ours: not_ours(board, what),
    }
}

fn entry(terminal: &Terminal, why: InScopeWhy, how: Option<DisturbedHow>, past: &Past) -> InScope {
    let earlier = past.last_time(&terminal.name);
    let attempt = earlier.as_ref().map_or(Attempt::FIRST, |(attempt, _)| *attempt);
    let bare = InScope { terminal: terminal.name.clone(), why, how, attempt, last: None };
    match why {
        // another terminal stands there now: nothing that is recorded under its name is about it
        InScopeWhy::New => InScope { attempt: Attempt::FIRST, ..bare },
        InScopeWhy::Changed => {
            let attempt = earlier.map_or(Attempt::FIRST, |(attempt, _)| attempt.next());
            InScope { attempt, ..bare }
        }
        _ if bare.afresh() => {
            InScope { attempt: attempt.next(), last: earlier.map(|(_, last)| last), ..bare }
        }
        _ => InScope { last: earlier.map(|(_, last)| last), ..bare },
    }
}

/// The first reason that holds.
fn why_in_scope(
    board: &Board,
    what: &Disturbance,
    terminal: &Terminal,
    change: Option<Change>,
) -> Option<InScopeWhy> {
    let name = &terminal.name;
    let is_disturbed = |name: &TerminalName| what.disturbed.iter().any(|(other, _)| other == name);
    let disturbed = || board.terminals.iter().filter(|other| is_disturbed(&other.name));
    let tails = || disturbed().filter(|other| other.tail);
    match change {
        Some(Change::New) => return Some(InScopeWhy::New),
        Some(Change::ClampOrConductors) => return Some(InScopeWhy::Changed),
        Some(Change::Torque) if !is_disturbed(name) => return Some(InScopeWhy::OtherTorque),
        Some(Change::Torque | Change::Gone) | None => {}
    }
    if is_disturbed(name) {
        Some(InScopeWhy::Disturbed)
    } else if disturbed().any(|other| are_ends_of_one(board, other, terminal)) {
        Some(InScopeWhy::OtherEnd)
    } else if !terminal.tail && tails().any(|tail| tail.device.is_some() && tail.device == terminal.device) {
        Some(InScopeWhy::LoadSide)
    } else if is_main_earth(terminal) && tails().next().is_some() {
        Some(InScopeWhy::MainEarth)
    } else if what.added.contains(name) {
        Some(InScopeWhy::Added)
    } else {
        None
    }
}

/// The main earth: on an earth bar, of no way, and called so.
#[must_use]
pub fn is_main_earth(terminal: &Terminal) -> bool {
    terminal.role == Role::Earth && terminal.way.is_none() && bare_name(terminal).contains("main earth")
}

/// The name without the place or device it begins with, in small letters.
fn bare_name(terminal: &Terminal) -> String {
    let name = terminal.name.as_str();
    let device = terminal.device.as_ref().map_or("", |device| device.as_str());
    let without = |front: &str| name.strip_prefix(front).map(str::trim_start).filter(|rest| !rest.is_empty());
    let rest =
        without(terminal.place.as_str()).or_else(|| without(device).filter(|_| terminal.way.is_none()));
    rest.unwrap_or(name).to_lowercase()
}

/// Whether two terminals hold the two ends of one conductor of this board.
fn are_ends_of_one(board: &Board, one: &Terminal, other: &Terminal) -> bool {
    let clamped = !one.conductors.is_empty() && !other.conductors.is_empty();
    if !clamped || one.place == other.place || one.tail || other.tail {
        return false;
    }
    if one.way.is_none() && other.way.is_none() && bare_name(one) == bare_name(other) {
        return true;
    }
    let fitting = |t: &Terminal| {
        board.places.iter().any(|place| place.name == t.place && place.kind == PlaceKind::Fitting)
    };
    let poles = one.pole.is_none() || other.pole.is_none() || one.pole == other.pole;
    one.circuit.is_some()
        && one.circuit == other.circuit
        && one.role == other.role
        && poles
        && fitting(one) != fitting(other)
}

/// Ends that lie beyond the supplier's seals, where tails were disturbed.
fn not_ours(board: &Board, what: &Disturbance) -> Vec<String> {
    let disturbed = |t: &&Terminal| t.tail && what.disturbed.iter().any(|(name, _)| *name == t.name);
    let tails: Vec<&str> = board.terminals.iter().filter(disturbed).map(|t| t.name.as_str()).collect();
    if tails.is_empty() {
        return Vec::new();
    }
    vec![format!("far ends of the tails at {}: meter and cut-out", tails.join(", "))]
}
