//! What the program is measured against, in a process of its own: this binary again, with the same terminal guard
//! and the same drawing library, and nothing else.

use ratatui::crossterm::event::{self, Event, KeyCode};
use ratatui::widgets::Paragraph;
use ratatui::{Terminal, backend::CrosstermBackend};
use std::fs::OpenOptions;
use std::io::{self, BufWriter, Write as _, stdout};
use std::path::Path;
use witnessmark::tui::{Guard, OwnTerminal, Screen as _};

/// First argument for one empty frame.
pub(crate) const EMPTY_FRAME: &str = "--empty-frame";
/// First argument for appending and drawing; the file to append to and the file that says what follow.
pub(crate) const BARE_APPEND: &str = "--bare-append";

/// As the program: a frame reaches the terminal in one piece.
const FRAME_BYTES: usize = 64 * 1024;

/// Takes the terminal, draws one empty frame, gives the terminal back.
pub(crate) fn empty_frame() -> io::Result<()> {
    let mut guard = Guard::new(BufWriter::with_capacity(FRAME_BYTES, stdout()), OwnTerminal)?;
    let mut terminal = Terminal::new(CrosstermBackend::new(guard.out()))?;
    guard.begin_frame()?;
    terminal.draw(|_| {})?;
    guard.end_frame()
}

/// `l` loads what is to be appended next; Enter appends it, syncs, and draws one line that says so. It is ended from
/// outside.
pub(crate) fn bare_append(file: &Path, next: &Path) -> io::Result<()> {
    let mut file = OpenOptions::new().append(true).create_new(true).open(file)?;
    let mut guard = Guard::new(BufWriter::with_capacity(FRAME_BYTES, stdout()), OwnTerminal)?;
    let mut terminal = Terminal::new(CrosstermBackend::new(guard.out()))?;
    let mut bytes = Vec::new();
    let mut count = 0_usize;
    loop {
        guard.begin_frame()?;
        let line = format!("recorded {count}, {} bytes next", bytes.len());
        terminal.draw(|frame| frame.render_widget(Paragraph::new(line), frame.area()))?;
        guard.end_frame()?;
        let Event::Key(key) = event::read()? else { continue };
        if key.code == KeyCode::Char('l') {
            bytes = std::fs::read(next)?;
        } else if key.code == KeyCode::Enter {
            file.write_all(&bytes)?;
            file.sync_data()?;
            count += 1;
        }
    }
}
