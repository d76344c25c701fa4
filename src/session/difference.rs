//! How two boards differ, terminal by terminal. Names are what a terminal is: a renamed one is gone and new.

use crate::domain::board::{Board, Terminal};
use crate::domain::clamp::Clamp;
use crate::domain::names::TerminalName;
use crate::domain::stated::TorqueRow;

/// What became of a terminal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// It was not there before.
    New,
    /// It is no longer there; its facts stay in the record.
    Gone,
    /// What the maker states for it differs; preparing and entry stand.
    Torque,
    /// Its clamp or its conductors differ: it begins again.
    ClampOrConductors,
}

impl Change {
    /// As it is shown.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::New => "new",
            Self::Gone => "gone",
            Self::Torque => "other torque",
            Self::ClampOrConductors => "other clamp or conductors",
        }
    }
}

/// Terminals that differ, those of the newer board first, in board order; then those that are gone.
#[must_use]
pub fn difference(older: &Board, newer: &Board) -> Vec<(TerminalName, Change)> {
    let mut changes = Vec::new();
    for terminal in &newer.terminals {
        let change = match older.terminal(&terminal.name) {
            None => Some(Change::New),
            Some(before) => change_of(older, before, newer, terminal),
        };
        changes.extend(change.map(|change| (terminal.name.clone(), change)));
    }
    let gone = older.terminals.iter().filter(|terminal| newer.terminal(&terminal.name).is_none());
    changes.extend(gone.map(|terminal| (terminal.name.clone(), Change::Gone)));
    changes
}

fn change_of(older: &Board, before: &Terminal, newer: &Board, after: &Terminal) -> Option<Change> {
    let (Some(clamp_before), Some(clamp_after)) = (older.clamp(before), newer.clamp(after)) else {
        return Some(Change::ClampOrConductors);
    };
    let conductors = |t: &Terminal| -> Vec<_> {
        t.conductors.iter().map(|c| (c.csa_mm2.normalize(), c.class, c.wires, c.metal)).collect()
    };
    let same = clamps_alike(clamp_before, clamp_after)
        && conductors(before) == conductors(after)
        && before.spare == after.spare
        && before.device == after.device;
    if !same {
        return Some(Change::ClampOrConductors);
    }
    let stated = |row: Option<&TorqueRow>| row.map(|row| row.stated.clone());
    let torque_before = stated(clamp_before.torque_for(&before.conductors));
    (torque_before != stated(clamp_after.torque_for(&after.conductors))).then_some(Change::Torque)
}

/// Alike in what the steps rest on; the torque apart.
fn clamps_alike(one: &Clamp, other: &Clamp) -> bool {
    (one.kind, one.screws, one.second_torque_forbidden, &one.settle)
        == (other.kind, other.screws, other.second_torque_forbidden, &other.settle)
}
