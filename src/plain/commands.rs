//! Doings typed as a whole line: the letters of the full screen, and two words.

use crate::domain::names::WayNumber;
use crate::session::desk::{Answers, Command, Question};
use std::io::{self, Write};

/// What a line asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Asked {
    /// It is an answer, good or bad: the desk judges it.
    Answer,
    /// A doing.
    Command(Command),
    /// The list of doings.
    Help,
}

/// Letters and words, what they do, and how help says it.
const DOINGS: [(&str, Command, &str); 16] = [
    ("back", Command::Back, "go back: the last answer of several, or the terminal before"),
    ("later", Command::Later, "leave this terminal for later"),
    ("t", Command::Tool, "take or state a tool"),
    ("p", Command::Person, "who takes the tool"),
    ("j", Command::Row, "work a row, and tell it afterwards"),
    ("=", Command::Alike, "the same for the whole place"),
    ("d", Command::Disturbed, "this terminal was disturbed or opened again"),
    ("+", Command::Remark, "a remark"),
    ("l", Command::Slip, "the last answer was a slip: put it right"),
    ("a", Command::Amend, "a maker's value found, or read differently: amend the board"),
    ("x", Command::SetAside, "set this terminal aside, with the reason"),
    ("z", Command::Remake, "cut back and remake this terminal"),
    ("y", Command::SoFar, "so far: what is open, waits or was set aside, in numbers too"),
    ("i", Command::List, "a list of everything else"),
    ("q", Command::Leave, "leave for the day; the visit stays open"),
    ("g", Command::GoToWay, "go to a way; g 5 goes to way 5"),
];

/// Reads a line. An answer goes before a doing; a dot before a doing makes sure of it, and where words are wanted
/// it is needed.
pub(super) fn read(line: &str, question: &Question) -> Asked {
    let line = line.trim();
    let dotted = line.strip_prefix('.').map(str::trim);
    let words_wanted = matches!(question.answers, Answers::Text { .. });
    let bare = (!words_wanted && question.read(line).is_err()).then_some(line);
    dotted.and_then(doing).or_else(|| bare.and_then(doing)).unwrap_or(Asked::Answer)
}

fn doing(word: &str) -> Option<Asked> {
    if word == "?" {
        return Some(Asked::Help);
    }
    if let Some((_, command, _)) = DOINGS.iter().find(|(letter, _, _)| *letter == word) {
        return Some(Asked::Command(*command));
    }
    let way = word.strip_prefix("g ")?.trim().parse().ok()?;
    Some(Asked::Command(Command::Way(WayNumber(way))))
}

/// Says what can be typed besides answers.
pub(super) fn help(out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "Besides an answer, a line may be:")?;
    for (letter, _, words) in DOINGS {
        writeln!(out, "  {letter:<6} {words}")?;
    }
    writeln!(out, "  ?      this list")?;
    writeln!(out, "Where words are wanted, put a dot before it: .q, .back")?;
    writeln!(
        out,
        "Observations (clicked, firm, dead) are never offered; an empty line takes only an offer in [ ]."
    )
}

/// Says what can be typed besides answers on a page away from a visit.
pub(super) fn help_away(doings: &[(Command, &'static str)], out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "Besides an answer, a line may be:")?;
    for (doing, words) in doings {
        if let Some((letter, _, _)) = DOINGS.iter().find(|(_, known, _)| known == doing) {
            writeln!(out, "  {letter:<6} {words}")?;
        }
    }
    writeln!(out, "  back   go back: the last answer, or the page before")?;
    writeln!(out, "  q      leave")?;
    writeln!(out, "  ?      this list")?;
    writeln!(out, "Where words are wanted, put a dot before it: .q, .back")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::desk::Topic;

    fn question(answers: Answers) -> Question {
        Question {
            topic: Topic::Walk,
            about: None,
            text: "?".into(),
            hints: Vec::new(),
            answers,
            offer: None,
        }
    }

    #[test]
    fn a_doing_is_a_whole_line_and_never_swallows_an_answer() {
        let text = question(Answers::Text { columns: 60, optional: false });
        assert_eq!(read("q", &text), Asked::Answer);
        assert_eq!(read(".q", &text), Asked::Command(Command::Leave));
        assert_eq!(read(".45 adapter", &text), Asked::Answer);
        let list = question(Answers::Choice(vec!["later".into()]));
        assert_eq!(read("later", &list), Asked::Answer);
        assert_eq!(read(".later", &list), Asked::Command(Command::Later));
        assert_eq!(read("g 5", &list), Asked::Command(Command::Way(WayNumber(5))));
        assert_eq!(read("g five", &list), Asked::Answer);
        assert_eq!(read("quit", &list), Asked::Answer);
        assert_eq!(read("?", &list), Asked::Help);
    }
}
