//! Adapters in line, against published worked examples.

use super::file::{decimal, exact, number, rows};
use rust_decimal::Decimal;
use witnessmark::domain::reckon::adapter::Adapter;

/// Source: the document named in each row (government manuals, aircraft maintenance manuals, a wrench manual, a
/// supplier's page). The program knows adapters in line only; a row at an angle is computed with E·cos(angle),
/// after US Army TM 9-254.
#[test]
fn published_adapter_examples_come_out_as_printed() {
    for row in rows("adapter_worked_examples.csv") {
        let mut extension = decimal(&row["adapter_length"]);
        if exact(&row["angle_deg"]) != exact("0") {
            let along = number(exact(&row["angle_deg"]).to_f64().to_radians().cos()).decimal(15).unwrap();
            extension = extension.checked_mul(along).unwrap();
        }
        let adapter = Adapter::new(decimal(&row["wrench_length"]), extension).unwrap();
        let target = exact(&row["t_target"]);
        let set = adapter.at_the_wrench(&target);
        for column in ["t_set_published", "t_set_computed"] {
            let printed: Decimal = decimal(&row[column]);
            assert_eq!(set.decimal(printed.scale()), Some(printed.normalize()), "{column} of {row:?}");
        }
        assert_eq!(adapter.at_the_screw(&set), target, "{row:?}");
    }
}
