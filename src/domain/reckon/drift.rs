//! What a tool's own calibrations say of its drift. Our own rule: no published one was found.
//!
//! Deliberately absent: the value to use as long as the history is too short (half the class limit, our choice),
//! which belongs to whoever knows the class.

use crate::domain::calibration::{Calibration, CalibrationPoint};
use crate::domain::exact::Exact;

/// Intervals between calibrations that must be known before they are believed.
const INTERVALS_MIN: usize = 2;

/// The largest change, per cent of what was applied before, from the points as left at one calibration to the
/// points as found at the next, at equal settings. A calibration without points as left left the tool as it was
/// found; one without points as found says nothing about the time before it. Nothing until at least two
/// intervals are known. Oldest first.
#[must_use]
pub fn drift_percent(calibrations: &[Calibration]) -> Option<Exact> {
    let changes: Vec<Exact> = calibrations
        .iter()
        .zip(calibrations.iter().skip(1))
        .filter_map(|(before, after)| largest_change(before.points(), &after.as_found))
        .collect();
    if changes.len() < INTERVALS_MIN {
        return None;
    }
    changes.into_iter().max()
}

fn largest_change(left: &[CalibrationPoint], found: &[CalibrationPoint]) -> Option<Exact> {
    left.iter()
        .flat_map(|before| found.iter().map(move |after| (before, after)))
        .filter(|(before, after)| before.set == after.set)
        .filter_map(|(before, after)| {
            let (before, after) = (Exact::from(before.reference), Exact::from(after.reference));
            (&(&after - &before) * &Exact::ratio(100, 1)).over(&before)
        })
        .map(|change| change.magnitude())
        .max()
}

#[cfg(test)]
mod tests {
    use super::*;
    use rust_decimal::Decimal;

    fn points(points: &[(i64, i64)]) -> Vec<CalibrationPoint> {
        points
            .iter()
            .map(|(set, reference)| CalibrationPoint {
                set: Decimal::from(*set),
                reference: Decimal::from(*reference),
                w_percent: None,
            })
            .collect()
    }

    fn calibration(as_found: &[(i64, i64)], as_left: &[(i64, i64)]) -> Calibration {
        Calibration {
            date: "2026-03-02".into(),
            first_use: None,
            certificate: None,
            laboratory: None,
            as_found: points(as_found),
            as_left: points(as_left),
        }
    }

    #[test]
    fn one_interval_is_not_enough() {
        let (first, second) = (calibration(&[], &[(10, 100)]), calibration(&[(10, 102)], &[(10, 100)]));
        assert_eq!(drift_percent(&[first.clone(), second.clone()]), None);
        let third = calibration(&[(10, 97), (20, 300)], &[]);
        let three = [first.clone(), second.clone(), third.clone()];
        assert_eq!(drift_percent(&three), Some(Exact::ratio(3, 1)), "the larger of 2 and 3 per cent");
        let fourth = calibration(&[(10, 97)], &[]);
        let four = [first, second, third, fourth];
        assert_eq!(drift_percent(&four), Some(Exact::ratio(3, 1)), "the third left the tool as it was found");
    }

    #[test]
    fn what_was_not_found_or_set_otherwise_says_nothing() {
        let first = calibration(&[], &[(10, 100)]);
        let adjusted_first = calibration(&[], &[(10, 150)]);
        let elsewhere = calibration(&[(11, 150)], &[]);
        assert_eq!(drift_percent(&[first.clone(), adjusted_first, elsewhere, first]), None);
        assert_eq!(drift_percent(&[]), None);
    }
}
