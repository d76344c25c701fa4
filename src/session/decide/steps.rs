//! Rules of the steps without a tool: prepare, entry, tug, mark.

use super::{Facts, conductor_at, may_touch, mode_fits, nothing_needed, standing_of, text};
use crate::domain::conductor::{AluminiumCare, Metal, Preparation};
use crate::domain::names::{ConductorName, PersonId, TerminalName};
use crate::domain::record::{
    Attempt, Entered, EntryFault, Fact, MarkResult, Marked, Mode, Prepared, SourceState, Tug, Tugged,
};
use crate::session::refusal::Refusal;
use crate::session::standing::Standing;
use crate::session::steps::Step;
use crate::session::visit::{TerminalIndex, Visit};

/// Conductors named together: each exists, may be touched, and all are of one attempt.
struct Named {
    attempt: Attempt,
    round: u8,
    each: Vec<(TerminalIndex, usize)>,
}

fn named(visit: &Visit, who: &PersonId, conductors: &[ConductorName]) -> Result<Named, Refusal> {
    let mut each = Vec::new();
    let mut attempt = None;
    let mut round = None;
    for name in conductors {
        let (at, nth) = conductor_at(visit, name)?;
        if each.contains(&(at, nth)) {
            return Err(Refusal::NotTogether);
        }
        let terminal = visit.terminal(at).ok_or_else(|| Refusal::Unknown("conductor", name.0.clone()))?;
        may_touch(visit, who, &terminal.name)?;
        let (_, standing) = standing_of(visit, &terminal.name)?;
        nothing_needed(&terminal.name, standing)?;
        if *attempt.get_or_insert(standing.attempt) != standing.attempt
            || *round.get_or_insert(standing.round) != standing.round
        {
            return Err(Refusal::NotTogether);
        }
        each.push((at, nth));
    }
    let attempt = attempt.ok_or(Refusal::NothingNamed)?;
    Ok(Named { attempt, round: round.unwrap_or(0), each })
}

fn parts(visit: &Visit, at: TerminalIndex) -> Result<(&TerminalName, &Standing), Refusal> {
    let terminal = visit.terminal(at).ok_or(Refusal::NothingNamed)?;
    let standing = visit.standing(at).ok_or(Refusal::NothingNamed)?;
    Ok((&terminal.name, standing))
}

/// The step is there, open, and everything before it is good.
pub(super) fn step_is_next(name: &TerminalName, standing: &Standing, step: Step) -> Result<(), Refusal> {
    if !standing.steps.contains(&step) {
        return Err(Refusal::NoSuchStep(name.clone(), step.words()));
    }
    if standing.answer(step).is_some_and(|answer| answer.good) {
        return Err(Refusal::AnsweredAlready(name.clone(), step.words()));
    }
    let first_open = standing.steps.iter().find(|other| {
        let before = match (step, **other) {
            (Step::Enter(nth), Step::Prepare(other)) => nth == other,
            (Step::Torque { .. }, Step::Torque { .. }) | (Step::Check { .. }, Step::Check { .. }) => {
                standing.steps.iter().position(|s| s == *other)
                    < standing.steps.iter().position(|s| *s == step)
            }
            (_, other) => other.stage() < step.stage(),
        };
        before && !standing.answer(**other).is_some_and(|answer| answer.good)
    });
    match first_open {
        Some(other) => Err(Refusal::StepFirst(name.clone(), other.words())),
        None => Ok(()),
    }
}

pub(super) fn prepare(
    visit: &Visit,
    who: &PersonId,
    conductors: &[ConductorName],
    how: &Preparation,
    aluminium: &[AluminiumCare],
    mode: Mode,
) -> Facts {
    mode_fits(visit, mode)?;
    let named = named(visit, who, conductors)?;
    for (at, nth) in &named.each {
        let (name, standing) = parts(visit, *at)?;
        step_is_next(name, standing, Step::Prepare(*nth))?;
        aluminium_fits(visit, (*at, *nth), aluminium)?;
    }
    let how = match how {
        Preparation::Other(words) => Preparation::Other(text("preparation", words)?),
        named => named.clone(),
    };
    Ok(vec![Fact::Prepared(Prepared {
        conductors: conductors.to_vec(),
        attempt: named.attempt,
        how,
        aluminium: aluminium.to_vec(),
        mode,
    })])
}

/// Only aluminium is brushed and given compound.
pub(super) fn aluminium_fits(
    visit: &Visit,
    (at, nth): (TerminalIndex, usize),
    care: &[AluminiumCare],
) -> Result<(), Refusal> {
    let metal = visit.terminal(at).and_then(|t| t.conductors.get(nth)).map(|c| c.metal);
    if !care.is_empty() && metal != Some(Metal::Aluminium) {
        return Err(Refusal::ChoiceNotPossible("only aluminium is brushed and given compound here"));
    }
    Ok(())
}

pub(super) fn enter(
    visit: &Visit,
    who: &PersonId,
    conductors: &[ConductorName],
    fault: Option<EntryFault>,
    mode: Mode,
) -> Facts {
    mode_fits(visit, mode)?;
    let named = named(visit, who, conductors)?;
    for (at, nth) in &named.each {
        let (name, standing) = parts(visit, *at)?;
        step_is_next(name, standing, Step::Enter(*nth))?;
        let tail = visit.terminal(*at).is_some_and(|terminal| terminal.tail);
        if tail && incoming_unconnected(visit) {
            return Err(Refusal::TailsGoIn);
        }
    }
    Ok(vec![Fact::Entered(Entered {
        conductors: conductors.to_vec(),
        attempt: named.attempt,
        right: fault.is_none(),
        fault,
        mode,
    })])
}

fn incoming_unconnected(visit: &Visit) -> bool {
    visit
        .gates_now()
        .next_back()
        .and_then(|gates| gates.sources.first())
        .is_some_and(|incoming| incoming.state == SourceState::Unconnected)
}

pub(super) fn tug(
    visit: &Visit,
    who: &PersonId,
    conductors: &[ConductorName],
    result: Tug,
    mode: Mode,
) -> Facts {
    mode_fits(visit, mode)?;
    let named = named(visit, who, conductors)?;
    for (at, nth) in &named.each {
        let (name, standing) = parts(visit, *at)?;
        let check = Step::CheckTug(*nth);
        let step = if standing.steps.contains(&check) { check } else { Step::Tug(*nth) };
        step_is_next(name, standing, step)?;
    }
    Ok(vec![Fact::Tugged(Tugged {
        conductors: conductors.to_vec(),
        attempt: named.attempt,
        round: named.round,
        result,
        mode,
        count: None,
    })])
}

pub(super) fn mark(
    visit: &Visit,
    who: &PersonId,
    terminals: &[TerminalName],
    result: MarkResult,
    mode: Mode,
) -> Facts {
    mode_fits(visit, mode)?;
    let mut attempt = None;
    let mut round = None;
    for (nth, name) in terminals.iter().enumerate() {
        if terminals.iter().take(nth).any(|earlier| earlier == name) {
            return Err(Refusal::NotTogether);
        }
        may_touch(visit, who, name)?;
        let (_, standing) = standing_of(visit, name)?;
        nothing_needed(name, standing)?;
        step_is_next(name, standing, Step::Mark)?;
        if *attempt.get_or_insert(standing.attempt) != standing.attempt
            || *round.get_or_insert(standing.round) != standing.round
        {
            return Err(Refusal::NotTogether);
        }
    }
    let attempt = attempt.ok_or(Refusal::NothingNamed)?;
    Ok(vec![Fact::Marked(Marked {
        terminals: terminals.to_vec(),
        attempt,
        round: round.unwrap_or(0),
        result,
        mode,
    })])
}
