//! How many are drawn, and which steps a terminal of an audit goes through.

use super::parts::{Part, part_at, populations, tool_fits};
use crate::domain::audit::time::{Bought, buys};
use crate::domain::names::TerminalName;
use crate::domain::record::{Claimed, Plan, SizedBy, ToolReach};
use crate::session::steps::Step;
use crate::session::visit::{TerminalIndex, Visit};
use rust_decimal::Decimal;

/// The steps of a terminal: the look for all; tug and tool for always-in and drawn ones, the tug for every one where
/// the plan says so. Before the draw every one may still be drawn. Fingers have no tug and are looked at.
#[must_use]
pub fn steps_at(visit: &Visit, at: TerminalIndex) -> Vec<Step> {
    let Some((terminal, clamp)) = visit.terminal(at).zip(visit.clamp(at)) else { return Vec::new() };
    match part_at(visit, at) {
        Part::Spare => return Vec::new(),
        Part::Finger => return vec![Step::Look],
        Part::Conductors => {}
    }
    let facts = visit.audit();
    let mut steps = vec![Step::Look];
    let Some(claimed) = facts.claimed() else { return steps };
    let name = &terminal.name;
    let in_hand = facts.draw().is_none() || facts.is_always_in(name) || facts.is_drawn(name);
    if claimed.tug && (claimed.plan == Plan::TugEverything || in_hand) {
        steps.extend((0..terminal.conductors.len()).map(Step::CheckTug));
    }
    if in_hand && tool_fits(terminal, clamp, claimed.tool) {
        steps.extend((1..=clamp.screws.max(1)).map(|screw| Step::Check { screw }));
    }
    steps
}

/// Terminals looked at in any case, and the remainder: how many.
#[must_use]
pub fn sizes(visit: &Visit) -> (u32, u32) {
    let (always_in, remainder) = populations(visit, &[]);
    (count(always_in.len()), count(remainder.len()))
}

/// A length as a count.
pub(super) fn count(length: usize) -> u32 {
    u32::try_from(length).unwrap_or(u32::MAX)
}

/// Whether the tool can be put on any terminal of the board.
#[must_use]
pub fn tool_anywhere(visit: &Visit, reach: ToolReach) -> bool {
    visit.terminals().any(|(at, terminal, _)| {
        part_at(visit, at) == Part::Conductors
            && visit.clamp(at).is_some_and(|clamp| tool_fits(terminal, clamp, reach))
    })
}

/// Minutes a terminal with the tool; none where it can be put on nothing.
fn a_tool(visit: &Visit, claimed: &Claimed) -> Decimal {
    if tool_anywhere(visit, claimed.tool) { claimed.minutes_a_tool } else { Decimal::ZERO }
}

/// What the minutes without supply buy under a plan. Tugging everything comes first where the plan says so.
#[must_use]
pub fn bought(
    visit: &Visit,
    claimed: &Claimed,
    plan: Plan,
    always_in: u32,
    remainder: u32,
) -> Option<Bought> {
    let a_tug = if claimed.tug { claimed.minutes_a_tug } else { Decimal::ZERO };
    let a_tool = a_tool(visit, claimed);
    let there = claimed.minutes_without_supply;
    let (left, each) = match plan {
        Plan::TugEverything => {
            let all = Decimal::from(always_in.saturating_add(remainder)).saturating_mul(a_tug);
            (there.saturating_sub(all).max(Decimal::ZERO), a_tool)
        }
        Plan::SampleBoth => (there, a_tug.saturating_add(a_tool)),
    };
    buys(left, each, always_in, remainder, claimed.claim.confidence)
}

/// How many of the remainder are drawn.
#[must_use]
pub fn planned(visit: &Visit, claimed: &Claimed, always_in: u32, always_in_bad: u32, remainder: u32) -> u32 {
    match claimed.basis {
        SizedBy::Everything => remainder,
        SizedBy::Minutes => {
            bought(visit, claimed, claimed.plan, always_in, remainder).map_or(0, |bought| bought.drawn)
        }
        SizedBy::Remainder => claimed.claim.sample(remainder),
        // A claim that is lost cannot be supported by any sample: the remainder is drawn as for its own claim.
        SizedBy::Whole => claimed
            .claim
            .sample_for_whole(always_in.saturating_add(remainder), always_in_bad, remainder)
            .unwrap_or_else(|| claimed.claim.sample(remainder)),
    }
}

/// Terminals that would be added if everything were done now, in the order of the draw.
#[must_use]
pub fn left_out(visit: &Visit) -> Vec<TerminalName> {
    let facts = visit.audit();
    let (Some(drawn), Some(claimed)) = (facts.draw(), facts.claimed()) else { return Vec::new() };
    // everything is tugged already, and the tool can be put on nothing
    if claimed.plan == Plan::TugEverything && !tool_anywhere(visit, claimed.tool) {
        return Vec::new();
    }
    let order = crate::domain::audit::draw::order(&drawn.seed, &drawn.remainder);
    order.into_iter().filter(|name| !facts.is_drawn(name)).collect()
}

/// Minutes that everything would still take, by the person's own estimate.
#[must_use]
pub fn minutes_for(visit: &Visit, claimed: &Claimed, added: usize) -> Decimal {
    let a_tug = match claimed.plan {
        Plan::SampleBoth if claimed.tug => claimed.minutes_a_tug,
        _ => Decimal::ZERO,
    };
    let a_tool = a_tool(visit, claimed);
    Decimal::from(count(added)).saturating_mul(a_tug.saturating_add(a_tool)).normalize()
}
