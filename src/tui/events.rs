//! The one place where a key that was pressed becomes an input of the machine.
//!
//! Only presses count: releases and repeats are dropped here, once for all. What a key means is looked up in the key
//! table; a key that makes no sense now says why in one line and changes nothing.

use super::around;
use super::keys::{Direction, Does, KeyRow, Takes, half_answered, row_of};
use super::ui::Ui;
use super::view;
use crate::session::desk::{
    Answers, Command, Event, Input, Question, Recorder, Seen, Stamp, State, Topic, drive,
};
use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

/// An observation key equal to the key just before it counts only after this time (own choice; design section 1).
pub const LEANING_MS: u64 = 700;
/// Time after any key within which an observation is not taken: pasted, or keys fallen upon. Own rule.
pub(super) const BURST_MS: u64 = 40;

/// What the loop has to do after a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Then {
    /// Nothing but drawing.
    Draw,
    /// Stop until the shell brings the program back.
    Suspend,
}

/// Words for a key pressed again before [`LEANING_MS`].
const AGAIN: &str = "again so soon";

/// What a key comes to.
pub(super) enum Meaning {
    Input(Input),
    Refused(String),
    Screen(Then),
}

/// The keyboard: what only it remembers between two keys.
#[derive(Clone, Debug, Default)]
pub struct Keyboard {
    /// What only the screen knows.
    pub ui: Ui,
    before: KeyBefore,
}

/// The key before the one that is pressed, and when it was.
#[derive(Clone, Debug, Default)]
pub(super) struct KeyBefore(Option<(KeyCode, u64)>);

impl KeyBefore {
    /// Whether it is the key just before it again, too soon, or any key so soon that no hand typed it. A terminal
    /// without key releases sends a key that is held down as presses, so only time can tell them apart.
    pub(super) fn leans(&mut self, key: &KeyEvent, stamp: Stamp) -> Option<&'static str> {
        let (code, mono_ms) = self.0.replace((key.code, stamp.mono_ms))?;
        let since = stamp.mono_ms.saturating_sub(mono_ms);
        match (code == key.code, since) {
            (true, ..LEANING_MS) => Some(AGAIN),
            (false, ..BURST_MS) => Some("on the heels of another key"),
            _ => None,
        }
    }
}

impl Keyboard {
    /// Takes a key that was pressed.
    #[must_use]
    pub fn press(
        &mut self,
        state: State,
        stamp: Stamp,
        key: &KeyEvent,
        recorder: &mut dyn Recorder,
    ) -> (State, Then) {
        let leaning = self.before.leans(key, stamp);
        self.ui.note = None;
        let question = state.question();
        match self.meaning(&state, &question, key, leaning) {
            Meaning::Refused(why) => {
                self.ui.note = Some(why);
                (state, Then::Draw)
            }
            Meaning::Screen(then) => (state, then),
            Meaning::Input(input) => {
                let state = self.hand_in(state, stamp, input, recorder);
                if state.question().text != question.text {
                    self.ui.list_from = 0;
                }
                (state, Then::Draw)
            }
        }
    }

    /// Hands an input in and looks where the record lies afterwards: it may have been saved elsewhere.
    #[must_use]
    pub fn hand_in(
        &mut self,
        state: State,
        stamp: Stamp,
        input: Input,
        recorder: &mut dyn Recorder,
    ) -> State {
        let state = drive(state, Event::Input(stamp, input), recorder);
        self.ui.record_at = recorder.lies_at();
        state
    }

    fn meaning(
        &mut self,
        state: &State,
        question: &Question,
        key: &KeyEvent,
        leaning: Option<&str>,
    ) -> Meaning {
        let ctrl = with_ctrl(key);
        let row = row_of(key.code, ctrl);
        if let Some(Does::Do(Command::Leave)) = row.map(|row| row.does)
            && ctrl
        {
            self.ui.help = false;
            self.ui.so_far = false;
            return Meaning::Input(Input::Command(Command::Leave));
        }
        if let Some(Does::Suspend) = row.map(|row| row.does) {
            return Meaning::Screen(Then::Suspend);
        }
        if self.ui.help {
            in_help(&mut self.ui, row, key.code);
            return Meaning::Screen(Then::Draw);
        }
        if self.ui.so_far {
            return self.in_so_far(state, row);
        }
        let takes = Takes::of(question);
        if let KeyCode::Char(c) = key.code
            && !ctrl
            && let Some(meaning) = typed(&state.desk.typed, question, takes, c)
        {
            return leaned_upon(question, takes, c, leaning).unwrap_or(meaning);
        }
        match row {
            Some(row) => self.by_row(state, question, row, leaning),
            None => Meaning::Refused(format!("that key means nothing here. Asked: {}", question.wanted())),
        }
    }

    /// Arrows scroll; any other key closes it and does nothing else.
    fn in_so_far(&mut self, state: &State, row: Option<&KeyRow>) -> Meaning {
        if let Some(Does::Walk(way)) = row.map(|row| row.does) {
            let places = view::so_far::furthest(state).saturating_add(1);
            let to = around::scrolled(usize::from(self.ui.so_far_scroll), places, way);
            self.ui.so_far_scroll = u16::try_from(to).unwrap_or(u16::MAX);
        } else {
            self.ui.so_far = false;
        }
        Meaning::Screen(Then::Draw)
    }

    fn by_row(&mut self, state: &State, question: &Question, row: &KeyRow, leaning: Option<&str>) -> Meaning {
        match row.does {
            Does::Take => Meaning::Input(Input::Submit),
            Does::Rub => Meaning::Input(Input::Rub),
            Does::Digit | Does::Point => not_asked("a figure", question),
            Does::Observe(word) => observed(question, row.keys, word, leaning),
            Does::Help => {
                (self.ui.help, self.ui.help_scroll) = (true, 0);
                Meaning::Screen(Then::Draw)
            }
            Does::Suspend => Meaning::Screen(Then::Suspend),
            Does::Walk(way) => self.arrow(state, question, way),
            Does::Do(Command::SoFar) if state.visit.opened().is_some() && state.desk.trouble.is_none() => {
                self.ui.so_far = true;
                self.ui.so_far_scroll = 0;
                Meaning::Screen(Then::Draw)
            }
            Does::Do(command) => match in_the_way(state, command) {
                Some(why) => Meaning::Refused(why),
                None => Meaning::Input(Input::Command(command)),
            },
        }
    }

    fn arrow(&mut self, state: &State, question: &Question, way: Direction) -> Meaning {
        if let (Answers::Choice(list), Takes::LongList) = (&question.answers, Takes::of(question)) {
            self.ui.list_from = around::scrolled(self.ui.list_from, list.len(), way);
            return Meaning::Screen(Then::Draw);
        }
        let picking = state.is_picking(question);
        match half_done(state).filter(|_| !picking).map_or_else(|| around::to(state, way), Err) {
            Ok(at) => Meaning::Input(Input::Command(Command::Go(at))),
            Err(why) => Meaning::Refused(why),
        }
    }
}

/// Arrows and pages scroll; any other key closes the help and does nothing else.
pub(super) fn in_help(ui: &mut Ui, row: Option<&KeyRow>, code: KeyCode) {
    let way = match (code, row.map(|row| row.does)) {
        (KeyCode::PageUp, _) => Some(Direction::Left),
        (KeyCode::PageDown, _) => Some(Direction::Right),
        (_, Some(Does::Walk(way))) => Some(way),
        _ => None,
    };
    if let Some(way) = way {
        let rows = super::keys::table().len();
        let to = around::scrolled(usize::from(ui.help_scroll), rows, way);
        ui.help_scroll = u16::try_from(to).unwrap_or(u16::MAX);
    } else {
        ui.help = false;
    }
}

/// Whether Ctrl is held, and not the `AltGr` that some systems send as Ctrl and Alt.
pub(super) fn with_ctrl(key: &KeyEvent) -> bool {
    key.modifiers.contains(KeyModifiers::CONTROL) && !key.modifiers.contains(KeyModifiers::ALT)
}

/// A character that the answer itself is made of, or that no answer and no key may be.
pub(super) fn typed(typed: &str, question: &Question, takes: Takes, c: char) -> Option<Meaning> {
    // No text begins with a question mark, so help is at hand there too.
    let asks_for_help = c == '?' && typed.is_empty();
    if takes == Takes::Text && !asks_for_help {
        return (!c.is_control()).then_some(Meaning::Input(Input::Type(c)));
    }
    if c.is_uppercase() {
        let line = "small letters only, so nothing was taken: Caps Lock is on, or Shift is held";
        return Some(Meaning::Refused(line.into()));
    }
    let figure = c.is_ascii_digit() || matches!(c, '.' | ',');
    let type_it = Some(Meaning::Input(Input::Type(c)));
    match takes {
        Takes::Word { .. } if c.is_ascii_lowercase() => type_it,
        Takes::Word { or_digits: true } | Takes::Figure if figure => type_it,
        Takes::LongList if c.is_ascii_digit() => type_it,
        Takes::Observation if c.is_ascii_digit() => Some(Meaning::Refused(format!(
            "digits never answer an observation. Asked: {}",
            question.wanted()
        ))),
        Takes::Digit if c.is_ascii_digit() => Some(picked(typed, question, c)),
        Takes::Observation
        | Takes::Word { .. }
        | Takes::Figure
        | Takes::Digit
        | Takes::LongList
        | Takes::Text => None,
    }
}

/// Why a digit chooses nothing: it is the key just before again, and nothing is offered here, so that what was seen
/// (one fault after the other, say) would be chosen by leaning on it.
fn leaned_upon(question: &Question, takes: Takes, c: char, leaning: Option<&str>) -> Option<Meaning> {
    let chooses = takes == Takes::Digit && c.is_ascii_digit() && question.offer.is_none();
    let why =
        || format!("{c} {AGAIN} was not taken: read the list, then choose. Asked: {}", question.wanted());
    (chooses && leaning == Some(AGAIN)).then(|| Meaning::Refused(why()))
}

fn picked(typed: &str, question: &Question, digit: char) -> Meaning {
    let length = if let Answers::Choice(list) = &question.answers { list.len() } else { 0 };
    let number = digit.to_digit(10).and_then(|n| usize::try_from(n).ok()).unwrap_or(0);
    if typed.is_empty() && (1..=length).contains(&number) {
        Meaning::Input(Input::Line(digit.to_string()))
    } else {
        Meaning::Refused(format!("{digit} is not in the list. Asked: {}", question.wanted()))
    }
}

pub(super) fn observed(question: &Question, key: &str, word: &str, leaning: Option<&str>) -> Meaning {
    let asked = |list: &[Seen]| list.iter().any(|seen| seen.word == word);
    if !matches!(&question.answers, Answers::Observed(list) if asked(list)) {
        return not_asked(&format!("{key} {word}"), question);
    }
    if let Some(how) = leaning {
        return Meaning::Refused(format!(
            "{key} {how} was not taken: look first, then answer. Asked: {}",
            question.wanted()
        ));
    }
    Meaning::Input(Input::Line(word.to_owned()))
}

pub(super) fn not_asked(what: &str, question: &Question) -> Meaning {
    if question.topic == Topic::Over {
        return Meaning::Refused("the visit is over".into());
    }
    Meaning::Refused(format!("{what} is not asked here. Asked: {}", question.wanted()))
}

/// Why something begun would be lost.
fn half_done(state: &State) -> Option<String> {
    if !state.desk.typed.is_empty() {
        Some("something is half typed: Enter ends it, Backspace rubs it out".into())
    } else if half_answered(state) {
        Some("this is half answered: finish it, or go back with PageUp".into())
    } else {
        None
    }
}

/// Why a doing makes no sense now.
fn in_the_way(state: &State, command: Command) -> Option<String> {
    if matches!(command, Command::Back | Command::Leave | Command::SoFar) {
        return None;
    }
    let at_terminal =
        matches!(command, Command::Later | Command::Disturbed | Command::SetAside | Command::Remake);
    half_done(state).or_else(|| {
        (at_terminal && state.visit.opened().is_some() && state.desk.focus.is_none())
            .then(|| "no terminal is in front of you: an arrow, or g and a way, takes you to one".into())
    })
}
