//! What to set on a tool for a torque, and what comes of it.
//!
//! The answer of `witnessmark setting`, and what `pack` chooses tools by. It is the same as a walk gives at a terminal.
//! Deliberately absent: limits and verdicts; a bare target has none.

use super::applied::Applied;
use super::exact::Exact;
use super::tool::{NoSetting, Tool};
use super::torque::Torque;

/// A tool set for a torque at the screw.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Setting {
    /// What is wanted at the screw, as it was stated.
    pub target: Torque,
    /// What to set, or to read, in the tool's unit: corrected by the line of its calibration and its adapter.
    pub required: Torque,
    /// What is really applied then.
    pub applied: Applied,
}

/// How far a tool reaches at the screw, its adapter reckoned in, in its unit: from least to most.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reach {
    /// Its range.
    pub range: (Exact, Exact),
    /// Settings at the ends of its calibration; nothing where no points are stated.
    pub settings: Option<(Exact, Exact)>,
    /// What was applied at these; nothing where no points are stated.
    pub applied: Option<(Exact, Exact)>,
}

impl Setting {
    /// The setting of a tool for a torque.
    ///
    /// # Errors
    /// [`NoSetting`]: the tool does not reach it, or is not calibrated there.
    pub fn of(tool: &Tool, target: &Torque) -> Result<Self, NoSetting> {
        let required = tool.required(target)?;
        Ok(Self { target: *target, required, applied: tool.applied(&required, None) })
    }

    /// Half-width of the interval that covers 95.45 % of the error, N.m; infinite where nothing is stated of it, so that
    /// such a tool comes last.
    #[must_use]
    pub fn w_nm(&self) -> f64 {
        self.applied.w().map_or(f64::INFINITY, |w| (&w * &self.applied.unit.factor()).to_f64())
    }
}

impl Reach {
    /// Of a tool.
    #[must_use]
    pub fn of(tool: &Tool) -> Self {
        let at_the_screw = |ends: (Exact, Exact)| match tool.lever() {
            Some(lever) => (lever.at_the_screw(&ends.0), lever.at_the_screw(&ends.1)),
            None => ends,
        };
        let line = tool.line();
        Self {
            range: at_the_screw((Exact::from(tool.range.min), Exact::from(tool.range.max))),
            settings: line.as_ref().map(super::reckon::line::Straight::settings_ends),
            applied: line.map(|line| at_the_screw(line.applied_ends())),
        }
    }
}

/// Every one of these tools that can do a torque, the smallest error first; of equal ones the first.
#[must_use]
pub fn ranked<'t>(tools: &[&'t Tool], target: &Torque) -> Vec<(&'t Tool, Setting)> {
    let able = tools.iter().filter_map(|tool| Some((*tool, Setting::of(tool, target).ok()?)));
    let mut able: Vec<(&Tool, Setting)> = able.collect();
    able.sort_by(|(_, one), (_, other)| one.w_nm().total_cmp(&other.w_nm()));
    able
}
