//! Rules of findings: over-tightened, did not click, disturbed, remake, replace.

use super::{Facts, in_scope, may_touch, standing_of, text, text_or_empty};
use crate::domain::clamp::SettleBasis;
use crate::domain::names::{ConductorName, DeviceName, PersonId, TerminalName};
use crate::domain::record::{
    About, Attempt, Decided, DecidedTo, Disturbed, DisturbedHow, Fact, Known, Remade, Replaced, SettleKnown,
    SettleReady, SettleWaived, Strands, Tug,
};
use crate::session::refusal::Refusal;
use crate::session::standing::Need;
use crate::session::visit::Visit;

pub(super) fn decide_on(
    visit: &Visit,
    who: &PersonId,
    name: &TerminalName,
    about: About,
    strands: Option<Strands>,
    choice: DecidedTo,
    remark: &str,
) -> Facts {
    let (_, standing) = standing_of(visit, name)?;
    may_touch(visit, who, name)?;
    match (about, standing.need) {
        (About::OverTightened, Some(Need::Strands)) => match (strands, choice) {
            (None, _) => return Err(Refusal::StrandsFirst(name.clone())),
            (Some(Strands::Cut), DecidedTo::Keep | DecidedTo::Again) => {
                return Err(Refusal::ChoiceNotPossible("strands are cut: cut back and remake, or set aside"));
            }
            (Some(Strands::Sound), DecidedTo::Again) => {
                return Err(Refusal::ChoiceNotPossible("more torque does not help what was over-tightened"));
            }
            _ => {}
        },
        (About::NotClicked, Some(Need::LookAtScrew { again })) => match choice {
            DecidedTo::Again if !again => {
                return Err(Refusal::ChoiceNotPossible("it spun twice: remake, replace or set aside"));
            }
            DecidedTo::Keep => {
                return Err(Refusal::ChoiceNotPossible(
                    "a screw that spins holds nothing: it cannot be kept so",
                ));
            }
            _ => {}
        },
        (About::Tug | About::Heat | About::DoubtedTool, _) => {
            return Err(Refusal::LaterVersion("deciding about that"));
        }
        _ => return Err(Refusal::NothingToDecide(name.clone())),
    }
    Ok(vec![Fact::Decided(Decided {
        terminal: name.clone(),
        about,
        strands,
        choice,
        remark: text_or_empty("remark", remark)?,
    })])
}

pub(super) fn disturb(
    visit: &Visit,
    terminals: &[TerminalName],
    how: DisturbedHow,
    by: &str,
    checked_by_them: Option<Known>,
    why: &str,
) -> Facts {
    if terminals.is_empty() {
        return Err(Refusal::NothingNamed);
    }
    for name in terminals {
        in_scope(visit, name)?;
        let (_, standing) = standing_of(visit, name)?;
        if standing.steps.is_empty() {
            return Err(Refusal::SpareWay(name.clone()));
        }
        if standing.aside.is_some() {
            return Err(Refusal::IsSetAside(name.clone()));
        }
    }
    Ok(vec![Fact::Disturbed(Disturbed {
        terminals: terminals.to_vec(),
        how,
        by: text("by whom", by)?,
        checked_by_them,
        why: text("why", why)?,
    })])
}

fn settles(visit: &Visit, name: &TerminalName) -> Result<(), Refusal> {
    let (_, standing) = standing_of(visit, name)?;
    if standing.settling.is_some() { Ok(()) } else { Err(Refusal::NotSettling(name.clone())) }
}

pub(super) fn settle_ready(visit: &Visit, name: &TerminalName, how: SettleKnown) -> Facts {
    settles(visit, name)?;
    Ok(vec![Fact::SettleReady(SettleReady { terminal: name.clone(), how })])
}

/// Whether a standing tug shifted, so that its wait cannot be left out.
pub(crate) fn shifted_since(visit: &Visit, name: &TerminalName) -> bool {
    let shifted = |seq| {
        let line = visit.line(seq).map(|line| visit.effective(line, Some(name)));
        matches!(line, Some(Fact::Tugged(f)) if f.result != Tug::Firm)
    };
    standing_of(visit, name)
        .is_ok_and(|(_, standing)| standing.answers.iter().flatten().any(|answer| shifted(answer.seq)))
}

pub(super) fn waive_settle(visit: &Visit, name: &TerminalName, why: &str) -> Facts {
    settles(visit, name)?;
    let (_, standing) = standing_of(visit, name)?;
    if standing.settling.is_some_and(|settling| settling.basis == SettleBasis::Maker) {
        return Err(Refusal::ChoiceNotPossible("its maker asks for the wait: wait, or set it aside"));
    }
    if shifted_since(visit, name) {
        return Err(Refusal::ChoiceNotPossible(
            "the last tug shifted: wait and tighten once more, remake, or set aside",
        ));
    }
    Ok(vec![Fact::SettleWaived(SettleWaived { terminal: name.clone(), why: text("why", why)? })])
}

pub(super) fn remake(
    visit: &Visit,
    who: &PersonId,
    name: &TerminalName,
    conductors: &[ConductorName],
    why: &str,
) -> Facts {
    let (at, standing) = standing_of(visit, name)?;
    may_touch(visit, who, name)?;
    if standing.steps.is_empty() {
        return Err(Refusal::SpareWay(name.clone()));
    }
    if standing.need == Some(Need::Strands) {
        return Err(Refusal::StrandsFirst(name.clone()));
    }
    if standing.need == Some(Need::Replace) {
        return Err(Refusal::ReplaceFirst(name.clone()));
    }
    if standing.answers.iter().all(Option::is_none) && standing.need.is_none() {
        return Err(Refusal::ChoiceNotPossible("nothing was made there yet"));
    }
    for conductor in conductors {
        let found = visit.find_conductor(conductor);
        if found.is_none_or(|(index, _)| index != at) {
            return Err(Refusal::Unknown("conductor", conductor.0.clone()));
        }
    }
    let clamped = visit.terminal(at).is_some_and(|terminal| !terminal.conductors.is_empty());
    if clamped && conductors.is_empty() {
        return Err(Refusal::NothingNamed);
    }
    Ok(vec![Fact::Remade(Remade {
        terminal: name.clone(),
        attempt: standing.attempt.next(),
        conductors: conductors.to_vec(),
        why: text("why", why)?,
    })])
}

pub(super) fn replace(visit: &Visit, who: &PersonId, device: &DeviceName, why: &str) -> Facts {
    let mut terminals: Vec<TerminalName> = Vec::new();
    let mut attempts: Vec<Attempt> = Vec::new();
    for (_, terminal, standing) in visit.terminals() {
        if terminal.device.as_ref() == Some(device) {
            if visit.gate(who).is_none() {
                return Err(Refusal::GateFirst);
            }
            if let Some(source) = visit.live_source(&terminal.name) {
                return Err(Refusal::Live(terminal.name.clone(), source.to_owned()));
            }
            in_scope(visit, &terminal.name)?;
            if standing.need == Some(Need::Distributor) {
                return Err(Refusal::DoNotTouch(terminal.name.clone()));
            }
            terminals.push(terminal.name.clone());
            attempts.push(standing.attempt.next());
        }
    }
    if terminals.is_empty() {
        return Err(Refusal::Unknown("device", device.0.clone()));
    }
    Ok(vec![Fact::Replaced(Replaced { device: device.clone(), terminals, attempts, why: text("why", why)? })])
}
