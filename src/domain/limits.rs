//! Limits a torque is judged by, and where they come from.

use super::exact::Exact;
use super::reckon::decision::Band;
use super::stated::{Stated, Tolerance, TorqueRow};
use super::torque::{Torque, Unit, decimal_text, decimal_text_option};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// What the maker's words allow to be judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// One value, no tolerance: judged by the setting.
    Single,
    /// One value read on an indicating tool: the firm's own tolerance, fixed at the opening.
    OwnTolerance,
    /// The maker's tolerance.
    Tolerance,
    /// The maker's range.
    Range,
    /// The maker's upper limit.
    AtMost,
    /// No maker's value known.
    None,
}

impl Basis {
    /// As it is printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Single => "maker gives no tolerance; judged by setting",
            Self::OwnTolerance => "maker gives no tolerance; firm's own tolerance",
            Self::Tolerance => "maker's tolerance",
            Self::Range => "maker's range",
            Self::AtMost => "maker's upper limit",
            Self::None => "no maker's value",
        }
    }
}

/// The firm's own tolerance for readings on a single value, ± per cent; fixed when the visit opens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct OwnTolerance(#[serde(with = "decimal_text")] pub Decimal);

/// Limits as a torque fact keeps them, in one unit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// Least allowed.
    #[serde(with = "decimal_text_option", skip_serializing_if = "Option::is_none", default)]
    pub lower: Option<Decimal>,
    /// Most allowed.
    #[serde(with = "decimal_text_option", skip_serializing_if = "Option::is_none", default)]
    pub upper: Option<Decimal>,
    /// Unit of both.
    pub unit: Unit,
    /// What they rest on.
    pub basis: Basis,
    /// Where the value was read, in words; empty where no value is known.
    pub source: String,
}

/// Where a torque lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lies {
    /// Below the lower limit.
    Below,
    /// Within, ends included, or not limited.
    Within,
    /// Above the upper limit.
    Above,
}

impl Limits {
    /// Limits where no maker's value is known.
    #[must_use]
    pub fn unknown() -> Self {
        Self { lower: None, upper: None, unit: Unit::NewtonMetre, basis: Basis::None, source: String::new() }
    }

    /// Limits of a row of the maker's table; a single value has limits only where a reading is judged by the
    /// firm's own tolerance.
    #[must_use]
    pub fn of(row: &TorqueRow, own: Option<OwnTolerance>) -> Self {
        let source = row.source.to_string();
        let made = |lower, upper, unit, basis| Self { lower, upper, unit, basis, source: source.clone() };
        match &row.stated {
            Stated::Single { value } => match own {
                Some(OwnTolerance(percent)) => {
                    let (lower, upper) = around(value, &percent_of(value, percent));
                    made(lower, upper, value.unit, Basis::OwnTolerance)
                }
                None => made(None, None, value.unit, Basis::Single),
            },
            Stated::Tolerance { value, tolerance } => {
                let by = match tolerance {
                    Tolerance::Percent(percent) => percent_of(value, *percent),
                    Tolerance::Torque(by) => by.exact_in(value.unit),
                };
                let (lower, upper) = around(value, &by);
                made(lower, upper, value.unit, Basis::Tolerance)
            }
            Stated::Range { lower, upper, .. } => {
                let unit = lower.unit;
                let upper =
                    if upper.unit == unit { Some(upper.value) } else { upper.exact_in(unit).decimal(20) };
                made(Some(lower.value), upper, unit, Basis::Range)
            }
            Stated::AtMost { upper, .. } => made(None, Some(upper.value), upper.unit, Basis::AtMost),
        }
    }

    /// The limits as a band, in a unit, exactly.
    #[must_use]
    pub fn band_in(&self, unit: Unit) -> Band {
        let exact = |limit: Option<Decimal>| limit.map(|limit| Torque::new(limit, self.unit).exact_in(unit));
        Band { lower: exact(self.lower), upper: exact(self.upper) }
    }

    /// Where a torque lies, compared exactly.
    #[must_use]
    pub fn place(&self, torque: &Torque) -> Lies {
        let exact = torque.exact_in(self.unit);
        if self.lower.is_some_and(|lower| exact < Exact::from(lower)) {
            Lies::Below
        } else if self.upper.is_some_and(|upper| exact > Exact::from(upper)) {
            Lies::Above
        } else {
            Lies::Within
        }
    }
}

fn percent_of(value: &Torque, percent: Decimal) -> Exact {
    &(&Exact::from(value.value) * &Exact::from(percent)) * &Exact::ratio(1, 100)
}

fn around(value: &Torque, by: &Exact) -> (Option<Decimal>, Option<Decimal>) {
    let value = Exact::from(value.value);
    ((&value - by).decimal(20), (&value + by).decimal(20))
}
