//! What an audit shows so far: finds in each part, and the bounds on the rest.

use super::found::{Found, ResultWord, found_at};
use super::parts::{Part, part_at, tool_fits};
use super::plan::{count, fingers_for_tool, tool_anywhere};
use crate::domain::audit::board::{Bounds, Sampled};
use crate::domain::names::TerminalName;
use crate::domain::record::{Claimed, Drawn, Outcome, Plan};
use crate::session::visit::Visit;

/// Terminals that were all to be looked at, counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Census {
    /// How many there are.
    pub size: u32,
    /// Of them looked at (and tugged, where the tug is part of it).
    pub inspected: u32,
    /// Of those, bad.
    pub bad: u32,
    /// How many the tool can be put on.
    pub for_tool: u32,
    /// Of those, with the tool on every screw.
    pub tried: u32,
    /// Of those, moved.
    pub moved: u32,
    /// How many were bad, so that the tool was not put on.
    pub bad_untried: u32,
}

/// A sample with its bounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bounded {
    /// Counts.
    pub sampled: Sampled,
    /// What follows for the remainder.
    pub bounds: Bounds,
    /// What follows if every drawn one that is not inspected yet is clean.
    pub rest_clean: Bounds,
    /// What follows if one more of the drawn ones is bad.
    pub one_more: Option<Bounds>,
}

/// What the whole blocks that are done show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WholeBlocks {
    /// How many blocks, from the first on.
    pub blocks: usize,
    /// Bad ones; nothing where everything was looked at and tugged.
    pub bad: Option<Bounded>,
    /// Moved ones; nothing where no tool is put on.
    pub moved: Option<Bounded>,
}

/// What an audit shows so far.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// The claim.
    pub claimed: Claimed,
    /// The draw.
    pub drawn: Drawn,
    /// Terminals with conductors: always-in and remainder together.
    pub whole: u32,
    /// The always-in terminals.
    pub always_in: Census,
    /// Bad ones of the remainder.
    pub bad: Bounded,
    /// Moved ones of the part of the remainder that the tool can be put on; nothing where no tool is put on.
    pub moved: Option<Bounded>,
    /// What the whole blocks that are done show, where the sample is not finished; each is a random sample.
    pub blocks: Option<WholeBlocks>,
    /// Terminals of the remainder that the tool cannot be put on.
    pub not_for_tool: u32,
    /// Fingers, links and bolted stabs: looked at, not tugged.
    pub fingers: Census,
    /// Moved ones of the fingers that the tool can be put on, by a sample of their own; nothing where none was drawn.
    pub fingers_moved: Option<Bounded>,
    /// Terminals that came to the board after the draw: no part of any claim.
    pub since: Census,
    /// Bad ones, in the order of the board.
    pub bad_ones: Vec<TerminalName>,
}

impl Picture {
    /// At most so many bad ones among all terminals with conductors, everything not inspected counted as bad.
    #[must_use]
    pub fn bad_at_worst(&self) -> u32 {
        let missing = self.always_in.size.saturating_sub(self.always_in.inspected);
        self.bad.bounds.worst.saturating_add(self.always_in.bad).saturating_add(missing)
    }

    /// Whether anything that was to be inspected was not.
    #[must_use]
    pub fn is_provisional(&self) -> bool {
        let census = |census: &Census| census.inspected < census.size;
        self.bad.bounds.provisional
            || self.moved.is_some_and(|moved| moved.bounds.provisional)
            || self.fingers_moved.is_some_and(|moved| moved.bounds.provisional)
            || census(&self.always_in)
            || self.always_in.tried.saturating_add(self.always_in.bad_untried) < self.always_in.for_tool
    }
}

/// What an audit shows; nothing before its draw.
#[must_use]
pub fn picture(visit: &Visit) -> Option<Picture> {
    let facts = visit.audit();
    let claimed = facts.claimed()?;
    let (seq, drawn) = facts.drawn.as_ref()?;
    let confidence = claimed.claim.confidence;
    let (mut always_in, mut fingers, mut rest) = (Census::default(), Census::default(), Census::default());
    let (mut sample, mut since) = (Census::default(), Census::default());
    let mut bad_ones = Vec::new();
    for (at, terminal, _) in visit.terminals() {
        let found = found_at(visit, at);
        if found.bad {
            bad_ones.push(terminal.name.clone());
        }
        match part_at(visit, at) {
            Part::Finger => {
                let fits = visit.clamp(at).is_some_and(|clamp| tool_fits(terminal, clamp, claimed.tool));
                add(&mut fingers, found, fits && facts.is_drawn(&terminal.name));
            }
            Part::Conductors if !drawn.names().any(|name| *name == terminal.name) => {
                add(&mut since, found, false);
            }
            Part::Spare | Part::Conductors => {}
        }
    }
    for entry in &drawn.always_in {
        add_named(visit, claimed, &mut always_in, &entry.terminal);
    }
    for name in &drawn.remainder {
        add_named(visit, claimed, &mut rest, name);
        if facts.is_drawn(name) {
            add_named(visit, claimed, &mut sample, name);
        }
    }
    let by_hand = if claimed.plan == Plan::TugEverything { rest } else { sample };
    let bad =
        Sampled { remainder: rest.size, drawn: by_hand.size, inspected: by_hand.inspected, bad: by_hand.bad };
    let moved = Sampled {
        remainder: rest.for_tool,
        drawn: sample.for_tool,
        inspected: sample.tried,
        bad: sample.moved,
    };
    let bounded = |sampled: Sampled| Bounded {
        sampled,
        bounds: sampled.bounds(confidence),
        rest_clean: sampled.rest_clean(confidence),
        one_more: sampled.one_more_bad(confidence),
    };
    let fingers_then =
        visit.board_before(*seq).map_or_else(Vec::new, |board| fingers_for_tool(board, claimed));
    let fingers_moved = Sampled {
        remainder: count(fingers_then.len()),
        drawn: count(fingers_then.iter().filter(|name| facts.is_drawn(name)).count()),
        inspected: fingers.tried,
        bad: fingers.moved,
    };
    let blocks = whole_blocks(visit, drawn, claimed, (rest.size, rest.for_tool), bounded);
    Some(Picture {
        claimed: *claimed,
        drawn: drawn.clone(),
        whole: always_in.size.saturating_add(rest.size),
        always_in,
        blocks,
        bad: bounded(bad),
        moved: tool_anywhere(visit, claimed.tool).then(|| bounded(moved)),
        not_for_tool: rest.size.saturating_sub(rest.for_tool),
        fingers,
        fingers_moved: (fingers_moved.drawn > 0).then(|| bounded(fingers_moved)),
        since,
        bad_ones,
    })
}

/// Blocks from the first on of which every terminal is done: inspected, bad, not seen or not accessible.
fn whole_blocks(
    visit: &Visit,
    drawn: &Drawn,
    claimed: &Claimed,
    (remainder, for_tool): (u32, u32),
    bounded: impl Fn(Sampled) -> Bounded,
) -> Option<WholeBlocks> {
    let block = usize::try_from(drawn.block).unwrap_or(1).max(1);
    let done = |name: &TerminalName| {
        visit.find(name).is_some_and(|at| {
            let finished = visit.standing(at).is_some_and(|standing| {
                matches!(standing.outcome, Outcome::Complete | Outcome::CompleteWithRemark)
            });
            let word = found_at(visit, at).word;
            finished || matches!(word, ResultWord::Loose | ResultWord::Damaged | ResultWord::NotAccessible)
        })
    };
    let terminals: Vec<&TerminalName> = drawn.of_remainder().collect();
    let blocks = terminals.chunks(block).take_while(|names| names.iter().all(|name| done(name))).count();
    let many = blocks.saturating_mul(block).min(terminals.len());
    if many == 0 || many == terminals.len() || visit.audit().is_everything() {
        return None;
    }
    let mut sample = Census::default();
    for name in terminals.into_iter().take(many) {
        add_named(visit, claimed, &mut sample, name);
    }
    let bad = Sampled { remainder, drawn: sample.size, inspected: sample.inspected, bad: sample.bad };
    let moved =
        Sampled { remainder: for_tool, drawn: sample.for_tool, inspected: sample.tried, bad: sample.moved };
    Some(WholeBlocks {
        blocks,
        bad: (claimed.plan == Plan::SampleBoth).then(|| bounded(bad)),
        moved: (for_tool > 0).then(|| bounded(moved)),
    })
}

/// A terminal by its name. One that is no longer on the board, or has become spare, counts and is not inspected.
fn add_named(visit: &Visit, claimed: &Claimed, census: &mut Census, name: &TerminalName) {
    let at = visit.find(name).filter(|at| part_at(visit, *at) == Part::Conductors);
    let there = at.and_then(|at| Some((at, visit.terminal(at)?, visit.clamp(at)?)));
    match there {
        Some((at, terminal, clamp)) => {
            add(census, found_at(visit, at), tool_fits(terminal, clamp, claimed.tool));
        }
        None => census.size = census.size.saturating_add(1),
    }
}

fn add(census: &mut Census, found: Found, tool: bool) {
    let mut one = |slot: fn(&mut Census) -> &mut u32, yes: bool| {
        let slot = slot(census);
        *slot = slot.saturating_add(count(usize::from(yes)));
    };
    one(|c| &mut c.size, true);
    one(|c| &mut c.inspected, found.by_hand);
    one(|c| &mut c.bad, found.bad);
    one(|c| &mut c.for_tool, tool);
    one(|c| &mut c.tried, tool && found.by_tool);
    one(|c| &mut c.bad_untried, tool && !found.by_tool && found.bad);
    one(|c| &mut c.moved, tool && found.by_tool && found.moved);
}
