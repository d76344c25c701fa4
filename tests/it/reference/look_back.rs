//! Readings judged anew when their tool is found out.

use super::decisions::word;
use super::file::{decimal, exact, same, same_probability};
use rust_decimal::Decimal;
use serde_json::Value;
use witnessmark::domain::calibration::CalibrationPoint;
use witnessmark::domain::exact::Exact;
use witnessmark::domain::reckon::conformance::probability;
use witnessmark::domain::reckon::decision::Band;
use witnessmark::domain::reckon::line::Straight;
use witnessmark::domain::reckon::look_back::{AsFound, Fate, needs_recheck};
use witnessmark::domain::verdict::{DecisionRule, Verdict};

const RULE: DecisionRule = DecisionRule::GuardedFourWords;

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_else(|| panic!("{value} is no text"))
}

fn line(points: &Value) -> Straight {
    let point = |point: &Value| CalibrationPoint {
        set: decimal(text(&point["set"])),
        reference: decimal(text(&point["mean_ref"])),
        w_percent: Some(decimal(text(&point["W_percent"]))),
    };
    let points: Vec<CalibrationPoint> = points.as_array().unwrap().iter().map(point).collect();
    Straight::through(&points).unwrap()
}

/// One reading by one set of points; its verdict where it lies between them.
fn judged(points: &Straight, reading: &Exact, limits: &Band, expected: &Value) -> Option<Verdict> {
    let Ok(found) = AsFound::at(points, None, reading, Decimal::ZERO) else {
        assert_eq!(text(&expected["status"]), "out_of_range", "{expected}");
        assert_eq!(text(&expected["four_state"]), "undetermined", "{expected}");
        return None;
    };
    assert_eq!(text(&expected["status"]), "ok", "{expected}");
    assert!(same(&found.applied, text(&expected["applied"])), "{found:?}: {expected}");
    let shape = found.shape.as_ref().unwrap();
    assert!(same(shape.normal(), text(&expected["u"])), "{found:?}: {expected}");
    assert_eq!(shape.rectangle(), &Exact::zero(), "no drift is added");
    let (lower, upper) = (limits.lower.as_ref(), limits.upper.as_ref());
    let pc = probability(lower, upper, &found.applied, shape).pc;
    assert!(same_probability(pc, text(&expected["pc"])), "{pc}: {expected}");
    let simple = found.verdict(DecisionRule::SimpleAcceptance, limits);
    assert_eq!(word(simple), text(&expected["simple"]), "{expected}");
    let four = found.verdict(RULE, limits);
    assert_eq!(word(four), text(&expected["four_state"]), "{expected}");
    Some(four)
}

/// Source: method of `tool_correction.csv` and `guard_band_decisions.csv`, this project's own rule; that earlier results
/// are assessed after such a find is asked by ISO/IEC 17025:2017, 7.10 and ISO 9001:2015, 7.1.5.2 (as the file says).
#[test]
fn readings_are_judged_anew_with_the_points_as_found() {
    let path = format!("{}/tests/reference/reverse_impact.json", env!("CARGO_MANIFEST_DIR"));
    let file: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let cases = file["cases"].as_array().unwrap();
    assert!(!cases.is_empty());
    for case in cases {
        let limit = |which: &str| case[which].as_str().map(exact);
        let limits = Band { lower: limit("lower"), upper: limit("upper") };
        let (before, found) = (line(&case["original_points"]), line(&case["as_found_points"]));
        let (mut changed, mut again) = (0_u64, 0_u64);
        let readings = case["readings"].as_array().unwrap();
        for row in readings {
            let reading = exact(text(&row["reading"]));
            let was = judged(&before, &reading, &limits, &row["original"]);
            let now = judged(&found, &reading, &limits, &row["as_found"]);
            assert_eq!(was != now, row["decision_changed"], "{row}");
            assert_eq!(needs_recheck(now), row["needs_recheck"], "{row}");
            let passed = was == Some(Verdict::Pass);
            let no_more = passed && row["needs_recheck"] == true;
            assert_eq!(Fate::of(passed, now) == Fate::WasPassNowNot, no_more, "{row}");
            changed += u64::from(was != now);
            again += u64::from(needs_recheck(now));
        }
        let summary = &case["summary"];
        assert_eq!(summary["readings"], readings.len(), "{}", case["id"]);
        assert_eq!((&summary["changed"], &summary["needs_recheck"]), (&changed.into(), &again.into()));
        // the largest relative error at the points as found, per cent of what is applied (ISO 6789-2:2017, from memory)
        let points = case["as_found_points"].as_array().unwrap().iter();
        let errors =
            points.map(|point| found.deviation_percent_at(&exact(text(&point["set"]))).unwrap().magnitude());
        let largest = errors.max().unwrap();
        assert!(same(&largest, text(&case["max_abs_a_s_as_found_percent"])), "{}", case["id"]);
    }
}
