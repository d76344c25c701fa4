//! Slips of an opening: who is on the tool, and which certificate it is for. What is recorded is offered, so that what was
//! typed right is taken with Enter.

use crate::domain::record::{Opened, Person};
use crate::domain::text::NAME_COLUMNS;
use crate::session::desk::form::{Field, Form, Next};
use crate::session::desk::question::{Answers, Question, name_text};

/// Typed where a reference was stated and there is none.
const NONE: &str = "none";

/// Name and role of somebody who took the tool.
pub(super) fn person(
    form: &Form,
    old: &Person,
    question: impl Fn(String, Answers) -> Question,
) -> Result<Person, Next> {
    let asked = |field: Field, text: &str, recorded: &str| match form.get(field) {
        Some(typed) => Ok(typed.to_owned()),
        None => Err(Next::Ask(field, Box::new(question(text.to_owned(), name_text()).offering(recorded)))),
    };
    let name = asked(Field::Name, "The name is:", &old.name)?;
    let role = asked(Field::Role, "What are they here?", &old.role)?;
    Ok(Person { id: old.id.clone(), name, role })
}

/// Person and certificate of an opening.
pub(super) fn opened(
    form: &Form,
    old: &Opened,
    question: impl Fn(String, Answers) -> Question,
) -> Result<Opened, Next> {
    let person = person(form, &old.person, &question)?;
    let Some(typed) = form.get(Field::Certificate) else {
        let recorded = (!old.certificate.is_empty()).then(|| old.certificate.clone());
        let answers = Answers::Text { columns: NAME_COLUMNS, optional: true };
        let asked = question("Reference of the certificate this will be an appendix to:".into(), answers)
            .offering_if(recorded)
            .hint("none: there is no reference yet.");
        return Err(Next::Ask(Field::Certificate, Box::new(asked)));
    };
    let certificate = if typed == NONE { String::new() } else { typed.to_owned() };
    Ok(Opened { person, certificate, ..old.clone() })
}
