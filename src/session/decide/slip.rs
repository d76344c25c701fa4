//! Rules of slips: a mistyped answer is replaced at its place, by one of the same kind about the same thing.

use super::frame::{checked_gates, checked_person, checked_reading, checked_reset, checked_tool};
use super::steps::aluminium_fits;
use super::torque::{checked_result, judge};
use super::{Facts, conductor_at, text, text_or_empty};
use crate::domain::conductor::Preparation;
use crate::domain::names::{Seq, TerminalName};
use crate::domain::record::{
    Corrected, Fact, Looked, Moved, Movement, Opened, Prepared, Scale, ScaleAt, Torqued,
};
use crate::domain::tool::Tool;
use crate::session::refusal::Refusal;
use crate::session::visit::Visit;

pub(super) fn correct(
    visit: &Visit,
    seq: Seq,
    terminal: Option<&TerminalName>,
    fact: &Fact,
    why: &str,
) -> Facts {
    let line = visit.line(seq).ok_or_else(|| Refusal::Unknown("line", seq.to_string()))?;
    let standing = visit.effective(line, terminal).clone();
    let fact = replacement(visit, &standing, fact)?;
    if fact == standing {
        return Err(Refusal::NotASlip("it says the same already"));
    }
    if let Some(name) = terminal
        && !super::super::apply::named(visit, &line.fact).contains(name)
    {
        return Err(Refusal::SlipOfOtherKind);
    }
    Ok(vec![Fact::Corrected(Box::new(Corrected {
        seq,
        terminal: terminal.cloned(),
        fact,
        why: text("why", why)?,
    }))])
}

/// The replacing fact, with everything kept that a slip cannot touch.
fn replacement(visit: &Visit, old: &Fact, new: &Fact) -> Result<Fact, Refusal> {
    match (old, new) {
        (Fact::Prepared(o), Fact::Prepared(n))
            if o.conductors == n.conductors && o.attempt == n.attempt && o.mode == n.mode =>
        {
            for name in &n.conductors {
                aluminium_fits(visit, conductor_at(visit, name)?, &n.aluminium)?;
            }
            if let Preparation::Other(words) = &n.how {
                let how = Preparation::Other(text("preparation", words)?);
                return Ok(Fact::Prepared(Prepared { how, ..n.clone() }));
            }
        }
        (Fact::Entered(o), Fact::Entered(n))
            if o.conductors == n.conductors
                && o.attempt == n.attempt
                && o.mode == n.mode
                && n.right == n.fault.is_none() => {}
        (Fact::Looked(o), Fact::Looked(n))
            if o.terminals == n.terminals
                && o.attempt == n.attempt
                && o.untouched == n.untouched
                && o.mode == n.mode =>
        {
            let result = super::looked::checked_look(&n.result)?;
            return Ok(Fact::Looked(Looked { result, ..n.clone() }));
        }
        (Fact::Movement(o), Fact::Movement(n)) if Movement { found: n.found.clone(), ..o.clone() } == *n => {
            let first = |found: &Moved| matches!(found, Moved::First { .. });
            if first(&n.found) && !first(&o.found) && o.span.is_some() {
                return Err(Refusal::SlipOfOtherKind);
            }
        }
        (Fact::Tugged(o), Fact::Tugged(n))
            if o.conductors == n.conductors
                && o.attempt == n.attempt
                && o.round == n.round
                && o.mode == n.mode => {}
        (Fact::Marked(o), Fact::Marked(n))
            if o.terminals == n.terminals
                && o.attempt == n.attempt
                && o.round == n.round
                && o.mode == n.mode => {}
        (Fact::Torqued(o), Fact::Torqued(n)) => return torqued(visit, o, n),
        (Fact::Scale(o), Fact::Scale(n)) if o.tool == n.tool && o.span == n.span && o.at == n.at => {
            return scale(visit, o, n);
        }
        (Fact::Gates(o), Fact::Gates(n)) if o.person == n.person => {
            return checked_gates(visit, n).map(Fact::Gates);
        }
        (Fact::Tool(o), Fact::Tool(n)) if o.id == n.id => {
            let tool = checked_tool(n)?;
            // Settings already worked out rest on these; another range or scale is another tool.
            let points = |tool: &Tool| tool.calibrations.last().map(|last| last.points().to_vec());
            let same = (tool.kind, tool.unit, tool.graduation) == (o.kind, o.unit, o.graduation)
                && (&tool.adapter, points(&tool)) == (&o.adapter, points(o));
            if !same {
                return Err(Refusal::NotASlip(
                    "another kind, unit, graduation, adapter or calibration point is another tool: state it as one",
                ));
            }
            return Ok(Fact::Tool(Box::new(tool)));
        }
        // who and what for can be mistyped at an opening; all else of it was never typed, or is what the visit rests on
        (Fact::Opened(o), Fact::Opened(n)) if o.person.id == n.person.id => {
            return opened(o, n);
        }
        (Fact::Person(o), Fact::Person(n)) if o.id == n.id => return checked_person(n).map(Fact::Person),
        _ => return Err(Refusal::SlipOfOtherKind),
    }
    Ok(new.clone())
}

/// Of an opening only who and what for can be mistyped.
fn opened(old: &Opened, new: &Opened) -> Result<Fact, Refusal> {
    let rest = Opened { person: old.person.clone(), certificate: old.certificate.clone(), ..new.clone() };
    if rest != *old {
        return Err(Refusal::NotASlip("of an opening only the person and the certificate can be mistyped"));
    }
    let person = checked_person(&new.person)?;
    let certificate = text_or_empty("certificate", &new.certificate)?;
    Ok(Fact::Opened(Box::new(Opened { person, certificate, ..rest })))
}

/// Only what was read can be a slip, and at an end what was said of it.
fn scale(visit: &Visit, old: &Scale, new: &Scale) -> Result<Fact, Refusal> {
    let held = visit.tool(&old.tool).ok_or_else(|| Refusal::Unknown("tool", old.tool.0.clone()))?;
    checked_reading(&new.read)?;
    let agrees = held.tool.agrees(&new.read, &old.required);
    let reset = new.reset.as_ref().filter(|_| !agrees).map(checked_reset).transpose()?;
    if reset.is_some() && old.at == ScaleAt::Start {
        return Err(Refusal::NotASlip("before the work there is nothing to have turned the scale from"));
    }
    Ok(Fact::Scale(Scale { read: new.read, agrees, reset, ..old.clone() }))
}

/// Only what the tool said can be a slip; with which tool, at which setting and by what it was judged stay.
fn torqued(visit: &Visit, old: &Torqued, new: &Torqued) -> Result<Fact, Refusal> {
    use crate::domain::record::TorqueResult as R;
    let same_place = (&old.terminals, old.screw, old.pass, old.attempt, old.round)
        == (&new.terminals, new.screw, new.pass, new.attempt, new.round);
    let same_hand = match (&old.result, &new.result) {
        (R::ByHand, R::ByHand) | (R::NotClicked { .. }, R::NotClicked { .. }) => true,
        (R::Clicked | R::NotClicked { .. }, R::Clicked | R::NotClicked { .. }) => old.span.is_some(),
        (R::Reading { .. } | R::NotClicked { .. }, R::Reading { .. } | R::NotClicked { .. }) => {
            old.tool.is_some() && old.span.is_none()
        }
        _ => false,
    };
    if !same_place || !same_hand {
        return Err(Refusal::SlipOfOtherKind);
    }
    let mut fact = old.clone();
    fact.result = new.result.clone();
    fact.turned = new.turned.filter(|_| old.round > 0 || old.turned.is_some());
    checked_result(&mut fact.result)?;
    let tool = fact.tool.as_ref().and_then(|id| visit.tool(id)).map(|held| held.tool.clone());
    judge(visit, tool.as_ref(), &mut fact);
    Ok(Fact::Torqued(Box::new(fact)))
}
