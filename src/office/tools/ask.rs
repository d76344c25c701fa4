//! The question of each field, what stands before it, and what an answer must look like.
#![allow(
    clippy::wildcard_enum_match_arm,
    reason = "most fields have no hint, no offer and no shape of their own"
)]

use super::form::{Field, Form, KINDS, NONE, Purpose};
use crate::domain::text::{NAME_COLUMNS, REMARK_COLUMNS};
use crate::domain::toolbox::{KnownTool, Toolbox, Which};
use crate::domain::torque::{Unit, read_decimal};
use crate::session::desk::{Answers, Question, Topic, choice};

/// What a laboratory has to be asked for before it adjusts anything.
pub(super) const AS_FOUND_FIRST: &str = "Before a tool is adjusted, ask the laboratory for its points as found: \
     without them nobody can say what earlier work was really tightened to.";

fn text(columns: usize, optional: bool) -> Answers {
    Answers::Text { columns, optional }
}

/// What is asked for a field.
pub(super) fn question(form: &Form, field: Field, toolbox: &Toolbox) -> Question {
    let tool = form.serial().and_then(|serial| toolbox.of_serial(serial));
    let fixed = form.get(Field::Kind).map_or(tool.is_some_and(is_fixed), |kind| kind == "2");
    let unit = unit(form, tool);
    let (words, answers) = match field {
        Field::Name => ("What do you call it?".to_owned(), text(NAME_COLUMNS, false)),
        Field::Serial => ("Its serial number, as engraved:".into(), text(NAME_COLUMNS, false)),
        Field::Kind => ("What kind of tool is it?".into(), choice(KINDS.map(super::show::kind_in_words))),
        Field::Class => {
            ("Type and class of ISO 6789 as printed, such as II D:".into(), text(NAME_COLUMNS, true))
        }
        Field::Unit => ("Unit of its scale or display:".into(), choice(Unit::ALL.map(Unit::symbol))),
        Field::From => (format!("Lowest marked value, {unit}:"), Answers::Number),
        Field::To if fixed => (format!("The value it is made or locked for, {unit}:"), Answers::Number),
        Field::To => (format!("Highest marked value, {unit}:"), Answers::Number),
        Field::Graduation => (format!("Graduation, from one mark to the next, {unit}:"), Answers::Number),
        Field::Adapter => {
            ("An adapter in line, in own words, such as crow's foot 13 mm:".into(), text(NAME_COLUMNS, true))
        }
        Field::Lever => ("From the middle of the grip to the square drive, mm:".into(), Answers::Number),
        Field::Extension => ("From the square drive to the screw, mm:".into(), Answers::Number),
        Field::Months => ("The owner's own interval, months:".into(), text(NAME_COLUMNS, true)),
        Field::Every => ("The owner's own interval, operations:".into(), text(NAME_COLUMNS, true)),
        Field::Operations => {
            ("Operations since first use that no record here knows of:".into(), text(NAME_COLUMNS, true))
        }
        Field::Date => ("Day of calibration, such as 2026-03-02:".into(), text(NAME_COLUMNS, false)),
        Field::FirstUse if matches!(form.purpose, Purpose::FirstUse(_)) => {
            ("Day of first use after its last calibration:".into(), text(NAME_COLUMNS, false))
        }
        Field::FirstUse => ("Day of first use after it:".into(), text(NAME_COLUMNS, true)),
        Field::Certificate => ("Number of the certificate:".into(), text(NAME_COLUMNS, true)),
        Field::Laboratory => ("Laboratory:".into(), text(NAME_COLUMNS, true)),
        Field::Set(which, row) => {
            point(which, row, &format!("set or indicated, {unit}"), row > 0 || which == Which::AsFound)
        }
        Field::Reference(which, row) => point(which, row, &format!("mean reference torque, {unit}"), false),
        Field::W(which, row) => point(which, row, "relative expanded uncertainty W, per cent", false),
        Field::Adjusted => (
            "Was the tool adjusted afterwards?".into(),
            choice(["not adjusted: the points as found hold", "adjusted: points as left follow"]),
        ),
        Field::By => ("Who says so? Name:".into(), text(NAME_COLUMNS, false)),
        Field::What => (reason(form).into(), text(REMARK_COLUMNS, false)),
        Field::Verdict => (
            "What is to become of it?".into(),
            choice(["it stands", "it is to be done again", "something else, in own words"]),
        ),
        Field::Save => ("Is this right?".into(), choice(["save it", "drop it"])),
    };
    let mut question = Question::new(Topic::Tool, words, answers).offering_if(offer(form, field, tool));
    for hint in hints(form, field) {
        question = question.hint(hint);
    }
    question
}

fn is_fixed(tool: &KnownTool) -> bool {
    tool.kind == crate::domain::tool::ToolKind::Fixed
}

/// The unit of the tool as it stands so far.
pub(super) fn unit(form: &Form, tool: Option<&KnownTool>) -> Unit {
    let picked = form.get(Field::Unit).and_then(|n| n.parse::<usize>().ok()?.checked_sub(1));
    let picked = picked.and_then(|at| Unit::ALL.get(at).copied());
    picked.or(tool.map(|tool| tool.unit)).unwrap_or(Unit::NewtonMetre)
}

fn point(which: Which, row: usize, what: &str, optional: bool) -> (String, Answers) {
    (format!("{}, point {}: {what}:", which.words(), row.saturating_add(1)), text(NAME_COLUMNS, optional))
}

fn reason(form: &Form) -> &'static str {
    match form.purpose {
        Purpose::Doubt(_) => "What happened to it?",
        Purpose::Release { .. } => "On what grounds is it trusted again?",
        Purpose::Retire(_) => "Why is it no longer used?",
        Purpose::Verdict { .. } => "What is to become of it, in own words?",
        Purpose::Add | Purpose::Edit(_) | Purpose::Calibrate(_) | Purpose::FirstUse(_) => "Why?",
    }
}

fn hints(form: &Form, field: Field) -> Vec<String> {
    let hint = match field {
        Field::Date => AS_FOUND_FIRST,
        Field::FirstUse if matches!(form.purpose, Purpose::FirstUse(_)) => {
            "Its months and its operations run from that day."
        }
        Field::FirstUse => "Where it is not known, nothing: then its time runs from the day of calibration.",
        Field::Certificate => "A calibration without one counts as not stated.",
        Field::Set(Which::AsFound, 0) => {
            "As the laboratory found it, before it touched anything; nothing where it gave no points."
        }
        Field::Set(_, row) if row > 0 => "Nothing when there are no more points.",
        Field::W(..) => "As on the certificate, k = 2; the word none where the laboratory states none.",
        Field::Extension => "Less than 0 where the adapter points back to the grip.",
        Field::Months => {
            "Nothing where the usual interval holds: 12 months or 5000 operations from first use."
        }
        Field::Serial => "Records tell tools apart by it.",
        Field::Save if matches!(form.purpose, Purpose::Retire(_)) => {
            "A retired tool stays in the file, because records name it."
        }
        _ => "",
    };
    let keeps = matches!(form.purpose, Purpose::Edit(_)) && !matches!(field, Field::Save);
    let mut all: Vec<String> =
        Some(hint).filter(|hint| !hint.is_empty()).map(str::to_owned).into_iter().collect();
    if keeps
        && matches!(field, Field::Class | Field::Adapter | Field::Months | Field::Every | Field::Operations)
    {
        all.push(format!("The word {NONE} takes out what stands there."));
    }
    all
}

/// What stands already; a choice, never an observation.
fn offer(form: &Form, field: Field, tool: Option<&KnownTool>) -> Option<String> {
    if field == Field::Save {
        return Some("1".into());
    }
    let Purpose::Edit(_) = form.purpose else { return None };
    let tool = tool?;
    let place = |at: Option<usize>| at.map(|at| at.saturating_add(1).to_string());
    match field {
        Field::Name => Some(tool.name.clone()),
        Field::Serial => Some(tool.serial.clone()),
        Field::Kind => place(KINDS.iter().position(|kind| *kind == tool.kind)),
        Field::Unit => place(Unit::ALL.iter().position(|unit| *unit == tool.unit)),
        Field::Class => tool.class.clone(),
        Field::From => Some(tool.range.min.to_string()),
        Field::To => Some(tool.range.max.to_string()),
        Field::Graduation => tool.graduation.map(|step| step.to_string()),
        Field::Adapter => tool.adapter.as_ref().map(|adapter| adapter.what.clone()),
        Field::Lever => tool.adapter.as_ref().map(|adapter| adapter.lever_mm.to_string()),
        Field::Extension => tool.adapter.as_ref().map(|adapter| adapter.extension_mm.to_string()),
        Field::Months => tool.interval.and_then(|own| own.months).map(|months| months.to_string()),
        Field::Every => tool.interval.and_then(|own| own.operations).map(|every| every.to_string()),
        Field::Operations => tool.operations.map(|operations| operations.to_string()),
        _ => None,
    }
}

/// Whether an answer is of the kind its field needs, where its question takes any text.
pub(super) fn shape(field: Field, answer: &str) -> Result<(), String> {
    let is = |good: bool, wanted: String| if good { Ok(()) } else { Err(wanted) };
    let figure = read_decimal(answer).is_ok();
    match field {
        Field::Months | Field::Every | Field::Operations => {
            let good = answer.is_empty() || answer == NONE || answer.parse::<u64>().is_ok();
            is(good, "a whole number, in digits, or nothing".into())
        }
        Field::W(..) => is(figure || answer == NONE, format!("per cent in digits, or the word {NONE}")),
        Field::Set(..) | Field::Reference(..) => {
            let nothing = answer.is_empty() && matches!(field, Field::Set(..));
            is(figure || nothing, "digits, at most 6 of them after the point".into())
        }
        _ => Ok(()),
    }
}
