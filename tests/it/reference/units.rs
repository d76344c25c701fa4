//! Units of torque.

use super::file::{decimal, exact, near, rows, unit};
use rust_decimal::Decimal;
use witnessmark::domain::exact::Exact;
use witnessmark::domain::torque::{Torque, Unit};

/// Source: exact definitions (lb = 0.45359237 kg, g = 9.80665 m/s², in = 25.4 mm); NIST SP 811 (2008), Appendix B,
/// to its seven digits.
#[test]
fn unit_factors_are_the_exact_definitions_and_nist_sp_811() {
    let mut seen = 0;
    for row in rows("unit_conversions.csv") {
        let (from, to) = (unit(&row["from_unit"]), unit(&row["to_unit"]));
        let (Some(from), Some(to)) = (from, to) else { continue };
        let factor = from.factor().over(&to.factor()).unwrap();
        let stated = exact(&row["factor_exact"]);
        if to == Unit::NewtonMetre {
            assert_eq!(factor, stated, "{row:?}");
            let nist = Decimal::from_scientific(&row["nist_sp811_factor"]).unwrap();
            assert!(near(&Exact::from(nist), &factor, &Exact::ratio(5, 10_000_000)), "{row:?}");
        } else {
            assert!(near(&stated, &factor, &Exact::ratio(1, 1_000_000_000)), "{row:?}");
        }
        seen += 1;
    }
    assert!(seen > 0);
    // from the definitions, without the file
    let inch = &Exact::ratio(254, 10_000) * &(&exact("0.45359237") * &exact("9.80665"));
    assert_eq!(Unit::PoundInch.factor(), inch);
    assert_eq!(Unit::PoundFoot.factor(), &inch * &Exact::ratio(12, 1));
    assert_eq!(Unit::CentinewtonMetre.factor(), Exact::ratio(1, 100));
}

/// Source: international yard and pound agreement 1959; 3rd CGPM 1901; computed with exact ratios.
#[test]
fn values_convert_to_newton_metres_exactly() {
    let mut seen = 0;
    for row in rows("unit_conversion.csv") {
        let Some(unit) = unit(&row["unit"]) else { continue };
        let torque = Torque::new(decimal(&row["value"]), unit);
        assert_eq!(torque.exact_nm(), exact(&row["nm_exact"]), "{row:?}");
        seen += 1;
    }
    assert!(seen > 0);
}

/// Source: as above; the file gives 15 significant digits.
#[test]
fn newton_metres_convert_to_other_units() {
    let mut seen = 0;
    for row in rows("unit_conversion_reverse.csv") {
        let Some(unit) = unit(&row["unit"]) else { continue };
        let found = Torque::new(decimal(&row["nm"]), Unit::NewtonMetre).exact_in(unit);
        assert!(
            near(&found, &exact(&row["value_in_unit"]), &Exact::ratio(1, 100_000_000_000_000)),
            "{row:?}"
        );
        seen += 1;
    }
    assert!(seen > 0);
}
