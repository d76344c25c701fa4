//! What a tool really applies at a setting or a reading, and how surely.
//!
//! The last calibration's points correct it; W, drift and class limit say how surely (see [`super::reckon::shape`]).
//! Everything is in the tool's unit and exact. Nothing is claimed where nothing is stated: such a torque has no error,
//! and it never passes beyond doubt. Deliberately absent: the person's technique.

use super::calibration::Calibration;
use super::exact::Exact;
use super::figures::per_cent;
use super::reckon::adapter::Adapter as Lever;
use super::reckon::class_limit::limit_percent;
use super::reckon::drift::drift_percent;
use super::reckon::line::Straight;
use super::reckon::shape::{Shape, Terms};
use super::tool::{Adapter, Tool};
use super::torque::{Torque, Unit};
use rust_decimal::Decimal;

/// What the error of an applied torque rests on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RestsOn {
    /// Points of a certificate with their W; and the drift that was added, ± per cent, where one is known.
    Certificate {
        /// Relative expanded uncertainty W at this setting, per cent.
        w_percent: Exact,
        /// Drift, ± per cent.
        drift_percent: Option<Exact>,
        /// Whether the tool's own history says so; otherwise half its class limit, our choice.
        drift_of_history: bool,
    },
    /// The limit of the tool's class, ± per cent: a declaration, or points without W.
    ClassLimit(Decimal),
    /// Nothing: neither W nor class is stated.
    Nothing,
}

/// A torque as it was really applied, in the tool's unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Applied {
    /// How much.
    pub torque: Exact,
    /// The tool's unit.
    pub unit: Unit,
    /// Distribution of its error; nothing where nothing is stated.
    pub shape: Option<Shape>,
    /// What that rests on.
    pub rests_on: RestsOn,
    /// Whether the points of the calibration reach it; without points the tool's word is taken.
    pub calibrated_here: bool,
}

impl Applied {
    /// Half-width of the interval that covers 95.45 % of the error; nothing where nothing is stated.
    #[must_use]
    pub fn w(&self) -> Option<Exact> {
        self.shape.as_ref().map(Shape::w)
    }
}

impl RestsOn {
    /// In words: `certificate with W 2 %, drift of 3 % (half the class limit, our choice)`.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Certificate { w_percent, drift_percent, drift_of_history } => {
                let drift = match drift_percent {
                    Some(drift) if *drift_of_history => {
                        format!("drift of {} (the tool's own history)", per_cent(drift))
                    }
                    Some(drift) => format!("drift of {} (half the class limit, our choice)", per_cent(drift)),
                    None => "no drift, because no class is stated".into(),
                };
                format!("certificate with W {}, {drift}", per_cent(w_percent))
            }
            Self::ClassLimit(limit) => format!("limit of its class, {limit} %"),
            Self::Nothing => "nothing is stated of its error: neither W nor class".into(),
        }
    }
}

impl Adapter {
    /// The lever it makes; nothing where its lengths reach no screw.
    #[must_use]
    pub fn lever(&self) -> Option<Lever> {
        Lever::new(self.lever_mm, self.extension_mm).ok()
    }
}

impl Tool {
    /// The straight line through the points of the last calibration; nothing where it has none that make a line.
    #[must_use]
    pub fn line(&self) -> Option<Straight> {
        Straight::through(self.calibrations.last().map(Calibration::points)?).ok()
    }

    /// The lever with its adapter; nothing where none is fitted, or where its lengths reach no screw.
    #[must_use]
    pub fn lever(&self) -> Option<Lever> {
        self.adapter.as_ref()?.lever()
    }

    /// The limit of its class, ± per cent; nothing where no class of ISO 6789 is stated.
    #[must_use]
    pub fn class_limit_percent(&self) -> Option<Decimal> {
        limit_percent(self.class.as_deref()?, &Torque::new(self.range.max, self.unit))
    }

    /// What is really applied when it is set to, or shows, a torque. `recorded_step` is the step in which a reading was
    /// written down; only one coarser than the tool's own adds to the error.
    #[must_use]
    pub fn applied(&self, said: &Torque, recorded_step: Option<Decimal>) -> Applied {
        let said = said.exact_in(self.unit);
        let line = self.line();
        let at_the_tool = line.as_ref().and_then(|line| line.applied(&said).ok());
        let calibrated_here = line.is_none() || at_the_tool.is_some();
        let at_the_tool = at_the_tool.unwrap_or_else(|| said.clone());
        let torque =
            self.lever().map_or_else(|| at_the_tool.clone(), |lever| lever.at_the_screw(&at_the_tool));
        let class_limit_percent = self.class_limit_percent();
        let w_percent = line.as_ref().and_then(|line| line.w_percent_at(&said));
        let history = drift_percent(&self.calibrations);
        let drift_of_history = history.is_some();
        let half_limit = || class_limit_percent.map(|limit| &Exact::from(limit) * &Exact::ratio(1, 2));
        let drift_percent = history.or_else(half_limit);
        let terms = Terms {
            applied: torque.clone(),
            w_percent: w_percent.clone(),
            class_limit_percent,
            drift_percent: drift_percent.clone(),
            recorded_resolution: self.coarser(recorded_step),
            s_operator: Decimal::ZERO,
        };
        let rests_on = match (w_percent, class_limit_percent) {
            (Some(w_percent), _) => RestsOn::Certificate { w_percent, drift_percent, drift_of_history },
            (None, Some(limit)) => RestsOn::ClassLimit(limit),
            (None, None) => RestsOn::Nothing,
        };
        let shape = (rests_on != RestsOn::Nothing).then(|| Shape::from_terms(&terms));
        Applied { torque, unit: self.unit, shape, rests_on, calibrated_here }
    }

    /// The step written down where it is coarser than the tool's own, else zero: W and the class limit hold the
    /// tool's resolution already.
    #[must_use]
    pub fn coarser(&self, recorded_step: Option<Decimal>) -> Decimal {
        match (recorded_step, self.graduation) {
            (Some(step), Some(own)) if step > own => step,
            (Some(step), None) => step,
            _ => Decimal::ZERO,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::calibration::CalibrationPoint;
    use crate::domain::tool::{ToolKind, ToolRange, Validity};

    fn decimal(text: &str) -> Decimal {
        Decimal::from_str_exact(text).unwrap()
    }

    fn tool(class: Option<&str>, w_percent: Option<&str>) -> Tool {
        let point = |set: &str, reference: &str| CalibrationPoint {
            set: decimal(set),
            reference: decimal(reference),
            w_percent: w_percent.map(decimal),
        };
        Tool {
            id: "A".into(),
            serial: "1".into(),
            name: "driver".into(),
            kind: ToolKind::Setting,
            class: class.map(Into::into),
            unit: Unit::NewtonMetre,
            range: ToolRange { min: decimal("1"), max: decimal("5") },
            graduation: Some(decimal("0.05")),
            adapter: None,
            interval: None,
            calibrations: vec![Calibration {
                date: "2026-03-02".into(),
                first_use: None,
                certificate: Some("K-1".into()),
                laboratory: None,
                as_found: Vec::new(),
                as_left: vec![point("1", "1.02"), point("5", "4.9")],
            }],
            operations_before: None,
            operations_recorded: None,
            validity: Validity::Valid,
            override_reason: None,
        }
    }

    fn at(tool: &Tool, said: &str, step: Option<&str>) -> Applied {
        tool.applied(&Torque::read(said).unwrap(), step.map(decimal))
    }

    #[test]
    fn a_certificate_with_w_gives_a_normal_part_and_half_the_class_limit_as_drift() {
        let applied = at(&tool(Some("II D"), Some("2")), "3 N.m", None);
        assert_eq!(applied.torque, Exact::read("2.96").unwrap());
        let shape = applied.shape.unwrap();
        assert_eq!(shape.normal(), &Exact::read("0.0296").unwrap());
        assert_eq!(shape.rectangle(), &Exact::read("0.0888").unwrap());
    }

    #[test]
    fn points_without_w_leave_the_class_limit_and_nothing_at_all_leaves_no_error() {
        let applied = at(&tool(Some("II D"), None), "3 N.m", None);
        assert_eq!(applied.shape.unwrap().rectangle(), &Exact::read("0.1776").unwrap());
        let applied = at(&tool(None, None), "3 N.m", None);
        assert_eq!((applied.shape, applied.rests_on), (None, RestsOn::Nothing));
    }

    #[test]
    fn only_a_coarser_step_adds_to_it() {
        let plain = at(&tool(Some("II D"), Some("2")), "3 N.m", None).w();
        assert_eq!(at(&tool(Some("II D"), Some("2")), "3 N.m", Some("0.05")).w(), plain);
        assert!(at(&tool(Some("II D"), Some("2")), "3 N.m", Some("0.1")).w() > plain);
    }

    #[test]
    fn beyond_the_points_the_tools_word_is_taken_with_its_class_limit() {
        let applied = at(&tool(Some("II D"), Some("2")), "5.5 N.m", None);
        assert!(!applied.calibrated_here);
        assert_eq!(applied.rests_on, RestsOn::ClassLimit(decimal("6")));
    }
}
