//! A visit in which everything the reckoning can say is said, with its whole appendix; every figure in it worked out by
//! hand here, from the maker's values and the tools' certificates, and not by the code.

use crate::acts::act;
use crate::desk::Person;
use crate::properties::agrees;
use crate::stories::{goes, picks, standing, tells, to_the_end, told};
use rust_decimal::Decimal;
use std::collections::BTreeMap;
use witnessmark::appendix::{Options, print};
use witnessmark::board_file;
use witnessmark::domain::calibration::{Calibration, CalibrationPoint};
use witnessmark::domain::record::{Fact, Line, Outcome};
use witnessmark::domain::tool::{Tool, ToolKind, ToolRange, Validity};
use witnessmark::domain::torque::Unit;
use witnessmark::session::desk::{Answers, Command, Topic};
use witnessmark::session::invariant;
use witnessmark::session::{Act, Need, RemarkWhy, TorqueWord, Visit, replay, said_at};

const BOARD: &str = include_str!("../boards/signal-hut.ron");

/// What the person says in own words.
const WORDS: [(&str, &str); 11] = [
    ("Your name", "Rowan Ashby"),
    ("What are you here", "electrician"),
    ("Reference of the certificate", "EIC 2026-131"),
    ("Who proved", "Rowan Ashby"),
    ("voltage tester", "two-pole tester"),
    ("locked off", "main switch, own padlock, key in pocket"),
    ("Shrouds, covers", "all back"),
    ("Locks and tools", "all out, one padlock, four tools"),
    ("Who energised", "Rowan Ashby"),
    ("Who was told", "M. Cole, client"),
    ("In your own words", "seen to"),
];

pub(crate) fn decimal(text: &str) -> Decimal {
    text.parse().unwrap()
}

/// Points as left: set or indicated, mean reference torque, W.
fn calibration(date: &str, number: &str, points: &[(&str, &str, &str)]) -> Calibration {
    let point = |(set, reference, w): &(&str, &str, &str)| CalibrationPoint {
        set: decimal(set),
        reference: decimal(reference),
        w_percent: Some(decimal(w)),
    };
    Calibration {
        date: date.into(),
        first_use: None,
        certificate: Some(number.into()),
        laboratory: Some("Illustrative Calibration Room".into()),
        as_found: points.iter().map(point).collect(),
        as_left: Vec::new(),
    }
}

struct Made {
    name: &'static str,
    serial: &'static str,
    kind: ToolKind,
    class: Option<&'static str>,
    range: (&'static str, &'static str),
    graduation: &'static str,
}

fn tool(made: &Made, calibration: Calibration) -> Tool {
    Tool {
        id: "X".into(),
        serial: made.serial.into(),
        name: made.name.into(),
        kind: made.kind,
        class: made.class.map(Into::into),
        unit: Unit::NewtonMetre,
        range: ToolRange { min: decimal(made.range.0), max: decimal(made.range.1) },
        graduation: Some(decimal(made.graduation)),
        adapter: None,
        interval: None,
        calibrations: vec![calibration],
        operations_before: None,
        operations_recorded: None,
        validity: Validity::NotStated,
        override_reason: None,
    }
}

/// Shows the torque; points with W, and a class above 10 N.m: 4 %.
pub(crate) fn dial() -> Tool {
    let made = Made {
        name: "dial wrench",
        serial: "IL-60023",
        kind: ToolKind::Indicating,
        class: Some("I E"),
        range: ("6", "20"),
        graduation: "0.01",
    };
    let points = [("6", "6.08", "1.2"), ("10", "10.10", "1.0"), ("20", "20.30", "1.0")];
    tool(&made, calibration("2026-05-04", "IL-26-0311", &points))
}

/// Its class is all that is stated of its error: a declaration, no points.
fn wrench() -> Tool {
    let made = Made {
        name: "wrench",
        serial: "IL-77203",
        kind: ToolKind::Setting,
        class: Some("II A"),
        range: ("5", "25"),
        graduation: "0.5",
    };
    tool(&made, calibration("2026-06-18", "IL-26-0402", &[]))
}

/// The driver for most of the board; points with W, 6 % by class, 4000 operations that no record knows of.
pub(crate) fn driver() -> Tool {
    let made = Made {
        name: "driver",
        serial: "IL-40417",
        kind: ToolKind::Setting,
        class: Some("II D"),
        range: ("0.5", "4"),
        graduation: "0.05",
    };
    let points = [("0.50", "0.49", "2.6"), ("2.00", "2.04", "1.9"), ("4.00", "4.10", "1.8")];
    let mut tool = tool(&made, calibration("2026-04-02", "IL-26-0207", &points));
    tool.operations_before = Some(4_000);
    tool
}

/// Large, calibrated more than 12 months ago, without a class.
fn large() -> Tool {
    let made = Made {
        name: "large wrench",
        serial: "IL-90118",
        kind: ToolKind::Setting,
        class: None,
        range: ("20", "100"),
        graduation: "1",
    };
    let points = [("20", "19.6", "1.5"), ("60", "59.2", "1.5"), ("100", "99.0", "1.5")];
    tool(&made, calibration("2025-09-30", "IL-25-0855", &points))
}

fn at_the_hut() -> Person {
    let mut person = Person::at_board(BOARD);
    person.words = &WORDS;
    let start = &mut person.state.desk.start;
    start.tools_offered = vec![dial(), wrench(), driver(), large()];
    // only what was done since the calibration of 2 April counts: 991
    let by_day = [("2026-03-30", 500), ("2026-04-02", 400), ("2026-09-11", 591)];
    let by_day = by_day.map(|(day, count)| (day.to_owned(), count));
    start.operations = BTreeMap::from([("IL-40417".to_owned(), BTreeMap::from(by_day))]);
    person
}

fn asks(person: &Person, words: &str) -> bool {
    person.state.question().text.contains(words)
}

fn hinted(person: &Person, words: &str) {
    let question = person.state.question();
    assert!(question.hints.iter().any(|hint| hint.contains(words)), "{words}: {question:#?}");
}

/// Chooses what begins with these words.
fn chooses(person: &mut Person, asked: &str, wanted: &str) {
    assert!(asks(person, asked), "{asked}: {:?}", person.state.question());
    let Answers::Choice(list) = person.state.question().answers else { panic!("a list") };
    let at = list.iter().position(|entry| entry.starts_with(wanted)).unwrap();
    person.says(&(at + 1).to_string());
}

fn takes_offered(person: &mut Person, name: &str) {
    chooses(person, "Which torque tool is in your hand?", name);
}

/// States another tool of those offered, by its name; the letter follows from the order.
fn takes(person: &mut Person, name: &str) {
    chooses(person, "Which tool do you take?", "state another tool");
    takes_offered(person, name);
}

pub(crate) fn the_visit() -> Person {
    let mut person = at_the_hut();
    person.until(|question| question.text.contains("Own tolerance"));
    // the limit of its class above 10 N.m (ISO 6789-1, from memory) is offered
    assert_eq!(person.state.question().offer.as_deref(), Some("4"));
    person.says("4");
    person.until(|question| question.text.contains("order do you walk"));
    for name in ["wrench", "driver"] {
        person.does(Command::Tool);
        takes(&mut person, name);
    }
    hinted(&person, "Nothing can pass with tool C, its error takes up the whole range, at: tight cage.");
    hinted(&person, "Tool C does not pass beyond doubt at: edge cage.");
    hinted(&person, "The error of tool B takes more than half of the tolerance at: saddle.");
    incomer(&mut person);
    one_end_too_high(&mut person);
    operations_pass_5000(&mut person);
    out_of_every_range(&mut person);
    dropped(&mut person);
    to_the_end(&mut person);
    person
}

/// Readings: outside, but not beyond doubt, and kept; too low beyond doubt, too low within it, then good.
fn incomer(person: &mut Person) {
    // 10 N.m lies at 6 + (10 - 6.08) / (10.10 - 6.08) * 4 = 9.9005 of its scale
    person.until(|question| question.text.starts_with("incomer L: tighten to 9.90 N.m"));
    person.says("12.01");
    tells(person, &[("strands sound or cut", "sound"), ("What is done", "1")]);
    person.until(|question| question.text.starts_with("incomer N: tighten to 9.90 N.m"));
    for reading in ["7.20", "7.85", "9.90"] {
        tells(person, &[("incomer N: tighten", reading)]);
    }
    assert!(asks(person, "tug it firmly"), "{}", person.note());
}

/// The driver stands too high at the end of its first setting: its single values are not as set, its range holds.
fn one_end_too_high(person: &mut Person) {
    person.until(|question| question.topic == Topic::SetTool);
    // 4000 stated, 400 + 591 recorded since the calibration of 2 April
    hinted(person, "4991 of the 5000 operations of its calibration are done.");
    person.until(|question| question.text.contains("before it is turned"));
    tells(person, &[("before it is turned", "2.50"), ("once more", "2.50"), ("What happened", "not known")]);
}

/// The count runs out in the middle of a row; after it the tool is refused, and taken once more with a reason.
fn operations_pass_5000(person: &mut Person) {
    person.until(|question| question.text.starts_with("1 neutral: tighten"));
    person.does(Command::Row);
    tells(
        person,
        &[
            ("At each screw", "1"),
            ("How many did you", "4"),
            ("The tug, of all", "firm"),
            ("The witness", "made"),
        ],
    );
    person.until(|question| question.text.contains("1 cpc: no tool in hand"));
    hinted(person, "the calibration of tool C is used up: 5000 operations");
    person.says("1");
    takes_offered(person, "driver");
    tells(
        person,
        &[("operations its calibration is good for are used up", "the other driver is at the laboratory")],
    );
}

/// A torque beyond every tool in hand, done with one whose calibration has lapsed.
fn out_of_every_range(person: &mut Person) {
    person.until(|question| question.text.starts_with("bond rails: tighten"));
    person.says("12.40");
    tells(person, &[("strands sound or cut", "sound"), ("What is done", "1")]);
    person.until(|question| question.text.contains("main earth: no tool in hand"));
    hinted(person, "tool A cannot do this: 30 N.m lies above its range of 6 to 20 N.m");
    hinted(person, "tool B cannot do this: 30 N.m lies above its range of 5 to 25 N.m");
    // to state it anew would not help: it ends at 4 N.m
    hinted(person, "tool C cannot do this: 30 N.m lies above its range of 0.5 to 4 N.m");
    hinted(person, "tool D cannot do this: 30 N.m lies above its range of 0.5 to 4 N.m");
    person.says("1");
    takes_offered(person, "large wrench");
    tells(person, &[("Its calibration has lapsed.", "no other wrench of that size on the railway")]);
}

/// The wrench falls after its first click; nobody releases it, and nothing else does what is left.
fn dropped(person: &mut Person) {
    person.until(|question| question.text.starts_with("surge L: tighten"));
    person.says("clicked");
    picks(person, "tool B was dropped");
    person.says("dropped");
    person.until(|question| question.text.contains("surge N: no tool in hand"));
    hinted(person, "tool B is doubted: nothing is tightened with it until released");
    person.says("4");
    tells(
        person,
        &[("set aside why", "6"), ("Why, in your own words", "wrench B was dropped, no other does it")],
    );
}

/// The lines of the appendix that hold these words, their breaks undone.
fn says(text: &str, words: &str) {
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains(&words), "{words}\n{text}");
}

fn word(person: &Person, name: &str) -> TorqueWord {
    let visit = &person.state.visit;
    said_at(visit, visit.find(&name.into()).unwrap()).unwrap().word
}

#[test]
fn every_word_of_the_reckoning_is_said_once() {
    let person = the_visit();
    for (name, said) in [
        ("incomer L", TorqueWord::ConditionalFail),
        ("incomer N", TorqueWord::Pass),
        ("1 finger", TorqueWord::NotAsSet),
        ("1 line", TorqueWord::Pass),
        ("2 line", TorqueWord::ConditionalPass),
        ("3 line", TorqueWord::ConditionalPass),
        ("4 line", TorqueWord::AsSet),
        ("1 neutral", TorqueWord::NotAsSet),
        ("1 cpc", TorqueWord::Pass),
        ("bond rails", TorqueWord::Fail),
        ("main earth", TorqueWord::NotAsSet),
        ("surge L", TorqueWord::NotAsSet),
    ] {
        assert_eq!(word(&person, name), said, "{name}");
    }
    for (name, why) in [
        ("incomer L", RemarkWhy::OverTightenedKept),
        ("1 finger", RemarkWhy::OverTightenedKept),
        ("1 line", RemarkWhy::ScaleHighWithinLimits),
        ("3 line", RemarkWhy::ConditionalPass),
        ("3 neutral", RemarkWhy::CalibrationUsedUp),
        ("1 cpc", RemarkWhy::CalibrationUsedUp),
        ("main earth", RemarkWhy::CalibrationLapsed),
        ("surge L", RemarkWhy::ToolDoubted),
        ("surge L", RemarkWhy::ScaleNotReadAtEnd),
    ] {
        assert!(standing(&person, name).remarks.contains(&why), "{name}: {:?}", standing(&person, name));
    }
    // nothing stands against what was set, read back twice and done with a tool that was good
    assert_eq!(standing(&person, "4 line").outcome, Outcome::Complete);
    assert_eq!(standing(&person, "surge N").outcome, Outcome::SetAside);
    agrees(&person.state.visit);
    told(&person, "reckoned");
}

/// Every figure, worked out with fractions and a numerical integral of the error, apart from this program.
///
/// Between points: a straight line (our own rule; the points are those of ISO 6789-2:2017). Error: normal with
/// u = W/200 of what was applied, and drift as a rectangle of half the class limit (our choice), 3 % of a 6 % tool and
/// 2 % of a 4 % one; w covers 95.45 % of both together (our own definition), two digits, rounded up (JCGM 100:2008
/// 7.2.6). Acceptance: both limits moved inward by w (JCGM 106:2012, 8.3.2), rounded inwards. Words: ILAC-G8:09/2019,
/// 4.2. Probability: JCGM 106:2012, 7.
#[test]
fn every_figure_of_its_appendix_is_what_the_hand_works_out() {
    let text = print(&the_visit().state.visit, Options::default());
    let says = |words: &str| says(&text, words);
    // 10.10 + 2.01 * 1.02 = 12.1502; u = 1.0/200 * it = 0.0608, a = 2 % = 0.2430, w = 0.2766; 12.1502 - 12 < w
    says("12.01 N.m, conditional fail; applied 12.15 +/- 0.28 N.m, within the limits 19.44 %");
    // 6.08 + 1.20 * 1.005 = 7.286; W 1.14 %, w = 0.1720; 8 - 7.286 > w
    says("7.20 N.m, fail, struck out; applied 7.29 +/- 0.18 N.m, within the limits less than 0.01 %");
    // 6.08 + 1.85 * 1.005 = 7.93925; W 1.1075 %, w = 0.1859; 8 - 7.93925 < w
    says("7.85 N.m, conditional fail, struck out; applied 7.94 +/- 0.19 N.m, within the limits 30.93 %");
    // 6.08 + 3.90 * 1.005 = 9.9995; W 1.005 %, w = 0.2279
    says("9.90 N.m, pass; applied 10.00 +/- 0.23 N.m, within the limits more than 99.99 %");
    // 2.5 lies at 2 + (2.5 - 2.04) / 1.03 = 2.4466, mark 2.45; 2.04 + 0.45 * 1.03 = 2.5035; W 1.9 - 0.45 * 0.05 =
    // 1.8775 %; u = 0.0235, a = 0.0751, w = 0.09131; 2.0 + w and 3.5 - w
    says("2.504 +/- 0.092 N.m (95.45 %); certificate with W 1.88 %, drift of 3 %");
    says("2.0914 to 3.4086 N.m for a pass");
    // 1.2 lies at 0.5 + 0.71 / (1.55 / 1.5) = 1.1871, mark 1.20; 0.49 + 0.70 * 1.55 / 1.5 = 1.21333; W 2.6 - 0.7 * 0.7 / 1.5
    // = 2.2733 %; u = 0.01379, a = 0.03640, w = 0.04744; a value without tolerance has no limits to take it from
    says("start 1.2 N.m (line 70), end 1.2 N.m (line 74): agrees");
    says("1.213 +/- 0.048 N.m (95.45 %); certificate with W 2.27 %");
    says("Verdict as set, 1 terminal: 4 line");
    // 2.0 lies at 0.5 + 1.51 / (1.55 / 1.5) = 1.9613, mark 1.95; 0.49 + 1.45 * 1.55 / 1.5 = 1.98833; W 1.9233 %;
    // w = 0.07311 and 1.94 + w > 2.06 - w
    says("1.988 +/- 0.074 N.m (95.45 %); certificate with W 1.92 %");
    says("nothing can pass with this tool: its error takes up the whole range");
    says("within the limits 85.19 %; below 12.23 %, above 2.58 %");
    // 2.05 lies at 2.0097, mark 2.00; 2.04; W 1.9 %; w = 0.07470, 2.04 < 2.0 + w
    says("2.040 +/- 0.075 N.m (95.45 %); certificate with W 1.9 %");
    says("2.0748 to 2.7252 N.m for a pass");
    says("within the limits 81.58 %; below 18.42 %, above less than 0.01 %");
    // 16 * 4.4482216152605 * 0.0254 = 1.80776, at 1.7752, mark 1.80; 0.49 + 1.30 * 1.55 / 1.5 = 1.83333; w = 0.06825
    says("16 lbf.in (1.808 N.m, rounded)");
    says("1.833 +/- 0.069 N.m (95.45 %); certificate with W 1.99 %");
    // 2.2 lies at 2.1553, mark 2.15; 2.04 + 0.15 * 1.03 = 2.1945; W 1.8925 %; w = 0.08026; 2.5 - w = 2.41974
    says("2.195 +/- 0.081 N.m (95.45 %); certificate with W 1.89 %");
    says("at most 2.4197 N.m for a pass");
    // 12 lies at 10 + 1.90 / 1.02 = 11.8627; own tolerance 4 % of 12 = 0.48; 10.10 + 2.40 * 1.02 = 12.548 > 12.48
    says("11.86 N.m on tool A");
    says("11.52 to 12.48 N.m, the firm's own");
    says("12.40 N.m, fail; applied 12.55 +/- 0.29 N.m");
    // 30 lies at 20 + 10.4 / 0.99 = 30.505, mark 31; 19.6 + 11 * 0.99 = 30.49; no class, so w = 2u = 1.5 % = 0.45735
    says("30.49 +/- 0.46 N.m (95.45 %); certificate with W 1.5 %, no drift, because no class is stated");
    // a rectangle of 4 % of 5.5 = 0.22, w = 0.954500 * 0.22 = 0.20999; 5.115 + w and 5.885 - w
    says("5.50 +/- 0.21 N.m (95.45 %); limit of its class, 4 %");
    says("5.325 to 5.675 N.m for a pass");
}

/// The list of what a visit can meet, each as its reader finds it, and the sums of the pages; counted by hand from the lines
/// of the record.
#[test]
fn its_appendix_tells_everything_that_happened_and_its_sums_are_right() {
    let text = print(&the_visit().state.visit, Options::default());
    let says = |words: &str| says(&text, words);
    // 2 stands, 4 ways of finger, line, neutral and cpc, 2 earths, 2 surge; all but surge N tightened in the end
    says("22: 2 complete, 19 complete with remark, 1 set aside, 0 open");
    // passed: incomer N, 1 line, 4 cpc; not as set: 4 fingers, 4 neutrals, main earth, surge L
    says("1 as set, 6 pass, 2 conditional pass, 10 not as set, 1 conditional fail, 1 fail");
    // end of a span: 2.50 against 2.45, half a graduation is 0.025
    says("start 2.45 N.m (line 57), end 2.50 N.m (line 69): too high, the strands were to be looked at");
    says("not as set: scale too high, 4 terminals: 1 finger, 2 finger, 3 finger, 4 finger");
    // nothing can pass: 1.94 + 0.0731 lies above 2.06 - 0.0731
    says("nothing can pass with this tool: its error takes up the whole range");
    // lapsed, and used all the same with a reason
    says("used all the same because: no other wrench of that size on the railway");
    // 4000 + 991 + 8 before the row, and the row's four pass 5000
    says(
        "16 clicks or readings in this visit, 991 in other records on this machine since first use, 4000 stated",
    );
    says("used all the same because: the other driver is at the laboratory");
    // beyond the range of every tool in hand, so that another was fetched: 20 to 100 N.m
    says("Setting [10] 31 N.m on tool E, serial IL-90118");
    // dropped, never released
    says(
        "Doubted dropped (line 120, 2026-11-25 09:12, by Rowan Ashby) Done with it since it was last trusted: surge L",
    );
    says("end not read (line 119): tool doubted: dropped");
    says("not as set: tool doubted since, scale not read at the end, 1 terminal: surge L");
    says("wrench B was dropped, no other does it, 1 terminal: surge N (line 123); told: M. Cole, client");
    // 18 prepared, 18 entered and 4 fingers seated, 19 torques without the row (5 readings, 14 clicks), 13 tugs, 17 marks;
    // the row: 4 torques, 4 tugs, 4 marks
    says("89 singly, 0 by way, 0 by place, 12 by row");
    says("line 90: 4 terminals counted and typed, begun with the scale read, span C5");
    says("21 made, 0 not visible, 0 not used");
}

/// What an inspector asks first of a tool: was it good, and if not, in which way, and who says why (our own wording).
#[test]
fn the_appendix_says_how_a_calibration_had_ended() {
    let text = print(&the_visit().state.visit, Options::default());
    // 4000 + 991 + 16 clicks; its twelve months run to 2027
    says(
        &text,
        "good at first, until 2027-04-02 or 5000 operations; its operations were used up in this visit",
    );
    says(
        &text,
        "operations of the calibration used up: it was good until 2027-04-02 or 5000 operations; used all the",
    );
    says(
        &text,
        "calibration lapsed: it was good until 2026-09-30 or 5000 operations; used all the same because",
    );
    says(&text, "pass: operations of the calibration used up, 4 terminals: 1 cpc, 2 cpc, 3 cpc, 4 cpc");
    says(&text, "not as set: calibration lapsed, 1 terminal: main earth");
    says(&text, "1 click or reading in this visit");
}

/// A scale too high says what was applied at it, not what it shows: 2.75 of the driver is 2.04 + 0.75 * 1.03 = 2.8125 N.m,
/// above a limit of 2.8 that the figure itself keeps. Our own rule: everything is judged by what was applied.
#[test]
fn a_closing_scale_is_judged_by_what_was_applied_at_it() {
    for (read, need, said) in [
        ("2.75", Some(Need::Strands), TorqueWord::ConditionalFail),
        ("2.70", None, TorqueWord::ConditionalPass),
    ] {
        let mut person = at_the_hut();
        person.until(|question| question.text.contains("order do you walk"));
        person.does(Command::Tool);
        takes(&mut person, "driver");
        person.until(|question| question.text.starts_with("incomer L: tighten"));
        goes(&mut person, "2 line");
        person.until(|question| {
            question.text.starts_with("2 line, draw") || question.text.contains("witness mark")
        });
        person.says("made");
        person.until(|question| question.text.contains("before it is turned"));
        tells(
            &mut person,
            &[("before it is turned", read), ("once more", read), ("What happened", "not known")],
        );
        assert_eq!(standing(&person, "2 line").need, need, "{read}");
        assert_eq!(word(&person, "2 line"), said, "{read}");
        agrees(&person.state.visit);
    }
}

/// What an inspector must not miss stands before the title block (our own rule).
#[test]
fn page_one_names_tools_in_doubt_and_fails_that_were_kept() {
    let text = print(&the_visit().state.visit, Options::default());
    let first = text.split("WHAT, WHERE, WHO").next().unwrap();
    for words in [
        "Done with tool C, operations of the calibration used up: 1 neutral, 2 neutral, 3 neutral, 4 neutral.",
        "Done with tool D, operations of the calibration used up: 1 cpc, 2 cpc, 3 cpc, 4 cpc.",
        "Done with tool E, calibration lapsed: main earth.",
        "Done with tool B, tool doubted since: surge L.",
        "Kept with the verdict conditional fail: incomer L.",
        "Kept with the verdict fail: bond rails.",
    ] {
        says(first, words);
    }
    // incomer N failed twice before it passed: that stands under DONE AGAIN
    assert!(!first.contains("incomer N"), "{first}");
    says(&text, "end 2.50 N.m (line 69): too high, it then applied 2.555 +/- 0.094 N.m");
    says(&text, "Error half-width that covers 95.45 %; certificate with W 1.01 %, drift of 2 %");
    says(&text, "nothing is taken off it for the error of the tool (simple acceptance)");
}

/// The visit with the class of a tool put right as a slip.
fn with_class(person: &Person, class: Option<&str>) -> Visit {
    let visit = person.state.visit.clone();
    let stated =
        visit.lines().iter().find(|line| matches!(&line.fact, Fact::Tool(tool) if tool.serial == "IL-40417"));
    let stated = stated.unwrap();
    let Fact::Tool(tool) = &stated.fact else { unreachable!() };
    let fact = Fact::Tool(Box::new(Tool { class: class.map(Into::into), ..(**tool).clone() }));
    let why = "read again on the tool".to_owned();
    act(visit.clone(), &Act::Correct { seq: stated.seq, terminal: None, fact: Box::new(fact), why }).0
}

/// One terminal done with the driver of a class under a rule, everything answered and its scale read.
fn done(mut person: Person, name: &str, class: Option<&str>, rule: &str) -> Person {
    person.state.desk.start.tools_offered = vec![Tool { class: class.map(Into::into), ..driver() }];
    person.until(|question| question.text.contains("are torques with a range"));
    person.says(rule);
    person.until(|question| question.text.contains("incomer L: no tool in hand"));
    goes(&mut person, name);
    person.until(|question| question.text.contains("witness mark"));
    person.says("made");
    goes(&mut person, "1 finger");
    person.until(|question| question.text.contains("before it is turned"));
    person.answers_well();
    person
}

/// Without a class there is no drift: w = 2u = 1.9 % of 2.04 = 0.0388, and 2.04 - 2.0 passes even with two words (JCGM
/// 106:2012, 8.3.2). With 6 % by class w is 0.0747, and it does not: near the lower end it is tightened again, however
/// often it clicked; with four words it passes conditionally (ILAC-G8:09/2019, 4.2). A slip back takes it back.
#[test]
fn a_class_put_right_as_a_slip_judges_anew_what_was_done() {
    let judged = |visit: &Visit| {
        agrees(visit);
        let at = visit.find(&"2 line".into()).unwrap();
        let standing = visit.standing(at).unwrap();
        let good = standing.steps.iter().all(|step| standing.answer(*step).is_some_and(|answer| answer.good));
        (said_at(visit, at).map(|said| said.word), standing.outcome, good)
    };
    for (rule, then) in [
        ("1", (Some(TorqueWord::ConditionalPass), Outcome::CompleteWithRemark, true)),
        ("2", (Some(TorqueWord::Fail), Outcome::Open, false)),
    ] {
        let person = done(at_the_hut(), "2 line", None, rule);
        assert_eq!(judged(&person.state.visit), (Some(TorqueWord::Pass), Outcome::Complete, true), "{rule}");
        assert_eq!(judged(&with_class(&person, Some("II D"))), then, "{rule}");
    }
    // what failed or passed conditionally when it was done, and passes since, is complete; nothing that must hold is broken
    let person = done(at_the_hut(), "2 line", Some("II D"), "1");
    assert_eq!(judged(&person.state.visit).1, Outcome::CompleteWithRemark);
    let visit = with_class(&person, None);
    assert_eq!(judged(&visit), (Some(TorqueWord::Pass), Outcome::Complete, true));
    invariant::check(&visit).unwrap();
}

/// Where the maker forbids a second torque the click was the only one: too little cannot be put right by another. Our own
/// rule, as for a scale found too low.
#[test]
fn a_click_that_fails_since_is_a_remake_where_a_second_torque_is_forbidden() {
    let mut person = at_the_hut();
    let once = BOARD
        .replace("kind: Cage, strip: \"12 mm\",", "kind: Cage, second_torque: Forbidden, strip: \"12 mm\",");
    person.state.desk.start.board = board_file::read(once.as_bytes()).unwrap().board;
    let person = done(person, "2 line", None, "2");
    assert_eq!(standing(&person, "2 line").need, None);
    let visit = with_class(&person, Some("II D"));
    agrees(&visit);
    let need = visit.standing(visit.find(&"2 line".into()).unwrap()).unwrap().need;
    assert_eq!(need, Some(Need::Remake));
}

/// The first rules kept no applied torque and judged a reading by its own figure. Such facts are still read, stand as they
/// stood, and are printed with the version they were judged by (our own rule).
#[test]
fn torques_of_the_first_rules_stand_as_they_stood() {
    let person = the_visit();
    let lines: Vec<Line> = person
        .memory
        .lines
        .iter()
        .map(|line| {
            let mut json = serde_json::to_value(line).unwrap();
            if let Some(torqued) = json["fact"].get_mut("torqued").and_then(|body| body.as_object_mut()) {
                torqued.remove("applied");
                torqued.insert("rules".into(), 1.into());
            }
            serde_json::from_value(json).unwrap()
        })
        .collect();
    let visit = replay(&lines);
    for ((at, terminal, then), (_, _, now)) in visit.terminals().zip(person.state.visit.terminals()) {
        assert_eq!(
            (then.outcome, then.need, &then.answers),
            (now.outcome, now.need, &now.answers),
            "{}",
            terminal.name
        );
        assert_eq!(said_at(&visit, at), said_at(&person.state.visit, at), "{}", terminal.name);
    }
    says(
        &print(&visit, Options::default()),
        "other versions of the rules: line 48 by version 1, line 52 by version 1",
    );
}

/// With two words a torque fails inside its limits, too, within the guard band of an end (JCGM 106:2012, 8.3.2): 11.70 is
/// 10.10 + 1.70 * 1.02 = 11.834 N.m with w = 0.27, above 11.73; 8.00 is 6.08 + 2.00 * 1.005 = 8.09 N.m with w = 0.19, below
/// 8.19. What is done about it goes by the nearer end; our own rule.
#[test]
fn a_fail_inside_the_limits_is_looked_at_or_read_again_by_its_nearer_end() {
    let mut person = at_the_hut();
    person.until(|question| question.text.contains("are torques with a range"));
    person.says("2");
    person.until(|question| question.text.starts_with("incomer L: tighten to 9.90 N.m"));
    tells(
        &mut person,
        &[("incomer L: tighten", "11.70"), ("strands sound or cut", "sound"), ("What is done", "1")],
    );
    assert_eq!(word(&person, "incomer L"), TorqueWord::Fail);
    person.until(|question| question.text.starts_with("incomer N: tighten to 9.90 N.m"));
    tells(&mut person, &[("incomer N: tighten", "8.00"), ("incomer N: tighten", "9.90")]);
    assert!(asks(&person, "tug it firmly"), "{}", person.note());
    assert_eq!(word(&person, "incomer N"), TorqueWord::Pass);
    agrees(&person.state.visit);
}
