//! Where a terminal stands, worked out from the facts about it in the order of the record.
//!
//! The fold is total: an answer that no longer follows from what stands before it (because an earlier one was
//! corrected) is struck out here and nowhere else, so putting a slip right brings answers back by itself.

mod coming_back;
mod finish;
mod scales;
mod settle;
mod turns;

use super::course::{Course, course_of, first_steps};
use super::reckoned::{judged_now, lies};
use super::span::{Span, SpanEnd};
use super::standing::{Answered, Informed, Need, RemarkWhy, Standing, Struck, StruckWhy};
use super::steps::{Stage, Step};
use super::visit::{TerminalIndex, Visit};
use crate::domain::board::{Board, Terminal};
use crate::domain::limits::{Lies, Limits};
use crate::domain::names::{ConductorName, Seq, SpanId, TerminalName, ToolId};
use crate::domain::record::{
    AsideWhy, Attempt, Fact, Line, NotClicked, TorqueResult, Torqued, Tug, Tugged, VisitKind,
};
use crate::domain::verdict::Verdict;
use coming_back::Waits;

/// Derives one terminal; nothing where the visit has no such terminal.
pub(super) fn derive(visit: &Visit, index: TerminalIndex) -> Option<Standing> {
    let terminal = visit.terminal(index)?;
    let clamp = visit.clamp(index)?;
    let (course, attempt) = course_of(visit, index);
    let steps = first_steps(visit, index);
    // an audit looks and tugs whatever is known of the maker's value
    let known = visit.kind() == VisitKind::Audit
        || !clamp.kind.has_screw()
        || clamp.torque_for(&terminal.conductors).is_some();
    let mut fold = Fold {
        visit,
        terminal,
        index,
        known,
        // an audit tightens nothing: what was only tried can be tried again
        forbidden: clamp.second_torque_forbidden
            && clamp.kind.has_screw()
            && visit.kind() != VisitKind::Audit,
        answers: vec![None; steps.len()],
        tightened: Vec::new(),
        steps,
        course,
        attempt,
        waits: coming_back::waits(visit.kind(), clamp),
        looked: Vec::new(),
        round: 0,
        moved: false,
        waived: false,
        rounds_before: Vec::new(),
        earlier: Vec::new(),
        need: None,
        used_again: false,
        shifted: false,
        over_kept: false,
        after_strands: None,
        aside: None,
        told: Informed::NotYet,
        written: Vec::new(),
        struck: Vec::new(),
    };
    // what settled before the board was amended went by the rule of that time
    if let Some(board) = first_board(visit, &terminal.name) {
        fold.waits_by(board);
    }
    for line in visit.lines_about(index) {
        fold.take(line);
    }
    Some(fold.finish())
}

/// The board on which a terminal stood first.
fn first_board<'a>(visit: &'a Visit, name: &TerminalName) -> Option<&'a Board> {
    let mut boards = visit.lines().iter().filter_map(|line| match &line.fact {
        Fact::Opened(opened) => Some(&opened.board),
        Fact::BoardAmended(amended) => Some(&amended.board),
        _ => None,
    });
    boards.find(|board| board.terminal(name).is_some())
}

/// What a standing torque was done with.
struct Tightened {
    seq: Seq,
    step: Step,
    tool: Option<ToolId>,
    span: Option<SpanId>,
    limits: Limits,
    verdict: Verdict,
    drifted: bool,
}

#[allow(clippy::struct_excessive_bools, reason = "each is one yes or no of the tables, read in one place")]
struct Fold<'a> {
    visit: &'a Visit,
    terminal: &'a Terminal,
    index: TerminalIndex,
    known: bool,
    forbidden: bool,
    steps: Vec<Step>,
    answers: Vec<Option<Answered>>,
    tightened: Vec<Tightened>,
    course: Course,
    attempt: Attempt,
    waits: Waits,
    looked: Vec<RemarkWhy>,
    round: u8,
    moved: bool,
    waived: bool,
    rounds_before: Vec<(Step, Answered)>,
    earlier: Vec<Tightened>,
    need: Option<Need>,
    used_again: bool,
    shifted: bool,
    over_kept: bool,
    after_strands: Option<Need>,
    aside: Option<AsideWhy>,
    told: Informed,
    written: Vec<Seq>,
    struck: Vec<Struck>,
}

impl Fold<'_> {
    fn take(&mut self, line: &Line) {
        let seq = line.seq;
        match self.visit.effective(line, Some(&self.terminal.name)) {
            Fact::Prepared(f) if f.attempt == self.attempt => {
                for nth in self.mine(&f.conductors) {
                    self.answer(Step::Prepare(nth), seq, true);
                }
            }
            Fact::Entered(f) if f.attempt == self.attempt => {
                for nth in self.mine(&f.conductors) {
                    self.answer(Step::Enter(nth), seq, f.right);
                }
            }
            Fact::Torqued(f) if f.attempt == self.attempt => self.torqued(f, seq),
            Fact::Tugged(f) if f.attempt == self.attempt => self.tugged(f, seq),
            Fact::Marked(f) if f.attempt == self.attempt && f.round == self.round => {
                self.answer(Step::Mark, seq, true);
            }
            Fact::Looked(f) if f.attempt == self.attempt => self.looked(f, seq),
            Fact::Movement(f) if f.attempt == self.attempt => self.movement(f, seq),
            Fact::SettleReady(_) => self.next_round(),
            Fact::SettleWaived(_) => self.waived = self.waived || (self.is_settling() && self.tugs_firm()),
            Fact::Decided(f) => self.decided(f),
            Fact::Disturbed(f) => self.disturbed(f),
            Fact::Remade(f) => self.new_attempt(f.attempt, Some(&f.conductors)),
            Fact::Replaced(f) => {
                let at = f.terminals.iter().position(|name| *name == self.terminal.name);
                let attempt = at.and_then(|at| f.attempts.get(at)).copied();
                self.new_attempt(attempt.unwrap_or_else(|| self.attempt.next()), None);
            }
            Fact::SetAside(f) => {
                self.aside = Some(f.why.clone());
                self.told = f.told.clone().map_or(Informed::NotYet, Informed::Told);
            }
            // of what is not set aside, but hot, somebody by name is told
            Fact::Told(f) if self.aside.is_some() || f.whom.is_some() => {
                self.told = f.whom.clone().map_or(Informed::NobodyNeeded, Informed::Told);
            }
            Fact::TakenUp(_) => {
                self.aside = None;
                for found in [&mut self.need, &mut self.after_strands] {
                    if matches!(found, Some(Need::NoAccess | Need::Distributor)) {
                        *found = None;
                    }
                }
                self.told = Informed::NotYet;
            }
            Fact::Scale(f) => self.scale(f),
            Fact::Remark(_) => self.written.push(seq),
            Fact::LastLook(f) => self.last_look(f),
            Fact::BoardAmended(amended) => self.amended(&amended.board, seq),
            // Earlier attempts, and kinds that are not about one terminal's steps.
            _ => {}
        }
    }

    fn mine(&self, conductors: &[ConductorName]) -> Vec<usize> {
        conductors
            .iter()
            .filter_map(|name| self.visit.find_conductor(name))
            .filter(|(index, _)| *index == self.index)
            .map(|(_, nth)| nth)
            .collect()
    }

    fn place(&self, step: Step) -> Option<usize> {
        self.steps.iter().position(|s| *s == step)
    }

    fn is_good(&self, step: Step) -> bool {
        self.place(step).and_then(|at| self.answers.get(at).copied().flatten()).is_some_and(|a| a.good)
    }

    fn permitted(&self, step: Step) -> bool {
        if self.need.is_some() {
            return false;
        }
        if let Step::Enter(nth) = step {
            let prepare = Step::Prepare(nth);
            return self.place(prepare).is_none() || self.is_good(prepare);
        }
        let earlier = |other: &Step| match (other, step) {
            (Step::Torque { .. }, Step::Torque { .. }) | (Step::Check { .. }, Step::Check { .. }) => {
                self.place(*other) < self.place(step)
            }
            _ => other.stage() < step.stage(),
        };
        self.steps.iter().filter(|other| earlier(other)).all(|other| self.is_good(*other))
    }

    /// Puts an answer in its place; says whether it stands.
    fn answer(&mut self, step: Step, seq: Seq, good: bool) -> bool {
        let Some(at) = self.place(step) else { return false };
        if !self.permitted(step) {
            self.strike(seq, step, StruckWhy::SlipBefore);
            return false;
        }
        if let Some(old) = self.answers.get(at).copied().flatten() {
            self.strike(old.seq, step, StruckWhy::Superseded);
            if old.good && step.is_torque() {
                self.strike_steps_from(at.saturating_add(1), StruckWhy::Superseded);
            } else if old.good {
                self.strike_after(step.stage(), StruckWhy::Superseded);
            }
        }
        if let Some(slot) = self.answers.get_mut(at) {
            *slot = Some(Answered { seq, good });
        }
        true
    }

    fn strike(&mut self, seq: Seq, step: Step, why: StruckWhy) {
        self.struck.push(Struck { seq, step, why, attempt: self.attempt });
    }

    fn strike_where(&mut self, why: StruckWhy, matches: impl Fn(Step) -> bool) {
        let mut gone = Vec::new();
        for (step, slot) in self.steps.iter().zip(self.answers.iter_mut()) {
            if matches(*step)
                && let Some(answer) = slot.take()
            {
                gone.push((answer.seq, *step));
            }
        }
        for (seq, step) in gone {
            self.strike(seq, step, why);
        }
        let standing: Vec<Step> = self.steps.iter().copied().filter(|step| !matches(*step)).collect();
        self.tightened.retain(|t| standing.contains(&t.step));
    }

    fn strike_from(&mut self, stage: Stage, why: StruckWhy) {
        self.strike_where(why, |step| step.stage() >= stage);
    }

    fn strike_after(&mut self, stage: Stage, why: StruckWhy) {
        self.strike_where(why, |step| step.stage() > stage);
    }

    /// Strikes the step at a place and every one after it.
    fn strike_steps_from(&mut self, place: usize, why: StruckWhy) {
        let later = self.steps.get(place..).unwrap_or_default().to_vec();
        self.strike_where(why, |step| later.contains(&step));
    }

    fn set_need(&mut self, need: Need) {
        match (need, self.need) {
            (_, Some(Need::Remake | Need::Replace)) => {}
            // asked before what was found earlier, and that again after it
            (Need::Strands, earlier) if earlier != Some(Need::Strands) => {
                self.after_strands = earlier;
                self.need = Some(need);
            }
            _ => self.need = Some(need),
        }
    }

    fn torqued(&mut self, f: &Torqued, seq: Seq) {
        let step = self.torque_step(f);
        let span = f.span.as_ref().and_then(|id| self.visit.span(id));
        let start_off =
            span.filter(|span| !span.start_agrees).map(|span| Span::disagreeing(&span.start, &span.required));
        let now = judged_now(self.visit, f);
        let place = match &f.result {
            // a click fails only where its tool was put right since
            TorqueResult::Reading { .. } | TorqueResult::Clicked => lies(&now),
            TorqueResult::NotClicked { .. } | TorqueResult::ByHand => Lies::Within,
        };
        let good = !matches!(f.result, TorqueResult::NotClicked { .. }) && place != Lies::Below;
        if good && start_off == Some(SpanEnd::TooLow) {
            self.strike(seq, step, StruckWhy::ScaleTooLow);
            if self.forbidden {
                self.set_need(Need::Remake);
            }
            return;
        }
        if f.round != self.round {
            self.strike(seq, step, StruckWhy::SlipBefore);
            return;
        }
        if !self.answer(step, seq, good) {
            return;
        }
        self.settle_turned(f.turned, good);
        self.check_turned(step, f.turned, good);
        let start_high = span.filter(|_| good && start_off == Some(SpanEnd::TooHigh)).map(|span| span.start);
        let held = f.tool.as_ref().and_then(|id| self.visit.tool(id)).map(|held| &held.tool);
        let start_over = start_high.is_some_and(|read| scales::above(held, &f.limits, &read));
        self.tightened.retain(|t| t.step != step);
        if good {
            self.tightened.push(Tightened {
                seq,
                step,
                tool: f.tool.clone(),
                span: f.span.clone(),
                limits: f.limits.clone(),
                verdict: now.verdict,
                drifted: start_high.is_some() && !start_over,
            });
        }
        match f.result {
            TorqueResult::NotClicked { why: NotClicked::Spins } => {
                self.set_need(Need::LookAtScrew { again: !self.used_again });
            }
            TorqueResult::NotClicked { why: NotClicked::Stripped } => self.set_need(Need::Replace),
            TorqueResult::NotClicked { why: NotClicked::NoAccess } => self.set_need(Need::NoAccess),
            TorqueResult::Clicked | TorqueResult::Reading { .. } | TorqueResult::ByHand => {}
        }
        if place == Lies::Above || start_over {
            self.set_need(Need::Strands);
        }
        // it was tightened to the click: once more would be the second time
        if place == Lies::Below && f.result == TorqueResult::Clicked && self.forbidden {
            self.set_need(Need::Remake);
        }
    }

    fn tugged(&mut self, f: &Tugged, seq: Seq) {
        let mut stood = Vec::new();
        for nth in self.mine(&f.conductors) {
            let moved_once = f.result == Tug::Shifted && self.round == 1;
            let step = self.tug_step(nth);
            if f.round != self.round {
                self.strike(seq, step, StruckWhy::SlipBefore);
            } else if self.answer(step, seq, f.result == Tug::Firm || moved_once) {
                stood.push(nth);
            }
        }
        if stood.is_empty() || f.result == Tug::Firm {
            return;
        }
        if f.result == Tug::Shifted && self.round == 1 {
            self.moved = true;
            return;
        }
        if self.visit.kind() == VisitKind::Audit {
            self.set_need(Need::Remake);
            return;
        }
        if f.result == Tug::Shifted && self.is_checking() && !self.forbidden {
            self.shifted_at_check(&stood);
            return;
        }
        if f.result == Tug::Shifted && self.round == 0 && !self.shifted && !self.forbidden {
            self.shifted = true;
            self.strike_where(StruckWhy::TugShifted, |step| match step {
                Step::Enter(nth) => stood.contains(&nth),
                _ => step.stage() >= Stage::Torque,
            });
        } else {
            self.set_need(Need::Remake);
        }
    }
}
