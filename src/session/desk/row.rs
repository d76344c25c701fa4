//! A row tightened and told afterwards, and answers from notes.
//!
//! The count is typed by the person who counted the paint marks. It is never offered, and a wrong one is refused
//! without the right one being shown.

use super::State;
use super::form::{DeskAct, Field, Form, Next, asked};
use super::naming::terminals_of;
use super::question::{Answers, Question, Seen, Topic, choice, name_text, own_words};
use super::route::{Pass, group, sequence, tool_for};
use crate::domain::names::{ConductorName, TerminalName, ToolId};
use crate::domain::record::{MarkResult, Mode, Tug};
use crate::domain::torque::{Torque, read_decimal};
use crate::session::act::Act;
use crate::session::misfits_at;
use crate::session::refusal::Refusal;
use crate::session::steps::Step;
use crate::session::visit::TerminalIndex;

/// A row: what can be worked one after the other with the tool as it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// Tool.
    pub tool: ToolId,
    /// What is set on it.
    pub required: Torque,
    /// Terminals, in the order of the walk.
    pub terminals: Vec<TerminalIndex>,
}

/// The row at the terminal in front of the person: the same place, tool, setting and maker's statement, one screw
/// each, nothing found, no settle round.
#[must_use]
pub fn row_here(state: &State) -> Option<Row> {
    let visit = &state.visit;
    let focus = state.desk.focus?;
    let (tool, required) = tool_for(state, focus)?;
    let here = group(visit, crate::domain::record::Order::Place, Pass::Tightening, focus);
    let stated = |at: TerminalIndex| {
        let terminal = visit.terminal(at)?;
        visit.clamp(at)?.torque_for(&terminal.conductors).map(|row| (row.stated.clone(), row.source.clone()))
    };
    let wanted = stated(focus)?;
    let attempt = visit.standing(focus)?.attempt;
    let fits = |at: &TerminalIndex| {
        let (Some(terminal), Some(clamp), Some(standing)) =
            (visit.terminal(*at), visit.clamp(*at), visit.standing(*at))
        else {
            return false;
        };
        standing.need.is_none()
            && standing.aside.is_none()
            && standing.round == 0
            && standing.attempt == attempt
            && clamp.screws == 1
            && matches!(standing.next_step(), Some(Step::Torque { .. }))
            && visit.live_source(&terminal.name).is_none()
            && stated(*at).as_ref() == Some(&wanted)
            && tool_for(state, *at).as_ref() == Some(&(tool.clone(), required))
    };
    let order = visit.route();
    let terminals: Vec<TerminalIndex> = sequence(visit, order, Pass::Tightening)
        .into_iter()
        .filter(|at| {
            group(visit, crate::domain::record::Order::Place, Pass::Tightening, *at) == here && fits(at)
        })
        .collect();
    (terminals.len() > 1 && terminals.contains(&focus)).then_some(Row { tool, required, terminals })
}

fn name(state: &State, at: TerminalIndex) -> Option<TerminalName> {
    state.visit.terminal(at).map(|terminal| terminal.name.clone())
}

fn mode(state: &State) -> Mode {
    match (state.is_rehearsal(), state.desk.notes) {
        (true, _) => Mode::Rehearsed,
        (false, true) => Mode::Notes,
        (false, false) => Mode::Row,
    }
}

pub(super) fn ask(text: impl Into<String>, answers: Answers) -> Question {
    Question::new(Topic::Row, text, answers)
}

/// Names given as exceptions, or none of them for the word `none`.
pub(super) fn exceptions(state: &State, typed: &str) -> Result<Vec<TerminalName>, String> {
    if typed == "none" { Ok(Vec::new()) } else { terminals_of(state, typed) }
}

pub(super) fn row(form: &Form, state: &State) -> Next {
    let Some(row) = row_here(state) else {
        return Next::Desk(DeskAct::Note(
            "there is no row here: several of one setting, made off, none tightened".into(),
        ));
    };
    let running =
        state.visit.running_span(&row.tool).filter(|span| Some(span.session) == state.visit.session());
    let begun = running.is_some_and(|span| span.required == row.required);
    if running.is_some() && !begun {
        return Next::Desk(DeskAct::Note(
            "the tool stands at another setting: read its scale and set it first".into(),
        ));
    }
    if !begun {
        asked!(
            form,
            Field::YesNo,
            ask(
                "No scale was read for this setting. What holds?",
                choice([
                    "set the tool and read its scale first",
                    "the row is worked already: the scale is read now"
                ]),
            )
            .offering("1")
            .hint("Read only after the work, its terminals carry a remark.")
        );
        if form.pick(Field::YesNo) == Some(1) {
            return Next::Desk(DeskAct::Walk);
        }
    }
    let names: Vec<TerminalName> = row.terminals.iter().filter_map(|at| name(state, *at)).collect();
    let listed = names.iter().map(TerminalName::as_str).collect::<Vec<_>>().join(", ");
    let mut question =
        ask(at_each_screw(state, &row), choice(["the whole row is done", "some of it not", "broken off"]))
            .hint(format!("The row: {listed}."));
    let unfit = row.terminals.iter().filter(|at| !misfits_at(&state.visit, **at).is_empty());
    let unfit: Vec<String> = unfit.filter_map(|at| name(state, *at)).map(|name| name.0).collect();
    if !unfit.is_empty() {
        question = question
            .hint(format!("Conductor and clamp do not fit at: {}. Look at these singly.", unfit.join(", ")));
    }
    asked!(form, Field::Pick, question);
    if form.pick(Field::Pick) == Some(3) {
        asked!(
            form,
            Field::Cause,
            ask("Which is the last one with its paint mark? Type its name:", name_text())
                .hint(format!("The row: {listed}."))
        );
    }
    told(form, state, &row, begun)
}

/// What is done at each screw of a row, one line.
#[must_use]
pub fn at_each_screw(state: &State, row: &Row) -> &'static str {
    if row.terminals.iter().any(|at| has_tug(state, *at)) {
        "At each screw: tighten, tug, mark, then the next. The paint is the bookmark."
    } else {
        "At each screw: tighten, mark, then the next. The paint is the bookmark."
    }
}

/// Whether a tug is one of its steps: a finger, a link and a stab have none.
fn has_tug(state: &State, at: TerminalIndex) -> bool {
    let standing = state.visit.standing(at);
    standing.is_some_and(|standing| standing.steps.iter().any(|step| matches!(step, Step::Tug(_))))
}

/// How many of the row are marked when the last one marked is named; nothing where it names none of the row, or several.
/// It is typed and not chosen: the numbers of a list would show what is to be counted.
fn marked(state: &State, row: &Row, last: &str) -> Option<usize> {
    let named = terminals_of(state, last).ok()?;
    let nth = row.terminals.iter().position(|at| name(state, *at).as_slice() == named.as_slice())?;
    Some(nth.saturating_add(1))
}

/// What was tightened of the row, and what of it was not good or not done, as far as the form tells.
fn done_of(form: &Form, state: &State, row: &Row) -> (Vec<TerminalName>, Vec<TerminalName>) {
    let names = row.terminals.iter().filter_map(|at| name(state, *at));
    let told: Vec<TerminalName> = match form.get(Field::Cause) {
        Some(last) => names.take(marked(state, row, last).unwrap_or(0)).collect(),
        None => names.collect(),
    };
    let left_out = form.get(Field::Words).and_then(|typed| exceptions(state, typed).ok()).unwrap_or_default();
    (told.into_iter().filter(|name| !left_out.contains(name)).collect(), left_out)
}

/// Whether an answer about the row can be: the last paint mark is one of the row, the count is the right one. The
/// right count is not shown.
pub(super) fn can_be(form: &Form, state: &State, field: Field, typed: &str) -> Result<(), String> {
    let Some(row) = row_here(state) else { return Ok(()) };
    match field {
        Field::Cause if marked(state, &row, typed).is_none() => {
            Err(format!("{typed:?} is not in this row; type a name as it stands in it"))
        }
        Field::Count => {
            let (done, _) = done_of(form, state, &row);
            let same = typed.parse::<usize>().is_ok_and(|count| count == done.len());
            if same || done.is_empty() { Ok(()) } else { Err(Refusal::CountDiffers.to_string()) }
        }
        _ => Ok(()),
    }
}

fn told(form: &Form, state: &State, row: &Row, begun: bool) -> Next {
    let scale_after = if begun {
        None
    } else {
        let unit = row.required.unit;
        let mut question = ask(
            format!("Tool {}: read its scale and type what it shows:", row.tool),
            Answers::Reading { unit, or_word: None },
        );
        question.topic = Topic::Scale;
        let typed = asked!(form, Field::Read, question);
        read_decimal(&typed).ok().map(|value| Torque::new(value, unit))
    };
    if form.pick(Field::Pick) != Some(1) {
        asked!(
            form,
            Field::Words,
            ask("Which were not good, or not done? Names with commas, or the word none:", own_words())
                .hint("They stay open and are taken one by one.")
        );
    }
    let (done, left_out) = done_of(form, state, row);
    let typed = asked!(
        form,
        Field::Count,
        ask("How many did you tighten? Count the paint marks and type the number:", Answers::Count)
            .offering_if(state.is_rehearsal().then(|| done.len().to_string()))
    );
    let tugged: Vec<ConductorName> = done
        .iter()
        .filter_map(|name| state.visit.find(name))
        .filter(|at| has_tug(state, *at))
        .filter_map(|at| state.visit.terminal(at))
        .flat_map(crate::domain::board::Terminal::conductor_names)
        .collect();
    if !tugged.is_empty() {
        asked!(
            form,
            Field::TailTug,
            ask("The tug, of all of those:", Answers::Observed(vec![Seen { key: 'f', word: "firm" }]))
                .hint("One that was not firm is an exception: PageUp.")
        );
    }
    let marked = asked!(
        form,
        Field::TailMark,
        ask("The witness mark, of all of those:", Answers::Observed(super::ask::MARKED.to_vec()))
    );
    let result = MarkResult::of(&marked).unwrap_or(MarkResult::NotUsed);
    let mode = mode(state);
    let mut acts = vec![Act::TorqueRow {
        terminals: done.clone(),
        tool: row.tool.clone(),
        scale_after,
        count: typed.parse().unwrap_or(0),
        exceptions: left_out,
        mode,
    }];
    if !tugged.is_empty() {
        acts.push(Act::Tug { conductors: tugged, result: Tug::Firm, mode });
    }
    acts.push(Act::Mark { terminals: done, result, mode });
    Next::Do(acts)
}

/// How the remark begins that says who kept the notes.
pub const NOTES_KEPT: &str = "answers entered from notes kept by ";

/// Answers come from notes from now on: who kept them and when is a remark of its own.
pub(super) fn notes(form: &Form, state: &State) -> Next {
    if state.desk.notes {
        return Next::Desk(DeskAct::Notes(false));
    }
    let by = asked!(form, Field::By, ask("Answers from notes: who kept them?", name_text()));
    let why = asked!(form, Field::Why, ask("When, and why not here (laptop, light)?", own_words()));
    Next::Do(vec![Act::Remark {
        on: crate::domain::record::RemarkOn::Board,
        text: format!("{NOTES_KEPT}{by}: {why}"),
        before_power_on: false,
        handed_to: None,
    }])
}
