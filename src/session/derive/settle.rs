//! Settling: a wait, the same torque once more, and whether the screw moved. Moved twice: remake (our own rule).

use super::Fold;
use crate::domain::limits::Basis;
use crate::domain::names::Seq;
use crate::domain::record::{Fact, Tug, Turned};
use crate::session::standing::{Need, Settling, StruckWhy};
use crate::session::steps::Stage;

/// Rounds after which a screw that still moves has to be remade. Our own rule.
const ROUNDS_MAX: u8 = 2;

impl Fold<'_> {
    /// Whether every step is good and a wait is still to come.
    pub(super) fn is_settling(&self) -> bool {
        let good = self.answers.iter().all(|answer| answer.is_some_and(|a| a.good));
        // at a coming back only what moved settles, whatever the clamp asks for at making off
        let checking = self.is_checking();
        let first = self.round == 0 && !checking && self.waits.at_making_off;
        let moved = if checking { self.check_moved() } else { self.moved };
        let again = first || (moved && self.round < ROUNDS_MAX);
        self.waits.rule.is_some()
            && !self.steps.is_empty()
            && self.judged_by_a_value()
            && good
            && self.need.is_none()
            && !self.waived
            && again
    }

    /// Whether a maker's value was known where it was tightened. The board may have been amended since: what was answered
    /// before goes by what was known then.
    fn judged_by_a_value(&self) -> bool {
        self.tightened.iter().all(|t| {
            let fact =
                self.visit.line(t.seq).map(|line| self.visit.effective(line, Some(&self.terminal.name)));
            !matches!(fact, Some(Fact::Torqued(f)) if f.limits.basis == Basis::None)
        })
    }

    /// Whether every tug that stands was firm: one that shifted after settling only goes on to the next round.
    pub(super) fn tugs_firm(&self) -> bool {
        self.steps
            .iter()
            .zip(&self.answers)
            .filter(|(step, _)| matches!(step.stage(), Stage::Tug | Stage::CheckTug))
            .all(|(_, answer)| {
                let line = answer.and_then(|answer| self.visit.line(answer.seq));
                let fact = line.map(|line| self.visit.effective(line, Some(&self.terminal.name)));
                matches!(fact, Some(Fact::Tugged(f)) if f.result == Tug::Firm)
            })
    }

    /// The wait is over: torque, tug and mark are answered once more.
    pub(super) fn next_round(&mut self) {
        if !self.is_settling() {
            return;
        }
        self.round = self.round.saturating_add(1);
        self.moved = false;
        self.earlier.append(&mut self.tightened);
        if self.is_checking() {
            self.tighten_after_check();
            return;
        }
        for (step, slot) in self.steps.iter().zip(self.answers.iter_mut()) {
            if step.stage() >= Stage::Torque
                && let Some(answer) = slot.take()
            {
                self.rounds_before.push((*step, answer));
            }
        }
    }

    /// What the screw did under the same torque.
    pub(super) fn settle_turned(&mut self, turned: Option<Turned>, good: bool) {
        if self.round == 0 || !good {
            return;
        }
        self.moved = self.moved || turned == Some(Turned::Moved);
        if self.moved && self.round >= ROUNDS_MAX {
            self.set_need(Need::Remake);
        }
    }

    /// Strikes the rounds before this one and begins again at making off.
    pub(super) fn strike_rounds(&mut self, why: StruckWhy) {
        for (step, answer) in std::mem::take(&mut self.rounds_before) {
            self.strike(answer.seq, step, why);
        }
        self.earlier.clear();
        self.round = 0;
        self.moved = false;
        self.waived = false;
    }

    /// The wait it is in.
    pub(super) fn settling(&self) -> Option<Settling> {
        let settle = self.waits.rule.as_ref().filter(|_| self.is_settling() && self.aside.is_none())?;
        let since = self.answers.iter().flatten().map(|answer| answer.seq).max().unwrap_or(Seq(0));
        Some(Settling { since, wait_minutes: settle.wait_minutes, basis: settle.basis })
    }
}
