//! Lines and pages: wraps what was chosen to the width of the page, breaks it into pages, heads each of them.
//!
//! No line is wider than [`WIDTH`] columns, whatever the names are made of; no page is longer than [`PAGE`] lines.
//! Pages are parted by a form feed at the front of the next page's first line.

use super::letters::{GLUE, printable};
use super::sheet::{Block, Row, Sheet, Table};
use crate::domain::text::columns;

/// Most columns of a line: 80 with the form feed that may stand before it.
pub(super) const WIDTH: usize = 79;
/// Most lines of a page, its head included.
pub(super) const PAGE: usize = 60;
/// Where the text of an entry begins.
const ENTRY: usize = 18;
/// Lines of the page head: two, a rule, an empty one.
const HEAD: usize = 4;

/// Most lines that are moved to the next page to stay together.
const TOGETHER: usize = 24;

/// What stands at the top of every page.
pub(super) struct Head {
    /// First line, left.
    pub(super) board: String,
    /// Second line, left.
    pub(super) visit: String,
    /// Second line, right: what every page has to say; may be empty.
    pub(super) banner: String,
}

/// Lines that belong together.
#[derive(Default)]
struct Piece {
    lines: Vec<String>,
    /// Never the last on its page.
    leads: bool,
    /// Head to repeat where a page begins with this piece.
    repeat: Vec<String>,
}

/// The whole text.
pub(super) fn print(sheet: &Sheet, head: &Head, ascii: bool) -> String {
    let mut pieces = Vec::new();
    for block in &sheet.blocks {
        lay(block, ascii, &mut pieces);
    }
    let pages = paginate(pieces);
    let count = pages.len();
    let mut out = String::new();
    for (at, page) in pages.iter().enumerate() {
        if at > 0 {
            out.push('\u{c}');
        }
        let number = format!("page {} of {count}", at.saturating_add(1));
        for line in head_lines(head, &number, ascii).iter().chain(page) {
            out.push_str(line.replace(GLUE, " ").trim_end());
            out.push('\n');
        }
    }
    out
}

fn head_lines(head: &Head, number: &str, ascii: bool) -> Vec<String> {
    let two = |left: &str, right: &str| {
        let room = WIDTH.saturating_sub(columns(right)).saturating_sub(2);
        let left = cut(&printable(left, ascii), room);
        let gap = WIDTH.saturating_sub(columns(&left)).saturating_sub(columns(right));
        format!("{left}{}{right}", " ".repeat(gap))
    };
    vec![two(&head.board, number), two(&head.visit, &head.banner), "-".repeat(WIDTH), String::new()]
}

/// Cuts a text that is too wide; three points say so.
fn cut(text: &str, room: usize) -> String {
    if columns(text) <= room {
        return text.to_owned();
    }
    let mut kept = String::new();
    for c in text.chars() {
        let mut longer = kept.clone();
        longer.push(c);
        if columns(&longer).saturating_add(3) > room {
            break;
        }
        kept = longer;
    }
    kept.push_str("...");
    kept
}

/// Breaks a text into lines of at most `width` columns, between words where it can.
pub(crate) fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if columns(&longer) <= width {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        line = break_word(word, width, &mut lines);
    }
    lines.push(line);
    lines
}

/// Breaks a word that is too wide by itself: at its glue, else anywhere. Gives back what is left over.
fn break_word(word: &str, width: usize, lines: &mut Vec<String>) -> String {
    if columns(word) <= width {
        return word.to_owned();
    }
    if word.contains(GLUE) {
        let mut loose = wrap(&word.replace(GLUE, " "), width);
        let last = loose.pop().unwrap_or_default();
        lines.append(&mut loose);
        return last;
    }
    let mut line = String::new();
    for c in word.chars() {
        let mut longer = line.clone();
        longer.push(c);
        if columns(&longer) > width && !line.is_empty() {
            lines.push(std::mem::take(&mut line));
            line.push(c);
        } else {
            line = longer;
        }
    }
    line
}

fn indented(text: &str, by: usize) -> Vec<String> {
    let margin = " ".repeat(by);
    wrap(text, WIDTH.saturating_sub(by)).into_iter().map(|line| format!("{margin}{line}")).collect()
}

fn lay(block: &Block, ascii: bool, pieces: &mut Vec<Piece>) {
    match block {
        Block::Heading(title) => {
            let mut lines = vec![String::new()];
            lines.extend(indented(&printable(title, ascii), 0));
            pieces.push(Piece { lines, leads: true, ..Piece::default() });
        }
        Block::Lead(text) => {
            let lines = indented(&printable(text, ascii), 0);
            pieces.push(Piece { lines, leads: true, ..Piece::default() });
        }
        Block::Text(by, text) => {
            pieces.push(Piece { lines: indented(&printable(text, ascii), *by), ..Piece::default() });
        }
        Block::Entry(by, label, text) => {
            let lines = entry(*by, &printable(label, ascii), &printable(text, ascii));
            pieces.push(Piece { lines, ..Piece::default() });
        }
        Block::Item(text) => {
            let mut lines = indented(&printable(text, ascii), 2);
            if let Some(first) = lines.first_mut() {
                *first = format!("- {}", first.trim_start_matches(' '));
            }
            pieces.push(Piece { lines, ..Piece::default() });
        }
        Block::Together(blocks) => {
            let mut inner = Vec::new();
            for block in blocks {
                lay(block, ascii, &mut inner);
            }
            if inner.iter().map(|piece| piece.lines.len()).fold(0, usize::saturating_add) > TOGETHER {
                pieces.append(&mut inner);
            } else {
                let lines = inner.into_iter().flat_map(|piece| piece.lines).collect();
                pieces.push(Piece { lines, ..Piece::default() });
            }
        }
        Block::Gap => pieces.push(Piece { lines: vec![String::new()], ..Piece::default() }),
        Block::Table(table) => lay_table(table, ascii, pieces),
    }
}

fn entry(by: usize, label: &str, text: &str) -> Vec<String> {
    let mut lines = indented(text, ENTRY);
    let label = format!("{}{label}", " ".repeat(by));
    if columns(&label).saturating_add(1) > ENTRY {
        let mut above = indented(label.trim_start(), by);
        above.append(&mut lines);
        return above;
    }
    if let Some(first) = lines.first_mut() {
        let gap = ENTRY.saturating_sub(columns(&label));
        *first = format!("{label}{}{}", " ".repeat(gap), first.trim_start());
    }
    lines
}

fn lay_table(table: &Table, ascii: bool, pieces: &mut Vec<Piece>) {
    let heads: Vec<String> = table.heads.iter().map(|head| (*head).to_owned()).collect();
    let mut repeat = cells(&heads, &table.widths);
    repeat.push("-".repeat(WIDTH));
    pieces.push(Piece { lines: repeat.clone(), leads: true, repeat: Vec::new() });
    let mut above: Vec<String> = Vec::new();
    for row in &table.rows {
        match row {
            Row::Across(text) => {
                let text = printable(text, ascii);
                above = indented(&format!("{text}, continued:"), 0);
                let lines = indented(&format!("{text}:"), 0);
                pieces.push(Piece { lines, leads: true, repeat: repeat.clone() });
            }
            Row::Cells(lots) => {
                let lines = lots
                    .iter()
                    .flat_map(|lot| {
                        let lot: Vec<String> = lot.iter().map(|text| printable(text, ascii)).collect();
                        cells(&lot, &table.widths)
                    })
                    .collect();
                let repeat = repeat.iter().chain(&above).cloned().collect();
                pieces.push(Piece { lines, leads: false, repeat });
            }
        }
    }
}

/// Cells beside each other, each wrapped to its column, one blank between columns.
fn cells(texts: &[String], widths: &[usize]) -> Vec<String> {
    let wrapped: Vec<Vec<String>> =
        texts.iter().zip(widths).map(|(text, width)| wrap(text, *width)).collect();
    let depth = wrapped.iter().map(Vec::len).max().unwrap_or(0);
    (0..depth)
        .map(|at| {
            let mut line = String::new();
            for (cell, width) in wrapped.iter().zip(widths) {
                let text = cell.get(at).map_or("", String::as_str);
                line.push_str(text);
                line.push_str(&" ".repeat(width.saturating_sub(columns(text)).saturating_add(1)));
            }
            line.trim_end().to_owned()
        })
        .collect()
}

fn paginate(pieces: Vec<Piece>) -> Vec<Vec<String>> {
    let room = PAGE.saturating_sub(HEAD);
    let needs: Vec<usize> = (0..pieces.len()).map(|at| with_led(&pieces, at)).collect();
    let mut pages: Vec<Vec<String>> = Vec::new();
    let mut page: Vec<String> = Vec::new();
    for (piece, need) in pieces.into_iter().zip(needs) {
        if !page.is_empty() && page.len().saturating_add(need) > room {
            pages.push(std::mem::take(&mut page));
            page.extend(piece.repeat.iter().cloned());
        }
        for line in piece.lines {
            if page.is_empty() && line.is_empty() {
                continue;
            }
            if page.len() >= room {
                pages.push(std::mem::take(&mut page));
            }
            page.push(line);
        }
    }
    if !page.is_empty() || pages.is_empty() {
        pages.push(page);
    }
    pages
}

/// Lines a piece needs on its page: its own, and those of what it leads to.
fn with_led(pieces: &[Piece], at: usize) -> usize {
    let mut need: usize = 0;
    for (nth, piece) in pieces.iter().skip(at).enumerate() {
        let lines = piece.lines.len();
        need = need.saturating_add(if nth == 0 { lines } else { lines.min(TOGETHER) });
        if !piece.leads {
            break;
        }
    }
    need
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_stay_whole_and_wide_words_break() {
        assert_eq!(wrap("as set by hand", 7), ["as set", "by hand"]);
        assert_eq!(wrap("端子端子端子", 5), ["端子", "端子", "端子"]);
        assert_eq!(wrap("a 1\u{a0}line b", 7), ["a", "1\u{a0}line", "b"]);
        assert_eq!(wrap("turn\u{a0}table\u{a0}earth", 11), ["turn table", "earth"]);
        assert_eq!(wrap("", 7), [""]);
    }

    #[test]
    fn a_heading_is_never_the_last_line_of_a_page() {
        let mut sheet = Sheet::default();
        for _ in 0..55 {
            sheet.text("x");
        }
        sheet.heading("NEXT");
        sheet.text("y");
        let head = Head { board: "b".into(), visit: "v".into(), banner: String::new() };
        let text = print(&sheet, &head, true);
        let pages: Vec<&str> = text.split('\u{c}').collect();
        assert_eq!(pages.len(), 2);
        assert!(!pages[0].contains("NEXT"));
        assert!(pages[1].ends_with("NEXT\ny\n"));
    }
}
