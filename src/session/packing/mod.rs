//! What to take along before leaving for a board: tools and their settings, bits, crimped ends, paint, questions, time.
//!
//! Everything follows from the board and the tools of the owner; the tool for each terminal is the one a walk offers,
//! that with the smallest error there. The usual decision rule is taken; the visit's own is only chosen when it is opened.
//! Deliberately absent: quantities that nobody states (wire, spares to throw away), and anything of other trades.

mod choice;
mod materials;

pub use choice::{Candidate, Doubtful, NoTool, NotTaken, PackedSetting, PackedTool, Tools, Why};
pub use materials::{Crimped, Materials, Question, Settles, Strip, Unknown};

use super::steps::{Step, steps_of};
use crate::domain::board::{Board, Terminal};
use crate::domain::clamp::Clamp;
use crate::domain::record::{Order, Pace};

/// Minutes to which a time is rounded up. Our choice: it is no appointment.
const MINUTES_STEP: u64 = 5;
const SECONDS_A_MINUTE: u64 = 60;
const MINUTES_AN_HOUR: u64 = 60;

/// What to take along.
#[derive(Clone, Debug, PartialEq)]
pub struct Packing {
    /// Tools, their settings, and what they cannot do.
    pub tools: Tools,
    /// How often a tool has to be set in each order.
    pub changes: Vec<(Order, usize)>,
    /// What is used up, brought, or asked about.
    pub materials: Materials,
    /// How long it may take; nothing where no record says how fast it went.
    pub time: Option<Expected>,
    /// Terminals at which something is to be done.
    pub terminals: usize,
}

/// How long it may take by past visits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Expected {
    /// Whole hours.
    pub hours: u64,
    /// Minutes besides, rounded up to five.
    pub minutes: u64,
    /// Visits it goes by.
    pub visits: usize,
    /// Terminals that were completed in these.
    pub terminals: u64,
}

/// What to take along for a board, of these tools, by the paces of earlier visits.
#[must_use]
pub fn packing(board: &Board, candidates: &[Candidate], paces: &[Pace]) -> Packing {
    let work: Vec<(&Terminal, &Clamp)> = board
        .terminals
        .iter()
        .filter_map(|terminal| Some((terminal, board.clamp(terminal)?)))
        .filter(|(terminal, clamp)| !steps_of(terminal, clamp).is_empty())
        .collect();
    let (tools, chosen) = choice::choose(&work, candidates);
    Packing {
        changes: choice::settings_by_order(board, &chosen),
        tools,
        materials: materials::materials(&work),
        time: expected(work.len(), paces),
        terminals: work.len(),
    }
}

/// Whether something is turned there.
fn is_tightened(terminal: &Terminal, clamp: &Clamp) -> bool {
    steps_of(terminal, clamp).iter().any(|step| matches!(step, Step::Torque { .. }))
}

fn expected(terminals: usize, paces: &[Pace]) -> Option<Expected> {
    let counted: Vec<&Pace> = paces.iter().filter(|pace| pace.terminals > 0).collect();
    let done: u64 = counted.iter().fold(0, |sum, pace| sum.saturating_add(pace.terminals.into()));
    let seconds: u64 = counted.iter().fold(0, |sum, pace| sum.saturating_add(pace.seconds_at_work));
    let here = u64::try_from(terminals).ok()?;
    let seconds = u128::from(seconds).checked_mul(here.into())?.checked_div(done.into())?;
    let step = MINUTES_STEP.saturating_mul(SECONDS_A_MINUTE);
    let steps = u64::try_from(seconds.div_ceil(step.into())).ok()?;
    let minutes = steps.saturating_mul(MINUTES_STEP);
    Some(Expected {
        hours: minutes.checked_div(MINUTES_AN_HOUR)?,
        minutes: minutes.checked_rem(MINUTES_AN_HOUR)?,
        visits: counted.len(),
        terminals: done,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Our own rule: seconds and terminals of all visits are added up first.
    #[test]
    fn time_goes_by_every_closed_visit_and_is_rounded_up() {
        let pace = |seconds_at_work, terminals| Pace { seconds_at_work, terminals };
        assert_eq!(expected(40, &[]), None);
        assert_eq!(expected(40, &[pace(300, 0)]), None);
        // (3600 + 1800) s / (30 + 15) terminals = 120 s each; 41 of them take 4920 s = 82 min
        let found = expected(41, &[pace(3600, 30), pace(1800, 15), pace(900, 0)]);
        assert_eq!(found, Some(Expected { hours: 1, minutes: 25, visits: 2, terminals: 45 }));
    }
}
