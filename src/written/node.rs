//! The text of a written file as keys and values that know their place.
//!
//! RON itself has accepted the text; here it is taken apart, and the address of every key and value gives its byte in
//! the file. Nothing is derived, because a derived reader stops at the first mistake and keeps no places.

use super::split::{Piece, pieces};
use std::ops::Range;

/// A value and where it stands.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Node<'a> {
    text: &'a str,
    at: usize,
}

/// A key of a struct and its value.
#[derive(Clone, Debug)]
pub(crate) struct Field<'a> {
    /// The key.
    pub(crate) key: &'a str,
    /// Bytes of the key.
    pub(crate) span: Range<usize>,
    /// The value.
    pub(crate) value: Node<'a>,
}

/// What a value looks like.
#[derive(Clone, Debug)]
pub(crate) enum Shape<'a> {
    /// `"text"`
    Text(String),
    /// `2.5`, as it was typed.
    Number(&'a str),
    /// `true`, `false`
    Bool(bool),
    /// `Visible`
    Word(&'a str),
    /// `Clamp(kind: Cage)`, the name perhaps left out.
    Struct(&'a str, Vec<Field<'a>>),
    /// `OnDevice("…")`, `()`
    Tuple(&'a str, Vec<Node<'a>>),
    /// `{"key": value}`
    Map(Vec<(Node<'a>, Node<'a>)>),
    /// `[value]`
    List(Vec<Node<'a>>),
    /// Anything else.
    Other,
}

impl Shape<'_> {
    /// What was found, in words.
    pub(crate) fn words(&self) -> String {
        match self {
            Self::Text(text) => format!("the text {}", super::problem::quoted(text)),
            Self::Number(number) => format!("the bare number {}", short(number)),
            Self::Bool(value) => value.to_string(),
            Self::Word(word) => format!("the word {}", short(word)),
            Self::Struct("", _) | Self::Tuple("", _) => "a group in (round brackets)".into(),
            Self::Struct(name, _) | Self::Tuple(name, _) => format!("{}(...)", short(name)),
            Self::Map(_) => "a map in {braces}".into(),
            Self::List(_) => "a list in [square brackets]".into(),
            Self::Other => "something else".into(),
        }
    }
}

fn short(text: &str) -> String {
    if text.chars().count() <= 40 {
        text.to_owned()
    } else {
        text.chars().take(37).chain("...".chars()).collect()
    }
}

impl<'a> Node<'a> {
    /// The whole of a source that RON has accepted.
    pub(crate) fn whole(source: &'a str) -> Self {
        Self::trimmed(source, 0)
    }

    /// The same value in a file that has so many bytes before the text.
    pub(crate) fn moved(self, bytes: usize) -> Self {
        Self { at: self.at.saturating_add(bytes), ..self }
    }

    /// Bytes of the value in the source.
    pub(crate) fn span(&self) -> Range<usize> {
        self.at..self.at.saturating_add(self.text.len())
    }

    /// The value as it was typed.
    pub(crate) fn text(&self) -> &'a str {
        self.text
    }

    /// Bytes of the first word or bracket: what a message about the whole value points at.
    pub(crate) fn head(&self) -> Range<usize> {
        let word = word_of(self.text);
        let length =
            if word.is_empty() { self.text.chars().next().map_or(0, char::len_utf8) } else { word.len() };
        self.at..self.at.saturating_add(length)
    }

    fn trimmed(text: &'a str, at: usize) -> Self {
        let kept = skip_blank(text);
        let at = at.saturating_add(text.len().saturating_sub(kept.len()));
        Self { text: kept.trim_end(), at }
    }

    /// A part of this value's text as a value of its own.
    fn part(&self, text: &'a str) -> Self {
        let off = text.as_ptr().addr().saturating_sub(self.text.as_ptr().addr());
        Self { text, at: self.at.saturating_add(off) }
    }

    /// What the value looks like, one level deep.
    pub(crate) fn shape(&self) -> Shape<'a> {
        let word = word_of(self.text);
        let first = self.text.chars().next().unwrap_or(' ');
        let after = self.text.get(word.len()..).unwrap_or("");
        match first {
            '"' => self.string(),
            'r' if after.starts_with(['"', '#']) => self.string(),
            '{' => self.pairs(),
            '[' => pieces(self.text).map_or(Shape::Other, |items| Shape::List(self.nodes(&items))),
            '0'..='9' | '+' | '-' | '.' => Shape::Number(until_comment(self.text)),
            _ if word == "true" || word == "false" => Shape::Bool(word == "true"),
            _ => self.named(word, skip_blank(after)),
        }
    }

    fn string(&self) -> Shape<'a> {
        let plain = self.text.strip_prefix('"').and_then(|text| text.strip_suffix('"'));
        match plain.filter(|text| !text.contains(['"', '\\'])) {
            Some(text) => Shape::Text(text.to_owned()),
            None => ron::from_str::<String>(self.text).map_or(Shape::Other, Shape::Text),
        }
    }

    fn named(&self, word: &'a str, after: &'a str) -> Shape<'a> {
        if !after.starts_with('(') {
            return if word.is_empty() { Shape::Other } else { Shape::Word(word) };
        }
        let Some(pieces) = pieces(after) else { return Shape::Other };
        let fields = pieces.iter().map(|piece| {
            let key = self.part(piece.key?);
            Some(Field { key: key.text, span: key.span(), value: self.part(piece.value) })
        });
        match fields.collect::<Option<Vec<_>>>().filter(|fields| !fields.is_empty()) {
            Some(fields) => Shape::Struct(word, fields),
            None => Shape::Tuple(word, self.nodes(&pieces)),
        }
    }

    fn nodes(&self, items: &[Piece<'a>]) -> Vec<Node<'a>> {
        items.iter().map(|item| self.part(item.value)).collect()
    }

    fn pairs(&self) -> Shape<'a> {
        let pairs = pieces(self.text).and_then(|pieces| {
            pieces.iter().map(|pair| Some((self.part(pair.key?), self.part(pair.value)))).collect()
        });
        pairs.map_or(Shape::Other, Shape::Map)
    }
}

fn word_of(text: &str) -> &str {
    let end = text.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(text.len());
    text.get(..end).unwrap_or("")
}

fn until_comment(text: &str) -> &str {
    text.split(['/', ' ', '\t', '\r', '\n']).next().unwrap_or(text)
}

/// What stands behind blanks and comments.
pub(crate) fn skip_blank(text: &str) -> &str {
    let mut rest = text;
    loop {
        rest = rest.trim_start();
        if let Some(line) = rest.strip_prefix("//") {
            rest = line.split_once('\n').map_or("", |(_, below)| below);
        } else if rest.starts_with("/*") {
            rest = skip_block(rest);
        } else {
            return rest;
        }
    }
}

fn skip_block(text: &str) -> &str {
    let (mut rest, mut depth) = (text, 0_usize);
    loop {
        if let Some(inner) = rest.strip_prefix("/*") {
            (rest, depth) = (inner, depth.saturating_add(1));
        } else if let Some(outer) = rest.strip_prefix("*/") {
            (rest, depth) = (outer, depth.saturating_sub(1));
            if depth == 0 {
                return rest;
            }
        } else {
            let mut chars = rest.chars();
            if chars.next().is_none() {
                return rest;
            }
            rest = chars.as_str();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_and_value_knows_its_place() {
        let source = "// head\nBoard( /* a */ ways: 12, ways: [\"x\", r#\"y\"#], m: {\"k\": None, \"k\": -1.50 // c\n}, s: Some(\"z\"), u: ())";
        let Shape::Struct("Board", fields) = Node::whole(source).shape() else { panic!("no struct") };
        let keys: Vec<_> = fields.iter().map(|f| (f.key, source.get(f.value.span()).unwrap())).collect();
        assert_eq!(keys[0], ("ways", "12"));
        assert_eq!(keys[1], ("ways", "[\"x\", r#\"y\"#]"));
        let Shape::Map(pairs) = fields[2].value.shape() else { panic!("no map") };
        assert_eq!(source.get(pairs[1].0.span()), Some("\"k\""));
        assert!(matches!(pairs[0].1.shape(), Shape::Word("None")));
        assert!(matches!(pairs[1].1.shape(), Shape::Number("-1.50")));
        assert!(matches!(fields[3].value.shape(), Shape::Tuple("Some", items) if items.len() == 1));
        assert!(matches!(fields[4].value.shape(), Shape::Tuple("", items) if items.is_empty()));
    }
}
