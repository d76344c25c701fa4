//! Trouble: the last answer is not stored. It stays in sight, larger than anything else, until it is mended.

use super::glyphs::{self, Setting};
use super::list;
use super::page::{Page, top};
use super::recorded;
use crate::session::desk::{Question, State};
use crate::tui::ui::Ui;
use ratatui::layout::Rect;

/// What stands there.
const WORDS: &str = "NOT STORED";

/// Draws everything between the header and what is told.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, state: &State, ui: &Ui, question: &Question) {
    let (_, area) = top(area, 1);
    let (figures, area) = top(area, glyphs::ROWS);
    let fits = |setting: &Setting| glyphs::wide(WORDS, *setting).is_some_and(|wide| wide <= area.width);
    match Setting::ALL.into_iter().find(fits) {
        Some(setting) => glyphs::draw(page, figures, WORDS, setting),
        None => {
            page.put(figures, 2, 0, WORDS, page.theme.alarm);
        }
    }
    let (_, area) = top(area, 1);
    page.put(area, 0, 0, &format!(" {WORDS} "), page.theme.alarm);
    let mut row: u16 = 2;
    page.put(area, row, 0, "What is not recorded:", page.theme.strong);
    row = row.saturating_add(1);
    let drafts = state.desk.pending.as_ref().map_or(&[][..], |pending| pending.drafts.as_slice());
    for draft in drafts.iter().take(3) {
        row = page.put_wrapped(
            area,
            row,
            &format!("  {}", recorded::in_words(&draft.fact, true)),
            page.theme.plain,
        );
    }
    if drafts.len() > 3 {
        let words = format!("  and {} more lines", drafts.len().saturating_sub(3));
        row = page.put_wrapped(area, row, &words, page.theme.plain);
    }
    let safe = match state.visit.lines().last() {
        Some(line) => {
            format!("Safe: everything up to line {}, {}.", line.seq, recorded::sentence(line, true))
        }
        None => "Nothing was recorded before it.".to_owned(),
    };
    row = page.put_wrapped(area, row, &safe, page.theme.plain).saturating_add(1);
    let (_, rest) = top(area, row);
    list::draw(page, rest, question, ui);
}
