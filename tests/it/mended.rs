//! Stories the properties found to end wrong; each ends right now. Rules: the tables of steps, spans and
//! corrections; our own.

use crate::acts::{beginning, gate, me, nm};
use crate::properties::agrees;
use crate::walk::{Walk, clicked, last_look_at, mark, read, strands, torque, tug};
use witnessmark::domain::record::{
    AsideWhy, DecidedTo, Fact, MarkSeen, Mode, NotClicked, Outcome, SessionCause, SourceState, Strands,
    TorqueResult, Tug,
};
use witnessmark::domain::torque::Torque;
use witnessmark::session::{Act, Need, Refusal, RemarkWhy, Step, decide};

#[test]
fn two_conductors_shifted_in_one_answer_are_both_looked_at_again() {
    let mut walk = Walk::begun();
    walk.make_off("2 line");
    walk.begin_span("A", "2.00 N.m");
    walk.ok(&clicked("2 line", "A"));
    walk.ok(&tug(&["2 line/1", "2 line/2"], Tug::Shifted));
    let standing = walk.at("2 line");
    assert_eq!(
        (standing.need, standing.answer(Step::Enter(0)), standing.answer(Step::Enter(1))),
        (None, None, None)
    );
    assert!(standing.answer(Step::Prepare(1)).is_some());
}

#[test]
fn two_conductors_that_came_out_in_one_answer_both_stand_so() {
    let mut walk = Walk::begun();
    walk.make_off("2 line");
    walk.begin_span("A", "2.00 N.m");
    walk.ok(&clicked("2 line", "A"));
    walk.ok(&tug(&["2 line/1", "2 line/2"], Tug::CameOut));
    let standing = walk.at("2 line");
    assert_eq!(standing.need, Some(Need::Remake));
    assert!(standing.answer(Step::Tug(0)).is_some() && standing.answer(Step::Tug(1)).is_some());
}

#[test]
fn strands_once_seen_cut_are_not_found_sound_later() {
    let mut walk = Walk::begun();
    walk.make_off("1 line");
    walk.ok(&read("1 line", "D", "3.0"));
    walk.ok(&strands("1 line", Strands::Cut, DecidedTo::SetAside));
    assert_eq!(walk.at("1 line").need, Some(Need::Remake));
    let refused = walk.no(&strands("1 line", Strands::Sound, DecidedTo::Keep));
    assert_eq!(refused.kind(), "nothing_to_decide");
}

#[test]
fn what_could_not_be_reached_can_be_tightened_when_it_is_taken_up_again() {
    let mut walk = Walk::begun();
    walk.make_off("1 line");
    walk.begin_span("A", "2.00 N.m");
    walk.ok(&torque("1 line", "A", TorqueResult::NotClicked { why: NotClicked::NoAccess }));
    assert_eq!(walk.no(&clicked("1 line", "A")).kind(), "no_access");
    walk.ok(&Act::SetAside { terminals: vec!["1 line".into()], why: AsideWhy::NoAccess });
    walk.ok(&Act::TakeUp { terminals: vec!["1 line".into()], why: "duct moved".into() });
    walk.ok(&clicked("1 line", "A"));
    assert_eq!(walk.at("1 line").attempt.0, 1);
}

#[test]
fn the_second_screw_falls_with_the_first_when_its_scale_was_low() {
    let mut walk = Walk::begun();
    walk.make_off("main earth");
    walk.begin_span("A", "2.50 N.m");
    walk.begin_span("B", "22 lbf.in");
    walk.ok(&clicked("main earth", "A"));
    walk.ok(&clicked("main earth", "B"));
    walk.end_span("A", "1.50 N.m");
    let standing = walk.at("main earth");
    assert_eq!(standing.next_step(), Some(Step::Torque { screw: 1, pass: 1 }));
    assert!(
        standing.answer(Step::Torque { screw: 2, pass: 1 }).is_none(),
        "it was tightened after a loose first"
    );
}

#[test]
fn a_low_scale_of_one_screw_does_not_answer_for_the_strands_under_the_other() {
    let mut walk = Walk::begun();
    walk.make_off("main earth");
    walk.begin_span("A", "2.50 N.m");
    walk.begin_span("B", "22 lbf.in");
    walk.ok(&clicked("main earth", "A"));
    walk.ok(&clicked("main earth", "B"));
    walk.end_span("A", "4.00 N.m");
    walk.end_span("B", "10 lbf.in");
    assert_eq!(walk.at("main earth").need, Some(Need::Strands));
}

#[test]
fn a_screw_that_spins_is_still_looked_at_after_the_strands_under_the_other() {
    let mut walk = Walk::begun();
    walk.make_off("main earth");
    walk.begin_span("A", "2.50 N.m");
    walk.ok(&clicked("main earth", "A"));
    walk.ok(&torque("main earth", "A", TorqueResult::NotClicked { why: NotClicked::Spins }));
    walk.end_span("A", "4.00 N.m");
    assert_eq!(walk.at("main earth").need, Some(Need::Strands));
    walk.ok(&strands("main earth", Strands::Sound, DecidedTo::Keep));
    assert_eq!(walk.at("main earth").need, Some(Need::LookAtScrew { again: true }));
}

#[test]
fn a_first_screw_redone_before_its_scale_was_put_right_is_the_one_the_second_follows() {
    let mut walk = Walk::begun();
    walk.make_off("main earth");
    walk.begin_span("A", "2.50 N.m");
    walk.ok(&clicked("main earth", "A"));
    walk.ok(&clicked("main earth", "A"));
    walk.end_span("A", "1.50 N.m");
    let low = walk.last();
    walk.begin_span("A", "2.50 N.m");
    walk.ok(&clicked("main earth", "A"));
    let again = walk.last();
    walk.slip(low, |fact| {
        let Fact::Scale(scale) = fact else { panic!() };
        scale.read = scale.required;
    });
    let standing = walk.at("main earth");
    assert_eq!(standing.answer(Step::Torque { screw: 1, pass: 1 }).unwrap().seq, again);
    assert!(standing.answer(Step::Torque { screw: 2, pass: 1 }).is_none());
}

/// The starting scale of the only span, put right to another reading.
fn start_was(walk: &mut Walk, shown: &str) {
    let start = walk.visit.spans()[0].start_seq;
    let read = witnessmark::domain::torque::Torque::read(shown).unwrap();
    walk.slip(start, |fact| {
        let Fact::Scale(scale) = fact else { panic!() };
        scale.read = read;
    });
}

#[test]
fn a_start_put_right_as_too_low_asks_for_a_remake_where_a_second_torque_is_forbidden() {
    let mut walk = Walk::begun();
    walk.make_off("incomer N");
    walk.begin_span("A", "2.00 N.m");
    walk.ok(&clicked("incomer N", "A"));
    start_was(&mut walk, "1.50 N.m");
    assert_eq!(walk.at("incomer N").need, Some(Need::Remake));
}

#[test]
fn a_start_put_right_does_not_undo_what_was_found_at_the_screw() {
    let mut walk = Walk::begun();
    walk.make_off("1 line");
    walk.begin_span("A", "2.00 N.m");
    walk.ok(&torque("1 line", "A", TorqueResult::NotClicked { why: NotClicked::Stripped }));
    start_was(&mut walk, "1.50 N.m");
    assert_eq!(walk.at("1 line").need, Some(Need::Replace));
}

#[test]
fn a_start_put_right_as_high_but_within_the_limits_is_a_remark() {
    let mut walk = Walk::begun();
    walk.make_off("1 neutral");
    walk.begin_span("A", "2.00 N.m");
    walk.ok(&clicked("1 neutral", "A"));
    start_was(&mut walk, "2.10 N.m");
    let standing = walk.at("1 neutral");
    assert_eq!((standing.need, &standing.remarks[..]), (None, &[RemarkWhy::ScaleHighWithinLimits][..]));
}

#[test]
fn nothing_is_tightened_in_a_span_whose_start_was_put_right_as_wrong() {
    let mut walk = Walk::begun();
    walk.make_off("1 line");
    walk.begin_span("A", "2.00 N.m");
    start_was(&mut walk, "1.50 N.m");
    assert_eq!(walk.no(&clicked("1 line", "A")).kind(), "span_runs");
}

#[test]
fn the_last_look_tugs_so_it_waits_for_the_gate_and_for_no_live_tail() {
    let mut walk = Walk::begun();
    let look = last_look_at([Tug::Firm; 2], [MarkSeen::Held; 2]);
    walk.ok(&beginning(SessionCause::Resumed));
    assert_eq!(walk.no(&look).kind(), "gate_first");
    walk.ok(&gate(SourceState::Live, None));
    assert_eq!(walk.no(&look).kind(), "live");
}

#[test]
fn a_tail_that_moved_at_the_last_look_is_open_after_every_line_of_it() {
    let mut walk = Walk::begun();
    walk.make_off("incomer L");
    walk.begin_span("A", "2.50 N.m");
    walk.ok(&clicked("incomer L", "A"));
    walk.ok(&tug(&["incomer L"], Tug::Firm));
    walk.ok(&mark("incomer L"));
    walk.end_span("A", "2.50 N.m");
    assert_eq!(walk.at("incomer L").outcome, Outcome::Complete);
    let before = walk.last();
    walk.ok(&last_look_at([Tug::Firm; 2], [MarkSeen::Moved, MarkSeen::Held]));
    for line in walk.visit.lines().iter().filter(|line| line.seq > before) {
        let upto = usize::try_from(line.seq.0).unwrap();
        let cut = witnessmark::session::replay(&walk.visit.lines()[..upto]);
        let at = cut.find(&"incomer L".into()).unwrap();
        assert_eq!(cut.standing(at).unwrap().outcome, Outcome::Open);
    }
}

#[test]
fn a_mark_is_made_once_however_often_its_terminal_is_named() {
    let mut walk = Walk::begun();
    walk.make_off("1 line");
    walk.begin_span("A", "2.00 N.m");
    walk.ok(&clicked("1 line", "A"));
    walk.ok(&tug(&["1 line"], Tug::Firm));
    let twice = Act::Mark {
        terminals: vec!["1 line".into(), "1 line".into()],
        result: witnessmark::domain::record::MarkResult::Made,
        mode: witnessmark::domain::record::Mode::Singly,
    };
    assert_eq!(walk.no(&twice).kind(), "not_together");
}

#[test]
fn a_reading_is_plain_text_and_no_less_than_nothing_also_as_a_slip() {
    let mut walk = Walk::begun();
    walk.make_off("1 line");
    let shown = |text: &str, value: &str| TorqueResult::Reading {
        text: text.into(),
        value: value.parse().unwrap(),
        unit: witnessmark::domain::torque::Unit::NewtonMetre,
    };
    assert_eq!(walk.no(&torque("1 line", "D", shown("2.0\u{202e}", "2.0"))).kind(), "bad_text");
    walk.ok(&read("1 line", "D", "2.0"));
    for (result, kind) in [(shown("2.1\u{7}", "2.1"), "bad_text"), (shown("-2", "-2"), "bad_quantity")] {
        let mut fact = walk.visit.line(walk.last()).unwrap().fact.clone();
        let Fact::Torqued(torqued) = &mut fact else { panic!() };
        torqued.result = result;
        let slip =
            Act::Correct { seq: walk.last(), terminal: None, fact: Box::new(fact), why: "mistyped".into() };
        assert_eq!(walk.no(&slip).kind(), kind);
    }
}

#[test]
fn a_slip_is_held_to_what_the_first_answer_was_held_to() {
    let mut walk = Walk::begun();
    walk.make_off("1 line");
    let prepared = walk.visit.lines().iter().find(|line| line.fact.kind() == "prepared").unwrap().clone();
    walk.begin_span("A", "2.00 N.m");
    let start = walk.visit.line(walk.last()).unwrap().clone();
    let kind = |line: &witnessmark::domain::record::Line, change: &dyn Fn(&mut Fact)| {
        let mut fact = line.fact.clone();
        change(&mut fact);
        let fact = Box::new(fact);
        walk.no(&Act::Correct { seq: line.seq, terminal: None, fact, why: "mistyped".into() }).kind()
    };
    let brushed = |fact: &mut Fact| {
        let Fact::Prepared(f) = fact else { panic!() };
        f.aluminium = vec![witnessmark::domain::conductor::AluminiumCare::Brushed];
    };
    assert_eq!(kind(&prepared, &brushed), "choice_not_possible");
    let below_nothing = |fact: &mut Fact| {
        let Fact::Scale(f) = fact else { panic!() };
        f.read = witnessmark::domain::torque::Torque::new((-1).into(), f.read.unit);
    };
    assert_eq!(kind(&start, &below_nothing), "bad_quantity");
    let reset_at_start = |fact: &mut Fact| {
        let Fact::Scale(f) = fact else { panic!() };
        f.read.value += rust_decimal::Decimal::ONE;
        f.reset = Some(witnessmark::domain::record::Reset { by: "R. Ashdown".into(), why: "more".into() });
    };
    assert_eq!(kind(&start, &reset_at_start), "not_a_slip");
}

#[test]
fn a_low_scale_of_the_second_screw_leaves_the_first_as_it_stood() {
    let mut walk = Walk::begun();
    walk.make_off("main earth");
    walk.begin_span("A", "2.50 N.m");
    walk.begin_span("B", "22 lbf.in");
    walk.ok(&clicked("main earth", "A"));
    walk.ok(&clicked("main earth", "B"));
    walk.end_span("B", "10 lbf.in");
    assert_eq!(walk.at("main earth").next_step(), Some(Step::Torque { screw: 2, pass: 1 }));
}

/// A fixed tool of 2.0 N.m.
fn fixed(walk: &Walk) -> Torque {
    walk.visit.tool(&"C".into()).unwrap().tool.required(&nm("2.0")).unwrap()
}

#[test]
fn a_fixed_tool_is_read_anew_after_a_doubt_and_a_scale_after_the_work_covers_no_later_torque() {
    let mut walk = Walk::begun();
    walk.make_off("1 line");
    walk.make_off("2 line");
    let row = |name: &str, scale_after| Act::TorqueRow {
        terminals: vec![name.into()],
        tool: "C".into(),
        scale_after,
        count: 1,
        exceptions: Vec::new(),
        mode: Mode::Row,
    };
    walk.ok(&row("1 line", Some(fixed(&walk))));
    assert_eq!(walk.no(&clicked("2 line", "C")), Refusal::ScaleFirst("C".into()));
    walk.begin_span("C", "2.0 N.m");
    assert!(decide(&walk.visit, &me(), &clicked("2 line", "C")).is_ok());
    walk.ok(&Act::DoubtTool { tool: "C".into(), what: "dropped".into() });
    walk.ok(&Act::ReleaseTool { tool: "C".into(), by: "the owner".into(), why: "looked at".into() });
    assert_eq!(walk.no(&clicked("2 line", "C")), Refusal::ScaleFirst("C".into()));
}

#[test]
fn a_reading_mistyped_before_its_tool_was_doubted_can_be_put_right_after_it() {
    let mut walk = Walk::begun();
    walk.make_off("1 cpc");
    walk.ok(&read("1 cpc", "D", "1.9"));
    let mistyped = walk.last();
    walk.ok(&Act::DoubtTool { tool: "D".into(), what: "dropped".into() });
    walk.slip(mistyped, |fact| {
        let Fact::Torqued(torqued) = fact else { panic!("a torque") };
        torqued.result =
            TorqueResult::Reading { text: "2.1".into(), value: nm("2.1").value, unit: nm("2.1").unit };
    });
    assert_eq!(walk.no(&read("1 line", "D", "2.0")), Refusal::StepFirst("1 line".into(), "prepare"));
}

#[test]
fn a_wait_the_maker_asks_for_is_not_left_out() {
    let mut walk = Walk::begun();
    for name in ["5 cpc", "5 line"] {
        walk.make_off(name);
        walk.begin_span("A", "2.00 N.m");
        walk.ok(&clicked(name, "A"));
        walk.ok(&tug(&[name], Tug::Firm));
        walk.ok(&mark(name));
        walk.end_span("A", "2.00 N.m");
        assert_eq!(walk.at(name).outcome, Outcome::Settling);
    }
    let waive = |name: &str| Act::WaiveSettle { terminal: name.into(), why: "the last train leaves".into() };
    assert!(matches!(walk.no(&waive("5 cpc")), Refusal::ChoiceNotPossible(_)));
    walk.ok(&waive("5 line"));
    assert_eq!(walk.at("5 line").outcome, Outcome::CompleteWithRemark);
}

/// It was typed twice alike before it was recorded: the answers stand again, and the remark stays. Our own rule; a closing scale
/// that agreed when it was typed leaves none.
#[test]
fn a_closing_scale_put_right_brings_the_answers_back_with_a_remark() {
    for (first, remarked) in [("1.00 N.m", true), ("3.00 N.m", true), ("2.00 N.m", false)] {
        let mut walk = Walk::begun();
        walk.make_off("1 line");
        walk.begin_span("A", "2.00 N.m");
        walk.ok(&clicked("1 line", "A"));
        walk.ok(&tug(&["1 line"], Tug::Firm));
        walk.ok(&mark("1 line"));
        walk.end_span("A", first);
        let seq = walk.last();
        walk.slip(seq, |fact| {
            let Fact::Scale(scale) = fact else { panic!("{fact:?}") };
            scale.read = nm("1.99");
        });
        assert_eq!(walk.at("1 line").remarks.contains(&RemarkWhy::ScalePutRight), remarked, "{first}");
        let outcome = if remarked { Outcome::CompleteWithRemark } else { Outcome::Complete };
        assert_eq!(walk.at("1 line").outcome, outcome, "{first}");
        agrees(&walk.visit);
    }
}
