//! Coming back to the ticket office: what was disturbed, what is found, what is done, and both appendices.
//! What follows from what stands in the tables of the machine; *common practice, no source* where a test says so.

use crate::desk::{Memory, Person, start};
use crate::properties::agrees;
use crate::rig::snap;
use std::fmt::Write as _;
use witnessmark::appendix::{Options, past_text, print};
use witnessmark::domain::record::{AsideWhy, Attempt, Follows, Outcome, VisitKind};
use witnessmark::session::Visit;
use witnessmark::session::desk::{Answers, Question, State, Topic};
use witnessmark::session::flat::Flat;
use witnessmark::session::past::Past;

pub(crate) const OFFICE: &str = include_str!("../../boards/ticket-office.ron");

/// What the person says in own words.
pub(crate) const WORDS: [(&str, &str); 15] = [
    ("Your name", "Rowan Ashby"),
    ("What are you here", "electrician"),
    ("Reference of the certificate", "EIC 2026-118"),
    ("What do you call it", "torque driver"),
    ("serial number", "TD-2041"),
    ("Number of the calibration", "K-1187"),
    ("Who proved", "Rowan Ashby"),
    ("voltage tester", "two-pole tester"),
    ("locked off", "main switch, own padlock, key in pocket"),
    ("Shrouds, covers", "all back"),
    ("Locks and tools", "all out, one padlock, one driver"),
    ("Who energised", "Rowan Ashby"),
    ("Who was told", "M. Cole, client"),
    ("Who did it", "the meter fitter"),
    ("Who decided", "Rowan Ashby"),
];

/// The first visit of a board, closed without a remark.
pub(crate) fn first_visit(board: &str) -> Visit {
    let mut person = Person::at_board(board);
    person.words = &WORDS;
    person.walks_to_the_end();
    person.state.visit
}

/// Rowan Ashby comes back to a board after these visits.
pub(crate) fn comes_back(board: &str, earlier: &[Visit]) -> Person {
    let mut start = start(board, false);
    start.visit = VisitKind::Revisit;
    start.id = "bbbbbbbb".into();
    start.past = Past::of(earlier);
    start.follows = earlier.last().map(|visit| Follows {
        id: visit.opened().unwrap().id.clone(),
        link: visit.lines().last().unwrap().link.clone(),
    });
    let held = earlier.last().into_iter().flat_map(Visit::tools);
    start.tools_offered = held.map(|held| held.tool.clone()).collect();
    let state = State::new(start);
    Person { state, memory: Memory::default(), second: 86_400, behind: 0, words: &WORDS }
}

/// Says one answer after the other, each to a question that holds the words before it.
pub(crate) fn tells(person: &mut Person, talk: &[(&str, &str)]) {
    for (asked, answer) in talk {
        let question = person.state.question();
        let beside = question.hints.iter().any(|hint| hint.contains(asked));
        assert!(question.text.contains(asked) || beside, "{asked}: {question:?}, {}", person.note());
        person.says(answer);
    }
}

pub(crate) fn asks(words: &'static str) -> impl Fn(&Question) -> bool {
    move |question| question.text.contains(words)
}

fn page(visit: &Visit) -> String {
    print(visit, Options { ascii: false })
}

/// The first visit of the ticket office, and the revisit after its meter was exchanged.
pub(crate) fn meter_exchanged() -> (Visit, Visit) {
    let first = first_visit(OFFICE);
    let mut person = comes_back(OFFICE, std::slice::from_ref(&first));
    person.until(asks("What happened"));
    tells(
        &mut person,
        &[
            ("What happened", "meter exchanged"),
            ("Which terminals", "named, with commas"),
            ("Which?", "incomer L, incomer N, N link"),
            ("How were", "not all alike"),
            ("incomer L:", "flexed"),
            ("incomer N:", "twisted"),
            ("N link:", "taken out and re-terminated"),
            ("Who did it", "the meter fitter"),
            ("check the tightness", "yes"),
            ("In scope: 6", "yes, go on"),
        ],
    );
    person.until(asks("incomer L: look"));
    tells(
        &mut person,
        &[
            ("incomer L: look", "wrong"),
            ("what is wrong", "heat at the meter or cut-out: do not touch, tell the distributor"),
            ("what else", "nothing else"),
            ("incomer N: look", "right"),
            ("incomer L busbar: look", "wrong"),
            ("what is wrong", "heat on the clamp or device: set aside: replace device"),
            ("what else", "nothing else"),
            ("incomer N link: look", "wrong"),
            ("what is wrong", "it cannot be got at"),
            ("N link (16 mm2, 7 wires): prepared how", "ferruled"),
            ("N link (16 mm2, 7 wires): enter", "right"),
            ("main earth: look", "wrong"),
            ("what is wrong", "heat on the insulation: cut back and remake"),
            ("what else", "nothing else"),
        ],
    );
    // at the incomer by setting: 2.5 N.m before 3.5 N.m
    tells(
        &mut person,
        &[
            ("incomer L busbar: the device has to be replaced", "set aside: replace device"),
            ("incomer L: heat at the meter", "1"),
            ("incomer N (25 mm2, 7 wires): tug it firmly, as it was found", "firm"),
            ("Set tool A to 3.50", "1"),
            ("read its scale", "3.5"),
            ("incomer N: tighten once, smoothly, with tool A", "moved"),
            ("incomer N: draw the witness mark", "made"),
            ("incomer N link: it cannot be got at", "1"),
        ],
    );
    // main earth and N link are worked while the tail settles
    person.until(asks("incomer N, settled: the same torque"));
    person.says("held");
    person.until(asks("Who was told"));
    assert!(person.state.question().hints.iter().any(|hint| hint.contains("incomer L")));
    person.walks_to_the_end();
    (first, person.state.visit)
}

#[test]
fn tails_disturbed_by_a_meter_exchange_read_as_a_continuation() {
    let (first, visit) = &meter_exchanged();
    agrees(visit);
    let outcomes = |name: &str| visit.standing(visit.find(&name.into()).unwrap()).unwrap();
    assert_eq!(outcomes("incomer N").outcome, Outcome::Complete);
    assert_eq!((outcomes("incomer N").attempt, outcomes("incomer N").round), (Attempt(1), 1));
    assert_eq!((outcomes("N link").outcome, outcomes("N link").attempt), (Outcome::Complete, Attempt(2)));
    assert_eq!(
        (outcomes("main earth").outcome, outcomes("main earth").attempt),
        (Outcome::Complete, Attempt(2))
    );
    let asides = [
        ("incomer L", AsideWhy::Distributor),
        ("incomer L busbar", AsideWhy::ReplaceDevice),
        ("incomer N link", AsideWhy::NoAccess),
    ];
    for (name, why) in asides {
        assert_eq!(outcomes(name).aside, Some(why), "{name}");
    }
    assert_eq!(visit.counts().not_in_scope, 38);
    let past = past_text(&Past::of(&[first.clone(), visit.clone()]), visit.board().unwrap());
    snap().bind(|| {
        insta::assert_snapshot!("appendix__before_the_meter_exchange", page(first));
        insta::assert_snapshot!("appendix__after_the_meter_exchange", page(visit));
        insta::assert_snapshot!("past__ticket_office", past);
    });
}

#[test]
fn a_flat_without_a_board_file_takes_at_most_twenty_keys_beyond_what_is_observed() {
    for live in [false, true] {
        let mut start = start(OFFICE, false);
        start.visit = VisitKind::Revisit;
        start.flat = Some(|text| {
            let read = witnessmark::board_file::read(text.as_bytes()).ok()?;
            Some((read.board, read.sha256))
        });
        start.person_offered = Some(("Rowan Ashby".into(), "electrician".into()));
        start.tools_offered = first_visit(OFFICE).tools().iter().map(|held| held.tool.clone()).collect();
        let state = State::new(start);
        let mut person = Person { state, memory: Memory::default(), second: 0, behind: 0, words: &WORDS };
        let mut keys = 0;
        let mut talk = String::new();
        while person.state.desk.left.is_none() {
            let question = person.state.question();
            let answer = match question.text.as_str() {
                text if text.contains("incoming side is") && live => "live".to_owned(),
                text if text.contains("Which place") => "14 Station Cottages, flat 3".to_owned(),
                text if text.contains("in N.m?") => "3.5".to_owned(),
                text if text.contains("How thick") => "2".to_owned(),
                // what is offered is taken with one key
                _ if question.offer.is_some() && !question.is_observation() => String::new(),
                text if text.contains("Who did it") => String::new(),
                _ => person.good_answer(),
            };
            // the gate, the place's name, what is observed and what is told at the end are not counted
            let place = question.text.contains("Which place");
            let told = matches!(question.answers, Answers::Text { .. }) && question.topic == Topic::SignOff;
            if question.topic == Topic::Gate {
                assert!(!talk.contains("tails?") && !talk.contains("torque"), "the gate comes first: {talk}");
            }
            if !question.is_observation() && question.topic != Topic::Gate && !place && !told {
                // a list takes one digit and no Enter; what is typed is ended with it
                keys += match question.answers {
                    Answers::Choice(_) => 1,
                    _ => answer.chars().count() + 1,
                };
                writeln!(talk, "{keys:>3}  {} [{answer}]", question.text).unwrap();
            }
            person.says(&answer);
            assert!(keys < 60, "{talk}");
        }
        assert!(keys <= 20, "{talk}");
        assert_eq!(live, !talk.contains("in N.m?"), "what cannot be worked is not asked about: {talk}");
        let visit = &person.state.visit;
        agrees(visit);
        let page = page(visit);
        assert_eq!(live, page.contains("0 OF 2 DISTURBED TERMINALS CHECKED: ISOLATION NEEDED."), "{page}");
        for said in [
            "Site              14 Station Cottages, flat 3; location not stated\n",
            "Supply            single-phase, rated current not seen, ways not seen\n",
            "Device            incomer: maker and type not seen\n",
            "only tried by hand. Nobody is recorded as told.\n",
        ] {
            assert!(page.contains(said), "{said}: {page}");
        }
        assert_eq!(live, !page.contains("  Clamp           incoming clamp (kind not seen)\n"), "{page}");
        let flowing = page.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flowing.contains("Nobody is recorded as told of them."), "the supplier's ends: {page}");
        let text = Flat::of(visit.board().unwrap()).unwrap().text();
        let kept = witnessmark::board_file::read(text.as_bytes()).unwrap();
        assert_eq!(Some(&kept.board), visit.board());
        assert_eq!(Some(kept.sha256.as_str()), visit.board_sha256());
        let name = if live { "live" } else { "dead" };
        snap().bind(|| {
            insta::assert_snapshot!(format!("appendix__flat_{name}"), page);
            insta::assert_snapshot!(format!("flat_board__{name}"), text);
        });
    }
}

#[test]
fn whatever_is_seen_of_a_flat_its_board_file_can_be_read_and_completed() {
    use witnessmark::domain::board::Supply;
    for supply in [Supply::SinglePhase, Supply::ThreePhaseNeutral] {
        for tail_mm2 in [None, Some("16"), Some("35")] {
            for wires in [None, Some(7), Some(19)] {
                for torque in
                    [None, Some(("31 lbf.in".to_owned(), "Leaflet(\"sheet \\\"A\\\"\")".to_owned()))]
                {
                    let place = "14 \"Old\" Cottages \\ flat 3".to_owned();
                    let tail_mm2 = tail_mm2.map(str::to_owned);
                    let flat = Flat { place: place.clone(), supply, tail_mm2, wires, torque };
                    let text = flat.text();
                    let read = witnessmark::board_file::read(text.as_bytes());
                    let board = read.unwrap_or_else(|why| panic!("{why:?}\n{text}")).board;
                    assert_eq!(board.reference, place);
                    assert_eq!(board.tails().count(), supply.poles().len() + 1);
                    assert_eq!(board.terminals[0].conductors[0].size_seen(), flat.tail_mm2.is_some());
                    assert_eq!(Flat::of(&board), Some(flat), "a record is enough to write it again");
                }
            }
        }
    }
}
