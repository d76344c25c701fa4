//! A page away from a visit: its title, its blocks, what is told, what is asked, the keys.
//!
//! On a wide screen blocks that may stand beside the others do. What is longer than its room scrolls and says so.

use super::ask::{Ask, Entries, Typing};
use super::page::{Page as Canvas, bottom, left, top};
use super::words::{width, wrap};
use super::{COLUMNS, ROWS, footer, help, small};
use crate::office::{Block, Page, PageState, Row};
use crate::session::desk::Question;
use crate::tui::keys::away_footer;
use crate::tui::theme::Theme;
use crate::tui::ui::Ui;
use ratatui::Frame;
use ratatui::layout::Rect;

/// Columns from which a page has a second one.
const WIDE: u16 = 110;
/// Columns between cells, and between the columns of a wide page.
const GAP: u16 = 2;
/// Narrowest that a wrapped cell may be; narrower, the cells of a row stand behind each other.
const CELL: u16 = 12;
/// Lines of a note shown at most.
const NOTE_ROWS: usize = 3;

/// Draws the screen; says with which line at most the page can begin so that its last line is seen.
pub(in crate::tui) fn draw<P: Page>(
    frame: &mut Frame<'_>,
    state: &PageState<P>,
    ui: &Ui,
    theme: &Theme,
) -> usize {
    let area = frame.area();
    let mut canvas = Canvas { cells: frame.buffer_mut(), theme, cursor: None };
    let mut furthest = 0;
    if area.width < COLUMNS || area.height < ROWS {
        small::draw(&mut canvas, area, false);
    } else {
        let question = state.page.question();
        let (rest, last) = bottom(area, 1);
        let doings = state.page.doings();
        let keys = away_footer(&question, &doings, &state.typed, ui);
        if ui.help {
            help::draw_away(&mut canvas, area, &doings, ui);
        } else {
            furthest = whole(&mut canvas, rest, state, ui, &question);
        }
        footer::put(&mut canvas, last, keys, &question);
    }
    if let Some(cursor) = canvas.cursor {
        frame.set_cursor_position(cursor);
    }
    furthest
}

fn whole<P: Page>(
    canvas: &mut Canvas<'_>,
    area: Rect,
    state: &PageState<P>,
    ui: &Ui,
    question: &Question,
) -> usize {
    let (title, rest) = top(area, 2);
    canvas.put(title, 0, 0, &state.page.title(), canvas.theme.strong);
    let blocks = state.page.body();
    let numbers: Vec<usize> =
        blocks.iter().flat_map(|block| &block.rows).filter_map(|row| row.number).collect();
    let typing = Typing { typed: &state.typed, rehearsal: false };
    let ask = Ask::new(typing, question, Entries::Besides(&numbers), area.width);
    let note = ui.note.as_deref().or(state.note.as_deref()).unwrap_or_default();
    let told: Vec<String> = wrap(note, area.width).into_iter().take(NOTE_ROWS).collect();
    let (rest, asked) = bottom(rest, ask.rows().min(rest.height / 2));
    let (body, said) = bottom(rest, u16::try_from(told.len()).unwrap_or(1));
    ask.draw(canvas, asked);
    for (row, line) in (0..).zip(&told) {
        canvas.put(said, row, 0, line, canvas.theme.needs);
    }
    put_blocks(canvas, body, &blocks, ui.list_from)
}

/// Blocks in one column or two, from a line on.
fn put_blocks(canvas: &mut Canvas<'_>, area: Rect, blocks: &[Block], from: usize) -> usize {
    let columns: Vec<(Rect, Vec<&Block>)> = if area.width >= WIDE {
        let (beside, main): (Vec<&Block>, Vec<&Block>) = blocks.iter().partition(|block| block.beside);
        let (first, second) = left(area, area.width.saturating_mul(2) / 3, GAP);
        vec![(first, main), (second, beside)]
    } else {
        vec![(area, blocks.iter().collect())]
    };
    let room = usize::from(area.height);
    let laid = |details: bool| -> Vec<(Rect, Vec<Line>)> {
        columns.iter().map(|(area, blocks)| (*area, lines(blocks, area.width, details))).collect()
    };
    let longest = |laid: &[(Rect, Vec<Line>)]| laid.iter().map(|(_, lines)| lines.len()).max().unwrap_or(0);
    let mut all = laid(true);
    if longest(&all) > room {
        all = laid(false);
    }
    let long = longest(&all);
    let (shown, scroll) = bottom(area, u16::from(long > room));
    let room = usize::from(shown.height);
    let furthest = long.saturating_sub(room);
    let from = from.min(furthest);
    for (area, lines) in &all {
        for (row, line) in (0..shown.height).zip(lines.iter().skip(from)) {
            line.put(canvas, *area, row);
        }
    }
    if long > room {
        let to = from.saturating_add(room).min(long);
        let words = format!("lines {} to {to} of {long}; Up and Down show the rest", from.saturating_add(1));
        canvas.put(scroll, 0, 0, &words, canvas.theme.strong);
    }
    furthest
}

/// A line of a block.
struct Line {
    number: String,
    words: String,
    weight: Weight,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Weight {
    Heading,
    Plain,
    Needs,
}

impl Line {
    fn new(number: impl Into<String>, words: impl Into<String>, weight: Weight) -> Self {
        Self { number: number.into(), words: words.into(), weight }
    }

    fn put(&self, canvas: &mut Canvas<'_>, area: Rect, row: u16) {
        let style = match self.weight {
            Weight::Heading => canvas.theme.strong,
            Weight::Plain => canvas.theme.plain,
            Weight::Needs => canvas.theme.needs,
        };
        let col = canvas.put(area, row, 0, &self.number, canvas.theme.strong);
        canvas.put(area, row, col, &self.words, style);
    }
}

/// Lines of blocks below each other, a blank one between two.
fn lines(blocks: &[&Block], room: u16, details: bool) -> Vec<Line> {
    let mut all = Vec::new();
    for block in blocks {
        if !all.is_empty() {
            all.push(Line::new("", "", Weight::Plain));
        }
        if !block.heading.is_empty() {
            all.extend(
                wrap(&block.heading, room).into_iter().map(|line| Line::new("", line, Weight::Heading)),
            );
        }
        let indent = if block.heading.is_empty() { "" } else { "  " };
        for words in &block.words {
            let wrapped = wrap(words, room.saturating_sub(width(indent)));
            all.extend(wrapped.into_iter().map(|line| Line::new(indent, line, Weight::Plain)));
        }
        rows(&block.rows, room, details, &mut all);
    }
    all
}

/// Rows with their cells in columns.
fn rows(rows: &[Row], room: u16, details: bool, all: &mut Vec<Line>) {
    let digits = rows.iter().filter_map(|row| row.number).map(|n| n.to_string().len()).max().unwrap_or(0);
    let lead = digits.saturating_add(2);
    let room = room.saturating_sub(u16::try_from(lead).unwrap_or(u16::MAX));
    let columns = widths(rows, room);
    for row in rows {
        let number = row.number.map_or_else(String::new, |n| format!(" {n:>digits$} "));
        let mut number = format!("{number:<lead$}");
        let blank = " ".repeat(lead);
        let weight = if row.needs { Weight::Needs } else { Weight::Plain };
        let mut add = |words: String| {
            let number = std::mem::replace(&mut number, blank.clone());
            all.push(Line::new(number, words, weight));
        };
        match &columns {
            Some(columns) => side_by_side(&row.cells, columns).into_iter().for_each(&mut add),
            None => wrap(&row.cells.join(", "), room).into_iter().for_each(&mut add),
        }
        let below = row.below.iter().chain(row.details.iter().filter(|_| details));
        for line in below {
            let indented = wrap(line, room.saturating_sub(2));
            for line in indented {
                add(format!("  {line}"));
            }
        }
    }
}

/// Widths of the columns, the widest one narrowed where they do not fit; nothing where that is no help.
fn widths(rows: &[Row], room: u16) -> Option<Vec<u16>> {
    let count = rows.iter().map(|row| row.cells.len()).max().unwrap_or(0);
    let widest = |at: usize| rows.iter().filter_map(|row| row.cells.get(at)).map(|cell| width(cell)).max();
    let mut widths: Vec<u16> = (0..count).map(|at| widest(at).unwrap_or(0)).collect();
    let gaps = GAP.saturating_mul(u16::try_from(count.saturating_sub(1)).unwrap_or(u16::MAX));
    let taken = widths.iter().fold(gaps, |sum, width| sum.saturating_add(*width));
    if let Some(over) = taken.checked_sub(room).filter(|over| *over > 0) {
        let widest = widths.iter_mut().max()?;
        *widest = widest.checked_sub(over).filter(|width| *width >= CELL)?;
    }
    Some(widths)
}

/// Cells beside each other, each wrapped in its column.
fn side_by_side(cells: &[String], columns: &[u16]) -> Vec<String> {
    let wrapped: Vec<Vec<String>> = cells.iter().zip(columns).map(|(cell, room)| wrap(cell, *room)).collect();
    let tall = wrapped.iter().map(Vec::len).max().unwrap_or(0);
    let line = |nth: usize| {
        let mut words = String::new();
        for (cell, room) in wrapped.iter().zip(columns) {
            let cell = cell.get(nth).map_or("", String::as_str);
            let blank = room.saturating_sub(width(cell)).saturating_add(GAP);
            words.push_str(cell);
            words.push_str(&" ".repeat(usize::from(blank)));
        }
        words.trim_end().to_owned()
    };
    (0..tall).map(line).collect()
}
