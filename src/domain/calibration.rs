//! Calibrations of a torque tool, and how long one is good.
//!
//! Twelve months or 5000 operations from first use, whichever comes first (ISO 6789-1; 5000 cycles seen in two public
//! texts, 12 months in one, *from first use* from memory), or the owner's own interval. Days are text, `2026-03-02`, as a
//! person writes them. Deliberately absent: what the points say of a torque, see [`super::reckon`].

use super::torque::{decimal_text, decimal_text_option};
use jiff::civil::Date;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// Months a calibration is good for.
pub const VALID_MONTHS: u16 = 12;
/// Operations a calibration is good for.
pub const VALID_OPERATIONS: u64 = 5_000;
/// Months after which an end is announced, where the usual interval holds; our own rule.
pub const WARNED_MONTHS: u16 = 11;
/// Operations after which an end is announced, where the usual interval holds; our own rule.
pub const WARNED_OPERATIONS: u64 = 4_500;

/// The owner's own interval between calibrations. What is not named keeps the usual value.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Interval {
    /// Months.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub months: Option<u16>,
    /// Operations.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub operations: Option<u64>,
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

impl Calibration {
    /// The points that hold after it: as left, or as found where nothing was adjusted.
    #[must_use]
    pub fn points(&self) -> &[CalibrationPoint] {
        if self.as_left.is_empty() { &self.as_found } else { &self.as_left }
    }

    /// The day its time runs from: first use, else the day of calibration; nothing where that is no day.
    #[must_use]
    pub fn runs_from(&self) -> Option<Date> {
        self.first_use.as_deref().unwrap_or(&self.date).parse().ok()
    }

    /// How long it is good under an interval; nothing where its day is none.
    #[must_use]
    pub fn due(&self, interval: Option<Interval>) -> Option<Due> {
        let from = self.runs_from()?;
        let after = |months: u16| from.checked_add(jiff::Span::new().months(months)).ok();
        let own_months = interval.and_then(|interval| interval.months);
        let own_operations = interval.and_then(|interval| interval.operations);
        let months = own_months.unwrap_or(VALID_MONTHS);
        let operations = own_operations.unwrap_or(VALID_OPERATIONS);
        Some(Due {
            until: after(months)?,
            warned_from: match own_months {
                None => after(WARNED_MONTHS)?,
                Some(months) => after(months.saturating_sub(1))?,
            },
            operations,
            warned_operations: match own_operations {
                None => WARNED_OPERATIONS,
                Some(own) => own.saturating_sub(own.div_euclid(10)),
            },
        })
    }
}

/// When a calibration ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Due {
    /// Last day on which it is good.
    pub until: Date,
    /// Day from which its end is announced.
    pub warned_from: Date,
    /// Last operation for which it is good.
    pub operations: u64,
    /// Operation after which its end is announced.
    pub warned_operations: u64,
}

/// Where a calibration stands on a day after so many operations.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Running {
    /// Good.
    Good,
    /// Good, but its time is nearly over.
    NearlyOver,
    /// Good, but its operations are nearly used up.
    NearlyUsedUp,
    /// Its time is over.
    Over,
    /// Its operations are used up.
    UsedUp,
}

impl Due {
    /// Where it stands on a day, with `done` operations done: the next one is still good up to the last.
    #[must_use]
    pub fn stands(&self, day: Date, done: u64) -> Running {
        if day > self.until {
            Running::Over
        } else if done >= self.operations {
            Running::UsedUp
        } else if day >= self.warned_from {
            Running::NearlyOver
        } else if done >= self.warned_operations {
            Running::NearlyUsedUp
        } else {
            Running::Good
        }
    }
}

impl Running {
    /// Whether another torque may stand on it without a reason.
    #[must_use]
    pub fn good(self) -> bool {
        matches!(self, Self::Good | Self::NearlyOver | Self::NearlyUsedUp)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn calibrated(date: &str, first_use: Option<&str>) -> Calibration {
        Calibration {
            date: date.into(),
            first_use: first_use.map(Into::into),
            certificate: None,
            laboratory: None,
            as_found: Vec::new(),
            as_left: Vec::new(),
        }
    }

    fn due(date: &str, first_use: Option<&str>) -> Option<Due> {
        calibrated(date, first_use).due(None)
    }

    /// Twelve months as the calendar counts them, from first use where that is known (ISO 6789-1, from memory).
    #[test]
    fn a_calibration_is_good_for_twelve_months_from_first_use() {
        let until = |date, first| due(date, first).map(|due| due.until.to_string());
        assert_eq!(until("2026-03-02", None).as_deref(), Some("2027-03-02"));
        assert_eq!(until("2026-03-02", Some("2026-05-20")).as_deref(), Some("2027-05-20"));
        assert_eq!(until("2024-02-29", None).as_deref(), Some("2025-02-28"));
        assert_eq!(until("last spring", None), None);
    }

    /// 5000 operations (two public texts); the announcements at 11 months and 4500 are our own rule.
    #[test]
    fn it_ends_with_the_day_or_the_operation_that_comes_first() {
        let due = due("2026-03-02", None).unwrap();
        let stands = |day: &str, done| due.stands(day.parse().unwrap(), done);
        assert_eq!(stands("2027-02-01", 4_499), Running::Good);
        assert_eq!(stands("2027-02-01", 4_500), Running::NearlyUsedUp);
        assert_eq!(stands("2027-02-02", 10), Running::NearlyOver);
        assert_eq!(stands("2027-03-02", 4_999), Running::NearlyOver);
        assert_eq!(stands("2027-03-02", 5_000), Running::UsedUp);
        assert_eq!(stands("2027-03-03", 0), Running::Over);
    }

    #[test]
    fn the_owners_interval_takes_the_place_of_the_usual_one() {
        let interval = Interval { months: Some(6), operations: None };
        let due = calibrated("2026-03-02", None).due(Some(interval)).unwrap();
        assert_eq!((due.until.to_string(), due.operations), ("2026-09-02".into(), VALID_OPERATIONS));
        assert_eq!(due.warned_from.to_string(), "2026-08-02");
    }
}
