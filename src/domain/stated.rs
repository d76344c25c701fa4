//! The torque as its maker states it, and where that was read.

use super::conductor::{Class, Conductor};
use super::exact::Exact;
use super::torque::{Torque, decimal_text, decimal_text_option};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Where a torque was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ReadAt {
    /// Printed on the device.
    OnDevice,
    /// The leaflet that came with it.
    Leaflet,
    /// The label inside the door.
    DoorLabel,
    /// The maker's data sheet.
    DataSheet,
    /// The maker's written answer.
    MakersLetter,
}

impl ReadAt {
    /// Every place, in the order in which they are listed.
    pub const ALL: [Self; 5] =
        [Self::OnDevice, Self::Leaflet, Self::DoorLabel, Self::DataSheet, Self::MakersLetter];

    /// The trade's word.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::OnDevice => "on the device",
            Self::Leaflet => "leaflet",
            Self::DoorLabel => "door label",
            Self::DataSheet => "data sheet",
            Self::MakersLetter => "maker's letter",
        }
    }
}

/// Where a torque was read, with its reference.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Kind of place.
    pub read_at: ReadAt,
    /// Title, number, revision; as printed. May be empty only for what is printed on the device.
    pub reference: String,
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.read_at.words())?;
        if self.reference.is_empty() { Ok(()) } else { write!(f, ", {}", self.reference) }
    }
}

/// A tolerance as printed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Tolerance {
    /// ± per cent of the value.
    Percent(#[serde(with = "decimal_text")] Decimal),
    /// ± a torque.
    Torque(Torque),
}

/// What the maker printed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Stated {
    /// One value, no tolerance: the commonest.
    Single {
        /// The value.
        value: Torque,
    },
    /// One value with a tolerance.
    Tolerance {
        /// The value.
        value: Torque,
        /// ± how much.
        tolerance: Tolerance,
    },
    /// From, to, and perhaps a recommended value between.
    Range {
        /// Least permitted.
        lower: Torque,
        /// Most permitted.
        upper: Torque,
        /// What the maker recommends inside the range.
        #[serde(skip_serializing_if = "Option::is_none", default)]
        recommended: Option<Torque>,
    },
    /// No more than; the aim is our own choice and is printed as such.
    AtMost {
        /// Most permitted.
        upper: Torque,
        /// What is aimed at.
        aim: Torque,
    },
}

impl Stated {
    /// What the tool is aimed at: the value, the recommended value, else the middle of the range, else the named
    /// aim.
    #[must_use]
    pub fn aim(&self) -> Torque {
        match self {
            Self::Single { value }
            | Self::Tolerance { value, .. }
            | Self::Range { recommended: Some(value), .. } => *value,
            Self::Range { lower, upper, recommended: None } => {
                let sum = &lower.exact_in(lower.unit) + &upper.exact_in(lower.unit);
                let middle = sum.over(&Exact::ratio(2, 1)).and_then(|m| m.decimal(9));
                Torque::new(middle.unwrap_or(lower.value), lower.unit)
            }
            Self::AtMost { aim, .. } => *aim,
        }
    }
}

impl fmt::Display for Stated {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Single { value } => write!(f, "{value}"),
            Self::Tolerance { value, tolerance: Tolerance::Percent(percent) } => {
                write!(f, "{value} +/- {percent} %")
            }
            Self::Tolerance { value, tolerance: Tolerance::Torque(by) } => write!(f, "{value} +/- {by}"),
            Self::Range { lower, upper, recommended } => {
                if lower.unit == upper.unit {
                    write!(f, "{} to {upper}", lower.value)?;
                } else {
                    write!(f, "{lower} to {upper}")?;
                }
                recommended.map_or(Ok(()), |value| write!(f, ", recommended {value}"))
            }
            Self::AtMost { upper, aim } => write!(f, "at most {upper}, own aim {aim}"),
        }
    }
}

/// One row of the maker's table. A row without conditions holds for everything the clamp accepts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TorqueRow {
    /// Least cross-section it holds for, mm², itself included.
    #[serde(with = "decimal_text_option", skip_serializing_if = "Option::is_none", default)]
    pub csa_from_mm2: Option<Decimal>,
    /// Greatest cross-section it holds for, mm², itself included.
    #[serde(with = "decimal_text_option", skip_serializing_if = "Option::is_none", default)]
    pub csa_to_mm2: Option<Decimal>,
    /// Classes it holds for; none named = all.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub classes: Vec<Class>,
    /// Number of conductors in the clamp it holds for.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub conductors: Option<u8>,
    /// What is printed.
    pub stated: Stated,
    /// Where.
    pub source: Source,
}

impl TorqueRow {
    /// Whether the row holds for these conductors together. A bare clamp (a finger, a link) has none: only a row
    /// without conditions on the conductor holds then.
    #[must_use]
    pub fn holds_for(&self, conductors: &[Conductor]) -> bool {
        let count_fits = self.conductors.is_none_or(|count| usize::from(count) == conductors.len());
        let conditional =
            self.csa_from_mm2.is_some() || self.csa_to_mm2.is_some() || !self.classes.is_empty();
        if conductors.is_empty() {
            return count_fits && !conditional;
        }
        count_fits
            && conductors.iter().all(|conductor| {
                self.csa_from_mm2.is_none_or(|from| conductor.csa_mm2 >= from)
                    && self.csa_to_mm2.is_none_or(|to| conductor.csa_mm2 <= to)
                    && (self.classes.is_empty() || self.classes.contains(&conductor.class))
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_without_recommendation_is_aimed_at_its_middle() {
        let torque = |text| Torque::read(text).unwrap();
        let stated = Stated::Range { lower: torque("2.0 N.m"), upper: torque("2.5 N.m"), recommended: None };
        assert_eq!(stated.aim().to_string(), "2.25 N.m");
        assert_eq!(stated.to_string(), "2.0 to 2.5 N.m");
    }
}
