//! A board with everything copied and resolved: what a record keeps, and what the walk walks.
//!
//! A board is checked before it is made (see `board_file`), so every name in it refers to something in it.

use super::clamp::Clamp;
use super::conductor::Conductor;
use super::names::{ClampName, ConductorName, DeviceName, PlaceName, TerminalName, WayNumber};
use super::stated::TorqueRow;
use super::torque::decimal_text;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// Most terminals a board may have.
pub const TERMINALS_MAX: usize = 2_000;
/// Most ways a board may have.
pub const WAYS_MAX: u16 = 400;

/// Supply of the board.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Supply {
    /// One line conductor and neutral.
    SinglePhase,
    /// Three line conductors and neutral.
    ThreePhaseNeutral,
}

impl Supply {
    /// The trade's words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::SinglePhase => "single-phase",
            Self::ThreePhaseNeutral => "three-phase and neutral",
        }
    }

    /// Line poles a way can have.
    #[must_use]
    pub fn poles(self) -> &'static [Pole] {
        match self {
            Self::SinglePhase => &[Pole::L1],
            Self::ThreePhaseNeutral => &[Pole::L1, Pole::L2, Pole::L3],
        }
    }
}

/// Line pole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Pole {
    /// First line.
    L1,
    /// Second line.
    L2,
    /// Third line.
    L3,
    /// Neutral.
    N,
}

impl Pole {
    /// `L1`, `L2`, `L3`, `N`.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::L1 => "L1",
            Self::L2 => "L2",
            Self::L3 => "L3",
            Self::N => "N",
        }
    }
}

/// What a terminal is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Line conductor.
    Line,
    /// Neutral conductor.
    Neutral,
    /// Circuit protective conductor, main earth or bond.
    Earth,
    /// Busbar finger, link or bolted stab.
    Feed,
    /// Anything else, such as a control conductor.
    Other,
}

impl Role {
    /// Whether parting it may part a conductor that carries current from elsewhere.
    #[must_use]
    pub fn may_carry_current_when_dead(self) -> bool {
        matches!(self, Self::Neutral | Self::Earth)
    }
}

/// A device as fitted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Device {
    /// Its name on this board: `3L2`, `4`, `incomer`.
    pub name: DeviceName,
    /// Maker as printed on it.
    pub maker: String,
    /// Type as printed on it.
    pub printed_type: String,
}

/// How a place is drawn and walked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PlaceKind {
    /// The busbar fingers under the devices.
    Fingers,
    /// A column (three-phase) or row (single-phase) of devices.
    Devices,
    /// A neutral, earth or other bar.
    Bar,
    /// The incoming device.
    Incomer,
    /// Anything else that is fitted: surge protection, meter, contactor.
    Fitting,
}

/// A place: what a hand does without moving on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// Name, unique in the board.
    pub name: PlaceName,
    /// Kind.
    pub kind: PlaceKind,
}

/// A terminal.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Terminal {
    /// Name, unique in the board.
    pub name: TerminalName,
    /// Where a hand finds it.
    pub place: PlaceName,
    /// The clamp it has.
    pub clamp: ClampName,
    /// The device it belongs to, if it belongs to one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub device: Option<DeviceName>,
    /// The way it serves.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub way: Option<WayNumber>,
    /// The pole.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub pole: Option<Pole>,
    /// What it is for.
    pub role: Role,
    /// The circuit it serves, in words.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub circuit: Option<String>,
    /// Nothing is connected to it: a spare way.
    pub spare: bool,
    /// Whether an incoming tail is clamped in it.
    pub tail: bool,
    /// What is clamped in it; empty for fingers and spares.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub conductors: Vec<Conductor>,
}

impl Terminal {
    /// Names of its conductors, in order: the terminal's own where there is one, else with `/1`, `/2`.
    #[must_use]
    pub fn conductor_names(&self) -> Vec<ConductorName> {
        match self.conductors.len() {
            0 => Vec::new(),
            1 => vec![ConductorName(self.name.0.clone())],
            count => (1..=count).map(|n| ConductorName(format!("{}/{n}", self.name))).collect(),
        }
    }
}

/// Looking again after a time, because the board shakes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Vibration {
    /// Months until it is to be looked at again, 1 to 120.
    pub look_again_months: u16,
}

/// A board.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Board {
    /// Reference on the board's label and the certificate.
    pub reference: String,
    /// Title.
    pub title: String,
    /// Site or installation.
    pub site: String,
    /// Where on the site.
    pub location: String,
    /// Standard worked to.
    pub standard: String,
    /// Its edition.
    pub edition: String,
    /// Supply.
    pub supply: Supply,
    /// Rated current of the board, A; 0 where it could not be read.
    #[serde(with = "decimal_text")]
    pub rated_a: Decimal,
    /// Present where the board shakes.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub vibration: Option<Vibration>,
    /// Number of ways, 0 to 400.
    pub ways: u16,
    /// Clamp types.
    pub clamps: Vec<Clamp>,
    /// Devices fitted.
    pub devices: Vec<Device>,
    /// Places, in the order of the file: incomer first.
    pub places: Vec<Place>,
    /// Terminals, grouped by place in the order of [`Board::places`].
    pub terminals: Vec<Terminal>,
    /// Way positions closed with a blank: `12L3`.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub blanks: Vec<String>,
    /// Cautions the file's writer wants shown at the opening and printed.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub notes: Vec<String>,
}

impl Board {
    /// The terminal of a name.
    #[must_use]
    pub fn terminal(&self, name: &TerminalName) -> Option<&Terminal> {
        self.terminals.iter().find(|terminal| terminal.name == *name)
    }

    /// The clamp of a terminal.
    #[must_use]
    pub fn clamp(&self, terminal: &Terminal) -> Option<&Clamp> {
        self.clamps.iter().find(|clamp| clamp.name == terminal.clamp)
    }

    /// The row of the maker's table that holds at a terminal; nothing where no maker's value is known.
    #[must_use]
    pub fn torque_row(&self, terminal: &Terminal) -> Option<&TorqueRow> {
        self.clamp(terminal)?.torque_for(&terminal.conductors)
    }

    /// Names of the terminals with incoming tails.
    pub fn tails(&self) -> impl Iterator<Item = &TerminalName> {
        self.terminals.iter().filter(|terminal| terminal.tail).map(|terminal| &terminal.name)
    }
}
