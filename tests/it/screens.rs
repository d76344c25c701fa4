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
use witnessmark::session::desk::row::row_here;
use witnessmark::session::desk::{
    Answers, Command, Event, Input, Question, Recorder, State, StoreTrouble, Topic, drive,
};
use witnessmark::session::{Step, TerminalIndex};
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
const TOOL: [&str; 7] = ["driver A", "TB-0417", "1", "0.5", "6", "0.05", "II D"];
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

    /// The usual rule, where the board has torques with limits.
    fn rule(&mut self) -> &mut Self {
        if self.question().text.contains("a tolerance or an upper limit decided") {
            self.say("1");
        }
        self
    }

    /// Opened, tool stated, order chosen: the gate is due.
    fn to_the_gate(board: &str) -> Self {
        let mut walker = Self::new(board);
        walker.all(&["R. Anders", "electrician", "EIC 0117", "1"]).rule().all(&TOOL).all(&TOOL_END).say("1");
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
            (Answers::Number | Answers::Count, _) => "1".into(),
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

    /// Both sizes of every screen.
    fn snapshot(&self, name: &str) {
        self.snapshot_with(&Ui::default(), name);
    }

    fn snapshot_with(&self, ui: &Ui, name: &str) {
        self.snapshot_at(ui, name, 80, 24);
        self.snapshot_at(ui, name, 120, 40);
    }

    fn snapshot_at(&self, ui: &Ui, name: &str, columns: u16, rows: u16) {
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

/// A state as it is seen at both sizes.
pub(crate) fn snapshot_of(state: &State, ui: &Ui, name: &str) {
    for (columns, rows) in [(80, 24), (120, 40)] {
        let mut terminal = Terminal::new(TestBackend::new(columns, rows)).unwrap();
        terminal.draw(|frame| view::draw(frame, state, ui, &Theme::colours())).unwrap();
        let visible = terminal.backend().cursor_visible();
        let cursor = if visible { Some(terminal.get_cursor_position().unwrap()) } else { None };
        let text = as_seen(terminal.backend().buffer(), cursor);
        snap().bind(|| insta::assert_snapshot!(format!("screen_{name}_{columns}x{rows}"), text));
    }
}

/// The cells as text, solid cells as `#`, the cursor as `_`; then every reversed text, because text shows no style.
pub(crate) fn as_seen(cells: &Buffer, cursor: Option<Position>) -> String {
    let mut text = String::new();
    let mut reversed: Vec<String> = Vec::new();
    for y in 0..cells.area.height {
        let row: Vec<&Cell> = (0..cells.area.width).map(|x| &cells[(x, y)]).collect();
        let mut line = String::new();
        for run in row.chunk_by(|a, b| {
            a.modifier.contains(Modifier::REVERSED) == b.modifier.contains(Modifier::REVERSED)
        }) {
            let words: String = run.iter().map(|cell| cell.symbol()).collect();
            if !run[0].modifier.contains(Modifier::REVERSED) {
                line.push_str(&words);
            } else if words.trim().is_empty() {
                line.push_str(&"#".repeat(run.len()));
            } else {
                line.push_str(&words);
                reversed.push(words.trim().to_owned());
            }
        }
        if let Some(cursor) = cursor.filter(|cursor| cursor.y == y) {
            let mut cells: Vec<char> = line.chars().collect();
            cells[usize::from(cursor.x)] = '_';
            line = cells.into_iter().collect();
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    if !reversed.is_empty() {
        text.extend(["reversed: ", &reversed.join(" | "), "\n"]);
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
    walker.snapshot("opening_name");
    walker.all(&["R. Anders", "electrician", "EIC 0117"]).snapshot("opening_kind_of_tool");
    walker.say("1").snapshot("opening_decision_rule");
    walker.say("1").all(&["driver A", "TB-0417", "1", "0.5"]).snapshot("tool");
    let mut walker = Walker::new(&shed());
    walker.all(&["R. Anders", "electrician", "EIC 0117", "1"]).rule().all(&TOOL).all(&TOOL_END);
    walker.snapshot("order");
    walker.say("1").snapshot("gate_begins");
    walker.all(&GATE[..4]);
    for letter in ['d', 'e'] {
        walker.input(Input::Type(letter));
    }
    walker.snapshot("gate");
}

#[test]
fn screens_of_the_walk_on_the_engine_shed() {
    let mut walker = Walker::to_the_walk(&shed());
    walker.snapshot("shed_prepare_tail");
    walker.until_step("incomer L1", |step| step == Step::Enter(0)).snapshot("shed_entry");
    walker.until_step("4L1 line", |step| step == Step::Prepare(1)).snapshot("shed_two_conductors");
    walker.until_topic(Topic::SetTool).snapshot("shed_set_tool");
    walker.until_topic(Topic::Scale).snapshot("shed_scale");
    walker.until(|state| state.question().topic == Topic::Walk);
    walker.snapshot("shed_torque_two_screws");
    walker.until_step("1L2 line", |step| matches!(step, Step::Torque { .. })).snapshot("shed_torque_range");
    walker.until_step("4L1 line", |step| step == Step::Tug(1)).snapshot("shed_tug");
    walker.until_step("4L1 line", |step| step == Step::Mark).snapshot("shed_mark");
}

#[test]
fn screens_of_long_names_and_odd_clamps() {
    let mut walker = Walker::to_the_walk(&shed());
    walker.until_step("incomer L1 stab", |_| true).snapshot("shed_long_name");
    walker.until_step("main earth", |_| true).snapshot("shed_main_earth");
    walker.until_step("contactor 1 in", |_| true).snapshot("shed_contactor");
    walker.until_step("12 neutral", tightens).snapshot("shed_pound_inches");
    walker.until_step("bond rails", tightens).snapshot("shed_no_makers_value");
    walker.until_step("1 cpc", tightens).snapshot("shed_at_most");
    walker.until_step("surge L1", tightens).snapshot("shed_tolerance");
    walker.until_step("contactor A1", |step| matches!(step, Step::Tug(_))).snapshot("shed_spring");
}

fn tightens(step: Step) -> bool {
    matches!(step, Step::Torque { .. })
}

#[test]
fn screens_of_the_ticket_office() {
    let mut walker = Walker::to_the_walk(&office());
    walker.until_step("3 line", |step| step == Step::Prepare(0)).snapshot("office_prepare");
    walker.until_step("6 lead", |step| step == Step::Enter(0)).snapshot("office_bar");
    walker.until_topic(Topic::SetTool).snapshot("office_set_tool");
    walker.until_topic(Topic::Scale).snapshot("office_scale");
    walker.until_step("3 line", tightens).snapshot("office_torque");
}

#[test]
fn screens_of_a_rehearsal_and_of_a_live_supply() {
    let mut walker = Walker::rehearsing(&shed());
    while walker.question().topic != Topic::Scale {
        walker.say("");
    }
    walker.snapshot("rehearsal_scale");
    let live =
        ["R. Anders", "two-pole tester", "tried", "key in pocket", "live", "shrouded", "R. Anders", "none"];
    let mut walker = Walker::to_the_gate(&shed());
    walker.all(&live).snapshot("live_supply");
    let tail = walker.state().visit.terminals().find(|(_, t, _)| t.tail).map(|(at, _, _)| at).unwrap();
    walker.command(Command::Go(tail)).snapshot("live_terminal");
}

#[test]
fn screens_of_other_tools() {
    let mut walker = Walker::new(&shed());
    walker.all(&[
        "R. Anders",
        "electrician",
        "",
        "3",
        "6",
        "1",
        "meter B",
        "TB-0502",
        "1",
        "0.2",
        "10",
        "0.01",
        "I B",
    ]);
    walker.all(&TOOL_END).say("1").all(&GATE);
    walker.until_step("surge L1", tightens).snapshot("indicating");
    walker.say("2.61").snapshot("indicating_read");
    let mut walker = Walker::new(&shed());
    walker.all(&[
        "R. Anders",
        "electrician",
        "",
        "1",
        "1",
        "driver C",
        "TB-0099",
        "1",
        "0.2",
        "2",
        "0.05",
        "",
    ]);
    walker.all(&TOOL_END).say("1").all(&GATE);
    walker.until_step("incomer L1", tightens).snapshot("no_tool_does_it");
}

/// The engine shed with twenty-eight more ways than it has room for on a small screen.
fn long_board() -> String {
    let ways: Vec<String> = (13..=40).map(|way| format!("\"{way}\"")).collect();
    let circuits: Vec<String> = (13..=40).map(|way| format!("\"workshop {way}\"")).collect();
    let row = format!(
        "Row(at: [{}], device: \"3C32\", circuits: [{}], line: \"6\", neutral: \"6\", cpc: \"6\"),",
        ways.join(", "),
        circuits.join(", ")
    );
    let shed = shed().replace("ways: 12,", "ways: 40,");
    shed.replace("\n    rows: [", &format!("\n    rows: [\n        {row}"))
}

#[test]
fn a_board_larger_than_the_room_shows_the_place_in_front_and_says_how_much_it_leaves_out() {
    let mut walker = Walker::to_the_walk(&long_board());
    walker.until_step("25L2 line", |_| true).snapshot("long_board");
    for (columns, rows) in [(80, 24), (120, 40)] {
        let (cells, _) = walker.shown(&Ui::default(), &Theme::mono(), columns, rows);
        let text = text_of(&cells);
        let line = text.lines().find(|line| line.contains("not shown: ")).unwrap();
        let hidden: usize = line
            .split("not shown: ")
            .nth(1)
            .unwrap()
            .split_whitespace()
            .filter_map(|word| word.parse::<usize>().ok())
            .sum();
        let width = usize::from(columns) - if columns == 80 { 38 } else { 50 };
        let signs = text
            .lines()
            .skip(8)
            .filter(|line| !line.contains("not shown"))
            .filter_map(|line| line.get(width..))
            .filter(|drawn| drawn.contains('.') || drawn.contains('M'))
            .filter(|drawn| !drawn.contains("made off"))
            .flat_map(str::chars)
            .filter(|c| ['.', 'M'].contains(c))
            .count();
        assert_eq!(hidden + signs, walker.state().board().terminals.len(), "{text}");
    }
}

#[test]
fn screens_of_findings_and_doings() {
    let mut walker = Walker::to_the_walk(&office());
    walker.until_step("1 line", |step| step == Step::Enter(0)).say("wrong").snapshot("finding_entry");
    walker.until_step("1 line", tightens).say("did not click").snapshot("finding_not_clicked");
    walker.say("1").snapshot("finding_screw_spins");
    walker.say("1").until_step("1 line", |step| step == Step::Tug(0)).say("shifted");
    walker.snapshot("after_a_tug_shifted");
    walker.until_step("3 line", |step| step == Step::Mark).command(Command::Leave);
    walker.snapshot("scale_at_the_end");
    walker.all(&["2.20", "2.20"]).snapshot("scale_off");
    walker.say("2").until_topic(Topic::Finding).snapshot("finding_strands");
    walker.say("sound").snapshot("finding_strands_sound");
    walker.say("1").until_topic(Topic::Walk).command(Command::SetAside).snapshot("set_aside");
    walker.say("6").snapshot("set_aside_in_own_words");
    walker.command(Command::Back).command(Command::Back).command(Command::List).snapshot("list");
    walker.snapshot_with(&Ui { list_from: 6, ..Ui::default() }, "list_scrolled");
    walker.command(Command::Back).say("rubbish").snapshot("not_taken");
}

#[test]
fn screens_of_trouble() {
    let mut walker = Walker::to_the_walk(&shed());
    walker.until_step("incomer L1", |step| step == Step::Enter(0));
    walker.input_to(Input::Line("right".into()), &mut Refuses { memory: Some(()) });
    assert_eq!(walker.question().topic, Topic::Trouble);
    walker.snapshot("trouble");
    walker.snapshot_with(&Ui { help: true, ..Ui::default() }, "trouble_before_help");
    walker.snapshot_at(&Ui::default(), "trouble_small", 60, 12);
    walker.say("2").snapshot("trouble_save_elsewhere");
}

#[test]
fn screens_of_the_end() {
    let mut walker = Walker::to_the_walk(&office());
    walker.until_topic(Topic::SignOff).snapshot("nothing_left");
    walker.until(|state| state.question().text.starts_with("incomer N: its witness mark"));
    walker.snapshot("last_look");
    walker.until(|state| state.question().text.contains("you sign")).snapshot("sign");
    walker.until_topic(Topic::Over);
    let ui = Ui {
        record_at: Some("records/site=fennick/board=TO-1/2026-11-25-first-aaaaaaaa.jsonl".into()),
        ..Ui::default()
    };
    walker.snapshot_with(&ui, "over");
    let mut walker = Walker::to_the_walk(&office());
    walker.command(Command::List).until(|state| state.question().topic == Topic::List);
    let entries = match walker.question().answers {
        Answers::Choice(list) => list,
        other => panic!("{other:?}"),
    };
    let sign_off = entries.iter().position(|words| words == "sign off").unwrap() + 1;
    walker.say(&sign_off.to_string()).snapshot("sign_off_with_open_terminals");
    walker.command(Command::Back).command(Command::Leave);
    walker.snapshot_with(&ui, "left_for_the_day");
}

fn settle_question(question: &Question) -> bool {
    question.text.contains("settled: the same torque")
}

/// A terminal that settles, in board order.
fn settling(state: &State) -> Option<TerminalIndex> {
    state.visit.terminals().find(|(_, _, s)| s.settling.is_some()).map(|(at, _, _)| at)
}

/// A row of several stands in front of the person, its tool set.
fn row_stands(state: &State) -> bool {
    state.question().text.contains("to the click")
        && row_here(state).is_some_and(|row| row.terminals.len() >= 4)
}

#[test]
fn screens_of_settling() {
    let mut walker = Walker::to_the_walk(&shed());
    walker.until(|state| settling(state).is_some());
    let first = settling(walker.state()).unwrap();
    walker.until_step("1L1 line", tightens).command(Command::Go(first)).snapshot("settling");
    walker.say("1").until(|state| settle_question(&state.question())).snapshot("settled_torque");
    walker.say("moved").snapshot("settled_moved_tug");
    walker.until(|state| settling(state).is_none() || state.question().text.contains("Nothing else is left"));
    walker.until_topic(Topic::SignOff);
}

#[test]
fn screens_of_a_row() {
    let mut walker = Walker::to_the_walk(&shed());
    walker.until(row_stands).snapshot("row_is_there");
    let row = row_here(walker.state()).unwrap();
    let second = walker.state().visit.terminal(row.terminals[1]).unwrap().name.to_string();
    walker.command(Command::Row).snapshot("row");
    walker.say("3").snapshot("row_broken_off");
    walker.command(Command::Back).say("2").snapshot("row_exceptions");
    walker.say(&second).snapshot("row_count");
    walker.say("99").snapshot("row_count_refused");
    walker.say(&(row.terminals.len() - 1).to_string()).snapshot("row_mark");
    walker.say("made");
    assert_eq!(walker.question().topic, Topic::Scale);
    walker.snapshot("row_scale_at_the_end");
    let mut walker = Walker::to_the_walk(&shed());
    walker.until(|state| {
        state.question().topic == Topic::SetTool
            && row_here(state).is_some_and(|row| row.terminals.len() >= 4)
    });
    walker.command(Command::Row).snapshot("row_without_scale");
    walker.all(&["2", "1"]).snapshot("row_scale_after_work");
    assert_eq!(walker.question().topic, Topic::Scale);
}

/// Picks an entry of the list by its words.
fn pick(walker: &mut Walker, words: &str) {
    walker.command(Command::List);
    let Answers::Choice(list) = walker.question().answers else { panic!("a list") };
    let at = list.iter().position(|entry| entry.contains(words)).unwrap_or_else(|| panic!("{list:#?}"));
    walker.say(&(at + 1).to_string());
}

#[test]
fn screens_of_a_way_at_once() {
    let mut walker = Walker::to_the_walk(&shed());
    walker.until_step("3L1 line", |step| step == Step::Prepare(0));
    pick(&mut walker, "way 3: prepared alike");
    walker.snapshot("way_prepared");
    walker.say("not all alike").snapshot("way_exceptions");
    walker.command(Command::Back).say("1");
    pick(&mut walker, "way 3: all entries right");
    walker.snapshot("way_entries");
}

#[test]
fn screens_of_other_hands_doubt_and_amending() {
    let mut walker = Walker::to_the_walk(&shed());
    walker.until(row_stands).command(Command::Person);
    walker.snapshot("hands_scale_first");
    let scale = walker.good_answer();
    walker.say(&scale).command(Command::Person).snapshot("hands");
    let mut walker = Walker::to_the_walk(&shed());
    walker.until(row_stands);
    pick(&mut walker, "tool A was dropped");
    walker.snapshot("tool_dropped");
    let mut walker = Walker::to_the_walk(&shed());
    walker.until(row_stands).command(Command::Amend).snapshot("amend_value");
    walker.say("2.8 N.m").snapshot("amend_value_found");
}

/// A visit with something of everything that so far tells.
fn with_everything() -> Walker {
    let mut walker = Walker::to_the_walk(&shed());
    walker.until_step("incomer L1", |step| step == Step::Enter(0));
    walker.command(Command::SetAside).all(&["2"]);
    walker.until(|state| settling(state).is_some());
    walker.until_step("1L1 line", tightens).command(Command::Later);
    walker.until_step("1L3 line", tightens).command(Command::Remake).all(&["1", "nicked", "1"]);
    walker.command(Command::Remark).say("3").say("the door does not lock").command(Command::Remark);
    walker
}

#[test]
fn screens_of_so_far() {
    let so_far = Ui { so_far: true, ..Ui::default() };
    let walker = Walker::to_the_walk(&shed());
    walker.snapshot_with(&so_far, "so_far_at_first");
    let mut walker = with_everything();
    walker.snapshot("remark_begun");
    walker.snapshot_with(&so_far, "so_far");
    walker.snapshot_with(&Ui { so_far_scroll: 12, ..so_far.clone() }, "so_far_scrolled");
    walker.command(Command::Back);
    pick(&mut walker, "tool A was dropped");
    walker.say("dropped").snapshot_with(&so_far, "so_far_doubted");
}

#[test]
fn screens_of_help_and_of_too_small_a_window() {
    let walker = Walker::to_the_walk(&office());
    walker.snapshot_with(&Ui { help: true, ..Ui::default() }, "help");
    walker.snapshot_with(&Ui { help: true, help_scroll: 999, ..Ui::default() }, "help_end");
    walker.snapshot_at(&Ui::default(), "too_small", 60, 20);
}

/// Solid cells as five-row shapes: whether a figure stands anywhere on the screen in large cells.
fn stands_large(cells: &Buffer, figure: &str) -> bool {
    let (wide, high) = (usize::from(cells.area.width), usize::from(cells.area.height));
    let solid: Vec<Vec<bool>> = (0..cells.area.height)
        .map(|y| (0..cells.area.width).map(|x| is_solid(&cells[(x, y)])).collect())
        .collect();
    glyphs::Setting::ALL.into_iter().any(|setting| {
        let shape: Vec<Vec<bool>> = glyphs::cells(figure, setting)
            .unwrap()
            .iter()
            .map(|row| row.chars().map(|cell| cell == '#').collect())
            .collect();
        let (columns, rows) = (shape[0].len(), shape.len());
        (0..=high - rows).any(|y| {
            (0..=wide - columns)
                .any(|x| (0..rows).all(|row| solid[y + row][x..x + columns] == shape[row][..]))
        })
    })
}

pub(crate) fn text_of(cells: &Buffer) -> String {
    let rows = (0..cells.area.height)
        .map(|y| (0..cells.area.width).map(|x| cells[(x, y)].symbol()).collect::<String>());
    rows.collect::<Vec<_>>().join("\n")
}

/// Every figure that would tell what the scale has to show: of the tool, of the maker, for the terminal in front and
/// for those of the span.
fn tell_tales(state: &State) -> (Vec<String>, Vec<String>) {
    let mut texts = Vec::new();
    let mut figures = Vec::new();
    let mut torque = |torque: witnessmark::domain::torque::Torque| {
        texts.push(torque.to_string());
        let digits = torque.value.to_string();
        if digits.contains('.') {
            texts.push(digits.clone());
        }
        figures.push(digits);
    };
    let required = state.work().and_then(|work| work.required);
    let spans = state.open_spans().map(|span| span.required);
    required.into_iter().chain(spans).for_each(&mut torque);
    if let Some(row) = state.work().and_then(|work| work.row) {
        torque(row.stated.aim());
        texts.push(row.stated.to_string());
        texts.push(row.source.to_string());
    }
    (texts, figures)
}

#[test]
fn no_figure_of_the_setting_stands_anywhere_while_a_scale_is_asked() {
    let mut asked = 0;
    for (board, rehearsal) in [(shed(), false), (office(), false), (shed(), true), (office(), true)] {
        let mut walker = if rehearsal { Walker::rehearsing(&board) } else { Walker::to_the_walk(&board) };
        let mut shown_at_walk = 0;
        while walker.question().topic != Topic::Over {
            let topic = walker.question().topic;
            let (texts, figures) = tell_tales(walker.state());
            if topic == Topic::Scale {
                asked += 1;
                for (columns, rows) in [(80, 24), (120, 40)] {
                    let (cells, _) = walker.shown(&Ui::default(), &Theme::colours(), columns, rows);
                    let text = text_of(&cells);
                    for tale in &texts {
                        assert!(!text.contains(tale.as_str()), "{tale} stands here:\n{text}");
                    }
                    for figure in &figures {
                        assert!(!stands_large(&cells, figure), "{figure} stands large here:\n{text}");
                    }
                }
            } else if topic == Topic::SetTool {
                // The same search finds them where they do stand.
                let (cells, _) = walker.shown(&Ui::default(), &Theme::colours(), 80, 24);
                let required = walker.state().work().and_then(|work| work.required).unwrap();
                assert!(stands_large(&cells, &required.value.to_string()));
                assert!(text_of(&cells).contains(&required.to_string()));
                shown_at_walk += 1;
            }
            let answer = if rehearsal { String::new() } else { walker.good_answer() };
            walker.say(&answer);
        }
        assert!(shown_at_walk > 1);
    }
    assert!(asked > 20, "{asked} scales were asked");
}

#[test]
fn no_figure_of_the_setting_stands_anywhere_while_the_scale_of_a_row_is_asked() {
    type Stands = fn(&State) -> bool;
    let set = |state: &State| state.question().topic == Topic::SetTool && row_here(state).is_some();
    let cases: [(Stands, &[&str]); 2] = [(row_stands, &["1"]), (set, &["2", "1"])];
    for (board, (stands, answers)) in [shed(), office()].iter().flat_map(|b| cases.map(|c| (b, c))) {
        let mut walker = Walker::to_the_walk(board);
        walker.until(stands).command(Command::Row);
        let (texts, figures) = tell_tales(walker.state());
        let (cells, _) = walker.shown(&Ui::default(), &Theme::colours(), 80, 24);
        assert!(figures.iter().any(|figure| stands_large(&cells, figure)), "the row says what to set");
        let count = row_here(walker.state()).unwrap().terminals.len().to_string();
        walker.all(answers);
        if walker.question().topic != Topic::Scale {
            walker.all(&[&count, "firm", "made"]);
        }
        assert_eq!(walker.question().topic, Topic::Scale, "{:?}", walker.question());
        let so_far = Ui { so_far: true, ..Ui::default() };
        for ui in [Ui::default(), so_far] {
            for (columns, rows) in [(80, 24), (120, 40)] {
                let (cells, _) = walker.shown(&ui, &Theme::colours(), columns, rows);
                let text = text_of(&cells);
                assert!(texts.iter().all(|tale| !text.contains(tale.as_str())), "{texts:?}\n{text}");
                assert!(figures.iter().all(|figure| !stands_large(&cells, figure)), "{text}");
            }
        }
    }
}

#[test]
fn the_number_of_a_row_stands_nowhere_until_it_is_typed() {
    let mut walker = Walker::to_the_walk(&shed());
    // The four stabs of the incomer: no name in it is the number four.
    walker.until(row_stands).command(Command::Row).all(&["1"]);
    assert_eq!(row_here(walker.state()).unwrap().terminals.len(), 4);
    let question = walker.question();
    assert!(matches!(question.answers, Answers::Count));
    assert_eq!(question.offer, None);
    assert!(!format!("{} {:?}", question.text, question.hints).contains('4'), "{question:?}");
    for (columns, rows) in [(80, 24), (120, 40)] {
        let (cells, _) = walker.shown(&Ui::default(), &Theme::colours(), columns, rows);
        let text = text_of(&cells);
        // The header, the drawing with its ways and what settles say numbers of their own.
        let beside =
            text.lines().skip(6).filter_map(|line| line.get(..40)).filter(|l| !l.contains("settling"));
        let words: Vec<&str> = beside.flat_map(str::split_whitespace).collect();
        assert!(words.contains(&"stab,") && !words.contains(&"4") && !words.contains(&"four"), "{text}");
    }
}

#[test]
fn a_scale_typed_wrongly_is_asked_again_without_the_figure() {
    let mut walker = Walker::to_the_walk(&office());
    walker.until_step("3 line", |step| step == Step::Mark).command(Command::Leave);
    let (texts, figures) = tell_tales(walker.state());
    for reading in ["2.2", "2.3", "2.3"] {
        walker.say(reading);
        assert_eq!(walker.question().topic, Topic::Scale);
        let (cells, _) = walker.shown(&Ui::default(), &Theme::mono(), 80, 24);
        let text = text_of(&cells);
        assert!(texts.iter().all(|tale| !text.contains(tale.as_str())), "{text}");
        assert!(figures.iter().all(|figure| !stands_large(&cells, figure)), "{text}");
    }
}

#[test]
fn a_mistyped_scale_is_corrected_without_the_figure() {
    let mut walker = Walker::to_the_walk(&shed());
    walker.until_topic(Topic::Scale).until_topic(Topic::Walk).command(Command::Slip);
    assert_eq!(walker.question().topic, Topic::Scale);
    let (texts, figures) = tell_tales(walker.state());
    let (cells, _) = walker.shown(&Ui::default(), &Theme::mono(), 80, 24);
    let text = text_of(&cells);
    assert!(texts.iter().all(|tale| !text.contains(tale.as_str())), "{text}");
    assert!(figures.iter().all(|figure| !stands_large(&cells, figure)), "{text}");
    assert!(stands_large(&cells, "A"), "the tool is named");
}

#[test]
fn the_terminal_in_front_is_reversed_on_the_drawing_and_nothing_else_there_is() {
    let mut walker = Walker::to_the_walk(&shed());
    for name in ["4L1 line", "6L1 neutral", "bond rails", "contactor A2"] {
        walker.until_step(name, |_| true);
        for theme in [Theme::colours(), Theme::mono()] {
            let (cells, _) = walker.shown(&Ui::default(), &theme, 80, 24);
            let reversed: Vec<&str> = (8..24)
                .flat_map(|y| (42..80).map(move |x| (x, y)))
                .map(|at| &cells[at])
                .filter(|cell| cell.modifier.contains(Modifier::REVERSED))
                .map(Cell::symbol)
                .collect();
            assert_eq!(reversed.len(), 1, "{name}");
            assert!([".", "M"].contains(&reversed[0]), "{name}");
        }
    }
}

#[test]
fn large_figures_are_solid_cells() {
    let mut walker = Walker::to_the_walk(&shed());
    walker.until_step("1L2 line", tightens);
    for theme in [Theme::colours(), Theme::mono()] {
        let (cells, _) = walker.shown(&Ui::default(), &theme, 80, 24);
        for figure in ["1L2", "2.50", "PZ2"] {
            assert!(stands_large(&cells, figure), "{figure}");
        }
        assert!(!stands_large(&cells, "1L3"));
    }
}

#[test]
fn not_stored_is_large_and_emphasised_until_it_is_mended() {
    let mut walker = Walker::to_the_walk(&shed());
    let mut refuses = Refuses { memory: Some(()) };
    walker.input_to(Input::Line("1".into()), &mut refuses);
    for (ui, keys) in [(Ui::default(), 1), (Ui { help: true, ..Ui::default() }, 3)] {
        for _ in 0..keys {
            walker.input_to(Input::Line("1".into()), &mut refuses);
        }
        for theme in [Theme::colours(), Theme::mono()] {
            let (cells, _) = walker.shown(&ui, &theme, 80, 24);
            assert!(stands_large(&cells, "NOT STORED"));
            let text = text_of(&cells);
            let row = u16::try_from(text.lines().position(|line| line.starts_with(" NOT STORED")).unwrap())
                .unwrap();
            assert!(cells[(1, row)].modifier.contains(Modifier::REVERSED | Modifier::BOLD));
            assert!(text.contains("no room is left on this disk"), "{text}");
        }
    }
    walker.say("3");
    let (cells, _) = walker.shown(&Ui::default(), &Theme::colours(), 80, 24);
    assert!(!stands_large(&cells, "NOT STORED"));
    assert!(text_of(&cells).contains("the last answer was taken back"));
}

/// A few states far apart, for what has to hold on every screen.
fn far_apart() -> Vec<Walker> {
    let mut two_screws = Walker::to_the_walk(&shed());
    two_screws.until_step("incomer L1", tightens);
    let mut scale = Walker::to_the_walk(&shed());
    scale.until_topic(Topic::Scale);
    let mut list = Walker::to_the_walk(&office());
    list.until_step("3 line", |step| step == Step::Tug(0)).command(Command::List);
    let mut trouble = Walker::to_the_walk(&shed());
    trouble.input_to(Input::Line("1".into()), &mut Refuses { memory: Some(()) });
    let mut typing = Walker::to_the_gate(&shed());
    for _ in 0..240 {
        typing.input(Input::Type('w'));
    }
    let mut row = Walker::to_the_walk(&shed());
    row.until(row_stands).command(Command::Row).say("1");
    let mut way = Walker::to_the_walk(&shed());
    way.until_step("3L1 line", |step| step == Step::Prepare(0));
    pick(&mut way, "way 3: prepared alike");
    let mut settles = Walker::to_the_walk(&shed());
    settles.until(|state| settling(state).is_some());
    let first = settling(settles.state()).unwrap();
    settles.command(Command::Go(first));
    let mut end = Walker::to_the_walk(&office());
    end.until(|state| state.question().text.contains("you sign"));
    vec![row, way, settles, Walker::new(&shed()), two_screws, scale, list, trouble, typing, end]
}

#[test]
fn no_size_of_window_makes_it_panic() {
    let walkers = far_apart();
    let list = Ui { list_from: 3, ..Ui::default() };
    let help = Ui { help: true, help_scroll: 7, ..Ui::default() };
    let mut screens: Vec<(&Walker, &Ui)> = walkers.iter().map(|walker| (walker, &list)).collect();
    screens.push((&walkers[1], &help));
    let so_far = Ui { so_far: true, so_far_scroll: 5, ..Ui::default() };
    screens.push((&walkers[2], &so_far));
    // Every size near the smallest one and a third of the larger ones, the screens in turn; edges with every screen.
    let edge = |columns: u16, rows: u16| {
        [0, 1, 79, 80, 81, 200].contains(&columns) && [0, 1, 23, 24, 25, 60].contains(&rows)
    };
    for columns in (0..=100).chain((101..=200).step_by(3)) {
        for rows in (0..=30).chain((33..=60).step_by(3)) {
            let turn = usize::from(columns * 61 + rows) % screens.len();
            for (nth, (walker, ui)) in screens.iter().enumerate() {
                if nth == turn || edge(columns, rows) {
                    walker.shown(ui, &Theme::colours(), columns, rows);
                }
            }
        }
    }
}

#[test]
fn without_colour_nothing_has_a_colour_and_with_it_the_background_stays_the_terminals_own() {
    for walker in far_apart() {
        for ui in [Ui::default(), Ui { help: true, ..Ui::default() }] {
            let (mono, _) = walker.shown(&ui, &Theme::mono(), 80, 24);
            assert!(mono.content.iter().all(|cell| cell.fg == Color::Reset && cell.bg == Color::Reset));
            let (colours, _) = walker.shown(&ui, &Theme::colours(), 80, 24);
            assert!(colours.content.iter().all(|cell| cell.bg == Color::Reset));
            let named = |cell: &Cell| !matches!(cell.fg, Color::Rgb(..) | Color::Indexed(_));
            assert!(colours.content.iter().all(named));
            // Never colour alone: both themes write the same text.
            assert_eq!(text_of(&mono), text_of(&colours));
        }
    }
}

#[test]
fn the_real_cursor_stands_where_typing_goes() {
    let mut walker = Walker::to_the_gate(&shed());
    let (_, Some(before)) = walker.shown(&Ui::default(), &Theme::colours(), 80, 24) else {
        panic!("no cursor")
    };
    walker.input(Input::Type('A')).input(Input::Type('b'));
    let (cells, Some(after)) = walker.shown(&Ui::default(), &Theme::colours(), 80, 24) else {
        panic!("no cursor")
    };
    assert_eq!((after.x, after.y), (before.x + 2, before.y));
    assert_eq!(cells[(before.x, before.y)].symbol(), "A");
    assert_eq!(cells[(before.x + 1, before.y)].symbol(), "b");
}

#[test]
fn every_observation_says_its_key_on_the_screen() {
    let mut walker = Walker::to_the_walk(&office());
    let mut seen = 0;
    while walker.question().topic != Topic::Over {
        if let Answers::Observed(list) = &walker.question().answers {
            let (cells, _) = walker.shown(&Ui::default(), &Theme::colours(), 80, 24);
            let text = text_of(&cells);
            for answer in list {
                assert!(text.contains(&format!("{} {}", answer.key, answer.word)), "{answer:?}\n{text}");
            }
            seen += 1;
        }
        let answer = walker.good_answer();
        walker.say(&answer);
    }
    assert!(seen > 100);
}

#[test]
fn no_question_at_the_smallest_size_loses_a_line() {
    for board in [shed(), office()] {
        let mut walker = Walker::to_the_walk(&board);
        while walker.question().topic != Topic::Over {
            let (cells, _) = walker.shown(&Ui::default(), &Theme::colours(), 80, 24);
            let text = text_of(&cells);
            assert!(!text.contains("..more in a larger window"), "{text}");
            let answer = walker.good_answer();
            walker.say(&answer);
        }
    }
}
