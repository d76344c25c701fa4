//! What is sensible where a terminal stands: most moves of the properties come from here.

use crate::acts::{Dice, beginning, edited, gate_of, opening, tools};
use crate::revisit_moves::{as_revisit, look, scope, tried};
use witnessmark::domain::conductor::Preparation;
use witnessmark::domain::names::{ConductorName, TerminalName, ToolId};
use witnessmark::domain::record::{
    About, AsideWhy, DecidedTo, EntryFault, MarkResult, MarkSeen, Mode, NotClicked, Outcome, Person,
    RemarkOn, Reset, SessionCause, SettleKnown, SourceState, Strands, TailLook, TorqueResult, Tug, Turned,
    VisitKind,
};
use witnessmark::domain::tool::{Tool, ToolKind};
use witnessmark::domain::torque::Torque;
use witnessmark::session::audit::hot_untold;
use witnessmark::session::{
    Act, EndCause, Informed, Need, Refusal, ScaleNext, Standing, Step, Visit, decide, setting_for,
};

pub(crate) fn mode(visit: &Visit, dice: &mut Dice) -> Mode {
    if visit.is_rehearsal() {
        Mode::Rehearsed
    } else {
        dice.of(&[Mode::Singly, Mode::Singly, Mode::Way, Mode::Place, Mode::Row, Mode::Notes])
    }
}

pub(crate) fn names(visit: &Visit, wanted: impl Fn(&Standing) -> bool) -> Vec<TerminalName> {
    visit.terminals().filter(|(_, _, s)| wanted(s)).map(|(_, t, _)| t.name.clone()).collect()
}

pub(crate) fn unfinished(standing: &Standing) -> bool {
    standing.outcome == Outcome::Open
}

/// A good next act, working towards closing when it is time to wind down.
pub(crate) fn sensible(visit: &Visit, dice: &mut Dice, winding_down: bool) -> Act {
    if visit.opened().is_none() {
        let own = dice.of(&[None, None, Some(4), Some(6)]);
        let act = opening(dice.one_in(12), own);
        return if dice.one_in(3) { as_revisit(act) } else { act };
    }
    if visit.session().is_none() {
        return beginning(SessionCause::Opened);
    }
    if visit.kind() == VisitKind::Revisit && (visit.scope().is_none() || dice.one_in(40)) {
        return scope(visit, dice);
    }
    let open = names(visit, unfinished);
    if visit.persons().len() < 2 && dice.one_in(12) {
        let (id, name, role) = ("P2".into(), "S. Birch".into(), "mate".into());
        return Act::Join(Person { id, name, role });
    }
    if let Some(act) = beside(visit, dice) {
        return act;
    }
    let settling = names(visit, |s| s.outcome == Outcome::Settling);
    if !settling.is_empty() && (winding_down || open.is_empty() || dice.one_in(3)) {
        let terminal = dice.of(&settling);
        return match dice.roll(8) {
            0 => Act::WaiveSettle { terminal, why: "the last train leaves".into() },
            1 => Act::SettleReady { terminal, how: SettleKnown::Stated },
            _ => Act::SettleReady { terminal, how: SettleKnown::Timed },
        };
    }
    if winding_down || open.is_empty() {
        return wind_down(visit, dice);
    }
    if visit.tools().len() < tools().len() && dice.roll(visit.tools().len() * 2 + 1) == 0 {
        let mut tool = tools()[visit.tools().len()].clone();
        if dice.one_in(4) {
            tool.operations_before = Some(4_997 + u64::try_from(dice.roll(4)).unwrap());
        }
        return Act::StateTool(Box::new(tool));
    }
    if visit.gate(&dice.hand).is_none() {
        return match dice.roll(12) {
            0 | 3 => gate_of(&dice.hand, SourceState::Unconnected, None),
            1 => gate_of(&dice.hand, SourceState::Dead, Some("1 cpc")),
            2 => gate_of(&dice.hand, SourceState::Live, None),
            _ => gate_of(&dice.hand, SourceState::Dead, None),
        };
    }
    // the hand stays at one terminal more often than it moves on
    let last = visit
        .terminals()
        .filter(|(_, t, _)| open.contains(&t.name))
        .max_by_key(|(at, _, _)| visit.lines_about(*at).last().map_or(0, |line| line.seq.0));
    let name = match last {
        Some((_, terminal, _)) if !dice.one_in(3) => terminal.name.clone(),
        _ => dice.of(&open),
    };
    work_at(visit, dice, &name)
}

/// What comes between: a tool dropped or released, a board that is not as the file says.
fn beside(visit: &Visit, dice: &mut Dice) -> Option<Act> {
    let tool = visit.tools().get(dice.roll(visit.tools().len()))?;
    let id = tool.tool.id.clone();
    if tool.doubted.is_some() && dice.one_in(6) {
        return Some(Act::ReleaseTool { tool: id, by: "the laboratory".into(), why: "three points".into() });
    }
    match dice.roll(60) {
        0 if tool.doubted.is_none() => Some(Act::DoubtTool { tool: id, what: "dropped".into() }),
        1 | 2 => {
            let board = Box::new(edited(visit.board()?, dice));
            let (board_sha256, reason) = ("1".repeat(64), "another make was delivered".to_owned());
            Some(Act::AmendBoard { board, board_sha256, reason })
        }
        _ => None,
    }
}

fn work_at(visit: &Visit, dice: &mut Dice, name: &TerminalName) -> Act {
    let at = visit.find(name).unwrap();
    let standing = visit.standing(at).unwrap();
    if visit.live_source(name).is_some() {
        return aside(name.clone(), AsideWhy::StillLive);
    }
    if let Some(need) = standing.need {
        return meet(visit, dice, name, need);
    }
    let together = dice.one_in(5);
    let conductor = |nth| {
        let all = if together { alike(visit, standing) } else { vec![] };
        if all.is_empty() { vec![visit.conductor_name(at, nth).unwrap()] } else { all }
    };
    let mode = mode(visit, dice);
    match standing.next_step() {
        Some(Step::Prepare(nth)) => {
            let how = dice.of(&Preparation::NAMED);
            Act::Prepare { conductors: conductor(nth), how, aluminium: vec![], mode }
        }
        Some(Step::Enter(nth)) => {
            let enter = Act::Enter { conductors: conductor(nth), fault: None, mode };
            if decide(visit, &dice.hand, &enter).is_err_and(|refusal| refusal == Refusal::TailsGoIn)
                && dice.one_in(2)
            {
                return gate_of(&dice.hand, SourceState::Dead, None);
            }
            let fault = dice.one_in(12).then(|| dice.of(&EntryFault::ALL));
            Act::Enter { conductors: conductor(nth), fault, mode }
        }
        Some(Step::Look) => look(visit, dice, name, mode),
        Some(Step::Check { .. }) => {
            let act = tighten(visit, dice, name, mode);
            tried(visit, dice, name, act)
        }
        Some(Step::Torque { .. }) => tightened(visit, dice, name, (standing.round, mode)),
        Some(Step::Tug(nth) | Step::CheckTug(nth)) => {
            let result = match dice.roll(24) {
                0 | 1 => Tug::Shifted,
                2 => Tug::CameOut,
                3 => Tug::StrandsBroke,
                _ => Tug::Firm,
            };
            let all = visit.terminal(at).unwrap().conductor_names();
            let conductors = if nth == 0 && dice.one_in(3) { all } else { conductor(nth) };
            Act::Tug { conductors, result, mode }
        }
        Some(Step::Mark) => {
            let result =
                dice.of(&[MarkResult::Made, MarkResult::Made, MarkResult::NotVisible, MarkResult::NotUsed]);
            let all: Vec<TerminalName> =
                alike(visit, standing).into_iter().map(|conductor| TerminalName(conductor.0)).collect();
            let terminals = if together && !all.is_empty() { all } else { vec![name.clone()] };
            Act::Mark { terminals, result, mode }
        }
        None => end_a_span(visit, dice).unwrap_or(Act::Close),
    }
}

/// A torque, once more after a wait, or a whole row of it.
fn tightened(visit: &Visit, dice: &mut Dice, name: &TerminalName, (round, mode): (u8, Mode)) -> Act {
    match tighten(visit, dice, name, mode) {
        Act::Torque { terminal, tool, result, mode } if round > 0 && !dice.one_in(20) => {
            let spoke = !matches!(result, TorqueResult::NotClicked { .. });
            let turned = dice.of(&[Turned::Held, Turned::Held, Turned::Moved]);
            Act::Settle { terminal, tool, result, turned: spoke.then_some(turned), mode }
        }
        Act::Torque { tool: Some(tool), result: TorqueResult::Clicked, .. } if dice.one_in(3) => {
            row(visit, dice, name, tool)
        }
        Act::BeginSpan { tool, required, .. } if dice.one_in(4) => match row(visit, dice, name, tool) {
            Act::TorqueRow { terminals, tool, count, mode, .. } => Act::TorqueRow {
                terminals,
                tool,
                scale_after: Some(required),
                count,
                exceptions: Vec::new(),
                mode,
            },
            act => act,
        },
        act => act,
    }
}

/// A row of what is made off in the same attempt under the same maker's value, one now and then left out or
/// miscounted.
fn row(visit: &Visit, dice: &mut Dice, name: &TerminalName, tool: ToolId) -> Act {
    let board = visit.board().unwrap();
    let stated = |terminal| board.torque_row(terminal).map(|row| (&row.stated, &row.source));
    let at = visit.find(name).unwrap();
    let (first, standing) = (visit.terminal(at).unwrap(), visit.standing(at).unwrap());
    let all = visit.terminals().filter(|(_, t, s)| {
        let ready = unfinished(s) && s.need.is_none() && s.round == 0 && visit.live_source(&t.name).is_none();
        let step = (s.attempt, s.next_step()) == (standing.attempt, standing.next_step());
        ready && step && stated(t) == stated(first)
    });
    let mut terminals: Vec<TerminalName> = all.map(|(_, t, _)| t.name.clone()).collect();
    terminals.truncate(2 + dice.roll(4));
    let wrong = u32::from(dice.one_in(6));
    let count = u32::try_from(terminals.len()).unwrap() + wrong;
    let mode =
        if visit.is_rehearsal() { Mode::Rehearsed } else { dice.of(&[Mode::Row, Mode::Row, Mode::Notes]) };
    Act::TorqueRow { terminals, tool, scale_after: None, count, exceptions: Vec::new(), mode }
}

/// Conductors of terminals with one each that wait for the same step in the same attempt.
fn alike(visit: &Visit, standing: &Standing) -> Vec<ConductorName> {
    visit
        .terminals()
        .filter(|(_, t, s)| {
            let workable = unfinished(s) && s.need.is_none() && visit.live_source(&t.name).is_none();
            workable
                && t.conductors.len() == 1
                && (s.attempt, s.round, s.next_step())
                    == (standing.attempt, standing.round, standing.next_step())
        })
        .map(|(_, t, _)| ConductorName(t.name.0.clone()))
        .collect()
}

fn aside(name: TerminalName, why: AsideWhy) -> Act {
    Act::SetAside { terminals: vec![name], why }
}

fn meet(visit: &Visit, dice: &mut Dice, name: &TerminalName, need: Need) -> Act {
    let at = visit.find(name).unwrap();
    let decide_on = |about, strands, choice| Act::Decide {
        terminal: name.clone(),
        about,
        strands,
        choice,
        remark: String::new(),
    };
    let remake = |dice: &mut Dice| {
        let mut conductors = visit.terminal(at).unwrap().conductor_names();
        if conductors.len() > 1 && dice.one_in(2) {
            conductors.remove(0);
        }
        Act::Remake { terminal: name.clone(), conductors, why: "cut back".into() }
    };
    if dice.one_in(5) {
        // impatient: the screw before what has to come first
        let mode = mode(visit, dice);
        return Act::Torque { terminal: name.clone(), tool: None, result: TorqueResult::ByHand, mode };
    }
    match need {
        Need::Strands => match dice.roll(6) {
            0 => decide_on(About::OverTightened, Some(Strands::Cut), DecidedTo::Remake),
            1 => decide_on(About::OverTightened, Some(Strands::Cut), DecidedTo::SetAside),
            2 => decide_on(About::OverTightened, Some(Strands::Sound), DecidedTo::Remake),
            _ => decide_on(About::OverTightened, Some(Strands::Sound), DecidedTo::Keep),
        },
        Need::LookAtScrew { again } => {
            let choice =
                if again { DecidedTo::Again } else { dice.of(&[DecidedTo::Remake, DecidedTo::Replace]) };
            decide_on(About::NotClicked, None, choice)
        }
        Need::Replace => match visit.terminal(at).unwrap().device.clone() {
            Some(device) if dice.one_in(2) => Act::Replace { device, why: "stripped".into() },
            _ => aside(name.clone(), AsideWhy::ReplaceDevice),
        },
        Need::Distributor => aside(name.clone(), AsideWhy::Distributor),
        Need::NoAccess => aside(name.clone(), AsideWhy::NoAccess),
        Need::Remake if dice.one_in(4) => aside(name.clone(), AsideWhy::Other("no more length".into())),
        Need::Remake => remake(dice),
        Need::NoMakersValue => aside(name.clone(), AsideWhy::NoMakersValue),
        Need::Spare => aside(name.clone(), AsideWhy::SpareWay),
    }
}

fn tighten(visit: &Visit, dice: &mut Dice, name: &TerminalName, mode: Mode) -> Act {
    let at = visit.find(name).unwrap();
    let board = visit.board().unwrap();
    let torque = |tool, result| Act::Torque { terminal: name.clone(), tool, result, mode };
    let Some(row) = board.torque_row(visit.terminal(at).unwrap()) else {
        return torque(None, TorqueResult::ByHand);
    };
    if let Some(held) = visit.tools().last().filter(|_| dice.one_in(12)) {
        // whatever lies nearest, fit or not
        return torque(Some(held.tool.id.clone()), TorqueResult::Clicked);
    }
    let able: Vec<(Tool, Torque)> = visit
        .tools()
        .iter()
        .filter_map(|held| Some((held.tool.clone(), setting_for(visit, row, &held.tool).ok()?.0)))
        .collect();
    if able.is_empty() || dice.one_in(25) {
        return torque(None, TorqueResult::ByHand);
    }
    let (tool, required) = dice.of(&able);
    let id = tool.id.clone();
    if dice.one_in(12) {
        let why =
            dice.of(&[NotClicked::Spins, NotClicked::Spins, NotClicked::Stripped, NotClicked::NoAccess]);
        return torque(Some(id), TorqueResult::NotClicked { why });
    }
    if tool.kind == ToolKind::Indicating {
        let by = dice.of(&["0", "0", "0", "0.02", "0.02", "-0.6", "0.9"]);
        let value = (required.value + by.parse::<rust_decimal::Decimal>().unwrap()).normalize();
        let text = value.to_string();
        return torque(Some(id), TorqueResult::Reading { text, value, unit: tool.unit });
    }
    match visit.running_span(&id) {
        Some(span) if span.required == required && Some(span.session) == visit.session() => {
            torque(Some(id), TorqueResult::Clicked)
        }
        Some(span) if !span.fixed => end_span(visit, dice, &id, Some(ScaleNext { required })),
        _ => Act::BeginSpan { tool: id, required, read: required },
    }
}

fn end_span(visit: &Visit, dice: &mut Dice, id: &ToolId, next: Option<ScaleNext>) -> Act {
    let span = visit.spans().iter().rev().find(|span| span.tool == *id && span.is_open()).unwrap();
    let by = |by: &str| {
        let value = span.required.value + by.parse::<rust_decimal::Decimal>().unwrap();
        Torque::new(value.max(rust_decimal::Decimal::ZERO), span.required.unit)
    };
    let reset = EndCause::Reset(Reset { by: "R. Ashdown".into(), why: "for the main switch".into() });
    let (read, cause) = match dice.roll(16) {
        0 => (by("-1"), Some(EndCause::NotKnown)),
        1 => (by("-0.1"), Some(EndCause::NotKnown)),
        2 => (by("1"), Some(EndCause::NotKnown)),
        3 => (by("0.1"), Some(EndCause::NotKnown)),
        4 => (by("1"), Some(reset)),
        5 => return Act::LoseScale { tool: id.clone(), why: "dropped".into() },
        _ => (span.required, None),
    };
    let tool = &visit.tool(id).unwrap().tool;
    let cause = cause.filter(|_| !tool.agrees(&read, &span.required));
    Act::EndSpan { tool: id.clone(), read, cause, next }
}

fn end_a_span(visit: &Visit, dice: &mut Dice) -> Option<Act> {
    let open: Vec<ToolId> = visit.open_spans().map(|span| span.tool.clone()).collect();
    if open.is_empty() { None } else { Some(dice.of(&open)).map(|id| end_span(visit, dice, &id, None)) }
}

fn wind_down(visit: &Visit, dice: &mut Dice) -> Act {
    if dice.one_in(8) {
        // impatient: whatever is still in the way
        return dice.of(&[Act::Sign { person: dice.hand.clone(), capacity: "done by".into() }, Act::Close]);
    }
    if let Some(remark) = visit.power_on().iter().find(|remark| remark.dealt_with.is_none()) {
        let handed_to = dice.one_in(2).then(|| "S. Birch".to_owned());
        let on = RemarkOn::Remark(remark.seq);
        return Act::Remark { on, text: "seen to".into(), before_power_on: false, handed_to };
    }
    if let Some(act) = end_a_span(visit, dice) {
        return act;
    }
    if let Some((_, terminal, _)) = visit.terminals().find(|(_, _, s)| unfinished(s)) {
        let why = if terminal.spare { AsideWhy::SpareWay } else { AsideWhy::Other("another day".into()) };
        return aside(terminal.name.clone(), why);
    }
    let untold = names(visit, |s| s.aside.is_some() && s.told == Informed::NotYet);
    if !untold.is_empty() && !dice.one_in(3) {
        let spare = untold.len() == 1 && untold[0].as_str() == "4 line";
        let whom = (!spare || dice.one_in(2)).then(|| "S. Birch".to_owned());
        return Act::Tell { terminals: untold, whom };
    }
    if let Some(hot) = hot_untold(visit).next().filter(|_| !dice.one_in(3)) {
        return Act::Tell { terminals: vec![hot.clone()], whom: Some("S. Birch".into()) };
    }
    let sign = Act::Sign { person: dice.hand.clone(), capacity: "done by".into() };
    if decide(visit, &dice.hand, &sign).is_err() {
        return last_look(visit, dice);
    }
    if decide(visit, &dice.hand, &Act::Close).is_ok() { Act::Close } else { sign }
}

fn last_look(visit: &Visit, dice: &mut Dice) -> Act {
    let dead = |name: &TerminalName| visit.live_source(name).is_none();
    let wanted: Vec<TerminalName> = visit
        .terminals()
        .filter(|(_, t, s)| t.tail && s.aside.is_none())
        .map(|(_, t, _)| t.name.clone())
        .collect();
    let hand = dice.hand.clone();
    let mut look = |terminal: &TerminalName| TailLook {
        terminal: terminal.clone(),
        tug: match dice.roll(20) {
            0 => Tug::Shifted,
            1 => Tug::CameOut,
            _ => Tug::Firm,
        },
        mark: match dice.roll(12) {
            0 => MarkSeen::Moved,
            1 => MarkSeen::NotUsed,
            _ => MarkSeen::Held,
        },
    };
    let why_not = |why: &str| Act::LastLook {
        tails: vec![],
        why_not: Some(why.into()),
        covers: "back".into(),
        locks_and_tools_out: "out".into(),
        energised_by: None,
    };
    if !wanted.iter().all(dead) {
        return why_not("live");
    }
    if visit.gate(&hand).is_none() {
        return gate_of(&hand, SourceState::Dead, None);
    }
    let tails = wanted.iter().map(&mut look).collect();
    Act::LastLook {
        tails,
        why_not: None,
        covers: "back".into(),
        locks_and_tools_out: "out".into(),
        energised_by: dice.one_in(2).then(|| "R. Ashdown".into()),
    }
}
