//! What was found at a terminal, and what is done about it.

use crate::domain::conductor::{AluminiumCare, Metal, Preparation};
use crate::domain::record::VisitKind;
use crate::domain::record::{
    About, AsideWhy, DecidedTo, EntryFault, Mode, NotClicked, Strands, TorqueResult,
};
use crate::session::act::Act;
use crate::session::desk::State;
use crate::session::desk::form::{DeskAct, Field, Form, Next, Purpose, asked};
use crate::session::desk::question::{Answers, Question, Topic, choice, own_words};
use crate::session::desk::walk;
use crate::session::standing::Need;
use crate::session::steps::Step;
use crate::session::visit::TerminalIndex;

fn gone() -> Next {
    Next::Desk(DeskAct::Note("that terminal is no longer on the board".into()))
}

fn name(state: &State, at: TerminalIndex) -> String {
    state.visit.terminal(at).map_or_else(String::new, |terminal| terminal.name.0.clone())
}

/// Mode of a single answer.
pub(in crate::session::desk) fn singly(state: &State) -> Mode {
    match (state.is_rehearsal(), state.desk.notes) {
        (true, _) => Mode::Rehearsed,
        (false, true) => Mode::Notes,
        (false, false) => Mode::Singly,
    }
}

pub(in crate::session::desk) fn entry_fault(
    form: &Form,
    state: &State,
    at: TerminalIndex,
    nth: usize,
) -> Next {
    asked!(
        form,
        Field::Pick,
        Question::new(
            Topic::Finding,
            format!("{}: what is wrong?", name(state, at)),
            choice(EntryFault::ALL.map(EntryFault::words))
        )
        .about(at)
        .hint("Put it right, then answer the entry again; both answers are kept.")
    );
    let fault = form.pick(Field::Pick).and_then(|n| EntryFault::ALL.get(n.saturating_sub(1))).copied();
    match state.visit.conductor_name(at, nth) {
        Some(conductor) => {
            Next::Do(vec![Act::Enter { conductors: vec![conductor], fault, mode: singly(state) }])
        }
        None => gone(),
    }
}

pub(in crate::session::desk) fn not_clicked(form: &Form, state: &State, at: TerminalIndex) -> Next {
    asked!(
        form,
        Field::Pick,
        Question::new(
            Topic::Finding,
            format!("{}: why did it not click?", name(state, at)),
            choice(NotClicked::ALL.map(NotClicked::words))
        )
        .about(at)
    );
    let why = form.pick(Field::Pick).and_then(|n| NotClicked::ALL.get(n.saturating_sub(1))).copied();
    let Some(terminal) = state.visit.terminal(at) else { return gone() };
    Next::Do(vec![Act::Torque {
        terminal: terminal.name.clone(),
        tool: walk::tool_at(state, at),
        result: TorqueResult::NotClicked { why: why.unwrap_or(NotClicked::Spins) },
        mode: singly(state),
    }])
}

/// Preparation: the pick is given by the walk; own words and care for aluminium are asked for here.
pub(in crate::session::desk) fn prepare(form: &Form, state: &State, at: TerminalIndex, nth: usize) -> Next {
    let picked = form.pick(Field::Pick).unwrap_or(1).saturating_sub(1);
    let how = match Preparation::NAMED.get(picked) {
        Some(how) => how.clone(),
        None => Preparation::Other(asked!(
            form,
            Field::Words,
            Question::new(Topic::Walk, "Prepared how, in your own words?", own_words()).about(at)
        )),
    };
    let conductor = state.visit.terminal(at).and_then(|terminal| terminal.conductors.get(nth));
    let aluminium = if conductor.is_some_and(|c| c.metal == Metal::Aluminium) {
        asked!(
            form,
            Field::YesNo,
            Question::new(
                Topic::Walk,
                "Aluminium: what was done to it besides?",
                choice(["brushed", "brushed and compound put on", "neither"]),
            )
            .about(at)
            .hint("As the maker of clamp and cable requires.")
        );
        match form.pick(Field::YesNo) {
            Some(1) => vec![AluminiumCare::Brushed],
            Some(2) => vec![AluminiumCare::Brushed, AluminiumCare::Compound],
            _ => Vec::new(),
        }
    } else {
        Vec::new()
    };
    match state.visit.conductor_name(at, nth) {
        Some(conductor) => {
            Next::Do(vec![Act::Prepare { conductors: vec![conductor], how, aluminium, mode: singly(state) }])
        }
        None => gone(),
    }
}

pub(in crate::session::desk) fn strands(form: &Form, state: &State, at: TerminalIndex) -> Next {
    let name = name(state, at);
    // a finger, link or stab has no strands: it is its metal that gives way
    let conductors = state.visit.terminal(at).is_some_and(|terminal| !terminal.conductors.is_empty());
    let (metal, is, hint, remake) = if conductors {
        (
            "strands",
            "are the strands",
            "Strands nearly cut through still hold a tug; a firm tug is no answer to this.",
            "cut back and remake",
        )
    } else {
        (
            "metal",
            "is its metal",
            "Cut: notched, drawn thin, or its thread torn.",
            "take it apart and begin again",
        )
    };
    let seen = asked!(
        form,
        Field::Words,
        Question::new(
            Topic::Finding,
            format!("{name} was over-tightened. Open it and look: {is} sound or cut?"),
            Answers::Words(vec!["sound", "cut"]),
        )
        .about(at)
        .hint(hint)
    );
    let strands = if seen == "sound" { Strands::Sound } else { Strands::Cut };
    // nothing is mended in an audit: what has to be done there is the next question
    let audit = state.visit.kind() == VisitKind::Audit;
    let remake = if audit { "it cannot stay so" } else { remake };
    let choices: &[DecidedTo] = match (strands, audit) {
        (Strands::Sound, false) => &[DecidedTo::Keep, DecidedTo::Remake, DecidedTo::SetAside],
        (Strands::Cut, false) => &[DecidedTo::Remake, DecidedTo::SetAside],
        (Strands::Sound, true) => &[DecidedTo::Keep, DecidedTo::Remake],
        (Strands::Cut, true) => &[DecidedTo::Remake],
    };
    asked!(
        form,
        Field::Pick,
        Question::new(
            Topic::Finding,
            format!("{name}: {metal} {seen}. What is done?"),
            choice(choices.iter().map(|c| match c {
                DecidedTo::Keep => "keep it so, with a remark",
                DecidedTo::SetAside => "set it aside",
                _ => remake,
            })),
        )
        .about(at)
    );
    decided(form, state, at, About::OverTightened, Some(strands), choices)
}

pub(in crate::session::desk) fn screw(form: &Form, state: &State, at: TerminalIndex) -> Next {
    let again = state.visit.standing(at).is_some_and(|s| s.need == Some(Need::LookAtScrew { again: true }));
    let choices: &[DecidedTo] = if again {
        &[DecidedTo::Again, DecidedTo::Remake, DecidedTo::Replace, DecidedTo::SetAside]
    } else {
        &[DecidedTo::Remake, DecidedTo::Replace, DecidedTo::SetAside]
    };
    asked!(
        form,
        Field::Pick,
        Question::new(
            Topic::Finding,
            format!("{}: the screw spins. Look at it; what is done?", name(state, at)),
            choice(choices.iter().map(|c| match c {
                DecidedTo::Again => "tighten once again",
                DecidedTo::Replace => "replace the device",
                DecidedTo::SetAside => "set it aside",
                _ => "cut back and remake",
            })),
        )
        .about(at)
    );
    decided(form, state, at, About::NotClicked, None, choices)
}

fn decided(
    form: &Form,
    state: &State,
    at: TerminalIndex,
    about: About,
    strands: Option<Strands>,
    choices: &[DecidedTo],
) -> Next {
    let pick = form.pick(Field::Pick).unwrap_or(1).saturating_sub(1);
    let picked = choices.get(pick).copied().unwrap_or(DecidedTo::SetAside);
    let Some(terminal) = state.visit.terminal(at) else { return gone() };
    let mut acts = vec![Act::Decide {
        terminal: terminal.name.clone(),
        about,
        strands,
        choice: picked,
        remark: String::new(),
    }];
    if picked == DecidedTo::SetAside {
        let words =
            asked!(form, Field::Why, Question::new(Topic::Finding, "Set aside why?", own_words()).about(at));
        acts.push(Act::SetAside { terminals: vec![terminal.name.clone()], why: AsideWhy::Other(words) });
    }
    Next::Do(acts)
}

/// Where only a remake, a new device or setting aside helps.
pub(in crate::session::desk) fn way_out(form: &Form, state: &State, at: TerminalIndex) -> Next {
    let name = name(state, at);
    let Some(need) = state.visit.standing(at).and_then(|standing| standing.need) else {
        return Next::Desk(DeskAct::Walk);
    };
    let terminal = state.visit.terminal(at);
    let has_device = terminal.is_some_and(|t| t.device.is_some());
    let live = terminal.is_some_and(|t| state.visit.live_source(&t.name).is_some());
    let way = terminal.and_then(|t| t.way);
    // whether a look found it so, or the tool
    let looking = state.visit.standing(at).is_some_and(|s| s.next_step() == Some(Step::Look));
    let Some((text, choices)) = ways_out(need, &name, looking) else { return Next::Desk(DeskAct::Walk) };
    let choices: Vec<(&str, Out)> = choices
        .into_iter()
        .filter(|(_, out)| !matches!(out, Out::Replace) || (has_device && !live))
        .collect();
    let offer = matches!(need, Need::NoMakersValue | Need::NoAccess).then(|| "1".to_owned());
    let offer = if need == Need::Spare { Some("3".to_owned()) } else { offer };
    asked!(
        form,
        Field::Pick,
        Question::new(Topic::Finding, text, choice(choices.iter().map(|(words, _)| *words)))
            .about(at)
            .offering_if(offer)
    );
    let pick = form.pick(Field::Pick).unwrap_or(1).saturating_sub(1);
    let out = choices.into_iter().nth(pick).map(|(_, out)| out);
    let Some(terminal) = terminal else { return gone() };
    match out {
        Some(Out::Remake) => Next::Go(Form::new(Purpose::Remake(at))),
        Some(Out::Replace) => Next::Go(Form::new(Purpose::Replace(at))),
        Some(Out::Plain(why)) => {
            Next::Do(vec![Act::SetAside { terminals: vec![terminal.name.clone()], why }])
        }
        Some(Out::Spare(scope)) => {
            let spare = state.visit.terminals().filter(|(index, t, s)| {
                t.spare
                    && s.aside.is_none()
                    && match scope {
                        SpareScope::This => *index == at,
                        SpareScope::Way => t.way == way,
                        SpareScope::All => true,
                    }
            });
            let terminals = spare.map(|(_, t, _)| t.name.clone()).collect();
            Next::Do(vec![Act::SetAside { terminals, why: AsideWhy::SpareWay }])
        }
        Some(Out::Aside) | None => Next::Go(Form::new(Purpose::SetAside(vec![at]))),
    }
}

/// The question and what can be chosen; nothing where another form asks.
fn ways_out(need: Need, name: &str, looking: bool) -> Option<(String, Vec<(&'static str, Out)>)> {
    Some(match need {
        Need::Remake => (
            format!("{name} cannot stay so. What is done?"),
            vec![("cut back and remake", Out::Remake), ("set it aside", Out::Aside)],
        ),
        Need::Replace => (
            format!("{name}: the device has to be replaced. What is done?"),
            vec![
                ("replaced now", Out::Replace),
                ("set aside: replace device", Out::Plain(AsideWhy::ReplaceDevice)),
            ],
        ),
        Need::Distributor => (
            format!("{name}: heat at the meter or cut-out. Do not touch it; tell the distributor."),
            vec![("set aside: for the distributor", Out::Plain(AsideWhy::Distributor))],
        ),
        Need::NoAccess if looking => (format!("{name}: it cannot be got at."), no_access()),
        Need::NoAccess => (format!("{name}: the tool does not get there."), no_access()),
        Need::NoMakersValue => (
            format!("{name}: done by hand; no maker's value is known."),
            vec![("set aside: no maker's value", Out::Plain(AsideWhy::NoMakersValue))],
        ),
        Need::Spare => (
            format!("{name}: nothing is connected here. Set aside as spare way?"),
            vec![
                ("this terminal", Out::Spare(SpareScope::This)),
                ("every spare terminal of this way", Out::Spare(SpareScope::Way)),
                ("all spare ways of the board", Out::Spare(SpareScope::All)),
            ],
        ),
        Need::Strands | Need::LookAtScrew { .. } => return None,
    })
}

fn no_access() -> Vec<(&'static str, Out)> {
    vec![("set aside: no access", Out::Plain(AsideWhy::NoAccess)), ("set aside, other reason", Out::Aside)]
}

enum Out {
    Remake,
    Replace,
    Aside,
    Plain(AsideWhy),
    Spare(SpareScope),
}

#[derive(Clone, Copy)]
enum SpareScope {
    This,
    Way,
    All,
}
