//! The shape of the error of an applied torque, its guard band, decisions and probabilities.

use super::decisions::{limits, word};
use super::file::{decimal, exact, exact_if_any, number, rows, same_or_tiny};
use witnessmark::domain::reckon::conformance::probability;
use witnessmark::domain::reckon::decision::decide;
use witnessmark::domain::reckon::shape::{Shape, Terms, Which};
use witnessmark::domain::verdict::DecisionRule;

fn which(which: Which) -> &'static str {
    match which {
        Which::Class => "class",
        Which::Drift => "drift",
        Which::Resolution => "resolution",
        Which::None => "none",
    }
}

/// Source: JCGM 100:2008 4.3.7, F.2.2.1 and 5.1.2; EA-4/02 S9 for keeping a dominant rectangle. Which rectangle is
/// kept, ties and terms are this project's own rule.
#[test]
fn the_terms_of_an_error_make_its_shape() {
    for row in rows("combined_shape.csv") {
        let shape = Shape::from_terms(&Terms {
            applied: exact(&row["applied"]),
            w_percent: exact_if_any(&row["W_percent"]),
            class_limit_percent: exact_if_any(&row["class_limit_percent"])
                .map(|_| decimal(&row["class_limit_percent"])),
            drift_percent: exact_if_any(&row["drift_percent"]),
            recorded_resolution: decimal(&row["recorded_resolution"]),
            s_operator: decimal(&row["s_operator"]),
        });
        assert_eq!(which(shape.which()), row["which"], "{row:?}");
        assert_eq!(*shape.rectangle(), exact(&row["a_rect"]), "{row:?}");
        assert!(same_or_tiny(shape.normal(), &row["u_normal"]), "{row:?}");
        assert!(same_or_tiny(&shape.w(), &row["w"]), "{:?} in {row:?}", shape.w());
    }
}

/// Source: JCGM 106:2012 clauses 7 and 8; JCGM 100:2008 4.3.7; normal plus rectangle as output distribution:
/// Metrologia 45 (2008) 503. The coverage chosen for w and the closed limits of the four words are this project's
/// own rule.
#[test]
fn torques_are_judged_by_normal_plus_rectangle() {
    for row in rows("band_shapes.csv") {
        let shape = Shape::of(&exact(&row["u_normal"]), &exact(&row["a_rect"]), Which::Class);
        let (limits, applied, w) = (limits(&row), exact(&row["applied"]), shape.w());
        assert!(same_or_tiny(&w, &row["w"]), "{w:?} in {row:?}");
        let inner = limits.inward(&w);
        for (found, column) in [(&inner.lower, "accept_lower"), (&inner.upper, "accept_upper")] {
            match found {
                Some(found) => assert!(same_or_tiny(found, &row[column]), "{column} of {row:?}"),
                None => assert_eq!(row[column], "", "{row:?}"),
            }
        }
        assert_eq!(inner.is_empty(), row["acceptance_interval_empty"] == "yes", "{row:?}");
        let verdict = decide(DecisionRule::GuardedFourWords, &limits, &w, &applied);
        assert_eq!(word(verdict), row["decision"], "{row:?}");
        let found = probability(limits.lower.as_ref(), limits.upper.as_ref(), &applied, &shape);
        for (found, column) in [(found.pc, "pc"), (found.below, "p_below"), (found.above, "p_above")] {
            assert!(same_or_tiny(&number(found), &row[column]), "{column} {found} in {row:?}");
        }
    }
}
