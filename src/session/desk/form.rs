//! Forms: several questions that make one act. What was answered so far is data, so going back is dropping the
//! last answer, and the next question is worked out from the rest.

use super::State;
use super::audit::{AuditAsk, AuditField};
use super::question::Question;
use super::together::{Scope, Together};
use crate::domain::names::{PersonId, SpanId, ToolId};
use crate::session::act::Act;
use crate::session::steps::Step;
use crate::session::visit::TerminalIndex;

/// What a form is for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Open the visit.
    Opening,
    /// Open a revisit of a place without a board file.
    Flat,
    /// State a tool.
    Tool,
    /// Answer the gate.
    Gate,
    /// What only an audit asks.
    Audit(AuditAsk),
    /// Say what a revisit is about.
    Scope,
    /// Add to the scope of a revisit, or leave something out.
    ScopeMore,
    /// Before a live terminal that could be looked at without touching.
    LiveLook(TerminalIndex),
    /// Choose the order.
    Route,
    /// Answer a step.
    Step(TerminalIndex, Step),
    /// Look at a terminal where nothing is to be done.
    Idle(TerminalIndex),
    /// Stand before a terminal that settles.
    Settle(TerminalIndex),
    /// Nothing is left but waits.
    Waiting,
    /// Settle not waited for.
    WaiveSettle(Vec<TerminalIndex>),
    /// Read the scale of a tool that was just set.
    ScaleStart(ToolId),
    /// Read the scale at the end of a span.
    ScaleEnd(SpanId),
    /// What happened to a scale whose disagreement is recorded.
    ScaleCause(crate::domain::names::Seq),
    /// The scale of a span cannot be read any more.
    ScaleLost(SpanId),
    /// An entered end is wrong.
    EntryFault(TerminalIndex, usize),
    /// The tool did not click.
    NotClicked(TerminalIndex),
    /// How an end was prepared, in own words or with care for aluminium.
    Prepare(TerminalIndex, usize),
    /// Look at strands after over-tightening.
    Strands(TerminalIndex),
    /// Look at a screw that spins.
    Screw(TerminalIndex),
    /// Something that only a remake, a new device or setting aside helps.
    WayOut(TerminalIndex),
    /// Remake.
    Remake(TerminalIndex),
    /// Replace the device.
    Replace(TerminalIndex),
    /// Set aside.
    SetAside(Vec<TerminalIndex>),
    /// Take up again.
    TakeUp,
    /// Disturbed or opened again.
    Disturb(TerminalIndex),
    /// A remark.
    Remark(Option<TerminalIndex>),
    /// Put a slip right.
    Slip(crate::domain::names::Seq),
    /// Choose which answer was a slip.
    SlipWhich,
    /// The list of what else is possible.
    List,
    /// Take a tool in hand.
    TakeTool,
    /// Take another place.
    TakePlace,
    /// Go to a way.
    GoToWay,
    /// Close spans, set aside what is open, tell, last look, sign, close.
    SignOff(SignOff),
    /// Who takes the tool.
    Hands,
    /// Who is on the tool, asked when a visit is gone on with.
    HandsNow,
    /// Who is at the keys while this person is on the tool.
    AtKeys(PersonId),
    /// Somebody else signs too.
    Countersign,
    /// A tool was dropped or overloaded.
    Doubt(ToolId),
    /// A doubted tool is released.
    Release(ToolId),
    /// A maker's value found or read differently.
    AmendValue(TerminalIndex),
    /// The board file has changed.
    AmendFromFile,
    /// A row.
    Row,
    /// A way or a place at once.
    Together(Scope, Together),
    /// Answers from notes.
    Notes,
    /// Abandon.
    Abandon,
    /// Save elsewhere.
    SaveElsewhere,
    /// What to do about an answer that could not be stored.
    Trouble,
}

/// Parts of the sign-off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SignOff {
    /// Nothing is left to do: sign off?
    Begin,
    /// Terminals are still open.
    StillOpen,
    /// Who was told what is set aside.
    Told,
    /// A remark to be dealt with before power on.
    PowerOn(crate::domain::names::Seq),
    /// The last look.
    LastLook,
    /// Signature.
    Sign,
    /// Close.
    Close,
}

/// One answer of a form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Field {
    /// Name.
    Name,
    /// Role.
    Role,
    /// Certificate reference.
    Certificate,
    /// One of the tools of the last visit.
    ToolOffered,
    /// Kind of tool.
    ToolKind,
    /// Own tolerance, per cent.
    OwnTolerance,
    /// How torques with limits are decided.
    DecisionRule,
    /// Tool name.
    ToolName,
    /// Serial number.
    Serial,
    /// Unit.
    Unit,
    /// Range, from.
    RangeFrom,
    /// Range, to; or the value of a fixed tool.
    RangeTo,
    /// Graduation.
    Graduation,
    /// Type and class.
    Class,
    /// Calibration date.
    Calibrated,
    /// Calibration certificate.
    CalibrationCertificate,
    /// Why a lapsed tool is used.
    Override,
    /// Who proved it dead.
    DeadBy,
    /// With what.
    ProvedWith,
    /// The tester was tried before and after on a known source.
    TriedOnKnownSource,
    /// How it is locked off.
    LockedOff,
    /// State of the source.
    SourceState,
    /// Live: shrouded.
    Shrouded,
    /// Live: who decided.
    DecidedBy,
    /// Whether there is another source.
    AnotherSource,
    /// What it is.
    SourceWhat,
    /// What it feeds.
    SourceFeeds,
    /// The scale as read.
    Read,
    /// The scale read once more.
    ReadAgain,
    /// What happened to it.
    Cause,
    /// By whom.
    By,
    /// Why or for what.
    Why,
    /// A pick from a list.
    Pick,
    /// A number counted.
    Count,
    /// Words of one's own.
    Words,
    /// Yes or no to something.
    YesNo,
    /// Whether the screw held or moved after settling.
    Turned,
    /// Tug of a tail.
    TailTug,
    /// Mark of a tail.
    TailMark,
    /// Covers.
    Covers,
    /// Locks and tools.
    LocksAndTools,
    /// Who energised.
    Energised,
    /// One of an audit.
    Audit(AuditField),
    /// What happened since the earlier visit.
    Happened,
    /// Which terminals were disturbed.
    Disturbed,
    /// How a terminal was disturbed.
    How,
    /// Whether whoever did it checked the tightness.
    Checked,
    /// The place, where there is no board file.
    Place,
    /// Its supply.
    Supply,
    /// Size of the tails.
    TailSize,
    /// Wires of the tails.
    TailWires,
    /// Torque of the incoming clamp.
    Torque,
    /// Where that was read, and its reference.
    ReadAt,
    /// A change of the scope that was worked out, and its words.
    ScopeChange,
}

/// A form in progress.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Form {
    /// What it is for.
    pub purpose: Purpose,
    /// What was answered so far, in order.
    pub given: Vec<(Field, String)>,
}

/// What comes next in a form.
pub(super) enum Next {
    /// Ask this.
    Ask(Field, Box<Question>),
    /// Everything is answered.
    Do(Vec<Act>),
    /// Go on with another form.
    Go(Form),
    /// Something the desk does without a record.
    Desk(DeskAct),
}

/// What the desk does without a record.
pub(super) enum DeskAct {
    /// The tool is set; its scale is read next.
    Note(String),
    /// Stand in front of a terminal.
    Focus(TerminalIndex),
    /// Take a tool in hand.
    TakeTool(ToolId),
    /// Leave the terminal for later.
    Later,
    /// Begin to sign.
    SignOff,
    /// Back to the walk.
    Walk,
    /// Try to store again.
    Retry,
    /// Drop what could not be stored.
    GiveUp,
    /// Store everything in another folder.
    SaveElsewhere(String),
    /// Leave for the day.
    Leave,
    /// These hands: on the tool, at the keys.
    Hands(PersonId, PersonId),
    /// Go on with the board of the visit.
    KeepBoard,
    /// Answers come from notes, or no longer.
    Notes(bool),
    /// Witness marks are answered with the place, or one by one.
    MarksWithPlace(bool),
}

impl Form {
    pub(super) fn new(purpose: Purpose) -> Self {
        Self { purpose, given: Vec::new() }
    }

    pub(super) fn with(mut self, field: Field, value: impl Into<String>) -> Self {
        self.given.push((field, value.into()));
        self
    }

    /// First answer to a field.
    pub(super) fn get(&self, field: Field) -> Option<&str> {
        self.given.iter().find(|(f, _)| *f == field).map(|(_, value)| value.as_str())
    }

    /// First answer to a field as a list number from 1.
    pub(super) fn pick(&self, field: Field) -> Option<usize> {
        self.get(field)?.parse().ok()
    }

    /// Every answer to a field, in order.
    pub(super) fn all(&self, field: Field) -> impl Iterator<Item = &str> {
        self.given.iter().filter(move |(f, _)| *f == field).map(|(_, value)| value.as_str())
    }

    pub(super) fn next(&self, state: &State) -> Next {
        use super::forms as f;
        match &self.purpose {
            Purpose::Opening => f::opening::opening(self, state),
            Purpose::Flat => f::flat::flat(self, state),
            Purpose::Step(at, step) => super::ask::step(self, state, *at, *step),
            Purpose::Settle(at) => super::settle::settle(self, state, *at),
            Purpose::Waiting => super::settle::waiting(self, state),
            Purpose::WaiveSettle(list) => super::settle::waive(self, state, list),
            Purpose::Idle(at) => super::ask::idle(self, state, *at),
            Purpose::Audit(ask) => super::audit::next(self, state, ask),
            Purpose::Scope => f::scope::scope(self, state),
            Purpose::ScopeMore => f::scope::more(self, state),
            Purpose::LiveLook(at) => super::looked::live(self, state, *at),
            Purpose::Route => f::opening::route(self, state),
            Purpose::Tool => f::tool::tool(self, state),
            Purpose::TakeTool => f::tool::take(self, state),
            Purpose::Gate => f::gate::gate(self, state),
            Purpose::ScaleStart(tool) => f::scale::start(self, state, tool),
            Purpose::ScaleEnd(span) => f::scale::end(self, state, span),
            Purpose::ScaleCause(seq) => f::scale::cause(self, state, *seq),
            Purpose::ScaleLost(span) => f::scale::lost(self, state, span),
            Purpose::EntryFault(at, nth) => f::finding::entry_fault(self, state, *at, *nth),
            Purpose::NotClicked(at) => f::finding::not_clicked(self, state, *at),
            Purpose::Prepare(at, nth) => f::finding::prepare(self, state, *at, *nth),
            Purpose::Strands(at) => f::finding::strands(self, state, *at),
            Purpose::Screw(at) => f::finding::screw(self, state, *at),
            Purpose::WayOut(at) => f::finding::way_out(self, state, *at),
            Purpose::Remake(at) => f::doing::remake(self, state, *at),
            Purpose::Replace(at) => f::doing::replace(self, state, *at),
            Purpose::SetAside(list) => f::doing::set_aside(self, state, list),
            Purpose::TakeUp => f::doing::take_up(self, state),
            Purpose::Disturb(at) => f::doing::disturb(self, state, *at),
            Purpose::Remark(at) => f::doing::remark(self, state, *at),
            Purpose::Hands => f::hands::hands(self, state),
            Purpose::HandsNow => f::hands::now(self, state),
            Purpose::AtKeys(person) => f::hands::at_keys(self, state, person),
            Purpose::Countersign => f::hands::countersign(self, state),
            Purpose::Doubt(tool) => f::hands::doubt(self, state, tool),
            Purpose::Release(tool) => f::hands::release(self, tool),
            Purpose::AmendValue(at) => f::amend::value(self, state, *at),
            Purpose::AmendFromFile => f::amend::from_file(self, state),
            Purpose::Row => super::row::row(self, state),
            Purpose::Together(scope, step) => super::together::together(self, state, scope, *step),
            Purpose::Notes => super::row::notes(self, state),
            Purpose::Abandon => f::doing::abandon(self),
            Purpose::Slip(seq) => f::slip::slip(self, state, *seq),
            Purpose::SlipWhich => f::slip::which(self, state),
            Purpose::List => super::list::list(self, state),
            Purpose::TakePlace => super::list::take_place(self, state),
            Purpose::GoToWay => super::list::go_to_way(self, state),
            Purpose::SignOff(part) => f::sign_off::sign_off(self, state, part),
            Purpose::SaveElsewhere => super::list::save_elsewhere(self),
            Purpose::Trouble => super::list::trouble(self, state),
        }
    }
}

/// Asks, or goes on where it is answered.
macro_rules! asked {
    ($form:expr, $field:expr, $question:expr) => {
        match $form.get($field) {
            Some(value) => value.to_owned(),
            None => return $crate::session::desk::form::Next::Ask($field, Box::new($question)),
        }
    };
}
pub(super) use asked;
