//! A group, list or map, taken apart at its commas.
//!
//! Only for text that RON has accepted as a whole: nothing is checked a second time, and each level of the text is
//! passed once. (Asked for raw values, RON's own reader passes every value twice a level.)

use super::node::skip_blank;

/// What stands between two commas, without the blanks and comments around it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Piece<'a> {
    /// What stands before a colon, if there is one.
    pub(super) key: Option<&'a str>,
    /// The value.
    pub(super) value: &'a str,
}

/// The pieces of a text that begins with a bracket; nothing where it is not closed.
pub(super) fn pieces(text: &str) -> Option<Vec<Piece<'_>>> {
    let mut pieces = Vec::new();
    let mut rest = skip_blank(past_char(text));
    while !rest.starts_with([')', ']', '}']) {
        let (mut value, mut after) = up_to_delimiter(rest);
        let mut key = None;
        if let Some(behind) = after.strip_prefix(':') {
            key = Some(value);
            (value, after) = up_to_delimiter(skip_blank(behind));
        }
        pieces.push(Piece { key, value });
        rest = skip_blank(after.strip_prefix(',').unwrap_or(after));
        if rest.is_empty() {
            return None;
        }
    }
    Some(pieces)
}

/// What stands before the next comma, colon or closing bracket that is not within brackets, and the rest from it.
fn up_to_delimiter(text: &str) -> (&str, &str) {
    let (mut rest, mut end, mut depth) = (text, text, 0_usize);
    loop {
        rest = skip_blank(rest);
        match rest.chars().next() {
            None => break,
            Some(',' | ':' | ')' | ']' | '}') if depth == 0 => break,
            Some('(' | '[' | '{') => depth = depth.saturating_add(1),
            Some(')' | ']' | '}') => depth = depth.saturating_sub(1),
            Some(_) => {}
        }
        rest = past_token(rest);
        end = rest;
    }
    let length = text.len().saturating_sub(end.len());
    (text.get(..length).unwrap_or(text), rest)
}

/// The rest behind a text, a letter in quotes, a word, or any other single character.
fn past_token(text: &str) -> &str {
    if let Some(inside) = text.strip_prefix('"') {
        return past_text(inside);
    }
    if let Some(inside) = text.strip_prefix('\'') {
        let behind = past_char(inside.strip_prefix('\\').unwrap_or(inside));
        return behind.split_once('\'').map_or("", |(_, rest)| rest);
    }
    let rest = text.trim_start_matches(|c: char| c.is_alphanumeric() || c == '_');
    let length = text.len().saturating_sub(rest.len());
    match text.get(..length) {
        Some("") | None => past_char(text),
        Some("r" | "br") => past_raw_text(rest),
        Some(_) => rest,
    }
}

fn past_text(inside: &str) -> &str {
    let mut rest = inside;
    while let Some((_, behind)) = rest.find(['"', '\\']).and_then(|at| rest.split_at_checked(at)) {
        if let Some(after) = behind.strip_prefix('"') {
            return after;
        }
        rest = past_char(past_char(behind));
    }
    ""
}

/// Behind `r`: `#"…"#` with any number of signs, or the rest of a name that is written `r#name`.
fn past_raw_text(text: &str) -> &str {
    let inside = text.trim_start_matches('#');
    let signs = text.get(..text.len().saturating_sub(inside.len())).unwrap_or("");
    match inside.strip_prefix('"') {
        Some(inside) => inside.split_once(&format!("\"{signs}")).map_or("", |(_, rest)| rest),
        None => inside,
    }
}

fn past_char(text: &str) -> &str {
    let mut chars = text.chars();
    chars.next();
    chars.as_str()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn split(text: &str) -> Vec<(Option<&str>, &str)> {
        assert!(ron::value::RawValue::from_ron(text).is_ok(), "only what RON accepts comes here: {text}");
        pieces(text).unwrap().into_iter().map(|piece| (piece.key, piece.value)).collect()
    }

    #[test]
    fn commas_and_brackets_count_only_where_they_are_none_of_a_text() {
        assert_eq!(
            split(
                r##"( a: "x, \") \\", b : [1, (2)], /* , /* ) */ */ c: r#"", )"#, // , d: 1
                d: ',' , e: '\'', f: r"\", g: B(h: {"i": 1}), )"##
            ),
            [
                (Some("a"), r#""x, \") \\""#),
                (Some("b"), "[1, (2)]"),
                (Some("c"), r##"r#"", )"#"##),
                (Some("d"), "','"),
                (Some("e"), r"'\''"),
                (Some("f"), r#"r"\""#),
                (Some("g"), r#"B(h: {"i": 1})"#),
            ]
        );
    }

    #[test]
    fn lists_maps_and_groups_without_keys() {
        assert_eq!(split("[ ]"), []);
        assert_eq!(split("()"), []);
        assert_eq!(
            split("[-1.5e3, bar, \"r\" // end\n]"),
            [(None, "-1.5e3"), (None, "bar"), (None, "\"r\"")]
        );
        assert_eq!(
            split("{\"k: 1\": Some(x), \"k: 1\": ()}"),
            [(Some("\"k: 1\""), "Some(x)"), (Some("\"k: 1\""), "()")]
        );
    }

    #[test]
    fn what_is_not_closed_ends() {
        for text in ["(a: 1", "[\"", "{'", "(r#\"", "[/*", "(a: (1)", "(,"] {
            assert_eq!(pieces(text), None, "{text}");
        }
    }
}
