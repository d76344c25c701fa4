//! Past visits of a board: per terminal its story over all of them, per board what is outstanding, what was remade, and
//! which tool did what. Pure: from visits that were read back, the earliest first, to what can be said of them.
//!
//! A terminal is what its name, clamp and conductors are. Where these changed between two visits another terminal begins
//! under that name, and nothing of the earlier one is said of it ([`Chapter::begins`]).

use super::chapter::chapter;
pub use super::chapter::{Chapter, ToolUse, applied_in_words, prepared_in_words};
use super::difference::{Change, difference};
use super::visit::{Ended, Visit};
use crate::domain::board::Board;
use crate::domain::names::TerminalName;
use crate::domain::record::{Attempt, Fact, LastTime, Outcome, VisitKind};
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
    /// Why it was abandoned and who was told; nothing where it was not.
    pub abandoned: Option<String>,
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
    /// What is not told here, in words: visits left open, records that cannot be read.
    pub untold: Vec<String>,
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
            abandoned: last.and_then(|line| match &line.fact {
                Fact::Abandoned(f) => Some(format!("{}; told: {}", f.why, f.told)),
                _ => None,
            }),
        });
        let changes = self.board.as_ref().map_or_else(Vec::new, |before| difference(before, board));
        let other = |(_, change): &&(TerminalName, Change)| *change != Change::Torque;
        self.others.extend(changes.iter().filter(other).map(|(name, _)| name.clone()));
        for (at, terminal, standing) in visit.terminals() {
            // what was left out of a scope has that to tell, and nothing else
            let left_out = visit.scope().is_some_and(|(_, scope)| {
                scope.dropped.iter().any(|dropped| dropped.terminal == terminal.name)
            });
            if standing.outcome == Outcome::NotInScope && !left_out {
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

    /// Terminals of the last board that were not finished when they were last worked at, with the chapters that say so.
    /// An audit mends nothing: what it finds held stays outstanding where an earlier visit left it so.
    pub fn outstanding(&self) -> impl Iterator<Item = (&TerminalName, &Chapter)> {
        let on_board = |name: &TerminalName| self.board.as_ref().is_some_and(|b| b.terminal(name).is_some());
        self.stories
            .iter()
            .filter(move |story| on_board(&story.terminal))
            .flat_map(|story| self.left_by(story).into_iter().map(|chapter| (&story.terminal, chapter)))
    }

    fn left_by<'a>(&self, story: &'a Story) -> Vec<&'a Chapter> {
        let mut left = Vec::new();
        for chapter in story.of_now().iter().rev() {
            let outside = chapter.outcome == Outcome::NotInScope;
            if chapter.left.is_some() {
                left.push(chapter);
            }
            let audit = self.visits.get(chapter.visit).is_some_and(|visit| visit.kind == VisitKind::Audit);
            if !audit && !outside {
                break;
            }
        }
        left.reverse();
        left
    }

    /// Every remake and replaced device, with the visit it happened in.
    pub fn remade(&self) -> impl Iterator<Item = (&TerminalName, &Chapter)> {
        self.stories
            .iter()
            .flat_map(|story| story.chapters.iter().map(move |chapter| (&story.terminal, chapter)))
            .filter(|(_, chapter)| !chapter.remade.is_empty())
    }

    /// Tools with the terminals each tightened or tried, and in which visit; in the order in which they first came.
    #[must_use]
    pub fn tools(&self) -> Vec<ToolDid<'_>> {
        let mut tools: Vec<ToolDid<'_>> = Vec::new();
        for (nth, _) in self.visits.iter().enumerate() {
            for story in &self.stories {
                for chapter in story.chapters.iter().filter(|chapter| chapter.visit == nth) {
                    for ToolUse { name, serial, tightened } in &chapter.tools {
                        let known = tools
                            .iter_mut()
                            .find(|t| t.serial == serial && t.visit == nth && t.tightened == *tightened);
                        if let Some(tool) = known {
                            tool.terminals.push(&story.terminal);
                        } else {
                            let (tightened, terminals) = (*tightened, vec![&story.terminal]);
                            tools.push(ToolDid { name, serial, visit: nth, tightened, terminals });
                        }
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
    /// Whether it tightened them; else they were only tried with it.
    pub tightened: bool,
    /// The terminals, in board order.
    pub terminals: Vec<&'a TerminalName>,
}

impl ToolDid<'_> {
    /// What it did.
    #[must_use]
    pub fn words(&self) -> &'static str {
        if self.tightened { "tightened" } else { "only tried" }
    }
}

impl Story {
    /// The chapters about the terminal as it is now: from the last one in which it became another.
    #[must_use]
    pub fn of_now(&self) -> &[Chapter] {
        let from = self.chapters.iter().rposition(|chapter| chapter.begins).unwrap_or(0);
        self.chapters.get(from..).unwrap_or_default()
    }
}
