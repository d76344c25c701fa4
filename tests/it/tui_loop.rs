//! The loop of the full screen on a buffer: what makes it draw, what reaches the machine, how it ends; and the
//! terminal guard with a writer and modes that only take notes.

use super::desk::{Memory, Person, start};
use super::keys::{parse, stamp};
use super::settle;
use ratatui::backend::TestBackend;
use ratatui::crossterm::event::{Event, KeyEventKind};
use ratatui::widgets::Paragraph;
use ratatui::{Frame, Terminal};
use std::cell::Cell;
use std::collections::{BTreeSet, VecDeque};
use std::io;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use witnessmark::board_file;
use witnessmark::domain::moment::Moment;
use witnessmark::domain::record::{Fact, SessionCause};
use witnessmark::session::desk::{Left, Stamp, State};
use witnessmark::tui::ui::Ui;
use witnessmark::tui::{Guard, Happening, Keyboard, Loop, Modes, Screen, Source, TuiError, Walk};

/// Events from a list, a second apart unless a pause is named.
struct Listed {
    events: VecDeque<(i64, Happening)>,
    ms: i64,
}

impl Listed {
    fn new(events: impl IntoIterator<Item = Happening>) -> Self {
        Self { events: events.into_iter().map(|event| (1_000, event)).collect(), ms: 0 }
    }
}

impl Source for Listed {
    fn next(&mut self, due: Option<Moment>) -> Option<(Stamp, Happening)> {
        let comes = self.events.front().map(|(after, _)| stamp(self.ms + after));
        if let Some(due) = due
            && comes.is_none_or(|comes| comes.wall.seconds_since(&due) > 0)
        {
            let left = due.seconds_since(&self.now().wall).max(0) * 1_000;
            self.ms += left;
            if let Some((after, _)) = self.events.front_mut() {
                *after -= left;
            }
            return Some((self.now(), Happening::Due));
        }
        let (after, happening) = self.events.pop_front()?;
        self.ms += after;
        Some((stamp(self.ms), happening))
    }
    fn now(&self) -> Stamp {
        stamp(self.ms)
    }
}

/// Takes notes of what is done to the terminal.
#[derive(Clone, Default)]
struct Notes(Arc<Mutex<Vec<String>>>);

impl Notes {
    fn add(&self, what: &str) {
        self.0.lock().unwrap().push(what.into());
    }
    fn all(&self) -> Vec<String> {
        self.0.lock().unwrap().clone()
    }
}

impl Screen for Notes {
    fn begin_frame(&mut self) -> io::Result<()> {
        self.add("frame");
        Ok(())
    }
    fn end_frame(&mut self) -> io::Result<()> {
        self.add("end");
        Ok(())
    }
    fn ring(&mut self) -> io::Result<()> {
        self.add("ring");
        Ok(())
    }
    fn stop(&mut self) -> io::Result<bool> {
        self.add("stop");
        Ok(true)
    }
    fn enter(&mut self) -> io::Result<()> {
        self.add("enter");
        Ok(())
    }
}

fn question_only(frame: &mut Frame<'_>, state: &State, ui: &Ui) {
    let text = format!("{}\n> {}\n{}", state.question().text, state.desk.typed, ui.help);
    frame.render_widget(Paragraph::new(text), frame.area());
}

struct Ran {
    ended: Result<State, TuiError>,
    memory: Memory,
    terminal: Terminal<TestBackend>,
    notes: Vec<String>,
    frames: usize,
}

fn run(state: State, source: &mut Listed) -> Ran {
    let mut terminal = Terminal::new(TestBackend::new(80, 6)).unwrap();
    let mut memory = Memory::default();
    let mut notes = Notes::default();
    let frames = Cell::new(0);
    let draw = |frame: &mut Frame<'_>, state: &State, ui: &Ui| {
        frames.set(frames.get() + 1);
        question_only(frame, state, ui);
    };
    let ended = Loop { terminal: &mut terminal, screen: &mut notes, source, least: (0, 0) }.run(Walk {
        state,
        keyboard: Keyboard::default(),
        recorder: &mut memory,
        draw: &draw,
    });
    let ended = ended.map(|walk| walk.state);
    Ran { ended, memory, terminal, notes: notes.all(), frames: frames.get() }
}

fn pressed(script: &str) -> Vec<Happening> {
    parse(script).into_iter().map(|key| Happening::Terminal(Event::Key(key))).collect()
}

fn kind(script: &str, kind: KeyEventKind) -> Happening {
    let mut key = parse(script)[0];
    key.kind = kind;
    Happening::Terminal(Event::Key(key))
}

fn office(rehearsal: bool) -> State {
    State::new(start(board_file::example(), rehearsal))
}

#[test]
fn a_rehearsal_ends_by_enter_alone_with_a_frame_a_key() {
    let mut source = Listed::new((0..2_000).flat_map(|_| pressed("<Enter>")));
    let ran = run(office(true), &mut source);
    let state = ran.ended.unwrap();
    assert_eq!(state.desk.left, Some(Left::Ended));
    assert!(matches!(ran.memory.lines.last().unwrap().fact, Fact::Closed(_)));
    let keys = 2_000 - source.events.len();
    assert_eq!(ran.frames, keys + 1, "one frame before the first key, then one a key");
    // No frame is left open, and none opened in another.
    assert!(ran.notes.chunks(2).all(|pair| pair == ["frame", "end"]), "{:?}", ran.notes);
}

#[test]
fn only_presses_reach_the_machine_and_nothing_else_draws() {
    let mut events = pressed("Pa");
    events.push(kind("x", KeyEventKind::Release));
    events.push(kind("x", KeyEventKind::Repeat));
    events.push(Happening::Terminal(Event::FocusGained));
    events.push(Happening::Terminal(Event::Paste("x".into())));
    events.extend(pressed("t"));
    let ran = run(office(false), &mut Listed::new(events));
    assert_eq!(ran.ended.unwrap().desk.typed, "Pat");
    assert_eq!(ran.frames, 4);
    let shown = ran.terminal.backend().to_string();
    assert!(shown.contains("> Pat"), "{shown}");
}

#[test]
fn a_new_size_draws_again() {
    let ran = run(office(false), &mut Listed::new([Happening::Terminal(Event::Resize(40, 10))]));
    assert_eq!((ran.frames, ran.ended.is_ok()), (2, true));
}

#[test]
fn ctrl_z_stops_and_comes_back_to_the_same_question() {
    let mut events = pressed("Pat<Ctrl-z>");
    events.extend(pressed("e"));
    let ran = run(office(false), &mut Listed::new(events));
    assert_eq!(ran.ended.unwrap().desk.typed, "Pate");
    let between: Vec<&String> = ran.notes.iter().filter(|note| *note != "frame" && *note != "end").collect();
    assert_eq!(between, ["stop", "enter"]);
}

#[test]
fn a_stop_of_half_an_hour_asks_the_gate_again() {
    let opened = "Pat<Enter><Enter><Enter>1 1 driver<Enter>77<Enter><Enter>0.5<Enter>6<Enter>0.05<Enter><Enter><Enter>1 \
                  Pat<Enter>tester<Enter>tried<Enter>locked<Enter>dead<Enter>none<Enter>";
    let mut source = Listed::new(pressed(opened));
    source.events.push_back((31 * 60 * 1_000, Happening::Continued));
    let ran = run(office(false), &mut source);
    // machine.md section 4: return from suspension is a reopening
    let last = &ran.memory.lines.last().unwrap().fact;
    assert!(matches!(last, Fact::Session(session) if session.cause == SessionCause::Gap), "{last:?}");
    assert!(ran.ended.unwrap().question().text.starts_with("Who proved this board dead?"));
}

#[test]
fn the_end_of_a_wait_rings_once_and_is_drawn_without_a_key() {
    let mut person = Person::at_board(&settle::office());
    person.until(|question| question.text.contains("Nothing else is left:"));
    assert!(person.state.question().text.contains("the next until"), "{:?}", person.state.question());
    let waits = person.state.visit.counts().settling;
    let ends: BTreeSet<i64> = (person.state.visit.terminals())
        .filter_map(|(_, _, standing)| standing.settling)
        .map(|settling| person.state.visit.line(settling.since).unwrap().time.at.as_second())
        .collect();
    let lines = person.memory.lines.len();
    let mut source = Listed { events: VecDeque::new(), ms: person.second * 1_000 };
    let ran = run(person.state, &mut source);
    let state = ran.ended.unwrap();
    let rung = ran.notes.iter().filter(|note| *note == "ring").count();
    assert_eq!(rung, ends.len(), "{waits} waits end at {} moments: {:?}", ends.len(), ran.notes);
    assert!(state.question().text.contains("due now"), "{:?}", state.question());
    // time alone answers nothing: what is due is recorded when somebody stands in front of it
    assert_eq!(state.visit.lines().len(), lines);
    assert_eq!(state.visit.counts().settling, waits);
}

#[test]
fn the_end_of_a_wait_does_not_hide_that_nobody_was_there() {
    let mut person = Person::at_board(&settle::office());
    person.until(|question| question.text.contains("Nothing else is left:"));
    let mut source = Listed { events: VecDeque::new(), ms: person.second * 1_000 };
    let enter = pressed("<Enter>").remove(0);
    source.events.push_back((31 * 60 * 1_000, enter));
    let ran = run(person.state, &mut source);
    assert!(ran.notes.iter().any(|note| note == "ring"), "{:?}", ran.notes);
    // machine.md section 4: 30 minutes without an event is a reopening, and a wait that ended is none
    assert!(ran.ended.unwrap().question().text.starts_with("Who proved this board dead?"));
}

#[test]
fn the_system_ends_the_loop_and_a_lost_terminal_does_too() {
    let ran = run(office(false), &mut Listed::new([Happening::Killed(15)]));
    assert!(matches!(ran.ended, Err(TuiError::Killed(15))));
    let lost = Happening::Lost(io::Error::other("gone"));
    let ran = run(office(false), &mut Listed::new([lost]));
    assert!(matches!(ran.ended, Err(TuiError::Read(_))));
}

/// A writer and modes of one terminal, in one list of notes.
#[derive(Clone, Default)]
struct Noted {
    notes: Notes,
    fails: bool,
}

impl io::Write for Noted {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.fails {
            return Err(io::Error::other("gone"));
        }
        self.notes.add(&String::from_utf8_lossy(bytes).replace('\u{1b}', "ESC "));
        Ok(bytes.len())
    }
    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Modes for Noted {
    fn raw(&self, on: bool) -> io::Result<()> {
        self.notes.add(if on { "raw" } else { "cooked" });
        Ok(())
    }
    fn stop(&self) -> io::Result<bool> {
        self.notes.add("stop");
        Ok(true)
    }
}

// Control sequences of ECMA-48 as extended by xterm: 1049 the other screen, 25 the cursor, 2026 a frame.
const TAKEN: [&str; 4] = ["raw", "ESC [?1049h", "ESC [2J", "ESC [?25l"];
const GIVEN_BACK: [&str; 4] = ["ESC [?2026l", "ESC [?1049l", "ESC [?25h", "cooked"];

/// The panic hook belongs to the whole process, so tests that change it take turns.
fn alone() -> MutexGuard<'static, ()> {
    static TURN: Mutex<()> = Mutex::new(());
    TURN.lock().unwrap_or_else(PoisonError::into_inner)
}

#[test]
fn the_guard_gives_the_terminal_back_once() {
    let _alone = alone();
    let noted = Noted::default();
    let mut guard = Guard::new(noted.clone(), noted.clone()).unwrap();
    assert!(guard.stop().unwrap());
    guard.enter().unwrap();
    drop(guard);
    let expected: Vec<&str> =
        TAKEN.into_iter().chain(GIVEN_BACK).chain(["stop"]).chain(TAKEN).chain(GIVEN_BACK).collect();
    assert_eq!(noted.notes.all(), expected);
}

#[test]
fn the_guard_gives_the_terminal_back_in_a_panic_before_its_words_appear() {
    let _alone = alone();
    let noted = Noted::default();
    let inside = noted.clone();
    let panicked = std::thread::spawn(move || {
        let here = std::thread::current().id();
        let words = inside.notes.clone();
        std::panic::set_hook(Box::new(move |_| {
            if std::thread::current().id() == here {
                words.add("its words");
            }
        }));
        let mut guard = Guard::new(inside.clone(), inside.clone()).unwrap();
        guard.begin_frame().unwrap();
        panic!("in the middle of a frame");
    })
    .join();
    drop(std::panic::take_hook());
    assert!(panicked.is_err(), "the panic goes on after the terminal was given back");
    let expected: Vec<&str> =
        TAKEN.into_iter().chain(["ESC [?2026h"]).chain(GIVEN_BACK).chain(["its words"]).collect();
    assert_eq!(noted.notes.all(), expected);
}

#[test]
fn a_terminal_that_cannot_be_written_to_is_put_back_into_its_mode() {
    let _alone = alone();
    let noted = Noted { fails: true, ..Noted::default() };
    assert!(Guard::new(noted.clone(), noted.clone()).is_err());
    assert_eq!(noted.notes.all(), ["raw", "cooked"]);
}

#[test]
fn the_mouse_is_never_taken() {
    let _alone = alone();
    // xterm's mouse modes are 1000 to 1006 and 1015
    let noted = Noted::default();
    drop(Guard::new(noted.clone(), noted.clone()));
    assert!(!noted.notes.all().iter().any(|note| note.contains("?100") || note.contains("?1015")));
}
