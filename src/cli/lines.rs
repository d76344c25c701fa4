//! Plain lines for who reads a command's answer: a label and its text, folded at 80 columns.

use crate::appendix::{GLUE, wrap};
use crate::domain::text::columns;

/// Most columns of a line.
const WIDTH: usize = 80;

/// Lines of a command's answer.
#[derive(Clone, Debug, Default)]
pub(super) struct Lines(Vec<String>);

impl Lines {
    /// Text over the whole width.
    pub(super) fn text(&mut self, text: &str) {
        self.beside("", 0, text);
    }

    /// A heading with an empty line before it.
    pub(super) fn heading(&mut self, text: &str) {
        self.gap();
        self.text(text);
    }

    /// An empty line, unless nothing stands above it.
    pub(super) fn gap(&mut self) {
        if !self.0.is_empty() {
            self.0.push(String::new());
        }
    }

    /// A label, and its text from column `room` on; a label that is too wide has a line of its own.
    pub(super) fn beside(&mut self, label: &str, room: usize, text: &str) {
        let mut label = label.to_owned();
        if columns(&label).saturating_add(1) > room && room > 0 {
            self.0.push(label.trim_end().to_owned());
            label.clear();
        }
        for line in wrap(text, WIDTH.saturating_sub(room)) {
            let gap = room.saturating_sub(columns(&label));
            let line = format!("{label}{}{line}", " ".repeat(gap));
            self.0.push(line.replace(GLUE, " ").trim_end().to_owned());
            label.clear();
        }
    }

    /// Rows of columns, the last of them folded; two blanks before each row and between columns.
    pub(super) fn rows(&mut self, rows: &[Vec<String>]) {
        let count = rows.iter().map(Vec::len).max().unwrap_or(0);
        let width = |at: usize| rows.iter().filter_map(|row| row.get(at)).map(|cell| columns(cell)).max();
        let widths: Vec<usize> = (0..count.saturating_sub(1)).map(|at| width(at).unwrap_or(0)).collect();
        for row in rows {
            let mut label = String::new();
            let mut room: usize = 0;
            for (cell, width) in row.iter().zip(&widths) {
                let gap = room.saturating_sub(columns(&label));
                label = format!("{label}{}  {cell}", " ".repeat(gap));
                room = room.saturating_add(*width).saturating_add(2);
            }
            let last = row.get(widths.len()).map_or("", String::as_str);
            self.beside(&label, room.saturating_add(2), last);
        }
    }

    /// The whole text; every line ended by a line feed.
    pub(super) fn into_text(self) -> String {
        self.0.into_iter().map(|line| line + "\n").collect()
    }
}
