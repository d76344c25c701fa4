//! What can be wrong with a tool, and where: data for a form that asks again and for a reader that points at it.

use crate::domain::text::BadText;
use crate::domain::torque::Torque;
use jiff::civil::Date;
use rust_decimal::Decimal;

/// One thing that is wrong with a tool. [`Fault::reason`] and [`Fault::help`] say it in trade words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Where.
    pub at: At,
    /// What.
    pub wrong: Wrong,
}

/// A part of a tool. Numbers count from 0, in the order in which things stand in the tool.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum At {
    /// Its name.
    Name,
    /// Its serial number.
    Serial,
    /// Its type and class.
    Class,
    /// Its range, or the value of a fixed tool.
    Range,
    /// Its graduation.
    Graduation,
    /// Its adapter.
    Adapter,
    /// Its owner's interval.
    Interval,
    /// The operations stated.
    Operations,
    /// Its calibrations together.
    Calibrations,
    /// A part of one calibration.
    Calibration(usize, CalibrationAt),
    /// Its doubts together.
    Doubts,
    /// A part of one doubt.
    Doubt(usize, NoteAt),
    /// A part of the release of a doubt.
    Release(usize, NoteAt),
    /// A part of its retirement.
    Retired(NoteAt),
    /// Its verdicts together.
    LooksBack,
    /// A part of one verdict.
    LookBack(usize, NoteAt),
}

/// A part of a calibration.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CalibrationAt {
    /// Day.
    Date,
    /// Day of first use.
    FirstUse,
    /// Certificate number.
    Certificate,
    /// Laboratory.
    Laboratory,
    /// A table as a whole.
    Points(Which),
    /// A column of one point.
    Point(Which, usize, Column),
}

/// A table of points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// As found, before any adjustment.
    AsFound,
    /// As left.
    AsLeft,
}

/// A column of a table of points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Column {
    /// What was set or indicated.
    Set,
    /// Mean reference torque.
    Reference,
    /// Relative expanded uncertainty.
    W,
}

/// A part of a doubt, a release, a retirement or a verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoteAt {
    /// Day.
    Day,
    /// Who.
    By,
    /// What happened, why, or the verdict.
    What,
    /// Board.
    Board,
    /// Record.
    Record,
}

/// What is wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wrong {
    /// With a text.
    Text {
        /// What it is called.
        what: &'static str,
        /// Why it is refused; nothing where it only has blanks at its ends.
        bad: Option<BadText>,
        /// Columns allowed.
        columns: usize,
    },
    /// With what is stated of the tool itself.
    Stated(StatedWrong),
    /// With a day.
    Day(DayWrong),
    /// With a point.
    Point(PointWrong),
    /// More of something than there may be.
    TooMany {
        /// What, in the plural.
        what: &'static str,
        /// Found.
        found: usize,
        /// Allowed.
        most: usize,
    },
}

/// What is wrong with what is stated of a tool itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StatedWrong {
    /// Another tool has this serial number.
    SerialTaken {
        /// The number.
        serial: String,
        /// Name of the other.
        other: String,
    },
    /// Another tool in use has this name.
    NameTaken {
        /// The name.
        name: String,
        /// Serial number of the other.
        other: String,
    },
    /// The lowest marked value is not more than nothing.
    RangeBegins(Torque),
    /// The highest marked value is not above the lowest.
    RangeUpsideDown(Torque, Torque),
    /// The highest marked value is beyond any tool for this work.
    RangeBeyond(Torque),
    /// A fixed tool with two different ends.
    FixedRange(Torque, Torque),
    /// No graduation, and the tool is not fixed.
    NoGraduation,
    /// A graduation, and the tool is fixed.
    FixedGraduation,
    /// A graduation that is nothing or wider than the range.
    Graduation(Torque),
    /// A lever or an extension that cannot be; both in mm.
    Lever {
        /// From the middle of the grip to the square drive.
        lever_mm: Decimal,
        /// From the square drive to the screw.
        extension_mm: Decimal,
    },
    /// An own interval that says neither months nor operations.
    EmptyInterval,
    /// An own interval of too few or too many months.
    Months(u16),
    /// An own interval of too few or too many operations.
    Every(u64),
    /// More operations than can be.
    Operations(u64),
}

/// What is wrong with a day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DayWrong {
    /// It is none.
    NoDay(String),
    /// Before any tool in use.
    TooEarly(Date),
    /// After today.
    Future {
        /// The day.
        day: Date,
        /// Today.
        today: Date,
    },
    /// Before the day that it follows.
    Before {
        /// The day.
        day: Date,
        /// What it must follow: `calibration`, `one before it`.
        what: &'static str,
        /// The day of that.
        earlier: Date,
    },
    /// A first use after the next calibration was already made.
    UsedAfterNext {
        /// The first use.
        first_use: Date,
        /// The next calibration.
        next: Date,
    },
}

/// What is wrong with a point.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PointWrong {
    /// Set or indicated outside the tool's range.
    OutsideRange {
        /// What was set.
        set: Torque,
        /// Lowest marked value.
        min: Decimal,
        /// Highest marked value.
        max: Decimal,
    },
    /// A reference torque that is not more than nothing.
    NoTorque(Torque),
    /// Not above the point before it.
    NotIncreasing {
        /// Column.
        column: Column,
        /// The point before.
        before: Torque,
        /// This point.
        this: Torque,
    },
    /// An uncertainty of nothing or beyond measure; per cent.
    W(Decimal),
}
