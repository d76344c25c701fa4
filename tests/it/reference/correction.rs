//! What a calibration says to set, and what is then applied.

use super::file::{Row, decimal, exact, points, rows, same};
use witnessmark::domain::exact::Exact;
use witnessmark::domain::reckon::line::{
    NotALine, NotCalibratedHere, OffLine, Straight, mark_inside, required,
};

fn status(off: OffLine) -> &'static str {
    match off {
        OffLine::Below => "below_range",
        OffLine::Above => "above_range",
    }
}

/// What lies at the exact setting, and at the mark nearest to it.
fn at_the_setting(row: &Row, line: &Straight, set: &Exact) {
    let part = |parts: i128| Exact::ratio(1, parts);
    let same =
        |found: &Exact, column: &str| assert!(same(found, &row[column]), "{column}: {found:?} in {row:?}");
    let applied = line.applied(set).unwrap();
    let w_percent = line.w_percent_at(set).unwrap();
    let expanded = &(&w_percent * &applied) * &part(100);
    same(set, "set_exact");
    same(&applied, "applied");
    same(&line.deviation_percent_at(set).unwrap(), "a_s_percent");
    same(&w_percent, "W_percent");
    same(&line.w_percent_larger_at(set).unwrap(), "W_max_neighbour_percent");
    same(&expanded, "U");
    same(&(&expanded * &part(2)), "u");
    let mark = mark_inside(set, &line.settings_ends(), decimal(&row["increment"])).unwrap();
    assert_eq!(mark, decimal(&row["set_rounded"]), "{row:?}");
    let mark = Exact::from(mark);
    let applied = line.applied(&mark).unwrap();
    same(&applied, "applied_at_rounded");
    same(&(&(&line.w_percent_at(&mark).unwrap() * &applied) * &part(200)), "u_at_rounded");
}

/// Source: relative error as in ISO 6789-2:2017 (from memory); the straight line between points is this project's own
/// rule. The column `applied_if_error_interpolated` is not computed: it shows another rule, which this program does
/// not have.
#[test]
fn a_calibration_is_followed_forwards_and_backwards() {
    for row in rows("tool_correction.csv") {
        let value = exact(&row["value"]);
        let line = match Straight::through(&points(&row["points"])) {
            Ok(line) => line,
            Err(NotALine::SetNotIncreasing(_) | NotALine::ReferenceNotIncreasing(_)) => {
                assert_eq!(row["status"], "non_monotonic", "{row:?}");
                continue;
            }
            Err(other) => panic!("{other:?} in {row:?}"),
        };
        let set = match row["query"].as_str() {
            "set_for_target" => line.set_for(&value),
            "applied_for_setting" => line.applied(&value).map(|_| value.clone()),
            query => panic!("{query} is no query"),
        };
        match &set {
            Ok(set) => {
                assert_eq!(row["status"], "ok", "{row:?}");
                at_the_setting(&row, &line, set);
            }
            Err(off) => assert_eq!(row["status"], status(*off), "{row:?}"),
        }
        if row["query"] == "set_for_target" {
            let expected = match set {
                Ok(_) => Ok(decimal(&row["set_rounded"])),
                Err(OffLine::Below) => Err(NotCalibratedHere::Below),
                Err(OffLine::Above) => Err(NotCalibratedHere::Above),
            };
            assert_eq!(required(&value, Some(&line), decimal(&row["increment"])), expected, "{row:?}");
        }
    }
}
