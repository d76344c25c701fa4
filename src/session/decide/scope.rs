//! Rules of the scope of a revisit.

use super::{Facts, text};
use crate::domain::record::{Attempt, Fact, Happened, Scope, VisitKind};
use crate::domain::text::{NAME_COLUMNS, checked};
use crate::session::refusal::Refusal;
use crate::session::steps::steps_of;
use crate::session::visit::Visit;

/// A scope names terminals of the board that something is clamped in, each once. It may grow, and lose what was not
/// worked at; how a terminal that is in it already was disturbed does not change any more.
pub(super) fn set_scope(visit: &Visit, scope: &Scope) -> Facts {
    if visit.kind() != VisitKind::Revisit {
        return Err(Refusal::ChoiceNotPossible("only a revisit has a scope"));
    }
    let board = visit.board().ok_or(Refusal::NotOpened)?;
    if scope.terminals.is_empty() {
        return Err(Refusal::NothingNamed);
    }
    let mut scope = scope.clone();
    for entry in &scope.terminals {
        let name = &entry.terminal;
        let terminal = board.terminal(name).ok_or_else(|| Refusal::Unknown("terminal", name.0.clone()))?;
        if board.clamp(terminal).is_none_or(|clamp| steps_of(terminal, clamp).is_empty()) {
            return Err(Refusal::SpareWay(name.clone()));
        }
        if scope.terminals.iter().filter(|other| other.terminal == *name).count() > 1 {
            return Err(Refusal::NotTogether);
        }
        if entry.attempt < Attempt::FIRST {
            return Err(Refusal::BadQuantity("attempts are counted from 1".into()));
        }
    }
    kept(visit, &scope)?;
    scope.terminals.sort_by_key(|entry| visit.find(&entry.terminal));
    if let Happened::Other(words) = &scope.happened {
        scope.happened = Happened::Other(text("what happened", words)?);
    }
    if let Some(by) = &scope.by {
        let by = checked(by, NAME_COLUMNS);
        scope.by = Some(by.map_err(|bad| Refusal::BadText(format!("by whom: {}", bad.reason())))?);
    }
    for dropped in &mut scope.dropped {
        if board.terminal(&dropped.terminal).is_none() {
            return Err(Refusal::Unknown("terminal", dropped.terminal.0.clone()));
        }
        if scope.terminals.iter().any(|entry| entry.terminal == dropped.terminal) {
            return Err(Refusal::NotTogether);
        }
        dropped.why = text("why", &dropped.why)?;
    }
    for end in &mut scope.not_ours {
        *end = text("end beyond the seals", end)?;
    }
    Ok(vec![Fact::Scope(Box::new(scope))])
}

/// What was in scope and worked at stays there, as it was.
fn kept(visit: &Visit, scope: &Scope) -> Result<(), Refusal> {
    let Some((_, before)) = visit.scope() else { return Ok(()) };
    for entry in &before.terminals {
        let now = scope.terminals.iter().find(|now| now.terminal == entry.terminal);
        let same = now.is_some_and(|now| now.attempt == entry.attempt && now.afresh() == entry.afresh());
        let worked = visit.find(&entry.terminal).is_some_and(|at| {
            let about = |line: &crate::domain::record::Line| !matches!(line.fact, Fact::Scope(_));
            visit.lines_about(at).any(about)
        });
        if worked && !same {
            return Err(Refusal::ChoiceNotPossible(
                "something is recorded there in this visit: set it aside instead of dropping it",
            ));
        }
    }
    Ok(())
}
