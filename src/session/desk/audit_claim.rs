//! What an audit claims: the minutes there are, what they buy, or a claim first. Estimates and choices are offered;
//! nothing here is an observation.

use super::State;
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

/// The claim, question by question.
pub(super) fn claim(form: &Form, state: &State) -> Next {
    let claimed = match what_there_is(form) {
        Ok(claimed) => claimed,
        Err(next) => return next,
    };
    let (always_in, remainder) = sizes(&state.visit);
    let words_of = |plan: Plan| {
        let bought = bought(&state.visit, &claimed, plan, always_in, remainder);
        let sampled = words::sampled(plan, tool_anywhere(&state.visit, claimed.tool));
        let buys = match bought {
            Some(b) if sampled != "nothing" => {
                format!("{} of {remainder}; all clean: at most {} {sampled}", b.drawn, b.bound_if_clean)
            }
            _ => "no sample".to_owned(),
        };
        format!("{} ({buys})", plan.words())
    };
    asked!(
        form,
        Field::Audit(A::Plan),
        ask("What do the minutes buy, beside the always-in terminals? Which plan?", choice(Plan::ALL.map(words_of)))
            .offering("1")
            .hint(format!(
                "Always in: {always_in} (incoming, neutrals, main earth and bonds, aluminium; hot ones join). Remainder: {remainder}."
            ))
            .hint(format!("Bad: {}. Moved under the tool is counted apart.", if claimed.tug { words::BAD } else { words::BAD_UNTUGGED }))
    );
    let plan = if pick(form, A::Plan) == 2 { Plan::SampleBoth } else { Plan::TugEverything };
    let claimed = Claimed { plan, ..claimed };
    let sizes_of = |basis: SizedBy| {
        let with = Claimed { basis, ..claimed };
        match basis {
            SizedBy::Remainder | SizedBy::Whole => {
                format!(
                    "{}: 5 % takes {}",
                    basis.words(),
                    planned(&state.visit, &with, always_in, 0, remainder)
                )
            }
            SizedBy::Minutes | SizedBy::Everything => {
                format!("{}: {}", basis.words(), planned(&state.visit, &with, always_in, 0, remainder))
            }
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

fn percent(claimed: &Claimed) -> Decimal {
    claimed.claim.confidence.saturating_mul(Decimal::ONE_HUNDRED)
}

/// Minutes, load, what may be done to the board.
fn what_there_is(form: &Form) -> Result<Claimed, Next> {
    let need = |field: A, question: Question| match form.get(Field::Audit(field)) {
        Some(_) => Ok(()),
        None => Err(Next::Ask(Field::Audit(field), Box::new(question))),
    };
    need(A::Minutes, ask("How many minutes are there for this audit?", Answers::Number))?;
    need(
        A::WithoutSupply,
        ask("Of them, how many minutes without supply?", Answers::Number)
            .hint("Only without supply is anything tugged or tried."),
    )?;
    need(
        A::OnLoad,
        ask("Is the board on load now?", choice(["yes, and how much can be said", "no, or not known"]))
            .hint("A camera shows nothing worth judging below 40 % of the rated current: ask before it is out of its case."),
    )?;
    if pick(form, A::OnLoad) == 1 {
        need(A::Load, ask("Load now, per cent of the rated current:", Answers::Number))?;
    }
    need(
        A::Tug,
        ask("May the insulation of this board be tugged?", choice(["yes", "no: old or brittle"]))
            .hint("Old rubber or fabric breaks at a tug: then everything is only looked at and tried with the tool."),
    )?;
    need(
        A::Tool,
        ask(
            "How far does the tool go?",
            choice([
                "to the maker's value: held or moved before the click",
                "to a part of it, nowhere the full torque",
                "no tool is put on",
            ]),
        )
        .hint("Where its maker forbids a second torque the full one is never put on, whatever is chosen."),
    )?;
    let tool = match pick(form, A::Tool) {
        1 => ToolReach::MakersValue,
        2 => {
            need(
                A::Percent,
                ask("To how many per cent of the maker's value, 1 to 99?", Answers::Number).offering("80"),
            )?;
            ToolReach::Part { percent: number(form, A::Percent).to_u8().unwrap_or(0) }
        }
        _ => ToolReach::NotUsed,
    };
    let own = "Your own estimate; offered is ours, without a published source.";
    need(A::ATug, ask("Minutes a terminal for tugging:", Answers::Number).offering(A_TUG).hint(own))?;
    need(A::ATool, ask("Minutes a terminal with the tool:", Answers::Number).offering(A_TOOL).hint(own))?;
    need(A::Confidence, ask("Confidence of what is claimed, per cent:", Answers::Number).offering("95"))?;
    let Some(claim) = Claim::of_percent(Decimal::from(5), number(form, A::Confidence)) else {
        return Err(Next::Desk(DeskAct::Note("a confidence is over 0 and under 100 per cent".into())));
    };
    Ok(Claimed {
        minutes: number(form, A::Minutes),
        minutes_without_supply: number(form, A::WithoutSupply),
        load_percent: form.get(Field::Audit(A::Load)).map(|_| number(form, A::Load)),
        minutes_a_tug: number(form, A::ATug),
        minutes_a_tool: number(form, A::ATool),
        tug: pick(form, A::Tug) == 1,
        tool,
        plan: Plan::TugEverything,
        basis: SizedBy::Minutes,
        claim,
    })
}

/// Sample size, always-in terminals and seed, before they are fixed.
fn confirm(form: &Form, state: &State, claimed: &Claimed, (always_in, remainder): (u32, u32)) -> Next {
    let many = planned(&state.visit, claimed, always_in, 0, remainder);
    let minutes = minutes_for(
        &state.visit,
        claimed,
        usize::try_from(always_in.saturating_add(many)).unwrap_or(usize::MAX),
    );
    let tool = tool_anywhere(&state.visit, claimed.tool);
    let all = always_in.saturating_add(remainder);
    let tugs_all = claimed.plan == Plan::TugEverything && claimed.tug;
    let tugging =
        if tugs_all { Decimal::from(all).saturating_mul(claimed.minutes_a_tug) } else { Decimal::ZERO };
    let minutes = minutes.saturating_add(tugging).normalize();
    let tugged = if tugs_all { format!("Tugged: all {all}. ") } else { String::new() };
    let drawn = if tool || claimed.plan == Plan::SampleBoth {
        format!("Drawn: {many} of the remainder of {remainder}, besides the {always_in} always in. ")
    } else {
        "Nothing is drawn. ".to_owned()
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
