//! Calibrations of a tool: days, certificate, and the two tables of points.

use super::place::Places;
use super::tools::in_unit;
use crate::domain::calibration::{Calibration, CalibrationPoint};
use crate::domain::toolbox::{At, CalibrationAt, Column, Which};
use crate::domain::torque::Unit;
use crate::written::fields::{Fields, list, name};
use crate::written::node::{Node, Shape};
use crate::written::problem::Findings;
use crate::written::quantity::{Measure, as_typed};
use rust_decimal::Decimal;

const KEYS: [&str; 6] = ["date", "first_use", "certificate", "laboratory", "as_found", "as_left"];
const POINT_KEYS: [&str; 3] = ["set", "reference", "w"];
/// Relative expanded uncertainty. How large it may be is the domain's to say; this is where a number ends.
const W: Measure =
    Measure { what: "uncertainty W", units: &["%"], more_than: -1_000_000_000, max: 1_000_000_000 };

/// Reads the calibrations of a tool: those that could be read, oldest first.
pub(super) fn read(
    keys: &Fields<'_>,
    unit: Option<Unit>,
    places: &mut Places,
    found: &mut Findings,
) -> Vec<Calibration> {
    let Some(node) = keys.get("calibrations") else { return Vec::new() };
    places.note(At::Calibrations, keys.key_span("calibrations"));
    let Some(items) = list(node, "calibrations", found) else {
        places.unread(At::Calibrations);
        return Vec::new();
    };
    let mut read = Vec::new();
    for item in items {
        match calibration(item, read.len(), unit, places, found) {
            Some(calibration) => read.push(calibration),
            // what is missing was told
            None => places.unread(At::Calibrations),
        }
    }
    read
}

fn calibration(
    node: Node<'_>,
    number: usize,
    unit: Option<Unit>,
    places: &mut Places,
    found: &mut Findings,
) -> Option<Calibration> {
    let keys = Fields::open(node, "Calibration", &KEYS, found)?;
    let at = |part| At::Calibration(number, part);
    let date = keys.need("date", "\"2026-03-02\"", found);
    let date =
        date.and_then(|node| day_text(node, at(CalibrationAt::Date), "day of calibration", places, found));
    if date.is_none() {
        places.unread(at(CalibrationAt::Date));
    }
    let first_use = keys
        .get("first_use")
        .and_then(|node| day_text(node, at(CalibrationAt::FirstUse), "day of first use", places, found));
    let mut text = |key: &str, what: &str, part| {
        let node = keys.get(key)?;
        places.note(at(part), node.span());
        let text = name(node, what, found);
        if text.is_none() {
            // one that cannot be read is not one that is not stated
            places.unread(at(part));
            places.unread(at(CalibrationAt::Date));
        }
        text
    };
    let certificate = text("certificate", "certificate number", CalibrationAt::Certificate);
    let laboratory = text("laboratory", "laboratory", CalibrationAt::Laboratory);
    let mut table = |key, which| {
        let node = keys.get(key)?;
        places.note(at(CalibrationAt::Points(which)), keys.key_span(key));
        Some(points(node, (number, which), unit, places, found))
    };
    let as_found = table("as_found", Which::AsFound).unwrap_or_default();
    let as_left = table("as_left", Which::AsLeft).unwrap_or_default();
    if as_found.is_empty() && keys.get("as_found").is_some() {
        places.unread(at(CalibrationAt::Points(Which::AsLeft)));
    }
    Some(Calibration {
        date: date.unwrap_or_default(),
        first_use,
        certificate,
        laboratory,
        as_found,
        as_left,
    })
}

/// The text of a day; whether it is one is the domain's to say.
fn day_text(node: Node<'_>, at: At, what: &str, places: &mut Places, found: &mut Findings) -> Option<String> {
    places.note(at, node.span());
    match node.shape() {
        Shape::Text(text) => Some(text),
        other => {
            let reason = format!("the {what} must be a text, found {}", other.words());
            found.wrong(node.head(), reason, "write year, month and day in quotation marks: \"2026-03-02\"");
            None
        }
    }
}

fn points(
    node: Node<'_>,
    (number, which): (usize, Which),
    unit: Option<Unit>,
    places: &mut Places,
    found: &mut Findings,
) -> Vec<CalibrationPoint> {
    let Some(items) = list(node, "points", found) else { return Vec::new() };
    let mut read = Vec::new();
    for item in items {
        let row = read.len();
        let at = |column| At::Calibration(number, CalibrationAt::Point(which, row, column));
        let Some(keys) = Fields::open(item, "Point", &POINT_KEYS, found) else { continue };
        let nodes = [
            (
                Column::Set,
                keys.need_said("set", "what was set", "\"2.00 N.m\", what was set or indicated", found),
            ),
            (Column::Reference, keys.need("reference", "\"2.014 N.m\", the mean reference torque", found)),
            (Column::W, keys.need_said("w", "its uncertainty W", "\"2.0 %\", or w: NotStated", found)),
        ];
        let [(_, set), (_, reference), (_, w)] = nodes;
        let set = set.and_then(|node| in_unit(node, "value set", unit, found));
        let reference = reference.and_then(|node| in_unit(node, "reference torque", unit, found));
        let w = w.and_then(|node| uncertainty(node, found));
        if let (Some(set), Some(reference), Some(w_percent)) = (set, reference, w) {
            for (column, node) in nodes {
                places.note(at(column), node.map_or(keys.head.clone(), |node| node.span()));
            }
            read.push(CalibrationPoint { set, reference, w_percent });
        }
    }
    read
}

/// `"2.0 %"`, or `NotStated`: nothing where it is wrong, `Some(None)` where the laboratory gives none.
#[allow(clippy::option_option, reason = "not stated and wrong are two different things here")]
fn uncertainty(node: Node<'_>, found: &mut Findings) -> Option<Option<Decimal>> {
    match node.shape() {
        Shape::Word("NotStated") => Some(None),
        Shape::Word(_) | Shape::Bool(_) | Shape::Tuple(..) | Shape::Struct(..) => {
            let reason = format!(
                "the uncertainty W is \"... %\" or the word NotStated, found {}",
                node.shape().words()
            );
            let help =
                "write it as on the certificate, \"2.0 %\", or NotStated where the laboratory gives none";
            found.wrong(node.span(), reason, help);
            None
        }
        _ => as_typed(node, &W, found).map(Some),
    }
}
