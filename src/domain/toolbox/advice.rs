//! What a careful owner would be told: nothing is wrong, but a record will be worth less.

use super::fault::{At, CalibrationAt, Column, Which};
use super::{KnownTool, Toolbox};
use crate::domain::calibration::{Calibration, CalibrationPoint};
use crate::domain::exact::Exact;
use crate::domain::reckon::class_limit::{ToolClass, named};
use crate::domain::tool::ToolKind;

/// One thing to be told, and where.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Advice {
    /// Where.
    pub at: At,
    /// What.
    pub advised: Advised,
}

/// What is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Advised {
    /// No calibration is stated.
    NoCalibration,
    /// A calibration without a certificate number.
    NoCertificate,
    /// The certificate of an earlier calibration once more.
    CertificateTwice,
    /// Adjusted, and nobody knows what it was like before.
    NoAsFound,
    /// As left is the same as found: nothing was adjusted.
    NothingAdjusted,
    /// A reference torque more than a quarter off.
    FarOff,
    /// No type and class of ISO 6789.
    UnknownClass,
    /// A class of tools of another kind.
    ClassOfAnotherKind(ToolKind),
}

impl Advice {
    /// What is so, in trade words.
    #[must_use]
    pub fn reason(&self) -> String {
        match self.advised {
            Advised::NoCalibration => "no calibration of this tool is stated".into(),
            Advised::NoCertificate => {
                "this calibration names no certificate, and counts as not stated".into()
            }
            Advised::CertificateTwice => {
                "this certificate was already named by an earlier calibration".into()
            }
            Advised::NoAsFound => "points as left stand here without points as found".into(),
            Advised::NothingAdjusted => "the points as left are those as found: nothing was adjusted".into(),
            Advised::FarOff => {
                "this reference torque is more than a quarter off what was set or indicated".into()
            }
            Advised::UnknownClass => {
                "this is no type and class of ISO 6789: I A to I E, or II A to II G".into()
            }
            Advised::ClassOfAnotherKind(kind) => {
                format!("this type and class of ISO 6789 is that of a tool of the kind {}", kind.words())
            }
        }
    }

    /// What can be done about it.
    #[must_use]
    pub fn help(&self) -> &'static str {
        match self.advised {
            Advised::NoCalibration | Advised::NoCertificate => {
                "it may be used; what is done with it is at best complete with remark"
            }
            Advised::CertificateTwice => "look whether one of the two was entered twice",
            Advised::NoAsFound => {
                "ask the laboratory for its as-found points, next time before it adjusts the tool: without them nobody \
                 can say what earlier work was really tightened to"
            }
            Advised::NothingAdjusted => {
                "as found alone says the same; points as left are for after an adjustment"
            }
            Advised::FarOff => {
                "look at column and unit; where it is right, look back on the work done with the tool before"
            }
            Advised::UnknownClass => {
                "write type and class as printed on the tool, or leave the class out: no class limit is known then"
            }
            Advised::ClassOfAnotherKind(_) => "look at the kind, and at what is printed on the tool",
        }
    }
}

/// The kind of tool that a class of ISO 6789 stands for. One without a graduation cannot be read: it is entered as
/// fixed, at the value it was set to.
fn kind_of(class: &ToolClass) -> ToolKind {
    match (class.tool_type, class.letter) {
        ("I", _) => ToolKind::Indicating,
        (_, 'B' | 'C' | 'E' | 'F') => ToolKind::Fixed,
        _ => ToolKind::Setting,
    }
}

impl KnownTool {
    /// What its owner should be told, in the tool's order.
    #[must_use]
    pub fn advice(&self) -> Vec<Advice> {
        let mut all = Vec::new();
        if let Some(class) = &self.class {
            match named(class).map(|class| kind_of(&class)) {
                None => all.push(Advice { at: At::Class, advised: Advised::UnknownClass }),
                Some(kind) if kind != self.kind => {
                    all.push(Advice { at: At::Class, advised: Advised::ClassOfAnotherKind(kind) });
                }
                Some(_) => {}
            }
        }
        if self.calibrations.is_empty() && self.retired.is_none() {
            all.push(Advice { at: At::Calibrations, advised: Advised::NoCalibration });
        }
        for (number, calibration) in self.calibrations.iter().enumerate() {
            let earlier = self.calibrations.iter().take(number);
            for (part, advised) in of_calibration(calibration, earlier) {
                all.push(Advice { at: At::Calibration(number, part), advised });
            }
        }
        all
    }
}

fn of_calibration<'c>(
    calibration: &Calibration,
    mut earlier: impl Iterator<Item = &'c Calibration>,
) -> Vec<(CalibrationAt, Advised)> {
    let mut all = Vec::new();
    match &calibration.certificate {
        None => all.push((CalibrationAt::Date, Advised::NoCertificate)),
        named if earlier.any(|other| other.certificate == *named) => {
            all.push((CalibrationAt::Certificate, Advised::CertificateTwice));
        }
        Some(_) => {}
    }
    for (which, points) in [(Which::AsFound, &calibration.as_found), (Which::AsLeft, &calibration.as_left)] {
        for (row, _) in points.iter().enumerate().filter(|(_, point)| far_off(point)) {
            all.push((CalibrationAt::Point(which, row, Column::Reference), Advised::FarOff));
        }
    }
    if !calibration.as_left.is_empty() {
        let left = CalibrationAt::Points(Which::AsLeft);
        if calibration.as_found.is_empty() {
            all.push((left, Advised::NoAsFound));
        } else if calibration.as_found == calibration.as_left {
            all.push((left, Advised::NothingAdjusted));
        }
    }
    all
}

fn far_off(point: &CalibrationPoint) -> bool {
    let off = (&Exact::from(point.set) - &Exact::from(point.reference)).magnitude();
    &off * &Exact::ratio(4, 1) > Exact::from(point.set)
}

impl Toolbox {
    /// What the owner should be told, each with the number of its tool from 0.
    #[must_use]
    pub fn advice(&self) -> Vec<(usize, Advice)> {
        let tools = self.tools.iter().enumerate();
        tools
            .flat_map(|(number, tool)| tool.advice().into_iter().map(move |advice| (number, advice)))
            .collect()
    }
}
