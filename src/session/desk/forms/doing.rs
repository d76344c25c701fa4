//! Doings with their reason: set aside, take up, remake, replace, disturbed, remark, abandon.

use crate::domain::names::{ConductorName, TerminalName};
use crate::domain::record::{AsideWhy, DisturbedHow, Fact, RemarkOn, Strands, TorqueResult, Tug, Turned};
use crate::session::act::Act;
use crate::session::desk::State;
use crate::session::desk::form::{DeskAct, Field, Form, Next, asked};
use crate::session::desk::question::{Question, Topic, choice, name_text, own_words};
use crate::session::visit::TerminalIndex;

fn ask(text: impl Into<String>, answers: crate::session::desk::question::Answers) -> Question {
    Question::new(Topic::Doing, text, answers)
}

fn name(state: &State, at: TerminalIndex) -> TerminalName {
    state.visit.terminal(at).map_or_else(|| TerminalName(String::new()), |terminal| terminal.name.clone())
}

/// What parting this terminal's conductor calls for.
fn caution(state: &State, at: TerminalIndex) -> Option<&'static str> {
    let role = state.visit.terminal(at)?.role;
    role.may_carry_current_when_dead()
        .then_some("Caution: an earth, bonding or neutral conductor may carry current from elsewhere although the board is dead.")
}

fn with_caution(question: Question, state: &State, at: TerminalIndex) -> Question {
    match caution(state, at) {
        Some(caution) => question.hint(caution),
        None => question,
    }
}

pub(in crate::session::desk) fn remake(form: &Form, state: &State, at: TerminalIndex) -> Next {
    let terminal = name(state, at);
    let conductors: Vec<ConductorName> =
        state.visit.terminal(at).map_or_else(Vec::new, crate::domain::board::Terminal::conductor_names);
    let cut = if conductors.len() > 1 {
        let mut list: Vec<String> = conductors.iter().map(ToString::to_string).collect();
        list.push("all of them".into());
        asked!(
            form,
            Field::Pick,
            with_caution(ask(format!("{terminal}: which conductor is cut back?"), choice(list)), state, at)
                .about(at)
                .hint("Entry, torque, tug and mark of all of them are answered again.")
        );
        let pick = form.pick(Field::Pick).unwrap_or(1).saturating_sub(1);
        conductors.get(pick).map_or(conductors.clone(), |one| vec![one.clone()])
    } else {
        conductors
    };
    let remade = if cut.is_empty() { "taken apart and begun again" } else { "cut back and remade" };
    let why = asked!(
        form,
        Field::Why,
        with_caution(ask(format!("{terminal}: {remade} why?"), own_words()), state, at)
            .about(at)
            .offering_if(found_there(state, at))
    );
    Next::Do(vec![Act::Remake { terminal, conductors: cut, why }])
}

/// What was found last at a terminal, as the reason it gives by itself.
fn found_there(state: &State, at: TerminalIndex) -> Option<String> {
    state.visit.standing(at)?.need?;
    let lines: Vec<_> = state.visit.lines_about(at).collect();
    lines.iter().rev().find_map(|line| match state.visit.effective(line, None) {
        Fact::Looked(f) if !f.result.marks().is_empty() => Some(f.result.words()),
        Fact::Tugged(f) if f.result != Tug::Firm => Some(format!("tug: {}", f.result.words())),
        Fact::Torqued(f) => match &f.result {
            TorqueResult::NotClicked { why } => Some(format!("did not click: {}", why.words())),
            _ if f.turned == Some(Turned::Moved) => Some("moved again after settling".to_owned()),
            _ => None,
        },
        Fact::Decided(f) if f.strands == Some(Strands::Cut) => Some("strands cut".to_owned()),
        _ => None,
    })
}

pub(in crate::session::desk) fn replace(form: &Form, state: &State, at: TerminalIndex) -> Next {
    let Some(device) = state.visit.terminal(at).and_then(|terminal| terminal.device.clone()) else {
        return Next::Desk(DeskAct::Note("this terminal belongs to no device".into()));
    };
    let why = asked!(
        form,
        Field::Why,
        ask(format!("Device {device}: replaced why?"), own_words())
            .about(at)
            .hint("Every terminal of the device begins again.")
    );
    Next::Do(vec![Act::Replace { device, why }])
}

pub(in crate::session::desk) fn set_aside(form: &Form, state: &State, list: &[TerminalIndex]) -> Next {
    let named: Vec<TerminalName> = list
        .iter()
        .filter(|at| state.visit.standing(**at).is_some_and(|standing| standing.aside.is_none()))
        .map(|at| name(state, *at))
        .collect();
    let what = match named.as_slice() {
        [] => return Next::Desk(DeskAct::Note("it is set aside already".into())),
        [one] => one.to_string(),
        many => format!("{} terminals", many.len()),
    };
    let reasons = [
        AsideWhy::NoAccess,
        AsideWhy::StillLive,
        AsideWhy::NoMakersValue,
        AsideWhy::ReplaceDevice,
        AsideWhy::SpareWay,
    ];
    let mut words: Vec<String> = reasons.iter().map(|why| why.words().to_owned()).collect();
    words.push("other, in own words".into());
    asked!(form, Field::Pick, ask(format!("{what}: set aside why?"), choice(words)));
    let pick = form.pick(Field::Pick).unwrap_or(1).saturating_sub(1);
    let why = match reasons.get(pick) {
        Some(why) => why.clone(),
        None => AsideWhy::Other(asked!(form, Field::Words, ask("Why, in your own words?", own_words()))),
    };
    Next::Do(vec![Act::SetAside { terminals: named, why }])
}

pub(in crate::session::desk) fn take_up(form: &Form, state: &State) -> Next {
    let aside: Vec<(TerminalName, String)> = state
        .visit
        .terminals()
        .filter_map(|(_, t, s)| s.aside.as_ref().map(|why| (t.name.clone(), why.words().to_owned())))
        .collect();
    if aside.is_empty() {
        return Next::Desk(DeskAct::Note("nothing is set aside".into()));
    }
    let list = aside.iter().map(|(name, why)| format!("{name}: {why}"));
    asked!(form, Field::Pick, ask("Which is taken up again?", choice(list)));
    let why = asked!(form, Field::Why, ask("Why now?", own_words()));
    let pick = form.pick(Field::Pick).unwrap_or(1).saturating_sub(1);
    let terminals = aside.get(pick).map(|(name, _)| name.clone()).into_iter().collect();
    Next::Do(vec![Act::TakeUp { terminals, why }])
}

pub(in crate::session::desk) fn disturb(form: &Form, state: &State, at: TerminalIndex) -> Next {
    const HOW: [(DisturbedHow, &str); 5] = [
        (DisturbedHow::Flexed, "bent (dressing, refitting)"),
        (DisturbedHow::Twisted, "twisted"),
        (DisturbedHow::Repositioned, "moved elsewhere"),
        (DisturbedHow::ReTerminated, "taken out and put back"),
        (DisturbedHow::Opened, "the clamp was opened"),
    ];
    let terminal = name(state, at);
    asked!(
        form,
        Field::Pick,
        ask(format!("{terminal}: how was it disturbed?"), choice(HOW.map(|(_, words)| words)))
            .about(at)
            .hint("Torque, tug and mark are answered again; entry too where it was taken out.")
    );
    let by = asked!(form, Field::By, ask("By whom?", name_text()).about(at));
    let why = asked!(form, Field::Why, ask("For what?", own_words()).about(at));
    let pick = form.pick(Field::Pick).unwrap_or(1).saturating_sub(1);
    let how = HOW.get(pick).map_or(DisturbedHow::Flexed, |(how, _)| *how);
    Next::Do(vec![Act::Disturb { terminals: vec![terminal], how, by, checked_by_them: None, why }])
}

pub(in crate::session::desk) fn remark(form: &Form, state: &State, at: Option<TerminalIndex>) -> Next {
    let mut list = Vec::new();
    if let Some(at) = at {
        list.push(format!("on {}", name(state, at)));
    }
    list.push("on the board".to_owned());
    list.push("on the board, to be dealt with before power on".to_owned());
    asked!(form, Field::Pick, ask("A remark:", choice(list.clone())));
    let text = asked!(form, Field::Words, ask("In your own words:", own_words()));
    let from_end = list.len().saturating_sub(form.pick(Field::Pick).unwrap_or(1));
    let on = match (from_end, at) {
        (2, Some(at)) => RemarkOn::Terminal(name(state, at)),
        _ => RemarkOn::Board,
    };
    Next::Do(vec![Act::Remark { on, text, before_power_on: from_end == 0, handed_to: None }])
}

pub(in crate::session::desk) fn abandon(form: &Form) -> Next {
    let why = asked!(
        form,
        Field::Why,
        ask("Why can this visit not be finished?", own_words())
            .hint("What is recorded stays readable. PageUp: back to the walk.")
    );
    let told = asked!(form, Field::By, ask("Who was told?", name_text()));
    Next::Do(vec![Act::Abandon { why, told }])
}
