//! The word for a torque: *as set*, *not as set*, or the verdict that was recorded, with every doubt beside it.
//!
//! Derived, never stored: the tool's validity and both ends of the span may be put right as slips after the torque
//! was recorded. A limit's verdict is taken from the record and only withheld where the scales cannot carry it.

use super::decide::judged;
use super::reckoned::verdict_now;
use super::span::SpanEnd;
use super::visit::{TerminalIndex, Visit};
use crate::domain::calibration::Running;
use crate::domain::limits::Basis;
use crate::domain::names::Seq;
use crate::domain::record::{Fact, TorqueResult, Torqued};
use crate::domain::tool::Validity;
use crate::domain::verdict::Verdict;

/// What can be said of a torque.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TorqueWord {
    /// Set as required on a valid tool, read back at both ends. Nothing more is claimed.
    AsSet,
    /// Within the maker's limits.
    Pass,
    /// Within, but not beyond doubt.
    ConditionalPass,
    /// The span's end is still to be read.
    ScaleToBeRead,
    /// Tightened, but that it was done at the required setting is not shown.
    NotAsSet,
    /// Outside, but not beyond doubt.
    ConditionalFail,
    /// Outside the limits.
    Fail,
    /// Nothing to judge: no maker's value, or the tool did not click.
    NotJudged,
}

impl TorqueWord {
    fn of(verdict: Verdict) -> Self {
        match verdict {
            Verdict::BySetting => Self::AsSet,
            Verdict::Pass => Self::Pass,
            Verdict::ConditionalPass => Self::ConditionalPass,
            Verdict::ConditionalFail => Self::ConditionalFail,
            Verdict::Fail => Self::Fail,
            Verdict::NotJudged => Self::NotJudged,
        }
    }

    /// As it is printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::AsSet => "as set",
            Self::Pass => "pass",
            Self::ConditionalPass => "conditional pass",
            Self::ScaleToBeRead => "scale to be read",
            Self::NotAsSet => "not as set",
            Self::ConditionalFail => "conditional fail",
            Self::Fail => "fail",
            Self::NotJudged => "not judged",
        }
    }
}

/// What stands beside the word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TorqueDoubt {
    /// Tightened without a torque tool.
    ByHand,
    /// No maker's value known.
    NoMakersValue,
    /// The tool did not click.
    NotClicked,
    /// The tool's calibration is not stated.
    CalibrationNotStated,
    /// The tool's calibration had lapsed.
    CalibrationLapsed,
    /// The operations its calibration is good for were used up.
    CalibrationUsedUp,
    /// The tool was doubted since and not released.
    ToolDoubted,
    /// The scale was read only after the work.
    ScaleAfterWork,
    /// The scale could not be read at the end.
    ScaleNotReadAtEnd,
    /// The tool was turned on purpose in between.
    ResetOnPurpose,
    /// The scale stood too low.
    ScaleTooLow,
    /// The scale stood too high.
    ScaleTooHigh,
}

impl TorqueDoubt {
    /// As it is printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::ByHand => "by hand",
            Self::NoMakersValue => "no maker's value",
            Self::NotClicked => "did not click",
            Self::CalibrationNotStated => "calibration not stated",
            Self::CalibrationLapsed => "calibration lapsed",
            Self::CalibrationUsedUp => "operations of the calibration used up",
            Self::ToolDoubted => "tool doubted since",
            Self::ScaleAfterWork => "scale read only after the work",
            Self::ScaleNotReadAtEnd => "scale not read at the end",
            Self::ResetOnPurpose => "reset on purpose",
            Self::ScaleTooLow => "scale too low",
            Self::ScaleTooHigh => "scale too high",
        }
    }
}

/// A word with its doubts, each once.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct TorqueSaid {
    /// The word.
    pub word: TorqueWord,
    /// Why not better, or what stands against it.
    pub doubts: Vec<TorqueDoubt>,
}

impl TorqueSaid {
    /// As it is printed: `as set`, `not as set: calibration lapsed, reset on purpose`.
    #[must_use]
    pub fn words(&self) -> String {
        let doubts: Vec<&str> = self.doubts.iter().map(|doubt| doubt.words()).collect();
        if doubts.is_empty() {
            self.word.words().to_owned()
        } else {
            format!("{}: {}", self.word.words(), doubts.join(", "))
        }
    }
}

/// What can be said of one torque, as it stands with slips put right.
#[must_use]
pub fn said_of(visit: &Visit, seq: Seq, torqued: &Torqued) -> TorqueSaid {
    let known = torqued.limits.basis != Basis::None;
    let not_clicked = matches!(torqued.result, TorqueResult::NotClicked { .. });
    if not_clicked || !known {
        let mut doubts = Vec::new();
        if !known {
            doubts.push(TorqueDoubt::NoMakersValue);
        }
        if not_clicked {
            doubts.push(TorqueDoubt::NotClicked);
        } else if torqued.result == TorqueResult::ByHand {
            doubts.push(TorqueDoubt::ByHand);
        }
        return TorqueSaid { word: TorqueWord::NotJudged, doubts };
    }
    let Some(held) = torqued.tool.as_ref().and_then(|id| visit.tool(id)) else {
        return TorqueSaid { word: TorqueWord::NotAsSet, doubts: vec![TorqueDoubt::ByHand] };
    };
    let mut word = TorqueWord::of(verdict_now(visit, torqued));
    let mut doubts = Vec::new();
    if held.tool.validity == Validity::NotStated {
        doubts.push(TorqueDoubt::CalibrationNotStated);
    }
    match visit.calibration_at(&held.tool, seq) {
        Some(Running::Over) => doubts.push(TorqueDoubt::CalibrationLapsed),
        Some(Running::UsedUp) => doubts.push(TorqueDoubt::CalibrationUsedUp),
        Some(Running::Good | Running::NearlyOver | Running::NearlyUsedUp) | None => {}
    }
    if held.doubted.is_some() {
        doubts.push(TorqueDoubt::ToolDoubted);
    }
    if word == TorqueWord::AsSet && !doubts.is_empty() {
        word = TorqueWord::NotAsSet;
    }
    let by_scale = by_scale(visit, torqued);
    if let Some((scale, doubt)) = by_scale {
        word = word.max(scale);
        doubts.extend(doubt);
    }
    TorqueSaid { word, doubts }
}

/// What the scales of its span make of it; nothing where both ends agree or no scale decides.
fn by_scale(visit: &Visit, torqued: &Torqued) -> Option<(TorqueWord, Option<TorqueDoubt>)> {
    let span = visit.span(torqued.span.as_ref()?)?;
    let (end, read) = if span.start_agrees {
        (span.ended.clone(), span.end)
    } else {
        (super::span::Span::disagreeing(&span.start, &span.required), Some(span.start))
    };
    Some(match end {
        // As set needs both ends; there was none before the work.
        SpanEnd::Agreed if span.after_work => (TorqueWord::NotAsSet, Some(TorqueDoubt::ScaleAfterWork)),
        SpanEnd::Agreed => return None,
        SpanEnd::Open => (TorqueWord::ScaleToBeRead, None),
        SpanEnd::Reset(_) => (TorqueWord::NotAsSet, Some(TorqueDoubt::ResetOnPurpose)),
        SpanEnd::Unread(_) => (TorqueWord::NotAsSet, Some(TorqueDoubt::ScaleNotReadAtEnd)),
        SpanEnd::TooLow => (TorqueWord::NotAsSet, Some(TorqueDoubt::ScaleTooLow)),
        SpanEnd::TooHigh => {
            let limits = &torqued.limits;
            let tool = visit.tool(&span.tool).map(|held| &held.tool);
            let applied = tool.zip(read).map(|(tool, read)| tool.applied(&read, None));
            let word = match applied.filter(|_| limits.upper.is_some()) {
                Some(applied) => TorqueWord::of(judged(visit, limits, &applied)),
                None => TorqueWord::NotAsSet,
            };
            (word, Some(TorqueDoubt::ScaleTooHigh))
        }
    })
}

/// Every torque of a terminal that counts, with its line: those of the rounds before a settling first, then the
/// standing ones in the order of their steps.
#[must_use]
pub fn standing_torques(visit: &Visit, at: TerminalIndex) -> Vec<(Seq, &Torqued)> {
    let (Some(terminal), Some(standing)) = (visit.terminal(at), visit.standing(at)) else {
        return Vec::new();
    };
    let before = standing.rounds_before.iter().map(|(step, answer)| (*step, answer.seq));
    let now =
        standing.steps.iter().filter_map(|step| standing.answer(*step).map(|answer| (*step, answer.seq)));
    before
        .chain(now)
        .filter(|(step, _)| step.is_torque())
        .filter_map(|(_, seq)| {
            let line = visit.line(seq)?;
            match visit.effective(line, Some(&terminal.name)) {
                Fact::Torqued(torqued) => Some((line.seq, &**torqued)),
                _ => None,
            }
        })
        .collect()
}

/// What can be said of a terminal: the worst of its standing torques; nothing where there is none.
#[must_use]
pub fn said_at(visit: &Visit, at: TerminalIndex) -> Option<TorqueSaid> {
    let said: Vec<TorqueSaid> =
        standing_torques(visit, at).into_iter().map(|(seq, torqued)| said_of(visit, seq, torqued)).collect();
    let word = said.iter().map(|said| said.word).max()?;
    let mut doubts: Vec<TorqueDoubt> = said.into_iter().flat_map(|said| said.doubts).collect();
    doubts.sort_unstable();
    doubts.dedup();
    Some(TorqueSaid { word, doubts })
}
