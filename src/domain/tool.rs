//! Torque tools: what they are, what they can be set to, and whether their calibration is stated.

use super::calibration::{Calibration, Due, Interval};
use super::exact::Exact;
use super::names::ToolId;
use super::reckon::line::required;
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

/// An adapter in line with the tool, which lengthens or shortens the lever.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Adapter {
    /// What it is, in own words.
    pub what: String,
    /// From the middle of the grip to the square drive, mm.
    #[serde(with = "decimal_text")]
    pub lever_mm: Decimal,
    /// From the square drive to the screw, mm; less than 0 where it points back to the grip.
    #[serde(with = "decimal_text")]
    pub extension_mm: Decimal,
}

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
    /// Adapter in line, where one is fitted.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub adapter: Option<Adapter>,
    /// The owner's own interval, where it is not the usual one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub interval: Option<Interval>,
    /// Calibrations, oldest first; empty = not stated.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub calibrations: Vec<Calibration>,
    /// Operations since first use after the calibration that no record on this machine knows of, where stated.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub operations_before: Option<u64>,
    /// Operations since then that records on this machine hold, this visit apart.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub operations_recorded: Option<u64>,
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
    /// Outside the points of its calibration, or no mark lies between them there: nothing is extrapolated.
    NotCalibratedHere,
}

impl Tool {
    /// Whether it can do this torque at all.
    ///
    /// # Errors
    /// [`NoSetting`] says on which side it fails.
    pub fn reaches(&self, aim: &Torque) -> Result<(), NoSetting> {
        self.reaches_exactly(&self.at_the_tool(aim))
    }

    /// What the tool itself has to give so that the screw gets a torque; another with an adapter.
    fn at_the_tool(&self, aim: &Torque) -> Exact {
        let aim = aim.exact_in(self.unit);
        self.lever().map_or_else(|| aim.clone(), |lever| lever.at_the_wrench(&aim))
    }

    fn reaches_exactly(&self, aim: &Exact) -> Result<(), NoSetting> {
        let aim = aim.clone();
        if self.kind == ToolKind::Fixed {
            return if aim == Exact::from(self.range.min) { Ok(()) } else { Err(NoSetting::FixedElsewhere) };
        }
        if aim < Exact::from(self.range.min) {
            return Err(NoSetting::BelowRange);
        }
        if aim > Exact::from(self.range.max) { Err(NoSetting::AboveRange) } else { Ok(()) }
    }

    /// What to set on the scale for a torque: the mark nearest to where the line of its calibration gives it, a tie
    /// away from zero; the adapter reckoned in. An indicating tool without points is turned to the aim itself.
    ///
    /// # Errors
    /// As [`Tool::reaches`]; and nothing is set outside the points of the calibration.
    pub fn required(&self, aim: &Torque) -> Result<Torque, NoSetting> {
        let exact = self.at_the_tool(aim);
        self.reaches_exactly(&exact)?;
        let line = self.line();
        let value = match (self.kind, self.graduation, &line) {
            (ToolKind::Fixed, ..) => self.range.min,
            (ToolKind::Setting, Some(graduation), _) | (ToolKind::Indicating, Some(graduation), Some(_)) => {
                required(&exact, line.as_ref(), graduation).or(Err(NoSetting::NotCalibratedHere))?
            }
            (ToolKind::Setting, None, _) | (ToolKind::Indicating, _, _) => {
                let set = match &line {
                    Some(line) => line.set_for(&exact).or(Err(NoSetting::NotCalibratedHere))?,
                    None => exact,
                };
                let mut set = set.decimal(6).ok_or(NoSetting::AboveRange)?;
                if let Some(step) = self.graduation.filter(|step| step.scale() > set.scale()) {
                    set.rescale(step.scale());
                }
                set
            }
        };
        Ok(Torque::new(value, self.unit))
    }

    /// Whether its scale can stand at a setting.
    ///
    /// # Errors
    /// [`NoSetting`] says on which side of its range it lies.
    pub fn can_stand_at(&self, set: &Torque) -> Result<(), NoSetting> {
        self.reaches_exactly(&set.exact_in(self.unit))
    }

    /// Whether a scale reading agrees with a required setting: within half a graduation, ends included.
    #[must_use]
    pub fn agrees(&self, read: &Torque, required: &Torque) -> bool {
        within_half(self.graduation, &read.exact_in(self.unit), &required.exact_in(self.unit))
    }

    /// When its last calibration ends; nothing where none is stated.
    #[must_use]
    pub fn due(&self) -> Option<Due> {
        self.calibrations.last()?.due(self.interval)
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
