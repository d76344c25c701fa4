//! The full screen: a terminal guard, a loop over whatever stands on it, the key table, and views that draw and
//! change nothing.
//!
//! It shows the question that stands and hands back inputs, as the plain face does; what may be answered is decided
//! elsewhere. The mouse is left to the terminal. Nothing here reads files or the environment.

mod app;
mod around;
mod error;
mod events;
mod guard;
pub mod keys;
mod page;
mod source;
pub mod theme;
pub mod ui;
pub mod view;
mod walk;

pub use app::{Happening, Loop, Scene, Screen, Source};
pub use error::TuiError;
pub use events::{Keyboard, LEANING_MS, Then};
pub use guard::{Guard, Modes, Out, OwnTerminal};
pub use page::OnPage;
pub use walk::{Draw, Walk};

use crate::clock::Clock;
use crate::office::{Page, PageState, Turn};
use crate::session::desk::{Recorder, State};
use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;
use source::OwnSource;
use std::io::{BufWriter, Stdout, stdout};
use theme::Theme;

/// How the full screen is to be.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// No colour at all.
    pub no_color: bool,
}

/// Room for a whole frame, so that it reaches the terminal in one piece.
const FRAME_BYTES: usize = 64 * 1024;

/// The terminal as a full screen, taken once for whatever follows on it.
#[allow(missing_debug_implementations, reason = "a terminal and a panic hook have none")]
pub struct FullScreen {
    // dropped in this order: the terminal is given back while signals are still waited for
    terminal: Terminal<CrosstermBackend<Out<Frames>>>,
    guard: Guard<Frames>,
    source: OwnSource,
    theme: Theme,
}

/// A whole frame, then the terminal.
type Frames = BufWriter<Stdout>;

/// Takes the terminal, does the work on it, and gives it back. When the system ends the program (SIGTERM, SIGHUP,
/// SIGINT) the terminal is given back first and the program then ends as killed.
///
/// # Errors
/// [`TuiError`]; everything confirmed is stored all the same.
pub fn on_screen<T>(
    clock: &Clock,
    options: Options,
    work: impl FnOnce(&mut FullScreen) -> Result<T, TuiError>,
) -> Result<T, TuiError> {
    let ended = FullScreen::take(clock, options).and_then(|mut screen| work(&mut screen));
    #[cfg(unix)]
    if let Err(TuiError::Killed(signal)) = &ended {
        // Whoever sent it sees a program that ended by it, and not one that failed.
        signal_hook::low_level::emulate_default_handler(*signal).map_err(TuiError::Enter)?;
    }
    ended
}

/// Walks a visit on the full screen until the person leaves or the visit ends.
///
/// # Errors
/// [`TuiError`]; everything confirmed is stored all the same.
pub fn run(
    state: State,
    recorder: &mut dyn Recorder,
    clock: &Clock,
    options: Options,
) -> Result<State, TuiError> {
    on_screen(clock, options, |screen| screen.walk(state, recorder))
}

impl FullScreen {
    fn take(clock: &Clock, options: Options) -> Result<Self, TuiError> {
        let theme = if options.no_color { Theme::mono() } else { Theme::colours() };
        let source = OwnSource::start(clock)?;
        let guard = Guard::new(BufWriter::with_capacity(FRAME_BYTES, stdout()), OwnTerminal)
            .map_err(TuiError::Enter)?;
        let terminal = Terminal::new(CrosstermBackend::new(guard.out()))
            .map_err(|why| TuiError::Draw(why.to_string()))?;
        Ok(Self { terminal, guard, source, theme })
    }

    /// Walks a visit until the person leaves or it ends.
    ///
    /// # Errors
    /// [`TuiError`]; everything confirmed is stored all the same.
    pub fn walk(&mut self, state: State, recorder: &mut dyn Recorder) -> Result<State, TuiError> {
        let theme = self.theme;
        let walk = Walk {
            state,
            keyboard: Keyboard::default(),
            recorder,
            draw: &|frame, state, ui| view::draw(frame, state, ui, &theme),
        };
        Ok(self.scene(walk)?.state)
    }

    /// Shows a page until the person leaves or something is to be done outside; nothing when they left.
    ///
    /// # Errors
    /// [`TuiError`].
    pub fn page<P: Page>(&mut self, page: &mut PageState<P>) -> Result<Option<P::Deed>, TuiError> {
        let theme = self.theme;
        let shown = self.scene(OnPage::new(page, theme))?;
        Ok(match shown.turn {
            Turn::Do(deed) => Some(deed),
            Turn::Leave | Turn::Stay => None,
        })
    }

    fn scene<S: Scene>(&mut self, scene: S) -> Result<S, TuiError> {
        Loop {
            terminal: &mut self.terminal,
            screen: &mut self.guard,
            source: &mut self.source,
            least: (view::COLUMNS, view::ROWS),
        }
        .run(scene)
    }
}
