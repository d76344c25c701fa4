//! Whether what is in a terminal goes with its clamp: by what was planned, and by how it was really prepared once that
//! is recorded. Words for the person at the terminal and for the appendix; never a refusal, and plausibility is never
//! more than a question.

use super::steps::Step;
use super::visit::{TerminalIndex, Visit};
use crate::domain::conductor::Conductor;
use crate::domain::fit::{Misfit, misfits};
use crate::domain::plausible::{Implausible, implausible};
use crate::domain::record::Fact;

/// What does not go with the clamp of a terminal, each in a sentence; empty where nothing is known to be wrong.
#[must_use]
pub fn misfits_at(visit: &Visit, at: TerminalIndex) -> Vec<String> {
    let Some((terminal, clamp)) = visit.terminal(at).zip(visit.clamp(at)) else { return Vec::new() };
    let planned = &terminal.conductors;
    let prepared = as_prepared(visit, at, planned);
    let done = prepared != *planned;
    misfits(clamp, &prepared)
        .iter()
        .map(|misfit| {
            let found = if done { misfit.found().replace("planned", "prepared") } else { misfit.found() };
            format!("{found}; its clamp {} {}", clamp.name, misfit.stated(clamp))
        })
        .collect()
}

/// Whether something other than its preparation keeps a conductor from its clamp: worth knowing before it is stripped.
#[must_use]
pub fn misfits_before(visit: &Visit, at: TerminalIndex) -> Vec<String> {
    let Some((terminal, clamp)) = visit.terminal(at).zip(visit.clamp(at)) else { return Vec::new() };
    misfits(clamp, &terminal.conductors)
        .iter()
        .filter(|misfit| !matches!(misfit, Misfit::FineStranded { .. } | Misfit::NotNamed { .. }))
        .map(|misfit| format!("{}; its clamp {} {}", misfit.found(), clamp.name, misfit.stated(clamp)))
        .collect()
}

/// A question about a torque that can hardly be right for its thread; nothing where it can.
#[must_use]
pub fn doubtful_torque(visit: &Visit, at: TerminalIndex) -> Option<String> {
    let (terminal, clamp) = visit.terminal(at).zip(visit.clamp(at))?;
    let thread = clamp.thread_mm?;
    let row = clamp.torque_for(&terminal.conductors)?;
    let Implausible { torque, band, rather } = implausible(thread, &row.stated)?;
    let rather: Vec<String> = rather.iter().map(ToString::to_string).collect();
    let usual =
        if rather.is_empty() { String::new() } else { format!("; {} would be usual", rather.join(" or ")) };
    Some(format!(
        "is {torque} right for M{thread}? {} to {} N.m is a wide band round the test torques of IEC 60947-1{usual}",
        band.least_nm, band.most_nm
    ))
}

/// The conductors with the preparation that was recorded in the place of the planned one.
fn as_prepared(visit: &Visit, at: TerminalIndex, planned: &[Conductor]) -> Vec<Conductor> {
    let Some(standing) = visit.standing(at) else { return planned.to_vec() };
    planned
        .iter()
        .enumerate()
        .map(|(nth, conductor)| {
            let mut conductor = conductor.clone();
            let line = standing.answer(Step::Prepare(nth)).and_then(|answer| visit.line(answer.seq));
            let terminal = visit.terminal(at).map(|terminal| &terminal.name);
            if let Some(Fact::Prepared(prepared)) = line.map(|line| visit.effective(line, terminal)) {
                conductor.planned = Some(prepared.how.clone());
            }
            conductor
        })
        .collect()
}
