//! Wrong board files and their whole messages. Every file in `tests/bad_boards/` has its message as the snapshot
//! `board_<name>`, every file in `tests/warned_boards/` (which loads) has its warnings as `warned_<name>`; the lists of
//! what must be found are the project's own.

use crate::rig::snap;
use proptest::prelude::*;
use std::path::PathBuf;
use witnessmark::board_file::{
    self, BYTES_MAX, FORMAT, LoadError, LoadFault, load, read, render, render_warnings,
};
use witnessmark::domain::text::columns;

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/bad_boards");
const WARNED: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/warned_boards");

/// Names of the files in a folder, without their ending.
fn names(folder: &str) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .map(|name| name.strip_suffix(".ron").unwrap_or_else(|| panic!("{name} is no board file")).to_owned())
        .collect();
    names.sort();
    names
}

fn message(name: &str) -> String {
    let bytes = std::fs::read(format!("{FOLDER}/{name}.ron")).unwrap();
    let source = std::str::from_utf8(&bytes).unwrap();
    let problems = read(&bytes).expect_err(name);
    render(&problems, &format!("{name}.ron"), source)
}

fn problems_of(source: &str) -> Vec<(String, String)> {
    let problems = read(source.as_bytes()).expect_err("it must be refused");
    problems
        .into_iter()
        .map(|problem| (source.get(problem.span).unwrap_or("").to_owned(), problem.reason))
        .collect()
}

#[test]
fn every_bad_board_has_its_message() {
    assert!(names(FOLDER).len() >= 20);
    for name in names(FOLDER) {
        let message = message(&name);
        assert!(message.contains("error: ") && message.contains("help: "), "{name}");
        assert!(message.lines().all(|line| columns(line) < 600), "{name}");
        snap().bind(|| insta::assert_snapshot!(format!("board_{name}"), message));
    }
}

#[test]
fn every_warned_board_loads_and_has_its_warnings() {
    assert!(names(WARNED).len() >= 10);
    for name in names(WARNED) {
        let bytes = std::fs::read(format!("{WARNED}/{name}.ron")).unwrap();
        let source = std::str::from_utf8(&bytes).unwrap();
        let read = read(&bytes).unwrap_or_else(|problems| panic!("{name}: {problems:?}"));
        assert!(!read.warnings.is_empty(), "{name} is warned of nothing");
        assert!(read.warnings.windows(2).all(|two| two[0].span.start <= two[1].span.start), "{name}");
        let message = render_warnings(&read.warnings, &format!("{name}.ron"), source);
        assert!(!message.contains("error"), "{name}");
        assert_eq!(message.matches("warning: ").count(), read.warnings.len(), "{name}");
        assert_eq!(message.matches("help: ").count(), read.warnings.len(), "{name}");
        snap().bind(|| insta::assert_snapshot!(format!("warned_{name}"), message));
    }
}

#[test]
fn every_bad_or_warned_board_has_a_snapshot_and_every_snapshot_a_board() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/snapshots");
    for (boards, prefix) in [(FOLDER, "board_"), (WARNED, "warned_")] {
        let mut kept: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .filter_map(|name| Some(name.strip_prefix(prefix)?.strip_suffix(".snap")?.to_owned()))
            .collect();
        kept.sort();
        assert_eq!(kept, names(boards));
    }
}

#[test]
fn five_mistakes_are_told_in_one_go_and_in_file_order() {
    let bytes = std::fs::read(format!("{FOLDER}/five_mistakes.ron")).unwrap();
    let problems = read(&bytes).expect_err("five mistakes");
    let reasons: Vec<&str> = problems.iter().map(|problem| problem.reason.as_str()).collect();
    for part in
        ["no key \"sitte\"", "no key \"torqe\"", "bare number 2.0", "2.4 mm2", "no device is named \"B6\""]
    {
        assert!(reasons.iter().any(|reason| reason.contains(part)), "{part}: {reasons:?}");
    }
    assert!(problems.windows(2).all(|two| two[0].span.start <= two[1].span.start));
}

#[test]
fn a_newer_format_says_newer_and_nothing_else() {
    let newer = format!("// a later program\nBoard2(format: {}, colour: [1, 2], title: ())", FORMAT + 1);
    let problems = problems_of(&newer);
    assert_eq!(problems.len(), 1, "{problems:?}");
    assert!(problems[0].1.contains("newer"), "{problems:?}");
}

#[test]
fn byte_order_mark_and_crlf_keep_lines_and_columns() {
    for name in ["five_mistakes", "csa_not_in_iec_60228"] {
        let unix = std::fs::read_to_string(format!("{FOLDER}/{name}.ron")).unwrap();
        let windows = format!("\u{feff}{}", unix.replace('\n', "\r\n"));
        let problems = read(windows.as_bytes()).expect_err(name);
        assert_eq!(render(&problems, &format!("{name}.ron"), &windows), message(name));
    }
    let good = board_file::example();
    let windows = format!("\u{feff}{}", good.replace('\n', "\r\n"));
    assert_eq!(read(windows.as_bytes()).unwrap().board, read(good.as_bytes()).unwrap().board);
}

#[test]
fn a_mark_on_the_very_first_value_is_counted_in_no_column() {
    let source = "\u{feff}Tool(format: 0)";
    let problems = read(source.as_bytes()).expect_err("no board");
    let page = render(&problems, "x.ron", source);
    assert!(page.contains("x.ron:1:1\n  | Tool(format: 0)\n  | ^^^^\n"), "{page}");
}

#[test]
fn nesting_of_100_000_is_refused() {
    for (open, close) in [("(", ")"), ("[", "]"), ("Some(", ")"), ("{\"a\":", "}"), ("/*", "*/")] {
        let deep = format!("Board(format: 0, title: {}1{})", open.repeat(100_000), close.repeat(100_000));
        let problems = read(deep.as_bytes()).expect_err(open);
        let page = render(&problems, "deep.ron", &deep);
        assert!(page.len() < 20_000, "{open}: {}", page.len());
    }
}

#[test]
fn what_is_no_text_or_nothing_is_refused() {
    let problems = read(b"Board(\n\xff").expect_err("no text");
    assert!(problems[0].reason.contains("not UTF-8"), "{problems:?}");
    for empty in [&b""[..], b"  \r\n", b"\xef\xbb\xbf"] {
        let problems = read(empty).expect_err("nothing");
        assert!(problems[0].reason.contains("empty"), "{problems:?}");
        assert!(render(&problems, "e.ron", "").contains("e.ron:1:1"));
    }
}

fn fails(path: &std::path::Path) -> (LoadError, String) {
    let why = load(path).expect_err("it must not load");
    let told = why.to_string();
    assert!(told.starts_with("error: ") && told.contains("help: "), "{told}");
    (why, told)
}

#[test]
fn files_that_cannot_be_read_say_why() {
    let folder = tempfile::tempdir().unwrap();
    assert!(matches!(fails(folder.path()).0.fault, LoadFault::Directory));
    assert!(matches!(fails(&folder.path().join("none.ron")).0.fault, LoadFault::Missing));
    // 100 MB that are never read: the size is looked at first
    let large = folder.path().join("large.ron");
    std::fs::File::create(&large).unwrap().set_len(100_000_000).unwrap();
    let (why, told) = fails(&large);
    assert!(matches!(why.fault, LoadFault::TooLarge(100_000_000)));
    assert!(told.contains(&BYTES_MAX.to_string()), "{told}");
    assert!(read(&vec![b' '; 2 * 1_048_576]).is_err());
    let broken = folder.path().join("broken.ron");
    std::fs::File::create(&broken)
        .map(|mut file| std::io::Write::write_all(&mut file, b"Board(\n  \xfftitle"))
        .unwrap()
        .unwrap();
    let (why, told) = fails(&broken);
    assert!(matches!(why.fault, LoadFault::Wrong { .. }));
    assert!(told.contains("broken.ron:2:3"), "{told}");
}

#[cfg(unix)]
#[test]
fn an_unreadable_file_says_so() {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = tempfile::tempdir().unwrap();
    let path: PathBuf = folder.path().join("closed.ron");
    std::fs::File::create(&path).unwrap().set_permissions(std::fs::Permissions::from_mode(0o000)).unwrap();
    if std::fs::read(&path).is_ok() {
        return; // whoever may read everything cannot see this
    }
    assert!(matches!(fails(&path).0.fault, LoadFault::Unreadable(_)));
}

#[test]
fn numbers_beyond_measure_neither_panic_nor_hang() {
    let good = board_file::example();
    for odd in [
        "1e309",
        "NaN",
        "inf",
        "-0",
        "0x10",
        "1_0",
        "99999999999999999999999999",
        "'c'",
        "b\"x\"",
        "1..=5",
        "()",
    ] {
        for (key, value) in
            [("ways: 10", "ways: "), ("format: 0", "format: "), ("rated: \"80 A\"", "rated: ")]
        {
            let source = good.replacen(key, &format!("{value}{odd}"), 1);
            let problems =
                read(source.as_bytes()).map_or_else(|why| why, |_| panic!("{value}{odd} was accepted"));
            assert!(!render(&problems, "odd.ron", &source).is_empty());
        }
    }
}

#[test]
fn a_message_stays_short_however_long_the_line() {
    let good = board_file::example();
    let long = "x".repeat(200_000);
    for source in [
        good.replacen("\"Ticket office\"", &format!("\"{long}\""), 1),
        good.replacen("title:", &format!("{long}:"), 1),
        good.replacen("No,", &format!("{long},"), 1),
        good.replacen("reference: \"TO-1\"", &format!("/* {long} */ reference: 5 /* {long} */"), 1),
    ] {
        let problems = read(source.as_bytes()).expect_err("too long");
        let page = render(&problems, "long.ron", &source);
        assert!(page.lines().all(|line| columns(line) < 700), "{page}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    /// Nothing that can become of a board file makes reading or its messages panic.
    #[test]
    fn a_damaged_board_never_panics(
        engine_shed in any::<bool>(),
        cut in 0.0_f64..1.2,
        edits in prop::collection::vec((0.0_f64..1.0, any::<prop::sample::Index>(), 0..8_usize), 0..6),
    ) {
        const PIECES: [&str; 16] =
            ["(", ")", "[", "}", "\"", ",", ":", "//", "/*", "\u{202e}", "\u{feff}", "\r", "0", "None", "-", "\u{0}"];
        let source = if engine_shed { board_file::engine_shed() } else { board_file::example() };
        let mut bytes = source.as_bytes().to_vec();
        for (at, piece, taken) in edits {
            let start = scaled(bytes.len(), at);
            let end = (start + taken).min(bytes.len());
            bytes.splice(start..end, piece.get(&PIECES).bytes());
        }
        bytes.truncate(scaled(bytes.len(), cut));
        if let Err(problems) = read(&bytes) {
            prop_assert!(!problems.is_empty());
            let text = String::from_utf8_lossy(&bytes);
            prop_assert!(!render(&problems, "damaged.ron", &text).is_empty());
            prop_assert!(problems.windows(2).all(|two| two[0].span.start <= two[1].span.start));
        }
    }

    /// A message can be rendered for any span of any text.
    #[test]
    fn any_span_of_any_text_can_be_shown(source in "\\PC*[\r\n\t]?\\PC*", start in 0..60_usize, length in 0..60_usize) {
        let problem = board_file::Problem { span: start..start + length, reason: "r".into(), help: "h".into() };
        prop_assert!(render(&[problem], "any.ron", &source).starts_with("error: r\n  any.ron:"));
    }
}

#[allow(
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "a share of a small length"
)]
fn scaled(length: usize, share: f64) -> usize {
    ((length as f64 * share) as usize).min(length)
}
