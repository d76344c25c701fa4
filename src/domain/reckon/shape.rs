//! How surely a torque was applied: a normal part and one rectangle.
//!
//! Which terms there are, and which stay a rectangle, is this project's own rule (`combined_shape.csv`), after
//! JCGM 100:2008 4.3.7, F.2.2.1 and 5.1.2; that one dominant rectangle is kept as such follows EA-4/02 S9. Sizes
//! are compared exactly. Taking a second rectangle as normal is an approximation: w is then at most 1.3 % too
//! narrow or too wide. Deliberately absent: the person's technique, which nothing here knows.

use super::spread;
use crate::domain::exact::Exact;
use rust_decimal::Decimal;

/// Significant digits to which w is used.
const W_DIGITS: u32 = 12;

/// Tail beyond w on each side: (1 − P)/2 with P = erf(√2), what twice the standard uncertainty leaves of a normal.
pub(super) const TAIL: f64 = 0.022_750_131_948_179_21;

/// What is known of the error of one applied torque. Percentages are of the torque applied; signs do not count.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Terms {
    /// The torque applied, in the tool's unit.
    pub applied: Exact,
    /// Relative expanded uncertainty W (k = 2) of a certificate, per cent; it already holds the tool's own
    /// resolution. Nothing without a certificate or without W.
    pub w_percent: Option<Exact>,
    /// Class limit, per cent; counts only without W.
    pub class_limit_percent: Option<Decimal>,
    /// Drift since the calibration, per cent; counts only with W. Zero is none.
    pub drift_percent: Option<Exact>,
    /// Step of what was written down where it is coarser than the tool's own; zero where it is not.
    pub recorded_resolution: Decimal,
    /// Standard deviation of the person's own repeats; zero where there are none.
    pub s_operator: Decimal,
}

impl Terms {
    /// Whether anything says how far the tool may be off. Where nothing does, the shape holds what is left, and
    /// no figure of it may be called the error of the tool.
    #[must_use]
    pub fn tool_is_stated(&self) -> bool {
        self.w_percent.is_some() || self.class_limit_percent.is_some()
    }
}

/// Which rectangle was kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// The class limit.
    Class,
    /// The drift since the calibration.
    Drift,
    /// The coarser step of what was written down.
    Resolution,
    /// No rectangle is wider than nothing.
    None,
}

impl Which {
    /// As it is printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Class => "class limit",
            Self::Drift => "drift",
            Self::Resolution => "recorded resolution",
            Self::None => "no rectangle",
        }
    }
}

/// Distribution of the error of one applied torque, in the torque's unit: normal plus an independent rectangle.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shape {
    normal: Exact,
    normal_is_exact: bool,
    rectangle: Exact,
    which: Which,
}

impl Shape {
    /// A shape of a known standard uncertainty and half-width; signs do not count.
    #[must_use]
    pub fn of(normal: &Exact, rectangle: &Exact, which: Which) -> Self {
        Self { normal: normal.magnitude(), normal_is_exact: true, rectangle: rectangle.magnitude(), which }
    }

    /// The shape that the terms make together: the widest rectangle stays one (the first of class, drift and
    /// resolution where they are equal), every other one enters the normal part as half²/3.
    #[must_use]
    pub fn from_terms(terms: &Terms) -> Self {
        let percent = |part: &Exact, of: i128| (&(part * &terms.applied) * &Exact::ratio(1, of)).magnitude();
        let resolution = (&Exact::from(terms.recorded_resolution) * &Exact::ratio(1, 2)).magnitude();
        let (calibration, tool) = match (&terms.w_percent, &terms.drift_percent, terms.class_limit_percent) {
            (Some(w), Some(drift), _) => (percent(w, 200), Some((percent(drift, 100), Which::Drift))),
            (Some(w), None, _) => (percent(w, 200), None),
            (None, _, Some(limit)) => {
                (Exact::zero(), Some((percent(&Exact::from(limit), 100), Which::Class)))
            }
            (None, _, None) => (Exact::zero(), None),
        };
        let mut rectangle = (Exact::zero(), Which::None);
        let repeats = Exact::from(terms.s_operator);
        let mut variance = &(&calibration * &calibration) + &(&repeats * &repeats);
        for next in tool.into_iter().chain([(resolution, Which::Resolution)]) {
            let smaller = if next.0 > rectangle.0 { std::mem::replace(&mut rectangle, next) } else { next };
            variance = &variance + &(&(&smaller.0 * &smaller.0) * &Exact::ratio(1, 3));
        }
        let (normal, normal_is_exact) = variance.root();
        Self { normal, normal_is_exact, rectangle: rectangle.0, which: rectangle.1 }
    }

    /// Standard uncertainty u of the normal part: exact where it is a ratio, else to 24 digits.
    #[must_use]
    pub fn normal(&self) -> &Exact {
        &self.normal
    }

    /// Half-width a of the rectangle.
    #[must_use]
    pub fn rectangle(&self) -> &Exact {
        &self.rectangle
    }

    /// Which rectangle was kept.
    #[must_use]
    pub fn which(&self) -> Which {
        self.which
    }

    /// Standard uncertainty of the whole, √(u² + a²/3).
    #[must_use]
    pub fn standard_uncertainty(&self) -> Exact {
        let square = |side: &Exact| side * side;
        let (root, _) = (&square(&self.normal) + &(&square(&self.rectangle) * &Exact::ratio(1, 3))).root();
        root
    }

    /// The guard band w: half-width of the symmetric interval that covers P = erf(√2) = 95.45 % of the error.
    /// Exactly 2u for a normal whose u is a ratio, zero where there is no error; otherwise the decimal of its 12
    /// significant digits, rounded up.
    #[must_use]
    pub fn w(&self) -> Exact {
        let zero = Exact::zero();
        match (self.normal > zero, self.rectangle > zero) {
            (false, false) => zero,
            (true, false) if self.normal_is_exact => &self.normal * &Exact::ratio(2, 1),
            (true, false) => (&self.normal * &Exact::ratio(2, 1)).rounded_up(W_DIGITS),
            (false, true) => (&self.rectangle * &covered()).rounded_up(W_DIGITS),
            (true, true) => self.half_width_beyond(TAIL).rounded_up(W_DIGITS),
        }
    }

    /// Half-width of the symmetric interval that covers a part of the error, 0.95 for instance; of the part that
    /// is no probability, zero or (from 1 on) as far as a binary number tells it from 1.
    #[must_use]
    pub fn half_width(&self, coverage: f64) -> Exact {
        if coverage.is_nan() || coverage <= 0.0 {
            return Exact::zero();
        }
        self.half_width_beyond(0.5 * (1.0 - coverage.min(1.0 - f64::EPSILON)))
    }

    fn half_width_beyond(&self, tail: f64) -> Exact {
        let h = self.ratio(&self.rectangle);
        if !h.is_finite() {
            let part = Exact::from_f64(1.0 - 2.0 * tail).unwrap_or_else(covered);
            return &self.rectangle * &part;
        }
        let times = Exact::from_f64(spread::quantile(tail, h)).unwrap_or_else(Exact::zero);
        &times * &self.normal
    }

    /// The probability that the error is less than x: what lies beyond a limit.
    #[must_use]
    pub fn below(&self, x: &Exact) -> f64 {
        if *x > Exact::zero() { 1.0 - self.below_not_above_zero(&-x) } else { self.below_not_above_zero(x) }
    }

    fn below_not_above_zero(&self, x: &Exact) -> f64 {
        let (left, right) = (x - &self.rectangle, x + &self.rectangle);
        let h = self.ratio(&self.rectangle);
        if h.is_finite() {
            return spread::tail(self.ratio(&left), self.ratio(&right), h);
        }
        let width = &self.rectangle * &Exact::ratio(2, 1);
        // with no error at all nothing lies below, not even where a torque stands on its limit
        right.over(&width).map_or(0.0, |part| part.to_f64().clamp(0.0, 0.5))
    }

    /// The probability that the error lies between zero and x ≥ 0.
    pub(super) fn half_mass(&self, x: &Exact) -> f64 {
        if *x < Exact::zero() {
            return 0.0;
        }
        if self.rectangle == Exact::zero() {
            let z = self.ratio(x);
            return if z.is_finite() { 0.5 * libm::erf(z * std::f64::consts::FRAC_1_SQRT_2) } else { 0.5 };
        }
        (0.5 - self.below_not_above_zero(&-x)).max(0.0)
    }

    /// How many standard uncertainties of the normal part a length is; infinite where there is no normal part.
    fn ratio(&self, length: &Exact) -> f64 {
        length.over(&self.normal).map_or(f64::INFINITY, |ratio| ratio.to_f64())
    }
}

/// P = erf(√2), to more digits than are ever used.
fn covered() -> Exact {
    Exact::ratio(9_544_997_361_036_415_855_994_347_256_669, 10_000_000_000_000_000_000_000_000_000_000)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Exact {
        Exact::read(text).unwrap()
    }

    #[test]
    fn three_and_four_make_five_exactly() {
        let terms = Terms {
            applied: read("2"),
            w_percent: Some(read("3")),
            class_limit_percent: Some(Decimal::from(6)),
            drift_percent: None,
            recorded_resolution: Decimal::ZERO,
            s_operator: Decimal::from_str_exact("0.04").unwrap(),
        };
        let shape = Shape::from_terms(&terms);
        assert_eq!((shape.normal().clone(), shape.w()), (read("0.05"), read("0.1")));
        assert_eq!(shape.which(), Which::None);
    }

    #[test]
    fn without_any_term_there_is_no_error_and_it_is_said() {
        let terms = Terms {
            applied: read("2"),
            w_percent: None,
            class_limit_percent: None,
            drift_percent: Some(read("3")),
            recorded_resolution: Decimal::ZERO,
            s_operator: Decimal::ZERO,
        };
        assert!(!terms.tool_is_stated());
        assert_eq!(Shape::from_terms(&terms).w(), Exact::zero());
    }

    #[test]
    fn a_share_that_is_none_has_a_width_all_the_same() {
        let shape = Shape::of(&read("1"), &read("1"), Which::Drift);
        for coverage in [f64::NAN, -1.0, 0.0] {
            assert_eq!(shape.half_width(coverage), Exact::zero());
        }
        assert!(shape.half_width(2.0) > read("7"));
        assert_eq!(Shape::of(&Exact::zero(), &Exact::zero(), Which::None).half_width(0.9), Exact::zero());
    }
}
