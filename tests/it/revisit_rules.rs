//! What follows from what is found at a revisit, and what may be done when.

use crate::acts::tools;
use crate::desk::Person;
use crate::properties::agrees;
use crate::revisit::{OFFICE, asks, comes_back, first_visit, tells};
use witnessmark::domain::record::{Attempt, Fact, InScopeWhy, Moved, Outcome, Turned};
use witnessmark::domain::tool::ToolKind;
use witnessmark::session::desk::{Answers, Command, Question, Topic};
use witnessmark::session::past::Past;
use witnessmark::session::{Need, Sign, Standing, Step};

fn standing<'a>(person: &'a Person, name: &str) -> &'a Standing {
    let visit = &person.state.visit;
    visit.standing(visit.find(&name.into()).unwrap()).unwrap()
}

/// A meter was exchanged, the tails were flexed; stands before the first question of the walk.
fn after_a_meter_exchange(board: &str) -> Person {
    let first = first_visit(board);
    let mut person = comes_back(board, &[first]);
    person.until(|question| question.topic == Topic::Walk);
    person
}

fn goes(person: &mut Person, name: &str) {
    let at = person.state.visit.find(&name.into()).unwrap();
    person.does(Command::Go(at));
}

/// Common practice, no source: after the meter was exchanged, tails that were complete stand open, with 7 wires and
/// with 19 alike, and whether the fitter checked them makes no difference.
#[test]
fn complete_tails_stand_open_after_a_meter_exchange_whatever_their_wires_and_whoever_checked() {
    let nineteen = OFFICE.replace(
        "\"25 tail\": Conductor(csa: \"25 mm2\", class: 2, wires: 7",
        "\"25 tail\": Conductor(csa: \"25 mm2\", class: 2, wires: 19",
    );
    assert_ne!(nineteen, OFFICE);
    let mut scopes = Vec::new();
    for board in [OFFICE, nineteen.as_str()] {
        for checked in ["yes", "no", "not known"] {
            let first = first_visit(board);
            let tail = first.find(&"incomer L".into()).unwrap();
            assert_eq!(first.standing(tail).unwrap().outcome, Outcome::Complete);
            let mut person = comes_back(board, &[first]);
            person.until(asks("check the tightness"));
            person.says(checked);
            person.until(|question| question.topic == Topic::Walk);
            for name in ["incomer L", "incomer N"] {
                assert_eq!(standing(&person, name).outcome, Outcome::Open, "{name}");
                assert_eq!(standing(&person, name).sign(), Sign::Bare);
            }
            let scope = person.state.visit.scope().unwrap().1;
            scopes.push(
                scope.terminals.iter().map(|e| (e.terminal.clone(), e.why, e.attempt)).collect::<Vec<_>>(),
            );
        }
    }
    assert!(scopes.iter().all(|scope| *scope == scopes[0]), "{scopes:#?}");
    let why: Vec<(&str, InScopeWhy)> = scopes[0].iter().map(|(t, why, _)| (t.as_str(), *why)).collect();
    let wanted = [
        ("incomer L", InScopeWhy::Disturbed),
        ("incomer N", InScopeWhy::Disturbed),
        ("incomer L busbar", InScopeWhy::LoadSide),
        ("incomer N link", InScopeWhy::LoadSide),
        ("main earth", InScopeWhy::MainEarth),
    ];
    assert_eq!(why, wanted);
}

/// Common practice, no source: what came out is cut back and made again; it never settles.
#[test]
fn came_out_is_a_remake_and_never_a_settle() {
    for found in ["came out", "strands broke"] {
        let mut person = after_a_meter_exchange(OFFICE);
        person.until(asks("incomer N (25 mm2, 7 wires): tug it firmly, as it was found"));
        person.says(found);
        assert_eq!(standing(&person, "incomer N").need, Some(Need::Remake));
        assert!(standing(&person, "incomer N").settling.is_none());
        goes(&mut person, "incomer N");
        let Answers::Choice(list) = person.state.question().answers else { panic!("a list") };
        assert_eq!(list, ["cut back and remake", "set it aside"]);
        person.says("1");
        person.says("");
        let after = standing(&person, "incomer N");
        assert_eq!((after.attempt, after.next_step()), (Attempt(2), Some(Step::Prepare(0))));
        person.walks_to_the_end();
        agrees(&person.state.visit);
        assert!(!person.memory.lines.iter().any(|line| matches!(line.fact, Fact::SettleReady(_))));
    }
}

#[test]
fn a_tug_that_shifts_is_looked_at_again_and_a_second_one_is_remade() {
    let mut person = after_a_meter_exchange(OFFICE);
    let tug = "incomer N (25 mm2, 7 wires): tug it firmly";
    person.until(asks("incomer N (25 mm2, 7 wires): tug it firmly, as it was found"));
    person.says("shifted");
    let after = standing(&person, "incomer N");
    assert_eq!((after.attempt, after.next_step()), (Attempt(1), Some(Step::Enter(0))));
    goes(&mut person, "incomer N");
    person.until(|question| question.text.starts_with(tug));
    person.says("shifted");
    assert_eq!(standing(&person, "incomer N").need, Some(Need::Remake));
    person.walks_to_the_end();
    agrees(&person.state.visit);
}

#[test]
fn what_moved_twice_after_its_wait_is_remade_and_what_was_not_waited_for_says_so() {
    let mut person = after_a_meter_exchange(OFFICE);
    person.until(asks("incomer N: tighten once, smoothly"));
    person.says("moved");
    person.until(asks("incomer N, settled"));
    person.says("moved");
    person.until(|question| question.text.contains("incomer N, settled") && question.topic == Topic::Walk);
    person.says("moved");
    assert_eq!(standing(&person, "incomer N").need, Some(Need::Remake), "moved again: remake, own rule");

    let mut person = after_a_meter_exchange(OFFICE);
    person.until(asks("incomer N: tighten once, smoothly"));
    person.says("moved");
    person.until(|question| question.text.contains("Nothing else is left: "));
    person.says("2");
    person.says("the last train leaves");
    assert_eq!(standing(&person, "incomer N").settling, None);
    person.walks_to_the_end();
    assert_eq!(standing(&person, "incomer N").outcome, Outcome::CompleteWithRemark);
    agrees(&person.state.visit);
}

#[test]
fn a_clamp_whose_maker_forbids_a_second_torque_is_looked_at_and_tugged_only() {
    let board = OFFICE.replace(
        "kind: Cage, screws: 1, thread: \"M6\"",
        "kind: Cage, second_torque: Forbidden, screws: 1, thread: \"M6\"",
    );
    let person = after_a_meter_exchange(&board);
    assert_eq!(standing(&person, "incomer L").steps, [Step::Look, Step::CheckTug(0)]);
}

#[test]
fn a_first_movement_is_shown_as_loss_and_never_judged() {
    let first = first_visit(OFFICE);
    let mut person = comes_back(OFFICE, &[first]);
    let indicating = tools().into_iter().find(|tool| tool.kind == ToolKind::Indicating).unwrap();
    person.state.desk.start.tools_offered = vec![indicating];
    person.until(asks("incomer N: turn tool A up slowly"));
    // 20 per cent less than the 3.5 N.m of the first visit
    person.says("2.80");
    let Fact::Movement(movement) = &person.memory.lines.last().unwrap().fact else { panic!("no movement") };
    assert_eq!(movement.loss_percent(), Some(20));
    assert_eq!(standing(&person, "incomer N").outcome, Outcome::Open, "it is tightened now");
    tells(&mut person, &[("incomer N: it moved. Tighten it to", "3.50")]);
    let Fact::Torqued(torqued) = &person.memory.lines.last().unwrap().fact else { panic!("no torque") };
    assert_eq!(torqued.turned, Some(Turned::Moved));
    // one that held up to the value is answered so
    person.until(asks("incomer N link: turn tool A up slowly"));
    person.says("held");
    let Fact::Movement(movement) = &person.memory.lines.last().unwrap().fact else { panic!("no movement") };
    assert_eq!((&movement.found, movement.loss_percent()), (&Moved::Held, None));
    person.walks_to_the_end();
    agrees(&person.state.visit);
    let page = witnessmark::appendix::print(&person.state.visit, witnessmark::appendix::Options::default());
    let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(page.contains("moved first at 2.80 N.m, loss 20 % from 3.5 N.m applied before"), "{page}");
}

#[test]
fn one_more_full_torque_is_cautioned_with_their_count() {
    let caution =
        |question: &Question| question.hints.iter().any(|hint| hint.contains("3 full torques on it already"));
    let mut visits = vec![first_visit(OFFICE)];
    for nth in 0..3 {
        let mut person = comes_back(OFFICE, &visits);
        person.until(asks("incomer N: tighten once, smoothly"));
        assert_eq!(caution(&person.state.question()), nth == 2, "visit {nth}: {:?}", person.state.question());
        person.walks_to_the_end();
        visits.push(person.state.visit);
    }
    // a new attempt begins to count anew
    let (_, last) = Past::of(&visits).last_time(&"incomer N".into()).unwrap();
    assert_eq!(last.torques, 4);
}

#[test]
fn a_live_tail_is_looked_at_only_when_the_person_decides_so_and_never_touched() {
    let first = first_visit(OFFICE);
    let mut person = comes_back(OFFICE, &[first]);
    person.until(asks("incoming side is"));
    tells(&mut person, &[("incoming side is", "live"), ("shrouded", "bare"), ("Who decided", "Rowan Ashby")]);
    person.until(asks("incomer L: fed by incoming, which is live"));
    tells(
        &mut person,
        &[
            ("DO NOT TOUCH", "I decide to look at it without touching"),
            ("Who decided that it is looked at live", ""),
            ("DO NOT TOUCH. Look at it", "wrong"),
            ("what is wrong", "heat on the clamp or device: set aside: replace device"),
            ("what else", "nothing else"),
        ],
    );
    let Fact::Looked(looked) = &person.memory.lines.last().unwrap().fact else { panic!("no look") };
    assert_eq!(looked.untouched.as_ref().unwrap().decided_by, "Rowan Ashby");
    person.until(asks("incomer N: fed by incoming, which is live"));
    person.says("set it aside: still live");
    person.walks_to_the_end();
    let visit = &person.state.visit;
    agrees(visit);
    for name in ["incomer L", "incomer N"] {
        let touched = visit.lines_about(visit.find(&name.into()).unwrap()).any(|line| {
            matches!(line.fact, Fact::Tugged(_) | Fact::Torqued(_) | Fact::Movement(_) | Fact::Remade(_))
        });
        assert!(!touched, "{name}");
    }
    let page = witnessmark::appendix::print(visit, witnessmark::appendix::Options::default());
    assert!(page.contains("0 OF 2 DISTURBED TERMINALS CHECKED: ISOLATION NEEDED."), "{page}");
}

#[test]
fn what_is_recorded_of_a_terminal_stands_beside_its_questions() {
    let mut person = after_a_meter_exchange(OFFICE);
    let last = "Last time: 2026-11-25, left in lay, 3.5 N.m with torque driver, serial TD-2041, Rowan Ashby, complete.";
    for asked in ["incomer L: look at it", "incomer L: tighten once"] {
        person.until(|question| question.text.starts_with(asked));
        let question = person.state.question();
        assert!(question.hints.iter().any(|hint| hint == last), "{question:?}");
    }
}

/// Keys a held terminal takes, the scale included: at most three. The whole board was shaken, every terminal held.
#[test]
fn a_held_terminal_takes_at_most_three_keys() {
    let first = first_visit(OFFICE);
    let mut person = comes_back(OFFICE, &[first]);
    person.until(asks("What happened"));
    person.says("vibration");
    person.until(|question| question.topic == Topic::Walk);
    let (mut keys, mut alike) = (0, 0);
    while person.state.desk.focus.is_some() {
        let question = person.state.question();
        let answer = person.good_answer();
        // what is alike at a whole place is looked at together: one key for the place, one for the answer
        if question.text.contains("look at it. It is:") {
            person.does(Command::Alike);
            keys += 1;
            alike += usize::from(person.state.question().text.contains("All of those"));
        }
        let answer =
            if person.state.question().text.contains("All of those") { "right".to_owned() } else { answer };
        keys += match question.answers {
            Answers::Reading { .. } => answer.len() + 1,
            _ => 1,
        };
        person.says(&answer);
    }
    person.walks_to_the_end();
    let counts = person.state.visit.counts();
    assert!(alike > 3 && counts.complete == 43, "{alike} {counts:?}");
    assert!(keys <= 3 * counts.complete, "{keys} keys for {} held terminals", counts.complete);
}

#[test]
fn a_mistyped_look_and_a_mistyped_movement_are_put_right_where_they_stand() {
    let mut person = after_a_meter_exchange(OFFICE);
    person.until(asks("incomer L: look at it"));
    tells(
        &mut person,
        &[
            ("incomer L: look at it", "wrong"),
            ("what is wrong", "heat on the insulation: cut back and remake"),
            ("what else", "nothing else"),
        ],
    );
    assert_eq!(standing(&person, "incomer L").need, Some(Need::Remake));
    person.does(Command::Slip);
    tells(&mut person, &[("The look showed", "right"), ("How did it come about", "")]);
    assert_eq!(standing(&person, "incomer L").need, None, "the remake it asked for is gone with it");
    person.until(asks("incomer L: tighten once, smoothly"));
    person.says("moved");
    assert_eq!(standing(&person, "incomer L").next_step(), Some(Step::Mark));
    person.does(Command::Slip);
    tells(
        &mut person,
        &[("The tool said", "clicked"), ("Before that the screw", "held"), ("How did it come about", "")],
    );
    assert_eq!(standing(&person, "incomer L").next_step(), None, "held: no new mark, no wait");
    person.walks_to_the_end();
    assert_eq!(standing(&person, "incomer L").outcome, Outcome::Complete);
    agrees(&person.state.visit);
}
