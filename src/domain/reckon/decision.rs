//! Acceptance intervals and decisions.
//!
//! Source: JCGM 106:2012 clauses 8.2 and 8.3; the words of ILAC-G8:09/2019 clause 4.2 (non-binary and binary with
//! a guard band, binary simple acceptance). That limits belong to their interval is this project's own rule where
//! ILAC-G8 says only above and below. Everything is compared exactly.

use super::shape::TAIL;
use crate::domain::exact::Exact;
use crate::domain::verdict::{DecisionRule, Verdict};

/// What lies between two limits, ends included; an absent limit is none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Band {
    /// Lower limit.
    pub lower: Option<Exact>,
    /// Upper limit.
    pub upper: Option<Exact>,
}

impl Band {
    /// Whether a value lies between the limits, ends included.
    #[must_use]
    pub fn holds(&self, value: &Exact) -> bool {
        self.lower.as_ref().is_none_or(|lower| lower <= value)
            && self.upper.as_ref().is_none_or(|upper| value <= upper)
    }

    /// The acceptance interval: both limits moved inward by the guard band w.
    #[must_use]
    pub fn inward(&self, w: &Exact) -> Self {
        Self {
            lower: self.lower.as_ref().map(|lower| lower + w),
            upper: self.upper.as_ref().map(|upper| upper - w),
        }
    }

    /// Both limits moved outward by the guard band w: beyond it, being outside is beyond doubt.
    #[must_use]
    pub fn outward(&self, w: &Exact) -> Self {
        self.inward(&-w)
    }

    /// Whether nothing lies between the limits. An acceptance interval that is empty says that the tool is not
    /// good enough for these limits.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        matches!((&self.lower, &self.upper), (Some(lower), Some(upper)) if lower > upper)
    }
}

/// The band in which a torque passes under a rule. Simple acceptance takes nothing off the limits.
#[must_use]
pub fn acceptance(rule: DecisionRule, limits: &Band, w: &Exact) -> Band {
    match rule {
        DecisionRule::SimpleAcceptance => limits.clone(),
        DecisionRule::GuardedFourWords | DecisionRule::GuardedTwoWords => limits.inward(w),
    }
}

/// Whether nothing could pass with this w: to be said before the work.
#[must_use]
pub fn acceptance_empty(rule: DecisionRule, limits: &Band, w: &Exact) -> bool {
    acceptance(rule, limits, w).is_empty()
}

/// The verdict on an applied torque under a rule, with the guard band w of its error.
#[must_use]
pub fn decide(rule: DecisionRule, limits: &Band, w: &Exact, applied: &Exact) -> Verdict {
    if acceptance(rule, limits, w).holds(applied) {
        return Verdict::Pass;
    }
    match rule {
        DecisionRule::GuardedFourWords if limits.holds(applied) => Verdict::ConditionalPass,
        DecisionRule::GuardedFourWords if limits.outward(w).holds(applied) => Verdict::ConditionalFail,
        DecisionRule::GuardedFourWords | DecisionRule::GuardedTwoWords | DecisionRule::SimpleAcceptance => {
            Verdict::Fail
        }
    }
}

/// The same where the error may not be stated: then what lies within passes only conditionally under a guard band. Our own
/// rule.
#[must_use]
pub fn decide_if_stated(rule: DecisionRule, limits: &Band, w: Option<&Exact>, applied: &Exact) -> Verdict {
    match w {
        Some(w) => decide(rule, limits, w, applied),
        None if !limits.holds(applied) => Verdict::Fail,
        None if rule == DecisionRule::SimpleAcceptance => Verdict::Pass,
        None => Verdict::ConditionalPass,
    }
}

/// Whether a value is outside its limits beyond the guard band w (guarded rejection, JCGM 106:2012 clause 8.3.3).
#[must_use]
pub fn rejected(limits: &Band, w: &Exact, value: &Exact) -> bool {
    !limits.outward(w).holds(value)
}

/// The worst risk, on one side, that a *pass* under a rule is outside its limits, from 0 to 1: for a value that
/// stands exactly at the end of the acceptance interval. It is the same for every shape, since w is cut from the
/// shape itself.
#[must_use]
pub fn worst_risk(rule: DecisionRule) -> f64 {
    match rule {
        DecisionRule::SimpleAcceptance => 0.5,
        DecisionRule::GuardedFourWords | DecisionRule::GuardedTwoWords => TAIL,
    }
}

/// The same as it is printed beside the rule.
#[must_use]
pub fn worst_risk_words(rule: DecisionRule) -> &'static str {
    match rule {
        DecisionRule::SimpleAcceptance => "a pass may be outside with a risk of up to 50 %",
        DecisionRule::GuardedFourWords => {
            "a pass may be outside with a risk of up to 2.28 % on each side, a conditional pass up to 50 %"
        }
        DecisionRule::GuardedTwoWords => "a pass may be outside with a risk of up to 2.28 % on each side",
    }
}
