//! House rules, read off the source as text: which way imports point, how long a file may be, what lies where.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

const ROOT: &str = env!("CARGO_MANIFEST_DIR");

/// Lines a file in `src` may have.
const LINES_MAX: usize = 400;

/// Room, and the rooms it may look into (itself apart).
const ROOMS: &[(&str, &[&str])] = &[
    ("domain", &[]),
    ("session", &["domain"]),
    ("office", &["domain", "session"]),
    ("written", &["domain"]),
    ("board_file", &["domain", "written"]),
    ("tools_file", &["domain", "written"]),
    ("journal", &["domain"]),
    ("appendix", &["domain", "session"]),
    ("clock", &["domain", "session"]),
    ("plain", &["domain", "session", "office", "clock"]),
    ("tui", &["domain", "session", "office", "clock"]),
    (
        "cli",
        &[
            "domain",
            "session",
            "office",
            "board_file",
            "tools_file",
            "journal",
            "appendix",
            "clock",
            "plain",
            "tui",
        ],
    ),
    ("main", &["cli"]),
    ("lib", &[]),
];

fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files(&path, ending));
        } else if path.extension().is_some_and(|e| e == ending) {
            found.push(path);
        }
    }
    found.sort();
    found
}

fn source() -> Vec<(PathBuf, String)> {
    let src = Path::new(ROOT).join("src");
    files(&src, "rs")
        .into_iter()
        .filter(|path| !path.ends_with("tests.rs"))
        .map(|path| (path.strip_prefix(&src).unwrap().to_path_buf(), fs::read_to_string(&path).unwrap()))
        .collect()
}

fn room(path: &Path) -> String {
    let first = path.components().next().unwrap().as_os_str().to_string_lossy().into_owned();
    first.trim_end_matches(".rs").to_owned()
}

/// Code without its comments and tests.
fn code(text: &str) -> String {
    let text = text.split("#[cfg(test)]").next().unwrap();
    text.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

#[test]
fn imports_point_downward_only() {
    let mut wrong = Vec::new();
    for (path, text) in source() {
        let room = room(&path);
        let (_, allowed) = ROOMS
            .iter()
            .find(|(name, _)| *name == room)
            .unwrap_or_else(|| panic!("{room}: a new room is entered in the table of rooms first"));
        let code = code(&text);
        for (other, _) in ROOMS {
            let named = ["crate::", "witnessmark::"].iter().any(|from| {
                code.contains(&format!("{from}{other}::")) || code.contains(&format!("{from}{other};"))
            });
            if named && *other != room && !allowed.contains(other) {
                wrong.push(format!("{} looks into {other}", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn only_the_rooms_that_may_know_a_terminal_a_file_or_the_environment_do() {
    let mut wrong = Vec::new();
    let rules: &[(&str, &[&str])] = &[
        ("ratatui", &["tui"]),
        ("std::env", &["cli", "main"]),
        ("std::fs", &["journal", "written", "cli"]),
        ("std::io", &["journal", "written", "cli", "plain", "tui", "main"]),
        ("std::time::Instant", &["clock"]),
        ("std::time::SystemTime", &["clock"]),
        ("ron::", &["written"]),
        ("serde_json::", &["journal"]),
        ("clap::", &["cli"]),
        ("directories::", &["cli"]),
    ];
    for (path, text) in source() {
        let room = room(&path);
        let code = code(&text);
        for (what, rooms) in rules {
            if code.contains(what) && !rooms.contains(&room.as_str()) {
                wrong.push(format!("{} names {what}", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn no_source_file_is_too_long_to_be_read_in_one_go() {
    let long: Vec<String> = source()
        .into_iter()
        .map(|(path, text)| (path, text.lines().count()))
        .filter(|(_, lines)| *lines > LINES_MAX)
        .map(|(path, lines)| format!("{} has {lines} lines", path.display()))
        .collect();
    assert!(long.is_empty(), "{long:#?}");
}

#[test]
fn every_test_file_is_part_of_the_binary() {
    let folder = Path::new(ROOT).join("tests/it");
    let main = fs::read_to_string(folder.join("main.rs")).unwrap();
    for entry in fs::read_dir(&folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        if name != "main" && (path.is_dir() || path.extension().is_some_and(|e| e == "rs")) {
            assert!(main.contains(&format!("mod {name};")), "tests/it/{name} is not in tests/it/main.rs");
        }
    }
}

#[test]
fn the_top_level_holds_what_was_agreed() {
    let allowed: BTreeSet<&str> = [
        "Cargo.toml",
        "Cargo.lock",
        "LICENSE",
        "README.md",
        "DEVELOPERS.md",
        "src",
        "boards",
        "tests",
        "snapshots",
        "target",
    ]
    .into();
    for entry in fs::read_dir(ROOT).unwrap() {
        let name = entry.unwrap().file_name().to_string_lossy().into_owned();
        assert!(name.starts_with('.') || allowed.contains(name.as_str()), "{name} lies on the top level");
    }
}

#[test]
fn the_paint_line_is_two_words_and_no_maker_is_named() {
    for (path, text) in source() {
        let prose = text.replace("witnessmark", "").replace("Witnessmark", "");
        assert!(!prose.to_lowercase().contains("witness-mark"), "{}", path.display());
    }
    for board in files(&Path::new(ROOT).join("boards"), "ron") {
        let text = fs::read_to_string(&board).unwrap();
        assert!(
            text.to_lowercase().contains("illustrative"),
            "{} must say that its makers are",
            board.display()
        );
        for line in text.lines().filter(|line| line.trim_start().starts_with("maker:")) {
            assert!(line.contains("Illustrative"), "{}: {line}", board.display());
        }
    }
}
