//! Standings bent by hand, each found by its number. (What bent lines break is shown in the integration tests.)

use super::super::act::{Act, OpenVisit};
use super::super::apply::apply;
use super::super::decide::decide;
use super::super::standing::{Answered, Struck, StruckWhy};
use super::super::steps::Step;
use super::super::visit::Visit;
use super::check;
use crate::domain::names::{PersonId, Seq};
use crate::domain::record::{AsideWhy, Attempt, Draft, Fact, Outcome};
use serde_json::{Value, json};

fn take(visit: Visit, fact: Value) -> Visit {
    let fact: Fact = serde_json::from_value(fact).unwrap();
    taken(visit, fact)
}

fn taken(visit: Visit, fact: Fact) -> Visit {
    let time = crate::domain::moment::Moment::read("2026-11-25T09:13:47+01:00").unwrap();
    let me = PersonId::from("P1");
    let draft = Draft { seq: visit.next_seq(), time, who: me.clone(), writer: me, fact };
    apply(visit, &draft.linked("0".repeat(64)))
}

/// One terminal, second torque forbidden, complete.
fn complete() -> Visit {
    let row = json!({"stated": {"single": {"value": {"value": "2.0", "unit": "N.m"}}},
        "source": {"read_at": "on_device", "reference": ""}});
    let board = json!({"reference": "T", "title": "T", "site": "S", "location": "L", "standard": "own", "edition": "1",
        "supply": "single_phase", "rated_a": "63", "ways": 1, "devices": [], "places": [],
        "clamps": [{"name": "cage", "kind": "cage", "screws": 1, "conductors_max": 1, "aluminium": false,
            "second_torque_forbidden": true, "mark_visible": true, "torque": [row]}],
        "terminals": [{"name": "1", "place": "p", "clamp": "cage", "role": "line", "spare": false, "tail": false,
            "conductors": [{"csa_mm2": "4", "class": "stranded", "metal": "copper"}]}]});
    let person =
        crate::domain::record::Person { id: "P1".into(), name: "R".into(), role: "electrician".into() };
    let open = Act::Open(Box::new(OpenVisit {
        program: "p".into(),
        id: "abcdefgh".into(),
        person,
        visit: crate::domain::record::VisitKind::First,
        rehearsal: false,
        follows: None,
        certificate: String::new(),
        board: serde_json::from_value(board).unwrap(),
        board_sha256: "0".repeat(64),
        decision_rule: crate::domain::verdict::DecisionRule::SimpleAcceptance,
        own_tolerance: None,
    }));
    let opened = decide(&Visit::empty(), &"P1".into(), &open).unwrap().remove(0);
    let scale = |at: &str| {
        json!({"scale": {"tool": "A", "span": "A1", "at": at, "agrees": true,
            "required": {"value": "2.0", "unit": "N.m"}, "read": {"value": "2.0", "unit": "N.m"}}})
    };
    let facts = [
        json!({"session": {"nonce": "n", "program": "p", "cause": "opened"}}),
        json!({"tool": {"id": "A", "serial": "1", "name": "A", "kind": "setting", "unit": "N.m",
            "range": {"min": "1", "max": "5"}, "graduation": "0.1", "validity": "valid"}}),
        json!({"gates": {"person": "P1", "dead_by": "R", "proved_with": "t", "locked_off": "l",
            "sources": [{"what": "incoming", "feeds": [], "state": "dead"}]}}),
        json!({"prepared": {"for": ["1"], "attempt": 1, "how": "lug", "mode": "singly"}}),
        json!({"entered": {"for": ["1"], "attempt": 1, "right": true, "mode": "singly"}}),
        scale("start"),
        torqued(),
        json!({"tugged": {"for": ["1"], "attempt": 1, "round": 0, "result": "firm", "mode": "singly"}}),
        json!({"marked": {"terminals": ["1"], "attempt": 1, "round": 0, "result": "made", "mode": "singly"}}),
        scale("end"),
    ];
    let visit = facts.into_iter().fold(taken(Visit::empty(), opened), take);
    assert_eq!((check(&visit), visit.counts().complete), (Ok(()), 1));
    visit
}

fn torqued() -> Value {
    json!({"torqued": {"terminals": ["1"], "attempt": 1, "round": 0, "tool": "A", "serial": "1", "span": "A1",
        "result": "clicked", "required": {"value": "2.0", "unit": "N.m"},
        "limits": {"unit": "N.m", "basis": "single", "source": "on the device"}, "rules": 1,
        "verdict": "by_setting", "mode": "singly"}})
}

fn bent(bend: impl FnOnce(&mut Visit)) -> u8 {
    let mut visit = complete();
    bend(&mut visit);
    check(&visit).unwrap_err().number
}

#[test]
fn two_every_terminal_stands_at_one_outcome_of_the_board() {
    assert_eq!(bent(|visit| visit.standings.clear()), 2);
    assert_eq!(bent(|visit| visit.standings[0].outcome = Outcome::SetAside), 2);
    assert_eq!(bent(|visit| visit.standings[0].aside = Some(AsideWhy::NoAccess)), 2);
}

#[test]
fn three_complete_is_every_step_good_and_a_span_that_agrees_at_both_ends() {
    assert_eq!(bent(|visit| visit.standings[0].answers[4] = None), 3);
    assert_eq!(bent(|visit| visit.standings[0].outcome = Outcome::CompleteWithRemark), 3);
    assert_eq!(bent(|visit| visit.spans[0].ended = crate::session::SpanEnd::Open), 3);
    assert_eq!(bent(|visit| visit.spans[0].start_agrees = false), 3);
    assert_eq!(bent(|visit| visit.tools[0].tool.validity = crate::domain::tool::Validity::NotStated), 3);
    let struck = Struck {
        seq: Seq(8),
        step: Step::Torque { screw: 1, pass: 1 },
        why: StruckWhy::ScaleTooLow,
        attempt: Attempt(1),
    };
    assert_eq!(bent(|visit| visit.standings[0].struck.push(struck)), 3);
}

#[test]
fn four_answers_stand_in_the_order_of_the_steps() {
    let open = |visit: &mut Visit| visit.standings[0].outcome = Outcome::Open;
    assert_eq!(
        bent(|visit| {
            open(visit);
            visit.standings[0].answers[2] = None;
        }),
        4
    );
    assert_eq!(
        bent(|visit| {
            open(visit);
            visit.standings[0].answers.swap(1, 3);
        }),
        4
    );
    let late = Some(Answered { seq: Seq(99), good: true });
    assert_eq!(
        bent(|visit| {
            open(visit);
            visit.standings[0].answers[0] = late;
        }),
        4
    );
}

#[test]
fn seven_the_attempt_is_the_one_it_was_remade_to() {
    assert_eq!(bent(|visit| visit.standings[0].attempt = Attempt(2)), 7);
}

#[test]
fn eight_only_what_asks_for_it_settles() {
    assert_eq!(bent(|visit| visit.standings[0].outcome = Outcome::Settling), 8);
}

#[test]
fn nine_no_two_clicks_stand_where_a_second_is_forbidden() {
    // the second click is forged and its span still open there
    let mut visit = complete();
    let scale = visit.lines.pop().unwrap();
    visit = super::super::apply::replay(&visit.lines.clone());
    visit = take(visit, torqued());
    visit = taken(visit, scale.fact);
    visit.standings[0].struck.clear();
    visit.standings[0].outcome = Outcome::Open;
    assert_eq!(check(&visit).unwrap_err().number, 9);
}
