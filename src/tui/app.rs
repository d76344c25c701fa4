//! The loop: wait, take, draw. No tick; nothing is drawn unless something happened. The end of a wait happens: it is
//! rung and drawn, and takes nothing.
//!
//! It knows neither where events come from nor what the terminal is, so tests run it on a buffer; nor what stands on
//! the screen: a visit that is walked, or a page away from one.

use super::error::TuiError;
use super::events::Then;
use crate::domain::moment::Moment;
use crate::session::desk::Stamp;
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
    /// What was waited for is due.
    Due,
}

/// Where events come from.
pub trait Source {
    /// Waits for the next one, or until something is due; when it happened goes with it. Nothing when no more can come.
    fn next(&mut self, due: Option<Moment>) -> Option<(Stamp, Happening)>;
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
    /// Rings: something is due, and the person may stand elsewhere.
    ///
    /// # Errors
    /// The terminal could not be written to.
    fn ring(&mut self) -> std::io::Result<()>;
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

/// What stands on the screen and takes its keys. Taken by value and given back, as the machine is.
pub trait Scene: Sized {
    /// It is looked at: when it begins, and after the program was stopped.
    #[must_use]
    fn woke(self, now: Stamp) -> Self;
    /// Takes a key that was pressed.
    #[must_use]
    fn press(self, stamp: Stamp, key: &KeyEvent) -> (Self, Then);
    /// When something is due that nobody has to press a key for.
    fn due(&self) -> Option<Moment> {
        None
    }
    /// It is due by now. Nothing is answered by it.
    #[must_use]
    fn rung(self, _stamp: Stamp) -> Self {
        self
    }
    /// Tells something in one line, until the next key.
    #[must_use]
    fn told(self, words: &str) -> Self;
    /// Whether nothing more is asked.
    fn is_over(&self) -> bool;
    /// Draws one frame; changes nothing.
    fn draw(&self, frame: &mut Frame<'_>);
}

/// Everything the loop works with.
#[allow(missing_debug_implementations, reason = "it lends the terminal, which has none")]
pub struct Loop<'a, B: Backend> {
    /// Terminal to draw on.
    pub terminal: &'a mut Terminal<B>,
    /// What is done to it besides.
    pub screen: &'a mut dyn Screen,
    /// Where events come from.
    pub source: &'a mut dyn Source,
    /// Columns and rows below which the question cannot be shown, and no key answers it.
    pub least: (u16, u16),
}

impl<B: Backend> Loop<'_, B> {
    /// Goes on until the scene is over or no more can come.
    ///
    /// # Errors
    /// [`TuiError`]: the terminal failed, or the system told the program to end.
    pub fn run<S: Scene>(&mut self, scene: S) -> Result<S, TuiError> {
        let mut scene = scene.woke(self.source.now());
        self.frame(&scene)?;
        while !scene.is_over() {
            let Some((stamp, happening)) = self.source.next(scene.due()) else { break };
            match happening {
                Happening::Terminal(event) => {
                    let Some(key) = event.as_key_press_event() else {
                        if matches!(event, Event::Resize(..)) {
                            self.frame(&scene)?;
                        }
                        continue;
                    };
                    if self.unseen(&key) {
                        continue;
                    }
                    let then;
                    (scene, then) = scene.press(stamp, &key);
                    if then == Then::Suspend {
                        scene = self.suspend(scene)?;
                    }
                }
                Happening::Due => {
                    self.screen.ring().map_err(|why| TuiError::Draw(why.to_string()))?;
                    scene = scene.rung(stamp);
                }
                Happening::Continued => scene = self.go_on(scene)?,
                Happening::Killed(signal) => return Err(TuiError::Killed(signal)),
                Happening::Lost(why) => return Err(TuiError::Read(why)),
            }
            self.frame(&scene)?;
        }
        Ok(scene)
    }

    /// Whether the window is too small to show the question that a key would answer. Leaving works all the same.
    fn unseen(&self, key: &KeyEvent) -> bool {
        let (columns, rows) = self.least;
        let small = self.terminal.size().is_ok_and(|size| size.width < columns || size.height < rows);
        small && !key.modifiers.contains(KeyModifiers::CONTROL)
    }

    fn suspend<S: Scene>(&mut self, scene: S) -> Result<S, TuiError> {
        if self.screen.stop().map_err(TuiError::Enter)? {
            return self.go_on(scene);
        }
        Ok(scene.told("this system cannot stop a program with Ctrl-Z"))
    }

    /// Takes the terminal again, whatever stands on it, and lets the scene see how long it was away.
    fn go_on<S: Scene>(&mut self, scene: S) -> Result<S, TuiError> {
        self.screen.enter().map_err(TuiError::Enter)?;
        // Not `Terminal::clear`: that asks the terminal where its cursor is, and the answer would come as keys.
        let failed = |why: B::Error| TuiError::Draw(why.to_string());
        let size = self.terminal.size().map_err(failed)?;
        self.terminal.resize(size.into()).map_err(failed)?;
        Ok(scene.woke(self.source.now()))
    }

    fn frame<S: Scene>(&mut self, scene: &S) -> Result<(), TuiError> {
        let failed = |why: std::io::Error| TuiError::Draw(why.to_string());
        self.screen.begin_frame().map_err(failed)?;
        let drawn = self.terminal.draw(|frame| scene.draw(frame)).map(|_| ()).map_err(|why| why.to_string());
        // The end is sent whatever happened in between: a terminal that waits for it shows nothing.
        self.screen.end_frame().map_err(failed)?;
        drawn.map_err(TuiError::Draw)
    }
}
