//! Forms of the Tools page: what is answered, in which order, and what it comes to. Answers are data; going back
//! drops the last.

use crate::domain::calibration::{Calibration, CalibrationPoint, Interval};
use crate::domain::tool::{Adapter, ToolKind, ToolRange};
use crate::domain::toolbox::{
    At, CalibrationAt, Column, Doubt, Fault, KnownTool, LookBack, LookBackVerdict, POINTS_MAX, Refused,
    Release, Retired, Toolbox, Which,
};
use crate::domain::torque::{Unit, read_decimal};
use jiff::civil::Date;
use rust_decimal::Decimal;

/// What a form is for; tools by their serial number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Purpose {
    /// One more tool.
    Add,
    /// What is stated of a tool is put right.
    Edit(String),
    /// One more calibration.
    Calibrate(String),
    /// A tool is no longer trusted.
    Doubt(String),
    /// It is trusted again; a doubt that only a visit knows of is taken into the toolbox first.
    Release { serial: String, doubt: Option<Doubt> },
    /// When it was first used after its last calibration.
    FirstUse(String),
    /// It is no longer used.
    Retire(String),
    /// What is to become of work done with it.
    Verdict { serial: String, board: String, record: String },
}

/// One answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Field {
    Name,
    Serial,
    Kind,
    Class,
    Unit,
    From,
    /// Highest marked value, or the value of a fixed tool.
    To,
    Graduation,
    Adapter,
    Lever,
    Extension,
    Months,
    Every,
    Operations,
    Date,
    FirstUse,
    Certificate,
    Laboratory,
    /// What was set or indicated at a point, numbered from 0; nothing ends the table.
    Set(Which, usize),
    Reference(Which, usize),
    /// Per cent, or the word none.
    W(Which, usize),
    /// 2 where the laboratory adjusted the tool.
    Adjusted,
    By,
    What,
    /// 1 stands, 2 is to be done again, 3 other.
    Verdict,
    Save,
}

/// The word for *not stated*, and for taking an answer out that stands.
pub(super) const NONE: &str = "none";
/// Kinds in the order of the list.
pub(super) const KINDS: [ToolKind; 3] = [ToolKind::Setting, ToolKind::Fixed, ToolKind::Indicating];

/// A form in progress.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Form {
    pub(super) purpose: Purpose,
    /// What was answered so far, in order.
    pub(super) given: Vec<(Field, String)>,
}

impl Form {
    pub(super) fn new(purpose: Purpose) -> Self {
        Self { purpose, given: Vec::new() }
    }

    pub(super) fn with(&self, field: Field, answer: &str) -> Self {
        let mut next = self.clone();
        next.given.push((field, answer.to_owned()));
        next
    }

    /// The tool it is about; nothing for one that is added.
    pub(super) fn serial(&self) -> Option<&str> {
        match &self.purpose {
            Purpose::Add => None,
            Purpose::Edit(serial)
            | Purpose::Calibrate(serial)
            | Purpose::Doubt(serial)
            | Purpose::Release { serial, .. }
            | Purpose::FirstUse(serial)
            | Purpose::Retire(serial)
            | Purpose::Verdict { serial, .. } => Some(serial),
        }
    }

    pub(super) fn get(&self, field: Field) -> Option<&str> {
        self.given.iter().find(|(known, _)| *known == field).map(|(_, answer)| answer.as_str())
    }

    /// An answer in own words; nothing where it was left empty or taken out.
    fn text(&self, field: Field) -> Option<String> {
        self.get(field).filter(|text| !text.is_empty() && *text != NONE).map(str::to_owned)
    }

    fn number(&self, field: Field) -> Option<Decimal> {
        read_decimal(self.get(field)?).ok()
    }

    fn whole(&self, field: Field) -> Option<u64> {
        self.get(field)?.parse().ok()
    }

    fn pick(&self, field: Field) -> Option<usize> {
        self.get(field)?.parse::<usize>().ok()?.checked_sub(1)
    }

    /// What is asked next.
    pub(super) fn next(&self, toolbox: &Toolbox) -> Field {
        let missing = |list: &[Field]| list.iter().copied().find(|field| self.get(*field).is_none());
        let found = match &self.purpose {
            Purpose::Add => missing(&self.stated(true)),
            Purpose::Edit(serial) => {
                let fresh = toolbox.of_serial(serial).is_none_or(|tool| tool.calibrations.is_empty());
                missing(&self.stated(fresh))
            }
            Purpose::Calibrate(_) => {
                missing(&[Field::Date, Field::FirstUse, Field::Certificate, Field::Laboratory])
                    .or_else(|| self.next_point(Which::AsFound))
                    .or_else(|| missing(&[Field::Adjusted]))
                    .or_else(|| self.adjusted().then(|| self.next_point(Which::AsLeft)).flatten())
            }
            Purpose::Doubt(_) | Purpose::Release { .. } => missing(&[Field::By, Field::What]),
            Purpose::FirstUse(_) => missing(&[Field::FirstUse]),
            Purpose::Retire(_) => missing(&[Field::What]),
            Purpose::Verdict { .. } => missing(&[Field::Verdict]).or_else(|| {
                let other = self.pick(Field::Verdict) == Some(2);
                if other { missing(&[Field::What, Field::By]) } else { missing(&[Field::By]) }
            }),
        };
        found.unwrap_or(Field::Save)
    }

    /// What is stated of a tool. Unit and kind of a calibrated tool stand: its points are in them.
    fn stated(&self, fresh: bool) -> Vec<Field> {
        let mut list = vec![Field::Name, Field::Serial];
        if fresh {
            list.extend([Field::Kind, Field::Unit]);
        }
        list.push(Field::Class);
        if self.kind() == Some(ToolKind::Fixed) {
            list.push(Field::To);
        } else {
            list.extend([Field::From, Field::To, Field::Graduation]);
        }
        list.push(Field::Adapter);
        if self.text(Field::Adapter).is_some() {
            list.extend([Field::Lever, Field::Extension]);
        }
        list.extend([Field::Months, Field::Every, Field::Operations]);
        list
    }

    fn kind(&self) -> Option<ToolKind> {
        self.pick(Field::Kind).and_then(|at| KINDS.get(at).copied())
    }

    pub(super) fn adjusted(&self) -> bool {
        self.pick(Field::Adjusted) == Some(1)
    }

    fn next_point(&self, which: Which) -> Option<Field> {
        for number in 0..POINTS_MAX {
            let set = Field::Set(which, number);
            match self.get(set) {
                None => return Some(set),
                Some("") => return None,
                Some(_) => {}
            }
            for field in [Field::Reference(which, number), Field::W(which, number)] {
                if self.get(field).is_none() {
                    return Some(field);
                }
            }
        }
        None
    }

    fn points(&self, which: Which) -> Vec<CalibrationPoint> {
        let point = |number: usize| {
            let set = self.number(Field::Set(which, number))?;
            // what is not answered yet is judged by nobody
            let reference = self.number(Field::Reference(which, number)).unwrap_or(set);
            Some(CalibrationPoint { set, reference, w_percent: self.number(Field::W(which, number)) })
        };
        (0..POINTS_MAX).map_while(point).collect()
    }

    /// The calibration as it stands so far.
    pub(super) fn calibration(&self) -> Calibration {
        Calibration {
            date: self.get(Field::Date).unwrap_or_default().to_owned(),
            first_use: self.text(Field::FirstUse),
            certificate: self.text(Field::Certificate),
            laboratory: self.text(Field::Laboratory),
            as_found: self.points(Which::AsFound),
            as_left: self.points(Which::AsLeft),
        }
    }

    /// The tool as it stands so far, over the one that is edited.
    fn tool(&self, before: Option<&KnownTool>) -> KnownTool {
        let unit = self.pick(Field::Unit).and_then(|at| Unit::ALL.get(at).copied());
        let kind = self.kind().or(before.map(|tool| tool.kind)).unwrap_or(ToolKind::Setting);
        let (from, to) = (self.number(Field::From), self.number(Field::To));
        let least = from.or(to).or(before.map(|tool| tool.range.min)).unwrap_or(Decimal::ONE);
        // a highest value that is not answered yet must not look wrong
        let above = least.checked_add(Decimal::new(1, 6)).unwrap_or(least);
        let most = to.unwrap_or(if kind == ToolKind::Fixed { least } else { above });
        let interval = Interval {
            months: self.whole(Field::Months).map(|months| u16::try_from(months).unwrap_or(u16::MAX)),
            operations: self.whole(Field::Every),
        };
        let adapter = self.text(Field::Adapter).map(|what| Adapter {
            what,
            lever_mm: self.number(Field::Lever).unwrap_or(Decimal::ONE),
            extension_mm: self.number(Field::Extension).unwrap_or(Decimal::ZERO),
        });
        KnownTool {
            name: self.get(Field::Name).unwrap_or_default().to_owned(),
            serial: self.get(Field::Serial).unwrap_or_default().to_owned(),
            kind,
            class: self.text(Field::Class),
            unit: unit.or(before.map(|tool| tool.unit)).unwrap_or(Unit::NewtonMetre),
            range: ToolRange { min: if kind == ToolKind::Fixed { most } else { least }, max: most },
            graduation: self.number(Field::Graduation),
            adapter,
            interval: (interval.months.is_some() || interval.operations.is_some()).then_some(interval),
            operations: self.whole(Field::Operations),
            calibrations: before.map(|tool| tool.calibrations.clone()).unwrap_or_default(),
            doubts: before.map(|tool| tool.doubts.clone()).unwrap_or_default(),
            retired: before.and_then(|tool| tool.retired.clone()),
            looks_back: before.map(|tool| tool.looks_back.clone()).unwrap_or_default(),
        }
    }

    /// What it comes to: other tools. The old ones stand until these are durable.
    pub(super) fn change(&self, toolbox: &Toolbox, today: Date) -> Result<Toolbox, Refused> {
        let by = || self.get(Field::By).unwrap_or_default().to_owned();
        let what = || self.get(Field::What).unwrap_or_default().to_owned();
        let now = Some(today);
        match &self.purpose {
            Purpose::Add => toolbox.with_tool(self.tool(None), now),
            Purpose::Edit(serial) => toolbox.edited(serial, self.tool(toolbox.of_serial(serial)), now),
            Purpose::Calibrate(serial) => toolbox.calibrated(serial, self.calibration(), now),
            Purpose::Doubt(serial) => {
                let doubt = Doubt { day: today, by: by(), what: what(), released: None };
                toolbox.doubting(serial, doubt, now)
            }
            Purpose::Release { serial, doubt } => {
                let doubted = match doubt {
                    Some(doubt) => toolbox.doubting(serial, doubt.clone(), now)?,
                    None => toolbox.clone(),
                };
                doubted.released(serial, &Release { day: today, by: by(), why: what() }, now)
            }
            Purpose::FirstUse(serial) => {
                toolbox.first_used(serial, self.get(Field::FirstUse).unwrap_or_default(), now)
            }
            Purpose::Retire(serial) => toolbox.retiring(serial, Retired { day: today, why: what() }, now),
            Purpose::Verdict { serial, board, record } => {
                let verdict = match self.pick(Field::Verdict) {
                    Some(0) => LookBackVerdict::Stands,
                    Some(1) => LookBackVerdict::DoAgain,
                    _ => LookBackVerdict::Other(what()),
                };
                let (board, record) = (board.clone(), record.clone());
                toolbox.looked_back(serial, LookBack { day: today, by: by(), board, record, verdict }, now)
            }
        }
    }

    /// What is wrong with the last answer, as far as it can be seen yet.
    pub(super) fn fault(&self, toolbox: &Toolbox, today: Date) -> Option<Fault> {
        let (field, _) = self.given.last()?;
        let number = |serial: &str| toolbox.of_serial(serial).map_or(0, |tool| tool.calibrations.len());
        let known = self.serial().map_or(0, number);
        // a new calibration stands behind those that are known; a first use belongs to the last of them
        let last = matches!(self.purpose, Purpose::FirstUse(_));
        let at = field.at(if last { known.saturating_sub(1) } else { known })?;
        let mut changed = toolbox.clone();
        match &self.purpose {
            Purpose::Add => changed.tools.push(self.tool(None)),
            Purpose::Edit(serial) => {
                let tool = changed.tools.iter_mut().find(|tool| tool.serial == *serial)?;
                *tool = self.tool(Some(&tool.clone()));
            }
            Purpose::Calibrate(serial) => {
                let tool = changed.tools.iter_mut().find(|tool| tool.serial == *serial)?;
                tool.calibrations.push(self.calibration());
            }
            Purpose::FirstUse(serial) => {
                let tool = changed.tools.iter_mut().find(|tool| tool.serial == *serial)?;
                tool.calibrations.last_mut()?.first_use = self.text(Field::FirstUse);
            }
            Purpose::Doubt(_) | Purpose::Release { .. } | Purpose::Retire(_) | Purpose::Verdict { .. } => {
                return None;
            }
        }
        let before = toolbox.faults(Some(today));
        let new = changed.faults(Some(today)).into_iter().filter(|fault| !before.contains(fault));
        new.map(|(_, fault)| fault).find(|fault| fault.at == at)
    }
}

impl Field {
    /// The part of a tool that it says; its calibration has this number.
    fn at(self, number: usize) -> Option<At> {
        let of = |part| Some(At::Calibration(number, part));
        match self {
            Self::Name => Some(At::Name),
            Self::Serial => Some(At::Serial),
            Self::Class => Some(At::Class),
            Self::From | Self::To => Some(At::Range),
            Self::Graduation => Some(At::Graduation),
            Self::Adapter | Self::Lever | Self::Extension => Some(At::Adapter),
            Self::Months | Self::Every => Some(At::Interval),
            Self::Operations => Some(At::Operations),
            Self::Date => of(CalibrationAt::Date),
            Self::FirstUse => of(CalibrationAt::FirstUse),
            Self::Certificate => of(CalibrationAt::Certificate),
            Self::Laboratory => of(CalibrationAt::Laboratory),
            Self::Set(which, row) => of(CalibrationAt::Point(which, row, Column::Set)),
            Self::Reference(which, row) => of(CalibrationAt::Point(which, row, Column::Reference)),
            Self::W(which, row) => of(CalibrationAt::Point(which, row, Column::W)),
            Self::Kind | Self::Unit | Self::Adjusted | Self::By | Self::What | Self::Verdict | Self::Save => {
                None
            }
        }
    }
}
