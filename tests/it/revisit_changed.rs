//! A board changed between two visits: the difference is shown, what still applies is carried over, what is new is
//! walked as a first visit; nothing recorded is lost or said of another terminal, whatever changed.

use crate::acts::{self, Dice, edited};
use crate::moves::sensible;
use crate::properties::agrees;
use crate::revisit::{OFFICE, asks, comes_back, first_visit};
use proptest::prelude::*;
use serde_json::Value;
use std::collections::BTreeMap;
use witnessmark::domain::board::Board;
use witnessmark::domain::names::TerminalName;
use witnessmark::domain::record::{
    AsideWhy, Attempt, DisturbedHow, Fact, Happened, InScopeWhy, Known, Outcome, SessionCause, VisitKind,
};
use witnessmark::session::desk::Topic;
use witnessmark::session::past::Past;
use witnessmark::session::scope_of::{Disturbance, scope_of};
use witnessmark::session::{Act, Step, Visit, apply, decide};

/// What a terminal is: clamp, conductors, device and whether it is spare, as JSON; not what its maker states.
fn being(board: &Board, name: &TerminalName) -> Option<Value> {
    let terminal = board.terminal(name)?;
    let clamp = board.clamp(terminal)?;
    let made = |c: &witnessmark::domain::conductor::Conductor| {
        serde_json::json!([c.csa_mm2.normalize().to_string(), c.class, c.wires, c.metal])
    };
    Some(serde_json::json!({
        "clamp": [clamp.kind.words(), clamp.screws, clamp.second_torque_forbidden, clamp.settle],
        "conductors": terminal.conductors.iter().map(made).collect::<Vec<_>>(),
        "device": terminal.device, "spare": terminal.spare,
    }))
}

fn done(mut visit: Visit, act: &Act) -> Visit {
    for fact in decide(&visit, &acts::me(), act).unwrap_or_else(|why| panic!("{act:?}: {why}")) {
        let line = acts::line(&visit, fact);
        visit = apply(visit, &line);
    }
    visit
}

/// A first visit of so many sensible acts, whatever is open set aside, as a closed one stands.
fn earlier(dice: &mut Dice, turns: usize) -> Visit {
    let mut visit = done(Visit::empty(), &acts::opening(false, Some(6)));
    visit = done(visit, &acts::beginning(SessionCause::Opened));
    for _ in 0..turns {
        let act = sensible(&visit, dice, false);
        if decide(&visit, &dice.hand.clone(), &act).is_ok() && !matches!(act, Act::AmendBoard { .. }) {
            for fact in decide(&visit, &dice.hand.clone(), &act).unwrap() {
                let line = acts::line_of(&visit, &dice.hand.clone(), fact);
                visit = apply(visit, &line);
            }
        }
        if visit.ended().is_some() {
            break;
        }
    }
    visit
}

fn revisit(board: &Board) -> Visit {
    let Act::Open(mut open) = acts::opening(false, Some(6)) else { panic!("an opening") };
    open.visit = VisitKind::Revisit;
    open.board = board.clone();
    let visit = done(Visit::empty(), &Act::Open(open));
    done(visit, &acts::beginning(SessionCause::Opened))
}

/// Every line a terminal's last answers came from, by name, worked out from the record alone.
fn torqued_with(visit: &Visit) -> BTreeMap<&str, Vec<String>> {
    let mut all: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for line in visit.lines() {
        if let Fact::Torqued(f) = &line.fact {
            for name in &f.terminals {
                all.entry(name.as_str()).or_default().extend(f.serial.clone());
            }
        }
    }
    all
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn nothing_recorded_is_lost_or_said_of_another_terminal(
        rolls in prop::collection::vec(any::<u32>(), 0..60), seed in any::<u64>(), edits in 1_usize..6,
        turns in 30_usize..160,
    ) {
        let mut dice = Dice::new(rolls, seed);
        let first = earlier(&mut dice, turns);
        let before = first.board().unwrap().clone();
        let mut board = before.clone();
        for _ in 0..edits {
            board = edited(&board, &mut dice);
        }
        let past = Past::of(std::slice::from_ref(&first));
        // nothing recorded is lost: every terminal of the record has its story, and its attempt
        for (_, terminal, standing) in first.terminals() {
            let story = past.story(&terminal.name).unwrap();
            prop_assert_eq!(story.chapters.len(), 1);
            prop_assert_eq!(story.chapters[0].outcome, standing.outcome);
            prop_assert_eq!(story.chapters[0].attempt, standing.attempt);
        }
        let everything = Disturbance {
            happened: Happened::BoardMoved,
            disturbed: board.terminals.iter().map(|t| (t.name.clone(), DisturbedHow::Flexed)).collect(),
            by: None,
            checked_by_them: Known::Yes,
            added: vec![],
            dropped: vec![],
        };
        let scope = scope_of(&board, &everything, &past);
        let tools = torqued_with(&first);
        for entry in &scope.terminals {
            let name = &entry.terminal;
            let (was, is) = (being(&before, name), being(&board, name));
            let same = was.is_some() && was == is;
            match (&was, same) {
                (None, _) => prop_assert_eq!((entry.why, entry.attempt), (InScopeWhy::New, Attempt::FIRST)),
                (Some(_), false) => prop_assert_eq!(entry.why, InScopeWhy::Changed),
                (Some(_), true) => prop_assert!(!entry.afresh(), "{:?}", entry),
            }
            // what is said of it was recorded of this terminal and of no other
            if let Some(last) = &entry.last {
                prop_assert!(same, "{:?} is another terminal now", entry);
                if let Some(serial) = &last.serial {
                    prop_assert!(tools.get(name.as_str()).is_some_and(|all| all.contains(serial)));
                }
            } else {
                let worked = past.last_time(name).is_some();
                prop_assert!(!same || !worked, "what is recorded of {} is lost", name);
            }
        }
        // the difference is said: gone terminals are named, and every other one is in scope or nothing is clamped there
        for terminal in &before.terminals {
            let there = board.terminal(&terminal.name).is_some();
            prop_assert_eq!(!there, scope.gone.contains(&terminal.name));
        }
        if scope.terminals.is_empty() {
            return Ok(());
        }
        let visit = done(revisit(&board), &Act::SetScope(Box::new(scope.clone())));
        for entry in &scope.terminals {
            let standing = visit.standing(visit.find(&entry.terminal).unwrap()).unwrap();
            prop_assert_eq!(standing.outcome, Outcome::Open);
            prop_assert_eq!(standing.attempt, entry.attempt);
            prop_assert_eq!(standing.steps.contains(&Step::Look), !entry.afresh());
        }
        agrees(&visit);
        // after both visits every line of the first is still told of the terminals it was about
        let names: Vec<TerminalName> = scope.terminals.iter().map(|entry| entry.terminal.clone()).collect();
        let visit = done(visit, &Act::SetAside { terminals: names, why: AsideWhy::Other("no time".into()) });
        let both = Past::of(&[first.clone(), visit]);
        for story in &past.stories {
            let now = both.story(&story.terminal).unwrap();
            prop_assert_eq!(&now.chapters[0], &story.chapters[0]);
            let same = being(&before, &story.terminal) == being(&board, &story.terminal);
            if let Some(chapter) = now.chapters.get(1) {
                prop_assert_eq!(chapter.begins, !same, "{}", story.terminal);
            }
            if same && board.terminal(&story.terminal).is_some() {
                prop_assert_eq!(both.last_time(&story.terminal), past.last_time(&story.terminal));
            }
        }
    }
}

/// The ticket office with another device at way 4, a conductor more at way 8, and way 9 in use.
fn changed() -> String {
    let board = OFFICE
        .replace(
            "Row(at: [\"4\"], device: \"B32\", circuit: \"water heater\"",
            "Row(at: [\"4\"], device: \"B16\", circuit: \"water heater\"",
        )
        .replace(
            "circuit: \"heater, booking hall\", line: \"2.5\"",
            "circuit: \"heater, booking hall\", line: [\"2.5\", \"2.5\"]",
        )
        .replace(
            "Spare(at: [\"9\"], device: \"B16\"),",
            "Row(at: [\"9\"], device: \"B16\", circuit: \"charger\", line: \"2.5\", neutral: \"2.5\", cpc: \"2.5\"),",
        );
    assert_ne!(board, OFFICE);
    board
}

#[test]
fn a_way_added_since_is_walked_as_in_a_first_visit_within_the_revisit() {
    let first = first_visit(OFFICE);
    let mut person = comes_back(&changed(), &[first]);
    person.until(asks("Does it hold"));
    let hints = person.state.question().hints.join("\n");
    assert!(hints.contains("new since: 9 neutral, 9 cpc."), "{hints}");
    assert!(hints.contains("other clamp or conductors since: "), "{hints}");
    person.until(|question| question.topic == Topic::Walk);
    let of = |name: &str| {
        let at = person.state.visit.find(&name.into()).unwrap();
        let standing = person.state.visit.standing(at).unwrap();
        (standing.attempt, standing.next_step())
    };
    assert_eq!(of("9 cpc"), (Attempt(1), Some(Step::Prepare(0))));
    // nothing was ever made in the spare terminal
    assert_eq!(of("9 line"), (Attempt(1), Some(Step::Prepare(0))));
    assert_eq!(of("8 line"), (Attempt(2), Some(Step::Prepare(0))));
    assert_eq!(of("incomer L"), (Attempt(1), Some(Step::Look)));
    person.walks_to_the_end();
    agrees(&person.state.visit);
    let page = witnessmark::appendix::print(&person.state.visit, witnessmark::appendix::Options::default());
    assert!(
        page.contains("\n9 terminals in scope: 5 held, 2 made off anew, 2 new and made off.\n"),
        "{page}"
    );
    let other =
        "8 line (other clamp or conductors since)\n  before          what is recorded was another terminal";
    assert!(page.contains(other), "{page}");
}
