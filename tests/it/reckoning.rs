//! What must hold of the reckoning for any numbers at all.

use proptest::prelude::*;
use rust_decimal::Decimal;
use std::cmp::Ordering;
use witnessmark::domain::calibration::{Calibration, CalibrationPoint};
use witnessmark::domain::exact::Exact;
use witnessmark::domain::reckon::adapter::Adapter;
use witnessmark::domain::reckon::class_limit;
use witnessmark::domain::reckon::conformance::{Conformance, probability};
use witnessmark::domain::reckon::decision::{Band, acceptance_empty, decide, rejected};
use witnessmark::domain::reckon::drift::drift_percent;
use witnessmark::domain::reckon::line::{Straight, required};
use witnessmark::domain::reckon::point_error::point_error;
use witnessmark::domain::reckon::shape::{Shape, Terms, Which};
use witnessmark::domain::torque::{Torque, Unit};
use witnessmark::domain::verdict::{DecisionRule, Verdict};

const RULES: [DecisionRule; 3] =
    [DecisionRule::SimpleAcceptance, DecisionRule::GuardedFourWords, DecisionRule::GuardedTwoWords];

fn milli(thousandths: i64) -> Exact {
    Exact::ratio(i128::from(thousandths), 1000)
}

/// Points that rise in both columns, in thousandths.
fn rising_points() -> impl Strategy<Value = Vec<CalibrationPoint>> {
    let step = (1_i64..30_000, 1_i64..30_000, prop::option::of(0_i64..5_000));
    prop::collection::vec(step, 1..6).prop_map(|steps| {
        let (mut set, mut reference) = (0, 0);
        let thousandths = |value: i64| Decimal::new(value, 3);
        steps
            .into_iter()
            .map(|(set_step, reference_step, w)| {
                set += set_step;
                reference += reference_step;
                CalibrationPoint {
                    set: thousandths(set),
                    reference: thousandths(reference),
                    w_percent: w.map(thousandths),
                }
            })
            .collect()
    })
}

/// The steepest rise of what is applied over what is set.
fn steepest(points: &[CalibrationPoint]) -> Exact {
    points
        .iter()
        .zip(points.iter().skip(1))
        .map(|(low, high)| {
            let rise = &Exact::from(high.reference) - &Exact::from(low.reference);
            rise.over(&(&Exact::from(high.set) - &Exact::from(low.set))).unwrap()
        })
        .max()
        .unwrap_or_else(Exact::zero)
}

/// A normal part and a rectangle over many ratios, either of them possibly nothing.
fn shapes() -> impl Strategy<Value = Shape> {
    let size = || prop_oneof![1 => Just(0_i64), 3 => 1_i64..100, 4 => 1_i64..1_000_000];
    (size(), size()).prop_map(|(normal, rectangle)| {
        let micro = |value: i64| Exact::ratio(i128::from(value), 1_000_000);
        Shape::of(&micro(normal), &micro(rectangle), Which::Drift)
    })
}

fn limit() -> impl Strategy<Value = Option<i64>> {
    prop::option::weighted(0.8, 0_i64..20_000)
}

/// From the worst verdict to the best.
fn rank(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Fail => 0,
        Verdict::ConditionalFail => 1,
        Verdict::ConditionalPass => 2,
        Verdict::Pass => 3,
        other => panic!("{other:?} is no decision"),
    }
}

fn judged(limits: &Band, applied: &Exact, shape: &Shape) -> Vec<Verdict> {
    let w = shape.w();
    RULES.iter().map(|rule| decide(*rule, limits, &w, applied)).collect()
}

fn all_probabilities(found: &Conformance) -> bool {
    [found.pc, found.below, found.above].iter().all(|p| (0.0..=1.0).contains(p))
}

/// Any decimal there is, with any number of places.
fn any_decimal() -> impl Strategy<Value = Decimal> {
    let mantissa = prop_oneof![Just(0_i128), -20_000_i128..20_000, -(1_i128 << 95)..(1_i128 << 95)];
    (mantissa, 0_u32..=28).prop_map(|(mantissa, scale)| Decimal::from_i128_with_scale(mantissa, scale))
}

/// Any decimal moved by up to 390 powers of ten: far beyond what a binary number holds.
fn any_exact() -> impl Strategy<Value = Exact> {
    (any_decimal(), prop_oneof![3 => Just(0_i32), 1 => -390_i32..390])
        .prop_map(|(value, power)| &Exact::from(value) * &Exact::read(&format!("1e{power}")).unwrap())
}

fn any_points() -> impl Strategy<Value = Vec<CalibrationPoint>> {
    let point = (any_decimal(), any_decimal(), prop::option::of(any_decimal()));
    prop::collection::vec(point, 0..5).prop_map(|points| {
        points
            .into_iter()
            .map(|(set, reference, w_percent)| CalibrationPoint { set, reference, w_percent })
            .collect()
    })
}

proptest! {
    /// What a tool is set for comes back: exactly along the line; and with the scale's marks within half a
    /// graduation of the setting, which is at most half a graduation times the steepest slope of the line in torque.
    /// Only where the nearest mark lies outside the calibrated settings is it the next one inside, less than a whole
    /// graduation away. Our own rule (`as_set.csv`).
    #[test]
    fn setting_then_applied_comes_back(
        points in rising_points(),
        part in 0_i64..=1000,
        graduation in prop::sample::select(vec!["0.01", "0.02", "0.05", "0.1", "0.25", "0.5", "1"]),
    ) {
        let line = Straight::through(&points).unwrap();
        let (low, high) = line.applied_ends();
        let target = &low + &(&(&high - &low) * &milli(part));
        let set = line.set_for(&target).unwrap();
        prop_assert_eq!(line.applied(&set).unwrap(), target.clone());

        let graduation = Decimal::from_str_exact(graduation).unwrap();
        let step = Exact::from(graduation);
        let ends = line.settings_ends();
        let Ok(mark) = required(&target, Some(&line), graduation) else {
            // no multiple of the graduation lies between the ends
            let nearest = &ends.0.over(&step).unwrap().nearest() * &step;
            let first_inside = if nearest < ends.0 { &nearest + &step } else { nearest };
            prop_assert!(first_inside > ends.1);
            return Ok(());
        };
        let mark = Exact::from(mark);
        prop_assert!(ends.0 <= mark && mark <= ends.1);
        let nearest = &set.over(&step).unwrap().nearest() * &step;
        let off = (&mark - &set).magnitude();
        if ends.0 <= nearest && nearest <= ends.1 {
            prop_assert_eq!(mark.clone(), nearest);
            prop_assert!(&off * &Exact::ratio(2, 1) <= step);
        } else {
            prop_assert!(off < step);
        }
        let missed = (&line.applied(&mark).unwrap() - &target).magnitude();
        prop_assert!(missed <= &off * &steepest(&points));
    }

    /// Common sense, no source: who allows more cannot get a worse verdict.
    #[test]
    fn a_wider_limit_never_turns_pass_to_fail(
        lower in limit(),
        upper in limit(),
        wider in (0_i64..3_000, 0_i64..3_000),
        dropped in (any::<bool>(), any::<bool>()),
        applied in 0_i64..20_000,
        shape in shapes(),
    ) {
        let limits = Band { lower: lower.map(milli), upper: upper.map(milli) };
        let wide = Band {
            lower: lower.filter(|_| !dropped.0).map(|lower| milli(lower - wider.0)),
            upper: upper.filter(|_| !dropped.1).map(|upper| milli(upper + wider.1)),
        };
        let applied = milli(applied);
        for (narrow, wide) in judged(&limits, &applied, &shape).into_iter().zip(judged(&wide, &applied, &shape)) {
            prop_assert!(rank(wide) >= rank(narrow), "{:?} became {:?}", narrow, wide);
        }
        let w = shape.w();
        prop_assert!(rejected(&limits, &w, &applied) || !rejected(&wide, &w, &applied));
        for rule in RULES {
            prop_assert!(acceptance_empty(rule, &limits, &w) || !acceptance_empty(rule, &wide, &w));
        }
    }

    /// A torque is the same torque in whatever unit it was typed (unit factors exact by definition): brought into the
    /// tool's unit it is judged alike to the last digit, on every edge.
    #[test]
    fn the_unit_of_entry_never_changes_a_verdict(
        lower in limit(),
        upper in limit(),
        applied in 0_i64..20_000,
        tool_unit in prop::sample::select(Unit::ALL.to_vec()),
        shape in shapes(),
    ) {
        let newton = |thousandths: i64| Torque::new(Decimal::new(thousandths, 3), Unit::NewtonMetre);
        let centi = |thousandths: i64| Torque::new(Decimal::new(thousandths, 1), Unit::CentinewtonMetre);
        let band = |read: &dyn Fn(i64) -> Torque| Band {
            lower: lower.map(|value| read(value).exact_in(tool_unit)),
            upper: upper.map(|value| read(value).exact_in(tool_unit)),
        };
        let entered = |read: &dyn Fn(i64) -> Torque| read(applied).exact_in(tool_unit);
        let typed_newton = judged(&band(&newton), &entered(&newton), &shape);
        prop_assert_eq!(&typed_newton, &judged(&band(&centi), &entered(&centi), &shape));
        prop_assert_eq!(&typed_newton, &judged(&band(&newton), &entered(&centi), &shape));
        prop_assert_eq!(&typed_newton, &judged(&band(&centi), &entered(&newton), &shape));
    }

    /// The whole reckoning moved to a tool of another unit: the same verdicts, wherever the torque stands further from
    /// an edge than the twelfth digit of w, to which w is rounded up.
    #[test]
    fn the_unit_of_the_tool_never_changes_a_verdict(
        lower in limit(),
        upper in limit(),
        applied in 0_i64..20_000,
        unit in prop::sample::select(Unit::ALL.to_vec()),
        shape in shapes(),
    ) {
        let moved = |value: &Exact| value.over(&unit.factor()).unwrap();
        let limits = Band { lower: lower.map(milli), upper: upper.map(milli) };
        let applied = milli(applied);
        let other_shape = Shape::of(&moved(shape.normal()), &moved(shape.rectangle()), shape.which());
        let other_limits =
            Band { lower: limits.lower.as_ref().map(moved), upper: limits.upper.as_ref().map(moved) };
        let (w, other_w) = (moved(&shape.w()), other_shape.w());
        prop_assert!((&w - &other_w).magnitude() <= &w * &Exact::read("2e-11").unwrap());
        let edges = [limits.inward(&shape.w()), limits.outward(&shape.w())];
        let on_an_edge = edges.iter().flat_map(|band| [&band.lower, &band.upper]).flatten().any(|edge| {
            (edge - &applied).magnitude() <= &shape.w() * &Exact::read("1e-10").unwrap()
        });
        prop_assume!(!on_an_edge || *shape.rectangle() == Exact::zero());
        prop_assert_eq!(judged(&limits, &applied, &shape), judged(&other_limits, &moved(&applied), &other_shape));
    }

    /// The further from the middle, the less likely within (JCGM 106:2012 clause 7, any error that is symmetric and has
    /// one peak); and the three parts add up.
    #[test]
    fn conformance_falls_with_the_distance_from_the_middle(
        middle in 0_i64..20_000,
        half in 0_i64..5_000,
        off in (0_i64..8_000, 0_i64..8_000),
        shape in shapes(),
    ) {
        let (lower, upper) = (milli(middle - half), milli(middle + half));
        let at = |off: i64| probability(Some(&lower), Some(&upper), &milli(middle + off), &shape);
        let (near, far) = (off.0.min(off.1), off.0.max(off.1));
        for sign in [1, -1] {
            let (near, far) = (at(sign * near), at(sign * far));
            prop_assert!(near.pc >= far.pc - 1e-12, "{:?} then {:?}", near, far);
            for found in [near, far] {
                prop_assert!(all_probabilities(&found), "{:?}", found);
                prop_assert!((found.pc + found.below + found.above - 1.0).abs() < 1e-11, "{:?}", found);
            }
        }
        let (up, down) = (at(near), at(-near));
        prop_assert!((up.pc - down.pc).abs() < 1e-12 && (up.below - down.above).abs() < 1e-12);
    }

    /// The guard band lies between that of the rectangle alone and that of a normal of the whole standard uncertainty
    /// (our own definition of w, `band_shapes.csv`); above the second only by its rounding up in the twelfth digit.
    /// It covers what it says: what lies beyond it on either side is 2.28 %.
    #[test]
    fn the_guard_band_lies_between_rectangle_and_normal(shape in shapes()) {
        let w = shape.w();
        let least = shape.rectangle() * &Exact::read("0.954499736103641").unwrap();
        let most = &shape.standard_uncertainty() * &Exact::ratio(2, 1);
        prop_assert!(least <= w, "{:?}", shape);
        prop_assert!(w <= &most * &Exact::read("1.00000000001").unwrap(), "{:?}", shape);
        if w > Exact::zero() {
            let beyond = shape.below(&-&w);
            prop_assert!((beyond - 0.022_750_131_948_179).abs() < 1e-11, "{}", beyond);
        }
    }

    /// More of any term never narrows the guard band by more than the approximation in the head of
    /// `combined_shape.csv` allows: 1.3 % either way.
    #[test]
    fn more_error_never_means_less_guard_band(
        applied in 1_i64..50_000,
        w_percent in prop::option::of(0_i64..5_000),
        class in 1_i64..10_000,
        drift in 0_i64..5_000,
        resolution in 0_i64..1_000,
        s_operator in 0_i64..300,
        more in (0_i64..2_000, 0_i64..2_000, 0_i64..500, 0_i64..300),
    ) {
        let w = |drift: i64, class: i64, resolution: i64, s: i64| {
            Shape::from_terms(&Terms {
                applied: milli(applied),
                w_percent: w_percent.map(milli),
                class_limit_percent: Some(Decimal::new(class, 3)),
                drift_percent: Some(milli(drift)),
                recorded_resolution: Decimal::new(resolution, 3),
                s_operator: Decimal::new(s, 3),
            })
            .w()
        };
        let less = w(drift, class, resolution, s_operator);
        let more = w(drift + more.0, class + more.1, resolution + more.2, s_operator + more.3);
        prop_assert!(&more * &Exact::read("1.026").unwrap() >= less);
    }

    /// Whatever is handed in, a number comes out, and nothing stops.
    #[test]
    fn no_error_is_too_strange_to_be_judged(
        numbers in prop::collection::vec(any_exact(), 5),
        decimals in prop::collection::vec(any_decimal(), 3),
        there in prop::collection::vec(any::<bool>(), 5),
        coverage in any::<f64>(),
    ) {
        let if_there = |place: usize, value: &Exact| there[place].then(|| value.clone());
        let terms = Terms {
            applied: numbers[0].clone(),
            w_percent: if_there(0, &numbers[1]),
            class_limit_percent: there[1].then_some(decimals[0]),
            drift_percent: if_there(2, &numbers[2]),
            recorded_resolution: decimals[1],
            s_operator: decimals[2],
        };
        let limits = Band { lower: if_there(3, &numbers[3]), upper: if_there(4, &numbers[4]) };
        for shape in [Shape::from_terms(&terms), Shape::of(&numbers[1], &numbers[2], Which::Drift)] {
            prop_assert!(shape.w() >= Exact::zero() && shape.half_width(coverage) >= Exact::zero());
            let found = probability(limits.lower.as_ref(), limits.upper.as_ref(), &terms.applied, &shape);
            prop_assert!(all_probabilities(&found), "{:?}", found);
            for verdict in judged(&limits, &terms.applied, &shape) {
                rank(verdict);
            }
        }
    }

    /// The same for tools: points in any order, any marks, adapters and words of a class.
    #[test]
    fn no_tool_is_too_strange_to_be_set(
        (found, left) in (any_points(), any_points()),
        target in any_exact(),
        (graduation, lever, extension) in (any_decimal(), any_decimal(), any_decimal()),
        class in ".{0,20}",
    ) {
        for points in [&found, &left] {
            let line = Straight::through(points).ok();
            let _ = required(&target, line.as_ref(), graduation);
            if let Some(line) = line {
                let _ = (line.w_percent_at(&target), line.deviation_percent_at(&target));
            }
            let readings: Vec<Exact> = points.iter().map(|point| Exact::from(point.reference)).collect();
            let _ = point_error(&target, &readings);
        }
        let calibration = Calibration {
            date: String::new(),
            first_use: None,
            certificate: None,
            laboratory: None,
            as_found: found,
            as_left: left,
        };
        let drift = drift_percent(&[calibration.clone(), calibration.clone(), calibration]);
        prop_assert!(drift.is_none_or(|drift| drift >= Exact::zero()));
        if let Ok(adapter) = Adapter::new(lever, extension) {
            prop_assert_eq!(adapter.at_the_screw(&adapter.at_the_wrench(&target)), target);
        }
        let _ = class_limit::limit_percent(&class, &Torque::new(graduation, Unit::PoundFoot));
    }

    /// Roots and roundings are what they say, whatever the number.
    #[test]
    fn roots_and_roundings_hold_for_any_number(value in any_exact(), digits in 1_u32..15) {
        let size = value.magnitude();
        let (root, exact) = size.root();
        let square = &root * &root;
        prop_assert_eq!(square.cmp(&size), if exact { Ordering::Equal } else { Ordering::Less });
        prop_assert!(&size - &square <= &size * &Exact::read("1e-22").unwrap());
        let rounded = value.rounded_up(digits);
        prop_assert!(rounded >= value);
        let last = Exact::read(&format!("1e{}", 1 - i64::from(digits))).unwrap();
        prop_assert!(&rounded - &value <= &size * &last);
        prop_assert!(!value.to_f64().is_nan());
    }
}
