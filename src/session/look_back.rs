//! What stands in a record as done with a tool, and what becomes of it when the tool is found out.
//!
//! Only torques that count in the record are here: what was struck out or done again is no longer in the clamp. Deliberately
//! absent: the days that are in question, which the history of the tool gives, and every decision, which a person makes.

use super::as_set::{TorqueWord, said_of, standing_torques};
use super::decide::step_of;
use super::visit::Visit;
use crate::domain::limits::{Basis, Limits};
use crate::domain::names::TerminalName;
use crate::domain::reckon::line::Straight;
use crate::domain::reckon::look_back::{AsFound, Fate, Off};
use crate::domain::record::{Fact, Moved, Movement, TorqueResult, Torqued};
use crate::domain::tool::{Adapter, Tool};
use crate::domain::torque::{Torque, Unit};
use crate::domain::verdict::{DecisionRule, Verdict};
use rust_decimal::Decimal;

/// A torque that counts in a record, done with a tool.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DoneWith {
    /// Serial number of the tool.
    pub serial: String,
    /// Where.
    pub terminal: TerminalName,
    /// Day, `2026-03-02`.
    pub day: String,
    /// Day of the calibration the tool was stated with; nothing where none was.
    pub calibrated: Option<String>,
    /// What the tool was set to, or what was read on it.
    pub said: Torque,
    /// Whether it was read on the tool.
    pub read: bool,
    /// The screw was only tried with it, at a coming back: nothing was judged.
    pub tried: bool,
    /// Step in which it was written down where that is coarser than the tool's own, in the tool's unit; else zero.
    pub recorded_step: Decimal,
    /// Adapter in line, where one was stated.
    pub adapter: Option<Adapter>,
    /// The maker's value that was aimed at.
    pub aim: Option<Torque>,
    /// Limits it was judged by.
    pub limits: Limits,
    /// Rule of its visit.
    pub rule: DecisionRule,
    /// What the record says of it.
    pub was: TorqueWord,
}

/// The same, judged anew.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Anew {
    /// What was really applied; nothing where it lies outside the points.
    pub found: Option<AsFound>,
    /// The verdict on that; nothing outside the points, or where no limits decide.
    pub verdict: Option<Verdict>,
    /// How far off, of its limits or of the single value; nothing outside the points.
    pub off: Option<Off>,
    /// What became of it; nothing for a single value, which was judged by its setting and by nothing else.
    pub fate: Option<Fate>,
}

/// Every torque that counts in a record and was done with a tool, terminal after terminal; then the screws that were only
/// tried with one.
#[must_use]
pub fn done_with_tools(visit: &Visit) -> Vec<DoneWith> {
    let Some(rule) = visit.opened().map(|opened| opened.decision_rule) else { return Vec::new() };
    let mut all = Vec::new();
    for (at, terminal, standing) in visit.terminals() {
        for (seq, torqued) in standing_torques(visit, at) {
            let tool = torqued.tool.as_ref().and_then(|id| visit.tool(id)).map(|held| &held.tool);
            let Some((tool, line)) = tool.zip(visit.line(seq)) else { continue };
            let Some((said, read, recorded_step)) = said(torqued, tool) else { continue };
            all.push(DoneWith {
                serial: tool.serial.clone(),
                terminal: terminal.name.clone(),
                day: line.time.day(),
                calibrated: tool.calibrations.last().map(|last| last.date.clone()),
                said,
                read,
                tried: false,
                recorded_step,
                adapter: tool.adapter.clone(),
                aim: torqued.aim,
                limits: torqued.limits.clone(),
                rule,
                was: said_of(visit, seq, torqued).word,
            });
        }
        let answers = standing.rounds_before.iter().map(|(_, answer)| *answer);
        for answer in answers.chain(standing.answers.iter().flatten().copied()) {
            let line = visit.line(answer.seq);
            let fact = line.map(|line| visit.effective(line, Some(&terminal.name)));
            let (Some(line), Some(Fact::Movement(movement))) = (line, fact) else { continue };
            let held = visit.tool(&movement.tool).map(|held| &held.tool);
            all.extend(held.and_then(|tool| tried(movement, tool, line.time.day(), rule)));
        }
    }
    all
}

/// A screw that was tried with a tool; nothing where it is not said up to what.
fn tried(movement: &Movement, tool: &Tool, day: String, rule: DecisionRule) -> Option<DoneWith> {
    let said = movement.tried_to()?;
    let read = matches!(movement.found, Moved::First { .. });
    let recorded_step = if read { tool.coarser(Some(step_of(said.value))) } else { Decimal::ZERO };
    Some(DoneWith {
        serial: tool.serial.clone(),
        terminal: movement.terminal.clone(),
        day,
        calibrated: tool.calibrations.last().map(|last| last.date.clone()),
        said,
        read,
        tried: true,
        recorded_step,
        adapter: tool.adapter.clone(),
        aim: None,
        limits: Limits::unknown(),
        rule,
        was: TorqueWord::NotJudged,
    })
}

/// What a tool said, whether that was read, and in which step; nothing where it did not speak.
fn said(torqued: &Torqued, tool: &Tool) -> Option<(Torque, bool, Decimal)> {
    match &torqued.result {
        TorqueResult::Clicked => Some((torqued.required?, false, Decimal::ZERO)),
        TorqueResult::Reading { value, unit, .. } => {
            let step = tool.coarser(Some(step_of(*value)));
            Some((Torque::new(*value, *unit), true, step))
        }
        TorqueResult::NotClicked { .. } | TorqueResult::ByHand => None,
    }
}

impl DoneWith {
    /// Judged anew with points as found, which are in a unit.
    #[must_use]
    pub fn anew(&self, points: &Straight, unit: Unit) -> Anew {
        let lever = self.adapter.as_ref().and_then(Adapter::lever);
        let said = self.said.exact_in(unit);
        let found = AsFound::at(points, lever.as_ref(), &said, self.recorded_step).ok();
        let band = self.limits.band_in(unit);
        let rule = self.rule.on(self.limits.basis);
        let verdict = found.as_ref().zip(rule).map(|(found, rule)| found.verdict(rule, &band));
        let off = found.as_ref().and_then(|found| match self.limits.basis {
            Basis::Single => Some(Off::value(&self.aim?.exact_in(unit), &found.applied)),
            _ => Off::limits(&band, &found.applied),
        });
        let fate = rule.map(|_| Fate::of(self.was == TorqueWord::Pass, verdict));
        Anew { found, verdict, off, fate }
    }
}
