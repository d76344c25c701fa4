//! The question: what is asked, what is worth knowing, what counts as an answer, what is half typed, what Enter
//! takes. The real cursor stands where typing goes.

use super::page::Page;
use super::words::{fit_end, flow, width, wrap};
use crate::session::desk::{Answers, Question, State, Topic};
use ratatui::layout::Rect;
use ratatui::style::Style;

/// What stands before what is typed.
const PROMPT: &str = " > ";

/// A question laid out for a width.
pub(super) struct Ask {
    lines: Vec<(String, Weight)>,
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
pub(super) enum Entries {
    /// Here, side by side.
    Here,
    /// Elsewhere on the screen, one a line.
    Elsewhere,
}

impl Ask {
    /// Lays a question out. `said` holds hints that the screen says already.
    pub(super) fn new(state: &State, question: &Question, entries: Entries, room: u16) -> Self {
        let mut lines: Vec<(String, Weight)> = Vec::new();
        let indent = room.saturating_sub(1);
        let mut add = |text: &str, weight| {
            lines.extend(wrap(text, indent).into_iter().map(|line| (line, weight)));
        };
        add(&question.text, Weight::Strong);
        for hint in question.hints.iter().filter(|hint| !said_elsewhere(question.topic, hint)) {
            add(hint, if is_caution(hint) { Weight::Needs } else { Weight::Plain });
        }
        if let (Answers::Choice(list), Entries::Here) = (&question.answers, entries) {
            let numbered: Vec<String> =
                (1_usize..).zip(list).map(|(n, words)| format!("{n} {words}")).collect();
            if list.len() > 1 {
                lines.extend(flow(&numbered, "   ", indent).into_iter().map(|line| (line, Weight::Plain)));
            }
        }
        let beside = beside(state, question);
        let typed = state.desk.typed.clone();
        let input = width(PROMPT).saturating_add(width(&typed)).saturating_add(3);
        let mut ask = Self { lines, typed, beside };
        if input.saturating_add(width(&ask.beside)) > room && !ask.beside.is_empty() {
            let beside = std::mem::take(&mut ask.beside);
            ask.lines.extend(wrap(&beside, indent).into_iter().map(|line| (line, Weight::Plain)));
        }
        ask
    }

    /// Rows it takes.
    pub(super) fn rows(&self) -> u16 {
        u16::try_from(self.lines.len()).unwrap_or(u16::MAX).saturating_add(1)
    }

    /// Draws it; where the room is less, the lines before the last give way and say so.
    pub(super) fn draw(&self, page: &mut Page<'_>, area: Rect) {
        let room = usize::from(area.height.saturating_sub(1));
        let style = |weight| -> Style {
            match weight {
                Weight::Plain => page.theme.plain,
                Weight::Strong => page.theme.strong,
                Weight::Needs => page.theme.needs,
            }
        };
        let styled: Vec<(&str, Style)> = self.lines.iter().map(|(l, w)| (l.as_str(), style(*w))).collect();
        let more = styled.len() > room;
        for (row, (line, style)) in (0..).zip(styled.iter().take(room)) {
            page.put(area, row, 0, line, *style);
        }
        if more {
            page.put_right(area, area.height.saturating_sub(2), " (more: a larger window)", page.theme.plain);
        }
        let last = area.height.saturating_sub(1).min(u16::try_from(self.lines.len()).unwrap_or(u16::MAX));
        let mut col = page.put(area, last, 0, PROMPT, page.theme.strong);
        let typed = fit_end(&self.typed, area.width.saturating_sub(col).saturating_sub(1));
        col = col.saturating_add(page.put(area, last, col, &typed, page.theme.strong));
        page.cursor_at(area, last, col);
        page.put(area, last, col.saturating_add(3), &self.beside, page.theme.plain);
    }
}

/// What counts as an answer and what Enter takes, in words for beside the cursor.
fn beside(state: &State, question: &Question) -> String {
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
        Answers::Choice(_) | Answers::Text { .. } => {}
    }
    if let Some(offer) = offered(state, question) {
        parts.push(offer);
    }
    parts.join("   ")
}

/// What Enter takes. The offer of a rehearsal at a scale is not shown: no setting stands there.
fn offered(state: &State, question: &Question) -> Option<String> {
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
    let rehearsed = state.is_rehearsal() && question.is_observation();
    Some(if rehearsed { format!("Enter: {offer} (rehearsal)") } else { format!("Enter: {offer}") })
}

/// Hints that the facts beside the drawing say already.
fn said_elsewhere(topic: Topic, hint: &str) -> bool {
    matches!(topic, Topic::Walk | Topic::SetTool)
        && (hint.starts_with("Maker: ") || hint.starts_with("Strip "))
}

fn is_caution(hint: &str) -> bool {
    hint.starts_with("Caution") || hint.starts_with("Do not guess")
}
