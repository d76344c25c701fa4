//! The drawing of the board: each terminal one sign, the one in front of the person reversed.
//!
//! A board larger than the room shows the place in front with its neighbours and says how much is not shown.

use super::layout::{self, Piece, Row};
use super::page::Page;
use crate::session::desk::State;
use crate::session::{Need, TerminalIndex};
use ratatui::layout::Rect;

/// Draws it.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, state: &State) {
    if area.height == 0 || area.width == 0 || state.visit.board().is_none() {
        return;
    }
    let rows = layout::rows(state.board(), area.width);
    let all = rows.len();
    let height = usize::from(area.height);
    if all <= height {
        for (at, row) in (0..).zip(&rows) {
            draw_row(page, area, at, row, state);
        }
        return;
    }
    let (head, from, shown) = window(&rows, height, state.desk.focus);
    let mut line = 0;
    if let Some(head) = head {
        draw_row(page, area, line, head, state);
        line = 1;
    }
    for row in rows.iter().skip(from).take(shown) {
        draw_row(page, area, line, row, state);
        line = line.saturating_add(1);
    }
    let terminals =
        |rows: &mut dyn Iterator<Item = &Row>| rows.map(|row| row.terminals().count()).sum::<usize>();
    let above = terminals(&mut rows.iter().take(from));
    let below = terminals(&mut rows.iter().skip(from.saturating_add(shown)));
    let words = format!("not shown: {above} above, {below} below");
    page.put(area, area.height.saturating_sub(1), 0, &words, page.theme.plain);
}

/// A heading that stays, the first row shown and how many, so that the focus stands in the middle.
fn window(rows: &[Row], height: usize, focus: Option<TerminalIndex>) -> (Option<&Row>, usize, usize) {
    let room = height.saturating_sub(1);
    let at = rows.iter().position(|row| row.terminals().any(|at| Some(at) == focus)).unwrap_or(0);
    let place = |shown: usize| at.saturating_sub(shown / 2).min(rows.len().saturating_sub(shown));
    let from = place(room);
    let head = rows.iter().position(|row| row.heads).filter(|head| *head < from && room > 1);
    match head.and_then(|head| rows.get(head)) {
        Some(head) => {
            let shown = room.saturating_sub(1);
            (Some(head), place(shown), shown)
        }
        None => (None, from, room),
    }
}

fn draw_row(page: &mut Page<'_>, area: Rect, line: u16, row: &Row, state: &State) {
    let front =
        state.desk.focus.and_then(|at| state.visit.terminal(at)).map(|terminal| terminal.place.as_str());
    let mut col: u16 = 0;
    for piece in &row.pieces {
        let theme = page.theme;
        match piece {
            Piece::Text(text) => page.put(area, line, col, text, theme.plain),
            Piece::Place(name) => {
                let here = front == Some(name.trim_end());
                page.put(area, line, col, name, if here { theme.strong } else { theme.plain })
            }
            Piece::Pole(pole) => page.put(area, line, col, pole.words(), theme.pole(*pole)),
            Piece::Sign(at) => sign(page, area, (line, col), *at, state),
        };
        col = col.saturating_add(piece.wide());
    }
}

fn sign(page: &mut Page<'_>, area: Rect, (line, col): (u16, u16), at: TerminalIndex, state: &State) -> u16 {
    let Some(standing) = state.visit.standing(at) else { return 0 };
    let needs = standing.aside.is_none() && standing.need.is_some_and(|need| need != Need::Spare);
    let style = if state.desk.focus == Some(at) {
        page.theme.focus
    } else if needs {
        page.theme.needs
    } else {
        page.theme.plain
    };
    page.put(area, line, col, &standing.sign().letter().to_string(), style)
}
