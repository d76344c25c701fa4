//! Terminals by the names people type.
//!
//! A list is taken as `incomer L1, way 3, N bar`, capitals disregarded unless they tell two names apart. Where a
//! question is about certain terminals, a name that is not one of them is refused: an exception nobody can see would be
//! taken for a recorded one. A name may be shortened to its first or last words where only one terminal can be meant.
//! Deliberately absent: guessing. What is merely near is told in the refusal and never taken.

use super::State;
use super::audit;
use super::audit::AuditAsk;
use super::form::{Form, Purpose};
use super::row::row_here;
use super::together::waiting_for;
use crate::domain::board::Terminal;
use crate::domain::names::TerminalName;
use crate::session::visit::TerminalIndex;

/// How alike a name must be to be told as near, of 1; our own choice.
const NEAR: f64 = 0.8;
/// Most names told as near.
const NEAR_MOST: usize = 4;

/// Terminals of a list such as `incomer L1, way 3, N bar`; the first name that is none of these comes back.
pub(in crate::session::desk) fn terminals_of(state: &State, list: &str) -> Result<Vec<TerminalName>, String> {
    let mut names: Vec<TerminalName> = Vec::new();
    for part in parts(list) {
        let found = exactly(state, part);
        if found.is_empty() {
            return Err(part.to_owned());
        }
        for terminal in found {
            if !names.contains(&terminal.name) {
                names.push(terminal.name.clone());
            }
        }
    }
    if names.is_empty() { Err(list.to_owned()) } else { Ok(names) }
}

/// What was typed with every shortened name written out, so that [`terminals_of`] reads it.
///
/// # Errors
/// A sentence in trade words: what is not on this board, not asked about here, or could be several, and what is near.
pub(super) fn written_out(state: &State, form: &Form, list: &str) -> Result<String, String> {
    let here = asked_about(state, form);
    let mut names = Vec::new();
    for part in parts(list) {
        let found = exactly(state, part);
        let Some(here) = &here else {
            let all = state.board().terminals.iter().map(|terminal| &terminal.name);
            names.push(if found.is_empty() { shortened(state, part, all)? } else { part.to_owned() });
            continue;
        };
        if found.iter().any(|terminal| here.contains(&terminal.name)) {
            names.push(part.to_owned());
        } else if found.is_empty() {
            names.push(shortened(state, part, here.iter())?);
        } else {
            return Err(format!("{part:?} is not one of those asked about here"));
        }
    }
    if names.is_empty() { Err(unknown(state, list)) } else { Ok(names.join(", ")) }
}

fn parts(list: &str) -> impl Iterator<Item = &str> {
    list.split(',').map(str::trim).filter(|part| !part.is_empty())
}

/// Terminals with this name, at this place or way, or all.
fn exactly<'a>(state: &'a State, part: &str) -> Vec<&'a Terminal> {
    let way = part.strip_prefix("way ").and_then(|n| n.trim().parse::<u16>().ok());
    let matching = |same: fn(&str, &str) -> bool| -> Vec<&'a Terminal> {
        let means = |t: &&Terminal| {
            part == "all"
                || same(&t.name.0, part)
                || same(&t.place.0, part)
                || (way.is_some() && t.way.map(|w| w.0) == way)
        };
        state.board().terminals.iter().filter(means).collect()
    };
    let found = matching(|name, typed| name == typed);
    // two names may differ only in capitals, so that they are disregarded last
    if found.is_empty() { matching(str::eq_ignore_ascii_case) } else { found }
}

/// The one name that begins or ends with the words typed.
fn shortened<'a>(
    state: &State,
    part: &str,
    names: impl Iterator<Item = &'a TerminalName>,
) -> Result<String, String> {
    let typed = part.to_lowercase();
    let means = |name: &&TerminalName| {
        let name = name.0.to_lowercase();
        let rest = name.strip_prefix(&typed).or_else(|| name.strip_suffix(&typed));
        rest.is_some_and(|rest| rest.starts_with(' ') || rest.ends_with(' '))
    };
    // a bare number may as well be a count
    let a_number = part.chars().all(|c| c.is_ascii_digit());
    let found: Vec<&TerminalName> = names.filter(|_| !a_number).filter(means).collect();
    match found.as_slice() {
        [] => Err(unknown(state, part)),
        [one] => Ok(one.0.clone()),
        several => {
            Err(format!("{part:?} may be {}: type which", some_of(several.iter().map(|name| name.as_str()))))
        }
    }
}

fn unknown(state: &State, part: &str) -> String {
    let typed = part.to_lowercase();
    let mut near: Vec<(f64, &str)> = (state.board().terminals.iter())
        .map(|terminal| {
            (strsim::jaro_winkler(&typed, &terminal.name.0.to_lowercase()), terminal.name.as_str())
        })
        .filter(|(alike, _)| *alike >= NEAR)
        .collect();
    near.sort_by(|a, b| b.0.total_cmp(&a.0));
    let none = format!("there is no terminal, place or way {part:?} on this board");
    if near.is_empty() {
        return format!(
            "{none}; names are such as {}",
            some_of(state.board().terminals.iter().map(|t| t.name.as_str()))
        );
    }
    format!("{none}; near it: {}", some_of(near.into_iter().map(|(_, name)| name)))
}

/// The first few, by name.
fn some_of<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let names: Vec<&str> = names.collect();
    let more = if names.len() > NEAR_MOST { ", and more" } else { "" };
    let few: Vec<&str> = names.into_iter().take(NEAR_MOST).collect();
    format!("{}{more}", few.join(", "))
}

/// The terminals a question names exceptions of; nothing where it may be any of the board.
fn asked_about(state: &State, form: &Form) -> Option<Vec<TerminalName>> {
    let named = |list: Vec<TerminalIndex>| -> Vec<TerminalName> {
        list.into_iter().filter_map(|at| state.visit.terminal(at)).map(|t| t.name.clone()).collect()
    };
    match &form.purpose {
        Purpose::Row => row_here(state).map(|row| named(row.terminals)),
        Purpose::Together(scope, step) => {
            Some(waiting_for(state, scope, *step).into_iter().map(|(name, _)| name).collect())
        }
        Purpose::Audit(AuditAsk::LookPlace(place)) => {
            Some(named(audit::waiting(state, place, audit::Stage::Look)))
        }
        Purpose::Audit(AuditAsk::TugPlace(place)) => {
            Some(named(audit::waiting(state, place, audit::Stage::Tug)))
        }
        _ => None,
    }
}
