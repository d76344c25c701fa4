//! Stating a tool, and taking one in hand.

use super::opening::{KINDS, kind_question};
use crate::domain::calibration::{Calibration, Running};
use crate::domain::names::ToolId;
use crate::domain::text::NAME_COLUMNS;
use crate::domain::tool::{Tool, ToolKind, ToolRange, Validity};
use crate::domain::torque::{Torque, Unit, read_decimal};
use crate::session::act::Act;
use crate::session::decide::{beyond_any_tool, calibration_holds};
use crate::session::desk::State;
use crate::session::desk::form::{DeskAct, Field, Form, Next, Purpose, asked};
use crate::session::desk::question::{Answers, Question, Topic, choice, name_text, own_words};
use jiff::civil::Date;
use rust_decimal::Decimal;

fn next_letter(state: &State) -> ToolId {
    let count = state.visit.tools().len();
    let letter = ('A'..='Z').nth(count).map_or_else(|| format!("A{count}"), |letter| letter.to_string());
    ToolId(letter)
}

fn today(state: &State) -> Option<Date> {
    state.desk.last.map(|stamp| stamp.wall.date())
}

/// Where the calibration of a tool stands today, with everything counted; nothing where none is stated. A date without
/// a certificate proves nothing to an inspector.
fn running(tool: &Tool, state: &State) -> Option<Running> {
    tool.calibrations.last()?.certificate.as_ref()?;
    Some(tool.due()?.stands(today(state)?, state.visit.operations(tool)))
}

fn validity(tool: &Tool, state: &State) -> Validity {
    match running(tool, state) {
        None => Validity::NotStated,
        Some(running) if running.good() => Validity::Valid,
        Some(_) => Validity::Lapsed,
    }
}

/// Operations with it that other records hold since the last calibration was taken into use.
fn recorded(tool: &Tool, state: &State) -> Option<u64> {
    let from = tool.calibrations.last()?.runs_from()?.to_string();
    let by_day = state.desk.start.operations.get(&tool.serial)?;
    Some(by_day.range(from..).map(|(_, count)| *count).fold(0, u64::saturating_add))
}

fn decimal(form: &Form, field: Field) -> Decimal {
    form.get(field).and_then(|text| read_decimal(text).ok()).unwrap_or(Decimal::ZERO)
}

/// Tools known from before that are not in hand yet, and those in hand whose calibration has come to its end.
fn offered(state: &State) -> Vec<Tool> {
    let in_hand = |tool: &&Tool| !state.visit.tools().iter().any(|held| held.tool.serial == tool.serial);
    let known = state.desk.start.tools_offered.iter().filter(in_hand);
    let stated_last = |tool: &Tool| {
        state.visit.tools().iter().rfind(|held| held.tool.serial == tool.serial).map(|held| &held.tool.id)
    };
    let in_hand = state.visit.tools().iter().map(|held| &held.tool);
    let ended = in_hand
        .filter(|tool| calibration_holds(&state.visit, tool).is_err() && stated_last(tool) == Some(&tool.id));
    let mut offered: Vec<Tool> = known.chain(ended).cloned().collect();
    // Enter takes the first: never one whose calibration has ended, as long as there is another
    offered.sort_by_key(|tool| validity(tool, state) == Validity::Lapsed);
    offered
}

/// Asks for one of them; nothing where there are none.
pub(super) fn offered_question(state: &State) -> Option<Question> {
    let offered = offered(state);
    if offered.is_empty() {
        return None;
    }
    let words = |t: &Tool| {
        let known = format!("{}, serial {}, {} to {} {}", t.name, t.serial, t.range.min, t.range.max, t.unit);
        let in_hand = state.visit.tools().iter().any(|held| held.tool.serial == t.serial);
        let lapsed = validity(t, state) == Validity::Lapsed;
        match (in_hand, lapsed) {
            (true, _) => format!("{known}: state it anew, with the reason"),
            (false, true) => format!("{known}: calibration has ended"),
            (false, false) => known,
        }
    };
    let mut list: Vec<String> = offered.iter().map(words).collect();
    list.push("another tool".into());
    Some(Question::new(Topic::Tool, "Which torque tool is in your hand?", choice(list)).offering("1"))
}

pub(in crate::session::desk) fn tool(form: &Form, state: &State) -> Next {
    if let Some(question) = offered_question(state) {
        asked!(form, Field::ToolOffered, question);
        let at = form.pick(Field::ToolOffered).unwrap_or(1).saturating_sub(1);
        if let Some(known) = offered(state).get(at) {
            let known = Tool { id: next_letter(state), ..known.clone() };
            return good_today(form, state, known);
        }
    }
    stated_tool(form, state)
}

/// The tool with everything that follows from the day and from the records; asks why, where its calibration has ended.
fn good_today(form: &Form, state: &State, mut tool: Tool) -> Next {
    tool.operations_recorded = recorded(&tool, state);
    tool.validity = validity(&tool, state);
    tool.override_reason = None;
    if tool.validity == Validity::Lapsed {
        let ended = match running(&tool, state) {
            Some(Running::UsedUp) => "The operations its calibration is good for are used up.",
            _ => "Its calibration has lapsed.",
        };
        let question =
            Question::new(Topic::Tool, format!("{ended} Why is it used all the same?"), own_words()).hint(
                "Nothing done with it is complete without remark, and the reason is printed. PageUp: take another tool.",
            );
        tool.override_reason = Some(asked!(form, Field::Override, question));
    }
    Next::Do(vec![Act::StateTool(Box::new(tool))])
}

fn stated_tool(form: &Form, state: &State) -> Next {
    let rehearsal = state.is_rehearsal();
    let offer = |text: &str| rehearsal.then(|| text.to_owned());
    asked!(form, Field::ToolKind, kind_question().offering_if(offer("1")));
    let kind = form.pick(Field::ToolKind).and_then(|n| KINDS.get(n.saturating_sub(1))).copied();
    let kind = kind.unwrap_or(ToolKind::Setting);
    let ask = |text: &str, answers| Question::new(Topic::Tool, text, answers);
    let name = asked!(
        form,
        Field::ToolName,
        ask("What do you call it?", name_text()).offering_if(offer("practice driver"))
    );
    let serial = asked!(
        form,
        Field::Serial,
        ask("Its serial number, as engraved:", name_text()).offering_if(offer("REHEARSAL-1"))
    );
    asked!(form, Field::Unit, ask("Unit of its scale:", choice(Unit::ALL.map(Unit::symbol))).offering("1"));
    let unit = form.pick(Field::Unit).and_then(|n| Unit::ALL.get(n.saturating_sub(1))).copied();
    let unit = unit.unwrap_or(Unit::NewtonMetre);
    let (range, graduation) = match marked_values(form, state, kind, unit) {
        Ok(values) => values,
        Err(next) => return next,
    };
    let class = asked!(
        form,
        Field::Class,
        ask(
            "Type and class of ISO 6789 as printed, such as II D (nothing if not stated):",
            Answers::Text { columns: NAME_COLUMNS, optional: true },
        )
        .offering_if(offer("II D"))
        .hint("Its limit is taken for the error of the tool. Not stated: a range or tolerance is passed only with remark.")
    );
    let calibrations = match calibration(form, state) {
        Ok(stated) => stated,
        Err(next) => return next,
    };
    let tool = Tool {
        id: next_letter(state),
        serial,
        name,
        kind,
        class: (!class.is_empty()).then_some(class),
        unit,
        range,
        graduation,
        adapter: None,
        interval: None,
        calibrations,
        operations_before: None,
        operations_recorded: None,
        validity: Validity::NotStated,
        override_reason: None,
    };
    good_today(form, state, tool)
}

/// How far the invented tool of a rehearsal goes: over every value of the board, in newton metres.
fn highest_rehearsed(state: &State, unit: Unit) -> String {
    let board = state.board();
    let aims = board.terminals.iter().filter_map(|terminal| board.torque_row(terminal));
    let most = aims.filter_map(|row| row.stated.aim().exact_nm().floor()).max().unwrap_or(0);
    let whole = if unit == Unit::NewtonMetre { most.saturating_add(1) } else { 0 };
    whole.max(6).to_string()
}

/// Range and graduation; of a fixed tool its one value.
fn marked_values(
    form: &Form,
    state: &State,
    kind: ToolKind,
    unit: Unit,
) -> Result<(ToolRange, Option<Decimal>), Next> {
    let highest = highest_rehearsed(state, unit);
    let wanted: &[(Field, &str, &str)] = if kind == ToolKind::Fixed {
        &[(Field::RangeTo, "The value it is made for", "2")]
    } else {
        &[
            (Field::RangeFrom, "Lowest marked value", "0.5"),
            (Field::RangeTo, "Highest marked value", highest.as_str()),
            (Field::Graduation, "Graduation: one step of its scale", "0.05"),
        ]
    };
    for (field, words, practice) in wanted {
        if form.get(*field).is_none() {
            let question = Question::new(Topic::Tool, format!("{words}, in {unit}:"), Answers::Number)
                .offering_if(state.is_rehearsal().then(|| (*practice).to_owned()));
            return Err(Next::Ask(*field, Box::new(question)));
        }
    }
    let to = decimal(form, Field::RangeTo);
    Ok(if kind == ToolKind::Fixed {
        (ToolRange { min: to, max: to }, None)
    } else {
        let range = ToolRange { min: decimal(form, Field::RangeFrom), max: to };
        (range, Some(decimal(form, Field::Graduation)))
    })
}

fn calibration(form: &Form, state: &State) -> Result<Vec<Calibration>, Next> {
    let ask = |text: &str, answers| Question::new(Topic::Tool, text, answers);
    let Some(date) = form.get(Field::Calibrated) else {
        let offer =
            state.is_rehearsal().then(|| today(state).map_or_else(String::new, |day| day.to_string()));
        let question = ask(
            "Day of its last calibration, such as 2026-03-02 (nothing if not stated):",
            Answers::Text { columns: 10, optional: true },
        )
        .offering_if(offer)
        .hint("Not stated: every terminal done with it is complete with remark only.");
        return Err(Next::Ask(Field::Calibrated, Box::new(question)));
    };
    if date.is_empty() {
        return Ok(Vec::new());
    }
    let Some(certificate) = form.get(Field::CalibrationCertificate) else {
        let offer = state.is_rehearsal().then(|| "rehearsal".to_owned());
        let question = ask(
            "Number of the calibration certificate (nothing if not stated):",
            Answers::Text { columns: NAME_COLUMNS, optional: true },
        )
        .offering_if(offer)
        .hint(
            "Without it the calibration is not stated: every terminal done with the tool is complete with \
             remark only.",
        );
        return Err(Next::Ask(Field::CalibrationCertificate, Box::new(question)));
    };
    let stated = Calibration {
        date: date.to_owned(),
        first_use: None,
        certificate: (!certificate.is_empty()).then(|| certificate.to_owned()),
        laboratory: None,
        as_found: Vec::new(),
        as_left: Vec::new(),
    };
    Ok(vec![stated])
}

/// Refuses at once what the form could only refuse at its end, several answers later.
pub(in crate::session::desk) fn field_is_good(
    form: &Form,
    state: &State,
    field: Field,
    value: &str,
) -> Result<(), String> {
    let number = read_decimal(value).unwrap_or(Decimal::NEGATIVE_ONE);
    match field {
        Field::Calibrated if !value.is_empty() => {
            let day: Date = value.parse().or(Err("a day is written 2026-03-02"))?;
            if today(state).is_some_and(|today| day > today) {
                return Err("that day has not come yet".into());
            }
        }
        Field::RangeTo | Field::Graduation | Field::OwnTolerance if number <= Decimal::ZERO => {
            return Err("a number above 0".into());
        }
        Field::RangeFrom if number < Decimal::ZERO => return Err("a number of 0 or more".into()),
        Field::RangeTo
            if form.get(Field::RangeFrom).is_some() && number < decimal(form, Field::RangeFrom) =>
        {
            return Err(format!("the lowest marked value was {}", decimal(form, Field::RangeFrom)));
        }
        Field::RangeTo => {
            let unit = form.pick(Field::Unit).and_then(|n| Unit::ALL.get(n.saturating_sub(1)));
            if unit.is_some_and(|unit| beyond_any_tool(Torque::new(number, *unit))) {
                return Err("no tool ends above 3000 N.m: look at the unit".into());
            }
        }
        Field::Graduation if number > decimal(form, Field::RangeTo) => {
            return Err(format!("the highest marked value was {}", decimal(form, Field::RangeTo)));
        }
        _ => {}
    }
    Ok(())
}

pub(in crate::session::desk) fn take(form: &Form, state: &State) -> Next {
    let mut list: Vec<String> = state
        .visit
        .tools()
        .iter()
        .map(|held| format!("tool {}: {}, serial {}", held.tool.id, held.tool.name, held.tool.serial))
        .collect();
    list.push("state another tool".into());
    asked!(form, Field::Pick, Question::new(Topic::List, "Which tool do you take?", choice(list)));
    let at = form.pick(Field::Pick).unwrap_or(1).saturating_sub(1);
    match state.visit.tools().get(at) {
        Some(held) => Next::Desk(DeskAct::TakeTool(held.tool.id.clone())),
        None => Next::Go(Form::new(Purpose::Tool)),
    }
}
