//! How a fault is said: what was found and what is allowed, and what to do.

use super::check::{EVERY_MAX, LEVER_MAX_MM, RANGE_MAX_NM, W_MAX_PERCENT};
use super::fault::{At, CalibrationAt, Column, DayWrong, Fault, PointWrong, StatedWrong, Which, Wrong};
use super::{MONTHS_MAX, OPERATIONS_MAX, Refused};
use std::fmt;

impl Fault {
    /// What was found and what is allowed, in trade words.
    #[must_use]
    pub fn reason(&self) -> String {
        self.words().0
    }

    /// What to do about it.
    #[must_use]
    pub fn help(&self) -> String {
        self.words().1
    }

    fn words(&self) -> (String, String) {
        match &self.wrong {
            Wrong::Text { what, bad: Some(bad), columns } => (
                format!("the {what}: {}", bad.reason()),
                format!("write the {what} anew, in plain text of 1 to {columns} columns"),
            ),
            Wrong::Text { what, bad: None, .. } => {
                (format!("the {what} begins or ends with a blank"), "take the blank out".into())
            }
            Wrong::TooMany { what, found, most } => (
                format!("{found} {what} stand here; at most {most} are allowed"),
                "begin another tools file for the rest".into(),
            ),
            Wrong::Stated(wrong) => wrong.words(),
            Wrong::Day(wrong) => wrong.words(self.at),
            Wrong::Point(wrong) => wrong.words(),
        }
    }
}

fn texts(reason: String, help: &str) -> (String, String) {
    (reason, help.to_owned())
}

impl StatedWrong {
    fn words(&self) -> (String, String) {
        match self {
            Self::SerialTaken { serial, other } => texts(
                format!("the serial number {serial} is that of another tool, {other}"),
                "read the number engraved on this tool; records tell tools apart by it",
            ),
            Self::NameTaken { name, other } => texts(
                format!("another tool in use is called {name}: the one with serial number {other}"),
                "give one of the two another name, or retire the other",
            ),
            Self::RangeBegins(min) => texts(
                format!("its lowest value is {min}; it must be more than nothing"),
                "write the lowest value marked on its scale",
            ),
            Self::RangeUpsideDown(min, max) => texts(
                format!("its range goes from {min} to {max}; the second must be the larger"),
                "write the lowest marked value first; a tool made or locked for one value is Fixed",
            ),
            Self::RangeBeyond(max) => texts(
                format!("its range goes up to {max}; at most {RANGE_MAX_NM} N.m are allowed"),
                "look for a lost decimal point or a wrong unit (250 cN.m is 2.5 N.m)",
            ),
            Self::FixedRange(min, max) => texts(
                format!("it is fixed, and has two values, {min} and {max}"),
                "a fixed tool has the one value it is made or locked for",
            ),
            Self::NoGraduation => texts(
                "its graduation is not stated, and it is not a fixed tool".into(),
                "state the step of its scale or display; a tool without a scale is Fixed at the value it was set to",
            ),
            Self::FixedGraduation => texts(
                "it is fixed, and has a graduation".into(),
                "take the graduation out; a fixed tool has one value and no scale",
            ),
            Self::Graduation(step) => texts(
                format!("a graduation of {step} cannot be: more than nothing and no more than its range"),
                "write the step from one mark of the scale to the next",
            ),
            Self::Lever { lever_mm, extension_mm } => (
                format!("a lever of {lever_mm} mm with an extension of {extension_mm} mm cannot be"),
                format!(
                    "lever: grip to square drive; extension: square drive to screw, less than 0 towards the grip; \
                     both together more than nothing, each at most {LEVER_MAX_MM} mm"
                ),
            ),
            Self::EmptyInterval => texts(
                "the own interval says neither months nor operations".into(),
                "state one of them, or leave the interval out: then 12 months or 5000 operations hold",
            ),
            Self::Months(months) => (
                format!("an own interval of {months} months; 1 to {MONTHS_MAX} are allowed"),
                "state the months after which its owner has it calibrated".into(),
            ),
            Self::Every(every) => (
                format!("an own interval of {every} operations; 1 to {EVERY_MAX} are allowed"),
                "state the operations after which its owner has it calibrated".into(),
            ),
            Self::Operations(operations) => (
                format!("{operations} operations since first use; at most {OPERATIONS_MAX} are allowed"),
                "state those since first use after the last calibration".into(),
            ),
        }
    }
}

impl DayWrong {
    fn words(&self, at: At) -> (String, String) {
        let what = day_of(at);
        match self {
            Self::NoDay(text) => texts(
                format!("the {what} is no day: \"{text}\""),
                "write year, month and day with hyphens: 2026-03-02",
            ),
            Self::TooEarly(day) => {
                texts(format!("the {what} is {day}: before any tool in use"), "look at the year")
            }
            Self::Future { day, today } => texts(
                format!("the {what} is {day}, and today is {today}"),
                "look at the year and month; what has not happened yet is not entered",
            ),
            Self::Before { day, what: other, earlier } => texts(
                format!("the {what} is {day}, before the {other} of {earlier}"),
                "look at both days; the oldest stands first",
            ),
            Self::UsedAfterNext { first_use, next } => texts(
                format!("this {what} is {next}, and the first use after the one before it is {first_use}"),
                "look at both days: a calibration is used before the next is made, or its first use is left out",
            ),
        }
    }
}

/// What a day is called.
fn day_of(at: At) -> &'static str {
    match at {
        At::Calibration(_, CalibrationAt::FirstUse) => "day of first use",
        At::Calibration(..) | At::Calibrations => "day of calibration",
        At::Doubt(..) | At::Doubts => "day of the doubt",
        At::Release(..) => "day of the release",
        At::Retired(_) => "day of the retirement",
        At::LookBack(..) | At::LooksBack => "day of the verdict",
        At::Name
        | At::Serial
        | At::Class
        | At::Range
        | At::Graduation
        | At::Adapter
        | At::Interval
        | At::Operations => "day",
    }
}

impl PointWrong {
    fn words(&self) -> (String, String) {
        match self {
            Self::OutsideRange { set, min, max } if min == max => texts(
                format!("a point at {set} is not at the tool's one value, {min}"),
                "look at the unit of the certificate; a fixed tool is calibrated at its value",
            ),
            Self::OutsideRange { set, min, max } => texts(
                format!("a point at {set} is outside the tool's range, {min} to {max}"),
                "look at the unit of the certificate, and at the range of the tool",
            ),
            Self::NoTorque(reference) => texts(
                format!("a mean reference torque of {reference} is no torque"),
                "write the mean of the laboratory's reference readings at this point",
            ),
            Self::NotIncreasing { column, before, this } => {
                let column = match column {
                    Column::Set => "what was set",
                    Column::Reference | Column::W => "the reference torque",
                };
                texts(
                    format!("{column} is {this} here and {before} at the point before; it must increase"),
                    "write the points from the smallest to the largest, each once; look for two digits exchanged",
                )
            }
            Self::W(w) => (
                format!(
                    "an uncertainty W of {w} % cannot be; more than 0 and at most {W_MAX_PERCENT} % are allowed"
                ),
                "W is relative, expanded (k = 2), in per cent; where the laboratory gives none, say that it is not stated"
                    .into(),
            ),
        }
    }
}

impl Which {
    /// As certificates say it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::AsFound => "as found",
            Self::AsLeft => "as left",
        }
    }
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoSuchTool(serial) => write!(f, "no tool has the serial number {serial}"),
            Self::AlreadyRetired(retired) => {
                write!(f, "it was retired on {}: {}", retired.day, retired.why)
            }
            Self::HistoryChanged => f.write_str(
                "calibrations, doubts and verdicts are added, never changed: a mistyped one is put right in the file",
            ),
            Self::NotDoubted => f.write_str("no doubt of it stands"),
            Self::Faults(faults) => {
                let reasons: Vec<String> = faults.iter().map(Fault::reason).collect();
                f.write_str(&reasons.join("; "))
            }
        }
    }
}

impl std::error::Error for Refused {}
