//! Reading the files of `tests/reference/`: every row, as text; numbers as exact decimals.

use rust_decimal::Decimal;
use std::collections::HashMap;
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

/// A ratio of two decimal texts of any length.
pub(crate) fn exact(text: &str) -> Exact {
    Exact::from(decimal(text))
}

/// Whether two values differ by no more than a relative part.
pub(crate) fn near(found: &Exact, expected: &Exact, part: &Exact) -> bool {
    (found - expected).magnitude() <= &expected.magnitude() * part
}
