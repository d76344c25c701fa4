//! Where one terminal stands: derived from the facts about it, never stored.

use super::steps::Step;
use crate::domain::clamp::SettleBasis;
use crate::domain::names::Seq;
use crate::domain::record::{AsideWhy, Attempt, Outcome};

/// A standing answer to a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Answered {
    /// Line that gave it.
    pub seq: Seq,
    /// Whether the next stage may be begun on it.
    pub good: bool,
}

/// What has to be done before anything else at this terminal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// Over-tightened: look at the strands.
    Strands,
    /// The tool did not click because the screw spins: look, and decide. `again` is possible once an attempt.
    LookAtScrew {
        /// Whether once again is still possible.
        again: bool,
    },
    /// The thread or head is stripped: replace the device, or set aside.
    Replace,
    /// The tool does not get there: set aside.
    NoAccess,
    /// Heat at the meter or the cut-out: do not touch, tell the distributor.
    Distributor,
    /// Cut back and make again, or set aside.
    Remake,
    /// Every step is answered but no maker's value is known: set aside.
    NoMakersValue,
    /// Nothing is connected here: set aside as a spare way.
    Spare,
}

/// Why an answer no longer counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StruckWhy {
    /// A later answer took its place.
    Superseded,
    /// The tug shifted.
    TugShifted,
    /// The scale stood too low at an end of its span.
    ScaleTooLow,
    /// An earlier answer was corrected, and this one no longer follows from it.
    SlipBefore,
    /// The terminal was disturbed or opened again.
    Disturbed,
    /// The board was amended there.
    Amended,
    /// A new attempt began.
    NewAttempt,
}

impl StruckWhy {
    /// As it is printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Superseded => "answered again",
            Self::TugShifted => "tug shifted",
            Self::ScaleTooLow => "scale too low",
            Self::SlipBefore => "slip before it",
            Self::Disturbed => "disturbed again",
            Self::Amended => "board amended",
            Self::NewAttempt => "new attempt",
        }
    }
}

/// An answer that no longer counts, still readable.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Struck {
    /// Line that gave it.
    pub seq: Seq,
    /// The step it answered.
    pub step: Step,
    /// Why it no longer counts.
    pub why: StruckWhy,
    /// The attempt it belonged to.
    pub attempt: Attempt,
}

/// Why a terminal is complete only with a remark.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RemarkWhy {
    /// Tightened without a torque tool.
    ByHand,
    /// Over the limit, strands sound, kept.
    OverTightenedKept,
    /// The scale stood too high at the end, but inside the maker's limits.
    ScaleHighWithinLimits,
    /// The scale was not read at the end.
    ScaleNotReadAtEnd,
    /// The scale was read only after the work.
    ScaleAfterWork,
    /// The tool was reset on purpose in between.
    ResetOnPurpose,
    /// The tool's calibration is not stated.
    CalibrationNotStated,
    /// The tool's calibration had lapsed.
    CalibrationLapsed,
    /// The operations its calibration is good for were used up.
    CalibrationUsedUp,
    /// The scale at the end disagreed and was put right as a slip afterwards.
    ScalePutRight,
    /// The tool was doubted afterwards and not released.
    ToolDoubted,
    /// The settle wait was not waited for.
    SettleWaived,
    /// Coming back: no maker's value is known; it held when tried by hand.
    NoMakersValue,
    /// Coming back: it could not be seen.
    NotSeen,
    /// Coming back: its witness mark stood offset.
    MarkOffset,
    /// Coming back: a sleeve or the insulation had shifted.
    SleeveShifted,
    /// Conditional pass.
    ConditionalPass,
    /// A remark in own words; its line.
    Written(Seq),
}

impl RemarkWhy {
    /// As it is printed.
    #[must_use]
    pub fn words(&self) -> &'static str {
        match self {
            Self::ByHand => "tightened without a torque tool",
            Self::OverTightenedKept => "over-tightened, strands sound, kept",
            Self::ScaleHighWithinLimits => "scale too high at the end, within the maker's limits",
            Self::ScaleNotReadAtEnd => "scale not read at the end",
            Self::ScaleAfterWork => "scale read only after the work",
            Self::ResetOnPurpose => "tool reset on purpose in between",
            Self::CalibrationNotStated => "calibration not stated",
            Self::CalibrationLapsed => "calibration lapsed",
            Self::CalibrationUsedUp => "operations of the calibration used up",
            Self::ScalePutRight => "closing scale put right as a slip",
            Self::ToolDoubted => "tool doubted since, not released",
            Self::SettleWaived => "settle not waited for",
            Self::NoMakersValue => "no maker's value known, tried by hand",
            Self::NotSeen => "not seen",
            Self::MarkOffset => "witness mark was offset",
            Self::SleeveShifted => "sleeve had shifted",
            Self::ConditionalPass => "conditional pass",
            Self::Written(_) => "remark",
        }
    }
}

/// Why a terminal is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OpenWhy {
    /// Nothing is done yet.
    Bare,
    /// Begun, but not made off.
    Begun,
    /// Prepared and entered.
    MadeOff,
    /// Every step is answered, the scale of its span is still to be read.
    ScaleToBeRead,
    /// Something needs the person.
    Needs(Need),
}

/// Who was told that something is set aside.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Informed {
    /// Nobody yet.
    NotYet,
    /// Nobody needed telling: a spare way.
    NobodyNeeded,
    /// This person.
    Told(String),
}

/// One-letter sign on the drawing and in the appendix; never a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Sign {
    /// `.` bare
    Bare,
    /// `M` made off
    MadeOff,
    /// `T` tightened, scale still to be read
    Tightened,
    /// `C` complete
    Complete,
    /// `R` complete with remark
    Remark,
    /// `A` set aside
    Aside,
    /// `S` settling
    Settling,
    /// `-` not in scope of a revisit or an audit
    Outside,
}

impl Sign {
    /// The letter.
    #[must_use]
    pub fn letter(self) -> char {
        match self {
            Self::Bare => '.',
            Self::MadeOff => 'M',
            Self::Tightened => 'T',
            Self::Complete => 'C',
            Self::Remark => 'R',
            Self::Aside => 'A',
            Self::Settling => 'S',
            Self::Outside => '-',
        }
    }
}

/// A wait before the same torque once more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Settling {
    /// Line of the answer it began with; its time is when the wait began.
    pub since: Seq,
    /// How long, in minutes.
    pub wait_minutes: u16,
    /// Who asks for it.
    pub basis: SettleBasis,
}

/// Where one terminal stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Standing {
    /// Attempt that counts.
    pub attempt: Attempt,
    /// 0 at making off, 1 and 2 after settling.
    pub round: u8,
    /// The wait it is in.
    pub settling: Option<Settling>,
    /// Answers of the rounds before this one; they count, and stand in order.
    pub rounds_before: Vec<(Step, Answered)>,
    /// Its steps, in order.
    pub steps: Vec<Step>,
    /// Standing answers, one a step.
    pub answers: Vec<Option<Answered>>,
    /// What has to be done first.
    pub need: Option<Need>,
    /// Why it is set aside.
    pub aside: Option<AsideWhy>,
    /// Who was told that it is set aside.
    pub told: Informed,
    /// Why it can be complete only with a remark; each once, in the order in which they arose.
    pub remarks: Vec<RemarkWhy>,
    /// Answers that no longer count, in order.
    pub struck: Vec<Struck>,
    /// A standing torque's span is open.
    pub scale_to_be_read: bool,
    /// Outcome.
    pub outcome: Outcome,
}

impl Standing {
    /// Answer to a step, if one stands.
    #[must_use]
    pub fn answer(&self, step: Step) -> Option<Answered> {
        let at = self.steps.iter().position(|s| *s == step)?;
        self.answers.get(at).copied().flatten()
    }

    /// First step without a good answer.
    #[must_use]
    pub fn next_step(&self) -> Option<Step> {
        self.steps
            .iter()
            .zip(&self.answers)
            .find(|(_, answer)| !answer.is_some_and(|a| a.good))
            .map(|(step, _)| *step)
    }

    /// Whether preparing and entry are done.
    #[must_use]
    pub fn made_off(&self) -> bool {
        self.next_step().is_none_or(|step| !step.is_making_off())
    }

    /// Whether it is checked as it was found at a coming back, with nothing made there.
    #[must_use]
    pub fn is_checked(&self) -> bool {
        self.steps.iter().any(|step| matches!(step, Step::CheckTug(_) | Step::Check { .. }))
    }

    /// Why it is open; nothing where it is not.
    #[must_use]
    pub fn open_why(&self) -> Option<OpenWhy> {
        if self.outcome != Outcome::Open {
            return None;
        }
        Some(match self.need {
            Some(need) => OpenWhy::Needs(need),
            None if self.next_step().is_none() => OpenWhy::ScaleToBeRead,
            None if self.made_off() && !self.is_checked() => OpenWhy::MadeOff,
            None if self.answers.iter().any(Option::is_some) => OpenWhy::Begun,
            None => OpenWhy::Bare,
        })
    }

    /// Its sign.
    #[must_use]
    pub fn sign(&self) -> Sign {
        match self.outcome {
            Outcome::Complete => Sign::Complete,
            Outcome::CompleteWithRemark => Sign::Remark,
            Outcome::SetAside => Sign::Aside,
            Outcome::Settling => Sign::Settling,
            Outcome::NotInScope => Sign::Outside,
            Outcome::Open if self.steps.is_empty() => Sign::Bare,
            Outcome::Open if self.next_step().is_none() && self.scale_to_be_read => Sign::Tightened,
            Outcome::Open if self.made_off() && !self.is_checked() => Sign::MadeOff,
            Outcome::Open => Sign::Bare,
        }
    }
}
