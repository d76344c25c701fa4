//! What the error of a tool leaves of a maker's limits: said before the work, at the opening and in the store room.
//!
//! Deliberately absent: single values without tolerance, which have no limits, and whether a tool reaches a torque at all.

use super::applied::Applied;
use super::exact::Exact;
use super::limits::{Basis, Limits};
use super::reckon::decision::acceptance_empty;
use super::verdict::{DecisionRule, Verdict};

/// What the error of a tool leaves of a maker's limits, where that is too little.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doubt {
    /// Nothing: no torque could pass.
    NothingPasses,
    /// Something, but at this setting it passes only conditionally, or not at all.
    Conditional,
    /// Less than half: the error takes more than half of the tolerance.
    MoreThanHalf,
    /// Nothing is stated of the error, so that it passes conditionally at best.
    NotStated,
}

impl Doubt {
    /// The doubt about what a tool applies under a rule; nothing where it passes well. Simple acceptance takes nothing
    /// off the limits; of an upper limit alone there is no half.
    #[must_use]
    pub fn of(rule: DecisionRule, limits: &Limits, applied: &Applied) -> Option<Self> {
        if !judged_by_limits(rule, limits) {
            return None;
        }
        let Some(w) = applied.w() else { return Some(Self::NotStated) };
        let band = limits.band_in(applied.unit);
        if acceptance_empty(rule, &band, &w) {
            return Some(Self::NothingPasses);
        }
        if Verdict::of(rule, limits, applied) != Verdict::Pass {
            return Some(Self::Conditional);
        }
        let (lower, upper) = (band.lower?, band.upper?);
        // w more than half of half the width
        (&w * &Exact::ratio(4, 1) > &upper - &lower).then_some(Self::MoreThanHalf)
    }
}

/// Whether the error of a tool counts against these limits under a rule.
#[must_use]
pub fn judged_by_limits(rule: DecisionRule, limits: &Limits) -> bool {
    rule != DecisionRule::SimpleAcceptance
        && matches!(limits.basis, Basis::Range | Basis::Tolerance | Basis::AtMost)
}
