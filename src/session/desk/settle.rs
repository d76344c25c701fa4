//! Waits that run while the walk goes on. Due ones never interrupt a group: they are taken when a tool would have to
//! be turned anyway, when it was just read, or when nothing else is left.

use super::State;
use super::form::{DeskAct, Field, Form, Next, Purpose, asked};
use super::question::{Answers, Question, Topic, choice, own_words};
use crate::domain::clamp::SettleBasis;
use crate::domain::moment::Moment;
use crate::domain::record::{SessionCause, SettleKnown};
use crate::session::act::Act;
use crate::session::shifted_since;
use crate::session::standing::Settling;
use crate::session::visit::TerminalIndex;
use jiff::SignedDuration;

/// How a wait stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wait {
    /// Over by the clock.
    Over,
    /// It goes on until then.
    Until(Moment),
    /// The wall clock went back in between: only the person can say.
    AskPerson,
}

/// When a wait is over by the wall clock.
fn over_at(state: &State, settling: &Settling) -> Option<Moment> {
    let began = state.visit.line(settling.since)?.time;
    let wait = SignedDuration::from_mins(i64::from(settling.wait_minutes));
    Some(Moment { at: began.at.checked_add(wait).ok()?, offset: began.offset })
}

/// How the wait at a terminal stands; nothing where it is in none.
#[must_use]
pub fn wait_at(state: &State, at: TerminalIndex) -> Option<Wait> {
    let settling = state.visit.standing(at)?.settling?;
    if state.is_rehearsal() {
        return Some(Wait::Over);
    }
    let back = |mark: &crate::session::visit::SessionMark| {
        mark.cause == SessionCause::ClockBack && mark.seq > settling.since
    };
    if state.visit.sessions().iter().any(back) {
        return Some(Wait::AskPerson);
    }
    let over = over_at(state, &settling)?;
    let now = state.desk.wall?;
    Some(if now.seconds_since(&over) >= 0 { Wait::Over } else { Wait::Until(over) })
}

/// Terminals whose wait is over, or may be, in board order.
#[must_use]
pub fn due(state: &State) -> Vec<TerminalIndex> {
    let waits = state.visit.terminals().map(|(at, _, _)| at);
    waits.filter(|at| matches!(wait_at(state, *at), Some(Wait::Over | Wait::AskPerson))).collect()
}

/// When the next wait is over, of those that are not over yet.
#[must_use]
pub fn next_due(state: &State) -> Option<Moment> {
    let until = |at| match wait_at(state, at) {
        Some(Wait::Until(moment)) => Some(moment),
        _ => None,
    };
    state.visit.terminals().filter_map(|(at, _, _)| until(at)).min_by_key(|moment| moment.at)
}

/// In front of a terminal that settles.
pub(super) fn settle(form: &Form, state: &State, at: TerminalIndex) -> Next {
    let Some(terminal) = state.visit.terminal(at) else { return Next::Desk(DeskAct::Walk) };
    let name = &terminal.name;
    let ready = |how| Next::Do(vec![Act::SettleReady { terminal: name.clone(), how }]);
    match wait_at(state, at) {
        None => Next::Desk(DeskAct::Walk),
        Some(Wait::Over) => {
            ready(if state.is_rehearsal() { SettleKnown::Stated } else { SettleKnown::Timed })
        }
        Some(Wait::AskPerson) => {
            let minutes = state.visit.standing(at).and_then(|s| s.settling).map_or(0, |s| s.wait_minutes);
            asked!(
                form,
                Field::Words,
                Question::new(
                    Topic::Walk,
                    format!("{name}: the clock went back. Has it waited its {minutes} minutes?"),
                    Answers::Words(vec!["waited"]),
                )
                .about(at)
            );
            ready(SettleKnown::Stated)
        }
        Some(Wait::Until(until)) => {
            asked!(
                form,
                Field::Pick,
                Question::new(
                    Topic::Walk,
                    format!(
                        "{name} settles until {}. Dress the conductor meanwhile.",
                        until.clock_not_before()
                    ),
                    choice(["go on with the walk", "not waited for, with the reason"]),
                )
                .about(at)
                .offering("1")
            );
            if form.pick(Field::Pick) == Some(2) {
                Next::Go(Form::new(Purpose::WaiveSettle(vec![at])))
            } else {
                Next::Desk(DeskAct::Walk)
            }
        }
    }
}

/// Nothing is left but waits.
pub(super) fn waiting(form: &Form, state: &State) -> Next {
    let settling = state.visit.counts().settling;
    let over = due(state).len();
    let until = match next_due(state) {
        Some(_) if over > 0 => format!(", {over} due now"),
        Some(moment) => format!(", the next until {}", moment.clock_not_before()),
        None if settling == 1 => ", due now".to_owned(),
        None => ", all due now".to_owned(),
    };
    let which =
        if settling == 1 { "1 terminal settles".to_owned() } else { format!("{settling} terminals settle") };
    asked!(
        form,
        Field::Pick,
        Question::new(
            Topic::Walk,
            format!("Nothing else is left: {which}{until}."),
            choice(["look again now", "not waited for, with one reason for all", "leave for the day"]),
        )
        .offering("1")
    );
    match form.pick(Field::Pick) {
        Some(2) => {
            let all = state
                .visit
                .terminals()
                .filter(|(_, _, s)| s.settling.is_some())
                .map(|(at, _, _)| at)
                .collect();
            Next::Go(Form::new(Purpose::WaiveSettle(all)))
        }
        Some(3) => Next::Desk(DeskAct::Leave),
        _ => Next::Desk(DeskAct::Walk),
    }
}

/// Not waited for. What the maker asks for, or shifted after the last wait, cannot be left out, only set aside.
pub(super) fn waive(form: &Form, state: &State, list: &[TerminalIndex]) -> Next {
    let settling = |at: &TerminalIndex| state.visit.standing(*at).and_then(|standing| standing.settling);
    let may_be_left = |at: &TerminalIndex| {
        let shifted = state.visit.terminal(*at).is_some_and(|t| shifted_since(&state.visit, &t.name));
        settling(at).is_some_and(|s| s.basis == SettleBasis::OwnPractice) && !shifted
    };
    let all = || list.iter().copied().filter(|at| settling(at).is_some());
    let own: Vec<TerminalIndex> = all().filter(may_be_left).collect();
    let held: Vec<TerminalIndex> = all().filter(|at| !may_be_left(at)).collect();
    if own.is_empty() {
        return if held.is_empty() {
            Next::Desk(DeskAct::Note("nothing is settling there".into()))
        } else {
            Next::Go(Form::new(Purpose::SetAside(held)))
        };
    }
    let why = asked!(
        form,
        Field::Why,
        Question::new(Topic::Doing, "Settle not waited for: why?", own_words()).hint(format!(
            "{} terminals are complete with remark at best: settle not waited for.",
            own.len()
        ))
    );
    let names = own.iter().filter_map(|at| state.visit.terminal(*at)).map(|terminal| terminal.name.clone());
    Next::Do(names.map(|terminal| Act::WaiveSettle { terminal, why: why.clone() }).collect())
}
