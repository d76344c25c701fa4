//! What was found at one terminal of an audit, in one word, and whether that is *bad*.
//!
//! *Bad* is what shifts under a hand tug, is damaged or heat-marked; nothing else is. What *moved* under the tool is
//! counted apart: old copper travels a little, and a travel is not a defect. What was not reached is never good.

use super::parts::{look_at, seen_bad};
use crate::domain::names::TerminalName;
use crate::domain::record::{AsideWhy, Fact, LookResult, Moved, Tug, Turned};
use crate::session::steps::Step;
use crate::session::visit::{TerminalIndex, Visit};

/// A result in one word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ResultWord {
    /// Held, under hand and tool as far as they were put on.
    Held,
    /// The screw moved under the tool; no defect by itself.
    Moved,
    /// Shifts or comes out under a hand tug, or turns loose under the tool.
    Loose,
    /// Damaged or heat-marked.
    Damaged,
    /// Could not be got at.
    NotAccessible,
    /// Not looked at, not seen, or not finished.
    NoData,
    /// Looked at and not drawn: nothing more was to be done.
    NotDrawn,
}

impl ResultWord {
    /// Every word, in the order in which it is listed.
    pub const ALL: [Self; 7] = [
        Self::Held,
        Self::Moved,
        Self::Loose,
        Self::Damaged,
        Self::NotAccessible,
        Self::NoData,
        Self::NotDrawn,
    ];

    /// As it is shown and printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Held => "held",
            Self::Moved => "moved",
            Self::Loose => "loose",
            Self::Damaged => "damaged",
            Self::NotAccessible => "not accessible",
            Self::NoData => "no data",
            Self::NotDrawn => "not drawn",
        }
    }
}

/// What was found at a terminal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(clippy::struct_excessive_bools, reason = "each is one yes or no of the populations, counted apart")]
pub struct Found {
    /// In one word.
    pub word: ResultWord,
    /// Whether it is *bad*.
    pub bad: bool,
    /// Whether look and tug are done, or it is bad.
    pub by_hand: bool,
    /// Whether it moved; what is loose under a tug counts as moved too (own rule).
    pub moved: bool,
    /// Whether the tool was put on every screw of it, or it is loose.
    pub by_tool: bool,
}

/// What was found at a terminal.
#[must_use]
pub fn found_at(visit: &Visit, at: TerminalIndex) -> Found {
    let nothing =
        Found { word: ResultWord::NoData, bad: false, by_hand: false, moved: false, by_tool: false };
    let Some((terminal, standing)) = visit.terminal(at).zip(visit.standing(at)) else { return nothing };
    let name = &terminal.name;
    let look = look_at(visit, name);
    let (mut tugs, mut tugged) = (Vec::new(), true);
    let (mut moves, mut tried, mut any) = (Vec::new(), true, false);
    for step in &standing.steps {
        let fact = fact_of(visit, name, at, *step);
        match (step, fact) {
            (Step::CheckTug(_), Some(Fact::Tugged(tug))) => tugs.push(tug.result),
            (Step::CheckTug(_), _) => tugged = false,
            (Step::Check { .. }, Some(Fact::Movement(movement))) => {
                any = true;
                moves.push(&movement.found);
            }
            (Step::Check { .. }, _) => {
                any = true;
                tried = false;
            }
            _ => {}
        }
    }
    let damaged = look.is_some_and(seen_bad) || tugs.contains(&Tug::StrandsBroke);
    let shifts = tugs.iter().any(|tug| matches!(tug, Tug::Shifted | Tug::CameOut));
    let bad = damaged || shifts;
    let seen = matches!(look, Some(LookResult::Sound | LookResult::Found(_)));
    let has_moved = shifts || moves.iter().any(|found| found.turned() == Turned::Moved);
    let inaccessible = look == Some(&LookResult::NotAccessible) || standing.aside == Some(AsideWhy::NoAccess);
    let only_look = standing.steps.as_slice() == [Step::Look];
    let word = if damaged {
        ResultWord::Damaged
    } else if shifts || moves.contains(&&Moved::Loose) {
        ResultWord::Loose
    } else if inaccessible {
        ResultWord::NotAccessible
    } else if has_moved {
        ResultWord::Moved
    } else if only_look && seen {
        ResultWord::NotDrawn
    } else if seen && tugged && tried {
        ResultWord::Held
    } else {
        ResultWord::NoData
    };
    Found { word, bad, by_hand: bad || (seen && tugged), moved: has_moved, by_tool: shifts || (any && tried) }
}

/// The fact that stands at a step, or that was struck out of it last because something bad was found there.
fn fact_of<'a>(visit: &'a Visit, name: &TerminalName, at: TerminalIndex, step: Step) -> Option<&'a Fact> {
    let standing = visit.standing(at)?;
    let line = visit.line(standing.answer(step)?.seq)?;
    Some(visit.effective(line, Some(name)))
}
