//! Facts about terminals: what was done and what was seen.

use crate::domain::conductor::{AluminiumCare, Preparation};
use crate::domain::limits::Limits;
use crate::domain::names::{ConductorName, SpanId, TerminalName, ToolId};
use crate::domain::torque::{Torque, Unit, decimal_text, decimal_text_option};
use crate::domain::verdict::Verdict;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// Number of an attempt at a terminal, from 1; counted without limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Attempt(pub u32);

impl Attempt {
    /// The first.
    pub const FIRST: Self = Self(1);

    /// The one after this.
    #[must_use]
    pub fn next(self) -> Self {
        Self(self.0.saturating_add(1))
    }
}

/// How answers were entered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Mode {
    /// One by one, at the board.
    Singly,
    /// A way at once.
    Way,
    /// A place at once.
    Place,
    /// A row at once, after the work.
    Row,
    /// Afterwards, from notes.
    Notes,
    /// In a rehearsal.
    Rehearsed,
}

/// Ends were prepared.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Prepared {
    /// Conductors.
    #[serde(rename = "for")]
    pub conductors: Vec<ConductorName>,
    /// Attempt.
    pub attempt: Attempt,
    /// How.
    pub how: Preparation,
    /// What was done to aluminium.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub aluminium: Vec<AluminiumCare>,
    /// How it was entered.
    pub mode: Mode,
}

/// What can be wrong with an entered end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum EntryFault {
    /// The conductor belongs elsewhere.
    WrongCircuit,
    /// Beside the clamp instead of in it.
    BesideClamp,
    /// A strand stands outside.
    StrandOutside,
    /// Insulation is under the clamp.
    InsulationUnder,
}

impl EntryFault {
    /// Every fault, in the order in which they are listed.
    pub const ALL: [Self; 4] =
        [Self::WrongCircuit, Self::BesideClamp, Self::StrandOutside, Self::InsulationUnder];

    /// The trade's words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::WrongCircuit => "wrong circuit",
            Self::BesideClamp => "beside the clamp",
            Self::StrandOutside => "strand outside",
            Self::InsulationUnder => "insulation under the clamp",
        }
    }
}

/// Ends were entered and looked at; a finger, link or stab was seated (its conductor name is the terminal's).
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entered {
    /// Conductors.
    #[serde(rename = "for")]
    pub conductors: Vec<ConductorName>,
    /// Attempt.
    pub attempt: Attempt,
    /// Right circuit, right side, every strand in, no insulation under it; a finger: seated.
    pub right: bool,
    /// What is wrong, where it is not right.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub fault: Option<EntryFault>,
    /// How it was entered.
    pub mode: Mode,
}

/// Why a tool did not click.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum NotClicked {
    /// The screw turns on.
    Spins,
    /// Thread or head is stripped.
    Stripped,
    /// The tool does not get there.
    NoAccess,
}

impl NotClicked {
    /// Every reason, in the order in which they are listed.
    pub const ALL: [Self; 3] = [Self::Spins, Self::Stripped, Self::NoAccess];

    /// The trade's words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Spins => "spins",
            Self::Stripped => "stripped",
            Self::NoAccess => "no access",
        }
    }
}

/// What the tool said.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum TorqueResult {
    /// It clicked at its setting.
    Clicked,
    /// It did not.
    NotClicked {
        /// Why.
        why: NotClicked,
    },
    /// An indicating tool showed this.
    Reading {
        /// As typed.
        text: String,
        /// Its number.
        #[serde(with = "decimal_text")]
        value: Decimal,
        /// Its unit.
        unit: Unit,
    },
    /// Tightened without a torque tool; never *as set*.
    ByHand,
}

/// Whether the screw turned before the tool spoke; settle rounds, and the full torque of a coming back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Turned {
    /// It did not.
    Held,
    /// It did.
    Moved,
}

impl Turned {
    /// The trade's words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Held => "held",
            Self::Moved => "moved",
        }
    }
}

/// What was really applied, as it was reckoned when it was judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AppliedTorque {
    /// How much, rounded to 9 digits after the point.
    #[serde(with = "decimal_text")]
    pub value: Decimal,
    /// Unit of both.
    pub unit: Unit,
    /// Half-width of the interval that covers 95.45 % of its error, rounded likewise; nothing where nothing is stated
    /// of it.
    #[serde(with = "decimal_text_option", skip_serializing_if = "Option::is_none", default)]
    pub w: Option<Decimal>,
}

/// A screw was tightened.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Torqued {
    /// Terminals; one, unless entered by the row.
    pub terminals: Vec<TerminalName>,
    /// Which screw, 1 or 2, where there are two.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub screw: Option<u8>,
    /// 2 where the first screw is tightened again after the second.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub pass: Option<u8>,
    /// Attempt.
    pub attempt: Attempt,
    /// 0 at making off, 1 and 2 after settling.
    pub round: u8,
    /// Tool; nothing by hand.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub tool: Option<ToolId>,
    /// Its serial number, so that a search needs no other line.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub serial: Option<String>,
    /// Span of a setting or fixed tool.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub span: Option<SpanId>,
    /// What the tool said.
    pub result: TorqueResult,
    /// What was really applied, as far as it is reckoned; nothing where the tool did not speak.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub applied: Option<AppliedTorque>,
    /// Settle rounds, and a coming back: whether the screw turned.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub turned: Option<Turned>,
    /// What was aimed at, as the maker states it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub aim: Option<Torque>,
    /// What had to be set on the tool.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub required: Option<Torque>,
    /// Limits it was judged by.
    pub limits: Limits,
    /// Version of the rules it was judged by.
    pub rules: u32,
    /// Verdict.
    pub verdict: Verdict,
    /// How it was entered.
    pub mode: Mode,
    /// Terminals tightened, counted and typed by the person; row entry only.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub count: Option<u32>,
    /// Terminals of the row that were not good or not done, named by the person; row entry only.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub exceptions: Vec<TerminalName>,
}

impl Torqued {
    /// Operations of the tool: one for each terminal at which it clicked or showed a reading. A screw that spun is none.
    #[must_use]
    pub fn operations(&self) -> u64 {
        match self.result {
            TorqueResult::Clicked | TorqueResult::Reading { .. } => {
                u64::try_from(self.terminals.len()).unwrap_or(u64::MAX)
            }
            TorqueResult::NotClicked { .. } | TorqueResult::ByHand => 0,
        }
    }
}

/// What a tug showed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Tug {
    /// It holds.
    Firm,
    /// It shifted.
    Shifted,
    /// It came out.
    CameOut,
    /// Strands broke.
    StrandsBroke,
}

impl Tug {
    /// Every finding, in the order in which they are listed.
    pub const ALL: [Self; 4] = [Self::Firm, Self::Shifted, Self::CameOut, Self::StrandsBroke];

    /// The finding of a word.
    #[must_use]
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|tug| tug.words() == word)
    }

    /// The trade's words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Firm => "firm",
            Self::Shifted => "shifted",
            Self::CameOut => "came out",
            Self::StrandsBroke => "strands broke",
        }
    }
}

/// Conductors were tugged.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tugged {
    /// Conductors.
    #[serde(rename = "for")]
    pub conductors: Vec<ConductorName>,
    /// Attempt.
    pub attempt: Attempt,
    /// Round.
    pub round: u8,
    /// What it showed.
    pub result: Tug,
    /// How it was entered.
    pub mode: Mode,
    /// How many the person counted and typed; where a place was told at once.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub count: Option<u32>,
}

/// The witness mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MarkResult {
    /// Made.
    Made,
    /// Made or not, it could not be seen there.
    NotVisible,
    /// Not used.
    NotUsed,
}

impl MarkResult {
    /// Every answer, in the order in which they are listed.
    pub const ALL: [Self; 3] = [Self::Made, Self::NotVisible, Self::NotUsed];

    /// The answer of a word.
    #[must_use]
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|mark| mark.words() == word)
    }

    /// The trade's words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Made => "made",
            Self::NotVisible => "not visible",
            Self::NotUsed => "not used",
        }
    }
}

/// Witness marks.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Marked {
    /// Terminals.
    pub terminals: Vec<TerminalName>,
    /// Attempt.
    pub attempt: Attempt,
    /// Round.
    pub round: u8,
    /// Made, not visible or not used.
    pub result: MarkResult,
    /// How it was entered.
    pub mode: Mode,
}
