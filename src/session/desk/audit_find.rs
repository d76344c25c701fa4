//! An audit's other questions: the thermal round, the draw, what is done about a bad one, codes.

use super::State;
use super::ask::rehearsed;
use super::audit::{AuditAsk, AuditField as A};
use super::audit_claim::{drawn_from, seed};
use super::form::{DeskAct, Field, Form, Next, Purpose, asked};
use super::naming::terminals_of;
use super::question::{Answers, Question, Topic, choice, name_text, own_words};
use crate::domain::audit::thermal::{LOAD_MIN_PERCENT, Over};
use crate::domain::names::TerminalName;
use crate::domain::record::AsideWhy;
use crate::domain::torque::read_decimal;
use crate::session::act::Act;
use crate::session::audit::{
    AuditAct, Measured, Part, Sizes, left_out, minutes_for, part_at, picture, words,
};
use crate::session::standing::Need;
use crate::session::visit::TerminalIndex;
use rust_decimal::Decimal;

fn ask(text: impl Into<String>, answers: Answers) -> Question {
    Question::new(Topic::Doing, text, answers)
}

fn number(form: &Form, field: A) -> Decimal {
    form.get(Field::Audit(field)).and_then(|typed| read_decimal(typed).ok()).unwrap_or_default()
}

fn name(state: &State, at: TerminalIndex) -> TerminalName {
    state.visit.terminal(at).map_or_else(|| TerminalName(String::new()), |terminal| terminal.name.clone())
}

/// Whether there is a thermal round, and what stood out in it.
pub(super) fn thermal(form: &Form, state: &State) -> Next {
    let load = state.visit.audit().claimed().and_then(|claimed| claimed.load_percent);
    let enough = load.is_some_and(|load| load >= Decimal::from(LOAD_MIN_PERCENT));
    let hint = match load {
        Some(load) if enough => format!("Load as stated: {load} % of the rated current."),
        Some(load) => format!("Load as stated: {load} %. Below 40 % no rise is judged."),
        None => "The load is not known. Below 40 % of a circuit's rated current no rise is judged.".into(),
    };
    let mut answers = vec!["a terminal stands out", "the round is over"];
    if !state.visit.audit().is_measured() {
        answers.push("there is no thermal round");
    }
    asked!(
        form,
        Field::Pick,
        ask("Thermal round, on load, before isolation:", choice(answers))
            .offering_if(rehearsed(state, "2"))
            .hint(hint)
    );
    match form.pick(Field::Pick) {
        Some(1) => Next::Go(Form::new(Purpose::Audit(AuditAsk::Measure))),
        Some(2) => {
            let camera = asked!(
                form,
                Field::Words,
                ask("Which camera, name and number?", name_text())
                    .offering_if(rehearsed(state, "invented camera"))
            );
            Next::Do(vec![Act::Audit(AuditAct::ThermalOver { camera })])
        }
        _ => {
            let why = asked!(form, Field::Why, ask("Why is there no thermal round?", own_words()));
            Next::Do(vec![Act::Audit(AuditAct::NoThermal { why })])
        }
    }
}

/// A terminal that stands out.
pub(super) fn measure(form: &Form, state: &State) -> Next {
    let typed = asked!(form, Field::Words, ask("Which terminal stands out? Its name:", name_text()));
    let terminal = TerminalName(typed.clone());
    if state.visit.find(&terminal).is_none() {
        return Next::Desk(DeskAct::Note(format!("there is no terminal {typed:?} on this board")));
    }
    asked!(
        form,
        Field::Audit(A::Temperature),
        ask(format!("{terminal}: temperature, degrees Celsius:"), Answers::Number)
    );
    asked!(
        form,
        Field::Audit(A::Over),
        ask("Compared with what?", choice(["a like neighbour under like load", "the air around it"]))
    );
    asked!(form, Field::Audit(A::Compared), ask("Temperature of that, degrees Celsius:", Answers::Number));
    asked!(form, Field::Audit(A::LoadA), ask("Load current of its circuit, A:", Answers::Number));
    asked!(
        form,
        Field::Audit(A::RatedA),
        ask("Rated current of the circuit's protective device, A:", Answers::Number)
    );
    asked!(
        form,
        Field::Audit(A::Exponent),
        ask("Exponent of the load correction, 1.6 to 2:", Answers::Number)
            .offering("2")
            .hint("Rise at rated load = rise x (rated / load)^exponent; 2 says the most (infrared training institute: 1.6 to 2).")
    );
    let over = if form.pick(Field::Audit(A::Over)) == Some(2) { Over::Ambient } else { Over::LikeNeighbour };
    Next::Do(vec![Act::Audit(AuditAct::Measure(Measured {
        terminal,
        temperature_c: number(form, A::Temperature),
        over,
        compared_c: number(form, A::Compared),
        load_a: number(form, A::LoadA),
        rated_a: number(form, A::RatedA),
        exponent: number(form, A::Exponent),
    }))])
}

/// The draw, with what is known by now.
pub(super) fn draw(form: &Form, state: &State) -> Next {
    let seed = seed(state);
    let typed = asked!(
        form,
        Field::Words,
        ask(
            "Which others are looked at in any case (moved before, doubted)? Names, or the word none:",
            own_words()
        )
        .offering_if(rehearsed(state, "none"))
        .hint("They are counted with the always-in terminals, all of them.")
    );
    let named = if typed == "none" { Vec::new() } else { terminals_of(state, &typed).unwrap_or_default() };
    let (many, sizes, fingers, from) =
        state.visit.audit().claimed().map_or_else(Default::default, |claimed| {
            let sizes = Sizes::at(&state.visit, claimed, &named);
            let many = sizes.planned(claimed, 0);
            (many, sizes, sizes.planned_fingers(claimed, many), drawn_from(&sizes, claimed.plan))
        });
    let apart = match sizes.fingers {
        0 => "Fingers and links: the tool can be put on none.".to_owned(),
        all => format!("Fingers and links, claimed apart: {fingers} of {all} drawn for the tool."),
    };
    asked!(
        form,
        Field::Pick,
        ask(format!("Draw {many} of {from}, {} always in?", sizes.always_in), choice(["draw"]),)
            .offering("1")
            .hint(format!("Seed {seed}. {}.", crate::domain::audit::draw::RULE))
            .hint(apart)
            .hint("A drawn terminal that cannot be reached is never replaced.")
    );
    Next::Do(vec![Act::Audit(AuditAct::Draw { seed, named })])
}

/// What is to be done about a bad one; nothing is mended in an audit.
pub(super) fn bad(form: &Form, state: &State, at: TerminalIndex) -> Next {
    let terminal = name(state, at);
    let need = state.visit.standing(at).and_then(|standing| standing.need);
    let why = if need == Some(Need::NoAccess) {
        AsideWhy::NoAccess
    } else {
        let choices = [
            "cut back and remake",
            "tighten and settle",
            "replace the device",
            "for the distributor",
            "other, in own words",
        ];
        let offer = match need {
            Some(Need::Replace) => Some("3".to_owned()),
            Some(Need::Distributor) => Some("4".to_owned()),
            _ => None,
        };
        asked!(
            form,
            Field::Pick,
            Question::new(
                Topic::Finding,
                format!("{terminal} cannot stay so. What has to be done there?"),
                choice(choices)
            )
            .about(at)
            .offering_if(offer)
            .hint(
                "Nothing is mended in an audit: it is set aside, and who has to know is asked at sign-off."
            )
        );
        match form.pick(Field::Pick) {
            Some(1) => AsideWhy::Other("cut back and remake".into()),
            Some(2) => AsideWhy::Other("tighten and settle".into()),
            Some(3) => AsideWhy::ReplaceDevice,
            Some(4) => AsideWhy::Distributor,
            _ => AsideWhy::Other(asked!(
                form,
                Field::Words,
                Question::new(Topic::Finding, "What, in your own words?", own_words()).about(at)
            )),
        }
    };
    Next::Do(vec![Act::SetAside { terminals: vec![terminal], why }])
}

/// One bad: everything now?
pub(super) fn escalate(form: &Form, state: &State, at: TerminalIndex) -> Next {
    let terminal = name(state, at);
    let left = left_out(&state.visit);
    let added = left.len();
    let is_finger = |name: &&TerminalName| {
        state.visit.find(name).is_some_and(|at| part_at(&state.visit, at) == Part::Finger)
    };
    // fingers are tried and have no tug
    let fingers = left.iter().filter(is_finger).count();
    let minutes = state.visit.audit().claimed().map_or(Decimal::ZERO, |claimed| {
        let tool = Decimal::from(fingers).saturating_mul(claimed.minutes_a_tool);
        minutes_for(&state.visit, claimed, added.saturating_sub(fingers)).saturating_add(tool).normalize()
    });
    let mut question = Question::new(
        Topic::Finding,
        format!("{terminal} is bad. Go on to everything: {added} more, about {minutes} minutes?"),
        choice(["yes, everything", "no, the sample as drawn"]),
    );
    if let Some(picture) = picture(&state.visit) {
        let [found, follows] = words::bounded(&picture.bad, "bad");
        question = question.hint(format!("Remainder, for bad: {found}")).hint(follows);
        if let Some(line) = words::if_not(&picture.bad, "bad", false) {
            question = question.hint(line);
        }
    }
    asked!(form, Field::Pick, question);
    let yes = form.pick(Field::Pick) == Some(1);
    let asks = if yes { "Why? (kept)" } else { "Why not? (kept, and printed)" };
    let why = asked!(form, Field::Why, Question::new(Topic::Finding, asks, own_words()));
    Next::Do(vec![Act::Audit(AuditAct::Escalate { because: terminal, yes, why })])
}

/// A code the inspector types; none is ever computed.
pub(super) fn code(form: &Form, state: &State, at: TerminalIndex) -> Next {
    let terminal = name(state, at);
    let code = asked!(
        form,
        Field::Words,
        ask(format!("{terminal}: which observation code do you give it?"), name_text())
            .hint("Yours to judge: the program never works one out.")
    );
    Next::Do(vec![Act::Audit(AuditAct::Code { terminal, code })])
}
