//! The office: pages for the work away from a visit. A page says what stands on it and what is asked, and takes
//! answers; what it wants done outside it hands out as a deed.
//!
//! Pages speak the same questions and inputs as the desk of a visit, so both faces show them alike. Forms are data:
//! going back drops an answer. Deliberately absent: files, clock and terminal; `cli` brings what is known and carries
//! deeds out.

mod block;
mod known;
mod past;
mod start;
mod tools;

pub use block::{Block, Row};
pub use known::{BoardFile, Ended, Known, KnownVisit, ToolHere, calibration, counted};
pub use past::{PastDeed, PastVisits};
pub use start::{Start, StartDeed};
pub use tools::{DoubtedInVisit, Tools, ToolsDeed, Used, Work};

use crate::domain::text::REMARK_COLUMNS;
use crate::session::desk::{Command, Input, NotAnAnswer, Question};

/// Most that can be half typed, in characters.
const TYPED_MAX: usize = REMARK_COLUMNS;

/// What comes of an input.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Turn<D> {
    /// The page stays.
    Stay,
    /// The person leaves.
    Leave,
    /// Something is to be done outside; the page stands as it is meanwhile.
    Do(D),
}

/// One page, or several that belong together.
pub trait Page {
    /// What it may want done outside.
    type Deed;

    /// Where the person is, a few words.
    fn title(&self) -> String;
    /// What stands on it, in reading order.
    fn body(&self) -> Vec<Block>;
    /// What is asked; always something. Entries of a choice that are rows of the body bear the same numbers there.
    fn question(&self) -> Question;
    /// Takes an answer that the question accepts: a word, a list number from 1, a checked text, digits.
    ///
    /// # Errors
    /// Why it is not taken all the same, in words.
    fn answer(&mut self, answer: &str) -> Result<Turn<Self::Deed>, String>;
    /// Goes back: drops an answer, or returns to the page before. False where there is nothing to go back to.
    fn back(&mut self) -> bool;
    /// Whether a body that changed is told anew line by line; not in the middle of a form, where it only repeats what
    /// was typed.
    fn is_retold(&self) -> bool {
        true
    }
    /// Doings that lead elsewhere from here, each with a word or two.
    fn doings(&self) -> Vec<(Command, &'static str)> {
        Vec::new()
    }
    /// Carries one of [`Page::doings`] out.
    fn doing(&mut self, _doing: Command) -> Turn<Self::Deed> {
        Turn::Stay
    }
}

/// A page and what is not part of it: what is half typed, and what is told until the next answer.
#[derive(Clone, Debug)]
pub struct PageState<P> {
    /// The page.
    pub page: P,
    /// Half typed.
    pub typed: String,
    /// Why the last answer was not taken, or what came of it.
    pub note: Option<String>,
}

impl<P: Page> PageState<P> {
    /// A page that is opened.
    #[must_use]
    pub fn new(page: P) -> Self {
        Self { page, typed: String::new(), note: None }
    }

    /// Takes what a face hands in.
    pub fn take(&mut self, input: Input) -> Turn<P::Deed> {
        if input != Input::Woke {
            self.note = None;
        }
        match input {
            Input::Woke | Input::Due => {}
            Input::Type(c) => {
                if !c.is_control() && self.typed.chars().count() < TYPED_MAX {
                    self.typed.push(c);
                }
            }
            Input::Rub => {
                if self.typed.pop().is_none() {
                    self.back();
                }
            }
            Input::Submit => {
                let line = std::mem::take(&mut self.typed);
                let mended = self.page.question().is_mended(&line);
                let turn = self.answer(&line);
                if self.note.is_some() && mended {
                    // long words that were not taken are mended rather than typed anew
                    self.typed = line;
                }
                return turn;
            }
            Input::Line(line) => {
                self.typed.clear();
                return self.answer(&line);
            }
            Input::Command(Command::Back) if !self.typed.is_empty() => self.typed.clear(),
            Input::Command(Command::Back) => self.back(),
            Input::Command(Command::Leave) => return Turn::Leave,
            Input::Command(doing) if self.page.doings().iter().any(|(known, _)| *known == doing) => {
                self.typed.clear();
                return self.page.doing(doing);
            }
            Input::Command(_) => self.note = Some("that belongs to a visit, and none is open here".into()),
        }
        Turn::Stay
    }

    fn back(&mut self) {
        if !self.page.back() {
            self.note = Some("this is the first page: q leaves".into());
        }
    }

    fn answer(&mut self, line: &str) -> Turn<P::Deed> {
        let question = self.page.question();
        let taken = match question.read(line) {
            Ok(answer) => self.page.answer(&answer),
            Err(NotAnAnswer::Empty) => {
                self.note = Some(format!("this cannot be left empty: {}", question.wanted()));
                return Turn::Stay;
            }
            Err(NotAnAnswer::Unknown(wanted)) => Err(wanted),
        };
        taken.unwrap_or_else(|why| {
            self.note = Some(format!("not taken: {why}"));
            Turn::Stay
        })
    }
}
