//! Facts of a coming back, shared by the revisit and the audit: what the eye saw at a terminal, and what the screw did
//! under a tool that was not there to tighten it.
//!
//! A `looked` fact is about one look at a terminal: it names everything seen there, once. A `movement` fact is what was
//! *found* under the tool; it is never judged by tightening limits, and no tightening rests on it. What was *done* with
//! the same tool (a full torque, with its setting, limits and verdict) stands in `torqued`, whose `turned` says whether
//! the screw held or moved before the tool spoke. So a revisit with a setting tool writes `torqued`, and `movement`
//! only where nothing was tightened to the maker's value: the torque at first movement on an indicating tool, or, in an
//! audit, a check below the full torque. Deliberately absent: what follows from either; `session::derive` says that.

use super::{Attempt, Mode, Turned};
use crate::domain::names::{SpanId, TerminalName, ToolId};
use crate::domain::torque::{Torque, Unit, decimal_text};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// Where heat left its marks. Each place has a consequence of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HeatAt {
    /// On the insulation only: cut back, remake.
    Insulation,
    /// On the clamp or the device: replace the device; never new copper into a ruined clamp.
    ClampOrDevice,
    /// At the meter or the cut-out: do not touch; tell the distributor.
    MeterOrCutOut,
}

impl HeatAt {
    /// Every place, in the order in which they are listed.
    pub const ALL: [Self; 3] = [Self::Insulation, Self::ClampOrDevice, Self::MeterOrCutOut];

    /// The trade's words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Insulation => "heat on the insulation",
            Self::ClampOrDevice => "heat on the clamp or device",
            Self::MeterOrCutOut => "heat at the meter or cut-out",
        }
    }

    /// What it leads to, in words.
    #[must_use]
    pub fn consequence(self) -> &'static str {
        match self {
            Self::Insulation => "cut back and remake",
            Self::ClampOrDevice => "set aside: replace device",
            Self::MeterOrCutOut => "do not touch, tell the distributor",
        }
    }
}

/// One thing seen at a terminal that is not as it should be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Mark {
    /// Marks of heat.
    Heat(HeatAt),
    /// A sleeve or the insulation has shifted.
    SleeveShifted,
    /// The witness mark is offset: the screw has turned since.
    MarkOffset,
    /// Strands are damaged: cut back, remake.
    StrandsDamaged,
}

impl Mark {
    /// Everything that can be seen, in the order in which it is listed.
    pub const ALL: [Self; 6] = [
        Self::Heat(HeatAt::Insulation),
        Self::Heat(HeatAt::ClampOrDevice),
        Self::Heat(HeatAt::MeterOrCutOut),
        Self::SleeveShifted,
        Self::MarkOffset,
        Self::StrandsDamaged,
    ];

    /// The trade's words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Heat(at) => at.words(),
            Self::SleeveShifted => "sleeve shifted",
            Self::MarkOffset => "witness mark offset",
            Self::StrandsDamaged => "strands damaged",
        }
    }
}

/// What a look showed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LookResult {
    /// Sound: no heat, nothing shifted, the mark in line where there is one, no strand damaged.
    Sound,
    /// Something was seen; at least one, each once.
    Found(Vec<Mark>),
    /// It is there, but could not be seen.
    NotSeen,
    /// It could not be got at.
    NotAccessible,
}

impl LookResult {
    /// In words, as shown and printed.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Sound => "sound".into(),
            Self::Found(marks) => marks.iter().map(|mark| mark.words()).collect::<Vec<_>>().join(", "),
            Self::NotSeen => "not seen".into(),
            Self::NotAccessible => "not accessible".into(),
        }
    }

    /// What was found; nothing where it was sound, not seen or not accessible.
    #[must_use]
    pub fn marks(&self) -> &[Mark] {
        match self {
            Self::Found(marks) => marks,
            Self::Sound | Self::NotSeen | Self::NotAccessible => &[],
        }
    }

    /// The heat found that has the gravest consequence.
    #[must_use]
    pub fn heat(&self) -> Option<HeatAt> {
        let has = |at: HeatAt| self.marks().contains(&Mark::Heat(at));
        HeatAt::ALL.into_iter().rev().find(|at| has(*at))
    }
}

/// A terminal was looked at.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Looked {
    /// Terminals; several only where the same was seen at all of them.
    pub terminals: Vec<TerminalName>,
    /// Attempt.
    pub attempt: Attempt,
    /// What was seen.
    pub result: LookResult,
    /// Looked at without touching, because it is or may be live; who decided so.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub untouched: Option<Untouched>,
    /// How it was entered.
    pub mode: Mode,
    /// How many the person counted and typed; where a place was told at once.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub count: Option<u32>,
}

/// A look without touching.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Untouched {
    /// Who decided to look at it live.
    pub decided_by: String,
}

/// What the screw did under a tool that did not tighten it to the maker's value.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Moved {
    /// It held at what the tool stood at or was taken to.
    Held,
    /// It moved before that; how far is not said.
    Moved,
    /// It moved first at this torque, read on an indicating tool.
    First {
        /// The digits as typed.
        text: String,
        /// Their value.
        #[serde(with = "decimal_text")]
        value: Decimal,
        /// Unit of the tool.
        unit: Unit,
    },
    /// It turned loose: no torque to speak of.
    Loose,
}

impl Moved {
    /// Held or moved; loose and first movement are movement.
    #[must_use]
    pub fn turned(&self) -> Turned {
        if *self == Self::Held { Turned::Held } else { Turned::Moved }
    }

    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Held => "held".into(),
            Self::Moved => "moved".into(),
            Self::First { text, unit, .. } => format!("moved first at {text} {unit}"),
            Self::Loose => "loose".into(),
        }
    }
}

/// What was found under the tool. Never judged by tightening limits.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Movement {
    /// Terminal.
    pub terminal: TerminalName,
    /// Which screw, 1 or 2, where there are two.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub screw: Option<u8>,
    /// Attempt.
    pub attempt: Attempt,
    /// Tool.
    pub tool: ToolId,
    /// Its serial number, so that a search needs no other line.
    pub serial: String,
    /// Span of a setting or fixed tool; an indicating tool has none.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub span: Option<SpanId>,
    /// What the tool stood at, or was taken to at most.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub at: Option<Torque>,
    /// What the screw did.
    pub found: Moved,
    /// What was applied the last time, where that is recorded; a first movement is shown as loss from it.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub earlier: Option<Torque>,
    /// How it was entered.
    pub mode: Mode,
}

impl Movement {
    /// Up to which torque the screw was tried: what was read at its first movement, else what the tool stood at.
    #[must_use]
    pub fn tried_to(&self) -> Option<Torque> {
        match &self.found {
            Moved::First { value, unit, .. } => Some(Torque::new(*value, *unit)),
            Moved::Held | Moved::Moved | Moved::Loose => self.at,
        }
    }

    /// Loss from the earlier applied torque to the first movement, in whole per cent of the earlier one; nothing where
    /// either is not known. A gain is negative. Shown, never judged: the torque at first movement rests on friction.
    #[must_use]
    pub fn loss_percent(&self) -> Option<i32> {
        let Moved::First { value, unit, .. } = &self.found else { return None };
        let earlier = self.earlier.as_ref()?;
        let first = Torque::new(*value, *unit).exact_nm();
        let before = earlier.exact_nm();
        crate::domain::exact::loss_percent(&before, &first)
    }
}
