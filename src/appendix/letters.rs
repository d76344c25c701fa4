//! Letters as they may stand on the page: nothing that moves the cursor, and plain ASCII where that is asked for.
//!
//! What is printed of our own is ASCII already; what changes here are names and remarks. The record keeps them as
//! they were typed.

use crate::domain::text::{BadText, checked};

/// Between words that stay on one line; a plain blank once the lines are broken.
pub(crate) const GLUE: char = '\u{a0}';

/// The text with its words kept on one line where they fit.
pub(crate) fn glued(text: &str) -> String {
    text.replace(' ', &GLUE.to_string())
}

/// The text as it goes on the page.
pub(super) fn printable(text: &str, ascii: bool) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            ' '..='~' | GLUE => out.push(c),
            // They only choose between two drawings of the letter before them, and change its width.
            '\u{fe00}'..='\u{fe0f}' => {}
            _ if unsafe_on_a_page(c) => out.push('?'),
            _ if !ascii => out.push(c),
            '\u{300}'..='\u{36f}' => {}
            _ => out.push_str(plain(c)),
        }
    }
    out
}

/// Whether [`printable`] has to change the text to make it ASCII.
pub(super) fn needs_ascii(text: &str) -> bool {
    text.chars().any(|c| !c.is_ascii() && c != GLUE)
}

fn unsafe_on_a_page(c: char) -> bool {
    let mut buffer = [0; 4];
    matches!(checked(c.encode_utf8(&mut buffer), 4), Err(BadText::Control(_) | BadText::Direction(_)))
}

/// The plain letters for one that is not ASCII; `?` where there are none.
fn plain(c: char) -> &'static str {
    match c {
        'À'..='Å' | 'Ā' | 'Ă' | 'Ą' => "A",
        'à'..='å' | 'ā' | 'ă' | 'ą' => "a",
        'Æ' => "AE",
        'æ' => "ae",
        'Ç' | 'Ć' | 'Ĉ' | 'Ċ' | 'Č' => "C",
        'ç' | 'ć' | 'ĉ' | 'ċ' | 'č' => "c",
        'Ď' | 'Đ' | 'Ð' => "D",
        'ď' | 'đ' | 'ð' => "d",
        'È'..='Ë' | 'Ē' | 'Ė' | 'Ę' | 'Ě' => "E",
        'è'..='ë' | 'ē' | 'ė' | 'ę' | 'ě' => "e",
        'Ğ' | 'Ģ' => "G",
        'ğ' | 'ģ' => "g",
        'Ì'..='Ï' | 'Ī' | 'Į' | 'İ' => "I",
        'ì'..='ï' | 'ī' | 'į' | 'ı' => "i",
        'Ķ' => "K",
        'ķ' => "k",
        'Ł' | 'Ļ' | 'Ľ' => "L",
        'ł' | 'ļ' | 'ľ' => "l",
        'Ñ' | 'Ń' | 'Ņ' | 'Ň' => "N",
        'ñ' | 'ń' | 'ņ' | 'ň' => "n",
        'Ò'..='Ö' | 'Ø' | 'Ō' | 'Ő' => "O",
        'ò'..='ö' | 'ø' | 'ō' | 'ő' => "o",
        'Œ' => "OE",
        'œ' => "oe",
        'Ř' => "R",
        'ř' => "r",
        'Ś' | 'Ş' | 'Š' | 'Ș' => "S",
        'ś' | 'ş' | 'š' | 'ș' => "s",
        'ß' => "ss",
        'Þ' => "Th",
        'þ' => "th",
        'Ť' | 'Ţ' | 'Ț' => "T",
        'ť' | 'ţ' | 'ț' => "t",
        'Ù'..='Ü' | 'Ū' | 'Ů' | 'Ű' | 'Ų' => "U",
        'ù'..='ü' | 'ū' | 'ů' | 'ű' | 'ų' | 'µ' | 'μ' => "u",
        'Ŵ' => "W",
        'ŵ' => "w",
        'Ý' | 'Ŷ' | 'Ÿ' => "Y",
        'ý' | 'ŷ' | 'ÿ' => "y",
        'Ź' | 'Ż' | 'Ž' => "Z",
        'ź' | 'ż' | 'ž' => "z",
        '·' | '⋅' => ".",
        '²' => "2",
        '³' => "3",
        '±' => "+/-",
        '×' => "x",
        '°' => "deg",
        'Ω' | '\u{2126}' => "ohm",
        '–' | '—' | '\u{2011}' | '−' => "-",
        '‘' | '’' => "'",
        '“' | '”' | '„' => "\"",
        '…' => "...",
        '≤' => "<=",
        '≥' => ">=",
        _ => "?",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn accents_go_and_what_has_no_plain_letter_is_a_question_mark() {
        assert_eq!(printable("Zoë Ångström, 25 mm² ± 5 %, 東", true), "Zoe Angstrom, 25 mm2 +/- 5 %, ?");
        assert_eq!(printable("Zoe\u{308}", true), "Zoe");
        assert_eq!(printable("東 ²", false), "東 ²");
    }

    #[test]
    fn nothing_on_the_page_moves_the_cursor() {
        assert_eq!(printable("a\u{1b}[2Jb\nc\u{202e}d", false), "a?[2Jb?c?d");
        assert_eq!(printable("1\u{fe0f}", false), "1");
    }
}
