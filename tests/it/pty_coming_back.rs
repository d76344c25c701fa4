//! A revisit and an audit in a real terminal: opened, one terminal done, killed, gone on with. Unix only.
#![cfg(unix)]

use crate::keys::{GATE, OPENED};
use crate::pty::{Pty, killed, record, visit};
use portable_pty::CommandBuilder;
use std::time::Duration;
use tempfile::TempDir;

/// An observation on the heels of another key is not taken; no hand is faster than this.
fn observes(pty: &mut Pty, key: &str) {
    std::thread::sleep(Duration::from_millis(80));
    pty.types(key);
}

fn leaves(mut pty: Pty, command: &str) {
    pty.types("<Ctrl-c>");
    let status = pty.end();
    assert!(status.success(), "{status:?}");
    assert!(pty.is_usable(), "{}", pty.text());
    assert!(pty.text().contains(&format!("To go on: witnessmark {command}")), "{}", pty.text());
}

#[test]
fn a_revisit_killed_in_the_middle_goes_on_where_it_stopped() {
    let records = TempDir::new().unwrap();
    let mut pty = Pty::start(visit("revisit", &records));
    pty.shows("nothing can be compared");
    pty.shows("Who is on the tool?");
    assert!(pty.is_taken());
    // the last key of the opening, the order of a first visit, says here that the meter was exchanged
    pty.types(OPENED);
    pty.shows("Which terminals were disturbed?");
    pty.types("1");
    pty.shows("How were their conductors disturbed?");
    // another digit: the same one so soon would not be taken where nothing is offered
    pty.types("2");
    pty.shows("Who did it?");
    pty.types("<Enter>");
    pty.shows("check the tightness?");
    pty.types("3");
    pty.shows("Does it hold?");
    pty.types("1");
    pty.shows("Who proved this board dead?");
    pty.types(GATE);
    pty.shows("incomer L: look at it");
    observes(&mut pty, "r");
    pty.shows("incomer N: look at it");
    assert!(record(records.path()).last().unwrap().contains("\"looked\""));
    let mut pty = killed(pty, &records, visit("revisit", &records));
    pty.shows("incomer N: look at it");
    leaves(pty, "revisit");
}

#[test]
fn an_audit_killed_in_the_middle_goes_on_where_it_stopped() {
    let records = TempDir::new().unwrap();
    let mut pty = Pty::start(visit("audit", &records));
    pty.shows("Who is on the tool?");
    pty.types("A.<Space>Ferris<Enter> inspector<Enter> <Enter> 4");
    for (asked, keys) in [
        ("How many minutes are there", "120<Enter>"),
        ("without supply?", "60<Enter>"),
        ("on load now?", "2"),
        ("insulation of this board", "1"),
        ("How far does the tool go?", "3"),
        ("Minutes a terminal for tugging", "<Enter>"),
        ("Confidence of what is claimed", "<Enter>"),
        ("Which plan?", "1"),
        ("Begin?", "1"),
    ] {
        pty.shows(asked);
        pty.types(keys);
    }
    // two of the place are looked at one by one
    pty.shows("incomer: look at every terminal");
    pty.types("incomer<Space>L,<Space>incomer<Space>N<Enter>");
    pty.shows("how many did you see and find right?");
    pty.types("2<Enter>");
    pty.shows("incomer L: look at it");
    observes(&mut pty, "r");
    pty.shows("incomer N: look at it");
    assert!(record(records.path()).last().unwrap().contains("\"looked\""));
    let before = record(records.path());
    pty.signal("KILL");
    assert_eq!(pty.end().signal(), Some("Killed"));
    // nothing is touched before isolation, so no gate is asked yet
    let mut pty = Pty::start(visit("audit", &records));
    pty.shows("Who is on the tool now?");
    pty.types("<Enter>");
    let after = record(records.path());
    assert_eq!(after[..before.len()], before[..], "nothing that was confirmed is lost or doubled");
    pty.shows("incomer N: look at it");
    leaves(pty, "audit");
}

/// What is written before the full screen is broken between words, as everything else a person reads there.
#[test]
fn a_board_without_a_file_is_asked_for_in_lines_that_fit() {
    let records = TempDir::new().unwrap();
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_witnessmark"));
    command.cwd(records.path());
    command.args(["audit", "old-board.ron", "--records", "."]);
    let mut pty = Pty::start(command);
    pty.shows("Reference on the board's label [old-board] >");
    let sent = String::from_utf8_lossy(&pty.bytes).into_owned();
    assert!(sent.lines().count() > 2 && sent.lines().all(|line| line.chars().count() <= 80), "{sent}");
    for (asked, keys) in [
        ("What is it called", "<Enter><Enter>"),
        ("Site or installation", "Fennick<Space>Vale<Enter>"),
        ("Where on the site", "loft<Enter>"),
        ("Supply", "1<Enter>"),
        ("Rated current", "63<Enter>"),
        ("How many ways", "4<Enter>"),
        ("nothing connected", "<Enter>"),
    ] {
        pty.types(keys);
        pty.shows(asked);
    }
    pty.shows("Who is on the tool?");
    pty.shows("standard not stated");
    assert!(!pty.text().contains("edition"), "{}", pty.text());
    pty.types("<Ctrl-c>");
    assert!(pty.end().success());
}
