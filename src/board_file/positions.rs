//! Positions on a board: ways and their poles, each named once.

use super::rows::Ground;
use crate::domain::board::{Pole, Supply};
use crate::domain::names::WayNumber;
use crate::written::fields::{self, Fields, list};
use crate::written::node::{Node, Shape};
use crate::written::problem::{Findings, listed, quoted};
use std::collections::BTreeSet;
use std::ops::Range;

/// A position: a whole way, or one pole of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Position {
    /// The way.
    pub(super) way: WayNumber,
    /// The pole, where the way has more than one and one is meant.
    pub(super) pole: Option<Pole>,
}

impl Position {
    /// `3`, `3L2`.
    pub(super) fn words(self) -> String {
        format!("{}{}", self.way, self.pole.map_or("", Pole::words))
    }
}

/// Poles that are taken.
#[derive(Default)]
pub(super) struct Taken {
    /// Once or more.
    poles: BTreeSet<Position>,
    /// Ways with a pole taken more than once.
    pub(super) doubled: BTreeSet<WayNumber>,
}

/// Reads the positions of a row.
pub(super) fn positions(
    keys: &Fields<'_>,
    ground: &Ground<'_>,
    found: &mut Findings,
) -> Vec<(Position, Range<usize>)> {
    let Some(node) = keys.need("at", "[\"1L1\"]", found) else { return Vec::new() };
    let items = list(node, "what stands behind at", found).unwrap_or_default();
    if items.is_empty() && matches!(node.shape(), Shape::List(_)) {
        found.wrong(node.span(), "this row stands at no way", "name its positions, or take the row out");
    }
    items.iter().filter_map(|item| position(*item, ground, found).map(|at| (at, item.span()))).collect()
}

fn position(node: Node<'_>, ground: &Ground<'_>, found: &mut Findings) -> Option<Position> {
    let text = fields::part_name(node, "position", found)?;
    let digits = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    let (number, pole) = text.split_at_checked(digits)?;
    let poles: Vec<&str> = ground.supply.poles().iter().map(|pole| pole.words()).collect();
    let pole = match (ground.supply, pole) {
        (_, "") => Some(None),
        (Supply::SinglePhase, _) => None,
        (Supply::ThreePhaseNeutral, pole) => {
            ground.supply.poles().iter().find(|it| it.words() == pole).map(|it| Some(*it))
        }
    };
    let way = number.parse::<u16>().ok().filter(|_| !number.starts_with('0') || number == "0");
    let (Some(way), Some(pole)) = (way, pole) else {
        let reason = format!("{} is no position on this board", quoted(&text));
        let help = match ground.supply {
            Supply::SinglePhase => "write the number of the way alone: \"3\"".to_owned(),
            Supply::ThreePhaseNeutral => {
                format!(
                    "write the way and its pole, \"3L2\", or the whole way, \"4\"; poles are {}",
                    listed(&poles)
                )
            }
        };
        found.wrong(node.span(), reason, help);
        return None;
    };
    if way == 0 || way > ground.ways {
        let reason = format!("there is no way {way}: this board has ways 1 to {}", ground.ways);
        found.wrong(node.span(), reason, "correct the position, or the number of ways at the top");
        return None;
    }
    Some(Position { way: WayNumber(way), pole })
}

/// The poles that a position takes.
fn poles_of(at: Position, supply: Supply) -> Vec<Position> {
    match at.pole {
        Some(_) => vec![at],
        None => supply.poles().iter().map(|pole| Position { way: at.way, pole: Some(*pole) }).collect(),
    }
}

/// Takes the poles of some positions and tells those that are taken already.
pub(super) fn take(
    at: &[(Position, Range<usize>)],
    ground: &Ground<'_>,
    taken: &mut Taken,
    found: &mut Findings,
) {
    for (position, span) in at {
        let mut doubled = Vec::new();
        for pole in poles_of(*position, ground.supply) {
            if !taken.poles.insert(pole) {
                taken.doubled.insert(pole.way);
                doubled.push(shown(pole, ground.supply));
            }
        }
        if let Some(first) = doubled.first() {
            let names: Vec<&str> = doubled.iter().map(String::as_str).collect();
            let reason = match ground.supply {
                Supply::SinglePhase => format!("way {first} is named twice"),
                Supply::ThreePhaseNeutral => {
                    format!("two devices on one pole: {} is already taken", listed(&names))
                }
            };
            found.wrong(
                span.clone(),
                reason,
                "every pole of every way is named once: correct one of the two positions",
            );
        }
    }
}

fn shown(at: Position, supply: Supply) -> String {
    if supply == Supply::SinglePhase { at.way.to_string() } else { at.words() }
}

/// Tells the poles that nobody took.
pub(super) fn missing(taken: &Taken, ways_span: Range<usize>, ground: &Ground<'_>, found: &mut Findings) {
    let all = (1..=ground.ways).map(|way| Position { way: WayNumber(way), pole: None });
    let left: Vec<String> = all
        .flat_map(|way| poles_of(way, ground.supply))
        .filter(|pole| !taken.poles.contains(pole))
        .map(|pole| shown(pole, ground.supply))
        .collect();
    let Some(first) = left.first() else { return };
    let names: Vec<&str> = left.iter().map(String::as_str).collect();
    let reason = format!("this board has {} ways, and nothing is said about {}", ground.ways, listed(&names));
    let help = format!(
        "add Blank(at: [\"{first}\"]) for what is closed with a blank, Spare(...) for what stands unused"
    );
    found.wrong(ways_span, reason, help);
}
