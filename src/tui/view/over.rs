//! Nothing is asked any more: how the visit ended, its numbers, and where the record and the appendix lie.

use super::page::Page;
use crate::session::Ended;
use crate::session::desk::{Left, State};
use crate::tui::ui::Ui;
use ratatui::layout::Rect;

/// Draws everything below the header.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, state: &State, ui: &Ui) {
    let (title, words) = match (state.visit.ended(), state.desk.left) {
        (Some(Ended::Closed(_)), _) => {
            ("The visit is closed.", "A closed visit never changes: a correction is a new visit.")
        }
        (Some(Ended::Abandoned(_)), _) => {
            ("The visit is abandoned.", "What was recorded stays readable; the reason stands in it.")
        }
        (None, Some(Left::ForTheDay | Left::Ended) | None) if state.visit.opened().is_none() => {
            ("Nothing was opened.", "Nothing is recorded.")
        }
        (None, _) => (
            "You have left for the day. The visit stays open.",
            "It goes on where it stopped; the gate and the scales are asked again then.",
        ),
    };
    let mut row = page.put_wrapped(area, 1, title, page.theme.strong);
    row = page.put_wrapped(area, row, words, page.theme.plain).saturating_add(1);
    if state.visit.opened().is_some() {
        let c = state.visit.counts();
        for (count, words) in [
            (c.in_scope(), "terminals"),
            (c.complete, "complete"),
            (c.with_remark, "complete with remark"),
            (c.aside, "set aside"),
            (c.settling, "settling"),
            (c.open, "open"),
        ] {
            page.put(area, row, 0, &format!("{count:>5}  {words}"), page.theme.plain);
            row = row.saturating_add(1);
        }
        for span in state.visit.open_spans() {
            let words = format!("       the scale of tool {} is still to be read", span.tool);
            page.put(area, row, 0, &words, page.theme.needs);
            row = row.saturating_add(1);
        }
        row = row.saturating_add(1);
    }
    if let Some(lies) = &ui.record_at {
        row = page.put_wrapped(area, row, "The record lies at", page.theme.plain);
        row = page.put_wrapped(area, row, lies, page.theme.strong);
        if matches!(state.visit.ended(), Some(Ended::Closed(_))) {
            let words = "and its appendix, plain text for the certificate, beside it.";
            row = page.put_wrapped(area, row, words, page.theme.plain);
        }
    }
    if let Some(why) = &state.desk.trouble {
        row = page.put_wrapped(area, row.saturating_add(1), "NOT STORED: the last answer", page.theme.alarm);
        page.put_wrapped(area, row, why, page.theme.needs);
    }
}
