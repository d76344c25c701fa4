//! So far: what is open, waits, was set aside or remade, and the numbers, over the whole screen.

use super::footer;
use super::page::{Page, bottom, left, top};
use super::words::wrap;
use crate::session::desk::State;
use crate::session::desk::so_far::so_far;
use crate::tui::ui::Ui;
use ratatui::layout::Rect;

/// Columns before the lines of a part.
const INDENT: u16 = 2;

/// Draws the whole screen; longer than its room it scrolls and says so.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, state: &State, ui: &Ui) {
    let (title, rest) = top(area, 1);
    let (body, last) = bottom(rest, 1);
    let lines = lines(state, body.width);
    let room = usize::from(body.height);
    let from = usize::from(ui.so_far_scroll).min(lines.len().saturating_sub(room));
    let shown_to = from.saturating_add(room).min(lines.len());
    let head = format!("SO FAR   {}", state.board().title);
    page.put(title, 0, 0, &head, page.theme.strong);
    if lines.len() > room {
        let place = format!("lines {} to {shown_to} of {}", from.saturating_add(1), lines.len());
        page.put_right(title, 0, &place, page.theme.plain);
    }
    for (row, line) in (0..).zip(lines.iter().skip(from).take(room)) {
        match line {
            Line::Heading(words) => page.put(body, row, 0, words, page.theme.strong),
            Line::Words(words) => {
                let (_, beside) = left(body, INDENT, 0);
                page.put(beside, row, 0, words, page.theme.plain)
            }
        };
    }
    footer::draw(page, last, state, ui, &state.question());
}

/// Furthest line that the smallest screen has to begin with, so that the last one is seen.
pub(in crate::tui) fn furthest(state: &State) -> usize {
    let room = usize::from(super::ROWS.saturating_sub(2));
    lines(state, super::COLUMNS).len().saturating_sub(room)
}

/// A line of it.
enum Line {
    Heading(String),
    Words(String),
}

fn lines(state: &State, room: u16) -> Vec<Line> {
    let mut lines = Vec::new();
    for part in so_far(state) {
        lines.push(Line::Heading(String::new()));
        lines.push(Line::Heading(part.title));
        for words in part.lines {
            let wrapped = wrap(&words, room.saturating_sub(INDENT.saturating_mul(2)));
            for (nth, line) in wrapped.into_iter().enumerate() {
                let indent = if nth == 0 { "" } else { "  " };
                lines.push(Line::Words(format!("{indent}{line}")));
            }
        }
    }
    lines
}
