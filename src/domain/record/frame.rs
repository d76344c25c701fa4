//! Facts that frame the work: who, with what, on which board, behind which gates.

use crate::domain::board::Board;
use crate::domain::limits::OwnTolerance;
use crate::domain::names::{PersonId, SpanId, TerminalName, ToolId};
use crate::domain::torque::Torque;
use crate::domain::verdict::DecisionRule;
use serde::{Deserialize, Serialize};

/// Kind of visit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum VisitKind {
    /// A board being made off.
    First,
    /// Conductors moved since.
    Revisit,
    /// A board built by others or long ago.
    Audit,
}

impl VisitKind {
    /// As it is printed and used in file names.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::First => "first",
            Self::Revisit => "revisit",
            Self::Audit => "audit",
        }
    }

    /// As a person calls it.
    #[must_use]
    pub fn called(self) -> &'static str {
        match self {
            Self::First => "first visit",
            Self::Revisit => "revisit",
            Self::Audit => "audit",
        }
    }
}

/// The record this one follows.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Follows {
    /// Its id.
    pub id: String,
    /// Its closing link.
    pub link: String,
}

/// A person who takes part.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// Number in this visit, `P1`.
    pub id: PersonId,
    /// Name.
    pub name: String,
    /// What they are: `electrician`, `supervisor`, in own words.
    pub role: String,
}

/// The visit begins.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Opened {
    /// Format version of this record, see [`super::FORMAT`].
    pub format: u32,
    /// Program and version that wrote it, `witnessmark 0.1.0`.
    pub program: String,
    /// Version of the rules.
    pub rules: u32,
    /// Eight base-32 characters.
    pub id: String,
    /// Who opened it.
    pub person: Person,
    /// Kind.
    pub visit: VisitKind,
    /// Practice only; never counts.
    pub rehearsal: bool,
    /// The record it follows.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub follows: Option<Follows>,
    /// Reference of the certificate this will be an appendix to; empty where there is none yet.
    pub certificate: String,
    /// The whole board.
    pub board: Board,
    /// SHA-256 of the board file's bytes, 64 lower-case hex digits.
    pub board_sha256: String,
    /// How torques with limits are decided.
    pub decision_rule: DecisionRule,
    /// Own tolerance for readings on a single value, ± per cent.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub own_tolerance: Option<OwnTolerance>,
}

impl Opened {
    /// What was typed at the opening, in words: who opened it, and which certificate it is for.
    #[must_use]
    pub fn said(&self) -> String {
        let Person { name, role, .. } = &self.person;
        match self.certificate.as_str() {
            "" => format!("opened by {name}, {role}; no certificate stated"),
            certificate => format!("opened by {name}, {role}; certificate {certificate}"),
        }
    }
}

/// Why a session begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SessionCause {
    /// With the visit.
    Opened,
    /// The program was started again, or the machine slept.
    Resumed,
    /// Thirty minutes without an event, or the clock ran ahead.
    Gap,
    /// The wall clock went back.
    ClockBack,
}

/// Bytes after the last good line that were cut off at a resume.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Torn {
    /// How many.
    pub bytes: u64,
    /// Their SHA-256.
    pub sha256: String,
    /// Themselves.
    pub base64: String,
}

/// A session.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Session {
    /// Random, to tell two laptops on one visit apart.
    pub nonce: String,
    /// Program and version.
    pub program: String,
    /// Why it begins.
    pub cause: SessionCause,
    /// What was torn off.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub torn: Option<Torn>,
}

/// State of a source at a gate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SourceState {
    /// Proved dead.
    Dead,
    /// Live.
    Live,
    /// A new board before its tails.
    Unconnected,
}

impl SourceState {
    /// As it is typed and printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Dead => "dead",
            Self::Live => "live",
            Self::Unconnected => "unconnected",
        }
    }
}

/// A source of supply and what it feeds. The first of a gate is always the incoming side.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SourceOfSupply {
    /// `incoming`, `solar`, `generator`, in own words.
    pub what: String,
    /// Terminals it makes live; for the incoming side the tails.
    pub feeds: Vec<TerminalName>,
    /// Dead, live or unconnected.
    pub state: SourceState,
    /// Live only: whether it is shrouded.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub shrouded: Option<bool>,
    /// Live only: who decided to work beside it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub decided_by: Option<String>,
}

/// A person's gate.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Gates {
    /// Who answers.
    pub person: PersonId,
    /// Who proved the board dead.
    pub dead_by: String,
    /// With what, tried on a known source before and after.
    pub proved_with: String,
    /// How it is locked off.
    pub locked_off: String,
    /// The incoming side first, then every second supply.
    pub sources: Vec<SourceOfSupply>,
}

/// Order of the walk.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Order {
    /// Place by place, inside a place by setting.
    Place,
    /// Way by way, inside a way by setting.
    Way,
    /// Setting by setting.
    Setting,
}

impl Order {
    /// Every order, in the order in which they are listed.
    pub const ALL: [Self; 3] = [Self::Place, Self::Way, Self::Setting];

    /// As it is printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Place => "by place",
            Self::Way => "by way",
            Self::Setting => "by setting",
        }
    }
}

/// The order chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Route {
    /// The order.
    pub order: Order,
}

/// The board on the wall differs from the file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BoardAmended {
    /// The whole new board.
    pub board: Board,
    /// SHA-256 of its file's bytes.
    pub board_sha256: String,
    /// Why.
    pub reason: String,
    /// Terminals that are open again.
    pub reopened: Vec<TerminalName>,
}

/// Which end of a span a scale belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ScaleAt {
    /// Before the work.
    Start,
    /// After the work.
    End,
    /// Read only after work that no span was begun for.
    AfterWork,
}

/// A scale that was turned on purpose in between.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reset {
    /// By whom.
    pub by: String,
    /// For what.
    pub why: String,
}

/// A scale was read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Scale {
    /// Tool.
    pub tool: ToolId,
    /// Span it begins or ends.
    pub span: SpanId,
    /// Which end.
    pub at: ScaleAt,
    /// What had to be set.
    pub required: Torque,
    /// What was read and typed.
    pub read: Torque,
    /// Whether both lie within half a graduation.
    pub agrees: bool,
    /// Turned on purpose, by whom and for what; only where it does not agree.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub reset: Option<Reset>,
}

/// A scale can no longer be read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ScaleUnread {
    /// Tool.
    pub tool: ToolId,
    /// Span that ends without a reading.
    pub span: SpanId,
    /// Why.
    pub why: String,
}

/// A tool is doubted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ToolDoubted {
    /// Tool.
    pub tool: ToolId,
    /// What happened to it.
    pub what: String,
    /// More about it; may be empty.
    pub note: String,
}

/// A doubted tool is released.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ToolReleased {
    /// Tool.
    pub tool: ToolId,
    /// By whom.
    pub by: String,
    /// On what grounds.
    pub why: String,
}
