//! Looking and tugging by the place, with a typed count, and the tool on one screw.
//!
//! The count is typed by the person who counted and is never offered; a wrong one is refused without the right one
//! being shown. Exceptions are named and then taken one by one.

use super::State;
use super::ask::rehearsed;
use super::audit::{AuditAsk, Stage, waiting};
use super::form::{DeskAct, Field, Form, Next, Purpose, asked};
use super::forms::finding::singly;
use super::question::{Answers, Question, Seen, Topic, choice, own_words};
use super::row::exceptions;
use super::tighten::{scale_first, which};
use crate::domain::names::{ConductorName, PlaceName, TerminalName};
use crate::domain::record::{AsideWhy, Mode, Moved};
use crate::domain::torque::read_decimal;
use crate::session::act::Act;
use crate::session::audit::AuditAct;
use crate::session::visit::TerminalIndex;

/// Words and keys of a screw that is tried.
const TRIED: [Seen; 3] = [
    Seen { key: 'h', word: "held" },
    Seen { key: 'm', word: "moved" },
    Seen { key: 'n', word: "did not click" },
];

fn mode(state: &State) -> Mode {
    match (state.is_rehearsal(), state.desk.notes) {
        (true, _) => Mode::Rehearsed,
        (false, true) => Mode::Notes,
        (false, false) => Mode::Place,
    }
}

fn ask(text: String, answers: Answers) -> Question {
    Question::new(Topic::Row, text, answers)
}

/// Names of the terminals that wait, and those of them that the person leaves out.
fn told(
    form: &Form,
    state: &State,
    place: &PlaceName,
    by_place: Stage,
    words: [&str; 2],
) -> Result<Vec<TerminalName>, Next> {
    let list = waiting(state, place, by_place);
    let names: Vec<TerminalName> =
        list.iter().filter_map(|at| state.visit.terminal(*at)).map(|t| t.name.clone()).collect();
    let listed = names.iter().map(TerminalName::as_str).collect::<Vec<_>>().join(", ");
    let Some(typed) = form.get(Field::Words) else {
        let question = ask(format!("{place}: {}", words[0]), own_words())
            .offering_if(rehearsed(state, "none"))
            .hint(words[1])
            .hint(format!("Here: {listed}."));
        return Err(Next::Ask(Field::Words, Box::new(question)));
    };
    let left_out = exceptions(state, typed).unwrap_or_default();
    let rest: Vec<TerminalName> = names.into_iter().filter(|name| !left_out.contains(name)).collect();
    match (rest.is_empty(), list.first()) {
        (true, Some(first)) => Err(Next::Desk(DeskAct::Focus(*first))),
        _ => Ok(rest),
    }
}

pub(super) fn look(form: &Form, state: &State, place: &PlaceName) -> Next {
    let words = [
        "look at every terminal. Which are not right, or not to be seen? Names, or the word none:",
        "Heat marks, damage, strands outside, insulation under the clamp. Touch nothing. They are asked one by one.",
    ];
    let terminals = match told(form, state, place, Stage::Look, words) {
        Ok(terminals) => terminals,
        Err(next) => return next,
    };
    let typed = asked!(
        form,
        Field::Count,
        ask(
            format!("{place}: how many did you see and find right? Count them and type the number:"),
            Answers::Count
        )
        .offering_if(rehearsed(state, &terminals.len().to_string()))
    );
    let count = typed.parse().unwrap_or(0);
    Next::Do(vec![Act::Audit(AuditAct::LookAlike { terminals, count, mode: mode(state) })])
}

pub(super) fn tug(form: &Form, state: &State, place: &PlaceName) -> Next {
    let words = [
        "tug every conductor. Which terminals were not firm, or not tugged? Names, or the word none:",
        "By hand, firmly, each conductor by itself. They are asked one by one.",
    ];
    let terminals = match told(form, state, place, Stage::Tug, words) {
        Ok(terminals) => terminals,
        Err(next) => return next,
    };
    let conductors: Vec<ConductorName> = terminals
        .iter()
        .filter_map(|name| state.visit.terminal(state.visit.find(name)?))
        .flat_map(crate::domain::board::Terminal::conductor_names)
        .collect();
    let typed = asked!(
        form,
        Field::Count,
        ask(
            format!("{place}: how many conductors were firm? Count them and type the number:"),
            Answers::Count
        )
        .offering_if(rehearsed(state, &conductors.len().to_string()))
    );
    let count = typed.parse().unwrap_or(0);
    Next::Do(vec![Act::Audit(AuditAct::TugAlike { conductors, count, mode: mode(state) })])
}

/// The tool on a screw: held or moved, never judged.
pub(super) fn check(form: &Form, state: &State, at: TerminalIndex, screw: u8) -> Next {
    let Some((terminal, clamp)) = state.visit.terminal(at).zip(state.visit.clamp(at)) else {
        return Next::Desk(DeskAct::Walk);
    };
    let which = which(terminal, clamp, screw);
    let chosen = super::route::tool_for(state, at);
    let Some((tool, required)) =
        chosen.and_then(|(id, required)| Some((&state.visit.tool(&id)?.tool, required)))
    else {
        return no_tool(form, at, &which);
    };
    let tried = |found: Moved| {
        Next::Do(vec![Act::Try {
            terminal: terminal.name.clone(),
            tool: tool.id.clone(),
            at: Some(required),
            found,
            mode: singly(state),
        }])
    };
    let maker = clamp.torque_for(&terminal.conductors).map_or_else(String::new, |row| {
        format!("Maker: {}, {}. Held or moved, never judged by it.", row.stated, row.source)
    });
    if tool.kind == crate::domain::tool::ToolKind::Indicating {
        let question = Question::new(
            Topic::Walk,
            format!(
                "{which}: turn tool {} up slowly, at most to {required}. Where did the screw move first?",
                tool.id
            ),
            Answers::Reading { unit: tool.unit, or_word: Some("held") },
        );
        let typed =
            asked!(form, Field::Read, question.about(at).offering_if(rehearsed(state, "held")).hint(maker));
        return tried(match read_decimal(&typed) {
            Ok(value) => Moved::First { text: typed, value, unit: tool.unit },
            Err(_) => Moved::Held,
        });
    }
    if let Some(next) = scale_first(form, state, at, &tool.id) {
        return next;
    }
    let question = Question::new(
        Topic::Walk,
        format!("{which}: tool {}, once, smoothly. Before the click the screw:", tool.id),
        Answers::Observed(TRIED.to_vec()),
    );
    let seen =
        asked!(form, Field::Words, question.about(at).offering_if(rehearsed(state, "held")).hint(maker));
    match seen.as_str() {
        "held" => tried(Moved::Held),
        "moved" => tried(Moved::Moved),
        _ => Next::Go(Form::new(Purpose::Audit(AuditAsk::NotTried(at)))),
    }
}

/// Why it did not click.
pub(super) fn not_tried(form: &Form, state: &State, at: TerminalIndex) -> Next {
    let Some(terminal) = state.visit.terminal(at) else { return Next::Desk(DeskAct::Walk) };
    asked!(
        form,
        Field::Pick,
        Question::new(
            Topic::Finding,
            format!("{}: why did it not click?", terminal.name),
            choice([
                "the screw turned loose",
                "it spins, or thread or head is stripped",
                "the tool does not get there"
            ]),
        )
        .about(at)
    );
    let terminals = vec![terminal.name.clone()];
    match (form.pick(Field::Pick), super::route::tool_for(state, at)) {
        (Some(1), Some((tool, required))) => Next::Do(vec![Act::Try {
            terminal: terminal.name.clone(),
            tool,
            at: Some(required),
            found: Moved::Loose,
            mode: singly(state),
        }]),
        (Some(2), _) => Next::Do(vec![Act::SetAside { terminals, why: AsideWhy::ReplaceDevice }]),
        _ => Next::Do(vec![Act::SetAside { terminals, why: AsideWhy::NoAccess }]),
    }
}

fn no_tool(form: &Form, at: TerminalIndex, which: &str) -> Next {
    asked!(
        form,
        Field::Pick,
        Question::new(
            Topic::Walk,
            format!("{which}: no tool in hand can be set for it."),
            choice([
                "take or state another tool",
                "leave it for later",
                "set it aside: it stays without data"
            ]),
        )
        .about(at)
    );
    match form.pick(Field::Pick) {
        Some(1) => Next::Go(Form::new(Purpose::Tool)),
        Some(2) => Next::Desk(DeskAct::Later),
        _ => Next::Go(Form::new(Purpose::SetAside(vec![at]))),
    }
}
