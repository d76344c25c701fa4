//! Rules of coming back: looking, and trying a screw with the tool.

use super::frame::tool_in_hand;
use super::steps::step_is_next;
use super::torque::{next_torque, span_at};
use super::{Facts, may_touch, mode_fits, nothing_needed, standing_of, text};
use crate::domain::names::{PersonId, TerminalName, ToolId};
use crate::domain::record::{Fact, LookResult, Looked, Mode, Moved, Movement, Untouched};
use crate::domain::text::{NAME_COLUMNS, checked};
use crate::domain::tool::ToolKind;
use crate::domain::torque::Torque;
use crate::session::refusal::Refusal;
use crate::session::steps::Step;
use crate::session::visit::Visit;
use rust_decimal::Decimal;

/// Looking is no contact where it is said to be without touching, and who decided so: then it needs no gate, and may be
/// done beside what is live.
pub(super) fn look(
    visit: &Visit,
    who: &PersonId,
    terminals: &[TerminalName],
    result: &LookResult,
    untouched: Option<&str>,
    mode: Mode,
) -> Facts {
    mode_fits(visit, mode)?;
    let mut attempt = None;
    for (nth, name) in terminals.iter().enumerate() {
        if terminals.iter().take(nth).any(|earlier| earlier == name) {
            return Err(Refusal::NotTogether);
        }
        let (_, standing) = standing_of(visit, name)?;
        if untouched.is_none() {
            may_touch(visit, who, name)?;
        } else if standing.aside.is_some() {
            return Err(Refusal::IsSetAside(name.clone()));
        }
        nothing_needed(name, standing)?;
        step_is_next(name, standing, Step::Look)?;
        if *attempt.get_or_insert(standing.attempt) != standing.attempt {
            return Err(Refusal::NotTogether);
        }
    }
    let attempt = attempt.ok_or(Refusal::NothingNamed)?;
    Ok(vec![Fact::Looked(Looked {
        terminals: terminals.to_vec(),
        attempt,
        result: checked_look(result)?,
        untouched: untouched.map(untouched_by).transpose()?,
        mode,
        count: None,
    })])
}

fn untouched_by(by: &str) -> Result<Untouched, Refusal> {
    let decided_by = checked(by, NAME_COLUMNS)
        .map_err(|bad| Refusal::BadText(format!("who decided: {}", bad.reason())))?;
    Ok(Untouched { decided_by })
}

/// What was seen, as it may be kept: at least one thing, each once, in the order of the list.
pub(super) fn checked_look(result: &LookResult) -> Result<LookResult, Refusal> {
    let LookResult::Found(marks) = result else { return Ok(result.clone()) };
    let each: Vec<_> =
        crate::domain::record::Mark::ALL.into_iter().filter(|mark| marks.contains(mark)).collect();
    if each.is_empty() { Err(Refusal::NothingNamed) } else { Ok(LookResult::Found(each)) }
}

/// What a screw does under a tool that is not there to tighten it. A setting tool stands in a span; a first movement is
/// read on an indicating tool only.
pub(super) fn try_screw(
    visit: &Visit,
    who: &PersonId,
    name: &TerminalName,
    tool: &ToolId,
    (stood, found): (Option<Torque>, &Moved),
    mode: Mode,
) -> Facts {
    mode_fits(visit, mode)?;
    let (at, standing) = standing_of(visit, name)?;
    may_touch(visit, who, name)?;
    nothing_needed(name, standing)?;
    let step = next_torque(visit, at).filter(|step| matches!(step, Step::Check { .. }));
    let Some(step @ Step::Check { screw }) = step else {
        return Err(Refusal::NoSuchStep(name.clone(), "check with the tool"));
    };
    step_is_next(name, standing, step)?;
    if standing.answer(step).is_some() {
        return Err(Refusal::AnsweredAlready(name.clone(), "check with the tool"));
    }
    let held = tool_in_hand(visit, tool)?;
    let mut found = found.clone();
    let first = matches!(found, Moved::First { .. });
    if first && held.tool.kind != ToolKind::Indicating {
        return Err(Refusal::ResultNotOfTool(
            "a tool that clicks shows no first movement: it says held or moved",
        ));
    }
    if let Moved::First { text: typed, value, .. } = &mut found {
        if *value < Decimal::ZERO {
            return Err(Refusal::BadQuantity("a reading is 0 or more".into()));
        }
        *typed = text("reading", typed)?;
    }
    let span = match (held.tool.kind, stood) {
        (ToolKind::Indicating, _) => None,
        (_, Some(stood)) => Some(span_at(visit, tool, &stood)?),
        (_, None) => return Err(Refusal::ScaleFirst(tool.clone())),
    };
    let two = visit.clamp(at).is_some_and(|clamp| clamp.screws == 2);
    Ok(vec![Fact::Movement(Movement {
        terminal: name.clone(),
        screw: two.then_some(screw),
        attempt: standing.attempt,
        tool: tool.clone(),
        serial: held.tool.serial.clone(),
        span,
        at: stood,
        found,
        earlier: visit.in_scope(name).and_then(|entry| entry.last.as_ref()?.applied),
        mode,
    })])
}
