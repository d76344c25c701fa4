//! Doings that are no answers: commands of the person, and acts of the desk that leave no record.

use super::audit::is_audit;
use super::event::{Command, Effect};
use super::form::{DeskAct, Field, Form, Next, Purpose};
use super::forms::slip;
use super::route::{next_target, pass_of, tool_for};
use super::step::{advance, note, refocus};
use super::together::alike_here;
use super::{Left, State};
use crate::domain::names::{Seq, ToolId};
use crate::session::audit::MENDS_NOTHING;
use crate::session::decide::setting_for;
use crate::session::refusal::Refusal;
use crate::session::visit::TerminalIndex;

pub(super) fn do_at_desk(state: &mut State, act: DeskAct, effects: &mut Vec<Effect>) {
    *state.form_slot() = None;
    match act {
        DeskAct::Note(words) => note(state, words),
        DeskAct::Focus(at) => focus(state, at),
        DeskAct::TakeTool(tool) => {
            note(state, format!("tool {tool} is taken, here and wherever no other stands at the setting"));
            take_in_hand(state, &tool);
        }
        DeskAct::Later => later(state),
        DeskAct::SignOff => state.desk.signing = true,
        DeskAct::Walk => {
            state.desk.signing = false;
            refocus(state);
        }
        DeskAct::Retry => effects.push(Effect::Retry),
        DeskAct::GiveUp => effects.push(Effect::GiveUp),
        DeskAct::SaveElsewhere(folder) => effects.push(Effect::SaveElsewhere(folder)),
        DeskAct::Leave => state.desk.left = Some(Left::ForTheDay),
        DeskAct::Hands(who, writer) => {
            state.desk.who = who;
            state.desk.writer = writer;
            state.desk.hands_to_ask = false;
        }
        DeskAct::KeepBoard => state.desk.board_kept = true,
        DeskAct::Notes(on) => state.desk.notes = on,
        DeskAct::MarksWithPlace(on) => {
            state.desk.marks_with_place = on;
            refocus(state);
        }
    }
}

/// What a person says is in the hand is worked with from here on; of one alone nothing has to be said.
pub(super) fn take_in_hand(state: &mut State, tool: &ToolId) {
    if state.visit.tools().len() > 1 {
        state.desk.tool = Some(tool.clone());
        state.desk.tool_taken_at = state.desk.focus;
        if let Some(why) = why_not_here(state, tool) {
            note(state, format!("tool {tool} is not used here: {why}"));
        }
    }
}

/// Why the tool that was taken is not the one to work with at the terminal in front of the person.
fn why_not_here(state: &State, tool: &ToolId) -> Option<String> {
    let at = state.desk.focus?;
    if tool_for(state, at).is_some_and(|(used, _)| used == *tool) {
        return None;
    }
    let row = state.visit.board()?.torque_row(state.visit.terminal(at)?)?;
    let held = state.visit.tool(tool)?;
    let why = setting_for(&state.visit, row, &held.tool).err().map(|refusal| refusal.to_string());
    Some(why.unwrap_or_else(|| "it is in doubt, or its calibration has ended".into()))
}

fn focus(state: &mut State, at: TerminalIndex) {
    if let Some(from) = state.desk.focus.filter(|from| *from != at) {
        state.desk.trail.push(from);
    }
    state.desk.later.remove(&at);
    state.desk.focus = Some(at);
    state.desk.signing = false;
    state.desk.pass = state.visit.standing(at).and_then(pass_of);
}

fn later(state: &mut State) {
    let Some(at) = state.desk.focus else { return };
    state.desk.later.insert(at);
    note(state, "left for later: it stays open and comes back when nothing else is left");
    let mut rest = state.desk.later.clone();
    let next = next_target(state);
    if next.is_none() {
        // Everything that is left was left: keep standing here rather than going round in a circle.
        rest.remove(&at);
        state.desk.later = rest;
        note(state, "nothing else is left to do: finish it, set it aside, or leave for the day");
        return;
    }
    refocus(state);
}

/// Takes the last answer of the form back, or the form. A form that was begun with an answer already in it asks
/// nothing without that answer: it would act on an answer that nobody gave.
pub(super) fn take_back_one(state: &mut State) {
    let Some(mut form) = state.form_slot().take() else { return };
    if form.given.pop().is_some() && matches!(form.next(state), Next::Ask(..)) {
        *state.form_slot() = Some(form);
    }
}

/// What was to be done is refused: the last answer is asked again, or what has to come before it.
pub(super) fn act_refused(state: &mut State, refusal: &Refusal) {
    let form = state.desk.form.as_ref();
    let setting = form.is_some_and(|form| matches!(form.purpose, Purpose::ScaleStart(_)));
    if *refusal == Refusal::StartDisagrees && setting {
        // a tool that stands wrong has to be set before its scale is read again: what to set is shown once more
        state.desk.form = None;
    } else if form.is_some_and(|form| !form.given.is_empty()) {
        take_back_one(state);
    } else {
        state.desk.form = None;
        state.desk.signing = false;
    }
    if *refusal == Refusal::TailsGoIn {
        state.desk.form = Some(Form::new(Purpose::Gate));
    }
    note(state, refusal.to_string());
}

pub(super) fn back(state: &mut State) {
    if state.form_slot().is_some() {
        return take_back_one(state);
    }
    if state.desk.trouble.is_some() {
        note(state, "the last answer is not stored: that comes first");
    } else if state.desk.signing {
        state.desk.signing = false;
    } else if let Some(at) = state.desk.trail.pop() {
        state.desk.focus = Some(at);
        state.desk.pass = state.visit.standing(at).and_then(pass_of);
    } else {
        note(state, "this is where the walk began");
    }
}

pub(super) fn do_command(state: &mut State, command: Command, leaving: bool, effects: &mut Vec<Effect>) {
    state.desk.message = None;
    match command {
        Command::Back => return back(state),
        Command::Leave => return leave(state, leaving),
        _ => {}
    }
    if state.desk.trouble.is_some() {
        return note(state, "the last answer is not stored: that comes first");
    }
    if state.visit.opened().is_none() && command != Command::List {
        return note(state, "the visit is not open yet: answer, or leave");
    }
    if is_audit(state) && matches!(command, Command::Disturbed | Command::Remake) {
        return note(state, MENDS_NOTHING);
    }
    let at_focus = |purpose: fn(TerminalIndex) -> Purpose| state.desk.focus.map(|at| Form::new(purpose(at)));
    let form = match command {
        Command::Tool => Some(Form::new(Purpose::TakeTool)),
        Command::Disturbed => at_focus(Purpose::Disturb),
        Command::Remark => Some(Form::new(Purpose::Remark(state.desk.focus))),
        Command::Slip => last_slip(state).map(|seq| Form::new(Purpose::Slip(seq))),
        Command::SetAside => at_focus(|at| Purpose::SetAside(vec![at])),
        Command::Remake => at_focus(Purpose::Remake),
        Command::List => Some(Form::new(Purpose::List)),
        Command::GoToWay => Some(Form::new(Purpose::GoToWay)),
        Command::Way(way) => Some(Form::new(Purpose::GoToWay).with(Field::Pick, way.to_string())),
        Command::Go(at) => {
            // what was disturbed is picked while going about
            let picking = state.desk.form.as_ref().is_some_and(|form| form.purpose == Purpose::Scope);
            state.desk.form = state.desk.form.take().filter(|_| picking);
            focus(state, at);
            None
        }
        Command::Later => {
            state.desk.form = None;
            later(state);
            None
        }
        Command::SoFar => {
            numbers_told(state);
            None
        }
        Command::Person => Some(Form::new(Purpose::Hands)),
        Command::Row => Some(Form::new(Purpose::Row)),
        Command::Alike => match alike_here(state) {
            Some((scope, step)) => Some(Form::new(Purpose::Together(scope, step))),
            None => {
                return note(
                    state,
                    "nothing here is answered for the whole place: prepare, entry or mark can be",
                );
            }
        },
        Command::Amend => at_focus(Purpose::AmendValue),
        Command::Back | Command::Leave => None,
    };
    if form.is_none() && matches!(command, Command::Slip) {
        return note(state, "nothing was answered yet that could be a slip");
    }
    if let Some(form) = form {
        state.desk.form = Some(form);
    }
    advance(state, effects);
}

fn last_slip(state: &State) -> Option<Seq> {
    state.visit.lines().iter().rev().find(|line| slip::can_be_slip(&line.fact)).map(|line| line.seq)
}

fn numbers_told(state: &mut State) {
    let words = super::so_far::numbers(state).join("; ");
    note(state, words);
}

fn leave(state: &mut State, asked_before: bool) {
    let unread = state
        .visit
        .open_spans()
        .find(|span| Some(span.session) == state.visit.session())
        .map(|span| (span.id.clone(), span.tool.clone()));
    match unread {
        Some((span, tool)) if !asked_before && state.desk.trouble.is_none() => {
            state.desk.form = Some(Form::new(Purpose::ScaleEnd(span)));
            note(
                state,
                format!(
                    "before leaving: the scale of tool {tool}, then leave again. Leaving now leaves it unread"
                ),
            );
            state.desk.leaving = true;
        }
        _ => state.desk.left = Some(Left::ForTheDay),
    }
}
