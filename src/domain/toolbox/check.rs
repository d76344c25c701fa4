//! The checks of a calibration laboratory, and those of a store: one function for the file and for the screen.

use super::fault::{
    At, CalibrationAt, Column, DayWrong, Fault, NoteAt, PointWrong, StatedWrong, Which, Wrong,
};
use super::{
    CALIBRATIONS_MAX, DOUBTS_MAX, KnownTool, LOOKS_BACK_MAX, LookBackVerdict, MONTHS_MAX, OPERATIONS_MAX,
    POINTS_MAX, TOOLS_MAX, Toolbox,
};
use crate::domain::calibration::{Calibration, CalibrationPoint};
use crate::domain::exact::Exact;
use crate::domain::reckon;
use crate::domain::text::{NAME_COLUMNS, REMARK_COLUMNS, checked};
use crate::domain::tool::ToolKind;
use crate::domain::torque::{Torque, Unit};
use jiff::civil::{Date, date};
use rust_decimal::Decimal;

/// Highest marked value of a tool for this work, N.m. Our choice: what a file may state at most.
pub(super) const RANGE_MAX_NM: i64 = 500;
/// Longest own interval, operations. Our choice: twenty times the usual one.
pub(super) const EVERY_MAX: u64 = 100_000;
/// Greatest relative expanded uncertainty, per cent. Our choice: five times the widest class limit of ISO 6789; more
/// says nothing of a tool.
pub(super) const W_MAX_PERCENT: i64 = 30;
/// Longest lever or extension, mm. Our choice.
pub(super) const LEVER_MAX_MM: i64 = 2_000;
/// Earliest day that can be meant. Our choice.
const FIRST_DAY: Date = date(1950, 1, 1);

/// What is judged, and what was found.
struct Judge {
    today: Option<Date>,
    faults: Vec<Fault>,
    /// The range of the tool cannot be: no point is then held against it.
    no_range: bool,
}

impl KnownTool {
    /// Everything that is wrong with the tool by itself, in its own order. Days after `today` are wrong where it is
    /// given.
    #[must_use]
    pub fn faults(&self, today: Option<Date>) -> Vec<Fault> {
        let mut judge = Judge { today, faults: Vec::new(), no_range: false };
        judge.name(At::Name, "name", &self.name);
        judge.name(At::Serial, "serial number", &self.serial);
        if let Some(class) = &self.class {
            judge.name(At::Class, "class", class);
        }
        judge.range(self);
        judge.adapter(self);
        judge.interval(self);
        judge.calibrations(self);
        judge.notes(self);
        judge.faults
    }
}

impl Toolbox {
    /// Everything that is wrong with the tools, each with the number of its tool from 0.
    #[must_use]
    pub fn faults(&self, today: Option<Date>) -> Vec<(usize, Fault)> {
        let mut all = Vec::new();
        for (number, tool) in self.tools.iter().enumerate() {
            all.extend(self.taken(number, tool).into_iter().map(|fault| (number, fault)));
            all.extend(tool.faults(today).into_iter().map(|fault| (number, fault)));
        }
        if self.tools.len() > TOOLS_MAX {
            let wrong = Wrong::TooMany { what: "tools", found: self.tools.len(), most: TOOLS_MAX };
            all.push((TOOLS_MAX, Fault { at: At::Name, wrong }));
        }
        all
    }

    /// Whether a tool before this one has its serial number, or its name.
    fn taken(&self, number: usize, tool: &KnownTool) -> Vec<Fault> {
        let mut faults = Vec::new();
        let before = || self.tools.iter().take(number);
        if let Some(other) = before().find(|other| other.serial == tool.serial) {
            let (serial, other) = (tool.serial.clone(), other.name.clone());
            faults.push(Fault {
                at: At::Serial,
                wrong: Wrong::Stated(StatedWrong::SerialTaken { serial, other }),
            });
        }
        let alike = |other: &&KnownTool| {
            other.retired.is_none() && other.name.to_lowercase() == tool.name.to_lowercase()
        };
        if let (None, Some(other)) = (&tool.retired, before().find(alike)) {
            let (name, other) = (tool.name.clone(), other.serial.clone());
            faults.push(Fault { at: At::Name, wrong: Wrong::Stated(StatedWrong::NameTaken { name, other }) });
        }
        faults
    }
}

impl Judge {
    fn wrong(&mut self, at: At, wrong: Wrong) {
        self.faults.push(Fault { at, wrong });
    }

    fn stated(&mut self, at: At, wrong: StatedWrong) {
        self.wrong(at, Wrong::Stated(wrong));
    }

    fn text(&mut self, at: At, what: &'static str, text: &str, columns: usize) {
        match checked(text, columns) {
            Ok(kept) if kept == text => {}
            Ok(_) => self.wrong(at, Wrong::Text { what, bad: None, columns }),
            Err(bad) => self.wrong(at, Wrong::Text { what, bad: Some(bad), columns }),
        }
    }

    fn name(&mut self, at: At, what: &'static str, text: &str) {
        self.text(at, what, text, NAME_COLUMNS);
    }

    fn remark(&mut self, at: At, what: &'static str, text: &str) {
        self.text(at, what, text, REMARK_COLUMNS);
    }

    fn count(&mut self, at: At, what: &'static str, found: usize, most: usize) {
        if found > most {
            self.wrong(at, Wrong::TooMany { what, found, most });
        }
    }

    fn range(&mut self, tool: &KnownTool) {
        let (min, max) = (Torque::new(tool.range.min, tool.unit), Torque::new(tool.range.max, tool.unit));
        let fixed = tool.kind == ToolKind::Fixed;
        if min.value <= Decimal::ZERO {
            self.stated(At::Range, StatedWrong::RangeBegins(min));
        } else if fixed && min != max {
            self.stated(At::Range, StatedWrong::FixedRange(min, max));
        } else if !fixed && max <= min {
            self.stated(At::Range, StatedWrong::RangeUpsideDown(min, max));
        } else if max > Torque::new(Decimal::from(RANGE_MAX_NM), Unit::NewtonMetre) {
            self.stated(At::Range, StatedWrong::RangeBeyond(max));
        }
        self.no_range = self.faults.iter().any(|fault| fault.at == At::Range);
        match (fixed, tool.graduation) {
            (false, None) => self.stated(At::Graduation, StatedWrong::NoGraduation),
            (true, Some(_)) => self.stated(At::Graduation, StatedWrong::FixedGraduation),
            (false, Some(step)) => {
                let width = &Exact::from(max.value) - &Exact::from(min.value);
                if step <= Decimal::ZERO || (max > min && Exact::from(step) > width) {
                    self.stated(At::Graduation, StatedWrong::Graduation(Torque::new(step, tool.unit)));
                }
            }
            (true, None) => {}
        }
    }

    fn adapter(&mut self, tool: &KnownTool) {
        let Some(adapter) = &tool.adapter else { return };
        self.name(At::Adapter, "name of the adapter", &adapter.what);
        let most = Decimal::from(LEVER_MAX_MM);
        let (lever_mm, extension_mm) = (adapter.lever_mm, adapter.extension_mm);
        let none = reckon::adapter::Adapter::new(lever_mm, extension_mm).is_err();
        if none || lever_mm > most || extension_mm > most {
            self.stated(At::Adapter, StatedWrong::Lever { lever_mm, extension_mm });
        }
    }

    fn interval(&mut self, tool: &KnownTool) {
        if let Some(interval) = tool.interval {
            match interval.months {
                Some(months) if months == 0 || months > MONTHS_MAX => {
                    self.stated(At::Interval, StatedWrong::Months(months));
                }
                _ => {}
            }
            match interval.operations {
                Some(every) if every == 0 || every > EVERY_MAX => {
                    self.stated(At::Interval, StatedWrong::Every(every));
                }
                _ => {}
            }
            if interval.months.is_none() && interval.operations.is_none() {
                self.stated(At::Interval, StatedWrong::EmptyInterval);
            }
        }
        if let Some(operations) = tool.operations.filter(|operations| *operations > OPERATIONS_MAX) {
            self.stated(At::Operations, StatedWrong::Operations(operations));
        }
    }

    fn calibrations(&mut self, tool: &KnownTool) {
        self.count(At::Calibrations, "calibrations", tool.calibrations.len(), CALIBRATIONS_MAX);
        let mut before: Option<(Date, Option<Date>)> = None;
        for (number, calibration) in tool.calibrations.iter().enumerate() {
            let days = self.days(number, calibration, before);
            // a day that cannot be read says nothing of the next one
            before = days.or(before);
            if let Some(certificate) = &calibration.certificate {
                let at = At::Calibration(number, CalibrationAt::Certificate);
                self.name(at, "certificate number", certificate);
            }
            if let Some(laboratory) = &calibration.laboratory {
                let at = At::Calibration(number, CalibrationAt::Laboratory);
                self.name(at, "laboratory", laboratory);
            }
            for (which, points) in
                [(Which::AsFound, &calibration.as_found), (Which::AsLeft, &calibration.as_left)]
            {
                self.points(number, which, points, tool);
            }
        }
    }

    /// Days of a calibration, given those of the one before: date and first use.
    fn days(
        &mut self,
        number: usize,
        calibration: &Calibration,
        before: Option<(Date, Option<Date>)>,
    ) -> Option<(Date, Option<Date>)> {
        let at = |part| At::Calibration(number, part);
        let date = self.typed_day(at(CalibrationAt::Date), &calibration.date);
        let first_use = calibration
            .first_use
            .as_ref()
            .and_then(|first_use| self.typed_day(at(CalibrationAt::FirstUse), first_use));
        let date = date?;
        if let Some((earlier, used)) = before {
            if date < earlier {
                let wrong = DayWrong::Before { day: date, what: "calibration listed above it,", earlier };
                self.wrong(at(CalibrationAt::Date), Wrong::Day(wrong));
            } else if let Some(first_use) = used.filter(|used| *used > date) {
                let wrong = DayWrong::UsedAfterNext { first_use, next: date };
                self.wrong(at(CalibrationAt::Date), Wrong::Day(wrong));
            }
        }
        if let Some(day) = first_use.filter(|first_use| *first_use < date) {
            let wrong = DayWrong::Before { day, what: "calibration", earlier: date };
            self.wrong(at(CalibrationAt::FirstUse), Wrong::Day(wrong));
        }
        Some((date, first_use))
    }

    fn typed_day(&mut self, at: At, text: &str) -> Option<Date> {
        // other ways to write a day would not be ordered as text, as days of records are
        let day = text.parse::<Date>().ok().filter(|day| day.to_string() == text);
        match day {
            Some(day) => self.day(at, day),
            None => self.wrong(at, Wrong::Day(DayWrong::NoDay(text.to_owned()))),
        }
        day
    }

    fn day(&mut self, at: At, day: Date) {
        if day < FIRST_DAY {
            self.wrong(at, Wrong::Day(DayWrong::TooEarly(day)));
        } else if let Some(today) = self.today.filter(|today| day > *today) {
            self.wrong(at, Wrong::Day(DayWrong::Future { day, today }));
        }
    }

    fn points(&mut self, number: usize, which: Which, points: &[CalibrationPoint], tool: &KnownTool) {
        let table = At::Calibration(number, CalibrationAt::Points(which));
        self.count(table, "points", points.len(), POINTS_MAX);
        let no_range = self.no_range;
        let mut before: Option<&CalibrationPoint> = None;
        for (row, point) in points.iter().enumerate() {
            let mut wrong = |column, wrong| {
                let at = At::Calibration(number, CalibrationAt::Point(which, row, column));
                self.wrong(at, Wrong::Point(wrong));
            };
            let torque = |value| Torque::new(value, tool.unit);
            if !no_range && (point.set < tool.range.min || point.set > tool.range.max) {
                let (min, max) = (tool.range.min, tool.range.max);
                wrong(Column::Set, PointWrong::OutsideRange { set: torque(point.set), min, max });
            }
            if point.reference <= Decimal::ZERO {
                wrong(Column::Reference, PointWrong::NoTorque(torque(point.reference)));
            }
            if let Some(w) =
                point.w_percent.filter(|w| *w <= Decimal::ZERO || *w > Decimal::from(W_MAX_PERCENT))
            {
                wrong(Column::W, PointWrong::W(w));
            }
            // where a point stands at a wrong place, its reference torque says nothing more
            let falls = before.and_then(|last| {
                let columns = [
                    (Column::Set, last.set, point.set),
                    (Column::Reference, last.reference, point.reference),
                ];
                columns.into_iter().find(|(_, earlier, this)| this <= earlier)
            });
            if let Some((column, earlier, this)) = falls {
                let (before, this) = (torque(earlier), torque(this));
                wrong(column, PointWrong::NotIncreasing { column, before, this });
            }
            before = Some(point);
        }
    }

    /// Doubts, verdicts and retirement.
    fn notes(&mut self, tool: &KnownTool) {
        self.count(At::Doubts, "doubts", tool.doubts.len(), DOUBTS_MAX);
        for (number, doubt) in tool.doubts.iter().enumerate() {
            self.day(At::Doubt(number, NoteAt::Day), doubt.day);
            self.name(At::Doubt(number, NoteAt::By), "name of who doubts it", &doubt.by);
            self.remark(At::Doubt(number, NoteAt::What), "reason of the doubt", &doubt.what);
            let Some(release) = &doubt.released else { continue };
            let at = |part| At::Release(number, part);
            self.day(at(NoteAt::Day), release.day);
            if release.day < doubt.day {
                let wrong = DayWrong::Before { day: release.day, what: "doubt", earlier: doubt.day };
                self.wrong(at(NoteAt::Day), Wrong::Day(wrong));
            }
            self.name(at(NoteAt::By), "name of who trusts it again", &release.by);
            self.remark(at(NoteAt::What), "reason of the release", &release.why);
        }
        self.count(At::LooksBack, "verdicts", tool.looks_back.len(), LOOKS_BACK_MAX);
        for (number, verdict) in tool.looks_back.iter().enumerate() {
            let at = |part| At::LookBack(number, part);
            self.day(at(NoteAt::Day), verdict.day);
            self.name(at(NoteAt::By), "name of who decided", &verdict.by);
            self.name(at(NoteAt::Board), "board", &verdict.board);
            self.name(at(NoteAt::Record), "record", &verdict.record);
            if let LookBackVerdict::Other(reason) = &verdict.verdict {
                self.remark(at(NoteAt::What), "verdict", reason);
            }
        }
        if let Some(retired) = &tool.retired {
            self.day(At::Retired(NoteAt::Day), retired.day);
            self.remark(At::Retired(NoteAt::What), "reason of the retirement", &retired.why);
        }
    }
}
