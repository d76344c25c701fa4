//! Acceptance limits, decisions, and the risk that a rule leaves.

use super::file::{Row, exact, exact_if_any, rows, same, same_digits, same_probability};
use witnessmark::domain::exact::Exact;
use witnessmark::domain::reckon::conformance::probability;
use witnessmark::domain::reckon::decision::{Band, acceptance_empty, decide, rejected, worst_risk};
use witnessmark::domain::reckon::shape::{Shape, Which};
use witnessmark::domain::verdict::{DecisionRule, Verdict};

pub(super) fn word(verdict: Verdict) -> String {
    verdict.words().replace(' ', "_")
}

pub(super) fn limits(row: &Row) -> Band {
    Band { lower: exact_if_any(&row["lower"]), upper: exact_if_any(&row["upper"]) }
}

fn normal(u: &Exact) -> Shape {
    Shape::of(u, &Exact::zero(), Which::None)
}

/// Source: JCGM 106:2012 clauses 8.2, 8.3.2, 8.3.3; ILAC-G8:09/2019 clause 4.2. That limits belong to their interval is
/// this project's own rule where ILAC-G8 says only above and below.
#[test]
fn decisions_are_exact_at_every_edge() {
    for row in rows("guard_band_decisions.csv") {
        let (limits, reading, u) = (limits(&row), exact(&row["reading"]), exact(&row["u"]));
        let w = &exact(&row["w_factor"]) * &u;
        assert!(same_digits(&w, &row["w"]), "{row:?}");
        if exact(&row["w_factor"]) == exact("2") {
            assert_eq!(normal(&u).w(), w, "the guard band of a normal is 2u exactly: {row:?}");
        }
        let inner = limits.inward(&w);
        for (found, column) in [(&inner.lower, "accept_lower"), (&inner.upper, "accept_upper")] {
            match found {
                Some(found) => assert!(same_digits(found, &row[column]), "{column} of {row:?}"),
                None => assert_eq!(row[column], "", "{row:?}"),
            }
        }
        assert_eq!(inner.is_empty(), row["acceptance_interval_empty"] == "yes", "{row:?}");
        let rule = match row["rule"].as_str() {
            "simple" => Some(DecisionRule::SimpleAcceptance),
            "guarded_acceptance" => Some(DecisionRule::GuardedTwoWords),
            "four_state" => Some(DecisionRule::GuardedFourWords),
            "guarded_rejection" => None,
            rule => panic!("{rule} is no rule"),
        };
        let decision = match rule {
            Some(rule) => word(decide(rule, &limits, &w, &reading)),
            None if rejected(&limits, &w, &reading) => "fail".into(),
            None => "not_rejected".into(),
        };
        assert_eq!(decision, row["decision"], "{row:?}");
        if let Some(rule @ (DecisionRule::GuardedTwoWords | DecisionRule::GuardedFourWords)) = rule {
            assert_eq!(acceptance_empty(rule, &limits, &w), inner.is_empty(), "{row:?}");
        }
        let found = probability(limits.lower.as_ref(), limits.upper.as_ref(), &reading, &normal(&u));
        assert!(same_probability(found.pc, &row["pc"]), "{found:?} in {row:?}");
    }
}

/// Source: ILAC-G8:09/2019 Table 1; its last two rows are from memory. A row whose multiple is a letter stands for any
/// multiple and has no figure.
#[test]
fn the_named_guard_bands_leave_the_risk_they_are_named_for() {
    let (limit, u) = (exact("10"), exact("0.5"));
    for row in rows("decision_rules.csv") {
        if row["computed_risk"].is_empty() {
            continue;
        }
        let times = exact(&row["w_over_U"]);
        let expanded = &u * &exact("2");
        let on_the_edge = &limit - &(&times * &expanded);
        let found = probability(None, Some(&limit), &on_the_edge, &normal(&u));
        assert!(same_probability(found.above, &row["computed_risk"]), "{found:?} in {row:?}");
        let rules: &[DecisionRule] = if times == exact("0") {
            &[DecisionRule::SimpleAcceptance]
        } else if times == exact("1") {
            &[DecisionRule::GuardedFourWords, DecisionRule::GuardedTwoWords]
        } else {
            &[]
        };
        for rule in rules {
            assert!(same_probability(worst_risk(*rule), &row["computed_risk"]), "{rule:?} in {row:?}");
        }
    }
    let rounded = |rule| format!("{:.2}", worst_risk(rule) * 100.0);
    assert_eq!(rounded(DecisionRule::GuardedTwoWords), "2.28", "as it is printed");
    assert!(same(&normal(&u).w(), "1"));
}
