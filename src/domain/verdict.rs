//! What a torque is judged to be. Four words of ILAC-G8:09/2019 for what has limits; a single value without
//! tolerance is judged by its setting when the span is closed.

use super::applied::Applied;
use super::limits::{Basis, Limits};
use super::reckon::decision::decide_if_stated;
use serde::{Deserialize, Serialize};

/// Version of the rules a torque was judged by; kept in every torque fact.
pub const RULES: u32 = 2;

/// How readings and settings are decided upon; fixed when the visit opens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DecisionRule {
    /// Simple acceptance: within the limits passes; the tool's error is not taken off.
    SimpleAcceptance,
    /// Four words with a guard band of 95.45 %; the usual one.
    GuardedFourWords,
    /// Pass or fail with a guard band of 95.45 %.
    GuardedTwoWords,
}

impl DecisionRule {
    /// Every rule, in the order in which they are listed; the usual one first.
    pub const ALL: [Self; 3] = [Self::GuardedFourWords, Self::GuardedTwoWords, Self::SimpleAcceptance];

    /// The rule that decides on limits of a basis when this one was chosen: the firm's own tolerance is simple acceptance
    /// whatever the rule. Nothing where there are no limits.
    #[must_use]
    pub fn on(self, basis: Basis) -> Option<Self> {
        match basis {
            Basis::None | Basis::Single => None,
            Basis::OwnTolerance => Some(Self::SimpleAcceptance),
            Basis::Tolerance | Basis::Range | Basis::AtMost => Some(self),
        }
    }

    /// In a few words.
    #[must_use]
    pub fn short(self) -> &'static str {
        match self {
            Self::SimpleAcceptance => "simple acceptance, nothing taken off for the error of the tool",
            Self::GuardedFourWords => "pass, conditional pass, conditional fail or fail, with a guard band",
            Self::GuardedTwoWords => "pass or fail, with a guard band",
        }
    }

    /// As it is printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::SimpleAcceptance => "simple acceptance: the error of the tool is not taken off the limits",
            Self::GuardedFourWords => {
                "four words: pass, conditional pass, conditional fail, fail; guard band of 95.45 %"
            }
            Self::GuardedTwoWords => "two words: pass or fail; guard band of 95.45 %",
        }
    }
}

/// Verdict of one torque.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// The scales at both ends of the span decide.
    BySetting,
    /// Within the limits.
    Pass,
    /// Within, but not beyond doubt.
    ConditionalPass,
    /// Outside, but not beyond doubt.
    ConditionalFail,
    /// Outside the limits.
    Fail,
    /// Nothing to judge: no maker's value, by hand, or it did not click.
    NotJudged,
}

impl Verdict {
    /// As it is printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::BySetting => "by setting",
            Self::Pass => "pass",
            Self::ConditionalPass => "conditional pass",
            Self::ConditionalFail => "conditional fail",
            Self::Fail => "fail",
            Self::NotJudged => "not judged",
        }
    }

    /// The verdict on an applied torque under the rule of the visit. Where nothing is stated of the tool's error, what lies within passes only conditionally
    /// under a guard band; our own rule.
    #[must_use]
    pub fn of(rule: DecisionRule, limits: &Limits, applied: &Applied) -> Self {
        let Some(rule) = rule.on(limits.basis) else {
            return if limits.basis == Basis::Single { Self::BySetting } else { Self::NotJudged };
        };
        let band = limits.band_in(applied.unit);
        decide_if_stated(rule, &band, applied.w().as_ref(), &applied.torque)
    }

    /// Whether the torque may stand: it is not outside its limits, nor failed by the rule.
    #[must_use]
    pub fn stands(self) -> bool {
        !matches!(self, Self::Fail | Self::ConditionalFail)
    }
}
