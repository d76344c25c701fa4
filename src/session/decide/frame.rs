//! Rules of the frame: opening, sessions, persons, tools, gates, route, scales.

use super::{Facts, terminal_at, text, text_or_empty};
use crate::domain::calibration::Running;
use crate::domain::names::{SpanId, ToolId};
use crate::domain::record::{
    FORMAT, Fact, Gates, Opened, Order, Person, Reset, Route, Scale, ScaleAt, ScaleUnread, Session,
    SourceState, ToolDoubted, ToolReleased,
};
use crate::domain::text::{NAME_COLUMNS, checked};
use crate::domain::tool::{Tool, ToolKind, Validity};
use crate::domain::torque::Torque;
use crate::domain::verdict::RULES;
use crate::session::act::{EndCause, OpenVisit, ScaleNext};
use crate::session::refusal::Refusal;
use crate::session::span::Span;
use crate::session::visit::{ToolInHand, Visit};
use rust_decimal::Decimal;

/// Most persons in a visit.
const PERSONS_MAX: usize = 40;
/// Most torque a tool may be stated for, N.m.
const TOOL_NM_MAX: u32 = 3_000;

pub(super) fn open(visit: &Visit, open: &OpenVisit) -> Facts {
    if visit.opened().is_some() {
        return Err(Refusal::OpenedAlready);
    }
    if open.own_tolerance.is_some_and(|own| own.0 <= Decimal::ZERO || own.0 > Decimal::from(50)) {
        return Err(Refusal::BadQuantity("own tolerance: more than 0 and at most 50 per cent".into()));
    }
    let person = checked_person(&open.person)?;
    Ok(vec![Fact::Opened(Box::new(Opened {
        format: FORMAT,
        program: open.program.clone(),
        rules: RULES,
        id: open.id.clone(),
        person,
        visit: open.visit,
        rehearsal: open.rehearsal,
        follows: open.follows.clone(),
        certificate: text_or_empty("certificate", &open.certificate)?,
        board: open.board.clone(),
        board_sha256: open.board_sha256.clone(),
        decision_rule: open.decision_rule,
        own_tolerance: open.own_tolerance,
    }))])
}

fn name(what: &str, words: &str) -> Result<String, Refusal> {
    checked(words, NAME_COLUMNS).map_err(|bad| Refusal::BadText(format!("{what}: {}", bad.reason())))
}

pub(super) fn checked_person(person: &Person) -> Result<Person, Refusal> {
    Ok(Person { id: person.id.clone(), name: name("name", &person.name)?, role: name("role", &person.role)? })
}

pub(super) fn begin(visit: &Visit, session: &Session) -> Facts {
    if visit.opened().is_none() {
        return Err(Refusal::NotOpened);
    }
    if visit.ended().is_some() {
        return Err(Refusal::Ended);
    }
    Ok(vec![Fact::Session(session.clone())])
}

pub(super) fn join(visit: &Visit, person: &Person) -> Facts {
    let person = checked_person(person)?;
    if visit.person(&person.id).is_some() {
        return Err(Refusal::Unknown("free person number", person.id.0.clone()));
    }
    if visit.persons().len() >= PERSONS_MAX {
        return Err(Refusal::BadQuantity(format!("at most {PERSONS_MAX} persons take part in a visit")));
    }
    Ok(vec![Fact::Person(person)])
}

/// The span of a tool whose end is still to be read.
fn open_span<'a>(visit: &'a Visit, tool: &ToolId) -> Option<&'a Span> {
    visit.open_spans().find(|span| span.tool == *tool)
}

/// A doubted tool gives no torque until it is released; the scale of its running span proves nothing any more.
pub(super) fn doubt(visit: &Visit, id: &ToolId, what: &str) -> Facts {
    tool_in_hand(visit, id)?;
    let what = text("what happened", what)?;
    let mut facts = Vec::new();
    if let Some(span) = open_span(visit, id) {
        facts.push(Fact::ScaleUnread(ScaleUnread {
            tool: id.clone(),
            span: span.id.clone(),
            why: format!("tool doubted: {what}"),
        }));
    }
    facts.push(Fact::ToolDoubted(ToolDoubted { tool: id.clone(), what, note: String::new() }));
    Ok(facts)
}

pub(super) fn release(visit: &Visit, id: &ToolId, by: &str, why: &str) -> Facts {
    let held = visit.tool(id).ok_or_else(|| Refusal::Unknown("tool", id.0.clone()))?;
    if held.doubted.is_none() {
        return Err(Refusal::NotDoubted(id.clone()));
    }
    Ok(vec![Fact::ToolReleased(ToolReleased {
        tool: id.clone(),
        by: text("released by", by)?,
        why: text("on what grounds", why)?,
    })])
}

pub(super) fn state_tool(visit: &Visit, tool: &Tool) -> Facts {
    if visit.tool(&tool.id).is_some() {
        return Err(Refusal::Unknown("free tool letter", tool.id.0.clone()));
    }
    let tool = checked_tool(tool)?;
    Ok(vec![Fact::Tool(Box::new(tool))])
}

/// Whether no tool is made for so much.
pub(crate) fn beyond_any_tool(most: Torque) -> bool {
    let limit = Torque::new(Decimal::from(TOOL_NM_MAX), crate::domain::torque::Unit::NewtonMetre);
    most.exact_nm() > limit.exact_nm()
}

/// A tool as it may be kept.
pub(super) fn checked_tool(tool: &Tool) -> Result<Tool, Refusal> {
    let bad = |why: &str| Refusal::BadQuantity(format!("tool {}: {why}", tool.id));
    if tool.range.min < Decimal::ZERO || tool.range.max <= Decimal::ZERO {
        return Err(bad("its range begins at 0 or more and ends above 0"));
    }
    if tool.range.min > tool.range.max {
        return Err(bad("its range is upside down: least first, then most"));
    }
    if beyond_any_tool(Torque::new(tool.range.max, tool.unit)) {
        return Err(bad("its range ends above 3000 N.m: check the unit"));
    }
    match (tool.kind, tool.graduation) {
        (ToolKind::Setting, None) => {
            return Err(bad("a setting tool has a graduation: the step of its scale"));
        }
        (ToolKind::Setting | ToolKind::Indicating, Some(step))
            if step <= Decimal::ZERO || step > tool.range.max =>
        {
            return Err(bad("its graduation is more than 0 and at most the end of its range"));
        }
        (ToolKind::Fixed, Some(_)) => return Err(bad("a fixed tool has no graduation")),
        (ToolKind::Fixed, None) if tool.range.min != tool.range.max => {
            return Err(bad("a fixed tool has one value"));
        }
        _ => {}
    }
    if tool.validity == Validity::Lapsed && tool.override_reason.is_none() {
        return Err(bad("its calibration has lapsed: take another tool, or say why it is used all the same"));
    }
    let mut tool = tool.clone();
    tool.name = name("tool name", &tool.name)?;
    tool.serial = name("serial number", &tool.serial)?;
    if let Some(class) = &tool.class {
        tool.class = Some(name("type and class", class)?);
    }
    if let Some(why) = &tool.override_reason {
        tool.override_reason = Some(text("reason", why)?);
    }
    for calibration in &mut tool.calibrations {
        if let Some(certificate) = &calibration.certificate {
            calibration.certificate = Some(name("certificate", certificate)?);
        }
    }
    Ok(tool)
}

pub(super) fn answer_gates(visit: &Visit, gates: &Gates) -> Facts {
    checked_gates(visit, gates).map(|gates| vec![Fact::Gates(gates)])
}

/// A gate as it may be kept.
pub(super) fn checked_gates(visit: &Visit, gates: &Gates) -> Result<Gates, Refusal> {
    if visit.person(&gates.person).is_none() {
        return Err(Refusal::Unknown("person", gates.person.0.clone()));
    }
    if gates.sources.first().is_none_or(|source| source.what != INCOMING) {
        return Err(Refusal::GateIncomplete("the first source is always the incoming side"));
    }
    for source in &gates.sources {
        for name in &source.feeds {
            terminal_at(visit, name)?;
        }
        let live = source.state == SourceState::Live;
        if live && (source.shrouded.is_none() || source.decided_by.is_none()) {
            return Err(Refusal::GateIncomplete(
                "beside a live source: is it shrouded, and who decided to work beside it",
            ));
        }
        if live && source.feeds.is_empty() {
            return Err(Refusal::GateIncomplete("a live source feeds at least one terminal: name them"));
        }
    }
    let mut gates = gates.clone();
    gates.dead_by = text("who proved it dead", &gates.dead_by)?;
    gates.proved_with = text("proved with", &gates.proved_with)?;
    gates.locked_off = text("locked off", &gates.locked_off)?;
    for source in &mut gates.sources {
        source.what = text("source of supply", &source.what)?;
        if let Some(by) = &source.decided_by {
            source.decided_by = Some(text("who decided", by)?);
        }
    }
    Ok(gates)
}

/// What the incoming side is called in a gate.
pub(super) const INCOMING: &str = "incoming";

pub(super) fn choose_route(order: Order) -> Vec<Fact> {
    vec![Fact::Route(Route { order })]
}

pub(super) fn tool_in_hand<'a>(visit: &'a Visit, id: &ToolId) -> Result<&'a ToolInHand, Refusal> {
    let held = visit.tool(id).ok_or_else(|| Refusal::Unknown("tool", id.0.clone()))?;
    if held.doubted.is_some() { Err(Refusal::Doubted(id.clone())) } else { Ok(held) }
}

/// Refuses work with a tool whose calibration has come to its end.
pub(crate) fn calibration_holds(visit: &Visit, tool: &Tool) -> Result<(), Refusal> {
    let due = tool.due();
    let ended = |how: String| Err(Refusal::CalibrationEnded(tool.id.clone(), how));
    match (visit.calibration_now(tool), due) {
        (Some(Running::Over), Some(due)) => ended(format!("ended on {}", due.until)),
        (Some(Running::UsedUp), Some(due)) => ended(format!("is used up: {} operations", due.operations)),
        _ => Ok(()),
    }
}

pub(super) fn checked_reading(read: &Torque) -> Result<(), Refusal> {
    if read.value < Decimal::ZERO {
        return Err(Refusal::BadQuantity("a scale reads 0 or more".into()));
    }
    Ok(())
}

fn next_span(visit: &Visit, tool: &ToolId) -> SpanId {
    let earlier = visit.spans().iter().filter(|span| span.tool == *tool).count();
    SpanId(format!("{tool}{}", earlier.saturating_add(1)))
}

/// The scale before the work.
pub(super) fn begin_work(visit: &Visit, id: &ToolId, required: Torque, read: Torque) -> Facts {
    calibration_holds(visit, &tool_in_hand(visit, id)?.tool)?;
    begin_span(visit, id, required, read)
}

pub(super) fn begin_span(visit: &Visit, id: &ToolId, required: Torque, read: Torque) -> Facts {
    let held = tool_in_hand(visit, id)?;
    if held.tool.kind == ToolKind::Indicating {
        return Err(Refusal::ResultNotOfTool("an indicating tool has no setting to read back"));
    }
    checked_reading(&read)?;
    held.tool.can_stand_at(&required).map_err(|why| {
        Refusal::OutOfRange(id.clone(), super::torque::no_setting(&held.tool, &required, why))
    })?;
    if let Some(span) = visit.running_span(id) {
        return Err(Refusal::SpanRuns(span.id.clone()));
    }
    if !held.tool.agrees(&read, &required) {
        return Err(Refusal::StartDisagrees);
    }
    Ok(vec![Fact::Scale(Scale {
        tool: id.clone(),
        span: next_span(visit, id),
        at: ScaleAt::Start,
        required,
        read,
        agrees: true,
        reset: None,
    })])
}

/// Who turned a scale on purpose, and for what, as it may be kept.
pub(super) fn checked_reset(reset: &Reset) -> Result<Reset, Refusal> {
    Ok(Reset { by: text("by whom", &reset.by)?, why: text("for what", &reset.why)? })
}

pub(super) fn end_span(
    visit: &Visit,
    id: &ToolId,
    read: Torque,
    cause: Option<&EndCause>,
    next: Option<&ScaleNext>,
) -> Facts {
    let held = visit.tool(id).ok_or_else(|| Refusal::Unknown("tool", id.0.clone()))?;
    let span = open_span(visit, id).ok_or_else(|| Refusal::NoSpan(id.clone()))?;
    checked_reading(&read)?;
    let agrees = held.tool.agrees(&read, &span.required);
    let reset = match (agrees, cause) {
        (true, None) | (false, Some(EndCause::NotKnown)) => None,
        (true, Some(_)) => return Err(Refusal::CauseNotNeeded),
        (false, None) => return Err(Refusal::CauseFirst),
        (false, Some(EndCause::Reset(reset))) => Some(checked_reset(reset)?),
    };
    let mut facts = vec![Fact::Scale(Scale {
        tool: id.clone(),
        span: span.id.clone(),
        at: ScaleAt::End,
        required: span.required,
        read,
        agrees,
        reset,
    })];
    if let Some(next) = next
        && held.tool.agrees(&read, &next.required)
        && held.tool.can_stand_at(&next.required).is_ok()
        && held.doubted.is_none()
        && calibration_holds(visit, &held.tool).is_ok()
    {
        facts.push(Fact::Scale(Scale {
            tool: id.clone(),
            span: next_span(visit, id),
            at: ScaleAt::Start,
            required: next.required,
            read,
            agrees: true,
            reset: None,
        }));
    }
    Ok(facts)
}

pub(super) fn lose_scale(visit: &Visit, id: &ToolId, why: &str) -> Facts {
    if visit.tool(id).is_none() {
        return Err(Refusal::Unknown("tool", id.0.clone()));
    }
    let span = open_span(visit, id).ok_or_else(|| Refusal::NoSpan(id.clone()))?;
    Ok(vec![Fact::ScaleUnread(ScaleUnread {
        tool: id.clone(),
        span: span.id.clone(),
        why: text("why it cannot be read", why)?,
    })])
}
