//! Random audits: mostly sensible acts, some mischief; what must always hold, holds, and the second reader agrees.

use crate::acts::{Dice, beginning, gate_of, opening, tools};
use crate::mischief::mischief;
use crate::moves::{mode, names, sensible, unfinished};
use crate::properties::{Tally, agrees, can_be_signed_off, careful};
use crate::revisit_moves::look;
use rust_decimal::Decimal;
use std::collections::BTreeMap;
use witnessmark::domain::audit::claim::Claim;
use witnessmark::domain::audit::thermal::Over;
use witnessmark::domain::names::{ConductorName, TerminalName};
use witnessmark::domain::record::{
    Claimed, LookResult, Mode, Moved, Plan, SessionCause, SizedBy, SourceState, ToolReach, Tug, VisitKind,
};
use witnessmark::domain::tool::ToolKind;
use witnessmark::session::audit::{AuditAct, Measured, found_at};
use witnessmark::session::{Act, Need, Step, Visit, setting_for};

fn claim(dice: &mut Dice) -> Act {
    let minutes = Decimal::from(dice.roll(90));
    let claim = Claim::of_percent(Decimal::from(dice.roll(30)), Decimal::from(50 + dice.roll(50))).unwrap();
    Act::Audit(AuditAct::Claim(Claimed {
        minutes,
        minutes_without_supply: dice.of(&[minutes, minutes, Decimal::ZERO, Decimal::from(200)]),
        load_percent: dice.of(&[None, Some(Decimal::from(62))]),
        minutes_a_tug: dice.of(&[Decimal::new(3, 1), Decimal::ONE]),
        minutes_a_tool: dice.of(&[Decimal::new(15, 1), Decimal::TWO, Decimal::ZERO]),
        tug: !dice.one_in(5),
        tool: dice.of(&[
            ToolReach::MakersValue,
            ToolReach::MakersValue,
            ToolReach::Part { percent: 80 },
            ToolReach::NotUsed,
        ]),
        plan: dice.of(&Plan::ALL),
        basis: dice.of(&SizedBy::ALL),
        claim,
    }))
}

fn thermal(visit: &Visit, dice: &mut Dice) -> Act {
    let board = visit.board().unwrap();
    Act::Audit(match dice.roll(4) {
        0 => AuditAct::NoThermal { why: "nothing runs".into() },
        1 => AuditAct::ThermalOver { camera: "camera 1".into() },
        _ => AuditAct::Measure(Measured {
            terminal: dice.of(&board.terminals).name,
            temperature_c: Decimal::from(20 + dice.roll(60)),
            over: dice.of(&Over::ALL),
            compared_c: Decimal::from(25),
            load_a: Decimal::from(dice.roll(32)),
            rated_a: Decimal::from(32),
            exponent: dice.of(&[Decimal::TWO, Decimal::new(16, 1), Decimal::new(25, 1)]),
        }),
    })
}

/// Several at once, counted; now and then miscounted.
fn alike(visit: &Visit, dice: &mut Dice, name: &TerminalName) -> Act {
    let at = visit.find(name).unwrap();
    let place = &visit.terminal(at).unwrap().place;
    let step = visit.standing(at).unwrap().next_step();
    let here: Vec<TerminalName> = visit
        .terminals()
        .filter(|(_, t, s)| t.place == *place && unfinished(s) && s.need.is_none() && s.next_step() == step)
        .map(|(_, t, _)| t.name.clone())
        .collect();
    let mode = if visit.is_rehearsal() { Mode::Rehearsed } else { Mode::Place };
    let wrong = u32::from(dice.one_in(6));
    if step == Some(Step::Look) {
        let count = u32::try_from(here.len()).unwrap() + wrong;
        return Act::Audit(AuditAct::LookAlike { terminals: here, count, mode });
    }
    let conductors: Vec<ConductorName> = here
        .iter()
        .filter_map(|name| visit.terminal(visit.find(name)?))
        .flat_map(witnessmark::domain::board::Terminal::conductor_names)
        .collect();
    let count = u32::try_from(conductors.len()).unwrap() + wrong;
    Act::Audit(AuditAct::TugAlike { conductors, count, mode })
}

fn try_it(visit: &Visit, dice: &mut Dice, name: &TerminalName, mode: Mode) -> Act {
    let row = visit.board().unwrap().torque_row(visit.terminal(visit.find(name).unwrap()).unwrap()).cloned();
    let able: Vec<_> = visit
        .tools()
        .iter()
        .filter_map(|held| Some((held.tool.clone(), setting_for(visit, row.as_ref()?, &held.tool).ok()?.0)))
        .collect();
    if able.is_empty() {
        return Act::StateTool(Box::new(dice.of(&tools())));
    }
    let (tool, required) = dice.of(&able);
    let found = dice.of(&[Moved::Held, Moved::Held, Moved::Held, Moved::Moved, Moved::Loose]);
    let tried = Act::Try { terminal: name.clone(), tool: tool.id.clone(), at: Some(required), found, mode };
    match visit.running_span(&tool.id) {
        _ if tool.kind == ToolKind::Indicating => tried,
        Some(span) if span.required == required && Some(span.session) == visit.session() => tried,
        Some(span) if !span.fixed => {
            Act::EndSpan { tool: tool.id.clone(), read: span.required, cause: None, next: None }
        }
        _ => Act::BeginSpan { tool: tool.id, required, read: required },
    }
}

fn work_at(visit: &Visit, dice: &mut Dice, name: &TerminalName) -> Act {
    let at = visit.find(name).unwrap();
    let standing = visit.standing(at).unwrap();
    let mode = mode(visit, dice);
    if let Some(need) = standing.need {
        let why = match need {
            Need::NoAccess => witnessmark::domain::record::AsideWhy::NoAccess,
            _ => witnessmark::domain::record::AsideWhy::Other("tighten and settle".into()),
        };
        return Act::SetAside { terminals: vec![name.clone()], why };
    }
    match standing.next_step() {
        Some(Step::Look | Step::CheckTug(_)) if dice.one_in(3) => alike(visit, dice, name),
        Some(Step::Look) => {
            let act = look(visit, dice, name, mode);
            let Act::Look { terminals, result, mode, .. } = act else { return act };
            let result = if dice.one_in(2) { LookResult::Sound } else { result };
            Act::Look { terminals, result, untouched: Some("A. Ferris".into()), mode }
        }
        Some(Step::CheckTug(nth)) => {
            let result = match dice.roll(16) {
                0 => Tug::Shifted,
                1 => Tug::StrandsBroke,
                2 => Tug::CameOut,
                _ => Tug::Firm,
            };
            Act::Tug { conductors: vec![visit.conductor_name(at, nth).unwrap()], result, mode }
        }
        Some(Step::Check { .. }) => try_it(visit, dice, name, mode),
        _ => match visit.open_spans().next() {
            Some(span) => {
                let read = span.required;
                Act::EndSpan { tool: span.tool.clone(), read, cause: None, next: None }
            }
            None => Act::Close,
        },
    }
}

fn next(visit: &Visit, dice: &mut Dice, winding_down: bool) -> Act {
    if visit.opened().is_none() {
        let Act::Open(mut open) = opening(dice.one_in(9), None) else { panic!("an opening") };
        open.visit = VisitKind::Audit;
        return Act::Open(open);
    }
    if visit.session().is_none() {
        return beginning(SessionCause::Opened);
    }
    let facts = visit.audit();
    if facts.claimed().is_none() || (facts.draw().is_none() && dice.one_in(30)) {
        return claim(dice);
    }
    if winding_down {
        return sensible(visit, dice, true);
    }
    let bad: Vec<TerminalName> = visit
        .terminals()
        .filter(|(at, _, _)| found_at(visit, *at).bad)
        .map(|(_, t, _)| t.name.clone())
        .collect();
    if facts.draw().is_some() && !bad.is_empty() && dice.one_in(12) {
        let (because, yes) = (dice.of(&bad), dice.one_in(2));
        return Act::Audit(AuditAct::Escalate { because, yes, why: "asked".into() });
    }
    if dice.one_in(30) {
        let terminal = dice.of(&visit.board().unwrap().terminals).name;
        return Act::Audit(AuditAct::Code { terminal, code: "C2".into() });
    }
    let open = names(visit, unfinished);
    let unseen: Vec<TerminalName> =
        names(visit, |s| unfinished(s) && (s.need.is_some() || s.next_step() == Some(Step::Look)));
    if facts.draw().is_none() {
        if !unseen.is_empty() && !dice.one_in(12) {
            let name = dice.of(&unseen);
            return work_at(visit, dice, &name);
        }
        if !facts.thermal_over() && !dice.one_in(8) {
            return thermal(visit, dice);
        }
        let seed = dice.of(&["abcdefgh", "k7m2q4xa", "two words", ""]);
        let named =
            dice.of(&[vec![], vec![TerminalName::from("3 line")], vec![TerminalName::from("nowhere")]]);
        return Act::Audit(AuditAct::Draw { seed: seed.into(), named });
    }
    if visit.gate(&dice.hand).is_none() {
        let state = dice.of(&[SourceState::Dead, SourceState::Dead, SourceState::Dead, SourceState::Live]);
        return gate_of(&dice.hand, state, None);
    }
    if visit.tools().is_empty() || (visit.tools().len() < tools().len() && dice.one_in(20)) {
        return Act::StateTool(Box::new(tools()[visit.tools().len()].clone()));
    }
    if open.is_empty() {
        return sensible(visit, dice, true);
    }
    let name = dice.of(&open);
    work_at(visit, dice, &name)
}

#[test]
fn whatever_is_done_in_an_audit_holds_and_is_read_alike() {
    let mut tally = Tally::default();
    let mut words: BTreeMap<&str, usize> = BTreeMap::new();
    let mut closed = 0;
    for seed in 0..120 {
        let mut dice = Dice::new(Vec::new(), seed + 77_000);
        let mut visit = Visit::empty();
        for turn in 0..140 {
            if visit.ended().is_some() {
                break;
            }
            let wild = visit.opened().is_some() && dice.roll(100) < 12;
            let act = if wild { mischief(&visit, &mut dice) } else { next(&visit, &mut dice, turn > 115) };
            visit = careful(visit, &dice.hand.clone(), &act, &mut tally);
            if dice.roll(40) == 0 && visit.opened().is_some() && visit.ended().is_none() {
                agrees(&visit);
                can_be_signed_off(visit.clone(), &mut Tally::default());
            }
        }
        agrees(&visit);
        closed += usize::from(visit.ended().is_some());
        for (at, _, _) in visit.terminals() {
            *words.entry(found_at(&visit, at).word.words()).or_default() += 1;
        }
        let again: Vec<_> = visit.lines().to_vec();
        assert_eq!(witnessmark::session::replay(&again), visit);
    }
    // the batch is no batch where something never happens
    assert!(closed > 30, "{closed} closed");
    assert_eq!(words.len(), 7, "{words:?}");
}
