//! Sensible moves where a terminal is come back to; the properties take them beside those of a first visit.

use crate::acts::Dice;
use witnessmark::domain::names::TerminalName;
use witnessmark::domain::record::{
    Attempt, DisturbedHow, Happened, HeatAt, Known, LookResult, Mark, Mode, Moved, TorqueResult, Turned,
    VisitKind,
};
use witnessmark::domain::tool::ToolKind;
use witnessmark::session::past::Past;
use witnessmark::session::scope_of::{Disturbance, scope_of};
use witnessmark::session::{Act, Step, Visit};

/// A look; sound more often than not.
pub(crate) fn look(visit: &Visit, dice: &mut Dice, name: &TerminalName, mode: Mode) -> Act {
    let result = match dice.roll(14) {
        0 => LookResult::Found(vec![Mark::Heat(dice.of(&HeatAt::ALL))]),
        1 => LookResult::Found(vec![dice.of(&Mark::ALL), dice.of(&Mark::ALL)]),
        2 => LookResult::NotSeen,
        3 => LookResult::NotAccessible,
        _ => LookResult::Sound,
    };
    let untouched = (visit.live_source(name).is_some() || dice.one_in(9)).then(|| "A. Porter".to_owned());
    Act::Look { terminals: vec![name.clone()], result, untouched, mode }
}

/// What a tightening becomes where the screw is only tried.
pub(crate) fn tried(visit: &Visit, dice: &mut Dice, name: &TerminalName, act: Act) -> Act {
    let Act::Torque { terminal, tool, result, mode } = act else { return act };
    let indicating =
        tool.as_ref().and_then(|id| visit.tool(id)).filter(|held| held.tool.kind == ToolKind::Indicating);
    let at = visit.find(name).unwrap();
    let first = visit.standing(at).is_some_and(|s| {
        s.next_step().is_some_and(|step| matches!(step, Step::Check { .. }) && s.answer(step).is_none())
    });
    if let (Some(held), TorqueResult::Reading { text, value, unit }) = (indicating, &result)
        && first
        && !dice.one_in(4)
    {
        let first = Moved::First { text: text.clone(), value: *value, unit: *unit };
        let found = dice.of(&[Moved::Held, Moved::Held, first, Moved::Loose]);
        return Act::Try { terminal, tool: held.tool.id.clone(), at: None, found, mode };
    }
    let spoke = !matches!(result, TorqueResult::NotClicked { .. });
    let turned = dice.of(&[Turned::Held, Turned::Held, Turned::Moved]);
    Act::Settle { terminal, tool, result, turned: spoke.then_some(turned), mode }
}

/// The opening of a revisit.
pub(crate) fn as_revisit(act: Act) -> Act {
    let Act::Open(mut open) = act else { return act };
    open.visit = VisitKind::Revisit;
    Act::Open(open)
}

/// A scope: what follows from some disturbance, or what was in scope and a terminal more or less.
pub(crate) fn scope(visit: &Visit, dice: &mut Dice) -> Act {
    let board = visit.board().unwrap();
    let some = |dice: &mut Dice, one_in: usize| -> Vec<TerminalName> {
        board.terminals.iter().filter(|_| dice.one_in(one_in)).map(|t| t.name.clone()).collect()
    };
    let happened = dice.of(&Happened::NAMED);
    let how = |dice: &mut Dice| dice.of(&DisturbedHow::ALL);
    let what = Disturbance {
        happened,
        disturbed: some(dice, 3).into_iter().map(|name| (name, how(dice))).collect(),
        by: None,
        checked_by_them: dice.of(&Known::ALL),
        added: some(dice, 5),
        dropped: Vec::new(),
    };
    let mut scope = scope_of(board, &what, &Past::default());
    for entry in &mut scope.terminals {
        entry.attempt = Attempt(1 + u32::try_from(dice.roll(3)).unwrap());
    }
    if let Some((_, before)) = visit.scope().filter(|_| !dice.one_in(4)) {
        scope.terminals.retain(|entry| !before.terminals.iter().any(|b| b.terminal == entry.terminal));
        scope.terminals.extend(before.terminals.iter().filter(|_| !dice.one_in(9)).cloned());
    }
    Act::SetScope(Box::new(scope))
}
