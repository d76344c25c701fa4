//! Every rule: an act becomes facts, or is refused with a reason.
//!
//! Nothing is changed here. What an act leads to stands in the facts; what stands afterwards is derived.

mod amend;
mod close;
mod findings;
mod frame;
mod keeping;
mod looked;
mod row;
mod scope;
mod slip;
mod steps;
mod torque;

pub use close::closing;
pub(crate) use close::last_look_stands;
pub(super) use close::{is_signed, tails_to_look_at};
pub(crate) use findings::shifted_since;
pub(crate) use frame::{beyond_any_tool, calibration_holds};
pub use torque::setting_for;
pub(crate) use torque::{judge, judged, no_setting, step_of};

use super::act::Act;
use super::refusal::Refusal;
use super::standing::{Need, Standing};
use super::visit::{TerminalIndex, Visit};
use crate::domain::names::{ConductorName, PersonId, TerminalName};
use crate::domain::record::{Fact, Mode};
use crate::domain::text::{REMARK_COLUMNS, checked};

type Facts = Result<Vec<Fact>, Refusal>;

/// Decides upon an act of the person on the tool.
///
/// # Errors
/// A [`Refusal`] that says, in trade words, why nothing is recorded and what to do.
pub fn decide(visit: &Visit, who: &PersonId, act: &Act) -> Facts {
    match act {
        Act::Open(open) => return frame::open(visit, open),
        Act::Begin(session) => return frame::begin(visit, session),
        _ => {}
    }
    if visit.opened().is_none() {
        return Err(Refusal::NotOpened);
    }
    if visit.ended().is_some() {
        return Err(Refusal::Ended);
    }
    if visit.session().is_none() {
        return Err(Refusal::NoSession);
    }
    super::audit::permits(visit, act)?;
    frame_or_work(visit, who, act)
}

fn frame_or_work(visit: &Visit, who: &PersonId, act: &Act) -> Facts {
    match act {
        Act::Open(_) | Act::Begin(_) => Err(Refusal::OpenedAlready),
        Act::Join(person) => frame::join(visit, person),
        Act::StateTool(tool) => frame::state_tool(visit, tool),
        Act::AnswerGates(gates) => frame::answer_gates(visit, gates),
        Act::ChooseRoute(order) => Ok(frame::choose_route(*order)),
        Act::AmendBoard { board, board_sha256, reason } => amend::amend(visit, board, board_sha256, reason),
        Act::BeginSpan { tool, required, read } => frame::begin_work(visit, tool, *required, *read),
        Act::EndSpan { tool, read, cause, next } => {
            frame::end_span(visit, tool, *read, cause.as_ref(), next.as_ref())
        }
        Act::LoseScale { tool, why } => frame::lose_scale(visit, tool, why),
        Act::DoubtTool { tool, what } => frame::doubt(visit, tool, what),
        Act::ReleaseTool { tool, by, why } => frame::release(visit, tool, by, why),
        Act::SettleReady { terminal, how } => findings::settle_ready(visit, terminal, *how),
        Act::WaiveSettle { terminal, why } => findings::waive_settle(visit, terminal, why),
        Act::Prepare { conductors, how, aluminium, mode } => {
            steps::prepare(visit, who, conductors, how, aluminium, *mode)
        }
        Act::Enter { conductors, fault, mode } => steps::enter(visit, who, conductors, *fault, *mode),
        Act::Torque { terminal, tool, result, mode } => {
            torque::torque(visit, who, terminal, (tool.as_ref(), result, None), *mode)
        }
        Act::Settle { terminal, tool, result, turned, mode } => {
            torque::settle(visit, who, terminal, (tool.as_ref(), result, *turned), *mode)
        }
        Act::Audit(act) => super::audit::decide(visit, who, act),
        Act::SetScope(scope) => scope::set_scope(visit, scope),
        Act::Look { terminals, result, untouched, mode } => {
            looked::look(visit, who, terminals, result, untouched.as_deref(), *mode)
        }
        Act::Try { terminal, tool, at, found, mode } => {
            looked::try_screw(visit, who, terminal, tool, (*at, found), *mode)
        }
        Act::TorqueRow { terminals, tool, scale_after, count, exceptions, mode } => {
            row::torque(visit, who, (terminals, exceptions), (tool, scale_after.as_ref()), *count, *mode)
        }
        Act::Tug { conductors, result, mode } => steps::tug(visit, who, conductors, *result, *mode),
        Act::Mark { terminals, result, mode } => steps::mark(visit, who, terminals, *result, *mode),
        Act::Decide { terminal, about, strands, choice, remark } => {
            findings::decide_on(visit, who, terminal, *about, *strands, *choice, remark)
        }
        Act::Disturb { terminals, how, by, checked_by_them, why } => {
            findings::disturb(visit, terminals, *how, by, *checked_by_them, why)
        }
        Act::Remake { terminal, conductors, why } => findings::remake(visit, who, terminal, conductors, why),
        Act::Replace { device, why } => findings::replace(visit, who, device, why),
        Act::SetAside { terminals, why } => keeping::set_aside(visit, terminals, why),
        Act::Tell { terminals, whom } => keeping::tell(visit, terminals, whom.as_deref()),
        Act::TakeUp { terminals, why } => keeping::take_up(visit, terminals, why),
        Act::Remark { on, text, before_power_on, handed_to } => {
            keeping::remark(visit, on, text, *before_power_on, handed_to.as_deref())
        }
        Act::Correct { seq, terminal, fact, why } => slip::correct(visit, *seq, terminal.as_ref(), fact, why),
        Act::LastLook { tails, why_not, covers, locks_and_tools_out, energised_by } => close::last_look(
            visit,
            who,
            tails,
            why_not.as_deref(),
            covers,
            locks_and_tools_out,
            energised_by.as_deref(),
        ),
        Act::Sign { person, capacity } => close::sign(visit, person, capacity),
        Act::Abandon { why, told } => close::abandon(why, told),
        Act::Close => close::close(visit),
    }
}

/// A text as it may be kept.
pub(super) fn text(what: &str, text: &str) -> Result<String, Refusal> {
    checked(text, REMARK_COLUMNS).map_err(|bad| Refusal::BadText(format!("{what}: {}", bad.reason())))
}

/// A text that may be left empty.
fn text_or_empty(what: &str, words: &str) -> Result<String, Refusal> {
    if words.trim().is_empty() { Ok(String::new()) } else { text(what, words) }
}

fn terminal_at(visit: &Visit, name: &TerminalName) -> Result<TerminalIndex, Refusal> {
    visit.find(name).ok_or_else(|| Refusal::Unknown("terminal", name.0.clone()))
}

fn standing_of<'a>(visit: &'a Visit, name: &TerminalName) -> Result<(TerminalIndex, &'a Standing), Refusal> {
    let at = terminal_at(visit, name)?;
    let standing = visit.standing(at).ok_or_else(|| Refusal::Unknown("terminal", name.0.clone()))?;
    Ok((at, standing))
}

fn conductor_at(visit: &Visit, name: &ConductorName) -> Result<(TerminalIndex, usize), Refusal> {
    visit.find_conductor(name).ok_or_else(|| Refusal::Unknown("conductor", name.0.clone()))
}

/// Refuses what is not part of the visit.
fn in_scope(visit: &Visit, name: &TerminalName) -> Result<(), Refusal> {
    terminal_at(visit, name)?;
    if visit.is_part(name) {
        return Ok(());
    }
    Err(Refusal::ChoiceNotPossible("it is not in scope: add it to the scope first (list, i)"))
}

/// Refuses contact: no gate, a live source, set aside.
fn may_touch(visit: &Visit, who: &PersonId, name: &TerminalName) -> Result<(), Refusal> {
    if visit.gate(who).is_none() {
        return Err(Refusal::GateFirst);
    }
    if let Some(source) = visit.live_source(name) {
        return Err(Refusal::Live(name.clone(), source.to_owned()));
    }
    in_scope(visit, name)?;
    let (_, standing) = standing_of(visit, name)?;
    if standing.aside.is_some() { Err(Refusal::IsSetAside(name.clone())) } else { Ok(()) }
}

/// Refuses a step while something else has to be done first.
fn nothing_needed(name: &TerminalName, standing: &Standing) -> Result<(), Refusal> {
    match standing.need {
        None => Ok(()),
        Some(Need::Strands) => Err(Refusal::StrandsFirst(name.clone())),
        Some(Need::LookAtScrew { .. }) => Err(Refusal::LookFirst(name.clone())),
        Some(Need::Distributor) => Err(Refusal::DoNotTouch(name.clone())),
        Some(Need::Replace) => Err(Refusal::ReplaceFirst(name.clone())),
        Some(Need::Remake) => Err(Refusal::RemakeFirst(name.clone())),
        Some(Need::NoAccess) => Err(Refusal::NoAccess(name.clone())),
        Some(Need::NoMakersValue) => Err(Refusal::NoMakersValue(name.clone())),
        Some(Need::Spare) => Err(Refusal::SpareWay(name.clone())),
    }
}

/// Refuses the mode of a rehearsal in a visit, and any other in a rehearsal.
pub(super) fn mode_fits(visit: &Visit, mode: Mode) -> Result<(), Refusal> {
    if (mode == Mode::Rehearsed) == visit.is_rehearsal() { Ok(()) } else { Err(Refusal::RehearsalMode) }
}
