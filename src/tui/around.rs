//! Where an arrow leads: to the neighbouring terminal of the place, to the neighbouring place, down a list.

use super::keys::Direction;
use crate::domain::names::PlaceName;
use crate::session::TerminalIndex;
use crate::session::desk::State;

/// The terminal an arrow leads to.
///
/// # Errors
/// There is none that way; in words.
pub(super) fn to(state: &State, way: Direction) -> Result<TerminalIndex, String> {
    let all: Vec<(TerminalIndex, &PlaceName)> =
        state.visit.terminals().map(|(at, terminal, _)| (at, &terminal.place)).collect();
    let Some(focus) = state.desk.focus else {
        let nothing = || "there is no terminal to go to yet: the visit is not open".to_owned();
        return all.first().map(|(at, _)| *at).ok_or_else(nothing);
    };
    let here = all.iter().position(|(at, _)| *at == focus).unwrap_or(0);
    let place = all.get(here).map(|(_, place)| *place);
    let (before, rest) = all.split_at_checked(here).unwrap_or((&all, &[]));
    let same = |(_, other): &&(TerminalIndex, &PlaceName)| Some(*other) == place;
    let other = |it: &&(TerminalIndex, &PlaceName)| !same(it);
    let found = match way {
        Direction::Left => before.last().filter(same),
        Direction::Right => rest.get(1).filter(same),
        Direction::Down => rest.iter().find(other),
        Direction::Up => {
            // The first terminal of the place before, so that going up and down again ends where it began.
            let last = before.iter().rev().find(other);
            last.and_then(|(_, above)| all.iter().find(|(_, place)| place == above))
        }
    };
    let name = place.map_or("", |place| place.0.as_str());
    found.map(|(at, _)| *at).ok_or_else(|| match way {
        Direction::Left => format!("this is the first terminal of {name}"),
        Direction::Right => format!("this is the last terminal of {name}"),
        Direction::Up => format!("{name} is the first place"),
        Direction::Down => format!("{name} is the last place"),
    })
}

/// Where a list of so many entries begins after an arrow: up and down by one, left and right by ten.
#[must_use]
pub(super) fn scrolled(from: usize, entries: usize, way: Direction) -> usize {
    let to = match way {
        Direction::Up => from.saturating_sub(1),
        Direction::Down => from.saturating_add(1),
        Direction::Left => from.saturating_sub(10),
        Direction::Right => from.saturating_add(10),
    };
    to.min(entries.saturating_sub(1))
}
