//! A board that differs from its file: whatever is amended, no answer is lost and none passes to another terminal.

use crate::acts::{self, Dice, edited};
use crate::moves::sensible;
use crate::properties::agrees;
use crate::scripted::{Script, opening, torque};
use proptest::prelude::*;
use serde_json::Value;
use witnessmark::domain::board::Board;
use witnessmark::domain::clamp::{Clamp, Settle, SettleBasis};
use witnessmark::domain::names::TerminalName;
use witnessmark::domain::record::{
    AsideWhy, Fact, MarkResult, Mode, Outcome, RemarkOn, SettleKnown, TorqueResult, Tug, Turned,
};
use witnessmark::domain::stated::Stated;
use witnessmark::session::invariant::check;
use witnessmark::session::{Act, Informed, Need, Standing, StruckWhy, Visit, replay};

fn at<'a>(script: &'a Script, name: &str) -> &'a Standing {
    script.visit.standing(script.visit.find(&name.into()).unwrap()).unwrap()
}

/// Amends the board as it stands.
fn amend(script: Script, change: impl FnOnce(&mut Board)) -> Script {
    let mut board = script.visit.board().unwrap().clone();
    change(&mut board);
    let (board_sha256, reason) = ("b7".repeat(32), "as it hangs on the wall".into());
    script.act(Act::AmendBoard { board: Box::new(board), board_sha256, reason })
}

fn without(script: Script, name: &str) -> Script {
    amend(script, |board| board.terminals.retain(|terminal| terminal.name.as_str() != name))
}

#[test]
fn a_terminal_taken_off_and_another_of_its_name_begins_bare() {
    let script = Script::new().make_off("1 line").begin("A", "2.0 N.m").finish("1 line", "A");
    let script = script.end("A", "2.0 N.m", None).make_off("3 line");
    let remark = |on| Act::Remark { on, text: "short end".into(), before_power_on: false, handed_to: None };
    let script = script.act(remark(RemarkOn::Terminal("3 line".into())));
    let script = script.aside(&["3 line"], AsideWhy::NoAccess, Some("M. Cole"));
    let before = script.visit.board().unwrap().clone();
    let gone = without(without(script, "1 line"), "3 line");
    assert!(gone.visit.find(&"1 line".into()).is_none());
    let lines = gone.lines().len();
    let back = amend(gone, |board| *board = before);
    assert_eq!(back.lines().len(), lines + 1, "every line is still there");
    for name in ["1 line", "3 line"] {
        let standing = at(&back, name);
        assert_eq!(standing.outcome, Outcome::Open, "{name}");
        assert!(standing.answers.iter().all(Option::is_none), "{name} is not the terminal it was");
        assert!(standing.struck.iter().all(|struck| struck.why == StruckWhy::Amended));
        assert_eq!((&standing.aside, &standing.told), (&None, &Informed::NotYet));
        assert!(standing.remarks.is_empty());
    }
    assert_eq!(replay(back.lines()), back.visit);
    // it is worked on like any other
    let done = back.make_off("1 line").begin("A", "2.0 N.m").finish("1 line", "A").end("A", "2.0 N.m", None);
    assert_eq!(at(&done, "1 line").outcome, Outcome::Complete);
}

/// What settled on the board of that time was no slip, whatever the board is now: every answer of both rounds is struck out
/// because the board was amended. Our own rule.
#[test]
fn what_settled_before_the_board_was_amended_is_struck_out_as_amended() {
    let mut board = crate::scripted::board();
    let cage = board.clamps.iter_mut().find(|clamp| clamp.name.as_str() == "outgoing cage").unwrap();
    cage.settle = Some(Settle { wait_minutes: 15, basis: SettleBasis::OwnPractice });
    let terminal = TerminalName::from("1 line");
    let script = Script::opened(opening(board)).framed().make_off("1 line").begin("A", "2.0 N.m");
    let script = script.finish("1 line", "A").wait(16);
    let script = script.act(Act::SettleReady { terminal: terminal.clone(), how: SettleKnown::Timed });
    let script = script.act(Act::Settle {
        terminal,
        tool: Some("A".into()),
        result: TorqueResult::Clicked,
        turned: Some(Turned::Held),
        mode: Mode::Singly,
    });
    let script = script.tug("1 line", Tug::Firm).mark("1 line", MarkResult::Made).end("A", "2.0 N.m", None);
    assert_eq!(at(&script, "1 line").outcome, Outcome::Complete);
    // no settle rule and no maker's value on the other one
    for change in [|clamp: &mut Clamp| clamp.settle = None, |clamp: &mut Clamp| clamp.torque.clear()] {
        let amended = amend(script.clone(), |board| {
            change(board.clamps.iter_mut().find(|clamp| clamp.name.as_str() == "outgoing cage").unwrap());
        });
        agrees(&amended.visit);
        let standing = at(&amended, "1 line");
        let amended = standing.struck.iter().filter(|struck| struck.why == StruckWhy::Amended).count();
        // torque, tug and mark of both rounds; where the clamp is another one, preparation and entry too
        assert!([6, 8].contains(&amended), "{:?}", standing.struck);
        assert_eq!(amended, standing.struck.len(), "{:?}", standing.struck);
    }
}

#[test]
fn another_value_where_a_second_torque_is_forbidden_asks_for_a_remake() {
    let mut board = crate::scripted::board();
    for clamp in &mut board.clamps {
        clamp.second_torque_forbidden = clamp.name.as_str() == "outgoing cage";
    }
    let script = Script::opened(opening(board)).framed().make_off("1 line").make_off("3 line");
    let script = script.begin("A", "2.0 N.m").finish("1 line", "A").end("A", "2.0 N.m", None);
    let script = amend(script, |board| {
        let cage = board.clamps.iter_mut().find(|clamp| clamp.name.as_str() == "outgoing cage").unwrap();
        cage.torque[0].stated = Stated::Single { value: torque("2.2 N.m") };
    });
    assert_eq!(at(&script, "1 line").need, Some(Need::Remake));
    assert_eq!(at(&script, "3 line").need, None, "not tightened yet: nothing to remake");
}

#[test]
fn a_scale_after_the_work_put_right_is_judged_anew() {
    let mut script = Script::new().make_off("1 line").make_off("3 line");
    script = script.act(Act::TorqueRow {
        terminals: vec!["1 line".into(), "3 line".into()],
        tool: "A".into(),
        scale_after: Some(torque("2.0 N.m")),
        count: 2,
        exceptions: Vec::new(),
        mode: Mode::Row,
    });
    let scale = script.lines().iter().rev().find(|line| matches!(line.fact, Fact::Scale(_))).unwrap();
    let (seq, mut fact) = (scale.seq, scale.fact.clone());
    if let Fact::Scale(scale) = &mut fact {
        scale.read = torque("1.5 N.m");
    }
    assert!(at(&script, "1 line").answer(witnessmark::session::Step::Torque { screw: 1, pass: 1 }).is_some());
    let script =
        script.act(Act::Correct { seq, terminal: None, fact: Box::new(fact), why: "misread".into() });
    for name in ["1 line", "3 line"] {
        assert_eq!(at(&script, name).struck.last().map(|struck| struck.why), Some(StruckWhy::ScaleTooLow));
    }
}

/// Words of a fact that name a terminal or a conductor of it.
fn names(fact: &Value, terminal: &str) -> bool {
    let (kind, body) = fact.as_object().unwrap().iter().next().unwrap();
    let of =
        |text: &str| text.strip_prefix(terminal).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'));
    let list = |key: &str| body[key].as_array().cloned().unwrap_or_default();
    kind == "corrected" && names(&body["fact"], terminal)
        || list("for").iter().chain(&list("terminals")).any(|name| name.as_str().is_some_and(of))
        || body["terminal"] == terminal
        || body["on"]["terminal"] == terminal
        || list("tails").iter().any(|tail| tail["terminal"] == terminal)
}

/// Every line stays as it was written, and what stands at a terminal comes only from lines that name it, on a board
/// where it has been ever since.
fn nothing_lost_and_nothing_given_away(visit: &Visit, before: &Visit) {
    assert_eq!(visit.lines()[..before.lines().len()], *before.lines());
    assert_eq!(&replay(visit.lines()), visit);
    let there_since = |name: &TerminalName| {
        let boards = visit.lines().iter().rev().filter_map(|line| match &line.fact {
            Fact::Opened(opened) => Some((line.seq, opened.board.terminal(name).is_some())),
            Fact::BoardAmended(amended) => Some((line.seq, amended.board.terminal(name).is_some())),
            _ => None,
        });
        boards.take_while(|(_, there)| *there).last().unwrap().0
    };
    for (_, terminal, standing) in visit.terminals() {
        let since = there_since(&terminal.name);
        let now = standing.steps.iter().zip(&standing.answers).filter_map(|(s, a)| Some((*s, (*a)?)));
        for (step, answer) in now.chain(standing.rounds_before.iter().copied()) {
            let line = serde_json::to_value(&visit.line(answer.seq).unwrap().fact).unwrap();
            assert!(names(&line, terminal.name.as_str()), "{} {step:?} rests on {line}", terminal.name);
            assert!(answer.seq > since, "{} {step:?} rests on an earlier one of its name", terminal.name);
            let struck = standing.struck.iter().any(|struck| struck.seq == answer.seq && struck.step == step);
            assert!(!struck, "{} {step:?} is struck out and stands", terminal.name);
        }
        for why in &standing.remarks {
            if let witnessmark::session::RemarkWhy::Written(seq) = why {
                assert!(*seq > since, "{} has a remark on an earlier one of its name", terminal.name);
            }
        }
    }
    check(visit).unwrap();
    agrees(visit);
}

/// Whether a terminal is on both boards with the same clamp, value and conductors, by the JSON alone.
fn untouched(older: &Board, newer: &Board, name: &TerminalName) -> bool {
    let seen = |board: &Board| {
        let terminal = board.terminal(name)?;
        let clamp = serde_json::to_value(board.clamp(terminal)?).unwrap();
        let mut clamp = clamp.as_object().unwrap().clone();
        clamp.remove("name");
        Some((clamp, serde_json::to_value(terminal).unwrap()["conductors"].clone(), terminal.device.clone()))
    };
    seen(older).is_some() && seen(older) == seen(newer)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, max_shrink_iters: 100, ..ProptestConfig::default() })]

    #[test]
    fn amending_at_random_loses_no_fact_and_gives_none_to_another_terminal(
        rolls in prop::collection::vec(any::<u32>(), 40..300),
        seed in any::<u64>(),
    ) {
        let mut dice = Dice::new(rolls, seed);
        let mut visit = acts::act(Visit::empty(), &acts::opening(false, Some(6))).0;
        for _ in 0..10 {
            for _ in 0..12 {
                let next = sensible(&visit, &mut dice, false);
                visit = acts::act(visit, &next).0;
            }
            let before = visit.clone();
            let mut board = before.board().unwrap().clone();
            for _ in 0..=dice.roll(3) {
                board = edited(&board, &mut dice);
            }
            let amend = Act::AmendBoard {
                board: Box::new(board.clone()),
                board_sha256: "2".repeat(64),
                reason: "as it hangs on the wall".into(),
            };
            visit = acts::act(visit, &amend).0;
            nothing_lost_and_nothing_given_away(&visit, &before);
            for (at, terminal, was) in before.terminals() {
                let name = &terminal.name;
                if untouched(before.board().unwrap(), &board, name) && visit.find(name).is_some() {
                    let is = visit.standing(visit.find(name).unwrap()).unwrap();
                    prop_assert_eq!(is, was, "{} {:?} changed although nothing of it did", name, at);
                }
            }
        }
    }
}
