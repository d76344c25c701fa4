//! Gone on with after a kill, a visit stands where it stood: at the first open step after the last fact (machine,
//! section 1). Our own rule; three visits are broken off again and again.

use crate::audit::{HOUR, SAMPLE, answer, auditor};
use crate::desk::{Memory, Person, at};
use crate::revisit::{OFFICE, comes_back, first_visit};
use witnessmark::domain::record::{Line, Session, SessionCause};
use witnessmark::session::desk::{Command, Recorder as _, Start, State, Topic, session_draft};
use witnessmark::session::replay;

/// The visit as a later run of the program finds it, its session line written.
pub(crate) fn resumed(lines: &[Line], start: &Start, second: i64) -> Person {
    let session = Session {
        nonce: "m".into(),
        program: "witnessmark test".into(),
        cause: SessionCause::Resumed,
        torn: None,
    };
    let mut memory = Memory { lines: lines.to_vec(), ..Memory::default() };
    memory.append(vec![session_draft(lines, at(second).wall, session)]).unwrap();
    let state = State::over(replay(&memory.lines), start.clone());
    Person { state, memory, second, behind: 0, words: &[] }
}

/// The step that is asked about, where one is.
fn asked(state: &State) -> Option<(String, &'static str)> {
    let work = state.work()?;
    let walks = matches!(state.question().topic, Topic::Walk | Topic::SetTool | Topic::Finding | Topic::Row);
    walks.then(|| (work.terminal.name.0.clone(), work.step.map_or("", |step| step.words())))
}

/// Walks a visit; where a step of a terminal is asked, the visit is broken off there and gone on with.
fn stands_where_it_stood(mut person: Person, every: usize, answers: impl Fn(&mut Person)) -> usize {
    let (mut tried, mut said_of) = (0, 0);
    while person.state.desk.left.is_none() {
        let lines = person.memory.lines.len();
        if lines >= said_of + every
            && let Some(stood) = asked(&person.state)
        {
            said_of = lines;
            let mut again = resumed(&person.memory.lines, &person.state.desk.start, person.second + 5);
            again.words = person.words;
            while asked(&again.state).is_none() {
                assert!(again.second < person.second + 400, "stuck at {:?}", again.state.question());
                answers(&mut again);
            }
            let last = person.state.line_in_words(person.memory.lines.last().unwrap());
            assert_eq!(asked(&again.state), Some(stood), "broken off after line {lines}: {last}");
            tried += 1;
        }
        answers(&mut person);
    }
    tried
}

#[test]
fn a_first_visit_stands_where_it_stood() {
    let mut person = Person::at_board(OFFICE);
    person.words = &crate::revisit::WORDS;
    let tried = stands_where_it_stood(person, 3, Person::answers_well);
    assert!(tried > 50, "{tried}");
}

#[test]
fn a_revisit_stands_where_it_stood() {
    let first = first_visit(OFFICE);
    let tried = stands_where_it_stood(comes_back(OFFICE, &[first]), 1, Person::answers_well);
    assert!(tried > 10, "{tried}");
}

#[test]
fn an_audit_stands_where_it_stood() {
    let tried = stands_where_it_stood(auditor(), 2, |person| answer(person, SAMPLE, HOUR));
    assert!(tried > 10, "{tried}");
}

/// Whoever took another place than the next one is still there.
#[test]
fn a_place_that_was_taken_is_gone_on_with() {
    let mut person = Person::at_board(OFFICE);
    person.words = &crate::revisit::WORDS;
    person.until(|question| question.text.contains("to the click"));
    let far = person.state.visit.find(&"main earth".into()).unwrap();
    person.does(Command::Go(far));
    person.until(|question| question.text.contains("main earth") && question.text.contains("witness mark"));
    person.answers_well();
    let stood = asked(&person.state);
    assert_eq!(stood.as_ref().map(|(name, _)| name.as_str()), Some("bond water"));
    let mut again = resumed(&person.memory.lines, &person.state.desk.start, person.second + 5);
    again.words = person.words;
    again.until(|question| matches!(question.topic, Topic::Walk | Topic::SetTool));
    assert_eq!(asked(&again.state), stood);
}
