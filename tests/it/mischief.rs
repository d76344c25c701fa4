//! What happens besides the plan: the rest of the moves of the properties.

use crate::acts::{Dice, TERMINALS, beginning, board, edited, gate_of, me, nm, opening, tools};
use crate::moves::{mode, names};
use witnessmark::domain::conductor::Preparation;
use witnessmark::domain::names::{ConductorName, PersonId, Seq, TerminalName, ToolId};
use witnessmark::domain::record::{
    About, AsideWhy, DecidedTo, DisturbedHow, Entered, EntryFault, Fact, MarkResult, MarkSeen, Mode,
    NotClicked, Opened, Order, Outcome, Person, Prepared, RemarkOn, SessionCause, SettleKnown, SourceState,
    Strands, TailLook, TorqueResult, Tug, Tugged, Turned,
};
use witnessmark::domain::torque::Torque;
use witnessmark::session::{Act, EndCause, Step, Visit};

/// What happens besides the plan: disturbed, remarks, slips, reopenings, and plain nonsense.
pub(crate) fn mischief(visit: &Visit, dice: &mut Dice) -> Act {
    let name = TerminalName::from(dice.of(&TERMINALS));
    let tool = dice.of(&["A", "B", "C", "D", "E", "F", "X"]);
    let tool = ToolId::from(tool);
    match dice.roll(36) {
        0 => disturb(name, dice),
        1 | 2 | 27 | 28 | 33 => wild_step(visit, dice, &name),
        3 | 4 | 29 | 30 => wild_torque(visit, dice, name, tool),
        5..=9 => slip(visit, dice),
        10 | 31 | 32 => wild_scale(visit, dice, tool),
        11 => Act::Remake {
            conductors: dice.of(&[
                vec![ConductorName(name.0.clone())],
                vec![],
                vec![ConductorName::from("2 line/1")],
            ]),
            terminal: name,
            why: "better so".into(),
        },
        12 => Act::Replace { device: dice.of(&["1", "2", "incomer", "9"]).into(), why: "cracked".into() },
        13 => Act::SetAside {
            terminals: vec![name],
            why: dice.of(&[
                AsideWhy::SpareWay,
                AsideWhy::Other("later".into()),
                AsideWhy::Other("a\tb".into()),
            ]),
        },
        14 => Act::TakeUp { terminals: dice.of(&[vec![name], vec![]]), why: "there now".into() },
        15 => take_up(visit, dice),
        16 => Act::Tell {
            terminals: told_again(visit, dice, name),
            whom: dice.of(&[None, Some("S. Birch".into())]),
        },
        17 | 18 => remark(visit, dice, name),
        19 => wild_decision(dice, name),
        20 => beginning(dice.of(&[SessionCause::Resumed, SessionCause::Gap])),
        21 => wild_frame(dice, tool),
        22 | 34 | 35 => rest(visit, dice, name, tool),
        23 => {
            let one = |terminal| TailLook { terminal, tug: Tug::Firm, mark: MarkSeen::Held };
            let tails = ["incomer L", "incomer N"].map(|tail| one(TerminalName::from(tail)));
            Act::LastLook {
                tails: dice.of(&[vec![], vec![one(name)], tails.to_vec(), tails.to_vec()]),
                why_not: dice.of(&[None, Some("no light".into())]),
                covers: "back".into(),
                locks_and_tools_out: "out".into(),
                energised_by: None,
            }
        }
        24 => Act::Sign { person: dice.of(&[me(), PersonId::from("P9")]), capacity: "done by".into() },
        25 => Act::Close,
        26 if dice.one_in(8) => Act::Abandon { why: "board burnt".into(), told: "the owner".into() },
        _ => Act::ChooseRoute(dice.of(&Order::ALL)),
    }
}

fn disturb(name: TerminalName, dice: &mut Dice) -> Act {
    use DisturbedHow::{Flexed, Opened, ReTerminated, Repositioned, Twisted};
    Act::Disturb {
        terminals: vec![name],
        how: dice.of(&[Flexed, Twisted, Repositioned, ReTerminated, Opened]),
        by: "R. Ashdown".into(),
        checked_by_them: None,
        why: "dressing".into(),
    }
}

fn wild_step(visit: &Visit, dice: &mut Dice, name: &TerminalName) -> Act {
    let mode = match dice.roll(16) {
        0 => Mode::Row,
        1 => Mode::Rehearsed,
        _ => mode(visit, dice),
    };
    let one = |name: &str| vec![ConductorName::from(name)];
    // where something else comes first a step is refused for the sake of that
    let waiting = names(visit, |s| s.need.is_some() && s.aside.is_none() && !s.steps.is_empty());
    let name = &if waiting.is_empty() || dice.one_in(4) { name.clone() } else { dice.of(&waiting) };
    let conductors = match dice.roll(10) {
        0 => vec![],
        1 => [one("1 line"), one("1 neutral"), one("bell")].concat(),
        2 => [one("1 line"), one("1 line")].concat(),
        3 => [one("2 line/1"), one("2 line/2")].concat(),
        4 => one("nowhere"),
        5 => [one("main neutral/1"), one("main neutral/2")].concat(),
        _ => one(name.as_str()),
    };
    match dice.roll(4) {
        0 => {
            let how = dice.of(&[
                Preparation::Ferruled,
                Preparation::Other("waxed".into()),
                Preparation::Other("\u{202e}".into()),
            ]);
            let aluminium = dice.of(&[vec![], vec![witnessmark::domain::conductor::AluminiumCare::Brushed]]);
            Act::Prepare { conductors, how, aluminium, mode }
        }
        1 => Act::Enter { conductors, fault: dice.of(&[None, None, Some(EntryFault::BesideClamp)]), mode },
        2 => Act::Tug { conductors, result: dice.of(&[Tug::Firm, Tug::Firm, Tug::Shifted]), mode },
        _ => {
            let terminals = match dice.roll(4) {
                0 => vec![],
                1 => vec![name.clone(), name.clone()],
                _ => vec![name.clone()],
            };
            Act::Mark { terminals, result: MarkResult::Made, mode }
        }
    }
}

fn wild_torque(visit: &Visit, dice: &mut Dice, terminal: TerminalName, tool: ToolId) -> Act {
    let reading = |text: &str| {
        let value = text.parse().unwrap();
        TorqueResult::Reading {
            text: text.into(),
            value,
            unit: witnessmark::domain::torque::Unit::NewtonMetre,
        }
    };
    let bad = match reading("2.0") {
        TorqueResult::Reading { value, unit, .. } => {
            TorqueResult::Reading { text: "2\u{7}".into(), value, unit }
        }
        other => other,
    };
    let result = match dice.roll(8) {
        0 => TorqueResult::ByHand,
        1 => reading("-1"),
        2 => bad,
        3 => reading("2.1"),
        4 => TorqueResult::NotClicked { why: dice.of(&NotClicked::ALL) },
        _ => TorqueResult::Clicked,
    };
    // a made-off terminal is where a torque is refused for the sake of the tool
    let ready: Vec<TerminalName> = names(visit, |s| {
        s.outcome == Outcome::Open && s.need.is_none() && matches!(s.next_step(), Some(Step::Torque { .. }))
    });
    let tool = if dice.one_in(4) { ToolId::from("F") } else { tool };
    let terminal = if ready.is_empty() || dice.one_in(4) { terminal } else { dice.of(&ready) };
    let tool = dice.of(&[Some(tool.clone()), Some(tool.clone()), Some(tool), None]);
    Act::Torque { terminal, tool, result, mode: mode(visit, dice) }
}

fn wild_scale(visit: &Visit, dice: &mut Dice, tool: ToolId) -> Act {
    if let Some(span) = visit.open_spans().next()
        && dice.one_in(2)
    {
        let cause = dice.of(&[None, Some(EndCause::NotKnown)]);
        let read = dice.of(&[span.required, nm("0.1")]);
        return Act::EndSpan { tool: span.tool.clone(), read, cause, next: None };
    }
    let most = Torque::new(rust_decimal::Decimal::MAX, witnessmark::domain::torque::Unit::PoundFoot);
    let read = dice.of(&[nm("2.0"), nm("2.0"), nm("9"), nm("-1"), most]);
    match dice.roll(4) {
        0 | 1 => Act::BeginSpan { tool, required: dice.of(&[nm("2.0"), nm("50")]), read },
        2 => Act::EndSpan { tool, read, cause: dice.of(&[None, None, Some(EndCause::NotKnown)]), next: None },
        _ => Act::LoseScale { tool, why: dice.of(&["dropped".into(), String::new()]) },
    }
}

fn told_again(visit: &Visit, dice: &mut Dice, name: TerminalName) -> Vec<TerminalName> {
    let aside = names(visit, |s| s.aside.is_some());
    if aside.is_empty() || dice.one_in(4) { vec![name] } else { vec![dice.of(&aside)] }
}

fn take_up(visit: &Visit, dice: &mut Dice) -> Act {
    let mut terminals = names(visit, |s| s.aside.is_some());
    if terminals.len() > 1 {
        terminals = vec![dice.of(&terminals)];
    }
    Act::TakeUp { terminals, why: "there now".into() }
}

fn remark(visit: &Visit, dice: &mut Dice, name: TerminalName) -> Act {
    let on = match dice.roll(4) {
        0 => RemarkOn::Board,
        1 => RemarkOn::Remark(Seq(dice.roll(20) as u64)),
        _ => RemarkOn::Terminal(name),
    };
    let handed_to = match (visit.power_on().last(), dice.roll(6)) {
        (_, 0) => Some("S. Birch".to_owned()),
        _ => None,
    };
    Act::Remark { on, text: "nut behind the busbar".into(), before_power_on: dice.one_in(2), handed_to }
}

fn wild_decision(dice: &mut Dice, terminal: TerminalName) -> Act {
    Act::Decide {
        terminal,
        about: dice.of(&[About::OverTightened, About::NotClicked, About::Tug]),
        strands: dice.of(&[None, Some(Strands::Sound), Some(Strands::Cut)]),
        choice: dice.of(&[DecidedTo::Keep, DecidedTo::Again, DecidedTo::Remake]),
        remark: String::new(),
    }
}

fn wild_frame(dice: &mut Dice, id: ToolId) -> Act {
    let Act::AnswerGates(mut gates) = gate_of(&dice.hand, SourceState::Dead, None) else { return Act::Close };
    match dice.roll(6) {
        0 => opening(false, None),
        1 => {
            gates.sources.clear();
            Act::AnswerGates(gates)
        }
        2 => gate_of(&dice.hand.clone(), SourceState::Dead, dice.of(&[None, Some("1 cpc"), Some("nowhere")])),
        3 => gate_of(&dice.hand.clone(), dice.of(&[SourceState::Unconnected, SourceState::Live]), None),
        4 => {
            let mut tool = tools()[0].clone();
            tool.id = id;
            tool.graduation = None;
            Act::StateTool(Box::new(tool))
        }
        _ => gate_of(&dice.hand, SourceState::Dead, None),
    }
}

/// Tools doubted and released, settling, hands, rows and amended boards, fit or not.
fn rest(visit: &Visit, dice: &mut Dice, terminal: TerminalName, tool: ToolId) -> Act {
    match dice.roll(12) {
        0 => Act::DoubtTool { tool, what: dice.of(&["dropped", "a\tb"]).into() },
        1 | 2 => Act::ReleaseTool { tool, by: "owner".into(), why: "checked".into() },
        3 => Act::SettleReady { terminal, how: SettleKnown::Timed },
        4 => Act::WaiveSettle { terminal, why: "no time".into() },
        5 => Act::Join(Person { id: PersonId::from("P2"), name: "S. Birch".into(), role: "mate".into() }),
        6 => {
            let turned = dice.of(&[None, Some(Turned::Held), Some(Turned::Moved)]);
            let mode = mode(visit, dice);
            Act::Settle { terminal, tool: Some(tool), result: TorqueResult::Clicked, turned, mode }
        }
        7 | 8 => {
            let mode = dice.of(&[Mode::Row, Mode::Row, Mode::Singly, Mode::Rehearsed]);
            let scale_after = dice.of(&[None, Some(nm("2.0")), Some(nm("1.0"))]);
            let terminals = dice.of(&[vec![], vec![terminal.clone()], vec![terminal.clone(), terminal]]);
            let count = u32::try_from(dice.roll(3)).unwrap();
            Act::TorqueRow { terminals, tool, scale_after, count, exceptions: Vec::new(), mode }
        }
        _ => {
            let mut other = visit.board().cloned().unwrap_or_else(board);
            match dice.roll(4) {
                0 => other.site = "elsewhere".into(),
                1 => {}
                _ => other = edited(&other, dice),
            }
            let reason = dice.of(&["another", "another", ""]).into();
            Act::AmendBoard { board: Box::new(other), board_sha256: "1".repeat(64), reason }
        }
    }
}

/// What can be mistyped at an opening, and what cannot.
fn of_opening(opened: &mut Opened, dice: &mut Dice) {
    match dice.roll(4) {
        0 => opened.board.title = "another".into(),
        1 => opened.certificate = "EIC 7".into(),
        _ => opened.person.name = dice.of(&["R. Ashdown", "S. Weir"]).into(),
    }
}

/// Another answer in the place of an earlier one.
fn slip(visit: &Visit, dice: &mut Dice) -> Act {
    let lines = visit.lines();
    if lines.is_empty() {
        return Act::Close;
    }
    let target = dice.of(lines);
    let mut fact = target.fact.clone();
    match &mut fact {
        Fact::Prepared(f) => f.how = dice.of(&Preparation::NAMED),
        Fact::Entered(f) => {
            f.right = !f.right;
            f.fault = (!f.right).then_some(EntryFault::StrandOutside);
        }
        Fact::Torqued(f) if f.turned.is_some() && dice.one_in(2) => {
            f.turned = Some(dice.of(&[Turned::Held, Turned::Moved]));
        }
        Fact::Torqued(f) => {
            f.result = match &f.result {
                TorqueResult::Reading { unit, .. } => {
                    let value: rust_decimal::Decimal =
                        dice.of(&["1.5", "2.0", "2.3", "3.5"]).parse().unwrap();
                    TorqueResult::Reading { text: value.to_string(), value, unit: *unit }
                }
                TorqueResult::Clicked => TorqueResult::NotClicked { why: dice.of(&NotClicked::ALL) },
                _ => TorqueResult::Clicked,
            };
        }
        Fact::Tugged(f) => f.result = dice.of(&[Tug::Firm, Tug::Shifted, Tug::CameOut]),
        Fact::Marked(f) => {
            f.result = dice.of(&[MarkResult::Made, MarkResult::NotUsed, MarkResult::NotVisible]);
        }
        Fact::Scale(f) => {
            let by = dice.of(&["0", "0", "-1", "1", "0.1"]).parse::<rust_decimal::Decimal>().unwrap();
            f.read.value = f.required.value + by;
        }
        Fact::Gates(f) if dice.one_in(2) => {
            f.sources[0].state = dice.of(&[SourceState::Dead, SourceState::Live, SourceState::Unconnected]);
            f.sources[0].shrouded = Some(true);
            f.sources[0].decided_by = Some("R. Ashdown".into());
        }
        Fact::Gates(f) => f.locked_off = "padlock 4".into(),
        Fact::Person(f) => f.name = dice.of(&["R. Ashdown", "S. Weir", ""]).into(),
        Fact::Opened(f) => of_opening(f, dice),
        Fact::Tool(f) => match dice.roll(8) {
            3 | 4 => f.class = dice.of(&[None, Some("II D"), Some("I D"), Some("not read")]).map(Into::into),
            0 => f.graduation = Some("0.1".parse().unwrap()),
            1 => f.validity = witnessmark::domain::tool::Validity::NotStated,
            2 => f.validity = witnessmark::domain::tool::Validity::Valid,
            _ => f.serial = "S-9".into(),
        },
        _ => {}
    }
    let named: Vec<TerminalName> = match &fact {
        Fact::Prepared(Prepared { conductors, .. })
        | Fact::Entered(Entered { conductors, .. })
        | Fact::Tugged(Tugged { conductors, .. }) => {
            let found = conductors.iter().filter_map(|name| visit.find_conductor(name));
            found.map(|(at, _)| visit.terminal(at).unwrap().name.clone()).collect()
        }
        Fact::Torqued(f) => f.terminals.clone(),
        Fact::Marked(f) => f.terminals.clone(),
        _ => vec![],
    };
    let terminal = match dice.roll(12) {
        0 => Some(TerminalName::from("1 line")),
        1..=4 if !named.is_empty() => Some(dice.of(&named)),
        _ => None,
    };
    Act::Correct { seq: target.seq, terminal, fact: Box::new(fact), why: "mistyped".into() }
}
