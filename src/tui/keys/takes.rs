//! How a question takes its answer from the keyboard.

use crate::session::desk::{Answers, Question};

/// How a question takes its answer from the keyboard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Takes {
    /// One key, at once.
    Observation,
    /// Small letters, ended with Enter; digits and a point too where a reading is asked.
    Word {
        /// Whether digits are taken.
        or_digits: bool,
    },
    /// Digits and a point, ended with Enter.
    Figure,
    /// One digit, at once: lists of up to 9.
    Digit,
    /// A number ended with Enter: longer lists.
    LongList,
    /// Anything that can be typed, ended with Enter.
    Text,
}

impl Takes {
    /// Of a question.
    #[must_use]
    pub fn of(question: &Question) -> Self {
        match &question.answers {
            Answers::Observed(_) => Self::Observation,
            Answers::Words(_) => Self::Word { or_digits: false },
            Answers::Reading { or_word: Some(_), .. } => Self::Word { or_digits: true },
            Answers::Reading { or_word: None, .. } | Answers::Number | Answers::Count => Self::Figure,
            Answers::Choice(list) if list.len() < 10 => Self::Digit,
            Answers::Choice(_) => Self::LongList,
            Answers::Text { .. } => Self::Text,
        }
    }

    /// Whether letters are typed, so that no letter is a doing.
    #[must_use]
    pub fn letters(self) -> bool {
        matches!(self, Self::Word { .. } | Self::Text)
    }
}
