//! The whole board: its head, its parts in the order in which they depend on each other, and the board made of them.

use super::build::{self, Parts};
use super::devices::{self, Fixture, Stock};
use super::rows::{self, Ground, Rows};
use super::{clamps, fit, quantity};
use crate::domain::board::{Board, Supply, Vibration, WAYS_MAX};
use crate::written::fields::{Fields, count, list, name, remark, word};
use crate::written::node::{Node, Shape};
use crate::written::problem::Findings;
use crate::written::syntax::{Text, newer};
use rust_decimal::Decimal;

const KEYS: [&str; 19] = [
    "format",
    "reference",
    "title",
    "site",
    "location",
    "standard",
    "edition",
    "supply",
    "rated",
    "vibration",
    "notes",
    "clamps",
    "conductors",
    "devices",
    "bars",
    "incomer",
    "fittings",
    "ways",
    "rows",
];
const SUPPLIES: [(&str, Supply); 2] =
    [("SinglePhase", Supply::SinglePhase), ("ThreePhaseNeutral", Supply::ThreePhaseNeutral)];

/// Reads the board.
pub(super) fn board(text: Text<'_>, found: &mut Findings) -> Option<Board> {
    if newer(text.node, &super::KIND, found) {
        return None;
    }
    let keys = Fields::open(text.node, "Board", &KEYS, found)?;
    let head = head(&keys, found);
    let ways = keys
        .need("ways", "12", found)
        .and_then(|node| count(node, "the number of ways", (0, WAYS_MAX), found));
    let (clamp_names, clamps) = clamps::clamps(keys.need("clamps", "{\"...\": Clamp(...)}", found), found);
    let conductors = clamps::conductors(keys.need("conductors", "{\"...\": Conductor(...)}", found), found);
    let stock = Stock { clamps: clamp_names, conductors };
    let types = devices::types(keys.get("devices"), &stock, found);
    let (bars, bars_whole) = devices::bars(keys.get("bars"), &stock, found);
    let incomer = incomer(&keys, &stock, found);
    let fittings = devices::fittings(keys.get("fittings"), &stock, found);
    let rows_node = keys.need("rows", "[Row(at: [\"1\"], ...)]", found);
    let rows = match (rows_node, ways, head.supply) {
        (Some(node), Some(ways), Some(supply)) => {
            let ground = Ground { stock: &stock, types: &types, bars: &bars, bars_whole, supply, ways };
            rows::read(node, keys.key_span("ways"), &ground, found)
        }
        _ => Rows::default(),
    };
    let supply = head.supply?;
    let parts = Parts {
        supply,
        incomer: incomer.as_ref().and_then(Option::as_ref),
        bars: &bars,
        fittings: &fittings,
        rows: &rows,
    };
    let wall = build::wall(&parts, found);
    fit::check(&wall.drafts, &clamps, found);
    let (devices, places) = (wall.devices, wall.places);
    let terminals: Vec<_> = wall.drafts.into_iter().map(|draft| draft.terminal).collect();
    if terminals.is_empty() && found.problems.is_empty() {
        let reason = "this board has no terminal";
        found.wrong(keys.head.clone(), reason, "name at least the incoming device or one row");
    }
    Some(Board {
        reference: head.reference?,
        title: head.title?,
        site: head.site?,
        location: head.location?,
        standard: head.standard?,
        edition: head.edition?,
        supply,
        rated_a: head.rated_a?,
        vibration: head.vibration?,
        ways: ways?,
        clamps,
        devices,
        places,
        terminals,
        blanks: rows.blanks.iter().map(|at| at.words()).collect(),
        notes: head.notes?,
    })
}

/// The head of a board; what is missing or wrong is told already.
#[allow(clippy::option_option, reason = "does not shake and wrong are two different things here")]
struct Head {
    reference: Option<String>,
    title: Option<String>,
    site: Option<String>,
    location: Option<String>,
    standard: Option<String>,
    edition: Option<String>,
    supply: Option<Supply>,
    rated_a: Option<Decimal>,
    vibration: Option<Option<Vibration>>,
    notes: Option<Vec<String>>,
}

fn head(keys: &Fields<'_>, found: &mut Findings) -> Head {
    let mut text = |key: &str| keys.need(key, "\"...\"", found).and_then(|node| name(node, key, found));
    let (reference, title, site) = (text("reference"), text("title"), text("site"));
    let (location, standard, edition) = (text("location"), text("standard"), text("edition"));
    let supply = keys.need("supply", "ThreePhaseNeutral", found);
    let rated = keys.need("rated", "\"100 A\"", found);
    let vibration = keys.need("vibration", "No, or vibration: LookAgain(\"12 months\")", found);
    Head {
        reference,
        title,
        site,
        location,
        standard,
        edition,
        supply: supply.and_then(|node| word(node, "supply", &SUPPLIES, found)),
        rated_a: rated.and_then(|node| quantity::rated(node, found)),
        vibration: vibration.and_then(|node| shakes(node, found)),
        notes: notes(keys, found),
    }
}

fn notes(keys: &Fields<'_>, found: &mut Findings) -> Option<Vec<String>> {
    let Some(node) = keys.get("notes") else { return Some(Vec::new()) };
    let items = list(node, "notes", found)?;
    let read: Vec<_> = items.iter().map(|item| remark(*item, "note", found)).collect();
    read.into_iter().collect()
}

/// `No`, or `LookAgain("6 months")`: nothing where it is wrong, `Some(None)` where the board does not shake.
#[allow(clippy::option_option, reason = "does not shake and wrong are two different things here")]
fn shakes(node: Node<'_>, found: &mut Findings) -> Option<Option<Vibration>> {
    match node.shape() {
        Shape::Word("No") => Some(None),
        Shape::Tuple("LookAgain", items) if items.len() == 1 => {
            let months = quantity::whole(*items.first()?, &quantity::INTERVAL, found)?;
            Some(Some(Vibration { look_again_months: months }))
        }
        other => {
            let reason = format!("vibration is No or LookAgain(\"... months\"), found {}", other.words());
            found.wrong(
                node.head(),
                reason,
                "write No, or LookAgain(\"6 months\") where trains or machines shake the board",
            );
            None
        }
    }
}

/// The incoming device: nothing where it is wrong, `Some(None)` where the board has none.
#[allow(clippy::option_option, reason = "none and wrong are two different things here")]
fn incomer(keys: &Fields<'_>, stock: &Stock, found: &mut Findings) -> Option<Option<Fixture>> {
    let node =
        keys.need("incomer", "Incomer(maker: ..., type: ..., terminals: {...}), or incomer: None", found)?;
    if matches!(node.shape(), Shape::Word("None")) {
        return Some(None);
    }
    devices::fixture("incomer", "Incomer", node, stock, found).map(Some)
}
