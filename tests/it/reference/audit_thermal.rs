//! Temperature rises: classes and load correction.

use super::file::{decimal, rows};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;
use witnessmark::domain::audit::thermal::{Class, NotCorrected, Over, at_rated_load, corrected_k};

/// Source: ANSI/NETA ATS and MTS Table 100.18. Between two classes the higher one holds: the project's own choice.
/// Rows `alt_class` are another publication's and are not used.
#[test]
fn rises_fall_into_the_classes_of_table_100_18() {
    let mut seen = 0;
    let step = Decimal::new(1, 2);
    for row in rows("thermal_delta_t.csv") {
        if row["row_kind"] != "class" {
            assert_eq!(row["row_kind"], "alt_class", "{row:?}");
            continue;
        }
        let class = match row["class_id"].as_str() {
            "possible_deficiency" => Class::PossibleDeficiency,
            "probable_deficiency" => Class::ProbableDeficiency,
            "monitor" => Class::Monitor,
            "major_discrepancy" => Class::MajorDiscrepancy,
            other => panic!("{other}"),
        };
        for (basis, over) in [("basis_1", Over::LikeNeighbour), ("basis_2", Over::Ambient)] {
            let (low, high) = (&row[&format!("{basis}_low_k")], &row[&format!("{basis}_high_k")]);
            if let Some(low) = low.strip_prefix('>') {
                assert!(Class::of(decimal(low), over) < class, "{row:?}");
                assert_eq!(Class::of(decimal(low) + step, over), class, "{row:?}");
            } else if !low.is_empty() {
                let (low, high) = (decimal(low), decimal(high));
                assert_eq!(Class::of(low, over), class, "{row:?}");
                assert_eq!(Class::of(high, over), class, "{row:?}");
                assert!(Class::of(high + step, over) > class, "between two classes the higher one: {row:?}");
            }
            seen += 1;
        }
    }
    assert!(seen > 0);
    assert_eq!(Class::of(decimal("15.2"), Over::LikeNeighbour), Class::MajorDiscrepancy);
    assert_eq!(Class::of(decimal("0.99"), Over::Ambient), Class::None);
}

/// Source: infrared training institute tip (exponent 1.6 to 2.0); the numbers were computed, not published. Minimum
/// load 40 %: NETA MTS wording in two secondary sources.
#[test]
fn a_rise_is_corrected_for_load_and_refused_below_forty_per_cent() {
    for row in rows("thermal_load_correction_computed.csv") {
        let d = |key: &str| decimal(&row[key]);
        let (rise, measured, rated) = (d("rise_measured_k"), d("i_measured_a"), d("i_rated_a"));
        for (exponent, key) in [
            ("1.6", "rise_at_rated_n_1_6_k"),
            ("1.8", "rise_at_rated_n_1_8_k"),
            ("2.0", "rise_at_rated_n_2_0_k"),
        ] {
            let exponent = decimal(exponent);
            let f = |number: Decimal| number.to_f64().unwrap();
            let found = corrected_k(f(rise), f(measured), f(rated), f(exponent));
            assert!((found - f(d(key))).abs() < 0.000_051, "{found} {row:?}");
            let judged = at_rated_load(rise, measured, rated, exponent);
            if measured * Decimal::from(100) < rated * Decimal::from(40) {
                assert_eq!(judged, Err(NotCorrected::LoadTooLow), "{row:?}");
            } else {
                assert!((judged.unwrap() - d(key)).abs() <= decimal("0.0051"), "{row:?}");
            }
        }
    }
    let d = decimal;
    assert_eq!(at_rated_load(d("5"), d("8"), d("20"), d("2")), Ok(d("31.25")));
    assert_eq!(at_rated_load(d("5"), d("7.99"), d("20"), d("2")), Err(NotCorrected::LoadTooLow));
    assert_eq!(at_rated_load(d("5"), d("20"), d("20"), d("2.1")), Err(NotCorrected::Exponent));
    assert_eq!(at_rated_load(d("5"), d("0"), d("20"), d("2")), Err(NotCorrected::OutOfReason));
}
