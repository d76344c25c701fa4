//! The revisit as a person or a script runs it: line by line, killed and gone on with, and without any board file.
#![cfg(unix)]

use crate::facts::Dice;
use crate::program::{Input, Said, command, finish, only_record, records, run, script, steady};
use crate::rig::snap;
use crate::talk::{Talk, answer};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::Duration;
use witnessmark::domain::record::{Fact, Line, VisitKind};
use witnessmark::journal::{End, RealStorage, Record, read};
use witnessmark::session::{invariant, replay};

const OFFICE: &str = "boards/ticket-office.ron";
const HUT: &str = "tests/boards/lamp-hut.ron";

fn of_kind(home: &Path, kind: VisitKind) -> Option<(PathBuf, Record)> {
    let whole = records(home).into_iter().filter(|path| std::fs::metadata(path).unwrap().len() > 0);
    let mut found: Vec<_> = whole
        .map(|path| read(&RealStorage, &path).map(|record| (path, record)).unwrap())
        .filter(|(_, record)| record.opened().is_some_and(|opened| opened.visit == kind))
        .collect();
    assert!(found.len() <= 1, "two visits of one kind");
    found.pop()
}

fn said(arguments: &[&str], home: &Path, lines: &[String]) -> Said {
    let typed = lines.join("\n") + "\n";
    run(arguments, home, Input::Bytes(typed.into_bytes()))
}

#[test]
fn the_ticket_office_is_walked_and_revisited_from_files_of_lines() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().to_str().unwrap();
    let walk = ["walk", OFFICE, "--plain", "--records", folder];
    said(&walk, home.path(), &script("ticket-office.txt")).expect(0);
    let first = only_record(home.path());
    let revisit = ["revisit", OFFICE, "--plain", "--records", folder];
    let back = said(&revisit, home.path(), &script("ticket-office-revisit.txt")).expect(0);
    assert_eq!(back.err, "");
    let (path, record) = of_kind(home.path(), VisitKind::Revisit).unwrap();
    assert_eq!(record.end, End::Closed, "{}", back.out);
    let follows = record.opened().unwrap().follows.clone().unwrap();
    assert_eq!(follows.link, read(&RealStorage, &first).unwrap().link.hex(), "names it by its closing link");
    let page = std::fs::read_to_string(path.with_extension("txt")).unwrap();
    assert!(page.contains(&follows.link));
    snap().bind(|| {
        insta::assert_snapshot!("plain_ticket_office_revisit", steady(&back.out, home.path()));
    });
    let past = ["past", OFFICE, "--records", folder];
    let past = said(&past, home.path(), &[]).expect(0);
    assert!(past.out.contains("visit 1") && past.out.contains("visit 2"), "{}", past.out);
    run(&["intact", path.to_str().unwrap()], home.path(), Input::Bytes(Vec::new())).expect(0);
}

#[test]
fn past_visits_say_what_they_do_not_tell() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().to_str().unwrap();
    let lines = script("ticket-office.txt");
    said(&["walk", OFFICE, "--plain", "--records", folder], home.path(), &lines[..40]);
    std::fs::write(home.path().join("torn.jsonl"), "no record\n").unwrap();
    let past = said(&["past", OFFICE, "--records", folder], home.path(), &[]).expect(0);
    let told = past.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        told.contains("No visit of this board was ended yet. Not told here first visit of "),
        "{}",
        past.out
    );
    assert!(
        told.contains(": it is still open Not told here 1 record of this machine that cannot"),
        "{}",
        past.out
    );
}

#[test]
fn a_revisit_without_an_earlier_record_works_and_says_so() {
    let home = tempfile::tempdir().unwrap();
    let revisit = ["revisit", HUT, "--plain", "--records", home.path().to_str().unwrap()];
    let begun = said(&revisit, home.path(), &["M. Harrow".to_owned(), ".q".to_owned()]).expect(0);
    assert!(begun.out.contains("No closed record of this board is known here"), "{}", begun.out);
}

#[test]
fn a_flat_leaves_its_record_under_its_name_and_a_board_file_that_is_found_again() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().to_str().unwrap();
    let lines = script("flat-revisit.txt");
    let back = said(&["revisit", "--plain", "--records", folder], home.path(), &lines).expect(0);
    let (path, record) = of_kind(home.path(), VisitKind::Revisit).unwrap();
    assert_eq!(record.end, End::Closed, "{}", back.out);
    assert!(path.starts_with(home.path().join("site=14%20station%20cottages%2c%20flat%203")), "{path:?}");
    let board = path.with_extension("ron");
    assert!(back.out.contains(&format!("Board file, to be completed: {}", board.display())), "{}", back.out);
    let board = board.to_str().unwrap();
    run(&["check", board], home.path(), Input::Bytes(Vec::new())).expect(0);
    // the next time the file is named, and the record of today is what it goes on from
    let again = ["revisit", board, "--plain", "--records", folder];
    let again = said(&again, home.path(), &[String::new(), ".q".to_owned()]).expect(0);
    assert!(again.out.contains("Goes on from the revisit of "), "{}", again.out);
}

/// Kill -9 leaves the board file of a place too; where it was lost, going on and closing write the same one again.
#[test]
fn a_flat_that_was_killed_has_its_board_file_and_the_revisit_stays_one_of_its_tails() {
    let home = tempfile::tempdir().unwrap();
    let mut lines = script("flat-revisit.txt").into_iter();
    let mut talk = Talk::said(&["revisit"], home.path());
    loop {
        let heard = talk.question().unwrap();
        if heard.contains("What do you call it?") {
            break;
        }
        talk.say(&lines.next().unwrap());
    }
    let told = talk.kill();
    let record = only_record(home.path());
    let board = record.with_extension("ron");
    let kept = std::fs::read(&board).unwrap();
    assert!(String::from_utf8_lossy(&kept).contains("Value(value: \"3.5 N.m\", source: OnDevice)"));
    assert!(!told.contains("Board file, to be completed"), "it was killed before it could say so");
    // gone on with from Start: the file is there again, and what is asked is what is asked of tails
    std::fs::remove_file(&board).unwrap();
    let go_on = |more: Vec<String>| {
        // the visit of the list, and the same hands
        let answers = ["1".to_owned(), String::new()].into_iter().chain(more).collect::<Vec<_>>();
        said(&["--plain", "--records", home.path().to_str().unwrap()], home.path(), &answers)
    };
    let leave = ".q".to_owned();
    let told = go_on(vec![leave.clone()]);
    assert!(told.out.contains("\n14 Station Cottages, flat 3: revisit, gone on with."), "{}", told.out);
    assert!(
        told.out.contains("14 Station Cottages, flat 3, entered at the place, revisit of"),
        "{}",
        told.out
    );
    assert!(told.out.contains("What happened since"), "{}", told.out);
    assert_eq!(std::fs::read(&board).unwrap(), kept, "{}", told.out);
    assert!(told.out.contains(&format!("Board file, to be completed: {}", board.display())), "{}", told.out);
    // completed by the person meanwhile: it is never written over
    std::fs::write(&board, b"// being completed\n").unwrap();
    let mut lines = lines.skip_while(|line| line != "IL-26-0311").skip(1);
    let scope = lines.by_ref().take(4).collect::<Vec<_>>();
    let gate = script("flat-revisit.txt").into_iter().skip(3).take(6);
    let looked = lines.take(3);
    let told = go_on(scope.into_iter().chain(gate).chain(looked).chain([leave]).collect());
    assert!(
        !told.out.contains("Which terminals were disturbed?"),
        "the tails, as it was begun: {}",
        told.out
    );
    assert!(told.out.contains("tug it firmly, as it was found"), "{}", told.out);
    assert_eq!(std::fs::read(&board).unwrap(), b"// being completed\n");
}

/// A board file that was changed since: Start names the difference and goes by the file, as `revisit BOARD` does; it can
/// also go by what is recorded.
#[test]
fn a_revisit_from_start_goes_by_the_board_file_and_shows_what_changed_in_it() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("records");
    let records = folder.to_str().unwrap();
    let mut setting = String::new();
    let mut talk = Talk::begin(HUT, &folder);
    while let Some(heard) = talk.question() {
        talk.say(&answer(&heard, &mut setting));
    }
    talk.end();
    let text = std::fs::read_to_string(HUT).unwrap();
    let changed = text.replace(r#"conductors: "16", pole: L1"#, r#"conductors: "2.5", pole: L1"#);
    assert_ne!(text, changed);
    std::fs::create_dir(home.path().join("boards")).unwrap();
    std::fs::write(home.path().join("boards/hut.ron"), changed).unwrap();
    let alone = |lines: &str| {
        let mut command = command(&["--plain", "--records", records], home.path());
        command.current_dir(home.path());
        let said = finish(command, Input::Bytes(lines.as_bytes().to_vec())).expect(0).out;
        said.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let opening = "1\n1\nM. Harrow\n\n\n1\n";
    let by_file = alone(&format!("{opening}meter exchanged\n1\n1\n\nnot known\n.q\n"));
    assert!(by_file.contains("boards/hut.ron"), "{by_file}");
    assert!(by_file.contains("changed in the file: incomer L"), "{by_file}");
    assert!(
        by_file.contains("The board file has changed since the last record: changed in the file"),
        "{by_file}"
    );
    assert!(by_file.contains("other clamp or conductors since: incomer L"), "{by_file}");
    assert!(by_file.contains("stays open: what was disturbed is still to be said"), "{by_file}");
    assert!(by_file.contains("To go on: witnessmark revisit boards/hut.ron"), "{by_file}");
}

/// What the person answers at a revisit, besides what is answered at a first visit.
fn back(heard: &str, setting: &mut String) -> String {
    let asked = heard.rsplit("\n\n").next().unwrap();
    let table = [
        ("What happened since", "meter exchanged"),
        ("Which terminals were disturbed", "1"),
        ("How were their", "1"),
        ("Who did it", "the fitter"),
        ("check the tightness", "not known"),
        ("Does it hold?", "1"),
        ("look at it. It is:", "r"),
        ("as it was found. It is:", "f"),
        ("Before the click the screw", "h"),
    ];
    let found = table.iter().find(|(words, _)| asked.contains(words));
    found.map_or_else(|| answer(heard, setting), |(_, answer)| (*answer).to_owned())
}

/// Nothing that was answered stands twice.
fn once(lines: &[Line]) {
    let mut seen = BTreeSet::new();
    for line in lines {
        let done = match &line.fact {
            Fact::Looked(f) => format!("looked {:?}", f.terminals),
            Fact::Tugged(f) => format!("tugged {:?}", f.conductors),
            Fact::Torqued(f) => format!("torqued {:?}", f.terminals),
            Fact::Scope(_) => "scope".into(),
            _ => continue,
        };
        assert!(seen.insert(done.clone()), "{done} stands twice");
    }
}

/// Kill -9 at a random moment of a revisit, again and again until it is closed.
#[test]
fn nothing_confirmed_is_lost_or_doubled_however_often_a_revisit_is_killed() {
    let mut dice = Dice(20_261_126);
    let mut kills = 0;
    while kills < 40 {
        let home = tempfile::tempdir().unwrap();
        let mut setting = String::new();
        let mut talk = Talk::begin(HUT, home.path());
        while let Some(heard) = talk.question() {
            talk.say(&answer(&heard, &mut setting));
        }
        talk.end();
        assert_eq!(of_kind(home.path(), VisitKind::First).unwrap().1.end, End::Closed);
        loop {
            let before = of_kind(home.path(), VisitKind::Revisit).map_or(0, |(_, record)| record.lines.len());
            let mut talk = Talk::of("revisit", HUT, home.path());
            let mut left = dice.below(14) + 1;
            let killed = loop {
                let Some(heard) = talk.question() else { break false };
                talk.say(&back(&heard, &mut setting));
                left = left.saturating_sub(1);
                if left == 0 && kills < 40 {
                    thread::sleep(Duration::from_micros(dice.below(4) * dice.below(400)));
                    break true;
                }
            };
            let said = if killed { talk.kill() } else { talk.end().1 };
            kills += usize::from(killed);
            let told = said.lines().filter(|line| line.contains("recorded ")).count();
            let Some((_, record)) = of_kind(home.path(), VisitKind::Revisit) else {
                assert_eq!(told, 0, "said to be recorded and gone");
                continue;
            };
            let own = usize::from(before > 0);
            assert!(
                record.lines.len() >= before + own + told,
                "something said to be recorded is lost:\n{said}"
            );
            once(&record.lines);
            assert_eq!(invariant::check(&replay(&record.lines)), Ok(()));
            if record.end == End::Closed {
                assert_eq!(replay(&record.lines).counts().open, 0);
                break;
            }
            assert!(killed, "it ended by itself before the visit was closed:\n{said}");
        }
    }
}
