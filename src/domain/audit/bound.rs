//! How many may be bad, after a sample was looked at.

use super::chance::{at_least, at_most};
use super::claim::doubt;
use crate::domain::exact::Exact;
use rust_decimal::Decimal;

/// What was looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Looked {
    /// Terminals there are.
    pub size: u32,
    /// Of them, drawn at random and looked at.
    pub drawn: u32,
    /// Of those, bad.
    pub found: u32,
}

/// Largest number of bad ones, those found among them, that does not make so few finds unlikely: the chance of at
/// most so many finds is still more than the doubt. Nothing drawn: all of them; everything drawn: those found.
///
/// Source: test inversion of the hypergeometric distribution (Clopper-Pearson idea for a finite population).
#[must_use]
pub fn upper(looked: Looked, confidence: Decimal) -> u32 {
    upper_by(looked, &doubt(confidence))
}

/// Smallest number of bad ones that does not make so many finds unlikely; otherwise as [`upper`].
#[must_use]
pub fn lower(looked: Looked, confidence: Decimal) -> u32 {
    lower_by(looked, &doubt(confidence))
}

/// Lower and upper bound with half of the doubt on each side.
#[must_use]
pub fn both(looked: Looked, confidence: Decimal) -> (u32, u32) {
    let half = &doubt(confidence) * &Exact::ratio(1, 2);
    (lower_by(looked, &half), upper_by(looked, &half))
}

/// Bad ones there can be at all: those found, and everything that was not looked at.
fn possible(looked: Looked) -> (u32, u32) {
    let unseen = looked.size.saturating_sub(looked.drawn);
    (looked.found, looked.found.saturating_add(unseen))
}

fn upper_by(looked: Looked, doubt: &Exact) -> u32 {
    // the chance falls as the number of bad ones grows, so the last one above the doubt is searched by halving
    let (mut holds, mut end) = possible(looked);
    while holds < end {
        let middle = holds.saturating_add(end.saturating_sub(holds).div_ceil(2));
        match at_most(looked.found, looked.size, middle, looked.drawn) {
            Some(chance) if chance > *doubt => holds = middle,
            _ => end = middle.saturating_sub(1),
        }
    }
    holds
}

fn lower_by(looked: Looked, doubt: &Exact) -> u32 {
    let (mut start, mut holds) = possible(looked);
    while start < holds {
        let middle = start.saturating_add(holds.saturating_sub(start) / 2);
        match at_least(looked.found, looked.size, middle, looked.drawn) {
            Some(chance) if chance > *doubt => holds = middle,
            _ => start = middle.saturating_add(1),
        }
    }
    holds
}
