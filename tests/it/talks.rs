//! Random talks at the desk: every answer is one that the question names, doings come in between, the clock jumps.
//!
//! What must hold after every event, whatever was answered: the visit is the fold of its lines, something is asked,
//! and where an answer is one of those named it is either taken or refused in words. Our own rules, no source.

use crate::desk::{Memory, at, start};
use crate::facts::Dice;
use std::collections::{BTreeMap, HashSet};
use witnessmark::domain::names::WayNumber;
use witnessmark::session::desk::{
    Answers, Command, Event, Input, Left, Message, Question, State, Topic, drive,
};
use witnessmark::session::{Ended, replay};

const TALKS: u64 = 60;
const ANSWERS: usize = 900;

/// An answer that the question names; of choices any, of observations mostly the good one.
fn answer(question: &Question, dice: &mut Dice) -> String {
    match &question.answers {
        Answers::Observed(list) if dice.below(12) > 0 => list[0].word.to_owned(),
        Answers::Observed(list) => dice.pick(list).word.to_owned(),
        Answers::Words(list) if dice.below(8) > 0 => list[0].to_owned(),
        Answers::Words(list) => (*dice.pick(list)).to_owned(),
        Answers::Reading { or_word: Some(word), .. } if dice.below(12) == 0 => (*word).to_owned(),
        Answers::Reading { .. } => dice.pick(&["2.0", "2.5", "2", "2.00", "2.50", "2.2", "1.9"]).to_owned(),
        Answers::Count => dice.pick(&["1", "2", "3", "4"]).to_owned(),
        Answers::Number => dice.pick(&["0.1", "1", "5", "2", "6"]).to_owned(),
        Answers::Choice(list) => (dice.index(list.len().max(1)) + 1).to_string(),
        Answers::Text { optional: true, .. } => String::new(),
        Answers::Text { .. } => dice.pick(&["incoming", "way 1", "M. Harrow", "all", "N bar"]).to_owned(),
    }
}

fn doing(dice: &mut Dice) -> Command {
    dice.pick(&[
        Command::Back,
        Command::Later,
        Command::Tool,
        Command::Disturbed,
        Command::Remark,
        Command::Slip,
        Command::SetAside,
        Command::Remake,
        Command::SoFar,
        Command::List,
        Command::Way(WayNumber(1)),
        Command::GoToWay,
        Command::Leave,
        Command::Person,
        Command::Row,
        Command::Alike,
        Command::Amend,
    ])
}

#[test]
fn whatever_is_answered_something_is_asked_and_the_visit_is_the_fold_of_its_lines() {
    let board = std::fs::read_to_string("tests/boards/lamp-hut.ron").unwrap();
    let mut ends: BTreeMap<String, usize> = BTreeMap::new();
    let mut asked: HashSet<Topic> = HashSet::new();
    for seed in 0..TALKS {
        let mut dice = Dice(seed);
        let mut state = State::new(start(&board, false));
        let mut memory = Memory::default();
        let (mut second, mut stuck) = (0_i64, 0);
        let mut trail: Vec<String> = Vec::new();
        for _ in 0..ANSWERS {
            let question = state.question();
            asked.insert(question.topic);
            let last: Vec<&String> = trail.iter().rev().take(8).collect();
            assert_ne!(
                question.text, "Storing the last answer.",
                "seed {seed}: nothing is stored: {last:#?}"
            );
            second += i64::try_from(dice.below(40)).unwrap();
            if dice.below(300) == 0 {
                second += 2000;
            }
            let input = match dice.below(25) {
                0 => Input::Command(doing(&mut dice)),
                _ if question.offer.is_some() && dice.below(4) > 0 => Input::Line(String::new()),
                _ => Input::Line(answer(&question, &mut dice)),
            };
            trail.push(format!("{} <- {input:?}", question.text));
            let before = (memory.lines.len(), question.clone());
            state = drive(state, Event::Input(at(second), input), &mut memory);
            let now = (memory.lines.len(), state.question());
            stuck = if before == now { stuck + 1 } else { 0 };
            let told = matches!(&state.desk.message, Some(Message::Note(_)));
            assert!(stuck == 0 || told || stuck < 40, "seed {seed}: stuck in silence at {question:?}");
            assert!(stuck < 200, "seed {seed}: stuck at {question:?}: {:?}", state.desk.message);
            assert!(state.visit == replay(&memory.lines), "seed {seed}");
            if state.desk.left == Some(Left::ForTheDay) {
                state.desk.left = None;
            }
            if state.desk.left.is_some() {
                break;
            }
        }
        let end = match state.visit.ended() {
            Some(Ended::Closed(_)) => "closed",
            Some(Ended::Abandoned(_)) => "abandoned",
            None => "open",
        };
        *ends.entry(end.to_owned()).or_default() += 1;
        assert_eq!(state.question().topic == Topic::Over, state.visit.ended().is_some());
    }
    for topic in [
        Topic::Opening,
        Topic::Tool,
        Topic::Gate,
        Topic::Walk,
        Topic::SetTool,
        Topic::Scale,
        Topic::Finding,
        Topic::List,
        Topic::Doing,
        Topic::SignOff,
    ] {
        assert!(asked.contains(&topic), "nothing was ever asked about {topic:?}");
    }
    let closed = ends.get("closed").copied().unwrap_or_default();
    assert!(closed * 3 > usize::try_from(TALKS).unwrap(), "too few talks come to an end: {ends:?}");
}

#[test]
fn going_back_from_own_words_asks_again_and_answers_nothing_by_itself() {
    let board = std::fs::read_to_string("tests/boards/lamp-hut.ron").unwrap();
    let mut state = State::new(start(&board, false));
    let mut memory = Memory::default();
    let opening =
        crate::program::script("lamp-hut-opening.txt").into_iter().map(|line| match line.as_str() {
            day if day.starts_with("20") && day.len() == 10 => String::new(),
            other => other.to_owned(),
        });
    for line in opening.filter(|line| line != "IL-26-0311").chain(["9".to_owned()]) {
        state = drive(state, Event::Input(at(1), Input::Line(line)), &mut memory);
    }
    assert_eq!(state.question().text, "Prepared how, in your own words?");
    let lines = memory.lines.len();
    state = drive(state, Event::Input(at(2), Input::Command(Command::Back)), &mut memory);
    assert_eq!(state.question().text, "incomer L (16 mm2, 7 wires): prepared how?");
    state = drive(state, Event::Input(at(3), Input::Line(String::new())), &mut memory);
    assert_eq!(memory.lines.len(), lines, "nothing was chosen, so nothing is recorded");
    assert!(matches!(&state.desk.message, Some(Message::Note(_))));
}

#[test]
fn a_scale_found_too_high_asks_for_the_metal_and_a_remake_only_for_its_reason() {
    let board = std::fs::read_to_string("tests/boards/lamp-hut.ron").unwrap();
    let mut state = State::new(start(&board, false));
    let mut memory = Memory::default();
    let mut setting = String::new();
    let mut second = 0;
    let mut say = |state: State, line: &str| {
        second += 5;
        drive(state, Event::Input(at(second), Input::Line(line.into())), &mut memory)
    };
    // the fingers are tightened at a setting of their own: 2.5 N.m
    while !(state.question().text.contains("before it is turned") && setting == "2.5") {
        let line = crate::talk::answer(&state.question().text, &mut setting);
        state = say(state, &line);
    }
    for line in ["2.7", "2.7", "2"] {
        state = say(state, line);
    }
    let finger = state.visit.find(&"1 finger".into()).unwrap();
    state = drive(state, Event::Input(at(2000), Input::Command(Command::Go(finger))), &mut Memory::default());
    assert_eq!(
        state.question().text,
        "1 finger was over-tightened. Open it and look: is its metal sound or cut?",
        "a finger has no strands"
    );
    let mut memory = Memory { lines: state.visit.lines().to_vec(), ..Memory::default() };
    for line in ["cut", "1"] {
        state = drive(state, Event::Input(at(2001), Input::Line(line.into())), &mut memory);
    }
    assert_eq!(state.question().text, "1 finger: taken apart and begun again why?");
    state = drive(state, Event::Input(at(2002), Input::Line("its thread was torn".into())), &mut memory);
    assert_eq!(state.question().text, "1 finger: is it seated under its clamp?");
}
