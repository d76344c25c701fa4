//! Drawing without putting back: the hypergeometric distribution, in exact whole numbers.

use crate::domain::exact::Exact;
use num_bigint::BigUint;
use num_traits::{One as _, Zero as _};

/// In how many ways `take` things can be chosen out of `of`; 0 where there are not so many.
#[must_use]
#[allow(
    clippy::arithmetic_side_effects,
    reason = "whole numbers of any size do not overflow, and no divisor is 0"
)]
pub fn ways(of: u32, take: u32) -> BigUint {
    if take > of {
        return BigUint::zero();
    }
    let take = take.min(of.saturating_sub(take));
    let mut product = BigUint::one();
    for nth in 0..take {
        product *= of.saturating_sub(nth);
        product /= nth.saturating_add(1);
    }
    product
}

/// The chance of finding at most `found` bad ones among `drawn` terminals, where `bad` of `size` are bad.
///
/// Source: hypergeometric distribution. Nothing where more are bad or drawn than there are.
#[must_use]
#[allow(
    clippy::arithmetic_side_effects,
    reason = "whole numbers of any size do not overflow, and no divisor is 0"
)]
pub fn at_most(found: u32, size: u32, bad: u32, drawn: u32) -> Option<Exact> {
    let good = size.checked_sub(bad)?;
    size.checked_sub(drawn)?;
    let mut hits = BigUint::zero();
    for each in 0..=found.min(drawn).min(bad) {
        hits += ways(bad, each) * ways(good, drawn.saturating_sub(each));
    }
    Some(Exact::of_counts(hits, ways(size, drawn)))
}

/// The chance of finding at least `found` bad ones; otherwise as [`at_most`].
#[must_use]
pub fn at_least(found: u32, size: u32, bad: u32, drawn: u32) -> Option<Exact> {
    let fewer = match found.checked_sub(1) {
        Some(fewer) => at_most(fewer, size, bad, drawn)?,
        None => Exact::zero(),
    };
    Some(&Exact::ratio(1, 1) - &fewer)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ways_are_those_of_pascals_triangle() {
        for of in 1..30 {
            for take in 1..=of {
                assert_eq!(ways(of, take), ways(of - 1, take - 1) + ways(of - 1, take));
            }
        }
        assert_eq!(ways(4, 5), BigUint::zero());
    }

    #[test]
    fn every_subset_of_a_small_board_is_counted() {
        // our own count: every subset of 7 terminals of which the first 3 are bad
        for drawn in 0..=7_u32 {
            let subsets: Vec<u32> = (0..128_u32).filter(|set| set.count_ones() == drawn).collect();
            for found in 0..=drawn {
                let few = subsets.iter().filter(|set| (**set & 0b111).count_ones() <= found).count();
                let expected = Exact::ratio(few.try_into().unwrap(), subsets.len().try_into().unwrap());
                assert_eq!(at_most(found, 7, 3, drawn), Some(expected));
            }
        }
        assert_eq!(at_most(0, 3, 4, 1), None);
        assert_eq!(at_most(0, 3, 1, 4), None);
    }
}
