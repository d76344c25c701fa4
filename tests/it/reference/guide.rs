//! The worked examples of the guide to conformance.

use super::file::{Row, exact, rows, same, same_probability};
use std::collections::HashMap;
use witnessmark::domain::exact::Exact;
use witnessmark::domain::reckon::conformance::probability;
use witnessmark::domain::reckon::shape::{Shape, Which};

fn normal(u: &Exact) -> Shape {
    Shape::of(u, &Exact::zero(), Which::None)
}

/// `name=value` pairs; `-` is absent.
fn named(inputs: &str) -> HashMap<&str, Exact> {
    inputs
        .split_whitespace()
        .filter_map(|word| word.split_once('='))
        .filter(|(_, value)| *value != "-")
        .map(|(name, value)| (name, exact(value)))
        .collect()
}

/// A conformance probability from limits, reading and u, or from capability index and scaled reading.
fn conformance(row: &Row) -> f64 {
    let inputs = named(&row["inputs"]);
    if let (Some(index), Some(reading)) = (inputs.get("Cm"), inputs.get("yt")) {
        let u = exact("1").over(&(&exact("4") * index)).unwrap();
        return probability(Some(&exact("0")), Some(&exact("1")), reading, &normal(&u)).pc;
    }
    probability(inputs.get("lower"), inputs.get("upper"), &inputs["y"], &normal(&inputs["u"])).pc
}

/// The value from which on a limit is exceeded with a confidence, for a relative u.
fn rejection_limit(row: &Row) -> Exact {
    let inputs = named(&row["inputs"]);
    let both_sides = (&(&exact("2") * &inputs["confidence"]) - &exact("1")).to_f64();
    let times = normal(&exact("1")).half_width(both_sides);
    inputs["v0"].over(&(&exact("1") - &(&times * &inputs["u_rel"]))).unwrap()
}

/// The share of `process N(mean, spread), tolerance +/- half` that conforms.
fn share(inputs: &str) -> Option<f64> {
    let (process, half) = inputs.split_once("), tolerance +/- ")?;
    let (_, spread) = process.strip_prefix("process N(")?.split_once(", ")?;
    let (half, spread) = (exact(half), exact(spread));
    Some(probability(Some(&-&half), Some(&half), &exact("0"), &normal(&spread)).pc)
}

/// Source: JCGM 106:2012 (same text: OIML G 1-106:2012). Inputs and results of most examples are from memory, as the
/// status column says row by row. Left out is what averages over a distribution of what comes in (a *prior*): the
/// program judges single torques and knows no such distribution. Those rows are known by a risk (`R_C`, `R_P`), an
/// acceptance limit for one (`A_U`), or the word *prior* among their inputs.
#[test]
fn the_guides_examples_come_out() {
    let mut computed = 0;
    for row in rows("jcgm106_examples.csv") {
        let (quantity, inputs) = (row["quantity"].as_str(), row["inputs"].as_str());
        if matches!(quantity, "R_C" | "R_P") || quantity.starts_with("A_U") || inputs.contains("prior") {
            continue;
        }
        let agrees = match quantity {
            "pc" => same_probability(conformance(&row), &row["recomputed"]),
            "probability" => same_probability(share(inputs).unwrap(), &row["recomputed"]),
            _ if quantity.starts_with("rejection limit") => same(&rejection_limit(&row), &row["recomputed"]),
            other => panic!("{other} is not known here"),
        };
        assert!(agrees, "{row:?}");
        computed += 1;
    }
    assert!(computed > 0);
}
