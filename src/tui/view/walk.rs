//! The walk: three large things, the facts of the terminal, the board, the question. Findings and doings at a
//! terminal keep the large things and put their list where the facts stand.

use super::ask::Entries;
use super::board;
use super::facts;
use super::large;
use super::list;
use super::page::{Page, bottom, left, top};
use super::recorded;
use super::row;
use super::three;
use super::words::flow;
use crate::session::Sign;
use crate::session::desk::{Answers, Question, State, Topic};
use crate::tui::ui::Ui;
use ratatui::layout::Rect;

/// Columns the drawing asks for beside the facts.
const DRAWING: u16 = 38;
/// Rows from which there is room for blank rows and the key to the signs.
const ROOMY: u16 = 18;

/// Rows for what was recorded lately.
const LATELY: u16 = 7;

/// Draws everything between the header and what is told.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, state: &State, ui: &Ui, question: &Question) {
    let roomy = area.height >= large::ROWS.saturating_add(ROOMY);
    let (_, area) = top(area, u16::from(roomy));
    let (figures, area) = top(area, large::ROWS);
    let (_, area) = top(area, u16::from(roomy));
    let work = state.work();
    match (&work, question.topic) {
        (_, Topic::Scale) => large::draw(page, figures, &three::of_scale(state)),
        (Some(work), _) => large::draw(page, figures, &three::of_walk(work, state, question)),
        (None, _) => {}
    }
    let drawing = if area.width >= 110 { DRAWING.saturating_add(12) } else { DRAWING };
    let (beside, drawing) = left(area, area.width.saturating_sub(drawing).saturating_sub(2), 2);
    match (&work, question.topic) {
        (_, Topic::Scale) => scale_hints(page, beside),
        (Some(work), Topic::Walk | Topic::SetTool) => {
            let (facts, lately) = bottom(beside, if roomy { LATELY } else { 0 });
            facts::draw(page, facts, state, work);
            draw_lately(page, lately, state);
        }
        (Some(work), _) if !matches!(question.answers, Answers::Choice(_)) => {
            facts::draw(page, beside, state, work);
        }
        _ => list::draw(page, beside, question, ui),
    }
    let legend = legend(state.visit.is_coming_back(), drawing.width);
    let rows = u16::try_from(legend.len()).unwrap_or(0).saturating_add(1);
    if roomy {
        let (drawn, rest) = top(drawing, drawing.height.saturating_sub(rows));
        board::draw(page, drawn, state);
        for (row, line) in (1..).zip(&legend) {
            page.put(rest, row, 0, line, page.theme.plain);
        }
    } else {
        board::draw(page, drawing, state);
    }
}

/// The last lines of the record, the newest below.
fn draw_lately(page: &mut Page<'_>, area: Rect, state: &State) {
    let lines = state.visit.lines();
    let room = usize::from(area.height.saturating_sub(1));
    if room > 0 {
        page.put(area, 0, 0, "recorded before", page.theme.plain);
    }
    // The last line stands beneath already.
    let older = lines.len().saturating_sub(1);
    for (row, line) in (1..).zip(lines.iter().take(older).skip(older.saturating_sub(room))) {
        page.put(area, row, 2, &recorded::sentence_of(state, line, false), page.theme.plain);
    }
}

/// Where the entries of a list stand on this screen.
pub(super) fn entries(question: &Question) -> Entries<'static> {
    match (question.topic, &question.answers) {
        (Topic::Walk | Topic::SetTool | Topic::Scale, _) => Entries::Here,
        (Topic::Row, _) if row::is_short(question) => Entries::Here,
        (_, Answers::Choice(_)) => Entries::Elsewhere,
        _ => Entries::Here,
    }
}

/// What stands beside the drawing while a scale is asked; no figure of the setting.
fn scale_hints(page: &mut Page<'_>, area: Rect) {
    const WORDS: [&str; 3] = [
        "The scale is the only evidence a click tool leaves.",
        "Hold it to the light, look straight at the line and type exactly what it shows.",
        "What it should show is hidden meanwhile.",
    ];
    let mut row = 0;
    for words in WORDS {
        row = page.put_wrapped(area, row, words, page.theme.plain);
    }
}

/// The key to the signs of the drawing.
pub(super) fn legend(coming_back: bool, room: u16) -> Vec<String> {
    let signs = [
        (Sign::Bare, "bare"),
        (Sign::MadeOff, "made off"),
        (Sign::Tightened, "scale to be read"),
        (Sign::Complete, "complete"),
        (Sign::Remark, "with remark"),
        (Sign::Aside, "set aside"),
        (Sign::Settling, "settling"),
    ];
    let outside = coming_back.then_some((Sign::Outside, "not in scope"));
    let all: Vec<String> =
        signs.into_iter().chain(outside).map(|(sign, words)| format!("{} {words}", sign.letter())).collect();
    flow(&all, "   ", room)
}
