//! Slips of what was told of several terminals at once: which of them it was.

use crate::domain::names::TerminalName;
use crate::domain::record::Fact;
use crate::session::desk::State;
use crate::session::desk::form::{Field, Form, Next};
use crate::session::desk::question::{Answers, Question, choice};

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
