//! The screens, looked at as their reader: snapshots with the solid cells visible, and what carries meaning asserted
//! apart. No source outside the project: what a person needs to see is common practice.

use crate::desk::{Memory, at, start};
use crate::rig::snap;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::{Buffer, Cell};
use ratatui::layout::Position;
use ratatui::style::{Color, Modifier};
use witnessmark::board_file;
use witnessmark::domain::record::{Draft, Line};
use witnessmark::session::Step;
use witnessmark::session::desk::{
    Answers, Command, Event, Input, Question, Recorder, State, StoreTrouble, Topic, drive,
};
use witnessmark::tui::theme::Theme;
use witnessmark::tui::ui::Ui;
use witnessmark::tui::view::{self, glyphs};

/// A person at the keys: answers what is asked, in memory.
struct Walker {
    state: Option<State>,
    memory: Memory,
    second: i64,
}

/// The ways to answer that a script does not spell out.
const TOOL: [&str; 7] = ["driver A", "TB-0417", "1", "0.5", "6", "0.05", ""];
const TOOL_END: [&str; 2] = ["2026-03-02", "K 2231"];
const GATE: [&str; 6] =
    ["R. Anders", "two-pole tester", "tried", "main switch locked, key in pocket", "dead", "none"];

impl Walker {
    fn new(board: &str) -> Self {
        Self { state: Some(State::new(start(board, false))), memory: Memory::default(), second: 0 }
    }

    fn rehearsing(board: &str) -> Self {
        Self { state: Some(State::new(start(board, true))), memory: Memory::default(), second: 0 }
    }

    fn input(&mut self, input: Input) -> &mut Self {
        self.input_to(input, &mut Refuses { memory: None })
    }

    fn input_to(&mut self, input: Input, other: &mut Refuses) -> &mut Self {
        self.second += 5;
        let state = self.state.take().unwrap();
        let event = Event::Input(at(self.second), input);
        self.state = Some(match &mut other.memory {
            Some(()) => drive(state, event, other),
            None => drive(state, event, &mut self.memory),
        });
        self
    }

    fn say(&mut self, line: &str) -> &mut Self {
        self.input(Input::Line(line.into()))
    }

    fn all(&mut self, lines: &[&str]) -> &mut Self {
        for line in lines {
            self.say(line);
        }
        self
    }

    fn command(&mut self, command: Command) -> &mut Self {
        self.input(Input::Command(command))
    }

    fn state(&self) -> &State {
        self.state.as_ref().unwrap()
    }

    fn question(&self) -> Question {
        self.state().question()
    }

    /// Opened, tool stated, order chosen: the gate is due.
    fn to_the_gate(board: &str) -> Self {
        let mut walker = Self::new(board);
        walker.all(&["R. Anders", "electrician", "EIC 0117", "1"]).all(&TOOL).all(&TOOL_END).say("1");
        assert_eq!(walker.question().topic, Topic::Gate);
        walker
    }

    fn to_the_walk(board: &str) -> Self {
        let mut walker = Self::to_the_gate(board);
        walker.all(&GATE);
        assert_eq!(walker.question().topic, Topic::Walk);
        walker
    }

    /// What a good terminal is answered with.
    fn good_answer(&self) -> String {
        let question = self.question();
        let required = || self.state().work().and_then(|work| work.required).map(|r| r.value.to_string());
        let open = || self.state().open_spans().next().map(|span| span.required.value.to_string());
        match (&question.answers, question.topic) {
            (Answers::Reading { .. }, Topic::Scale) => open().or_else(required).unwrap(),
            (Answers::Reading { .. }, _) => required().unwrap(),
            (Answers::Observed(list), _) => list[0].word.to_owned(),
            (Answers::Words(words), _) => words[0].to_owned(),
            (Answers::Choice(_), _) => question.offer.clone().unwrap_or_else(|| "1".into()),
            (Answers::Text { .. }, _) => "in own words".into(),
            (Answers::Number, _) => "1".into(),
        }
    }

    /// Answers well until something holds.
    fn until(&mut self, holds: impl Fn(&State) -> bool) -> &mut Self {
        for _ in 0..4000 {
            if holds(self.state()) {
                return self;
            }
            let answer = self.good_answer();
            self.say(&answer);
        }
        panic!("it never came to that: {:?}", self.question());
    }

    fn until_step(&mut self, name: &str, wanted: fn(Step) -> bool) -> &mut Self {
        self.until(|state| {
            let question = state.question();
            let step =
                state.work().filter(|work| work.terminal.name.as_str() == name).and_then(|work| work.step);
            question.topic == Topic::Walk && question.about.is_some() && step.is_some_and(wanted)
        })
    }

    fn until_topic(&mut self, topic: Topic) -> &mut Self {
        self.until(|state| state.question().topic == topic)
    }

    fn shown(&self, ui: &Ui, theme: &Theme, columns: u16, rows: u16) -> (Buffer, Option<Position>) {
        let mut terminal = Terminal::new(TestBackend::new(columns, rows)).unwrap();
        let mut cursor = None;
        terminal
            .draw(|frame| {
                view::draw(frame, self.state(), ui, theme);
            })
            .unwrap();
        if terminal.backend().cursor_visible() {
            cursor = Some(terminal.get_cursor_position().unwrap());
        }
        (terminal.backend().buffer().clone(), cursor)
    }

    fn snapshot(&self, name: &str, columns: u16, rows: u16) {
        self.snapshot_with(&Ui::default(), name, columns, rows);
    }

    fn snapshot_with(&self, ui: &Ui, name: &str, columns: u16, rows: u16) {
        let (cells, cursor) = self.shown(ui, &Theme::colours(), columns, rows);
        let text = as_seen(&cells, cursor);
        snap().bind(|| insta::assert_snapshot!(format!("screen_{name}_{columns}x{rows}"), text));
    }
}

/// Stores nothing.
struct Refuses {
    memory: Option<()>,
}

const WHY: &str =
    "no room is left on this disk; everything up to line 5 is safe in the record. Make room, then try again.";

impl Recorder for Refuses {
    fn append(&mut self, _: Vec<Draft>) -> Result<Vec<Line>, StoreTrouble> {
        Err(StoreTrouble(WHY.into()))
    }
    fn retry(&mut self) -> Result<Vec<Line>, StoreTrouble> {
        Err(StoreTrouble(WHY.into()))
    }
    fn give_up(&mut self) -> Result<(), StoreTrouble> {
        Ok(())
    }
    fn save_elsewhere(&mut self, _: &str) -> Result<Vec<Line>, StoreTrouble> {
        Err(StoreTrouble(WHY.into()))
    }
}

fn is_solid(cell: &Cell) -> bool {
    cell.symbol() == " " && cell.modifier.contains(Modifier::REVERSED)
}

/// The cells as text, solid cells as `#`, the cursor as `_`; then every reversed text, because text shows no style.
fn as_seen(cells: &Buffer, cursor: Option<Position>) -> String {
    let mut text = String::new();
    let mut reversed: Vec<String> = Vec::new();
    for y in 0..cells.area.height {
        let mut line = String::new();
        let mut run = String::new();
        for x in 0..cells.area.width {
            let cell = &cells[(x, y)];
            let words = cell.modifier.contains(Modifier::REVERSED) && !is_solid(cell);
            if words {
                run.push_str(cell.symbol());
            } else if !run.is_empty() {
                reversed.push(std::mem::take(&mut run));
            }
            let here = cursor == Some(Position::new(x, y));
            line.push_str(if here {
                "_"
            } else if is_solid(cell) {
                "#"
            } else {
                cell.symbol()
            });
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    if !reversed.is_empty() {
        text.push_str(&format!("reversed: {}\n", reversed.join(" | ")));
    }
    text
}

fn shed() -> String {
    board_file::engine_shed().to_string()
}

fn office() -> String {
    board_file::example().to_string()
}

#[test]
fn screens_of_the_opening() {
    let mut walker = Walker::new(&shed());
    walker.snapshot("opening_name", 80, 24);
    walker.all(&["R. Anders", "electrician", "EIC 0117"]).snapshot("opening_kind_of_tool", 80, 24);
    walker.say("1").all(&["driver A", "TB-0417", "1", "0.5"]).snapshot("tool", 80, 24);
    let mut walker = Walker::new(&shed());
    walker.all(&["R. Anders", "electrician", "EIC 0117", "1"]).all(&TOOL).all(&TOOL_END);
    walker.snapshot("order", 80, 24);
    walker.say("1").snapshot("gate_begins", 80, 24);
    walker.all(&GATE[..4]);
    for letter in ['d', 'e'] {
        walker.input(Input::Type(letter));
    }
    walker.snapshot("gate", 80, 24);
    walker.snapshot("gate", 120, 40);
}

#[test]
fn screens_of_the_walk_on_the_engine_shed() {
    let mut walker = Walker::to_the_walk(&shed());
    walker.snapshot("shed_prepare_tail", 80, 24);
    walker.until_step("incomer L1", |step| step == Step::Enter(0)).snapshot("shed_entry", 80, 24);
    walker.until_step("4L1 line", |step| step == Step::Prepare(1)).snapshot("shed_two_conductors", 80, 24);
    walker.until_topic(Topic::SetTool).snapshot("shed_set_tool", 80, 24);
    walker.until_topic(Topic::Scale).snapshot("shed_scale", 80, 24);
    walker.until(|state| state.question().topic == Topic::Walk);
    walker.snapshot("shed_torque_two_screws", 80, 24);
    walker.until_step("1L2 line", |step| matches!(step, Step::Torque { .. })).snapshot(
        "shed_torque_range",
        80,
        24,
    );
    walker.snapshot("shed_torque_range", 120, 40);
    walker.until_step("4L1 line", |step| step == Step::Tug(1)).snapshot("shed_tug", 80, 24);
    walker.until_step("4L1 line", |step| step == Step::Mark).snapshot("shed_mark", 80, 24);
}

#[test]
fn screens_of_long_names_and_odd_clamps() {
    let mut walker = Walker::to_the_walk(&shed());
    walker.until_step("incomer L1 stab", |_| true).snapshot("shed_long_name", 80, 24);
    walker.until_step("main earth", |_| true).snapshot("shed_main_earth", 80, 24);
    walker.until_step("contactor 1 in", |_| true).snapshot("shed_contactor", 80, 24);
    walker.until_step("contactor A1", |step| matches!(step, Step::Tug(_))).snapshot("shed_spring", 80, 24);
    walker.until_step("bond rails", |step| matches!(step, Step::Torque { .. }));
    walker.snapshot("shed_no_makers_value", 80, 24);
    walker.until_step("surge L1", |step| matches!(step, Step::Torque { .. })).snapshot(
        "shed_tolerance",
        80,
        24,
    );
}
