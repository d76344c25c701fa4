//! What the papers of a coming back say, word by word, where an inspector who received them found them wrong once.
//! Our own rules, but where a check names a source.

use crate::audit::{HOUR, Table, answer};
use crate::desk::{Memory, Person, start};
use crate::properties::agrees;
use crate::revisit::{OFFICE, WORDS, asks, comes_back, meter_exchanged};
use crate::rig::snap;
use witnessmark::appendix::{Options, past_text, print};
use witnessmark::domain::record::VisitKind;
use witnessmark::session::Visit;
use witnessmark::session::desk::looked::last_time_in_words;
use witnessmark::session::desk::{State, Topic};
use witnessmark::session::past::Past;

/// The lines of a page from one heading to the next, put on one line each blank apart.
fn section(page: &str, heading: &str) -> String {
    let after = page.split_once(&format!("\n{heading}\n")).unwrap_or_else(|| panic!("{heading}: {page}")).1;
    let is_heading = |line: &&str| line.chars().any(char::is_alphabetic) && **line == line.to_uppercase();
    let lines: Vec<&str> = after.lines().take_while(|line| !is_heading(line)).collect();
    lines.join("\n")
}

fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn page(visit: &Visit) -> String {
    print(visit, Options::default())
}

/// The row of a terminal in the table, its lines put together.
fn row(page: &str, name: &str) -> String {
    let start = format!("{name:<15} ");
    let line = page.lines().find(|line| line.starts_with(&start) && line.ends_with(['A', 'C', 'R', '2']));
    words(line.unwrap_or_else(|| panic!("{name}: {page}")))
}

/// A first visit of the ticket office, its revisit, and an audit of it two days later with one loose terminal.
fn three_visits() -> (Visit, Visit, Visit) {
    const AUDIT: Table = &[
        ("Why is there no thermal round", "the office is closed"),
        ("E bar: tug", "1 cpc"),
        ("1 cpc (", "shifted"),
        ("cannot stay so", "2"),
        ("Go on to everything", "2"),
        ("Why", "the owner wants the supply back"),
    ];
    let (first, revisit) = meter_exchanged();
    let mut begun = start(OFFICE, false);
    begun.visit = VisitKind::Audit;
    begun.id = "cccccccc".into();
    let mut person = Person {
        state: State::new(begun),
        memory: Memory::default(),
        second: 172_800,
        behind: 0,
        words: &[],
    };
    while person.state.desk.left.is_none() {
        answer(&mut person, AUDIT, HOUR);
    }
    agrees(&person.state.visit);
    (first, revisit, person.state.visit)
}

#[test]
fn what_was_set_aside_before_a_step_says_none_and_not_open() {
    let (_, visit) = meter_exchanged();
    let page = page(&visit);
    assert_eq!(row(&page, "incomer L"), "incomer L 25, 7 wires heat at the none none - A");
    assert_eq!(row(&page, "incomer N link"), "incomer N link 16, 7 wires not accessible none none - A");
    assert!(page.contains("\nnone: it was set aside before that was done.\n"), "{page}");
    assert!(!section(&page, "TERMINALS IN SCOPE").contains(" open"), "{page}");
}

/// A first visit of the ticket office whose scales are typed with one digit behind the point.
fn typed_with_a_digit() -> Visit {
    let mut person = Person::at_board(OFFICE);
    person.words = &WORDS;
    while person.state.desk.left.is_none() {
        let question = person.state.question();
        let answer = person.good_answer();
        let scale = question.topic == Topic::Scale && answer.parse::<f64>().is_ok();
        person.says(&if scale { format!("{:.1}", answer.parse::<f64>().unwrap()) } else { answer });
    }
    person.state.visit
}

#[test]
fn the_digits_of_the_scale_stay_in_past_visits_and_in_what_was_recorded_last_time() {
    let first = typed_with_a_digit();
    let past = Past::of(std::slice::from_ref(&first));
    let text = words(&past_text(&past, first.board().unwrap()));
    assert!(
        text.contains("1 line visit 1 solid, bared, 2.0 N.m with serial TD-2041, as set, tug firm"),
        "{text}"
    );
    assert!(!text.contains(" 2 N.m"), "{text}");
    let mut person = comes_back(OFFICE, &[first]);
    person.until(asks("incomer L: look"));
    let last = person.state.visit.in_scope(&"main earth".into()).unwrap();
    assert_eq!(
        last_time_in_words(last),
        "Last time: 2026-11-25, left in lay, 1.8 N.m with torque driver, serial TD-2041, Rowan Ashby, complete."
    );
    let tail = person.state.visit.in_scope(&"incomer L busbar".into()).unwrap().last.clone().unwrap();
    assert_eq!(tail.set.unwrap().to_string(), "2.5 N.m", "as it was read off the scale, not 2.50");
}

#[test]
fn what_moved_and_then_held_after_its_wait_says_both() {
    let (first, revisit) = meter_exchanged();
    let text = words(&past_text(&Past::of(&[first, revisit.clone()]), revisit.board().unwrap()));
    assert!(text.contains("as set, the screw moved, then held, tug firm, complete"), "{text}");
}

#[test]
fn past_visits_tell_a_first_visit_a_revisit_and_an_audit() {
    let (first, revisit, audit) = three_visits();
    let past = Past::of(&[first, revisit, audit.clone()]);
    let text = past_text(&past, audit.board().unwrap());
    snap().bind(|| insta::assert_snapshot!("past__three_visits", text));
    let outstanding = words(&section(&text, "OUTSTANDING"));
    for name in ["incomer L:", "incomer L busbar:", "incomer N link:", "1 cpc:"] {
        assert!(outstanding.contains(name), "an audit mends nothing: {name}: {text}");
    }
    assert!(words(&section(&text, "TOOLS")).contains("only tried 32 terminals"), "{text}");
}
