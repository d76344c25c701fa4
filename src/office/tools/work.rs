//! What records on this machine say was done with a tool, and since when it is in question.

use crate::domain::calibration::Calibration;
use crate::domain::toolbox::{Doubt, KnownTool};
use crate::session::look_back::DoneWith;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// What the records of this machine say of tools, by serial number.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Used {
    /// Operations of each day, `2026-03-02`.
    pub operations: BTreeMap<String, BTreeMap<String, u64>>,
    /// Work, in the order of the records.
    pub work: Vec<Work>,
    /// Doubts that were recorded in a visit and not taken back there.
    pub doubts: Vec<DoubtedInVisit>,
}

/// What one record says was done with a tool.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Work {
    /// Serial number of the tool.
    pub serial: String,
    /// Reference of the board.
    pub board: String,
    /// Its site.
    pub site: String,
    /// Id of the record.
    pub record: String,
    /// Terminals tightened with it, each with the day, `2026-03-02`, in the order of the record.
    pub terminals: Vec<(String, String)>,
    /// What of it counts in the record at its end.
    pub counting: Vec<DoneWith>,
}

/// A doubt of a visit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DoubtedInVisit {
    /// Serial number of the tool.
    pub serial: String,
    /// Day, `2026-03-02`.
    pub day: String,
    /// Reference of the board.
    pub board: String,
    /// What happened.
    pub what: String,
}

impl DoubtedInVisit {
    /// As it is kept in the toolbox; nothing where its day is none.
    pub(super) fn in_toolbox(&self) -> Option<Doubt> {
        let by = format!("recorded at {}", self.board);
        Some(Doubt { day: self.day.parse().ok()?, by, what: self.what.clone(), released: None })
    }
}

/// Days between which work is in question, both included.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Period {
    /// From this day; nothing where it was never calibrated.
    pub(super) from: Option<String>,
    /// To this day; nothing for until now.
    pub(super) to: Option<String>,
}

impl Period {
    /// Of a tool. Doubted: since the calibration that holds. Else, where the last calibration found it out, between
    /// the one before and that one; else since the last.
    pub(super) fn of(tool: &KnownTool, used: &Used) -> Self {
        let dates: Vec<&String> = tool.calibrations.iter().map(|calibration| &calibration.date).collect();
        let last = dates.last().map(|date| (*date).clone());
        let found_out = tool.calibration().is_some_and(|calibration| !calibration.as_found.is_empty());
        let before = dates.iter().rev().nth(1).map(|date| (*date).clone());
        let doubted = tool.doubted().is_some() || used.doubt_of(tool).is_some();
        if !doubted && found_out && before.is_some() {
            return Self { from: before, to: last };
        }
        Self { from: last, to: None }
    }

    /// Days written year first are ordered as text.
    pub(super) fn holds(&self, day: &str) -> bool {
        self.from.as_deref().is_none_or(|from| day >= from) && self.to.as_deref().is_none_or(|to| day <= to)
    }

    /// In words, for behind *done with it*.
    pub(super) fn words(&self) -> String {
        match (&self.from, &self.to) {
            (Some(from), Some(to)) => format!("from {from} to {to}, between its last two calibrations"),
            (Some(from), None) => format!("since its last calibration on {from}"),
            (None, _) => "at any time: no calibration of it is known".into(),
        }
    }
}

impl Used {
    /// The last doubt of a visit that nothing in the toolbox ended: no calibration on a later day, no release.
    #[must_use]
    pub fn doubt_of(&self, tool: &KnownTool) -> Option<&DoubtedInVisit> {
        let stands = |day: &str| {
            let calibrated = tool.calibration().is_some_and(|calibration| calibration.date.as_str() > day);
            let mut releases = tool.doubts.iter().filter_map(|doubt| doubt.released.as_ref());
            !calibrated && !releases.any(|release| release.day.to_string().as_str() >= day)
        };
        self.doubts.iter().rfind(|doubt| doubt.serial == tool.serial && stands(&doubt.day))
    }

    /// Operations of a tool since first use after its last calibration: recorded here and stated.
    #[must_use]
    pub fn operations_of(&self, tool: &KnownTool) -> u64 {
        let from = tool.calibration().and_then(Calibration::runs_from);
        let from: Option<String> = from.map(|day: Date| day.to_string());
        let days = self.operations.get(&tool.serial).into_iter().flatten();
        let since = days.filter(|(day, _)| from.as_ref().is_none_or(|from| *day >= from));
        since.fold(tool.operations.unwrap_or(0), |sum, (_, count)| sum.saturating_add(*count))
    }

    /// Work in a period: what was done, and its terminals then.
    pub(super) fn in_period<'a>(
        &'a self,
        serial: &'a str,
        period: &'a Period,
    ) -> impl Iterator<Item = (&'a Work, Vec<&'a str>)> {
        self.work.iter().filter(move |work| work.serial == serial).filter_map(move |work| {
            let mut names: Vec<&str> = Vec::new();
            for (day, name) in &work.terminals {
                if period.holds(day) && !names.contains(&name.as_str()) {
                    names.push(name);
                }
            }
            (!names.is_empty()).then_some((work, names))
        })
    }
}
