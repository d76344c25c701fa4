//! Opening: who, what for, with what kind of tool; then the order of the walk.

use crate::domain::board::{Board, Terminal};
use crate::domain::limits::OwnTolerance;
use crate::domain::names::PersonId;
use crate::domain::reckon::decision::worst_risk_words;
use crate::domain::record::{Order, Person, Session, SessionCause, VisitKind};
use crate::domain::stated::Stated;
use crate::domain::text::NAME_COLUMNS;
use crate::domain::tool::{Tool, ToolKind};
use crate::domain::torque::read_decimal;
use crate::domain::verdict::DecisionRule;
use crate::session::act::{Act, OpenVisit};
use crate::session::desk::State;
use crate::session::desk::form::{Field, Form, Next, Purpose, asked};
use crate::session::desk::forms::tool::offered_question;
use crate::session::desk::question::{Answers, Question, Topic, choice, name_text};
use crate::session::desk::route::settings_by_order;
use crate::session::outlook;

/// Kinds of tool as they are listed.
pub(super) const KINDS: [ToolKind; 3] = [ToolKind::Setting, ToolKind::Fixed, ToolKind::Indicating];

/// What is chosen where a coming back begins without a tool.
const NO_TOOL: &str = "none yet: it is stated when it is needed";

pub(super) fn kind_question() -> Question {
    Question::new(
        Topic::Tool,
        "What kind of torque tool is in your hand?",
        choice([
            "setting: set on a scale, it clicks or slips",
            "fixed: made for one value",
            "indicating: shows the torque",
        ]),
    )
}

/// The rule by which torques with limits are decided; asked where the board has any.
fn decision_rule(form: &Form, state: &State) -> Result<DecisionRule, Next> {
    let usual = DecisionRule::GuardedFourWords;
    let board = &state.desk.start.board;
    let limited = |terminal: &Terminal| {
        board.torque_row(terminal).is_some_and(|row| !matches!(row.stated, Stated::Single { .. }))
    };
    // an audit judges no torque
    if !board.terminals.iter().any(limited) || state.desk.start.visit == VisitKind::Audit {
        return Ok(usual);
    }
    if form.get(Field::DecisionRule).is_none() {
        let mut question = Question::new(
            Topic::Opening,
            "How are torques with a range, a tolerance or an upper limit decided?",
            choice(DecisionRule::ALL.map(DecisionRule::short)),
        )
        .offering("1")
        .hint("Fixed for this visit and printed with its risk. One value without tolerance is judged by its setting.");
        for (number, rule) in (1_usize..).zip(DecisionRule::ALL) {
            question = question.hint(format!("{number}: {}.", worst_risk_words(rule)));
        }
        return Err(Next::Ask(Field::DecisionRule, Box::new(question)));
    }
    let picked = form.pick(Field::DecisionRule).and_then(|n| DecisionRule::ALL.get(n.saturating_sub(1)));
    Ok(picked.copied().unwrap_or(usual))
}

pub(in crate::session::desk) fn opening(form: &Form, state: &State) -> Next {
    let start = &state.desk.start;
    let offered = start.person_offered.clone();
    let rehearsal = start.rehearsal;
    let name_offer =
        offered.as_ref().map(|(name, _)| name.clone()).or(rehearsal.then(|| "Rehearser".to_owned()));
    let name = asked!(
        form,
        Field::Name,
        Question::new(Topic::Opening, "Who is on the tool? Your name:", name_text())
            .offering_if(name_offer)
            .hint("This program does not replace the maker's instructions, local rules or a licensed person's judgement.")
    );
    let role = asked!(
        form,
        Field::Role,
        Question::new(Topic::Opening, "What are you here?", name_text())
            .offering(offered.map_or_else(|| "electrician".to_owned(), |(_, role)| role))
    );
    let certificate = asked!(
        form,
        Field::Certificate,
        Question::new(
            Topic::Opening,
            "Reference of the certificate this will be an appendix to (nothing if there is none yet):",
            Answers::Text { columns: NAME_COLUMNS, optional: true },
        )
    );
    let kind = match tool_kind(form, state) {
        Ok(kind) => kind,
        Err(next) => return next,
    };
    let own_tolerance = match own_tolerance(form, state, kind) {
        Ok(own) => own,
        Err(next) => return next,
    };
    let decision_rule = match decision_rule(form, state) {
        Ok(chosen) => chosen,
        Err(next) => return next,
    };
    let person = Person { id: PersonId::from("P1"), name, role };
    let board = (start.board.clone(), start.board_sha256.clone());
    Next::Do(opened(state, person, certificate, board, (own_tolerance, decision_rule)))
}

/// The acts that open a visit.
pub(super) fn opened(
    state: &State,
    person: Person,
    certificate: String,
    (board, board_sha256): (Board, String),
    (own_tolerance, decision_rule): (Option<OwnTolerance>, DecisionRule),
) -> Vec<Act> {
    let start = &state.desk.start;
    let open = OpenVisit {
        program: start.program.clone(),
        id: start.id.clone(),
        person,
        visit: start.visit,
        rehearsal: start.rehearsal,
        follows: start.follows.clone(),
        certificate,
        board,
        board_sha256,
        decision_rule,
        own_tolerance,
    };
    let session = Session {
        nonce: start.nonce.clone(),
        program: start.program_and_face(),
        cause: SessionCause::Opened,
        torn: None,
    };
    vec![Act::Open(Box::new(open)), Act::Begin(session)]
}

/// The firm's own tolerance; asked where an indicating tool is in hand. What is offered is the class limit of the tool,
/// where it is known.
pub(super) fn own_tolerance(
    form: &Form,
    state: &State,
    kind: ToolKind,
) -> Result<Option<OwnTolerance>, Next> {
    if kind != ToolKind::Indicating {
        return Ok(None);
    }
    let Some(percent) = form.get(Field::OwnTolerance) else {
        let tools = &state.desk.start.tools_offered;
        let tool = form.pick(Field::ToolOffered).and_then(|pick| tools.get(pick.saturating_sub(1)));
        let limit = tool.and_then(Tool::class_limit_percent);
        let offer = limit.map_or_else(|| "6".to_owned(), |limit| limit.to_string());
        let whose = match limit {
            Some(_) => "is the limit of this tool's class in ISO 6789-1",
            None => {
                "is the class limit of indicating screwdrivers in ISO 6789-1 (from memory; see the tool's papers)"
            }
        };
        let question = Question::new(
            Topic::Opening,
            "Own tolerance, +/- per cent, for readings where the maker gives one value and no tolerance:",
            Answers::Number,
        )
        .hint(format!(
            "It is the firm's own rule, fixed for this visit and printed as such. {offer} {whose}."
        ))
        .offering(offer);
        return Err(Next::Ask(Field::OwnTolerance, Box::new(question)));
    };
    Ok(read_decimal(percent).ok().map(OwnTolerance))
}

/// The kind of the first tool: of one of the last visit's, or as stated.
pub(super) fn tool_kind(form: &Form, state: &State) -> Result<ToolKind, Next> {
    if let Some(question) = offered_question(state) {
        let Some(pick) = form.pick(Field::ToolOffered) else {
            return Err(Next::Ask(Field::ToolOffered, Box::new(question)));
        };
        if let Some(tool) = state.desk.start.tools_offered.get(pick.saturating_sub(1)) {
            return Ok(tool.kind);
        }
    }
    let Some(pick) = form.pick(Field::ToolKind) else {
        let offer = state.is_rehearsal().then(|| "1".to_owned());
        let mut question =
            kind_question().offering_if(offer).hint("Its name, range and calibration are asked next.");
        if state.desk.start.visit != VisitKind::First
            && let Answers::Choice(list) = &mut question.answers
        {
            list.push(NO_TOOL.into());
        }
        return Err(Next::Ask(Field::ToolKind, Box::new(question)));
    };
    Ok(KINDS.get(pick.saturating_sub(1)).copied().unwrap_or(ToolKind::Setting))
}

pub(in crate::session::desk) fn route(form: &Form, state: &State) -> Next {
    let counts = settings_by_order(state);
    let list = Order::ALL.iter().map(|order| {
        let count = counts.iter().find(|(o, _)| o == order).map_or(0, |(_, count)| *count);
        let settings = if count == 1 { "setting" } else { "settings" };
        format!("{}: {count} {settings} of the tool", order.words())
    });
    let mut question = Question::new(Topic::Opening, "In which order do you walk?", choice(list))
        .offering("1")
        .hint("Each order goes twice round: first prepare and enter, then tighten, tug and mark.");
    for held in state.visit.tools() {
        for words in outlook(&state.visit, &held.tool).words(&held.tool) {
            question = question.hint(words);
        }
    }
    asked!(form, Field::Pick, question);
    let at = form.pick(Field::Pick).unwrap_or(1).saturating_sub(1);
    let order = Order::ALL.get(at).copied().unwrap_or(Order::Place);
    Next::Do(vec![Act::ChooseRoute(order)])
}

/// Whether a tool was named or its kind said; who comes back may begin without one.
pub(in crate::session::desk) fn states_a_tool(given: &[(Field, String)]) -> bool {
    let none = KINDS.len().saturating_add(1).to_string();
    !given.is_empty() && !given.iter().any(|(field, pick)| *field == Field::ToolKind && *pick == none)
}

/// The form that is due before the first line.
pub(in crate::session::desk) fn first(state: &State) -> Form {
    Form::new(if state.desk.start.flat.is_some() { Purpose::Flat } else { Purpose::Opening })
}
