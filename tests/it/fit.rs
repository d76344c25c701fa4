//! Fit of conductors, clamps, threads and torques, against outside values where there are any.
//!
//! `iec60947-1_table4_torque.csv` and `screw_torque_crosscheck.csv` say in their heads what they rest on: the table is
//! from memory, some of its cells agree with independent published tables; the sets are one public document each.

use proptest::prelude::*;
use rust_decimal::Decimal;
use std::collections::{BTreeMap, HashMap};
use witnessmark::board_file::{self, read};
use witnessmark::domain::clamp::{Capacity, Clamp, ClampKind};
use witnessmark::domain::conductor::{Class, Conductor, Metal, Preparation};
use witnessmark::domain::fit::{Misfit, misfits};
use witnessmark::domain::plausible::{Band, TestTorques, implausible, turned_about};
use witnessmark::domain::stated::{ReadAt, Source, Stated, TorqueRow};
use witnessmark::domain::torque::{Torque, Unit};

type Row = HashMap<String, String>;

fn rows(file: &str) -> Vec<Row> {
    let path = format!("{}/tests/reference/{file}", env!("CARGO_MANIFEST_DIR"));
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path).unwrap();
    let rows: Vec<Row> = reader.deserialize().map(Result::unwrap).collect();
    assert!(!rows.is_empty(), "{file} has no rows");
    rows
}

fn decimal(text: &str) -> Decimal {
    Decimal::from_str_exact(text).unwrap()
}

fn maybe(text: &str) -> Option<Decimal> {
    (!text.is_empty()).then(|| decimal(text))
}

fn nm(value: Decimal) -> Torque {
    Torque::new(value, Unit::NewtonMetre)
}

fn single(text: &str) -> Stated {
    Stated::Single { value: Torque::read(text).unwrap() }
}

/// Source: IEC 60947-1 Table 4, every cell from memory; some agree with independent published tables, see the head of
/// the file. Each row is looked up just above its lower end, at its metric thread and at its upper end.
#[test]
fn test_torques_are_those_of_iec_60947_1_table_4() {
    for row in rows("iec60947-1_table4_torque.csv") {
        let over = decimal(&row["thread_mm_over"]);
        let inside = [
            Some(over + decimal("0.01")),
            maybe(&row["metric_thread_mm"]),
            Some(maybe(&row["thread_mm_up_to"]).unwrap_or(decimal("64"))),
        ];
        for thread in inside.into_iter().flatten() {
            let found = TestTorques::of(thread).unwrap();
            let columns = (found.headless_nm, found.screwdriver_nm, Some(found.other_nm));
            let expected =
                (maybe(&row["torque_i_nm"]), maybe(&row["torque_ii_nm"]), maybe(&row["torque_iii_nm"]));
            assert_eq!(columns, expected, "M{thread}: {row:?}");
        }
        if over > Decimal::ZERO {
            let below = TestTorques::of(over).unwrap();
            let here = TestTorques::of(over + decimal("0.01")).unwrap();
            assert!(below.other_nm <= here.other_nm, "{row:?}");
        }
    }
    assert_eq!(TestTorques::of(Decimal::ZERO), None);
    assert_eq!(Band::of(decimal("-5")), None);
}

/// Threads and torques of each published set, least and most, by thread.
fn sets() -> BTreeMap<String, BTreeMap<Decimal, (Decimal, Decimal)>> {
    let mut sets: BTreeMap<String, BTreeMap<_, _>> = BTreeMap::new();
    for row in rows("screw_torque_crosscheck.csv") {
        let torque = (decimal(&row["torque_min_nm"]), decimal(&row["torque_max_nm"]));
        let thread = decimal(&row["metric_thread_mm"]);
        let twice = sets.entry(row["source_code"].clone()).or_default().insert(thread, torque);
        assert_eq!(twice, None, "one torque for each thread in a set: {row:?}");
    }
    sets
}

/// Larger screw, larger torque: common practice, no source. It holds within each published set and each column of the
/// table, which is why a board where it does not is worth a question.
#[test]
fn torque_rises_with_thread_within_each_published_set() {
    let sets = sets();
    assert!(sets.values().any(|set| set.len() > 3), "nothing to compare");
    for (code, set) in &sets {
        let steps: Vec<_> = set.iter().collect();
        for two in steps.windows(2) {
            let ((thread, (least, most)), (larger, (next_least, next_most))) = (two[0], two[1]);
            assert!(next_least > least && next_most > most, "set {code}: M{thread} and M{larger}");
        }
    }
    for column in ["torque_i_nm", "torque_ii_nm", "torque_iii_nm"] {
        let cells: Vec<Decimal> =
            rows("iec60947-1_table4_torque.csv").iter().filter_map(|row| maybe(&row[column])).collect();
        assert!(cells.windows(2).all(|two| two[0] <= two[1]), "{column}: {cells:?}");
        assert!(cells.first() < cells.last(), "{column}");
    }
}

/// A board whose clamps have the torques of one published set raises no question; the same with two torques exchanged
/// raises one. Source: the published sets; the question itself is common practice, no source.
#[test]
fn a_published_set_raises_no_question_and_an_exchanged_one_does() {
    let mut asked = 0;
    for (code, set) in sets() {
        let clamps: Vec<Clamp> = set
            .iter()
            .map(|(thread, (least, _))| screw(*thread, vec![Stated::Single { value: nm(*least) }]))
            .collect();
        assert_eq!(turned_about(&clamps), Vec::new(), "set {code}");
        let (mut turned, count) = (clamps.clone(), clamps.len());
        let (smaller, larger) = (clamps[count - 2].clone(), clamps[count - 1].clone());
        turned[count - 2].torque = larger.torque;
        turned[count - 1].torque = smaller.torque;
        let alone = |clamp: &Clamp| implausible(clamp.thread_mm.unwrap(), &clamp.torque[0].stated).is_some();
        let odd: Vec<_> = turned_about(&turned).iter().map(|it| it.smaller.thread_mm).collect();
        if turned.iter().any(alone) {
            assert_eq!(odd, [], "set {code}: told by itself, and asked no more");
        } else {
            assert_eq!(odd, [smaller.thread_mm], "set {code}");
            asked += 1;
        }
    }
    assert!(asked > 3, "{asked}");
}

/// Source: the published sets. The factors of the band are ours; this is what they are chosen by.
#[test]
fn every_published_torque_is_plausible_for_its_thread() {
    for (code, set) in sets() {
        for (thread, (least, most)) in set {
            let range = Stated::Range { lower: nm(least), upper: nm(most), recommended: None };
            assert_eq!(implausible(thread, &range), None, "set {code}: M{thread}");
        }
    }
    for row in rows("iec60947-1_table4_torque.csv") {
        let Some(thread) = maybe(&row["metric_thread_mm"]) else { continue };
        for value in ["torque_i_nm", "torque_ii_nm", "torque_iii_nm"].iter().filter_map(|it| maybe(&row[*it]))
        {
            assert_eq!(implausible(thread, &Stated::Single { value: nm(value) }), None, "{row:?}");
        }
    }
}

/// Source: column III of IEC 60947-1 Table 4, and the exact definitions of the units. That a slip of unit must be
/// found is our own rule; newton metres and pound-force feet are too near to each other (1.36) to be told apart.
#[test]
fn a_torque_in_the_wrong_unit_is_found_and_the_right_one_named() {
    use Unit::{CentinewtonMetre, NewtonMetre, PoundInch};
    let slips = [
        (PoundInch, NewtonMetre),
        (NewtonMetre, PoundInch),
        (CentinewtonMetre, NewtonMetre),
        (NewtonMetre, CentinewtonMetre),
        (CentinewtonMetre, PoundInch),
    ];
    let mut seen = 0;
    for row in rows("iec60947-1_table4_torque.csv") {
        let (Some(thread), Some(right)) = (maybe(&row["metric_thread_mm"]), maybe(&row["torque_iii_nm"]))
        else {
            continue;
        };
        for (printed, typed) in slips {
            let digits = nm(right).exact_in(printed).decimal(3).unwrap();
            let slip = Torque::new(digits, typed);
            let found = implausible(thread, &Stated::Single { value: slip });
            let found = found.unwrap_or_else(|| panic!("M{thread}: {digits} {printed} typed as {typed}"));
            assert_eq!(found.torque, slip);
            let named: Vec<String> = found.rather.iter().map(ToString::to_string).collect();
            assert!(named.contains(&format!("{digits} {printed}")), "M{thread}, {slip}: {named:?}");
            seen += 1;
        }
    }
    assert!(seen > 0);
}

#[test]
fn every_value_of_a_statement_is_looked_at_and_the_ends_of_the_band_belong_to_it() {
    let m5 = decimal("5");
    let band = Band::of(m5).unwrap();
    assert_eq!((band.least_nm, band.most_nm), (decimal("0.4"), decimal("6")));
    for inside in ["0.4 N.m", "40 cN.m", "6.00 N.m", "53.1 lbf.in"] {
        assert_eq!(implausible(m5, &single(inside)), None, "{inside}");
    }
    for outside in ["0.399999 N.m", "6.000001 N.m", "53.2 lbf.in"] {
        assert!(implausible(m5, &single(outside)).is_some(), "{outside}");
    }
    let torque = |text| Torque::read(text).unwrap();
    let odd = |stated: &Stated| implausible(m5, stated).map(|it| it.torque.to_string());
    let range =
        |lower, upper| Stated::Range { lower: torque(lower), upper: torque(upper), recommended: None };
    assert_eq!(odd(&range("2 N.m", "25 N.m")).as_deref(), Some("25 N.m"));
    assert_eq!(odd(&range("0.2 N.m", "2 N.m")).as_deref(), Some("0.2 N.m"));
    let at_most = |upper, aim| Stated::AtMost { upper: torque(upper), aim: torque(aim) };
    assert_eq!(odd(&at_most("25 N.m", "2 N.m")).as_deref(), Some("25 N.m"));
    assert_eq!(odd(&at_most("2 N.m", "0.2 N.m")).as_deref(), Some("0.2 N.m"));
    assert_eq!(odd(&at_most("2.5 N.m", "2 N.m")), None);
}

#[test]
fn only_a_clear_and_plausible_case_is_a_question() {
    let clamp = |thread: &str, torques: &[&str]| {
        screw(decimal(thread), torques.iter().map(|text| single(text)).collect())
    };
    let asked = |clamps: &[Clamp]| turned_about(clamps).len();
    assert_eq!(asked(&[clamp("5", &["3.5 N.m"]), clamp("6", &["2.5 N.m"])]), 1);
    assert_eq!(
        asked(&[clamp("6", &["2.5 N.m"]), clamp("5", &["31 lbf.in"])]),
        1,
        "order and unit do not matter"
    );
    assert_eq!(
        asked(&[clamp("5", &["2.5 N.m"]), clamp("6", &["2.5 N.m"])]),
        0,
        "the same torque is no question"
    );
    assert_eq!(asked(&[clamp("5", &["3.5 N.m"]), clamp("5", &["2.5 N.m"])]), 0, "nor is the same thread");
    assert_eq!(
        asked(&[clamp("5", &["2.0 N.m", "4.0 N.m"]), clamp("6", &["2.5 N.m"])]),
        0,
        "a table that overlaps"
    );
    assert_eq!(asked(&[clamp("5", &["17.7 N.m"]), clamp("6", &["2.5 N.m"])]), 0, "told already");
    assert_eq!(asked(&[clamp("5", &["3.5 N.m"]), clamp("6", &[])]), 0, "no maker's value known");
    let three = [clamp("4", &["3.0 N.m"]), clamp("5", &["2.8 N.m"]), clamp("8", &["2.5 N.m"])];
    let found = turned_about(&three);
    assert_eq!(found.len(), 2);
    assert!(
        found.iter().all(|it| it.larger.thread_mm == Some(decimal("8"))),
        "beside the one farthest below"
    );
}

fn screw(thread_mm: Decimal, torques: Vec<Stated>) -> Clamp {
    let source = Source { read_at: ReadAt::OnDevice, reference: String::new() };
    let row = |stated| TorqueRow {
        csa_from_mm2: None,
        csa_to_mm2: None,
        classes: Vec::new(),
        conductors: None,
        stated,
        source: source.clone(),
    };
    Clamp {
        name: format!("M{thread_mm}").as_str().into(),
        kind: ClampKind::Cage,
        screws: 1,
        screw_order: None,
        thread_mm: Some(thread_mm),
        drive: None,
        strip_mm: None,
        capacity: Vec::new(),
        conductors_max: 1,
        preparations: Vec::new(),
        aluminium: false,
        second_torque_forbidden: false,
        settle: None,
        mark_visible: true,
        torque: torques.into_iter().map(row).collect(),
        not_governing: Vec::new(),
    }
}

/// A cage for one or two conductors of 1 to 16 mm², rigid, or 1 to 10 mm², fine-stranded.
fn cage() -> Clamp {
    let row = |classes: &[Class], to: &str| Capacity {
        classes: classes.to_vec(),
        from_mm2: decimal("1"),
        to_mm2: decimal(to),
    };
    Clamp {
        capacity: vec![
            row(&[Class::Solid, Class::Stranded], "16"),
            row(&[Class::Flexible, Class::HighlyFlexible], "10"),
        ],
        conductors_max: 2,
        ..screw(decimal("5"), vec![single("2.0 N.m")])
    }
}

fn copper(csa: &str, class: Class, planned: Option<Preparation>) -> Conductor {
    Conductor { csa_mm2: decimal(csa), class, wires: None, metal: Metal::Copper, planned }
}

fn told(clamp: &Clamp, conductors: &[Conductor]) -> Vec<String> {
    misfits(clamp, conductors).iter().map(|it| format!("{}; {}", it.found(), it.stated(clamp))).collect()
}

/// The project's own rules (design, section 5, *Fit*); fine-wire ends need suitable terminals or treatment: BS 7671
/// 526.9.1, as quoted by others.
#[test]
fn each_misfit_says_what_was_found_and_what_its_clamp_is_stated_for() {
    let (cage, stranded, flexible) = (cage(), Class::Stranded, Class::Flexible);
    let none: [&str; 0] = [];
    assert_eq!(told(&cage, &[]), none);
    assert_eq!(told(&cage, &[copper("16", stranded, None)]), none, "the end of the capacity belongs to it");
    assert_eq!(told(&cage, &[copper("10", flexible, Some(Preparation::Ferruled))]), none);
    let capacity = "takes 1 to 16 mm2 in class 1 or 2, 1 to 10 mm2 in class 5 or 6";
    assert_eq!(
        told(&cage, &[copper("16", flexible, Some(Preparation::CompressionPin))]),
        [format!("16 mm2, class 5, is outside the capacity; {capacity}")]
    );
    assert_eq!(told(&cage, &vec![copper("2.5", stranded, None); 3]), ["3 conductors in one clamp; takes 2"]);
    assert_eq!(told(&cage, &vec![copper("2.5", stranded, None); 2]), none, "two alike");
    assert_eq!(
        told(&cage, &[copper("2.5", stranded, None), copper("4", stranded, None)]),
        ["different conductors in one clamp: 2.5 mm2, class 2 with 4 mm2, class 2; \
          takes 2, and no torque is stated for a mix"]
    );
    let aluminium = Conductor { metal: Metal::Aluminium, ..copper("16", stranded, None) };
    assert_eq!(
        told(&cage, std::slice::from_ref(&aluminium)),
        ["aluminium, 16 mm2; is not stated for aluminium"]
    );
    let for_aluminium = Clamp { aluminium: true, ..cage.clone() };
    assert_eq!(told(&for_aluminium, std::slice::from_ref(&aluminium)), none);
    assert_eq!(
        told(&for_aluminium, &[aluminium, copper("16", stranded, None)]).len(),
        1,
        "two metals are a mix"
    );
}

#[test]
fn a_mix_is_no_misfit_where_a_row_speaks_of_that_many_or_nothing_is_screwed() {
    let two = [copper("2.5", Class::Stranded, None), copper("4", Class::Stranded, None)];
    let mut table = cage();
    let mut both = table.torque[0].clone();
    table.torque[0].conductors = Some(1);
    both.conductors = Some(2);
    table.torque.push(both);
    assert_eq!(misfits(&table, &two), Vec::new());
    let spring = Clamp { kind: ClampKind::Spring, screws: 0, thread_mm: None, torque: Vec::new(), ..cage() };
    assert_eq!(misfits(&spring, &two), Vec::new());
    let loose = [copper("4", Class::Flexible, None)];
    assert_eq!(misfits(&spring, &loose), Vec::new(), "a spring takes fine strands as they are");
}

#[test]
fn fine_strands_want_something_round_them_unless_the_clamp_names_what_is_planned() {
    let fine = |planned| [copper("4", Class::HighlyFlexible, planned)];
    let loose = |clamp: &Clamp, planned| {
        misfits(clamp, &fine(planned)).iter().any(|it| matches!(it, Misfit::FineStranded { .. }))
    };
    for how in Preparation::NAMED {
        let held = matches!(how, Preparation::Ferruled | Preparation::CompressionPin | Preparation::Lug);
        assert_eq!(loose(&cage(), Some(how.clone())), !held, "{how:?}");
        let naming = Clamp { preparations: vec![how.clone()], ..cage() };
        assert_eq!(misfits(&naming, &fine(Some(how.clone()))), Vec::new(), "{how:?}: its maker names it");
        let other = Clamp { preparations: vec![Preparation::Other("rolled".into())], ..cage() };
        let not_named = [Misfit::NotNamed { planned: how.clone() }];
        assert_eq!(misfits(&other, &fine(Some(how))), not_named, "told once");
    }
    assert!(loose(&cage(), None));
    assert!(!loose(&cage(), Some(Preparation::Other("welded end".into()))), "own words are not judged");
    assert_eq!(
        misfits(&cage(), &[copper("4", Class::Stranded, None)]),
        Vec::new(),
        "class 2 is not fine-stranded"
    );
}

#[test]
fn what_many_terminals_have_in_common_is_told_once() {
    let source = board_file::engine_shed().replacen(
        "\"2.5\": Conductor(csa: \"2.5 mm2\", class: 2, wires: 7,",
        "\"2.5\": Conductor(csa: \"2.5 mm2\", class: 5,",
        1,
    );
    assert_ne!(source, board_file::engine_shed());
    let read = read(source.as_bytes()).unwrap();
    let fine = read
        .board
        .terminals
        .iter()
        .filter(|it| it.conductors.iter().any(|it| it.csa_mm2 == decimal("2.5")))
        .map(|it| it.clamp.as_str());
    let clamps: std::collections::BTreeSet<_> = fine.collect();
    assert_eq!(read.warnings.len(), clamps.len(), "one for each kind of clamp: {:#?}", read.warnings);
    assert!(read.warnings.iter().all(|it| it.reason.contains(" more terminal")), "{:#?}", read.warnings);
}

#[test]
fn a_thousand_clamps_are_compared_without_delay_and_many_warnings_are_counted() {
    let clamps: Vec<String> = (0..1_000)
        .map(|n| {
            let torque = if n % 2 == 0 { "3.5" } else { "30" };
            format!("\"c{n}\": Clamp(kind: Finger, thread: \"M5\", torque: Value(value: \"{torque} N.m\", source: OnDevice)),\n")
        })
        .collect();
    let large = "\"large\": Clamp(kind: Finger, thread: \"M6\", torque: Value(value: \"2.5 N.m\", source: OnDevice)),";
    let source =
        board_file::example().replacen("clamps: {", &format!("clamps: {{\n{}{large}", clamps.concat()), 1);
    let read = read(source.as_bytes()).unwrap();
    assert!(read.warnings.len() >= 1_000, "{}", read.warnings.len());
    let page = board_file::render_warnings(&read.warnings, "many.ron", &source);
    let more = read.warnings.len() - 100;
    assert!(page.contains(&format!("warning: {more} more are not shown")), "{page}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    /// A band is never empty, and what a statement says is either inside it or told; nothing that is named instead
    /// lies outside.
    #[test]
    fn a_torque_is_plausible_or_told(thread in 11..640_i64, digits in 1..500_000_i64, unit in 0..4_usize) {
        let thread = Decimal::new(thread, 1);
        let band = Band::of(thread).unwrap();
        prop_assert!(band.least_nm > Decimal::ZERO && band.least_nm < band.most_nm);
        let torque = Torque::new(Decimal::new(digits, 3), Unit::ALL[unit]);
        match implausible(thread, &Stated::Single { value: torque }) {
            None => prop_assert!(band.holds(&torque)),
            Some(odd) => {
                prop_assert!(!band.holds(&torque));
                prop_assert!(odd.rather.iter().all(|it| band.holds(it)));
            }
        }
    }
}
