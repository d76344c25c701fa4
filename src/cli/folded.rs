//! Text for a terminal, broken between words where it is wider than a page; what is copied stays in one piece.

use crate::domain::text::columns;
use std::io::{self, Write};

/// Columns of a line.
const WIDE: usize = 80;

/// Lines that are copied, or that show a place in a file: the terminal breaks them where it must.
const WHOLE: [&str; 5] = ["Record: ", "Appendix: ", "To go on: ", "  |", "  witnessmark "];

/// Folds every line that is written to it.
pub(super) struct Folding<W: Write> {
    to: W,
    begun: Vec<u8>,
}

impl<W: Write> Folding<W> {
    pub(super) fn new(to: W) -> Self {
        Self { to, begun: Vec::new() }
    }
}

impl<W: Write> Write for Folding<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        for part in bytes.split_inclusive(|byte| *byte == b'\n') {
            self.begun.extend_from_slice(part);
            if part.ends_with(b"\n") {
                let line = std::mem::take(&mut self.begun);
                self.to.write_all(folded(&String::from_utf8_lossy(&line)).as_bytes())?;
            }
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.to.write_all(&std::mem::take(&mut self.begun))?;
        self.to.flush()
    }
}

impl<W: Write> Drop for Folding<W> {
    fn drop(&mut self) {
        // where nobody reads any more there is nobody to tell
        let _unread = self.flush();
    }
}

/// A line broken at blanks; what follows stands two columns in.
fn folded(line: &str) -> String {
    if columns(line.trim_end()) <= WIDE || WHOLE.iter().any(|begin| line.starts_with(begin)) {
        return line.to_owned();
    }
    let text = line.trim();
    let mut lines = String::new();
    let mut begun: String = line.chars().take_while(|c| *c == ' ').collect();
    let mut bare = true;
    for word in text.split(' ') {
        if !bare && columns(&begun).saturating_add(columns(word)) >= WIDE {
            lines.push_str(&begun);
            lines.push('\n');
            begun = "  ".into();
        } else if !bare {
            begun.push(' ');
        }
        begun.push_str(word);
        bare = false;
    }
    lines.push_str(&begun);
    if line.ends_with('\n') {
        lines.push('\n');
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(text: &str) -> String {
        let mut out = Vec::new();
        Folding::new(&mut out).write_all(text.as_bytes()).unwrap();
        String::from_utf8(out).unwrap()
    }

    // Our own rule: a word is not broken, a path and a command are.
    #[test]
    fn words_stay_whole_and_so_does_what_is_copied() {
        let long = "help: ".to_owned() + &"write planned: Ferruled ".repeat(8);
        let folded = written(&format!("{long}\nshort\n"));
        assert!(folded.lines().count() > 3 && folded.lines().all(|line| columns(line) <= WIDE), "{folded}");
        assert_eq!(
            folded.split_whitespace().collect::<Vec<_>>(),
            format!("{long} short").split_whitespace().collect::<Vec<_>>()
        );
        let path = format!("Record: {}/a file.jsonl\n", "folder/".repeat(20));
        assert_eq!(written(&path), path);
        let word = format!("{}\n", "x".repeat(100));
        assert_eq!(written(&word), word, "a longer word is not ours to break");
        assert_eq!(written("no end"), "no end");
        let inset = written(&format!("  {long}\n"));
        assert!(inset.starts_with("  help: ") && !inset.starts_with("   "), "{inset}");
    }
}
