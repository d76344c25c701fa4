//! Torque tools: what they are, what they can be set to, and whether their calibration is stated.

use super::exact::Exact;
use super::names::ToolId;
use super::torque::{Torque, Unit, decimal_text, decimal_text_option};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// How a tool works.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ToolKind {
    /// Set on a scale, clicks or slips at the setting.
    Setting,
    /// Made or locked for one value.
    Fixed,
    /// Shows the torque while it is turned.
    Indicating,
}

impl ToolKind {
    /// The trade's word.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Setting => "setting",
            Self::Fixed => "fixed",
            Self::Indicating => "indicating",
        }
    }
}

/// From least to most, in the tool's unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ToolRange {
    /// Lowest marked value.
    #[serde(with = "decimal_text")]
    pub min: Decimal,
    /// Highest marked value.
    #[serde(with = "decimal_text")]
    pub max: Decimal,
}

/// One calibration point, in the tool's unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CalibrationPoint {
    /// What was set or indicated.
    #[serde(with = "decimal_text")]
    pub set: Decimal,
    /// Mean reference torque.
    #[serde(with = "decimal_text")]
    pub reference: Decimal,
    /// Relative expanded uncertainty W, per cent, k = 2.
    #[serde(with = "decimal_text_option", skip_serializing_if = "Option::is_none", default)]
    pub w_percent: Option<Decimal>,
}

/// One calibration, as found or as left.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Calibration {
    /// Day of calibration, `2026-03-02`.
    pub date: String,
    /// Day of first use after it, where known.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub first_use: Option<String>,
    /// Certificate number; nothing where none was stated.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub certificate: Option<String>,
    /// Laboratory.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub laboratory: Option<String>,
    /// Points as found, before any adjustment.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub as_found: Vec<CalibrationPoint>,
    /// Points as left.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub as_left: Vec<CalibrationPoint>,
}

/// Months a calibration is good for: ISO 6789-1, from memory; or 5000 operations, which comes later.
pub const VALID_MONTHS: i32 = 12;

/// Whether the tool was good on the day it was stated.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Validity {
    /// Calibrated within the last 12 months.
    Valid,
    /// No calibration stated: at best *complete with remark*.
    NotStated,
    /// Calibrated longer ago; used on a typed reason only, at best *complete with remark*.
    Lapsed,
}

/// Last day on which a calibration of that day, `2026-03-02`, is good; nothing where it is no day.
#[must_use]
pub fn valid_until(calibrated: &str) -> Option<jiff::civil::Date> {
    let day: jiff::civil::Date = calibrated.parse().ok()?;
    day.checked_add(jiff::Span::new().months(VALID_MONTHS)).ok()
}

/// A tool as stated in a visit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tool {
    /// Letter in this visit.
    pub id: ToolId,
    /// Serial number as engraved.
    pub serial: String,
    /// What the person calls it.
    pub name: String,
    /// How it works.
    pub kind: ToolKind,
    /// Type and class of ISO 6789 as printed, `II D`; nothing where not stated.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub class: Option<String>,
    /// Unit of its scale.
    pub unit: Unit,
    /// What it can be set to or show; for a fixed tool both ends are its value.
    pub range: ToolRange,
    /// Step of its scale; nothing for a fixed tool.
    #[serde(with = "decimal_text_option", skip_serializing_if = "Option::is_none", default)]
    pub graduation: Option<Decimal>,
    /// Adapter in line, in words; later with its lengths.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub adapter: Option<String>,
    /// Calibrations, oldest first; empty = not stated.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub calibrations: Vec<Calibration>,
    /// Operations before this visit, where stated.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub operations_before: Option<u64>,
    /// Whether it was good on the day.
    pub validity: Validity,
    /// Why a lapsed tool is used all the same.
    #[serde(rename = "override", skip_serializing_if = "Option::is_none", default)]
    pub override_reason: Option<String>,
}

/// Why a tool cannot be set for a torque.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoSetting {
    /// Below the lowest marked value.
    BelowRange,
    /// Above the highest marked value.
    AboveRange,
    /// A fixed tool made for another value.
    FixedElsewhere,
}

impl Tool {
    /// Whether it can do this torque at all.
    ///
    /// # Errors
    /// [`NoSetting`] says on which side it fails.
    pub fn reaches(&self, aim: &Torque) -> Result<(), NoSetting> {
        let aim = aim.exact_in(self.unit);
        if self.kind == ToolKind::Fixed {
            return if aim == Exact::from(self.range.min) { Ok(()) } else { Err(NoSetting::FixedElsewhere) };
        }
        if aim < Exact::from(self.range.min) {
            return Err(NoSetting::BelowRange);
        }
        if aim > Exact::from(self.range.max) { Err(NoSetting::AboveRange) } else { Ok(()) }
    }

    /// What to set on the scale for a torque: the nearest mark inside the range, a tie away from zero. An
    /// indicating tool is turned to the aim itself.
    ///
    /// # Errors
    /// As [`Tool::reaches`].
    pub fn required(&self, aim: &Torque) -> Result<Torque, NoSetting> {
        self.reaches(aim)?;
        let exact = aim.exact_in(self.unit);
        let value = match (self.kind, self.graduation) {
            (ToolKind::Setting, Some(graduation)) => nearest_mark(&exact, graduation),
            (ToolKind::Fixed, _) => Some(self.range.min),
            (ToolKind::Setting, None) | (ToolKind::Indicating, _) => exact.decimal(6),
        };
        value.map(|value| Torque::new(value, self.unit)).ok_or(NoSetting::AboveRange)
    }

    /// Whether a scale reading agrees with a required setting: within half a graduation, ends included.
    #[must_use]
    pub fn agrees(&self, read: &Torque, required: &Torque) -> bool {
        within_half(self.graduation, &read.exact_in(self.unit), &required.exact_in(self.unit))
    }

    /// Whether complete terminals may stand on it without a remark.
    #[must_use]
    pub fn proves(&self) -> bool {
        self.validity == Validity::Valid
    }
}

/// The multiple of the graduation nearest to an exact value, a tie away from zero. Our own rule, `as_set.csv`.
#[must_use]
pub fn nearest_mark(exact: &Exact, graduation: Decimal) -> Option<Decimal> {
    let step = Exact::from(graduation);
    let mark = &exact.over(&step)?.nearest() * &step;
    let value = mark.decimal(graduation.scale())?;
    Some(with_scale(value, graduation.scale()))
}

fn with_scale(value: Decimal, scale: u32) -> Decimal {
    let mut value = value;
    value.rescale(scale);
    value
}

/// Whether two values in one unit lie within half a graduation; without a graduation they must be equal.
#[must_use]
pub fn within_half(graduation: Option<Decimal>, read: &Exact, required: &Exact) -> bool {
    let off = (read - required).magnitude();
    match graduation {
        Some(step) => &off * &Exact::ratio(2, 1) <= Exact::from(step),
        None => off == Exact::zero(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Twelve months as the calendar counts them (ISO 6789-1, from memory).
    #[test]
    fn a_calibration_is_good_for_twelve_months() {
        let until = |day| valid_until(day).map(|until| until.to_string());
        assert_eq!(until("2026-03-02").as_deref(), Some("2027-03-02"));
        assert_eq!(until("2024-02-29").as_deref(), Some("2025-02-28"));
        assert_eq!(until("last spring"), None);
    }
}
