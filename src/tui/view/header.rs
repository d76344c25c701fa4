//! The first line: which board, what kind of visit, who on what tool, the supply, how far.

use super::page::Page;
use super::words::{fit, width};
use crate::domain::record::{Outcome, SourceOfSupply, SourceState};
use crate::session::desk::State;
use ratatui::layout::Rect;

/// Columns between two pieces.
const GAP: u16 = 3;
/// Columns that a title makes do with.
const TITLE: u16 = 14;

/// Draws it. Where it is narrow, the name of the person and the word *visit* give way, never the supply.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, state: &State) {
    let kind = state.visit.opened().map_or("first", |opened| opened.visit.words());
    let rehearsal = if state.is_rehearsal() { " REHEARSAL " } else { "" };
    let (supply, needs) = supply(state);
    let done = done(state);
    let (full, short) = (who(state, true), who(state, false));
    let visit =
        state.visit.opened().map_or(state.desk.start.visit, |opened| opened.visit).called().to_owned();
    let title = state.board().title.to_uppercase();
    let least = width(&title).min(TITLE);
    let taken = |kind: &str, who: &str| {
        [kind, rehearsal, who, &supply, &done]
            .iter()
            .filter(|piece| !piece.is_empty())
            .fold(0_u16, |sum, piece| sum.saturating_add(width(piece)).saturating_add(GAP))
    };
    let tried = [(visit.as_str(), full.as_str()), (&visit, &short), (kind, &short), ("", &short), ("", "")];
    let fits = |(kind, who): &(&str, &str)| least.saturating_add(taken(kind, who)) <= area.width;
    let (kind, who) = tried.into_iter().find(fits).unwrap_or(("", ""));
    let title = fit(&title, area.width.saturating_sub(taken(kind, who)));
    let mut col = page.put(area, 0, 0, &title, page.theme.strong).saturating_add(GAP);
    for (words, style) in [(kind, page.theme.plain), (rehearsal, page.theme.alarm)] {
        if !words.is_empty() {
            col = col.saturating_add(page.put(area, 0, col, words, style)).saturating_add(GAP);
        }
    }
    let right = [(who, false), (supply.as_str(), needs), (done.as_str(), false)];
    let shown = || right.iter().filter(|(words, _)| !words.is_empty());
    let wide = shown().fold(0_u16, |sum, (words, _)| sum.saturating_add(width(words)).saturating_add(GAP));
    let mut col = area.width.saturating_add(GAP).saturating_sub(wide);
    for (words, needs) in shown() {
        let style = if *needs { page.theme.needs } else { page.theme.plain };
        col = col.saturating_add(page.put(area, 0, col, words, style)).saturating_add(GAP);
    }
}

/// Person and tools in hand; the tools alone where there is little room.
fn who(state: &State, with_name: bool) -> String {
    let name = |id| state.visit.person(id).map_or("", |person| person.name.as_str());
    let on_tool = fit(name(&state.desk.who), 16);
    if on_tool.is_empty() {
        return String::new();
    }
    let tools: Vec<&str> = state.visit.tools().iter().map(|held| held.tool.id.as_str()).collect();
    let tools = match tools.as_slice() {
        [] => String::new(),
        [one] => format!("tool {one}"),
        many => format!("tools {}", many.join(" ")),
    };
    if !with_name {
        return tools;
    }
    let writing = if state.desk.writer == state.desk.who {
        String::new()
    } else {
        format!("writing {}", fit(name(&state.desk.writer), 16))
    };
    let pieces: Vec<String> =
        [on_tool, tools, writing].into_iter().filter(|piece| !piece.is_empty()).collect();
    pieces.join(", ")
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
    let all = state.visit.counts().in_scope();
    let done = state.visit.terminals().filter(|(_, _, s)| {
        matches!(s.outcome, Outcome::Complete | Outcome::CompleteWithRemark | Outcome::SetAside)
    });
    format!("{} of {all} done", done.count())
}
