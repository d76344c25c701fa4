//! Where the board on the wall was not as its file said: why, what differed, and what was open again.

use super::letters::glued;
use super::sheet::Sheet;
use super::words;
use crate::domain::board::Board;
use crate::domain::names::{ConductorName, Seq, TerminalName};
use crate::domain::record::{BoardAmended, Fact, Line};
use crate::session::{Change, Visit, difference};

/// Lines that amend the board, in order.
pub(super) fn lines(visit: &Visit) -> impl Iterator<Item = (&Line, &BoardAmended)> {
    visit.lines().iter().filter_map(|line| match &line.fact {
        Fact::BoardAmended(amended) => Some((line, &**amended)),
        _ => None,
    })
}

/// The section; nothing where the board was never amended.
pub(super) fn write(visit: &Visit, sheet: &mut Sheet) {
    if lines(visit).next().is_none() {
        return;
    }
    sheet.heading("BOARD AMENDED");
    sheet.text(
        "The board on the wall was not as its file said. What was done before a line below was judged by the values \
         of the board as it stood then, and stands under SETTINGS with those. What equals itself in clamp, value and \
         conductors keeps its answers.",
    );
    for (line, amended) in lines(visit) {
        let Some(before) = visit.board_before(line.seq) else { continue };
        sheet.lead(format!(
            "{}, {}, by {}: {}",
            words::line(line.seq),
            words::when(line),
            words::person(visit, &line.who),
            amended.reason
        ));
        changes(visit, line.seq, before, amended, sheet);
        if sha256_before(visit, line.seq) == Some(&amended.board_sha256) {
            sheet.under("Board file", "the same; amended at the board");
        } else {
            sheet.under("Board file", "another one from here on, SHA-256 of its bytes:");
            sheet.inside(amended.board_sha256.clone());
        }
    }
}

/// The hash of the board file that held before a line.
fn sha256_before(visit: &Visit, seq: Seq) -> Option<&String> {
    visit.lines().iter().rev().filter(|line| line.seq < seq).find_map(|line| match &line.fact {
        Fact::Opened(opened) => Some(&opened.board_sha256),
        Fact::BoardAmended(amended) => Some(&amended.board_sha256),
        _ => None,
    })
}

fn changes(visit: &Visit, seq: Seq, before: &Board, amended: &BoardAmended, sheet: &mut Sheet) {
    let all = difference(before, &amended.board);
    if all.is_empty() {
        sheet.under("Terminals", "none differs");
    }
    let mut values: Vec<(String, Vec<&TerminalName>)> = Vec::new();
    for (name, _) in all.iter().filter(|(_, change)| *change == Change::Torque) {
        let said = format!("was {}, is {}", value(before, name), value(&amended.board, name));
        match values.iter_mut().find(|(known, _)| *known == said) {
            Some((_, names)) => names.push(name),
            None => values.push((said, vec![name])),
        }
    }
    for (said, names) in values {
        sheet.under(
            "Other value",
            format!("{said}: {}; open again where it was tightened", words::terminals(names)),
        );
    }
    let named = |wanted: Change| -> Vec<&TerminalName> {
        all.iter().filter(|(_, change)| *change == wanted).map(|(name, _)| name).collect()
    };
    let other = named(Change::ClampOrConductors);
    if !other.is_empty() {
        let said = "other clamp, device or conductors, begun again";
        sheet.under("Made anew", format!("{said}: {}", words::terminals(other)));
    }
    let new = named(Change::New);
    if !new.is_empty() {
        sheet.under("New", words::terminals(new));
    }
    for name in named(Change::Gone) {
        let kept = visit.lines().iter().filter(|line| line.seq < seq && is_about(&line.fact, name)).count();
        sheet.under(
            "Gone",
            format!(
                "{}; {} about it stay in the record",
                glued(name.as_str()),
                words::count(kept, "line", "lines")
            ),
        );
    }
}

/// What the maker states, and where that was read.
fn value(board: &Board, name: &TerminalName) -> String {
    let row = board.terminal(name).and_then(|terminal| board.torque_row(terminal));
    row.map_or_else(
        || "no value".into(),
        |row| format!("{} ({})", glued(&row.stated.to_string()), row.source),
    )
}

/// Whether a fact is about a terminal, by its names alone: the board of that time need not know it any more.
fn is_about(fact: &Fact, name: &TerminalName) -> bool {
    let through = |conductors: &[ConductorName]| {
        conductors.iter().any(|conductor| {
            let rest = conductor.as_str().strip_prefix(name.as_str());
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
        })
    };
    match fact {
        Fact::Prepared(f) => through(&f.conductors),
        Fact::Entered(f) => through(&f.conductors),
        Fact::Tugged(f) => through(&f.conductors),
        Fact::Torqued(f) => f.terminals.contains(name),
        Fact::Marked(f) => f.terminals.contains(name),
        Fact::Disturbed(f) => f.terminals.contains(name),
        Fact::Replaced(f) => f.terminals.contains(name),
        Fact::SetAside(f) => f.terminals.contains(name),
        Fact::Told(f) => f.terminals.contains(name),
        Fact::TakenUp(f) => f.terminals.contains(name),
        Fact::Decided(f) => f.terminal == *name,
        Fact::SettleReady(f) => f.terminal == *name,
        Fact::SettleWaived(f) => f.terminal == *name,
        Fact::Remade(f) => f.terminal == *name,
        _ => false,
    }
}
