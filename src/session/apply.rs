//! The fold. Total: whatever a line says, it is taken in; nothing is refused.

use super::derive::derive;
use super::index::NameIndex;
use super::put_right::put_right;
use super::span::{Span, SpanEnd};
use super::visit::{Ended, PowerOnRemark, SessionMark, TerminalIndex, ToolInHand, Visit};
use crate::domain::board::Board;
use crate::domain::exact::Exact;
use crate::domain::names::{ConductorName, Seq, TerminalName, ToolId};
use crate::domain::record::{
    BoardAmended, Corrected, Fact, Line, Opened, Remark, RemarkOn, Scale, ScaleAt, ScaleUnread, Thermal,
};
use crate::domain::tool::ToolKind;

/// Takes one confirmed line in.
#[must_use]
pub fn apply(mut visit: Visit, line: &Line) -> Visit {
    let touched = take(&mut visit, line);
    settle_standings(&mut visit, touched);
    visit
}

/// Folds a whole record, as [`apply`] does line by line. Where terminals stand follows from the lines alone, so it
/// is worked out once, when all of them are there.
#[must_use]
pub fn replay(lines: &[Line]) -> Visit {
    let mut visit = Visit::empty();
    visit.lines.reserve(lines.len());
    for line in lines {
        let _at_the_end = take(&mut visit, line);
    }
    settle_standings(&mut visit, Touched::All);
    visit
}

fn take(visit: &mut Visit, line: &Line) -> Touched {
    let at = visit.lines.len();
    visit.lines.push(line.clone());
    take_in(visit, at, line)
}

/// Which standings have to be derived again.
enum Touched {
    None,
    Some(Vec<TerminalIndex>),
    All,
}

fn settle_standings(visit: &mut Visit, touched: Touched) {
    let again: Vec<TerminalIndex> = match touched {
        Touched::None => return,
        Touched::Some(list) => list,
        Touched::All => (0..visit.lines_of.len()).map(TerminalIndex).collect(),
    };
    for index in again {
        if let Some(standing) = derive(visit, index) {
            match visit.standings.get_mut(index.0) {
                Some(slot) => *slot = standing,
                None => visit.standings.push(standing),
            }
        }
    }
}

fn take_in(visit: &mut Visit, at: usize, line: &Line) -> Touched {
    let seq = line.seq;
    match &line.fact {
        Fact::Opened(opened) => return take_opened(visit, opened),
        Fact::BoardAmended(amended) => return take_board(visit, amended),
        Fact::Corrected(corrected) => return take_correction(visit, corrected),
        Fact::Scale(scale) => {
            take_scale(visit, seq, scale);
            return about(visit, at, &span_terminals(visit, &scale.span));
        }
        Fact::ScaleUnread(unread) => {
            take_unread(visit, seq, unread);
            return about(visit, at, &span_terminals(visit, &unread.span));
        }
        Fact::Session(session) => visit.sessions.push(SessionMark { seq, cause: session.cause }),
        Fact::Person(person) => visit.persons.push(person.clone()),
        Fact::Tool(tool) => {
            visit.tools.push(ToolInHand { tool: (**tool).clone(), doubted: None, put_right: false });
            visit.work_out_able(Some(&tool.id));
        }
        Fact::Gates(gates) => visit.gates.push((seq, gates.clone())),
        Fact::Route(route) => visit.route = Some(route.order),
        // which steps a terminal has follows from these
        fact @ (Fact::Claim(_) | Fact::Drawn(_) | Fact::Escalated(_) | Fact::Thermal(_) | Fact::Code(_)) => {
            visit.audit.take(seq, fact);
            let _named = about(visit, at, &named(visit, fact));
            return Touched::All;
        }
        Fact::Scope(scope) => {
            visit.scope = Some((seq, (**scope).clone()));
            let _named = about(visit, at, &named(visit, &line.fact));
            return Touched::All;
        }
        Fact::ToolDoubted(doubted) => return take_doubt(visit, &doubted.tool, Some(seq)),
        Fact::ToolReleased(released) => return take_doubt(visit, &released.tool, None),
        Fact::Remark(remark) => {
            take_remark(visit, seq, remark);
            if let RemarkOn::Terminal(name) = &remark.on {
                return about(visit, at, std::slice::from_ref(name));
            }
        }
        Fact::LastLook(look) => {
            visit.last_look = Some((seq, look.clone()));
            return about(visit, at, &named(visit, &line.fact));
        }
        Fact::Signed(_) => visit.signed.push(seq),
        Fact::Abandoned(_) => visit.ended = Some(Ended::Abandoned(seq)),
        Fact::Closed(_) => visit.ended = Some(Ended::Closed(seq)),
        Fact::Torqued(_) | Fact::Movement(_) => {
            take_operations(visit, &line.fact);
            return about(visit, at, &named(visit, &line.fact));
        }
        Fact::Looked(_)
        | Fact::Prepared(_)
        | Fact::Entered(_)
        | Fact::Tugged(_)
        | Fact::Marked(_)
        | Fact::Decided(_)
        | Fact::SettleReady(_)
        | Fact::SettleWaived(_)
        | Fact::Disturbed(_)
        | Fact::Remade(_)
        | Fact::Replaced(_)
        | Fact::SetAside(_)
        | Fact::Told(_)
        | Fact::TakenUp(_) => return about(visit, at, &named(visit, &line.fact)),
    }
    Touched::None
}

/// Terminals a fact names, through its conductors where it names those.
pub(super) fn named(visit: &Visit, fact: &Fact) -> Vec<TerminalName> {
    let through = |conductors: &[ConductorName]| {
        let mut names: Vec<TerminalName> = Vec::new();
        for (index, _) in conductors.iter().filter_map(|name| visit.find_conductor(name)) {
            if let Some(terminal) = visit.terminal(index)
                && !names.contains(&terminal.name)
            {
                names.push(terminal.name.clone());
            }
        }
        names
    };
    match fact {
        Fact::Thermal(Thermal::Reading(f)) => vec![f.terminal.clone()],
        Fact::Code(f) => vec![f.terminal.clone()],
        Fact::Scope(f) => f.terminals.iter().map(|entry| entry.terminal.clone()).collect(),
        Fact::Looked(f) => f.terminals.clone(),
        Fact::Movement(f) => vec![f.terminal.clone()],
        Fact::Prepared(f) => through(&f.conductors),
        Fact::Entered(f) => through(&f.conductors),
        Fact::Tugged(f) => through(&f.conductors),
        Fact::Torqued(f) => f.terminals.clone(),
        Fact::Marked(f) => f.terminals.clone(),
        Fact::Disturbed(f) => f.terminals.clone(),
        Fact::Replaced(f) => f.terminals.clone(),
        Fact::SetAside(f) => f.terminals.clone(),
        Fact::Told(f) => f.terminals.clone(),
        Fact::TakenUp(f) => f.terminals.clone(),
        Fact::Decided(f) => vec![f.terminal.clone()],
        Fact::SettleReady(f) => vec![f.terminal.clone()],
        Fact::SettleWaived(f) => vec![f.terminal.clone()],
        Fact::Remade(f) => vec![f.terminal.clone()],
        Fact::LastLook(f) => f.tails.iter().map(|tail| tail.terminal.clone()).collect(),
        Fact::Remark(Remark { on: RemarkOn::Terminal(name), .. }) => vec![name.clone()],
        Fact::Claim(_)
        | Fact::Thermal(_)
        | Fact::Drawn(_)
        | Fact::Escalated(_)
        | Fact::Opened(_)
        | Fact::Session(_)
        | Fact::Person(_)
        | Fact::Tool(_)
        | Fact::Gates(_)
        | Fact::Route(_)
        | Fact::BoardAmended(_)
        | Fact::Scale(_)
        | Fact::ScaleUnread(_)
        | Fact::ToolDoubted(_)
        | Fact::ToolReleased(_)
        | Fact::Remark(_)
        | Fact::Corrected(_)
        | Fact::Signed(_)
        | Fact::Abandoned(_)
        | Fact::Closed(_) => Vec::new(),
    }
}

fn about(visit: &mut Visit, at: usize, names: &[TerminalName]) -> Touched {
    let touched: Vec<TerminalIndex> = names.iter().filter_map(|name| visit.find(name)).collect();
    for index in &touched {
        if let Some(lines) = visit.lines_of.get_mut(index.0)
            && lines.last() != Some(&at)
        {
            lines.push(at);
        }
    }
    Touched::Some(touched)
}

fn take_opened(visit: &mut Visit, opened: &Opened) -> Touched {
    visit.names = NameIndex::of(&opened.board);
    visit.aims_nm = aims_nm(&opened.board);
    visit.lines_of = vec![Vec::new(); opened.board.terminals.len()];
    visit.persons.push(opened.person.clone());
    visit.opened = Some(Box::new(opened.clone()));
    Touched::All
}

/// What every terminal's maker aims at: worked out once a board, because the route asks for all of them at every key.
fn aims_nm(board: &Board) -> Vec<Option<Exact>> {
    let aim = |terminal| Some(board.torque_row(terminal)?.stated.aim().exact_nm());
    board.terminals.iter().map(aim).collect()
}

fn take_board(visit: &mut Visit, amended: &BoardAmended) -> Touched {
    let Some(opened) = visit.opened.as_mut() else { return Touched::None };
    opened.board = amended.board.clone();
    visit.names = NameIndex::of(&amended.board);
    visit.aims_nm = aims_nm(&amended.board);
    visit.lines_of = vec![Vec::new(); amended.board.terminals.len()];
    visit.standings.clear();
    visit.work_out_able(None);
    for at in 0..visit.lines.len() {
        let Some(line) = visit.lines.get(at) else { continue };
        let names = match &line.fact {
            Fact::Scale(scale) => span_terminals(visit, &scale.span),
            Fact::ScaleUnread(unread) => span_terminals(visit, &unread.span),
            Fact::BoardAmended(earlier) => earlier.reopened.clone(),
            other => named(visit, other),
        };
        about(visit, at, &names);
    }
    Touched::All
}

fn take_correction(visit: &mut Visit, corrected: &Corrected) -> Touched {
    put_right(visit, corrected);
    Touched::All
}

/// Terminals that were tightened or tried within a span, in the order in which that happened.
fn span_terminals(visit: &Visit, span: &crate::domain::names::SpanId) -> Vec<TerminalName> {
    let mut names: Vec<TerminalName> = Vec::new();
    for line in &visit.lines {
        let within = match &line.fact {
            Fact::Torqued(f) if f.span.as_ref() == Some(span) => f.terminals.as_slice(),
            Fact::Movement(f) if f.span.as_ref() == Some(span) => std::slice::from_ref(&f.terminal),
            _ => &[],
        };
        for name in within {
            if !names.contains(name) {
                names.push(name.clone());
            }
        }
    }
    names
}

pub(super) fn take_scale(visit: &mut Visit, seq: Seq, scale: &Scale) {
    let fixed = visit.tool(&scale.tool).is_some_and(|held| held.tool.kind == ToolKind::Fixed);
    let session = visit.session().unwrap_or(Seq(0));
    let known = visit.spans.iter_mut().find(|span| span.id == scale.span);
    match (scale.at, known) {
        (ScaleAt::Start, Some(span)) => {
            span.start = scale.read;
            span.required = scale.required;
            span.start_agrees = scale.agrees;
        }
        (at @ (ScaleAt::Start | ScaleAt::AfterWork), None) => {
            let after_work = at == ScaleAt::AfterWork;
            let both = fixed || after_work;
            visit.spans.push(Span {
                id: scale.span.clone(),
                tool: scale.tool.clone(),
                required: scale.required,
                start: scale.read,
                start_seq: seq,
                start_agrees: scale.agrees,
                end: both.then_some(scale.read),
                end_seq: both.then_some(seq),
                ended: if both { SpanEnd::Agreed } else { SpanEnd::Open },
                session,
                after_work,
                fixed,
            });
        }
        (at @ (ScaleAt::End | ScaleAt::AfterWork), Some(span)) => {
            // Read once, it serves as both ends: put right, it holds for the start as well.
            if at == ScaleAt::AfterWork {
                span.start = scale.read;
                span.start_agrees = scale.agrees;
            }
            span.end = Some(scale.read);
            span.end_seq = Some(seq);
            span.ended = match (&scale.reset, scale.agrees) {
                (_, true) => SpanEnd::Agreed,
                (Some(reset), false) => SpanEnd::Reset(reset.clone()),
                (None, false) => Span::disagreeing(&scale.read, &span.required),
            };
        }
        (ScaleAt::End, None) => {}
    }
}

/// A screw that is tried costs the tool as much as one that is tightened.
fn take_operations(visit: &mut Visit, fact: &Fact) {
    let (serial, more) = match fact {
        Fact::Torqued(f) => (f.serial.as_ref(), f.operations()),
        Fact::Movement(f) => (Some(&f.serial), 1),
        _ => return,
    };
    let Some(serial) = serial else { return };
    match visit.operations.iter_mut().find(|(known, _)| known == serial) {
        Some((_, count)) => *count = count.saturating_add(more),
        None => visit.operations.push((serial.to_owned(), more)),
    }
}

fn take_doubt(visit: &mut Visit, tool: &ToolId, doubted: Option<Seq>) -> Touched {
    if let Some(held) = visit.tools.iter_mut().find(|held| held.tool.id == *tool) {
        held.doubted = doubted;
    }
    Touched::All
}

fn take_unread(visit: &mut Visit, seq: Seq, unread: &ScaleUnread) {
    if let Some(span) = visit.spans.iter_mut().find(|span| span.id == unread.span) {
        span.end_seq = Some(seq);
        span.ended = SpanEnd::Unread(unread.why.clone());
    }
}

fn take_remark(visit: &mut Visit, seq: Seq, remark: &Remark) {
    if remark.before_power_on {
        visit.power_on.push(PowerOnRemark {
            seq,
            on: remark.on.clone(),
            text: remark.text.clone(),
            dealt_with: None,
            handed_to: None,
        });
    }
    if let RemarkOn::Remark(earlier) = remark.on
        && let Some(open) = visit.power_on.iter_mut().find(|open| open.seq == earlier)
    {
        open.dealt_with = Some(seq);
        open.handed_to.clone_from(&remark.handed_to);
    }
}
