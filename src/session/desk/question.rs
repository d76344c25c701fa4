//! What is asked now, and what counts as an answer. Both faces show the same question and hand back the line.

use crate::domain::text::{NAME_COLUMNS, REMARK_COLUMNS, checked};
use crate::domain::torque::{Torque, Unit, Unreadable, read_decimal};
use crate::session::visit::TerminalIndex;

/// An observation: its key on the full screen, its word everywhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seen {
    /// Key, a small letter.
    pub key: char,
    /// Word.
    pub word: &'static str,
}

/// What kind of answer is wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answers {
    /// One of these observations, by key or word. Never offered outside a rehearsal.
    Observed(Vec<Seen>),
    /// One of these words, typed whole: what is rare and grave. Never offered outside a rehearsal.
    Words(Vec<&'static str>),
    /// A reading typed in digits, in this unit. Never offered outside a rehearsal.
    Reading {
        /// Unit of the scale or display.
        unit: Unit,
        /// A word that is taken instead of digits.
        or_word: Option<&'static str>,
    },
    /// One of a numbered list, from 1.
    Choice(Vec<String>),
    /// Text in own words.
    Text {
        /// Widest, in columns.
        columns: usize,
        /// Whether nothing is an answer too.
        optional: bool,
    },
    /// A number of things counted, typed in digits. Never offered outside a rehearsal.
    Count,
    /// A plain number, such as a range or a graduation; stated, not observed.
    Number,
}

/// What the question is about; faces choose their picture by it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Topic {
    /// Who, what for, with what, in which order.
    Opening,
    /// A tool is stated.
    Tool,
    /// The gate.
    Gate,
    /// A step of the walk.
    Walk,
    /// The tool has to be set: the setting is shown.
    SetTool,
    /// A scale is read: no setting stands anywhere.
    Scale,
    /// A row is worked and told.
    Row,
    /// Something was found and is decided upon.
    Finding,
    /// The list of what else is possible.
    List,
    /// A doing with its reason: set aside, remake, remark, slip, abandon.
    Doing,
    /// Sign-off with the last look.
    SignOff,
    /// The journal could not store an answer.
    Trouble,
    /// Nothing is asked any more.
    Over,
}

/// A question.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// What it is about.
    pub topic: Topic,
    /// The terminal it is about.
    pub about: Option<TerminalIndex>,
    /// The question, one line, in trade words.
    pub text: String,
    /// What is worth knowing before answering; lines.
    pub hints: Vec<String>,
    /// What counts as an answer.
    pub answers: Answers,
    /// What an empty answer stands for; choices only, but for a rehearsal.
    pub offer: Option<String>,
}

/// Why an answer was not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotAnAnswer {
    /// It is empty and nothing is offered.
    Empty,
    /// It is none of what is asked for; what would be.
    Unknown(String),
}

impl Question {
    pub(crate) fn new(topic: Topic, text: impl Into<String>, answers: Answers) -> Self {
        Self { topic, about: None, text: text.into(), hints: Vec::new(), answers, offer: None }
    }

    pub(super) fn about(mut self, at: TerminalIndex) -> Self {
        self.about = Some(at);
        self
    }

    pub(crate) fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hints.push(hint.into());
        self
    }

    pub(crate) fn offering(mut self, offer: impl Into<String>) -> Self {
        self.offer = Some(offer.into());
        self
    }

    pub(crate) fn offering_if(mut self, offer: Option<String>) -> Self {
        self.offer = offer;
        self
    }

    /// Whether its answer is an observation.
    #[must_use]
    pub fn is_observation(&self) -> bool {
        matches!(
            self.answers,
            Answers::Observed(_) | Answers::Words(_) | Answers::Reading { .. } | Answers::Count
        )
    }

    /// Whether its answer is typed letter by letter and ended with Enter.
    #[must_use]
    pub fn is_typed(&self) -> bool {
        !matches!(self.answers, Answers::Observed(_) | Answers::Choice(_))
    }

    /// Turns a line into the answer it stands for: a word, a list number from 1, a checked text, digits.
    ///
    /// # Errors
    /// [`NotAnAnswer`] says what would be one.
    pub fn read(&self, line: &str) -> Result<String, NotAnAnswer> {
        let line = line.trim();
        if line.is_empty() {
            return match (&self.offer, &self.answers) {
                (Some(offer), _) => Ok(offer.clone()),
                (None, Answers::Text { optional: true, .. }) => Ok(String::new()),
                _ => Err(NotAnAnswer::Empty),
            };
        }
        let unknown = || NotAnAnswer::Unknown(self.wanted());
        match &self.answers {
            Answers::Observed(list) => list
                .iter()
                .find(|seen| line == seen.word || line.strip_prefix(seen.key) == Some(""))
                .map(|seen| seen.word.to_owned())
                .ok_or_else(unknown),
            Answers::Words(words) => {
                words.iter().find(|word| **word == line).map(|word| (*word).to_owned()).ok_or_else(unknown)
            }
            Answers::Reading { or_word: Some(word), .. } if line == *word => Ok(line.to_owned()),
            Answers::Reading { unit, .. } => read_number(line, Some(*unit)),
            Answers::Count => {
                line.parse::<u32>().ok().filter(|n| *n > 0).map(|n| n.to_string()).ok_or_else(unknown)
            }
            Answers::Number => read_number(line, None),
            Answers::Choice(list) => {
                let by_number = line.parse::<usize>().ok().filter(|n| (1..=list.len()).contains(n));
                let by_words = || list.iter().position(|words| words == line).map(|at| at.saturating_add(1));
                by_number.or_else(by_words).map(|n| n.to_string()).ok_or_else(unknown)
            }
            Answers::Text { columns, .. } => {
                checked(line, *columns).map_err(|bad| NotAnAnswer::Unknown(bad.reason()))
            }
        }
    }

    /// Whether a typed answer that was not taken is left standing to be mended: own words are, a bare figure is typed
    /// again, for figures typed behind it would make another one.
    #[must_use]
    pub fn is_mended(&self, typed: &str) -> bool {
        let figure = typed.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | ' '));
        matches!(self.answers, Answers::Text { .. }) && !figure
    }

    /// What would be an answer, in words.
    #[must_use]
    pub fn wanted(&self) -> String {
        match &self.answers {
            Answers::Observed(list) => {
                let each: Vec<String> =
                    list.iter().map(|seen| format!("{} {}", seen.key, seen.word)).collect();
                each.join(", ")
            }
            Answers::Words(words) => format!("type the whole word: {}", words.join(" or ")),
            Answers::Reading { unit, or_word: None } => format!("digits, in {unit}"),
            Answers::Reading { unit, or_word: Some(word) } => {
                format!("digits, in {unit}, or the word {word}")
            }
            Answers::Count => "a whole number, in digits".into(),
            Answers::Number => "a number".into(),
            Answers::Choice(list) if list.len() == 1 && self.offer.is_some() => {
                "Enter, there is nothing else to choose".into()
            }
            Answers::Choice(list) if list.len() == 1 => "1, there is nothing else to choose".into(),
            Answers::Choice(list) => format!("a number from 1 to {}", list.len()),
            Answers::Text { columns, optional: false } => format!("text, at most {columns} columns"),
            Answers::Text { columns, optional: true } => {
                format!("text, at most {columns} columns, or nothing")
            }
        }
    }
}

/// Digits as typed; a unit behind them must be the right one.
fn read_number(line: &str, unit: Option<Unit>) -> Result<String, NotAnAnswer> {
    let number = match (Torque::read(line), unit) {
        (Ok(torque), Some(unit)) if torque.unit == unit => torque.value,
        (Ok(torque), Some(unit)) => {
            return Err(NotAnAnswer::Unknown(format!("this scale is in {unit}, not in {}", torque.unit)));
        }
        _ => read_decimal(line).map_err(|why| {
            NotAnAnswer::Unknown(match why {
                Unreadable::TooManyDigits => "at most 9 digits, at most 6 of them after the point".into(),
                Unreadable::NoNumber | Unreadable::NoUnit | Unreadable::UnknownUnit(_) => {
                    format!("digits{}", unit.map_or(String::new(), |unit| format!(", in {unit}")))
                }
            })
        })?,
    };
    Ok(number.to_string())
}

pub(crate) fn name_text() -> Answers {
    Answers::Text { columns: NAME_COLUMNS, optional: false }
}

pub(crate) fn own_words() -> Answers {
    Answers::Text { columns: REMARK_COLUMNS, optional: false }
}

pub(crate) fn choice<S: Into<String>>(list: impl IntoIterator<Item = S>) -> Answers {
    Answers::Choice(list.into_iter().map(Into::into).collect())
}
