//! Class limits of hand torque tools.

use super::file::{decimal, rows};
use witnessmark::domain::reckon::class_limit::{limit_percent, named};
use witnessmark::domain::torque::Torque;

/// Source: ISO 6789-1:2017 clause 5.1.5. Rows whose provenance is `from_memory` are from memory; only type II
/// class A was confirmed in a public text.
#[test]
fn every_class_has_its_limit_by_the_maximum_of_the_tool() {
    for row in rows("iso6789_tool_deviation.csv") {
        let words = format!("Type {} class {}", row["tool_type"], row["tool_class"]);
        let class = named(&words).unwrap_or_else(|| panic!("{words} is not known"));
        assert_eq!(class.readings.to_string(), row["readings_per_point"], "{words}");
        assert_eq!(class.from_memory, row["provenance"] == "from_memory", "{words}");
        for (max, column) in [
            ("10 N.m", "max_dev_max_torque_le_10nm_percent"),
            ("10.0001 N.m", "max_dev_max_torque_gt_10nm_percent"),
        ] {
            let limit = limit_percent(&words, &Torque::read(max).unwrap());
            assert_eq!(limit, Some(decimal(&row[column])), "{words}, {max}");
        }
    }
}
