//! Disks that fill up, can only be read, or go away in the middle of a walk, and what the person is told and can do.
//!
//! Real disks where the machine lets us have them; the issue's own text (point 5), no outside source.
#![cfg(unix)]

use crate::journal_places::SmallDisk;
use crate::program::{Input, only_record, run};
use crate::talk::{Talk, answer};
use std::fs;
use std::io::Write;
use std::path::Path;
use witnessmark::domain::record::Fact;
use witnessmark::journal::{End, RealStorage, read};

const LAMP_HUT: &str = "tests/boards/lamp-hut.ron";

/// Answers well until a question has these words in it.
fn until(talk: &mut Talk, setting: &mut String, words: &str) -> String {
    loop {
        let heard = talk.question().unwrap_or_else(|| panic!("it ended before {words}"));
        if heard.contains(words) {
            return heard;
        }
        talk.say(&answer(&heard, setting));
    }
}

/// Answers well to the end.
fn to_the_end(mut talk: Talk, setting: &mut String) -> String {
    while let Some(heard) = talk.question() {
        talk.say(&answer(&heard, setting));
    }
    let (code, said) = talk.end();
    assert_eq!(code, 0, "{said}");
    said
}

/// Fills a disk to its last byte.
fn fill(folder: &Path) {
    let mut file = fs::File::create(folder.join("filler")).unwrap();
    while file.write_all(&[0; 512]).is_ok() {}
    while file.write_all(&[0]).is_ok() {}
}

#[test]
fn a_full_disk_is_told_and_the_walk_goes_on_once_there_is_room() {
    let Some(disk) = SmallDisk::new("256k") else { return };
    let folder = disk.path();
    let mut setting = String::new();
    let mut talk = Talk::begin(LAMP_HUT, folder);
    until(&mut talk, &mut setting, "incomer N (16 mm2, 7 wires): prepared how?");
    let before = read(&RealStorage, &only_record(folder)).unwrap().lines.len();
    fill(folder);
    // what is left of the last block still takes a few lines
    talk.say("1");
    let told = until(&mut talk, &mut setting, "NOT STORED");
    assert!(told.contains("the disk is full") && told.contains("safe."), "{told}");
    assert!(!told.contains("recorded incomer"), "{told}");
    talk.say("1");
    let again = talk.question().unwrap();
    assert!(again.contains("NOT STORED") && again.contains("the disk is full"), "the message stays: {again}");
    fs::remove_file(folder.join("filler")).unwrap();
    talk.say("1");
    let stored = talk.question().unwrap();
    assert!(stored.contains("recorded "), "{stored}");
    talk.say(&answer(&stored, &mut setting));
    let said = to_the_end(talk, &mut setting);
    let record = read(&RealStorage, &only_record(folder)).unwrap();
    assert_eq!(record.end, End::Closed);
    assert_eq!(said.matches("\nrecorded ").count(), record.lines.len(), "every line once, none lost");
    assert!(record.lines.len() > before);
}

#[test]
fn a_folder_that_can_only_be_read_is_told_before_anything_is_claimed() {
    let Some(disk) = SmallDisk::new("256k") else { return };
    assert!(disk.remount("ro"));
    let folder = disk.path().to_str().unwrap();
    let rehearse = ["rehearse", LAMP_HUT, "--plain", "--records", folder];
    let home = tempfile::tempdir().unwrap();
    let said = run(&rehearse, home.path(), Input::EmptyForEver).expect(2);
    assert!(said.out.contains("the disk can only be read, not written"), "{}", said.out);
    assert!(!said.out.contains("\nrecorded "), "{}", said.out);
}

#[test]
fn where_the_folder_is_gone_everything_is_saved_elsewhere_whole_and_the_walk_goes_on_there() {
    let folder = tempfile::tempdir().unwrap();
    let stick = folder.path().join("stick");
    fs::create_dir(&stick).unwrap();
    let mut setting = String::new();
    let mut talk = Talk::begin(LAMP_HUT, &stick);
    until(&mut talk, &mut setting, "incomer N (16 mm2, 7 wires): prepared how?");
    let before = read(&RealStorage, &only_record(&stick)).unwrap().lines;
    fs::rename(&stick, folder.path().join("gone")).unwrap();
    talk.say("1");
    let told = talk.question().unwrap();
    assert!(told.contains("NOT STORED") && told.contains("is not there"), "{told}");
    assert!(told.contains("whole in this program"), "{told}");
    let elsewhere = folder.path().join("elsewhere");
    talk.say("2");
    let heard = talk.question().unwrap();
    assert!(heard.contains("in which folder?"), "{heard}");
    talk.say(elsewhere.to_str().unwrap());
    let stored = talk.question().unwrap();
    assert!(stored.contains("recorded "), "{stored}");
    talk.say(".q");
    let (code, said) = talk.end();
    assert_eq!(code, 0);
    let record = only_record(&elsewhere);
    let lines = read(&RealStorage, &record).unwrap().lines;
    assert_eq!(lines[..before.len()], before);
    assert!(matches!(lines.last().unwrap().fact, Fact::Prepared(_)));
    // what is told to go on with finds it there
    let told = format!("To go on: witnessmark walk {LAMP_HUT} --plain --records {}", elsewhere.display());
    assert!(said.contains(&told), "{said}");
    to_the_end(Talk::begin(LAMP_HUT, &elsewhere), &mut setting);
    assert_eq!(read(&RealStorage, &record).unwrap().end, End::Closed);
}

/// Issue 4, point 8: how to go on, what is still open, and where the record lies. No outside source.
#[test]
fn leaving_tells_what_settles_which_scale_is_unread_where_the_record_lies_and_how_to_go_on() {
    let folder = tempfile::tempdir().unwrap();
    let mut setting = String::new();
    let mut talk = Talk::begin("boards/engine-shed.ron", folder.path());
    until(&mut talk, &mut setting, "incomer L2, screw 1 (rear, then front): tighten");
    talk.say(".q");
    assert!(talk.question().unwrap().contains("before leaving: the scale of tool A, then leave again"));
    talk.say(".q");
    let (code, said) = talk.end();
    assert_eq!(code, 0);
    let end = said.rsplit("Left for the day").next().unwrap();
    assert!(end.contains("The visit stays open: 134 of 139 terminals are open."), "{end}");
    assert!(end.contains("Besides these: settling 1, next due "), "{end}");
    assert!(end.contains("Scale still to be read: tool A. Leave it at its setting until then."), "{end}");
    assert!(end.contains(&format!("Record: {}", only_record(folder.path()).display())), "{end}");
    assert!(end.contains("To go on: witnessmark walk boards/engine-shed.ron --plain --records"), "{end}");
}
