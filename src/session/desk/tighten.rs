//! The torque: which tool, its setting, its scale, and what it said.

use super::ask::rehearsed;
use super::form::{DeskAct, Field, Form, Next, Purpose, asked};
use super::forms::finding::singly;
use super::question::{Answers, Question, Seen, Topic, choice};
use super::route::tool_for;
use super::{State, list, walk};
use crate::domain::board::Terminal;
use crate::domain::calibration::Running;
use crate::domain::clamp::Clamp;
use crate::domain::figures::with_error;
use crate::domain::names::ToolId;
use crate::domain::record::{TorqueResult, Turned};
use crate::domain::stated::{Stated, TorqueRow};
use crate::domain::tool::{Tool, ToolKind};
use crate::domain::torque::{Torque, read_decimal};
use crate::session::act::Act;
use crate::session::decide::{calibration_holds, setting_for};
use crate::session::refusal::Refusal;
use crate::session::visit::TerminalIndex;
use crate::session::{doubtful_torque, misfits_at};

/// Words and keys of the screw after settling.
const TURNED: [Seen; 2] = [Seen { key: 'h', word: "held" }, Seen { key: 'm', word: "moved" }];
/// The same, with a tool that may not click.
const SETTLED: [Seen; 3] = [
    Seen { key: 'h', word: "held" },
    Seen { key: 'm', word: "moved" },
    Seen { key: 'n', word: "did not click" },
];
/// Words and keys of the torque.
const CLICKED: [Seen; 2] = [Seen { key: 'c', word: "clicked" }, Seen { key: 'n', word: "did not click" }];

/// A torque that is due, in front of the person.
struct Due<'a> {
    form: &'a Form,
    state: &'a State,
    at: TerminalIndex,
    terminal: &'a Terminal,
    /// The terminal, and which of two screws.
    which: String,
    /// Whether it is the same torque once more, after a wait.
    settled: bool,
}

pub(super) fn torque(form: &Form, state: &State, at: TerminalIndex, screw: u8) -> Next {
    let (Some(terminal), Some(clamp)) = (state.visit.terminal(at), state.visit.clamp(at)) else {
        return Next::Desk(DeskAct::Walk);
    };
    let settled = state.visit.standing(at).is_some_and(|standing| standing.round > 0);
    let due = Due { form, state, at, terminal, which: which(terminal, clamp, screw), settled };
    let Some(row) = clamp.torque_for(&terminal.conductors) else { return due.by_hand() };
    let tool = tool_for(state, at).and_then(|(id, required)| Some((&state.visit.tool(&id)?.tool, required)));
    match tool {
        None => no_tool(form, state, at, &due.which),
        Some((tool, required)) if tool.kind == ToolKind::Indicating => due.reading(row, tool, required),
        Some((tool, _)) => scale_first(form, state, at, &tool.id).unwrap_or_else(|| due.click(row, tool)),
    }
}

pub(super) fn which(terminal: &Terminal, clamp: &Clamp, screw: u8) -> String {
    if clamp.screws == 2 {
        let order = clamp.screw_order.as_ref().map_or_else(String::new, |order| format!(" ({order})"));
        format!("{}, screw {screw}{order}", terminal.name)
    } else {
        terminal.name.to_string()
    }
}

impl Due<'_> {
    fn act(&self, tool: Option<ToolId>, result: TorqueResult, turned: Option<Turned>) -> Next {
        let (terminal, mode) = (self.terminal.name.clone(), singly(self.state));
        Next::Do(vec![if self.settled {
            Act::Settle { terminal, tool, result, turned, mode }
        } else {
            Act::Torque { terminal, tool, result, mode }
        }])
    }

    fn by_hand(&self) -> Next {
        let question = Question::new(
            Topic::Walk,
            format!("{}: no maker's value is known. Tighten by hand, then type hand:", self.which),
            Answers::Words(vec!["hand"]),
        )
        .about(self.at)
        .offering_if(rehearsed(self.state, "hand"))
        .hint("Do not guess a value. It is set aside afterwards: no maker's value.");
        asked!(self.form, Field::Words, question);
        self.act(None, TorqueResult::ByHand, None)
    }

    fn reading(&self, row: &TorqueRow, tool: &Tool, required: Torque) -> Next {
        let question = Question::new(
            Topic::Walk,
            format!("{}: tighten to {required}. What did tool {} show?", self.which, tool.id),
            Answers::Reading { unit: tool.unit, or_word: Some("none") },
        )
        .about(self.at)
        .offering_if(rehearsed(self.state, &required.value.to_string()))
        .hint(format!("Maker: {}, {}. none: it was not reached.", row.stated, row.source));
        let question = self.with_misfits(question);
        let typed = asked!(self.form, Field::Read, question);
        let Ok(value) = read_decimal(&typed) else {
            return Next::Go(Form::new(Purpose::NotClicked(self.at)));
        };
        let turned = if self.settled {
            let words = asked!(self.form, Field::Turned, self.turned_question(&TURNED));
            turned_of(&words)
        } else {
            None
        };
        let result = TorqueResult::Reading { text: typed, value, unit: tool.unit };
        self.act(Some(tool.id.clone()), result, turned)
    }

    fn click(&self, row: &TorqueRow, tool: &Tool) -> Next {
        let question = if self.settled {
            self.turned_question(&SETTLED)
        } else {
            Question::new(
                Topic::Walk,
                format!("{}: tighten once, smoothly, to the click. Tool {}:", self.which, tool.id),
                Answers::Observed(CLICKED.to_vec()),
            )
            .about(self.at)
            .offering_if(rehearsed(self.state, "clicked"))
            .hint(format!("Maker: {}, {}.", row.stated, row.source))
        };
        let question = self.with_misfits(question);
        let seen = asked!(self.form, Field::Words, question);
        match (seen.as_str(), turned_of(&seen)) {
            ("clicked", _) => self.act(Some(tool.id.clone()), TorqueResult::Clicked, None),
            (_, Some(turned)) => self.act(Some(tool.id.clone()), TorqueResult::Clicked, Some(turned)),
            _ => Next::Go(Form::new(Purpose::NotClicked(self.at))),
        }
    }

    /// What does not go with the clamp is said before the screw is turned.
    fn with_misfits(&self, mut question: Question) -> Question {
        for words in misfits_at(&self.state.visit, self.at) {
            question = question.hint(format!("Does not fit: {words}."));
        }
        question
    }

    /// The same torque once more: it clicks, and the movement before the click is the finding.
    fn turned_question(&self, list: &[Seen]) -> Question {
        Question::new(
            Topic::Walk,
            format!("{}, settled: the same torque once more. Before the click the screw:", self.which),
            Answers::Observed(list.to_vec()),
        )
        .about(self.at)
        .offering_if(rehearsed(self.state, "held"))
        .hint("moved is no fault the first time: it settles once more. Moved again: remake (own rule).")
    }
}

/// A reading is typed with every digit that the tool shows: fewer would be taken for a coarser reading, and widen its
/// error. Answers from notes may be coarser; that is what was noted.
pub(super) fn all_digits(state: &State, at: TerminalIndex, value: &str) -> Result<(), String> {
    let tool = tool_for(state, at).and_then(|(id, _)| state.visit.tool(&id)).map(|held| &held.tool);
    let Some((tool, step)) = tool.and_then(|tool| Some((tool, tool.graduation?.normalize()))) else {
        return Ok(());
    };
    match read_decimal(value) {
        Ok(mut read) if read.scale() < step.scale() => {
            read.rescale(step.scale());
            Err(format!(
                "tool {} shows steps of {step}: type every digit it shows, such as {read} if it shows that",
                tool.id
            ))
        }
        _ => Ok(()),
    }
}

pub(super) fn turned_of(word: &str) -> Option<Turned> {
    match word {
        "held" => Some(Turned::Held),
        "moved" => Some(Turned::Moved),
        _ => None,
    }
}

/// The scale before the first click of a setting: the closing reading of the last one, then set, then read.
pub(super) fn scale_first(form: &Form, state: &State, at: TerminalIndex, tool: &ToolId) -> Option<Next> {
    let work = walk::work(state)?;
    if work.set && work.tool.map(|tool| &tool.id) == Some(tool) {
        return None;
    }
    let open = state.visit.open_spans().find(|span| span.tool == *tool);
    if let Some(span) = open {
        return Some(Next::Go(Form::new(Purpose::ScaleEnd(span.id.clone()))));
    }
    let required = work.required?;
    let stated = work.row.map(|row| &row.stated)?;
    let fixed = work.tool.is_some_and(|tool| tool.kind == ToolKind::Fixed);
    let text = if fixed {
        format!("Take tool {tool}: it has to be the one for {required}.")
    } else {
        format!("Set tool {tool} to {required}. Come up to it from below.")
    };
    let basis = match stated {
        Stated::Single { .. } => "one value without tolerance: judged as set",
        Stated::Tolerance { .. } => "with the maker's tolerance",
        Stated::Range { .. } => "from the maker's range",
        Stated::AtMost { .. } => "maker's upper limit, own aim",
    };
    let source = work.row.map_or_else(String::new, |row| row.source.to_string());
    let mut question = Question::new(Topic::SetTool, text, choice(["done: now its scale is read"]))
        .about(at)
        .offering("1")
        .hint(format!("Maker: {stated}, {source}; {basis}."));
    if let Some(words) = work.tool.and_then(|tool| really(tool, &stated.aim(), &required)) {
        question = question.hint(words);
    }
    if let Some(words) = work.tool.and_then(|tool| nearly_over(state, tool)) {
        question = question.hint(words);
    }
    if let Some(words) = doubtful_torque(&state.visit, at) {
        question = question.hint(format!("A question: {words}. Read the device again."));
    }
    match form.get(Field::Pick) {
        None => Some(Next::Ask(Field::Pick, Box::new(question))),
        Some(_) => Some(Next::Go(Form::new(Purpose::ScaleStart(tool.clone())))),
    }
}

/// What will really be applied, where that is not the aim itself or its error is known.
fn really(tool: &Tool, aim: &Torque, required: &Torque) -> Option<String> {
    let applied = tool.applied(required, None);
    let (w, exact) = (applied.w(), applied.torque == aim.exact_in(tool.unit));
    if exact && w.is_none() {
        return None;
    }
    let figure = with_error(&applied.torque, w.as_ref(), tool.unit);
    let sure = if w.is_some() { " (95.45 %)" } else { "" };
    Some(format!("At that mark tool {} applies {figure}{sure}.", tool.id))
}

/// That its calibration will soon end.
fn nearly_over(state: &State, tool: &Tool) -> Option<String> {
    let due = tool.due()?;
    match state.visit.calibration_now(tool)? {
        Running::NearlyOver => Some(format!("Its calibration ends on {}.", due.until)),
        Running::NearlyUsedUp => {
            let done = state.visit.operations(tool);
            Some(format!("{done} of the {} operations of its calibration are done.", due.operations))
        }
        Running::Good | Running::Over | Running::UsedUp => None,
    }
}

pub(super) fn no_tool(form: &Form, state: &State, at: TerminalIndex, which: &str) -> Next {
    let mut question = Question::new(
        Topic::Walk,
        format!("{which}: no tool in hand can do this torque."),
        choice([
            "take or state another tool",
            "tightened without a torque tool",
            "leave it for later",
            "set it aside",
        ]),
    )
    .about(at);
    let row = state.visit.terminal(at).and_then(|t| state.visit.clamp(at)?.torque_for(&t.conductors));
    for held in state.visit.tools() {
        // what it cannot do at all comes first: it would not help to have it released, or to state it anew
        let unfit = |row| {
            setting_for(&state.visit, row, &held.tool)?;
            if held.doubted.is_some() {
                return Err(Refusal::Doubted(held.tool.id.clone()));
            }
            calibration_holds(&state.visit, &held.tool)
        };
        if let Some(Err(refusal)) = row.map(unfit) {
            question = question.hint(refusal.to_string());
        }
    }
    asked!(form, Field::Pick, question);
    match form.pick(Field::Pick) {
        Some(1) => Next::Go(Form::new(Purpose::Tool)),
        Some(2) => list::by_hand(state, at),
        Some(3) => Next::Desk(DeskAct::Later),
        _ => Next::Go(Form::new(Purpose::SetAside(vec![at]))),
    }
}
