//! Structs, words, names, counts and lists of a written file, each checked as it is read.
//!
//! Every reader notes what is wrong and gives nothing then; what hangs on a missing value stays silent, so that one
//! mistake is told once.

use super::node::{Field, Node, Shape};
use super::problem::{Findings, listed, meant, nearest, quoted};
use crate::domain::text::{NAME_COLUMNS, REMARK_COLUMNS, checked};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// The keys of one struct, unknown and doubled ones already told.
pub(crate) struct Fields<'a> {
    /// Where the struct begins: what a missing key is told at.
    pub(crate) head: Range<usize>,
    name: &'static str,
    list: Vec<Field<'a>>,
    /// Known keys that an unknown one was taken for: told already, so not missing.
    meant: Vec<&'static str>,
}

impl<'a> Fields<'a> {
    /// Opens a struct of one name.
    pub(crate) fn open(
        node: Node<'a>,
        name: &'static str,
        known: &[&'static str],
        found: &mut Findings,
    ) -> Option<Self> {
        match node.shape() {
            Shape::Struct(word, fields) if word.is_empty() || word == name => {
                Some(Self::checked(node, name, fields, known, found))
            }
            Shape::Tuple(word, items) if items.is_empty() && (word.is_empty() || word == name) => {
                Some(Self::checked(node, name, Vec::new(), known, found))
            }
            other => {
                let help = format!("write {name}({}: ...)", known.first().unwrap_or(&"key"));
                found.wrong(
                    node.head(),
                    format!("{name}(...) is expected here, found {}", other.words()),
                    help,
                );
                None
            }
        }
    }

    /// Takes the fields of a struct whose name is already read.
    pub(crate) fn checked(
        node: Node<'a>,
        name: &'static str,
        fields: Vec<Field<'a>>,
        known: &[&'static str],
        found: &mut Findings,
    ) -> Self {
        let mut kept: BTreeSet<&str> = BTreeSet::new();
        let mut list: Vec<Field<'a>> = Vec::new();
        let mut taken_for = Vec::new();
        for field in fields {
            if !known.contains(&field.key) {
                let reason = format!("{name} has no key {}", quoted(field.key));
                let guess = if found.many() { None } else { nearest(field.key, known.iter().copied()) };
                let help = guess.map_or_else(
                    || format!("take it out; the keys of {name} are {}", listed(known)),
                    |word| format!("did you mean {word}? The keys of {name} are {}", listed(known)),
                );
                found.wrong(field.span, reason, help);
                taken_for.extend(guess);
            } else if !kept.insert(field.key) {
                let reason = format!("the key {} stands twice in this {name}", field.key);
                found.wrong(field.span, reason, "keep one of the two and take the other out");
            } else {
                list.push(field);
            }
        }
        Self { head: node.head(), name, list, meant: taken_for }
    }

    /// The value of a key that may be left out.
    pub(crate) fn get(&self, key: &str) -> Option<Node<'a>> {
        self.list.iter().find(|field| field.key == key).map(|field| field.value)
    }

    /// Where a key stands, else where the struct begins.
    pub(crate) fn key_span(&self, key: &str) -> Range<usize> {
        self.list.iter().find(|field| field.key == key).map_or(self.head.clone(), |field| field.span.clone())
    }

    /// The value of a key that must be there; `example` is what could stand behind the colon.
    pub(crate) fn need(&self, key: &str, example: &str, found: &mut Findings) -> Option<Node<'a>> {
        self.need_said(key, &format!("its {}", key.replace('_', " ")), example, found)
    }

    /// As [`Fields::need`], for keys that are no nouns; `said` is what the struct does not say without it.
    pub(crate) fn need_said(
        &self,
        key: &str,
        said: &str,
        example: &str,
        found: &mut Findings,
    ) -> Option<Node<'a>> {
        let value = self.get(key);
        if value.is_none() && !self.meant.contains(&key) {
            let reason = format!("this {} does not say {said}", self.name);
            found.wrong(self.head.clone(), reason, format!("add {key}: {example}"));
        }
        value
    }
}

/// A text of at most so many columns.
fn text_of(node: Node<'_>, what: &str, width: usize, found: &mut Findings) -> Option<String> {
    match node.shape() {
        Shape::Text(text) => match checked(&text, width) {
            Ok(text) => Some(text),
            Err(bad) => {
                let reason = format!("the {what} {}: {}", quoted(&text), bad.reason());
                found.wrong(
                    node.span(),
                    reason,
                    format!("write the {what} anew, in plain text of 1 to {width} columns"),
                );
                None
            }
        },
        other => {
            let reason = format!("the {what} must be a text, found {}", other.words());
            let help = match other {
                Shape::Number(typed) | Shape::Word(typed) => {
                    format!("put it in quotation marks: {}", quoted(typed))
                }
                _ => format!("write the {what} in quotation marks: \"...\""),
            };
            found.wrong(node.head(), reason, help);
            None
        }
    }
}

/// A name or a short text: printable, 1 to 60 columns.
pub(crate) fn name(node: Node<'_>, what: &str, found: &mut Findings) -> Option<String> {
    text_of(node, what, NAME_COLUMNS, found)
}

/// A remark: printable, 1 to 240 columns.
pub(crate) fn remark(node: Node<'_>, what: &str, found: &mut Findings) -> Option<String> {
    text_of(node, what, REMARK_COLUMNS, found)
}

/// A name that becomes part of a terminal's or a place's name: no `/` and no `,`, which records use between names.
pub(crate) fn part_name(node: Node<'_>, what: &str, found: &mut Findings) -> Option<String> {
    let text = name(node, what, found)?;
    if let Some(c) = text.chars().find(|c| matches!(c, '/' | ',')) {
        let reason = format!("the {what} {} holds \"{c}\", which records use between names", quoted(&text));
        found.wrong(node.span(), reason, format!("write {}", quoted(&text.replace(['/', ','], "-"))));
        return None;
    }
    Some(text)
}

/// One of some words.
pub(crate) fn word<T: Copy>(
    node: Node<'_>,
    what: &str,
    known: &[(&'static str, T)],
    found: &mut Findings,
) -> Option<T> {
    let words: Vec<&str> = known.iter().map(|(word, _)| *word).collect();
    match node.shape() {
        Shape::Word(word) => {
            let hit = known.iter().find(|(known, _)| *known == word).map(|(_, value)| *value);
            if hit.is_none() {
                let reason = format!("{} is no {what}", quoted(word));
                found.wrong(node.span(), reason, meant(word, &words, "allowed are"));
            }
            hit
        }
        Shape::Text(text) if words.contains(&text.as_str()) => {
            let reason = format!("the {what} is a word without quotation marks");
            found.wrong(node.span(), reason, format!("write {text}"));
            None
        }
        other => {
            let reason = format!("the {what} must be one of {}; found {}", listed(&words), other.words());
            found.wrong(node.head(), reason, format!("write one of {}", listed(&words)));
            None
        }
    }
}

/// `true` or `false`.
pub(crate) fn yes_no(node: Node<'_>, what: &str, found: &mut Findings) -> Option<bool> {
    match node.shape() {
        Shape::Bool(value) => Some(value),
        other => {
            let reason = format!("{what} must be true or false, found {}", other.words());
            found.wrong(node.head(), reason, "write true or false");
            None
        }
    }
}

/// A whole number in a range, both ends included.
pub(crate) fn count(node: Node<'_>, what: &str, range: (u16, u16), found: &mut Findings) -> Option<u16> {
    let (least, most) = range;
    let reason = match node.shape() {
        Shape::Number(typed) => match typed.parse::<u16>() {
            Ok(count) if (least..=most).contains(&count) => return Some(count),
            _ => format!("{what} is {}; {least} to {most} are allowed", quoted(typed)),
        },
        other => format!("{what} must be a whole number, found {}", other.words()),
    };
    found.wrong(node.span(), reason, format!("write a whole number from {least} to {most}, without a unit"));
    None
}

/// The values of a list.
pub(crate) fn list<'a>(node: Node<'a>, what: &str, found: &mut Findings) -> Option<Vec<Node<'a>>> {
    match node.shape() {
        Shape::List(items) => Some(items),
        other => {
            let reason = format!("{what} must be a list in [square brackets], found {}", other.words());
            found.wrong(node.head(), reason, format!("write [{}]", one_line(node)));
            None
        }
    }
}

fn one_line(node: Node<'_>) -> &str {
    let text = node.text();
    if text.len() <= 40 && !text.contains('\n') { text } else { "..." }
}

/// The named values of a map, in the order of the file; a doubled name is told.
pub(crate) fn map<'a>(
    node: Node<'a>,
    what: &str,
    found: &mut Findings,
) -> Option<Vec<(String, Range<usize>, Node<'a>)>> {
    let Shape::Map(pairs) = node.shape() else {
        let reason = format!("the {what}s must be a map in {{braces}}, found {}", node.shape().words());
        found.wrong(node.head(), reason, format!("write {{\"name of the {what}\": ...}}"));
        return None;
    };
    let mut seen = BTreeSet::new();
    let mut named = Vec::new();
    for (key, value) in pairs {
        let Some(text) = part_name(key, &format!("name of a {what}"), found) else { continue };
        if seen.insert(text.clone()) {
            named.push((text, key.span(), value));
        } else {
            let reason = format!("the {what} {} stands twice", quoted(&text));
            found.wrong(key.span(), reason, "give one of the two another name, or take it out");
        }
    }
    Some(named)
}

/// Things named once and used by their name. One that could not be read is known by name, so that its users stay
/// silent.
pub(crate) struct Named<T> {
    what: &'static str,
    things: BTreeMap<String, Option<T>>,
}

impl<T> Named<T> {
    /// None yet.
    pub(crate) fn new(what: &'static str) -> Self {
        Self { what, things: BTreeMap::new() }
    }

    /// Adds one.
    pub(crate) fn add(&mut self, name: String, thing: Option<T>) {
        self.things.insert(name, thing);
    }

    /// The one of a name known to be there.
    pub(crate) fn get(&self, name: &str) -> Option<&T> {
        self.things.get(name).and_then(Option::as_ref)
    }

    /// The one that a text names, and its name.
    pub(crate) fn find(&self, node: Node<'_>, found: &mut Findings) -> Option<(String, &T)> {
        let wanted = name(node, &format!("name of a {}", self.what), found)?;
        if let Some(thing) = self.things.get(&wanted) {
            return thing.as_ref().map(|thing| (wanted, thing));
        }
        let known: Vec<&str> = self.things.keys().map(String::as_str).collect();
        let guess = if found.many() { None } else { nearest(&wanted, known.iter().copied()) };
        let help = guess.map_or_else(
            || format!("name it under {}s, or use one of: {}", self.what, listed(&known)),
            |word| format!("did you mean \"{word}\"? Otherwise name it under {}s", self.what),
        );
        found.wrong(node.span(), format!("no {} is named {}", self.what, quoted(&wanted)), help);
        None
    }
}
