//! `setting`: what to set on a tool, what is really applied then, how surely, and what is said where there is no answer.

use crate::program::{Input, run};
use crate::reference::file::{Row, decimal, exact, points, rows, same, unit};
use crate::rig::snap;
use jiff::civil::Date;
use rust_decimal::Decimal;
use witnessmark::cli::setting::{answer, target};
use witnessmark::domain::calibration::Calibration;
use witnessmark::domain::exact::Exact;
use witnessmark::domain::names::ToolId;
use witnessmark::domain::reckon::line::Straight;
use witnessmark::domain::setting::{Reach, Setting};
use witnessmark::domain::text::columns;
use witnessmark::domain::tool::{NoSetting, Tool, ToolKind, ToolRange, Validity};
use witnessmark::domain::toolbox::{Doubt, Toolbox};
use witnessmark::domain::torque::{Torque, Unit};
use witnessmark::office::Used;
use witnessmark::tools_file;

const TOOLS: &str = "boards/tools.ron";

fn demo() -> Toolbox {
    tools_file::read(tools_file::example().as_bytes(), None).unwrap().toolbox
}

fn day(text: &str) -> Date {
    text.parse().unwrap()
}

fn said(toolbox: &Toolbox, tool: Option<&str>, value: &str, on: &str) -> String {
    let text = answer(toolbox, tool, &target(value).unwrap(), &Used::default(), day(on)).unwrap();
    for line in text.lines() {
        assert!(columns(line) <= 80, "{line}");
    }
    text
}

fn of(toolbox: &Toolbox, tool: &str, value: &str) -> Setting {
    let tool = toolbox.named(tool).unwrap().in_visit(ToolId::from("A"), Validity::Valid);
    Setting::of(&tool, &Torque::read(value).unwrap()).unwrap()
}

fn ratio(text: &str) -> Exact {
    let mut parts = text.split('/').map(exact);
    let first = parts.next().unwrap();
    parts.fold(first, |quotient, by| quotient.over(&by).unwrap())
}

/// Worked by hand from the points of the demo tools file. Source: the straight line between points and the mark nearest
/// to it are this project's own rule (`tool_correction.csv`, `as_set.csv`); u = W/200 of what is applied, and half the
/// class limit of 6 % (ISO 6789-1, II D up to 10 N.m) as drift, our choice.
#[test]
fn a_driver_is_corrected_by_its_points() {
    let setting = of(&demo(), "driver A", "2.5 N.m");
    // 2.40 + (2.5 - 2.408)/(4.021 - 2.408) x 1.60 = 2.4913: nearest mark 2.50
    assert_eq!(setting.required.to_string(), "2.50 N.m");
    // 2.408 + (2.50 - 2.40)/1.60 x 1.613 = 2.5088125
    assert_eq!(setting.applied.torque, exact("2.5088125"));
    let shape = setting.applied.shape.as_ref().unwrap();
    // W = 1.9 + (0.10/1.60)(1.8 - 1.9) = 1.89375 %
    assert_eq!(*shape.normal(), &(&exact("2.5088125") * &exact("1.89375")) * &ratio("1/200"));
    assert_eq!(*shape.rectangle(), &exact("2.5088125") * &exact("0.03"));
}

/// Adapter: set = target x L/(L+E), US Army TM 1-1500-204-23-9 chapter 8; the unit's factor is exact by definition.
#[test]
fn a_wrench_with_an_adapter_is_set_lower_than_the_screw_gets() {
    let toolbox = demo();
    let setting = of(&toolbox, "wrench B", "10 lbf.ft");
    // 13.5581795 N.m x 245/277.5 = 11.9703; 5 + (11.9703 - 4.95)/(15.08 - 4.95) x 10 = 11.930: nearest mark 12.0
    assert_eq!(setting.required.to_string(), "12.0 N.m");
    // 4.95 + (12 - 5)/10 x 10.13 = 12.041 at the wrench; x 277.5/245 at the screw
    assert_eq!(setting.applied.torque, &exact("12.041") * &ratio("277.5/245"));
    let tool = toolbox.named("wrench B").unwrap().in_visit(ToolId::from("A"), Validity::Valid);
    let reach = Reach::of(&tool);
    assert_eq!(reach.range.0, &exact("5") * &ratio("277.5/245"));
    assert_eq!(reach.applied.unwrap().1, &exact("25.21") * &ratio("277.5/245"));
}

/// A dial and a fixed key: 2.5 N.m = 22.12686 lbf.in, 10 + (22.12686 - 10.1)/(30.2 - 10.1) x 20 = 21.967: mark 22.0. The
/// key's declaration has no W, so its class limit of 6 % (II E up to 10 N.m) is one rectangle of 2.03 N.m.
#[test]
fn a_dial_is_turned_to_a_mark_and_a_fixed_key_has_its_class_limit() {
    let toolbox = demo();
    assert_eq!(of(&toolbox, "dial D", "2.5 N.m").required.to_string(), "22.0 lbf.in");
    let key = of(&toolbox, "key C", "2 N.m");
    assert_eq!(key.required.to_string(), "2.00 N.m");
    let shape = key.applied.shape.unwrap();
    assert_eq!((shape.normal(), shape.rectangle()), (&exact("0"), &(&exact("2.03") * &exact("0.06"))));
}

fn made(row: &Row, unit: Unit, graduation: Decimal) -> Tool {
    let stated = &row["points"];
    let calibration = Calibration {
        date: "2023-03-02".into(),
        first_use: None,
        certificate: Some("K-1".into()),
        laboratory: None,
        as_found: if stated.is_empty() { Vec::new() } else { points(stated) },
        as_left: Vec::new(),
    };
    Tool {
        id: "A".into(),
        serial: "1".into(),
        name: "A".into(),
        kind: if row.get("tool_type").is_some_and(|kind| kind == "indicating") {
            ToolKind::Indicating
        } else {
            ToolKind::Setting
        },
        class: None,
        unit,
        range: ToolRange { min: Decimal::ZERO, max: Decimal::from(1_000_000) },
        graduation: Some(graduation),
        adapter: None,
        interval: None,
        calibrations: vec![calibration],
        operations_before: None,
        operations_recorded: None,
        validity: Validity::Valid,
        override_reason: None,
    }
}

/// Source: as the head of `tool_correction.csv` says; rows whose points make no line are refused by the tools file.
#[test]
fn rows_of_the_tool_correction_come_out_of_the_command() {
    for row in rows("tool_correction.csv") {
        let line = Straight::through(&points(&row["points"]));
        if row["query"] != "set_for_target" || line.is_err() {
            continue;
        }
        let tool = made(&row, Unit::NewtonMetre, decimal(&row["increment"]));
        let found = Setting::of(&tool, &Torque::new(decimal(&row["value"]), Unit::NewtonMetre));
        if row["status"] != "ok" {
            assert_eq!(found, Err(NoSetting::NotCalibratedHere), "{row:?}");
            continue;
        }
        let found = found.unwrap();
        assert_eq!(found.required.value, decimal(&row["set_rounded"]), "{row:?}");
        assert!(same(&found.applied.torque, &row["applied_at_rounded"]), "{row:?}");
        assert!(same(found.applied.shape.unwrap().normal(), &row["u_at_rounded"]), "{row:?}");
    }
}

/// Source: as the head of `as_set.csv` says, our own rule.
#[test]
fn rows_of_as_set_come_out_of_the_command() {
    for row in rows("as_set.csv") {
        let tool = made(&row, unit(&row["tool_unit"]).unwrap(), decimal(&row["graduation"]));
        let target = Torque::new(decimal(&row["target"]), unit(&row["target_unit"]).unwrap());
        let found = Setting::of(&tool, &target).map(|setting| setting.required.value);
        if row["status"] == "ok" {
            assert_eq!(found, Ok(decimal(&row["set_required"])), "{row:?}");
        } else {
            assert_eq!(found, Err(NoSetting::NotCalibratedHere), "{row:?}");
        }
    }
}

#[test]
fn every_kind_of_tool_is_answered_for() {
    let toolbox = demo();
    let on = "2023-11-20";
    let all = [
        said(&toolbox, Some("driver A"), "2.5 N.m", on),
        said(&toolbox, Some("WRENCH b"), "10 lbf.ft", on),
        said(&toolbox, Some("key C"), "2 N·m", on),
        said(&toolbox, Some("il-d1305"), "250 cNm", on),
        said(&toolbox, None, "2,0 N.m", on),
    ];
    snap().bind(|| insta::assert_snapshot!("setting_tools", all.join("\n")));
}

/// Twelve months from first use on 2023-04-09, or 5000 operations of which 310 are stated (ISO 6789-1).
#[test]
fn the_answer_says_whether_the_tool_may_be_used() {
    let of = |text: &str, label: &str| {
        let lines: Vec<&str> = text.lines().skip_while(|line| !line.starts_with(label)).collect();
        lines.join("\n")
    };
    let toolbox = demo();
    let mut all = Vec::new();
    for on in ["2024-03-20", "2024-04-09", "2024-04-10"] {
        all.push(of(&said(&toolbox, Some("driver A"), "2.5 N.m", on), "On the day"));
    }
    let mut changed = demo();
    changed.tools[0].operations = Some(5000);
    all.push(of(&said(&changed, Some("driver A"), "2.5 N.m", "2023-11-20"), "On the day"));
    changed.tools[0].doubts.push(Doubt {
        day: day("2023-11-02"),
        by: "Bram Vale".into(),
        what: "fell into the inspection pit".into(),
        released: None,
    });
    all.push(of(&said(&changed, Some("driver A"), "2.5 N.m", "2023-11-20"), "On the day"));
    changed.tools[0].calibrations.clear();
    changed.tools[0].class = None;
    changed.tools[0].doubts.clear();
    all.push(said(&changed, Some("driver A"), "2.5 N.m", "2023-11-20"));
    snap().bind(|| insta::assert_snapshot!("setting_standing", all.join("\n\n")));
}

#[test]
fn the_command_says_what_the_function_says() {
    let home = tempfile::tempdir().unwrap();
    for value in [&["2.5 N.m"][..], &["2.5", "N.m"]] {
        let on = ["--on", "2023-11-20"];
        let arguments = [&["setting", "--tools", TOOLS, "--tool", "driver A"][..], value, &on].concat();
        let out = run(&arguments, home.path(), Input::Bytes(Vec::new())).expect(0).out;
        assert_eq!(out, said(&demo(), Some("driver A"), "2.5 N.m", "2023-11-20"));
        // without a day it is today, long after the calibration
        let arguments = [&["setting", "--tools", TOOLS, "--tool", "driver A"][..], value].concat();
        let today = run(&arguments, home.path(), Input::Bytes(Vec::new())).expect(0).out;
        assert!(today.contains("lapsed since 2024-04-09"), "{today}");
    }
}

#[test]
fn what_cannot_be_answered_says_why_and_what_to_do() {
    let home = tempfile::tempdir().unwrap();
    let mut all = String::new();
    for arguments in [
        &["2.5"][..],
        &["-2", "N.m"],
        &["0 N.m"],
        &["2.5 kgf.m"],
        &["N.m"],
        &["2.12345678 N.m"],
        &["2 N.m", "--tool", "drivr A"],
        &["2 N.m", "--tool", "il-29951"],
        &["0.4 N.m", "--tool", "driver A"],
        &["0.5 N.m", "--tool", "driver A"],
        &["28.4 N.m", "--tool", "wrench B"],
        &["5 lbf.in", "--tool", "dial D"],
        &["2.5 N.m", "--tool", "key C"],
        &["300 N.m"],
        &["2.5 N.m", "--on", "next week"],
        &["2.5 N.m", "--on", "2023-02-29"],
    ] {
        let whole = [&["setting", "--tools", TOOLS][..], arguments].concat();
        let said = run(&whole, home.path(), Input::Bytes(Vec::new())).expect(2);
        assert_eq!(said.out, "", "{arguments:?}");
        all.push_str(&["setting ", &arguments.join(" "), "\n", &said.err, "\n"].concat());
    }
    let none = home.path().join("none.ron");
    let arguments = ["setting", "2.5 N.m", "--tools", none.to_str().unwrap()];
    let said = run(&arguments, home.path(), Input::Bytes(Vec::new())).expect(2);
    all.push_str(&said.err.replace(&home.path().display().to_string(), "[folder]"));
    snap().bind(|| insta::assert_snapshot!("setting_errors", all));
}
