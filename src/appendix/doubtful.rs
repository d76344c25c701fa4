//! Torques that an inspector must not miss: done with a tool whose word is in doubt, or kept although they fail.
//!
//! What is said of them one by one stands under SETTINGS and REMARKS. Deliberately absent: conditional passes, which are
//! within their limits, and scales, which the numbers count as *not as set*.

use super::sheet::Sheet;
use super::words;
use crate::domain::names::{TerminalName, ToolId};
use crate::domain::record::Outcome;
use crate::session::{TorqueDoubt, TorqueWord, Visit, said_of, standing_torques};

/// What makes them doubtful.
#[derive(Clone, PartialEq, Eq)]
enum Why {
    Tool(ToolId, TorqueDoubt),
    Kept(TorqueWord),
}

/// A line for each reason; nothing where there is none.
pub(super) fn write(visit: &Visit, sheet: &mut Sheet) {
    let mut found: Vec<(Why, Vec<TerminalName>)> = Vec::new();
    for (at, terminal, standing) in visit.terminals() {
        if standing.aside.is_some() {
            continue;
        }
        for (seq, torqued) in standing_torques(visit, at) {
            let said = said_of(visit, seq, torqued);
            let tool = torqued.tool.iter();
            let doubts = said.doubts.iter().filter(|doubt| of_the_tool(**doubt));
            let mut whys: Vec<Why> =
                tool.flat_map(|tool| doubts.clone().map(|doubt| Why::Tool(tool.clone(), *doubt))).collect();
            let fails = matches!(said.word, TorqueWord::Fail | TorqueWord::ConditionalFail);
            if fails && standing.outcome == Outcome::CompleteWithRemark {
                whys.push(Why::Kept(said.word));
            }
            for why in whys {
                note(&mut found, why, &terminal.name);
            }
        }
    }
    if found.is_empty() {
        return;
    }
    found.sort_by_key(|(why, _)| matches!(why, Why::Kept(_)));
    sheet.gap();
    sheet.lead("TORQUES IN DOUBT:");
    for (why, names) in found {
        let names = words::compact(visit, &names);
        sheet.inside(match why {
            Why::Tool(tool, doubt) => format!("Done with tool {tool}, {}: {names}.", doubt.words()),
            Why::Kept(word) => format!("Kept with the verdict {}: {names}.", word.words()),
        });
    }
}

fn of_the_tool(doubt: TorqueDoubt) -> bool {
    matches!(
        doubt,
        TorqueDoubt::CalibrationNotStated
            | TorqueDoubt::CalibrationLapsed
            | TorqueDoubt::CalibrationUsedUp
            | TorqueDoubt::ToolDoubted
    )
}

fn note(found: &mut Vec<(Why, Vec<TerminalName>)>, why: Why, name: &TerminalName) {
    match found.iter_mut().find(|(known, _)| *known == why) {
        Some((_, names)) if names.contains(name) => {}
        Some((_, names)) => names.push(name.clone()),
        None => found.push((why, vec![name.clone()])),
    }
}
