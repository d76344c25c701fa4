//! The question: what is asked, what is worth knowing, what counts as an answer, what is half typed, what Enter
//! takes. The real cursor stands where typing goes.

use super::page::Page;
use super::words::{fit_end, flow, width, wrap};
use crate::session::desk::{Answers, Question, Topic};
use ratatui::layout::Rect;

/// What stands before what is typed.
const PROMPT: &str = " > ";
/// Columns left for typing behind a question.
const TYPING: u16 = 8;

/// A question laid out for a width.
pub(super) struct Ask {
    lines: Vec<(String, Weight)>,
    /// Line and column where typing begins.
    prompt: (u16, u16),
    typed: String,
    beside: String,
}

#[derive(Clone, Copy)]
enum Weight {
    Plain,
    Strong,
    Needs,
}

/// How the entries of a list are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Entries<'a> {
    /// Here, side by side.
    Here,
    /// Elsewhere on the screen, one a line.
    Elsewhere,
    /// These numbers elsewhere, the others here.
    Besides(&'a [usize]),
}

impl Entries<'_> {
    fn here(self, number: usize) -> bool {
        match self {
            Self::Here => true,
            Self::Elsewhere => false,
            Self::Besides(elsewhere) => !elsewhere.contains(&number),
        }
    }
}

/// What the keys have to do with it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Typing<'a> {
    /// Half typed.
    pub(super) typed: &'a str,
    /// Everything may be offered: practice only.
    pub(super) rehearsal: bool,
}

impl Ask {
    /// Lays a question out: the question with the prompt behind it, what is worth knowing, what can be chosen.
    pub(super) fn new(typing: Typing<'_>, question: &Question, entries: Entries<'_>, room: u16) -> Self {
        let inner = room.saturating_sub(1);
        let asked = wrap(&question.text, inner);
        let typed = typing.typed.to_owned();
        let behind = asked.last().map_or(0, |line| width(line));
        let input = width(PROMPT).saturating_add(width(&typed)).saturating_add(2);
        // Words of one's own may become long: they have a line to themselves.
        let own_line = matches!(question.answers, Answers::Text { .. })
            || behind.saturating_add(input.max(TYPING)) > inner;
        let mut lines: Vec<(String, Weight)> = asked.into_iter().map(|line| (line, Weight::Strong)).collect();
        if own_line {
            lines.push((String::new(), Weight::Plain));
        }
        let line = u16::try_from(lines.len()).unwrap_or(u16::MAX).saturating_sub(1);
        let prompt = (line, if own_line { 0 } else { behind });
        let mut add = |text: &str, weight| {
            lines.extend(wrap(text, inner).into_iter().map(|line| (line, weight)));
        };
        for hint in question.hints.iter().filter(|hint| !said_elsewhere(question.topic, hint)) {
            add(hint, if is_caution(hint) { Weight::Needs } else { Weight::Plain });
        }
        if let Answers::Choice(list) = &question.answers
            && list.len() > 1
        {
            let here = (1_usize..).zip(list).filter(|(n, _)| entries.here(*n));
            let numbered: Vec<String> = here.map(|(n, words)| format!("{n} {words}")).collect();
            for line in flow(&numbered, "   ", inner) {
                add(&line, Weight::Plain);
            }
        }
        let mut beside = beside(typing, question);
        let taken = prompt.1.saturating_add(input).saturating_add(1);
        if taken.saturating_add(width(&beside)) > room && !beside.is_empty() {
            add(&std::mem::take(&mut beside), Weight::Plain);
        }
        Self { lines, prompt, typed, beside }
    }

    /// Rows it takes.
    pub(super) fn rows(&self) -> u16 {
        u16::try_from(self.lines.len()).unwrap_or(u16::MAX)
    }

    /// Draws it; where the room is less, the last lines give way and it says so.
    pub(super) fn draw(&self, page: &mut Page<'_>, area: Rect) {
        for (row, (line, weight)) in (0..area.height).zip(&self.lines) {
            let style = match weight {
                Weight::Plain => page.theme.plain,
                Weight::Strong => page.theme.strong,
                Weight::Needs => page.theme.needs,
            };
            page.put(area, row, 0, line, style);
        }
        let (row, col) = self.prompt;
        let row = row.min(area.height.saturating_sub(1));
        let mut col = col.saturating_add(page.put(area, row, col, PROMPT, page.theme.strong));
        let typed = fit_end(&self.typed, area.width.saturating_sub(col).saturating_sub(1));
        col = col.saturating_add(page.put(area, row, col, &typed, page.theme.strong));
        page.cursor_at(area, row, col);
        page.put(area, row, col.saturating_add(3), &self.beside, page.theme.plain);
        if self.rows() > area.height {
            page.put_right(
                area,
                area.height.saturating_sub(1),
                " ..more in a larger window",
                page.theme.needs,
            );
        }
    }
}

/// What counts as an answer and what Enter takes, in words for beside the cursor.
fn beside(typing: Typing<'_>, question: &Question) -> String {
    let mut parts: Vec<String> = Vec::new();
    match &question.answers {
        Answers::Observed(list) => {
            let each: Vec<String> = list.iter().map(|seen| format!("{} {}", seen.key, seen.word)).collect();
            parts.push(each.join("   "));
        }
        Answers::Words(words) => parts.push(format!("type the whole word: {}", words.join(" or "))),
        Answers::Reading { unit, or_word: None } => parts.push(unit.to_string()),
        Answers::Reading { unit, or_word: Some(word) } => parts.push(format!("{unit}, or the word {word}")),
        Answers::Choice(list) if list.len() > 1 => parts.push(format!("1 to {}", list.len())),
        Answers::Number => parts.push("a number".into()),
        Answers::Count => parts.push("a whole number".into()),
        Answers::Choice(_) | Answers::Text { .. } => {}
    }
    if let Some(offer) = offered(typing, question) {
        parts.push(offer);
    }
    parts.join("   ")
}

/// What Enter takes. The offer of a rehearsal at a scale is not shown: no setting stands there.
fn offered(typing: Typing<'_>, question: &Question) -> Option<String> {
    let offer = match (&question.offer, &question.answers) {
        (Some(_), _) if question.topic == Topic::Scale && question.is_observation() => {
            return Some("Enter: the rehearsal answers".into());
        }
        (Some(offer), Answers::Choice(list)) => {
            let at = offer.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
            at.and_then(|at| list.get(at)).unwrap_or(offer)
        }
        (Some(offer), _) => offer,
        (None, Answers::Text { optional: true, .. }) => return Some("Enter: nothing".into()),
        (None, _) => return None,
    };
    let rehearsed = typing.rehearsal && question.is_observation();
    Some(if rehearsed { format!("Enter: {offer} (rehearsal)") } else { format!("Enter: {offer}") })
}

/// Hints that the facts beside the drawing say already.
fn said_elsewhere(topic: Topic, hint: &str) -> bool {
    (topic == Topic::Row && hint.starts_with("The row: "))
        || matches!(topic, Topic::Walk | Topic::SetTool)
            && (hint.starts_with("Maker: ") || hint.starts_with("Strip "))
}

fn is_caution(hint: &str) -> bool {
    hint.starts_with("Caution") || hint.starts_with("Do not guess")
}
