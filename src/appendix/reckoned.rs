//! What a setting or a reading really applied, how surely, and what of the maker's limits that leaves.
//!
//! The error of a setting is common to all its terminals: it stands here once. It is reckoned from the tool as it was
//! stated in the record; no tools file is needed.

use super::letters::glued;
use super::sheet::Sheet;
use crate::domain::applied::Applied;
use crate::domain::figures::{interval, percent, with_error};
use crate::domain::limits::{Basis, Limits};
use crate::domain::reckon::conformance::probability;
use crate::domain::reckon::decision::{acceptance, acceptance_empty};
use crate::domain::verdict::DecisionRule;

/// What was applied and how surely.
pub(super) fn applied(applied: &Applied) -> String {
    let figure = applied_in_short(applied);
    let sure = if applied.shape.is_some() { " (95.45 %)" } else { "" };
    let off =
        if applied.calibrated_here { "" } else { "; outside the points of its calibration, not corrected" };
    format!("{figure}{sure}; {}{off}", applied.rests_on.words())
}

/// What the error of a reading at a torque rests on.
pub(super) fn error(applied: &Applied) -> String {
    let share = if applied.shape.is_some() { "half-width that covers 95.45 %; " } else { "" };
    format!("{share}{}", applied.rests_on.words())
}

/// What was applied with its error, and nothing more.
pub(super) fn applied_in_short(applied: &Applied) -> String {
    glued(&with_error(&applied.torque, applied.w().as_ref(), applied.unit))
}

/// The acceptance interval and the conformance probability under the rule, each a line; nothing for a single value.
pub(super) fn write(rule: DecisionRule, limits: &Limits, said: &Applied, sheet: &mut Sheet) {
    sheet.under("Applied", applied(said));
    let judged = matches!(limits.basis, Basis::Range | Basis::Tolerance | Basis::AtMost);
    let Some((shape, w)) = said.shape.as_ref().zip(said.w()) else { return };
    if !judged {
        return;
    }
    let band = limits.band_in(said.unit);
    if rule != DecisionRule::SimpleAcceptance {
        let text = if acceptance_empty(rule, &band, &w) {
            "nothing can pass with this tool: its error takes up the whole range".to_owned()
        } else {
            format!("{} for a pass", glued(&interval(&acceptance(rule, &band, &w), &w, said.unit)))
        };
        sheet.under("Accepted", text);
    }
    sheet.under("Probability", conformance(limits, said, shape));
}

/// How likely the torque lay within its limits.
fn conformance(limits: &Limits, said: &Applied, shape: &crate::domain::reckon::shape::Shape) -> String {
    let band = limits.band_in(said.unit);
    let found = probability(band.lower.as_ref(), band.upper.as_ref(), &said.torque, shape);
    let beyond = match (band.lower.is_some(), band.upper.is_some()) {
        (true, true) => format!("; below {}, above {}", percent(found.below), percent(found.above)),
        (true, false) => format!("; below {}", percent(found.below)),
        (false, true) => format!("; above {}", percent(found.above)),
        (false, false) => String::new(),
    };
    format!("within the limits {}{beyond}", percent(found.pc))
}

/// The same in a few words, for one reading among others.
pub(super) fn in_short(limits: &Limits, said: &Applied) -> String {
    let figure = applied_in_short(said);
    let judged = matches!(limits.basis, Basis::Range | Basis::Tolerance | Basis::AtMost);
    match said.shape.as_ref().filter(|_| judged) {
        Some(shape) => {
            let band = limits.band_in(said.unit);
            let found = probability(band.lower.as_ref(), band.upper.as_ref(), &said.torque, shape);
            format!("applied {figure}, within the limits {}", percent(found.pc))
        }
        None => format!("applied {figure}"),
    }
}
