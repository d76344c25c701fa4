//! What a revisit is about: what happened, which terminals that concerns and why, and what is recorded of each.
//!
//! A `scope` fact is whole: it names every terminal in scope, and a later one takes the place of an earlier one. What an
//! earlier record says of a terminal is copied into it ([`LastTime`]), so that this record stands alone. A terminal in
//! no scope is not part of the visit: it has no steps and its outcome is *not in scope*.

use super::{Attempt, DisturbedHow, Known, Outcome};
use crate::domain::conductor::Preparation;
use crate::domain::names::TerminalName;
use crate::domain::torque::Torque;
use serde::{Deserialize, Serialize};

/// What happened since the earlier visit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Happened {
    /// The meter was exchanged.
    MeterExchanged,
    /// The incoming tails were moved.
    TailsMoved,
    /// A device was changed.
    DeviceChanged,
    /// The board was moved.
    BoardMoved,
    /// Heat or a smell was noticed.
    HeatOrSmell,
    /// The board shakes, or its interval for looking again is over.
    Vibration,
    /// In own words.
    Other(String),
}

impl Happened {
    /// What can be named, in the order in which it is listed; own words come last.
    pub const NAMED: [Self; 6] = [
        Self::MeterExchanged,
        Self::TailsMoved,
        Self::DeviceChanged,
        Self::BoardMoved,
        Self::HeatOrSmell,
        Self::Vibration,
    ];

    /// The trade's words.
    #[must_use]
    pub fn words(&self) -> &str {
        match self {
            Self::MeterExchanged => "meter exchanged",
            Self::TailsMoved => "tails moved",
            Self::DeviceChanged => "device changed",
            Self::BoardMoved => "board moved",
            Self::HeatOrSmell => "heat or smell",
            Self::Vibration => "vibration",
            Self::Other(words) => words,
        }
    }

    /// Whether it disturbs the incoming tails, so that the main earth is pulled about with them.
    #[must_use]
    pub fn moves_tails(&self) -> bool {
        matches!(self, Self::MeterExchanged | Self::TailsMoved)
    }

    /// Whether it concerns every terminal of the board.
    #[must_use]
    pub fn moves_everything(&self) -> bool {
        matches!(self, Self::BoardMoved | Self::Vibration)
    }
}

/// Why a terminal is in scope. A terminal is one clamp: neighbours in it are in scope with what was disturbed there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum InScopeWhy {
    /// It was disturbed itself.
    Disturbed,
    /// The other end of a disturbed conductor.
    OtherEnd,
    /// The load side of a device whose tails moved.
    LoadSide,
    /// The main earth, pulled about with the tails.
    MainEarth,
    /// Added by the person.
    Added,
    /// It was not on the board in the earlier record: walked as in a first visit.
    New,
    /// Its clamp or its conductors are others than in the earlier record: walked as in a first visit.
    Changed,
    /// Its maker's value is another than in the earlier record.
    OtherTorque,
}

impl InScopeWhy {
    /// As it is shown and printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Disturbed => "disturbed",
            Self::OtherEnd => "other end of a disturbed conductor",
            Self::LoadSide => "load side of a device whose tails moved",
            Self::MainEarth => "main earth, pulled about with the tails",
            Self::Added => "added",
            Self::New => "new since",
            Self::Changed => "other clamp or conductors since",
            Self::OtherTorque => "other maker's value since",
        }
    }
}

/// What the last visit that worked at a terminal recorded of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LastTime {
    /// Id of that visit.
    pub visit: String,
    /// Day of the last answer there, `2026-03-02`.
    pub day: String,
    /// Who was on the tool.
    pub who: String,
    /// How it ended.
    pub outcome: Outcome,
    /// How its conductors were prepared, in their order; empty where nothing is recorded.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub prepared: Vec<Preparation>,
    /// What the tool was set to.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub set: Option<Torque>,
    /// What was applied: the reading, else what was aimed at.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub applied: Option<Torque>,
    /// Name of the tool.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub tool: Option<String>,
    /// Its serial number.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub serial: Option<String>,
    /// Full torques its present attempt has had, over all visits.
    pub torques: u32,
}

/// A terminal in scope.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InScope {
    /// Terminal.
    pub terminal: TerminalName,
    /// Why; the first reason that holds.
    pub why: InScopeWhy,
    /// How it was disturbed, where it was itself.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub how: Option<DisturbedHow>,
    /// The attempt this visit goes on with; of a re-terminated or changed terminal the one that begins.
    pub attempt: Attempt,
    /// What is recorded of it; nothing where there is no earlier record of work on it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub last: Option<LastTime>,
}

impl InScope {
    /// Whether it is made off afresh: prepare, entry, torque, tug and mark, as in a first visit.
    #[must_use]
    pub fn afresh(&self) -> bool {
        self.how == Some(DisturbedHow::ReTerminated)
            || matches!(self.why, InScopeWhy::New | InScopeWhy::Changed)
    }
}

/// A terminal that would be in scope and was left out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Dropped {
    /// Terminal.
    pub terminal: TerminalName,
    /// Why.
    pub why: String,
}

/// The scope of a revisit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Scope {
    /// What happened.
    pub happened: Happened,
    /// Who did it, `the meter fitter`; nothing where it is not known.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub by: Option<String>,
    /// Whether they checked the tightness; *yes* never shrinks the scope.
    pub checked_by_them: Known,
    /// Terminals in scope, in board order.
    pub terminals: Vec<InScope>,
    /// Terminals left out with a reason.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub dropped: Vec<Dropped>,
    /// Terminals of the earlier record that are no longer on the board.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub gone: Vec<TerminalName>,
    /// Ends beyond the supplier's seals, which are not this person's to touch.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub not_ours: Vec<String>,
}
