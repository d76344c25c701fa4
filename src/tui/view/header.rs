//! The first line: which board, what kind of visit, who on what tool, the supply, how far.

use super::page::Page;
use super::words::{fit, width};
use crate::domain::record::{Outcome, SourceOfSupply, SourceState};
use crate::session::desk::State;
use ratatui::layout::Rect;

/// Draws it.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, state: &State) {
    let kind = state.visit.opened().map_or("first", |opened| opened.visit.words());
    let rehearsal = if state.is_rehearsal() { " REHEARSAL " } else { "" };
    let kind = format!("{kind} visit");
    let (supply, needs) = supply(state);
    let pieces = [who(state), supply, done(state)];
    let right = pieces.iter().filter(|piece| !piece.is_empty());
    let right_width =
        right.clone().fold(0_u16, |sum, piece| sum.saturating_add(width(piece)).saturating_add(3));
    let fixed = width(&kind).saturating_add(width(rehearsal)).saturating_add(4).saturating_add(right_width);
    let title = fit(&state.board().title.to_uppercase(), area.width.saturating_sub(fixed).max(8));
    let mut col = page.put(area, 0, 0, &title, page.theme.strong).saturating_add(2);
    col = col.saturating_add(page.put(area, 0, col, &kind, page.theme.plain));
    if !rehearsal.is_empty() {
        page.put(area, 0, col.saturating_add(2), rehearsal, page.theme.alarm);
    }
    let mut col = area.width.saturating_add(3).saturating_sub(right_width);
    for (nth, piece) in pieces.iter().enumerate().filter(|(_, piece)| !piece.is_empty()) {
        let style = if nth == 1 && needs { page.theme.needs } else { page.theme.plain };
        col = col.saturating_add(page.put(area, 0, col, piece, style)).saturating_add(3);
    }
}

/// Person and tools in hand.
fn who(state: &State) -> String {
    let name = |id| state.visit.person(id).map_or("", |person| person.name.as_str());
    let on_tool = name(&state.desk.who);
    if on_tool.is_empty() {
        return String::new();
    }
    let tools: Vec<&str> = state.visit.tools().iter().map(|held| held.tool.id.as_str()).collect();
    let on_tool = fit(on_tool, 16);
    let hands = match tools.as_slice() {
        [] => on_tool,
        [one] => format!("{on_tool}, tool {one}"),
        many => format!("{on_tool}, tools {}", many.join(" ")),
    };
    if state.desk.writer == state.desk.who {
        return hands;
    }
    format!("{hands}, writing {}", fit(name(&state.desk.writer), 16))
}

/// What the gate of this session says, and whether it needs the person's mind.
fn supply(state: &State) -> (String, bool) {
    if state.visit.opened().is_none() {
        return (String::new(), false);
    }
    let Some(gates) = state.visit.gates_now().next_back() else {
        return ("not proved dead".into(), true);
    };
    let mut live: Vec<String> =
        gates.sources.iter().filter(|source| source.state == SourceState::Live).map(live_words).collect();
    let unconnected = gates.sources.iter().any(|source| source.state == SourceState::Unconnected);
    if live.is_empty() {
        return (if unconnected { "tails not connected" } else { "no supply" }.into(), false);
    }
    if live.len() > 1 {
        let more = live.len().saturating_sub(1);
        live.truncate(1);
        live.push(format!("{more} more live"));
    }
    (live.join(", "), true)
}

fn live_words(source: &SourceOfSupply) -> String {
    let cover = match source.shrouded {
        Some(true) => ", shrouded",
        Some(false) => ", bare",
        None => "",
    };
    format!("{} LIVE{cover}", fit(&source.what, 12))
}

/// Terminals with an outcome, of all.
fn done(state: &State) -> String {
    if state.visit.opened().is_none() {
        return String::new();
    }
    let all = state.visit.counts().all;
    let done = state.visit.terminals().filter(|(_, _, s)| {
        matches!(s.outcome, Outcome::Complete | Outcome::CompleteWithRemark | Outcome::SetAside)
    });
    format!("{} of {all}", done.count())
}
