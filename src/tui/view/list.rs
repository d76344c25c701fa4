//! A numbered list, one entry a line; longer than its room it scrolls and says so.

use super::page::{Page, top};
use super::words::wrap;
use crate::session::desk::{Answers, Question};
use crate::tui::ui::Ui;
use ratatui::layout::Rect;

/// Draws the entries of a choice from the first one the screen is scrolled to.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, question: &Question, ui: &Ui) {
    let Answers::Choice(list) = &question.answers else { return };
    if list.len() < 2 {
        return;
    }
    let digits = list.len().to_string().len();
    let room = area.width.saturating_sub(u16::try_from(digits).unwrap_or(0).saturating_add(3));
    let entries: Vec<(usize, Vec<String>)> =
        (1..).zip(list).map(|(n, words)| (n, wrap(words, room))).collect();
    let rows = |from: usize| entries.iter().skip(from).map(|(_, lines)| lines.len()).sum::<usize>();
    let height = usize::from(area.height);
    let scrolls = rows(0) > height;
    let from = if scrolls { ui.list_from.min(list.len().saturating_sub(1)) } else { 0 };
    let (shown, scroll) = top(area, if scrolls { area.height.saturating_sub(1) } else { area.height });
    let mut row: u16 = 0;
    let mut shown_to = from;
    for (n, lines) in entries.iter().skip(from) {
        let tall = u16::try_from(lines.len()).unwrap_or(u16::MAX);
        if row.saturating_add(tall) > shown.height {
            break;
        }
        let offered = question.offer.as_deref() == Some(n.to_string().as_str());
        for (nth, line) in lines.iter().enumerate() {
            let number =
                if nth == 0 { format!(" {n:>digits$} ") } else { " ".repeat(digits.saturating_add(2)) };
            let col = page.put(shown, row, 0, &number, page.theme.strong);
            let style = if offered { page.theme.strong } else { page.theme.plain };
            page.put(shown, row, col, line, style);
            row = row.saturating_add(1);
        }
        shown_to = *n;
    }
    if scrolls {
        let words =
            format!("{} to {shown_to} of {}; Up and Down show the rest", from.saturating_add(1), list.len());
        page.put(scroll, 0, 0, &words, page.theme.strong);
    }
}
