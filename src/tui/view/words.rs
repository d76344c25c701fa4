//! Text in columns: wrapped, or cut with two dots so that the cut is seen. One width function for all.

use crate::domain::text::columns;
use unicode_width::UnicodeWidthChar;

/// Width of a text as the screen counts.
pub(super) fn width(text: &str) -> u16 {
    u16::try_from(columns(text)).unwrap_or(u16::MAX)
}

/// Lines of at most so many columns, broken between words; a longer word is broken where the line ends.
pub(super) fn wrap(text: &str, room: u16) -> Vec<String> {
    let room = usize::from(room.max(1));
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split(' ') {
        let gap = usize::from(!line.is_empty());
        if columns(&line).saturating_add(gap).saturating_add(columns(word)) <= room {
            if gap == 1 {
                line.push(' ');
            }
            line.push_str(word);
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            if columns(&line).saturating_add(c.width().unwrap_or(0)) > room && !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            line.push(c);
        }
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

/// Entries side by side, so many columns a line, none broken unless it is wider than a line.
pub(super) fn flow(entries: &[String], between: &str, room: u16) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for entry in entries {
        let fits = |line: &String| {
            let wanted = columns(line).saturating_add(columns(between)).saturating_add(columns(entry));
            wanted <= usize::from(room)
        };
        match lines.last_mut() {
            Some(line) if fits(line) => {
                line.push_str(between);
                line.push_str(entry);
            }
            _ => lines.extend(wrap(entry, room)),
        }
    }
    lines
}

/// A text of at most so many columns; a cut ends in two dots.
pub(super) fn fit(text: &str, room: u16) -> String {
    let room = usize::from(room);
    if columns(text) <= room {
        return text.to_owned();
    }
    let keep = room.saturating_sub(2);
    let mut cut = String::new();
    for c in text.chars() {
        if columns(&cut).saturating_add(c.width().unwrap_or(0)) > keep {
            break;
        }
        cut.push(c);
    }
    if room >= 2 {
        cut.push_str("..");
    }
    cut
}

/// The end of a text that fits, two dots before it where something is missing: what is half typed keeps its end.
pub(super) fn fit_end(text: &str, room: u16) -> String {
    if columns(text) <= usize::from(room) {
        return text.to_owned();
    }
    let keep = usize::from(room).saturating_sub(2);
    let mut kept: Vec<char> = Vec::new();
    let mut used: usize = 0;
    for c in text.chars().rev() {
        used = used.saturating_add(c.width().unwrap_or(0));
        if used > keep {
            break;
        }
        kept.push(c);
    }
    let end: String = kept.into_iter().rev().collect();
    if room >= 2 { format!("..{end}") } else { String::new() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_wrapped_between_words_and_long_words_where_the_line_ends() {
        assert_eq!(wrap("right side of the clamp", 10), ["right side", "of the", "clamp"]);
        assert_eq!(wrap("abcdefgh ij", 3), ["abc", "def", "gh", "ij"]);
        assert_eq!(wrap("", 5), [""]);
    }

    #[test]
    fn a_cut_is_seen() {
        assert_eq!(fit("turntable motor", 8), "turnta..");
        assert_eq!(fit_end("turntable motor", 8), ".. motor");
        assert_eq!(fit("same", 4), "same");
        assert_eq!(fit("same", 1), "");
    }
}
