//! Past visits of a board: per terminal its story over all of them, per board what is outstanding, what was remade, and
//! which tool did what. Pure: from visits that were read back, the earliest first, to what can be said of them.
//!
//! A terminal is what its name, clamp and conductors are. Where these changed between two visits another terminal begins
//! under that name, and nothing of the earlier one is said of it ([`Chapter::begins`]).

use super::as_set::standing_torques;
use super::difference::{Change, difference};
use super::standing::{Informed, RemarkWhy, Standing};
use super::steps::Step;
use super::visit::{Ended, TerminalIndex, Visit};
use crate::domain::board::{Board, Terminal};
use crate::domain::conductor::Preparation;
use crate::domain::names::TerminalName;
use crate::domain::record::{
    Attempt, Fact, LastTime, Line, LookResult, Outcome, TorqueResult, Torqued, Tug, Turned, VisitKind,
};
use crate::domain::torque::Torque;
use std::collections::BTreeSet;

/// One visit, in short.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PastVisit {
    /// Its id.
    pub id: String,
    /// Kind.
    pub kind: VisitKind,
    /// Day it was opened, `2026-03-02`.
    pub day: String,
    /// Who opened it.
    pub who: String,
    /// Whether it was closed; else it was abandoned or left open.
    pub closed: bool,
    /// Its closing link; empty where it is not closed.
    pub link: String,
}

/// What one visit did at a terminal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Chapter {
    /// Place of the visit in [`Past::visits`].
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

/// A terminal's story.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Story {
    /// Terminal.
    pub terminal: TerminalName,
    /// One chapter a visit it was part of, the earliest first.
    pub chapters: Vec<Chapter>,
}

/// Past visits of a board.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Past {
    /// Visits, the earliest first.
    pub visits: Vec<PastVisit>,
    /// The board as the last of them left it; nothing where there was none.
    pub board: Option<Board>,
    /// Stories: terminals of the last board in board order, then those that are gone.
    pub stories: Vec<Story>,
    /// Names that have stood for another terminal since their last chapter.
    others: BTreeSet<TerminalName>,
}

impl Past {
    /// Puts visits of one board together, the earliest first. Visits still open, and rehearsals, are not to be handed in.
    #[must_use]
    pub fn of(visits: &[Visit]) -> Self {
        let mut past = Self::default();
        for visit in visits {
            past.take(visit);
        }
        if let Some(board) = past.board.clone() {
            past.stories.sort_by_key(|story| {
                board.terminals.iter().position(|t| t.name == story.terminal).unwrap_or(usize::MAX)
            });
        }
        past
    }

    fn take(&mut self, visit: &Visit) {
        let (Some(opened), Some(board)) = (visit.opened(), visit.board()) else { return };
        let nth = self.visits.len();
        let last = visit.lines().last();
        let closed = matches!(visit.ended(), Some(Ended::Closed(_)));
        self.visits.push(PastVisit {
            id: opened.id.clone(),
            kind: opened.visit,
            day: visit.lines().first().map_or_else(String::new, |line| line.time.day()),
            who: opened.person.name.clone(),
            closed,
            link: last.filter(|_| closed).map_or_else(String::new, |line| line.link.clone()),
        });
        let changes = self.board.as_ref().map_or_else(Vec::new, |before| difference(before, board));
        let other = |(_, change): &&(TerminalName, Change)| *change != Change::Torque;
        self.others.extend(changes.iter().filter(other).map(|(name, _)| name.clone()));
        for (at, terminal, standing) in visit.terminals() {
            if standing.outcome == Outcome::NotInScope {
                continue;
            }
            let mut chapter = chapter(visit, (at, terminal, standing), nth);
            chapter.begins = self.others.remove(&terminal.name);
            match self.stories.iter_mut().find(|story| story.terminal == terminal.name) {
                Some(story) => story.chapters.push(chapter),
                None => self.stories.push(Story { terminal: terminal.name.clone(), chapters: vec![chapter] }),
            }
        }
        self.board = Some(board.clone());
    }

    /// The story of a terminal.
    #[must_use]
    pub fn story(&self, name: &TerminalName) -> Option<&Story> {
        self.stories.iter().find(|story| story.terminal == *name)
    }

    /// What the next visit goes on from at a terminal of the last board: its attempt, and what was recorded last. Nothing
    /// where no earlier visit worked at this terminal.
    #[must_use]
    pub fn last_time(&self, name: &TerminalName) -> Option<(Attempt, LastTime)> {
        if self.others.contains(name) {
            return None;
        }
        let chapters = self.story(name)?.of_now();
        let chapter = chapters.iter().rev().find(|chapter| chapter.worked)?;
        let same_attempt = |other: &&Chapter| other.attempt == chapter.attempt;
        let torques =
            chapters.iter().filter(same_attempt).fold(0_u32, |sum, c| sum.saturating_add(c.torques));
        let prepared = chapters.iter().rev().filter(same_attempt).find(|c| !c.prepared.is_empty());
        let torque = chapters.iter().rev().filter(same_attempt).find(|c| c.applied.is_some());
        Some((
            chapter.attempt,
            LastTime {
                visit: self.visits.get(chapter.visit).map_or_else(String::new, |visit| visit.id.clone()),
                day: chapter.day.clone(),
                who: chapter.who.clone(),
                outcome: chapter.outcome,
                prepared: prepared.map_or_else(Vec::new, |c| c.prepared.clone()),
                set: torque.and_then(|c| c.set),
                applied: torque.and_then(|c| c.applied),
                tool: torque.and_then(|c| c.tool.as_ref()).map(|(tool, _)| tool.clone()),
                serial: torque.and_then(|c| c.tool.as_ref()).map(|(_, serial)| serial.clone()),
                torques,
            },
        ))
    }

    /// Terminals of the last board that were not finished when they were last part of a visit, with that chapter.
    pub fn outstanding(&self) -> impl Iterator<Item = (&TerminalName, &Chapter)> {
        let on_board = |name: &TerminalName| self.board.as_ref().is_some_and(|b| b.terminal(name).is_some());
        self.stories.iter().filter(move |story| on_board(&story.terminal)).filter_map(|story| {
            let last = story.of_now().last()?;
            let done = matches!(last.outcome, Outcome::Complete | Outcome::CompleteWithRemark);
            (!done && last.why != "spare way").then_some((&story.terminal, last))
        })
    }

    /// Every remake and replaced device, with the visit it happened in.
    pub fn remade(&self) -> impl Iterator<Item = (&TerminalName, &Chapter)> {
        self.stories
            .iter()
            .flat_map(|story| story.chapters.iter().map(move |chapter| (&story.terminal, chapter)))
            .filter(|(_, chapter)| !chapter.remade.is_empty())
    }

    /// Tools with the terminals each tightened, and in which visit; in the order in which they first came.
    #[must_use]
    pub fn tools(&self) -> Vec<ToolDid<'_>> {
        let mut tools: Vec<ToolDid<'_>> = Vec::new();
        for (nth, _) in self.visits.iter().enumerate() {
            for story in &self.stories {
                for chapter in story.chapters.iter().filter(|chapter| chapter.visit == nth) {
                    let Some((name, serial)) = &chapter.tool else { continue };
                    let known = tools.iter_mut().find(|t| t.serial == serial && t.visit == nth);
                    if let Some(tool) = known {
                        tool.terminals.push(&story.terminal);
                    } else {
                        let terminals = vec![&story.terminal];
                        tools.push(ToolDid { name, serial, visit: nth, terminals });
                    }
                }
            }
        }
        tools
    }
}

/// What a tool did in one visit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToolDid<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its serial number.
    pub serial: &'a str,
    /// The visit, by its place.
    pub visit: usize,
    /// Terminals it tightened, in board order.
    pub terminals: Vec<&'a TerminalName>,
}

impl Story {
    /// The chapters about the terminal as it is now: from the last one in which it became another.
    #[must_use]
    pub fn of_now(&self) -> &[Chapter] {
        let from = self.chapters.iter().rposition(|chapter| chapter.begins).unwrap_or(0);
        self.chapters.get(from..).unwrap_or_default()
    }
}

fn chapter(
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
