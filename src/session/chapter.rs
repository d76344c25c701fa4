//! What one visit did at one terminal, read off the visit.

use super::as_set::standing_torques;
use super::standing::{Informed, RemarkWhy, Standing};
use super::steps::Step;
use super::visit::{TerminalIndex, Visit};
use crate::domain::board::Terminal;
use crate::domain::conductor::Preparation;
use crate::domain::names::TerminalName;
use crate::domain::record::{Attempt, Fact, Line, LookResult, Outcome, TorqueResult, Torqued, Tug, Turned};
use crate::domain::torque::Torque;

/// What one visit did at a terminal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Chapter {
    /// Place of the visit in [`super::past::Past::visits`].
    pub visit: usize,
    /// Whether another terminal begins here under the name: new, or of another clamp or other conductors.
    pub begins: bool,
    /// Attempt it stood in at the end.
    pub attempt: Attempt,
    /// How it ended.
    pub outcome: Outcome,
    /// Why it is set aside, or the remarks; empty where there is nothing to say.
    pub why: String,
    /// Who was told of it.
    pub told: Option<String>,
    /// Whether a hand was laid on it: something was prepared, entered, tightened, tugged or marked.
    pub worked: bool,
    /// Day of the last answer.
    pub day: String,
    /// Who was on the tool then.
    pub who: String,
    /// Preparation of its conductors, in their order.
    pub prepared: Vec<Preparation>,
    /// What was seen at a coming back.
    pub looked: Option<LookResult>,
    /// The tug that stands.
    pub tug: Option<Tug>,
    /// Whether the screw turned, where that was asked.
    pub turned: Option<Turned>,
    /// What the tool was set to.
    pub set: Option<Torque>,
    /// What was applied: the reading, else what was aimed at.
    pub applied: Option<Torque>,
    /// Tool and serial number.
    pub tool: Option<(String, String)>,
    /// Full torques of the attempt in this visit.
    pub torques: u32,
    /// Reasons of the attempts that began in this visit.
    pub remade: Vec<String>,
}

impl Chapter {
    /// What was found and done, in one line.
    #[must_use]
    pub fn in_words(&self) -> String {
        let mut parts = Vec::new();
        if self.begins {
            parts.push("another terminal since".to_owned());
        }
        if self.attempt.0 > 1 {
            parts.push(format!("attempt {}", self.attempt.0));
        }
        if let Some(looked) = &self.looked {
            parts.push(format!("looked at: {}", looked.words()));
        }
        let prepared: Vec<&str> = self.prepared.iter().map(Preparation::words).collect();
        if !prepared.is_empty() {
            parts.push(prepared.join(" and "));
        }
        if let Some(applied) = &self.applied {
            let tool =
                self.tool.as_ref().map_or_else(String::new, |(_, serial)| format!(" with serial {serial}"));
            parts.push(format!("{applied}{tool}"));
        }
        parts.extend(self.turned.map(|turned| turned.words().to_owned()));
        parts.extend(self.tug.map(|tug| format!("tug {}", tug.words())));
        let why = if self.why.is_empty() { String::new() } else { format!(": {}", self.why) };
        parts.push(format!("{}{why}", self.outcome.words()));
        parts.push(format!("{} {}", self.who, self.day));
        parts.join(", ")
    }
}

pub(super) fn chapter(
    visit: &Visit,
    (at, terminal, standing): (TerminalIndex, &Terminal, &Standing),
    nth: usize,
) -> Chapter {
    let name = &terminal.name;
    let fact = |line: &Line| visit.effective(line, Some(name)).clone();
    let answers: Vec<&Line> = visit.lines_about(at).filter(|line| is_answer(&line.fact)).collect();
    let worked = answers.iter().any(|line| !matches!(line.fact, Fact::Looked(_)));
    let last =
        answers.last().copied().or_else(|| visit.lines_about(at).last()).or_else(|| visit.lines().last());
    let answer = |step: Step| standing.answer(step).and_then(|a| visit.line(a.seq)).map(fact);
    let torques = standing_torques(visit, at);
    let torque = torques.last().map(|(_, torqued)| *torqued);
    let tool = torque.and_then(|t| visit.tool(t.tool.as_ref()?));
    let tug_step = |nth| [Step::Tug(nth), Step::CheckTug(nth)];
    let tug = (0..terminal.conductors.len()).flat_map(tug_step).rev().find_map(answer);
    Chapter {
        visit: nth,
        begins: false,
        attempt: standing.attempt,
        outcome: standing.outcome,
        why: why(visit, standing),
        told: match &standing.told {
            Informed::Told(whom) => Some(whom.clone()),
            Informed::NotYet | Informed::NobodyNeeded => None,
        },
        worked,
        day: last.map_or_else(String::new, |line| line.time.day()),
        who: last.and_then(|line| visit.person(&line.who)).map_or_else(String::new, |p| p.name.clone()),
        prepared: (0..terminal.conductors.len())
            .filter_map(|nth| match answer(Step::Prepare(nth)) {
                Some(Fact::Prepared(f)) => Some(f.how),
                _ => None,
            })
            .collect(),
        looked: answers.iter().rev().find_map(|line| match fact(line) {
            Fact::Looked(f) => Some(f.result),
            _ => None,
        }),
        tug: tug.and_then(|fact| match fact {
            Fact::Tugged(f) => Some(f.result),
            _ => None,
        }),
        turned: turned(&torques),
        set: torque.filter(|t| t.span.is_some()).and_then(|t| t.required),
        applied: torque.and_then(applied),
        tool: tool.map(|held| (held.tool.name.clone(), held.tool.serial.clone())),
        torques: full_torques(visit, at, name, standing.attempt),
        remade: remade(visit, at),
    }
}

fn is_answer(fact: &Fact) -> bool {
    matches!(
        fact,
        Fact::Prepared(_)
            | Fact::Entered(_)
            | Fact::Torqued(_)
            | Fact::Tugged(_)
            | Fact::Marked(_)
            | Fact::Looked(_)
            | Fact::Movement(_)
    )
}

fn why(visit: &Visit, standing: &Standing) -> String {
    if let Some(why) = &standing.aside {
        return why.words().to_owned();
    }
    let words = standing.remarks.iter().map(|remark| match remark {
        RemarkWhy::Written(seq) => match visit.line(*seq).map(|line| &line.fact) {
            Some(Fact::Remark(remark)) => format!("remark: {}", remark.text),
            _ => remark.words().to_owned(),
        },
        other => other.words().to_owned(),
    });
    words.collect::<Vec<_>>().join("; ")
}

/// Moved as soon as it moved once.
fn turned(torques: &[(crate::domain::names::Seq, &Torqued)]) -> Option<Turned> {
    let said: Vec<Turned> = torques.iter().filter_map(|(_, torqued)| torqued.turned).collect();
    said.iter().find(|turned| **turned == Turned::Moved).or_else(|| said.last()).copied()
}

fn applied(torqued: &Torqued) -> Option<Torque> {
    if let Some(applied) = &torqued.applied {
        // what is shown of an earlier visit is read by a person: a thousandth of the unit is enough
        return Some(Torque::new(applied.value.round_dp(3).normalize(), applied.unit));
    }
    match &torqued.result {
        TorqueResult::Reading { value, unit, .. } => Some(Torque::new(*value, *unit)),
        TorqueResult::Clicked => torqued.aim,
        TorqueResult::NotClicked { .. } | TorqueResult::ByHand => None,
    }
}

/// Full torques on the first screw in an attempt, struck out or not: the screw has had them all.
fn full_torques(visit: &Visit, at: TerminalIndex, name: &TerminalName, attempt: Attempt) -> u32 {
    let full = visit.lines_about(at).filter(|line| match visit.effective(line, Some(name)) {
        Fact::Torqued(f) => {
            f.attempt == attempt
                && f.screw.unwrap_or(1) == 1
                && f.pass.unwrap_or(1) == 1
                && matches!(f.result, TorqueResult::Clicked | TorqueResult::Reading { .. })
        }
        _ => false,
    });
    u32::try_from(full.count()).unwrap_or(u32::MAX)
}

fn remade(visit: &Visit, at: TerminalIndex) -> Vec<String> {
    visit
        .lines_about(at)
        .filter_map(|line| match &line.fact {
            Fact::Remade(f) => Some(format!("attempt {}: {}", f.attempt.0, f.why)),
            Fact::Replaced(f) => Some(format!("device {} replaced: {}", f.device, f.why)),
            Fact::Scope(f) => f
                .terminals
                .iter()
                .find(|entry| {
                    visit.find(&entry.terminal) == Some(at) && entry.afresh() && entry.attempt.0 > 1
                })
                .map(|entry| format!("attempt {}: {}", entry.attempt.0, in_scope_words(entry))),
            _ => None,
        })
        .collect()
}

fn in_scope_words(entry: &crate::domain::record::InScope) -> &'static str {
    entry.how.map_or_else(|| entry.why.words(), crate::domain::record::DisturbedHow::words)
}
