//! One row a terminal of an audit, what was found where it was not good, and what the tool stood at.

use super::letters::glued;
use super::rows;
use super::sheet::{Sheet, Table};
use super::words;
use crate::domain::audit::thermal::Class;
use crate::domain::names::TerminalName;
use crate::domain::record::{AsideWhy, Fact, LookResult, Mark, Plan, Thermal};
use crate::session::audit::{Part, ResultWord, found_at, look_at, part_at};
use crate::session::{Informed, SpanEnd, Standing, Step, TerminalIndex, Visit};

/// Not part of what was to be done there.
const NO_STEP: &str = "-";

/// The table, the findings, the spans.
pub(super) fn write(visit: &Visit, sheet: &mut Sheet) {
    findings(visit, sheet);
    table(visit, sheet);
    spans(visit, sheet);
}

fn table(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("TERMINALS");
    let tugs_all = visit.audit().claimed().is_some_and(|claimed| claimed.plan == Plan::TugEverything);
    let neither = if tugs_all { "not drawn for the tool" } else { "looked at only" };
    sheet.text(format!(
        "Part: A always in, D drawn, E added after a bad one, - {neither}, F finger, link or stab (FD, FE: drawn or \
         added for the tool), S spare. - in a column means that this was not to be done there. Held: under hand and tool, \
         as far as they were put on."
    ));
    rows::none(visit, sheet);
    sheet.gap();
    let rows = rows::by_place(visit.terminals(), |at, terminal, standing| {
        let result = match part_at(visit, at) {
            Part::Spare => NO_STEP.to_owned(),
            Part::Finger if found_at(visit, at).word == ResultWord::NotDrawn => "looked at".into(),
            _ => found_at(visit, at).word.words().to_owned(),
        };
        let codes: Vec<&str> = visit
            .audit()
            .codes
            .iter()
            .filter(|(_, code)| code.terminal == terminal.name)
            .map(|(_, code)| code.code.as_str())
            .collect();
        vec![vec![
            terminal.name.0.clone(),
            part(visit, at, &terminal.name, standing),
            look(visit, &terminal.name, standing),
            tugs(visit, &terminal.name, standing),
            tool(visit, &terminal.name, standing),
            result,
            if codes.is_empty() { NO_STEP.into() } else { codes.join(", ") },
        ]]
    });
    sheet.table(Table {
        widths: vec![16, 4, 16, 9, 9, 14, 5],
        heads: vec!["terminal", "part", "look", "tug", "tool", "result", "code"],
        rows,
    });
}

fn part(visit: &Visit, at: TerminalIndex, name: &TerminalName, standing: &Standing) -> String {
    let facts = visit.audit();
    match part_at(visit, at) {
        Part::Spare => "S",
        Part::Finger if facts.draw().is_some_and(|drawn| drawn.terminals.contains(name)) => "FD",
        Part::Finger if facts.is_drawn(name) => "FE",
        Part::Finger => "F",
        Part::Conductors if facts.is_always_in(name) => "A",
        Part::Conductors if facts.draw().is_some_and(|drawn| drawn.terminals.contains(name)) => "D",
        Part::Conductors if facts.is_drawn(name) => "E",
        Part::Conductors if facts.draw().is_none() => rows::unanswered(standing),
        Part::Conductors => NO_STEP,
    }
    .into()
}

fn look(visit: &Visit, name: &TerminalName, standing: &Standing) -> String {
    match look_at(visit, name) {
        Some(look) => look.words(),
        None if standing.steps.contains(&Step::Look) => rows::unanswered(standing).into(),
        None => NO_STEP.into(),
    }
}

/// What stands at the steps of a kind, each word once; open ones say so.
fn stands(visit: &Visit, name: &TerminalName, standing: &Standing, of: impl Fn(Step) -> bool) -> String {
    let mut said: Vec<String> = Vec::new();
    for step in standing.steps.iter().filter(|step| of(**step)) {
        let line = standing.answer(*step).and_then(|answer| visit.line(answer.seq));
        let word = match line.map(|line| visit.effective(line, Some(name))) {
            Some(Fact::Tugged(f)) => f.result.words().to_owned(),
            Some(Fact::Movement(f)) => f.found.words(),
            _ => rows::unanswered(standing).into(),
        };
        if !said.contains(&word) {
            said.push(word);
        }
    }
    if said.is_empty() { NO_STEP.into() } else { said.join(", ") }
}

fn tugs(visit: &Visit, name: &TerminalName, standing: &Standing) -> String {
    stands(visit, name, standing, |step| matches!(step, Step::CheckTug(_)))
}

fn tool(visit: &Visit, name: &TerminalName, standing: &Standing) -> String {
    stands(visit, name, standing, |step| matches!(step, Step::Check { .. }))
}

/// Everything that is not plainly good, with what has to be done.
fn findings(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("FINDINGS AND WHAT HAS TO BE DONE");
    let mut any = false;
    for (at, terminal, standing) in visit.terminals() {
        let found = found_at(visit, at);
        let noted = look_at(visit, &terminal.name).is_some_and(|look| {
            matches!(look, LookResult::Found(_)) || look.marks().contains(&Mark::MarkOffset)
        });
        // what is hot or bears a code is a finding, however well it held
        let hot = hot(visit, &terminal.name);
        let coded = visit.audit().codes.iter().any(|(_, code)| code.terminal == terminal.name);
        // held when it was tried, and set aside for what the trial did to it
        let aside = standing.aside.is_some() && found.word == ResultWord::Held;
        let noted = noted || hot.is_some() || coded || aside;
        let plain = matches!(found.word, ResultWord::Held | ResultWord::NotDrawn | ResultWord::NoData);
        if (plain && !noted) || part_at(visit, at) == Part::Spare {
            continue;
        }
        any = true;
        let mut said = vec![found.word.words().to_owned()];
        if found.bad {
            said.push("BAD".into());
        }
        let lines = visit.lines_about(at).filter_map(|line| {
            let fact = visit.effective(line, Some(&terminal.name));
            let seen = match fact {
                Fact::Looked(f) => f.result != LookResult::Sound,
                Fact::Tugged(f) => f.result != crate::domain::record::Tug::Firm,
                Fact::Movement(f) => f.found != crate::domain::record::Moved::Held,
                Fact::Thermal(_) | Fact::Code(_) => true,
                Fact::Decided(_) => aside,
                _ => false,
            };
            let words = match fact {
                Fact::Thermal(Thermal::Reading(r)) => {
                    format!("{} K at rated load: {}", r.corrected_k, r.class.words())
                }
                Fact::Code(code) => format!("code {}", code.code),
                other => words::fact(other),
            };
            seen.then(|| format!("{words} ({})", words::line(line.seq)))
        });
        said.extend(lines);
        sheet.entry(&glued(terminal.name.as_str()), said.join("; "));
        to_do(standing, found.word, hot, sheet);
    }
    if !any {
        sheet.text("None.");
    }
}

/// The gravest class of the thermal readings of a terminal; nothing below the table.
fn hot(visit: &Visit, name: &TerminalName) -> Option<Class> {
    visit.audit().hottest(name).filter(|class| *class > Class::None)
}

/// What has to be done, and who was told.
fn to_do(standing: &Standing, word: ResultWord, hot: Option<Class>, sheet: &mut Sheet) {
    let mut what: Vec<String> = Vec::new();
    match &standing.aside {
        Some(AsideWhy::NoAccess) => what.push("to be made accessible and inspected".into()),
        Some(AsideWhy::StillLive) => what.push("to be isolated and inspected; it was still live".into()),
        Some(AsideWhy::Distributor) => {
            what.push("the distributor has to see to the heat at the meter or cut-out".into());
        }
        Some(why) => what.push(why.words().to_owned()),
        None => {}
    }
    what.extend(hot.map(|class| format!("the cause of the heat to be found: {}", class.words())));
    if what.is_empty() {
        if word == ResultWord::Moved {
            let nothing = "nothing by this audit: a travel under the tool is no defect by itself";
            sheet.under("To be done", nothing);
        }
        return;
    }
    let told = match &standing.told {
        Informed::Told(whom) => format!("told: {whom}"),
        _ => "nobody is recorded as told".into(),
    };
    sheet.under("To be done", format!("{}; {told}", what.join("; ")));
}

/// What the tool stood at while screws were tried.
fn spans(visit: &Visit, sheet: &mut Sheet) {
    if visit.spans().is_empty() {
        return;
    }
    sheet.heading("WHAT THE TOOL STOOD AT");
    sheet.text("Screws were tried, not tightened to a value; no limit judges them.");
    for span in visit.spans() {
        let mut names: Vec<&TerminalName> = Vec::new();
        for line in visit.lines() {
            if let Fact::Movement(f) = &line.fact
                && f.span.as_ref() == Some(&span.id)
                && !names.contains(&&f.terminal)
            {
                names.push(&f.terminal);
            }
        }
        let line = span.end_seq.map_or_else(String::new, |seq| format!(" ({})", words::line(seq)));
        let end = match (&span.ended, &span.end) {
            (SpanEnd::Agreed, Some(read)) => format!("end {}{line}, agrees", words::torque(read)),
            (SpanEnd::TooLow, Some(read)) => {
                format!("end {}{line}, TOO LOW: tried again", words::torque(read))
            }
            (SpanEnd::TooHigh, Some(read)) => format!("end {}{line}, TOO HIGH", words::torque(read)),
            (SpanEnd::Reset(reset), _) => {
                format!("reset on purpose by {}: {}{line}", reset.by, reset.why)
            }
            (SpanEnd::Unread(why), _) => format!("end not read: {why}{line}"),
            _ => "end still to be read".into(),
        };
        sheet.entry(
            &format!("Span {}", span.id),
            format!(
                "tool {}, set to {}: start {} ({}), {end}. {}",
                span.tool,
                words::torque(&span.required),
                words::torque(&span.start),
                words::line(span.start_seq),
                if names.is_empty() {
                    "Nothing was tried.".into()
                } else {
                    format!("{}.", words::terminals(names))
                }
            ),
        );
    }
}
