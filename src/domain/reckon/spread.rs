//! The distribution of a normal error plus an independent rectangular one, in units of the normal part's
//! standard uncertainty.
//!
//! With h = a/u, the half-width of the rectangle in that unit:
//! F(z) = (ψ(z + h) − ψ(z − h)) / 2h, ψ(z) = z·Φ(z) + φ(z). Source: the closed form in the head of
//! `band_shapes.csv`; normal plus rectangle as output distribution: Metrologia 45 (2008) 503. Only lower tails
//! are worked out here: whoever wants an upper one mirrors it first, because 1 − F loses it. No NaN comes out
//! where none goes in.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// Below this ratio of half-width to standard uncertainty the mean of Φ over the rectangle is taken by three
/// points of Gauss and Legendre: the closed form would divide a difference of almost equal values.
const NARROW: f64 = 0.003;

/// Beyond this many standard uncertainties a tail is smaller than any number that is printed.
const FAR: f64 = 40.0;

/// Steps of the solver; each at least halves the bracket.
const STEPS_MAX: usize = 200;

/// Φ(z), the probability that a normal error lies below z standard uncertainties; exact in its lower tail.
pub(super) fn normal_below(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

fn normal_density(z: f64) -> f64 {
    libm::exp(-0.5 * z * z) / (2.0 * PI).sqrt()
}

/// ψ(z), the integral of Φ up to z.
fn psi(z: f64) -> f64 {
    if z < -FAR {
        0.0
    } else if z > FAR {
        z
    } else {
        (z * normal_below(z) + normal_density(z)).max(0.0)
    }
}

/// The probability that normal plus rectangle lies below z ≤ 0: `left` = z − h and `right` = z + h are handed in
/// because their caller knows them more exactly than z.
pub(super) fn tail(left: f64, right: f64, h: f64) -> f64 {
    if h < NARROW {
        let (middle, off) = (0.5 * (left + right), h * 0.6_f64.sqrt());
        let sides = normal_below(middle - off) + normal_below(middle + off);
        return (5.0 * sides + 8.0 * normal_below(middle)) / 18.0;
    }
    // the widest right end is h, so the quotient never exceeds a half by more than its rounding
    ((psi(right) - psi(left)) / (2.0 * h)).clamp(0.0, 0.5)
}

/// How many standard uncertainties from the middle a tail of `q` begins, for a tail below a half; `h` finite.
pub(super) fn quantile(q: f64, h: f64) -> f64 {
    // beyond the rectangle and 40 standard uncertainties there is nothing
    let (mut near, mut far) = (0.0, h + FAR);
    let mut at = 2.0 * (1.0 + h * h / 3.0).sqrt();
    for _ in 0..STEPS_MAX {
        if !(at > near && at < far) {
            at = 0.5 * (near + far);
        }
        let (left, right) = (-at - h, h - at);
        let excess = tail(left, right, h) - q;
        if excess > 0.0 {
            near = at;
        } else {
            far = at;
        }
        let next = at + excess / density(left, right, h);
        if (next - at).abs() <= at * f64::EPSILON || far - near <= far * f64::EPSILON {
            return if next.is_finite() { next.clamp(near, far) } else { at };
        }
        at = next;
    }
    0.5 * (near + far)
}

/// Density at the place whose ends are `left` and `right`.
fn density(left: f64, right: f64, h: f64) -> f64 {
    if h < NARROW {
        return normal_density(0.5 * (left + right));
    }
    (normal_below(right) - normal_below(left)) / (2.0 * h)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the normal distribution; 0.0227501319482 as in `decision_rules.csv`.
    #[test]
    fn a_narrow_rectangle_is_no_rectangle() {
        assert!((tail(-2.0, -2.0, 0.0) - 0.022_750_131_948_179).abs() < 1e-14);
        assert!((quantile(0.022_750_131_948_179, 0.0) - 2.0).abs() < 1e-11);
    }

    #[test]
    fn both_ways_of_working_it_out_meet() {
        for z in [0.0, -0.5, -2.0, -6.0] {
            let below = tail(z - 0.002_999_9, z + 0.002_999_9, 0.002_999_9);
            let above = tail(z - 0.003, z + 0.003, 0.003);
            assert!((below / above - 1.0).abs() < 1e-8, "{z}: {below} {above}");
        }
    }

    #[test]
    fn the_solver_finds_its_way_back_everywhere() {
        for h in [0.0, 1e-9, 0.002, 0.003, 0.1, 1.0, 3.0, 17.0, 1e3, 1e6, 1e12, 1e100] {
            for q in [1e-12, 0.001, 0.022_75, 0.025, 0.3, 0.499, 0.5] {
                let at = quantile(q, h);
                assert!(at >= 0.0, "{h} {q}: {at}");
                let back = tail(-at - h, h - at, h);
                assert!((back - q).abs() < 1e-12 || (back / q - 1.0).abs() < 1e-9, "{h} {q}: {at} {back}");
            }
        }
    }
}
