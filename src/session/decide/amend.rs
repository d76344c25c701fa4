//! Rules of amending: the board on the wall differs from the file.

use super::{Facts, text};
use crate::domain::board::Board;
use crate::domain::names::TerminalName;
use crate::domain::record::{AsideWhy, BoardAmended, Fact, TakenUp};
use crate::session::difference::{Change, difference};
use crate::session::refusal::Refusal;
use crate::session::visit::Visit;

pub(super) fn amend(visit: &Visit, board: &Board, board_sha256: &str, reason: &str) -> Facts {
    let now = visit.board().ok_or(Refusal::NotOpened)?;
    if board.reference != now.reference || board.site != now.site {
        return Err(Refusal::NotAmended("reference and site name another board: that is another visit"));
    }
    if board == now {
        return Err(Refusal::NotAmended("nothing differs"));
    }
    let changes = difference(now, board);
    let reopened: Vec<TerminalName> = changes
        .iter()
        .filter(|(name, change)| match change {
            Change::Torque | Change::ClampOrConductors => true,
            // Another terminal of a name that was there before: what is recorded of the name is not about it.
            Change::New => was_there(visit, name),
            Change::Gone => false,
        })
        .map(|(name, _)| name.clone())
        .collect();
    let reason = text("why", reason)?;
    let workable: Vec<TerminalName> = reopened
        .iter()
        .filter(|name| waits_for_value(visit, name) && has_value(board, name))
        .cloned()
        .collect();
    let mut facts = vec![Fact::BoardAmended(Box::new(BoardAmended {
        board: board.clone(),
        board_sha256: board_sha256.to_owned(),
        reason: reason.clone(),
        reopened,
    }))];
    if !workable.is_empty() {
        facts.push(Fact::TakenUp(TakenUp { terminals: workable, why: reason }));
    }
    Ok(facts)
}

fn was_there(visit: &Visit, name: &TerminalName) -> bool {
    visit.lines().iter().any(|line| match &line.fact {
        Fact::Opened(opened) => opened.board.terminal(name).is_some(),
        Fact::BoardAmended(amended) => amended.board.terminal(name).is_some(),
        _ => false,
    })
}

fn waits_for_value(visit: &Visit, name: &TerminalName) -> bool {
    let standing = visit.find(name).and_then(|at| visit.standing(at));
    standing.is_some_and(|standing| standing.aside == Some(AsideWhy::NoMakersValue))
}

fn has_value(board: &Board, name: &TerminalName) -> bool {
    board.terminal(name).is_some_and(|terminal| board.torque_row(terminal).is_some())
}
