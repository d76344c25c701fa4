//! The program in a real terminal: what a person is left with when it is killed, stopped, ended or panics. Unix only.
//!
//! Nothing here sleeps: every wait is for something to appear, and fails by name when it does not.

use super::keys::{GATE, OPENED, parse};
use portable_pty::{Child, CommandBuilder, ExitStatus, MasterPty, PtySize, native_pty_system};
use ratatui::crossterm::event::{KeyCode, KeyModifiers};
use ratatui::widgets::Paragraph;
use ratatui::{Terminal, backend::CrosstermBackend};
use std::io::{Read as _, Write};
use std::num::NonZeroU16;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;
use tempfile::TempDir;
use witnessmark::clock::Clock;
use witnessmark::tui::{Guard, OwnTerminal};

/// Longest wait for anything; generous, because the machine may be busy with other builds.
const PATIENCE: Duration = Duration::from_secs(60);
/// Set for the child half of the panic test only.
const PANIC_HERE: &str = "WITNESSMARK_TEST_PANIC";

/// A program in a terminal of 24 lines and 80 columns.
pub(crate) struct Pty {
    pub(crate) master: Box<dyn MasterPty + Send>,
    pub(crate) keys: Box<dyn Write + Send>,
    child: Box<dyn Child + Send + Sync>,
    output: Receiver<Vec<u8>>,
    pub(crate) screen: vt100::Parser,
    pub(crate) bytes: Vec<u8>,
}

/// What is left of the patience since a clock was started.
fn left(clock: &Clock) -> Duration {
    PATIENCE.saturating_sub(Duration::from_millis(clock.now().mono_ms))
}

pub(crate) fn size(columns: u16, rows: u16) -> PtySize {
    PtySize { rows, cols: columns, pixel_width: 0, pixel_height: 0 }
}

pub(crate) fn at_least_one(n: u16) -> NonZeroU16 {
    NonZeroU16::new(n).unwrap()
}

impl Pty {
    pub(crate) fn start(mut command: CommandBuilder) -> Self {
        command.env_remove("NO_COLOR");
        Self::start_as_is(command)
    }

    fn start_as_is(mut command: CommandBuilder) -> Self {
        let pair = native_pty_system().openpty(size(80, 24)).unwrap();
        command.env("TERM", "xterm-256color");
        let child = pair.slave.spawn_command(command).unwrap();
        // Held open here, the end of the output would never come.
        drop(pair.slave);
        let mut reader = pair.master.try_clone_reader().unwrap();
        let keys = pair.master.take_writer().unwrap();
        let (sender, output) = channel();
        std::thread::spawn(move || {
            let mut buffer = [0; 4096];
            while let Ok(read) = reader.read(&mut buffer) {
                if read == 0 || sender.send(buffer[..read].to_vec()).is_err() {
                    return;
                }
            }
        });
        let screen = vt100::Parser::new(at_least_one(24), at_least_one(80), 0);
        Self { master: pair.master, keys, child, output, screen, bytes: Vec::new() }
    }

    /// What stands on the screen, white space made one.
    pub(crate) fn text(&self) -> String {
        self.screen.screen().contents().split_whitespace().collect::<Vec<_>>().join(" ")
    }

    pub(crate) fn until(&mut self, what: &str, holds: impl Fn(&Self) -> bool) {
        let clock = Clock::start();
        while !holds(self) {
            match self.output.recv_timeout(left(&clock)) {
                Ok(bytes) => {
                    self.screen.process(&bytes);
                    self.bytes.extend(bytes);
                }
                Err(why) => panic!("{what}: {why}; on the screen: {}", self.screen.screen().contents()),
            }
        }
    }

    pub(crate) fn shows(&mut self, text: &str) {
        self.until(text, |pty| pty.text().contains(text));
    }

    /// The last thing that came is the end of a frame.
    pub(crate) fn frame_is_whole(&self) -> bool {
        self.bytes.ends_with(b"\x1b[?2026l")
    }

    pub(crate) fn types(&mut self, script: &str) {
        for key in parse(script) {
            let bytes = match (key.code, key.modifiers) {
                (KeyCode::Char(c), KeyModifiers::CONTROL) => {
                    char::from(u8::try_from(c).unwrap() & 0x1f).to_string()
                }
                (KeyCode::Char(c), _) => c.to_string(),
                (KeyCode::Enter, _) => "\r".into(),
                other => panic!("not sent here: {other:?}"),
            };
            self.keys.write_all(bytes.as_bytes()).unwrap();
        }
        self.keys.flush().unwrap();
    }

    pub(crate) fn signal(&self, name: &str) {
        let pid = self.child.process_id().unwrap().to_string();
        let sent = std::process::Command::new("kill").args([&format!("-{name}"), &pid]).status().unwrap();
        assert!(sent.success());
    }

    /// Everything that still comes, then how it ended.
    pub(crate) fn end(&mut self) -> ExitStatus {
        let clock = Clock::start();
        while let Ok(bytes) = self.output.recv_timeout(left(&clock)) {
            self.screen.process(&bytes);
            self.bytes.extend(bytes);
        }
        assert!(!left(&clock).is_zero(), "it never ended: {}", self.text());
        self.child.wait().unwrap()
    }

    /// The terminal shows and takes lines as a shell needs it: the other screen left, the cursor shown, letters
    /// echoed, lines edited.
    pub(crate) fn is_usable(&self) -> bool {
        let screen = self.screen.screen();
        let modes = self.master.get_termios().map(|modes| format!("{:?}", modes.local_flags)).unwrap();
        !screen.alternate_screen()
            && !screen.hide_cursor()
            && modes.contains("ICANON")
            && modes.contains("ECHO")
    }

    pub(crate) fn is_taken(&self) -> bool {
        let modes = self.master.get_termios().map(|modes| format!("{:?}", modes.local_flags)).unwrap();
        self.screen.screen().alternate_screen() && !modes.contains("ICANON")
    }
}

impl Drop for Pty {
    fn drop(&mut self) {
        // Only where a test failed is it still there; the number of one that ended may be somebody else's by now.
        if matches!(self.child.try_wait(), Ok(None)) {
            let _ = self.child.kill();
            let _ = self.child.wait();
        }
    }
}

fn board() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("boards").join("ticket-office.ron")
}

pub(crate) fn walk(records: &TempDir) -> CommandBuilder {
    visit("walk", records)
}

/// A visit to the ticket office, by its command.
pub(crate) fn visit(kind: &str, records: &TempDir) -> CommandBuilder {
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_witnessmark"));
    command.cwd(records.path());
    command.args([kind.as_ref(), board().as_os_str(), "--records".as_ref(), records.path().as_os_str()]);
    command
}

/// Lines of the one record in a folder.
pub(crate) fn record(folder: &Path) -> Vec<String> {
    let mut folders = vec![folder.to_path_buf()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "jsonl") {
                return std::fs::read_to_string(path).unwrap().lines().map(str::to_owned).collect();
            }
        }
    }
    Vec::new()
}

const FIRST: &str = "Who is on the tool?";

/// Killed, nothing that was confirmed is lost, and the gate is asked again; gives the visit as it is gone on with.
pub(crate) fn killed(mut pty: Pty, records: &TempDir, again: CommandBuilder) -> Pty {
    let before = record(records.path());
    pty.signal("KILL");
    assert_eq!(pty.end().signal(), Some("Killed"));
    let mut pty = Pty::start(again);
    pty.shows("Who is on the tool now?");
    let after = record(records.path());
    assert_eq!(after[..before.len()], before[..], "nothing that was confirmed is lost or doubled");
    assert_eq!(after.len(), before.len() + 1);
    assert!(after.last().unwrap().contains("\"resumed\""), "{after:?}");
    pty.types("<Enter>");
    pty.shows("Who proved this board dead?");
    pty.types(GATE);
    pty
}

#[test]
fn killed_in_the_middle_it_goes_on_where_it_stopped_and_asks_the_gate_again() {
    let records = TempDir::new().unwrap();
    let mut pty = Pty::start(walk(&records));
    pty.shows(FIRST);
    assert!(pty.is_taken());
    pty.types(OPENED);
    pty.shows("Who proved this board dead?");
    pty.types(GATE);
    pty.shows("incomer L (");
    pty.types("1");
    pty.shows("The entry is");
    // No hand is faster; on the heels of another key an observation is not taken.
    std::thread::sleep(Duration::from_millis(80));
    pty.types("r");
    pty.shows("incomer N (");
    let before = record(records.path());
    assert!(before.last().unwrap().contains("\"entered\""), "{before:?}");
    let mut pty = killed(pty, &records, walk(&records));
    pty.shows("incomer N (");
    pty.types("<Ctrl-c>");
    let status = pty.end();
    assert!(status.success(), "{status:?}");
    assert!(pty.is_usable(), "{}", pty.text());
    assert!(pty.text().contains("To go on:"), "{}", pty.text());
}

#[test]
fn ctrl_z_gives_the_shell_its_terminal_and_fg_takes_it_back() {
    let records = TempDir::new().unwrap();
    let mut shell = CommandBuilder::new("sh");
    shell.args(["-i"]);
    shell.cwd(records.path());
    shell.env("PS1", "ready> ");
    shell.env_remove("ENV");
    let mut pty = Pty::start(shell);
    pty.shows("ready>");
    let program = env!("CARGO_BIN_EXE_witnessmark");
    let line = format!("'{program}' walk '{}' --records .\r", board().display());
    pty.keys.write_all(line.as_bytes()).unwrap();
    pty.shows(FIRST);
    pty.types("Pat");
    pty.shows("Pat");
    pty.types("<Ctrl-z>");
    // The shell speaks only once the program has stopped.
    pty.until("the prompt", |pty| {
        let screen = pty.screen.screen();
        !screen.alternate_screen() && pty.text().ends_with("ready>")
    });
    assert!(!pty.screen.screen().hide_cursor());
    pty.keys.write_all(b"echo $((6 * 7)) words; fg\r").unwrap();
    pty.until("the screen again", |pty| pty.screen.screen().alternate_screen() && pty.text().contains(FIRST));
    pty.types("ricia");
    pty.shows("Patricia");
    pty.types("<Ctrl-c>");
    pty.until("the shell again", |pty| {
        !pty.screen.screen().alternate_screen() && pty.text().ends_with("ready>")
    });
    assert!(pty.text().contains("42 words"), "{}", pty.text());
    pty.keys.write_all(b"exit\r").unwrap();
    pty.end();
}

#[test]
fn ended_by_the_system_it_leaves_the_terminal_usable_and_is_seen_to_be_killed() {
    for (name, said) in [("TERM", "Terminated"), ("HUP", "Hangup"), ("INT", "Interrupt")] {
        let records = TempDir::new().unwrap();
        let mut pty = Pty::start(walk(&records));
        pty.shows(FIRST);
        assert!(pty.is_taken());
        pty.signal(name);
        let status = pty.end();
        assert_eq!(status.signal(), Some(said), "{status:?}");
        assert!(pty.is_usable(), "{name}: {}", pty.text());
        let sent = String::from_utf8_lossy(&pty.bytes).into_owned();
        let (_, after) = sent.rsplit_once("\u{1b}[?1049l").unwrap();
        assert!(after.contains("\u{1b}[?25h"), "{name}: the cursor is shown");
    }
}

/// A window that is closed: the reading of keys can hang for ever then, so it must not be what ends the program.
#[test]
fn a_terminal_that_hangs_up_ends_the_program() {
    let records = TempDir::new().unwrap();
    let mut pty = Pty::start(walk(&records));
    pty.shows(FIRST);
    pty.until("the whole first frame", Pty::frame_is_whole);
    // Nobody listens any more; the next frame lets the reading thread notice and close its side.
    pty.output = channel().1;
    pty.master.resize(size(100, 30)).unwrap();
    pty.keys = Box::new(std::io::sink());
    pty.master = native_pty_system().openpty(size(80, 24)).unwrap().master;
    let (sender, ended) = channel();
    let pid = pty.child.process_id().unwrap();
    std::thread::spawn(move || sender.send(pty.child.wait()));
    let status = ended.recv_timeout(PATIENCE);
    if status.is_err() {
        let _ = std::process::Command::new("kill").args(["-9", &pid.to_string()]).status();
    }
    assert!(!status.expect("it never ended").unwrap().success());
}

#[test]
fn a_new_size_is_drawn_at_once() {
    let records = TempDir::new().unwrap();
    let mut pty = Pty::start(walk(&records));
    pty.shows(FIRST);
    pty.until("the whole first frame", Pty::frame_is_whole);
    for (columns, rows) in [(20, 5), (1, 1), (120, 40)] {
        let before = pty.bytes.len();
        pty.master.resize(size(columns, rows)).unwrap();
        pty.screen.screen_mut().set_size(at_least_one(rows), at_least_one(columns));
        pty.until("a frame of the new size", |pty| pty.bytes.len() > before && pty.frame_is_whole());
    }
    pty.shows(FIRST);
    pty.types("<Ctrl-c>");
    assert!(pty.end().success());
}

/// <https://no-color.org>: set and not empty, no colour is added; the shapes of the large figures must survive it.
#[test]
fn without_colour_nothing_is_coloured_and_the_large_figures_still_stand() {
    for no_color in [true, false] {
        let records = TempDir::new().unwrap();
        let mut command = walk(&records);
        command.env("NO_COLOR", if no_color { "1" } else { "" });
        let mut pty = Pty::start_as_is(command);
        pty.shows(FIRST);
        pty.types(OPENED);
        pty.shows("Who proved this board dead?");
        pty.types(GATE);
        pty.shows("incomer L (");
        // a refusal needs the person, so it is what wears a colour
        pty.types("c");
        pty.shows("not asked here");
        pty.until("the whole frame", Pty::frame_is_whole);
        let screen = pty.screen.screen();
        let cells = (0..24).flat_map(|row| (0..80).filter_map(move |column| screen.cell(row, column)));
        let cells: Vec<&vt100::Cell> = cells.collect();
        let plain = |colour| colour == vt100::Color::Default;
        let coloured = cells.iter().filter(|cell| !plain(cell.fgcolor()) || !plain(cell.bgcolor())).count();
        assert_eq!(coloured == 0, no_color, "{coloured} cells are coloured");
        assert!(cells.iter().filter(|cell| cell.inverse()).count() > 40, "no solid cells");
        pty.types("<Ctrl-c>");
        assert!(pty.end().success());
    }
}

#[test]
fn a_panic_leaves_the_terminal_usable_and_its_words_readable() {
    let mut command = CommandBuilder::new(std::env::current_exe().unwrap());
    command.args(["--exact", "pty::panics_when_asked", "--nocapture"]);
    command.env(PANIC_HERE, "yes");
    command.env("RUST_BACKTRACE", "0");
    let mut pty = Pty::start(command);
    let status = pty.end();
    assert!(String::from_utf8_lossy(&pty.bytes).contains("\u{1b}[?1049h"), "it was on the other screen");
    assert!(!status.success(), "{status:?}");
    assert!(pty.is_usable(), "{}", pty.text());
    assert!(pty.text().contains("words of the panic"), "{}", pty.text());
    assert!(!pty.text().contains("drawn before"), "{}", pty.text());
}

/// The child half of the test above; asked by nobody else, it does nothing.
#[test]
fn panics_when_asked() {
    if std::env::var_os(PANIC_HERE).is_none() {
        return;
    }
    let guard = Guard::new(std::io::stdout(), OwnTerminal).unwrap();
    let mut terminal = Terminal::new(CrosstermBackend::new(guard.out())).unwrap();
    terminal.draw(|frame| frame.render_widget(Paragraph::new("drawn before"), frame.area())).unwrap();
    panic!("words of the panic");
}
