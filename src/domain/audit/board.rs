//! One board: the always-in terminals counted, a random sample of the remainder, and what could not be reached.

use super::bound::{Looked, upper};
use rust_decimal::Decimal;

/// The sample of the remainder as it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sampled {
    /// Terminals of the remainder.
    pub remainder: u32,
    /// Of them drawn; a drawn one is never replaced.
    pub drawn: u32,
    /// Of the drawn ones, inspected.
    pub inspected: u32,
    /// Of the inspected ones, bad.
    pub bad: u32,
}

/// What a sample says about the remainder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bounds {
    /// At most so many bad ones among the terminals of the remainder that can be reached.
    pub reachable: u32,
    /// At most so many bad ones in the remainder, each drawn one that was not inspected counted as bad.
    pub worst: u32,
    /// Whether drawn ones are still to be inspected, or could not be.
    pub provisional: bool,
}

impl Sampled {
    /// Drawn and not inspected.
    #[must_use]
    pub fn not_inspected(&self) -> u32 {
        self.drawn.saturating_sub(self.inspected)
    }

    /// The bounds. The treatment of what was not reached is our own rule.
    #[must_use]
    pub fn bounds(&self, confidence: Decimal) -> Bounds {
        let missing = self.not_inspected();
        let reachable =
            Looked { size: self.remainder.saturating_sub(missing), drawn: self.inspected, found: self.bad };
        let worst =
            Looked { size: self.remainder, drawn: self.drawn, found: self.bad.saturating_add(missing) };
        Bounds {
            reachable: upper(reachable, confidence),
            worst: upper(worst, confidence),
            provisional: missing > 0,
        }
    }

    /// The bounds if every drawn one that is not inspected yet were clean.
    #[must_use]
    pub fn rest_clean(&self, confidence: Decimal) -> Bounds {
        Self { inspected: self.drawn, ..*self }.bounds(confidence)
    }

    /// The bounds if one more of the drawn ones were bad and all others clean; nothing where none is left to be so.
    #[must_use]
    pub fn one_more_bad(&self, confidence: Decimal) -> Option<Bounds> {
        let bad = self.bad.saturating_add(1);
        (bad <= self.drawn).then(|| Self { inspected: self.drawn, bad, ..*self }.bounds(confidence))
    }
}
