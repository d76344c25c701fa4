//! Other hands: who is on the tool, who is at the keys, who countersigns; a tool that is doubted or released.

use crate::domain::names::{PersonId, ToolId};
use crate::domain::record::Person;
use crate::session::act::Act;
use crate::session::desk::State;
use crate::session::desk::form::{DeskAct, Field, Form, Next, Purpose, asked};
use crate::session::desk::question::{Question, Topic, choice, name_text, own_words};

fn next_id(state: &State) -> PersonId {
    PersonId(format!("P{}", state.visit.persons().len().saturating_add(1)))
}

fn listed(state: &State) -> Vec<String> {
    state.visit.persons().iter().map(|person| format!("{}, {}", person.name, person.role)).collect()
}

/// Who takes the tool. The scale of a running span is read before hands change.
pub(in crate::session::desk) fn hands(form: &Form, state: &State) -> Next {
    if let Some(span) = state.visit.open_spans().find(|span| Some(span.session) == state.visit.session()) {
        return Next::Go(Form::new(Purpose::ScaleEnd(span.id.clone())));
    }
    let mut list = listed(state);
    list.push("somebody else".into());
    asked!(
        form,
        Field::Pick,
        Question::new(Topic::Doing, "Who takes the tool?", choice(list)).hint(
            "Whoever takes the tool answers the gate for himself, and reads the scale before the first click."
        )
    );
    let pick = form.pick(Field::Pick).unwrap_or(1).saturating_sub(1);
    match state.visit.persons().get(pick) {
        Some(person) => Next::Go(Form::new(Purpose::AtKeys(person.id.clone()))),
        None => match newcomer(form, state) {
            Ok(person) => Next::Do(vec![Act::Join(person)]),
            Err(next) => next,
        },
    }
}

/// Who is on the tool when a visit is gone on with; offered is who was.
pub(in crate::session::desk) fn now(form: &Form, state: &State) -> Next {
    let persons = state.visit.persons();
    let nth_from_one = |nth: usize| nth.saturating_add(1).to_string();
    let same = persons.iter().position(|person| person.id == state.desk.who).map(nth_from_one);
    let mut list = listed(state);
    list.push("somebody else".into());
    let somebody_else = list.len().to_string();
    asked!(
        form,
        Field::Pick,
        Question::new(Topic::Opening, "Gone on with. Who is on the tool now?", choice(list))
            .offering_if(same.clone())
            .hint("Whoever it is answers the gate for himself.")
    );
    let pick = form.get(Field::Pick);
    if pick == same.as_deref() {
        return Next::Desk(DeskAct::Hands(state.desk.who.clone(), state.desk.writer.clone()));
    }
    match form.pick(Field::Pick).and_then(|pick| persons.get(pick.saturating_sub(1))) {
        Some(person) => Next::Go(Form::new(Purpose::AtKeys(person.id.clone()))),
        None => Next::Go(Form::new(Purpose::Hands).with(Field::Pick, somebody_else)),
    }
}

fn newcomer(form: &Form, state: &State) -> Result<Person, Next> {
    let Some(name) = form.get(Field::Name) else {
        let question = Question::new(Topic::Doing, "Name:", name_text());
        return Err(Next::Ask(Field::Name, Box::new(question)));
    };
    let Some(role) = form.get(Field::Role) else {
        let question =
            Question::new(Topic::Doing, "What are they here?", name_text()).offering("electrician");
        return Err(Next::Ask(Field::Role, Box::new(question)));
    };
    Ok(Person { id: next_id(state), name: name.to_owned(), role: role.to_owned() })
}

/// Who is at the keys while this person is on the tool.
pub(in crate::session::desk) fn at_keys(form: &Form, state: &State, on_tool: &PersonId) -> Next {
    let name = state.visit.person(on_tool).map_or("", |person| person.name.as_str());
    asked!(
        form,
        Field::Pick,
        Question::new(
            Topic::Doing,
            format!("{name} is on the tool. Who is at the keys?"),
            choice(listed(state))
        )
        .offering_if(
            state
                .visit
                .persons()
                .iter()
                .position(|p| p.id == *on_tool)
                .map(|at| at.saturating_add(1).to_string()),
        )
    );
    let pick = form.pick(Field::Pick).unwrap_or(1).saturating_sub(1);
    let writer = state.visit.persons().get(pick).map_or_else(|| on_tool.clone(), |person| person.id.clone());
    Next::Desk(DeskAct::Hands(on_tool.clone(), writer))
}

/// Somebody else signs too.
pub(in crate::session::desk) fn countersign(form: &Form, state: &State) -> Next {
    let others: Vec<&Person> = state.visit.persons().iter().filter(|p| p.id != state.desk.who).collect();
    let mut list: Vec<String> =
        others.iter().map(|person| format!("{}, {}", person.name, person.role)).collect();
    list.push("somebody else".into());
    asked!(form, Field::Pick, Question::new(Topic::SignOff, "Who countersigns?", choice(list)));
    let pick = form.pick(Field::Pick).unwrap_or(1).saturating_sub(1);
    let capacity = "countersigned by".to_owned();
    if let Some(person) = others.get(pick) {
        return Next::Do(vec![Act::Sign { person: person.id.clone(), capacity }]);
    }
    match newcomer(form, state) {
        Ok(person) => {
            let id = person.id.clone();
            Next::Do(vec![Act::Join(person), Act::Sign { person: id, capacity }])
        }
        Err(next) => next,
    }
}

/// A tool was dropped or overloaded.
pub(in crate::session::desk) fn doubt(form: &Form, state: &State, tool: &ToolId) -> Next {
    let done = state
        .visit
        .terminals()
        .filter(|(at, _, _)| {
            crate::session::standing_torques(&state.visit, *at)
                .iter()
                .any(|(_, torque)| torque.tool.as_ref() == Some(tool))
        })
        .map(|(_, terminal, _)| terminal.name.0.clone())
        .collect::<Vec<_>>();
    let mut question = Question::new(
        Topic::Doing,
        format!("Tool {tool}: what happened to it?"),
        choice(["dropped", "overloaded", "other, in own words"]),
    )
    .hint("Nothing is tightened with it until somebody releases it by name. Its scale counts as not read.");
    if !done.is_empty() {
        question = question.hint(format!("Done with it in this visit: {}.", done.join(", ")));
    }
    asked!(form, Field::Pick, question);
    let what = match form.pick(Field::Pick) {
        Some(1) => "dropped".to_owned(),
        Some(2) => "overloaded".to_owned(),
        _ => asked!(
            form,
            Field::Words,
            Question::new(Topic::Doing, "What happened, in your own words?", own_words())
        ),
    };
    Next::Do(vec![Act::DoubtTool { tool: tool.clone(), what }])
}

/// A doubted tool is released.
pub(in crate::session::desk) fn release(form: &Form, tool: &ToolId) -> Next {
    let by = asked!(
        form,
        Field::By,
        Question::new(Topic::Doing, format!("Tool {tool}: who releases it?"), name_text())
    );
    let why = asked!(form, Field::Why, Question::new(Topic::Doing, "On what grounds?", own_words()));
    Next::Do(vec![Act::ReleaseTool { tool: tool.clone(), by, why }])
}
