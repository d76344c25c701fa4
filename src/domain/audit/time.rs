//! What the minutes there are will buy.

use super::bound::{Looked, upper};
use crate::domain::exact::Exact;
use rust_decimal::Decimal;

/// How far the time goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// Not even the always-in terminals fit.
    CensusShort,
    /// The always-in terminals fit and none of the remainder.
    CensusOnly,
    /// A part of the remainder fits.
    Sample,
    /// Everything fits.
    Everything,
}

/// What the time buys.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bought {
    /// How many of the remainder can be inspected.
    pub drawn: u32,
    /// At most so many of the remainder are bad, if all of those are clean.
    pub bound_if_clean: u32,
    /// How far it goes.
    pub reach: Reach,
}

/// What the time buys: the always-in terminals come first, the rest of the time goes to the remainder. The rule is
/// our own; the division is exact. Nothing where a terminal takes no time at all.
#[must_use]
pub fn buys(
    minutes: Decimal,
    minutes_per_terminal: Decimal,
    always_in: u32,
    remainder: u32,
    confidence: Decimal,
) -> Option<Bought> {
    if minutes_per_terminal <= Decimal::ZERO || minutes < Decimal::ZERO {
        return None;
    }
    let fits = Exact::from(minutes).over(&Exact::from(minutes_per_terminal))?.floor().unwrap_or(u32::MAX);
    let drawn = fits.saturating_sub(always_in).min(remainder);
    let reach = if fits < always_in {
        Reach::CensusShort
    } else if drawn == remainder {
        Reach::Everything
    } else if drawn == 0 {
        Reach::CensusOnly
    } else {
        Reach::Sample
    };
    let looked = Looked { size: remainder, drawn, found: 0 };
    Some(Bought { drawn, bound_if_clean: upper(looked, confidence), reach })
}
