//! What a name or a remark may be made of.

use unicode_width::UnicodeWidthStr;

/// The widest a name may be, in columns.
pub const NAME_COLUMNS: usize = 60;
/// The widest a remark, a reason or an answer in own words may be, in columns.
pub const REMARK_COLUMNS: usize = 240;

/// Why a text is refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BadText {
    /// Nothing but blanks.
    Empty,
    /// Wider than allowed; both in columns.
    TooWide {
        /// What was found.
        columns: usize,
        /// What is allowed.
        allowed: usize,
    },
    /// A control character or a line break.
    Control(char),
    /// A mark that turns the reading direction, or an invisible format character.
    Direction(char),
}

impl BadText {
    /// The reason in trade words, for behind "… :".
    #[must_use]
    pub fn reason(&self) -> String {
        match self {
            Self::Empty => "nothing is written there".into(),
            Self::TooWide { columns, allowed } => {
                format!("{columns} columns wide, at most {allowed} are allowed")
            }
            Self::Control(c) => {
                format!("holds the control character U+{:04X}; only printable text is allowed", u32::from(*c))
            }
            Self::Direction(c) => format!(
                "holds U+{:04X}, which turns or hides the reading direction; only plain text is allowed",
                u32::from(*c)
            ),
        }
    }
}

/// Columns a text takes on the screen and on the page; the one width function.
#[must_use]
pub fn columns(text: &str) -> usize {
    text.width()
}

/// Accepts printable text of at most `allowed` columns and gives it back without blanks at its ends.
///
/// # Errors
/// [`BadText`] with the first thing that is wrong.
pub fn checked(text: &str, allowed: usize) -> Result<String, BadText> {
    let text = text.trim_matches(' ');
    if let Some(c) = text.chars().find(|c| c.is_control() || matches!(c, '\u{2028}' | '\u{2029}')) {
        return Err(BadText::Control(c));
    }
    if let Some(c) = text.chars().find(|c| turns_direction(*c)) {
        return Err(BadText::Direction(c));
    }
    if text.is_empty() {
        return Err(BadText::Empty);
    }
    let columns = columns(text);
    if columns > allowed { Err(BadText::TooWide { columns, allowed }) } else { Ok(text.to_owned()) }
}

fn turns_direction(c: char) -> bool {
    matches!(c, '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_hides_or_breaks_is_refused() {
        assert_eq!(checked("a\tb", 60), Err(BadText::Control('\t')));
        assert_eq!(checked("a\u{202e}b", 60), Err(BadText::Direction('\u{202e}')));
        assert_eq!(checked("  ", 60), Err(BadText::Empty));
        assert_eq!(checked(&"x".repeat(61), 60), Err(BadText::TooWide { columns: 61, allowed: 60 }));
        assert_eq!(checked(" Größe 3 ", 60).as_deref(), Ok("Größe 3"));
    }
}
