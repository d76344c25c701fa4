//! Sample sizes and bounds of an audit.

use super::file::{Row, decimal, exact, rows};
use witnessmark::domain::audit::board::Sampled;
use witnessmark::domain::audit::bound::{Looked, both, lower, upper};
use witnessmark::domain::audit::chance::at_most;
use witnessmark::domain::audit::claim::{Claim, clean_by_luck, doubt, smallest_clean};
use witnessmark::domain::audit::time::{Reach, buys};
use witnessmark::domain::exact::Exact;

fn count(row: &Row, key: &str) -> u32 {
    row[key].parse().unwrap_or_else(|_| panic!("{key}: {row:?}"))
}

fn claim(row: &Row) -> Claim {
    Claim { at_most: decimal(&row["p"]), confidence: decimal(&row["confidence"]) }
}

/// A printed chance: so many significant digits as the file gives.
fn near(found: &Exact, printed: &str) -> bool {
    if printed == "1.0" {
        return *found == Exact::ratio(1, 1);
    }
    let expected = exact(printed);
    (found - &expected).magnitude() <= &expected.magnitude() * &Exact::ratio(1, 100_000_000_000)
}

fn ratio(text: &str) -> Exact {
    let (numerator, denominator) = text.split_once('/').unwrap();
    exact(numerator).over(&exact(denominator)).unwrap()
}

/// Source: hypergeometric distribution; the rounding definition is the project's own.
#[test]
fn a_clean_sample_of_the_smallest_size_supports_its_claim() {
    for row in rows("sampling_zero_defect_n.csv") {
        let (size, claim) = (count(&row, "N"), claim(&row));
        let bad = claim.allowed(size) + 1;
        assert_eq!(bad, count(&row, "D"), "{row:?}");
        let drawn = claim.sample(size);
        assert_eq!(drawn, count(&row, "n_min"), "{row:?}");
        let luck = clean_by_luck(size, bad, drawn).unwrap();
        let p_zero = &row["p_zero_exact"];
        // numerators of more than 28 digits are compared by their printed decimals
        if p_zero.len() < 50 {
            assert_eq!(luck, ratio(p_zero), "{row:?}");
        }
        assert!(near(&luck, &row["p_zero"]), "{row:?}");
        let one_less = clean_by_luck(size, bad, drawn - 1).unwrap();
        assert!(near(&one_less, &row["p_zero_at_n_minus_1"]), "{row:?}");
        assert!(luck <= doubt(claim.confidence) && one_less > doubt(claim.confidence), "{row:?}");
        // the stricter claim of the last two columns
        let stricter = count(&row, "D_alt");
        let product = &Exact::from(claim.at_most) * &Exact::ratio(i128::from(size), 1);
        let floor = product.floor().unwrap();
        let ceiling = if product == Exact::ratio(i128::from(floor), 1) { floor } else { floor + 1 };
        assert_eq!(ceiling.max(1), stricter, "{row:?}");
        assert_eq!(smallest_clean(size, stricter, claim.confidence), count(&row, "n_alt"), "{row:?}");
    }
}

/// Source: test inversion of the hypergeometric distribution (Clopper-Pearson idea for a finite population).
#[test]
fn bounds_on_bad_ones_are_exact() {
    for row in rows("sampling_upper_bound.csv") {
        let looked = Looked { size: count(&row, "N"), drawn: count(&row, "n"), found: count(&row, "c") };
        let confidence = decimal(&row["confidence"]);
        let above = upper(looked, confidence);
        assert_eq!(above, count(&row, "D_upper_1s"), "{row:?}");
        assert_eq!(lower(looked, confidence), count(&row, "D_lower_1s"), "{row:?}");
        let two_sided = (count(&row, "D_lower_2s"), count(&row, "D_upper_2s"));
        assert_eq!(both(looked, confidence), two_sided, "{row:?}");
        let part = Exact::ratio(above.into(), looked.size.into());
        assert!(near(&part, &row["p_upper_1s"]), "{row:?}");
        let chance = |bad| at_most(looked.found, looked.size, bad, looked.drawn).unwrap();
        assert!(near(&chance(above), &row["cdf_at_upper"]), "{row:?}");
        assert!(chance(above) > doubt(confidence), "{row:?}");
        let possible = looked.size - (looked.drawn - looked.found);
        if row["cdf_at_upper_plus_1"] == "impossible" {
            assert_eq!(above, possible, "{row:?}");
        } else {
            assert!(near(&chance(above + 1), &row["cdf_at_upper_plus_1"]), "{row:?}");
            assert!(chance(above + 1) <= doubt(confidence), "{row:?}");
        }
    }
}

/// Source: hypergeometric distribution; the split in always-in terminals and remainder and the treatment of what was
/// not reached are the project's own rule.
#[test]
fn a_board_with_census_sample_and_unreached_terminals() {
    for row in rows("audit_board.csv") {
        let (whole, census, census_bad) = (count(&row, "N"), count(&row, "A"), count(&row, "a_bad"));
        let remainder = count(&row, "R");
        assert_eq!(whole, census + remainder, "{row:?}");
        let claim = claim(&row);
        assert_eq!(claim.allowed(remainder), count(&row, "allowed_remainder"), "{row:?}");
        assert_eq!(claim.sample(remainder), count(&row, "n_remainder"), "{row:?}");
        assert_eq!(claim.allowed(whole), count(&row, "allowed_whole"), "{row:?}");
        let sample = claim.sample_for_whole(whole, census_bad, remainder);
        match row["whole_status"].as_str() {
            "ok" => {
                assert_eq!(claim.allowed(whole) - census_bad, count(&row, "left_for_remainder"), "{row:?}");
                assert_eq!(sample, Some(count(&row, "n_whole")), "{row:?}");
            }
            "claim_already_lost" => assert_eq!(sample, None, "{row:?}"),
            other => panic!("{other}"),
        }
        let sampled = Sampled {
            remainder,
            drawn: count(&row, "n"),
            inspected: count(&row, "m"),
            bad: count(&row, "c"),
        };
        assert_eq!(sampled.not_inspected(), count(&row, "unreached"), "{row:?}");
        let bounds = sampled.bounds(claim.confidence);
        assert_eq!(bounds.reachable, count(&row, "bound_reachable"), "{row:?}");
        assert_eq!(bounds.worst, count(&row, "bound_worst"), "{row:?}");
        assert_eq!(bounds.worst + census_bad, count(&row, "total_worst"), "{row:?}");
        let status = if bounds.provisional { "provisional" } else { "final" };
        assert_eq!(status, row["status"], "{row:?}");
    }
}

/// Source: hypergeometric distribution; the time rule is the project's own.
#[test]
fn what_the_minutes_buy() {
    for row in rows("audit_time.csv") {
        let bought = buys(
            decimal(&row["minutes"]),
            decimal(&row["minutes_per_terminal"]),
            count(&row, "A"),
            count(&row, "R"),
            decimal(&row["confidence"]),
        )
        .unwrap();
        assert_eq!(bought.drawn, count(&row, "affordable_n"), "{row:?}");
        assert_eq!(bought.bound_if_clean, count(&row, "bound_if_clean"), "{row:?}");
        let status = match bought.reach {
            Reach::CensusShort => "census_short",
            Reach::CensusOnly => "census_only",
            Reach::Sample => "sample",
            Reach::Everything => "everything",
        };
        assert_eq!(status, row["status"], "{row:?}");
    }
}
