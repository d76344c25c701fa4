//! The record from its first line to its last, each fact judged by what stood before it: numbers 1, 5, 6, 7, 10,
//! 12 and 13. Slips are looked at where they stand: a corrected gate or scale holds from the correction on.

use super::super::visit::Visit;
use super::scope::said_before;
use super::{Broken, holds};
use crate::domain::names::{PersonId, Seq, SpanId, TerminalName, ToolId};
use crate::domain::record::{
    Attempt, Fact, Gates, Line, Mode, RemarkOn, Scale, ScaleAt, SourceState, TorqueResult, Torqued,
};
use crate::domain::tool::ToolKind;
use crate::domain::torque::Torque;
use std::collections::{HashMap, HashSet};

struct SpanSeen {
    tool: ToolId,
    required: Torque,
    start: Seq,
    session: Seq,
    end: Option<Seq>,
}

/// What is known after some lines.
struct Seen<'a> {
    visit: &'a Visit,
    persons: HashSet<PersonId>,
    tools: HashMap<ToolId, ToolKind>,
    /// Since which line a tool is doubted, and until which.
    doubted: Vec<(ToolId, Seq, Option<Seq>)>,
    spans: HashMap<SpanId, SpanSeen>,
    session: Option<Seq>,
    gates: Vec<(Seq, Gates)>,
    attempts: HashMap<TerminalName, Attempt>,
}

/// Walks the lines.
pub(super) fn check(visit: &Visit) -> Result<(), Broken> {
    let mut seen = Seen {
        visit,
        persons: HashSet::new(),
        tools: HashMap::new(),
        doubted: Vec::new(),
        spans: HashMap::new(),
        session: None,
        gates: Vec::new(),
        attempts: HashMap::new(),
    };
    let last = visit.lines().len();
    for (at, line) in visit.lines().iter().enumerate() {
        frame(line, at, last)?;
        persons(&mut seen, line)?;
        modes(&seen, line.seq, &line.fact)?;
        contact(&seen, line)?;
        attempts(&mut seen, line)?;
        referred(&seen, line)?;
        tools(&mut seen, line)?;
        gates(&mut seen, line);
    }
    Ok(())
}

fn frame(line: &Line, at: usize, last: usize) -> Result<(), Broken> {
    let seq = line.seq;
    let expected = u64::try_from(at).unwrap_or(u64::MAX).saturating_add(1);
    holds(1, seq.0 == expected, || format!("line {expected} has the number {seq}"))?;
    let opens = matches!(line.fact, Fact::Opened(_));
    holds(1, opens == (at == 0), || format!("line {seq} is {}", line.fact.kind()))?;
    let ends = matches!(line.fact, Fact::Closed(_) | Fact::Abandoned(_));
    let is_last = at.saturating_add(1) == last;
    holds(1, !ends || is_last, || format!("lines stand after {} in line {seq}", line.fact.kind()))
}

fn persons(seen: &mut Seen<'_>, line: &Line) -> Result<(), Broken> {
    match &line.fact {
        Fact::Opened(opened) => {
            seen.persons.insert(opened.person.id.clone());
        }
        Fact::Person(person) => {
            seen.persons.insert(person.id.clone());
        }
        _ => {}
    }
    for id in [&line.who, &line.writer] {
        holds(10, seen.persons.contains(id), || format!("line {} names the unknown person {id}", line.seq))?;
    }
    Ok(())
}

fn mode_of(fact: &Fact) -> Option<Mode> {
    match fact {
        Fact::Looked(fact) => Some(fact.mode),
        Fact::Movement(fact) => Some(fact.mode),
        Fact::Prepared(fact) => Some(fact.mode),
        Fact::Entered(fact) => Some(fact.mode),
        Fact::Torqued(fact) => Some(fact.mode),
        Fact::Tugged(fact) => Some(fact.mode),
        Fact::Marked(fact) => Some(fact.mode),
        _ => None,
    }
}

fn modes(seen: &Seen<'_>, seq: Seq, fact: &Fact) -> Result<(), Broken> {
    if let Fact::Corrected(corrected) = fact {
        return modes(seen, seq, &corrected.fact);
    }
    let rehearsal = seen.visit.is_rehearsal();
    let good = mode_of(fact).is_none_or(|mode| (mode == Mode::Rehearsed) == rehearsal);
    holds(12, good, || format!("line {seq} is {:?} in a visit with rehearsal {rehearsal}", mode_of(fact)))
}

/// Terminals a fact touches, where it is a fact of contact.
fn touched(seen: &Seen<'_>, fact: &Fact) -> Option<Vec<TerminalName>> {
    let of_conductors = |names: &[crate::domain::names::ConductorName]| {
        let found = names.iter().filter_map(|name| seen.visit.find_conductor(name));
        found.filter_map(|(at, _)| Some(seen.visit.terminal(at)?.name.clone())).collect()
    };
    match fact {
        Fact::Looked(fact) if fact.untouched.is_none() => Some(fact.terminals.clone()),
        Fact::Movement(fact) => Some(vec![fact.terminal.clone()]),
        Fact::Prepared(fact) => Some(of_conductors(&fact.conductors)),
        Fact::Entered(fact) => Some(of_conductors(&fact.conductors)),
        Fact::Torqued(fact) => Some(fact.terminals.clone()),
        Fact::Tugged(fact) => Some(of_conductors(&fact.conductors)),
        Fact::Marked(fact) => Some(fact.terminals.clone()),
        Fact::Remade(fact) => Some(vec![fact.terminal.clone()]),
        Fact::Replaced(fact) => Some(fact.terminals.clone()),
        Fact::Decided(fact) if fact.strands.is_some() => Some(vec![fact.terminal.clone()]),
        Fact::LastLook(fact) if !fact.tails.is_empty() => {
            Some(fact.tails.iter().map(|tail| tail.terminal.clone()).collect())
        }
        _ => None,
    }
}

fn contact(seen: &Seen<'_>, line: &Line) -> Result<(), Broken> {
    let Some(terminals) = touched(seen, &line.fact) else { return Ok(()) };
    let (seq, kind) = (line.seq, line.fact.kind());
    let answered = seen.gates.iter().any(|(_, gates)| gates.person == line.who);
    holds(6, answered, || format!("line {seq}: {kind} before {} answered a gate of its session", line.who))?;
    let Some((_, gates)) = seen.gates.last() else { return Ok(()) };
    let fed: HashSet<&TerminalName> = gates
        .sources
        .iter()
        .filter(|source| source.state == SourceState::Live)
        .flat_map(|source| &source.feeds)
        .collect();
    for name in &terminals {
        holds(6, !fed.contains(name), || format!("line {seq}: {kind} at {name}, which is live"))?;
    }
    Ok(())
}

fn attempts(seen: &mut Seen<'_>, line: &Line) -> Result<(), Broken> {
    let seq = line.seq;
    let now =
        |seen: &Seen<'_>, name: &TerminalName| seen.attempts.get(name).copied().unwrap_or(Attempt::FIRST);
    let begins = |seen: &mut Seen<'_>, name: &TerminalName, attempt: Attempt| {
        let next = now(seen, name).next();
        seen.attempts.insert(name.clone(), attempt);
        holds(7, attempt == next, || {
            format!("line {seq} begins attempt {} at {name} after {}", attempt.0, next.0.saturating_sub(1))
        })
    };
    match &line.fact {
        Fact::Scope(scope) => {
            for entry in &scope.terminals {
                let name = &entry.terminal;
                let worked = said_before(seen.visit.lines(), seq, name);
                let kept = seen.attempts.get(name).copied().filter(|_| worked);
                holds(7, kept.is_none_or(|at| at >= entry.attempt), || {
                    format!("line {seq} puts {name} back to an earlier attempt")
                })?;
                seen.attempts.insert(name.clone(), kept.unwrap_or(entry.attempt));
            }
        }
        Fact::Remade(remade) => begins(seen, &remade.terminal, remade.attempt)?,
        Fact::Replaced(replaced) => {
            let same = replaced.terminals.len() == replaced.attempts.len();
            holds(7, same, || format!("line {seq} names not one attempt a terminal"))?;
            for (name, attempt) in replaced.terminals.iter().zip(&replaced.attempts) {
                begins(seen, name, *attempt)?;
            }
        }
        fact => {
            let Some(attempt) = attempt_of(fact) else { return Ok(()) };
            for name in touched(seen, fact).unwrap_or_default() {
                let current = now(seen, &name);
                holds(7, attempt == current, || {
                    format!("line {seq} is of attempt {} at {name}, which is at {}", attempt.0, current.0)
                })?;
            }
        }
    }
    Ok(())
}

/// The attempt a step fact says it belongs to.
pub(super) fn attempt_of(fact: &Fact) -> Option<Attempt> {
    match fact {
        Fact::Looked(fact) => Some(fact.attempt),
        Fact::Movement(fact) => Some(fact.attempt),
        Fact::Prepared(fact) => Some(fact.attempt),
        Fact::Entered(fact) => Some(fact.attempt),
        Fact::Torqued(fact) => Some(fact.attempt),
        Fact::Tugged(fact) => Some(fact.attempt),
        Fact::Marked(fact) => Some(fact.attempt),
        _ => None,
    }
}

fn referred(seen: &Seen<'_>, line: &Line) -> Result<(), Broken> {
    let seq = line.seq;
    let earlier = |named: Seq| {
        holds(10, named.0 >= 1 && named < seq, || {
            format!("line {seq} refers to line {named}, not an earlier one")
        })
    };
    match &line.fact {
        Fact::Gates(gates) => {
            let id = &gates.person;
            holds(10, seen.persons.contains(id), || format!("line {seq}: gate of the unknown person {id}"))
        }
        Fact::Signed(signed) => {
            let id = &signed.person;
            holds(10, seen.persons.contains(id), || {
                format!("line {seq}: signature of the unknown person {id}")
            })
        }
        Fact::Remark(remark) => match &remark.on {
            RemarkOn::Remark(named) => {
                earlier(*named)?;
                let target = seen.visit.line(*named).map_or("nothing", |line| line.fact.kind());
                holds(10, target == "remark", || format!("line {seq} is a remark on {target}"))
            }
            RemarkOn::Board | RemarkOn::Terminal(_) => Ok(()),
        },
        Fact::Corrected(corrected) => {
            earlier(corrected.seq)?;
            let Some(target) = seen.visit.line(corrected.seq) else { return Ok(()) };
            let same = target.fact.kind() == corrected.fact.kind();
            holds(10, same, || {
                let (was, is) = (target.fact.kind(), corrected.fact.kind());
                format!("line {seq} corrects {was} by {is}")
            })?;
            let (was, is) = (touched(seen, &target.fact), touched(seen, &corrected.fact));
            holds(10, was == is, || format!("line {seq} corrects {was:?} by {is:?}"))
        }
        _ => Ok(()),
    }
}

fn tools(seen: &mut Seen<'_>, line: &Line) -> Result<(), Broken> {
    let seq = line.seq;
    match &line.fact {
        Fact::Session(_) => seen.session = Some(seq),
        Fact::Tool(tool) => {
            seen.tools.insert(tool.id.clone(), tool.kind);
        }
        Fact::ToolDoubted(fact) => {
            known_tool(seen, seq, &fact.tool)?;
            seen.doubted.push((fact.tool.clone(), seq, None));
        }
        Fact::ToolReleased(fact) => {
            known_tool(seen, seq, &fact.tool)?;
            for (_, _, until) in seen.doubted.iter_mut().filter(|(tool, _, _)| *tool == fact.tool) {
                until.get_or_insert(seq);
            }
        }
        Fact::Scale(scale) => read(seen, seq, scale)?,
        Fact::ScaleUnread(fact) => {
            known_tool(seen, seq, &fact.tool)?;
            end(seen, seq, &fact.span)?;
        }
        Fact::Torqued(torqued) => tightened(seen, seq, torqued)?,
        Fact::Corrected(corrected) => match &corrected.fact {
            Fact::Torqued(torqued) => tightened(seen, corrected.seq, torqued)?,
            Fact::Tool(tool) => {
                seen.tools.insert(tool.id.clone(), tool.kind);
            }
            _ => {}
        },
        _ => {}
    }
    Ok(())
}

fn known_tool(seen: &Seen<'_>, seq: Seq, tool: &ToolId) -> Result<ToolKind, Broken> {
    let what = || Broken { number: 10, what: format!("line {seq} names the unknown tool {tool}") };
    seen.tools.get(tool).copied().ok_or_else(what)
}

fn read(seen: &mut Seen<'_>, seq: Seq, scale: &Scale) -> Result<(), Broken> {
    let kind = known_tool(seen, seq, &scale.tool)?;
    match scale.at {
        ScaleAt::End => end(seen, seq, &scale.span),
        ScaleAt::Start | ScaleAt::AfterWork => {
            let is_new = !seen.spans.contains_key(&scale.span);
            holds(5, is_new, || format!("line {seq} begins span {} again", scale.span))?;
            let open = seen.spans.values().any(|span| span.tool == scale.tool && span.end.is_none());
            holds(5, kind == ToolKind::Fixed || !open, || {
                format!("line {seq} begins a second open span of tool {}", scale.tool)
            })?;
            holds(5, scale.agrees, || format!("line {seq} begins a span although the scale disagrees"))?;
            let session = seen.session.unwrap_or(Seq(0));
            let (tool, required) = (scale.tool.clone(), scale.required);
            // a fixed tool is read once; a scale read only after the work covers the one line that tells the work
            let end = (scale.at == ScaleAt::AfterWork).then(|| seq.next().next());
            seen.spans.insert(scale.span.clone(), SpanSeen { tool, required, start: seq, session, end });
            Ok(())
        }
    }
}

fn end(seen: &mut Seen<'_>, seq: Seq, id: &SpanId) -> Result<(), Broken> {
    let Some(span) = seen.spans.get_mut(id) else {
        return Err(Broken { number: 10, what: format!("line {seq} ends the unknown span {id}") });
    };
    let was_open = span.end.is_none();
    span.end.get_or_insert(seq);
    holds(5, was_open, || format!("line {seq} ends span {id} a second time"))
}

fn tightened(seen: &Seen<'_>, seq: Seq, torqued: &Torqued) -> Result<(), Broken> {
    let Some(tool) = &torqued.tool else {
        let by_hand = matches!(torqued.result, TorqueResult::ByHand | TorqueResult::NotClicked { .. });
        let bare = by_hand && torqued.span.is_none();
        return holds(5, bare, || format!("line {seq} is no tightening by hand and names no tool"));
    };
    let kind = known_tool(seen, seq, tool)?;
    let doubted = seen
        .doubted
        .iter()
        .any(|(of, since, until)| of == tool && *since < seq && until.is_none_or(|until| until > seq));
    holds(13, !doubted, || format!("line {seq} is tightened with the doubted tool {tool}"))?;
    let Some(id) = &torqued.span else {
        return holds(5, kind == ToolKind::Indicating, || format!("line {seq}: tool {tool} without a span"));
    };
    let Some(span) = seen.spans.get(id) else {
        return Err(Broken { number: 10, what: format!("line {seq} names the unknown span {id}") });
    };
    holds(5, span.tool == *tool, || format!("line {seq}: span {id} is not of tool {tool}"))?;
    let open = span.start < seq && span.end.is_none_or(|end| end > seq);
    holds(5, open, || format!("line {seq}: span {id} is not open there"))?;
    let required = torqued.required.is_some_and(|required| same(&required, &span.required));
    holds(5, required, || format!("line {seq}: span {id} is of another setting"))?;
    let session = seen.visit.sessions().iter().rev().find(|mark| mark.seq < seq).map(|mark| mark.seq);
    holds(6, session == Some(span.session), || format!("line {seq}: span {id} is of an earlier session"))
}

/// The same torque; the exact comparison only where the units differ, because this runs after every step.
fn same(one: &Torque, other: &Torque) -> bool {
    if one.unit == other.unit { one.value == other.value } else { one == other }
}

fn gates(seen: &mut Seen<'_>, line: &Line) {
    match &line.fact {
        Fact::Session(_) => seen.gates.clear(),
        Fact::Gates(gates) => seen.gates.push((line.seq, gates.clone())),
        Fact::Corrected(corrected) => {
            if let Fact::Gates(gates) = &corrected.fact
                && let Some(slot) = seen.gates.iter_mut().find(|(seq, _)| *seq == corrected.seq)
            {
                slot.1 = gates.clone();
            }
        }
        _ => {}
    }
}
