//! What a torque is judged to be. Four words of ILAC-G8:09/2019 for what has limits; a single value without
//! tolerance is judged by its setting when the span is closed.

use super::limits::{Basis, Lies, Limits};
use super::torque::Torque;
use serde::{Deserialize, Serialize};

/// Version of the rules a torque was judged by; kept in every torque fact.
pub const RULES: u32 = 1;

/// How readings and settings are decided upon; fixed when the visit opens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DecisionRule {
    /// Simple acceptance: within the limits passes; the tool's error is not taken off.
    SimpleAcceptance,
    /// Four words with a guard band of 95.45 %; needs the reckoning.
    GuardedFourWords,
    /// Pass or fail with a guard band of 95.45 %; needs the reckoning.
    GuardedTwoWords,
}

impl DecisionRule {
    /// As it is printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::SimpleAcceptance => "simple acceptance (the tool's error is not taken off the limits)",
            Self::GuardedFourWords => "guard band of 95.45 %, four words",
            Self::GuardedTwoWords => "guard band of 95.45 %, pass or fail",
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

    /// Simple acceptance of a torque against its limits.
    #[must_use]
    pub fn simple(limits: &Limits, torque: &Torque) -> Self {
        match (limits.basis, limits.place(torque)) {
            (Basis::None, _) => Self::NotJudged,
            (Basis::Single, _) => Self::BySetting,
            (_, Lies::Within) => Self::Pass,
            (_, Lies::Below | Lies::Above) => Self::Fail,
        }
    }
}
