//! Views: one file a screen, drawn from the state, changing nothing.
//!
//! Between the header and the footer stand, from below: the question, what is told, and the picture of the topic.
//! What could not be stored comes before every other picture, help included.

mod answers;
mod ask;
mod board;
mod facts;
mod footer;
mod forms;
pub mod glyphs;
mod header;
mod help;
mod large;
mod layout;
mod list;
pub(super) mod office;
mod over;
mod page;
mod recorded;
mod row;
mod sign_off;
mod small;
pub(super) mod so_far;
mod three;
mod told;
mod torque_scale;
mod trouble;
mod walk;
mod words;

use super::theme::Theme;
use super::ui::Ui;
use crate::domain::record::VisitKind;
use crate::session::TerminalIndex;
use crate::session::desk::{Answers, Purpose, Question, State, Topic};
use ask::{Ask, Typing};
use page::{Page, bottom, top};
use ratatui::Frame;
use ratatui::layout::Rect;
use told::Told;

/// Columns below which nothing is drawn but what is needed.
pub const COLUMNS: u16 = 80;
/// Rows below which nothing is drawn but what is needed.
pub const ROWS: u16 = 24;

/// Draws the screen.
pub fn draw(frame: &mut Frame<'_>, state: &State, ui: &Ui, theme: &Theme) {
    let area = frame.area();
    let mut page = Page { cells: frame.buffer_mut(), theme, cursor: None };
    if area.width < COLUMNS || area.height < ROWS {
        small::draw(&mut page, area, state.desk.trouble.is_some());
    } else if ui.help && state.desk.trouble.is_none() {
        help::draw(&mut page, area, state, ui);
    } else if ui.so_far && state.desk.trouble.is_none() {
        so_far::draw(&mut page, area, state, ui);
    } else {
        screen(&mut page, area, state, ui);
    }
    if let Some(cursor) = page.cursor {
        frame.set_cursor_position(cursor);
    }
}

fn screen(page: &mut Page<'_>, area: Rect, state: &State, ui: &Ui) {
    let question = state.question();
    let (first, rest) = top(area, 1);
    let (rest, last) = bottom(rest, 1);
    header::draw(page, first, state);
    footer::draw(page, last, state, ui, &question);
    if question.topic == Topic::Over {
        over::draw(page, rest, state, ui);
        return;
    }
    let typing = Typing { typed: &state.desk.typed, rehearsal: state.is_rehearsal() };
    let ask = Ask::new(typing, &question, walk::entries(&question), area.width);
    let told = Told::new(state, ui, &question, area.width);
    let (rest, asked) = bottom(rest, ask.rows().min(rest.height / 2));
    let (picture, line) = bottom(rest, told.rows());
    ask.draw(page, asked);
    told.draw(page, line);
    picture_of(page, picture, state, ui, &question);
}

/// The terminal a question is about, also where only its form says so.
fn about(state: &State, question: &Question) -> Option<TerminalIndex> {
    question.about.or_else(|| match state.desk.form.as_ref().map(|form| &form.purpose) {
        Some(Purpose::SetAside(list)) => list.first().copied().filter(|_| list.len() == 1),
        Some(Purpose::Remark(at)) => *at,
        _ => None,
    })
}

/// In an audit a place is told in typed words while the board is looked at; there is no list to draw.
fn is_typed_in_audit(state: &State, question: &Question) -> bool {
    state.visit.kind() == VisitKind::Audit && !matches!(question.answers, Answers::Choice(_))
}

fn picture_of(page: &mut Page<'_>, area: Rect, state: &State, ui: &Ui, question: &Question) {
    let at_terminal = about(state, question).is_some_and(|at| state.desk.focus == Some(at));
    match question.topic {
        Topic::Walk | Topic::SetTool | Topic::Scale => walk::draw(page, area, state, ui, question),
        Topic::Finding | Topic::Doing if at_terminal => walk::draw(page, area, state, ui, question),
        Topic::Opening | Topic::Tool | Topic::Gate => forms::draw(page, area, state, ui, question),
        Topic::Row if row::is_drawn(state) => row::draw(page, area, state, ui, question),
        Topic::Row | Topic::Doing if is_typed_in_audit(state, question) => {
            let (_, area) = top(area, 1);
            board::draw(page, area, state);
        }
        Topic::Finding | Topic::Doing | Topic::List | Topic::Row => {
            let (_, area) = top(area, 1);
            list::draw(page, area, question, ui);
        }
        Topic::SignOff => sign_off::draw(page, area, state, ui, question),
        Topic::Trouble => trouble::draw(page, area, state, ui, question),
        Topic::Over => {}
    }
}
