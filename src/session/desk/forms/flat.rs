//! A revisit without any board file: the place, its supply, the gate, and what is needed to work at the tails. The gate
//! comes before everything that asks for a hand or a look; what cannot be worked is not asked about.

use super::gate::gate;
use super::opening::{opened, own_tolerance, tool_kind};
use crate::domain::board::{Board, Supply};
use crate::domain::names::PersonId;
use crate::domain::record::{Person, SourceState};
use crate::domain::stated::{ReadAt, Source};
use crate::domain::text::NAME_COLUMNS;
use crate::domain::torque::{Torque, Unit, read_decimal};
use crate::domain::verdict::DecisionRule;
use crate::session::act::Act;
use crate::session::desk::State;
use crate::session::desk::form::{Field, Form, Next, asked};
use crate::session::desk::question::{Answers, Question, Topic, choice, name_text, own_words};
use crate::session::flat::{Flat, source_in_file};

/// Sizes of tails as they are listed, mm²; the last entry of the list is *not seen*.
const SIZES: [&str; 4] = ["16", "25", "35", "10"];
/// Wires of tails as they are listed.
const WIRES: [u16; 2] = [7, 19];

/// One value is judged by its setting, and nothing else can be entered at a place: the rule decides nothing there.
const RULE: DecisionRule = DecisionRule::GuardedFourWords;

fn ask(text: impl Into<String>, answers: Answers) -> Question {
    Question::new(Topic::Opening, text, answers)
}

pub(in crate::session::desk) fn flat(form: &Form, state: &State) -> Next {
    asked!(
        form,
        Field::Place,
        ask("Which place? Address, or its name:", name_text())
            .hint("No board file: what you enter is kept as one that can be completed later.")
    );
    asked!(
        form,
        Field::Supply,
        ask(
            "What is its supply?",
            choice([Supply::SinglePhase, Supply::ThreePhaseNeutral].map(Supply::words))
        )
        .offering("1")
    );
    let offered = state.desk.start.person_offered.as_ref().map(|(name, _)| name.clone());
    let name =
        asked!(form, Field::Name, ask("Who is on the tool? Your name:", name_text()).offering_if(offered));
    // the gate, as everywhere; its acts are written after the opening
    let gates = match gate(form, state) {
        Next::Do(acts) => acts,
        next => return next,
    };
    let live = gates.iter().any(|act| {
        matches!(act, Act::AnswerGates(gates)
            if gates.sources.first().is_some_and(|incoming| incoming.state == SourceState::Live))
    });
    let mut own = None;
    if !live {
        if let Err(next) = to_work(form) {
            return next;
        }
        own = match tool_kind(form, state).and_then(|kind| own_tolerance(form, state, kind)) {
            Ok(own) => own,
            Err(next) => return next,
        };
    }
    let Some((board, board_sha256)) = board_of(form, state) else {
        return Next::Ask(
            Field::Place,
            Box::new(ask("The name of the place cannot be kept so. Another:", name_text())),
        );
    };
    let role = state.desk.start.person_offered.as_ref().map_or("electrician", |(_, role)| role.as_str());
    let person = Person { id: PersonId::from("P1"), name, role: role.to_owned() };
    let mut acts = opened(state, person, String::new(), (board, board_sha256), (own, RULE));
    acts.extend(gates);
    Next::Do(acts)
}

/// Size and wires of the tails, and the torque of their clamp with its source. Every one may be not seen.
fn to_work(form: &Form) -> Result<(), Next> {
    let not_seen = || "not seen".to_owned();
    if form.get(Field::TailSize).is_none() {
        let sizes = SIZES.iter().map(|mm2| format!("{mm2} mm2")).chain([not_seen()]);
        return Err(Next::Ask(Field::TailSize, Box::new(ask("How thick are the tails?", choice(sizes)))));
    }
    if form.get(Field::TailWires).is_none() {
        let wires = WIRES.iter().map(|wires| format!("{wires} wires")).chain([not_seen()]);
        return Err(Next::Ask(Field::TailWires, Box::new(ask("How many wires have they?", choice(wires)))));
    }
    let Some(torque) = form.get(Field::Torque) else {
        let question = ask(
            "Which torque does the maker of the incoming clamp state, in N.m? (nothing if it is not seen)",
            Answers::Text { columns: NAME_COLUMNS, optional: true },
        )
        .hint("Digits are taken as N.m; another unit is typed behind them. Do not guess.");
        return Err(Next::Ask(Field::Torque, Box::new(question)));
    };
    if torque.is_empty() {
        return Ok(());
    }
    let Some(read_at) = form.pick(Field::ReadAt) else {
        let question = ask("Where did you read that?", choice(ReadAt::ALL.map(ReadAt::words)));
        return Err(Next::Ask(Field::ReadAt, Box::new(question)));
    };
    if read_at > 1 && form.get(Field::Words).is_none() {
        let question = ask("Its reference: title, number, page:", own_words());
        return Err(Next::Ask(Field::Words, Box::new(question)));
    }
    Ok(())
}

/// The torque as it may be kept: digits alone are newton metres, which is what was asked for.
pub(in crate::session::desk) fn read_torque(typed: &str) -> Result<Torque, String> {
    if let Ok(torque) = Torque::read(typed) {
        return Ok(torque);
    }
    match read_decimal(typed) {
        Ok(value) => Ok(Torque::new(value, Unit::NewtonMetre)),
        Err(_) => Err("a torque, 3.5 or \"31 lbf.in\", or nothing".to_owned()),
    }
}

/// The board as far as it is entered; it is what the gate and the scope speak of.
pub(in crate::session::desk) fn board_of(form: &Form, state: &State) -> Option<(Board, String)> {
    let read = state.desk.start.flat?;
    read(&text_of(form)?)
}

/// The board file as far as it is entered.
fn text_of(form: &Form) -> Option<String> {
    let at = |field: Field| form.pick(field).unwrap_or(usize::MAX).saturating_sub(1);
    let supply = if at(Field::Supply) == 1 { Supply::ThreePhaseNeutral } else { Supply::SinglePhase };
    let reference = form.get(Field::Words).unwrap_or_default().to_owned();
    let read_at = ReadAt::ALL.get(at(Field::ReadAt)).copied().unwrap_or(ReadAt::MakersLetter);
    let torque = form.get(Field::Torque).filter(|typed| !typed.is_empty());
    let complete =
        form.get(Field::ReadAt).is_some() && (read_at == ReadAt::OnDevice || !reference.is_empty());
    let source = source_in_file(&Source { read_at, reference });
    let flat = Flat {
        place: form.get(Field::Place)?.to_owned(),
        supply,
        tail_mm2: SIZES.get(at(Field::TailSize)).map(|mm2| (*mm2).to_owned()),
        wires: WIRES.get(at(Field::TailWires)).copied(),
        torque: torque
            .filter(|_| complete)
            .and_then(|typed| read_torque(typed).ok())
            .map(|torque| (torque.to_string(), source)),
    };
    Some(flat.text())
}
