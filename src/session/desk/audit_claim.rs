//! What an audit claims: the minutes there are, what they buy, or a claim first. Estimates and choices are offered;
//! nothing here is an observation.

use super::State;
use super::ask::rehearsed;
use super::audit::AuditField as A;
use super::form::{DeskAct, Field, Form, Next, asked};
use super::question::{Answers, Question, Topic, choice};
use crate::domain::audit::claim::Claim;
use crate::domain::record::{Claimed, Plan, SizedBy, ToolReach};
use crate::domain::torque::read_decimal;
use crate::session::act::Act;
use crate::session::audit::{AuditAct, Sizes, bought, minutes_for, planned, sizes, tool_anywhere, words};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;

/// Most minutes an audit is planned for.
const MINUTES_MAX: u32 = 10_000;
/// Highest load, per cent of the rated current.
const LOAD_MAX: u32 = 200;
/// Highest temperature taken, degrees Celsius.
const CELSIUS_MAX: u32 = 1_000;
/// Minutes a terminal for tugging, offered. Our own estimate; no published source.
const A_TUG: &str = "0.3";
/// Minutes a terminal with the tool, offered. Our own estimate; no published source.
const A_TOOL: &str = "1.5";

fn ask(text: impl Into<String>, answers: Answers) -> Question {
    Question::new(Topic::Opening, text, answers)
}

fn number(form: &Form, field: A) -> Decimal {
    form.get(Field::Audit(field)).and_then(|typed| read_decimal(typed).ok()).unwrap_or_default()
}

fn pick(form: &Form, field: A) -> usize {
    form.pick(Field::Audit(field)).unwrap_or(1)
}

/// Whether a number can be the answer; what would be, in words.
pub(super) fn field_is_good(form: &Form, field: A, value: &str) -> Result<(), String> {
    let Ok(typed) = read_decimal(value) else { return Ok(()) };
    let (zero, hundred) = (Decimal::ZERO, Decimal::ONE_HUNDRED);
    let good = |holds: bool, wanted: &str| if holds { Ok(()) } else { Err(wanted.to_owned()) };
    match field {
        A::Minutes => {
            good(typed > zero && typed <= MINUTES_MAX.into(), "minutes, more than 0 and up to 10000")
        }
        A::WithoutSupply => {
            let there = number(form, A::Minutes);
            let wanted = format!("there are {there} minutes in all: from 0 to {there}");
            if typed >= zero && typed <= there { Ok(()) } else { Err(wanted) }
        }
        A::Load => good(
            typed > zero && typed <= LOAD_MAX.into(),
            "a board on load carries more than 0 % of its rated current, and up to 200 %; where it carries nothing or it is \
             not known, go back one question",
        ),
        A::Percent => good(
            typed.fract().is_zero() && typed >= Decimal::ONE && typed < hundred,
            "a whole number of per cent from 1 to 99",
        ),
        A::ATug | A::ATool => {
            good(typed > zero && typed <= MINUTES_MAX.into(), "minutes a terminal, more than 0")
        }
        A::Confidence => good(typed > zero && typed < hundred, "more than 0 and under 100 per cent"),
        A::AtMost => good(typed >= zero && typed < hundred, "from 0 to under 100 per cent"),
        A::Temperature | A::Compared => {
            good(typed.abs() <= CELSIUS_MAX.into(), "degrees Celsius, up to 1000")
        }
        A::LoadA | A::RatedA => good(typed > zero, "a current in A, more than 0"),
        A::Exponent => {
            good(typed >= Decimal::new(16, 1) && typed <= Decimal::TWO, "an exponent from 1.6 to 2")
        }
        A::OnLoad | A::Tug | A::Tool | A::Plan | A::SizedBy | A::Confirm | A::Over => Ok(()),
    }
}

/// Why a plan samples nothing; nothing where it samples something.
fn samples_nothing(state: &State, claimed: &Claimed, plan: Plan) -> Option<&'static str> {
    if tool_anywhere(&state.visit, claimed.tool) || (claimed.tug && plan == Plan::SampleBoth) {
        return None;
    }
    Some(match (claimed.tool, claimed.tug) {
        (ToolReach::NotUsed, true) => "no sample: everything is tugged, and no tool is put on",
        (_, true) => "no sample: everything is tugged, and no maker's value is known for the tool",
        (ToolReach::NotUsed, false) => "no sample: everything is looked at, nothing tugged, no tool put on",
        (_, false) => {
            "no sample: everything is looked at, nothing tugged, and no maker's value is known for the tool"
        }
    })
}

/// The claim, question by question.
pub(super) fn claim(form: &Form, state: &State) -> Next {
    let claimed = match what_there_is(form, state) {
        Ok(claimed) => claimed,
        Err(next) => return next,
    };
    let (always_in, remainder) = sizes(&state.visit);
    if form.get(Field::Audit(A::Plan)).is_none() {
        let question = plan_question(state, &claimed, (always_in, remainder));
        return Next::Ask(Field::Audit(A::Plan), Box::new(question));
    }
    let plan = if pick(form, A::Plan) == 2 { Plan::SampleBoth } else { Plan::TugEverything };
    let claimed = Claimed { plan, ..claimed };
    if samples_nothing(state, &claimed, plan).is_some() {
        return confirm(form, state, &claimed, (always_in, remainder));
    }
    let sizes_of = |basis: SizedBy| {
        let many = planned(&state.visit, &Claimed { basis, ..claimed }, always_in, 0, remainder);
        match basis {
            SizedBy::Remainder | SizedBy::Whole => format!("{}: 5 % takes {many}", basis.words()),
            SizedBy::Minutes | SizedBy::Everything => format!("{}: {many}", basis.words()),
        }
    };
    asked!(
        form,
        Field::Audit(A::SizedBy),
        ask(
            format!("How many of the remainder of {remainder} are drawn?"),
            choice(SizedBy::ALL.map(sizes_of))
        )
        .offering("1")
    );
    let basis =
        SizedBy::ALL.get(pick(form, A::SizedBy).saturating_sub(1)).copied().unwrap_or(SizedBy::Minutes);
    let mut claimed = Claimed { basis, ..claimed };
    if matches!(basis, SizedBy::Remainder | SizedBy::Whole) {
        asked!(
            form,
            Field::Audit(A::AtMost),
            ask("At most how many per cent may be bad?", Answers::Number).offering("5")
        );
        match Claim::of_percent(number(form, A::AtMost), percent(&claimed)) {
            Some(claim) => claimed.claim = claim,
            None => return Next::Desk(DeskAct::Note("a claim is 0 to under 100 per cent".into())),
        }
    }
    confirm(form, state, &claimed, (always_in, remainder))
}

/// What the minutes buy under each plan.
fn plan_question(state: &State, claimed: &Claimed, (always_in, remainder): (u32, u32)) -> Question {
    let words_of = |plan: Plan| {
        let sampled = words::sampled(plan, tool_anywhere(&state.visit, claimed.tool));
        let bought = bought(&state.visit, claimed, plan, always_in, remainder);
        let buys = match (samples_nothing(state, claimed, plan), bought) {
            (Some(why), _) => why.to_owned(),
            (None, Some(b)) => {
                format!("{} of {remainder}; all clean: at most {} {sampled}", b.drawn, b.bound_if_clean)
            }
            (None, None) => "no sample: a terminal takes no time by your estimate".to_owned(),
        };
        format!("{} ({buys})", plan.words())
    };
    let bad = if claimed.tug { words::BAD } else { words::BAD_UNTUGGED };
    ask("What do the minutes buy, beside the always-in terminals? Which plan?", choice(Plan::ALL.map(words_of)))
        .offering("1")
        .hint(format!(
            "Always in: {always_in} (incoming, neutrals, main earth and bonds, aluminium; hot ones join). Remainder: \
             {remainder}."
        ))
        .hint(format!("Bad: {bad}. Moved under the tool is counted apart."))
}

fn percent(claimed: &Claimed) -> Decimal {
    claimed.claim.confidence.saturating_mul(Decimal::ONE_HUNDRED)
}

/// Asks a field that is not answered yet.
fn need(form: &Form, field: A, question: Question) -> Result<(), Next> {
    match form.get(Field::Audit(field)) {
        Some(_) => Ok(()),
        None => Err(Next::Ask(Field::Audit(field), Box::new(question))),
    }
}

/// Minutes, load, whether insulation may be tugged.
fn minutes_and_load(form: &Form, state: &State) -> Result<(), Next> {
    need(
        form,
        A::Minutes,
        ask("How many minutes are there for this audit?", Answers::Number)
            .offering_if(rehearsed(state, "120")),
    )?;
    need(
        form,
        A::WithoutSupply,
        ask("Of them, how many minutes without supply?", Answers::Number)
            .offering_if(rehearsed(state, "60"))
            .hint("Only without supply is anything tugged or tried."),
    )?;
    need(
        form, A::OnLoad,
        ask("Is the board on load now?", choice(["yes, and how much can be said", "no, or not known"]))
            .offering_if(rehearsed(state, "1"))
            .hint("A camera shows nothing worth judging below 40 % of the rated current: ask before it is out of its case."),
    )?;
    if pick(form, A::OnLoad) == 1 {
        need(
            form,
            A::Load,
            ask("Load now, per cent of the rated current:", Answers::Number)
                .offering_if(rehearsed(state, "60")),
        )?;
    }
    need(
        form, A::Tug,
        ask("May the insulation of this board be tugged?", choice(["yes", "no: old or brittle"]))
            .offering_if(rehearsed(state, "1"))
            .hint("Old rubber or fabric breaks at a tug: then everything is only looked at and tried with the tool."),
    )
}

/// What there is for it, and what may be done to the board.
fn what_there_is(form: &Form, state: &State) -> Result<Claimed, Next> {
    minutes_and_load(form, state)?;
    need(form, A::Tool, how_far(state))?;
    let tool = match pick(form, A::Tool) {
        1 => ToolReach::MakersValue,
        2 => {
            need(
                form,
                A::Percent,
                ask("To how many per cent of the maker's value, 1 to 99?", Answers::Number).offering("80"),
            )?;
            ToolReach::Part { percent: number(form, A::Percent).to_u8().unwrap_or(0) }
        }
        _ => ToolReach::NotUsed,
    };
    let own = "Your own estimate; offered is ours, without a published source.";
    let estimate = |asked: bool, field: A, text: &str, ours: &str| {
        if asked { need(form, field, ask(text, Answers::Number).offering(ours).hint(own)) } else { Ok(()) }
    };
    let tugs = pick(form, A::Tug) == 1;
    estimate(tugs, A::ATug, "Minutes a terminal for tugging:", A_TUG)?;
    estimate(tool != ToolReach::NotUsed, A::ATool, "Minutes a terminal with the tool:", A_TOOL)?;
    need(
        form,
        A::Confidence,
        ask("Confidence of what is claimed, per cent:", Answers::Number).offering("95"),
    )?;
    let Some(claim) = Claim::of_percent(Decimal::from(5), number(form, A::Confidence)) else {
        return Err(Next::Desk(DeskAct::Note("a confidence is over 0 and under 100 per cent".into())));
    };
    // what is not asked is multiplied by no terminal; a record has a number there all the same
    let estimated = |field: A, ours: &str| match form.get(Field::Audit(field)) {
        Some(_) => number(form, field),
        None => read_decimal(ours).unwrap_or(Decimal::ONE),
    };
    Ok(Claimed {
        minutes: number(form, A::Minutes),
        minutes_without_supply: number(form, A::WithoutSupply),
        load_percent: form.get(Field::Audit(A::Load)).map(|_| number(form, A::Load)),
        minutes_a_tug: estimated(A::ATug, A_TUG),
        minutes_a_tool: estimated(A::ATool, A_TOOL),
        tug: tugs,
        tool,
        plan: Plan::TugEverything,
        basis: SizedBy::Minutes,
        claim,
    })
}

/// How far the tool goes. Where no maker's value is known nothing is there to go to, unless one is found on the way.
fn how_far(state: &State) -> Question {
    let full = "to the maker's value: held or moved before the click";
    let part = "to a part of it, nowhere the full torque";
    let none = "no tool is put on";
    let forbidden =
        "Where its maker forbids a second torque the full one is never put on, whatever is chosen.";
    if tool_anywhere(&state.visit, ToolReach::Part { percent: 1 }) {
        return ask("How far does the tool go?", choice([full, part, none]))
            .offering_if(rehearsed(state, "1"))
            .hint(forbidden);
    }
    let found = "where a maker's value is found on the way";
    ask(
        "No maker's value is known on this board. How far does the tool go?",
        choice([format!("{found}: to it"), format!("{found}: to a part of it"), none.to_owned()]),
    )
    .offering("3")
    .hint(forbidden)
}

/// Sample size, always-in terminals and seed, before they are fixed.
fn confirm(form: &Form, state: &State, claimed: &Claimed, (always_in, remainder): (u32, u32)) -> Next {
    let many = planned(&state.visit, claimed, always_in, 0, remainder);
    let minutes = minutes_for(
        &state.visit,
        claimed,
        usize::try_from(always_in.saturating_add(many)).unwrap_or(usize::MAX),
    );
    let all = always_in.saturating_add(remainder);
    let tugs_all = claimed.plan == Plan::TugEverything && claimed.tug;
    let tugging =
        if tugs_all { Decimal::from(all).saturating_mul(claimed.minutes_a_tug) } else { Decimal::ZERO };
    let minutes = minutes.saturating_add(tugging).normalize();
    let tugged = if tugs_all { format!("Tugged: all {all}. ") } else { String::new() };
    let drawn = match samples_nothing(state, claimed, claimed.plan) {
        None => format!("Drawn: {many} of the remainder of {remainder}, besides the {always_in} always in. "),
        Some(_) => "Nothing is drawn. ".to_owned(),
    };
    asked!(
        form,
        Field::Audit(A::Confirm),
        ask(
            format!("{tugged}{drawn}Begin?"),
            choice(["begin: look at everything first", "think again"]),
        )
        .offering("1")
        .hint(format!("Claim: {}.", words::claim(claimed)))
        .hint(format!("By your estimate {minutes} minutes with the tool or tug; seed {}.", seed(state)))
        .hint(fingers(state, claimed, many))
        .hint("What is hot or seen bad until the draw joins the always-in terminals; then the numbers are worked out anew.")
    );
    if form.pick(Field::Audit(A::Confirm)) == Some(2) {
        return Next::Go(Form::new(form.purpose.clone()));
    }
    Next::Do(vec![Act::Audit(AuditAct::Claim(*claimed))])
}

/// What is drawn of the fingers, and how long that takes.
fn fingers(state: &State, claimed: &Claimed, drawn: u32) -> String {
    let sizes = Sizes::at(&state.visit, claimed, &[]);
    let many = sizes.planned_fingers(claimed, drawn);
    if sizes.fingers == 0 {
        return "Fingers, links and stabs: the tool can be put on none.".into();
    }
    let minutes = Decimal::from(many).saturating_mul(claimed.minutes_a_tool).normalize();
    format!(
        "Fingers, links and stabs, claimed apart: {many} of {} for the tool, {minutes} minutes more.",
        sizes.fingers
    )
}

/// The seed of the draw: the id of the record, drawn by the operating system before anything was known of the board.
pub(super) fn seed(state: &State) -> String {
    state.visit.opened().map_or_else(|| state.desk.start.id.clone(), |opened| opened.id.clone())
}
