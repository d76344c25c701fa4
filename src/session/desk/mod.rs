//! The desk: what is asked, what is half typed, what is on its way to the journal. Nothing of it is kept; a
//! resume begins with an empty one and asks again.

mod ask;
mod audit;
mod audit_claim;
mod audit_find;
mod audit_place;
mod doing;
mod event;
mod form;
mod forms;
mod list;
pub mod looked;
mod naming;
mod question;
mod resumed;
mod route;
pub mod row;
pub mod settle;
pub mod so_far;
mod step;
mod tighten;
pub mod together;
mod walk;
mod words;

pub use audit::{AuditAsk, AuditField};
pub use event::{Command, Effect, Event, Input, Recorder, StoreTrouble};
pub use form::{Field, Form, Purpose};
pub use forms::scope::{disturbed_so_far, in_words as scope_in_words};
pub(crate) use question::choice;
pub use question::{Answers, NotAnAnswer, Question, Seen, Topic};
pub use route::{Pass, settings_by_order};
pub use step::{drive, step};
pub use walk::Work;

use super::flat::ReadText;
use super::past::Past;
use super::span::Span;
use super::visit::{TerminalIndex, Visit};
use crate::domain::board::Board;
use crate::domain::moment::Moment;
use crate::domain::names::{PersonId, Seq, ToolId};
use crate::domain::record::{Draft, Fact, Follows, Line, Session, SessionCause, VisitKind};
use crate::domain::tool::Tool;
use std::collections::{BTreeMap, BTreeSet};

/// When something happened: on the wall, and on a clock that never goes back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// Wall clock.
    pub wall: Moment,
    /// Monotonic clock in milliseconds, from any start; it stands still while the machine sleeps.
    pub mono_ms: u64,
}

/// What a new visit is opened with; everything that needs a file, a clock or chance comes from outside.
#[derive(Clone, Debug)]
pub struct Start {
    /// Program and version.
    pub program: String,
    /// Eight base-32 characters for a new record.
    pub id: String,
    /// How this session is spoken to: full screen, line by line; stands in its line.
    pub face: String,
    /// Random characters of this session.
    pub nonce: String,
    /// The board.
    pub board: Board,
    /// SHA-256 of its file.
    pub board_sha256: String,
    /// Practice only.
    pub rehearsal: bool,
    /// Kind of the visit that is opened.
    pub visit: VisitKind,
    /// Reads the board that is entered at a place without a board file; nothing where there is a file.
    pub flat: Option<ReadText>,
    /// What earlier visits of this board say; empty where there are none.
    pub past: Past,
    /// The record this one follows.
    pub follows: Option<Follows>,
    /// Name and role offered, from the last visit.
    pub person_offered: Option<(String, String)>,
    /// Tools offered, from the tools file and the last visit.
    pub tools_offered: Vec<Tool>,
    /// Operations that other records on this machine hold: by serial number, then by day, `2026-03-02`.
    pub operations: BTreeMap<String, BTreeMap<String, u64>>,
    /// What is told on the first screen.
    pub news: Vec<String>,
}

impl Start {
    /// Program, version and face, as a session line says them.
    #[must_use]
    pub fn program_and_face(&self) -> String {
        if self.face.is_empty() { self.program.clone() } else { format!("{}, {}", self.program, self.face) }
    }
}

/// Something to be told to the person until the next answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Message {
    /// The last answer was stored; the line that says so.
    Recorded(Seq),
    /// A refusal or a note.
    Note(String),
}

/// An append on its way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pending {
    /// The lines, links still to come.
    pub drafts: Vec<Draft>,
}

/// How the person left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Left {
    /// For the day: the visit stays open.
    ForTheDay,
    /// The visit is closed or abandoned.
    Ended,
}

/// What is not kept.
#[derive(Clone, Debug)]
#[allow(
    clippy::struct_excessive_bools,
    reason = "each is one thing the person said that lasts until it is unsaid"
)]
pub struct Desk {
    /// What a new visit is opened with.
    pub start: Start,
    /// Person on the tool.
    pub who: PersonId,
    /// Person at the keys.
    pub writer: PersonId,
    /// Form in progress.
    pub form: Option<Form>,
    /// Form in progress about an answer that could not be stored; the one above waits for it.
    pub mending: Option<Form>,
    /// Terminal in front of the person.
    pub focus: Option<TerminalIndex>,
    /// The pass the person walks in.
    pub pass: Option<Pass>,
    /// Terminals the walk came past, for going back.
    pub trail: Vec<TerminalIndex>,
    /// Left for later.
    pub later: BTreeSet<TerminalIndex>,
    /// Tool taken by choice.
    pub tool: Option<ToolId>,
    /// Where it was taken: there it goes before a tool that needs no setting.
    pub tool_taken_at: Option<TerminalIndex>,
    /// The person asked to leave once already; asking again leaves whatever is unread.
    pub leaving: bool,
    /// Half typed.
    pub typed: String,
    /// What to tell.
    pub message: Option<Message>,
    /// An append on its way.
    pub pending: Option<Pending>,
    /// Why the journal could not store it.
    pub trouble: Option<String>,
    /// When the last event came.
    pub last: Option<Stamp>,
    /// The wall clock as it was told last, by an event or because a wait is over.
    pub wall: Option<Moment>,
    /// The visit is gone on with, and nobody has said yet who is on the tool now.
    pub hands_to_ask: bool,
    /// The walk is over and signing has begun.
    pub signing: bool,
    /// Answers come from notes.
    pub notes: bool,
    /// Witness marks are answered together when a place is done.
    pub marks_with_place: bool,
    /// The person decided to go on with the board of the visit although the file differs.
    pub board_kept: bool,
    /// How the person left.
    pub left: Option<Left>,
}

/// The whole machine: what is kept and what is not.
#[derive(Clone, Debug)]
pub struct State {
    /// The fold of the confirmed lines.
    pub visit: Visit,
    /// What is not kept.
    pub desk: Desk,
}

impl State {
    /// A machine before the first line of a new visit.
    #[must_use]
    pub fn new(start: Start) -> Self {
        Self::over(Visit::empty(), start)
    }

    /// A machine over a visit read back; its session line stands in it already.
    #[must_use]
    pub fn over(visit: Visit, start: Start) -> Self {
        let last = visit.lines().last();
        let who = last.map_or_else(|| PersonId::from("P1"), |line| line.who.clone());
        let writer = last.map_or_else(|| PersonId::from("P1"), |line| line.writer.clone());
        let resumed = matches!(last.map(|line| &line.fact), Some(Fact::Session(session)) if session.cause == SessionCause::Resumed);
        let desk = Desk {
            start,
            who,
            writer,
            hands_to_ask: resumed,
            form: None,
            mending: None,
            focus: None,
            pass: None,
            trail: Vec::new(),
            later: BTreeSet::new(),
            tool: None,
            tool_taken_at: None,
            leaving: false,
            typed: String::new(),
            message: last.map(|line| Message::Recorded(line.seq)),
            pending: None,
            trouble: None,
            last: None,
            wall: None,
            signing: false,
            notes: false,
            marks_with_place: false,
            board_kept: false,
            left: None,
        };
        let mut state = Self { visit, desk };
        state.focus_after_resume();
        state
    }

    /// The form that answers go to.
    pub(super) fn form_slot(&mut self) -> &mut Option<Form> {
        if self.desk.trouble.is_some() { &mut self.desk.mending } else { &mut self.desk.form }
    }

    /// What is asked now.
    #[must_use]
    pub fn question(&self) -> Question {
        ask::question(self)
    }

    /// What the hand needs at the terminal in front of the person.
    #[must_use]
    pub fn work(&self) -> Option<Work<'_>> {
        walk::work(self)
    }

    /// The board, also before the first line.
    #[must_use]
    pub fn board(&self) -> &Board {
        self.visit.board().unwrap_or(&self.desk.start.board)
    }

    /// Whether the visit is, or will be, practice only.
    #[must_use]
    pub fn is_rehearsal(&self) -> bool {
        self.visit.opened().map_or(self.desk.start.rehearsal, |opened| opened.rehearsal)
    }

    /// Whether terminals are picked on the drawing, so that arrows go about although a form is half answered.
    #[must_use]
    pub fn is_picking(&self, question: &Question) -> bool {
        question.topic == Topic::Walk
            && self.desk.form.as_ref().is_some_and(|form| form.purpose == Purpose::Scope)
    }

    /// Spans of this or an earlier session whose end is still to be read.
    pub fn open_spans(&self) -> impl Iterator<Item = &Span> {
        self.visit.open_spans()
    }
}

/// The session line that a resume writes first.
#[must_use]
pub fn session_draft(lines: &[Line], wall: Moment, session: Session) -> Draft {
    let last = lines.last();
    Draft {
        seq: last.map_or(Seq(1), |line| line.seq.next()),
        time: wall,
        who: last.map_or_else(|| PersonId::from("P1"), |line| line.who.clone()),
        writer: last.map_or_else(|| PersonId::from("P1"), |line| line.writer.clone()),
        fact: Fact::Session(session),
    }
}
