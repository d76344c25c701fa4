//! Facts that keep the visit honest: set aside, remarks, slips, last look, signatures, closing.

use super::{Fact, MarkResult, Tug};
use crate::domain::names::{PersonId, Seq, TerminalName};
use serde::{Deserialize, Serialize};

/// Why a terminal is set aside.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AsideWhy {
    /// A spare way.
    SpareWay,
    /// Cannot be reached.
    NoAccess,
    /// A source that feeds it is live.
    StillLive,
    /// No maker's value known.
    NoMakersValue,
    /// The device has to be replaced.
    ReplaceDevice,
    /// Heat at the meter or the cut-out: the distributor's to see to, not touched.
    Distributor,
    /// In own words.
    Other(String),
}

impl AsideWhy {
    /// As it is printed.
    #[must_use]
    pub fn words(&self) -> &str {
        match self {
            Self::SpareWay => "spare way",
            Self::NoAccess => "no access",
            Self::StillLive => "still live",
            Self::NoMakersValue => "no maker's value",
            Self::ReplaceDevice => "replace device",
            Self::Distributor => "for the distributor: heat at the meter or cut-out",
            Self::Other(words) => words,
        }
    }
}

/// Set aside.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SetAside {
    /// Terminals.
    pub terminals: Vec<TerminalName>,
    /// Why.
    pub why: AsideWhy,
    /// Who was told, where that was said at once.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub told: Option<String>,
}

/// Somebody was told what is set aside.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Told {
    /// Terminals.
    pub terminals: Vec<TerminalName>,
    /// Who; nothing where nobody needed telling, for spare ways only.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub whom: Option<String>,
}

/// Taken up again: the same attempt goes on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TakenUp {
    /// Terminals.
    pub terminals: Vec<TerminalName>,
    /// Why.
    pub why: String,
}

/// What a remark is about.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RemarkOn {
    /// The board as a whole.
    Board,
    /// A terminal.
    Terminal(TerminalName),
    /// An earlier remark, which this one clears or hands over.
    Remark(Seq),
}

/// A remark.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Remark {
    /// On what.
    pub on: RemarkOn,
    /// In own words; how it was cleared, where it clears one.
    pub text: String,
    /// Must be dealt with before the power goes on.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub before_power_on: bool,
    /// On an earlier remark: it is cleared.
    #[serde(skip_serializing_if = "std::ops::Not::not", default)]
    pub cleared: bool,
    /// On an earlier remark: who takes it over.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub handed_to: Option<String>,
}

/// A slip is put right.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Corrected {
    /// The line that was mistyped.
    pub seq: Seq,
    /// The one terminal of a row that it is about.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub terminal: Option<TerminalName>,
    /// What it should have said; of the same kind.
    pub fact: Fact,
    /// Why.
    pub why: String,
}

/// State of a witness mark at the last look.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MarkSeen {
    /// In line.
    Held,
    /// Offset.
    Moved,
    /// Cannot be seen.
    NotVisible,
    /// There is none.
    NotUsed,
}

impl MarkSeen {
    /// Every state, in the order in which they are listed.
    pub const ALL: [Self; 4] = [Self::Held, Self::Moved, Self::NotVisible, Self::NotUsed];

    /// The state of a word.
    #[must_use]
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|mark| mark.words() == word)
    }

    /// As it is printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Held => "held",
            Self::Moved => "moved",
            Self::NotVisible => MarkResult::NotVisible.words(),
            Self::NotUsed => MarkResult::NotUsed.words(),
        }
    }
}

/// One incoming tail at the last look.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TailLook {
    /// Its terminal.
    pub terminal: TerminalName,
    /// Tug.
    pub tug: Tug,
    /// Witness mark.
    pub mark: MarkSeen,
}

/// The last look before leaving.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LastLook {
    /// Tails tugged and looked at once more.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub tails: Vec<TailLook>,
    /// Why they were not.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub why_not: Option<String>,
    /// Shrouds, covers and blanks: in own words, or `back`.
    pub covers: String,
    /// Locks and tools counted out: in own words, or `out`.
    pub locks_and_tools_out: String,
    /// Who energised; nothing where it was not energised.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub energised_by: Option<String>,
}

/// A signature.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Signed {
    /// Who.
    pub person: PersonId,
    /// As what: `done by`, `countersigned by`.
    #[serde(rename = "as")]
    pub capacity: String,
}

/// The visit cannot be finished.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Abandoned {
    /// Why.
    pub why: String,
    /// Who was told.
    pub told: String,
}

/// Where a terminal stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// Something is still to be done or read.
    Open,
    /// Waiting to be tightened once more.
    Settling,
    /// Every step has a good answer and every scale agrees.
    Complete,
    /// Complete, with something an inspector should read.
    CompleteWithRemark,
    /// Set aside with a reason.
    SetAside,
    /// Not part of this revisit or audit: nothing was to be done there.
    NotInScope,
}

impl Outcome {
    /// As it is printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Settling => "settling",
            Self::Complete => "complete",
            Self::CompleteWithRemark => "complete with remark",
            Self::SetAside => "set aside",
            Self::NotInScope => "not in scope",
        }
    }
}

/// Outcome of one terminal at closing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TerminalOutcome {
    /// Terminal.
    pub terminal: TerminalName,
    /// Where it stands.
    pub outcome: Outcome,
    /// Set aside: why. With remark: the remarks.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub why: Option<String>,
    /// Set aside: who was told; nothing where nobody needed telling.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub told: Option<String>,
}

/// Answers by how they were entered; each fact counts once for each terminal or conductor it names.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EnteredCounts {
    /// One by one.
    pub singly: u32,
    /// A way at once.
    pub way: u32,
    /// A place at once.
    pub place: u32,
    /// A row at once.
    pub row: u32,
    /// From notes.
    pub notes: u32,
    /// In a rehearsal.
    pub rehearsed: u32,
}

/// How fast it went, from the walls clock of the facts; sessions apart.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pace {
    /// Seconds between the first and the last fact of each session, added up.
    pub seconds_at_work: u64,
    /// Terminals that ended complete, with or without remark.
    pub terminals: u32,
}

/// The visit is closed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Closed {
    /// Lines of the record, this one included.
    pub lines: u64,
    /// Every terminal, in board order.
    pub outcomes: Vec<TerminalOutcome>,
    /// How answers were entered.
    pub entered: EnteredCounts,
    /// How fast it went.
    pub pace: Pace,
}
