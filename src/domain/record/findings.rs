//! Facts about what was found at terminals: decisions, settling, disturbance, remakes, replacements.

use super::Attempt;
use crate::domain::names::{ConductorName, DeviceName, TerminalName};
use serde::{Deserialize, Serialize};

/// What is decided about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum About {
    /// A reading or a scale above the limit.
    OverTightened,
    /// The tool did not click.
    NotClicked,
    /// A tug that was not firm.
    Tug,
    /// Heat marks.
    Heat,
    /// Done with a tool doubted since.
    DoubtedTool,
}

/// State of the strands after over-tightening.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Strands {
    /// Looked at: sound.
    Sound,
    /// Looked at: cut or nearly.
    Cut,
}

/// What is done about it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DecidedTo {
    /// Leave it so, with a remark.
    Keep,
    /// Once again.
    Again,
    /// Cut back and make again.
    Remake,
    /// Replace the device.
    Replace,
    /// Set aside.
    SetAside,
}

/// A finding was looked at and decided upon.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Decided {
    /// Terminal.
    pub terminal: TerminalName,
    /// About what.
    pub about: About,
    /// Strands, where they had to be looked at.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub strands: Option<Strands>,
    /// What is done.
    pub choice: DecidedTo,
    /// In own words; may be empty.
    pub remark: String,
}

/// How a settle wait is known to be over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SettleKnown {
    /// By the clock.
    Timed,
    /// The person says so.
    Stated,
}

/// A settle wait is over.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SettleReady {
    /// Terminal.
    pub terminal: TerminalName,
    /// How that is known.
    pub how: SettleKnown,
}

/// A settle wait was not waited for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SettleWaived {
    /// Terminal.
    pub terminal: TerminalName,
    /// Why.
    pub why: String,
}

/// How conductors were disturbed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DisturbedHow {
    /// Bent.
    Flexed,
    /// Twisted.
    Twisted,
    /// Moved elsewhere.
    Repositioned,
    /// Taken out and terminated again.
    ReTerminated,
    /// The clamp was opened.
    Opened,
}

impl DisturbedHow {
    /// Every way, in the order in which they are listed.
    pub const ALL: [Self; 5] =
        [Self::Flexed, Self::Twisted, Self::Repositioned, Self::ReTerminated, Self::Opened];

    /// The trade's words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Flexed => "flexed",
            Self::Twisted => "twisted",
            Self::Repositioned => "repositioned",
            Self::ReTerminated => "taken out and re-terminated",
            Self::Opened => "clamp opened",
        }
    }
}

/// Yes, no or not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Known {
    /// Yes.
    Yes,
    /// No.
    No,
    /// Not known.
    NotKnown,
}

impl Known {
    /// Every answer, in the order in which they are listed.
    pub const ALL: [Self; 3] = [Self::Yes, Self::No, Self::NotKnown];

    /// As it is shown and printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::No => "no",
            Self::NotKnown => "not known",
        }
    }
}

/// Opened or moved again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Disturbed {
    /// Terminals.
    pub terminals: Vec<TerminalName>,
    /// How.
    pub how: DisturbedHow,
    /// By whom.
    pub by: String,
    /// Whether they checked the tightness; never shrinks the scope.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub checked_by_them: Option<Known>,
    /// Why.
    pub why: String,
}

/// Cut back and made again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Remade {
    /// Terminal.
    pub terminal: TerminalName,
    /// The attempt that begins.
    pub attempt: Attempt,
    /// Conductors cut back; the preparation of the others is carried over.
    #[serde(rename = "for")]
    pub conductors: Vec<ConductorName>,
    /// Why.
    pub why: String,
}

/// A device was replaced.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Replaced {
    /// Device.
    pub device: DeviceName,
    /// Its terminals.
    pub terminals: Vec<TerminalName>,
    /// The attempts that begin, in the same order.
    pub attempts: Vec<Attempt>,
    /// Why.
    pub why: String,
}
