//! What is found on a check, at a revisit or an audit, and how it changes the steps from there on.
//!
//! A terminal that is come back to begins with look, tug and the tool. What is found decides what comes next; nothing
//! else does. Heat has the consequence of the place where it is. *Came out* is a remake and never a settle.

use super::{Fold, Tightened};
use crate::domain::board::Board;
use crate::domain::clamp::{Clamp, Settle, SettleBasis};
use crate::domain::limits::Limits;
use crate::domain::names::Seq;
use crate::domain::record::{
    Fact, HeatAt, LookResult, Looked, Mark, Moved, Movement, Torqued, Turned, VisitKind,
};
use crate::domain::verdict::Verdict;
use crate::session::course::{Course, SETTLE_MINUTES};
use crate::session::standing::{Answered, Need, RemarkWhy, StruckWhy};
use crate::session::steps::{Stage, Step, steps_of};

/// The waits of a terminal, by the board that holds.
#[derive(Clone, Debug, Default)]
pub(super) struct Waits {
    /// How long and who asks; nothing where nothing settles.
    pub(super) rule: Option<Settle>,
    /// Its clamp asks for one wherever it is made off.
    pub(super) at_making_off: bool,
}

/// The waits of a clamp: its own rule, else at a revisit own practice for what moved; none where a second torque is
/// forbidden. An audit finds and does not settle.
pub(super) fn waits(kind: VisitKind, clamp: &Clamp) -> Waits {
    let own = Settle { wait_minutes: SETTLE_MINUTES, basis: SettleBasis::OwnPractice };
    let own = (kind == VisitKind::Revisit && clamp.kind.has_screw()).then_some(own);
    let none = clamp.second_torque_forbidden || kind == VisitKind::Audit;
    Waits { rule: clamp.settle.clone().or(own).filter(|_| !none), at_making_off: clamp.settle.is_some() }
}

impl Fold<'_> {
    /// Whether it is still checked, with nothing done to it.
    pub(super) fn is_checking(&self) -> bool {
        self.steps.iter().any(|step| matches!(step, Step::CheckTug(_) | Step::Check { .. }))
    }

    /// From here on the waits are those of this board.
    pub(super) fn waits_by(&mut self, board: &Board) {
        let clamp = board.terminal(&self.terminal.name).and_then(|terminal| board.clamp(terminal));
        if let Some(clamp) = clamp {
            self.waits = waits(self.visit.kind(), clamp);
        }
    }

    /// The step a torque fact answers.
    pub(super) fn torque_step(&self, f: &Torqued) -> Step {
        let screw = f.screw.unwrap_or(1);
        let check = Step::Check { screw };
        if self.steps.contains(&check) { check } else { Step::Torque { screw, pass: f.pass.unwrap_or(1) } }
    }

    /// The step a tug of a conductor answers.
    pub(super) fn tug_step(&self, nth: usize) -> Step {
        let check = Step::CheckTug(nth);
        if self.steps.contains(&check) { check } else { Step::Tug(nth) }
    }

    /// Other steps in the place of those there are. Answers to steps that remain stand; what is no longer a step is
    /// struck out.
    fn steps_now(&mut self, steps: Vec<Step>, why: StruckWhy) {
        self.strike_where(why, |step| !steps.contains(&step));
        let answers: Vec<Option<Answered>> = steps
            .iter()
            .map(|step| self.place(*step).and_then(|at| self.answers.get(at).copied().flatten()))
            .collect();
        self.steps = steps;
        self.answers = answers;
    }

    fn made_off_steps(&self) -> Vec<Step> {
        self.visit.clamp(self.index).map_or_else(Vec::new, |clamp| steps_of(self.terminal, clamp))
    }

    /// A look: what was seen, and the one thing that follows from the gravest of it.
    pub(super) fn looked(&mut self, f: &Looked, seq: Seq) {
        let need = match &f.result {
            LookResult::NotAccessible => Some(Need::NoAccess),
            LookResult::Sound | LookResult::NotSeen => None,
            LookResult::Found(marks) => match f.result.heat() {
                Some(HeatAt::MeterOrCutOut) => Some(Need::Distributor),
                Some(HeatAt::ClampOrDevice) => Some(Need::Replace),
                Some(HeatAt::Insulation) => Some(Need::Remake),
                None => marks.contains(&Mark::StrandsDamaged).then_some(Need::Remake),
            },
        };
        // once it is taken up again, what was in the way is looked at anew
        let again = matches!(need, Some(Need::NoAccess | Need::Distributor));
        if !self.answer(Step::Look, seq, !again) {
            return;
        }
        self.looked = match &f.result {
            LookResult::NotSeen => vec![RemarkWhy::NotSeen],
            other => {
                [(Mark::MarkOffset, RemarkWhy::MarkOffset), (Mark::SleeveShifted, RemarkWhy::SleeveShifted)]
                    .into_iter()
                    .filter(|(mark, _)| other.marks().contains(mark))
                    .map(|(_, why)| why)
                    .collect()
            }
        };
        if let Some(need) = need {
            self.set_need(need);
        }
    }

    /// Under a tool that did not tighten. At a revisit what moved has still to be tightened, so the step stays open; at
    /// an audit it is what was found, and the step is answered.
    pub(super) fn movement(&mut self, f: &Movement, seq: Seq) {
        let step = Step::Check { screw: f.screw.unwrap_or(1) };
        let answered = f.found == Moved::Held || self.visit.kind() == VisitKind::Audit;
        if !self.answer(step, seq, answered) {
            return;
        }
        self.tightened.retain(|t| t.step != step);
        if self.visit.kind() == VisitKind::Audit && f.found == Moved::Loose {
            self.set_need(Need::Remake);
        }
        if answered {
            self.tightened.push(Tightened {
                seq,
                step,
                tool: Some(f.tool.clone()),
                span: f.span.clone(),
                limits: Limits::unknown(),
                verdict: Verdict::NotJudged,
                drifted: false,
            });
        }
    }

    /// What the screw did before the tool spoke, at a check: what moved gets a new mark and settles.
    pub(super) fn check_turned(&mut self, step: Step, turned: Option<Turned>, good: bool) {
        let moved = good && turned == Some(Turned::Moved) && matches!(step, Step::Check { .. });
        if !moved || self.visit.kind() != VisitKind::Revisit {
            return;
        }
        if !self.steps.contains(&Step::Mark) {
            self.steps.push(Step::Mark);
            self.answers.push(None);
        }
    }

    /// Whether a screw that stands answered at a check moved before the tool spoke.
    pub(super) fn check_moved(&self) -> bool {
        let moved = |seq: Seq| {
            let line = self.visit.line(seq).map(|line| self.visit.effective(line, Some(&self.terminal.name)));
            matches!(line, Some(Fact::Torqued(f)) if f.turned == Some(Turned::Moved))
        };
        let checks = self.steps.iter().zip(&self.answers).filter(|(step, _)| step.stage() == Stage::Check);
        checks.filter_map(|(_, answer)| *answer).any(|answer| answer.good && moved(answer.seq))
    }

    /// A tug shifted as it was found: those ends are looked at again, and the terminal is tightened, tugged and marked
    /// anew in the same attempt. A second time is a remake, as at making off.
    pub(super) fn shifted_at_check(&mut self, stood: &[usize]) {
        self.shifted = true;
        let again = self.made_off_steps().into_iter().filter(|step| match step {
            Step::Prepare(_) => false,
            Step::Enter(nth) => stood.contains(nth),
            _ => true,
        });
        let steps = std::iter::once(Step::Look).chain(again).collect();
        self.steps_now(steps, StruckWhy::TugShifted);
    }

    /// A conductor was taken out in this visit: it is entered anew, and all that follows.
    pub(super) fn taken_out(&mut self) {
        if self.is_checking() {
            let again = self.made_off_steps().into_iter().filter(|step| !matches!(step, Step::Prepare(_)));
            let steps = again.collect();
            self.steps_now(steps, StruckWhy::Disturbed);
        }
    }

    /// The wait after a check is over: torque, tug and mark as after any settling.
    pub(super) fn tighten_after_check(&mut self) {
        for (step, slot) in self.steps.iter().zip(self.answers.iter_mut()) {
            if *step != Step::Look
                && let Some(answer) = slot.take()
            {
                self.rounds_before.push((*step, answer));
            }
        }
        let again = self.made_off_steps().into_iter().filter(|step| step.stage() >= Stage::Torque);
        let steps = std::iter::once(Step::Look).chain(again).collect();
        self.steps_now(steps, StruckWhy::Superseded);
    }

    /// A new attempt is made off like any other; an end that was not cut back keeps its earlier preparation.
    pub(super) fn made_off_again(&mut self, cut: Option<&[usize]>) {
        if self.course == Course::Check {
            self.looked.clear();
            let kept = |nth: usize| cut.is_some_and(|cut| !cut.contains(&nth));
            let asked_before = |step: Step| self.steps.contains(&step);
            let steps = self
                .made_off_steps()
                .into_iter()
                .filter(|step| !matches!(step, Step::Prepare(nth) if kept(*nth) && !asked_before(*step)))
                .collect();
            self.steps_now(steps, StruckWhy::NewAttempt);
        }
    }
}
