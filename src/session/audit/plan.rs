//! How many are drawn, and which steps a terminal of an audit goes through.

use super::parts::{Part, part_at, part_of, populations, tool_fits};
use crate::domain::audit::draw::order;
use crate::domain::audit::time::{Bought, buys};
use crate::domain::board::{Board, Terminal};
use crate::domain::names::TerminalName;
use crate::domain::record::{Claimed, Plan, SizedBy, ToolReach};
use crate::session::steps::Step;
use crate::session::visit::{TerminalIndex, Visit};
use rust_decimal::Decimal;

/// The steps of a terminal: the look for all; tug and tool for always-in and drawn ones, the tug for every one where
/// the plan says so. Before the draw every one may still be drawn. Fingers have no tug: they are looked at, and tried
/// where they were drawn.
#[must_use]
pub fn steps_at(visit: &Visit, at: TerminalIndex) -> Vec<Step> {
    let Some((terminal, clamp)) = visit.terminal(at).zip(visit.clamp(at)) else { return Vec::new() };
    let facts = visit.audit();
    let mut steps = vec![Step::Look];
    let part = part_at(visit, at);
    if part == Part::Spare {
        return Vec::new();
    }
    let Some(claimed) = facts.claimed() else { return steps };
    let name = &terminal.name;
    let in_hand = match part {
        Part::Conductors => facts.draw().is_none() || facts.is_always_in(name) || facts.is_drawn(name),
        Part::Finger | Part::Spare => facts.is_drawn(name),
    };
    if claimed.tug && (claimed.plan == Plan::TugEverything || in_hand) {
        steps.extend((0..terminal.conductors.len()).map(Step::CheckTug));
    }
    if in_hand && tool_fits(terminal, clamp, claimed.tool) {
        steps.extend((1..=clamp.screws.max(1)).map(|screw| Step::Check { screw }));
    }
    steps
}

/// How many terminals a plan is about.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Sizes {
    /// Terminals looked at in any case.
    pub always_in: u32,
    /// Of them, those the tool can be put on.
    pub always_in_for_tool: u32,
    /// The remainder.
    pub remainder: u32,
    /// Of it, those the tool can be put on.
    pub remainder_for_tool: u32,
    /// Fingers, links and bolted stabs the tool can be put on; claimed apart.
    pub fingers: u32,
}

impl Sizes {
    /// As the board stands, with those named that are looked at in any case.
    #[must_use]
    pub fn at(visit: &Visit, claimed: &Claimed, named: &[TerminalName]) -> Self {
        let (always_in, remainder) = populations(visit, named);
        let Some(board) = visit.board() else { return Self::default() };
        let always_in: Vec<TerminalName> = always_in.into_iter().map(|entry| entry.terminal).collect();
        let for_tool =
            |names: &[TerminalName]| count(names.iter().filter(|n| fits(board, claimed, n)).count());
        Self {
            always_in: count(always_in.len()),
            always_in_for_tool: for_tool(&always_in),
            remainder: count(remainder.len()),
            remainder_for_tool: for_tool(&remainder),
            fingers: count(fingers_for_tool(board, claimed).len()),
        }
    }

    /// How many of the remainder are drawn from. Where everything is tugged the sample is the tool's alone, so that it is
    /// drawn from what the tool can be put on; where tug and tool go together every one can be bad, and all are.
    #[must_use]
    pub fn drawn_from(&self, plan: Plan) -> u32 {
        match plan {
            Plan::TugEverything => self.remainder_for_tool,
            Plan::SampleBoth => self.remainder,
        }
    }

    /// Minutes a terminal with the tool; none where it can be put on nothing.
    fn a_tool(&self, claimed: &Claimed) -> Decimal {
        let anywhere = self.always_in_for_tool > 0 || self.remainder_for_tool > 0;
        if anywhere { claimed.minutes_a_tool } else { Decimal::ZERO }
    }

    /// Minutes for tugging, so many of the remainder drawn.
    fn tugging(&self, claimed: &Claimed, plan: Plan, drawn: u32) -> Decimal {
        let many = match plan {
            Plan::TugEverything => self.remainder,
            Plan::SampleBoth => drawn,
        };
        Decimal::from(self.always_in.saturating_add(many)).saturating_mul(a_tug(claimed))
    }

    /// What the minutes without supply buy under a plan. Tugging everything comes first where the plan says so.
    #[must_use]
    pub fn bought(&self, claimed: &Claimed, plan: Plan) -> Option<Bought> {
        let (there, confidence) = (claimed.minutes_without_supply, claimed.claim.confidence);
        let a_tool = self.a_tool(claimed);
        match plan {
            Plan::TugEverything => {
                let left = there.saturating_sub(self.tugging(claimed, plan, 0)).max(Decimal::ZERO);
                buys(left, a_tool, self.always_in_for_tool, self.remainder_for_tool, confidence)
            }
            Plan::SampleBoth => {
                let each = a_tug(claimed).saturating_add(a_tool);
                buys(there, each, self.always_in, self.remainder, confidence)
            }
        }
    }

    /// How many of the remainder are drawn.
    #[must_use]
    pub fn planned(&self, claimed: &Claimed, always_in_bad: u32) -> u32 {
        let from = self.drawn_from(claimed.plan);
        match claimed.basis {
            SizedBy::Everything => from,
            SizedBy::Minutes => self.bought(claimed, claimed.plan).map_or(0, |bought| bought.drawn),
            SizedBy::Remainder => claimed.claim.sample(from),
            SizedBy::Whole => {
                // what moves among the always-in terminals is not known before the draw
                let (always_in, bad) = match claimed.plan {
                    Plan::TugEverything => (self.always_in_for_tool, 0),
                    Plan::SampleBoth => (self.always_in, always_in_bad),
                };
                // a claim that is lost cannot be supported by any sample: drawn as for a claim about the remainder
                claimed
                    .claim
                    .sample_for_whole(always_in.saturating_add(from), bad, from)
                    .unwrap_or_else(|| claimed.claim.sample(from))
            }
        }
    }

    /// How many fingers, links and bolted stabs are drawn for the tool, beside so many of the remainder. They have a claim
    /// of their own; where the minutes decide, they get what the others leave. Our own rule.
    #[must_use]
    pub fn planned_fingers(&self, claimed: &Claimed, drawn: u32) -> u32 {
        match claimed.basis {
            SizedBy::Everything => self.fingers,
            SizedBy::Remainder | SizedBy::Whole => claimed.claim.sample(self.fingers),
            SizedBy::Minutes => {
                let always_in = match claimed.plan {
                    Plan::TugEverything => self.always_in_for_tool,
                    Plan::SampleBoth => self.always_in,
                };
                let tool =
                    Decimal::from(always_in.saturating_add(drawn)).saturating_mul(self.a_tool(claimed));
                let used = self.tugging(claimed, claimed.plan, drawn).saturating_add(tool);
                let left = claimed.minutes_without_supply.saturating_sub(used).max(Decimal::ZERO);
                buys(left, claimed.minutes_a_tool, 0, self.fingers, claimed.claim.confidence)
                    .map_or(0, |bought| bought.drawn)
            }
        }
    }
}

fn a_tug(claimed: &Claimed) -> Decimal {
    if claimed.tug { claimed.minutes_a_tug } else { Decimal::ZERO }
}

/// What the minutes without supply buy under a plan, before anything is named.
#[must_use]
pub fn bought(
    visit: &Visit,
    claimed: &Claimed,
    plan: Plan,
    always_in: u32,
    remainder: u32,
) -> Option<Bought> {
    Sizes { always_in, remainder, ..Sizes::at(visit, claimed, &[]) }.bought(claimed, plan)
}

/// How many of the remainder are drawn, before anything is named.
#[must_use]
pub fn planned(visit: &Visit, claimed: &Claimed, always_in: u32, always_in_bad: u32, remainder: u32) -> u32 {
    Sizes { always_in, remainder, ..Sizes::at(visit, claimed, &[]) }.planned(claimed, always_in_bad)
}

/// Terminals looked at in any case, and the remainder: how many.
#[must_use]
pub fn sizes(visit: &Visit) -> (u32, u32) {
    let (always_in, remainder) = populations(visit, &[]);
    (count(always_in.len()), count(remainder.len()))
}

fn fits(board: &Board, claimed: &Claimed, name: &TerminalName) -> bool {
    let terminal = board.terminal(name);
    terminal.zip(terminal.and_then(|t| board.clamp(t))).is_some_and(|(t, c)| tool_fits(t, c, claimed.tool))
}

/// Fingers, links and bolted stabs that the tool can be put on, in the order of the board.
#[must_use]
pub fn fingers_for_tool(board: &Board, claimed: &Claimed) -> Vec<TerminalName> {
    let finger = |terminal: &&Terminal| {
        board.clamp(terminal).is_some_and(|clamp| part_of(terminal, clamp) == Part::Finger)
    };
    let names = board.terminals.iter().filter(finger).map(|terminal| terminal.name.clone());
    names.filter(|name| fits(board, claimed, name)).collect()
}

/// The order in which a seed draws: those of the remainder that are drawn from, and the fingers by themselves.
#[must_use]
pub fn draw_order(
    board: &Board,
    claimed: &Claimed,
    seed: &str,
    remainder: &[TerminalName],
) -> (Vec<TerminalName>, Vec<TerminalName>) {
    let mut of_remainder = order(seed, remainder);
    if claimed.plan == Plan::TugEverything {
        of_remainder.retain(|name| fits(board, claimed, name));
    }
    (of_remainder, order(seed, &fingers_for_tool(board, claimed)))
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

/// Terminals that would be added if everything were done now, in the order of the draw, fingers last.
#[must_use]
pub fn left_out(visit: &Visit) -> Vec<TerminalName> {
    let facts = visit.audit();
    let (Some((seq, drawn)), Some(claimed)) = (&facts.drawn, facts.claimed()) else { return Vec::new() };
    let Some(board) = visit.board_before(*seq) else { return Vec::new() };
    let (of_remainder, fingers) = draw_order(board, claimed, &drawn.seed, &drawn.remainder);
    of_remainder.into_iter().chain(fingers).filter(|name| !facts.is_drawn(name)).collect()
}

/// Minutes that everything would still take, by the person's own estimate.
#[must_use]
pub fn minutes_for(visit: &Visit, claimed: &Claimed, added: usize) -> Decimal {
    let a_tug = match claimed.plan {
        Plan::SampleBoth => a_tug(claimed),
        Plan::TugEverything => Decimal::ZERO,
    };
    let a_tool = if tool_anywhere(visit, claimed.tool) { claimed.minutes_a_tool } else { Decimal::ZERO };
    Decimal::from(count(added)).saturating_mul(a_tug.saturating_add(a_tool)).normalize()
}
