//! Slips: the question of a mistyped answer is asked again, and the new answer takes its place.

use super::{gate, slip_looked, slip_opened};
use crate::domain::conductor::Preparation;
use crate::domain::names::Seq;
use crate::domain::record::{
    Entered, EntryFault, Fact, MarkResult, NotClicked, Prepared, Scale, TorqueResult, Torqued, Tug, Turned,
};
use crate::domain::torque::{Torque, read_decimal};
use crate::session::act::Act;
use crate::session::desk::State;
use crate::session::desk::ask::{ENTERED, MARKED, TUGGED};
use crate::session::desk::form::{DeskAct, Field, Form, Next, Purpose, asked};
use crate::session::desk::question::{Answers, Question, Seen, Topic, choice, own_words};
use crate::session::desk::words::in_words;

/// Answers that are listed, the latest first; the opening besides.
const LISTED: usize = 8;

/// Whether an answer of this kind can be put right as a slip from the keyboard.
pub(in crate::session::desk) fn can_be_slip(fact: &Fact) -> bool {
    match fact {
        Fact::Torqued(f) => !matches!(f.result, TorqueResult::ByHand),
        Fact::Prepared(_)
        | Fact::Entered(_)
        | Fact::Tugged(_)
        | Fact::Looked(_)
        | Fact::Movement(_)
        | Fact::Marked(_)
        | Fact::Scale(_)
        | Fact::Gates(_)
        | Fact::Person(_)
        | Fact::Opened(_) => true,
        _ => false,
    }
}

/// A line in words; of the opening, what can be put right in it.
fn recorded(state: &State, seq: Seq) -> String {
    let line = state.visit.line(seq);
    match line.map(|line| (line, state.visit.effective(line, None))) {
        Some((line, Fact::Opened(opened))) => format!("{} {}", line.time.clock(), opened.said()),
        _ => in_words(state, seq),
    }
}

pub(in crate::session::desk) fn which(form: &Form, state: &State) -> Next {
    let recent: Vec<Seq> = state
        .visit
        .lines()
        .iter()
        .rev()
        .filter(|line| can_be_slip(&line.fact))
        .map(|line| line.seq)
        .collect();
    // the opening stays within reach however long the walk is
    let opening = recent.last().copied();
    let mut recent: Vec<Seq> = recent.into_iter().take(LISTED).collect();
    if let Some(opening) = opening.filter(|opening| !recent.contains(opening)) {
        recent.push(opening);
    }
    if recent.is_empty() {
        return Next::Desk(DeskAct::Note("nothing was answered yet that could be a slip".into()));
    }
    let list = recent.iter().map(|seq| recorded(state, *seq));
    asked!(form, Field::Pick, Question::new(Topic::Doing, "Which answer was mistyped?", choice(list)));
    let pick = form.pick(Field::Pick).unwrap_or(1).saturating_sub(1);
    match recent.get(pick) {
        Some(seq) => Next::Go(Form::new(Purpose::Slip(*seq))),
        None => Next::Desk(DeskAct::Walk),
    }
}

pub(in crate::session::desk) fn slip(form: &Form, state: &State, seq: Seq) -> Next {
    let Some(line) = state.visit.line(seq) else {
        return Next::Desk(DeskAct::Note("there is no such line".into()));
    };
    let old = state.visit.effective(line, None).clone();
    let question = |text: String, answers| {
        Question::new(Topic::Doing, text, answers)
            .hint(format!("Recorded was: {}", recorded(state, seq)))
            .hint("A slip is a mistyped answer. Work done again is no slip: remake it. Both stay readable.")
    };
    let terminal = match slip_looked::which_of(form, state, &old, question) {
        Ok(terminal) => terminal,
        Err(next) => return next,
    };
    let fact = match &old {
        Fact::Looked(f) => match slip_looked::looked(form, f, question) {
            Ok(fact) => fact,
            Err(next) => return next,
        },
        Fact::Movement(f) => match slip_looked::movement(form, f, question) {
            Ok(fact) => fact,
            Err(next) => return next,
        },
        Fact::Prepared(f) => match prepared(form, f, question) {
            Ok(fact) => fact,
            Err(next) => return next,
        },
        Fact::Entered(f) => match entered(form, f, question) {
            Ok(fact) => fact,
            Err(next) => return next,
        },
        Fact::Torqued(f) => match torqued(form, f, question) {
            Ok(fact) => fact,
            Err(next) => return next,
        },
        Fact::Tugged(_) | Fact::Marked(_) => match tug_or_mark(form, &old, question) {
            Ok(fact) => fact,
            Err(next) => return next,
        },
        Fact::Scale(f) => match scale(form, f, question) {
            Ok(fact) => fact,
            Err(next) => return next,
        },
        Fact::Gates(_) => return gate_again(form, state, seq),
        Fact::Person(f) => match slip_opened::person(form, f, question) {
            Ok(person) => Fact::Person(person),
            Err(next) => return next,
        },
        Fact::Opened(f) => match slip_opened::opened(form, f, question) {
            Ok(opened) => Fact::Opened(Box::new(opened)),
            Err(next) => return next,
        },
        _ => return Next::Desk(DeskAct::Note("that line cannot be put right as a slip".into())),
    };
    let why =
        asked!(form, Field::Why, question("How did it come about?".into(), own_words()).offering("mistyped"));
    Next::Do(vec![Act::Correct { seq, terminal, fact: Box::new(fact), why }])
}

fn tug_or_mark(
    form: &Form,
    old: &Fact,
    question: impl Fn(String, Answers) -> Question,
) -> Result<Fact, Next> {
    let tug = matches!(old, Fact::Tugged(_));
    let Some(word) = form.get(Field::Words) else {
        let (text, words) =
            if tug { ("The tug was:", TUGGED.to_vec()) } else { ("The mark was:", MARKED.to_vec()) };
        return Err(Next::Ask(Field::Words, Box::new(question(text.into(), Answers::Observed(words)))));
    };
    let mut fact = old.clone();
    if let Fact::Tugged(f) = &mut fact {
        f.result = Tug::of(word).unwrap_or(f.result);
    } else if let Fact::Marked(f) = &mut fact {
        f.result = MarkResult::of(word).unwrap_or(f.result);
    }
    Ok(fact)
}

fn prepared(
    form: &Form,
    old: &Prepared,
    question: impl Fn(String, Answers) -> Question,
) -> Result<Fact, Next> {
    let mut list: Vec<String> = Preparation::NAMED.iter().map(|how| how.words().to_owned()).collect();
    list.push("other, in own words".into());
    let Some(pick) = form.pick(Field::Pick) else {
        return Err(Next::Ask(Field::Pick, Box::new(question("It was prepared:".into(), choice(list)))));
    };
    let how = match Preparation::NAMED.get(pick.saturating_sub(1)) {
        Some(how) => how.clone(),
        None => match form.get(Field::Words) {
            Some(words) => Preparation::Other(words.to_owned()),
            None => {
                return Err(Next::Ask(
                    Field::Words,
                    Box::new(question("How, in own words?".into(), own_words())),
                ));
            }
        },
    };
    Ok(Fact::Prepared(Prepared { how, ..old.clone() }))
}

fn entered(form: &Form, old: &Entered, question: impl Fn(String, Answers) -> Question) -> Result<Fact, Next> {
    let Some(word) = form.get(Field::Words) else {
        let question = question("The entry was:".into(), Answers::Observed(ENTERED.to_vec()));
        return Err(Next::Ask(Field::Words, Box::new(question)));
    };
    let fault = if word == "wrong" {
        let Some(pick) = form.pick(Field::Pick) else {
            let question = question("What was wrong?".into(), choice(EntryFault::ALL.map(EntryFault::words)));
            return Err(Next::Ask(Field::Pick, Box::new(question)));
        };
        EntryFault::ALL.get(pick.saturating_sub(1)).copied()
    } else {
        None
    };
    Ok(Fact::Entered(Entered { right: fault.is_none(), fault, ..old.clone() }))
}

/// Whether the screw held or moved before the tool spoke, where that was asked.
fn turned_again(
    form: &Form,
    old: &Torqued,
    question: &impl Fn(String, Answers) -> Question,
) -> Result<Option<Turned>, Next> {
    if old.turned.is_none() || old.round > 0 {
        return Ok(old.turned);
    }
    match form.get(Field::Turned) {
        Some("held") => Ok(Some(Turned::Held)),
        Some(_) => Ok(Some(Turned::Moved)),
        None => {
            let list = vec![Seen { key: 'h', word: "held" }, Seen { key: 'm', word: "moved" }];
            let question = question("Before that the screw:".into(), Answers::Observed(list));
            Err(Next::Ask(Field::Turned, Box::new(question)))
        }
    }
}

fn torqued(form: &Form, old: &Torqued, question: impl Fn(String, Answers) -> Question) -> Result<Fact, Next> {
    let reads = old.tool.is_some() && old.span.is_none();
    let Some(said) = form.get(Field::Words) else {
        let answers = match (reads, old.required) {
            (true, Some(required)) => Answers::Reading { unit: required.unit, or_word: Some("none") },
            _ => Answers::Observed(vec![
                Seen { key: 'c', word: "clicked" },
                Seen { key: 'n', word: "did not click" },
            ]),
        };
        return Err(Next::Ask(Field::Words, Box::new(question("The tool said:".into(), answers))));
    };
    let result = if said == "clicked" {
        TorqueResult::Clicked
    } else if let Ok(value) = read_decimal(said) {
        let unit = old.required.map_or(crate::domain::torque::Unit::NewtonMetre, |required| required.unit);
        TorqueResult::Reading { text: said.to_owned(), value, unit }
    } else {
        let Some(pick) = form.pick(Field::Pick) else {
            let question =
                question("Why did it not click?".into(), choice(NotClicked::ALL.map(NotClicked::words)));
            return Err(Next::Ask(Field::Pick, Box::new(question)));
        };
        let why = NotClicked::ALL.get(pick.saturating_sub(1)).copied().unwrap_or(NotClicked::Spins);
        TorqueResult::NotClicked { why }
    };
    let spoke = !matches!(result, TorqueResult::NotClicked { .. });
    let turned = if spoke { turned_again(form, old, &question)? } else { None };
    Ok(Fact::Torqued(Box::new(Torqued { result, turned, ..old.clone() })))
}

fn scale(form: &Form, old: &Scale, question: impl Fn(String, Answers) -> Question) -> Result<Fact, Next> {
    let Some(typed) = form.get(Field::Read) else {
        let mut question = question(
            format!("The scale of tool {} showed:", old.tool),
            Answers::Reading { unit: old.read.unit, or_word: None },
        );
        question.topic = Topic::Scale;
        question.hints.clear();
        return Err(Next::Ask(Field::Read, Box::new(question)));
    };
    let value = read_decimal(typed).unwrap_or(old.read.value);
    Ok(Fact::Scale(Scale { read: Torque::new(value, old.read.unit), ..old.clone() }))
}

/// The whole gate is asked again; its answer replaces the mistyped one.
fn gate_again(form: &Form, state: &State, seq: Seq) -> Next {
    match gate::gate(form, state) {
        Next::Do(acts) => {
            let why = asked!(
                form,
                Field::Override,
                Question::new(Topic::Gate, "How did it come about?", own_words()).offering("mistyped")
            );
            let gates = acts.into_iter().find_map(|act| match act {
                Act::AnswerGates(gates) => Some(gates),
                _ => None,
            });
            match gates {
                Some(gates) => Next::Do(vec![Act::Correct {
                    seq,
                    terminal: None,
                    fact: Box::new(Fact::Gates(gates)),
                    why,
                }]),
                None => Next::Desk(DeskAct::Walk),
            }
        }
        other => other,
    }
}
