//! Rules of the torque: which tool can do it, what it has to be set to, what it is judged by.

use super::frame::{calibration_holds, tool_in_hand};
use super::steps::step_is_next;
use super::{Facts, may_touch, mode_fits, nothing_needed, standing_of, text};
use crate::domain::applied::Applied;
use crate::domain::limits::Limits;
use crate::domain::names::{PersonId, SpanId, TerminalName, ToolId};
use crate::domain::record::{AppliedTorque, Fact, Mode, TorqueResult, Torqued, Turned};
use crate::domain::stated::{Stated, TorqueRow};
use crate::domain::tool::{NoSetting, Tool, ToolKind};
use crate::domain::torque::Torque;
use crate::domain::verdict::{DecisionRule, RULES, Verdict};
use crate::session::refusal::Refusal;
use crate::session::steps::Step;
use crate::session::visit::{TerminalIndex, Visit};
use rust_decimal::Decimal;

/// Why a tool cannot be set for a torque, in words.
pub(crate) fn no_setting(tool: &Tool, aim: &Torque, why: NoSetting) -> String {
    let range = format!("{} to {} {}", tool.range.min, tool.range.max, tool.unit);
    match why {
        NoSetting::BelowRange => format!("{aim} lies below its range of {range}"),
        NoSetting::AboveRange => format!("{aim} lies above its range of {range}"),
        NoSetting::NotCalibratedHere => {
            format!("{aim} lies outside the points of its calibration, and nothing is extrapolated")
        }
        NoSetting::FixedElsewhere => format!("it is fixed at {} {}, not at {aim}", tool.range.min, tool.unit),
    }
}

/// What has to be set on a tool for a row of the maker's table, and the limits its torque is judged by.
///
/// # Errors
/// Out of its range, or no mark of it lies within the limits.
pub fn setting_for(visit: &Visit, row: &TorqueRow, tool: &Tool) -> Result<(Torque, Limits), Refusal> {
    if let Some(percent) = visit.audit().claimed().and_then(|claimed| claimed.tool.percent()) {
        return tried_at(row, tool, percent);
    }
    let aim = row.stated.aim();
    let required = tool
        .required(&aim)
        .map_err(|why| Refusal::OutOfRange(tool.id.clone(), no_setting(tool, &aim, why)))?;
    let own = match tool.kind {
        ToolKind::Indicating => visit.opened().and_then(|opened| opened.own_tolerance),
        ToolKind::Setting | ToolKind::Fixed => None,
    };
    let limits = Limits::of(row, own);
    if tool.kind == ToolKind::Indicating {
        if matches!(row.stated, Stated::Single { .. }) && own.is_none() {
            return Err(Refusal::NoOwnTolerance);
        }
        return Ok((required, limits));
    }
    if tool.can_stand_at(&required).is_err()
        || !judged(visit, &limits, &tool.applied(&required, None)).stands()
    {
        let why = format!("the nearest to {aim} is {required}, allowed {}", row.stated);
        return Err(Refusal::NoMarkWithin(tool.id.clone(), why));
    }
    Ok((required, limits))
}

/// What a tool is set to where a screw is only tried: the maker's value or a part of it, never above its upper limit.
fn tried_at(row: &TorqueRow, tool: &Tool, percent: u8) -> Result<(Torque, Limits), Refusal> {
    let whole = row.stated.aim();
    let part = whole.value.saturating_mul(Decimal::new(i64::from(percent), 2)).normalize();
    let aim = if percent == 100 { whole } else { Torque::new(part, whole.unit) };
    let required = tool
        .required(&aim)
        .map_err(|why| Refusal::OutOfRange(tool.id.clone(), no_setting(tool, &aim, why)))?;
    if tool.kind != ToolKind::Indicating
        && (tool.reaches(&required).is_err()
            || Limits::of(row, None).place(&required) == crate::domain::limits::Lies::Above)
    {
        let why = format!("the nearest to {aim} is {required}, allowed {}", row.stated);
        return Err(Refusal::NoMarkWithin(tool.id.clone(), why));
    }
    Ok((required, Limits::unknown()))
}

/// The verdict on an applied torque under the rule of the visit.
pub(crate) fn judged(visit: &Visit, limits: &Limits, applied: &Applied) -> Verdict {
    let rule = visit.opened().map_or(DecisionRule::GuardedFourWords, |opened| opened.decision_rule);
    Verdict::of(rule, limits, applied)
}

/// The step in which a reading was written down: `2.50` in hundredths.
pub(crate) fn step_of(value: Decimal) -> Decimal {
    Decimal::new(1, value.scale())
}

/// Tool, what it said, and whether the screw turned before it spoke.
type Said<'a> = (Option<&'a ToolId>, &'a TorqueResult, Option<Turned>);

/// The same torque once more after a wait: the movement of the screw is the finding.
pub(super) fn settle(
    visit: &Visit,
    who: &PersonId,
    name: &TerminalName,
    said: Said<'_>,
    mode: Mode,
) -> Facts {
    let (_, standing) = standing_of(visit, name)?;
    if standing.round == 0 && !checked(visit, name) {
        return Err(Refusal::StepFirst(name.clone(), "the wait"));
    }
    let (_, result, turned) = said;
    if turned.is_none() != matches!(result, TorqueResult::NotClicked { .. }) {
        return Err(Refusal::ResultNotOfTool("say whether the screw held or moved before the click"));
    }
    torque(visit, who, name, said, mode)
}

/// Whether the next screw is tried rather than tightened: at a coming back.
fn checked(visit: &Visit, name: &TerminalName) -> bool {
    let next = visit.find(name).and_then(|at| next_torque(visit, at));
    matches!(next, Some(Step::Check { .. }))
}

pub(super) fn torque(
    visit: &Visit,
    who: &PersonId,
    name: &TerminalName,
    said: Said<'_>,
    mode: Mode,
) -> Facts {
    let (tool, result, _) = said;
    let (mut fact, row) = bare_fact(visit, who, name, said, mode)?;
    match (tool, result) {
        (None, TorqueResult::ByHand | TorqueResult::NotClicked { .. }) => {
            if let Some(row) = row {
                fact.limits = Limits::of(row, None);
            }
        }
        (None, _) => {
            return Err(Refusal::ResultNotOfTool("without a torque tool nothing clicks and nothing is read"));
        }
        (Some(_), TorqueResult::ByHand) => {
            return Err(Refusal::ResultNotOfTool("tightened by hand means without a torque tool"));
        }
        (Some(id), _) => {
            let row = row.ok_or_else(|| Refusal::NoMakersValue(name.clone()))?;
            // a row is told when it is done: there the end of a calibration is a remark
            calibration_holds(visit, &tool_in_hand(visit, id)?.tool)?;
            with_tool(visit, (id, None), row, &mut fact)?;
        }
    }
    Ok(vec![Fact::Torqued(Box::new(fact))])
}

/// One terminal of a row, as a fact of its own; the span is given where its only scale is read after the work.
pub(super) fn row_fact(
    visit: &Visit,
    who: &PersonId,
    name: &TerminalName,
    (tool, span): (&ToolId, Option<&SpanId>),
    mode: Mode,
) -> Result<Torqued, Refusal> {
    let (mut fact, row) = bare_fact(visit, who, name, (Some(tool), &TorqueResult::Clicked, None), mode)?;
    let row = row.ok_or_else(|| Refusal::NoMakersValue(name.clone()))?;
    with_tool(visit, (tool, span), row, &mut fact)?;
    Ok(fact)
}

/// A torque that may be answered now, before its tool is looked at, and the row of the maker's table it goes by.
fn bare_fact<'a>(
    visit: &'a Visit,
    who: &PersonId,
    name: &TerminalName,
    (_, result, turned): Said<'_>,
    mode: Mode,
) -> Result<(Torqued, Option<&'a TorqueRow>), Refusal> {
    mode_fits(visit, mode)?;
    let (at, standing) = standing_of(visit, name)?;
    may_touch(visit, who, name)?;
    nothing_needed(name, standing)?;
    let Some(step) = next_torque(visit, at) else {
        let any = standing.steps.iter().any(|step| step.is_torque());
        return Err(if any {
            Refusal::AnsweredAlready(name.clone(), "torque")
        } else {
            Refusal::NoSuchStep(name.clone(), "torque")
        });
    };
    step_is_next(name, standing, step)?;
    let asked = standing.round > 0 || matches!(step, Step::Check { .. });
    if asked && turned.is_none() && !matches!(result, TorqueResult::NotClicked { .. }) {
        return Err(Refusal::ResultNotOfTool("say whether the screw held or moved before the click"));
    }
    let clamp = visit.clamp(at).ok_or_else(|| Refusal::Unknown("terminal", name.0.clone()))?;
    let conductors = visit.terminal(at).map_or(&[][..], |terminal| &terminal.conductors);
    let (screw, pass) = match step {
        Step::Torque { screw, pass } if clamp.screws == 2 => (Some(screw), Some(pass)),
        Step::Check { screw } if clamp.screws == 2 => (Some(screw), Some(1)),
        _ => (None, None),
    };
    let row = clamp.torque_for(conductors);
    let fact = Torqued {
        terminals: vec![name.clone()],
        screw,
        pass,
        attempt: standing.attempt,
        round: standing.round,
        tool: None,
        serial: None,
        span: None,
        result: result.clone(),
        applied: None,
        turned,
        aim: row.map(|row| row.stated.aim()),
        required: None,
        limits: Limits::unknown(),
        rules: RULES,
        verdict: Verdict::NotJudged,
        mode,
        count: None,
        exceptions: Vec::new(),
    };
    Ok((fact, row))
}

fn with_tool(
    visit: &Visit,
    (id, after_work): (&ToolId, Option<&SpanId>),
    row: &TorqueRow,
    fact: &mut Torqued,
) -> Result<(), Refusal> {
    let held = tool_in_hand(visit, id)?;
    let (required, limits) = setting_for(visit, row, &held.tool)?;
    match (held.tool.kind, &fact.result) {
        (ToolKind::Indicating, TorqueResult::Clicked) => {
            return Err(Refusal::ResultNotOfTool(
                "an indicating tool is read, it does not click: type its reading",
            ));
        }
        (ToolKind::Setting | ToolKind::Fixed, TorqueResult::Reading { .. }) => {
            return Err(Refusal::ResultNotOfTool(
                "this tool clicks, it shows no reading: its scale is read apart",
            ));
        }
        _ => {}
    }
    checked_result(&mut fact.result)?;
    if held.tool.kind != ToolKind::Indicating {
        fact.span = Some(match after_work {
            Some(span) => span.clone(),
            None => span_at(visit, id, &required)?,
        });
    }
    fact.tool = Some(id.clone());
    fact.serial = Some(held.tool.serial.clone());
    fact.required = Some(required);
    fact.limits = limits;
    judge(visit, Some(&held.tool), fact);
    Ok(())
}

/// What a torque applied and what that says of its limits, by what its tool said.
pub(crate) fn judge(visit: &Visit, tool: Option<&Tool>, fact: &mut Torqued) {
    let applied =
        tool.zip(fact.required).and_then(|(tool, required)| applied_by(tool, &fact.result, &required));
    fact.verdict =
        applied.as_ref().map_or(Verdict::NotJudged, |applied| judged(visit, &fact.limits, applied));
    fact.applied = applied.as_ref().and_then(kept);
}

/// What a tool applied by what it said; nothing where it did not speak.
pub(crate) fn applied_by(tool: &Tool, result: &TorqueResult, required: &Torque) -> Option<Applied> {
    match result {
        TorqueResult::Reading { value, unit, .. } => {
            Some(tool.applied(&Torque::new(*value, *unit), Some(step_of(*value))))
        }
        TorqueResult::Clicked => Some(tool.applied(required, None)),
        TorqueResult::NotClicked { .. } | TorqueResult::ByHand => None,
    }
}

fn kept(applied: &Applied) -> Option<AppliedTorque> {
    let w = match applied.w() {
        Some(w) => Some(w.decimal(9)?),
        None => None,
    };
    Some(AppliedTorque { value: applied.torque.decimal(9)?, unit: applied.unit, w })
}

/// The span of a tool that stands at a setting, its scale read in this session.
pub(super) fn span_at(visit: &Visit, id: &ToolId, required: &Torque) -> Result<SpanId, Refusal> {
    let span = visit.running_span(id).ok_or_else(|| Refusal::ScaleFirst(id.clone()))?;
    if Some(span.session) != visit.session() {
        return Err(Refusal::ScaleFirst(id.clone()));
    }
    if !span.start_agrees {
        return Err(Refusal::SpanRuns(span.id.clone()));
    }
    if span.required != *required {
        return Err(Refusal::OtherSetting(id.clone(), span.id.clone()));
    }
    Ok(span.id.clone())
}

/// A reading as it may be kept; other results are words already.
pub(super) fn checked_result(result: &mut TorqueResult) -> Result<(), Refusal> {
    if let TorqueResult::Reading { text: typed, value, .. } = result {
        if *value < Decimal::ZERO {
            return Err(Refusal::BadQuantity("a reading is 0 or more".into()));
        }
        *typed = text("reading", typed)?;
    }
    Ok(())
}

/// The next screw to be tightened at a terminal.
pub(crate) fn next_torque(visit: &Visit, at: TerminalIndex) -> Option<Step> {
    let standing = visit.standing(at)?;
    standing
        .steps
        .iter()
        .copied()
        .find(|step| step.is_torque() && !standing.answer(*step).is_some_and(|answer| answer.good))
}
