//! The tools file on the disk: replaced whole and durable, or not at all; and what the commands say of it.

use crate::faulty::{Broken, Faulty};
use crate::program::{Input, run};
use std::path::Path;
use witnessmark::cli::toolbox::{SaveError, ToolsOnDisk};
use witnessmark::domain::toolbox::Toolbox;
use witnessmark::journal::{RealStorage, Storage as _, Trouble};
use witnessmark::tools_file::{self, BYTES_MAX, LoadFault};

const PLACE: &str = "/r/config/tools.ron";

fn railway() -> Toolbox {
    tools_file::read(tools_file::example().as_bytes(), None).unwrap().toolbox
}

/// A toolbox with so many of the railway's tools.
fn first(count: usize) -> Toolbox {
    Toolbox { tools: railway().tools.into_iter().take(count).collect() }
}

fn well() -> Faulty {
    Faulty::new(1, Broken::default())
}

fn open(disk: &Faulty) -> ToolsOnDisk<Faulty> {
    ToolsOnDisk::open(disk.clone(), Path::new(PLACE), None).unwrap_or_else(|why| panic!("{why}"))
}

fn is_there(disk: &Faulty) -> Option<Vec<u8>> {
    disk.read(Path::new(PLACE)).ok()
}

#[test]
fn no_file_is_an_empty_toolbox_and_the_first_save_makes_it() {
    let disk = well();
    let mut held = open(&disk);
    assert!(held.toolbox().tools.is_empty() && !held.is_there());
    held.save(first(2)).unwrap();
    disk.power_cut(true);
    let held = open(&disk);
    assert_eq!(held.toolbox(), &first(2));
    assert!(is_there(&disk).unwrap().starts_with(tools_file::HEAD.as_bytes()));
}

#[test]
fn what_was_saved_is_durable_and_what_failed_can_be_tried_again() {
    let mut failed = 0;
    for seed in 0..40 {
        let disk = Faulty::new(seed, Broken { one_in: 5, crashes: seed % 2 == 0, ..Broken::default() });
        disk.put(Path::new("/r/tools.ron"), tools_file::write(&first(1), "// ours").as_bytes());
        let Ok(mut held) = ToolsOnDisk::open(disk.clone(), Path::new("/r/tools.ron"), None) else { continue };
        let mut saved = first(1);
        let mut tried = Vec::new();
        for count in [2, 3, 3, 3, 4] {
            match held.save(first(count)) {
                Ok(()) => {
                    saved = first(count);
                    tried.clear();
                }
                Err(SaveError::Disk(..)) => {
                    failed += 1;
                    tried.push(first(count));
                }
                Err(other) => panic!("seed {seed}: {other}"),
            }
            assert_eq!(held.toolbox(), &saved, "seed {seed}: nothing is shown as saved that is not");
        }
        disk.power_cut(seed % 3 == 0);
        disk.0.borrow_mut().broken = Broken::default();
        let after = ToolsOnDisk::open(disk.clone(), Path::new("/r/tools.ron"), None);
        let after = after.unwrap_or_else(|why| panic!("seed {seed}: {why}"));
        assert!(
            after.toolbox() == &saved || tried.contains(after.toolbox()),
            "seed {seed}: the old tools or the new ones, never a part"
        );
    }
    assert!(failed > 15, "{failed}");
}

#[test]
fn a_file_that_was_changed_since_is_not_written_over() {
    let disk = well();
    let mut held = open(&disk);
    held.save(first(1)).unwrap();
    let theirs = tools_file::write(&first(3), "// by hand");
    disk.put(Path::new(PLACE), theirs.as_bytes());
    assert!(matches!(held.save(first(2)), Err(SaveError::Changed(_))));
    assert_eq!(is_there(&disk).unwrap(), theirs.as_bytes());
    let mut held = open(&disk);
    held.save(first(2)).unwrap();
    assert!(is_there(&disk).unwrap().starts_with(b"// by hand\nTools("), "their comment is kept");
}

#[test]
fn a_file_that_cannot_be_read_gives_nothing_that_could_be_saved() {
    for wrong in [&b"Tools(format: 1, tools: ["[..], b"\xff", b"", b"Board(format: 0)", b"Tools(format: 2)"] {
        let disk = well();
        disk.put(Path::new("/r/tools.ron"), wrong);
        let told = ToolsOnDisk::open(disk.clone(), Path::new("/r/tools.ron"), None).expect_err("wrong");
        assert!(matches!(told.fault, LoadFault::Wrong { .. }), "{told}");
        assert!(told.to_string().starts_with("error: "), "{told}");
    }
    let disk = well();
    disk.put(Path::new("/r/tools.ron"), &vec![b' '; usize::try_from(BYTES_MAX).unwrap() + 1]);
    let told = ToolsOnDisk::open(disk, Path::new("/r/tools.ron"), None).expect_err("too large");
    assert!(matches!(told.fault, LoadFault::TooLarge(_)), "{told}");
}

#[test]
fn tools_that_would_not_read_the_same_are_not_written() {
    let disk = well();
    let mut held = open(&disk);
    let mut wrong = first(1);
    wrong.tools[0].graduation = None;
    assert!(matches!(held.save(wrong), Err(SaveError::NotTheSame(_))));
    assert!(is_there(&disk).is_none());
}

#[test]
fn a_real_disk_keeps_it_too() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a/b/tools.ron");
    let mut held = ToolsOnDisk::open(RealStorage, &path, None).unwrap();
    held.save(first(1)).unwrap();
    held.save(railway()).unwrap();
    assert_eq!(tools_file::load(&path, None).unwrap().toolbox, railway());
    let beside: Vec<_> = std::fs::read_dir(folder.path().join("a/b")).unwrap().collect();
    assert_eq!(beside.len(), 1, "nothing is left beside it");
    std::fs::remove_file(&path).unwrap();
    assert!(matches!(held.save(first(1)), Err(SaveError::Changed(_))), "taken away is changed, too");
    let told = ToolsOnDisk::open(RealStorage, folder.path(), None).expect_err("a folder");
    assert!(told.to_string().contains("a tools file is wanted"), "{told}");
    let why = SaveError::Disk(path, Trouble::DiskFull).to_string();
    assert!(why.contains("was not saved: the disk is full"), "{why}");
}

fn nothing() -> Input {
    Input::Bytes(Vec::new())
}

#[test]
fn check_reads_tools_files_beside_board_files() {
    let home = tempfile::tempdir().unwrap();
    let said =
        run(&["check", "boards/tools.ron", "boards/ticket-office.ron"], home.path(), nothing()).expect(0);
    assert!(said.err.is_empty(), "{}", said.err);
    assert!(
        said.out.starts_with("boards/tools.ron: tools file: can be used; 5 tools, 1 of them retired\n"),
        "{}",
        said.out
    );
    assert!(said.out.contains("ticket-office.ron: board TO-1"), "{}", said.out);
    let said = run(&["check", "tests/warned_tools/no_calibration.ron"], home.path(), nothing()).expect(0);
    assert!(said.err.starts_with("warning: no calibration"), "{}", said.err);
    assert!(said.out.contains("1 tool, 1 without a calibration"), "{}", said.out);
    let wrong = ["check", "tests/bad_tools/five_mistakes.ron", "tests/bad_tools/format_newer.ron"];
    let said = run(&wrong, home.path(), nothing()).expect(2);
    assert_eq!(said.err.matches("error: ").count(), 6, "{}", said.err);
    // what begins as neither is taken for a board file
    let said = run(&["check", "tests/bad_tools/not_tools.ron"], home.path(), nothing()).expect(2);
    assert!(said.err.contains("Board(...) is expected here"), "{}", said.err);
}

#[test]
fn the_demo_file_that_is_printed_is_the_one_that_is_shipped() {
    let home = tempfile::tempdir().unwrap();
    let said = run(&["example", "--tools"], home.path(), nothing()).expect(0);
    assert_eq!(said.out, tools_file::example());
}

#[test]
fn places_says_where_the_tools_file_lies_and_how_it_stands() {
    let home = tempfile::tempdir().unwrap();
    let tools = |more: &[&str]| {
        let said = run(&[&["places"], more].concat(), home.path(), nothing()).expect(0).out;
        said.lines().find(|line| line.starts_with("tools ")).unwrap().to_owned()
    };
    let usual = home.path().join("config/witnessmark/tools.ron");
    assert_eq!(tools(&[]), format!("tools       {} (not there yet)", usual.display()));
    assert!(tools(&["--tools", "boards/tools.ron"]).ends_with("boards/tools.ron (5 tools)"));
    assert!(
        tools(&["--tools", "tests/bad_tools/empty.ron"]).ends_with("empty.ron (cannot be read: check it)")
    );
}
