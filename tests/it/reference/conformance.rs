//! Conformance probabilities of a normal error.

use super::file::{exact, exact_if_any, rows, same_probability};
use witnessmark::domain::exact::Exact;
use witnessmark::domain::reckon::conformance::probability;
use witnessmark::domain::reckon::shape::{Shape, Which};

/// Source: JCGM 106:2012 clause 7 (general rule 7.1, one-sided 7.3, two-sided 7.4). Tails to a relative 1e-9.
#[test]
fn conformance_is_as_likely_as_the_guide_says() {
    for row in rows("conformance_probability.csv") {
        let shape = Shape::of(&exact(&row["u"]), &Exact::zero(), Which::None);
        let (lower, upper) = (exact_if_any(&row["lower"]), exact_if_any(&row["upper"]));
        let found = probability(lower.as_ref(), upper.as_ref(), &exact(&row["reading"]), &shape);
        assert!(same_probability(found.pc, &row["pc"]), "{found:?} in {row:?}");
        assert!(same_probability(found.below, &row["p_below"]), "{found:?} in {row:?}");
        assert!(same_probability(found.above, &row["p_above"]), "{found:?} in {row:?}");
    }
}
