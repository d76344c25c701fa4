//! The record: one fact a line.
//!
//! These types are the file format (version [`FORMAT`]): externally tagged, unknown fields refused, quantities
//! with the digits that were typed. Order comes from `seq`, never from `time`. The format is frozen: it is written out
//! field by field in DEVELOPERS.md, and fixtures in `tests/records` are read for ever; another field, kind or word is
//! another format. Deliberately absent: links are made and checked in [`crate::journal`], meaning is given in
//! [`crate::session`].

mod audit;
mod findings;
mod frame;
mod keeping;
mod looked;
mod scope;
mod steps;

pub use audit::*;
pub use findings::*;
pub use frame::*;
pub use keeping::*;
pub use looked::*;
pub use scope::*;
pub use steps::*;

use super::moment::Moment;
use super::names::{PersonId, Seq};
use super::tool::Tool;
use serde::{Deserialize, Serialize};

/// Format version of records that this program writes and reads. Records of format 0 came from versions before the
/// format was frozen: checked for damage, but neither gone on with nor printed.
pub const FORMAT: u32 = 1;

/// One confirmed line of a record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Line {
    /// Number, from 1.
    pub seq: Seq,
    /// Wall clock when it was answered.
    pub time: Moment,
    /// Person on the tool.
    pub who: PersonId,
    /// Person at the keys.
    pub writer: PersonId,
    /// What is recorded.
    pub fact: Fact,
    /// SHA-256 over the previous link and this line's bytes before it; 64 lower-case hex digits.
    pub link: String,
}

/// A line before the journal has given it its link.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Draft {
    /// Number, from 1.
    pub seq: Seq,
    /// Wall clock when it was answered.
    pub time: Moment,
    /// Person on the tool.
    pub who: PersonId,
    /// Person at the keys.
    pub writer: PersonId,
    /// What is recorded.
    pub fact: Fact,
}

impl Draft {
    /// The line it becomes with its link.
    #[must_use]
    pub fn linked(self, link: String) -> Line {
        Line { seq: self.seq, time: self.time, who: self.who, writer: self.writer, fact: self.fact, link }
    }
}

/// Everything a record can say.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fact {
    /// The visit begins; always line 1.
    Opened(Box<Opened>),
    /// The program was started on it, or it was reopened after a gap.
    Session(Session),
    /// Another person takes part.
    Person(Person),
    /// A tool is in hand.
    Tool(Box<Tool>),
    /// A person's gate.
    Gates(Gates),
    /// The order of the walk.
    Route(Route),
    /// The board on the wall differs from the file.
    BoardAmended(Box<BoardAmended>),
    /// What an audit claims and what there is for it.
    Claim(Box<Claimed>),
    /// The thermal round of an audit.
    Thermal(Thermal),
    /// The sample of an audit is drawn.
    Drawn(Box<Drawn>),
    /// Asked to go on to everything, after a bad one.
    Escalated(Escalated),
    /// A code the inspector typed.
    Code(Code),
    /// What a revisit is about.
    Scope(Box<Scope>),
    /// A terminal was looked at.
    Looked(Looked),
    /// What was found under the tool.
    Movement(Movement),
    /// A scale was read.
    Scale(Scale),
    /// A scale can no longer be read.
    ScaleUnread(ScaleUnread),
    /// A tool is doubted.
    ToolDoubted(ToolDoubted),
    /// A doubted tool is released.
    ToolReleased(ToolReleased),
    /// Ends were prepared.
    Prepared(Prepared),
    /// Ends were entered; a finger was seated.
    Entered(Entered),
    /// A screw was tightened.
    Torqued(Box<Torqued>),
    /// Conductors were tugged.
    Tugged(Tugged),
    /// Witness marks.
    Marked(Marked),
    /// A finding was looked at and decided upon.
    Decided(Decided),
    /// A settle wait began.
    SettleReady(SettleReady),
    /// A settle wait was not waited for.
    SettleWaived(SettleWaived),
    /// Opened or moved again in this visit.
    Disturbed(Disturbed),
    /// Cut back and made again: a new attempt.
    Remade(Remade),
    /// A device was replaced: new attempts for its terminals.
    Replaced(Replaced),
    /// Set aside.
    SetAside(SetAside),
    /// Somebody was told.
    Told(Told),
    /// Taken up again.
    TakenUp(TakenUp),
    /// A remark.
    Remark(Remark),
    /// A slip is put right.
    Corrected(Box<Corrected>),
    /// The last look before leaving.
    LastLook(LastLook),
    /// A signature.
    Signed(Signed),
    /// The visit cannot be finished.
    Abandoned(Abandoned),
    /// The visit is closed; always the last line.
    Closed(Box<Closed>),
}

impl Fact {
    /// The key under which it stands in the file.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Opened(_) => "opened",
            Self::Session(_) => "session",
            Self::Person(_) => "person",
            Self::Tool(_) => "tool",
            Self::Gates(_) => "gates",
            Self::Route(_) => "route",
            Self::BoardAmended(_) => "board_amended",
            Self::Claim(_) => "claim",
            Self::Thermal(_) => "thermal",
            Self::Drawn(_) => "drawn",
            Self::Escalated(_) => "escalated",
            Self::Code(_) => "code",
            Self::Scope(_) => "scope",
            Self::Looked(_) => "looked",
            Self::Movement(_) => "movement",
            Self::Scale(_) => "scale",
            Self::ScaleUnread(_) => "scale_unread",
            Self::ToolDoubted(_) => "tool_doubted",
            Self::ToolReleased(_) => "tool_released",
            Self::Prepared(_) => "prepared",
            Self::Entered(_) => "entered",
            Self::Torqued(_) => "torqued",
            Self::Tugged(_) => "tugged",
            Self::Marked(_) => "marked",
            Self::Decided(_) => "decided",
            Self::SettleReady(_) => "settle_ready",
            Self::SettleWaived(_) => "settle_waived",
            Self::Disturbed(_) => "disturbed",
            Self::Remade(_) => "remade",
            Self::Replaced(_) => "replaced",
            Self::SetAside(_) => "set_aside",
            Self::Told(_) => "told",
            Self::TakenUp(_) => "taken_up",
            Self::Remark(_) => "remark",
            Self::Corrected(_) => "corrected",
            Self::LastLook(_) => "last_look",
            Self::Signed(_) => "signed",
            Self::Abandoned(_) => "abandoned",
            Self::Closed(_) => "closed",
        }
    }
}
