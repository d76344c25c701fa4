//! Rules of setting aside, telling, taking up and remarks.

use super::{Facts, in_scope, standing_of, terminal_at, text};
use crate::domain::audit::thermal::Class;
use crate::domain::names::TerminalName;
use crate::domain::record::{AsideWhy, Fact, Remark, RemarkOn, SetAside, TakenUp, Told};
use crate::session::refusal::Refusal;
use crate::session::visit::Visit;

pub(super) fn set_aside(visit: &Visit, terminals: &[TerminalName], why: &AsideWhy) -> Facts {
    if terminals.is_empty() {
        return Err(Refusal::NothingNamed);
    }
    for name in terminals {
        in_scope(visit, name)?;
        let (at, standing) = standing_of(visit, name)?;
        if standing.aside.is_some() {
            return Err(Refusal::IsSetAside(name.clone()));
        }
        if *why == AsideWhy::SpareWay && visit.terminal(at).is_some_and(|t| !t.spare) {
            return Err(Refusal::ChoiceNotPossible("something is connected there: it is no spare way"));
        }
    }
    let why = match why {
        AsideWhy::Other(words) => AsideWhy::Other(text("why", words)?),
        named => named.clone(),
    };
    Ok(vec![Fact::SetAside(SetAside { terminals: terminals.to_vec(), why, told: None })])
}

pub(super) fn tell(visit: &Visit, terminals: &[TerminalName], whom: Option<&str>) -> Facts {
    if terminals.is_empty() {
        return Err(Refusal::NothingNamed);
    }
    for name in terminals {
        let (_, standing) = standing_of(visit, name)?;
        match &standing.aside {
            // what is hot stays in use and somebody has to know
            None if visit.audit().hottest(name).is_some_and(Class::is_hot) => {
                if whom.is_none() {
                    return Err(Refusal::ToldFirst);
                }
            }
            None => return Err(Refusal::NotSetAside(name.clone())),
            Some(AsideWhy::SpareWay) => {}
            Some(_) if whom.is_none() => return Err(Refusal::ToldFirst),
            Some(_) => {}
        }
    }
    let whom = whom.map(|whom| text("who was told", whom)).transpose()?;
    Ok(vec![Fact::Told(Told { terminals: terminals.to_vec(), whom })])
}

pub(super) fn take_up(visit: &Visit, terminals: &[TerminalName], why: &str) -> Facts {
    if terminals.is_empty() {
        return Err(Refusal::NothingNamed);
    }
    for name in terminals {
        let (_, standing) = standing_of(visit, name)?;
        if standing.aside.is_none() {
            return Err(Refusal::NotSetAside(name.clone()));
        }
    }
    Ok(vec![Fact::TakenUp(TakenUp { terminals: terminals.to_vec(), why: text("why", why)? })])
}

pub(super) fn remark(
    visit: &Visit,
    on: &RemarkOn,
    words: &str,
    before_power_on: bool,
    handed_to: Option<&str>,
) -> Facts {
    let mut cleared = false;
    match on {
        RemarkOn::Board => {}
        RemarkOn::Terminal(name) => {
            terminal_at(visit, name)?;
        }
        RemarkOn::Remark(seq) => {
            let open =
                visit.power_on().iter().any(|remark| remark.seq == *seq && remark.dealt_with.is_none());
            if !open {
                return Err(Refusal::NotThatRemark);
            }
            if before_power_on {
                return Err(Refusal::NotThatRemark);
            }
            cleared = handed_to.is_none();
        }
    }
    if handed_to.is_some() && !matches!(on, RemarkOn::Remark(_)) {
        return Err(Refusal::NotThatRemark);
    }
    let handed_to = handed_to.map(|whom| text("handed to", whom)).transpose()?;
    Ok(vec![Fact::Remark(Remark {
        on: on.clone(),
        text: text("remark", words)?,
        before_power_on,
        cleared,
        handed_to,
    })])
}
