//! Exact arithmetic: ratios of whole numbers of any size.
//!
//! Limits are compared with these and never with binary floating point, so 4.4 + 0.2 equals 4.6.

use num_bigint::{BigInt, BigUint};
use num_rational::BigRational;
use num_traits::{Signed as _, Zero as _};
use rust_decimal::Decimal;
use std::ops::{Add, Mul, Sub};

/// An exact ratio. Never rounded, never NaN.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Exact(BigRational);

impl Exact {
    /// Zero.
    #[must_use]
    pub fn zero() -> Self {
        Self(BigRational::zero())
    }

    /// The ratio of two whole numbers; a zero denominator is read as one.
    #[must_use]
    pub fn ratio(numerator: i128, denominator: i128) -> Self {
        let denominator = if denominator == 0 { 1 } else { denominator };
        Self(BigRational::new(BigInt::from(numerator), BigInt::from(denominator)))
    }

    /// The ratio of two counts of any size; a zero denominator is read as one.
    #[must_use]
    pub fn of_counts(numerator: BigUint, denominator: BigUint) -> Self {
        let denominator = if denominator.is_zero() { BigUint::from(1_u8) } else { denominator };
        Self(BigRational::new(BigInt::from(numerator), BigInt::from(denominator)))
    }

    /// The quotient, or nothing where the divisor is zero.
    #[must_use]
    pub fn over(&self, divisor: &Self) -> Option<Self> {
        if divisor.0.is_zero() {
            None
        } else {
            Some(Self(BigRational::new(
                self.0.numer() * divisor.0.denom(),
                self.0.denom() * divisor.0.numer(),
            )))
        }
    }

    /// The distance from zero.
    #[must_use]
    pub fn magnitude(&self) -> Self {
        Self(self.0.abs())
    }

    /// The nearest whole number; a tie goes away from zero.
    #[must_use]
    pub fn nearest(&self) -> Self {
        Self(self.0.round())
    }

    /// The greatest whole number that is not above it; nothing below 0 or above `u32::MAX`.
    #[must_use]
    pub fn floor(&self) -> Option<u32> {
        u32::try_from(self.0.floor().to_integer()).ok()
    }

    /// The decimal with at most `places` digits after the point, trailing zeros dropped, a tie away from zero;
    /// nothing where it needs more than 28 digits.
    #[must_use]
    pub fn decimal(&self, places: u32) -> Option<Decimal> {
        let scale = BigInt::from(10_u8).pow(places);
        let scaled = Exact(BigRational::new(self.0.numer() * scale, self.0.denom().clone())).nearest();
        let mantissa = i128::try_from(scaled.0.to_integer()).ok()?;
        Decimal::try_from_i128_with_scale(mantissa, places).ok().map(|d| d.normalize())
    }
}

/// Loss from one value to another in whole per cent of the first, a tie away from zero; nothing where the first is
/// zero or the answer is beyond any use.
#[must_use]
pub fn loss_percent(before: &Exact, after: &Exact) -> Option<i32> {
    let share = (before - after).over(before)?;
    let percent = &share * &Exact::ratio(100, 1);
    i32::try_from(percent.nearest().0.to_integer()).ok()
}

impl From<Decimal> for Exact {
    fn from(value: Decimal) -> Self {
        let denominator = BigInt::from(10_u8).pow(value.scale());
        Self(BigRational::new(BigInt::from(value.mantissa()), denominator))
    }
}

impl Add for &Exact {
    type Output = Exact;
    fn add(self, other: Self) -> Exact {
        Exact(BigRational::new(
            self.0.numer() * other.0.denom() + other.0.numer() * self.0.denom(),
            self.0.denom() * other.0.denom(),
        ))
    }
}

impl Sub for &Exact {
    type Output = Exact;
    fn sub(self, other: Self) -> Exact {
        Exact(BigRational::new(
            self.0.numer() * other.0.denom() - other.0.numer() * self.0.denom(),
            self.0.denom() * other.0.denom(),
        ))
    }
}

impl Mul for &Exact {
    type Output = Exact;
    fn mul(self, other: Self) -> Exact {
        Exact(BigRational::new(self.0.numer() * other.0.numer(), self.0.denom() * other.0.denom()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_point_four_and_two_tenths_are_four_point_six() {
        let d = |text: &str| Exact::from(Decimal::from_str_exact(text).unwrap());
        assert_eq!(&d("4.4") + &d("0.2"), d("4.6"));
        assert_eq!(&d("4.6") - &d("0.2"), d("4.40"));
    }

    #[test]
    fn a_tie_goes_away_from_zero() {
        assert_eq!(Exact::ratio(5, 2).nearest(), Exact::ratio(3, 1));
        assert_eq!(Exact::ratio(-5, 2).nearest(), Exact::ratio(-3, 1));
        assert_eq!(Exact::ratio(22_126, 1000).decimal(1).unwrap().to_string(), "22.1");
    }

    #[test]
    fn a_loss_is_in_whole_per_cent_of_what_was_before() {
        let d = |text: &str| Exact::from(Decimal::from_str_exact(text).unwrap());
        assert_eq!(loss_percent(&d("3.5"), &d("2.8")), Some(20));
        assert_eq!(loss_percent(&d("2.0"), &d("2.5")), Some(-25));
        assert_eq!(loss_percent(&d("0"), &d("2.5")), None);
    }

    #[test]
    fn nothing_is_divided_by_zero() {
        assert_eq!(Exact::ratio(1, 1).over(&Exact::zero()), None);
    }
}
