//! Reading the files of `tests/reference/`: every row, as text; numbers as exact decimals.

use rust_decimal::Decimal;
use std::collections::HashMap;
use witnessmark::domain::calibration::CalibrationPoint;
use witnessmark::domain::exact::Exact;
use witnessmark::domain::torque::Unit;

pub(crate) type Row = HashMap<String, String>;

pub(crate) fn rows(file: &str) -> Vec<Row> {
    let path = format!("{}/tests/reference/{file}", env!("CARGO_MANIFEST_DIR"));
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path).unwrap();
    let rows: Vec<Row> = reader.deserialize().map(Result::unwrap).collect();
    assert!(!rows.is_empty(), "{file} has no rows");
    rows
}

pub(crate) fn unit(symbol: &str) -> Option<Unit> {
    Unit::ALL.into_iter().find(|unit| unit.symbol() == symbol)
}

pub(crate) fn decimal(text: &str) -> Decimal {
    Decimal::from_str_exact(text).unwrap()
}

/// Decimal text of any length, with or without an exponent.
pub(crate) fn exact(text: &str) -> Exact {
    Exact::read(text).unwrap_or_else(|| panic!("{text:?} is no decimal"))
}

/// The same, where an empty field means absent.
pub(crate) fn exact_if_any(text: &str) -> Option<Exact> {
    (!text.is_empty()).then(|| exact(text))
}

/// Decimals set apart by semicolons.
pub(crate) fn exact_list(text: &str) -> Vec<Exact> {
    text.split(';').map(exact).collect()
}

/// Calibration points `set:reference` or `set:reference:W`, set apart by semicolons.
pub(crate) fn points(text: &str) -> Vec<CalibrationPoint> {
    text.split(';')
        .map(|point| {
            let mut parts = point.split(':').map(decimal);
            CalibrationPoint {
                set: parts.next().unwrap(),
                reference: parts.next().unwrap(),
                w_percent: parts.next(),
            }
        })
        .collect()
}

/// Whether two values differ by no more than a relative part.
pub(crate) fn near(found: &Exact, expected: &Exact, part: &Exact) -> bool {
    (found - expected).magnitude() <= &expected.magnitude() * part
}

/// Whether a value is the expected one to a relative 1e-9.
pub(crate) fn same(found: &Exact, expected: &str) -> bool {
    near(found, &exact(expected), &exact("1e-9"))
}

/// Whether a value is the expected one to an absolute 1e-12 or a relative 1e-9, whichever is larger.
pub(crate) fn same_or_tiny(found: &Exact, expected: &str) -> bool {
    same(found, expected) || (found - &exact(expected)).magnitude() <= exact("1e-12")
}

/// Whether a value shows the digits that are printed: 12 significant ones, the last of them rounded.
pub(crate) fn same_digits(found: &Exact, expected: &str) -> bool {
    near(found, &exact(expected), &exact("5e-12"))
}

/// A number that is one.
pub(crate) fn number(value: f64) -> Exact {
    Exact::from_f64(value).unwrap_or_else(|| panic!("{value} is no number"))
}

/// Whether a probability is the expected one to a relative 1e-9; below 1e-300 it is written as 0.
pub(crate) fn same_probability(found: f64, expected: &str) -> bool {
    if exact(expected) == Exact::zero() { found.abs() < 1e-300 } else { same(&number(found), expected) }
}
