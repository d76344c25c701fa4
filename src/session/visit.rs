//! The visit: the fold of the confirmed lines.

use super::able::AbleTool;
use super::audit::AuditFacts;
use super::index::NameIndex;
use super::span::Span;
use super::standing::Standing;
use crate::domain::board::{Board, Terminal};
use crate::domain::clamp::Clamp;
use crate::domain::exact::Exact;
use crate::domain::names::{ConductorName, PersonId, Seq, SpanId, TerminalName, ToolId};
use crate::domain::record::{
    Fact, Gates, LastLook, Line, Opened, Order, Person, RemarkOn, Scope, SessionCause, SourceState,
};
use crate::domain::tool::Tool;
use std::collections::BTreeMap;

/// A terminal's place in the board; valid for one board only.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TerminalIndex(pub usize);

/// A tool stated in this visit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToolInHand {
    /// What was stated (slips put right).
    pub tool: Tool,
    /// The line that doubts it, until it is released.
    pub doubted: Option<Seq>,
    /// Whether what was stated was put right as a slip.
    pub put_right: bool,
}

/// How the visit ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// Closed; its line.
    Closed(Seq),
    /// Abandoned; its line.
    Abandoned(Seq),
}

/// Where a session began.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SessionMark {
    /// Its line.
    pub seq: Seq,
    /// Why it began.
    pub cause: SessionCause,
}

/// A remark to be dealt with before power on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PowerOnRemark {
    /// Its line.
    pub seq: Seq,
    /// What it is on.
    pub on: RemarkOn,
    /// Words.
    pub text: String,
    /// Line that cleared it or handed it over.
    pub dealt_with: Option<Seq>,
    /// Who took it over.
    pub handed_to: Option<String>,
}

/// The fold of the confirmed lines. Changed by [`super::apply()`] and by nothing else.
#[derive(Clone, Debug, Default)]
pub struct Visit {
    pub(super) opened: Option<Box<Opened>>,
    pub(super) lines: Vec<Line>,
    pub(super) corrections: BTreeMap<(Seq, Option<TerminalName>), Fact>,
    pub(super) names: NameIndex,
    pub(super) lines_of: Vec<Vec<usize>>,
    pub(super) standings: Vec<Standing>,
    pub(super) aims_nm: Vec<Option<Exact>>,
    pub(super) persons: Vec<Person>,
    pub(super) tools: Vec<ToolInHand>,
    pub(super) able: Vec<AbleTool>,
    pub(super) operations: Vec<(String, u64)>,
    pub(super) spans: Vec<Span>,
    pub(super) sessions: Vec<SessionMark>,
    pub(super) gates: Vec<(Seq, Gates)>,
    pub(super) route: Option<Order>,
    pub(super) scope: Option<(Seq, Scope)>,
    pub(super) audit: AuditFacts,
    pub(super) power_on: Vec<PowerOnRemark>,
    pub(super) last_look: Option<(Seq, LastLook)>,
    pub(super) signed: Vec<Seq>,
    pub(super) ended: Option<Ended>,
}

impl Visit {
    /// Before its first line.
    #[must_use]
    pub fn empty() -> Self {
        Self::default()
    }

    /// What the first line says; nothing before it.
    #[must_use]
    pub fn opened(&self) -> Option<&Opened> {
        self.opened.as_deref()
    }

    /// Whether it is practice only.
    #[must_use]
    pub fn is_rehearsal(&self) -> bool {
        self.opened().is_some_and(|opened| opened.rehearsal)
    }

    /// The board as it stands now (amendments made).
    #[must_use]
    pub fn board(&self) -> Option<&Board> {
        self.opened().map(|opened| &opened.board)
    }

    /// SHA-256 of the board file that the board as it stands now was read from; nothing before the opening.
    #[must_use]
    pub fn board_sha256(&self) -> Option<&str> {
        self.lines.iter().rev().find_map(|line| match &line.fact {
            Fact::Opened(opened) => Some(opened.board_sha256.as_str()),
            Fact::BoardAmended(amended) => Some(amended.board_sha256.as_str()),
            _ => None,
        })
    }

    /// The board as it stood before a line.
    #[must_use]
    pub fn board_before(&self, seq: Seq) -> Option<&Board> {
        self.lines.iter().rev().filter(|line| line.seq < seq).find_map(|line| match &line.fact {
            Fact::Opened(opened) => Some(&opened.board),
            Fact::BoardAmended(amended) => Some(&amended.board),
            _ => None,
        })
    }

    /// Every confirmed line, as written.
    #[must_use]
    pub fn lines(&self) -> &[Line] {
        &self.lines
    }

    /// A line by its number.
    #[must_use]
    pub fn line(&self, seq: Seq) -> Option<&Line> {
        let at = usize::try_from(seq.0).ok()?.checked_sub(1)?;
        self.lines.get(at)
    }

    /// Number the next line will have.
    #[must_use]
    pub fn next_seq(&self) -> Seq {
        self.lines.last().map_or(Seq(1), |line| line.seq.next())
    }

    /// What a line says once slips are put right, for a terminal where a row was corrected for one only.
    #[must_use]
    pub fn effective<'a>(&'a self, line: &'a Line, terminal: Option<&TerminalName>) -> &'a Fact {
        terminal
            .and_then(|name| self.corrections.get(&(line.seq, Some(name.clone()))))
            .or_else(|| self.corrections.get(&(line.seq, None)))
            .unwrap_or(&line.fact)
    }

    /// Whether a line was corrected later.
    #[must_use]
    pub fn is_corrected(&self, seq: Seq) -> bool {
        self.corrections.keys().any(|(corrected, _)| *corrected == seq)
    }

    /// Every terminal with its place in the board and where it stands.
    pub fn terminals(&self) -> impl Iterator<Item = (TerminalIndex, &Terminal, &Standing)> {
        let terminals = self.board().map_or(&[][..], |board| &board.terminals);
        terminals.iter().zip(&self.standings).enumerate().map(|(at, (t, s))| (TerminalIndex(at), t, s))
    }

    /// A terminal by its place.
    #[must_use]
    pub fn terminal(&self, at: TerminalIndex) -> Option<&Terminal> {
        self.board()?.terminals.get(at.0)
    }

    /// The clamp of a terminal.
    #[must_use]
    pub fn clamp(&self, at: TerminalIndex) -> Option<&Clamp> {
        let board = self.board()?;
        board.clamp(board.terminals.get(at.0)?)
    }

    /// What the maker's statement aims at, in newton metres; nothing where there is none.
    #[must_use]
    pub fn aim_nm(&self, at: TerminalIndex) -> Option<&Exact> {
        self.aims_nm.get(at.0)?.as_ref()
    }

    /// Where it stands.
    #[must_use]
    pub fn standing(&self, at: TerminalIndex) -> Option<&Standing> {
        self.standings.get(at.0)
    }

    /// The place of a terminal's name.
    #[must_use]
    pub fn find(&self, name: &TerminalName) -> Option<TerminalIndex> {
        self.names.terminal(name)
    }

    /// The terminal and the place in it (from 0) of a conductor's name; a finger's own name counts as one.
    #[must_use]
    pub fn find_conductor(&self, name: &ConductorName) -> Option<(TerminalIndex, usize)> {
        self.names.conductor(name)
    }

    /// The conductor at a place in a terminal; of a finger its own name.
    #[must_use]
    pub fn conductor_name(&self, at: TerminalIndex, nth: usize) -> Option<ConductorName> {
        let terminal = self.terminal(at)?;
        let names = terminal.conductor_names();
        if names.is_empty() { Some(ConductorName(terminal.name.0.clone())) } else { names.get(nth).cloned() }
    }

    /// Lines that are about a terminal, scales of its spans among them, in order.
    pub fn lines_about(&self, at: TerminalIndex) -> impl Iterator<Item = &Line> {
        self.lines_of.get(at.0).into_iter().flatten().filter_map(|line| self.lines.get(*line))
    }

    /// Persons who took part.
    #[must_use]
    pub fn persons(&self) -> &[Person] {
        &self.persons
    }

    /// A person by number.
    #[must_use]
    pub fn person(&self, id: &PersonId) -> Option<&Person> {
        self.persons.iter().find(|person| person.id == *id)
    }

    /// Tools stated, in order.
    #[must_use]
    pub fn tools(&self) -> &[ToolInHand] {
        &self.tools
    }

    /// A tool by its letter.
    #[must_use]
    pub fn tool(&self, id: &ToolId) -> Option<&ToolInHand> {
        self.tools.iter().find(|held| held.tool.id == *id)
    }

    /// Every span, in order.
    #[must_use]
    pub fn spans(&self) -> &[Span] {
        &self.spans
    }

    /// A span by its name.
    #[must_use]
    pub fn span(&self, id: &SpanId) -> Option<&Span> {
        self.spans.iter().find(|span| span.id == *id)
    }

    /// The last span of a tool if its end is still to be read; of a fixed tool the one read before the work in this
    /// session, unless the tool was doubted since.
    #[must_use]
    pub fn running_span(&self, tool: &ToolId) -> Option<&Span> {
        let span = self.spans.iter().rev().find(|span| span.tool == *tool)?;
        let runs = if span.fixed {
            let doubted_since = |line: &Line| {
                line.seq > span.start_seq && matches!(&line.fact, Fact::ToolDoubted(f) if f.tool == *tool)
            };
            span.start_agrees
                && !span.after_work
                && Some(span.session) == self.session()
                && !self.lines.iter().rev().any(doubted_since)
        } else {
            span.is_open()
        };
        runs.then_some(span)
    }

    /// Spans whose end is still to be read.
    pub fn open_spans(&self) -> impl Iterator<Item = &Span> {
        self.spans.iter().filter(|span| span.is_open())
    }

    /// Line of the session that runs.
    #[must_use]
    pub fn session(&self) -> Option<Seq> {
        self.sessions.last().map(|mark| mark.seq)
    }

    /// Sessions so far.
    #[must_use]
    pub fn sessions(&self) -> &[SessionMark] {
        &self.sessions
    }

    /// The person's gate of the session that runs.
    #[must_use]
    pub fn gate(&self, person: &PersonId) -> Option<&Gates> {
        self.gates_now().rev().find(|gates| gates.person == *person)
    }

    /// Gates answered in the session that runs, in order.
    #[must_use]
    pub fn gates_now(&self) -> impl DoubleEndedIterator<Item = &Gates> {
        let session = self.session();
        self.gates.iter().filter(move |(seq, _)| Some(*seq) > session).map(|(_, gates)| gates)
    }

    /// Every gate answered, with its line, in order.
    #[must_use]
    pub fn gates(&self) -> &[(Seq, Gates)] {
        &self.gates
    }

    /// The source that makes a terminal live by the last gate answered in this session.
    #[must_use]
    pub fn live_source(&self, name: &TerminalName) -> Option<&str> {
        let gates = self.gates_now().next_back()?;
        gates
            .sources
            .iter()
            .find(|source| source.state == SourceState::Live && source.feeds.contains(name))
            .map(|source| source.what.as_str())
    }

    /// The order chosen, else by place.
    #[must_use]
    pub fn route(&self) -> Order {
        self.route.unwrap_or(Order::Place)
    }

    /// Remarks to be dealt with before power on.
    #[must_use]
    pub fn power_on(&self) -> &[PowerOnRemark] {
        &self.power_on
    }

    /// The last look that counts, with its line.
    #[must_use]
    pub fn last_look(&self) -> Option<(Seq, &LastLook)> {
        self.last_look.as_ref().map(|(seq, look)| (*seq, look))
    }

    /// Lines of the signatures.
    #[must_use]
    pub fn signed(&self) -> &[Seq] {
        &self.signed
    }

    /// How it ended; nothing while it is open.
    #[must_use]
    pub fn ended(&self) -> Option<Ended> {
        self.ended
    }
}

/// Two visits are the same when they were folded from the same lines.
impl PartialEq for Visit {
    fn eq(&self, other: &Self) -> bool {
        self.lines == other.lines && self.standings == other.standings && self.spans == other.spans
    }
}

impl Eq for Visit {}
