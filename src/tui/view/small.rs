//! Too small: what the screen needs, what it has, and that nothing is lost.

use super::page::Page;
use ratatui::layout::Rect;

/// Draws the whole screen.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, not_stored: bool) {
    let mut row = 0;
    if not_stored {
        row = page.put_wrapped(area, row, "NOT STORED: the last answer is not recorded.", page.theme.alarm);
    }
    let words = format!(
        "This screen needs {} columns and {} rows; it has {} and {}.",
        super::COLUMNS,
        super::ROWS,
        area.width,
        area.height
    );
    row = page.put_wrapped(area, row, &words, page.theme.strong);
    let help = "Make the window larger or its letters smaller. Nothing is lost meanwhile. The plain face needs no size: start with --plain.";
    page.put_wrapped(area, row, help, page.theme.plain);
}
