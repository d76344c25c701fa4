//! The Tools page on both faces, over the demo tools file. The checks themselves are the toolbox's; here is what a person
//! at the keys meets. No source outside the project where none is named.

use super::office::{AtPage, said};
use super::program::{Input, records, run, script};
use super::rig::snap;
use jiff::civil::date;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use witnessmark::domain::limits::{Basis, Limits};
use witnessmark::domain::toolbox::{LookBackVerdict, Toolbox};
use witnessmark::domain::torque::Torque;
use witnessmark::domain::verdict::DecisionRule;
use witnessmark::office::{DoubtedInVisit, Tools, ToolsDeed, Turn, Used, Work};
use witnessmark::plain::{Ended, Turned};
use witnessmark::session::TorqueWord;
use witnessmark::session::look_back::DoneWith;
use witnessmark::tools_file;

/// The demo tools, whose days lie in the past of any clock, moved to the years of these tests.
fn demo() -> Toolbox {
    let text = tools_file::example().replace("\"2023-", "\"2026-").replace("\"2022-", "\"2025-");
    tools_file::read(text.as_bytes(), None).unwrap().toolbox
}

/// Set to 2.40 N.m for a single value.
fn done(day: &str, terminal: &str) -> DoneWith {
    let two_forty = Torque::read("2.40 N.m").unwrap();
    DoneWith {
        serial: "IL-40417".into(),
        terminal: terminal.into(),
        day: day.into(),
        calibrated: Some(if day < "2026-04-02" { "2025-04-08" } else { "2026-04-02" }.into()),
        said: two_forty,
        read: false,
        tried: false,
        recorded_step: 0.into(),
        adapter: None,
        aim: Some(Torque::read("2.4 N.m").unwrap()),
        limits: Limits { basis: Basis::Single, ..Limits::unknown() },
        rule: DecisionRule::GuardedFourWords,
        was: TorqueWord::AsSet,
    }
}

/// Work of driver A (IL-40417): before, between and after its two calibrations of 2025-04-08 and 2026-04-02.
fn used() -> Used {
    let work = |record: &str, board: &str, days: &[(&str, &str)]| Work {
        serial: "IL-40417".into(),
        board: board.into(),
        site: "Fennick Vale Light Railway".into(),
        record: record.into(),
        terminals: days.iter().map(|(day, name)| ((*day).into(), (*name).into())).collect(),
        counting: days.iter().map(|(day, name)| done(day, name)).collect(),
    };
    let operations = BTreeMap::from([("IL-40417".into(), BTreeMap::from([("2026-05-01".into(), 4_300)]))]);
    Used {
        operations,
        work: vec![
            work("aaaaaaaa", "OLD-1", &[("2024-01-05", "1 line")]),
            work(
                "k3m7qd2x",
                "ES-1",
                &[("2025-06-01", "1L1 line"), ("2025-06-01", "1L2 line"), ("2025-06-01", "1L1 line")],
            ),
            work("bbbbbbbb", "TO-1", &[("2026-04-02", "2 line"), ("2026-05-01", "3 line")]),
        ],
        doubts: vec![DoubtedInVisit {
            serial: "IL-77203".into(),
            day: "2026-11-20".into(),
            board: "PH-2".into(),
            what: "fell from the ladder".into(),
        }],
    }
}

fn page(toolbox: Toolbox) -> AtPage<Tools> {
    AtPage::new(Tools::new(toolbox, used(), date(2026, 11, 25)))
}

fn demo_page() -> AtPage<Tools> {
    page(demo())
}

/// Carries a save out as a disk that does its work.
fn save(page: &mut AtPage<Tools>, script: &str) -> Toolbox {
    let Turn::Do(ToolsDeed::Save(toolbox)) = page.keys(script) else { panic!("{}", page.flat()) };
    page.state.note = Some(page.state.page.saved());
    toolbox
}

#[test]
fn tools_as_they_are_seen() {
    page(Toolbox::default()).snapshot("tools_empty");
    demo_page().snapshot("tools_list");
    let mut tool = demo_page();
    tool.keys("1");
    tool.snapshot("tools_driver");
    tool.keys("2");
    tool.snapshot("tools_work");
    let mut doubted = demo_page();
    doubted.keys("2");
    doubted.snapshot("tools_doubted_in_a_visit");
    let mut form = demo_page();
    form.keys("1 1 2026-11-02<Enter> 2026-11-09<Enter> IL-26-3001<Enter> <Enter> 0.50<Enter> 0.507<Enter> 2.6<Enter>");
    form.keys("2.40<Enter>");
    form.snapshot("tools_calibrating");
    form.keys("2.415<Enter> none<Enter> <Enter> 2 0.50<Enter> 0.70<Enter> 2.0<Enter> <Enter>");
    form.snapshot("tools_calibrated");
}

/// Keys of a whole tool: a driver, its calibration, and a wrong answer at every step that can have one.
#[test]
fn a_tool_and_its_calibration_are_added_by_keys() {
    let mut page = page(Toolbox::default());
    page.keys("1 driver<Space>E<Enter> IL-5<Enter> 1 1 II<Space>D<Enter> 0.5<Enter> 0.4<Enter>");
    assert!(page.flat().contains("its range goes from 0.5 N.m to 0.4 N.m"), "{}", page.flat());
    page.keys("6<Enter> 0.05<Enter> <Enter> 6months<Enter>");
    assert!(page.flat().contains("a whole number, in digits, or nothing"), "{}", page.flat());
    page.keys("<Backspace><Backspace><Backspace><Backspace><Backspace><Backspace>");
    // Enter takes the offer of the last question: save it
    let toolbox = save(&mut page, "<Enter> <Enter> <Enter> <Enter>");
    let tool = toolbox.of_serial("IL-5").unwrap();
    assert_eq!((tool.name.as_str(), tool.class.as_deref()), ("driver E", Some("II D")));
    assert_eq!(tool.interval.unwrap().months, Some(6));
    assert!(page.flat().contains("saved: the tool is in the tools file"), "{}", page.flat());

    page.keys("1");
    assert!(page.flat().contains("ask the laboratory for its points as found"), "{}", page.flat());
    page.keys("2026-11-31<Enter>");
    assert!(page.flat().contains("is no day"), "{}", page.flat());
    page.keys("<PageUp> 2026-12-01<Enter>");
    assert!(page.flat().contains("and today is 2026-11-25"), "{}", page.flat());
    page.keys("<PageUp> 2026-11-02<Enter> 2026-11-01<Enter>");
    assert!(page.flat().contains("before the calibration of 2026-11-02"), "{}", page.flat());
    page.keys("<PageUp> 2026-11-03<Enter> C1<Enter> lab<Enter>");
    // a date that was not taken is mended, a figure is typed again
    // points as found: strictly increasing in both columns, W present or stated as absent
    page.keys("1.0<Enter> 1.01<Enter> <Enter>");
    assert!(page.flat().contains("cannot be left empty"), "{}", page.flat());
    page.keys("none<Enter> 0.9<Enter>");
    assert!(page.flat().contains("it must increase"), "{}", page.flat());
    page.keys("2.0<Enter> 1.00<Enter>");
    assert!(page.flat().contains("it must increase"), "{}", page.flat());
    page.keys("2.02<Enter> 80<Enter>");
    assert!(page.flat().contains("an uncertainty W of 80 %"), "{}", page.flat());
    page.keys("2.0<Enter> 7<Enter>");
    assert!(page.flat().contains("outside the tool's range"), "{}", page.flat());
    page.keys("<Enter> 2 1.0<Enter> 1.00<Enter> 2.0<Enter> <Enter>");
    let toolbox = save(&mut page, "<Enter>");
    let calibration = toolbox.of_serial("IL-5").unwrap().calibration().unwrap();
    assert_eq!((calibration.as_found.len(), calibration.as_left.len()), (2, 1));
    assert_eq!(calibration.as_found[0].w_percent, None);
    assert_eq!(calibration.as_found[0].set.to_string(), "1.0", "the typed digits");
    let text = tools_file::write(&toolbox, "");
    assert_eq!(tools_file::read(text.as_bytes(), None).unwrap().toolbox, toolbox);
}

#[test]
fn history_only_grows() {
    let before = demo();
    let mut page = demo_page();
    let toolbox = save(&mut page, "1 1 2026-11-02<Enter> <Enter> C9<Enter> <Enter> <Enter> 1 <Enter>");
    let (old, new) = (&before.tools[0], toolbox.of_serial("IL-40417").unwrap());
    assert_eq!(new.calibrations[..old.calibrations.len()], old.calibrations[..]);
    assert_eq!(new.calibrations.len(), old.calibrations.len() + 1);
    assert_eq!(new.operations, None, "operations stated belonged to the calibration before");
    // what is stated is put right without touching the history; Enter keeps what stands, none takes it out
    let toolbox = save(
        &mut page,
        "5 driver<Space>A1<Enter> <Enter> none<Enter> <Enter> <Enter> <Enter> <Enter> <Enter> <Enter> 12<Enter> <Enter>",
    );
    let edited = toolbox.of_serial("IL-40417").unwrap();
    assert_eq!((edited.name.as_str(), edited.class.as_deref()), ("driver A1", None));
    assert_eq!((edited.range, edited.graduation), (new.range, new.graduation));
    assert_eq!((edited.operations, &edited.calibrations), (Some(12), &new.calibrations));
    let toolbox = save(&mut page, "6 lost<Space>at<Space>the<Space>pump<Space>house<Enter> <Enter>");
    assert_eq!(toolbox.tools.len(), before.tools.len(), "a retired tool stays");
    assert_eq!(
        toolbox.of_serial("IL-40417").unwrap().retired.as_ref().unwrap().why,
        "lost at the pump house"
    );
    page.keys("<PageUp>");
    assert!(page.flat().contains("Tools in use: 3, retired: 2"), "{}", page.flat());
}

#[test]
fn a_first_use_is_added_once_it_has_happened_and_never_changed() {
    let before = demo();
    let mut page = demo_page();
    page.keys("3 3 2026-01-19<Enter>");
    assert!(page.flat().contains("before the calibration of 2026-01-20"), "{}", page.flat());
    let toolbox = save(&mut page, "<PageUp> 2026-02-01<Enter> <Enter>");
    let mut wanted = before.tools[2].clone();
    wanted.calibrations[0].first_use = Some("2026-02-01".into());
    assert_eq!(toolbox.tools[2], wanted);
    let text = page.flat();
    assert!(
        text.contains("valid until 2027-02-01") && !text.contains("say when it was first used"),
        "{text}"
    );
    // driver A has one already
    assert!(toolbox.first_used("IL-40417", "2026-04-10", None).is_err());
}

#[test]
fn a_doubt_of_a_visit_is_taken_back_by_name_and_both_are_kept() {
    let mut page = demo_page();
    page.keys("2");
    assert!(page.flat().contains("DOUBTED in a visit of 2026-11-20 at PH-2: fell from the ladder"));
    let toolbox = save(&mut page, "3 Ada<Enter> compared<Enter> <Enter>");
    let [doubt] = &toolbox.of_serial("IL-77203").unwrap().doubts[..] else { panic!("{toolbox:?}") };
    assert_eq!((doubt.day, doubt.by.as_str()), (date(2026, 11, 20), "recorded at PH-2"));
    let release = doubt.released.as_ref().unwrap();
    assert_eq!((release.by.as_str(), release.day), ("Ada", date(2026, 11, 25)));
    assert!(!page.flat().contains("DOUBTED"), "{}", page.flat());
}

#[test]
fn a_doubted_tool_lists_what_was_done_since_its_last_check_and_asks_a_named_person() {
    let mut page = demo_page();
    let toolbox = save(&mut page, "1 3 Ada<Enter> fell<Space>from<Space>the<Space>van<Enter> <Enter>");
    assert_eq!(toolbox.of_serial("IL-40417").unwrap().doubted().unwrap().by, "Ada");
    page.keys("2");
    let text = page.flat();
    // its last check is the calibration of 2026-04-02; a day is not parted, so that day is in question
    assert!(text.contains("since its last calibration on 2026-04-02"), "{text}");
    assert!(
        text.contains("2 line, 3 line") && !text.contains("1L1 line") && !text.contains("OLD-1"),
        "{text}"
    );
    assert!(text.contains("no verdict yet"), "{text}");
    let toolbox = save(&mut page, "1 3 compare<Space>ten<Space>of<Space>them<Enter> Bram<Enter> <Enter>");
    let look = toolbox.of_serial("IL-40417").unwrap().looks_back.last().unwrap();
    assert_eq!((look.by.as_str(), look.board.as_str(), look.record.as_str()), ("Bram", "TO-1", "bbbbbbbb"));
    assert_eq!(look.verdict, LookBackVerdict::Other("compare ten of them".into()));
    assert!(page.flat().contains("other: compare ten of them, says Bram on 2026-11-25"), "{}", page.flat());
    let toolbox = save(&mut page, "<PageUp> 3 Ada<Enter> compared<Enter> <Enter>");
    assert!(toolbox.of_serial("IL-40417").unwrap().doubted().is_none());
}

#[test]
fn what_a_laboratory_found_out_asks_about_the_time_before() {
    let mut page = demo_page();
    page.keys("1 2");
    let text = page.flat();
    assert!(text.contains("from 2025-04-08 to 2026-04-02"), "{text}");
    assert!(text.contains("1L1 line, 1L2 line"), "each terminal once: {text}");
    assert!(text.contains("says Ada Fennick on 2026-04-10"), "{text}");
    assert!(!text.contains("OLD-1"), "{text}");
}

#[test]
fn what_is_not_saved_is_said_until_it_is_and_nothing_is_shown_as_saved() {
    let mut page = demo_page();
    let doubt = "1 3 Ada<Enter> fell<Enter> <Enter>";
    assert!(matches!(page.keys(doubt), Turn::Do(ToolsDeed::Save(_))));
    page.state.page.not_saved("tools.ron was not saved: no room is left on this disk");
    page.snapshot("tools_not_saved");
    page.keys("?");
    page.keys("?");
    assert!(page.flat().contains("NOT SAVED"), "{}", page.flat());
    let toolbox = save(&mut page, "<Enter>");
    assert!(!page.flat().contains("NOT SAVED") && page.flat().contains("DOUBTED since 2026-11-25 by Ada"));
    assert!(toolbox.of_serial("IL-40417").unwrap().doubted().is_some());
    // dropped, nothing changes
    page.keys("<PageUp> 2 3 Ada<Enter> fell<Enter> 2");
    assert!(!page.flat().contains("DOUBTED since"), "{}", page.flat());
}

#[test]
fn going_back_drops_an_answer_then_the_form_then_the_page() {
    let mut page = demo_page();
    page.keys("1 1 2026-11-02<Enter> 2026-11-09<Enter>");
    assert!(page.flat().contains("Number of the certificate:"), "{}", page.flat());
    page.keys("<PageUp>");
    assert!(page.flat().contains("Day of first use after it:"), "{}", page.flat());
    page.keys("<PageUp><PageUp>");
    assert!(page.flat().contains("What about it?"), "{}", page.flat());
    page.keys("<PageUp>");
    assert!(page.flat().contains("Look at which tool?"), "{}", page.flat());
    page.keys("<PageUp>");
    assert!(page.flat().contains("this is the first page"), "{}", page.flat());
}

#[test]
fn no_size_of_window_makes_a_tools_page_panic() {
    for keys in ["", "1", "12", "11 2026-11-02<Enter>", "6"] {
        let mut page = demo_page();
        page.keys(keys);
        page.every_size();
    }
}

#[test]
fn tools_line_by_line() {
    let lines = "1\n2\nback\n1\n2026-11-02\n\nIL-26-3001\n\n0.50\n0.507\n2.6\n\n1\n";
    let (text, turned) = said(Tools::new(demo(), used(), date(2026, 11, 25)), lines);
    assert_eq!(turned, Turned::Ended(Ended::EndOfInput));
    snap().bind(|| insta::assert_snapshot!("page_tools_plain", text));
}

/// The program with a folder of its own for everything.
fn tools(home: &Path, more: &[&str], lines: &str) -> super::program::Said {
    let file = home.join("tools.ron");
    let records = home.join("records");
    let mut arguments =
        vec!["tools", "--tools", file.to_str().unwrap(), "--records", records.to_str().unwrap()];
    arguments.extend(more);
    run(&arguments, home, Input::Bytes(lines.as_bytes().to_vec()))
}

#[test]
fn the_program_saves_what_was_typed_and_says_so_only_then() {
    let home = tempfile::tempdir().unwrap();
    let add = "1\ndriver E\nIL-5\n1\n1\n\n0.5\n6\n0.05\n\n\n\n\n\n";
    let said = tools(home.path(), &["--plain"], add).expect(0);
    assert!(said.out.contains("saved: the tool is in the tools file"), "{}", said.out);
    let text = fs::read_to_string(home.path().join("tools.ron")).unwrap();
    assert!(text.contains("serial: \"IL-5\"") && text.contains("range: Range(from: \"0.5 N.m\""), "{text}");
    run(&["check", home.path().join("tools.ron").to_str().unwrap()], home.path(), Input::Bytes(Vec::new()))
        .expect(0);
    // through a pipe it is only printed
    let said = tools(home.path(), &[], "").expect(0);
    assert!(said.out.contains("driver E, IL-5, setting, 0.5 to 6 N.m by 0.05"), "{}", said.out);
    assert!(!said.out.contains(" > "), "nothing is asked: {}", said.out);
    // what is half typed at the end is not saved
    let before = fs::read(home.path().join("tools.ron")).unwrap();
    tools(home.path(), &["--plain"], "1\n3\nAda\nfell\n").expect(0);
    assert_eq!(fs::read(home.path().join("tools.ron")).unwrap(), before);
}

#[test]
fn a_damaged_tools_file_is_never_written_over() {
    let home = tempfile::tempdir().unwrap();
    let file = home.path().join("tools.ron");
    fs::write(&file, "Tools(format: 1, tools: [Tool(name: \"x\"").unwrap();
    let before = fs::read(&file).unwrap();
    let said = tools(home.path(), &["--plain"], "1\n").expect(2);
    assert!(said.err.starts_with("error: ") && said.err.contains("tools.ron"), "{}", said.err);
    assert_eq!(fs::read(&file).unwrap(), before);
    // Start names it and goes on
    let (file, records) = (file.to_str().unwrap(), home.path().join("records"));
    let arguments = ["--plain", "--tools", file, "--records", records.to_str().unwrap()];
    let said = run(&arguments, home.path(), Input::Bytes(b"t\nq\n".to_vec())).expect(0);
    assert!(said.out.contains("the tools file cannot be read"), "{}", said.out);
    assert_eq!(fs::read(file).unwrap(), before);
}

/// From a real visit to the list of what was done with its tool.
#[test]
fn the_records_of_this_machine_say_what_was_done_with_a_tool() {
    let home = tempfile::tempdir().unwrap();
    let (file, folder) = (home.path().join("tools.ron"), home.path().join("records"));
    let walk = ["walk", "boards/ticket-office.ron", "--plain", "--records", folder.to_str().unwrap()];
    run(&walk, home.path(), Input::Bytes(script("ticket-office.txt").join("\n").into_bytes()));
    assert_eq!(records(&folder).len(), 1);
    let add = "1\nred driver\nIL 4471\n1\n1\n\n0.5\n6\n0.05\n\n\n\n\n\n3\nAda\nfell\n\n2\nq\n";
    let said = tools(home.path(), &["--plain"], add).expect(0);
    assert!(said.out.contains("Done with it at any time"), "{}", said.out);
    assert!(said.out.contains("TO-1, Fennick Vale Light Railway, record"), "{}", said.out);
    assert!(said.out.contains("no verdict yet"), "{}", said.out);
    assert!(fs::read_to_string(file).unwrap().contains("fell"));
}
