//! The end of the fold: remarks, what is still to be read, and the outcome.

use super::Fold;
use crate::domain::calibration::Running;
use crate::domain::names::Seq;
use crate::domain::record::{Fact, Outcome, ScaleAt};
use crate::domain::tool::Validity;
use crate::domain::verdict::Verdict;
use crate::session::course::Course;
use crate::session::span::{Span, SpanEnd};
use crate::session::standing::{Informed, Need, RemarkWhy, Standing};

impl Fold<'_> {
    fn remarks(&self) -> Vec<RemarkWhy> {
        let mut remarks: Vec<RemarkWhy> = Vec::new();
        let mut add = |why: RemarkWhy| {
            if !remarks.contains(&why) {
                remarks.push(why);
            }
        };
        for t in self.earlier.iter().chain(&self.tightened) {
            match t.tool.as_ref().and_then(|id| self.visit.tool(id)).map(|held| held.tool.validity) {
                None if self.known => add(RemarkWhy::ByHand),
                None if self.is_checking() => add(RemarkWhy::NoMakersValue),
                Some(Validity::NotStated) => add(RemarkWhy::CalibrationNotStated),
                None | Some(Validity::Valid | Validity::Lapsed) => {}
            }
            let held = t.tool.as_ref().and_then(|id| self.visit.tool(id));
            match held.and_then(|held| self.visit.calibration_at(&held.tool, t.seq)) {
                Some(Running::Over) => add(RemarkWhy::CalibrationLapsed),
                Some(Running::UsedUp) => add(RemarkWhy::CalibrationUsedUp),
                Some(Running::Good | Running::NearlyOver | Running::NearlyUsedUp) | None => {}
            }
            if t.tool.as_ref().and_then(|id| self.visit.tool(id)).is_some_and(|held| held.doubted.is_some()) {
                add(RemarkWhy::ToolDoubted);
            }
            let span = t.span.as_ref().and_then(|id| self.visit.span(id));
            if span.and_then(|span| span.end_seq).is_some_and(|seq| self.put_right(seq)) {
                add(RemarkWhy::ScalePutRight);
            }
            if span.is_some_and(|span| span.after_work) {
                add(RemarkWhy::ScaleAfterWork);
            }
            match span.map(|span| &span.ended) {
                Some(SpanEnd::Reset(_)) => add(RemarkWhy::ResetOnPurpose),
                Some(SpanEnd::Unread(_)) => add(RemarkWhy::ScaleNotReadAtEnd),
                _ => {}
            }
            if t.drifted {
                add(RemarkWhy::ScaleHighWithinLimits);
            }
            if t.verdict == Verdict::ConditionalPass {
                add(RemarkWhy::ConditionalPass);
            }
        }
        if self.waived {
            add(RemarkWhy::SettleWaived);
        }
        for seen in &self.looked {
            add(seen.clone());
        }
        if self.over_kept {
            add(RemarkWhy::OverTightenedKept);
        }
        remarks.extend(self.written.iter().map(|seq| RemarkWhy::Written(*seq)));
        remarks
    }

    /// Whether a closing scale was recorded as disagreeing, which takes two like readings, and agrees since a slip.
    fn put_right(&self, seq: Seq) -> bool {
        let Some(line) = self.visit.line(seq) else { return false };
        match (&line.fact, self.visit.effective(line, None)) {
            (Fact::Scale(was), Fact::Scale(is)) => was.at == ScaleAt::End && !was.agrees && is.agrees,
            _ => false,
        }
    }

    pub(super) fn finish(self) -> Standing {
        let remarks = self.remarks();
        let scale_to_be_read = self
            .earlier
            .iter()
            .chain(&self.tightened)
            .filter_map(|t| self.visit.span(t.span.as_ref()?))
            .any(Span::is_open);
        let all_good = self.answers.iter().all(|answer| answer.is_some_and(|a| a.good));
        let need = match self.need {
            None if self.steps.is_empty() => Some(Need::Spare),
            // held under the hand, as it was found: that much can be said without a maker's value
            None if all_good && !self.known && (!self.is_checking() || self.check_moved()) => {
                Some(Need::NoMakersValue)
            }
            need => need,
        };
        let settling = self.settling();
        let outside = self.course == Course::Outside;
        let need = need.filter(|_| !outside);
        let outcome = if outside {
            Outcome::NotInScope
        } else if self.aside.is_some() {
            Outcome::SetAside
        } else if settling.is_some() {
            Outcome::Settling
        } else if need.is_some() || !all_good || scale_to_be_read {
            Outcome::Open
        } else if remarks.is_empty() {
            Outcome::Complete
        } else {
            Outcome::CompleteWithRemark
        };
        Standing {
            attempt: self.attempt,
            round: self.round,
            settling,
            rounds_before: self.rounds_before,
            steps: self.steps,
            answers: self.answers,
            need,
            // a board amended since may have made it a spare way: then nothing is set aside there any more
            aside: self.aside.filter(|_| !outside),
            told: if outside { Informed::NotYet } else { self.told },
            remarks,
            struck: self.struck,
            scale_to_be_read,
            outcome,
        }
    }
}
