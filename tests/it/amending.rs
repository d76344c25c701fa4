//! A board that differs from its file: whatever is amended, no answer is lost and none passes to another terminal.

use crate::scripted::{Script, opening, torque};
use witnessmark::domain::board::Board;
use witnessmark::domain::record::{AsideWhy, Fact, Mode, Outcome, RemarkOn};
use witnessmark::domain::stated::Stated;
use witnessmark::session::{Act, Informed, Need, Standing, StruckWhy, replay};

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
