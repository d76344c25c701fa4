//! One step: an event changes the state and may ask for effects. Both faces and the tests drive this.

use super::ask;
use super::doing::{act_refused, back, do_at_desk, do_command, take_in_hand};
use super::event::{Command, Effect, Event, Input, Recorder};
use super::form::{Field, Form, Next, Purpose};
use super::forms::{opening, tool};
use super::question::NotAnAnswer;
use super::route::next_target;
use super::{Left, Message, Pending, Stamp, State};
use crate::domain::names::Seq;
use crate::domain::record::{Decided, DecidedTo, Draft, Fact, Line, ScaleAt, Session, SessionCause};
use crate::domain::text::REMARK_COLUMNS;
use crate::session::act::Act;
use crate::session::apply::apply;
use crate::session::decide::decide;
use crate::session::invariant;
use crate::session::refusal::Refusal;

/// Quiet time after which the gate is asked again.
const GAP_MS: u64 = 30 * 60 * 1000;
/// How far the wall clock may move against the monotonic one.
const CLOCK_SLACK_S: i64 = 120;
/// Most that can be half typed, in characters.
const TYPED_MAX: usize = REMARK_COLUMNS;

/// Takes an event and carries its effects out until none is left.
#[must_use]
pub fn drive(state: State, event: Event, recorder: &mut dyn Recorder) -> State {
    let (mut state, mut effects) = step(state, event);
    while !effects.is_empty() {
        let mut more = Vec::new();
        for effect in effects {
            let stored = match effect {
                Effect::Append(drafts) => recorder.append(drafts).map(Event::Confirmed),
                Effect::Retry => recorder.retry().map(Event::Confirmed),
                Effect::SaveElsewhere(folder) => recorder.save_elsewhere(&folder).map(Event::Confirmed),
                Effect::GiveUp => recorder.give_up().map(|()| Event::GivenUp),
            };
            let next = stored.unwrap_or_else(|trouble| Event::NotStored(trouble.0));
            let (after, asked) = step(state, next);
            state = after;
            more.extend(asked);
        }
        effects = more;
    }
    state
}

/// One step of the machine.
#[must_use]
pub fn step(mut state: State, event: Event) -> (State, Vec<Effect>) {
    let mut effects = Vec::new();
    match event {
        Event::Input(stamp, input) => take_input(&mut state, stamp, input, &mut effects),
        Event::Confirmed(lines) => state = confirmed(state, &lines, &mut effects),
        Event::NotStored(why) => state.desk.trouble = Some(why),
        Event::GivenUp => {
            state.desk.pending = None;
            state.desk.trouble = None;
            state.desk.mending = None;
            state.desk.form = None;
            state.desk.message =
                Some(Message::Note("the last answer was taken back; it is not recorded".into()));
        }
    }
    (state, effects)
}

fn confirmed(mut state: State, lines: &[Line], effects: &mut Vec<Effect>) -> State {
    let mut visit = std::mem::take(&mut state.visit);
    for line in lines {
        visit = apply(visit, line);
    }
    debug_assert_eq!(invariant::check(&visit), Ok(()), "the machine broke a rule of its own");
    state.visit = visit;
    state.desk.pending = None;
    state.desk.trouble = None;
    state.desk.mending = None;
    state.desk.typed.clear();
    if let Some(last) = lines.last() {
        state.desk.message = Some(Message::Recorded(last.seq));
    }
    let done = state.desk.form.take();
    let purpose = done.as_ref().map(|form| form.purpose.clone());
    match (purpose, lines.last().map(|line| &line.fact)) {
        (Some(Purpose::Hands), Some(Fact::Person(person))) => {
            state.desk.form = Some(Form::new(Purpose::AtKeys(person.id.clone())));
        }
        (Some(Purpose::ScaleEnd(_)), _) if disagreeing(lines).is_some() => {
            state.desk.form = disagreeing(lines).map(|seq| Form::new(Purpose::ScaleCause(seq)));
        }
        (Some(Purpose::Tool), Some(Fact::Tool(tool))) => take_in_hand(&mut state, &tool.id),
        (Some(Purpose::Row), _) => state.desk.form = scale_of_row(&state, lines),
        (Some(Purpose::Notes), _) => state.desk.notes = true,
        (Some(Purpose::AmendFromFile), _) => state.desk.board_kept = true,
        _ => {}
    }
    if let Some(form) = done.filter(|form| matches!(form.purpose, Purpose::Opening | Purpose::Flat)) {
        // The kind of tool was asked for in the opening; the rest of the tool is asked for next.
        let given = form
            .given
            .into_iter()
            .filter(|(f, _)| matches!(f, Field::ToolOffered | Field::ToolKind))
            .collect::<Vec<_>>();
        let stated = opening::states_a_tool(&given);
        state.desk.form = stated.then_some(Form { purpose: Purpose::Tool, given });
    }
    if state.visit.ended().is_some() {
        state.desk.left = Some(Left::Ended);
        return state;
    }
    if let Some(Fact::Decided(Decided { terminal, choice: DecidedTo::Remake, .. })) =
        lines.last().map(|line| &line.fact)
    {
        // what is done was chosen a moment ago; only the reason is still to be said; an audit asks what is to be done
        state.desk.form = state
            .visit
            .find(terminal)
            .filter(|_| !super::audit::is_audit(&state))
            .map(|at| Form::new(Purpose::Remake(at)));
    }
    refocus(&mut state);
    advance(&mut state, effects);
    state
}

/// The line of a closing scale that disagrees and was not explained.
fn disagreeing(lines: &[Line]) -> Option<Seq> {
    lines.iter().find_map(|line| match &line.fact {
        Fact::Scale(scale) if scale.at == ScaleAt::End && !scale.agrees && scale.reset.is_none() => {
            Some(line.seq)
        }
        _ => None,
    })
}

/// After a row the scale is read at once, before the tool is turned or put away.
fn scale_of_row(state: &State, lines: &[Line]) -> Option<Form> {
    let span = lines.iter().find_map(|line| match &line.fact {
        Fact::Torqued(torqued) => torqued.span.clone(),
        _ => None,
    })?;
    state.visit.span(&span).filter(|span| span.is_open())?;
    Some(Form::new(Purpose::ScaleEnd(span)).with(Field::Pick, super::forms::scale::GOES_ON))
}

/// Moves the focus on where nothing more is to be done.
pub(super) fn refocus(state: &mut State) {
    let mut next = next_target(state);
    if next.is_none() && !state.desk.later.is_empty() {
        state.desk.later.clear();
        next = next_target(state);
        if next.is_some() {
            state.desk.message = Some(Message::Note("what was left for later is taken up now".into()));
        }
    }
    let to = next.map(|(at, _)| at);
    if to != state.desk.focus
        && let Some(from) = state.desk.focus
    {
        state.desk.trail.push(from);
    }
    state.desk.focus = to;
    state.desk.pass = next.map(|(_, pass)| pass);
}

fn take_input(state: &mut State, stamp: Stamp, input: Input, effects: &mut Vec<Effect>) {
    state.desk.wall = Some(stamp.wall);
    if input == Input::Due {
        // stands the person in front of what settled, its wait is over now and not at the next key
        advance(state, effects);
        return;
    }
    if state.desk.left.is_some() {
        return;
    }
    if state.desk.pending.is_some() && state.desk.trouble.is_none() {
        return;
    }
    if let Some(cause) = reopened(state, stamp) {
        state.desk.last = Some(stamp);
        reopen(state, cause, stamp, effects);
        return;
    }
    state.desk.last = Some(stamp);
    let leaving = std::mem::take(&mut state.desk.leaving);
    match input {
        Input::Woke | Input::Due => {}
        Input::Type(c) => {
            if !c.is_control() && state.desk.typed.chars().count() < TYPED_MAX {
                state.desk.typed.push(c);
            }
        }
        Input::Rub => {
            if state.desk.typed.pop().is_none() {
                back(state);
            }
        }
        Input::Submit => {
            let line = std::mem::take(&mut state.desk.typed);
            let mended = state.question().is_mended(&line);
            if !answer(state, &line, effects) && mended {
                // A long remark that was not taken is mended rather than typed anew; a short word is typed again.
                state.desk.typed = line;
            }
        }
        Input::Line(line) => {
            state.desk.typed.clear();
            answer(state, &line, effects);
        }
        Input::Command(Command::Back) if !state.desk.typed.is_empty() => state.desk.typed.clear(),
        Input::Command(command) => {
            state.desk.typed.clear();
            do_command(state, command, leaving, effects);
        }
    }
}

/// Whether so much time has passed, or the clocks differ so much, that the gate has to be asked again.
fn reopened(state: &State, now: Stamp) -> Option<SessionCause> {
    let last = state.desk.last?;
    if state.visit.opened().is_none() || state.visit.ended().is_some() || state.desk.trouble.is_some() {
        return None;
    }
    let quiet = now.mono_ms.saturating_sub(last.mono_ms);
    let still_seconds = i64::try_from(quiet / 1000).unwrap_or(i64::MAX);
    let wall_seconds = now.wall.seconds_since(&last.wall);
    let drift = wall_seconds.saturating_sub(still_seconds);
    if drift < -CLOCK_SLACK_S {
        Some(SessionCause::ClockBack)
    } else if quiet >= GAP_MS || drift > CLOCK_SLACK_S {
        Some(SessionCause::Gap)
    } else {
        None
    }
}

fn reopen(state: &mut State, cause: SessionCause, stamp: Stamp, effects: &mut Vec<Effect>) {
    state.desk.form = None;
    state.desk.typed.clear();
    let session = Session {
        nonce: state.desk.start.nonce.clone(),
        program: state.desk.start.program_and_face(),
        cause,
        torn: None,
    };
    submit(state, &[Act::Begin(session)], stamp, effects);
}

/// Takes a line as the answer to the question that stands; says whether it was taken.
fn answer(state: &mut State, line: &str, effects: &mut Vec<Effect>) -> bool {
    let form = ask::current(state);
    let Next::Ask(field, question) = form.next(state) else {
        advance(state, effects);
        return true;
    };
    let value = match question.read(line) {
        Ok(value) => value,
        Err(NotAnAnswer::Empty) if question.is_observation() => {
            return refused(state, format!("an observation is never offered: {}", question.wanted()));
        }
        Err(NotAnAnswer::Empty) => {
            return refused(state, format!("this cannot be left empty: {}", question.wanted()));
        }
        Err(NotAnAnswer::Unknown(wanted)) => return refused(state, format!("not taken: {wanted}")),
    };
    let names = match (field, &form.purpose) {
        (Field::Words, purpose) if super::audit::takes_names(purpose) => value != "none",
        (Field::SourceFeeds, Purpose::Gate | Purpose::Scope | Purpose::ScopeMore)
        | (Field::Words, Purpose::Scope)
        | (Field::Cause, Purpose::Row) => true,
        _ => false,
    };
    let value = match names.then(|| super::naming::written_out(state, &form, &value)) {
        Some(Err(why)) => return refused(state, format!("not taken: {why}")),
        Some(Ok(written)) => written,
        None => value,
    };
    if let Err(why) = can_be_taken(&form, state, field, &value) {
        return refused(state, format!("not taken: {why}"));
    }
    state.desk.message = None;
    let value = super::forms::scope::picked_here(&form, state, field, &value);
    let form = form.with(field, value);
    if form.purpose == Purpose::Flat
        && let Some((board, sha256)) = super::forms::flat::board_of(&form, state)
    {
        // the gate asks about the terminals of the board as far as it is entered
        state.desk.start.board = board;
        state.desk.start.board_sha256 = sha256;
    }
    *state.form_slot() = Some(form);
    advance(state, effects);
    true
}

/// Whether an answer that was understood can be one here; why not, in words.
fn can_be_taken(form: &Form, state: &State, field: Field, value: &str) -> Result<(), String> {
    match (field, &form.purpose) {
        (Field::Torque, Purpose::Flat) if !value.is_empty() => {
            super::forms::flat::read_torque(value).map(|_| ())
        }
        (Field::Words, Purpose::AmendValue(_)) => super::forms::amend::read_stated(value).map(|_| ()),
        (Field::Cause | Field::Count, Purpose::Row) => super::row::can_be(form, state, field, value),
        (Field::Read, Purpose::Step(at, _)) if !state.desk.notes => {
            super::tighten::all_digits(state, *at, value)
        }
        (Field::Audit(field), _) => super::audit_claim::field_is_good(form, field, value),
        _ => tool::field_is_good(form, state, field, value),
    }
}

/// Says why an answer was not taken.
fn refused(state: &mut State, words: impl Into<String>) -> bool {
    note(state, words);
    false
}

pub(super) fn note(state: &mut State, words: impl Into<String>) {
    state.desk.message = Some(Message::Note(words.into()));
}

/// Carries out what asks nothing, until something is asked or on its way to the journal.
pub(super) fn advance(state: &mut State, effects: &mut Vec<Effect>) {
    // Each turn either asks, sends, or makes the form smaller; the bound only stops a mistake of ours.
    for _ in 0..16 {
        let sending = state.desk.pending.is_some() && state.desk.trouble.is_none();
        if sending || state.desk.left.is_some() {
            return;
        }
        let (Some(last), Some(wall)) = (state.desk.last, state.desk.wall) else { return };
        let stamp = Stamp { wall, ..last };
        match ask::current(state).next(state) {
            Next::Ask(..) => return,
            Next::Go(form) => *state.form_slot() = Some(form),
            Next::Do(acts) => {
                submit(state, &acts, stamp, effects);
                return;
            }
            Next::Desk(act) => {
                do_at_desk(state, act, effects);
                if !effects.is_empty() {
                    return;
                }
            }
        }
    }
}

fn submit(state: &mut State, acts: &[Act], stamp: Stamp, effects: &mut Vec<Effect>) {
    match drafts(state, acts, stamp) {
        Ok(drafts) => {
            state.desk.pending = Some(Pending { drafts: drafts.clone() });
            effects.push(Effect::Append(drafts));
        }
        Err(refusal) => act_refused(state, &refusal),
    }
}

/// The lines of several acts, each decided upon after the ones before it.
fn drafts(state: &State, acts: &[Act], stamp: Stamp) -> Result<Vec<Draft>, Refusal> {
    let mut drafts: Vec<Draft> = Vec::new();
    let mut seq = state.visit.next_seq();
    let mut ahead = None;
    for (nth, act) in acts.iter().enumerate() {
        let visit = ahead.as_ref().unwrap_or(&state.visit);
        let facts = decide(visit, &state.desk.who, act)?;
        let from = drafts.len();
        for fact in facts {
            let (who, writer) = (state.desk.who.clone(), state.desk.writer.clone());
            drafts.push(Draft { seq, time: stamp.wall, who, writer, fact });
            seq = seq.next();
        }
        if nth.saturating_add(1) < acts.len() {
            let mut visit = ahead.take().unwrap_or_else(|| state.visit.clone());
            for draft in drafts.iter().skip(from) {
                visit = apply(visit, &draft.clone().linked(String::new()));
            }
            ahead = Some(visit);
        }
    }
    Ok(drafts)
}
