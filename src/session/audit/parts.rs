//! Which part of an audit a terminal belongs to.

use crate::domain::board::{Board, PlaceKind, Role, Terminal};
use crate::domain::clamp::Clamp;
use crate::domain::conductor::Metal;
use crate::domain::names::TerminalName;
use crate::domain::record::{AlwaysIn, AlwaysInWhy, Fact, LookResult, Mark, Thermal, ToolReach};
use crate::session::visit::{TerminalIndex, Visit};

/// Part of an audit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Nothing is connected: not part of the audit.
    Spare,
    /// A busbar finger, link or bolted stab: nothing to tug, claimed apart.
    Finger,
    /// With conductors: always in, or of the remainder.
    Conductors,
}

/// The part of a terminal.
#[must_use]
pub fn part_of(terminal: &Terminal, clamp: &Clamp) -> Part {
    if !clamp.kind.takes_conductors() {
        Part::Finger
    } else if terminal.conductors.is_empty() {
        Part::Spare
    } else {
        Part::Conductors
    }
}

/// The part of a terminal by its place in the board.
#[must_use]
pub fn part_at(visit: &Visit, at: TerminalIndex) -> Part {
    match visit.terminal(at).zip(visit.clamp(at)) {
        Some((terminal, clamp)) => part_of(terminal, clamp),
        None => Part::Spare,
    }
}

/// Why the board alone puts a terminal on the always-in list; nothing where it does not.
#[must_use]
pub fn always_in_by_board(board: &Board, terminal: &Terminal) -> Option<AlwaysInWhy> {
    let incomer = board.places.iter().find(|p| p.name == terminal.place).map(|p| p.kind);
    if terminal.tail || incomer == Some(PlaceKind::Incomer) {
        Some(AlwaysInWhy::Incoming)
    } else if terminal.role == Role::Neutral {
        Some(AlwaysInWhy::Neutral)
    } else if terminal.role == Role::Earth && terminal.way.is_none() {
        Some(AlwaysInWhy::MainEarth)
    } else if terminal.conductors.iter().any(|conductor| conductor.metal == Metal::Aluminium) {
        Some(AlwaysInWhy::Aluminium)
    } else {
        None
    }
}

/// Whether a look found it damaged or heat-marked: *bad* without any tug.
#[must_use]
pub fn seen_bad(result: &LookResult) -> bool {
    result.marks().iter().any(|mark| matches!(mark, Mark::Heat(_) | Mark::StrandsDamaged))
}

/// The look that stands at a terminal.
#[must_use]
pub fn look_at<'a>(visit: &'a Visit, name: &TerminalName) -> Option<&'a LookResult> {
    let at = visit.find(name)?;
    let looks = visit.lines_about(at).filter_map(|line| match visit.effective(line, Some(name)) {
        Fact::Looked(looked) => Some(&looked.result),
        _ => None,
    });
    looks.last()
}

/// Terminals looked at in any case and the remainder, both in the order of the board, as they would be drawn now.
#[must_use]
pub fn populations(visit: &Visit, named: &[TerminalName]) -> (Vec<AlwaysIn>, Vec<TerminalName>) {
    let (mut always_in, mut remainder) = (Vec::new(), Vec::new());
    let Some(board) = visit.board() else { return (always_in, remainder) };
    for terminal in &board.terminals {
        if board.clamp(terminal).is_none_or(|clamp| part_of(terminal, clamp) != Part::Conductors) {
            continue;
        }
        let name = &terminal.name;
        let hot = || {
            visit.audit().thermal.iter().any(|(_, thermal)| {
                matches!(thermal, Thermal::Reading(r) if r.terminal == *name && r.class.is_hot())
            })
        };
        let why = always_in_by_board(board, terminal)
            .or_else(|| hot().then_some(AlwaysInWhy::Hot))
            .or_else(|| look_at(visit, name).is_some_and(seen_bad).then_some(AlwaysInWhy::SeenBad))
            .or_else(|| named.contains(name).then_some(AlwaysInWhy::Named));
        match why {
            Some(why) => always_in.push(AlwaysIn { terminal: name.clone(), why }),
            None => remainder.push(name.clone()),
        }
    }
    (always_in, remainder)
}

/// Whether the tool can be put on a terminal: a screw with a known maker's value, and no full torque where its maker
/// forbids a second one.
#[must_use]
pub fn tool_fits(terminal: &Terminal, clamp: &Clamp, reach: ToolReach) -> bool {
    let allowed = match reach {
        ToolReach::NotUsed => false,
        ToolReach::MakersValue => !clamp.second_torque_forbidden,
        ToolReach::Part { .. } => true,
    };
    allowed && clamp.kind.has_screw() && clamp.torque_for(&terminal.conductors).is_some()
}
