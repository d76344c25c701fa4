//! What is due, and the questions of the steps.

use super::State;
use super::audit;
use super::form::{DeskAct, Field, Form, Next, Purpose, SignOff, asked};
use super::forms::finding::singly;
use super::forms::{opening, sign_off};
use super::looked;
use super::question::{Answers, Question, Seen, Topic, choice};
use super::together::{Scope, Together, waiting_for};
use crate::domain::conductor::{Class, Preparation};
use crate::domain::record::{Fact, MarkResult, Outcome, Tug, VisitKind};
use crate::session::act::Act;
use crate::session::standing::Need;
use crate::session::steps::Step;
use crate::session::visit::TerminalIndex;
use crate::session::{misfits_at, misfits_before};

/// Words and keys of the tug.
pub(super) const TUGGED: [Seen; 4] = [
    Seen { key: 'f', word: "firm" },
    Seen { key: 's', word: "shifted" },
    Seen { key: 'o', word: "came out" },
    Seen { key: 'b', word: "strands broke" },
];
/// Words and keys of the mark.
pub(super) const MARKED: [Seen; 3] = [
    Seen { key: 'k', word: "made" },
    Seen { key: 'v', word: "not visible" },
    Seen { key: 'u', word: "not used" },
];
/// Words and keys of the entry.
pub(super) const ENTERED: [Seen; 2] = [Seen { key: 'r', word: "right" }, Seen { key: 'w', word: "wrong" }];
/// Words and keys of a finger.
const SEATED: [Seen; 2] = [Seen { key: 'e', word: "seated" }, Seen { key: 'w', word: "wrong" }];
/// The question that stands.
pub(super) fn question(state: &State) -> Question {
    if state.desk.left.is_some() || state.visit.ended().is_some() {
        return Question::new(Topic::Over, "The visit is over.", Answers::Choice(Vec::new()));
    }
    match current(state).next(state) {
        Next::Ask(_, question) => *question,
        // `advance` has carried out everything that asks nothing; what is left is on its way to the journal.
        Next::Do(_) | Next::Go(_) | Next::Desk(_) => {
            Question::new(Topic::Walk, "Storing the last answer.", Answers::Choice(Vec::new()))
        }
    }
}

/// The form in progress, else what is due.
pub(super) fn current(state: &State) -> Form {
    if state.desk.trouble.is_some() {
        return state.desk.mending.clone().unwrap_or_else(|| Form::new(Purpose::Trouble));
    }
    state.desk.form.clone().unwrap_or_else(|| due(state))
}

/// What is due when nothing was begun.
fn due(state: &State) -> Form {
    let visit = &state.visit;
    if visit.opened().is_none() {
        return opening::first(state);
    }
    if state.desk.hands_to_ask {
        return Form::new(Purpose::HandsNow);
    }
    // What was amended at the board differs from the file on purpose; only another file is asked about.
    let other_file = visit.board_sha256().is_some_and(|sha256| sha256 != state.desk.start.board_sha256);
    let differs = other_file && visit.board().is_some_and(|board| *board != state.desk.start.board);
    if differs && !state.desk.board_kept {
        return Form::new(Purpose::AmendFromFile);
    }
    if state.desk.signing {
        return sign_off::due(state);
    }
    if visit.kind() == VisitKind::Revisit && visit.scope().is_none() {
        return Form::new(Purpose::Scope);
    }
    if let Some(form) = audit::due(state) {
        return form;
    }
    // who comes back is asked for a tool where one is needed, and walks by place
    if visit.tools().is_empty() && (!visit.is_coming_back() || audit::wants_tool(state)) {
        return Form::new(Purpose::Tool);
    }
    if visit.route.is_none() && !visit.is_coming_back() {
        return Form::new(Purpose::Route);
    }
    if visit.gate(&state.desk.who).is_none() {
        return Form::new(Purpose::Gate);
    }
    if let Some(span) = visit.open_spans().find(|span| Some(span.session) != visit.session()) {
        return Form::new(Purpose::ScaleEnd(span.id.clone()));
    }
    match state.desk.focus {
        Some(at) => at_terminal(state, at),
        None if audit::due_at_board(state).is_some() => {
            audit::due_at_board(state).unwrap_or_else(|| Form::new(Purpose::List))
        }
        None => match visit.open_spans().next() {
            Some(span) => Form::new(Purpose::ScaleEnd(span.id.clone())),
            None if visit.counts().settling > 0 => Form::new(Purpose::Waiting),
            None => Form::new(Purpose::SignOff(SignOff::Begin)),
        },
    }
}

fn at_terminal(state: &State, at: TerminalIndex) -> Form {
    let Some(standing) = state.visit.standing(at) else { return Form::new(Purpose::List) };
    let live =
        state.visit.terminal(at).is_some_and(|terminal| state.visit.live_source(&terminal.name).is_some());
    if !live && standing.outcome == Outcome::Settling {
        return Form::new(Purpose::Settle(at));
    }
    if live && looked::can_be_met_live(state, at) {
        return match standing.need {
            Some(_) => Form::new(Purpose::WayOut(at)),
            None => Form::new(Purpose::LiveLook(at)),
        };
    }
    if live || standing.outcome != Outcome::Open {
        return Form::new(Purpose::Idle(at));
    }
    match (standing.need, standing.next_step()) {
        (Some(Need::Strands), _) => Form::new(Purpose::Strands(at)),
        (Some(Need::LookAtScrew { .. }), _) => Form::new(Purpose::Screw(at)),
        (Some(_), _) => Form::new(Purpose::WayOut(at)),
        (None, Some(Step::Mark)) if state.desk.marks_with_place => marks(state, at),
        (None, Some(step)) => Form::new(Purpose::Step(at, step)),
        (None, None) => Form::new(Purpose::Idle(at)),
    }
}

/// The marks of a whole place, or the one that is left of it.
fn marks(state: &State, at: TerminalIndex) -> Form {
    let place = state.visit.terminal(at).map(|terminal| Scope::Place(terminal.place.clone()));
    match place.filter(|place| waiting_for(state, place, Together::Mark).len() > 1) {
        Some(place) => Form::new(Purpose::Together(place, Together::Mark)),
        None => Form::new(Purpose::Step(at, Step::Mark)),
    }
}

/// A terminal where nothing is to be done: say how it stands.
pub(super) fn idle(form: &Form, state: &State, at: TerminalIndex) -> Next {
    let Some((terminal, standing)) = state.visit.terminal(at).zip(state.visit.standing(at)) else {
        return Next::Desk(DeskAct::Walk);
    };
    let why = match state.visit.live_source(&terminal.name) {
        Some(source) => format!("fed by {source}, which is live"),
        None if standing.scale_to_be_read => "done; the scale of its span is still to be read".into(),
        None => standing.outcome.words().to_owned(),
    };
    let question = Question::new(
        Topic::Walk,
        format!("{}: {why}. Nothing is to be done here now.", terminal.name),
        choice(["go on with the walk"]),
    );
    asked!(form, Field::Pick, question.about(at).offering("1"));
    Next::Desk(DeskAct::Walk)
}

pub(super) fn step(form: &Form, state: &State, at: TerminalIndex, step: Step) -> Next {
    match step {
        Step::Look => super::looked::look(form, state, at, false),
        Step::CheckTug(nth) => super::looked::check_tug(form, state, at, nth),
        Step::Check { screw } if audit::is_audit(state) => super::audit_place::check(form, state, at, screw),
        Step::Check { screw } => super::looked::check(form, state, at, screw),
        Step::Prepare(nth) => prepare(form, state, at, nth),
        Step::Enter(nth) => enter(form, state, at, nth),
        Step::Torque { screw, .. } => super::tighten::torque(form, state, at, screw),
        Step::Tug(nth) => tug(form, state, at, nth),
        Step::Mark => mark(form, state, at),
    }
}

pub(super) fn rehearsed(state: &State, word: &str) -> Option<String> {
    state.is_rehearsal().then(|| word.to_owned())
}

pub(super) fn conductor_words(state: &State, at: TerminalIndex, nth: usize) -> String {
    let name = state.visit.conductor_name(at, nth).map_or_else(String::new, |name| name.0);
    match state.visit.terminal(at).and_then(|terminal| terminal.conductors.get(nth)) {
        Some(conductor) => format!("{name} ({conductor})"),
        None => name,
    }
}

fn prepare(form: &Form, state: &State, at: TerminalIndex, nth: usize) -> Next {
    let mut list: Vec<String> = Preparation::NAMED.iter().map(|how| how.words().to_owned()).collect();
    list.push("other, in own words".into());
    let conductor = state.visit.terminal(at).and_then(|terminal| terminal.conductors.get(nth));
    let offer = planned_or_last(state, at, nth).or_else(|| {
        // A solid conductor has no strands to do anything with; nothing else is favoured.
        let solid = conductor.is_some_and(|c| c.class == Class::Solid);
        if solid { Some("8".to_owned()) } else { rehearsed(state, "1") }
    });
    let mut question = Question::new(
        Topic::Walk,
        format!("{}: prepared how?", conductor_words(state, at, nth)),
        choice(list),
    )
    .about(at)
    .offering_if(offer);
    if let Some(strip) = state.visit.clamp(at).and_then(|clamp| clamp.strip_mm) {
        question = question.hint(format!("Strip {strip} mm, no nicks."));
    }
    if let Some(words) = looked::beside(state, at) {
        question = question.hint(words);
    }
    for words in misfits_before(&state.visit, at) {
        question = question.hint(format!("Does not fit: {words}."));
    }
    let pick = asked!(form, Field::Pick, question);
    Next::Go(Form::new(Purpose::Prepare(at, nth)).with(Field::Pick, pick))
}

/// What the designer planned, else what this person last did with such a conductor, as a list number.
fn planned_or_last(state: &State, at: TerminalIndex, nth: usize) -> Option<String> {
    let conductor = state.visit.terminal(at)?.conductors.get(nth)?;
    let number = |how: &Preparation| {
        Preparation::NAMED.iter().position(|named| named == how).map(|at| at.saturating_add(1).to_string())
    };
    if let Some(planned) = &conductor.planned {
        return number(planned);
    }
    state.visit.lines().iter().rev().find_map(|line| match state.visit.effective(line, None) {
        Fact::Prepared(f) => {
            let (index, nth) = state.visit.find_conductor(f.conductors.first()?)?;
            let same = state.visit.terminal(index)?.conductors.get(nth)? == conductor;
            if same { number(&f.how) } else { None }
        }
        _ => None,
    })
}

fn enter(form: &Form, state: &State, at: TerminalIndex, nth: usize) -> Next {
    let finger = state.visit.clamp(at).is_some_and(|clamp| !clamp.kind.takes_conductors());
    let words = conductor_words(state, at, nth);
    let (text, list) = if finger {
        (format!("{words}: is it seated under its clamp?"), SEATED)
    } else {
        (format!("{words}: enter it and look. The entry is:"), ENTERED)
    };
    let mut question = Question::new(Topic::Walk, text, Answers::Observed(list.to_vec()))
        .about(at)
        .offering_if(rehearsed(state, if finger { "seated" } else { "right" }));
    if !finger {
        question =
            question.hint("Right circuit, right side of the clamp, every strand in, no insulation under it.");
    }
    for words in misfits_at(&state.visit, at) {
        question = question.hint(format!("Does not fit: {words}."));
    }
    let seen = asked!(form, Field::Words, question);
    if seen == "wrong" {
        return Next::Go(Form::new(Purpose::EntryFault(at, nth)));
    }
    let conductors = state.visit.conductor_name(at, nth).into_iter().collect();
    Next::Do(vec![Act::Enter { conductors, fault: None, mode: singly(state) }])
}

fn tug(form: &Form, state: &State, at: TerminalIndex, nth: usize) -> Next {
    let question = Question::new(
        Topic::Walk,
        format!("{}: tug it firmly. It is:", conductor_words(state, at, nth)),
        Answers::Observed(TUGGED.to_vec()),
    )
    .about(at)
    .offering_if(rehearsed(state, "firm"));
    let seen = asked!(form, Field::Words, question);
    let result = Tug::of(&seen);
    let conductors = state.visit.conductor_name(at, nth).into_iter().collect();
    Next::Do(vec![Act::Tug { conductors, result: result.unwrap_or(Tug::Shifted), mode: singly(state) }])
}

fn mark(form: &Form, state: &State, at: TerminalIndex) -> Next {
    let name = state.visit.terminal(at).map_or("", |terminal| terminal.name.as_str());
    let question = Question::new(
        Topic::Walk,
        format!("{name}: draw the witness mark across screw and body. It is:"),
        Answers::Observed(MARKED.to_vec()),
    )
    .about(at)
    .offering_if(rehearsed(state, "made"));
    let seen = asked!(form, Field::Words, question);
    let result = MarkResult::of(&seen);
    let terminals = state.visit.terminal(at).map(|terminal| terminal.name.clone()).into_iter().collect();
    Next::Do(vec![Act::Mark {
        terminals,
        result: result.unwrap_or(MarkResult::NotUsed),
        mode: singly(state),
    }])
}
