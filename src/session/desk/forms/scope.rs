//! What a revisit is about: what happened, what was disturbed and how, and what that concerns besides.
//!
//! All of it is choice and hearsay, nothing of it an observation; what is found at the terminals comes later.

use crate::domain::names::TerminalName;
use crate::domain::record::{DisturbedHow, Dropped, Happened, InScopeWhy, Known, Scope};
use crate::domain::text::NAME_COLUMNS;
use crate::session::act::Act;
use crate::session::desk::State;
use crate::session::desk::ask::rehearsed;
use crate::session::desk::form::{DeskAct, Field, Form, Next, Purpose, asked};
use crate::session::desk::naming::terminals_of;
use crate::session::desk::question::{Answers, Question, Topic, choice, own_words};
use crate::session::desk::words::terminals_in_words;
use crate::session::scope_of::{Disturbance, scope_of};

/// How a conductor can have been disturbed, as it is listed.
const HOW: [DisturbedHow; 4] =
    [DisturbedHow::Flexed, DisturbedHow::Twisted, DisturbedHow::Repositioned, DisturbedHow::ReTerminated];
/// Answers to what was disturbed.
const TAILS: &str = "1";
const EVERYTHING: &str = "2";
const NAMED: &str = "3";
/// What ends picking on the drawing.
const ALL_PICKED: &str = "2";
/// Names said one by one in a hint.
const NAMED_MAX: usize = 8;

/// How many terminals that are outstanding are named with a question.
const OUTSTANDING_NAMED: usize = 8;

fn ask(text: impl Into<String>, answers: Answers) -> Question {
    Question::new(Topic::Opening, text, answers)
}

pub(in crate::session::desk) fn scope(form: &Form, state: &State) -> Next {
    let at_place = state.desk.start.flat.is_some();
    let happened = match happened(form, state) {
        Ok(happened) => happened,
        Err(next) => return next,
    };
    let disturbed = match all_disturbed(form, state, &happened) {
        Ok(disturbed) => disturbed,
        Err(next) => return next,
    };
    let disturbed = match how(form, state, disturbed) {
        Ok(disturbed) => disturbed,
        Err(next) => return next,
    };
    let by = asked!(
        form,
        Field::By,
        ask(
            "Who did it? (nothing if it is not known)",
            Answers::Text { columns: NAME_COLUMNS, optional: true }
        )
    );
    asked!(
        form,
        Field::Checked,
        ask("Did they check the tightness?", choice(Known::ALL.map(Known::words)))
            .offering_if(rehearsed(state, "3"))
            .hint("A yes never makes the scope smaller: a correct joint can be loosened to pull-out by what came after.")
    );
    let checked = form.pick(Field::Checked).and_then(|n| Known::ALL.get(n.saturating_sub(1))).copied();
    let mut what = Disturbance {
        happened,
        disturbed,
        by: (!by.is_empty()).then_some(by),
        checked_by_them: checked.unwrap_or(Known::NotKnown),
        added: Vec::new(),
        dropped: Vec::new(),
    };
    if !at_place && let Err(next) = changes(form, state, &mut what) {
        return next;
    }
    let scope = scope_of(state.board(), &what, &state.desk.start.past);
    Next::Do(vec![Act::SetScope(Box::new(scope))])
}

fn happened(form: &Form, state: &State) -> Result<Happened, Next> {
    let offered = state.desk.start.flat.is_some() || state.is_rehearsal();
    let Some(pick) = form.pick(Field::Happened) else {
        let named = Happened::NAMED.iter().map(|happened| happened.words().to_owned());
        let question = ask(
            "What happened since this board was last worked on?",
            choice(named.chain(["other, in own words".to_owned()])),
        )
        .offering_if(offered.then(|| "1".to_owned()));
        return Err(Next::Ask(Field::Happened, Box::new(question)));
    };
    if let Some(happened) = Happened::NAMED.get(pick.saturating_sub(1)) {
        return Ok(happened.clone());
    }
    form.get(Field::Cause).map(|words| Happened::Other(words.to_owned())).ok_or_else(|| {
        let question = ask("What happened, in your own words?", own_words());
        Next::Ask(Field::Cause, Box::new(question))
    })
}

/// Terminals disturbed themselves: the tails, everything, by name, or picked on the drawing.
fn disturbed(form: &Form, state: &State, happened: &Happened) -> Result<Vec<TerminalName>, Next> {
    let board = state.board();
    let offer = if happened.moves_tails() {
        Some(TAILS.to_owned())
    } else {
        happened.moves_everything().then(|| EVERYTHING.to_owned())
    };
    let Some(pick) = form.get(Field::Disturbed) else {
        let list = ["the incoming tails", "the whole board", "named, with commas", "picked on the drawing"];
        let mut question = ask("Which terminals were disturbed?", choice(list)).offering_if(offer);
        if let Some(words) = outstanding(state) {
            question = question.hint(words);
        }
        return Err(Next::Ask(Field::Disturbed, Box::new(question)));
    };
    let names: Vec<TerminalName> = match pick {
        TAILS => board.tails().cloned().collect(),
        EVERYTHING => board.terminals.iter().filter(|t| !t.spare).map(|t| t.name.clone()).collect(),
        NAMED => {
            let Some(names) = form.get(Field::Words) else {
                let question = ask("Which? Names of terminals, ways as \"way 3\", places:", own_words());
                return Err(Next::Ask(Field::Words, Box::new(question)));
            };
            terminals_of(state, names).unwrap_or_default()
        }
        _ => picked(form, state)?,
    };
    Ok(names)
}

/// Terminals said to be disturbed so far, in the order in which they are asked about one by one.
#[must_use]
pub fn disturbed_so_far(form: &Form, state: &State) -> Vec<TerminalName> {
    let happened = happened(form, state);
    happened.and_then(|happened| all_disturbed(form, state, &happened)).unwrap_or_default()
}

fn all_disturbed(form: &Form, state: &State, happened: &Happened) -> Result<Vec<TerminalName>, Next> {
    // without a board file it is the tails and what is pulled about with them
    if state.desk.start.flat.is_some() {
        return Ok(state.board().tails().cloned().collect());
    }
    disturbed(form, state, happened)
}

/// Picked on the drawing: the arrows go about, and each answer takes the terminal they stand at.
fn picked(form: &Form, state: &State) -> Result<Vec<TerminalName>, Next> {
    let so_far: Vec<TerminalName> =
        form.all(Field::Pick).filter(|pick| *pick != ALL_PICKED).map(TerminalName::from).collect();
    if form.all(Field::Pick).last() == Some(ALL_PICKED) && !so_far.is_empty() {
        return Ok(so_far);
    }
    let here = state.desk.focus.and_then(|at| state.visit.terminal(at)).map(|terminal| &terminal.name);
    let here = here.map_or_else(|| "none".to_owned(), |name| format!("{name} was disturbed"));
    let mut question = Question::new(
        Topic::Walk,
        "Go to a terminal with the arrows. It:",
        choice([here, format!("that is all: {}", terminals_in_words(so_far.len()))]),
    );
    if !so_far.is_empty() {
        question = question.hint(format!("Picked: {}.", listed(&so_far)));
    }
    if let Some(at) = state.desk.focus {
        question = question.about(at);
    }
    Err(Next::Ask(Field::Pick, Box::new(question)))
}

/// What an answer stands for when something is picked on the drawing: the terminal in front of the person.
pub(in crate::session::desk) fn picked_here(form: &Form, state: &State, field: Field, value: &str) -> String {
    let on_drawing = form.purpose == Purpose::Scope && field == Field::Pick && value != ALL_PICKED;
    let here = state.desk.focus.filter(|_| on_drawing).and_then(|at| state.visit.terminal(at));
    here.map_or_else(|| value.to_owned(), |terminal| terminal.name.0.clone())
}

fn how(
    form: &Form,
    state: &State,
    names: Vec<TerminalName>,
) -> Result<Vec<(TerminalName, DisturbedHow)>, Next> {
    let mut said = form.all(Field::How);
    let words = || HOW.iter().map(|how| how.words().to_owned());
    let of = |pick: &str| pick.parse::<usize>().ok().and_then(|n| HOW.get(n.saturating_sub(1))).copied();
    let first = said.next();
    let several = names.len() > 1;
    let Some(first) = first else {
        let alike = several.then(|| "not all alike".to_owned());
        let question = ask("How were their conductors disturbed?", choice(words().chain(alike)))
            .offering_if(rehearsed(state, "1"))
            .hint(format!("{}.", listed(&names)))
            .hint("Taken out and re-terminated: a new attempt with a fresh preparation. The others keep theirs.");
        return Err(Next::Ask(Field::How, Box::new(question)));
    };
    if let Some(how) = of(first) {
        return Ok(names.into_iter().map(|name| (name, how)).collect());
    }
    let mut each = Vec::new();
    for name in names {
        let Some(pick) = said.next() else {
            let question = ask(format!("{name}: how was it disturbed?"), choice(words()))
                .offering_if(rehearsed(state, "1"));
            return Err(Next::Ask(Field::How, Box::new(question)));
        };
        each.push((name, of(pick).unwrap_or(DisturbedHow::Flexed)));
    }
    Ok(each)
}

/// The scope that was worked out is shown; terminals are added or, with a reason, left out.
fn changes(form: &Form, state: &State, what: &mut Disturbance) -> Result<(), Next> {
    let mut said = form
        .given
        .iter()
        .filter(|(field, _)| matches!(field, Field::ScopeChange | Field::SourceFeeds | Field::Why));
    loop {
        let scope = scope_of(state.board(), what, &state.desk.start.past);
        let Some((_, pick)) = said.next() else {
            let text = format!("In scope: {}. Does it hold?", terminals_in_words(scope.terminals.len()));
            let mut question =
                ask(text, choice(["yes, go on", "add terminals", "leave some out, with a reason"]))
                    .offering("1");
            for line in in_words(&scope) {
                question = question.hint(line);
            }
            return Err(Next::Ask(Field::ScopeChange, Box::new(question)));
        };
        let adds = match pick.as_str() {
            "2" => true,
            "3" => false,
            _ => return Ok(()),
        };
        let Some((_, names)) = said.next() else {
            let text = if adds { "Which are added?" } else { "Which are left out?" };
            return Err(Next::Ask(Field::SourceFeeds, Box::new(ask(text, own_words()))));
        };
        let names = terminals_of(state, names).unwrap_or_default();
        if adds {
            what.dropped.retain(|dropped| !names.contains(&dropped.terminal));
            what.added.extend(names);
            continue;
        }
        let Some((_, why)) = said.next() else {
            return Err(Next::Ask(Field::Why, Box::new(ask("Left out why?", own_words()))));
        };
        let in_scope = |name: &TerminalName| scope.terminals.iter().any(|entry| entry.terminal == *name);
        let out = names.into_iter().filter(in_scope);
        what.dropped.extend(out.map(|terminal| Dropped { terminal, why: why.clone() }));
    }
}

/// The scope in lines, one a reason.
#[must_use]
pub fn in_words(scope: &Scope) -> Vec<String> {
    let mut lines: Vec<(InScopeWhy, Vec<TerminalName>)> = Vec::new();
    for entry in &scope.terminals {
        match lines.iter_mut().find(|(why, _)| *why == entry.why) {
            Some((_, names)) => names.push(entry.terminal.clone()),
            None => lines.push((entry.why, vec![entry.terminal.clone()])),
        }
    }
    lines.sort_by_key(|(why, _)| *why);
    let mut said: Vec<String> =
        lines.into_iter().map(|(why, names)| format!("{}: {}.", why.words(), listed(&names))).collect();
    if !scope.dropped.is_empty() {
        let names: Vec<TerminalName> = scope.dropped.iter().map(|d| d.terminal.clone()).collect();
        said.push(format!("left out: {}.", listed(&names)));
    }
    if !scope.gone.is_empty() {
        said.push(format!("no longer on the board: {}.", listed(&scope.gone)));
    }
    said.extend(scope.not_ours.iter().map(|end| format!("not ours, beyond the supplier's seals: {end}.")));
    said
}

fn listed(names: &[TerminalName]) -> String {
    let said: Vec<&str> = names.iter().take(NAMED_MAX).map(TerminalName::as_str).collect();
    match names.len().saturating_sub(NAMED_MAX) {
        0 => said.join(", "),
        more => format!("{} and {more} more", said.join(", ")),
    }
}

/// More or less of a scope that holds already.
pub(in crate::session::desk) fn more(form: &Form, state: &State) -> Next {
    let Some((_, scope)) = state.visit.scope() else { return Next::Desk(DeskAct::Walk) };
    let mut what = Disturbance {
        happened: scope.happened.clone(),
        disturbed: scope
            .terminals
            .iter()
            .filter_map(|entry| Some((entry.terminal.clone(), entry.how?)))
            .collect(),
        by: scope.by.clone(),
        checked_by_them: scope.checked_by_them,
        added: scope.terminals.iter().map(|entry| entry.terminal.clone()).collect(),
        dropped: scope.dropped.clone(),
    };
    if let Err(next) = changes(form, state, &mut what) {
        return next;
    }
    let mut wider = scope_of(state.board(), &what, &state.desk.start.past);
    // what was said of a terminal when it came into scope stays
    for entry in &mut wider.terminals {
        if let Some(before) = scope.terminals.iter().find(|before| before.terminal == entry.terminal) {
            entry.clone_from(before);
        }
    }
    if wider == *scope {
        return Next::Desk(DeskAct::Note("the scope is as it was".into()));
    }
    Next::Do(vec![Act::SetScope(Box::new(wider))])
}

/// What earlier visits left to be done, by name: nobody comes back to a board and is not told of it.
fn outstanding(state: &State) -> Option<String> {
    let mut names: Vec<&str> = Vec::new();
    for (name, _) in state.desk.start.past.outstanding() {
        if !names.contains(&name.as_str()) {
            names.push(name.as_str());
        }
    }
    let few = names.iter().take(OUTSTANDING_NAMED).copied().collect::<Vec<_>>().join(", ");
    let more = names.len().checked_sub(OUTSTANDING_NAMED).filter(|more| *more > 0);
    let more = more.map_or_else(String::new, |more| format!(" and {more} more"));
    let words = "Outstanding since earlier visits, and in scope only where it is named too";
    (!few.is_empty()).then(|| format!("{words}: {few}{more} (witnessmark past)."))
}
