//! What is to be claimed, and how many have to be drawn for it.

use super::chance::{at_most, ways};
use crate::domain::exact::Exact;
use crate::domain::torque::decimal_text;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// At most this part is bad, at this confidence. Both are parts of one: `0.05` and `0.95`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Claim {
    /// Largest part that may be bad, 0 or more and less than 1.
    #[serde(with = "decimal_text")]
    pub at_most: Decimal,
    /// Confidence, more than 0 and less than 1.
    #[serde(with = "decimal_text")]
    pub confidence: Decimal,
}

impl Claim {
    /// What is offered: at most 5 % at 95 % confidence. Our choice, common in acceptance sampling.
    pub const OFFERED: Self = Self {
        at_most: Decimal::from_parts(5, 0, 0, false, 2),
        confidence: Decimal::from_parts(95, 0, 0, false, 2),
    };

    /// A claim of two percentages; nothing where one of them claims nothing or everything.
    #[must_use]
    pub fn of_percent(at_most: Decimal, confidence: Decimal) -> Option<Self> {
        let hundred = Decimal::ONE_HUNDRED;
        let good = at_most >= Decimal::ZERO
            && at_most < hundred
            && confidence > Decimal::ZERO
            && confidence < hundred;
        let part = |percent: Decimal| percent.checked_div(hundred).map(|part| part.normalize());
        Some(Self { at_most: part(at_most)?, confidence: part(confidence)? }).filter(|_| good)
    }

    /// How many of `size` may be bad under it: the whole part of the exact product.
    #[must_use]
    pub fn allowed(&self, size: u32) -> u32 {
        let product = &Exact::from(self.at_most) * &Exact::ratio(i128::from(size), 1);
        product.floor().unwrap_or(0)
    }

    /// The claim in words, `at most 5 % at 95 % confidence`.
    #[must_use]
    pub fn words(&self) -> String {
        let percent = |part: Decimal| part.saturating_mul(Decimal::ONE_HUNDRED).normalize();
        format!("at most {} % at {} % confidence", percent(self.at_most), percent(self.confidence))
    }

    /// Smallest sample of `size` in which no bad one supports *at most what is allowed*; every one where nothing may
    /// be bad and less would not do; at most `size`.
    #[must_use]
    pub fn sample(&self, size: u32) -> u32 {
        smallest_clean(size, self.allowed(size).saturating_add(1), self.confidence)
    }

    /// Smallest sample of the remainder in which no bad one supports the claim for the whole board, the finds among
    /// the always-in terminals counted; nothing where those alone are more than the claim allows.
    #[must_use]
    pub fn sample_for_whole(&self, whole: u32, always_in_bad: u32, remainder: u32) -> Option<u32> {
        let left = self.allowed(whole).checked_sub(always_in_bad)?;
        Some(smallest_clean(remainder, left.saturating_add(1), self.confidence))
    }
}

/// The chance that is left for being wrong: 1 less the confidence, exactly.
#[must_use]
pub fn doubt(confidence: Decimal) -> Exact {
    &Exact::ratio(1, 1) - &Exact::from(confidence)
}

/// Smallest sample of `size` terminals that would miss all of `bad` bad ones with no more than the doubt that is
/// left; 0 where there cannot be so many bad ones.
///
/// Source: hypergeometric distribution.
#[must_use]
pub fn smallest_clean(size: u32, bad: u32, confidence: Decimal) -> u32 {
    let Some(good) = size.checked_sub(bad) else { return 0 };
    let doubt = doubt(confidence);
    (0..=size).find(|drawn| Exact::of_counts(ways(good, *drawn), ways(size, *drawn)) <= doubt).unwrap_or(size)
}

/// The chance of a clean sample in spite of `bad` bad ones; nothing where more are bad or drawn than there are.
#[must_use]
pub fn clean_by_luck(size: u32, bad: u32, drawn: u32) -> Option<Exact> {
    at_most(0, size, bad, drawn)
}
