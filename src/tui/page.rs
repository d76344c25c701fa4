//! A page away from a visit on the full screen: the page, the keyboard in front of it, one scene.

use super::app::Scene;
use super::around;
use super::events::{KeyBefore, Meaning, Then, in_help, not_asked, observed, typed, with_ctrl};
use super::keys::{Does, Takes, away, row_of};
use super::theme::Theme;
use super::ui::Ui;
use super::view;
use crate::office::{Page, PageState, Turn};
use crate::session::desk::{Command, Input, Stamp};
use ratatui::Frame;
use ratatui::crossterm::event::{KeyCode, KeyEvent};
use std::cell::Cell;

/// A page that is looked at.
#[derive(Debug)]
pub struct OnPage<'a, P: Page> {
    /// The page.
    pub page: &'a mut PageState<P>,
    /// What only the screen knows.
    pub ui: Ui,
    /// What came of the last key; anything but *stay* ends the scene.
    pub turn: Turn<P::Deed>,
    theme: Theme,
    before: KeyBefore,
    /// Furthest line that the page can begin with, as it was drawn last: only the drawing knows its room.
    furthest: Cell<usize>,
}

impl<'a, P: Page> OnPage<'a, P> {
    /// A page in these colours.
    #[must_use]
    pub fn new(page: &'a mut PageState<P>, theme: Theme) -> Self {
        let (ui, before) = (Ui::default(), KeyBefore::default());
        Self { page, ui, turn: Turn::Stay, theme, before, furthest: Cell::new(0) }
    }

    fn meaning(&mut self, stamp: Stamp, key: &KeyEvent) -> Meaning {
        let leaning = self.before.leans(key, stamp);
        let ctrl = with_ctrl(key);
        let row = row_of(key.code, ctrl);
        let does = row.map(|row| row.does);
        match does {
            Some(Does::Do(Command::Leave)) if ctrl => return Meaning::Input(Input::Command(Command::Leave)),
            Some(Does::Suspend) => return Meaning::Screen(Then::Suspend),
            _ => {}
        }
        if self.ui.help {
            in_help(&mut self.ui, row, key.code);
            return Meaning::Screen(Then::Draw);
        }
        let question = self.page.page.question();
        if let KeyCode::Char(c) = key.code
            && !ctrl
            && let Some(meaning) = typed(&self.page.typed, &question, Takes::of(&question), c)
        {
            return meaning;
        }
        match does {
            Some(Does::Take) => Meaning::Input(Input::Submit),
            Some(Does::Rub) => Meaning::Input(Input::Rub),
            Some(Does::Help) => {
                (self.ui.help, self.ui.help_scroll) = (true, 0);
                Meaning::Screen(Then::Draw)
            }
            Some(Does::Walk(way)) => {
                let lines = self.furthest.get().saturating_add(1);
                self.ui.list_from = around::scrolled(self.ui.list_from, lines, way);
                Meaning::Screen(Then::Draw)
            }
            Some(Does::Observe(word)) if question.is_observation() => {
                observed(&question, row.map_or("", |row| row.keys), word, leaning)
            }
            Some(Does::Digit | Does::Point) => not_asked("a figure", &question),
            Some(Does::Do(command))
                if row.is_some_and(|row| away(row, &self.page.page.doings()).is_some()) =>
            {
                Meaning::Input(Input::Command(command))
            }
            _ => Meaning::Refused(format!("that key means nothing here. Asked: {}", question.wanted())),
        }
    }
}

impl<P: Page> Scene for OnPage<'_, P> {
    fn woke(self, _: Stamp) -> Self {
        self
    }

    fn press(mut self, stamp: Stamp, key: &KeyEvent) -> (Self, Then) {
        self.ui.note = None;
        match self.meaning(stamp, key) {
            Meaning::Refused(why) => self.ui.note = Some(why),
            Meaning::Screen(then) => return (self, then),
            Meaning::Input(input) => {
                let before = (self.page.page.title(), self.page.page.question().text);
                self.turn = self.page.take(input);
                if (self.page.page.title(), self.page.page.question().text) != before {
                    self.ui.list_from = 0;
                }
            }
        }
        (self, Then::Draw)
    }

    fn told(mut self, words: &str) -> Self {
        self.ui.note = Some(words.into());
        self
    }

    fn is_over(&self) -> bool {
        !matches!(self.turn, Turn::Stay)
    }

    fn draw(&self, frame: &mut Frame<'_>) {
        self.furthest.set(view::office::draw(frame, self.page, &self.ui, &self.theme));
    }
}
