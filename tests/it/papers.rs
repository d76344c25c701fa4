//! What the papers of a coming back say, word by word, where an inspector who received them found them wrong once.
//! Our own rules, but where a check names a source.

use crate::audit::{self, HOUR, Table, answer};
use crate::desk::{Memory, Person, start};
use crate::frozen;
use crate::properties::agrees;
use crate::revisit::{OFFICE, WORDS, asks, comes_back, meter_exchanged};
use crate::rig::snap;
use witnessmark::appendix::{Options, past_text, print};
use witnessmark::domain::record::{Fact, Line, Outcome, VisitKind};
use witnessmark::domain::verdict::RULES;
use witnessmark::journal::read::parse;
use witnessmark::session::desk::looked::last_time_in_words;
use witnessmark::session::desk::{State, Topic};
use witnessmark::session::past::Past;
use witnessmark::session::{Visit, replay};

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
fn what_was_not_seen_names_the_line_of_its_look() {
    let first = typed_with_a_digit();
    let mut person = comes_back(OFFICE, &[first]);
    person.words = &WORDS;
    person.until(asks("incomer N: look"));
    person.says("not visible");
    let look = person.memory.lines.last().unwrap().seq;
    person.walks_to_the_end();
    let page = page(&person.state.visit);
    let remarks = words(&section(&page, "REMARKS"));
    assert_eq!(remarks, format!("incomer N not seen (look line {look})"), "{page}");
    assert!(page.contains("\n5 terminals in scope: 5 held; 1 of them with a remark.\n"), "{page}");
}

#[test]
fn who_asked_for_a_wait_is_said_and_what_held_is_not_asked_to_settle() {
    let (_, moved) = meter_exchanged();
    let asked = words(&section(&page(&moved), "SETTLING"));
    let own = "Asked for by own practice, no published source: what moved in this visit, 10 min";
    assert!(asked.contains(own), "{asked}");
    // every clamp of this board asks for a wait when it is made off
    let settling =
        OFFICE.replace("kind: Cage,", "kind: Cage, settle: Settle(wait: \"15 min\", asked_by: OwnPractice),");
    assert_ne!(settling, OFFICE);
    let mut first = Person::at_board(&settling);
    first.words = &WORDS;
    while first.state.desk.left.is_none() {
        if first.state.question().text.contains("Nothing else is left:") {
            first.second += 60;
        }
        first.answers_well();
    }
    let mut person = comes_back(&settling, &[first.state.visit]);
    person.words = &WORDS;
    person.walks_to_the_end();
    let page = page(&person.state.visit);
    assert!(page.contains("5 terminals in scope: 5 held.\n"), "{page}");
    assert!(!page.contains("Not settled yet") && !page.contains("\nSETTLING\n"), "{page}");
}

#[test]
fn what_is_hot_is_a_finding_and_names_who_was_told() {
    let hot = audit::one_loose();
    let findings = words(&section(&page(&hot.state.visit), "FINDINGS AND WHAT HAS TO BE DONE"));
    let cause = "To be done the cause of the heat to be found: major discrepancy, repair at once; nobody is recorded as told";
    assert!(findings.contains(cause), "{findings}");
    assert!(
        findings.contains("To be done tighten and settle; told: R. Alder, owner's engineer"),
        "{findings}"
    );
}

/// A kept record that says it was closed under other rules, with another outcome than these rules give.
#[test]
fn what_earlier_rules_decided_stays_decided_and_is_said() {
    let bytes = frozen::fixtures().remove(1);
    let mut lines = parse(&bytes).unwrap().lines;
    let other = |lines: &mut Vec<Line>, rules| {
        if let Fact::Opened(opened) = &mut lines[0].fact {
            opened.rules = rules;
        }
        if let Fact::Closed(closed) = &mut lines.last_mut().unwrap().fact {
            let main = closed.outcomes.iter_mut().find(|o| o.terminal.as_str() == "main earth").unwrap();
            main.outcome = Outcome::CompleteWithRemark;
            main.why = Some("conditional pass".into());
        }
        page(&replay(lines))
    };
    let careless = other(&mut lines, RULES);
    assert!(careless.contains("THE OUTCOMES WRITTEN AT CLOSING ARE NOT THOSE THAT FOLLOW"), "{careless}");
    let earlier = words(&other(&mut lines, RULES - 1));
    let said = "At closing it was decided: main earth complete with remark, conditional pass. That stands.";
    assert!(earlier.contains(said) && !earlier.contains("ARE NOT THOSE"), "{earlier}");
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
