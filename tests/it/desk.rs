//! The desk, driven as a face drives it: lines in, questions out, an in-memory recorder behind it.

use jiff::Timestamp;
use jiff::tz::Offset;
use witnessmark::appendix::{Options, print};
use witnessmark::board_file;
use witnessmark::domain::moment::Moment;
use witnessmark::domain::record::{AsideWhy, Draft, Fact, Line, SessionCause};
use witnessmark::session::desk::{
    Answers, Command, Event, Input, Left, Message, Question, Recorder, Stamp, Start, State, StoreTrouble,
    Topic, drive,
};
use witnessmark::session::{Need, SpanEnd, replay};

/// Confirms everything, links are the line numbers.
#[derive(Default)]
pub(crate) struct Memory {
    pub(crate) lines: Vec<Line>,
    /// Nothing can be stored while this holds.
    pub(crate) full: bool,
    pub(crate) pending: Vec<Draft>,
}

impl Recorder for Memory {
    fn append(&mut self, drafts: Vec<Draft>) -> Result<Vec<Line>, StoreTrouble> {
        if self.full {
            self.pending = drafts;
            return Err(StoreTrouble("the disk is full".into()));
        }
        let lines: Vec<Line> = drafts
            .into_iter()
            .map(|d| {
                let link = format!("{:064x}", d.seq.0);
                d.linked(link)
            })
            .collect();
        self.lines.extend(lines.clone());
        Ok(lines)
    }
    fn retry(&mut self) -> Result<Vec<Line>, StoreTrouble> {
        let pending = std::mem::take(&mut self.pending);
        self.append(pending)
    }
    fn give_up(&mut self) -> Result<(), StoreTrouble> {
        Ok(())
    }
    fn save_elsewhere(&mut self, _folder: &str) -> Result<Vec<Line>, StoreTrouble> {
        Ok(Vec::new())
    }
}

/// A stamp so many seconds after 09:00 on a winter morning.
pub(crate) fn at(seconds: i64) -> Stamp {
    let start: Timestamp = "2026-11-25T09:00:00Z".parse().unwrap();
    let wall = Moment { at: start + jiff::SignedDuration::from_secs(seconds), offset: Offset::UTC };
    Stamp { wall, mono_ms: u64::try_from(seconds).unwrap() * 1000 }
}

/// What a visit of a board text is opened with.
pub(crate) fn start(board: &str, rehearsal: bool) -> Start {
    let read = board_file::read(board.as_bytes()).unwrap();
    Start {
        program: "witnessmark test".into(),
        id: "aaaaaaaa".into(),
        face: String::new(),
        nonce: "n".into(),
        board: read.board,
        board_sha256: read.sha256,
        rehearsal,
        visit: witnessmark::domain::record::VisitKind::First,
        flat: None,
        past: witnessmark::session::past::Past::default(),
        follows: None,
        person_offered: None,
        tools_offered: Vec::new(),
        operations: std::collections::BTreeMap::new(),
        news: Vec::new(),
    }
}

#[test]
fn a_rehearsal_answered_by_nothing_but_enter_closes_with_every_terminal_done() {
    use witnessmark::domain::record::VisitKind;
    let rehearsed = |board: &str, kind: VisitKind| {
        let mut begun = start(board, true);
        begun.visit = kind;
        let mut state = State::new(begun);
        let mut memory = Memory::default();
        let mut second = 0;
        while state.desk.left.is_none() {
            second += 5;
            let question = state.question();
            assert!(second < 50_000, "stuck at {question:?}");
            state = drive(state, Event::Input(at(second), Input::Line(String::new())), &mut memory);
            if let Some(witnessmark::session::desk::Message::Note(note)) = &state.desk.message {
                assert!(!note.starts_with("this cannot be left empty"), "{question:?}: {note}");
                assert!(!note.starts_with("an observation is never offered"), "{question:?}: {note}");
            }
        }
        assert_eq!(state.desk.left, Some(Left::Ended));
        let counts = state.visit.counts();
        assert_eq!(counts.open, 0);
        assert!(counts.complete > 0, "{kind:?}: {counts:?}");
        assert_eq!(state.visit, replay(&memory.lines));
        assert_eq!(state.question().topic, Topic::Over);
        let page = print(&state.visit, Options { ascii: false });
        let pages: Vec<&str> = page.split('\u{c}').collect();
        assert!(pages.iter().all(|page| page.contains("REHEARSAL")), "{kind:?}: {page}");
    };
    let boards = [board_file::engine_shed(), board_file::example(), board_file::pump_house()];
    for board in boards.into_iter().take(2) {
        rehearsed(board, VisitKind::First);
    }
    for board in boards {
        rehearsed(board, VisitKind::Revisit);
        rehearsed(board, VisitKind::Audit);
    }
}

/// A person at the desk: answers what is asked, well unless told otherwise.
pub(crate) struct Person {
    pub(crate) state: State,
    pub(crate) memory: Memory,
    pub(crate) second: i64,
    /// Seconds the wall clock is behind.
    pub(crate) behind: i64,
    /// What is said in own words, by what the question holds; `as asked` else.
    pub(crate) words: &'static [(&'static str, &'static str)],
}

impl Person {
    pub(crate) fn at_board(text: &str) -> Self {
        Self {
            state: State::new(start(text, false)),
            memory: Memory::default(),
            second: 0,
            behind: 0,
            words: &[],
        }
    }

    pub(crate) fn input(&mut self, input: Input) {
        self.second += 5;
        let state = self.state.clone();
        let mut stamp = at(self.second);
        stamp.wall.at -= jiff::SignedDuration::from_secs(self.behind);
        self.state = drive(state, Event::Input(stamp, input), &mut self.memory);
        // What is shown is the fold of what is stored, always.
        assert_eq!(self.state.visit, replay(&self.memory.lines));
    }

    pub(crate) fn says(&mut self, line: &str) {
        self.input(Input::Line(line.to_owned()));
    }

    pub(crate) fn does(&mut self, command: Command) {
        self.input(Input::Command(command));
    }

    pub(crate) fn note(&self) -> String {
        match &self.state.desk.message {
            Some(Message::Note(note)) => note.clone(),
            other => format!("{other:?}"),
        }
    }

    /// What a careful person answers to the question that stands, with a driver of 0.5 to 6 N.m.
    pub(crate) fn good_answer(&self) -> String {
        let question = self.state.question();
        let text = question.text.as_str();
        match &question.answers {
            Answers::Observed(seen) => seen[0].word.to_owned(),
            Answers::Words(words) if words.contains(&"none") => "none".into(),
            Answers::Words(words) => words[0].to_owned(),
            Answers::Reading { or_word: Some("held"), .. } => "held".into(),
            Answers::Reading { .. } => {
                let span = self.state.open_spans().next().map(|span| span.required);
                let required = self.state.work().and_then(|work| work.required);
                let ends = text.contains("before it is turned") || text.contains("once more");
                let torque = if ends { span } else { required };
                let value = torque.unwrap().value;
                // an indicating tool is read with every digit that it shows
                if question.topic == Topic::Walk { value.to_string() } else { value.normalize().to_string() }
            }
            Answers::Number if text.contains("Lowest") => "0.5".into(),
            Answers::Number if text.contains("Highest") => "6".into(),
            Answers::Number if text.contains("Graduation") => "0.05".into(),
            Answers::Number | Answers::Count => "2".into(),
            Answers::Choice(_) => question.offer.clone().unwrap_or_else(|| "1".into()),
            Answers::Text { .. } if text.contains("last calibration") => "2026-06-01".into(),
            Answers::Text { .. } if text.contains("type and class") || text.contains("Type and class") => {
                "II D".into()
            }
            Answers::Text { .. } => {
                let own = self.words.iter().find(|(asked, _)| text.contains(asked));
                own.map_or("as asked", |(_, answer)| *answer).into()
            }
        }
    }

    pub(crate) fn answers_well(&mut self) {
        let answer = self.good_answer();
        self.says(&answer);
    }

    /// Answers well until a question for which the test holds; panics where the walk ends before.
    pub(crate) fn until(&mut self, holds: impl Fn(&Question) -> bool) {
        for _ in 0..2_000 {
            if holds(&self.state.question()) {
                return;
            }
            assert!(self.state.desk.left.is_none(), "the visit ended first");
            self.answers_well();
        }
        panic!("never asked; stands at {:?}", self.state.question());
    }

    pub(crate) fn walks_to_the_end(&mut self) {
        self.until_left();
        assert_eq!(self.state.desk.left, Some(Left::Ended), "{:?}", self.state.question());
    }

    fn until_left(&mut self) {
        for _ in 0..4_000 {
            if self.state.desk.left.is_some() {
                return;
            }
            self.answers_well();
        }
        panic!("never ended; stands at {:?}: {}", self.state.question(), self.note());
    }
}

const OFFICE: &str = include_str!("../../boards/ticket-office.ron");

fn clicks(question: &Question) -> bool {
    question.text.contains("to the click")
}

#[test]
fn a_careful_person_closes_the_ticket_office_without_a_remark() {
    let mut person = Person::at_board(OFFICE);
    person.walks_to_the_end();
    let counts = person.state.visit.counts();
    assert_eq!((counts.open, counts.with_remark), (0, 0), "{counts:?}");
    assert_eq!(counts.complete + counts.aside, counts.all);
}

#[test]
fn half_an_hour_without_an_answer_asks_the_gate_and_the_scale_again() {
    let mut person = Person::at_board(OFFICE);
    person.until(clicks);
    let before = person.memory.lines.len();
    person.second += 31 * 60;
    person.says("clicked");
    assert_eq!(person.memory.lines.len(), before + 1, "the late answer itself is not taken");
    assert_eq!(person.state.question().topic, Topic::Gate);
    person.until(|question| question.topic == Topic::Scale);
    assert!(person.state.question().text.contains("before it is turned"));
    person.answers_well();
    // One reading ended the old span and began the next: the click is asked for at once.
    assert!(clicks(&person.state.question()), "{:?}", person.state.question());
    assert_eq!(person.state.visit.spans().len(), 2);
}

#[test]
fn a_wall_clock_that_jumps_reopens_and_one_that_goes_back_is_said_so() {
    for (jump, cause) in [(600, SessionCause::Gap), (-600, SessionCause::ClockBack)] {
        let mut person = Person::at_board(OFFICE);
        person.until(clicks);
        let mut stamp = at(person.second + 5);
        stamp.wall.at += jiff::SignedDuration::from_secs(jump);
        let state = person.state.clone();
        let state = drive(state, Event::Input(stamp, Input::Woke), &mut person.memory);
        assert_eq!(state.visit.sessions().last().unwrap().cause, cause);
        assert_eq!(state.question().topic, Topic::Gate);
    }
}

#[test]
fn a_scale_too_low_at_the_end_is_read_twice_and_opens_the_torque_again() {
    let mut person = Person::at_board(OFFICE);
    person.until(|question| question.topic == Topic::Scale && question.text.contains("before it is turned"));
    let span = person.state.open_spans().next().unwrap().clone();
    let tightened = person.state.visit.counts().scale_to_be_read;
    assert!(tightened > 0);
    person.says("0.5");
    assert!(person.state.question().text.contains("once more"));
    person.says("0.5");
    assert!(person.state.question().text.contains("What happened"));
    person.says("not known");
    let counts = person.state.visit.counts();
    assert_eq!(counts.scale_to_be_read, 0, "{span:?}");
    assert!(person.state.visit.terminals().any(|(_, _, s)| !s.struck.is_empty()));
    person.walks_to_the_end();
    assert_eq!(person.state.visit.counts().open, 0);
}

#[test]
fn a_mistyped_end_reading_is_put_right_only_by_two_like_readings() {
    let mut person = Person::at_board(OFFICE);
    person.until(|question| question.topic == Topic::Scale && question.text.contains("before it is turned"));
    let right = person.good_answer();
    person.says("0.5");
    person.says(&right);
    assert!(person.state.question().text.contains("once more"), "one guess does not hide a disagreement");
    person.says(&right);
    assert!(person.state.visit.spans()[0].ended == SpanEnd::Agreed);
}

#[test]
fn what_cannot_be_stored_stays_on_the_screen_and_blocks() {
    struct Full(Memory, bool);
    impl Recorder for Full {
        fn append(&mut self, drafts: Vec<Draft>) -> Result<Vec<Line>, StoreTrouble> {
            if self.1 { Err(StoreTrouble("the disk is full".into())) } else { self.0.append(drafts) }
        }
        fn retry(&mut self) -> Result<Vec<Line>, StoreTrouble> {
            Err(StoreTrouble("the disk is still full".into()))
        }
        fn give_up(&mut self) -> Result<(), StoreTrouble> {
            Ok(())
        }
        fn save_elsewhere(&mut self, _: &str) -> Result<Vec<Line>, StoreTrouble> {
            Ok(Vec::new())
        }
    }
    let mut person = Person::at_board(OFFICE);
    person.until(|question| question.text.contains("prepared how"));
    let lines = person.memory.lines.len();
    let mut full = Full(Memory::default(), true);
    let mut state = person.state.clone();
    for line in ["1", "1", "", "c", "nonsense"] {
        person.second += 5;
        state = drive(state, Event::Input(at(person.second), Input::Line(line.into())), &mut full);
        assert_eq!(state.question().topic, Topic::Trouble, "{line}");
        assert_eq!(state.visit.lines().len(), lines, "nothing counts as recorded");
    }
    assert!(state.question().hints.iter().any(|hint| hint.contains("full")));
    let state = drive(state, Event::Input(at(person.second + 5), Input::Line("3".into())), &mut full);
    assert!(state.question().text.contains("prepared how"), "taken back: {:?}", state.question());
}

#[test]
fn a_live_incoming_side_is_never_touched_and_is_set_aside_at_sign_off() {
    let mut person = Person::at_board(OFFICE);
    person.until(|question| question.text.contains("incoming side is"));
    person.says("live");
    person.says("shrouded");
    person.says("the owner");
    person.walks_to_the_end();
    let tails: Vec<_> = person.state.visit.terminals().filter(|(_, t, _)| t.tail).collect();
    assert!(!tails.is_empty());
    for (_, terminal, standing) in tails {
        assert_eq!(standing.aside.as_ref().map(AsideWhy::words), Some("still live"), "{}", terminal.name);
    }
}

#[test]
fn before_the_first_tail_goes_in_an_unconnected_board_asks_the_gate_anew() {
    let mut person = Person::at_board(OFFICE);
    person.until(|question| question.text.contains("incoming side is"));
    person.says("unconnected");
    person.says("none");
    let tail = person.state.board().tails().next().unwrap().clone();
    let index = person.state.visit.find(&tail).unwrap();
    person.does(Command::Go(index));
    person.until(|question| question.text.contains("The entry is"));
    person.says("right");
    assert_eq!(person.state.question().topic, Topic::Gate, "{}", person.note());
    person.until(|question| question.text.contains("The entry is"));
    person.says("right");
    assert!(person.memory.lines.iter().any(|line| matches!(line.fact, Fact::Entered(_))));
}

#[test]
fn a_slip_is_asked_again_and_later_answers_follow_it() {
    let mut person = Person::at_board(OFFICE);
    person.until(|question| question.text.contains("tug it firmly"));
    person.answers_well();
    person.does(Command::Slip);
    assert!(person.state.question().text.contains("The tug was"), "{:?}", person.state.question());
    person.says("came out");
    person.says("");
    let terminal = person.state.desk.focus.unwrap();
    assert_eq!(person.state.visit.standing(terminal).unwrap().need, Some(Need::Remake));
    person.does(Command::Slip);
    person.says("firm");
    person.says("");
    assert!(person.state.question().text.contains("witness mark"), "{:?}", person.state.question());
}

#[test]
fn no_key_leaned_upon_answers_an_observation_and_enter_never_does() {
    let mut person = Person::at_board(OFFICE);
    person.until(|question| question.text.contains("The entry is"));
    let lines = person.memory.lines.len();
    for _ in 0..50 {
        person.says("");
        person.input(Input::Submit);
    }
    assert_eq!(person.memory.lines.len(), lines);
    assert!(person.note().contains("never offered"));
}

#[test]
fn leaving_asks_for_the_scale_first_and_the_second_time_lets_go() {
    let mut person = Person::at_board(OFFICE);
    person.until(clicks);
    person.does(Command::Leave);
    assert_eq!(person.state.question().topic, Topic::Scale);
    assert!(person.state.desk.left.is_none());
    person.does(Command::Leave);
    assert_eq!(person.state.desk.left, Some(Left::ForTheDay));
}

#[test]
fn what_is_left_for_later_comes_back_when_nothing_else_is_left() {
    let mut person = Person::at_board(OFFICE);
    person.until(|question| question.text.contains("prepared how"));
    let left = person.state.desk.focus.unwrap();
    person.does(Command::Later);
    assert_ne!(person.state.desk.focus, Some(left));
    person.walks_to_the_end();
    assert!(person.state.visit.standing(left).unwrap().answers.iter().all(Option::is_some));
}

#[test]
fn signing_off_early_offers_to_set_the_rest_aside_without_touching_anything() {
    let mut person = Person::at_board(OFFICE);
    person.until(|question| question.text.contains("prepared how"));
    person.does(Command::List);
    let Answers::Choice(list) = person.state.question().answers else { panic!("a list") };
    person.says(
        list.iter().position(|entry| entry == "sign off").map(|at| (at + 1).to_string()).unwrap().as_str(),
    );
    assert!(person.state.question().text.contains("Still open"), "{:?}", person.state.question());
    person.says("2");
    person.says("other, in own words");
    person.says("rained off");
    person.walks_to_the_end();
    assert!(!person.memory.lines.iter().any(|line| matches!(line.fact, Fact::Prepared(_))));
}
