//! Whether a torque table has exactly one row for everything its clamp accepts.
//!
//! Cross-sections are tried one by one as IEC 60228 lists them, because nothing between two of them exists.

use crate::domain::clamp::Clamp;
use crate::domain::conductor::{Class, Conductor, Metal};
use crate::domain::fit::accepts;
use crate::domain::iec60228;
use crate::written::problem::{Findings, quoted};
use rust_decimal::Decimal;
use std::fmt::Write as _;
use std::ops::Range;

const CLASSES: [Class; 4] = [Class::Solid, Class::Stranded, Class::Flexible, Class::HighlyFlexible];

/// What has no row, or more than one: cross-section, class and number of conductors.
struct Spot {
    csa_mm2: Decimal,
    class: Class,
    count: u8,
}

/// Tells gaps and overlaps of a clamp's table; whether there are none.
pub(super) fn check(clamp: &Clamp, span: Range<usize>, found: &mut Findings) -> bool {
    if clamp.torque.is_empty() {
        return true;
    }
    let name = quoted(clamp.name.as_str());
    if !clamp.kind.takes_conductors() {
        let bare = clamp.torque.iter().filter(|row| row.holds_for(&[])).count();
        if bare != 1 || clamp.torque.len() != 1 {
            let reason = format!("the clamp {name} takes no conductor, so its torque cannot depend on one");
            found.wrong(span, reason, "state one value without csa_from, csa_to, classes and conductors");
            return false;
        }
        return true;
    }
    let by_csa =
        |row: &&crate::domain::stated::TorqueRow| row.csa_from_mm2.is_some() || row.csa_to_mm2.is_some();
    if clamp.capacity.is_empty() && clamp.torque.iter().any(|row| by_csa(&row)) {
        let reason =
            format!("the torque of the clamp {name} goes by cross-section, but its capacity is not stated");
        found.wrong(
            span,
            reason,
            "add capacity: [Capacity(from: \"1 mm2\", to: \"16 mm2\")] as its maker states it",
        );
        return false;
    }
    let (gaps, overlaps) = tried(clamp);
    if let Some(told) = told(&gaps) {
        let reason = format!("the torque table of the clamp {name} has a gap: no row holds for {told}");
        found.wrong(
            span.clone(),
            reason,
            "widen a row or add one, so that everything in the capacity has one row",
        );
    }
    if let Some(told) = told(&overlaps) {
        let reason =
            format!("the torque table of the clamp {name} overlaps: more than one row holds for {told}");
        found.wrong(
            span,
            reason,
            "narrow the rows (both ends of a row are included), so that one row holds for each",
        );
    }
    gaps.is_empty() && overlaps.is_empty()
}

fn tried(clamp: &Clamp) -> (Vec<Spot>, Vec<Spot>) {
    let (mut gaps, mut overlaps) = (Vec::new(), Vec::new());
    for class in CLASSES {
        for csa_mm2 in iec60228::csas_mm2().filter(|csa| accepts(clamp, class, *csa)) {
            for count in 1..=clamp.conductors_max {
                let conductor =
                    Conductor { csa_mm2, class, wires: None, metal: Metal::Copper, planned: None };
                let all = vec![conductor; usize::from(count)];
                match clamp.torque.iter().filter(|row| row.holds_for(&all)).count() {
                    0 => gaps.push(Spot { csa_mm2, class, count }),
                    1 => {}
                    _ => overlaps.push(Spot { csa_mm2, class, count }),
                }
            }
        }
    }
    (gaps, overlaps)
}

fn told(spots: &[Spot]) -> Option<String> {
    let mut csas: Vec<Decimal> = spots.iter().map(|spot| spot.csa_mm2).collect();
    let mut classes: Vec<u8> = spots.iter().map(|spot| spot.class.number()).collect();
    let mut counts: Vec<u8> = spots.iter().map(|spot| spot.count).collect();
    csas.sort_unstable();
    csas.dedup();
    classes.sort_unstable();
    classes.dedup();
    counts.sort_unstable();
    counts.dedup();
    let (first, last) = (csas.first()?, csas.last()?);
    let mut text = if first == last { format!("{first} mm2") } else { format!("{first} to {last} mm2") };
    let numbers = |list: &[u8]| list.iter().map(ToString::to_string).collect::<Vec<_>>().join(" or ");
    if classes.len() < CLASSES.len() {
        let _ = write!(text, ", class {}", numbers(&classes));
    }
    let conductors = if counts == [1] { "conductor" } else { "conductors" };
    let _ = write!(text, ", with {} {conductors} in the clamp", numbers(&counts));
    Some(text)
}
