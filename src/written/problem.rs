//! What is wrong with a written file, as data, and how it stands on the page.
//!
//! A problem knows bytes of the file and words, never the path; [`render`] brings both together. Nothing here
//! decides whether something is wrong.

use crate::domain::text::columns;
use std::fmt::Write as _;
use std::ops::Range;

/// The widest a source line is shown, in columns; a longer one is shown as a window around its mistake.
const LINE_COLUMNS: usize = 100;
/// How much of a long line is shown before the mistake, in columns.
const BEFORE_COLUMNS: usize = 30;
/// The widest a found text is quoted in a reason, in columns.
const QUOTE_COLUMNS: usize = 40;
/// Problems shown at once; the rest is counted.
const SHOWN_MAX: usize = 100;

/// One thing that is wrong: the file cannot be read with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Bytes of the file it stands at, a byte order mark counted.
    pub span: Range<usize>,
    /// What was found and what is allowed, in trade words.
    pub reason: String,
    /// The edit to make.
    pub help: String,
}

/// One thing to know of: the file can be read with it. Same shape as a [`Problem`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Warning {
    /// Bytes of the file it stands at, a byte order mark counted.
    pub span: Range<usize>,
    /// What was found, in trade words.
    pub reason: String,
    /// What can be done about it.
    pub help: String,
}

/// Everything found so far.
#[derive(Debug, Default)]
pub(crate) struct Findings {
    /// What is wrong.
    pub(crate) problems: Vec<Problem>,
    /// What to know of.
    pub(crate) warnings: Vec<Warning>,
}

impl Findings {
    /// Notes what is wrong.
    pub(crate) fn wrong(&mut self, span: Range<usize>, reason: impl Into<String>, help: impl Into<String>) {
        self.problems.push(Problem { span, reason: reason.into(), help: help.into() });
    }

    /// Whether so much is wrong that guessing what was meant helps nobody.
    pub(crate) fn many(&self) -> bool {
        self.problems.len() > SHOWN_MAX
    }

    /// Notes what to know of.
    pub(crate) fn warn(&mut self, span: Range<usize>, reason: impl Into<String>, help: impl Into<String>) {
        self.warnings.push(Warning { span, reason: reason.into(), help: help.into() });
    }
}

/// A found text in quotation marks, printable and no longer than a message bears.
pub(crate) fn quoted(text: &str) -> String {
    let shown = printable(text);
    if columns(&shown) <= QUOTE_COLUMNS {
        format!("\"{shown}\"")
    } else {
        let (front, _) = fitting(&shown, QUOTE_COLUMNS.saturating_sub(3));
        format!("\"{front}...\"")
    }
}

/// The nearest of some words, where one is near enough to be meant.
pub(crate) fn nearest<'k>(found: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    let length = found.chars().count();
    if length > 80 {
        return None;
    }
    let far = length.checked_div(3).unwrap_or(0).max(2);
    known
        .into_iter()
        .filter(|word| word.len() <= 320)
        .map(|word| (strsim::damerau_levenshtein(&found.to_lowercase(), &word.to_lowercase()), word))
        .filter(|(off, word)| *off <= far && *off < word.chars().count())
        .min_by_key(|(off, _)| *off)
        .map(|(_, word)| word)
}

/// "did you mean …?" where a word is near enough, else the list of what is known.
pub(crate) fn meant(found: &str, known: &[&str], what: &str) -> String {
    if let Some(word) = nearest(found, known.iter().copied()) {
        return format!("did you mean {word}? ({what}: {})", listed(known));
    }
    if known.is_empty() { format!("{what}: none so far") } else { format!("{what}: {}", listed(known)) }
}

/// Words in a list, the first twenty.
pub(crate) fn listed(words: &[&str]) -> String {
    let mut text = words.iter().take(20).map(|word| printable(word)).collect::<Vec<_>>().join(", ");
    let more = words.len().saturating_sub(20);
    if more > 0 {
        let _ = write!(text, " and {more} more");
    }
    text
}

/// The messages of some problems: reason, place, source line, carets, help. `source` is the text of the file, a byte
/// order mark included.
#[must_use]
pub fn render(problems: &[Problem], path_shown: &str, source: &str) -> String {
    let mut page = String::new();
    for problem in problems.iter().take(SHOWN_MAX) {
        one("error", &problem.span, &problem.reason, &problem.help, (path_shown, source), &mut page);
    }
    let more = problems.len().saturating_sub(SHOWN_MAX);
    if more > 0 {
        let _ = writeln!(
            page,
            "\nerror: {more} more problems are not shown\nhelp: mend these first and read again"
        );
    }
    page
}

/// The messages of some warnings, as [`render`].
#[must_use]
pub fn render_warnings(warnings: &[Warning], path_shown: &str, source: &str) -> String {
    let mut page = String::new();
    for warning in warnings.iter().take(SHOWN_MAX) {
        one("warning", &warning.span, &warning.reason, &warning.help, (path_shown, source), &mut page);
    }
    let more = warnings.len().saturating_sub(SHOWN_MAX);
    if more > 0 {
        let _ = writeln!(
            page,
            "\nwarning: {more} more are not shown\nhelp: look into these first and read again"
        );
    }
    page
}

fn one(word: &str, span: &Range<usize>, reason: &str, help: &str, file: (&str, &str), page: &mut String) {
    let (path, source) = file;
    let spot = Spot::of(source, span);
    if !page.is_empty() {
        page.push('\n');
    }
    let _ = writeln!(page, "{word}: {}", printable(reason));
    let _ = writeln!(page, "  {}:{}:{}", printable(path), spot.line, spot.column);
    let _ = writeln!(page, "  |{}", padded(&spot.shown));
    let carets = "^".repeat(spot.carets.max(1));
    let _ = writeln!(page, "  |{}", padded(&format!("{}{carets}", " ".repeat(spot.before))));
    let _ = writeln!(page, "help: {}", printable(help));
}

fn padded(text: &str) -> String {
    if text.trim().is_empty() { String::new() } else { format!(" {text}") }
}

/// Where a span lies and how its first line is shown.
struct Spot {
    /// Line, from 1.
    line: usize,
    /// Column in characters, from 1; a byte order mark is no character.
    column: usize,
    /// The line or a window of it, printable.
    shown: String,
    /// Columns before the first caret.
    before: usize,
    /// Carets.
    carets: usize,
}

impl Spot {
    fn of(source: &str, span: &Range<usize>) -> Self {
        let start = floor(source, span.start);
        let end = floor(source, span.end.max(start));
        let (ahead, rest) = source.split_at_checked(start).unwrap_or((source, ""));
        let line_start = ahead.rfind('\n').map_or(0, |at| at.saturating_add(1));
        let (above, front) = ahead.split_at_checked(line_start).unwrap_or(("", ahead));
        let front = if line_start == 0 { front.strip_prefix('\u{feff}').unwrap_or(front) } else { front };
        let tail = rest.split('\n').next().unwrap_or("");
        let tail = if line_start == 0 && front.is_empty() {
            tail.strip_prefix('\u{feff}').unwrap_or(tail)
        } else {
            tail
        };
        let tail = tail.strip_suffix('\r').unwrap_or(tail);
        let marked = floor(tail, end.saturating_sub(start).min(tail.len()));
        let (marked, behind) = tail.split_at_checked(marked).unwrap_or((tail, ""));
        let (shown, before, carets) = window(front, marked, behind);
        Self {
            line: above.matches('\n').count().saturating_add(1),
            column: front.chars().count().saturating_add(1),
            shown,
            before,
            carets,
        }
    }
}

/// The greatest character boundary at or before a byte.
fn floor(text: &str, at: usize) -> usize {
    (0..=at.min(text.len())).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0)
}

fn window(front: &str, marked: &str, behind: &str) -> (String, usize, usize) {
    // a line is shown from no farther than this, so that a line of a megabyte costs no more than a short one
    let spaced = |c: char| if c == '\t' { ' ' } else { c };
    let near = |text: &str| text.chars().take(LINE_COLUMNS.saturating_mul(4)).map(spaced).collect::<String>();
    let last: String = front.chars().rev().take(LINE_COLUMNS.saturating_mul(4)).collect();
    let cut_far = last.len() < front.len();
    let last: String = last.chars().rev().map(spaced).collect();
    let (front, marked, behind) = (printable(&last), printable(&near(marked)), printable(&near(behind)));
    let (wide, marks) = (columns(&front), columns(&marked));
    let whole = wide.saturating_add(marks).saturating_add(columns(&behind));
    if whole <= LINE_COLUMNS && !cut_far {
        return (format!("{front}{marked}{behind}"), wide, marks);
    }
    let (lead, front) = if wide > BEFORE_COLUMNS || cut_far {
        ("...", last_fitting(&front, BEFORE_COLUMNS))
    } else {
        ("", front)
    };
    let before = columns(&front).saturating_add(lead.len());
    let room = LINE_COLUMNS.saturating_sub(before);
    let (kept, cut) = fitting(&format!("{marked}{behind}"), room);
    let shown = format!("{lead}{front}{kept}{}", if cut { "..." } else { "" });
    (shown, before, marks.min(columns(&kept)))
}

/// As much of a text as fits, and whether something was cut.
fn fitting(text: &str, room: usize) -> (String, bool) {
    let mut kept = String::new();
    let mut wide = 0_usize;
    for c in text.chars() {
        wide = wide.saturating_add(columns(c.encode_utf8(&mut [0; 4])));
        if wide > room {
            return (kept, true);
        }
        kept.push(c);
    }
    (kept, false)
}

fn last_fitting(text: &str, room: usize) -> String {
    let turned: String = text.chars().rev().collect();
    fitting(&turned, room).0.chars().rev().collect()
}

/// A text without anything that moves the cursor or turns the reading direction: such characters are named.
pub(crate) fn printable(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for c in text.chars() {
        if c == ' ' || c.is_ascii_graphic() {
            shown.push(c);
        } else if crate::domain::text::checked(&format!("x{c}x"), 8).is_err() {
            let _ = write!(shown, "<U+{:04X}>", u32::from(c));
        } else {
            shown.push(c);
        }
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(source: &str, what: &str) -> String {
        let start = source.find(what).unwrap();
        let problem =
            Problem { span: start..start.saturating_add(what.len()), reason: "r".into(), help: "h".into() };
        render(&[problem], "b.ron", source)
    }

    #[test]
    fn columns_are_characters_and_carets_are_display_columns() {
        assert_eq!(
            at("x\r\n  \"Größe 漢\": oops,\r\n", "oops"),
            "error: r\n  b.ron:2:14\n  |   \"Größe 漢\": oops,\n  |               ^^^^\nhelp: h\n"
        );
        assert_eq!(at("\u{feff}oops", "oops"), "error: r\n  b.ron:1:1\n  | oops\n  | ^^^^\nhelp: h\n");
    }

    #[test]
    fn a_long_line_is_shown_as_a_window() {
        let source = format!("{}oops{}", "a".repeat(300), "b".repeat(300));
        let page = at(&source, "oops");
        assert!(page.contains("b.ron:1:301"), "{page}");
        assert!(page.lines().all(|line| columns(line) <= 110), "{page}");
    }

    #[test]
    fn nothing_near_is_not_guessed() {
        assert_eq!(nearest("clmaps", ["clamps", "bars"]), Some("clamps"));
        assert_eq!(nearest("zebra", ["clamps", "bars"]), None);
    }
}
