//! Trade facts, told as short walks over the machine. Each is common practice, no source.

use crate::walk::{Walk, clicked, last_look_at, mark, read, strands, torque, tug};
use witnessmark::domain::conductor::Preparation;
use witnessmark::domain::names::TerminalName;
use witnessmark::domain::record::{
    AsideWhy, DecidedTo, Fact, MarkSeen, Mode, NotClicked, Outcome, Strands, TorqueResult, Tug,
};
use witnessmark::domain::verdict::Verdict;
use witnessmark::session::{Act, Ended, Need, RemarkWhy, Step};

/// Torque, tug and mark of a terminal with one screw, all good, with a running span of A.
fn finish(walk: &mut Walk, name: &str) {
    walk.ok(&clicked(name, "A"));
    tug_and_mark(walk, name);
}

fn tug_and_mark(walk: &mut Walk, name: &str) {
    let at = walk.visit.find(&TerminalName::from(name)).unwrap();
    for conductor in walk.visit.terminal(at).unwrap().conductor_names() {
        walk.ok(&tug(&[conductor.as_str()], Tug::Firm));
    }
    walk.ok(&mark(name));
}

// common practice, no source: none of the ways to prepare an end is favoured
#[test]
fn three_ends_that_differ_only_in_preparation_end_alike() {
    for how in [Preparation::InLay, Preparation::ReTwisted, Preparation::Ferruled] {
        let mut walk = Walk::begun();
        walk.make_off_as("1 line", &how);
        walk.begin_span("A", "2.00 N.m");
        finish(&mut walk, "1 line");
        assert_eq!(walk.at("1 line").outcome, Outcome::Open, "the scale is still to be read");
        walk.end_span("A", "2.00 N.m");
        assert_eq!(walk.at("1 line").outcome, Outcome::Complete, "{how:?}");
    }
}

// common practice, no source: a tug proves nothing at a clamp that is not tightened yet
#[test]
fn a_tug_before_the_torque_is_refused_wherever_the_clamp_has_a_screw() {
    let mut walk = Walk::begun();
    let names: Vec<TerminalName> = walk.visit.terminals().map(|(_, t, _)| t.name.clone()).collect();
    let (mut screwed, mut sprung) = (0, 0);
    for name in names {
        let at = walk.visit.find(&name).unwrap();
        let conductors = walk.visit.terminal(at).unwrap().conductor_names();
        let Some(first) = conductors.first().cloned() else { continue };
        walk.make_off(name.as_str());
        if walk.at(name.as_str()).steps.iter().any(|step| matches!(step, Step::Torque { .. })) {
            let refusal = walk.no(&tug(&[first.as_str()], Tug::Firm));
            assert_eq!(refusal.kind(), "step_first", "{name}");
            assert!(refusal.to_string().contains("torque"), "{refusal}");
            screwed += 1;
        } else {
            walk.ok(&tug(&[first.as_str()], Tug::Firm));
            assert_eq!(walk.at(name.as_str()).outcome, Outcome::Complete, "a spring has no torque");
            sprung += 1;
        }
    }
    assert_eq!((screwed, sprung), (13, 1));
}

// common practice, no source: strands nearly cut through still hold a tug
#[test]
fn a_reading_over_the_limit_is_not_complete_before_the_strands_are_answered() {
    let mut walk = Walk::begun();
    walk.make_off("1 neutral");
    walk.ok(&read("1 neutral", "D", "2.5"));
    assert_eq!(walk.no(&tug(&["1 neutral"], Tug::Firm)).kind(), "strands_first");
    walk.ok(&strands("1 neutral", Strands::Sound, DecidedTo::Keep));
    tug_and_mark(&mut walk, "1 neutral");
    let standing = walk.at("1 neutral");
    assert_eq!(standing.outcome, Outcome::CompleteWithRemark);
    assert_eq!(standing.remarks, [RemarkWhy::OverTightenedKept]);
}

// common practice, no source: cut strands carry less and break later
#[test]
fn cut_strands_mean_a_remake() {
    let mut walk = Walk::begun();
    walk.make_off("1 neutral");
    walk.ok(&read("1 neutral", "D", "2.5"));
    let kept = walk.no(&strands("1 neutral", Strands::Cut, DecidedTo::Keep));
    assert_eq!(kept.kind(), "choice_not_possible");
    walk.ok(&strands("1 neutral", Strands::Cut, DecidedTo::Remake));
    assert_eq!(walk.at("1 neutral").need, Some(Need::Remake));
    assert_eq!(walk.no(&tug(&["1 neutral"], Tug::Firm)).kind(), "remake_first");
    let remake = Act::Remake {
        terminal: "1 neutral".into(),
        conductors: vec!["1 neutral".into()],
        why: "strands cut".into(),
    };
    walk.ok(&remake);
    let standing = walk.at("1 neutral");
    assert_eq!((standing.attempt.0, standing.next_step()), (2, Some(Step::Prepare(0))));
}

// common practice, no source: a scale too high asks to look, however firm the tug was
#[test]
fn a_scale_too_high_at_the_end_of_its_span_asks_to_look() {
    let mut walk = Walk::begun();
    walk.make_off("1 line");
    walk.begin_span("A", "2.00 N.m");
    finish(&mut walk, "1 line");
    walk.end_span("A", "2.50 N.m");
    let standing = walk.at("1 line");
    assert_eq!((standing.outcome, standing.need), (Outcome::Open, Some(Need::Strands)));
    assert!(standing.struck.is_empty(), "nothing is struck out");
    walk.ok(&strands("1 line", Strands::Sound, DecidedTo::Keep));
    assert_eq!(walk.at("1 line").outcome, Outcome::CompleteWithRemark);
}

// common practice, no source: a scale too low means that nothing of its span was tight
#[test]
fn a_scale_too_low_at_the_end_of_its_span_asks_to_tighten_again() {
    let mut walk = Walk::begun();
    walk.make_off("1 line");
    walk.begin_span("A", "2.00 N.m");
    finish(&mut walk, "1 line");
    walk.end_span("A", "1.50 N.m");
    let standing = walk.at("1 line");
    assert_eq!(standing.next_step(), Some(Step::Torque { screw: 1, pass: 1 }));
    assert_eq!(
        (standing.attempt.0, standing.struck.len()),
        (1, 3),
        "torque, tug and mark; the end stays made"
    );
    walk.begin_span("A", "2.00 N.m");
    finish(&mut walk, "1 line");
    walk.end_span("A", "2.00 N.m");
    assert_eq!(walk.at("1 line").outcome, Outcome::Complete);
}

// common practice, no source: where no second torque is allowed, too low leaves only the remake
#[test]
fn a_scale_too_low_asks_for_a_remake_where_a_second_torque_is_forbidden() {
    let mut walk = Walk::begun();
    walk.make_off("incomer N");
    walk.begin_span("A", "2.00 N.m");
    finish(&mut walk, "incomer N");
    walk.end_span("A", "1.50 N.m");
    assert_eq!(walk.at("incomer N").need, Some(Need::Remake));
    assert_eq!(walk.no(&clicked("incomer N", "A")).kind(), "remake_first");
}

// common practice, no source: what a hand feels is no torque
#[test]
fn what_was_tightened_without_a_torque_tool_is_never_as_set() {
    let mut walk = Walk::begun();
    for name in ["1 line", "1 neutral", "1 cpc", "incomer L"] {
        walk.make_off(name);
        let by_hand = Act::Torque {
            terminal: name.into(),
            tool: None,
            result: TorqueResult::ByHand,
            mode: Mode::Singly,
        };
        walk.ok(&by_hand);
        let Fact::Torqued(torqued) = &walk.visit.line(walk.last()).unwrap().fact else { panic!() };
        assert_eq!((torqued.verdict, &torqued.span), (Verdict::NotJudged, &None));
        tug_and_mark(&mut walk, name);
        let standing = walk.at(name);
        assert_eq!(standing.outcome, Outcome::CompleteWithRemark, "{name}");
        assert_eq!(standing.remarks, [RemarkWhy::ByHand]);
    }
}

// common practice, no source: a screw that spins holds nothing; once more, then no more
#[test]
fn a_screw_that_spins_is_tried_once_again_and_not_twice() {
    let mut walk = Walk::begun();
    walk.make_off("1 line");
    walk.begin_span("A", "2.00 N.m");
    let spins = torque("1 line", "A", TorqueResult::NotClicked { why: NotClicked::Spins });
    let again = Act::Decide {
        terminal: "1 line".into(),
        about: witnessmark::domain::record::About::NotClicked,
        strands: None,
        choice: DecidedTo::Again,
        remark: String::new(),
    };
    walk.ok(&spins);
    assert_eq!(walk.no(&clicked("1 line", "A")).kind(), "look_first");
    walk.ok(&again);
    walk.ok(&spins);
    assert_eq!(walk.no(&again).kind(), "choice_not_possible");
}

/// Everything but the tails set aside and told of; the tails complete.
fn all_but_the_last_look() -> Walk {
    let mut walk = Walk::begun();
    walk.make_off("incomer L");
    walk.begin_span("A", "2.50 N.m");
    finish(&mut walk, "incomer L");
    walk.end_span("A", "2.50 N.m");
    walk.make_off("incomer N");
    walk.begin_span("A", "2.00 N.m");
    finish(&mut walk, "incomer N");
    walk.end_span("A", "2.00 N.m");
    let rest: Vec<TerminalName> =
        walk.visit.terminals().filter(|(_, t, _)| !t.tail).map(|(_, t, _)| t.name.clone()).collect();
    walk.ok(&Act::SetAside { terminals: rest.clone(), why: AsideWhy::Other("next week".into()) });
    walk.ok(&Act::Tell { terminals: rest, whom: Some("S. Birch".into()) });
    walk
}

fn sign() -> Act {
    Act::Sign { person: crate::acts::me(), capacity: "done by".into() }
}

// common practice, no source: the tails move when the front goes on
#[test]
fn a_visit_does_not_close_before_the_tails_had_their_last_look() {
    let mut walk = all_but_the_last_look();
    for act in [sign(), Act::Close] {
        let refusal = walk.no(&act);
        assert!(refusal.to_string().contains("last look"), "{refusal}");
    }
    walk.ok(&last_look_at([Tug::Firm; 2], [MarkSeen::Held; 2]));
    walk.ok(&sign());
    walk.ok(&Act::Close);
    assert!(matches!(walk.visit.ended(), Some(Ended::Closed(_))));
}

// common practice, no source: a reason is worth more than a look that never was
#[test]
fn a_visit_closes_without_the_last_look_only_with_a_reason() {
    let mut walk = all_but_the_last_look();
    let look = |why_not: Option<&str>| Act::LastLook {
        tails: vec![],
        why_not: why_not.map(str::to_owned),
        covers: "back".into(),
        locks_and_tools_out: "out".into(),
        energised_by: None,
    };
    assert_eq!(walk.no(&look(None)).kind(), "not_yet");
    walk.ok(&look(Some("the supplier had closed up already")));
    walk.ok(&sign());
    walk.ok(&Act::Close);
}

// common practice, no source: a tail that moved is tightened again, and looked at again
#[test]
fn a_tail_that_moved_is_tightened_and_looked_at_again() {
    let mut walk = all_but_the_last_look();
    walk.ok(&last_look_at([Tug::Firm; 2], [MarkSeen::Moved, MarkSeen::Held]));
    assert_eq!(walk.at("incomer L").next_step(), Some(Step::Torque { screw: 1, pass: 1 }));
    walk.begin_span("A", "2.50 N.m");
    finish(&mut walk, "incomer L");
    walk.end_span("A", "2.50 N.m");
    assert!(walk.no(&sign()).to_string().contains("last look"));
    walk.ok(&last_look_at([Tug::Firm; 2], [MarkSeen::Held; 2]));
    walk.ok(&sign());
    walk.ok(&Act::Close);
}
