//! Colours and weights: what wears which style, in colour and without.
//!
//! The terminal's own background and foreground stay everywhere; only the sixteen named colours are used, and
//! never colour alone: whatever has a colour has a word or a letter besides. Emphasis is kept for *needs you*;
//! what is good gets none. The mono theme touches neither foreground nor background, because a colour reset
//! written for it would cancel REVERSED.

use crate::domain::board::Pole;
use ratatui::style::{Color, Modifier, Style};

/// What wears which style.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Theme {
    /// Everything else.
    pub plain: Style,
    /// Titles, questions, the name of the key.
    pub strong: Style,
    /// Solid cells of the large figures, and names too long for them.
    pub solid: Style,
    /// The terminal in front of the person, on the drawing.
    pub focus: Style,
    /// Needs you: cautions, refusals, a live source.
    pub needs: Style,
    /// Needs you before anything else: NOT STORED, REHEARSAL.
    pub alarm: Style,
    lines: [Style; 3],
}

impl Theme {
    /// Sixteen named colours on the terminal's own background.
    #[must_use]
    pub fn colours() -> Self {
        let mono = Self::mono();
        Self {
            needs: mono.needs.fg(Color::Magenta),
            // IEC 60445: brown, black, grey. Dark yellow is the brown of the sixteen; black is the terminal's own
            // foreground in bold, so white on a dark screen (our choice).
            lines: [
                Style::new().fg(Color::Yellow),
                Style::new().add_modifier(Modifier::BOLD),
                Style::new().fg(Color::DarkGray),
            ],
            ..mono
        }
    }

    /// No colour at all: REVERSED and BOLD only.
    #[must_use]
    pub fn mono() -> Self {
        let bold = Style::new().add_modifier(Modifier::BOLD);
        let reversed = Style::new().add_modifier(Modifier::REVERSED);
        Self {
            plain: Style::new(),
            strong: bold,
            solid: reversed,
            focus: reversed,
            needs: bold,
            alarm: bold.add_modifier(Modifier::REVERSED),
            lines: [Style::new(); 3],
        }
    }

    /// Style of a line conductor's name, after IEC 60445; the neutral has none.
    #[must_use]
    pub fn pole(&self, pole: Pole) -> Style {
        let [brown, black, grey] = self.lines;
        match pole {
            Pole::L1 => brown,
            Pole::L2 => black,
            Pole::L3 => grey,
            Pole::N => self.plain,
        }
    }
}
