//! So far: what is open, waits, was set aside or remade, and the numbers. Both faces show the same words.
//!
//! No torque stands in it, so that it may be looked at while a scale is asked.

use super::settle::{Wait, wait_at};
use super::words::terminals_in_words;
use super::{State, settle};
use crate::domain::record::{Fact, RemarkOn, VisitKind};
use crate::session::standing::{Informed, Need, OpenWhy, Standing};
use crate::session::visit::TerminalIndex;

/// Names said one by one; more of one kind at one place are only counted.
const NAMED_MAX: usize = 12;

/// Open because something needs the person; said before everything else that is open.
const TO_BE_SEEN_TO: &str = "to be seen to";

/// A part of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Heading.
    pub title: String,
    /// Lines, in trade words.
    pub lines: Vec<String>,
}

/// Every part that has something to say, the numbers first.
#[must_use]
pub fn so_far(state: &State) -> Vec<Part> {
    let parts = [
        ("in numbers", numbers(state)),
        ("scales to be read", scales(state)),
        ("open", open(state)),
        ("left for later", later(state)),
        ("settling", settling(state)),
        ("set aside", aside(state)),
        ("remade", remade(state)),
        ("tools doubted", doubted(state)),
        ("before power on", before_power_on(state)),
    ];
    parts
        .into_iter()
        .filter(|(_, lines)| !lines.is_empty())
        .map(|(title, lines)| Part { title: title.into(), lines })
        .collect()
}

/// The numbers of the visit; they add up to the board.
#[must_use]
pub fn numbers(state: &State) -> Vec<String> {
    if let Some(picture) = crate::session::audit::picture(&state.visit) {
        return crate::session::audit::words::lines(&picture);
    }
    let c = state.visit.counts();
    let mut lines = vec![format!(
        "{}: {} complete, {} with remark, {} set aside, {} settling, {} open",
        terminals_in_words(c.in_scope()),
        c.complete,
        c.with_remark,
        c.aside,
        c.settling,
        c.open
    )];
    if c.scale_to_be_read > 0 {
        lines.push(format!("of the open ones {} wait only for a scale", c.scale_to_be_read));
    }
    lines
}

/// How many settle and when: `settling 13, next due 10:41`, `settling 13, 2 due`.
#[must_use]
pub fn settling_in_words(state: &State) -> String {
    let waits = state.visit.counts().settling;
    let due = settle::due(state).len();
    match (due, settle::next_due(state)) {
        _ if waits == 0 => "settling 0".into(),
        (0, Some(next)) => format!("settling {waits}, next due {}", next.clock_not_before()),
        (0, None) => format!("settling {waits}"),
        (due, _) if due == waits => format!("settling {waits}, all due"),
        (due, _) => format!("settling {waits}, {due} due"),
    }
}

fn name(state: &State, at: TerminalIndex) -> String {
    state.visit.terminal(at).map_or_else(String::new, |terminal| terminal.name.to_string())
}

/// Entries under keys, both in the order in which they come.
fn grouped<K: PartialEq>(pairs: impl IntoIterator<Item = (K, String)>) -> Vec<(K, Vec<String>)> {
    let mut groups: Vec<(K, Vec<String>)> = Vec::new();
    for (key, entry) in pairs {
        match groups.iter_mut().find(|(known, _)| *known == key) {
            Some((_, entries)) => entries.push(entry),
            None => groups.push((key, vec![entry])),
        }
    }
    groups
}

fn scales(state: &State) -> Vec<String> {
    let words = |span: &crate::session::span::Span| {
        let since = state.visit.line(span.start_seq).map_or_else(String::new, |line| line.time.clock());
        format!("tool {}, read before the work at {since}", span.tool)
    };
    state.visit.open_spans().map(words).collect()
}

fn open(state: &State) -> Vec<String> {
    let visit = &state.visit;
    let audit = visit.kind() == VisitKind::Audit;
    let of = |(at, terminal, standing): (TerminalIndex, &crate::domain::board::Terminal, &Standing)| {
        let live = visit.live_source(&terminal.name).map(|source| format!("fed by {source}, which is live"));
        let why = if audit { in_audit(standing)? } else { why_open(standing)? };
        let why = live.unwrap_or(why.to_owned());
        Some(((why, terminal.place.to_string()), name(state, at)))
    };
    let mut groups = grouped(visit.terminals().filter_map(of));
    groups.sort_by_key(|((why, _), _)| *why != TO_BE_SEEN_TO);
    let line = |((why, place), names): ((String, String), Vec<String>)| {
        let all = names.len() > NAMED_MAX;
        let which = if all { terminals_in_words(names.len()) } else { names.join(", ") };
        format!("{place}, {why}: {which}")
    };
    groups.into_iter().map(line).collect()
}

/// Why a terminal is open; nothing where it is not.
fn why_open(standing: &Standing) -> Option<&'static str> {
    Some(match standing.open_why()? {
        OpenWhy::Needs(Need::Spare) => "spare way, to be set aside",
        OpenWhy::Needs(_) => TO_BE_SEEN_TO,
        OpenWhy::ScaleToBeRead => "done but for the scale",
        OpenWhy::MadeOff => "made off, not tightened",
        OpenWhy::Begun => "begun",
        OpenWhy::Bare => "bare",
    })
}

/// Why a terminal of an audit is open; nothing where it is not.
fn in_audit(standing: &Standing) -> Option<&'static str> {
    Some(match standing.open_why()? {
        OpenWhy::MadeOff | OpenWhy::Begun => "seen, to be tugged or tried",
        OpenWhy::Bare => "not looked at",
        OpenWhy::Needs(_) | OpenWhy::ScaleToBeRead => why_open(standing)?,
    })
}

fn later(state: &State) -> Vec<String> {
    let names: Vec<String> = state.desk.later.iter().map(|at| name(state, *at)).collect();
    if names.is_empty() { Vec::new() } else { vec![names.join(", ")] }
}

fn settling(state: &State) -> Vec<String> {
    let mut waits: Vec<(Option<jiff::Timestamp>, String, TerminalIndex)> = Vec::new();
    for (at, _, _) in state.visit.terminals() {
        match wait_at(state, at) {
            Some(Wait::Over) => waits.push((None, "due now".into(), at)),
            Some(Wait::AskPerson) => waits.push((None, "the clock went back, you are asked".into(), at)),
            Some(Wait::Until(until)) => {
                waits.push((Some(until.at), format!("due {}", until.clock_not_before()), at));
            }
            None => {}
        }
    }
    waits.sort_by_key(|(until, _, at)| (*until, *at));
    let groups = grouped(waits.into_iter().map(|(_, words, at)| (words, name(state, at))));
    groups.into_iter().map(|(words, names)| format!("{words}: {}", names.join(", "))).collect()
}

fn aside(state: &State) -> Vec<String> {
    let of = |(at, _, standing): (TerminalIndex, &crate::domain::board::Terminal, &Standing)| {
        let why = standing.aside.as_ref()?.words().to_owned();
        Some(((why, standing.told.clone()), name(state, at)))
    };
    let groups = grouped(state.visit.terminals().filter_map(of));
    let told = |told: &Informed| match told {
        Informed::Told(whom) => format!(" ({whom} was told)"),
        Informed::NotYet => " (nobody was told yet)".into(),
        Informed::NobodyNeeded => String::new(),
    };
    groups
        .into_iter()
        .map(|((why, informed), names)| format!("{why}: {}{}", names.join(", "), told(&informed)))
        .collect()
}

fn remade(state: &State) -> Vec<String> {
    let later = state.visit.terminals().filter(|(_, _, standing)| standing.attempt.0 > 1);
    later.map(|(at, _, standing)| format!("{}, attempt {}", name(state, at), standing.attempt.0)).collect()
}

fn doubted(state: &State) -> Vec<String> {
    let of = |held: &crate::session::visit::ToolInHand| {
        let line = state.visit.line(held.doubted?)?;
        match state.visit.effective(line, None) {
            Fact::ToolDoubted(fact) => Some(format!("tool {}: {}", held.tool.id, fact.what)),
            _ => Some(format!("tool {}", held.tool.id)),
        }
    };
    state.visit.tools().iter().filter_map(of).collect()
}

fn before_power_on(state: &State) -> Vec<String> {
    let words = |remark: &crate::session::visit::PowerOnRemark| {
        let on = match &remark.on {
            RemarkOn::Terminal(name) => format!("{name}: "),
            RemarkOn::Board | RemarkOn::Remark(_) => String::new(),
        };
        let how = match (&remark.handed_to, remark.dealt_with) {
            (Some(whom), _) => format!("handed over to {whom}"),
            (None, Some(_)) => "dealt with".into(),
            (None, None) => "still to be dealt with".into(),
        };
        format!("{on}{} ({how})", remark.text)
    };
    state.visit.power_on().iter().map(words).collect()
}
