//! Tools files: wrong ones and their whole messages, what is written and read again, limits.
//!
//! Every file in `tests/bad_tools/` has its message as the snapshot `tools_bad_<name>`, every file in
//! `tests/warned_tools/` (which loads) has its warnings as `tools_warned_<name>`. What must be found is the issue's
//! list (points increasing in both columns, W present or stated as absent, as found and as left apart, dates in order)
//! and the project's own.

use crate::rig::snap;
use jiff::civil::{Date, date};
use proptest::prelude::*;
use rust_decimal::Decimal;
use witnessmark::domain::calibration::{Calibration, CalibrationPoint, Interval};
use witnessmark::domain::reckon::line::Straight;
use witnessmark::domain::text::columns;
use witnessmark::domain::tool::{Adapter, ToolKind, ToolRange};
use witnessmark::domain::toolbox::{
    CALIBRATIONS_MAX, Doubt, KnownTool, LookBack, LookBackVerdict, POINTS_MAX, Release, Retired, TOOLS_MAX,
    Toolbox,
};
use witnessmark::domain::torque::Unit;
use witnessmark::tools_file::{self, BYTES_MAX, FORMAT, HEAD, is_one, read, render, render_warnings, write};

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/bad_tools");
const WARNED: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/warned_tools");
const TODAY: Date = date(2023, 11, 25);

/// Names of the files in a folder, without their ending.
fn names(folder: &str) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .map(|name| name.strip_suffix(".ron").unwrap_or_else(|| panic!("{name} is no tools file")).to_owned())
        .collect();
    names.sort();
    names
}

fn message(name: &str) -> String {
    let bytes = std::fs::read(format!("{FOLDER}/{name}.ron")).unwrap();
    let problems = read(&bytes, Some(TODAY)).expect_err(name);
    assert!(problems.windows(2).all(|two| two[0].span.start <= two[1].span.start), "{name}");
    render(&problems, &format!("{name}.ron"), std::str::from_utf8(&bytes).unwrap())
}

#[test]
fn every_bad_tools_file_has_its_message() {
    assert!(names(FOLDER).len() >= 18);
    for name in names(FOLDER) {
        let message = message(&name);
        assert!(message.contains("error: ") && message.contains("help: "), "{name}");
        assert!(message.lines().all(|line| columns(line) < 600), "{name}");
        snap().bind(|| insta::assert_snapshot!(format!("tools_bad_{name}"), message));
    }
}

#[test]
fn every_warned_tools_file_loads_and_has_its_warnings() {
    assert!(names(WARNED).len() >= 5);
    for name in names(WARNED) {
        let source = std::fs::read_to_string(format!("{WARNED}/{name}.ron")).unwrap();
        let read = read(source.as_bytes(), Some(TODAY)).unwrap_or_else(|why| panic!("{name}: {why:?}"));
        assert!(!read.warnings.is_empty(), "{name} is warned of nothing");
        let message = render_warnings(&read.warnings, &format!("{name}.ron"), &source);
        assert!(!message.contains("error"), "{name}");
        snap().bind(|| insta::assert_snapshot!(format!("tools_warned_{name}"), message));
    }
}

#[test]
fn every_bad_or_warned_tools_file_has_a_snapshot_and_every_snapshot_a_file() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/snapshots");
    for (files, prefix) in [(FOLDER, "tools_bad_"), (WARNED, "tools_warned_")] {
        let mut kept: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .filter_map(|name| Some(name.strip_prefix(prefix)?.strip_suffix(".snap")?.to_owned()))
            .collect();
        kept.sort();
        assert_eq!(kept, names(files));
    }
}

fn problems_of(source: &str) -> Vec<(String, String)> {
    let problems = read(source.as_bytes(), Some(TODAY)).expect_err("it must be refused");
    problems
        .into_iter()
        .map(|problem| (source.get(problem.span).unwrap_or("").to_owned(), problem.reason))
        .collect()
}

#[test]
fn the_demo_file_shows_every_kind_of_tool_and_has_no_warning_for_tools_in_use() {
    let source = tools_file::example();
    let read = read(source.as_bytes(), Some(TODAY)).unwrap();
    assert_eq!(read.warnings, Vec::new());
    let tools = &read.toolbox.tools;
    let kinds: Vec<_> = tools.iter().map(|tool| tool.kind).collect();
    for kind in [ToolKind::Setting, ToolKind::Fixed, ToolKind::Indicating] {
        assert!(kinds.contains(&kind), "{kind:?}");
    }
    assert!(tools.iter().any(|tool| tool.adapter.is_some()));
    assert!(tools.iter().any(|tool| tool.interval.is_some()));
    assert!(tools.iter().any(|tool| tool.retired.is_some()));
    assert!(tools.iter().any(|tool| !tool.looks_back.is_empty()));
    let dial = read.toolbox.named("DIAL D").unwrap();
    assert!(dial.doubts.len() == 1 && dial.doubted().is_none(), "released");
    assert_eq!(dial.range.max.to_string(), "50.0", "digits are kept");
    assert_eq!(read.toolbox.named("driver A").unwrap().serial, "IL-40417", "not the retired one");
    assert!(is_one(source.as_bytes()) && !is_one(witnessmark::board_file::example().as_bytes()));
}

#[test]
fn a_newer_format_says_newer_and_nothing_else() {
    let newer = format!("// a later program\nTools(format: {}, colours: [1, 2])", FORMAT + 1);
    let problems = problems_of(&newer);
    assert_eq!(problems.len(), 1, "{problems:?}");
    assert!(problems[0].1.contains("newer"), "{problems:?}");
}

#[test]
fn one_tool_that_cannot_be_read_hides_nothing_of_another() {
    let good = tools_file::example();
    let source = good.replacen("kind: Fixed,", "kind: Fixt,", 1).replacen("w: \"2.4 %\"", "w: \"-2.4 %\"", 1);
    let found: Vec<String> = problems_of(&source).into_iter().map(|(at, _)| at).collect();
    assert_eq!(found, ["Fixt", "\"-2.4 %\""]);
}

#[test]
fn what_a_windows_editor_leaves_is_read_alike() {
    let unix = tools_file::example();
    let windows = format!("\u{feff}{}", unix.replace('\n', "\r\n"));
    let (unix, windows) = (read(unix.as_bytes(), None).unwrap(), read(windows.as_bytes(), None).unwrap());
    assert_eq!(windows, unix);
}

#[test]
fn the_comments_on_top_are_kept_and_others_are_not() {
    let read_once = read(tools_file::example().as_bytes(), None).unwrap();
    assert!(read_once.head.starts_with("// The torque tools of the Fennick Vale Light Railway"));
    let text = write(&read_once.toolbox, &read_once.head);
    assert!(text.starts_with(&read_once.head) && !text.contains("its class alone"), "{text}");
    let again = read(text.as_bytes(), None).unwrap();
    assert_eq!((&again.head, &again.toolbox), (&read_once.head, &read_once.toolbox));
    assert_eq!(write(&again.toolbox, &again.head), text, "the same text for the same tools");
    // what is no comment cannot come in by the head
    assert!(write(&Toolbox::default(), "Tools(").starts_with("Tools(\n"));
    assert!(read(write(&Toolbox::default(), HEAD).as_bytes(), None).unwrap().toolbox.tools.is_empty());
    snap().bind(|| insta::assert_snapshot!("tools_written", text));
}

#[test]
fn limits_are_told_where_they_are_passed() {
    let tool = |number: usize, inside: &str| {
        format!(
            "Tool(name: \"t{number}\", serial: \"s{number}\", kind: Fixed, unit: \"N.m\", value: \"2 N.m\", {inside}),"
        )
    };
    let file = |tools: String| format!("Tools(format: 1, tools: [{tools}])");
    let many: Vec<String> = (0..=TOOLS_MAX).map(|number| tool(number, "")).collect();
    assert!(problems_of(&file(many.concat()))[0].1.contains("201 tools stand here; at most 200"));
    let calibrations = "Calibration(date: \"2020-01-01\", certificate: \"c\"), ".repeat(CALIBRATIONS_MAX + 1);
    let told = problems_of(&file(tool(1, &format!("calibrations: [{calibrations}]"))));
    assert!(told[0].0 == "calibrations" && told[0].1.contains("61 calibrations"), "{told:?}");
    let point = |n: usize| format!("Point(set: \"{n} N.m\", reference: \"{n} N.m\", w: NotStated), ");
    let points: Vec<String> = (1..=POINTS_MAX + 1).map(point).collect();
    let points = points.concat();
    let told = problems_of(&file(tool(
        1,
        &format!("calibrations: [Calibration(date: \"2020-01-01\", as_found: [{points}])]"),
    )));
    assert!(told[0].0 == "as_found" && told[0].1.contains("21 points"), "{told:?}");
    let large = vec![b' '; usize::try_from(BYTES_MAX).unwrap() + 1];
    let told = read(&large, None).expect_err("too large");
    assert!(told[0].reason.contains("a tools file has at most 4194304"), "{told:?}");
    let told = problems_of(&file(tool(1, "operations: 1000001,")));
    assert!(told[0].1.contains("at most 1000000"), "{told:?}");
}

#[test]
fn a_full_file_is_read_and_within_its_limit() {
    let shed = read(tools_file::example().as_bytes(), None).unwrap().toolbox;
    let mut full = Toolbox::default();
    for number in 0..TOOLS_MAX {
        let mut tool = shed.tools[0].clone();
        (tool.name, tool.serial) = (format!("tool {number}"), format!("IL-{number}"));
        let calibration = Calibration { first_use: None, ..tool.calibrations[1].clone() };
        tool.calibrations[1].first_use = None;
        tool.calibrations.extend(std::iter::repeat_n(calibration, 8));
        full.tools.push(tool);
    }
    let text = write(&full, HEAD);
    assert!(u64::try_from(text.len()).unwrap() <= BYTES_MAX, "{}", text.len());
    assert!(read(text.as_bytes(), None).is_ok_and(|read| read.toolbox == full));
}

/// A decimal as a person writes it: at most so many thousandths, its last zeros kept.
fn thousandths(least: u32, most: u32) -> impl Strategy<Value = Decimal> {
    (least..=most, 0..3_u32).prop_map(|(value, cut)| {
        let mut value = Decimal::new(i64::from(value), 3);
        value.rescale(3 - cut);
        value.max(Decimal::new(1, 0))
    })
}

fn some_text() -> impl Strategy<Value = String> {
    prop_oneof![
        "[A-Za-z0-9\"\\\\'/(),:é·]{1,20}",
        Just("// no comment".to_owned()),
        Just("C:\\new \"A\"".to_owned())
    ]
}

fn some_day() -> impl Strategy<Value = Date> {
    (2000..2023_i16, 1..=12_i8, 1..=28_i8).prop_map(|(year, month, day)| date(year, month, day))
}

fn some_points(fixed: bool) -> impl Strategy<Value = Vec<CalibrationPoint>> {
    let w = prop::option::of(thousandths(1_000, 29_000));
    prop::collection::vec((1..40_u32, w), 0..6).prop_map(move |points| {
        let mut sets: Vec<_> = points.iter().map(|(set, _)| *set).collect();
        sets.sort_unstable();
        sets.dedup();
        let point = |(set, (_, w)): (u32, &(u32, Option<Decimal>))| CalibrationPoint {
            set: Decimal::from(set),
            reference: Decimal::new(i64::from(set) * 1_000 + 17, 3),
            w_percent: *w,
        };
        let points = sets.into_iter().zip(&points).map(point);
        if fixed { points.take(0).collect() } else { points.collect() }
    })
}

fn some_calibrations(fixed: bool) -> impl Strategy<Value = Vec<Calibration>> {
    let one =
        (some_day(), any::<bool>(), prop::option::of(some_text()), some_points(fixed), some_points(fixed));
    prop::collection::vec(one, 0..4).prop_map(|mut all| {
        all.sort_by_key(|(day, ..)| *day);
        all.into_iter()
            .map(|(day, used, text, as_found, as_left)| Calibration {
                date: day.to_string(),
                first_use: used.then(|| day.to_string()),
                certificate: text.clone(),
                laboratory: text,
                as_found,
                as_left,
            })
            .collect()
    })
}

fn some_notes() -> impl Strategy<Value = (Vec<Doubt>, Vec<LookBack>, Option<Retired>)> {
    let doubt = (some_day(), some_text(), any::<bool>()).prop_map(|(day, text, released)| Doubt {
        day,
        by: text.clone(),
        what: text.clone(),
        released: released.then(|| Release { day, by: text.clone(), why: text.clone() }),
    });
    let verdict = prop_oneof![
        Just(LookBackVerdict::Stands),
        Just(LookBackVerdict::DoAgain),
        some_text().prop_map(LookBackVerdict::Other)
    ];
    let look_back = (some_day(), some_text(), verdict).prop_map(|(day, text, verdict)| LookBack {
        day,
        by: text.clone(),
        board: text.clone(),
        record: text,
        verdict,
    });
    let retired = (some_day(), some_text()).prop_map(|(day, why)| Retired { day, why });
    (prop::collection::vec(doubt, 0..3), prop::collection::vec(look_back, 0..3), prop::option::of(retired))
}

prop_compose! {
    fn some_tool()(kind in prop_oneof![Just(ToolKind::Setting), Just(ToolKind::Fixed), Just(ToolKind::Indicating)])(
        kind in Just(kind),
        texts in (some_text(), prop::option::of(some_text()), prop::option::of(some_text())),
        unit in prop::sample::select(Unit::ALL.to_vec()),
        graduation in thousandths(1_000, 5_000),
        interval in prop::option::of((1..=60_u16, prop::option::of(1..=100_000_u64))),
        adapter in prop::option::of((1..2_000_i64, -500..500_i64)),
        operations in prop::option::of(0..=1_000_000_u64),
        calibrations in some_calibrations(kind == ToolKind::Fixed),
        notes in some_notes(),
    ) -> KnownTool {
        let fixed = kind == ToolKind::Fixed;
        let (min, max) = (Decimal::new(10, 1), Decimal::from(if fixed { 1 } else { 40 }));
        let (doubts, looks_back, retired) = notes;
        KnownTool {
            name: texts.0,
            serial: "set below".into(),
            kind,
            class: texts.1,
            unit,
            range: ToolRange { min, max: if fixed { min } else { max } },
            graduation: (!fixed).then_some(graduation),
            adapter: adapter.filter(|(lever, off)| lever + off > 0).map(|(lever, off)| Adapter {
                what: texts.2.unwrap_or_else(|| "adapter".into()),
                lever_mm: Decimal::new(lever * 10, 1),
                extension_mm: Decimal::new(off, 0),
            }),
            interval: interval.map(|(months, operations)| Interval { months: Some(months), operations }),
            operations,
            calibrations,
            doubts,
            retired,
            looks_back,
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    /// Reading what was written gives the same tools, to the last digit.
    #[test]
    fn what_was_written_is_read_again(tools in prop::collection::vec(some_tool(), 0..4)) {
        let mut toolbox = Toolbox { tools };
        for (number, tool) in toolbox.tools.iter_mut().enumerate() {
            tool.serial = format!("IL-{number}");
            tool.name = format!("{number} {}", tool.name);
        }
        prop_assert_eq!(toolbox.faults(Some(TODAY)), Vec::new());
        // what passes here is what the reckoning takes a straight line through
        for calibration in toolbox.tools.iter().flat_map(|tool| &tool.calibrations) {
            for points in [&calibration.as_found, &calibration.as_left] {
                prop_assert!(points.is_empty() || Straight::through(points).is_ok());
            }
        }
        let text = write(&toolbox, HEAD);
        let read = read(text.as_bytes(), Some(TODAY)).map_err(|problems| render(&problems, "t.ron", &text));
        let read = read.unwrap_or_else(|page| panic!("{page}"));
        prop_assert_eq!(&read.toolbox, &toolbox);
        prop_assert_eq!(write(&read.toolbox, &read.head), text, "every digit");
    }

    /// Nothing that can become of a tools file makes reading or its messages panic.
    #[test]
    fn a_damaged_tools_file_never_panics(
        cut in any::<prop::sample::Index>(),
        edits in prop::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>(), 0..8_usize), 0..6),
    ) {
        const PIECES: [&str; 16] =
            ["(", ")", "[", "}", "\"", ",", ":", "//", "/*", "\u{202e}", "\u{feff}", "\r", "0", "None", "-", "\u{0}"];
        let mut bytes = tools_file::example().as_bytes().to_vec();
        for (at, piece, taken) in edits {
            let start = at.index(bytes.len());
            let end = (start + taken).min(bytes.len());
            bytes.splice(start..end, piece.get(&PIECES).bytes());
        }
        bytes.truncate(cut.index(bytes.len() * 2).min(bytes.len()));
        if let Err(problems) = read(&bytes, Some(TODAY)) {
            prop_assert!(!problems.is_empty());
            prop_assert!(!render(&problems, "damaged.ron", &String::from_utf8_lossy(&bytes)).is_empty());
        }
    }
}
