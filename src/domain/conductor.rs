//! Conductors and how their ends are prepared.

use super::torque::decimal_text;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Conductor class of IEC 60228.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Class {
    /// Class 1: solid.
    Solid,
    /// Class 2: stranded.
    Stranded,
    /// Class 5: flexible.
    Flexible,
    /// Class 6: more flexible than class 5.
    HighlyFlexible,
}

impl Class {
    /// The number IEC 60228 gives it: 1, 2, 5 or 6.
    #[must_use]
    pub fn number(self) -> u8 {
        match self {
            Self::Solid => 1,
            Self::Stranded => 2,
            Self::Flexible => 5,
            Self::HighlyFlexible => 6,
        }
    }

    /// The class of a number.
    #[must_use]
    pub fn of_number(number: u8) -> Option<Self> {
        [Self::Solid, Self::Stranded, Self::Flexible, Self::HighlyFlexible]
            .into_iter()
            .find(|class| class.number() == number)
    }

    /// Classes 5 and 6: fine-stranded.
    #[must_use]
    pub fn fine_stranded(self) -> bool {
        matches!(self, Self::Flexible | Self::HighlyFlexible)
    }
}

/// What the conductor is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Metal {
    /// Copper.
    Copper,
    /// Aluminium or its alloys.
    Aluminium,
}

/// How the end was prepared. None is favoured by the program.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Preparation {
    /// Strands left as made.
    InLay,
    /// Strands turned with or against their lay.
    ReTwisted,
    /// Strands laid flat.
    Flattened,
    /// The end bent double.
    FoldedBack,
    /// Crimped thin sleeve.
    Ferruled,
    /// Crimped solid spigot.
    CompressionPin,
    /// Crimped palm for a stud.
    Lug,
    /// A solid conductor, bared.
    Solid,
    /// In the person's own words.
    Other(String),
}

impl Preparation {
    /// Those with a name of their own, in the order in which they are listed.
    pub const NAMED: [Self; 8] = [
        Self::InLay,
        Self::ReTwisted,
        Self::Flattened,
        Self::FoldedBack,
        Self::Ferruled,
        Self::CompressionPin,
        Self::Lug,
        Self::Solid,
    ];

    /// The trade's word.
    #[must_use]
    pub fn words(&self) -> &str {
        match self {
            Self::InLay => "left in lay",
            Self::ReTwisted => "re-twisted",
            Self::Flattened => "flattened",
            Self::FoldedBack => "folded back",
            Self::Ferruled => "ferruled",
            Self::CompressionPin => "compression pin",
            Self::Lug => "lug",
            Self::Solid => "solid, bared",
            Self::Other(words) => words,
        }
    }
}

/// What is done to aluminium besides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AluminiumCare {
    /// Wire-brushed.
    Brushed,
    /// Joint compound put on.
    Compound,
}

/// One conductor in a terminal.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Conductor {
    /// Nominal cross-section in mm²; one of IEC 60228's, or 0 where it could not be read.
    #[serde(with = "decimal_text")]
    pub csa_mm2: Decimal,
    /// Class of IEC 60228.
    pub class: Class,
    /// Number of wires where it matters (7 or 19).
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub wires: Option<u16>,
    /// Copper or aluminium.
    pub metal: Metal,
    /// How the designer wants it prepared, if that was said.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub planned: Option<Preparation>,
}

impl Conductor {
    /// Whether its size could be read.
    #[must_use]
    pub fn size_seen(&self) -> bool {
        !self.csa_mm2.is_zero()
    }
}

impl fmt::Display for Conductor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.size_seen() {
            write!(f, "{} mm2", self.csa_mm2)?;
        } else {
            f.write_str("size not seen")?;
        }
        match (self.wires, self.class) {
            (Some(wires), _) => write!(f, ", {wires} wires")?,
            (None, Class::Solid) => f.write_str(", solid")?,
            (None, Class::Stranded) => f.write_str(", stranded")?,
            (None, Class::Flexible | Class::HighlyFlexible) => f.write_str(", fine-stranded")?,
        }
        if self.metal == Metal::Aluminium { f.write_str(", aluminium") } else { Ok(()) }
    }
}
