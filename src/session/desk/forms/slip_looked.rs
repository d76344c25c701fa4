//! Slips of a coming back: a look, what a screw did under the tool, and one terminal of several told at once.

use crate::domain::names::TerminalName;
use crate::domain::record::{Fact, LookResult, Looked, Mark, Moved, Movement};
use crate::domain::torque::{Unit, read_decimal};
use crate::session::desk::State;
use crate::session::desk::form::{Field, Form, Next};
use crate::session::desk::looked::LOOKED;
use crate::session::desk::question::{Answers, Question, Seen, choice};

/// The one terminal of several that a slip is about; nothing where it is about all of them, or there is but one.
pub(super) fn which_of(
    form: &Form,
    state: &State,
    fact: &Fact,
    question: impl Fn(String, Answers) -> Question,
) -> Result<Option<TerminalName>, Next> {
    let names = match fact {
        Fact::Looked(_) | Fact::Tugged(_) => crate::session::apply::named(&state.visit, fact),
        _ => return Ok(None),
    };
    if names.len() < 2 {
        return Ok(None);
    }
    let Some(pick) = form.pick(Field::Cause) else {
        let list = std::iter::once("all of them".to_owned()).chain(names.iter().map(ToString::to_string));
        return Err(Next::Ask(
            Field::Cause,
            Box::new(question("Which of them was mistyped?".into(), choice(list))),
        ));
    };
    Ok(pick.checked_sub(2).and_then(|at| names.get(at)).cloned())
}

pub(super) fn looked(
    form: &Form,
    old: &Looked,
    question: impl Fn(String, Answers) -> Question,
) -> Result<Fact, Next> {
    let Some(word) = form.get(Field::Words) else {
        let question = question("The look showed:".into(), Answers::Observed(LOOKED.to_vec()));
        return Err(Next::Ask(Field::Words, Box::new(question)));
    };
    let result = match word {
        "right" => LookResult::Sound,
        "not visible" => LookResult::NotSeen,
        _ => {
            let Some(pick) = form.pick(Field::Pick) else {
                let list = Mark::ALL.iter().map(|mark| mark.words()).chain(["it could not be got at"]);
                let question = question("What was wrong? The gravest:".into(), choice(list));
                return Err(Next::Ask(Field::Pick, Box::new(question)));
            };
            match Mark::ALL.get(pick.saturating_sub(1)) {
                Some(mark) => LookResult::Found(vec![*mark]),
                None => LookResult::NotAccessible,
            }
        }
    };
    Ok(Fact::Looked(Looked { result, ..old.clone() }))
}

pub(super) fn movement(
    form: &Form,
    old: &Movement,
    question: impl Fn(String, Answers) -> Question,
) -> Result<Fact, Next> {
    let unit = old.at.map_or(Unit::NewtonMetre, |at| at.unit);
    let reads = old.span.is_none();
    let Some(said) = form.get(Field::Words) else {
        let answers = if reads {
            Answers::Reading { unit, or_word: Some("held") }
        } else {
            Answers::Observed(vec![Seen { key: 'h', word: "held" }, Seen { key: 'm', word: "moved" }])
        };
        return Err(Next::Ask(Field::Words, Box::new(question("Under the tool the screw:".into(), answers))));
    };
    let found = match (said, read_decimal(said)) {
        ("moved", _) => Moved::Moved,
        (_, Ok(value)) => Moved::First { text: said.to_owned(), value, unit },
        _ => Moved::Held,
    };
    Ok(Fact::Movement(Movement { found, ..old.clone() }))
}
