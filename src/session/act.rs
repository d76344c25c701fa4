//! What a person does, whole and ready to be decided upon.

use crate::domain::board::Board;
use crate::domain::conductor::{AluminiumCare, Preparation};
use crate::domain::limits::OwnTolerance;
use crate::domain::names::{ConductorName, DeviceName, PersonId, Seq, TerminalName, ToolId};
use crate::domain::record::{
    About, AsideWhy, DecidedTo, DisturbedHow, EntryFault, Fact, Follows, Gates, Known, LookResult,
    MarkResult, Mode, Moved, Order, Person, RemarkOn, Reset, Scope, Session, SettleKnown, Strands, TailLook,
    TorqueResult, Tug, Turned, VisitKind,
};
use crate::domain::tool::Tool;
use crate::domain::torque::Torque;
use crate::domain::verdict::DecisionRule;

/// Everything the first line says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpenVisit {
    /// Program and version.
    pub program: String,
    /// Eight base-32 characters.
    pub id: String,
    /// Who opens it; `P1`.
    pub person: Person,
    /// Kind.
    pub visit: VisitKind,
    /// Practice only.
    pub rehearsal: bool,
    /// The record it follows.
    pub follows: Option<Follows>,
    /// Certificate reference; may be empty.
    pub certificate: String,
    /// The board.
    pub board: Board,
    /// SHA-256 of its file.
    pub board_sha256: String,
    /// Decision rule.
    pub decision_rule: DecisionRule,
    /// Own tolerance for readings on a single value.
    pub own_tolerance: Option<OwnTolerance>,
}

/// What a person says happened where a closing scale disagrees.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EndCause {
    /// Turned on purpose.
    Reset(Reset),
    /// Not known.
    NotKnown,
}

/// What is set next with the same tool.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ScaleNext {
    /// Required setting of the next span.
    pub required: Torque,
}

/// What a person does. Terminals and conductors are named; attempts, screws, rounds, limits and verdicts are
/// worked out by the machine.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Act {
    /// Open the visit.
    Open(Box<OpenVisit>),
    /// Begin a session.
    Begin(Session),
    /// Bring another person in.
    Join(Person),
    /// State a tool.
    StateTool(Box<Tool>),
    /// Answer a gate.
    AnswerGates(Gates),
    /// Choose the order.
    ChooseRoute(Order),
    /// Amend the board.
    AmendBoard {
        /// The whole new board.
        board: Box<Board>,
        /// SHA-256 of its file.
        board_sha256: String,
        /// Why.
        reason: String,
    },
    /// Read the scale before the work.
    BeginSpan {
        /// Tool.
        tool: ToolId,
        /// What had to be set.
        required: Torque,
        /// What was read.
        read: Torque,
    },
    /// Read the scale after the work.
    EndSpan {
        /// Tool.
        tool: ToolId,
        /// What was read.
        read: Torque,
        /// What happened, where it disagrees.
        cause: Option<EndCause>,
        /// The reading opens the next span where it agrees with this.
        next: Option<ScaleNext>,
    },
    /// The scale can no longer be read.
    LoseScale {
        /// Tool.
        tool: ToolId,
        /// Why.
        why: String,
    },
    /// Doubt a tool.
    DoubtTool {
        /// Tool.
        tool: ToolId,
        /// What happened.
        what: String,
    },
    /// Release a doubted tool.
    ReleaseTool {
        /// Tool.
        tool: ToolId,
        /// By whom.
        by: String,
        /// Grounds.
        why: String,
    },
    /// Prepare ends.
    Prepare {
        /// Conductors.
        conductors: Vec<ConductorName>,
        /// How.
        how: Preparation,
        /// Aluminium.
        aluminium: Vec<AluminiumCare>,
        /// How entered.
        mode: Mode,
    },
    /// Enter ends and look; seat a finger (conductor = terminal name).
    Enter {
        /// Conductors.
        conductors: Vec<ConductorName>,
        /// Nothing = right.
        fault: Option<EntryFault>,
        /// How entered.
        mode: Mode,
    },
    /// Tighten the next screw.
    Torque {
        /// Terminal.
        terminal: TerminalName,
        /// Tool; nothing by hand.
        tool: Option<ToolId>,
        /// What it said.
        result: TorqueResult,
        /// How entered.
        mode: Mode,
    },
    /// A row tightened and entered after the work: one tool, one setting, one maker's statement, one screw each.
    TorqueRow {
        /// Terminals tightened, exceptions left out.
        terminals: Vec<TerminalName>,
        /// Tool.
        tool: ToolId,
        /// The scale, read only after the work; nothing where a span was begun before it.
        scale_after: Option<Torque>,
        /// Terminals the person counted.
        count: u32,
        /// Terminals of the row that were not good or not done.
        exceptions: Vec<TerminalName>,
        /// Row, notes or rehearsed.
        mode: Mode,
    },
    /// Say what a revisit is about; again, to add to it or drop from it.
    SetScope(Box<Scope>),
    /// Look at terminals that are come back to.
    Look {
        /// Terminals; several only where the same is seen at all of them.
        terminals: Vec<TerminalName>,
        /// What was seen.
        result: LookResult,
        /// Who decided to look at it live, without touching; nothing where it is worked at.
        untouched: Option<String>,
        /// How entered.
        mode: Mode,
    },
    /// Try the next screw with a tool, without tightening it to the maker's value.
    Try {
        /// Terminal.
        terminal: TerminalName,
        /// Tool.
        tool: ToolId,
        /// What the tool stood at, or was taken to at most.
        at: Option<Torque>,
        /// What the screw did.
        found: Moved,
        /// How entered.
        mode: Mode,
    },
    /// Tighten the next screw once more after settling, or try it with its full torque at a revisit.
    Settle {
        /// Terminal.
        terminal: TerminalName,
        /// Tool; nothing by hand.
        tool: Option<ToolId>,
        /// What it said.
        result: TorqueResult,
        /// Whether the screw turned before the tool spoke; nothing where the tool did not speak.
        turned: Option<Turned>,
        /// How entered.
        mode: Mode,
    },
    /// Tug.
    Tug {
        /// Conductors.
        conductors: Vec<ConductorName>,
        /// What it showed.
        result: Tug,
        /// How entered.
        mode: Mode,
    },
    /// Mark.
    Mark {
        /// Terminals.
        terminals: Vec<TerminalName>,
        /// Made, not visible, not used.
        result: MarkResult,
        /// How entered.
        mode: Mode,
    },
    /// Look at a finding and decide.
    Decide {
        /// Terminal.
        terminal: TerminalName,
        /// About what.
        about: About,
        /// Strands, where they were looked at.
        strands: Option<Strands>,
        /// What is done.
        choice: DecidedTo,
        /// In own words; may be empty.
        remark: String,
    },
    /// A settle wait is over.
    SettleReady {
        /// Terminal.
        terminal: TerminalName,
        /// How that is known.
        how: SettleKnown,
    },
    /// A settle wait is not waited for.
    WaiveSettle {
        /// Terminal.
        terminal: TerminalName,
        /// Why.
        why: String,
    },
    /// Opened or moved again in this visit.
    Disturb {
        /// Terminals.
        terminals: Vec<TerminalName>,
        /// How.
        how: DisturbedHow,
        /// By whom.
        by: String,
        /// Whether they checked.
        checked_by_them: Option<Known>,
        /// Why.
        why: String,
    },
    /// Cut back and begin a new attempt.
    Remake {
        /// Terminal.
        terminal: TerminalName,
        /// Conductors cut back; none for a finger.
        conductors: Vec<ConductorName>,
        /// Why.
        why: String,
    },
    /// The device was replaced.
    Replace {
        /// Device.
        device: DeviceName,
        /// Why.
        why: String,
    },
    /// Set aside.
    SetAside {
        /// Terminals.
        terminals: Vec<TerminalName>,
        /// Why.
        why: AsideWhy,
    },
    /// Somebody was told.
    Tell {
        /// Terminals.
        terminals: Vec<TerminalName>,
        /// Who; nothing where nobody needed telling (spare ways only).
        whom: Option<String>,
    },
    /// Take up again.
    TakeUp {
        /// Terminals.
        terminals: Vec<TerminalName>,
        /// Why.
        why: String,
    },
    /// A remark.
    Remark {
        /// On what; on an earlier remark it clears or hands over that one.
        on: RemarkOn,
        /// Words.
        text: String,
        /// To be dealt with before power on.
        before_power_on: bool,
        /// Who takes an earlier remark over; nothing where it is cleared.
        handed_to: Option<String>,
    },
    /// Put a slip right.
    Correct {
        /// The mistyped line.
        seq: Seq,
        /// The one terminal of a row.
        terminal: Option<TerminalName>,
        /// What it should have said.
        fact: Box<Fact>,
        /// Why.
        why: String,
    },
    /// The last look.
    LastLook {
        /// Tails.
        tails: Vec<TailLook>,
        /// Why they were not looked at.
        why_not: Option<String>,
        /// Covers.
        covers: String,
        /// Locks and tools.
        locks_and_tools_out: String,
        /// Who energised.
        energised_by: Option<String>,
    },
    /// Sign.
    Sign {
        /// Who.
        person: PersonId,
        /// As what.
        capacity: String,
    },
    /// Abandon the visit.
    Abandon {
        /// Why.
        why: String,
        /// Who was told.
        told: String,
    },
    /// What is done in an audit only.
    Audit(super::audit::AuditAct),
    /// Close the visit.
    Close,
}
