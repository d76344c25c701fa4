//! How reckoned numbers are written: no more digits than they carry, and never better than they are.
//!
//! An error is given with two significant digits, rounded up, and its torque to the same place; an acceptance interval
//! is rounded inwards; a probability is never rounded to 0 or 100 %. Our own rule, after JCGM 100:2008 7.2.6.

use super::exact::Exact;
use super::reckon::decision::Band;
use super::torque::Unit;
use rust_decimal::Decimal;

/// Most digits after the point.
const PLACES_MAX: u32 = 6;

/// Digits after the point that an error of two significant digits has.
fn places(w: &Exact) -> u32 {
    w.rounded_up(2).decimal(PLACES_MAX).map_or(3, |w| w.scale())
}

fn written(value: &Exact, places: u32) -> String {
    let Some(mut value) = value.decimal(places) else { return "?".into() };
    value.rescale(places);
    value.to_string()
}

/// A torque with its error: `2.013 +/- 0.052 N.m`; without one, to a thousandth, `2.013 N.m`.
#[must_use]
pub fn with_error(torque: &Exact, w: Option<&Exact>, unit: Unit) -> String {
    match w {
        Some(w) if *w > Exact::zero() => {
            let places = places(w);
            format!("{} +/- {} {unit}", written(torque, places), written(&w.rounded_up(2), places))
        }
        _ => format!("{} {unit}", torque.decimal(3).map_or_else(|| "?".into(), |torque| torque.to_string())),
    }
}

/// An error by itself, with two significant digits, rounded up: `0.024 N.m`.
#[must_use]
pub fn error(error: &Exact, unit: Unit) -> String {
    format!("{} {unit}", written(&error.rounded_up(2), places(error)))
}

/// From one torque to another, to a thousandth: `0.503 to 4.021 N.m`.
#[must_use]
pub fn between(ends: &(Exact, Exact), unit: Unit) -> String {
    let end = |end: &Exact| end.decimal(3).map_or_else(|| "?".into(), |end| end.to_string());
    format!("{} to {} {unit}", end(&ends.0), end(&ends.1))
}

/// A value rounded up (or down) to so many digits after the point.
fn towards(value: &Exact, places: u32, up: bool) -> Option<Decimal> {
    let near = value.decimal(places)?;
    let step = Decimal::new(1, places);
    let exact = Exact::from(near);
    let mut found = match (up, exact < *value, exact > *value) {
        (true, true, _) => near.checked_add(step)?,
        (false, _, true) => near.checked_sub(step)?,
        _ => near,
    };
    found.rescale(places);
    Some(found)
}

/// An acceptance interval, rounded inwards to one digit more than its error carries: `2.129 to 2.371 N.m`.
#[must_use]
pub fn interval(band: &Band, w: &Exact, unit: Unit) -> String {
    let places = places(w).saturating_add(1).min(PLACES_MAX);
    let lower = band.lower.as_ref().and_then(|lower| towards(lower, places, true));
    let upper = band.upper.as_ref().and_then(|upper| towards(upper, places, false));
    match (lower, upper) {
        (Some(lower), Some(upper)) => format!("{lower} to {upper} {unit}"),
        (Some(lower), None) => format!("at least {lower} {unit}"),
        (None, Some(upper)) => format!("at most {upper} {unit}"),
        (None, None) => "not limited".into(),
    }
}

/// A probability, 0 to 1, in per cent: `97.31 %`, `more than 99.99 %`, `less than 0.01 %`.
#[must_use]
pub fn percent(probability: f64) -> String {
    let percent = probability * 100.0;
    if percent > 99.99 {
        "more than 99.99 %".into()
    } else if percent < 0.01 {
        "less than 0.01 %".into()
    } else {
        format!("{percent:.2} %")
    }
}

/// A relative value, to two digits after the point without idle zeros: `2 %`, `2.57 %`.
#[must_use]
pub fn per_cent(value: &Exact) -> String {
    value.decimal(2).map_or_else(|| "?".into(), |value| format!("{value} %"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Exact {
        Exact::read(text).unwrap()
    }

    #[test]
    fn an_error_has_two_digits_and_its_torque_the_same_place() {
        let shown = |torque: &str, w: &str| with_error(&read(torque), Some(&read(w)), Unit::NewtonMetre);
        assert_eq!(shown("2.0134", "0.05123"), "2.013 +/- 0.052 N.m");
        assert_eq!(shown("25", "0.9999"), "25 +/- 1 N.m");
        assert_eq!(shown("2", "0.0999"), "2.0 +/- 0.1 N.m");
        assert_eq!(with_error(&read("2.01345"), None, Unit::PoundInch), "2.013 lbf.in");
    }

    #[test]
    fn an_acceptance_interval_is_rounded_inwards() {
        let band = Band { lower: Some(read("2.12885")), upper: Some(read("2.37119")) };
        assert_eq!(interval(&band, &read("0.1289"), Unit::NewtonMetre), "2.129 to 2.371 N.m");
        let open = Band { lower: None, upper: Some(read("2.37199")) };
        assert_eq!(interval(&open, &read("0.1289"), Unit::NewtonMetre), "at most 2.371 N.m");
    }

    #[test]
    fn nothing_is_certain() {
        assert_eq!(percent(1.0), "more than 99.99 %");
        assert_eq!(percent(0.0), "less than 0.01 %");
        assert_eq!(percent(0.973_14), "97.31 %");
    }
}
