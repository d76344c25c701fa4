//! The order of the walk: places, ways and settings, in two passes.

use super::looked::can_be_met_live;
use super::{State, settle};
use crate::domain::exact::Exact;
use crate::domain::names::ToolId;
use crate::domain::record::{Order, Outcome};
use crate::domain::torque::Torque;
use crate::session::able::Able;
use crate::session::decide::calibration_holds;
use crate::session::standing::{Need, Standing};
use crate::session::steps::Step;
use crate::session::visit::{TerminalIndex, ToolInHand, Visit};
use std::collections::HashMap;

/// One of the two passes of a first visit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Pass {
    /// Prepare and enter.
    MakingOff,
    /// Torque, tug, mark.
    Tightening,
}

/// The pass a terminal waits for; nothing where it waits for none.
pub(super) fn pass_of(standing: &Standing) -> Option<Pass> {
    if standing.outcome != Outcome::Open {
        return None;
    }
    match (standing.need, standing.next_step()) {
        (Some(Need::Spare), _) => Some(Pass::MakingOff),
        (None, Some(step)) if step.is_making_off() => Some(Pass::MakingOff),
        (Some(_), _) | (None, Some(_)) => Some(Pass::Tightening),
        (None, None) => None,
    }
}

/// What a hand takes together in an order.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Group {
    Place(usize),
    Way(Option<u16>),
    Setting(Option<Exact>),
}

pub(super) fn group(visit: &Visit, order: Order, pass: Pass, at: TerminalIndex) -> Group {
    let place = || {
        let name = visit.terminal(at).map(|terminal| &terminal.place);
        let places = visit.board().map_or(&[][..], |board| &board.places);
        Group::Place(places.iter().position(|place| Some(&place.name) == name).unwrap_or(usize::MAX))
    };
    match (order, pass) {
        (Order::Place, _) | (Order::Setting, Pass::MakingOff) => place(),
        (Order::Way, _) => Group::Way(visit.terminal(at).and_then(|terminal| terminal.way).map(|way| way.0)),
        (Order::Setting, Pass::Tightening) => Group::Setting(visit.aim_nm(at).cloned()),
    }
}

/// Every terminal in the order of a pass: group by group, inside a group by setting when tightening.
pub(super) fn sequence(visit: &Visit, order: Order, pass: Pass) -> Vec<TerminalIndex> {
    let mut keyed: Vec<(Group, Option<Exact>, TerminalIndex)> = visit
        .terminals()
        .map(|(at, _, _)| {
            let setting = if pass == Pass::Tightening { visit.aim_nm(at).cloned() } else { None };
            (group(visit, order, pass, at), setting, at)
        })
        .collect();
    keyed.sort();
    keyed.into_iter().map(|(_, _, at)| at).collect()
}

/// The tool for a terminal and what has to be set on it: the one taken there by choice, else one that stands at that
/// setting already, else the one taken by choice elsewhere, else the one with the smallest error there.
pub(super) fn tool_for(state: &State, at: TerminalIndex) -> Option<(ToolId, Torque)> {
    let visit = &state.visit;
    let usable = |held: &&ToolInHand| held.doubted.is_none() && calibration_holds(visit, &held.tool).is_ok();
    let able: Vec<(&ToolId, Able)> = visit
        .tools()
        .iter()
        .filter(usable)
        .filter_map(|held| Some((&held.tool.id, visit.able(&held.tool.id, at)?)))
        .collect();
    let stands = |(id, able): &&(&ToolId, Able)| {
        visit
            .running_span(id)
            .is_some_and(|span| span.required == able.required && Some(span.session) == visit.session())
    };
    let taken = |(id, _): &&(&ToolId, Able)| state.desk.tool.as_ref() == Some(*id);
    // Where a tool was taken it goes first; elsewhere one that stands at the setting needs no turning.
    let here = if state.desk.tool_taken_at == Some(at) { able.iter().find(taken) } else { None };
    here.or_else(|| able.iter().find(stands))
        .or_else(|| able.iter().find(taken))
        .or_else(|| able.iter().min_by(|(_, one), (_, other)| one.w_nm.total_cmp(&other.w_nm)))
        .map(|(id, able)| ((*id).clone(), able.required))
}

/// How often a tool has to be set in each order, by the board as it is: two tools at two settings need none, and where
/// nothing is tightened (a spare way) there is none.
#[must_use]
pub fn settings_by_order(state: &State) -> Vec<(Order, usize)> {
    let visit = &state.visit;
    Order::ALL
        .into_iter()
        .map(|order| {
            let mut stands: HashMap<ToolId, Torque> = HashMap::new();
            let mut count: usize = 0;
            for at in sequence(visit, order, Pass::Tightening) {
                let tightened =
                    visit.standing(at).is_some_and(|s| s.steps.iter().any(|step| step.is_torque()));
                let Some((tool, required)) = tool_for(state, at).filter(|_| tightened) else { continue };
                if stands.get(&tool) != Some(&required) {
                    stands.insert(tool, required);
                    count = count.saturating_add(1);
                }
            }
            (order, count)
        })
        .collect()
}

/// Whether something can be done there now.
pub(super) fn workable(state: &State, at: TerminalIndex, with_later: bool) -> bool {
    let visit = &state.visit;
    let Some(terminal) = visit.terminal(at) else { return false };
    let reachable = visit.live_source(&terminal.name).is_none() || can_be_met_live(state, at);
    (with_later || !state.desk.later.contains(&at)) && reachable
}

/// The terminal to stand at next; nothing where nothing is left that can be worked.
pub(super) fn next_target(state: &State) -> Option<(TerminalIndex, Pass)> {
    let visit = &state.visit;
    if super::audit::is_audit(state) {
        return super::audit::next_target(state);
    }
    let waits = |at: TerminalIndex| visit.standing(at).and_then(pass_of);
    if let (Some(focus), Some(pass)) = (state.desk.focus, state.desk.pass)
        && workable(state, focus, true)
        && !state.desk.later.contains(&focus)
        && let Some(now) = waits(focus)
        && (now == pass || pass == Pass::Tightening)
        && !(only_mark(state, focus) && others_first(state, focus))
    {
        return Some((focus, pass));
    }
    let next = next_of_walk(state);
    let turns =
        next.is_none_or(|(at, pass)| pass == Pass::Tightening && set_already(state, pass, &[at]).is_none());
    if turns {
        let due: Vec<TerminalIndex> =
            settle::due(state).into_iter().filter(|at| workable(state, *at, false)).collect();
        let unread = visit.open_spans().any(|span| Some(span.session) == visit.session());
        let settled = set_already(state, Pass::Tightening, &due);
        let settled = settled.or_else(|| if next.is_none() || !unread { due.first().copied() } else { None });
        if let Some(at) = settled {
            return Some((at, Pass::Tightening));
        }
    }
    next
}

/// Whether nothing but its mark is left there, and marks are answered with the place.
fn only_mark(state: &State, at: TerminalIndex) -> bool {
    let next = state.visit.standing(at).filter(|s| s.need.is_none()).and_then(Standing::next_step);
    state.desk.marks_with_place && next == Some(Step::Mark)
}

/// Whether something else is still to be done in the group of a terminal.
fn others_first(state: &State, at: TerminalIndex) -> bool {
    let (visit, pass) = (&state.visit, Pass::Tightening);
    let order = visit.route();
    let here = group(visit, order, pass, at);
    visit.terminals().any(|(other, _, standing)| {
        pass_of(standing) == Some(pass)
            && !only_mark(state, other)
            && workable(state, other, false)
            && group(visit, order, pass, other) == here
    })
}

/// The next terminal by the order of the walk, waits apart.
fn next_of_walk(state: &State) -> Option<(TerminalIndex, Pass)> {
    let visit = &state.visit;
    let waits = |at: TerminalIndex| visit.standing(at).and_then(pass_of);
    let order = visit.route();
    let candidates = |pass: Pass| -> Vec<TerminalIndex> {
        sequence(visit, order, pass)
            .into_iter()
            .filter(|at| waits(*at) == Some(pass) && workable(state, *at, false))
            .collect()
    };
    if let (Some(focus), Some(pass)) = (state.desk.focus, state.desk.pass) {
        let here = group(visit, order, pass, focus);
        let mut near: Vec<TerminalIndex> =
            candidates(pass).into_iter().filter(|at| group(visit, order, pass, *at) == here).collect();
        if near.iter().any(|at| !only_mark(state, *at)) {
            near.retain(|at| !only_mark(state, *at));
        }
        if let Some(at) = nearest(state, pass, focus, &near) {
            return Some((at, pass));
        }
    }
    [Pass::MakingOff, Pass::Tightening].into_iter().find_map(|pass| {
        let all = candidates(pass);
        let first = *all.first()?;
        let here = group(visit, order, pass, first);
        let near: Vec<TerminalIndex> =
            all.into_iter().filter(|at| group(visit, order, pass, *at) == here).collect();
        set_already(state, pass, &near).or(Some(first)).map(|at| (at, pass))
    })
}

/// Of a group: one whose setting stands on a tool already, else the next one after the focus, else the first.
fn nearest(state: &State, pass: Pass, focus: TerminalIndex, near: &[TerminalIndex]) -> Option<TerminalIndex> {
    let after: Vec<TerminalIndex> = near.iter().copied().filter(|at| *at > focus).collect();
    set_already(state, pass, &after).or_else(|| set_already(state, pass, near)).or_else(|| {
        if pass == Pass::Tightening { near.first() } else { after.first().or(near.first()) }.copied()
    })
}

pub(super) fn set_already(state: &State, pass: Pass, list: &[TerminalIndex]) -> Option<TerminalIndex> {
    if pass == Pass::MakingOff {
        return None;
    }
    list.iter().copied().find(|at| {
        tool_for(state, *at).is_some_and(|(tool, required)| {
            state
                .visit
                .running_span(&tool)
                .is_some_and(|span| span.required == required && Some(span.session) == state.visit.session())
        })
    })
}
