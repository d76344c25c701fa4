//! Rules of the end: last look, signatures, abandoning, closing.

use super::{Facts, may_touch, text};
use crate::domain::names::{PersonId, TerminalName};
use crate::domain::record::{
    Abandoned, AsideWhy, Closed, Disturbed, DisturbedHow, EnteredCounts, Fact, LastLook, Line, MarkSeen,
    Mode, Outcome, Pace, Signed, TailLook, TerminalOutcome, Tug,
};
use crate::session::audit::hot_untold;
use crate::session::refusal::Refusal;
use crate::session::standing::Informed;
use crate::session::visit::Visit;

/// Tails that can be looked at: those not set aside.
pub(crate) fn tails_to_look_at(visit: &Visit) -> Vec<TerminalName> {
    visit
        .terminals()
        .filter(|(_, terminal, standing)| {
            terminal.tail && standing.aside.is_none() && standing.outcome != Outcome::NotInScope
        })
        .map(|(_, terminal, _)| terminal.name.clone())
        .collect()
}

pub(super) fn last_look(
    visit: &Visit,
    who: &PersonId,
    tails: &[TailLook],
    why_not: Option<&str>,
    covers: &str,
    locks_and_tools_out: &str,
    energised_by: Option<&str>,
) -> Facts {
    let wanted = tails_to_look_at(visit);
    if why_not.is_none() {
        for name in &wanted {
            if !tails.iter().any(|tail| tail.terminal == *name) {
                return Err(Refusal::NotYet(format!(
                    "the tail at {name} has not had its last look, or say why not"
                )));
            }
        }
    }
    for (at, tail) in tails.iter().enumerate() {
        if !wanted.contains(&tail.terminal) {
            return Err(Refusal::Unknown("tail to look at", tail.terminal.0.clone()));
        }
        if tails.iter().take(at).any(|earlier| earlier.terminal == tail.terminal) {
            return Err(Refusal::NotTogether);
        }
        may_touch(visit, who, &tail.terminal)?;
    }
    let look = LastLook {
        tails: tails.to_vec(),
        why_not: why_not.map(|why| text("why not", why)).transpose()?,
        covers: text("covers", covers)?,
        locks_and_tools_out: text("locks and tools", locks_and_tools_out)?,
        energised_by: energised_by.map(|by| text("energised by", by)).transpose()?,
    };
    let moved: Vec<TerminalName> = look
        .tails
        .iter()
        .filter(|tail| tail.tug == Tug::Shifted || (tail.mark == MarkSeen::Moved && tail.tug == Tug::Firm))
        .map(|tail| tail.terminal.clone())
        .collect();
    let mut facts = Vec::new();
    // the first of the two lines, so that a torn record never shows a moved tail as complete
    if !moved.is_empty() {
        facts.push(Fact::Disturbed(Disturbed {
            terminals: moved,
            how: DisturbedHow::Flexed,
            by: "dressing".into(),
            checked_by_them: None,
            why: "moved at the last look".into(),
        }));
    }
    facts.push(Fact::LastLook(look));
    Ok(facts)
}

/// Whether the last look still stands: every tail held, and nothing was touched at a tail since.
pub(crate) fn last_look_stands(visit: &Visit) -> bool {
    let Some((seq, look)) = visit.last_look() else { return false };
    let held = |tail: &TailLook| tail.tug == Tug::Firm && tail.mark != MarkSeen::Moved;
    let complete = look.why_not.is_some()
        || tails_to_look_at(visit).iter().all(|name| look.tails.iter().any(|tail| tail.terminal == *name));
    let touched_since = visit
        .terminals()
        .filter(|(_, terminal, _)| terminal.tail)
        .any(|(at, _, _)| visit.lines_about(at).any(|line| line.seq > seq && is_contact(&line.fact)));
    complete && look.tails.iter().all(held) && !touched_since
}

pub(crate) fn is_contact(fact: &Fact) -> bool {
    matches!(
        fact,
        Fact::Prepared(_) | Fact::Entered(_) | Fact::Torqued(_) | Fact::Tugged(_) | Fact::Marked(_)
    )
}

pub(super) fn sign(visit: &Visit, person: &PersonId, capacity: &str) -> Facts {
    if visit.person(person).is_none() {
        return Err(Refusal::Unknown("person", person.0.clone()));
    }
    ready_but_for_signature(visit)?;
    Ok(vec![Fact::Signed(Signed { person: person.clone(), capacity: text("as what", capacity)? })])
}

pub(super) fn abandon(why: &str, told: &str) -> Facts {
    Ok(vec![Fact::Abandoned(Abandoned { why: text("why", why)?, told: text("who was told", told)? })])
}

/// What still stands in the way of closing, signatures apart; in the order in which it is best dealt with.
///
/// # Errors
/// [`Refusal::NotYet`] or [`Refusal::ToldFirst`] for the first thing.
pub(crate) fn ready_but_for_signature(visit: &Visit) -> Result<(), Refusal> {
    if let Some(span) = visit.open_spans().next() {
        return Err(Refusal::NotYet(format!(
            "the scale of tool {} at the end of span {} is still to be read",
            span.tool, span.id
        )));
    }
    if let Some((_, terminal, standing)) =
        visit.terminals().find(|(_, _, s)| matches!(s.outcome, Outcome::Open | Outcome::Settling))
    {
        return Err(Refusal::NotYet(format!(
            "{} is {}: finish it or set it aside",
            terminal.name,
            standing.outcome.words()
        )));
    }
    let untold = visit.terminals().find(|(_, _, s)| s.aside.is_some() && s.told == Informed::NotYet);
    if let Some((_, terminal, _)) = untold {
        return Err(Refusal::NotYet(format!("{} is set aside and nobody was told yet", terminal.name)));
    }
    if let Some(name) = hot_untold(visit).next() {
        return Err(Refusal::NotYet(format!("{name} was found hot and nobody was told yet")));
    }
    if let Some(remark) = visit.power_on().iter().find(|remark| remark.dealt_with.is_none()) {
        return Err(Refusal::NotYet(format!(
            "before power on: {:?} is neither cleared nor handed over by name",
            remark.text
        )));
    }
    if !last_look_stands(visit) {
        return Err(Refusal::NotYet(
            "the last look comes before leaving, and again after a tail was touched".into(),
        ));
    }
    Ok(())
}

/// Whether somebody signed for it as it stands now.
pub(crate) fn is_signed(visit: &Visit) -> bool {
    let last_work = visit
        .lines()
        .iter()
        .rev()
        .find(|line| !matches!(line.fact, Fact::Signed(_) | Fact::Session(_) | Fact::Person(_)));
    visit.signed().iter().any(|seq| last_work.is_none_or(|line| *seq > line.seq))
}

pub(super) fn close(visit: &Visit) -> Facts {
    ready_but_for_signature(visit)?;
    let last_work = visit
        .lines()
        .iter()
        .rev()
        .find(|line| !matches!(line.fact, Fact::Signed(_) | Fact::Session(_) | Fact::Person(_)));
    let signed_after = visit.signed().iter().any(|seq| last_work.is_none_or(|line| *seq > line.seq));
    if !signed_after {
        return Err(Refusal::NotYet("nobody has signed for it as it stands now".into()));
    }
    Ok(vec![Fact::Closed(Box::new(closing(visit)))])
}

/// What the closing line says of a visit as it stands.
#[must_use]
pub fn closing(visit: &Visit) -> Closed {
    let outcomes = visit
        .terminals()
        .map(|(_, terminal, standing)| TerminalOutcome {
            terminal: terminal.name.clone(),
            outcome: standing.outcome,
            why: match standing.outcome {
                Outcome::SetAside => standing.aside.as_ref().map(|why: &AsideWhy| why.words().to_owned()),
                Outcome::CompleteWithRemark => {
                    let words: Vec<&str> =
                        standing.remarks.iter().map(super::super::RemarkWhy::words).collect();
                    Some(words.join("; "))
                }
                Outcome::Open | Outcome::Settling | Outcome::Complete | Outcome::NotInScope => None,
            },
            told: match &standing.told {
                Informed::Told(whom) => Some(whom.clone()),
                Informed::NotYet | Informed::NobodyNeeded => None,
            },
        })
        .collect();
    Closed { lines: visit.next_seq().0, outcomes, entered: entered(visit.lines()), pace: pace(visit) }
}

fn entered(lines: &[Line]) -> EnteredCounts {
    let mut counts = EnteredCounts::default();
    for line in lines {
        let (mode, names) = match &line.fact {
            Fact::Looked(f) => (f.mode, f.terminals.len()),
            Fact::Movement(f) => (f.mode, 1),
            Fact::Prepared(f) => (f.mode, f.conductors.len()),
            Fact::Entered(f) => (f.mode, f.conductors.len()),
            Fact::Torqued(f) => (f.mode, f.terminals.len()),
            Fact::Tugged(f) => (f.mode, f.conductors.len()),
            Fact::Marked(f) => (f.mode, f.terminals.len()),
            _ => continue,
        };
        let slot = match mode {
            Mode::Singly => &mut counts.singly,
            Mode::Way => &mut counts.way,
            Mode::Place => &mut counts.place,
            Mode::Row => &mut counts.row,
            Mode::Notes => &mut counts.notes,
            Mode::Rehearsed => &mut counts.rehearsed,
        };
        *slot = slot.saturating_add(u32::try_from(names).unwrap_or(u32::MAX));
    }
    counts
}

fn pace(visit: &Visit) -> Pace {
    let mut seconds: i64 = 0;
    let mut session: Option<(&Line, &Line)> = None;
    for line in visit.lines() {
        if matches!(line.fact, Fact::Session(_))
            && let Some((first, last)) = session.take()
        {
            seconds = seconds.saturating_add(last.time.seconds_since(&first.time).max(0));
        }
        session = Some((session.map_or(line, |(first, _)| first), line));
    }
    if let Some((first, last)) = session {
        seconds = seconds.saturating_add(last.time.seconds_since(&first.time).max(0));
    }
    let done = visit
        .terminals()
        .filter(|(_, _, s)| matches!(s.outcome, Outcome::Complete | Outcome::CompleteWithRemark))
        .count();
    Pace {
        seconds_at_work: u64::try_from(seconds).unwrap_or(0),
        terminals: u32::try_from(done).unwrap_or(u32::MAX),
    }
}
