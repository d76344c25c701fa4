//! What is told: why a key or an answer was not taken, or what was recorded last; and what waits elsewhere.

use super::page::Page;
use super::recorded;
use super::words::{fit, width, wrap};
use crate::session::Need;
use crate::session::desk::so_far::settling_in_words;
use crate::session::desk::{Message, Question, State, Topic};
use crate::tui::ui::Ui;
use ratatui::layout::Rect;

/// Lines of a note shown at most.
const NOTE_ROWS: usize = 3;

/// Something that waits elsewhere.
struct Wait {
    words: String,
    any: bool,
}

/// What is told, laid out for a width.
pub(super) struct Told {
    lines: Vec<String>,
    needs: bool,
    waits: Vec<Wait>,
}

impl Told {
    /// Lays it out.
    pub(super) fn new(state: &State, ui: &Ui, question: &Question, room: u16) -> Self {
        let note = ui.note.as_deref().or(match &state.desk.message {
            Some(Message::Note(note)) => Some(note.as_str()),
            Some(Message::Recorded(_)) | None => None,
        });
        let walking = matches!(
            question.topic,
            Topic::Walk
                | Topic::SetTool
                | Topic::Scale
                | Topic::Row
                | Topic::Finding
                | Topic::Doing
                | Topic::List
        );
        let waits = if walking { waiting(state) } else { Vec::new() };
        if let Some(note) = note {
            let mut lines = wrapped(note, room);
            // what waits gets a line of its own before it cuts off what is to be done
            let beside = lines.last().map_or(0, |line| width(line)).saturating_add(3);
            let some = words_of(waits.iter().filter(|wait| wait.any));
            if !some.is_empty() && lines.len() < NOTE_ROWS && beside.saturating_add(width(&some)) > room {
                lines.push(String::new());
            }
            return Self { lines, needs: true, waits };
        }
        let line = match (&state.desk.message, &state.desk.pending) {
            _ if state.desk.trouble.is_some() => String::new(),
            (_, Some(_)) => "storing the last answer".into(),
            (Some(Message::Recorded(seq)), None) => state.visit.line(*seq).map_or_else(String::new, |line| {
                format!("recorded {}", recorded::sentence_of(state, line, question.topic == Topic::Scale))
            }),
            (Some(Message::Note(_)) | None, None) => String::new(),
        };
        Self { lines: wrapped(&line, room), needs: false, waits }
    }

    /// Rows it takes.
    pub(super) fn rows(&self) -> u16 {
        u16::try_from(self.lines.len()).unwrap_or(1).max(1)
    }

    /// Draws it; what waits stands at the right end of the last line as far as there is room: the zeros go first, then
    /// one after the other. What is told is never cut for it.
    pub(super) fn draw(&self, page: &mut Page<'_>, area: Rect) {
        let style = if self.needs { page.theme.needs } else { page.theme.plain };
        for (row, line) in (0..).zip(&self.lines) {
            page.put(area, row, 0, line, style);
        }
        let last = self.lines.last().map_or(0, |line| width(line));
        let waits = |zeros: bool, from: usize| {
            let shown = self.waits.iter().filter(|wait| zeros || wait.any).skip(from);
            shown.map(|wait| wait.words.as_str()).collect::<Vec<_>>().join(", ")
        };
        let fits = |words: &String| last.saturating_add(3).saturating_add(width(words)) <= area.width;
        let fewer = (0..self.waits.len()).map(|from| waits(false, from));
        if let Some(words) = std::iter::once(waits(true, 0)).chain(fewer).find(fits) {
            page.put_right(area, self.rows().saturating_sub(1), &words, page.theme.plain);
        }
    }
}

/// What is told in as many lines as it may have; what is longer is cut and says so.
fn wrapped(words: &str, room: u16) -> Vec<String> {
    let lines = wrap(words, room);
    let lines = if lines.len() > NOTE_ROWS { wrap(&fit(words, room.saturating_mul(2)), room) } else { lines };
    if lines.is_empty() { vec![String::new()] } else { lines }
}

fn words_of<'a>(waits: impl Iterator<Item = &'a Wait>) -> String {
    waits.map(|wait| wait.words.as_str()).collect::<Vec<_>>().join(", ")
}

/// What settles, what was left for later, what needs the person elsewhere.
fn waiting(state: &State) -> Vec<Wait> {
    let needs = state
        .visit
        .terminals()
        .filter(|(_, _, s)| s.aside.is_none() && s.need.is_some_and(|need| need != Need::Spare))
        .count();
    let later = state.desk.later.len();
    let mut waits = vec![
        Wait { words: settling_in_words(state), any: state.visit.counts().settling > 0 },
        Wait { words: format!("left for later {later}"), any: later > 0 },
    ];
    if needs > 0 {
        waits.push(Wait { words: format!("to be seen to {needs}"), any: true });
    }
    waits
}
