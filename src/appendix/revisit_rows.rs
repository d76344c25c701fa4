//! One row a terminal in scope of a revisit: look, tug, torque with what the screw did, mark.

use super::rows;
use super::settings::Settings;
use super::sheet::{Sheet, Table};
use crate::domain::record::{Attempt, Fact, LookResult, Outcome, Tug, Turned};
use crate::session::{Standing, Step, TerminalIndex, Visit, standing_torques};

/// The table with its legend.
pub(super) fn write(visit: &Visit, settings: &Settings, sheet: &mut Sheet) {
    sheet.heading("TERMINALS IN SCOPE");
    sheet.text(
        "Outcome: C complete, R complete with remark, A set aside, S settling; still open: . bare, M made off, T every \
         step answered, but the scale is still to be read. R/2 is the second attempt. Held and moved: whether the screw \
         turned under its full torque before the tool spoke. Look and the first word of the tug are as it was found. afresh: \
         made off anew, with entry right and the torque of a first visit.",
    );
    sheet.text(
        "[1] is the setting the torque was done at. - means that there is no such step here: a mark is made anew only \
         where a screw turned.",
    );
    rows::none(visit, sheet);
    sheet.gap();
    let in_scope = visit.terminals().filter(|(_, _, standing)| standing.outcome != Outcome::NotInScope);
    let lines = rows::by_place(in_scope, |at, terminal, standing| {
        let lots = terminal.conductors.len().max(1);
        (0..lots).map(|nth| row(visit, settings, at, standing, nth)).collect()
    });
    sheet.table(Table {
        widths: vec![15, 12, 14, 8, 15, 7, 3],
        heads: vec!["terminal", "mm2, make-up", "look", "tug", "torque", "mark", "out"],
        rows: lines,
    });
}

fn row(
    visit: &Visit,
    settings: &Settings,
    at: TerminalIndex,
    standing: &Standing,
    nth: usize,
) -> Vec<String> {
    let Some(terminal) = visit.terminal(at) else { return Vec::new() };
    let first = nth == 0;
    let whole = |text: String| if first { text } else { String::new() };
    vec![
        rows::name(terminal, nth),
        rows::of_conductor(terminal, nth),
        whole(look(visit, at, standing)),
        tug(visit, at, standing, nth),
        whole(torque(visit, settings, at, standing)),
        whole(rows::mark(visit, terminal, standing)),
        whole(match standing.attempt {
            Attempt::FIRST => standing.sign().letter().to_string(),
            Attempt(n) => format!("{}/{n}", standing.sign().letter()),
        }),
    ]
}

/// The tug as it was found, and the one that stands where that is another.
fn tug(visit: &Visit, at: TerminalIndex, standing: &Standing, nth: usize) -> String {
    let Some(terminal) = visit.terminal(at) else { return String::new() };
    let stands = rows::tug(visit, terminal, standing, nth);
    let names = terminal.conductor_names();
    let found = visit.lines_about(at).find_map(|line| match visit.effective(line, Some(&terminal.name)) {
        Fact::Tugged(f) if names.get(nth).is_some_and(|name| f.conductors.contains(name)) => Some(f.result),
        _ => None,
    });
    match found.map(Tug::words) {
        Some(found) if found != stands => format!("{found}, then {stands}"),
        _ => stands,
    }
}

/// The last look, also where what it asked for was done since.
fn look(visit: &Visit, at: TerminalIndex, standing: &Standing) -> String {
    let name = visit.terminal(at).map(|terminal| &terminal.name);
    let seen = visit.lines_about(at).filter_map(|line| match visit.effective(line, name) {
        Fact::Looked(f) => Some(f),
        _ => None,
    });
    match seen.last() {
        Some(f) => {
            let words = match &f.result {
                LookResult::Found(_) | LookResult::Sound => f.result.words(),
                other => other.words(),
            };
            if f.untouched.is_some() { format!("{words}, untouched") } else { words }
        }
        None if standing.steps.contains(&Step::Look) => rows::unanswered(standing).into(),
        None => "afresh".into(),
    }
}

fn torque(visit: &Visit, settings: &Settings, at: TerminalIndex, standing: &Standing) -> String {
    let words = rows::torque(visit, settings, at, standing);
    let turned: Vec<Turned> =
        standing_torques(visit, at).into_iter().filter_map(|(_, torqued)| torqued.turned).collect();
    let said: Vec<&str> = turned.iter().map(|turned| turned.words()).collect();
    if said.is_empty() { words } else { format!("{}; {words}", said.join(", then ")) }
}
