//! The conformance probability: how likely the true torque lies within its limits.
//!
//! Source: JCGM 106:2012 clause 7. Limit and torque are subtracted exactly before anything becomes binary, and a
//! tail is worked out as a tail and never as 1 − F.

use super::shape::Shape;
use crate::domain::exact::Exact;

/// Where the true torque lies, each from 0 to 1; the three add up to 1 but for rounding.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conformance {
    /// Within the limits.
    pub pc: f64,
    /// Below the lower limit; 0 without one.
    pub below: f64,
    /// Above the upper limit; 0 without one.
    pub above: f64,
}

/// Conformance of an applied torque whose error has a shape, all in one unit. A limit that is absent holds
/// nothing back. Without any error it is 1 within the limits, ends included, and 0 elsewhere.
#[must_use]
pub fn probability(
    lower: Option<&Exact>,
    upper: Option<&Exact>,
    applied: &Exact,
    shape: &Shape,
) -> Conformance {
    let below = lower.map_or(0.0, |lower| shape.below(&(lower - applied)));
    let above = upper.map_or(0.0, |upper| shape.below(&(applied - upper)));
    let pc = match (lower, upper) {
        (Some(lower), _) if applied < lower => shape.below(&(applied - lower)) - above,
        (_, Some(upper)) if applied > upper => shape.below(&(upper - applied)) - below,
        _ => {
            let downwards = lower.map_or(0.5, |lower| shape.half_mass(&(applied - lower)));
            let upwards = upper.map_or(0.5, |upper| shape.half_mass(&(upper - applied)));
            downwards + upwards
        }
    };
    Conformance { pc: pc.clamp(0.0, 1.0), below, above }
}

#[cfg(test)]
mod tests {
    use super::super::shape::Which;
    use super::*;

    #[test]
    fn without_limits_everything_conforms() {
        let shape = Shape::of(&Exact::ratio(1, 10), &Exact::ratio(1, 5), Which::Drift);
        let found = probability(None, None, &Exact::ratio(3, 1), &shape);
        assert!((found.pc - 1.0).abs() < 1e-15 && found.below <= 0.0 && found.above <= 0.0);
    }
}
