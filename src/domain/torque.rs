//! Torque in the unit in which it was stated, with the digits that were typed.

use super::exact::Exact;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::cmp::Ordering;
use std::fmt;

/// A unit of torque. Factors are exact by definition: lb = 0.45359237 kg, g = 9.80665 m/s², in = 25.4 mm
/// (international yard and pound agreement 1959; 3rd CGPM 1901). NIST SP 811 Appendix B lists them rounded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Unit {
    /// newton metre
    #[serde(rename = "N.m")]
    NewtonMetre,
    /// centinewton metre
    #[serde(rename = "cN.m")]
    CentinewtonMetre,
    /// pound-force inch
    #[serde(rename = "lbf.in")]
    PoundInch,
    /// pound-force foot
    #[serde(rename = "lbf.ft")]
    PoundFoot,
}

impl Unit {
    /// Every unit, in the order in which messages list them.
    pub const ALL: [Self; 4] = [Self::NewtonMetre, Self::CentinewtonMetre, Self::PoundInch, Self::PoundFoot];

    /// As it is written in files, on the screen and in the appendix: `N.m`, `cN.m`, `lbf.in`, `lbf.ft`.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        match self {
            Self::NewtonMetre => "N.m",
            Self::CentinewtonMetre => "cN.m",
            Self::PoundInch => "lbf.in",
            Self::PoundFoot => "lbf.ft",
        }
    }

    /// Reads `N.m`, `N·m`, `Nm`, `lbf in`, … in either case of the first letter.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let plain: String = text.chars().filter(|c| !matches!(c, '.' | '·' | '⋅' | ' ' | '\u{a0}')).collect();
        match plain.to_lowercase().as_str() {
            "nm" => Some(Self::NewtonMetre),
            "cnm" => Some(Self::CentinewtonMetre),
            "lbfin" => Some(Self::PoundInch),
            "lbfft" => Some(Self::PoundFoot),
            _ => None,
        }
    }

    /// Newton metres in one of this unit, exactly.
    #[must_use]
    pub fn factor(self) -> Exact {
        match self {
            Self::NewtonMetre => Exact::ratio(1, 1),
            Self::CentinewtonMetre => Exact::ratio(1, 100),
            Self::PoundInch => Exact::ratio(1_129_848_290_276_167, 10_000_000_000_000_000),
            Self::PoundFoot => Exact::ratio(13_558_179_483_314_004, 10_000_000_000_000_000),
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

/// Why a written quantity cannot be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unreadable {
    /// Nothing that could be a number at the front.
    NoNumber,
    /// More digits than are kept: at most 9 in all, at most 6 after the point.
    TooManyDigits,
    /// A number without a unit behind it.
    NoUnit,
    /// Letters behind the number that are no unit of torque.
    UnknownUnit(String),
}

/// A torque as it was stated: exact decimal, its own digits, its own unit. Zero or more in every use; the
/// readers refuse less.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Torque {
    /// The number, digits kept (`2.50` stays `2.50`).
    #[serde(with = "decimal_text")]
    pub value: Decimal,
    /// Its unit.
    pub unit: Unit,
}

impl Torque {
    /// The torque of a number and its unit.
    #[must_use]
    pub fn new(value: Decimal, unit: Unit) -> Self {
        Self { value, unit }
    }

    /// Reads `2.50 N.m`, `2,5 Nm`, `22 lbf·in`.
    ///
    /// # Errors
    /// [`Unreadable`] says what is missing or too much.
    pub fn read(text: &str) -> Result<Self, Unreadable> {
        let text = text.trim();
        let end = text
            .char_indices()
            .find(|(_, c)| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+')))
            .map_or(text.len(), |(at, _)| at);
        let (number, unit) = text.split_at(end);
        let value = read_decimal(number)?;
        let unit = unit.trim();
        if unit.is_empty() {
            return Err(Unreadable::NoUnit);
        }
        let unit = Unit::read(unit).ok_or_else(|| Unreadable::UnknownUnit(unit.to_owned()))?;
        Ok(Self { value, unit })
    }

    /// In newton metres, exactly.
    #[must_use]
    pub fn exact_nm(&self) -> Exact {
        &Exact::from(self.value) * &self.unit.factor()
    }

    /// In another unit, exactly.
    #[must_use]
    pub fn exact_in(&self, unit: Unit) -> Exact {
        if unit == self.unit {
            return Exact::from(self.value);
        }
        self.exact_nm().over(&unit.factor()).unwrap_or_else(Exact::zero)
    }
}

/// Equal when they are the same torque, whatever the unit: `250 cN.m` equals `2.5 N.m`.
impl PartialEq for Torque {
    fn eq(&self, other: &Self) -> bool {
        self.exact_nm() == other.exact_nm()
    }
}

impl Eq for Torque {}

impl PartialOrd for Torque {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Torque {
    fn cmp(&self, other: &Self) -> Ordering {
        self.exact_nm().cmp(&other.exact_nm())
    }
}

impl fmt::Display for Torque {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.value, self.unit)
    }
}

/// Reads a plain decimal with point or comma: at most 9 digits, at most 6 after the point, a sign allowed.
///
/// # Errors
/// [`Unreadable::NoNumber`] or [`Unreadable::TooManyDigits`].
pub fn read_decimal(text: &str) -> Result<Decimal, Unreadable> {
    let text = text.trim().replace(',', ".");
    let digits = text.strip_prefix(['-', '+']).unwrap_or(&text);
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
    let all_digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty() || !all_digits(whole) || !all_digits(fraction) || digits.ends_with('.') {
        return Err(Unreadable::NoNumber);
    }
    if fraction.len() > 6 || whole.len().saturating_add(fraction.len()) > 9 {
        return Err(Unreadable::TooManyDigits);
    }
    Decimal::from_str_exact(&text).or(Err(Unreadable::NoNumber))
}

/// Serde for exact decimals: always the text with its digits, never a JSON number.
pub mod decimal_text {
    use rust_decimal::Decimal;
    use serde::{Deserialize as _, Deserializer, Serializer, de::Error as _};

    /// Writes the digits as text.
    ///
    /// # Errors
    /// Those of the writer.
    pub fn serialize<S: Serializer>(value: &Decimal, writer: S) -> Result<S::Ok, S::Error> {
        writer.collect_str(value)
    }

    /// Reads the digits from text.
    ///
    /// # Errors
    /// Where the text is no decimal of at most 28 digits.
    pub fn deserialize<'de, D: Deserializer<'de>>(reader: D) -> Result<Decimal, D::Error> {
        let text = String::deserialize(reader)?;
        Decimal::from_str_exact(&text).map_err(D::Error::custom)
    }
}

/// Serde for an exact decimal that may be absent.
pub mod decimal_text_option {
    use rust_decimal::Decimal;
    use serde::{Deserialize as _, Deserializer, Serializer, de::Error as _};

    /// Writes the digits as text, or nothing.
    ///
    /// # Errors
    /// Those of the writer.
    #[allow(clippy::ref_option, reason = "the signature is serde's")]
    pub fn serialize<S: Serializer>(value: &Option<Decimal>, writer: S) -> Result<S::Ok, S::Error> {
        match value {
            Some(value) => writer.collect_str(value),
            None => writer.serialize_none(),
        }
    }

    /// Reads the digits from text, if there are any.
    ///
    /// # Errors
    /// Where the text is no decimal of at most 28 digits.
    pub fn deserialize<'de, D: Deserializer<'de>>(reader: D) -> Result<Option<Decimal>, D::Error> {
        Option::<String>::deserialize(reader)?
            .map(|text| Decimal::from_str_exact(&text).map_err(D::Error::custom))
            .transpose()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_and_unit_are_kept_as_typed() {
        for (text, shown) in [("2.50 N.m", "2.50 N.m"), ("2,5Nm", "2.5 N.m"), ("22 lbf·in", "22 lbf.in")] {
            assert_eq!(Torque::read(text).unwrap().to_string(), shown);
        }
    }

    #[test]
    fn what_cannot_be_read_says_why() {
        assert_eq!(Torque::read("2.5"), Err(Unreadable::NoUnit));
        assert_eq!(Torque::read("Nm"), Err(Unreadable::NoNumber));
        assert_eq!(Torque::read("1.2345678 Nm"), Err(Unreadable::TooManyDigits));
        assert_eq!(Torque::read("2 kgf.m"), Err(Unreadable::UnknownUnit("kgf.m".into())));
    }

    #[test]
    fn the_same_torque_in_two_units_is_equal() {
        assert_eq!(Torque::read("250 cN.m"), Torque::read("2.50 N.m"));
        assert!(Torque::read("22 lbf.in").unwrap() < Torque::read("2.5 N.m").unwrap());
    }
}
