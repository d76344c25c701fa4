//! Looking back when a tool is found out: what earlier readings come to with the points as found.
//!
//! Every reading since the last good calibration is judged with them, as if the tool had been so all the time (the worst
//! case); nothing is added for drift, because the points as found hold it. Outside them nothing is said. Our own rule,
//! `reverse_impact.json`; that earlier results are looked at again is asked by ISO/IEC 17025:2017, 7.10 (from memory).
//! Deliberately absent: tools, terminals and days, and any verdict on a single value without tolerance.

use super::adapter::Adapter;
use super::decision::{Band, decide_if_stated};
use super::line::{OffLine, Straight};
use super::shape::{Shape, Terms};
use crate::domain::exact::Exact;
use crate::domain::verdict::{DecisionRule, Verdict};
use rust_decimal::Decimal;

/// What was really applied at a setting or a reading, by the points as found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AsFound {
    /// How much, in the unit of the points.
    pub applied: Exact,
    /// Distribution of its error; nothing where the points state no W.
    pub shape: Option<Shape>,
}

impl AsFound {
    /// At what a scale or display said, with an adapter in line where there was one. `recorded_step` is the step in which
    /// a reading was written down where it is coarser than the tool's own, else zero.
    ///
    /// # Errors
    /// [`OffLine`]: it lies outside the points, and nothing is extrapolated.
    pub fn at(
        points: &Straight,
        adapter: Option<&Adapter>,
        said: &Exact,
        recorded_step: Decimal,
    ) -> Result<Self, OffLine> {
        let at_the_tool = points.applied(said)?;
        let applied = adapter.map_or_else(|| at_the_tool.clone(), |lever| lever.at_the_screw(&at_the_tool));
        let terms = Terms {
            applied: applied.clone(),
            w_percent: points.w_percent_at(said),
            class_limit_percent: None,
            drift_percent: None,
            recorded_resolution: recorded_step,
            s_operator: Decimal::ZERO,
        };
        let shape = terms.tool_is_stated().then(|| Shape::from_terms(&terms));
        Ok(Self { applied, shape })
    }

    /// Half-width of the interval that covers 95.45 % of the error; nothing where no W is stated.
    #[must_use]
    pub fn w(&self) -> Option<Exact> {
        self.shape.as_ref().map(Shape::w)
    }

    /// The verdict on it under a rule.
    #[must_use]
    pub fn verdict(&self, rule: DecisionRule, limits: &Band) -> Verdict {
        decide_if_stated(rule, limits, self.w().as_ref(), &self.applied)
    }
}

/// What became of a torque that is judged anew.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fate {
    /// It was a pass, and is none now: less than that, or outside the points.
    WasPassNowNot,
    /// It was none before the tool was found out.
    WasNeverPass,
    /// It was a pass and still is one.
    StillPass,
}

impl Fate {
    /// Of a torque that passed or did not, and its verdict now; nothing where it lies outside the points.
    #[must_use]
    pub fn of(passed: bool, now: Option<Verdict>) -> Self {
        match (passed, now) {
            (true, Some(Verdict::Pass)) => Self::StillPass,
            (true, _) => Self::WasPassNowNot,
            (false, _) => Self::WasNeverPass,
        }
    }

    /// As it is shown.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::WasPassNowNot => "was pass, now not",
            Self::WasNeverPass => "was never pass",
            Self::StillPass => "still pass",
        }
    }
}

/// Whether a torque has to be looked at again: anything but a pass.
#[must_use]
pub fn needs_recheck(now: Option<Verdict>) -> bool {
    now != Some(Verdict::Pass)
}

/// On which side a torque lies of what it should be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Way {
    /// Below it.
    TooLittle,
    /// Above it.
    TooMuch,
    /// Between its limits, or exactly at its value.
    Within,
}

/// How far off a torque is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Off {
    /// On which side.
    pub way: Way,
    /// What it is measured from: the nearer limit, or the single value.
    pub from: Exact,
    /// By how much, never below zero; inside limits what is left to the nearer one.
    pub by: Exact,
}

impl Off {
    /// From limits; nothing where there are none.
    #[must_use]
    pub fn limits(limits: &Band, applied: &Exact) -> Option<Self> {
        let to = |limit: &Exact, way| Self { way, from: limit.clone(), by: (applied - limit).magnitude() };
        match (&limits.lower, &limits.upper) {
            (Some(lower), _) if applied < lower => Some(to(lower, Way::TooLittle)),
            (_, Some(upper)) if applied > upper => Some(to(upper, Way::TooMuch)),
            (lower, upper) => {
                let ends = lower.iter().chain(upper).map(|end| to(end, Way::Within));
                ends.min_by(|one, other| one.by.cmp(&other.by))
            }
        }
    }

    /// From a single value.
    #[must_use]
    pub fn value(value: &Exact, applied: &Exact) -> Self {
        let way = match applied.cmp(value) {
            std::cmp::Ordering::Less => Way::TooLittle,
            std::cmp::Ordering::Equal => Way::Within,
            std::cmp::Ordering::Greater => Way::TooMuch,
        };
        Self { way, from: value.clone(), by: (applied - value).magnitude() }
    }

    /// By how much, per cent of what it is measured from; nothing where that is zero.
    #[must_use]
    pub fn percent(&self) -> Option<Exact> {
        (&self.by * &Exact::ratio(100, 1)).over(&self.from)
    }

    /// What it is sorted by, the farthest off last: above zero outside, below zero inside.
    #[must_use]
    pub fn rank(&self) -> Exact {
        let percent = self.percent().unwrap_or_else(Exact::zero);
        if self.way == Way::Within { -&percent } else { percent }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Exact {
        Exact::read(text).unwrap()
    }

    fn off(lower: Option<&str>, upper: Option<&str>, applied: &str) -> Option<(Way, Exact)> {
        let band = Band { lower: lower.map(read), upper: upper.map(read) };
        Off::limits(&band, &read(applied)).map(|off| (off.way, off.by))
    }

    /// The distance to the nearer limit; own rule.
    #[test]
    fn how_far_off_is_measured_from_the_nearer_limit() {
        assert_eq!(off(Some("2"), Some("3"), "1.8"), Some((Way::TooLittle, read("0.2"))));
        assert_eq!(off(Some("2"), Some("3"), "3.5"), Some((Way::TooMuch, read("0.5"))));
        assert_eq!(off(Some("2"), Some("3"), "2.9"), Some((Way::Within, read("0.1"))));
        assert_eq!(off(Some("2"), Some("3"), "2"), Some((Way::Within, Exact::zero())), "ends belong to it");
        assert_eq!(off(None, Some("3"), "2.5"), Some((Way::Within, read("0.5"))));
        assert_eq!(off(None, None, "2.5"), None);
    }

    #[test]
    fn the_farthest_off_has_the_highest_rank() {
        let band = Band { lower: Some(read("2")), upper: Some(read("3")) };
        let rank = |applied: &str| Off::limits(&band, &read(applied)).unwrap().rank();
        // 20 % of 2 below, 10 % of 3 above, 5 % of 2 inside, 10 % of 2 inside
        let ranks = ["1.6", "3.3", "2.1", "2.2"].map(rank);
        assert_eq!(ranks, ["20", "10", "-5", "-10"].map(read));
        assert_eq!(Off::value(&read("2.5"), &read("2.3")).rank(), read("8"));
        assert_eq!(Off::value(&read("2.5"), &read("2.5")).way, Way::Within);
    }

    #[test]
    fn without_w_nothing_passes_beyond_doubt() {
        let point = |set: &str, reference: &str| crate::domain::calibration::CalibrationPoint {
            set: set.parse().unwrap(),
            reference: reference.parse().unwrap(),
            w_percent: None,
        };
        let points = Straight::through(&[point("1", "0.9"), point("3", "2.9")]).unwrap();
        let at = |said: &str| AsFound::at(&points, None, &read(said), Decimal::ZERO);
        let band = Band { lower: Some(read("2")), upper: Some(read("2.5")) };
        let verdict = |said: &str| at(said).unwrap().verdict(DecisionRule::GuardedFourWords, &band);
        assert_eq!((verdict("2.3"), verdict("2")), (Verdict::ConditionalPass, Verdict::Fail));
        assert_eq!(at("3.1"), Err(OffLine::Above));
    }

    #[test]
    fn only_what_passed_can_pass_no_more() {
        use Verdict::{ConditionalFail, Fail, Pass};
        assert_eq!(Fate::of(true, Some(Pass)), Fate::StillPass);
        assert_eq!(Fate::of(true, Some(ConditionalFail)), Fate::WasPassNowNot);
        assert_eq!(Fate::of(true, None), Fate::WasPassNowNot, "outside the points");
        assert_eq!(Fate::of(false, Some(Pass)), Fate::WasNeverPass);
        assert_eq!(Fate::of(false, Some(Fail)), Fate::WasNeverPass);
    }
}
