//! The full screen: a terminal guard, a loop, the key table, and views that draw from the state and change nothing.
//!
//! It shows the question that stands and hands back inputs, as the plain face does; what may be answered is decided
//! elsewhere. The mouse is left to the terminal. Nothing here reads files or the environment.

mod app;
mod around;
mod error;
mod events;
mod guard;
pub mod keys;
mod source;
pub mod theme;
pub mod ui;
pub mod view;

pub use app::{Draw, Happening, Loop, Screen, Source};
pub use error::TuiError;
pub use events::{Keyboard, LEANING_MS, Then};
pub use guard::{Guard, Modes, Out, OwnTerminal};

use crate::clock::Clock;
use crate::session::desk::{Recorder, State};
use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;
use source::OwnSource;
use std::io::{BufWriter, stdout};
use theme::Theme;

/// How the full screen is to be.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// No colour at all.
    pub no_color: bool,
}

/// Room for a whole frame, so that it reaches the terminal in one piece.
const FRAME_BYTES: usize = 64 * 1024;

/// Runs the full screen until the person leaves or the visit ends, and gives the terminal back. When the system ends
/// the program (SIGTERM, SIGHUP, SIGINT) the terminal is given back first and the program then ends as killed.
///
/// # Errors
/// [`TuiError`]; everything confirmed is stored all the same.
pub fn run(
    state: State,
    recorder: &mut dyn Recorder,
    clock: &Clock,
    options: Options,
) -> Result<State, TuiError> {
    let ended = on_own_terminal(state, recorder, clock, options);
    #[cfg(unix)]
    if let Err(TuiError::Killed(signal)) = &ended {
        // Whoever sent it sees a program that ended by it, and not one that failed.
        signal_hook::low_level::emulate_default_handler(*signal).map_err(TuiError::Enter)?;
    }
    ended
}

fn on_own_terminal(
    state: State,
    recorder: &mut dyn Recorder,
    clock: &Clock,
    options: Options,
) -> Result<State, TuiError> {
    let theme = if options.no_color { Theme::mono() } else { Theme::colours() };
    let mut source = OwnSource::start(clock)?;
    let mut guard =
        Guard::new(BufWriter::with_capacity(FRAME_BYTES, stdout()), OwnTerminal).map_err(TuiError::Enter)?;
    let mut terminal =
        Terminal::new(CrosstermBackend::new(guard.out())).map_err(|why| TuiError::Draw(why.to_string()))?;
    Loop {
        terminal: &mut terminal,
        screen: &mut guard,
        source: &mut source,
        recorder,
        draw: &|frame, state, ui| view::draw(frame, state, ui, &theme),
        least: (view::COLUMNS, view::ROWS),
        keyboard: Keyboard::default(),
    }
    .run(state)
}
