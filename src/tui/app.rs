//! The loop: wait, take, draw. No tick; nothing is drawn unless something happened.
//!
//! It knows neither where events come from nor what the terminal is, so tests run it on a buffer.

use super::error::TuiError;
use super::events::{Keyboard, Then};
use super::ui::Ui;
use crate::session::desk::{Input, Recorder, Stamp, State};
use ratatui::backend::Backend;
use ratatui::crossterm::event::{Event, KeyEvent, KeyModifiers};
use ratatui::{Frame, Terminal};

/// What can happen.
#[derive(Debug)]
pub enum Happening {
    /// The terminal sent something.
    Terminal(Event),
    /// The program goes on after it was stopped.
    Continued,
    /// The system tells the program to end; its signal.
    Killed(i32),
    /// The terminal is gone, or cannot be read any more.
    Lost(std::io::Error),
}

/// Where events come from.
pub trait Source {
    /// Waits for the next one; when it happened goes with it. Nothing when no more can come.
    fn next(&mut self) -> Option<(Stamp, Happening)>;
    /// When it is now.
    fn now(&self) -> Stamp;
}

/// What is done to the terminal besides drawing on it.
pub trait Screen {
    /// A frame begins: the terminal may hold back what comes until it ends.
    ///
    /// # Errors
    /// The terminal could not be written to.
    fn begin_frame(&mut self) -> std::io::Result<()>;
    /// The frame is whole.
    ///
    /// # Errors
    /// The terminal could not be written to.
    fn end_frame(&mut self) -> std::io::Result<()>;
    /// Gives the terminal back and stops; returns when the program goes on. False where that cannot be done.
    ///
    /// # Errors
    /// The terminal could not be given back.
    fn stop(&mut self) -> std::io::Result<bool>;
    /// Takes the terminal (again).
    ///
    /// # Errors
    /// The terminal could not be taken.
    fn enter(&mut self) -> std::io::Result<()>;
}

/// Draws one frame from what stands; changes nothing.
pub type Draw<'a> = dyn Fn(&mut Frame<'_>, &State, &Ui) + 'a;

/// Everything the loop works with.
#[allow(missing_debug_implementations, reason = "it lends the terminal, which has none")]
pub struct Loop<'a, B: Backend> {
    /// Terminal to draw on.
    pub terminal: &'a mut Terminal<B>,
    /// What is done to it besides.
    pub screen: &'a mut dyn Screen,
    /// Where events come from.
    pub source: &'a mut dyn Source,
    /// Where facts are kept.
    pub recorder: &'a mut dyn Recorder,
    /// What draws.
    pub draw: &'a Draw<'a>,
    /// Columns and rows below which the question cannot be shown, and no key answers it.
    pub least: (u16, u16),
    /// The keyboard.
    pub keyboard: Keyboard,
}

impl<B: Backend> Loop<'_, B> {
    /// Goes on until the person leaves, the visit ends or no more can come.
    ///
    /// # Errors
    /// [`TuiError`]: the terminal failed, or the system told the program to end.
    pub fn run(&mut self, mut state: State) -> Result<State, TuiError> {
        self.keyboard.ui.record_at = self.recorder.lies_at();
        // A visit read back is asked its first question at the time it is looked at, not at its last line.
        state = self.keyboard.hand_in(state, self.source.now(), Input::Woke, self.recorder);
        self.frame(&state)?;
        while state.desk.left.is_none() {
            let Some((stamp, happening)) = self.source.next() else { break };
            match happening {
                Happening::Terminal(event) => {
                    let Some(key) = event.as_key_press_event() else {
                        if matches!(event, Event::Resize(..)) {
                            self.frame(&state)?;
                        }
                        continue;
                    };
                    if self.unseen(&key) {
                        continue;
                    }
                    let then;
                    (state, then) = self.keyboard.press(state, stamp, &key, self.recorder);
                    if then == Then::Suspend {
                        state = self.suspend(state)?;
                    }
                }
                Happening::Continued => state = self.go_on(state)?,
                Happening::Killed(signal) => return Err(TuiError::Killed(signal)),
                Happening::Lost(why) => return Err(TuiError::Read(why)),
            }
            self.frame(&state)?;
        }
        Ok(state)
    }

    /// Whether the window is too small to show the question that a key would answer. Leaving works all the same.
    fn unseen(&self, key: &KeyEvent) -> bool {
        let (columns, rows) = self.least;
        let small = self.terminal.size().is_ok_and(|size| size.width < columns || size.height < rows);
        small && !key.modifiers.contains(KeyModifiers::CONTROL)
    }

    fn suspend(&mut self, state: State) -> Result<State, TuiError> {
        if self.screen.stop().map_err(TuiError::Enter)? {
            return self.go_on(state);
        }
        self.keyboard.ui.note = Some("this system cannot stop a program with Ctrl-Z".into());
        Ok(state)
    }

    /// Takes the terminal again, whatever stands on it, and lets the machine see how long it was away.
    fn go_on(&mut self, state: State) -> Result<State, TuiError> {
        self.screen.enter().map_err(TuiError::Enter)?;
        // Not `Terminal::clear`: that asks the terminal where its cursor is, and the answer would come as keys.
        let failed = |why: B::Error| TuiError::Draw(why.to_string());
        let size = self.terminal.size().map_err(failed)?;
        self.terminal.resize(size.into()).map_err(failed)?;
        Ok(self.keyboard.hand_in(state, self.source.now(), Input::Woke, self.recorder))
    }

    fn frame(&mut self, state: &State) -> Result<(), TuiError> {
        let failed = |why: std::io::Error| TuiError::Draw(why.to_string());
        self.screen.begin_frame().map_err(failed)?;
        let ui = &self.keyboard.ui;
        let draw = self.draw;
        let drawn =
            self.terminal.draw(|frame| draw(frame, state, ui)).map(|_| ()).map_err(|why| why.to_string());
        // The end is sent whatever happened in between: a terminal that waits for it shows nothing.
        self.screen.end_frame().map_err(failed)?;
        drawn.map_err(TuiError::Draw)
    }
}
