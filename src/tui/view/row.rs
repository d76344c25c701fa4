//! A row, and a way at once: what to set and what comes next stand large, the terminals it is about beneath.
//!
//! How many they are is never said: the number is counted at the paint marks and typed.

use super::board;
use super::large::{self, Large};
use super::list;
use super::page::{Page, left, top};
use super::three;
use super::words::{flow, wrap};
use crate::session::desk::row::{Row, at_each_screw, row_here};
use crate::session::desk::together::{Scope, Together};
use crate::session::desk::{Answers, Field, Purpose, Question, State};
use crate::tui::ui::Ui;
use ratatui::layout::Rect;

/// Columns of the drawing.
const DRAWING: u16 = 38;
/// Longest list that stands below the question; a longer one takes the place of the names.
const SHORT_LIST: usize = 3;

/// Draws everything between the header and what is told.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, state: &State, ui: &Ui, question: &Question) {
    let roomy = area.height >= 25;
    let (_, area) = top(area, u16::from(roomy));
    let (figures, area) = top(area, large::ROWS);
    let (_, area) = top(area, u16::from(roomy));
    let row = row_here(state).filter(|_| is_row(state));
    match (&row, state.work()) {
        (Some(row), Some(work)) => {
            let [_, setting, hand] = three::of_walk(&work, state, question);
            large::draw(page, figures, &[of_row(state, row), setting, hand]);
        }
        _ => {
            if let Some(three) = of_way(state) {
                large::draw(page, figures, &three);
            }
        }
    }
    let drawing = if area.width >= 110 { DRAWING.saturating_add(12) } else { DRAWING };
    let (beside, drawing) = left(area, area.width.saturating_sub(drawing).saturating_sub(2), 2);
    board::draw(page, drawing, state);
    if matches!(&question.answers, Answers::Choice(list) if list.len() > SHORT_LIST) {
        list::draw(page, beside, question, ui);
    } else {
        names(page, beside, state, row.as_ref(), question);
    }
}

/// Whether a list stands below the question.
pub(super) fn is_short(question: &Question) -> bool {
    matches!(&question.answers, Answers::Choice(list) if list.len() <= SHORT_LIST)
}

/// Whether a row or a way at once is in progress; notes are asked with the same topic and have no picture.
pub(super) fn is_drawn(state: &State) -> bool {
    is_row(state) || of_way(state).is_some()
}

fn is_row(state: &State) -> bool {
    state.desk.form.as_ref().is_some_and(|form| form.purpose == Purpose::Row)
}

/// Where: the row, its place, and where it begins.
fn of_row(state: &State, row: &Row) -> Large {
    let name = |at| state.visit.terminal(at).map_or("", |terminal| terminal.name.as_str());
    let first = row.terminals.first().copied();
    let place = first.and_then(|at| state.visit.terminal(at)).map(|terminal| terminal.place.to_string());
    let from = format!("from {}", first.map_or("", name));
    Large::new("ROW", place.unwrap_or_default().to_uppercase(), from)
}

/// The three of a way or a place at once.
fn of_way(state: &State) -> Option<[Large; 3]> {
    let Some(Purpose::Together(scope, step)) = state.desk.form.as_ref().map(|form| &form.purpose) else {
        return None;
    };
    let hand = match step {
        Together::Prepare => Large::new("PREP", "STRIP AND PREPARE", "no nicks"),
        Together::Enter => Large::new("LOOK", "LOOK AT EACH", "every strand in"),
        Together::Seat => Large::new("LOOK", "LOOK AT EACH", "seated"),
        Together::Look => Large::new("LOOK", "LOOK AT EACH", "heat, sleeve, mark"),
        Together::Mark => Large::new("MARK", "WITNESS MARK", "across screw and body"),
    };
    let here = match scope {
        Scope::Way(way) => Large::new(way.to_string(), "WAY", ""),
        Scope::Place(place) => Large::new("ALL", place.to_string().to_uppercase(), ""),
    };
    Some([here, Large::new("ALL", "ALL ALIKE", "but for those you name"), hand])
}

/// What is done at each screw, the row, and what was said of it so far.
fn names(page: &mut Page<'_>, area: Rect, state: &State, row: Option<&Row>, question: &Question) {
    let mut line = 0;
    if let Some(row) = row {
        let each = at_each_screw(state, row);
        if question.text != each {
            line = page.put_wrapped(area, line, each, page.theme.strong);
        }
        let terminals = || row.terminals.iter().filter_map(|at| state.visit.terminal(*at));
        let last = terminals().next_back().map(|terminal| &terminal.name);
        let names: Vec<String> = terminals()
            .map(|t| if Some(&t.name) == last { t.name.to_string() } else { format!("{},", t.name) })
            .collect();
        let said = said(state);
        let keep = said.iter().flat_map(|words| wrap(words, area.width)).count();
        let room = usize::from(area.height.saturating_sub(line)).saturating_sub(keep);
        let flowed = flow(&names, " ", area.width);
        let cut = flowed.len() > room;
        for words in flowed.iter().take(if cut { room.saturating_sub(1) } else { room }) {
            line = page.put_wrapped(area, line, words, page.theme.plain);
        }
        if cut {
            line = page.put_wrapped(area, line, "..and on, in the order of the drawing", page.theme.plain);
        }
        for words in said {
            line = page.put_wrapped(area, line, &words, page.theme.plain);
        }
    }
}

/// Answers of a row that stay in sight, and their names.
const SHOWN: [(Field, &str); 3] = [
    (Field::Words, "not good or not done"),
    (Field::Count, "counted"),
    (Field::TailTug, "tug, all of those"),
];

/// Answers given so far; the number typed is the person's own.
fn said(state: &State) -> Vec<String> {
    let given = state.desk.form.as_ref().map_or(&[][..], |form| form.given.as_slice());
    let words = |(field, value): &(Field, String)| {
        SHOWN.iter().find(|(shown, _)| shown == field).map(|(_, label)| format!("{label}: {value}"))
    };
    given.iter().filter_map(words).collect()
}
