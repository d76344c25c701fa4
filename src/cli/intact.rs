//! `intact RECORD…`: links, then the outcomes worked out again.

use super::Talk;
use super::failure::Failure;
use crate::domain::record::{Closed, FORMAT, Fact, Line};
use crate::domain::verdict::RULES;
use crate::journal::RealStorage;
use crate::journal::intact::{Found, Report, Twins, intact as check};
use crate::session::{closing, invariant, replay};
use std::path::PathBuf;

pub(super) fn intact(talk: &mut Talk<'_>, paths: &[PathBuf]) -> Result<(), Failure> {
    let found = check(&RealStorage, paths);
    let mut mend = Vec::new();
    let mut wrong = Vec::new();
    for report in &found.reports {
        match &report.found {
            Found::Bad(error) => match Failure::from(error.clone()) {
                Failure::Mend(words) => mend.push(words),
                failure @ (Failure::Wrong(_) | Failure::Output(_)) => wrong.extend(failure.message()),
            },
            Found::Whole(_) | Found::OtherFormatWhole { .. } => {
                writeln!(talk.out, "{report}")?;
                match outcomes(report) {
                    Ok(words) => writeln!(talk.out, "    {words}")?,
                    Err(words) => wrong.push(format!("error: {} {words}", report.path.display())),
                }
            }
        }
    }
    for twins in &found.twins {
        if part_ways(twins) {
            wrong.push(format!("error: {twins}"));
        } else {
            writeln!(talk.out, "{twins}")?;
        }
    }
    let all: Vec<String> = wrong.iter().chain(&mend).cloned().collect();
    match (wrong.is_empty(), mend.is_empty()) {
        (true, true) => Ok(()),
        (true, false) => Err(Failure::Mend(all.join("\n\n"))),
        (false, _) => Err(Failure::Wrong(all.join("\n\n"))),
    }
}

/// Whether neither of two files is the beginning of the other.
fn part_ways(twins: &Twins) -> bool {
    twins.common < twins.one_lines.min(twins.other_lines) || twins.common == 0
}

/// Compares the closing line with what the facts before it give, and the facts with what must always hold.
fn outcomes(report: &Report) -> Result<String, String> {
    let record = match &report.found {
        Found::Whole(record) => record,
        Found::OtherFormatWhole { format, .. } if *format < u64::from(FORMAT) => {
            return Ok("written before the format was settled: its outcomes are not worked out".into());
        }
        Found::OtherFormatWhole { .. } | Found::Bad(_) => {
            return Ok("written by a newer program: its outcomes are not worked out".into());
        }
    };
    let Some((last, before)) = record.lines.split_last() else { return Ok("no line".into()) };
    let rules = record.opened().map_or(RULES, |opened| opened.rules);
    if rules != RULES {
        return Ok(format!(
            "judged by rules {rules}; this program has rules {RULES} and does not judge anew"
        ));
    }
    let mut claimed = "no outcomes are claimed".to_owned();
    if let Fact::Closed(closed) = &last.fact {
        if let Some(words) = differs(closed, before) {
            return Err(format!("line {}: {words}", last.seq.0));
        }
        claimed = format!("{} outcomes worked out again from the facts: the same", closed.outcomes.len());
    }
    match invariant::check(&replay(&record.lines)) {
        Ok(()) => Ok(claimed),
        Err(broken) => Err(format!("holds what no walk records, though every link fits: {}", broken.what)),
    }
}

fn differs(claimed: &Closed, facts: &[Line]) -> Option<String> {
    let given = closing(&replay(facts));
    for (said, is) in claimed.outcomes.iter().zip(&given.outcomes) {
        if said.terminal != is.terminal {
            return Some(format!("it names {} where {} is due", said.terminal, is.terminal));
        }
        if said != is {
            return Some(format!(
                "it says {} is {}, the facts give {}",
                said.terminal,
                in_words(said.outcome.words(), said.why.as_deref()),
                in_words(is.outcome.words(), is.why.as_deref())
            ));
        }
    }
    if *claimed == given {
        return None;
    }
    Some("its counts are not those that the facts give".into())
}

fn in_words(outcome: &str, why: Option<&str>) -> String {
    why.map_or_else(|| outcome.to_owned(), |why| format!("{outcome} ({why})"))
}
