//! From bytes to text that RON accepts.

use super::Kind;
use super::node::{Node, Shape, skip_blank};
use super::problem::Findings;
use ron::error::{Position, SpannedError};
use ron::value::RawValue;
use std::ops::Range;

/// What every word of a written file is read from.
#[derive(Clone, Copy)]
pub(crate) struct Text<'a> {
    /// The value that stands in the file, accepted by RON.
    pub(crate) node: Node<'a>,
}

/// The text of a file; nothing where it is no text, empty, too large or no RON.
pub(crate) fn text<'a>(bytes: &'a [u8], kind: &Kind, found: &mut Findings) -> Option<Text<'a>> {
    if u64::try_from(bytes.len()).is_ok_and(|length| length > kind.bytes_max) {
        let reason = format!(
            "this file is {} bytes large; a {} has at most {}",
            bytes.len(),
            kind.file,
            kind.bytes_max
        );
        found.wrong(0..0, reason, "is it the right file?");
        return None;
    }
    let whole = match std::str::from_utf8(bytes) {
        Ok(whole) => whole,
        Err(why) => {
            let at = why.valid_up_to();
            let byte = bytes.get(at).copied().unwrap_or(0);
            let reason = format!("this file is not UTF-8 text: byte 0x{byte:02X} at byte {at} of the file");
            found.wrong(at..at, reason, "save it again as UTF-8 in your editor");
            return None;
        }
    };
    let mark = if whole.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    let (_, source) = whole.split_at_checked(mark)?;
    if skip_blank(source).is_empty() {
        found.wrong(0..0, "this file is empty", format!("start from {}", kind.demo));
        return None;
    }
    match RawValue::from_ron(source) {
        Ok(_) => Some(Text { node: Node::whole(source).moved(mark) }),
        Err(why) => {
            refused((source, mark), &why, kind, found);
            None
        }
    }
}

fn refused((source, mark): (&str, usize), why: &SpannedError, kind: &Kind, found: &mut Findings) {
    let (start, end) = (byte_at(source, &why.span.start), byte_at(source, &why.span.end));
    let words = why.code.to_string();
    let (reason, help) = trade_words(&words, kind);
    let found_there = source.get(start..).and_then(|rest| rest.chars().next());
    let there = found_there
        .map_or_else(|| "the end of the file".to_owned(), |c| super::problem::quoted(&c.to_string()));
    let reason = if found_there == Some('"') { reason } else { format!("{reason}; found {there}") };
    found.wrong(span(start, end, mark), reason, help);
}

fn span(start: usize, end: usize, mark: usize) -> Range<usize> {
    start.saturating_add(mark)..end.max(start).saturating_add(mark)
}

/// Byte of a position in lines and characters, both from 1.
fn byte_at(source: &str, position: &Position) -> usize {
    let line = source.split_inclusive('\n').nth(position.line.saturating_sub(1)).unwrap_or("");
    let above = source
        .split_inclusive('\n')
        .take(position.line.saturating_sub(1))
        .fold(0_usize, |sum, line| sum.saturating_add(line.len()));
    let within = line.char_indices().nth(position.col.saturating_sub(1)).map_or(line.len(), |(at, _)| at);
    above.saturating_add(within).min(source.len())
}

/// RON's own words for what it expected, and ours.
const WORDS: [(&str, &str, &str); 12] = [
    (
        "recursion limit",
        "brackets are nested too deep here",
        "a {file} nests less than ten deep; take some out",
    ),
    ("Expected comma", "a comma is missing before this", "put a comma behind the value before"),
    (
        "closing `]`",
        "this list is not closed, or a comma is missing",
        "close it with ] or put a comma between its values",
    ),
    (
        "closing `}`",
        "this map is not closed, or a comma is missing",
        "close it with } or put a comma between its entries",
    ),
    (
        "closing `)`",
        "this group is not closed, or a comma is missing",
        "close it with ) or put a comma between its keys",
    ),
    ("colon", "a colon is expected here", "write key: value"),
    ("end of string", "this text is not closed", "close it with a quotation mark \""),
    ("Expected string end", "this text is not closed", "close it with a quotation mark \""),
    ("block comment", "this comment is not closed", "close it with */"),
    ("Trailing characters", "the {whole} ends before this", "take out what stands behind the last bracket"),
    (
        "escape",
        "this is no escape that a text can hold",
        "write \\\\ for a backslash and \\\" for a quotation mark",
    ),
    ("end of RON", "the file ends in the middle", "close what is open: every ( [ { and \" needs its partner"),
];

fn trade_words(words: &str, kind: &Kind) -> (String, String) {
    let of_kind = |text: &str| text.replace("{file}", kind.file).replace("{whole}", kind.whole);
    WORDS.iter().find(|(known, _, _)| words.contains(known)).map_or_else(
        || (format!("the file cannot be read on from here ({words})"), format!("compare with {}", kind.demo)),
        |(_, reason, help)| (of_kind(reason), of_kind(help)),
    )
}

/// The name of the outermost group of a text, `Board`; empty where it has none.
pub(crate) fn head_word(bytes: &[u8]) -> &str {
    let whole = std::str::from_utf8(bytes).unwrap_or("");
    let text = skip_blank(whole.strip_prefix('\u{feff}').unwrap_or(whole));
    let end = text.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(text.len());
    text.get(..end).unwrap_or("")
}

/// The format version is looked at before all else, so that a newer file says *newer* and not what is unknown in it.
pub(crate) fn newer(node: Node<'_>, kind: &Kind, found: &mut Findings) -> bool {
    let Shape::Struct(word, fields) = node.shape() else { return false };
    let file = kind.file;
    let Some(field) = fields.iter().find(|field| field.key == "format") else {
        let help = format!("add format: {} as its first key", kind.format);
        // a file of another kind says so by itself
        if word.is_empty() || word == kind.head {
            found.wrong(node.head(), format!("this {file} does not say its format version"), help);
        }
        return false;
    };
    let version = match field.value.shape() {
        Shape::Number(typed) => typed.parse::<u32>().ok(),
        _ => None,
    };
    let known = kind.format;
    match version {
        Some(version) if version == known => false,
        Some(version) if version > known => {
            let reason =
                format!("this {file} is newer than this program: format {version}, and {known} is read here");
            found.wrong(field.value.span(), reason, "use a newer witnessmark; the file may be right");
            true
        }
        Some(version) => {
            let reason = format!("there is no {file} of format {version}; {known} is read here");
            found.wrong(field.value.span(), reason, format!("write format: {known}"));
            false
        }
        None => {
            let words = field.value.shape().words();
            let reason = format!("the format version must be a whole number, found {words}");
            found.wrong(field.value.span(), reason, format!("write format: {known}"));
            false
        }
    }
}
