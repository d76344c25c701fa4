//! Rules of a row: several terminals tightened one after the other and entered together afterwards.

use super::frame::{begin_span, tool_in_hand};
use super::torque::{row_fact, setting_for};
use super::{Facts, standing_of};
use crate::domain::names::{PersonId, TerminalName, ToolId};
use crate::domain::record::{Fact, Mode, ScaleAt, Torqued};
use crate::domain::torque::Torque;
use crate::session::refusal::Refusal;
use crate::session::visit::Visit;

pub(super) fn torque(
    visit: &Visit,
    who: &PersonId,
    (terminals, exceptions): (&[TerminalName], &[TerminalName]),
    (tool, scale_after): (&ToolId, Option<&Torque>),
    count: u32,
    mode: Mode,
) -> Facts {
    if !matches!(mode, Mode::Row | Mode::Notes | Mode::Rehearsed) {
        return Err(Refusal::NotTogether);
    }
    super::mode_fits(visit, mode)?;
    if terminals.is_empty() {
        return Err(Refusal::NothingNamed);
    }
    if usize::try_from(count).ok() != Some(terminals.len()) {
        return Err(Refusal::CountDiffers);
    }
    for name in exceptions {
        super::terminal_at(visit, name)?;
        if terminals.contains(name) {
            return Err(Refusal::NotTogether);
        }
    }
    let mut facts = Vec::new();
    if let Some(read) = scale_after {
        facts.push(scale_after_work(visit, terminals, tool, *read)?);
    }
    let span = facts.iter().find_map(|fact| match fact {
        Fact::Scale(scale) => Some(scale.span.clone()),
        _ => None,
    });
    let mut whole: Option<Torqued> = None;
    for (nth, name) in terminals.iter().enumerate() {
        if terminals.iter().take(nth).any(|earlier| earlier == name) {
            return Err(Refusal::NotTogether);
        }
        let one = row_fact(visit, who, name, (tool, span.as_ref()), mode)?;
        let (_, standing) = standing_of(visit, name)?;
        if standing.round > 0 {
            return Err(Refusal::NotTogether);
        }
        match &mut whole {
            None => whole = Some(one),
            Some(fact) => {
                let alike = (fact.attempt, &fact.aim, &fact.required, &fact.limits, fact.screw)
                    == (one.attempt, &one.aim, &one.required, &one.limits, one.screw);
                if !alike || fact.screw.is_some() {
                    return Err(Refusal::NotTogether);
                }
                fact.terminals.push(name.clone());
            }
        }
    }
    if let Some(mut fact) = whole {
        fact.count = Some(count);
        fact.exceptions = exceptions.to_vec();
        facts.push(Fact::Torqued(Box::new(fact)));
    }
    Ok(facts)
}

/// A scale read only after the work: it has to agree, and its terminals carry a remark.
fn scale_after_work(
    visit: &Visit,
    terminals: &[TerminalName],
    id: &ToolId,
    read: Torque,
) -> Result<Fact, Refusal> {
    let held = tool_in_hand(visit, id)?;
    let first = terminals.first().ok_or(Refusal::NothingNamed)?;
    let at = super::terminal_at(visit, first)?;
    let conductors = visit.terminal(at).map_or(&[][..], |terminal| &terminal.conductors);
    let row = visit.clamp(at).and_then(|clamp| clamp.torque_for(conductors));
    let row = row.ok_or_else(|| Refusal::NoMakersValue(first.clone()))?;
    let (required, _) = setting_for(visit, row, &held.tool)?;
    let mut facts = begin_span(visit, id, required, read)?;
    match facts.pop() {
        Some(Fact::Scale(mut scale)) => {
            scale.at = ScaleAt::AfterWork;
            Ok(Fact::Scale(scale))
        }
        _ => Err(Refusal::NoSpan(id.clone())),
    }
}
