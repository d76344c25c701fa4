//! Clamp types: what holds a conductor, named once in a board file and used by many terminals.

use super::conductor::{Class, Conductor, Preparation};
use super::names::ClampName;
use super::stated::TorqueRow;
use super::torque::{decimal_text, decimal_text_option};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// Kind of clamp.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ClampKind {
    /// A box that moves up under its screw.
    Cage,
    /// A hole in a block, the screw on the core.
    Tunnel,
    /// A plate pressed down by its screw.
    Saddle,
    /// A bolt or nut with a lug or eye.
    Stud,
    /// A finger of a busbar, a link or a bolted stab: no conductor of its own.
    Finger,
    /// A spring; no screw and no torque.
    Spring,
}

impl ClampKind {
    /// Every kind, in the order in which messages list them.
    pub const ALL: [Self; 6] =
        [Self::Cage, Self::Tunnel, Self::Saddle, Self::Stud, Self::Finger, Self::Spring];

    /// The trade's word.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Cage => "cage",
            Self::Tunnel => "tunnel",
            Self::Saddle => "saddle plate",
            Self::Stud => "stud",
            Self::Finger => "finger",
            Self::Spring => "spring",
        }
    }

    /// Whether something is turned with a torque.
    #[must_use]
    pub fn has_screw(self) -> bool {
        self != Self::Spring
    }

    /// Whether conductors are clamped in it.
    #[must_use]
    pub fn takes_conductors(self) -> bool {
        self != Self::Finger
    }
}

/// Cross-sections a clamp accepts, by class of conductor.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Capacity {
    /// Classes it speaks of; none named = all.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub classes: Vec<Class>,
    /// Least cross-section, mm².
    #[serde(with = "decimal_text")]
    pub from_mm2: Decimal,
    /// Greatest cross-section, mm².
    #[serde(with = "decimal_text")]
    pub to_mm2: Decimal,
}

/// Who asks for the second tightening after a wait.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SettleBasis {
    /// The maker's sheet.
    Maker,
    /// Own practice; no published source.
    OwnPractice,
}

/// Settle rule: wait, then the same torque once more.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settle {
    /// Wait in minutes, 1 to 240.
    pub wait_minutes: u16,
    /// Who asks for it.
    pub basis: SettleBasis,
}

/// A clamp type.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Clamp {
    /// Its name in the board file.
    pub name: ClampName,
    /// Kind.
    pub kind: ClampKind,
    /// Screws: 0 for a spring, else 1 or 2.
    pub screws: u8,
    /// Which of two screws comes first, in words ("front, then rear").
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub screw_order: Option<String>,
    /// Thread diameter, mm.
    #[serde(with = "decimal_text_option", skip_serializing_if = "Option::is_none", default)]
    pub thread_mm: Option<Decimal>,
    /// Bit, as printed: `PZ2`, `slot 5.5`, `hex 4`.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub drive: Option<String>,
    /// Strip length, mm.
    #[serde(with = "decimal_text_option", skip_serializing_if = "Option::is_none", default)]
    pub strip_mm: Option<Decimal>,
    /// Cross-sections accepted; empty = not stated.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub capacity: Vec<Capacity>,
    /// Most conductors in it, 0 for a finger, else 1 to 4.
    pub conductors_max: u8,
    /// Preparations its maker allows; empty = not stated.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub preparations: Vec<Preparation>,
    /// Whether its maker allows aluminium.
    pub aluminium: bool,
    /// Whether its maker forbids a second torque.
    pub second_torque_forbidden: bool,
    /// Settle rule, if any.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub settle: Option<Settle>,
    /// Whether a witness mark can be seen.
    pub mark_visible: bool,
    /// The governing maker's table; empty = no maker's value known.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub torque: Vec<TorqueRow>,
    /// Statements read elsewhere that do not govern; printed, never judged by.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub not_governing: Vec<TorqueRow>,
}

impl Clamp {
    /// The row of the maker's table that holds for these conductors together.
    #[must_use]
    pub fn torque_for(&self, conductors: &[Conductor]) -> Option<&TorqueRow> {
        self.torque.iter().find(|row| row.holds_for(conductors))
    }
}
