//! Help: the key table, group by group, and what the signs on the drawing mean.

use super::page::{Page, bottom, left, top};
use super::words::{width, wrap};
use super::{footer, walk};
use crate::session::desk::State;
use crate::tui::keys::{self, KeyGroup};
use crate::tui::ui::Ui;
use ratatui::layout::Rect;

/// A line of the help.
struct Line {
    keys: String,
    words: String,
    kind: Kind,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// Name of a group.
    Heading,
    /// A key and what it does.
    Key,
    /// Words over the whole width.
    Words,
}

/// Draws the whole screen.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, state: &State, ui: &Ui) {
    let (title, rest) = top(area, 1);
    let (body, last) = bottom(rest, 1);
    let lines = lines(body.width);
    let room = usize::from(body.height);
    let most = lines.len().saturating_sub(room);
    let from = usize::from(ui.help_scroll).min(most);
    let shown_to = from.saturating_add(room).min(lines.len());
    page.put(title, 0, 0, "HELP", page.theme.strong);
    let place = format!("lines {} to {shown_to} of {}", from.saturating_add(1), lines.len());
    page.put_right(title, 0, &place, page.theme.plain);
    for (row, line) in (0..).zip(lines.iter().skip(from).take(room)) {
        let style = if line.kind == Kind::Heading { page.theme.strong } else { page.theme.plain };
        page.put(body, row, 0, &line.keys, page.theme.strong);
        let (_, words) = left(body, if line.kind == Kind::Key { keys_wide() } else { 0 }, 0);
        page.put(words, row, 0, &line.words, style);
    }
    footer::draw(page, last, state, ui, &state.question());
}

/// Columns of the keys.
fn keys_wide() -> u16 {
    keys::table().iter().map(|row| width(row.keys)).max().unwrap_or(0).saturating_add(4)
}

fn lines(room: u16) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    let heading = |words: &str| Line { keys: String::new(), words: words.to_owned(), kind: Kind::Heading };
    let plain = |words: String| Line { keys: String::new(), words: format!("  {words}"), kind: Kind::Words };
    for group in KeyGroup::ALL {
        if !lines.is_empty() {
            lines.push(heading(""));
        }
        lines.push(heading(group.words()));
        for row in keys::table().iter().filter(|row| row.group == group) {
            let mut keys = format!("  {}", row.keys);
            for words in wrap(row.words, room.saturating_sub(keys_wide())) {
                lines.push(Line { keys: std::mem::take(&mut keys), words, kind: Kind::Key });
            }
        }
    }
    lines.push(heading(""));
    lines.push(heading("signs on the drawing; they are never keys"));
    lines.extend(walk::legend(true, room.saturating_sub(4)).into_iter().map(plain));
    lines.push(heading(""));
    let licence = "This program does not replace the maker's instructions, local rules or a licensed person's judgement.";
    lines.extend(wrap(licence, room.saturating_sub(4)).into_iter().map(plain));
    lines
}
