//! The plain face: rehearsed by empty lines, refused by them, walked from a file of lines.
//!
//! What is asked here is the issue's own text (points 8 and 9 and "What it must show"); no outside source.

use crate::program::{Input, Said, only_record, records, run, script, steady};
use crate::rig::snap;
use std::fs;
use std::path::{Path, PathBuf};
use witnessmark::domain::record::{Fact, Outcome};
use witnessmark::journal::{RealStorage, read};

const LAMP_HUT: &str = "tests/boards/lamp-hut.ron";
const TICKET_OFFICE: &str = "boards/ticket-office.ron";

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

fn lines(answers: &[&str]) -> Input {
    Input::Bytes(answers.iter().flat_map(|line| format!("{line}\n").into_bytes()).collect())
}

/// A rehearsal answered by nothing but Enter, and its record.
pub(crate) fn rehearsed(folder: &Path, board: &[&str]) -> (Said, PathBuf) {
    let mut arguments = vec!["rehearse"];
    arguments.extend(board);
    arguments.extend(["--plain", "--records", text(folder)]);
    let said = run(&arguments, folder, Input::EmptyForEver).expect(0);
    (said, only_record(folder))
}

#[test]
fn a_rehearsal_answered_by_empty_lines_closes_the_whole_demo_board() {
    let folder = tempfile::tempdir().unwrap();
    let (said, record) = rehearsed(folder.path(), &[]);
    assert_eq!(said.err, "");
    assert!(record.starts_with(folder.path().join("rehearsals")));
    let lines = read(&RealStorage, &record).unwrap().lines;
    let Fact::Closed(closed) = &lines.last().unwrap().fact else { panic!("not closed") };
    assert!(closed.outcomes.iter().all(|o| matches!(o.outcome, Outcome::Complete | Outcome::SetAside)));
    assert_eq!(said.out.matches("\nrecorded ").count(), lines.len(), "every line is said once it is stored");
    assert!(said.out.lines().all(|line| line.chars().count() <= 200 && !line.contains('\u{1b}')));

    let printed = |ascii: &[&str]| {
        let arguments = [&["appendix", text(&record)], ascii].concat();
        run(&arguments, folder.path(), lines_none()).expect(0).out
    };
    let page = printed(&[]);
    assert_eq!(page, printed(&[]), "the same record gives the same bytes");
    assert_eq!(page, fs::read_to_string(record.with_extension("txt")).unwrap());
    assert!(page.split('\u{c}').all(|page| page.contains("REHEARSAL")));
    assert!(page.lines().all(|line| line.trim_start_matches('\u{c}').chars().count() <= 80));
    assert!(printed(&["--ascii"]).is_ascii());
}

/// The other two visits, on their demo boards: answered by empty lines to the end, marked on every page, kept apart.
#[test]
fn a_revisit_and_an_audit_are_rehearsed_too_and_count_for_nothing() {
    for (kind, board) in [("--revisit", "Ticket office, TO-1"), ("--audit", "Pump house, PH-1")] {
        let folder = tempfile::tempdir().unwrap();
        let (said, record) = rehearsed(folder.path(), &[kind]);
        assert_eq!(said.err, "");
        assert!(said.out.contains(&format!("REHEARSAL, nothing of it counts. {board}")), "{}", said.out);
        assert!(said.out.contains("nothing can be compared"), "{}", said.out);
        assert!(record.starts_with(folder.path().join("rehearsals")));
        let lines = read(&RealStorage, &record).unwrap().lines;
        let Fact::Closed(closed) = &lines.last().unwrap().fact else { panic!("not closed") };
        let entered = closed.entered;
        assert!(entered.rehearsed > 0, "{entered:?}");
        assert_eq!(entered.singly + entered.way + entered.place + entered.row + entered.notes, 0);
        let page = fs::read_to_string(record.with_extension("txt")).unwrap();
        assert!(page.split('\u{c}').all(|page| page.contains("REHEARSAL")), "{page}");
        let alone = run(&["--records", text(folder.path())], folder.path(), lines_none()).expect(0);
        assert!(alone.out.contains("Visits left open: none"), "{}", alone.out);
        assert!(alone.out.contains("Boards known here: none"), "{}", alone.out);
    }
    let folder = tempfile::tempdir().unwrap();
    run(&["rehearse", "--revisit", "--audit"], folder.path(), lines_none()).expect(2);
}

fn lines_none() -> Input {
    Input::Bytes(Vec::new())
}

#[test]
fn a_rehearsal_of_a_small_board_reads_like_a_talk() {
    let folder = tempfile::tempdir().unwrap();
    let (said, _) = rehearsed(folder.path(), &[LAMP_HUT]);
    snap().bind(|| insta::assert_snapshot!("plain_rehearsal", steady(&said.out, folder.path())));
}

#[test]
fn a_walk_answered_by_empty_lines_records_no_observation_and_says_what_it_waits_for() {
    let folder = tempfile::tempdir().unwrap();
    let walk = ["walk", TICKET_OFFICE, "--plain", "--records", text(folder.path())];
    let said = run(&walk, folder.path(), Input::EmptyForEver).expect(2);
    assert!(said.err.contains("It waits for: Who is on the tool? Your name:"), "{}", said.err);
    assert!(records(folder.path()).is_empty());
    snap().bind(|| {
        insta::assert_snapshot!("plain_nothing_but_enter", format!("{}---\n{}", said.out, said.err));
    });

    // with a visit open, a tool, a route and a gate behind it there are offers; an observation still is none
    let begun = script("lamp-hut-opening.txt").join("\n") + "\n";
    let folder = tempfile::tempdir().unwrap();
    let walk = ["walk", LAMP_HUT, "--plain", "--records", text(folder.path())];
    run(&walk, folder.path(), Input::Bytes(begun.into_bytes())).expect(0);
    let before = read(&RealStorage, &only_record(folder.path())).unwrap().lines.len();
    for _ in 0..3 {
        let said = run(&walk, folder.path(), Input::EmptyForEver).expect(2);
        assert!(said.err.contains("It waits for: Who proved this board dead?"), "{}", said.err);
    }
    let after = read(&RealStorage, &only_record(folder.path())).unwrap().lines;
    assert!(after.iter().skip(before).all(|line| matches!(line.fact, Fact::Session(_))));
}

#[test]
fn ten_answers_that_are_none_pause_at_an_observation_and_three_repeat_it() {
    let folder = tempfile::tempdir().unwrap();
    let mut typed = script("lamp-hut-opening.txt");
    typed.push("1".into());
    typed.extend(["", "yes", "c", "", "R", "right!", "ok", "1", "", "done"].map(str::to_owned));
    let walk = ["walk", LAMP_HUT, "--plain", "--records", text(folder.path())];
    let said = run(&walk, folder.path(), Input::Bytes((typed.join("\n") + "\nr\n").into_bytes())).expect(2);
    assert!(
        said.err.contains("It waits for: incomer L (16 mm2, 7 wires): enter it and look."),
        "{}",
        said.err
    );
    assert!(said.err.contains("r right, w wrong"));
    assert_eq!(
        said.out.matches("enter it and look. The entry is:").count(),
        4,
        "asked once, repeated thrice"
    );
    assert!(said.out.contains("Paused. The visit stays open: 9 of 9 terminals are open."));
    let lines = read(&RealStorage, &only_record(folder.path())).unwrap().lines;
    assert!(
        !lines.iter().any(|line| matches!(line.fact, Fact::Entered(_))),
        "the line after the pause is not read"
    );
}

#[test]
fn the_ticket_office_is_walked_from_a_file_of_lines_to_a_closed_record() {
    let folder = tempfile::tempdir().unwrap();
    let walk = ["walk", TICKET_OFFICE, "--plain", "--records", text(folder.path())];
    let typed = script("ticket-office.txt").join("\n") + "\n";
    let said = run(&walk, folder.path(), Input::Bytes(typed.into_bytes())).expect(0);
    assert_eq!(said.err, "");
    let record = only_record(folder.path());
    let lines = read(&RealStorage, &record).unwrap().lines;
    let Fact::Closed(closed) = &lines.last().unwrap().fact else { panic!("not closed") };
    let complete = closed.outcomes.iter().filter(|o| o.outcome == Outcome::Complete).count();
    assert_eq!((complete, closed.outcomes.len()), (43, 44), "the spare way is set aside");
    snap().bind(|| insta::assert_snapshot!("plain_ticket_office", steady(&said.out, folder.path())));

    // no board is named: the last closed visit is printed; with the board: its last closed one
    let alone = run(&["appendix", "--records", text(folder.path())], folder.path(), lines_none()).expect(0);
    let of_board = ["appendix", TICKET_OFFICE, "--records", text(folder.path())];
    let of_board = run(&of_board, folder.path(), lines_none()).expect(0);
    assert_eq!(alone.out, of_board.out);
    assert_eq!(alone.out, fs::read_to_string(record.with_extension("txt")).unwrap());
    assert!(!alone.out.contains("REHEARSAL") && !alone.out.contains("NOT CLOSED"));
    run(&["intact", text(&record)], folder.path(), lines_none()).expect(0);
}

#[test]
fn a_visit_is_left_for_the_day_and_gone_on_with_where_it_stopped() {
    let folder = tempfile::tempdir().unwrap();
    let walk = ["walk", LAMP_HUT, "--plain", "--records", text(folder.path())];
    let mut typed = script("lamp-hut-opening.txt");
    typed.extend(["1", "r", "?", "y", "g 1", "back", ".q"].map(str::to_owned));
    let first = run(&walk, folder.path(), Input::Bytes((typed.join("\n") + "\n").into_bytes())).expect(0);
    assert!(first.out.contains("Left for the day. The visit stays open: 9 of 9 terminals are open."));
    let again = run(&walk, folder.path(), lines(&[".q"])).expect(0);
    let both = format!("{}\n---\n{}", first.out, again.out);
    snap().bind(|| insta::assert_snapshot!("plain_left_and_gone_on_with", steady(&both, folder.path())));
    // the end of the input leaves as the person does
    let ended = run(&walk, folder.path(), lines_none()).expect(0);
    assert!(ended.out.contains("Paused. The visit stays open"));
    assert_eq!(records(folder.path()).len(), 1);
    let lines = read(&RealStorage, &only_record(folder.path())).unwrap().lines;
    assert_eq!(lines.iter().filter(|line| matches!(line.fact, Fact::Session(_))).count(), 3);
}

#[test]
fn what_is_no_text_or_too_long_is_refused_and_the_walk_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    let walk = ["walk", LAMP_HUT, "--plain", "--records", text(folder.path())];
    let mut typed = b"\xff\xfe\n".to_vec();
    typed.extend(vec![b'x'; 1_000_000]);
    typed.extend(b"\nM. Har\x1brow\n\xe2\x80\xaeM. Harrow\nM. Harrow\r\n\n");
    let said = run(&walk, folder.path(), Input::Bytes(typed)).expect(0);
    for words in [
        "not taken: the line is no UTF-8 text",
        "not taken: the line is too long for any answer",
        "not taken: holds the control character U+001B",
        "not taken: holds U+202E",
        "Reference of the certificate",
    ] {
        assert!(said.out.contains(words), "{words}\n{}", said.out);
    }
    assert!(!said.out.contains('\u{1b}'), "nothing that moves a cursor is written back");
}

#[test]
fn whatever_comes_in_for_ever_the_walk_ends_by_itself_and_records_no_observation_from_it() {
    for line in
        ["later", "l", ".l", "i", "back", "x", "t", "g 1", "y", "?", "1", "2.0", "dead", "sound", "clicked"]
    {
        let folder = tempfile::tempdir().unwrap();
        let walk = ["walk", LAMP_HUT, "--plain", "--records", text(folder.path())];
        let mut typed = script("lamp-hut-opening.txt");
        typed.push(line.into());
        let said = run(&walk, folder.path(), Input::ForEver(typed)).expect(2);
        assert!(
            said.err.starts_with("error: paused: what came in was no answer. It waits for: "),
            "{}",
            said.err
        );
        let lines = read(&RealStorage, &only_record(folder.path())).unwrap().lines;
        let observed = |fact: &Fact| {
            matches!(
                fact,
                Fact::Entered(_) | Fact::Torqued(_) | Fact::Tugged(_) | Fact::Marked(_) | Fact::Scale(_)
            )
        };
        assert!(!lines.iter().any(|line| observed(&line.fact)), "{line}");
    }
}
