//! Commands: exit codes, what goes to which stream, where files live, and what a damaged or foreign record does.
//!
//! What is asked here is the issue's own text (point 9) and machine section 6; no outside source, but for the XDG
//! base directory specification, whose rule about paths that are not absolute is tested by that name.

use crate::faulty::{Broken, Faulty};
use crate::plain::rehearsed;
use crate::program::{Input, Said, command, finish, only_record, records, run, script, steady};
use crate::rig::snap;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Stdio;
use witnessmark::domain::names::Seq;
use witnessmark::domain::record::{Draft, Fact, Line, Outcome, Session, SessionCause};
use witnessmark::journal::{Journal, RealStorage, read, resume};
use witnessmark::session::desk::session_draft;
use witnessmark::session::{closing, replay};

const LAMP_HUT: &str = "tests/boards/lamp-hut.ron";

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// Makes or changes a file by hand, as only a test may.
fn put(path: &Path, bytes: impl AsRef<[u8]>) {
    let mut file = fs::File::create(path).unwrap();
    file.write_all(bytes.as_ref()).unwrap();
}

fn line_ends(bytes: &[u8]) -> usize {
    bytes.split(|byte| *byte == b'\n').count() - 1
}

fn nothing() -> Input {
    Input::Bytes(Vec::new())
}

fn typed(lines: &[String]) -> Input {
    Input::Bytes((lines.join("\n") + "\n").into_bytes())
}

/// A walk of the lamp hut, begun and left behind one prepared and entered conductor.
fn begun(folder: &Path) -> PathBuf {
    let mut lines = script("lamp-hut-opening.txt");
    lines.extend(["1", "r"].map(str::to_owned));
    walk(folder, typed(&lines)).expect(0);
    only_record(folder)
}

fn walk(folder: &Path, input: Input) -> Said {
    run(&["walk", LAMP_HUT, "--plain", "--records", text(folder)], folder, input)
}

#[test]
fn what_was_typed_wrong_is_told_on_the_error_stream_with_exit_code_2() {
    let home = tempfile::tempdir().unwrap();
    let missing = home.path().join("nothing-here.ron");
    let folder = text(home.path());
    for arguments in [
        &["wlak"][..],
        &["walk"],
        &["walk", "a.ron", "b.ron"],
        &["check"],
        &["intact"],
        &["walk", text(&missing), "--plain"],
        &["walk", folder],
        &["rehearse", text(&missing)],
        &["appendix"],
        &["appendix", text(&missing)],
        &["appendix", LAMP_HUT],
        &["appendix", "tests/scripts/none.jsonl"],
        &["intact", text(&missing)],
        &["intact", LAMP_HUT],
        &["places", "--records", LAMP_HUT],
    ] {
        let said = run(arguments, home.path(), nothing()).expect(2);
        assert_eq!(said.out, "", "{arguments:?}");
        assert!(said.err.starts_with("error: "), "{arguments:?}: {}", said.err);
        assert!(said.err.contains("help: ") || said.err.contains("--help"), "{arguments:?}: {}", said.err);
    }
    assert!(fs::read_dir(home.path()).unwrap().next().is_none(), "nothing was made");
}

#[test]
fn help_and_version_are_no_errors() {
    let home = tempfile::tempdir().unwrap();
    let version = run(&["--version"], home.path(), nothing()).expect(0);
    assert_eq!(version.out, format!("witnessmark {}\n", env!("CARGO_PKG_VERSION")));
    let help = run(&["--help"], home.path(), nothing()).expect(0);
    for command in
        ["walk", "rehearse", "tools", "setting", "pack", "check", "appendix", "intact", "example", "places"]
    {
        assert!(help.out.contains(&format!("\n  {command} ")), "{}", help.out);
        assert_eq!(run(&[command, "--help"], home.path(), nothing()).expect(0).err, "");
    }
}

#[test]
fn the_program_alone_says_what_can_be_done_and_what_is_open() {
    let folder = tempfile::tempdir().unwrap();
    begun(folder.path());
    rehearsed(&folder.path().join("elsewhere"), &[LAMP_HUT]);
    let said = run(&["--records", text(folder.path())], folder.path(), nothing()).expect(0);
    snap().bind(|| insta::assert_snapshot!("cli_alone", steady(&said.out, folder.path())));
}

#[test]
fn every_board_is_checked_and_a_wrong_one_does_not_hide_the_others() {
    let home = tempfile::tempdir().unwrap();
    let boards = ["check", "boards/engine-shed.ron", "tests/bad_boards/bare_number.ron", LAMP_HUT];
    let said = run(&boards, home.path(), nothing()).expect(2);
    assert_eq!(said.out.lines().count(), 2);
    assert!(said.err.contains("tests/bad_boards/bare_number.ron:10:12"));
    run(&["check", LAMP_HUT], home.path(), nothing()).expect(0);

    let example = run(&["example"], home.path(), nothing()).expect(0);
    assert_eq!(example.out, fs::read_to_string("boards/ticket-office.ron").unwrap());
}

#[test]
fn a_wrong_board_is_never_walked() {
    let home = tempfile::tempdir().unwrap();
    let board = "tests/bad_boards/five_mistakes.ron";
    for command in ["walk", "rehearse"] {
        let said = run(&[command, board, "--plain"], home.path(), Input::EmptyForEver).expect(2);
        assert_eq!(said.out, "");
        let checked = run(&["check", board], home.path(), nothing()).expect(2);
        assert_eq!(said.err, checked.err, "every problem, as check tells it");
    }
    assert!(records(home.path()).is_empty());
}

#[test]
fn files_live_where_xdg_says_and_a_path_that_is_not_absolute_is_passed_over() {
    let home = tempfile::tempdir().unwrap();
    let places = |data: &str, more: &[&str]| {
        let arguments = [&["places"], more].concat();
        let mut command = command(&arguments, home.path());
        command.env("XDG_DATA_HOME", data).env("XDG_CONFIG_HOME", home.path().join("c"));
        finish(command, nothing()).expect(0).out
    };
    let line = |out: &str, name: &str| {
        let found = out.lines().find_map(|line| line.strip_prefix(name)).unwrap();
        PathBuf::from(found.trim())
    };
    let out = places(text(&home.path().join("d")), &[]);
    assert_eq!(line(&out, "records"), home.path().join("d/witnessmark/records"));
    assert_eq!(line(&out, "rehearsals"), home.path().join("d/witnessmark/records/rehearsals"));
    assert!(
        out.contains(&format!(
            "tools       {} (not there yet)",
            home.path().join("c/witnessmark/tools.ron").display()
        )),
        "{out}"
    );
    // XDG Base Directory Specification: "If an implementation encounters a relative path ... ignore it"
    let out = places("relative", &[]);
    assert!(line(&out, "records").is_absolute());
    assert!(line(&out, "records").starts_with(home.path()), "{out}");
    let out = places("relative", &["--records", "here"]);
    assert_eq!(line(&out, "records"), Path::new(env!("CARGO_MANIFEST_DIR")).join("here"));
}

#[test]
fn a_closed_pipe_is_no_error() {
    let home = tempfile::tempdir().unwrap();
    let (_, record) = rehearsed(home.path(), &[LAMP_HUT]);
    let folder = text(home.path()).to_owned();
    for arguments in [
        &["example"][..],
        &["appendix", text(&record)],
        &["--records", &folder],
        &["rehearse", "--plain", "--records", &folder],
        &["--help"],
    ] {
        let mut command = command(arguments, home.path());
        let mut child =
            command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let said = child.wait_with_output().unwrap();
        assert_eq!(said.status.code(), Some(0), "{arguments:?}");
        assert_eq!(String::from_utf8(said.stderr).unwrap(), "", "{arguments:?}");
    }
}

#[test]
fn a_flipped_byte_is_named_with_its_line_and_the_file_stays_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let (_, record) = rehearsed(folder.path(), &[LAMP_HUT]);
    let whole = fs::read(&record).unwrap();
    let count = line_ends(&whole);
    let said = run(&["intact", text(&record)], folder.path(), nothing()).expect(0);
    assert!(said.out.contains(&format!("every link fits, closed, {count} lines")), "{}", said.out);
    assert!(said.out.contains("9 outcomes worked out again from the facts: the same"), "{}", said.out);

    let last = whole.len() - 1;
    let last_line = last - whole[..last].iter().rev().position(|byte| *byte == b'\n').unwrap();
    let mut places: Vec<usize> = (0..40).map(|n| n * whole.len() / 40).collect();
    places.extend([last_line, last_line + 1, last_line + 60, last - 1, last - 2, last - 3, last - 40, last]);
    let copy = folder.path().join("copy.jsonl");
    for place in places {
        let mut bytes = whole.clone();
        bytes[place] ^= 1;
        put(&copy, &bytes);
        let line = line_ends(&whole[..place]) + 1;
        let said = run(&["intact", text(&copy)], folder.path(), nothing()).expect(1);
        assert!(said.err.contains(&format!(" line {line}: ")), "byte {place}: {}", said.err);
        assert_eq!(said.out, "");
        assert_eq!(fs::read(&copy).unwrap(), bytes);
    }
    assert_eq!(run(&["appendix", text(&copy)], folder.path(), nothing()).expect(1).out, "");
}

#[test]
fn a_claim_that_the_facts_do_not_bear_out_is_found_though_every_link_fits() {
    let folder = tempfile::tempdir().unwrap();
    let (_, record) = rehearsed(folder.path(), &[LAMP_HUT]);
    let mut lines = read(&RealStorage, &record).unwrap().lines;
    let last = lines.last_mut().unwrap();
    let Fact::Closed(closed) = &mut last.fact else { panic!("not closed") };
    closed.outcomes[4].outcome = Outcome::CompleteWithRemark;
    let forged = folder.path().join("forged.jsonl");
    let drafts: Vec<Draft> = lines.iter().cloned().map(draft).collect();
    Journal::create(RealStorage, &forged).unwrap().append(&drafts).unwrap();
    let said = run(&["intact", text(&forged)], folder.path(), nothing()).expect(1);
    let count = lines.len();
    assert!(said.out.contains("every link fits, closed"));
    assert!(
        said.err.contains(&format!(
            "line {count}: it says 1 line is complete with remark, the facts give complete"
        )),
        "{}",
        said.err
    );
}

#[test]
fn work_without_a_gate_before_it_is_found_though_every_link_fits() {
    let folder = tempfile::tempdir().unwrap();
    let lines = read(&RealStorage, &begun(folder.path())).unwrap().lines;
    let without = lines.into_iter().filter(|line| !matches!(line.fact, Fact::Gates(_)));
    let drafts: Vec<Draft> =
        (1..).zip(without).map(|(seq, line)| Draft { seq: Seq(seq), ..draft(line) }).collect();
    let forged = folder.path().join("forged.jsonl");
    Journal::create(RealStorage, &forged).unwrap().append(&drafts).unwrap();
    let said = run(&["intact", text(&forged)], folder.path(), nothing()).expect(1);
    assert!(said.err.contains("holds what no walk records, though every link fits: "), "{}", said.err);
    snap().bind(|| insta::assert_snapshot!("cli_no_gate", steady(&said.err, folder.path())));
}

fn draft(line: Line) -> Draft {
    Draft { seq: line.seq, time: line.time, who: line.who, writer: line.writer, fact: line.fact }
}

#[test]
fn of_two_files_of_one_visit_the_last_common_line_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let record = begun(folder.path());
    let copy = folder.path().join("copy.jsonl");
    fs::copy(&record, &copy).unwrap();
    let both = ["intact", text(&record), text(&copy)];
    let said = run(&both, folder.path(), nothing()).expect(0);
    assert!(said.out.contains("they are the same up to line 7, the last of both"), "{}", said.out);
    // the one is gone on with: the other is its beginning, and nothing is wrong with that
    fs::rename(&copy, folder.path().join("copy.kept")).unwrap();
    walk(folder.path(), nothing()).expect(0);
    fs::rename(folder.path().join("copy.kept"), &copy).unwrap();
    let said = run(&both, folder.path(), nothing()).expect(0);
    assert!(said.out.contains("the last line they share is line 7; nothing is merged"), "{}", said.out);
    // the other is gone on with too: they part
    let session = |lines: &[Line], torn| {
        let session =
            Session { nonce: "other".into(), program: "other".into(), cause: SessionCause::Resumed, torn };
        session_draft(lines, lines[0].time, session)
    };
    resume(&RealStorage, &copy, session).unwrap();
    let said = run(&both, folder.path(), nothing()).expect(1);
    assert!(said.err.contains("the last line they share is line 7; nothing is merged"), "{}", said.err);
}

#[test]
fn a_copy_cut_at_any_byte_resumes_without_losing_a_whole_line() {
    // every byte of a visit left open; of a closed one, every byte of its last line and around every line end
    let folder = tempfile::tempdir().unwrap();
    let record = begun(folder.path());
    cut_and_resumed(&record, |_, _| true);
    let (_, record) = rehearsed(&folder.path().join("closed"), &[LAMP_HUT]);
    cut_and_resumed(&record, |bytes, cut| {
        let closing_line = bytes[..bytes.len() - 1].iter().rposition(|byte| *byte == b'\n').unwrap();
        let around = &bytes[cut.saturating_sub(2)..bytes.len().min(cut + 3)];
        cut > closing_line || around.contains(&b'\n')
    });
}

fn cut_and_resumed(record: &Path, wanted: impl Fn(&[u8], usize) -> bool) {
    let bytes = fs::read(record).unwrap();
    let lines = read(&RealStorage, record).unwrap().lines;
    let first = bytes.iter().position(|byte| *byte == b'\n').unwrap();
    let path = Path::new("/r/copy.jsonl");
    for cut in (first..bytes.len() - 1).filter(|cut| wanted(&bytes, *cut)) {
        let disk = Faulty::new(1, Broken::default());
        let left = &bytes[..cut];
        disk.put(path, left);
        // a last line that lacks only its LF is whole
        let whole = line_ends(&bytes[..=cut]);
        let session = |lines: &[Line], torn| {
            let session =
                Session { nonce: "n".into(), program: "p".into(), cause: SessionCause::Resumed, torn };
            session_draft(lines, lines[0].time, session)
        };
        let (_, resumed) = resume(&disk, path, session).unwrap();
        assert_eq!(resumed.len(), whole + 1, "cut at {cut}");
        assert_eq!(resumed[..whole], lines[..whole], "cut at {cut}");
        let Fact::Session(session) = &resumed[whole].fact else { panic!("no session line") };
        let behind = left.iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
        let torn = if bytes[cut] == b'\n' { 0 } else { cut - behind };
        assert_eq!(session.torn.as_ref().map_or(0, |torn| torn.bytes), u64::try_from(torn).unwrap());
        if torn == 0 {
            let visit = replay(&resumed);
            assert_eq!(visit.lines().len(), resumed.len());
            assert_eq!(closing(&visit).outcomes.len(), 9);
        }
    }
}

#[test]
fn a_walk_cut_off_in_the_middle_of_a_line_is_gone_on_with_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let record = begun(folder.path());
    let bytes = fs::read(&record).unwrap();
    let end = bytes.len();
    for (torn_off, kept) in [(1, 7), (2, 6), (30, 6), (200, 6)] {
        put(&record, &bytes[..end - torn_off]);
        let said = walk(folder.path(), nothing()).expect(0);
        assert!(said.out.contains(&format!("{kept} lines.")), "{}", said.out);
        assert_eq!(said.out.contains("torn off in the middle of a line"), kept == 6, "{}", said.out);
        run(&["intact", text(&record)], folder.path(), nothing()).expect(0);
        let lines = read(&RealStorage, &record).unwrap().lines;
        assert!(matches!(&lines[kept].fact, Fact::Session(s) if s.torn.is_some() == (kept == 6)));
    }
}

#[test]
fn a_damaged_open_visit_is_not_gone_on_with_and_no_other_is_opened_beside_it() {
    let folder = tempfile::tempdir().unwrap();
    let record = begun(folder.path());
    let mut bytes = fs::read(&record).unwrap();
    let place = bytes.len() - 100;
    bytes[place] ^= 1;
    put(&record, &bytes);
    let said = walk(folder.path(), Input::EmptyForEver).expect(2);
    assert_eq!(said.out, "");
    snap().bind(|| insta::assert_snapshot!("cli_damaged", steady(&said.err, folder.path())));
    assert_eq!(fs::read(&record).unwrap(), bytes, "nothing is mended by guessing");
    // what never became a visit is no obstacle, and is named unless it is empty
    let first = bytes.iter().position(|byte| *byte == b'\n').unwrap();
    put(&record, &bytes[..first / 2]);
    let said = walk(folder.path(), nothing()).expect(0);
    assert!(said.err.starts_with("note: ") && said.err.contains("is not a visit"), "{}", said.err);
    put(&record, b"");
    assert_eq!(walk(folder.path(), nothing()).expect(0).err, "");
}

#[test]
fn the_walk_goes_on_with_the_board_of_the_record_where_the_file_has_changed() {
    let folder = tempfile::tempdir().unwrap();
    let board = folder.path().join("board.ron");
    let file = fs::read_to_string(LAMP_HUT).unwrap();
    put(&board, &file);
    let walk = ["walk", text(&board), "--plain", "--records", text(folder.path())];
    run(&walk, folder.path(), typed(&script("lamp-hut-opening.txt"))).expect(0);
    put(&board, format!("// seen again\n{file}"));
    let said = run(&walk, folder.path(), nothing()).expect(0);
    assert!(said.out.contains("it describes the same board"), "{}", said.out);
    let changed =
        file.replace("Spare(at: [\"2\"]", "Row(at: [\"2\"], line: \"2.5\", neutral: \"2.5\", cpc: \"2.5\"");
    assert_ne!(changed, file);
    put(
        &board,
        changed.replace("device: \"B16\"),\n    ]", "device: \"B16\", circuit: \"more lamps\"),\n    ]"),
    );
    // who is on the tool comes before it, for the answer is theirs
    let said = run(&walk, folder.path(), typed(&[String::new()])).expect(0);
    for words in [
        "new in the file: 2 neutral, 2 cpc",
        "changed in the file: 2 finger, 2 line",
        "What is to hold is asked next",
        "1 the file: amend the visit",
    ] {
        assert!(said.out.contains(words), "{words}\n{}", said.out);
    }
}

#[test]
fn a_second_laptop_window_on_one_visit_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    begun(folder.path());
    let mut first = command(&["walk", LAMP_HUT, "--plain", "--records", text(folder.path())], folder.path());
    let mut child = first.stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    let mut heard = [0; 200];
    std::io::Read::read(child.stdout.as_mut().unwrap(), &mut heard).unwrap();
    let said = walk(folder.path(), nothing()).expect(2);
    assert!(said.err.contains("another Witnessmark (process "), "{}", said.err);
    child.kill().unwrap();
    child.wait().unwrap();
    walk(folder.path(), nothing()).expect(0);
}

#[test]
fn where_nothing_can_be_stored_the_person_saves_elsewhere_and_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("no-folder");
    put(&file, b"");
    let below = file.join("records");
    let elsewhere = folder.path().join("stick/records");
    // without a terminal the plain face is used by itself
    let rehearse = ["rehearse", LAMP_HUT, "--records", text(&below)];
    // nothing is offered about it: Enter alone comes to nothing
    let said = run(&rehearse, folder.path(), Input::EmptyForEver).expect(2);
    assert!(said.out.contains("NOT STORED") && said.out.contains("The last answer is NOT recorded."));
    assert!(said.err.contains("It waits for: NOT STORED"), "{}", said.err);
    // who, what, certificate, kind of tool: then the record is to be made; again in vain, then elsewhere
    let mut lines: Vec<String> = ["", "", "", "", "1", "2", text(&elsewhere)].map(str::to_owned).into();
    lines.extend(vec![String::new(); 120]);
    let said = run(&rehearse, folder.path(), typed(&lines)).expect(0);
    let record = only_record(&elsewhere);
    assert!(said.out.contains(&format!("Record: {}", record.display())), "{}", said.out);
    assert!(record.with_extension("txt").is_file(), "its appendix lies beside it");
    run(&["intact", text(&record)], folder.path(), nothing()).expect(0);
    assert!(said.out.matches("recorded ").count() > 50);
}
