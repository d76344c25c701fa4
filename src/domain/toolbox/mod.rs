//! The toolbox: every torque tool its owner has, with its whole history.
//!
//! What a person writes into the tools file and changes on the Tools screen. History only grows: a calibration, a doubt
//! or a verdict is added, never overwritten, and every change gives a new toolbox, so that the old one stands until the
//! new one is durable. One function, [`KnownTool::faults`], judges tools wherever they come from. Deliberately absent:
//! the text of the file, and what the points of a calibration say of a torque.

mod advice;
mod change;
mod check;
mod fault;
mod words;

pub use advice::{Advice, Advised};
pub use change::Refused;
pub use fault::{At, CalibrationAt, Column, DayWrong, Fault, NoteAt, PointWrong, StatedWrong, Which, Wrong};

use super::calibration::{Calibration, Due, Interval, Running};
use super::names::ToolId;
use super::tool::{Adapter, Tool, ToolKind, ToolRange, Validity};
use super::torque::Unit;
use jiff::civil::Date;
use rust_decimal::Decimal;

/// Most tools in a toolbox. Our choice: a firm of fifty electricians with four each.
pub const TOOLS_MAX: usize = 200;
/// Most calibrations of a tool. Our choice: every three months for fifteen years.
pub const CALIBRATIONS_MAX: usize = 60;
/// Most points of one table. Our choice: laboratories state three to ten.
pub const POINTS_MAX: usize = 20;
/// Most doubts of a tool. Our choice.
pub const DOUBTS_MAX: usize = 60;
/// Most verdicts looking back on what a tool did. Our choice: one a record.
pub const LOOKS_BACK_MAX: usize = 1_000;
/// Longest own interval, months. Our choice.
pub const MONTHS_MAX: u16 = 60;
/// Most operations that can be stated. Our choice: two hundred times what a calibration is good for.
pub const OPERATIONS_MAX: u64 = 1_000_000;

/// Every tool of an owner.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Toolbox {
    /// Tools in the order in which they were added.
    pub tools: Vec<KnownTool>,
}

/// A tool with its history.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KnownTool {
    /// What its owner calls it; unique among tools that are not retired.
    pub name: String,
    /// Serial number as engraved; unique in the toolbox.
    pub serial: String,
    /// How it works.
    pub kind: ToolKind,
    /// Type and class of ISO 6789 as printed, `II D`; nothing where not stated.
    pub class: Option<String>,
    /// Unit of its scale. Range, graduation and every calibration point are in it.
    pub unit: Unit,
    /// What it can be set to or show; for a fixed tool both ends are its value.
    pub range: ToolRange,
    /// Step of its scale or display; nothing for a fixed tool.
    pub graduation: Option<Decimal>,
    /// Adapter in line, where one is fitted.
    pub adapter: Option<Adapter>,
    /// The owner's own interval, where it is not the usual one.
    pub interval: Option<Interval>,
    /// Operations since first use after the last calibration that no record on this machine knows of, where stated.
    pub operations: Option<u64>,
    /// Calibrations, oldest first; empty = not stated.
    pub calibrations: Vec<Calibration>,
    /// When it was doubted, in the order in which that was noted.
    pub doubts: Vec<Doubt>,
    /// When and why it was retired, where it was.
    pub retired: Option<Retired>,
    /// What was decided about work done with it, in the order in which that was noted.
    pub looks_back: Vec<LookBack>,
}

/// Somebody no longer trusts the tool: it fell, it was lent, a laboratory found it out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Doubt {
    /// Day.
    pub day: Date,
    /// Who.
    pub by: String,
    /// What happened to it.
    pub what: String,
    /// Who trusts it again, where somebody said so; a later calibration ends the doubt as well.
    pub released: Option<Release>,
}

impl Doubt {
    /// Whether it stands, where the tool was last calibrated on a day. A calibration of the same day may have been
    /// made before the tool fell.
    fn stands(&self, calibrated: Option<Date>) -> bool {
        self.released.is_none() && calibrated.is_none_or(|date| date <= self.day)
    }
}

/// A doubt that was taken back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Release {
    /// Day.
    pub day: Date,
    /// Who.
    pub by: String,
    /// On what grounds.
    pub why: String,
}

/// The tool is no longer used. It stays in the file, because records name it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Retired {
    /// Day.
    pub day: Date,
    /// Why.
    pub why: String,
}

/// A named person's verdict on what was done at one board, in one record, with a tool that was found out or doubted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LookBack {
    /// Day of the verdict.
    pub day: Date,
    /// Who decided.
    pub by: String,
    /// Reference of the board.
    pub board: String,
    /// Id of the record.
    pub record: String,
    /// What was decided.
    pub verdict: LookBackVerdict,
}

/// What is to become of work done with a tool that was found out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LookBackVerdict {
    /// It stands.
    Stands,
    /// It is to be done again.
    DoAgain,
    /// Something else, with its reason.
    Other(String),
}

impl LookBackVerdict {
    /// As it is shown and printed.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Stands => "stands".into(),
            Self::DoAgain => "to be done again".into(),
            Self::Other(reason) => format!("other: {reason}"),
        }
    }
}

impl KnownTool {
    /// The tool as stated in a visit, by its letter there and whether it was good on that day. Its whole history of
    /// calibrations goes with it, because a record stands alone; but none where the last names no certificate, for that
    /// counts as not stated. Operations of other records are the caller's to add.
    #[must_use]
    pub fn in_visit(&self, id: ToolId, validity: Validity) -> Tool {
        Tool {
            id,
            serial: self.serial.clone(),
            name: self.name.clone(),
            kind: self.kind,
            class: self.class.clone(),
            unit: self.unit,
            range: self.range,
            graduation: self.graduation,
            adapter: self.adapter.clone(),
            interval: self.interval,
            calibrations: if self.stated().is_some() { self.calibrations.clone() } else { Vec::new() },
            operations_before: self.operations,
            operations_recorded: None,
            validity,
            override_reason: None,
        }
    }

    /// The last calibration.
    #[must_use]
    pub fn calibration(&self) -> Option<&Calibration> {
        self.calibrations.last()
    }

    /// The last calibration, where it names a certificate; one that names none counts as not stated, for nobody could
    /// follow a bare day, and what an older one said need no longer hold.
    #[must_use]
    pub fn stated(&self) -> Option<&Calibration> {
        self.calibration().filter(|calibration| calibration.certificate.is_some())
    }

    /// The day of the stated calibration where it lies after a day: what it says need not have held then.
    #[must_use]
    pub fn calibrated_after(&self, day: Date) -> Option<Date> {
        self.stated().and_then(|calibration| calibration.date.parse().ok()).filter(|date| *date > day)
    }

    /// When the calibration that holds now ends; nothing where none is stated.
    #[must_use]
    pub fn due(&self) -> Option<Due> {
        self.stated().and_then(|calibration| calibration.due(self.interval))
    }

    /// Where its calibration stands on a day, given the operations that records hold since its first use; those stated
    /// are added here. Nothing where none is stated.
    #[must_use]
    pub fn running(&self, day: Date, recorded: u64) -> Option<Running> {
        let done = self.operations.unwrap_or(0).saturating_add(recorded);
        self.due().map(|due| due.stands(day, done))
    }

    /// The last doubt that stands: neither taken back nor followed by a calibration on a later day.
    #[must_use]
    pub fn doubted(&self) -> Option<&Doubt> {
        let calibrated = self.calibrated_on();
        self.doubts.iter().rev().find(|doubt| doubt.stands(calibrated))
    }

    /// The day of the last calibration.
    fn calibrated_on(&self) -> Option<Date> {
        self.calibration().and_then(|calibration| calibration.date.parse().ok())
    }
}

impl Toolbox {
    /// The tool of a serial number.
    #[must_use]
    pub fn of_serial(&self, serial: &str) -> Option<&KnownTool> {
        self.tools.iter().find(|tool| tool.serial == serial)
    }

    /// The tool of a name among those in use, upper and lower case alike.
    #[must_use]
    pub fn named(&self, name: &str) -> Option<&KnownTool> {
        self.in_use().find(|tool| tool.name.to_lowercase() == name.to_lowercase())
    }

    /// The tools that are not retired.
    pub fn in_use(&self) -> impl Iterator<Item = &KnownTool> {
        self.tools.iter().filter(|tool| tool.retired.is_none())
    }
}
