//! One row a terminal, in our own order of steps.

use super::letters::glued;
use super::settings::Settings;
use super::sheet::{Row, Sheet, Table};
use super::words;
use crate::domain::board::Terminal;
use crate::domain::conductor::{AluminiumCare, Class, Conductor, Metal, Preparation};
use crate::domain::names::TerminalName;
use crate::domain::record::{Attempt, Fact, TorqueResult, VisitKind};
use crate::session::{Standing, Step, TerminalIndex, TorqueWord, Visit, said_at, standing_torques};

/// Nothing of that kind is done at this clamp.
const NO_STEP: &str = "-";
/// Not answered, or no longer standing.
const OPEN: &str = "open";
/// Not done, and not to be done any more: the terminal was set aside before it.
const NONE: &str = "none";

/// The word for a step that has no answer: still to be done, or set aside before it was.
pub(super) fn unanswered(standing: &Standing) -> &'static str {
    if standing.aside.is_some() { NONE } else { OPEN }
}

/// The table with its legend.
pub(super) fn write(visit: &Visit, settings: &Settings, sheet: &mut Sheet) {
    if visit.kind() == VisitKind::Revisit {
        return super::revisit_rows::write(visit, settings, sheet);
    }
    sheet.heading("TERMINALS");
    legend(visit, sheet);
    sheet.gap();
    let rows =
        by_place(visit.terminals(), |at, terminal, standing| row(visit, settings, at, terminal, standing));
    sheet.table(Table {
        widths: vec![15, 12, 11, 6, 11, 7, 7, 3],
        heads: vec!["terminal", "mm2, make-up", "prepared", "entry", "torque", "tug", "mark", "out"],
        rows,
    });
    own_words(visit, sheet);
    circuits(visit, sheet);
}

fn legend(visit: &Visit, sheet: &mut Sheet) {
    sheet.text(
        "Outcome: C complete, R complete with remark, A set aside, S settling; still open: . bare, M made off, \
         T every step answered, but the scale is still to be read.",
    );
    sheet.text(
        "[1] is the setting the torque was done at. - means that this clamp has no such step. x3 means three \
         tightenings, of whose words the worst is printed. Entry right: right circuit, right side of the clamp, every \
         strand in, no insulation under it.",
    );
    none(visit, sheet);
    if visit.terminals().any(|(_, _, standing)| standing.attempt > Attempt::FIRST) {
        sheet.text("R/2 is the second attempt, and so on; earlier attempts stand under DONE AGAIN.");
    }
}

/// A row a terminal, each place named above its own.
pub(super) fn by_place<'a>(
    terminals: impl Iterator<Item = (TerminalIndex, &'a Terminal, &'a Standing)>,
    cells: impl Fn(TerminalIndex, &'a Terminal, &'a Standing) -> Vec<Vec<String>>,
) -> Vec<Row> {
    let (mut rows, mut place) = (Vec::new(), None);
    for (at, terminal, standing) in terminals {
        if place != Some(&terminal.place) {
            place = Some(&terminal.place);
            rows.push(Row::Across(terminal.place.0.clone()));
        }
        rows.push(Row::Cells(cells(at, terminal, standing)));
    }
    rows
}

/// What *none* means, where a terminal that was set aside has a step without an answer.
pub(super) fn none(visit: &Visit, sheet: &mut Sheet) {
    let left = |standing: &Standing| standing.aside.is_some() && standing.answers.iter().any(Option::is_none);
    if visit.terminals().any(|(_, _, standing)| left(standing)) {
        sheet.text("none: it was set aside before that was done.");
    }
}

fn row(
    visit: &Visit,
    settings: &Settings,
    at: TerminalIndex,
    terminal: &Terminal,
    standing: &Standing,
) -> Vec<Vec<String>> {
    let lots = terminal.conductors.len().max(1);
    let outcome = match standing.attempt {
        Attempt::FIRST => standing.sign().letter().to_string(),
        Attempt(n) => format!("{}/{n}", standing.sign().letter()),
    };
    (0..lots)
        .map(|nth| {
            let first = nth == 0;
            let whole = |text: String| if first { text } else { String::new() };
            vec![
                name(terminal, nth),
                of_conductor(terminal, nth),
                prepared(visit, terminal, standing, nth),
                entry(visit, terminal, standing, nth),
                whole(torque(visit, settings, at, standing)),
                tug(visit, terminal, standing, nth),
                whole(mark(visit, terminal, standing)),
                whole(outcome.clone()),
            ]
        })
        .collect()
}

/// The name of the terminal, and the number of a further conductor in it.
pub(super) fn name(terminal: &Terminal, nth: usize) -> String {
    if nth == 0 { terminal.name.0.clone() } else { glued(&format!("  /{}", nth.saturating_add(1))) }
}

/// Cross-section and make-up of a conductor.
pub(super) fn of_conductor(terminal: &Terminal, nth: usize) -> String {
    terminal.conductors.get(nth).map_or_else(|| empty(terminal), make_up)
}

fn empty(terminal: &Terminal) -> String {
    if terminal.spare { "spare" } else { NO_STEP }.to_owned()
}

/// `25, 7 wires`; the unit stands in the head.
fn make_up(conductor: &Conductor) -> String {
    let csa = if conductor.size_seen() { conductor.csa_mm2.to_string() } else { "size not seen".into() };
    if !conductor.size_seen() && conductor.wires.is_none() {
        // its class was not seen either, whatever the board file has to name
        return csa;
    }
    let make_up = match (conductor.wires, conductor.class) {
        (Some(wires), _) => glued(&format!("{csa}, {wires} wires")),
        (None, Class::Solid) => glued(&format!("{csa}, solid")),
        (None, Class::Stranded) => glued(&format!("{csa}, stranded")),
        (None, Class::Flexible | Class::HighlyFlexible) => glued(&format!("{csa}, fine")),
    };
    if conductor.metal == Metal::Aluminium { format!("{make_up}, aluminium") } else { make_up }
}

/// The fact that stands at a step; the words for an open and for a missing step else.
fn standing_fact<'a>(
    visit: &'a Visit,
    name: &TerminalName,
    standing: &Standing,
    step: Step,
) -> Result<&'a Fact, &'static str> {
    if !standing.steps.contains(&step) {
        return Err(NO_STEP);
    }
    let line = standing.answer(step).and_then(|answer| visit.line(answer.seq));
    Ok(visit.effective(line.ok_or(unanswered(standing))?, Some(name)))
}

fn prepared(visit: &Visit, terminal: &Terminal, standing: &Standing, nth: usize) -> String {
    match standing_fact(visit, &terminal.name, standing, Step::Prepare(nth)) {
        Ok(Fact::Prepared(f)) => {
            let how = match &f.how {
                Preparation::Other(_) => "own words",
                named => named.words(),
            };
            let mut said = how.to_owned();
            for care in &f.aluminium {
                said.push_str(match care {
                    AluminiumCare::Brushed => ", brushed",
                    AluminiumCare::Compound => ", compound",
                });
            }
            said
        }
        Ok(_) => OPEN.into(),
        Err(word) => word.into(),
    }
}

fn entry(visit: &Visit, terminal: &Terminal, standing: &Standing, nth: usize) -> String {
    match standing_fact(visit, &terminal.name, standing, Step::Enter(nth)) {
        Ok(Fact::Entered(f)) => match (f.right, terminal.conductors.is_empty()) {
            (true, false) => "right",
            (true, true) => "seated",
            (false, _) => "fault",
        }
        .into(),
        Ok(_) => OPEN.into(),
        Err(word) => word.into(),
    }
}

pub(super) fn torque(visit: &Visit, settings: &Settings, at: TerminalIndex, standing: &Standing) -> String {
    let steps = standing.steps.iter().filter(|step| step.is_torque()).count();
    if steps == 0 {
        return NO_STEP.into();
    }
    let mut done = standing_torques(visit, at);
    done.retain(|(_, torqued)| torqued.round == standing.round);
    let Some(said) = said_at(visit, at) else { return unanswered(standing).into() };
    let results: Vec<&TorqueResult> = done.iter().map(|(_, torqued)| &torqued.result).collect();
    let word = match results.as_slice() {
        [TorqueResult::Reading { text, unit, .. }] => format!("{text} {unit}, {}", said.word.words()),
        [TorqueResult::NotClicked { why }] => format!("did not click: {}", why.words()),
        [TorqueResult::ByHand] => "by hand".into(),
        _ if said.word == TorqueWord::ScaleToBeRead => "scale open".into(),
        _ => said.word.words().into(),
    };
    let times = if steps > 1 { format!(" x{}", done.len()) } else { String::new() };
    let open = match done.len() < steps {
        true if standing.aside.is_some() => format!(" of {steps}"),
        true => ", open".to_owned(),
        false => String::new(),
    };
    format!("{word}{times}{open}{}", settings.numbers(at))
}

pub(super) fn tug(visit: &Visit, terminal: &Terminal, standing: &Standing, nth: usize) -> String {
    let check = Step::CheckTug(nth);
    let step = if standing.steps.contains(&check) { check } else { Step::Tug(nth) };
    match standing_fact(visit, &terminal.name, standing, step) {
        Ok(Fact::Tugged(f)) => f.result.words().into(),
        Ok(_) => OPEN.into(),
        Err(word) => word.into(),
    }
}

pub(super) fn mark(visit: &Visit, terminal: &Terminal, standing: &Standing) -> String {
    match standing_fact(visit, &terminal.name, standing, Step::Mark) {
        Ok(Fact::Marked(f)) => f.result.words().into(),
        Ok(_) => OPEN.into(),
        Err(word) => word.into(),
    }
}

/// What the terminals serve, where the board file says so.
pub(super) fn circuits(visit: &Visit, sheet: &mut Sheet) {
    let mut circuits: Vec<(&str, Vec<&TerminalName>)> = Vec::new();
    for (_, terminal, _) in visit.terminals() {
        let Some(circuit) = terminal.circuit.as_deref() else { continue };
        match circuits.iter_mut().find(|(known, _)| *known == circuit) {
            Some((_, names)) => names.push(&terminal.name),
            None => circuits.push((circuit, vec![&terminal.name])),
        }
    }
    if circuits.is_empty() {
        return;
    }
    sheet.heading("CIRCUITS");
    for (circuit, names) in circuits {
        sheet.entry(&glued(circuit), words::terminals(names));
    }
}

/// Preparations that no word of ours names.
fn own_words(visit: &Visit, sheet: &mut Sheet) {
    for (_, terminal, standing) in visit.terminals() {
        for nth in 0..terminal.conductors.len() {
            if let Ok(Fact::Prepared(f)) = standing_fact(visit, &terminal.name, standing, Step::Prepare(nth))
                && let Preparation::Other(own) = &f.how
            {
                let names = terminal.conductor_names();
                let name = names.get(nth).map_or("", |name| name.as_str());
                sheet.text(format!("Prepared in own words, {}: {own}", glued(name)));
            }
        }
    }
}
