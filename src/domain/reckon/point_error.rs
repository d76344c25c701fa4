//! The error of a tool at one point of its calibration.
//!
//! Source: ISO 6789-2:2017, from memory: `a_s` = (`X_a` − `X_r`)/`X_r`, so the denominator is what was really
//! applied and an error above zero means that the tool applies less than it says. The three terms of W′ are only
//! partly confirmed by public certificates. W′ is for people who do not correct; who corrects uses W.

use crate::domain::exact::Exact;

/// Errors at one point, per cent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PointError {
    /// `a_s` of each reading, in order.
    pub each: Vec<Exact>,
    /// Mean of those: what a certificate states.
    pub mean: Exact,
    /// Mean of the reference torques, in their unit.
    pub mean_reference: Exact,
    /// `a_s` of the mean reference torque; differs from `mean` far below W.
    pub of_mean: Exact,
}

/// Relative error `a_s` of what a tool says against what was applied, per cent; nothing where nothing was applied.
#[must_use]
pub fn relative_error_percent(says: &Exact, reference: &Exact) -> Option<Exact> {
    (&(says - reference) * &Exact::ratio(100, 1)).over(reference)
}

/// The errors of several readings of the reference at one point; nothing without readings or where one is zero.
#[must_use]
pub fn point_error(says: &Exact, references: &[Exact]) -> Option<PointError> {
    let each: Option<Vec<Exact>> =
        references.iter().map(|reference| relative_error_percent(says, reference)).collect();
    let each = each?;
    let mean_reference = mean(references)?;
    let of_mean = relative_error_percent(says, &mean_reference)?;
    Some(PointError { mean: mean(&each)?, each, mean_reference, of_mean })
}

/// Relative measurement uncertainty interval W′ = |mean `a_s`| + |`b_ep`| + W, per cent.
#[must_use]
pub fn interval_percent(mean: &Exact, device_percent: &Exact, w_percent: &Exact) -> Exact {
    &(&mean.magnitude() + &device_percent.magnitude()) + w_percent
}

fn mean(values: &[Exact]) -> Option<Exact> {
    let count = i128::try_from(values.len()).ok().filter(|count| *count > 0)?;
    let sum = values.iter().fold(Exact::zero(), |sum, value| &sum + value);
    sum.over(&Exact::ratio(count, 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: computed from the formula; the standard's own two examples were not seen.
    #[test]
    fn the_denominator_is_what_was_applied() {
        let percent = relative_error_percent(&Exact::ratio(100, 1), &Exact::ratio(104, 1)).unwrap();
        assert_eq!(percent, Exact::ratio(-400, 104));
    }

    #[test]
    fn nothing_applied_has_no_error() {
        assert_eq!(point_error(&Exact::ratio(1, 1), &[]), None);
        assert_eq!(point_error(&Exact::ratio(1, 1), &[Exact::zero()]), None);
    }
}
