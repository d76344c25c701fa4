//! The desk, driven as a face drives it: lines in, questions out, an in-memory recorder behind it.

use jiff::Timestamp;
use jiff::tz::Offset;
use witnessmark::board_file;
use witnessmark::domain::moment::Moment;
use witnessmark::domain::record::{Draft, Line};
use witnessmark::session::desk::{
    Event, Input, Left, Recorder, Stamp, Start, State, StoreTrouble, Topic, drive,
};
use witnessmark::session::replay;

/// Confirms everything, links are the line numbers.
#[derive(Default)]
pub(crate) struct Memory {
    pub(crate) lines: Vec<Line>,
}

impl Recorder for Memory {
    fn append(&mut self, drafts: Vec<Draft>) -> Result<Vec<Line>, StoreTrouble> {
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
        Ok(Vec::new())
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
        nonce: "n".into(),
        board: read.board,
        board_sha256: read.sha256,
        rehearsal,
        follows: None,
        person_offered: None,
        tools_offered: Vec::new(),
    }
}

#[test]
fn a_rehearsal_answered_by_nothing_but_enter_closes_with_every_terminal_done() {
    for board in [board_file::engine_shed(), board_file::example()] {
        let mut state = State::new(start(board, true));
        let mut memory = Memory::default();
        let mut second = 0;
        while state.desk.left.is_none() {
            second += 5;
            let question = state.question();
            assert!(second < 50_000, "stuck at {question:?}");
            state = drive(state, Event::Input(at(second), Input::Line(String::new())), &mut memory);
            if let Some(witnessmark::session::desk::Message::Note(note)) = &state.desk.message {
                assert!(!note.starts_with("nothing is offered"), "{question:?}: {note}");
            }
        }
        assert_eq!(state.desk.left, Some(Left::Ended));
        let counts = state.visit.counts();
        eprintln!("{counts:?} lines {} seconds {second}", memory.lines.len());
        assert_eq!(counts.open, 0);
        assert_eq!(state.visit, replay(&memory.lines));
        assert_eq!(state.question().topic, Topic::Over);
    }
}
