//! The rows of a board file: which device stands at which ways, and what is connected to it.

use super::devices::{Bar, DeviceType, Stock};
use super::positions::{Position, Taken, missing, positions, take};
use crate::domain::board::{Role, Supply};
use crate::domain::conductor::Conductor;
use crate::domain::names::WayNumber;
use crate::written::fields::{Fields, Named, list, name};
use crate::written::node::{Node, Shape};
use crate::written::problem::{Findings, listed, meant, quoted};
use std::collections::BTreeSet;
use std::ops::Range;

const ROW_KEYS: [&str; 9] =
    ["at", "device", "circuit", "circuits", "line", "neutral", "cpc", "neutral_bar", "earth_bar"];
const SPARE_KEYS: [&str; 3] = ["at", "device", "neutral_bar"];
const BLANK_KEYS: [&str; 1] = ["at"];
const KINDS: [&str; 3] = ["Row", "Spare", "Blank"];

/// A device at a position, with what is connected to it.
#[derive(Clone, Debug)]
pub(super) struct Fitted {
    /// Where it stands.
    pub(super) at: Position,
    /// Where that is written.
    pub(super) span: Range<usize>,
    /// What it is.
    pub(super) device: DeviceType,
    /// The circuit; nothing for a spare way.
    pub(super) circuit: Option<String>,
    /// Conductors of each line.
    pub(super) line: Vec<Conductor>,
    /// Conductors of the neutral.
    pub(super) neutral: Vec<Conductor>,
    /// Circuit protective conductors.
    pub(super) cpc: Vec<Conductor>,
    /// The bar for its neutral or its lead.
    pub(super) neutral_bar: Option<usize>,
    /// The bar for its protective conductor.
    pub(super) earth_bar: Option<usize>,
}

/// All rows.
#[derive(Debug, Default)]
pub(super) struct Rows {
    /// Devices.
    pub(super) fitted: Vec<Fitted>,
    /// Positions closed with a blank.
    pub(super) blanks: Vec<Position>,
    /// Ways with a pole that is named twice.
    pub(super) doubled: BTreeSet<WayNumber>,
    /// Whether every row could be read, so that a way that nobody names is really missing.
    pub(super) whole: bool,
}

/// What a row is read against.
pub(super) struct Ground<'g> {
    /// Clamps and conductors.
    pub(super) stock: &'g Stock,
    /// Device types.
    pub(super) types: &'g Named<DeviceType>,
    /// Bars.
    pub(super) bars: &'g [Bar],
    /// Whether every bar could be read, so that one that is not there is really missing.
    pub(super) bars_whole: bool,
    /// Supply.
    pub(super) supply: Supply,
    /// Number of ways.
    pub(super) ways: u16,
}

/// Reads all rows and checks that every pole of every way is named once.
pub(super) fn read(
    node: Node<'_>,
    ways_span: Range<usize>,
    ground: &Ground<'_>,
    found: &mut Findings,
) -> Rows {
    let mut rows = Rows { whole: true, ..Rows::default() };
    let mut taken = Taken::default();
    for item in list(node, "rows", found).unwrap_or_default() {
        let before = found.problems.len();
        row(item, ground, &mut taken, &mut rows, found);
        rows.whole &= found.problems.len() == before;
    }
    rows.doubled.clone_from(&taken.doubled);
    if rows.whole {
        missing(&taken, ways_span, ground, found);
    }
    rows
}

fn row(node: Node<'_>, ground: &Ground<'_>, taken: &mut Taken, rows: &mut Rows, found: &mut Findings) {
    let (word, keys) = match node.shape() {
        Shape::Struct(word, keys) => (word, keys),
        other => {
            let reason = format!("a row is expected here, found {}", other.words());
            found.wrong(
                node.head(),
                reason,
                "write Row(at: [...], ...), Spare(at: [...], ...) or Blank(at: [...])",
            );
            return;
        }
    };
    match word {
        "Row" => {
            let keys = Fields::checked(node, "Row", keys, &ROW_KEYS, found);
            connected(&keys, ground, taken, rows, found);
        }
        "Spare" => {
            let keys = Fields::checked(node, "Spare", keys, &SPARE_KEYS, found);
            let (at, device) = stands(&keys, ground, taken, found);
            let Some(device) = device else { return };
            let neutral_bar = if device.neutral.is_some() {
                bar("neutral_bar", Role::Neutral, &keys, ground, found)
            } else {
                None
            };
            rows.fitted.extend(at.into_iter().map(|(at, span)| spare(at, span, device.clone(), neutral_bar)));
        }
        "Blank" => {
            let keys = Fields::checked(node, "Blank", keys, &BLANK_KEYS, found);
            let at = positions(&keys, ground, found);
            take(&at, ground, taken, found);
            rows.blanks.extend(at.into_iter().map(|(at, _)| at));
        }
        other => {
            let reason = format!("{} is no kind of row", quoted(other));
            found.wrong(node.head(), reason, meant(other, &KINDS, "a row is one of"));
        }
    }
}

fn spare(at: Position, span: Range<usize>, device: DeviceType, neutral_bar: Option<usize>) -> Fitted {
    let none = Vec::new;
    let (line, neutral, cpc) = (none(), none(), none());
    Fitted { at, span, device, circuit: None, line, neutral, cpc, neutral_bar, earth_bar: None }
}

fn connected(
    keys: &Fields<'_>,
    ground: &Ground<'_>,
    taken: &mut Taken,
    rows: &mut Rows,
    found: &mut Findings,
) {
    let (at, device) = stands(keys, ground, taken, found);
    let circuits = circuits(keys, at.len(), found);
    let line = conductors("line", keys, ground, found);
    let cpc = conductors("cpc", keys, ground, found);
    let asks = device.as_ref().is_none_or(|device| device.poles == 1 || device.neutral.is_some());
    let neutral = if asks || keys.get("neutral").is_some() {
        conductors("neutral", keys, ground, found)
    } else {
        Some(Vec::new())
    };
    if line.as_ref().is_some_and(Vec::is_empty) {
        let help =
            "name its conductor; a way with nothing connected is written Spare(at: [...], device: \"...\")";
        found.wrong(keys.key_span("line"), "this row has no line conductor", help);
    }
    let own_neutral = device.as_ref().is_some_and(|device| device.neutral.is_some());
    let neutral_runs = own_neutral
        || keys.get("neutral_bar").is_some()
        || neutral.as_ref().is_some_and(|neutral| !neutral.is_empty());
    let cpc_runs = keys.get("earth_bar").is_some() || cpc.as_ref().is_some_and(|cpc| !cpc.is_empty());
    let neutral_bar =
        if neutral_runs { bar("neutral_bar", Role::Neutral, keys, ground, found) } else { None };
    let earth_bar = if cpc_runs { bar("earth_bar", Role::Earth, keys, ground, found) } else { None };
    let (Some(device), Some(line), Some(neutral), Some(cpc), Some(circuits)) =
        (device, line, neutral, cpc, circuits)
    else {
        return;
    };
    for ((at, span), circuit) in at.into_iter().zip(circuits) {
        let (line, neutral, cpc) = (line.clone(), neutral.clone(), cpc.clone());
        let (device, circuit) = (device.clone(), Some(circuit));
        rows.fitted.push(Fitted { at, span, device, circuit, line, neutral, cpc, neutral_bar, earth_bar });
    }
}

fn conductors(
    key: &str,
    keys: &Fields<'_>,
    ground: &Ground<'_>,
    found: &mut Findings,
) -> Option<Vec<Conductor>> {
    let example = format!("\"name of a conductor\", or {key}: None where there is none");
    keys.need(key, &example, found).and_then(|node| ground.stock.conductors(node, found))
}

/// One circuit for each position: `circuit` for all of them, or `circuits` one by one.
fn circuits(keys: &Fields<'_>, count: usize, found: &mut Findings) -> Option<Vec<String>> {
    match (keys.get("circuit"), keys.get("circuits")) {
        (Some(_), Some(_)) => {
            found.wrong(
                keys.key_span("circuits"),
                "this row has circuit and circuits",
                "keep one of the two",
            );
            None
        }
        (None, None) => keys.need("circuit", "\"what it feeds\"", found).and(None),
        (Some(node), None) => name(node, "circuit", found).map(|text| vec![text; count]),
        (None, Some(node)) => {
            let items = list(node, "circuits", found)?;
            let read: Vec<_> = items.iter().map(|item| name(*item, "circuit", found)).collect();
            let read = read.into_iter().collect::<Option<Vec<_>>>()?;
            if read.len() != count && count > 0 {
                let reason = format!("{} circuits for {count} positions", read.len());
                found.wrong(
                    keys.key_span("circuits"),
                    reason,
                    "name one circuit for each position, in the same order",
                );
                return None;
            }
            Some(read)
        }
    }
}

/// The positions and the device of a row, told where they do not go together.
fn stands(
    keys: &Fields<'_>,
    ground: &Ground<'_>,
    taken: &mut Taken,
    found: &mut Findings,
) -> (Vec<(Position, Range<usize>)>, Option<DeviceType>) {
    let at = positions(keys, ground, found);
    let device = keys.need("device", "\"name of a device\"", found);
    let device = device.and_then(|node| ground.types.find(node, found)).map(|(_, device)| device.clone());
    take(&at, ground, taken, found);
    if let Some(device) = &device {
        for (position, span) in &at {
            fits(*position, span, device, ground.supply, found);
        }
    }
    (at, device)
}

fn fits(at: Position, span: &Range<usize>, device: &DeviceType, supply: Supply, found: &mut Findings) {
    let way = at.way;
    match (supply, device.poles, at.pole) {
        (Supply::SinglePhase, 3, _) => {
            let reason = format!("a three-pole device at {}, and the supply is single-phase", at.words());
            found.wrong(
                span.clone(),
                reason,
                "name a device with poles: 1, or write supply: ThreePhaseNeutral",
            );
        }
        (Supply::ThreePhaseNeutral, 1, None) => {
            let reason = format!("way {way} has three poles and a single-pole device takes one of them");
            found.wrong(span.clone(), reason, format!("write \"{way}L1\", \"{way}L2\" or \"{way}L3\""));
        }
        (Supply::ThreePhaseNeutral, 3, Some(_)) => {
            let reason = format!("a three-pole device takes the whole way, found one pole, {}", at.words());
            found.wrong(span.clone(), reason, format!("write \"{way}\""));
        }
        _ => {}
    }
}

/// The bar of a role: the only one, or the one that the row names.
fn bar(key: &str, role: Role, keys: &Fields<'_>, ground: &Ground<'_>, found: &mut Findings) -> Option<usize> {
    let of_role: Vec<(usize, &str)> = ground
        .bars
        .iter()
        .enumerate()
        .filter(|(_, bar)| bar.role == role)
        .map(|(at, bar)| (at, bar.name.as_str()))
        .collect();
    let names: Vec<&str> = of_role.iter().map(|(_, name)| *name).collect();
    let word = if role == Role::Earth { "earth" } else { "neutral" };
    if let Some(node) = keys.get(key) {
        let wanted = name(node, "name of a bar", found)?;
        let hit = of_role.iter().find(|(_, name)| *name == wanted).map(|(at, _)| *at);
        if hit.is_none() && ground.bars_whole {
            let reason = format!("no {word} bar is named {}", quoted(&wanted));
            found.wrong(node.span(), reason, meant(&wanted, &names, "bars of this kind"));
        }
        return hit;
    }
    match of_role.as_slice() {
        [(at, _)] => Some(*at),
        _ if !ground.bars_whole => None,
        [] => {
            let reason = format!("this row needs its {word} bar, and the board has none");
            found.wrong(keys.head.clone(), reason, format!("add one under bars: \"{word} bar\": Bar(...)"));
            None
        }
        _ => {
            let reason =
                format!("the board has {} {word} bars and this row does not say which", of_role.len());
            found.wrong(keys.head.clone(), reason, format!("add {key}: one of {}", listed(&names)));
            None
        }
    }
}
