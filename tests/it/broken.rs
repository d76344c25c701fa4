//! Each invariant that a record can break is broken here by lines that `decide` would never give, and found by its
//! number. `apply` takes everything in, so this shows the check and not the rules.

use crate::acts::{self, gate, me};
use crate::walk::{Walk, clicked, mark, tug};
use serde_json::{Value, json};
use witnessmark::domain::names::Seq;
use witnessmark::domain::record::{Fact, SourceState, Tug};
use witnessmark::session::{Visit, apply, closing, invariant};

/// Takes a forged fact in and gives the number of what it breaks; 0 where nothing is broken.
fn broken(walk: &Walk, fact: &Value) -> u8 {
    let fact: Fact = serde_json::from_value(fact.clone()).unwrap();
    forged(&walk.visit, fact)
}

fn forged(visit: &Visit, fact: Fact) -> u8 {
    let line = acts::line(visit, fact);
    invariant::check(&apply(visit.clone(), &line)).map_or_else(|broken| broken.number, |()| 0)
}

/// A walk with `1 line` tightened by A in an open span, and the torque it wrote.
fn tightened() -> (Walk, Value) {
    let mut walk = Walk::begun();
    walk.make_off("1 line");
    walk.make_off("2 line");
    walk.begin_span("A", "2.00 N.m");
    walk.ok(&clicked("1 line", "A"));
    let torqued = serde_json::to_value(&walk.visit.line(walk.last()).unwrap().fact).unwrap();
    (walk, torqued)
}

fn prepared(name: &str) -> Value {
    json!({"prepared": {"for": [name], "attempt": 1, "how": "lug", "mode": "singly"}})
}

#[test]
fn one_lines_are_numbered_and_begin_and_end_once() {
    let walk = Walk::begun();
    let Fact::Opened(opened) = walk.visit.lines()[0].fact.clone() else { panic!() };
    assert_eq!(forged(&walk.visit, Fact::Opened(opened)), 1);
    let mut gap = acts::line(&walk.visit, serde_json::from_value(prepared("1 line")).unwrap());
    gap.seq = Seq(gap.seq.0 + 1);
    let visit = apply(walk.visit.clone(), &gap);
    assert_eq!(invariant::check(&visit).unwrap_err().number, 1);
    let mut ended = Walk::begun();
    ended.ok(&witnessmark::session::Act::Abandon { why: "burnt".into(), told: "the owner".into() });
    assert_eq!(broken(&ended, &prepared("1 line")), 1);
}

#[test]
fn five_a_click_names_an_open_span_of_its_tool_at_its_setting() {
    let (mut walk, torqued) = tightened();
    let with = |change: &dyn Fn(&mut Value)| {
        let mut forged = torqued.clone();
        forged["torqued"]["terminals"] = json!(["2 line"]);
        change(&mut forged["torqued"]);
        forged
    };
    assert_eq!(broken(&walk, &with(&|_| {})), 0, "as decide would write it");
    assert_eq!(broken(&walk, &with(&|t| t["tool"] = json!("B"))), 5);
    assert_eq!(broken(&walk, &with(&|t| t["required"]["value"] = json!("2.05"))), 5);
    assert_eq!(broken(&walk, &with(&|t| t["span"] = Value::Null)), 5);
    let scale = |at: &str| {
        json!({"scale": {"tool": "A", "span": if at == "start" { "A2" } else { "A1" }, "at": at, "agrees": true,
            "required": {"value": "2.00", "unit": "N.m"}, "read": {"value": "2.00", "unit": "N.m"}}})
    };
    assert_eq!(broken(&walk, &scale("start")), 5, "a second open span");
    walk.end_span("A", "2.00 N.m");
    assert_eq!(broken(&walk, &with(&|_| {})), 5, "the span has ended");
    assert_eq!(broken(&walk, &scale("end")), 5, "ended twice");
}

#[test]
fn six_nothing_is_touched_before_the_gate_nor_where_it_is_live() {
    let (mut walk, torqued) = tightened();
    walk.ok(&acts::beginning(witnessmark::domain::record::SessionCause::Gap));
    assert_eq!(broken(&walk, &prepared("1 neutral")), 6);
    let tugged = json!({"last_look": {"tails": [{"terminal": "incomer L", "tug": "firm", "mark": "held"}],
        "covers": "back", "locks_and_tools_out": "out"}});
    assert_eq!(broken(&walk, &tugged), 6, "a last look tugs");
    walk.ok(&gate(SourceState::Dead, Some("1 cpc")));
    assert_eq!(broken(&walk, &prepared("1 neutral")), 0);
    assert_eq!(broken(&walk, &prepared("1 cpc")), 6);
    let mut late = torqued;
    late["torqued"]["terminals"] = json!(["2 line"]);
    assert_eq!(broken(&walk, &late), 6, "a span of an earlier session");
}

#[test]
fn seven_attempts_are_counted_one_by_one() {
    let (walk, _) = tightened();
    let remade = |attempt: u32| json!({"remade": {"terminal": "1 line", "attempt": attempt, "for": ["1 line"], "why": "x"}});
    assert_eq!((broken(&walk, &remade(2)), broken(&walk, &remade(3)), broken(&walk, &remade(1))), (0, 7, 7));
    let ahead =
        json!({"tugged": {"for": ["1 line"], "attempt": 2, "round": 0, "result": "firm", "mode": "singly"}});
    assert_eq!(broken(&walk, &ahead), 7);
}

#[test]
fn ten_what_is_named_was_there_before() {
    let (walk, _) = tightened();
    let tool_doubted = json!({"tool_doubted": {"tool": "Z", "what": "dropped", "note": ""}});
    assert_eq!(broken(&walk, &tool_doubted), 10);
    assert_eq!(broken(&walk, &json!({"signed": {"person": "P7", "as": "done by"}})), 10);
    let on = json!({"remark": {"on": {"remark": 2}, "text": "x", "cleared": true}});
    assert_eq!(broken(&walk, &on), 10, "line 2 is no remark");
    let corrected = |seq: u64, fact: Value| json!({"corrected": {"seq": seq, "fact": fact, "why": "x"}});
    assert_eq!(broken(&walk, &corrected(900, prepared("1 line"))), 10);
    assert_eq!(broken(&walk, &corrected(2, prepared("1 line"))), 10, "of another kind");
    let seq = walk.visit.lines().iter().find(|line| line.fact.kind() == "prepared").unwrap().seq.0;
    assert_eq!(broken(&walk, &corrected(seq, prepared("2 line/1"))), 10, "about another terminal");
}

#[test]
fn twelve_only_a_rehearsal_answers_itself() {
    let walk = Walk::begun();
    let mut itself = prepared("1 line");
    itself["prepared"]["mode"] = json!("rehearsed");
    assert_eq!(broken(&walk, &itself), 12);
}

#[test]
fn thirteen_a_doubted_tool_gives_no_torque_until_it_is_released() {
    let (mut walk, torqued) = tightened();
    let mut next = torqued;
    next["torqued"]["terminals"] = json!(["2 line"]);
    let take = |walk: &mut Walk, fact: Value| {
        let line = acts::line(&walk.visit, serde_json::from_value(fact).unwrap());
        walk.visit = apply(walk.visit.clone(), &line);
    };
    take(&mut walk, json!({"tool_doubted": {"tool": "A", "what": "dropped", "note": ""}}));
    assert_eq!(broken(&walk, &next), 13);
    take(&mut walk, json!({"tool_released": {"tool": "A", "by": "owner", "why": "checked"}}));
    assert_eq!(broken(&walk, &next), 0);
}

#[test]
fn fourteen_a_closed_visit_left_nothing_behind() {
    let (mut walk, _) = tightened();
    assert_eq!(forged(&walk.visit, Fact::Closed(Box::new(closing(&walk.visit)))), 14, "an open span");
    walk.ok(&tug(&["1 line"], Tug::Firm));
    walk.ok(&mark("1 line"));
    walk.end_span("A", "2.00 N.m");
    let close = |walk: &Walk| forged(&walk.visit, Fact::Closed(Box::new(closing(&walk.visit))));
    assert_eq!(close(&walk), 14, "open terminals");
    let rest: Vec<_> = walk
        .visit
        .terminals()
        .filter(|(_, t, _)| t.name.as_str() != "1 line")
        .map(|(_, t, _)| t.name.clone())
        .collect();
    let why = witnessmark::domain::record::AsideWhy::Other("later".into());
    walk.ok(&witnessmark::session::Act::SetAside { terminals: rest.clone(), why });
    assert_eq!(close(&walk), 14, "nobody told");
    let nobody = json!({"told": {"terminals": rest}});
    assert_eq!(broken(&walk, &nobody), 14, "nobody needed telling, for spare ways only");
    walk.ok(&witnessmark::session::Act::Tell { terminals: rest, whom: Some("S. Birch".into()) });
    assert_eq!(close(&walk), 14, "no last look");
    walk.ok(&witnessmark::session::Act::LastLook {
        tails: vec![],
        why_not: Some("no light".into()),
        covers: "back".into(),
        locks_and_tools_out: "out".into(),
        energised_by: None,
    });
    assert_eq!(close(&walk), 14, "no signature");
    walk.ok(&witnessmark::session::Act::Sign { person: me(), capacity: "done by".into() });
    let mut false_lines = closing(&walk.visit);
    false_lines.lines += 1;
    assert_eq!(forged(&walk.visit, Fact::Closed(Box::new(false_lines))), 14, "lines miscounted");
    let mut false_outcome = closing(&walk.visit);
    false_outcome.outcomes.swap(2, 3);
    assert_eq!(
        forged(&walk.visit, Fact::Closed(Box::new(false_outcome))),
        14,
        "outcomes not those recomputed"
    );
    assert_eq!(close(&walk), 0);
}
