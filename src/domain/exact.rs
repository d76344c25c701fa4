//! Exact arithmetic: ratios of whole numbers of any size.
//!
//! Limits are compared with these and never with binary floating point, so 4.4 + 0.2 equals 4.6. Binary floating
//! point is met only where a probability is worked out, and then as the quotient of two exact values.

use num_bigint::{BigInt, BigUint};
use num_rational::BigRational;
use num_traits::{Signed as _, ToPrimitive as _, Zero as _};
use rust_decimal::Decimal;
use std::ops::{Add, Mul, Neg, Sub};

/// Decimal digits to which a root that is no ratio is worked out.
const ROOT_DIGITS: u32 = 24;

/// Largest power of ten read from a text, either way; what is smaller or larger is no measure of anything.
const EXPONENT_MAX: u32 = 400;

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

    /// Reads decimal text of any length, with a sign or an exponent: `2.50`, `-0.3`, `5.007e-18`.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let text = text.trim();
        let (number, exponent) = text.split_once(['e', 'E']).unwrap_or((text, "0"));
        let exponent: i32 = exponent.parse().ok()?;
        let (whole, fraction) = number.split_once('.').unwrap_or((number, ""));
        let unsigned = whole.strip_prefix(['-', '+']).unwrap_or(whole);
        let digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
        if exponent.unsigned_abs() > EXPONENT_MAX
            || unsigned.is_empty()
            || !digits(unsigned)
            || !digits(fraction)
        {
            return None;
        }
        let mantissa: BigInt = format!("{whole}{fraction}").parse().ok()?;
        let places = i32::try_from(fraction.len()).ok()?;
        Some(&Self(BigRational::from_integer(mantissa)) * &power_of_ten(exponent.checked_sub(places)?))
    }

    /// The ratio that a binary number stands for; nothing for an infinite one or none.
    #[must_use]
    pub fn from_f64(value: f64) -> Option<Self> {
        BigRational::from_float(value).map(Self)
    }

    /// The nearest binary number, infinite where it is too large for one. Never NaN.
    #[must_use]
    pub fn to_f64(&self) -> f64 {
        let beyond = if self.0.is_negative() { f64::NEG_INFINITY } else { f64::INFINITY };
        self.0.to_f64().filter(|value| !value.is_nan()).unwrap_or(beyond)
    }

    /// The square root and whether it is exact. A root that is no ratio is given to at least 24 significant
    /// digits, never above the true one; of a negative value it is zero.
    #[must_use]
    pub fn root(&self) -> (Self, bool) {
        if !self.0.is_positive() {
            return (Self::zero(), self.0.is_zero());
        }
        let (numer, denom) = (self.0.numer().sqrt(), self.0.denom().sqrt());
        if &(&numer * &numer) == self.0.numer() && &(&denom * &denom) == self.0.denom() {
            return (Self(BigRational::new(numer, denom)), true);
        }
        let scale = BigInt::from(10_u8).pow(ROOT_DIGITS);
        let square = self.0.numer() * self.0.denom() * &scale * &scale;
        (Self(BigRational::new(square.sqrt(), self.0.denom() * scale)), false)
    }

    /// The least value of at most `digits` significant digits that is not below this one; zero stays zero.
    #[must_use]
    pub fn rounded_up(&self, digits: u32) -> Self {
        if self.0.is_zero() {
            return Self::zero();
        }
        let places = i64::from(digits).saturating_sub(self.whole_digits());
        let unit = power_of_ten(i32::try_from(places.saturating_neg()).unwrap_or(0));
        match self.over(&unit) {
            Some(units) => &Self(units.0.ceil()) * &unit,
            None => self.clone(),
        }
    }

    /// Digits before the point: 3 for 123.4, 0 for 0.5, -1 for 0.05.
    fn whole_digits(&self) -> i64 {
        let size = self.magnitude();
        let bits = |value: &BigInt| i64::try_from(value.bits()).unwrap_or(i64::MAX);
        let twos = bits(size.0.numer()).saturating_sub(bits(size.0.denom()));
        // the logarithm of two, to five digits: too small by one at most, put right below
        let mut digits = twos.saturating_mul(30_103).div_euclid(100_000).saturating_sub(1);
        while let Ok(exponent) = i32::try_from(digits)
            && size >= power_of_ten(exponent)
        {
            digits = digits.saturating_add(1);
        }
        digits
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

/// Ten to a power, either way.
fn power_of_ten(exponent: i32) -> Exact {
    let power = BigInt::from(10_u8).pow(exponent.unsigned_abs());
    let one = BigInt::from(1_u8);
    Exact(if exponent < 0 { BigRational::new(one, power) } else { BigRational::new(power, one) })
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

impl Neg for &Exact {
    type Output = Exact;
    fn neg(self) -> Exact {
        Exact(BigRational::new_raw(-self.0.numer(), self.0.denom().clone()))
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

    fn read(text: &str) -> Exact {
        Exact::read(text).unwrap()
    }

    #[test]
    fn decimal_text_of_any_length_is_read() {
        assert_eq!(read("5.25e-2"), Exact::ratio(525, 10_000));
        assert_eq!(read("-0.5"), Exact::ratio(-1, 2));
        assert_eq!(read("12e3"), Exact::ratio(12_000, 1));
        for text in ["", ".", "e3", "1e", "1.2.3", "0x10", "1e9999999", "--1", "NaN"] {
            assert_eq!(Exact::read(text), None, "{text}");
        }
    }

    #[test]
    fn a_root_that_is_a_ratio_is_exact() {
        assert_eq!(read("0.0025").root(), (read("0.05"), true));
        let (root, exact) = read("2").root();
        assert!(!exact && &root * &root < read("2"));
        assert!(&read("2") - &(&root * &root) < read("1e-22"));
        assert_eq!(read("-4").root(), (Exact::zero(), false));
    }

    #[test]
    fn rounding_up_keeps_so_many_digits() {
        assert_eq!(read("0.0123401").rounded_up(4), read("0.01235"));
        assert_eq!(read("1234.01").rounded_up(4), read("1235"));
        assert_eq!(read("0.1").rounded_up(12), read("0.1"));
        assert_eq!(read("99.95").rounded_up(3), read("100"));
        assert_eq!(read("123456").rounded_up(2), read("130000"));
    }

    #[test]
    fn binary_numbers_come_and_go() {
        assert_eq!(Exact::from_f64(0.5), Some(Exact::ratio(1, 2)));
        assert_eq!(Exact::from_f64(f64::NAN), None);
        assert!(read("1e-350").to_f64() >= 0.0 && read("-1e399").to_f64().is_infinite());
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
