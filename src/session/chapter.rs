//! What one visit did at one terminal, read off the visit.

use super::as_set::{TorqueWord, said_at, standing_torques};
use super::audit::{ResultWord, found_at};
use super::standing::{Informed, RemarkWhy, Standing};
use super::steps::Step;
use super::visit::{TerminalIndex, Visit};
use crate::domain::board::Terminal;
use crate::domain::conductor::Preparation;
use crate::domain::names::TerminalName;
use crate::domain::record::{
    AsideWhy, Attempt, Fact, Line, LookResult, Movement, Outcome, Thermal, TorqueResult, Torqued, Tug,
    Turned, VisitKind,
};
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
    /// What is left to be done there, in words; nothing where it is done, or a spare way.
    pub left: Option<String>,
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
    /// Whether the screw turned, each time that was asked, in order.
    pub turned: Vec<Turned>,
    /// What the tool was set to, with the digits that were read off its scale.
    pub set: Option<Torque>,
    /// What was applied: the reading, else what was aimed at.
    pub applied: Option<Torque>,
    /// Tool and serial number of the torque that stands.
    pub tool: Option<(String, String)>,
    /// What can be said of that torque.
    pub judged: Option<TorqueWord>,
    /// Every tool that was put on it, whether its torque stands or not.
    pub tools: Vec<ToolUse>,
    /// What was found under a tool that did not tighten it, in order.
    pub tried: Vec<Movement>,
    /// Why it was part of a revisit, or why it was left out.
    pub scope: Option<String>,
    /// What else an audit keeps of it: a thermal reading, a code.
    pub noted: Vec<String>,
    /// What an audit found, in its word; it completes nothing.
    pub found: Option<String>,
    /// Full torques of the attempt in this visit.
    pub torques: u32,
    /// Reasons of the attempts that began in this visit.
    pub remade: Vec<String>,
}

/// A tool that was put on a terminal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToolUse {
    /// Its name.
    pub name: String,
    /// Its serial number.
    pub serial: String,
    /// Whether it tightened; else the screw was only tried with it.
    pub tightened: bool,
}

/// A torque of an earlier visit: what was applied, and what was set where that is another; the digits of the scale are
/// kept where both are the same.
#[must_use]
pub fn applied_in_words(applied: &Torque, set: Option<&Torque>) -> String {
    match set {
        Some(set) if set == applied => set.to_string(),
        Some(set) => format!("{applied} applied, set to {set}"),
        None => applied.to_string(),
    }
}

impl Chapter {
    /// What was found and done, in one line.
    #[must_use]
    pub fn in_words(&self) -> String {
        let mut parts = Vec::new();
        parts.extend(self.scope.clone());
        if self.begins {
            parts.push("another terminal since".to_owned());
        }
        if self.attempt.0 > 1 {
            parts.push(format!("attempt {}", self.attempt.0));
        }
        if let Some(looked) = &self.looked {
            parts.push(format!("looked at: {}", looked.words()));
        }
        parts.extend(self.noted.iter().cloned());
        parts.extend(prepared_in_words(&self.prepared));
        parts.extend(self.tried.iter().map(tried_in_words));
        if let Some(applied) = &self.applied {
            let tool =
                self.tool.as_ref().map_or_else(String::new, |(_, serial)| format!(" with serial {serial}"));
            parts.push(format!("{}{tool}", applied_in_words(applied, self.set.as_ref())));
            parts.extend(self.judged.map(|word| word.words().to_owned()));
        }
        let turned: Vec<&str> = self.turned.iter().map(|turned| turned.words()).collect();
        if !turned.is_empty() {
            parts.push(format!("the screw {}", turned.join(", then ")));
        }
        parts.extend(self.tug.map(|tug| format!("tug {}", tug.words())));
        let why = if self.why.is_empty() { String::new() } else { format!(": {}", self.why) };
        parts.extend(self.found.clone());
        let audited = self.found.is_some() && self.outcome == Outcome::Complete;
        if self.outcome != Outcome::NotInScope && !audited {
            parts.push(format!("{}{why}", self.outcome.words()));
        }
        parts.push(format!("{} {}", self.who, self.day));
        parts.join(", ")
    }
}

/// How conductors were prepared; once where all are alike, nothing where it is not recorded.
#[must_use]
pub fn prepared_in_words(prepared: &[Preparation]) -> Option<String> {
    let words: Vec<&str> = prepared.iter().map(Preparation::words).collect();
    let (first, rest) = words.split_first()?;
    Some(if rest.iter().all(|other| other == first) { (*first).to_owned() } else { words.join(" and ") })
}

fn tried_in_words(movement: &Movement) -> String {
    let at = movement.at.map_or_else(String::new, |at| format!(" up to {at}"));
    let loss = movement.loss_percent().map_or_else(String::new, |loss| format!(", loss {loss} %"));
    format!("tried with serial {}{at}: {}{loss}", movement.serial, movement.found.words())
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
        left: left(visit, name, standing),
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
        turned: torques.iter().filter_map(|(_, torqued)| torqued.turned).collect(),
        set: torque.and_then(|torqued| set(visit, torqued)),
        applied: torque.and_then(applied),
        tool: tool.map(|held| (held.tool.name.clone(), held.tool.serial.clone())),
        judged: said_at(visit, at).map(|said| said.word),
        tools: tools(visit, at, name),
        tried: answers
            .iter()
            .filter_map(|line| match fact(line) {
                Fact::Movement(f) => Some(f),
                _ => None,
            })
            .collect(),
        scope: in_scope(visit, name),
        noted: noted(visit, name),
        found: (visit.kind() == VisitKind::Audit).then(|| found(visit, at)),
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

/// What is left to be done when the visit is over.
fn left(visit: &Visit, name: &TerminalName, standing: &Standing) -> Option<String> {
    match standing.outcome {
        Outcome::Complete => None,
        Outcome::CompleteWithRemark => standing
            .remarks
            .contains(&RemarkWhy::NoMakersValue)
            .then(|| "the maker's torque to be found; only tried by hand".into()),
        Outcome::SetAside if standing.aside == Some(AsideWhy::SpareWay) => None,
        Outcome::NotInScope => dropped(visit, name).map(|why| format!("left out of the scope, {why}")),
        outcome => {
            let why = why(visit, standing);
            let why = if why.is_empty() { why } else { format!(", {why}") };
            Some(format!("{}{why}", outcome.words()))
        }
    }
}

/// Why a terminal that belongs to the scope of a revisit was left out of it.
fn dropped<'a>(visit: &'a Visit, name: &TerminalName) -> Option<&'a str> {
    let (_, scope) = visit.scope()?;
    let dropped = scope.dropped.iter().find(|dropped| dropped.terminal == *name)?;
    Some(&dropped.why)
}

/// What the scale was read at before the work, in its digits; what had to be set where it did not agree.
fn set(visit: &Visit, torqued: &Torqued) -> Option<Torque> {
    let span = visit.span(torqued.span.as_ref()?)?;
    if span.start_agrees { Some(span.start) } else { torqued.required }
}

fn tools(visit: &Visit, at: TerminalIndex, name: &TerminalName) -> Vec<ToolUse> {
    let mut tools: Vec<ToolUse> = Vec::new();
    for line in visit.lines_about(at) {
        let (id, tightened) = match visit.effective(line, Some(name)) {
            // a screw that spun was not tightened with it
            Fact::Torqued(f) if f.operations() > 0 => (f.tool.as_ref(), true),
            Fact::Movement(f) => (Some(&f.tool), false),
            _ => continue,
        };
        let Some(held) = id.and_then(|id| visit.tool(id)) else { continue };
        match tools.iter_mut().find(|known| known.serial == held.tool.serial) {
            Some(known) => known.tightened |= tightened,
            None => tools.push(ToolUse {
                name: held.tool.name.clone(),
                serial: held.tool.serial.clone(),
                tightened,
            }),
        }
    }
    tools
}

fn in_scope(visit: &Visit, name: &TerminalName) -> Option<String> {
    if let Some(why) = dropped(visit, name) {
        return Some(format!("left out of the scope, {why}"));
    }
    let (_, scope) = visit.scope()?;
    let entry = scope.terminals.iter().find(|entry| entry.terminal == *name)?;
    Some(match entry.how {
        Some(how) => format!("{}: {}", entry.why.words(), how.words()),
        None => entry.why.words().to_owned(),
    })
}

/// What was only looked at is not said to have held.
fn found(visit: &Visit, at: TerminalIndex) -> String {
    match found_at(visit, at).word {
        ResultWord::NotDrawn => "looked at only".into(),
        word => format!("found {}", word.words()),
    }
}

fn noted(visit: &Visit, name: &TerminalName) -> Vec<String> {
    let facts = visit.audit();
    let read = facts.thermal.iter().filter_map(|(_, thermal)| match thermal {
        Thermal::Reading(r) if r.terminal == *name => {
            Some(format!("{} K hotter at rated load, {}", r.corrected_k, r.class.words()))
        }
        _ => None,
    });
    let codes = facts.codes.iter().filter(|(_, code)| code.terminal == *name);
    read.chain(codes.map(|(_, code)| format!("code {}", code.code))).collect()
}

fn applied(torqued: &Torqued) -> Option<Torque> {
    if let TorqueResult::Reading { value, unit, .. } = &torqued.result
        && torqued.applied.as_ref().is_none_or(|a| Torque::new(a.value, a.unit) == Torque::new(*value, *unit))
    {
        return Some(Torque::new(*value, *unit));
    }
    if let Some(applied) = &torqued.applied {
        // what is shown of an earlier visit is read by a person: a thousandth of the unit is enough
        return Some(Torque::new(applied.value.round_dp(3).normalize(), applied.unit));
    }
    match &torqued.result {
        TorqueResult::Clicked => torqued.aim,
        TorqueResult::Reading { .. } | TorqueResult::NotClicked { .. } | TorqueResult::ByHand => None,
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
