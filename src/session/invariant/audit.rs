//! What an audit's own facts must always hold: numbers 16 and 17.
//!
//! 16: a claim, a thermal round, a draw, an answer after a bad one and a code stand in an audit only; the draw comes
//! once, after the claim and before anything is tugged or tried, and nothing is mended.
//! 17: what was drawn is the beginning of the order that its seed gives, nothing is replaced, and a terminal is
//! either always in or of the remainder.

use super::{Broken, holds};
use crate::domain::audit::draw::order;
use crate::domain::names::TerminalName;
use crate::domain::record::{Drawn, Fact, VisitKind};
use crate::session::visit::Visit;

/// Walks the lines.
pub(super) fn check(visit: &Visit) -> Result<(), Broken> {
    let audit = visit.kind() == VisitKind::Audit;
    let mut claimed = false;
    let mut drawn: Option<&Drawn> = None;
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
                is_of_its_seed(draw, seq.0)?;
                sample.extend(&draw.terminals);
                drawn = Some(draw);
            }
            Fact::Escalated(escalated) => {
                let Some(draw) = drawn else {
                    return holds(16, false, || format!("line {seq} asks for everything before the draw"));
                };
                let rest = order(&draw.seed, &draw.remainder);
                let rest: Vec<&TerminalName> = rest.iter().filter(|name| !sample.contains(name)).collect();
                let added: Vec<&TerminalName> = escalated.terminals.iter().collect();
                let fits = if escalated.yes { added == rest } else { added.is_empty() };
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

fn is_of_its_seed(draw: &Drawn, seq: u64) -> Result<(), Broken> {
    let order = order(&draw.seed, &draw.remainder);
    let first = order.iter().take(draw.terminals.len()).eq(&draw.terminals);
    holds(17, first, || format!("line {seq} draws others than its seed does"))?;
    let both = draw.always_in.iter().find(|entry| draw.remainder.contains(&entry.terminal));
    holds(17, both.is_none(), || format!("line {seq} has a terminal always in and in the remainder"))
}
