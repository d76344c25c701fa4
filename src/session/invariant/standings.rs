//! Where every terminal stands now: numbers 2, 3, 4, 7, 8, 9 and 14.

use super::super::course::{Course, course_of};
use super::super::reckoned::verdict_now;
use super::super::span::SpanEnd;
use super::super::standing::{Answered, Informed, Standing};
use super::super::steps::{Stage, Step, check_steps_of, steps_of};
use super::super::visit::{Ended, TerminalIndex, Visit};
use super::lines::attempt_of;
use super::{Broken, holds};
use crate::domain::board::Terminal;
use crate::domain::record::{
    AsideWhy, Fact, LastLook, LookResult, Mark, Moved, Outcome, TorqueResult, Tug, VisitKind,
};
use crate::domain::verdict::Verdict;

/// Looks at every terminal, then at the closing.
pub(super) fn check(visit: &Visit) -> Result<(), Broken> {
    let counts = visit.counts();
    let board = visit.board().map_or(0, |board| board.terminals.len());
    let out = counts.not_in_scope;
    let sum = [counts.open, counts.settling, counts.complete, counts.with_remark, counts.aside, out]
        .into_iter()
        .fold(0_usize, usize::saturating_add);
    holds(2, sum == board && counts.all == board, || format!("{sum} outcomes at {board} terminals"))?;
    for (at, terminal, standing) in visit.terminals() {
        let here = Here { visit, at, terminal, standing };
        here.outcome()?;
        here.proved()?;
        here.order()?;
        here.of_attempt()?;
        here.settling()?;
        here.second_torque()?;
    }
    closing(visit)
}

struct Here<'a> {
    visit: &'a Visit,
    at: TerminalIndex,
    terminal: &'a Terminal,
    standing: &'a Standing,
}

impl<'a> Here<'a> {
    fn holds(&self, number: u8, good: bool, what: &str) -> Result<(), Broken> {
        holds(number, good, || format!("{}: {what}", self.terminal.name))
    }

    fn finished(&self) -> bool {
        matches!(self.standing.outcome, Outcome::Complete | Outcome::CompleteWithRemark)
    }

    fn answers(&self) -> impl Iterator<Item = (Step, Answered)> {
        self.standing.steps.iter().zip(&self.standing.answers).filter_map(|(step, a)| Some((*step, (*a)?)))
    }

    /// What the line of an answer says, slips put right.
    fn fact(&self, answer: Answered) -> Option<&'a Fact> {
        let line = self.visit.line(answer.seq)?;
        Some(self.visit.effective(line, Some(&self.terminal.name)))
    }

    fn outcome(&self) -> Result<(), Broken> {
        let standing = self.standing;
        let aside = standing.outcome == Outcome::SetAside;
        self.holds(
            2,
            aside == standing.aside.is_some(),
            "set aside without a reason, or the other way round",
        )?;
        let same = self.steps_fit() && standing.steps.len() == standing.answers.len();
        self.holds(3, same, "its steps are not those of its clamp")?;
        let outside = course_of(self.visit, self.at).0 == Course::Outside;
        self.holds(2, outside == (standing.outcome == Outcome::NotInScope), "in scope and not, at once")?;
        let nobody = standing.told == Informed::NobodyNeeded;
        self.holds(14, !nobody || standing.aside == Some(AsideWhy::SpareWay), "nobody told, but no spare way")
    }

    /// Steps of its course; of one that is checked, those of a check or of what a finding put in its place.
    fn steps_fit(&self) -> bool {
        let Some(clamp) = self.visit.clamp(self.at) else { return false };
        let all = steps_of(self.terminal, clamp);
        let steps = &self.standing.steps;
        match course_of(self.visit, self.at).0 {
            Course::MakeOff => *steps == all,
            Course::Outside => steps.is_empty(),
            // an audit finds and mends nothing: its steps are those of its part and its draw, and no others
            Course::Check if self.visit.kind() == VisitKind::Audit => {
                *steps == crate::session::audit::steps_at(self.visit, self.at)
            }
            Course::Check => {
                let check = check_steps_of(self.terminal, clamp);
                let rest = |from: &[Step]| steps.iter().all(|step| from.contains(step));
                let with = |from: Vec<Step>, step: Step| from.into_iter().chain([step]).collect::<Vec<_>>();
                rest(&with(check, Step::Mark)) || rest(&with(all, Step::Look))
            }
        }
    }

    fn proved(&self) -> Result<(), Broken> {
        if !self.finished() {
            return Ok(());
        }
        let standing = self.standing;
        self.holds(3, !standing.steps.is_empty(), "complete without a step")?;
        let good = standing.answers.iter().all(|answer| answer.is_some_and(|a| a.good));
        self.holds(3, good, "complete without a good answer to every step")?;
        self.holds(3, standing.need.is_none(), "complete although something is needed first")?;
        for (step, answer) in self.answers() {
            let struck = standing.struck.iter().any(|s| s.seq == answer.seq && s.step == step);
            self.holds(3, !struck, "complete on a struck-out answer")?;
            let bad = || Broken { number: 3, what: format!("line {} does not exist", answer.seq) };
            self.good_answer(self.fact(answer).ok_or_else(bad)?)?;
        }
        let remarked = standing.outcome == Outcome::CompleteWithRemark;
        self.holds(3, remarked != standing.remarks.is_empty(), "remarks and outcome differ")
    }

    fn good_answer(&self, fact: &Fact) -> Result<(), Broken> {
        let complete = self.standing.outcome == Outcome::Complete;
        match fact {
            Fact::Prepared(_) | Fact::Marked(_) => Ok(()),
            Fact::Looked(fact) => {
                let heat =
                    fact.result.heat().is_some() || fact.result.marks().contains(&Mark::StrandsDamaged);
                self.holds(3, !heat, "complete on a look that asks for a remake or more")?;
                let clean = fact.result == LookResult::Sound;
                self.holds(3, !complete || clean, "complete without remark on a look that was not sound")
            }
            Fact::Movement(fact) => {
                let audit = self.visit.kind() == VisitKind::Audit;
                self.holds(3, audit || fact.found == Moved::Held, "complete on a screw that moved")
            }
            Fact::Entered(fact) => self.holds(3, fact.right, "complete on an entry that is not right"),
            Fact::Tugged(fact) => {
                self.holds(3, fact.result == Tug::Firm, "complete on a tug that is not firm")
            }
            Fact::Torqued(fact) => {
                let clicked = !matches!(fact.result, TorqueResult::NotClicked { .. });
                self.holds(3, clicked, "complete although it did not click")?;
                let by_hand = fact.result == TorqueResult::ByHand;
                self.holds(3, !(complete && by_hand), "tightened by hand and complete without remark")?;
                let verdict = verdict_now(self.visit, fact);
                let passed = verdict.stands() && verdict != Verdict::ConditionalPass;
                self.holds(3, !complete || passed, "complete without remark on a verdict that is no pass")?;
                let tool = fact.tool.as_ref().and_then(|tool| self.visit.tool(tool));
                let proves = tool.is_none_or(|held| held.tool.proves());
                self.holds(
                    3,
                    !complete || proves,
                    "complete without remark with a tool that proves nothing",
                )?;
                let Some(span) = fact.span.as_ref().and_then(|span| self.visit.span(span)) else {
                    return Ok(());
                };
                let agrees = span.ended == SpanEnd::Agreed && span.start_agrees;
                self.holds(3, !complete || agrees, "complete, but its span does not agree at both ends")?;
                let low = span.ended == SpanEnd::TooLow || (!span.start_agrees && span.start < span.required);
                self.holds(3, !span.is_open() && !low, "complete, but the scale of its span is open or low")
            }
            other => self.holds(3, false, &format!("complete on a {}", other.kind())),
        }
    }

    fn order(&self) -> Result<(), Broken> {
        let mut passed: Option<(Stage, u64)> = None;
        let mut gap: Option<Stage> = None;
        let torques_in_order = self.answers().filter(|(step, _)| step.stage() == Stage::Torque);
        let seqs: Vec<u64> = torques_in_order.map(|(_, answer)| answer.seq.0).collect();
        self.holds(4, seqs.is_sorted(), "screws not in their order")?;
        for (step, answer) in self.standing.steps.iter().zip(&self.standing.answers) {
            let stage = step.stage();
            if let Some(answer) = answer {
                let later = gap.is_some_and(|gap| stage > gap);
                self.holds(4, !later, "a later step stands although an earlier one does not")?;
                let carried = matches!(step, Step::Prepare(_));
                let before = passed.filter(|(s, seq)| *s < stage && *seq > answer.seq.0 && !carried);
                self.holds(4, before.is_none(), "a later step was answered before an earlier one")?;
                passed = passed.max(Some((stage, answer.seq.0)));
            }
            if !answer.is_some_and(|a| a.good) {
                gap = gap.or(Some(stage));
            }
        }
        for nth in 0..self.terminal.conductors.len() {
            // come back to and entered anew, an end keeps the preparation of the earlier record
            if !self.standing.steps.contains(&Step::Prepare(nth)) {
                continue;
            }
            let prepared = self.standing.answer(Step::Prepare(nth)).map(|a| a.seq);
            let entered = self.standing.answer(Step::Enter(nth)).map(|a| a.seq);
            let fits = entered.is_none() || prepared.is_some_and(|p| entered > Some(p));
            self.holds(4, fits, "entered before it was prepared")?;
        }
        Ok(())
    }

    fn of_attempt(&self) -> Result<(), Broken> {
        let mut attempts = course_of(self.visit, self.at).1.0;
        for line in self.visit.lines_about(self.at) {
            let begins = match &line.fact {
                Fact::Remade(remade) => remade.terminal == self.terminal.name,
                Fact::Replaced(replaced) => replaced.terminals.contains(&self.terminal.name),
                _ => false,
            };
            attempts = attempts.saturating_add(u32::from(begins));
        }
        self.holds(
            7,
            self.standing.attempt.0 == attempts,
            "stands at another attempt than it was remade to",
        )?;
        for (step, answer) in self.answers() {
            let attempt = self.fact(answer).and_then(attempt_of);
            let carried = matches!(step, Step::Prepare(_)) && attempt < Some(self.standing.attempt);
            let counts = attempt == Some(self.standing.attempt) || carried;
            self.holds(7, counts, "an answer of an earlier attempt counts")?;
        }
        Ok(())
    }

    fn settling(&self) -> Result<(), Broken> {
        let round = self.answers().filter_map(|(_, answer)| match self.fact(answer)? {
            Fact::Torqued(fact) => Some(fact.round),
            Fact::Tugged(fact) => Some(fact.round),
            Fact::Marked(fact) => Some(fact.round),
            _ => None,
        });
        let round = round.max().unwrap_or(0);
        self.holds(8, round <= 2, "a third settle round")?;
        if self.standing.outcome != Outcome::Settling {
            return Ok(());
        }
        let clamp = self.visit.clamp(self.at);
        let revisit = self.visit.kind() == VisitKind::Revisit;
        let asked =
            clamp.is_some_and(|clamp| (clamp.settle.is_some() || revisit) && !clamp.second_torque_forbidden);
        self.holds(8, asked, "settles although nobody asks for it, or a second torque is forbidden")?;
        let of_stage = |stage| self.standing.steps.iter().filter(move |step| step.stage() == stage);
        let good = of_stage(Stage::Torque)
            .chain(of_stage(Stage::Tug))
            .chain(of_stage(Stage::CheckTug))
            .chain(of_stage(Stage::Check))
            .all(|step| self.standing.answer(*step).is_some_and(|answer| answer.good));
        self.holds(8, good, "settles without a good torque and tug before")
    }

    fn second_torque(&self) -> Result<(), Broken> {
        let forbidden = self.visit.clamp(self.at).is_some_and(|clamp| clamp.second_torque_forbidden);
        if !forbidden {
            return Ok(());
        }
        let mut screws: Vec<Option<u8>> = Vec::new();
        for line in self.visit.lines_about(self.at) {
            // what was done on another clamp, before the board was amended here, stands no more
            if matches!(line.fact, Fact::BoardAmended(_)) {
                screws.clear();
                continue;
            }
            let struck = self.standing.struck.iter().any(|struck| struck.seq == line.seq);
            let Fact::Torqued(fact) = self.visit.effective(line, Some(&self.terminal.name)) else { continue };
            let counts = fact.attempt == self.standing.attempt && fact.result == TorqueResult::Clicked;
            if counts && !struck {
                screws.push(fact.screw);
            }
        }
        let all = screws.len();
        screws.sort_unstable();
        screws.dedup();
        self.holds(9, screws.len() == all, "two standing clicks although a second torque is forbidden")
    }
}

fn closing(visit: &Visit) -> Result<(), Broken> {
    let Some(Ended::Closed(seq)) = visit.ended() else { return Ok(()) };
    let Some(Fact::Closed(closed)) = visit.line(seq).map(|line| &line.fact) else {
        return Err(Broken { number: 14, what: format!("line {seq} does not close the visit") });
    };
    holds(14, closed.lines == seq.0, || format!("{} lines said, {seq} written", closed.lines))?;
    let open = visit.open_spans().map(|span| span.id.0.as_str()).collect::<Vec<_>>();
    holds(14, open.is_empty(), || format!("closed with open spans {open:?}"))?;
    for (_, terminal, standing) in visit.terminals() {
        let name = &terminal.name;
        let ended = !matches!(standing.outcome, Outcome::Open | Outcome::Settling);
        holds(14, ended, || format!("closed with {name} {:?}", standing.outcome))?;
        let told = standing.aside.is_none() || standing.told != Informed::NotYet;
        holds(14, told, || format!("closed, and nobody was told of {name}"))?;
        holds(14, standing.need.is_none() || standing.aside.is_some(), || format!("{name} needs something"))?;
    }
    let look = visit.last_look().map(|(_, look)| look);
    holds(14, look.is_some_and(|look| looked(visit, look)), || "closed without the last look".into())?;
    let waiting = visit.power_on().iter().find(|remark| remark.dealt_with.is_none());
    holds(14, waiting.is_none(), || "closed with a remark waiting for power on".into())?;
    holds(14, !visit.signed().is_empty(), || "closed without a signature".into())?;
    let said = closed.outcomes.iter().map(|o| (&o.terminal, o.outcome));
    let is = visit.terminals().map(|(_, terminal, standing)| (&terminal.name, standing.outcome));
    holds(14, said.eq(is), || "the outcomes said differ from those recomputed".into())
}

/// Whether every tail that is not set aside was looked at, or there is a word why not.
fn looked(visit: &Visit, look: &LastLook) -> bool {
    let mut tails = visit
        .terminals()
        .filter(|(_, terminal, s)| terminal.tail && s.aside.is_none() && s.outcome != Outcome::NotInScope);
    look.why_not.is_some()
        || tails.all(|(_, tail, _)| look.tails.iter().any(|seen| seen.terminal == tail.name))
}
