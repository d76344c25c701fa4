//! A visit on the full screen: the machine, the keyboard in front of it and the journal behind it, as one scene.

use super::app::Scene;
use super::events::{Keyboard, Then};
use super::ui::Ui;
use crate::domain::moment::Moment;
use crate::session::desk::settle::next_due;
use crate::session::desk::{Input, Recorder, Stamp, State};
use ratatui::Frame;
use ratatui::crossterm::event::KeyEvent;

/// Draws one frame from what stands; changes nothing.
pub type Draw<'a> = dyn Fn(&mut Frame<'_>, &State, &Ui) + 'a;

/// A visit that is walked.
#[allow(missing_debug_implementations, reason = "a recorder and a drawing function have none")]
pub struct Walk<'a> {
    /// The machine.
    pub state: State,
    /// The keyboard.
    pub keyboard: Keyboard,
    /// Where facts are kept.
    pub recorder: &'a mut dyn Recorder,
    /// What draws.
    pub draw: &'a Draw<'a>,
}

impl Scene for Walk<'_> {
    /// A visit read back is asked its first question at the time it is looked at, not at its last line.
    fn woke(mut self, now: Stamp) -> Self {
        self.state = self.keyboard.hand_in(self.state, now, Input::Woke, self.recorder);
        self
    }

    fn press(mut self, stamp: Stamp, key: &KeyEvent) -> (Self, Then) {
        let then;
        (self.state, then) = self.keyboard.press(self.state, stamp, key, self.recorder);
        (self, then)
    }

    fn due(&self) -> Option<Moment> {
        next_due(&self.state)
    }

    fn rung(mut self, stamp: Stamp) -> Self {
        self.state = self.keyboard.hand_in(self.state, stamp, Input::Due, self.recorder);
        self
    }

    fn told(mut self, words: &str) -> Self {
        self.keyboard.ui.note = Some(words.into());
        self
    }

    fn is_over(&self) -> bool {
        self.state.desk.left.is_some()
    }

    fn draw(&self, frame: &mut Frame<'_>) {
        (self.draw)(frame, &self.state, &self.keyboard.ui);
    }
}
