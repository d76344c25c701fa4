//! The last row: the keys that work now. Where it is too narrow for all, what the question says already goes first.

use super::page::Page;
use super::words::width;
use crate::session::desk::{Answers, Question, State, Topic};
use crate::tui::keys;
use crate::tui::ui::Ui;
use ratatui::layout::Rect;

/// Draws it.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, state: &State, ui: &Ui, question: &Question) {
    let mut keys = keys::footer(state, ui);
    if question.topic == Topic::Scale && question.offer.is_some() {
        // The offer of a rehearsal is the setting itself.
        for (_, words) in keys.iter_mut().filter(|(key, _)| key == "Enter") {
            if question.is_observation() && state.desk.typed.is_empty() {
                "the rehearsal answers".clone_into(words);
            }
        }
    }
    put(page, area, keys, question);
}

/// Draws these keys, as many of them as fit.
pub(super) fn put(page: &mut Page<'_>, area: Rect, mut keys: Vec<(String, String)>, question: &Question) {
    let gap = fitting(&mut keys, question, area.width);
    let mut col: u16 = 0;
    for (key, words) in &keys {
        col = col.saturating_add(page.put(area, 0, col, key, page.theme.strong)).saturating_add(1);
        col = col.saturating_add(page.put(area, 0, col, words, page.theme.plain)).saturating_add(gap);
    }
}

/// Takes keys away until the rest fits; says how many columns stand between two.
fn fitting(keys: &mut Vec<(String, String)>, question: &Question, room: u16) -> u16 {
    let fits = |keys: &[(String, String)], gap: u16| {
        let taken = keys.iter().fold(0_u16, |sum, (key, words)| {
            sum.saturating_add(width(key)).saturating_add(width(words)).saturating_add(1).saturating_add(gap)
        });
        taken.saturating_sub(gap) <= room
    };
    if let Some(gap) = [3, 2].into_iter().find(|gap| fits(keys, *gap)) {
        return gap;
    }
    keys.retain(|(key, _)| !answers(question, key));
    if let Some(gap) = [3, 2, 1].into_iter().find(|gap| fits(keys, *gap)) {
        return gap;
    }
    // The help says them all.
    while !fits(keys, 1) && keys.len() > 1 {
        let at = keys.iter().rposition(|(key, _)| key != "?" && key != "F1").unwrap_or(0);
        keys.remove(at);
    }
    1
}

/// Whether a key of the footer answers the question; the question names those itself.
fn answers(question: &Question, key: &str) -> bool {
    let observed = match &question.answers {
        Answers::Observed(list) => list.iter().any(|seen| key.strip_prefix(seen.key) == Some("")),
        Answers::Words(_)
        | Answers::Reading { .. }
        | Answers::Choice(_)
        | Answers::Text { .. }
        | Answers::Number
        | Answers::Count => false,
    };
    observed || key == "Enter" || key == "type" || key == "digits" || key.starts_with('1')
}
