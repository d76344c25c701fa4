//! Facts of an audit: what is claimed, what the camera showed, what was drawn, whether it went on to everything, and
//! codes the inspector typed.
//!
//! The looks, tugs and movements themselves are `looked`, `tugged` and `movement`. Deliberately absent: result words
//! and bounds, which follow from those; and any code that nobody typed.

use crate::domain::audit::claim::Claim;
use crate::domain::audit::thermal::{Class, Over};
use crate::domain::names::TerminalName;
use crate::domain::torque::{decimal_text, decimal_text_option};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// What is done at how many terminals.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Plan {
    /// Look and tug everything; only the tool goes to a sample.
    TugEverything,
    /// Look at everything; tug and tool go to a sample.
    SampleBoth,
}

impl Plan {
    /// Both, in the order in which they are listed.
    pub const ALL: [Self; 2] = [Self::TugEverything, Self::SampleBoth];

    /// As it is shown and printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::TugEverything => "look and tug everything, sample moved",
            Self::SampleBoth => "look at everything, sample tug and tool",
        }
    }
}

/// What the size of the sample rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SizedBy {
    /// The minutes there are; the bound is what they buy.
    Minutes,
    /// A claim about the remainder.
    Remainder,
    /// A claim about the whole board, the finds among the always-in terminals counted.
    Whole,
    /// All terminals; nothing is sampled.
    Everything,
}

impl SizedBy {
    /// Every basis, in the order in which they are listed.
    pub const ALL: [Self; 4] = [Self::Minutes, Self::Remainder, Self::Whole, Self::Everything];

    /// As it is shown and printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Minutes => "by the minutes there are",
            Self::Remainder => "a claim about the remainder",
            Self::Whole => "a claim about the whole board, finds among the always-in terminals counted",
            Self::Everything => "all terminals, nothing is sampled",
        }
    }
}

/// How far the tool goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum ToolReach {
    /// To the maker's value, where its maker does not forbid a second torque.
    MakersValue,
    /// To a part of the maker's value, per cent; also where a second full torque is forbidden.
    Part {
        /// Per cent of the maker's value, 1 to 99.
        percent: u8,
    },
    /// No tool is put on.
    NotUsed,
}

impl ToolReach {
    /// As it is shown and printed.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::MakersValue => "to the maker's value, never where its maker forbids a second torque".into(),
            Self::Part { percent } => format!("to {percent} % of the maker's value, nowhere the full torque"),
            Self::NotUsed => "no tool is put on".into(),
        }
    }

    /// Per cent of the maker's value; nothing where no tool is put on.
    #[must_use]
    pub fn percent(self) -> Option<u8> {
        match self {
            Self::MakersValue => Some(100),
            Self::Part { percent } => Some(percent),
            Self::NotUsed => None,
        }
    }
}

/// What is claimed and what there is for it; said before anything is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Claimed {
    /// Minutes there are.
    #[serde(with = "decimal_text")]
    pub minutes: Decimal,
    /// Of them, minutes without supply.
    #[serde(with = "decimal_text")]
    pub minutes_without_supply: Decimal,
    /// Load of the board, per cent of its rated current; nothing where it is not known.
    #[serde(with = "decimal_text_option", skip_serializing_if = "Option::is_none", default)]
    pub load_percent: Option<Decimal>,
    /// Minutes a terminal for tugging, as estimated by the person.
    #[serde(with = "decimal_text")]
    pub minutes_a_tug: Decimal,
    /// Minutes a terminal with the tool, as estimated by the person.
    #[serde(with = "decimal_text")]
    pub minutes_a_tool: Decimal,
    /// Whether the insulation may be tugged.
    pub tug: bool,
    /// How far the tool goes.
    pub tool: ToolReach,
    /// What is done at how many terminals.
    pub plan: Plan,
    /// What the size of the sample rests on.
    pub basis: SizedBy,
    /// The claim; where the minutes decide, only its confidence counts.
    pub claim: Claim,
}

/// The thermal round, before isolation.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Thermal {
    /// A terminal that stood out.
    Reading(Box<ThermalReading>),
    /// The round is over: every terminal in sight was looked at with the camera.
    Over {
        /// Camera, its name and number.
        camera: String,
    },
    /// There was none.
    NotTaken {
        /// Why.
        why: String,
    },
}

/// A temperature, what it was compared with, and what follows at rated load.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ThermalReading {
    /// Terminal.
    pub terminal: TerminalName,
    /// Its temperature, degrees Celsius.
    #[serde(with = "decimal_text")]
    pub temperature_c: Decimal,
    /// What it was compared with.
    pub over: Over,
    /// Temperature of that, degrees Celsius.
    #[serde(with = "decimal_text")]
    pub compared_c: Decimal,
    /// Load current, A.
    #[serde(with = "decimal_text")]
    pub load_a: Decimal,
    /// Rated current of the circuit's protective device, A.
    #[serde(with = "decimal_text")]
    pub rated_a: Decimal,
    /// Exponent of the load correction, 1.6 to 2.
    #[serde(with = "decimal_text")]
    pub exponent: Decimal,
    /// Rise at rated load, K, two decimals.
    #[serde(with = "decimal_text")]
    pub corrected_k: Decimal,
    /// Class by ANSI/NETA Table 100.18.
    pub class: Class,
}

/// Why a terminal is looked at in any case.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AlwaysInWhy {
    /// Of the incoming device, or a tail.
    Incoming,
    /// A neutral.
    Neutral,
    /// Main earth or a bond.
    MainEarth,
    /// An aluminium conductor is in it.
    Aluminium,
    /// Hot in the thermal round.
    Hot,
    /// Damaged or heat-marked when it was looked at.
    SeenBad,
    /// Named by the person: moved before, or doubted.
    Named,
}

impl AlwaysInWhy {
    /// As it is shown and printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Incoming => "incoming",
            Self::Neutral => "neutral",
            Self::MainEarth => "main earth or bond",
            Self::Aluminium => "aluminium",
            Self::Hot => "hot in the thermal round",
            Self::SeenBad => "seen bad when looked at",
            Self::Named => "named by the person",
        }
    }
}

/// A terminal of the always-in list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AlwaysIn {
    /// Terminal.
    pub terminal: TerminalName,
    /// Why; the first reason that holds.
    pub why: AlwaysInWhy,
}

/// The sample is drawn. A drawn terminal is never replaced.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drawn {
    /// Seed, any text without spaces.
    pub seed: String,
    /// The rule that turns it into an order, in words.
    pub rule: String,
    /// Terminals of a block; blocks are worked one after the other, each in any order.
    pub block: u32,
    /// The always-in terminals.
    pub always_in: Vec<AlwaysIn>,
    /// Terminals of the remainder, in the order of the board.
    pub remainder: Vec<TerminalName>,
    /// Those drawn, in the order in which they were drawn: of the remainder, then fingers, links and bolted stabs.
    pub terminals: Vec<TerminalName>,
}

impl Drawn {
    /// Those drawn of the remainder, as drawn.
    pub fn of_remainder(&self) -> impl Iterator<Item = &TerminalName> {
        self.terminals.iter().filter(|name| self.remainder.contains(name))
    }

    /// Fingers, links and bolted stabs that were drawn, as drawn.
    pub fn fingers(&self) -> impl Iterator<Item = &TerminalName> {
        self.terminals.iter().filter(|name| !self.remainder.contains(name))
    }

    /// Every terminal with a part in it: always in, and of the remainder.
    pub fn names(&self) -> impl Iterator<Item = &TerminalName> {
        self.always_in.iter().map(|entry| &entry.terminal).chain(&self.remainder)
    }
}

/// Asked to go on to everything, after a bad one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Escalated {
    /// The bad one.
    pub because: TerminalName,
    /// Whether everything is done now.
    pub yes: bool,
    /// Why, or why not.
    pub why: String,
    /// Terminals added, in the order of the draw; none where the answer was no.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub terminals: Vec<TerminalName>,
}

/// A code the inspector typed. The program computes none.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Code {
    /// Terminal.
    pub terminal: TerminalName,
    /// The code, as typed.
    pub code: String,
}
