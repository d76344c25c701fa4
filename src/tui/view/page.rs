//! Where things are put: every write is clipped to its area, so no size of screen can be too small for one.

use super::words::{fit, width, wrap};
use crate::tui::theme::Theme;
use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::style::Style;

/// A screen being drawn.
pub(super) struct Page<'a> {
    /// Its cells.
    pub(super) cells: &'a mut Buffer,
    /// Its styles.
    pub(super) theme: &'a Theme,
    /// Where the real cursor goes.
    pub(super) cursor: Option<Position>,
}

impl Page<'_> {
    /// Puts a text into a row of an area, cut visibly where it does not fit; says how many columns it took.
    pub(super) fn put(&mut self, area: Rect, row: u16, col: u16, text: &str, style: Style) -> u16 {
        let area = area.intersection(self.cells.area);
        if row >= area.height || col >= area.width {
            return 0;
        }
        let room = area.width.saturating_sub(col);
        let text = fit(text, room);
        let (x, y) = (area.x.saturating_add(col), area.y.saturating_add(row));
        self.cells.set_stringn(x, y, &text, usize::from(room), style);
        width(&text)
    }

    /// Puts a text at the right end of a row.
    pub(super) fn put_right(&mut self, area: Rect, row: u16, text: &str, style: Style) {
        let col = area.width.saturating_sub(width(text));
        self.put(area, row, col, text, style);
    }

    /// Puts wrapped text from a row on; says the row after it.
    pub(super) fn put_wrapped(&mut self, area: Rect, row: u16, text: &str, style: Style) -> u16 {
        let mut row = row;
        for line in wrap(text, area.width) {
            self.put(area, row, 0, &line, style);
            row = row.saturating_add(1);
        }
        row
    }

    /// Fills one cell.
    pub(super) fn fill(&mut self, area: Rect, row: u16, col: u16) {
        let area = area.intersection(self.cells.area);
        if row < area.height && col < area.width {
            let at = Position::new(area.x.saturating_add(col), area.y.saturating_add(row));
            if let Some(cell) = self.cells.cell_mut(at) {
                cell.set_char(' ').set_style(self.theme.solid);
            }
        }
    }

    /// Puts the real cursor into a row of an area.
    pub(super) fn cursor_at(&mut self, area: Rect, row: u16, col: u16) {
        let area = area.intersection(self.cells.area);
        if row < area.height && area.width > 0 {
            let col = col.min(area.width.saturating_sub(1));
            self.cursor = Some(Position::new(area.x.saturating_add(col), area.y.saturating_add(row)));
        }
    }
}

/// The first rows of an area and the rest.
pub(super) fn top(area: Rect, rows: u16) -> (Rect, Rect) {
    let rows = rows.min(area.height);
    let first = Rect { height: rows, ..area };
    let rest = Rect { y: area.y.saturating_add(rows), height: area.height.saturating_sub(rows), ..area };
    (first, rest)
}

/// The rest and the last rows of an area.
pub(super) fn bottom(area: Rect, rows: u16) -> (Rect, Rect) {
    let rows = rows.min(area.height);
    top(area, area.height.saturating_sub(rows))
}

/// The first columns of an area and the rest after a gap.
pub(super) fn left(area: Rect, columns: u16, gap: u16) -> (Rect, Rect) {
    let columns = columns.min(area.width);
    let skip = columns.saturating_add(gap).min(area.width);
    let first = Rect { width: columns, ..area };
    let rest = Rect { x: area.x.saturating_add(skip), width: area.width.saturating_sub(skip), ..area };
    (first, rest)
}
