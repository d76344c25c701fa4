//! Opening, tools and the gate: one question after the other, what was answered so far above it, and the cautions
//! that belong here.

use super::answers;
use super::list;
use super::page::{Page, bottom};
use super::words::wrap;
use crate::domain::board::Board;
use crate::domain::record::Gates;
use crate::domain::tool::{Tool, ToolKind, Validity};
use crate::session::desk::{Answers, Question, State, Topic};
use crate::tui::ui::Ui;
use ratatui::layout::Rect;

/// Answers that are shown before a tool in hand is.
const ANSWERS_MIN: usize = 4;

/// Draws everything between the header and what is told.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, state: &State, ui: &Ui, question: &Question) {
    let several = match &question.answers {
        Answers::Choice(list) if list.len() > 1 => list.as_slice(),
        Answers::Choice(_)
        | Answers::Observed(_)
        | Answers::Words(_)
        | Answers::Reading { .. }
        | Answers::Text { .. }
        | Answers::Number
        | Answers::Count => &[],
    };
    let entries = several.iter().fold(0_u16, |sum, entry| {
        let lines = wrap(entry, area.width.saturating_sub(5)).len();
        sum.saturating_add(u16::try_from(lines).unwrap_or(u16::MAX))
    });
    let (area, chosen) = bottom(area, entries.min(area.height / 2));
    list::draw(page, chosen, question, ui);
    let (area, _) = bottom(area, u16::from(entries > 0));
    let mut row = 1;
    row = if question.topic == Topic::Gate {
        gate_head(page, area, row, state)
    } else {
        board_head(page, area, row, state)
    };
    row = cautions(page, area, row, state).saturating_add(1);
    let tools: Vec<String> = state.visit.tools().iter().map(|held| in_hand(&held.tool)).collect();
    let lines = tools.iter().fold(0, |sum, words| wrap(words, area.width).len().saturating_add(sum));
    let said = answers::said_so_far(state);
    let room = usize::from(area.height.saturating_sub(row)).saturating_sub(lines);
    // what was just said is worth more than a tool that does not change
    if room >= said.len().min(ANSWERS_MIN) {
        for words in &tools {
            row = page.put_wrapped(area, row, words, page.theme.plain);
        }
    }
    answers::draw(page, area, row, &said);
}

fn board_head(page: &mut Page<'_>, area: Rect, row: u16, state: &State) -> u16 {
    let board = state.board();
    let alike = board.reference == board.title;
    let at_a_place = alike && board.ways == 0;
    let title = if alike { board.title.clone() } else { format!("{}, {}", board.title, board.reference) };
    let mut row = page.put_wrapped(area, row, &title, page.theme.strong);
    let plain = page.theme.plain;
    if at_a_place {
        // of a place without a board file nothing is known yet but its terminals
        return page.put_wrapped(area, row, "entered at the place, without a board file", plain);
    }
    for line in [
        format!("{}; {}", board.site, board.location),
        format!(
            "{}, {} A, {} ways, {} terminals; {}",
            board.supply.words(),
            board.rated_a,
            board.ways,
            board.terminals.len(),
            standard(board)
        ),
    ] {
        row = page.put_wrapped(area, row, &line, plain);
    }
    if let Some(vibration) = board.vibration {
        let words = format!("it shakes: to be looked at again after {} months", vibration.look_again_months);
        row = page.put_wrapped(area, row, &words, plain);
    }
    row
}

/// The standard with its edition; a board that was entered quickly states neither.
fn standard(board: &Board) -> String {
    if board.standard == board.edition {
        format!("standard {}", board.standard)
    } else {
        format!("{}:{}", board.standard, board.edition)
    }
}

fn gate_head(page: &mut Page<'_>, area: Rect, row: u16, state: &State) -> u16 {
    let title =
        "The gate: nothing is touched before it is answered, and it is asked again after every pause.";
    let mut row = page.put_wrapped(area, row, title, page.theme.strong);
    if let Some((_, gates)) = state.visit.gates().last() {
        row = page.put_wrapped(area, row, &last_time(gates), page.theme.plain);
    }
    row
}

fn last_time(gates: &Gates) -> String {
    let sources: Vec<String> =
        gates.sources.iter().map(|source| format!("{} {}", source.what, source.state.words())).collect();
    format!(
        "Last time: proved dead by {}, {}; {}; {}.",
        gates.dead_by,
        gates.proved_with,
        gates.locked_off,
        sources.join(", ")
    )
}

fn cautions(page: &mut Page<'_>, area: Rect, row: u16, state: &State) -> u16 {
    let mut row = row;
    for note in &state.board().notes {
        row = page.put_wrapped(area, row, &format!("Caution: {note}"), page.theme.needs);
    }
    row
}

/// A tool in hand, in a line.
fn in_hand(tool: &Tool) -> String {
    let calibrated = match (tool.validity, tool.calibrations.last()) {
        (Validity::NotStated, _) | (_, None) => "calibration not stated".to_owned(),
        (Validity::Valid, Some(calibration)) => format!("calibrated {}", calibration.date),
        (Validity::Lapsed, Some(calibration)) => format!("calibration of {} ENDED", calibration.date),
    };
    let range = if tool.kind == ToolKind::Fixed {
        format!("{} {}", tool.range.max, tool.unit)
    } else {
        format!("{} to {} {}", tool.range.min, tool.range.max, tool.unit)
    };
    format!(
        "tool {}: {}, serial {}, {}, {range}, {calibrated}",
        tool.id,
        tool.name,
        tool.serial,
        tool.kind.words()
    )
}
