//! What a person does in an audit and in no other visit.

use crate::domain::audit::thermal::Over;
use crate::domain::names::{ConductorName, TerminalName};
use crate::domain::record::{Claimed, Mode};
use rust_decimal::Decimal;

/// A temperature as it was read, not yet corrected or classed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Measured {
    /// Terminal.
    pub terminal: TerminalName,
    /// Its temperature, degrees Celsius.
    pub temperature_c: Decimal,
    /// What it is compared with.
    pub over: Over,
    /// Temperature of that, degrees Celsius.
    pub compared_c: Decimal,
    /// Load current, A.
    pub load_a: Decimal,
    /// Rated current of the circuit's protective device, A.
    pub rated_a: Decimal,
    /// Exponent of the load correction, 1.6 to 2.
    pub exponent: Decimal,
}

/// What a person does in an audit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AuditAct {
    /// Look at terminals of a place, all of them sound, counted.
    LookAlike {
        /// Terminals, exceptions left out.
        terminals: Vec<TerminalName>,
        /// How many the person counted and typed.
        count: u32,
        /// How entered.
        mode: Mode,
    },
    /// Tug conductors of a place, all of them firm, counted.
    TugAlike {
        /// Conductors, exceptions left out.
        conductors: Vec<ConductorName>,
        /// How many the person counted and typed.
        count: u32,
        /// How entered.
        mode: Mode,
    },
    /// State what is claimed and what there is for it.
    Claim(Claimed),
    /// Record a terminal that stood out in the thermal round.
    Measure(Measured),
    /// The thermal round is over.
    ThermalOver {
        /// Camera, its name and number.
        camera: String,
    },
    /// There is no thermal round.
    NoThermal {
        /// Why.
        why: String,
    },
    /// Draw the sample.
    Draw {
        /// Seed.
        seed: String,
        /// Terminals the person wants on the always-in list.
        named: Vec<TerminalName>,
    },
    /// Answer whether everything is done, after a bad one.
    Escalate {
        /// The bad one.
        because: TerminalName,
        /// Whether everything is done now.
        yes: bool,
        /// Why, or why not.
        why: String,
    },
    /// Type a code for a terminal.
    Code {
        /// Terminal.
        terminal: TerminalName,
        /// The code.
        code: String,
    },
}
