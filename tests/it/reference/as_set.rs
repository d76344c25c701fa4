//! A single value without tolerance, judged by the setting.

use super::file::{decimal, exact, near, points, rows, same, unit};
use rust_decimal::Decimal;
use witnessmark::domain::exact::Exact;
use witnessmark::domain::reckon::line::{Straight, required};
use witnessmark::domain::tool::{Tool, ToolKind, ToolRange, Validity, within_half};
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
/// without tolerance was found. Rows with calibration points are judged in
/// the test below; here the tool itself is asked.
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

/// Source: the project's own rule, as above; unit factors are exact by definition. Every row, with points or without.
#[test]
fn every_single_value_is_set_along_the_line_and_read_back() {
    for row in rows("as_set.csv") {
        let unit_of = |key: &str| unit(&row[key]).unwrap();
        let target =
            Torque::new(decimal(&row["target"]), unit_of("target_unit")).exact_in(unit_of("tool_unit"));
        let graduation = decimal(&row["graduation"]);
        let line = (!row["points"].is_empty()).then(|| Straight::through(&points(&row["points"])).unwrap());
        match line.as_ref().map(|line| line.set_for(&target)) {
            None => assert!(same(&target, &row["set_exact"]), "{row:?}"),
            Some(Ok(set)) => assert!(same(&set, &row["set_exact"]), "{row:?}"),
            Some(Err(_)) => assert_eq!(row["set_exact"], "", "{row:?}"),
        }
        let required = required(&target, line.as_ref(), graduation);
        match &required {
            Ok(mark) => assert_eq!(*mark, decimal(&row["set_required"]), "{row:?}"),
            Err(_) => assert_eq!(row["set_required"], "", "{row:?}"),
        }
        let status = if required.is_ok() { "ok" } else { "not_calibrated_here" };
        assert_eq!(status, row["status"], "{row:?}");
        let read = exact(&row["scale_read_back"]);
        let agrees = |mark: Decimal| within_half(Some(graduation), &read, &Exact::from(mark));
        let decided = match required {
            _ if row["tool_valid"] != "yes" => ("not_as_set", "tool"),
            Err(_) => ("not_as_set", "not_calibrated_here"),
            Ok(mark) if agrees(mark) => ("as_set", ""),
            Ok(_) => ("not_as_set", "scale"),
        };
        assert_eq!(decided, (row["decision"].as_str(), row["reason"].as_str()), "{row:?}");
    }
}
