//! A single value without tolerance, judged by the setting.

use super::file::{decimal, exact, near, rows, unit};
use rust_decimal::Decimal;
use witnessmark::domain::exact::Exact;
use witnessmark::domain::tool::{Tool, ToolKind, ToolRange, Validity};
use witnessmark::domain::torque::{Torque, Unit};

fn tool(unit: Unit, graduation: Decimal, validity: Validity) -> Tool {
    Tool {
        id: "A".into(),
        serial: "1".into(),
        name: "A".into(),
        kind: ToolKind::Setting,
        class: None,
        unit,
        range: ToolRange { min: Decimal::ZERO, max: Decimal::from(1_000_000) },
        graduation: Some(graduation),
        adapter: None,
        interval: None,
        calibrations: Vec::new(),
        operations_before: None,
        operations_recorded: None,
        validity,
        override_reason: None,
    }
}

/// Source: the project's own rule, stated in the head of the file; no published rule for a single torque value
/// without tolerance was found. Rows with calibration points belong to the reckoning and are left to it.
#[test]
fn a_single_value_is_as_set_by_the_scale() {
    let mut seen = 0;
    for row in rows("as_set.csv") {
        if !row["points"].is_empty() {
            continue;
        }
        let unit_of = |key: &str| unit(&row[key]).unwrap();
        let target = Torque::new(decimal(&row["target"]), unit_of("target_unit"));
        let validity = if row["tool_valid"] == "yes" { Validity::Valid } else { Validity::Lapsed };
        let tool = tool(unit_of("tool_unit"), decimal(&row["graduation"]), validity);
        assert_eq!(row["status"], "ok", "without points nothing is out of reach: {row:?}");
        let set_exact = target.exact_in(tool.unit);
        assert!(near(&set_exact, &exact(&row["set_exact"]), &Exact::ratio(1, 1_000_000_000)), "{row:?}");
        let required = tool.required(&target).unwrap();
        assert_eq!((required.value, required.unit), (decimal(&row["set_required"]), tool.unit), "{row:?}");
        let read = Torque::new(decimal(&row["scale_read_back"]), tool.unit);
        let decided = match (tool.proves(), tool.agrees(&read, &required)) {
            (false, _) => ("not_as_set", "tool"),
            (true, false) => ("not_as_set", "scale"),
            (true, true) => ("as_set", ""),
        };
        assert_eq!(decided, (row["decision"].as_str(), row["reason"].as_str()), "{row:?}");
        seen += 1;
    }
    assert!(seen > 0);
}
