//! The toolbox: what a change may be, and that history is only added to. No outside source but where one is named: the
//! checks are the list, the rest is the project's own.

use jiff::civil::{Date, date};
use rust_decimal::Decimal;
use witnessmark::domain::calibration::{Calibration, CalibrationPoint, Running};
use witnessmark::domain::names::ToolId;
use witnessmark::domain::tool::{ToolKind, Validity};
use witnessmark::domain::toolbox::{
    At, CalibrationAt, Column, DayWrong, Doubt, KnownTool, LookBack, LookBackVerdict, PointWrong, Refused,
    Release, Retired, StatedWrong, Toolbox, Which, Wrong,
};
use witnessmark::tools_file;

const TODAY: Date = date(2023, 11, 25);
const DRIVER: &str = "IL-40417";
const DIAL: &str = "IL-D1305";

fn railway() -> Toolbox {
    tools_file::read(tools_file::example().as_bytes(), None).unwrap().toolbox
}

fn decimal(text: &str) -> Decimal {
    Decimal::from_str_exact(text).unwrap()
}

fn point(set: &str, reference: &str, w: Option<&str>) -> CalibrationPoint {
    CalibrationPoint { set: decimal(set), reference: decimal(reference), w_percent: w.map(decimal) }
}

fn calibration(day: &str, as_found: Vec<CalibrationPoint>) -> Calibration {
    Calibration {
        date: day.into(),
        first_use: None,
        certificate: Some(format!("IL of {day}")),
        laboratory: Some("Illustrative Calibration Room".into()),
        as_found,
        as_left: Vec::new(),
    }
}

fn doubt(day: Date) -> Doubt {
    Doubt { day, by: "Bram Vale".into(), what: "fell".into(), released: None }
}

/// What is wrong, and where, of a refused change.
fn wrong(refused: Result<Toolbox, Refused>) -> Vec<(At, Wrong)> {
    match refused {
        Err(Refused::Faults(faults)) => {
            for fault in &faults {
                assert!(!fault.reason().is_empty() && !fault.help().is_empty());
            }
            faults.into_iter().map(|fault| (fault.at, fault.wrong)).collect()
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_calibration_is_added_and_the_older_ones_stay() {
    let before = railway();
    let points = vec![point("0.50", "0.51", Some("2.6")), point("4.00", "4.03", None)];
    let after = before.calibrated(DRIVER, calibration("2023-10-01", points), Some(TODAY)).unwrap();
    let (old, new) = (before.of_serial(DRIVER).unwrap(), after.of_serial(DRIVER).unwrap());
    assert_eq!(new.calibrations.len(), old.calibrations.len() + 1);
    assert_eq!(new.calibrations[..2], old.calibrations[..]);
    assert_eq!(
        (old.operations, new.operations),
        (Some(310), None),
        "they belonged to the calibration before"
    );
    assert_eq!(after.tools.len(), before.tools.len());
    assert_eq!(before, railway(), "the old toolbox stands until the new one is durable");
}

#[test]
fn points_are_checked_as_a_laboratory_does() {
    let toolbox = railway();
    let added = |points| wrong(toolbox.calibrated(DRIVER, calibration("2023-10-01", points), Some(TODAY)));
    let at = |row, column| At::Calibration(2, CalibrationAt::Point(Which::AsFound, row, column));
    let found = added(vec![point("2", "2.01", None), point("2", "2.02", None)]);
    assert!(
        matches!(found[..], [(place, Wrong::Point(PointWrong::NotIncreasing { column: Column::Set, .. }))] if place == at(1, Column::Set))
    );
    let found = added(vec![point("2", "2.01", None), point("3", "2.01", None)]);
    assert!(
        matches!(found[..], [(place, Wrong::Point(PointWrong::NotIncreasing { column: Column::Reference, .. }))] if place == at(1, Column::Reference))
    );
    let found = added(vec![point("0.49", "0.5", None), point("4.01", "4.0", None)]);
    assert_eq!(found.iter().map(|(at, _)| *at).collect::<Vec<_>>(), [at(0, Column::Set), at(1, Column::Set)]);
    // the ends of the range are in it
    let ends = vec![point("0.50", "0.50", Some("0.01")), point("4.00", "4.00", Some("30"))];
    assert!(toolbox.calibrated(DRIVER, calibration("2023-10-01", ends), Some(TODAY)).is_ok());
    for w in ["0", "-1", "30.01"] {
        let found = added(vec![point("2", "2", Some(w))]);
        assert_eq!(found, [(at(0, Column::W), Wrong::Point(PointWrong::W(decimal(w))))]);
    }
    let found = added(vec![point("2", "0", None)]);
    assert!(matches!(found[..], [(_, Wrong::Point(PointWrong::NoTorque(_)))]), "{found:?}");
}

#[test]
fn as_found_and_as_left_are_judged_apart() {
    let toolbox = railway();
    let mut both = calibration("2023-10-01", vec![point("4.00", "4.20", None)]);
    both.as_left = vec![point("0.50", "0.50", None), point("4.00", "4.01", None)];
    assert!(toolbox.calibrated(DRIVER, both.clone(), Some(TODAY)).is_ok());
    both.as_left.reverse();
    let found = wrong(toolbox.calibrated(DRIVER, both, Some(TODAY)));
    let at = At::Calibration(2, CalibrationAt::Point(Which::AsLeft, 1, Column::Set));
    assert!(matches!(&found[..], [(place, _)] if *place == at), "{found:?}");
}

#[test]
fn days_are_in_order_and_none_is_in_the_future() {
    let toolbox = railway();
    let day = |day: &str, first_use: Option<&str>, today| {
        let mut added = calibration(day, Vec::new());
        added.first_use = first_use.map(Into::into);
        toolbox.calibrated(DRIVER, added, today)
    };
    // the driver was calibrated last on 2023-04-02 and first used on 2023-04-09
    let before = wrong(day("2023-04-01", None, Some(TODAY)));
    assert!(matches!(
        before[..],
        [(At::Calibration(2, CalibrationAt::Date), Wrong::Day(DayWrong::Before { .. }))]
    ));
    let unused = wrong(day("2023-04-08", None, Some(TODAY)));
    assert!(matches!(unused[..], [(_, Wrong::Day(DayWrong::UsedAfterNext { .. }))]), "{unused:?}");
    assert!(day("2023-04-09", None, Some(TODAY)).is_ok(), "the same day is in order");
    let early = wrong(day("2023-10-01", Some("2023-09-30"), Some(TODAY)));
    assert!(matches!(early[..], [(At::Calibration(2, CalibrationAt::FirstUse), _)]), "{early:?}");
    assert!(day("2023-11-25", Some("2023-11-25"), Some(TODAY)).is_ok(), "today has come");
    let future = wrong(day("2023-11-26", None, Some(TODAY)));
    assert!(matches!(future[..], [(_, Wrong::Day(DayWrong::Future { .. }))]), "{future:?}");
    assert!(day("2023-11-26", None, None).is_ok(), "where today is not known");
    for none in ["", "2023-13-01", "2023-02-29", "20231001", "2023-10-01T08:00", "1 October"] {
        let found = wrong(day(none, None, Some(TODAY)));
        assert_eq!(found[0].1, Wrong::Day(DayWrong::NoDay(none.into())));
    }
}

#[test]
fn a_serial_number_is_one_tools_alone_and_a_name_one_in_use() {
    let toolbox = railway();
    let mut twin = toolbox.of_serial(DRIVER).unwrap().clone();
    let found = wrong(toolbox.with_tool(twin.clone(), Some(TODAY)));
    assert!(matches!(
        found[..],
        [(At::Serial, Wrong::Stated(StatedWrong::SerialTaken { .. })), (At::Name, _)]
    ));
    twin.serial = "IL-1".into();
    twin.name = "DRIVER a".into();
    let found = wrong(toolbox.with_tool(twin.clone(), Some(TODAY)));
    assert!(matches!(found[..], [(At::Name, Wrong::Stated(StatedWrong::NameTaken { .. }))]), "{found:?}");
    let why = Retired { day: TODAY, why: "lost".into() };
    let without = toolbox.retiring(DRIVER, why, Some(TODAY)).unwrap();
    let with = without.with_tool(twin, Some(TODAY)).unwrap();
    assert_eq!(with.named("driver A").unwrap().serial, "IL-1");
}

#[test]
fn editing_leaves_history_alone() {
    let toolbox = railway();
    let mut edited = toolbox.of_serial(DRIVER).unwrap().clone();
    edited.name = "driver 1".into();
    edited.operations = Some(400);
    let after = toolbox.edited(DRIVER, edited.clone(), Some(TODAY)).unwrap();
    assert_eq!(after.named("driver 1").unwrap().operations, Some(400));
    let mut overwritten = edited.clone();
    overwritten.calibrations.remove(0);
    assert_eq!(toolbox.edited(DRIVER, overwritten, Some(TODAY)), Err(Refused::HistoryChanged));
    let mut overwritten = edited.clone();
    overwritten.looks_back.clear();
    assert_eq!(toolbox.edited(DRIVER, overwritten, Some(TODAY)), Err(Refused::HistoryChanged));
    // a range that its own points lie outside of
    edited.range.max = decimal("3.00");
    let found = wrong(toolbox.edited(DRIVER, edited, Some(TODAY)));
    assert_eq!(found.len(), 3, "{found:?}");
    assert_eq!(
        toolbox.retiring("IL-0", Retired { day: TODAY, why: "x".into() }, None),
        Err(Refused::NoSuchTool("IL-0".into()))
    );
}

#[test]
fn what_can_be_wrong_with_a_tool_itself_is_found() {
    let driver = || railway().of_serial(DRIVER).cloned().unwrap();
    let faults = |change: fn(&mut KnownTool)| {
        let mut tool = driver();
        tool.calibrations.clear();
        change(&mut tool);
        tool.faults(Some(TODAY)).into_iter().map(|fault| fault.at).collect::<Vec<_>>()
    };
    assert_eq!(faults(|_| ()), []);
    assert_eq!(faults(|tool| tool.name.clear()), [At::Name]);
    assert_eq!(faults(|tool| tool.serial = "a\nb".into()), [At::Serial]);
    assert_eq!(faults(|tool| tool.serial = " a".into()), [At::Serial]);
    assert_eq!(faults(|tool| tool.range.min = Decimal::ZERO), [At::Range]);
    assert_eq!(faults(|tool| tool.range.max = tool.range.min), [At::Range]);
    assert_eq!(faults(|tool| tool.range.max = decimal("500.01")), [At::Range]);
    assert_eq!(faults(|tool| tool.kind = ToolKind::Fixed), [At::Range, At::Graduation]);
    assert_eq!(faults(|tool| tool.graduation = None), [At::Graduation]);
    assert_eq!(faults(|tool| tool.graduation = Some(Decimal::ZERO)), [At::Graduation]);
    assert_eq!(faults(|tool| tool.graduation = Some(decimal("3.51"))), [At::Graduation]);
    assert_eq!(faults(|tool| tool.graduation = Some(decimal("3.50"))), []);
    assert_eq!(faults(|tool| tool.operations = Some(1_000_001)), [At::Operations]);
}

#[test]
fn a_doubt_stands_until_it_is_taken_back_or_a_later_calibration() {
    let toolbox = railway();
    let day = date(2023, 9, 1);
    let doubting = toolbox.doubting(DRIVER, doubt(day), Some(TODAY)).unwrap();
    let doubted = |toolbox: &Toolbox| toolbox.of_serial(DRIVER).unwrap().doubted().is_some();
    assert!(doubted(&doubting) && !doubted(&toolbox));
    // calibrated on the very day: perhaps before it fell
    let same_day = doubting.calibrated(DRIVER, calibration("2023-09-01", Vec::new()), Some(TODAY)).unwrap();
    assert!(doubted(&same_day));
    let next_day = doubting.calibrated(DRIVER, calibration("2023-09-02", Vec::new()), Some(TODAY)).unwrap();
    assert!(!doubted(&next_day));
    let release = Release { day: TODAY, by: "Ada Fennick".into(), why: "compared".into() };
    let released = doubting.released(DRIVER, &release, Some(TODAY)).unwrap();
    assert!(!doubted(&released));
    assert_eq!(released.of_serial(DRIVER).unwrap().doubts[0].released.as_ref(), Some(&release));
    assert_eq!(released.released(DRIVER, &release, Some(TODAY)), Err(Refused::NotDoubted));
    let early = Release { day: date(2023, 8, 31), ..release };
    assert!(matches!(wrong(doubting.released(DRIVER, &early, Some(TODAY)))[..], [(At::Release(0, _), _)]));
}

#[test]
fn a_retired_tool_stays_and_is_retired_once() {
    let toolbox = railway();
    let why = Retired { day: TODAY, why: "spring broken".into() };
    let after = toolbox.retiring(DIAL, why.clone(), Some(TODAY)).unwrap();
    assert_eq!(
        (after.tools.len(), after.in_use().count()),
        (toolbox.tools.len(), toolbox.in_use().count() - 1)
    );
    assert_eq!(after.retiring(DIAL, why.clone(), Some(TODAY)), Err(Refused::AlreadyRetired(why)));
    // its last points as found say what its work was worth
    assert!(after.calibrated(DIAL, calibration("2023-11-20", Vec::new()), Some(TODAY)).is_ok());
}

#[test]
fn a_verdict_on_earlier_work_is_kept() {
    let verdict = |text: &str| LookBack {
        day: TODAY,
        by: "Ada Fennick".into(),
        board: "ES-1".into(),
        record: "k3m7qd2x".into(),
        verdict: LookBackVerdict::Other(text.into()),
    };
    let after =
        railway().looked_back(DIAL, verdict("looked at by the end of the month"), Some(TODAY)).unwrap();
    let kept = after.of_serial(DIAL).unwrap().looks_back.last().unwrap();
    assert_eq!(kept.verdict.words(), "other: looked at by the end of the month");
    assert!(matches!(
        wrong(railway().looked_back(DIAL, verdict(" "), Some(TODAY)))[..],
        [(At::LookBack(0, _), _)]
    ));
}

#[test]
fn a_clock_that_went_back_does_not_keep_a_tool_from_being_doubted() {
    let long_ago = date(2022, 1, 1);
    let toolbox = railway();
    assert!(!toolbox.faults(Some(long_ago)).is_empty());
    assert!(toolbox.doubting(DRIVER, doubt(long_ago), Some(long_ago)).is_ok());
}

#[test]
fn a_tool_comes_into_a_visit_whole() {
    let toolbox = railway();
    let wrench = toolbox.named("wrench B").unwrap();
    let tool = wrench.in_visit(ToolId::from("B"), Validity::Valid);
    assert_eq!((tool.id.as_str(), tool.serial.as_str(), tool.unit), ("B", "IL-77203", wrench.unit));
    assert_eq!((&tool.adapter, tool.interval, tool.range), (&wrench.adapter, wrench.interval, wrench.range));
    assert_eq!((&tool.calibrations, &tool.class), (&wrench.calibrations, &wrench.class));
    assert_eq!((tool.operations_before, tool.operations_recorded), (None, None));
    // ISO 6789-1: the owner's own procedure takes precedence; six months from first use
    assert_eq!(wrench.due().unwrap().until, date(2023, 12, 22));
}

#[test]
fn a_calibration_without_a_certificate_counts_as_not_stated() {
    let mut bare = calibration("2023-10-01", Vec::new());
    bare.certificate = None;
    let toolbox = railway().calibrated(DRIVER, bare, Some(TODAY)).unwrap();
    let tool = toolbox.of_serial(DRIVER).unwrap();
    assert_eq!((tool.stated(), tool.due(), tool.running(TODAY, 0)), (None, None, None));
    assert!(tool.in_visit(ToolId::from("A"), Validity::NotStated).calibrations.is_empty());
    assert_eq!(tool.calibrations.len(), 3, "the history keeps it");
}

/// 12 months or 5000 operations from first use (ISO 6789-1; 5000 in two public texts, 12 months in one).
#[test]
fn operations_stated_and_recorded_are_counted_together() {
    let toolbox = railway();
    // first used on 2023-04-09, 310 operations stated
    let running = |day: Date, recorded| toolbox.of_serial(DRIVER).unwrap().running(day, recorded).unwrap();
    assert_eq!(running(TODAY, 0), Running::Good);
    assert_eq!(running(TODAY, 4_190), Running::NearlyUsedUp);
    assert_eq!(running(TODAY, 4_690), Running::UsedUp);
    assert_eq!(running(date(2024, 4, 9), 0), Running::NearlyOver);
    assert_eq!(running(date(2024, 4, 10), 0), Running::Over);
}
