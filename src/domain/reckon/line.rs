//! The straight line between the points of a calibration, and the setting it asks for.
//!
//! What is applied at a setting lies on the line between the two neighbouring points; a setting for a target is
//! read off the same line backwards. Nothing lies beyond the first and the last point. Source: the values at the
//! points are those of ISO 6789-2:2017; the line between them is this project's own rule, for the standard says
//! nothing about it (none known).

use crate::domain::calibration::CalibrationPoint;
use crate::domain::exact::Exact;
use crate::domain::tool::nearest_mark;
use rust_decimal::Decimal;

/// Points of a calibration as one line, strictly increasing in what was set and in what was applied.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Straight {
    points: Vec<Point>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
struct Point {
    set: Exact,
    reference: Exact,
    w_percent: Option<Exact>,
}

/// Why points make no line. Places are counted from 0, in the order given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotALine {
    /// There is no point.
    Empty,
    /// What was set or applied at this point is zero or less.
    NotPositive(usize),
    /// What was set at this point is not above what was set at the point before it.
    SetNotIncreasing(usize),
    /// What was applied at this point is not above what was applied at the point before it.
    ReferenceNotIncreasing(usize),
}

/// On which side a value leaves the line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OffLine {
    /// Below the first point.
    Below,
    /// Above the last point.
    Above,
}

/// Why there is no setting for a torque.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotCalibratedHere {
    /// The torque lies below what was applied at the first point.
    Below,
    /// The torque lies above what was applied at the last point.
    Above,
    /// No mark of the scale lies between the calibrated settings there.
    NoMark,
}

impl Straight {
    /// The line through points, lowest first. One point is a line of that one setting only.
    ///
    /// # Errors
    /// [`NotALine`] says which point breaks it.
    pub fn through(points: &[CalibrationPoint]) -> Result<Self, NotALine> {
        if points.is_empty() {
            return Err(NotALine::Empty);
        }
        for (place, point) in points.iter().enumerate() {
            if point.set <= Decimal::ZERO || point.reference <= Decimal::ZERO {
                return Err(NotALine::NotPositive(place));
            }
        }
        for (place, (before, point)) in points.iter().zip(points.iter().skip(1)).enumerate() {
            let place = place.saturating_add(1);
            if point.set <= before.set {
                return Err(NotALine::SetNotIncreasing(place));
            }
            if point.reference <= before.reference {
                return Err(NotALine::ReferenceNotIncreasing(place));
            }
        }
        let points = points
            .iter()
            .map(|point| Point {
                set: Exact::from(point.set),
                reference: Exact::from(point.reference),
                w_percent: point.w_percent.map(Exact::from),
            })
            .collect();
        Ok(Self { points })
    }

    /// What is really applied at a setting.
    ///
    /// # Errors
    /// [`OffLine`] where the setting is not calibrated.
    pub fn applied(&self, set: &Exact) -> Result<Exact, OffLine> {
        let (low, high) = self.neighbours(set, |point| &point.set)?;
        Ok(between(set, (&low.set, &high.set), (&low.reference, &high.reference)))
    }

    /// The setting at which a torque is really applied, before rounding to the scale.
    ///
    /// # Errors
    /// [`OffLine`] where the torque lies outside what was applied at the points.
    pub fn set_for(&self, target: &Exact) -> Result<Exact, OffLine> {
        let (low, high) = self.neighbours(target, |point| &point.reference)?;
        Ok(between(target, (&low.reference, &high.reference), (&low.set, &high.set)))
    }

    /// Relative expanded uncertainty W (k = 2) at a setting, per cent of what is applied: straight between the
    /// points; nothing off the line or where a neighbouring point states none.
    #[must_use]
    pub fn w_percent_at(&self, set: &Exact) -> Option<Exact> {
        let (low, high) = self.neighbours(set, |point| &point.set).ok()?;
        let ends = (low.w_percent.as_ref()?, high.w_percent.as_ref()?);
        Some(between(set, (&low.set, &high.set), ends))
    }

    /// The larger W of the two neighbouring points, per cent: the careful reading of the same certificate.
    #[must_use]
    pub fn w_percent_larger_at(&self, set: &Exact) -> Option<Exact> {
        let (low, high) = self.neighbours(set, |point| &point.set).ok()?;
        Some(low.w_percent.as_ref()?.max(high.w_percent.as_ref()?).clone())
    }

    /// Relative error `a_s` at a setting, per cent of what is applied: above zero the tool applies less than its
    /// scale says (ISO 6789-2:2017, from memory); nothing off the line.
    #[must_use]
    pub fn deviation_percent_at(&self, set: &Exact) -> Option<Exact> {
        super::point_error::relative_error_percent(set, &self.applied(set).ok()?)
    }

    /// The lowest and the highest calibrated setting.
    #[must_use]
    pub fn settings_ends(&self) -> (Exact, Exact) {
        self.ends(|point| &point.set)
    }

    /// The least and the most that was applied at a point.
    #[must_use]
    pub fn applied_ends(&self) -> (Exact, Exact) {
        self.ends(|point| &point.reference)
    }

    fn ends(&self, along: impl Fn(&Point) -> &Exact) -> (Exact, Exact) {
        let end = |point: Option<&Point>| point.map_or_else(Exact::zero, |point| along(point).clone());
        (end(self.points.first()), end(self.points.last()))
    }

    /// The points on both sides of a value; on a point itself it is that point twice.
    fn neighbours(
        &self,
        value: &Exact,
        along: impl Fn(&Point) -> &Exact,
    ) -> Result<(&Point, &Point), OffLine> {
        let low = self.points.iter().rev().find(|point| along(point) <= value).ok_or(OffLine::Below)?;
        let high = self.points.iter().find(|point| along(point) >= value).ok_or(OffLine::Above)?;
        Ok((low, high))
    }
}

/// The value that stands to `to` as `at` stands to `from`; where `from` is one point, the first of `to`.
fn between(at: &Exact, from: (&Exact, &Exact), to: (&Exact, &Exact)) -> Exact {
    match (at - from.0).over(&(from.1 - from.0)) {
        Some(part) => to.0 + &(&part * &(to.1 - to.0)),
        None => to.0.clone(),
    }
}

/// What to set on the scale for a torque: the mark nearest to the exact setting that lies inside the calibrated
/// settings (ends included), a tie away from zero; without a line the mark nearest to the torque itself. Our own
/// rule, `as_set.csv`.
///
/// # Errors
/// [`NotCalibratedHere`]: nothing is set beyond the points.
pub fn required(
    target: &Exact,
    line: Option<&Straight>,
    graduation: Decimal,
) -> Result<Decimal, NotCalibratedHere> {
    let Some(line) = line else {
        return nearest_mark(target, graduation).ok_or(NotCalibratedHere::NoMark);
    };
    let set = line.set_for(target).map_err(|side| match side {
        OffLine::Below => NotCalibratedHere::Below,
        OffLine::Above => NotCalibratedHere::Above,
    })?;
    mark_inside(&set, &line.settings_ends(), graduation).ok_or(NotCalibratedHere::NoMark)
}

/// The mark nearest to a setting among those between two settings, ends included; a tie away from zero.
#[must_use]
pub fn mark_inside(set: &Exact, ends: &(Exact, Exact), graduation: Decimal) -> Option<Decimal> {
    let step = Exact::from(graduation).magnitude();
    let inside = |mark: &Decimal| {
        let mark = Exact::from(*mark);
        ends.0 <= mark && mark <= ends.1
    };
    let nearest = nearest_mark(set, graduation)?;
    if inside(&nearest) {
        return Some(nearest);
    }
    // the setting itself lies inside, so only the mark on its other side can
    let other = if Exact::from(nearest) > *set {
        &Exact::from(nearest) - &step
    } else {
        &Exact::from(nearest) + &step
    };
    nearest_mark(&other, graduation).filter(inside)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(set: &str, reference: &str, w_percent: Option<&str>) -> CalibrationPoint {
        let decimal = |text| Decimal::from_str_exact(text).unwrap();
        CalibrationPoint {
            set: decimal(set),
            reference: decimal(reference),
            w_percent: w_percent.map(decimal),
        }
    }

    #[test]
    fn points_that_do_not_rise_are_no_line() {
        let through = |points: &[CalibrationPoint]| Straight::through(points).unwrap_err();
        let (one, two) = (point("1", "1.02", None), point("2", "2.03", None));
        assert_eq!(through(&[]), NotALine::Empty);
        assert_eq!(through(&[one, two, two]), NotALine::SetNotIncreasing(2));
        assert_eq!(through(&[one, point("3", "1.02", None)]), NotALine::ReferenceNotIncreasing(1));
        assert_eq!(through(&[point("0", "1", None)]), NotALine::NotPositive(0));
    }

    #[test]
    fn one_point_is_calibrated_there_and_nowhere_else() {
        let line = Straight::through(&[point("5", "5.1", Some("2"))]).unwrap();
        let at = |text| Exact::read(text).unwrap();
        assert_eq!(line.applied(&at("5")), Ok(at("5.1")));
        assert_eq!(line.set_for(&at("5.1")), Ok(at("5")));
        assert_eq!(line.applied(&at("5.01")), Err(OffLine::Above));
        assert_eq!(line.set_for(&at("5")), Err(OffLine::Below));
        assert_eq!(line.w_percent_at(&at("5")), Some(at("2")));
    }

    #[test]
    fn w_is_absent_where_a_neighbour_states_none() {
        let line =
            Straight::through(&[point("1", "1", Some("2")), point("2", "2", None), point("3", "3", None)]);
        let line = line.unwrap();
        let at = |text| Exact::read(text).unwrap();
        assert_eq!(line.w_percent_at(&at("1")), Some(at("2")), "on a point its own W counts");
        assert_eq!(line.w_percent_at(&at("1.5")), None);
        assert_eq!(line.w_percent_larger_at(&at("2.5")), None);
    }

    #[test]
    fn where_no_mark_lies_inside_there_is_no_setting() {
        let line = Straight::through(&[point("1.1", "1", None), point("1.4", "2", None)]).unwrap();
        let target = Exact::read("1.5").unwrap();
        assert_eq!(required(&target, Some(&line), Decimal::ONE), Err(NotCalibratedHere::NoMark));
        assert_eq!(required(&target, Some(&line), Decimal::ZERO), Err(NotCalibratedHere::NoMark));
        assert_eq!(required(&target, None, Decimal::ONE), Ok(Decimal::TWO));
    }
}
