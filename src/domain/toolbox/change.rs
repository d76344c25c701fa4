//! Changes of a toolbox: each gives a new one, so that the old one stands until the new one is durable.

use super::fault::Fault;
use super::{Doubt, KnownTool, LookBack, Release, Retired, Toolbox};
use crate::domain::calibration::Calibration;
use jiff::civil::Date;

/// Why a change is refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refused {
    /// No tool has this serial number.
    NoSuchTool(String),
    /// It was retired already.
    AlreadyRetired(Retired),
    /// The tool as edited has another history than the one it had.
    HistoryChanged,
    /// Nothing to take back.
    NotDoubted,
    /// Something would be wrong with the tool; faults it had before are not counted.
    Faults(Vec<Fault>),
}

impl Toolbox {
    /// With one more tool.
    ///
    /// # Errors
    /// [`Refused::Faults`]
    pub fn with_tool(&self, tool: KnownTool, today: Option<Date>) -> Result<Self, Refused> {
        let mut changed = self.clone();
        changed.tools.push(tool);
        self.judged(changed, today)
    }

    /// With what is stated of a tool put right; its history must be the same.
    ///
    /// # Errors
    /// [`Refused`]
    pub fn edited(&self, serial: &str, tool: KnownTool, today: Option<Date>) -> Result<Self, Refused> {
        self.changed(serial, today, |old| {
            let same = old.calibrations == tool.calibrations
                && old.doubts == tool.doubts
                && old.retired == tool.retired
                && old.looks_back == tool.looks_back;
            if !same {
                return Err(Refused::HistoryChanged);
            }
            *old = tool;
            Ok(())
        })
    }

    /// With one more calibration of a tool. Operations stated so far belonged to the one before and are no longer
    /// counted. A retired tool may be calibrated once more, to know what it was like at last.
    ///
    /// # Errors
    /// [`Refused`]
    pub fn calibrated(
        &self,
        serial: &str,
        calibration: Calibration,
        today: Option<Date>,
    ) -> Result<Self, Refused> {
        self.changed(serial, today, |tool| {
            tool.operations = None;
            tool.calibrations.push(calibration);
            Ok(())
        })
    }

    /// With the day on which a tool was first used after its last calibration, where none is stated yet. Nothing is
    /// overwritten: it is not known before it happens.
    ///
    /// # Errors
    /// [`Refused`]
    pub fn first_used(&self, serial: &str, day: &str, today: Option<Date>) -> Result<Self, Refused> {
        self.changed(serial, today, |tool| {
            let waits = tool.calibrations.last_mut().filter(|calibration| calibration.first_use.is_none());
            waits.ok_or(Refused::HistoryChanged)?.first_use = Some(day.to_owned());
            Ok(())
        })
    }

    /// With a tool doubted.
    ///
    /// # Errors
    /// [`Refused`]
    pub fn doubting(&self, serial: &str, doubt: Doubt, today: Option<Date>) -> Result<Self, Refused> {
        self.changed(serial, today, |tool| {
            tool.doubts.push(doubt);
            Ok(())
        })
    }

    /// With every doubt of a tool taken back that still stands.
    ///
    /// # Errors
    /// [`Refused`]
    pub fn released(&self, serial: &str, release: &Release, today: Option<Date>) -> Result<Self, Refused> {
        self.changed(serial, today, |tool| {
            if tool.doubted().is_none() {
                return Err(Refused::NotDoubted);
            }
            let calibrated = tool.calibrated_on();
            for doubt in tool.doubts.iter_mut().filter(|doubt| doubt.stands(calibrated)) {
                doubt.released = Some(release.clone());
            }
            Ok(())
        })
    }

    /// With a tool retired. It stays in the toolbox.
    ///
    /// # Errors
    /// [`Refused`]
    pub fn retiring(&self, serial: &str, retired: Retired, today: Option<Date>) -> Result<Self, Refused> {
        self.changed(serial, today, |tool| match tool.retired.replace(retired) {
            Some(already) => Err(Refused::AlreadyRetired(already)),
            None => Ok(()),
        })
    }

    /// With a verdict on what was done with a tool.
    ///
    /// # Errors
    /// [`Refused`]
    pub fn looked_back(&self, serial: &str, verdict: LookBack, today: Option<Date>) -> Result<Self, Refused> {
        self.changed(serial, today, |tool| {
            tool.looks_back.push(verdict);
            Ok(())
        })
    }

    fn changed(
        &self,
        serial: &str,
        today: Option<Date>,
        change: impl FnOnce(&mut KnownTool) -> Result<(), Refused>,
    ) -> Result<Self, Refused> {
        let mut changed = self.clone();
        let tool = changed.tools.iter_mut().find(|tool| tool.serial == serial);
        change(tool.ok_or_else(|| Refused::NoSuchTool(serial.to_owned()))?)?;
        self.judged(changed, today)
    }

    /// Refuses what was well before and is wrong now; a clock that went back must not keep a tool from being doubted.
    fn judged(&self, changed: Self, today: Option<Date>) -> Result<Self, Refused> {
        let before = self.faults(today);
        let new: Vec<Fault> = changed
            .faults(today)
            .into_iter()
            .filter(|fault| !before.contains(fault))
            .map(|(_, fault)| fault)
            .collect();
        if new.is_empty() { Ok(changed) } else { Err(Refused::Faults(new)) }
    }
}
