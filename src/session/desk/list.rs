//! The numbered list of everything else that is possible now, and the doings of the desk itself.

use super::State;
use super::audit::{AuditAsk, is_audit};
use super::form::{DeskAct, Field, Form, Next, Purpose, asked};
use super::forms::finding::singly;
use super::question::{Answers, Question, Topic, choice, own_words};
use super::route::tool_for;
use super::together::{Scope, Together, waiting_for};
use crate::domain::board::Terminal;
use crate::domain::names::WayNumber;
use crate::domain::record::TorqueResult;
use crate::domain::tool::ToolKind;
use crate::session::act::Act;
use crate::session::standing::Standing;
use crate::session::steps::Step;
use crate::session::visit::TerminalIndex;

/// Tightened without a torque tool, at a terminal whose torque is due.
pub(super) fn by_hand(state: &State, at: TerminalIndex) -> Next {
    match state.visit.terminal(at) {
        Some(terminal) => Next::Do(vec![Act::Torque {
            terminal: terminal.name.clone(),
            tool: None,
            result: TorqueResult::ByHand,
            mode: singly(state),
        }]),
        None => Next::Desk(DeskAct::Walk),
    }
}

/// What an entry of the list begins.
enum Entry {
    ByHand(TerminalIndex),
    Begin(Purpose),
    Desk(DeskAct),
}

type Entries = Vec<(String, Entry)>;

fn entries(state: &State) -> Entries {
    let mut list = Entries::new();
    if state.visit.opened().is_none() {
        list.push(("leave".into(), Entry::Desk(DeskAct::Leave)));
        return list;
    }
    if let Some(at) = state.desk.focus {
        at_terminal(state, at, &mut list);
    }
    of_board(state, &mut list);
    list
}

/// What is possible at the terminal in front of the person.
fn at_terminal(state: &State, at: TerminalIndex, list: &mut Entries) {
    let visit = &state.visit;
    let (Some(terminal), Some(standing)) = (visit.terminal(at), visit.standing(at)) else { return };
    let mut add = |words: String, entry: Entry| list.push((words, entry));
    let name = &terminal.name;
    if is_audit(state) {
        if standing.aside.is_none() {
            add(format!("{name}: leave it for later"), Entry::Desk(DeskAct::Later));
        }
        let code = Purpose::Audit(AuditAsk::Code(at));
        return add(format!("{name}: type an observation code"), Entry::Begin(code));
    }
    if standing.need.is_none()
        && standing.aside.is_none()
        && standing.next_step().is_some_and(Step::is_torque)
    {
        add(format!("{name}: tightened without a torque tool"), Entry::ByHand(at));
    }
    if standing.aside.is_none() {
        add(format!("{name}: leave it for later"), Entry::Desk(DeskAct::Later));
    }
    if letters_are_typed(state, at, standing) {
        add(format!("{name}: set it aside"), Entry::Begin(Purpose::SetAside(vec![at])));
        add(format!("{name}: cut back and remake"), Entry::Begin(Purpose::Remake(at)));
        add(format!("{name}: a maker's value found"), Entry::Begin(Purpose::AmendValue(at)));
        add("who takes the tool".into(), Entry::Begin(Purpose::Hands));
        add("go to a way".into(), Entry::Begin(Purpose::GoToWay));
    }
    if standing.settling.is_some() {
        add(format!("{name}: settle not waited for"), Entry::Begin(Purpose::WaiveSettle(vec![at])));
    }
    let scopes = terminal.way.map(Scope::Way).into_iter().chain([Scope::Place(terminal.place.clone())]);
    for scope in scopes {
        for (words, step) in [
            ("prepared alike", Together::Prepare),
            ("all entries right", Together::Enter),
            ("all fingers seated", Together::Seat),
            ("all marks", Together::Mark),
            ("look at all", Together::Look),
        ] {
            if waiting_for(state, &scope, step).len() > 1 {
                add(format!("{scope}: {words}"), Entry::Begin(Purpose::Together(scope.clone(), step)));
            }
        }
    }
    if let Some(way) = terminal.way {
        let same: Vec<TerminalIndex> = visit
            .terminals()
            .filter(|(_, t, s)| t.way == Some(way) && s.aside.is_none())
            .map(|(at, _, _)| at)
            .collect();
        add(format!("set aside the whole way {way}"), Entry::Begin(Purpose::SetAside(same)));
    }
    if terminal.device.is_some() {
        add(format!("{name}: its device was replaced"), Entry::Begin(Purpose::Replace(at)));
    }
    add(format!("{name}: disturbed or opened again"), Entry::Begin(Purpose::Disturb(at)));
}

/// Whether a reading is asked there that may be answered by a word: letters are typed, so no key begins a doing.
fn letters_are_typed(state: &State, at: TerminalIndex, standing: &Standing) -> bool {
    let tool = tool_for(state, at).and_then(|(tool, _)| state.visit.tool(&tool));
    standing.aside.is_none()
        && standing.next_step().is_some_and(Step::is_torque)
        && tool.is_some_and(|held| held.tool.kind == ToolKind::Indicating)
}

/// What is possible wherever one stands.
fn of_board(state: &State, list: &mut Entries) {
    let visit = &state.visit;
    let mut add = |words: String, entry: Entry| list.push((words, entry));
    let is_spare = |t: &Terminal, s: &Standing| t.spare && s.aside.is_none() && visit.is_part(&t.name);
    let spare = visit.terminals().find(|(_, t, s)| is_spare(t, s)).map(|(at, _, _)| at);
    if let Some(at) = spare {
        add("set aside spare ways".into(), Entry::Begin(Purpose::WayOut(at)));
    }
    if visit.terminals().any(|(_, _, s)| s.aside.is_some()) {
        add("take up again what is set aside".into(), Entry::Begin(Purpose::TakeUp));
    }
    if visit.scope().is_some() {
        add("add to the scope, or leave something out".into(), Entry::Begin(Purpose::ScopeMore));
    }
    add("take another place".into(), Entry::Begin(Purpose::TakePlace));
    if !is_audit(state) {
        add("another order of the walk".into(), Entry::Begin(Purpose::Route));
    }
    add("take or state a tool".into(), Entry::Begin(Purpose::TakeTool));
    add("an earlier answer was a slip".into(), Entry::Begin(Purpose::SlipWhich));
    for span in visit.open_spans() {
        let words = format!("read the scale of tool {} at its end", span.tool);
        add(words, Entry::Begin(Purpose::ScaleEnd(span.id.clone())));
    }
    for held in visit.tools() {
        let id = &held.tool.id;
        if held.doubted.is_some() {
            add(format!("tool {id} is released"), Entry::Begin(Purpose::Release(id.clone())));
        } else {
            add(format!("tool {id} was dropped or overloaded"), Entry::Begin(Purpose::Doubt(id.clone())));
        }
    }
    let on = !state.desk.marks_with_place;
    let marks = if on { "witness marks with the place" } else { "witness marks one by one" };
    if !is_audit(state) {
        add(marks.into(), Entry::Desk(DeskAct::MarksWithPlace(on)));
    }
    let notes = if state.desk.notes { "answers no longer from notes" } else { "answers from notes" };
    add(notes.into(), Entry::Begin(Purpose::Notes));
    add("a remark".into(), Entry::Begin(Purpose::Remark(state.desk.focus)));
    add("sign off".into(), Entry::Desk(DeskAct::SignOff));
    add("leave for the day".into(), Entry::Desk(DeskAct::Leave));
    add("abandon the visit".into(), Entry::Begin(Purpose::Abandon));
}

pub(super) fn list(form: &Form, state: &State) -> Next {
    let entries = entries(state);
    let words = entries.iter().map(|(words, _)| words.clone());
    asked!(
        form,
        Field::Pick,
        Question::new(Topic::List, "What else is to be done?", choice(words))
            .hint("PageUp: back to the walk.")
    );
    let pick = form.pick(Field::Pick).unwrap_or(1).saturating_sub(1);
    match entries.into_iter().nth(pick) {
        Some((_, Entry::ByHand(at))) => by_hand(state, at),
        Some((_, Entry::Begin(purpose))) => Next::Go(Form::new(purpose)),
        Some((_, Entry::Desk(act))) => Next::Desk(act),
        None => Next::Desk(DeskAct::Walk),
    }
}

pub(super) fn take_place(form: &Form, state: &State) -> Next {
    let places = &state.board().places;
    let list = places.iter().map(|place| {
        let here = || state.visit.terminals().filter(|(_, t, _)| t.place == place.name);
        let open = here().filter(|(_, _, s)| super::route::pass_of(s).is_some()).count();
        format!("{}: {open} of {} to be worked", place.name, here().count())
    });
    asked!(form, Field::Pick, Question::new(Topic::List, "Which place do you take?", choice(list)));
    let pick = form.pick(Field::Pick).unwrap_or(1).saturating_sub(1);
    let place = places.get(pick).map(|place| &place.name);
    let mut here = state.visit.terminals().filter(|(_, t, _)| Some(&t.place) == place);
    let first = here.next();
    let open =
        std::iter::once(first).flatten().chain(here).find(|(_, _, s)| super::route::pass_of(s).is_some());
    match open.or(first) {
        Some((at, _, _)) => Next::Desk(DeskAct::Focus(at)),
        None => Next::Desk(DeskAct::Note("there is no terminal at that place".into())),
    }
}

pub(super) fn go_to_way(form: &Form, state: &State) -> Next {
    let typed = asked!(
        form,
        Field::Pick,
        Question::new(Topic::List, format!("Which way, 1 to {}?", state.board().ways), Answers::Number)
    );
    let way = typed.parse::<u16>().ok().map(WayNumber);
    let mut here = state.visit.terminals().filter(|(_, t, _)| way.is_some() && t.way == way);
    let first = here.next();
    let open =
        std::iter::once(first).flatten().chain(here).find(|(_, _, s)| super::route::pass_of(s).is_some());
    match open.or(first) {
        Some((at, _, _)) => Next::Desk(DeskAct::Focus(at)),
        None => Next::Desk(DeskAct::Note(format!("there is no terminal on way {typed}"))),
    }
}

pub(super) fn save_elsewhere(form: &Form) -> Next {
    let folder = asked!(
        form,
        Field::Words,
        Question::new(Topic::Trouble, "Save elsewhere, in which folder? Type its path:", own_words())
            .hint("Everything recorded so far is written there whole, and the walk goes on there.")
    );
    Next::Desk(DeskAct::SaveElsewhere(folder))
}

pub(super) fn trouble(form: &Form, state: &State) -> Next {
    let why = state.desk.trouble.clone().unwrap_or_default();
    asked!(
        form,
        Field::Pick,
        Question::new(
            Topic::Trouble,
            "NOT STORED: the last answer is not recorded. What now?",
            choice([
                "try again",
                "save elsewhere",
                "take the last answer back",
                "leave for the day without it"
            ]),
        )
        .hint(why)
    );
    match form.pick(Field::Pick) {
        Some(1) => Next::Desk(DeskAct::Retry),
        Some(2) => Next::Go(Form::new(Purpose::SaveElsewhere)),
        Some(3) => Next::Desk(DeskAct::GiveUp),
        _ => Next::Desk(DeskAct::Leave),
    }
}
