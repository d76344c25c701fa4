//! Conductors and clamps that do not go together by what their makers state, as the board is recorded.

use super::letters::glued;
use super::sheet::Sheet;
use super::words;
use crate::domain::names::TerminalName;
use crate::domain::record::Outcome;
use crate::session::{Visit, doubtful_torque, misfits_at};

/// The section; left out where everything goes together.
pub(super) fn write(visit: &Visit, sheet: &mut Sheet) {
    let misfits = gathered(visit, misfits_at);
    let doubts = gathered(visit, |visit, at| doubtful_torque(visit, at).into_iter().collect());
    if misfits.is_empty() && doubts.is_empty() {
        return;
    }
    sheet.heading("FIT OF CONDUCTOR AND CLAMP");
    if !misfits.is_empty() {
        sheet.text(
            "By the clamp as its maker states it, with the preparation that was recorded. A misfit is no refusal: the \
             work was recorded as it was found or done.",
        );
        for (what, names) in misfits {
            sheet.entry("Does not fit", format!("{}: {what}", words::terminals(&names)));
        }
    }
    for (what, names) in doubts {
        sheet.entry("A question", format!("{}: {}", words::terminals(&names), glued_units(&what)));
    }
}

/// Keeps numbers and units together.
fn glued_units(words: &str) -> String {
    words.replace(" N.m", &glued(" N.m"))
}

/// Each finding once, with the terminals it is true of, in the order of the board.
fn gathered(
    visit: &Visit,
    of: impl Fn(&Visit, crate::session::TerminalIndex) -> Vec<String>,
) -> Vec<(String, Vec<TerminalName>)> {
    let mut found: Vec<(String, Vec<TerminalName>)> = Vec::new();
    // what is not in scope is not spoken of
    let spoken_of = visit.terminals().filter(|(_, _, standing)| standing.outcome != Outcome::NotInScope);
    for (at, terminal, _) in spoken_of {
        for what in of(visit, at) {
            match found.iter_mut().find(|(known, _)| *known == what) {
                Some((_, names)) => names.push(terminal.name.clone()),
                None => found.push((what, vec![terminal.name.clone()])),
            }
        }
    }
    found
}
