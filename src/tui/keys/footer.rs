//! The keys that work now, as the footer shows them.

use super::Takes;
use crate::domain::record::VisitKind;
use crate::session::desk::row::row_here;
use crate::session::desk::together::alike_here;
use crate::session::desk::{Answers, Question, State, Topic};
use crate::tui::ui::Ui;

/// Longest offer that the footer repeats, characters.
const OFFER_CHARS: usize = 28;

/// The keys that work now, most needed first: key and word. Where there is no room for all, the last may be left
/// out; the help has them.
#[must_use]
pub fn footer(state: &State, ui: &Ui) -> Vec<(String, String)> {
    let key = |key: &str, word: &str| (key.to_owned(), word.to_owned());
    if ui.help {
        return vec![key("Up Down", "scroll"), key("?", "close the help")];
    }
    if ui.so_far {
        return vec![key("Up Down", "scroll"), key("y", "close"), key("PageUp", "back")];
    }
    let question = state.question();
    if question.topic == Topic::Over {
        return Vec::new();
    }
    let takes = Takes::of(&question);
    let mut keys = answering(&question, &state.desk.typed, takes);
    let half = !state.desk.typed.is_empty();
    keys.push(if half { key("Backspace", "rub out") } else { key("PageUp", "back") });
    if half || half_answered(state) {
        keys.push(if half && takes.letters() { key("F1", "help") } else { key("?", "help") });
        return keys;
    }
    let at_terminal = question.topic == Topic::Walk && state.desk.focus.is_some();
    let (more, leave) = if takes.letters() { ("Tab", "Ctrl-C") } else { ("i", "q") };
    if matches!(question.topic, Topic::Walk | Topic::SetTool) && !takes.letters() && row_here(state).is_some()
    {
        keys.push(key("j", "row"));
    }
    if question.topic == Topic::Walk && !takes.letters() && alike_here(state).is_some() {
        keys.push(key("=", "whole place"));
    }
    keys.extend([key("?", "help"), key(more, "more"), key(leave, "leave")]);
    if at_terminal {
        keys.push(key("PageDown", "later"));
        if !takes.letters() {
            keys.extend([key("l", "slip"), key("x", "set aside")]);
            if state.visit.kind() != VisitKind::Audit {
                keys.push(key("z", "remake"));
            }
        }
    }
    keys
}

/// Keys that answer the question that stands.
pub(super) fn answering(question: &Question, typed: &str, takes: Takes) -> Vec<(String, String)> {
    let typed = !typed.is_empty();
    let mut keys: Vec<(String, String)> = match &question.answers {
        Answers::Observed(list) => {
            list.iter().map(|seen| (seen.key.to_string(), seen.word.to_owned())).collect()
        }
        Answers::Words(words) => vec![("type".into(), words.join(" or "))],
        Answers::Reading { unit, or_word } => {
            let or_word = or_word.map_or_else(String::new, |word| format!(" or {word}"));
            vec![("digits".into(), format!("{unit}{or_word}"))]
        }
        Answers::Number | Answers::Count => vec![("digits".into(), "a number".into())],
        Answers::Choice(list) => match list.len() {
            0 => Vec::new(),
            1 if question.offer.is_some() => Vec::new(),
            1 => vec![("1".into(), "choose".into())],
            many => vec![(format!("1 to {many}"), "choose".into())],
        },
        Answers::Text { .. } => vec![("type".into(), "your words".into())],
    };
    let ends = takes.letters() || matches!(takes, Takes::Figure | Takes::LongList);
    let optional = matches!(question.answers, Answers::Text { optional: true, .. });
    if typed && ends {
        keys.push(("Enter".into(), "done".into()));
    } else if let Some(offer) = &question.offer {
        let pick = offer.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
        let words = match (&question.answers, pick) {
            (Answers::Choice(list), Some(at)) => list.get(at).unwrap_or(offer),
            _ => offer,
        };
        let short = words.chars().count() <= OFFER_CHARS;
        keys.push(("Enter".into(), if short { words.clone() } else { "as offered".into() }));
    } else if optional {
        keys.push(("Enter".into(), "nothing".into()));
    }
    keys
}

/// Whether a form has answers already that another doing would drop.
#[must_use]
pub fn half_answered(state: &State) -> bool {
    state.desk.form.as_ref().is_some_and(|form| !form.given.is_empty())
}
