//! The keys of the table as they work on a page away from a visit.

use super::footer::answering;
use super::{Direction, Does, KeyRow, Takes, table};
use crate::session::desk::{Command, Question};
use crate::tui::ui::Ui;

/// A doing that leads elsewhere from a page, and its words there.
pub type PageDoing = (Command, &'static str);

/// What a key does there, in words; nothing where it means nothing.
#[must_use]
pub fn away(row: &KeyRow, doings: &[PageDoing]) -> Option<&'static str> {
    match row.does {
        Does::Take | Does::Rub | Does::Digit | Does::Point | Does::Help | Does::Suspend => Some(row.words),
        Does::Walk(Direction::Up) => Some("a line up, where not everything fits; in the help: up"),
        Does::Walk(Direction::Down) => Some("a line down, where not everything fits; in the help: down"),
        Does::Walk(Direction::Left) => Some("ten lines up"),
        Does::Walk(Direction::Right) => Some("ten lines down"),
        Does::Do(Command::Back) => Some("back: the last answer, or the page before"),
        Does::Do(Command::Leave) => Some("leave"),
        Does::Do(doing) => doings.iter().find(|(known, _)| *known == doing).map(|(_, words)| *words),
        Does::Observe(_) => None,
    }
}

/// The keys that work now on such a page, most needed first: key and word.
#[must_use]
pub fn away_footer(question: &Question, doings: &[PageDoing], typed: &str, ui: &Ui) -> Vec<(String, String)> {
    let key = |key: &str, word: &str| (key.to_owned(), word.to_owned());
    if ui.help {
        return vec![key("Up Down", "scroll"), key("?", "close the help")];
    }
    let takes = Takes::of(question);
    let mut keys = answering(question, typed, takes);
    let half = !typed.is_empty();
    keys.push(if half { key("Backspace", "rub out") } else { key("PageUp", "back") });
    if !half && !takes.letters() {
        for (doing, words) in doings {
            let row = table().iter().find(|row| row.does == Does::Do(*doing));
            keys.extend(row.map(|row| key(row.keys, words)));
        }
    }
    let (help, leave) = if takes.letters() { ("F1", "Ctrl-C") } else { ("?", "q") };
    keys.extend([key(help, "help"), key(leave, "leave")]);
    keys
}
