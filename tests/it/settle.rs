//! Settling: a wait that runs while the walk goes on, the same torque once more, and what is done when it moved.
//! *Common practice, no source* for the wait itself; moved twice means remake is the project's own rule.

use super::desk::{Person, at};
use witnessmark::domain::record::{Fact, Outcome, SettleKnown, Turned};
use witnessmark::session::desk::{Event, Input, Left, Question, drive};
use witnessmark::session::{Act, Need, Refusal, TerminalIndex, decide};

/// The ticket office with a settle rule on its outgoing cages.
pub(crate) fn office() -> String {
    let office = include_str!("../../boards/ticket-office.ron");
    let rule = "kind: Cage, thread: \"M5\", drive: \"PZ2\", strip: \"14 mm\", conductors: 2,";
    assert!(office.contains(rule));
    office.replace(rule, &format!("{rule} settle: Settle(wait: \"15 min\", asked_by: OwnPractice),"))
}

fn settled(question: &Question) -> bool {
    question.text.contains("settled: the same torque")
}

fn settling(person: &Person) -> Vec<TerminalIndex> {
    person
        .state
        .visit
        .terminals()
        .filter(|(_, _, s)| s.outcome == Outcome::Settling)
        .map(|(at, _, _)| at)
        .collect()
}

/// Walks until the first question after a wait; the clock runs five seconds an answer.
fn to_first_round(person: &mut Person) -> TerminalIndex {
    person.until(settled);
    person.state.desk.focus.unwrap()
}

#[test]
fn waits_run_while_the_walk_goes_on_and_every_terminal_is_tightened_once_more() {
    let mut person = Person::at_board(&office());
    let mut seen_waiting_while_walking = false;
    for _ in 0..6_000 {
        if person.state.desk.left.is_some() {
            break;
        }
        seen_waiting_while_walking |=
            !settling(&person).is_empty() && person.state.question().text.contains("to the click");
        if person.state.question().text.contains("Nothing else is left:") {
            person.second += 60;
        }
        person.answers_well();
    }
    assert_eq!(person.state.desk.left, Some(Left::Ended));
    assert!(seen_waiting_while_walking, "a wait never holds the walk up");
    let held = person
        .memory
        .lines
        .iter()
        .filter(
            |line| matches!(&line.fact, Fact::Torqued(f) if f.round == 1 && f.turned == Some(Turned::Held)),
        )
        .count();
    let cages = person
        .state
        .visit
        .terminals()
        .filter(|(_, t, s)| t.clamp.as_str() == "outgoing cage" && s.aside.is_none())
        .count();
    assert_eq!(held, cages);
    assert!(person.state.visit.counts().with_remark == 0);
}

#[test]
fn moved_once_settles_once_more_and_moved_twice_is_remade() {
    let mut person = Person::at_board(&office());
    let first = to_first_round(&mut person);
    person.says("moved");
    person.until(|question| question.about != Some(first));
    let standing = person.state.visit.standing(first).unwrap();
    assert_eq!((standing.outcome, standing.round), (Outcome::Settling, 1));
    person.second += 16 * 60;
    for _ in 0..2_000 {
        if settled(&person.state.question()) && person.state.desk.focus == Some(first) {
            break;
        }
        person.answers_well();
    }
    assert_eq!(person.state.desk.focus, Some(first), "it comes back for its second round");
    person.says("m");
    let standing = person.state.visit.standing(first).unwrap();
    assert_eq!((standing.need, standing.round), (Some(Need::Remake), 2));
}

#[test]
fn a_tug_that_shifts_after_settling_counts_as_moved() {
    let mut person = Person::at_board(&office());
    let first = to_first_round(&mut person);
    person.says("held");
    person.says("shifted");
    person.until(|question| question.about != Some(first));
    assert_eq!(person.state.visit.standing(first).unwrap().outcome, Outcome::Settling);
}

#[test]
fn what_shifted_after_settling_is_not_left_unsettled() {
    let mut person = Person::at_board(&office());
    let first = to_first_round(&mut person);
    person.says("held");
    person.says("shifted");
    person.until(|question| question.about != Some(first));
    let visit = &person.state.visit;
    let terminal = visit.terminal(first).unwrap().name.clone();
    let waive = Act::WaiveSettle { terminal, why: "the last train leaves".into() };
    let refused = decide(visit, &person.state.desk.who, &waive);
    assert!(matches!(refused, Err(Refusal::ChoiceNotPossible(_))), "{refused:?}");
}

#[test]
fn a_wait_that_ends_in_front_of_the_person_is_timed_when_it_ends() {
    let mut person = Person::at_board(&office());
    while settling(&person).is_empty() {
        person.answers_well();
    }
    let first = settling(&person)[0];
    person.does(witnessmark::session::desk::Command::Go(first));
    let since = person.state.visit.standing(first).unwrap().settling.unwrap().since;
    let ends = person.state.visit.line(since).unwrap().time.at + jiff::SignedDuration::from_mins(15);
    let said = person.state.question().text;
    // a wait that ends at 09:17:12 is over at 09:18 by a clock without seconds, never at 09:17
    let whole = person.state.visit.line(since).unwrap().time.clock_not_before();
    assert!(said.contains("settles until") && !said.contains(&whole), "{said}");
    let second = ends.as_second() - at(0).wall.at.as_second();
    person.state = drive(person.state, Event::Input(at(second), Input::Due), &mut person.memory);
    let line = person.memory.lines.last().unwrap();
    let Fact::SettleReady(ready) = &line.fact else { panic!("{line:?}") };
    assert_eq!((ready.how, line.time.at), (SettleKnown::Timed, ends));
    assert_eq!(person.state.question().about, Some(first));
}

#[test]
fn a_wait_is_not_over_early_and_a_clock_that_went_back_asks_the_person() {
    let mut person = Person::at_board(&office());
    while settling(&person).is_empty() {
        person.answers_well();
    }
    let first = settling(&person)[0];
    person.does(witnessmark::session::desk::Command::Go(first));
    assert!(person.state.question().text.contains("settles until"), "{:?}", person.state.question());
    let mut stamp = at(person.second + 5);
    stamp.wall.at -= jiff::SignedDuration::from_secs(3_600);
    let state = person.state.clone();
    person.state = drive(state, Event::Input(stamp, Input::Woke), &mut person.memory);
    // From here the wall runs an hour behind.
    person.behind = 3_600;
    while !person.state.question().text.contains("clock went back") {
        person.answers_well();
    }
    person.says("");
    assert!(person.note().contains("never offered"));
    person.says("waited");
    let how = person.memory.lines.iter().rev().find_map(|line| match &line.fact {
        Fact::SettleReady(ready) => Some(ready.how),
        _ => None,
    });
    assert_eq!(how, Some(SettleKnown::Stated));
}

#[test]
fn own_practice_may_be_left_with_a_reason_and_is_complete_with_remark_only() {
    let mut person = Person::at_board(&office());
    person.until(|question| question.text.contains("Nothing else is left:") || settled(question));
    let waiting = settling(&person);
    assert!(!waiting.is_empty());
    person.does(witnessmark::session::desk::Command::List);
    let witnessmark::session::desk::Answers::Choice(list) = person.state.question().answers else { panic!() };
    let sign_off = list.iter().position(|entry| entry == "sign off").unwrap() + 1;
    person.says(&sign_off.to_string());
    while !person.state.question().text.contains("Still open") {
        person.answers_well();
    }
    person.says("3");
    person.says("the last train leaves");
    for at in waiting {
        assert_eq!(person.state.visit.standing(at).unwrap().outcome, Outcome::CompleteWithRemark);
    }
}
