//! What the papers of a coming back say, word by word, where an inspector who received them found them wrong once.
//! Our own rules, but where a check names a source.

use crate::audit::{self, HOUR, Table, answer};
use crate::desk::{Memory, Person, start};
use crate::frozen;
use crate::properties::agrees;
use crate::revisit::{OFFICE, WORDS, asks, comes_back, meter_exchanged};
use crate::rig::snap;
use witnessmark::appendix::{Options, past_text, print};
use witnessmark::domain::audit::bound::{Looked, upper};
use witnessmark::domain::names::TerminalName;
use witnessmark::domain::record::{Fact, Line, Outcome, VisitKind};
use witnessmark::domain::verdict::RULES;
use witnessmark::journal::read::parse;
use witnessmark::session::audit::{Part, part_at, picture};
use witnessmark::session::desk::looked::last_time_in_words;
use witnessmark::session::desk::{State, Topic};
use witnessmark::session::past::Past;
use witnessmark::session::{Act, Refusal, Visit, decide, replay};

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
    // our own rule: an audit does not close before somebody by name was told of what is hot
    let hot = audit::one_loose();
    let lines = hot.state.visit.lines();
    let of_it = |line: &Line| matches!(&line.fact, Fact::Told(f) if f.terminals == ["5L2 line".into()]);
    let before = replay(&lines[..lines.iter().position(of_it).unwrap()]);
    let close = decide(&before, &hot.state.desk.who, &Act::Close);
    assert!(
        matches!(&close, Err(Refusal::NotYet(why)) if why.contains("5L2 line was found hot")),
        "{close:?}"
    );
    let unnamed = Act::Tell { terminals: vec!["5L2 line".into()], whom: None };
    assert!(matches!(decide(&before, &hot.state.desk.who, &unnamed), Err(Refusal::ToldFirst)));
    let past = past_text(&Past::of(std::slice::from_ref(&hot.state.visit)), before.board().unwrap());
    let told = "5L2 line: hot, major discrepancy, repair at once, visit 1; told: R. Alder, owner's engineer";
    assert!(words(&section(&past, "OUTSTANDING")).contains(told), "{past}");
    let findings = words(&section(&page(&hot.state.visit), "FINDINGS AND WHAT HAS TO BE DONE"));
    let cause = "To be done the cause of the heat to be found: major discrepancy, repair at once; told: R. Alder, owner's engineer";
    assert!(findings.contains(cause), "{findings}");
    assert!(
        findings.contains("To be done tighten and settle; told: R. Alder, owner's engineer"),
        "{findings}"
    );
}

/// Design: fingers have no tug and are claimed apart. One of them moves under the tool: it is no bad one, and counts in
/// no other bound.
#[test]
fn fingers_have_a_claim_on_moved_of_their_own() {
    let mut person = audit::auditor();
    let at_a_finger = |person: &Person| {
        let question = person.state.question();
        let finger = question.about.is_some_and(|at| part_at(&person.state.visit, at) == Part::Finger);
        finger && question.text.contains("Before the click the screw")
    };
    while !at_a_finger(&person) {
        answer(&mut person, audit::SAMPLE, HOUR);
    }
    let before = picture(&person.state.visit).unwrap();
    let drawn = before.fingers_moved.unwrap().sampled;
    assert_eq!((drawn.remainder, drawn.drawn, drawn.inspected), (27, before.claimed.claim.sample(27), 0));
    person.says("moved");
    audit::to_the_end(&mut person, audit::SAMPLE, HOUR);
    let visit = &person.state.visit;
    agrees(visit);
    let after = picture(visit).unwrap();
    let moved = after.fingers_moved.unwrap();
    assert_eq!((moved.sampled.bad, after.moved.unwrap().sampled.bad, after.bad_ones.len()), (1, 0, 0));
    let looked = Looked { size: 27, drawn: moved.sampled.drawn, found: 1 };
    assert_eq!(moved.bounds.worst, upper(looked, after.claimed.claim.confidence));
    assert!(!after.is_provisional(), "{after:?}");
    let page = page(visit);
    let said = words(&section(&page, "WHAT THE AUDIT SHOWS"));
    let own = format!(
        "Moved of those the tool can be put on, by a sample of their own: 27 terminals, {} drawn, {} tried, 1 moved; \
         final, as found: at most {} moved",
        moved.sampled.drawn, moved.sampled.drawn, moved.bounds.worst
    );
    assert!(said.contains(&own), "{page}");
    assert!(
        words(&section(&page, "HOW IT WAS DRAWN")).contains("Fingers by the same rule, for the tool:"),
        "{page}"
    );
}

/// Where everything is tugged the sample is the tool's alone: its size goes by what the tool can be put on, and nothing
/// else is drawn. Where tug and tool go together every one can be bad, and the whole remainder counts.
#[test]
fn the_sample_is_sized_by_what_can_be_tried() {
    const SIZED: Table = &[("are drawn?", "2"), ("At most how many", "")];
    // of the ticket office the clamps of the ways lose their value, the bars keep theirs
    let board = OFFICE.replace("torque: Value(value: \"2.0 N.m\", source: OnDevice)", "torque: Unknown");
    assert_ne!(board, OFFICE);
    for plan in ["1", "2"] {
        let mut person = audit::auditor_of(&board);
        let special: Vec<(&str, &str)> = [("Which plan?", plan)].iter().chain(SIZED).copied().collect();
        let special: Table = Box::leak(special.into_boxed_slice());
        audit::until(&mut person, "Draw ", special, HOUR);
        let asked = person.state.question().text;
        assert_eq!(plan == "1", asked.contains(" that take the tool, of a remainder of "), "{asked}");
        audit::to_the_end(&mut person, special, HOUR);
        let visit = &person.state.visit;
        agrees(visit);
        let picture = picture(visit).unwrap();
        let (claim, rest) = (picture.claimed.claim, picture.drawn.remainder.len());
        let moved = picture.moved.unwrap().sampled;
        let fits = |name: &TerminalName| {
            let at = visit.find(name).unwrap();
            visit.clamp(at).unwrap().torque_for(&visit.terminal(at).unwrap().conductors).is_some()
        };
        let for_tool = picture.drawn.remainder.iter().filter(|name| fits(name)).count();
        assert!(for_tool > 3 && for_tool + 3 < rest, "{for_tool} of {rest}");
        assert_eq!(moved.remainder, u32::try_from(for_tool).unwrap());
        let said = words(&section(&page(visit), "HOW IT WAS DRAWN"));
        if plan == "1" {
            assert_eq!(moved.drawn, claim.sample(moved.remainder));
            assert!(picture.drawn.of_remainder().all(fits), "{:?}", picture.drawn);
            let from = format!(
                "Drawn from the {for_tool} of it that the tool can be put on: the sample is the tool's"
            );
            assert!(said.contains(&from), "{said}");
        } else {
            let drawn = u32::try_from(picture.drawn.of_remainder().count()).unwrap();
            assert_eq!(drawn, claim.sample(u32::try_from(rest).unwrap()));
            assert!(said.contains("Drawn from all of it, for every one can be bad;"), "{said}");
        }
    }
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

/// One of everything that can be found when a whole board was shaken; every answer is asked for once.
fn shaken() -> Visit {
    let mut person = comes_back(OFFICE, &[typed_with_a_digit()]);
    person.words = &WORDS;
    let mut special: Vec<(&str, &str)> = vec![
        ("What happened", "vibration"),
        ("Does it hold?", "leave some out, with a reason"),
        ("left out", "8 neutral"),
        ("Left out why", "its duct is glued shut"),
        ("incomer N: look", "not visible"),
        ("1 line: look", "wrong"),
        ("1 line: what is wrong", "witness mark offset"),
        ("1 line: and what else", "sleeve shifted"),
        ("2 line (1.5 mm2, solid): tug", "shifted"),
        ("3 line/1", "came out"),
        ("3 line cannot stay so", "cut back and remake"),
        ("3 line: cut back and remade why", "it came out of the clamp"),
        ("4 line: look", "wrong"),
        ("4 line: what is wrong", "heat on the clamp or device: set aside: replace device"),
        ("4 line: the device", "replaced now"),
        ("4: replaced why", "burnt at its clamp"),
        ("5 line: look", "wrong"),
        ("5 line: what is wrong", "strands damaged: cut back and remake"),
        ("5 line cannot stay so", "set it aside"),
        ("6 line: tighten once", "moved"),
        ("1 cpc: tighten once", "moved"),
        ("1 cpc, settled", "moved"),
        ("1 finger: tighten once", "did not click"),
        ("1 finger: why did", "3"),
    ];
    while person.state.desk.left.is_none() {
        let question = person.state.question();
        match special.iter().position(|(asked, _)| question.text.contains(asked)) {
            Some(at) => person.says(special.remove(at).1),
            None if question.text.contains("what else") => person.says("nothing else"),
            None => person.answers_well(),
        }
    }
    assert_eq!(special, [], "what was never asked");
    agrees(&person.state.visit);
    person.state.visit
}

#[test]
fn a_revisit_in_which_everything_was_found_reads_line_by_line() {
    let visit = shaken();
    let page = page(&visit);
    assert!(
        page.contains("- 8 neutral: belongs to the scope and was left out, its duct is glued shut:"),
        "{page}"
    );
    assert!(row(&page, "2 line").contains("sound shifted, as set"), "the tug as it was found: {page}");
    assert!(words(&page).contains("seated (line"), "a finger is seated: {page}");
    assert!(
        words(&page).contains("34 held, 3 moved and made fast again, 3 made off anew, 2 set aside;"),
        "{page}"
    );
    snap().bind(|| insta::assert_snapshot!("appendix__shaken", page));
    let past = past_text(&Past::of(&[typed_with_a_digit(), visit.clone()]), visit.board().unwrap());
    let left = words(&section(&past, "OUTSTANDING"));
    assert!(left.contains("8 neutral: left out of the scope, its duct is glued shut, visit 2"), "{past}");
    assert!(left.contains("1 finger: set aside, no access, visit 2; told: M. Cole, client"), "{past}");
    let tool = "torque driver, serial TD-2041, visit 2: tightened 40 terminals:";
    assert!(
        words(&section(&past, "TOOLS")).contains(tool),
        "what spun or was not reached is not tightened: {past}"
    );
}
#[test]
fn a_device_to_be_replaced_is_burnt_only_where_heat_was_seen() {
    let mut person = comes_back(OFFICE, &[typed_with_a_digit()]);
    person.words = &WORDS;
    person.until(asks("incomer N: tighten once"));
    person.says("did not click");
    person.until(asks("why did it not click"));
    person.says("2");
    person.until(asks("the device has to be replaced"));
    person.says("set aside: replace device");
    person.walks_to_the_end();
    let stripped = words(&page(&person.state.visit));
    assert!(
        stripped.contains("- incomer N: the device has to be replaced. Told: M. Cole, client"),
        "{stripped}"
    );
    let burnt = words(&page(&meter_exchanged().1));
    assert!(
        burnt.contains("has to be replaced; no new copper goes into what the heat has marked."),
        "{burnt}"
    );
}

#[test]
fn what_nobody_did_names_nobody() {
    let mut person = comes_back(OFFICE, &[typed_with_a_digit()]);
    person.words = &WORDS;
    person.until(asks("What happened"));
    person.says("heat or smell");
    person.until(asks("Who did it"));
    person.says("");
    person.says("not known");
    person.until(asks("look at it"));
    let page = page(&person.state.visit);
    assert!(page.contains("\nREVISIT AFTER: heat or smell (line 4).\n"), "{page}");
}

#[test]
fn an_open_coming_back_says_what_is_not_said_or_done_yet() {
    let mut person = comes_back(OFFICE, &[typed_with_a_digit()]);
    person.words = &WORDS;
    person.until(asks("What happened"));
    let opened = page(&person.state.visit);
    assert!(opened.contains("\nTerminals         which of them are in scope is not said yet\n"), "{opened}");
    person.until(asks("incomer N link: look"));
    let open = words(&section(&page(&person.state.visit), "STILL OPEN"));
    let looked = "looked at, to be tugged or tried, 3 terminals: incomer L, incomer N, incomer L busbar.";
    assert_eq!(open, format!("{looked} not looked at yet, 2 terminals: incomer N link, main earth."));
    let mut person = audit::auditor();
    audit::until(&mut person, "right column: look", &[], HOUR);
    let page = page(&person.state.visit);
    assert!(section(&page, "THERMAL ROUND").trim().starts_with("Not said yet."), "{page}");
    assert!(page.contains("\n1L1 line         open sound            open      open      no data"), "{page}");
}

#[test]
fn what_is_not_in_scope_is_not_spoken_of() {
    let unfit = OFFICE.replace("class: 5, metal: Copper, planned: Ferruled", "class: 5, metal: Copper");
    let fit = |visit: &Visit| page(visit).contains("\nFIT OF CONDUCTOR AND CLAMP\n");
    let first = crate::revisit::first_visit(&unfit);
    assert!(fit(&first), "a fine-stranded end without a ferrule is told");
    let mut person = comes_back(&unfit, &[first]);
    person.until(asks("look at it"));
    assert!(!fit(&person.state.visit), "only the tails are in scope: {}", page(&person.state.visit));
}

#[test]
fn who_comes_back_is_told_what_earlier_visits_left_to_be_done() {
    let (first, revisit, audit) = three_visits();
    let mut person = comes_back(OFFICE, &[first, revisit, audit]);
    person.until(asks("What happened"));
    person.says("meter exchanged");
    let question = person.state.question();
    assert!(question.text.starts_with("Which terminals"), "{question:?}");
    let told = question.hints.join("\n");
    assert!(told.starts_with("Outstanding since earlier visits") && told.contains("1 cpc"), "{told}");
}
