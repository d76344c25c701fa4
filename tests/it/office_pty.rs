//! `witnessmark` alone in a real terminal: it starts, takes a new size, stops and goes on, hands over to a visit, and
//! leaves the terminal as it found it. Unix only.

use super::keys::OPENED;
use super::pty::{Pty, at_least_one, size, walk};
use portable_pty::CommandBuilder;
use tempfile::TempDir;

const ASKED: &str = "Go on with which visit, or look at which board?";

/// A records folder with a visit left open.
fn left_open() -> TempDir {
    let records = tempfile::tempdir().unwrap();
    let mut pty = Pty::start(walk(&records));
    pty.shows("Your name");
    pty.types(OPENED);
    pty.shows("proved this board dead");
    pty.types("<Ctrl-c>");
    assert!(pty.end().success());
    assert!(pty.text().contains("To go on: witnessmark walk"), "{}", pty.text());
    records
}

fn alone(records: &TempDir, more: &[&str]) -> Pty {
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_witnessmark"));
    command.args(["--records".as_ref(), records.path().as_os_str()]);
    command.args(more);
    Pty::start(command)
}

#[test]
fn alone_it_starts_takes_a_new_size_and_leaves_the_terminal_usable() {
    let records = left_open();
    let mut pty = alone(&records, &[]);
    pty.shows(ASKED);
    assert!(pty.is_taken());
    assert!(pty.text().contains("Visits left open: 1"), "{}", pty.text());
    assert!(pty.text().contains("serial 77 calibration not stated"), "{}", pty.text());
    pty.until("the whole frame", Pty::frame_is_whole);
    for (columns, rows) in [(20, 5), (1, 1), (120, 40)] {
        let before = pty.bytes.len();
        pty.master.resize(size(columns, rows)).unwrap();
        pty.screen.screen_mut().set_size(at_least_one(rows), at_least_one(columns));
        pty.until("a frame of the new size", |pty| pty.bytes.len() > before && pty.frame_is_whole());
    }
    pty.shows(ASKED);
    pty.types("2");
    pty.shows("Folder of its records");
    pty.types("q");
    assert!(pty.end().success());
    assert!(pty.is_usable(), "{}", pty.text());
}

#[test]
fn alone_it_goes_on_with_an_open_visit_and_the_first_key_there_is_not_lost() {
    let records = left_open();
    let mut pty = alone(&records, &[]);
    pty.shows(ASKED);
    pty.types("1");
    pty.shows("Who is on the tool now?");
    // typed at once, while the keyboard of the page before may still be listening
    pty.types("<Enter>Pat");
    pty.shows("> Pat");
    pty.types("<Ctrl-c>");
    assert!(pty.end().success());
    assert!(pty.is_usable(), "{}", pty.text());
    assert!(pty.text().contains("To go on: witnessmark --records"), "{}", pty.text());
}

/// The second screen of one run: signals must still find the guard, and not the end of the screen before.
#[test]
fn ended_by_the_system_on_the_second_screen_the_terminal_is_given_back() {
    for (name, said) in [("TERM", "Terminated"), ("HUP", "Hangup"), ("INT", "Interrupt")] {
        let records = left_open();
        let mut pty = alone(&records, &[]);
        pty.shows(ASKED);
        pty.types("1");
        pty.shows("Who is on the tool now?");
        assert!(pty.is_taken());
        pty.signal(name);
        let status = pty.end();
        assert_eq!(status.signal(), Some(said), "{status:?}");
        assert!(pty.is_usable(), "{name}: {}", pty.text());
    }
}

#[test]
fn alone_it_stops_and_goes_on_and_is_ended_by_the_system() {
    let records = left_open();
    let mut shell = CommandBuilder::new("sh");
    shell.args(["-i"]);
    shell.cwd(records.path());
    shell.env("PS1", "ready> ");
    shell.env_remove("ENV");
    let mut pty = Pty::start(shell);
    pty.shows("ready>");
    let line = format!("'{}' --records .\r", env!("CARGO_BIN_EXE_witnessmark"));
    pty.keys.write_all(line.as_bytes()).unwrap();
    pty.shows(ASKED);
    pty.types("<Ctrl-z>");
    pty.until("the prompt", |pty| !pty.screen.screen().alternate_screen() && pty.text().ends_with("ready>"));
    assert!(!pty.screen.screen().hide_cursor());
    pty.keys.write_all(b"fg\r").unwrap();
    pty.until("the screen again", |pty| pty.screen.screen().alternate_screen() && pty.text().contains(ASKED));
    pty.types("q");
    pty.until("the shell again", |pty| {
        !pty.screen.screen().alternate_screen() && pty.text().ends_with("ready>")
    });
    pty.keys.write_all(b"exit\r").unwrap();
    pty.end();
}

#[test]
fn line_by_line_alone_it_goes_on_too_and_says_how_to_come_back() {
    let records = left_open();
    for (typed, code) in [("q<Enter>", 0), ("<Ctrl-d>", 0)] {
        let mut pty = alone(&records, &["--plain"]);
        pty.shows(ASKED);
        pty.types(typed);
        assert_eq!(pty.end().exit_code(), code, "{typed}");
        assert!(!String::from_utf8_lossy(&pty.bytes).contains("\u{1b}[?1049h"), "no full screen");
    }
    let mut pty = alone(&records, &["--plain"]);
    pty.shows(ASKED);
    pty.types("1<Enter>");
    pty.shows("Who is on the tool now?");
    pty.types(".q<Enter>");
    assert!(pty.end().success());
    assert!(pty.text().contains("To go on: witnessmark --plain --records"), "{}", pty.text());
}

#[test]
fn from_start_to_the_tools_and_back_a_tool_is_saved_on_the_one_screen() {
    let records = left_open();
    let file = records.path().join("kept").join("tools.ron");
    let mut pty = alone(&records, &["--tools", file.to_str().unwrap()]);
    pty.shows(ASKED);
    pty.types("t");
    pty.shows("No tool is known yet.");
    pty.types("1");
    pty.shows("What do you call it?");
    pty.types(
        "driver<Space>E<Enter>IL-5<Enter>11<Enter>0.5<Enter>6<Enter>0.05<Enter><Enter><Enter><Enter><Enter>",
    );
    pty.shows("Is this right?");
    assert!(!file.exists(), "nothing is written before it is said to be right");
    pty.types("<Enter>");
    pty.shows("saved: the tool is in the tools file");
    assert!(std::fs::read_to_string(&file).unwrap().contains("IL-5"));
    pty.types("q");
    pty.shows(ASKED);
    pty.shows("driver E serial IL-5");
    let sent = String::from_utf8_lossy(&pty.bytes).into_owned();
    assert_eq!(sent.matches("\u{1b}[?1049h").count(), 1, "the screen is taken once for all pages");
    pty.types("q");
    assert!(pty.end().success());
    assert!(pty.is_usable(), "{}", pty.text());
}
