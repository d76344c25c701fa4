//! What an audit's own facts must always hold: numbers 16 and 17.
//!
//! 16: a claim, a thermal round, a draw, an answer after a bad one and a code stand in an audit only; the draw comes
//! once, after the claim and before anything is tugged or tried, and nothing is mended.
//! 17: what was drawn is the beginning of the order that its seed gives, nothing is replaced, and a terminal is
//! either always in or of the remainder.

use super::{Broken, holds};
use crate::domain::audit::draw::order;
use crate::domain::names::{Seq, TerminalName};
use crate::domain::record::{Drawn, Fact, VisitKind};
use crate::session::audit::draw_order;
use crate::session::visit::Visit;

/// Walks the lines.
pub(super) fn check(visit: &Visit) -> Result<(), Broken> {
    let audit = visit.kind() == VisitKind::Audit;
    let mut claimed = false;
    let mut drawn: Option<&Drawn> = None;
    let mut drawn_at = Seq(0);
    let mut sample: Vec<&TerminalName> = Vec::new();
    for line in visit.lines() {
        let (seq, kind) = (line.seq, line.fact.kind());
        let own = matches!(
            line.fact,
            Fact::Claim(_) | Fact::Thermal(_) | Fact::Drawn(_) | Fact::Escalated(_) | Fact::Code(_)
        );
        holds(16, audit || !own, || format!("line {seq} is {kind} in no audit"))?;
        if !audit {
            continue;
        }
        match &line.fact {
            Fact::Claim(_) | Fact::Thermal(_) => {
                holds(16, drawn.is_none(), || format!("line {seq} is {kind} after the draw"))?;
                claimed |= kind == "claim";
            }
            Fact::Drawn(draw) => {
                holds(16, claimed && drawn.is_none(), || format!("line {seq} draws too early or again"))?;
                is_of_its_seed(visit, draw, seq)?;
                sample.extend(&draw.terminals);
                drawn = Some(draw);
                drawn_at = seq;
            }
            Fact::Escalated(escalated) => {
                let Some(draw) = drawn else {
                    return holds(16, false, || format!("line {seq} asks for everything before the draw"));
                };
                let added: Vec<&TerminalName> = escalated.terminals.iter().collect();
                let rest = |(remainder, fingers): &(Vec<TerminalName>, Vec<TerminalName>)| {
                    remainder
                        .iter()
                        .chain(fingers)
                        .filter(|name| !sample.contains(name))
                        .eq(added.iter().copied())
                };
                let fits = if escalated.yes {
                    orders(visit, draw, drawn_at).iter().any(rest)
                } else {
                    added.is_empty()
                };
                holds(17, fits, || format!("line {seq} adds other terminals than those left"))?;
                sample.extend(&escalated.terminals);
            }
            Fact::Tugged(_) | Fact::Movement(_) => {
                holds(16, drawn.is_some(), || format!("line {seq} is {kind} before the draw"))?;
            }
            Fact::Prepared(_)
            | Fact::Entered(_)
            | Fact::Torqued(_)
            | Fact::Marked(_)
            | Fact::Remade(_)
            | Fact::Replaced(_)
            | Fact::SettleReady(_) => {
                holds(16, false, || format!("line {seq} is {kind}: an audit mends nothing"))?;
            }
            _ => {}
        }
    }
    Ok(())
}

/// The orders that a seed gives. Kept records were drawn from the whole remainder under every plan, and from no fingers.
fn orders(visit: &Visit, draw: &Drawn, seq: Seq) -> Vec<(Vec<TerminalName>, Vec<TerminalName>)> {
    let now = visit.board_before(seq).zip(visit.audit().claimed());
    let now = now.map(|(board, claimed)| draw_order(board, claimed, &draw.seed, &draw.remainder));
    now.into_iter().chain([(order(&draw.seed, &draw.remainder), Vec::new())]).collect()
}

fn is_of_its_seed(visit: &Visit, draw: &Drawn, seq: Seq) -> Result<(), Broken> {
    let (of_remainder, fingers) = (draw.of_remainder().count(), draw.fingers().count());
    let first = orders(visit, draw, seq).iter().any(|(remainder, others)| {
        remainder.iter().take(of_remainder).chain(others.iter().take(fingers)).eq(&draw.terminals)
    });
    holds(17, first, || format!("line {seq} draws others than its seed does"))?;
    let both = draw.always_in.iter().find(|entry| draw.remainder.contains(&entry.terminal));
    holds(17, both.is_none(), || format!("line {seq} has a terminal always in and in the remainder"))
}
