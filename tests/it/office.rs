//! The office away from a visit: Start on both faces, looked at as its reader and walked by keys. No source outside
//! the project: what a person needs to see is common practice, the look is our own.

use super::keys::{parse, stamp};
use super::rig::snap;
use super::screens::{as_seen, text_of};
use jiff::civil::date;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;
use ratatui::layout::Position;
use ratatui::style::Color;
use rust_decimal::Decimal;
use std::io::Cursor;
use witnessmark::domain::calibration::Calibration;
use witnessmark::domain::names::ToolId;
use witnessmark::domain::record::VisitKind;
use witnessmark::domain::tool::{Tool, ToolKind, ToolRange, Validity};
use witnessmark::domain::torque::Unit;
use witnessmark::office::{
    BoardFile, Ended, Known, KnownVisit, Page, PageState, Start, StartDeed, ToolHere, Turn,
};
use witnessmark::plain::{self, Lines, Turned};
use witnessmark::session::Counts;
use witnessmark::tui::theme::Theme;
use witnessmark::tui::ui::Ui;
use witnessmark::tui::{OnPage, Scene};

/// A person at a page, on a screen of some size.
pub(crate) struct AtPage<P: Page> {
    pub(crate) state: PageState<P>,
    ui: Ui,
    ms: i64,
    size: (u16, u16),
}

impl<P: Page> AtPage<P> {
    pub(crate) fn new(page: P) -> Self {
        Self { state: PageState::new(page), ui: Ui::default(), ms: 0, size: (80, 24) }
    }

    /// Presses the keys of a script, a second apart; what came of the last one.
    pub(crate) fn keys(&mut self, script: &str) -> Turn<P::Deed> {
        let mut last = Turn::Stay;
        let mut terminal = Terminal::new(TestBackend::new(self.size.0, self.size.1)).unwrap();
        for key in parse(script) {
            self.ms += 1_000;
            let mut scene = OnPage::new(&mut self.state, Theme::mono());
            scene.ui = self.ui.clone();
            terminal.draw(|frame| scene.draw(frame)).unwrap();
            let (scene, _) = scene.press(stamp(self.ms), &key);
            (self.ui, last) = (scene.ui, scene.turn);
        }
        last
    }

    pub(crate) fn shown(&mut self, theme: Theme, columns: u16, rows: u16) -> (Buffer, Option<Position>) {
        let mut terminal = Terminal::new(TestBackend::new(columns, rows)).unwrap();
        let mut scene = OnPage::new(&mut self.state, theme);
        scene.ui = self.ui.clone();
        terminal.draw(|frame| scene.draw(frame)).unwrap();
        let visible = terminal.backend().cursor_visible();
        let cursor = visible.then(|| terminal.get_cursor_position().unwrap());
        (terminal.backend().buffer().clone(), cursor)
    }

    pub(crate) fn text(&mut self) -> String {
        let (columns, rows) = self.size;
        text_of(&self.shown(Theme::colours(), columns, rows).0)
    }

    /// What is seen, white space made one.
    pub(crate) fn flat(&mut self) -> String {
        self.text().split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// Both sizes, and that the theme without colour says the same.
    pub(crate) fn snapshot(&mut self, name: &str) {
        for (columns, rows) in [(80, 24), (120, 40)] {
            let (cells, cursor) = self.shown(Theme::colours(), columns, rows);
            let text = as_seen(&cells, cursor);
            snap().bind(|| insta::assert_snapshot!(format!("page_{name}_{columns}x{rows}"), text));
            let (mono, _) = self.shown(Theme::mono(), columns, rows);
            assert_eq!(text_of(&mono), text_of(&cells), "never colour alone");
            assert!(mono.content.iter().all(|cell| cell.fg == Color::Reset && cell.bg == Color::Reset));
            assert!(cells.content.iter().all(|cell| cell.bg == Color::Reset));
        }
    }

    /// No size panics; the smallest whole one loses nothing that is asked.
    pub(crate) fn every_size(&mut self) {
        for columns in (0..=100).step_by(3).chain([79, 80, 81, 109, 110, 111, 120, 200]) {
            for rows in (0..=30).chain([39, 40, 60]) {
                self.shown(Theme::colours(), columns, rows);
            }
        }
    }
}

/// Lines through the plain face, with what was typed written behind the questions.
pub(crate) fn said<P: Page>(page: P, typed: &str) -> (String, Turned<P::Deed>) {
    let mut state = PageState::new(page);
    let mut out = Vec::new();
    let mut input = Cursor::new(typed.as_bytes().to_vec());
    let mut lines = Lines { input: &mut input, out: &mut out, echo: true };
    let turned = plain::page(&mut state, &mut lines).unwrap();
    (String::from_utf8(out).unwrap(), turned)
}

fn counts(open: usize, complete: usize, with_remark: usize, aside: usize) -> Counts {
    let all = open + complete + with_remark + aside;
    Counts { all, open, complete, with_remark, aside, ..Counts::default() }
}

const SITE: &str = "Fennick Vale Light Railway";
const FOLDER: &str = "/home/pat/.local/share/witnessmark/records";

fn visit(board: &str, day: &str, ended: Ended, counts: Counts) -> KnownVisit {
    let id = format!("{}aaaa", board.to_lowercase().replace('-', "a"));
    let folder = format!("{FOLDER}/site=fennick%20vale%20light%20railway/board={}", board.to_lowercase());
    let name = format!("{day}-first-{id}");
    KnownVisit {
        site: SITE.into(),
        board: board.into(),
        kind: VisitKind::First,
        day: day.into(),
        ended,
        counts,
        folder,
        record: format!("{name}.jsonl"),
        appendix: (ended == Ended::Closed).then(|| format!("{name}.txt")),
        id,
    }
}

fn tool(name: &str, serial: &str, calibrated: Option<&str>, operations: u64) -> ToolHere {
    let calibration = |day: &str| Calibration {
        date: day.into(),
        first_use: None,
        certificate: Some("K 2231".into()),
        laboratory: None,
        as_found: Vec::new(),
        as_left: Vec::new(),
    };
    let tool = Tool {
        id: ToolId::from("A"),
        serial: serial.into(),
        name: name.into(),
        kind: ToolKind::Setting,
        class: None,
        unit: Unit::NewtonMetre,
        range: ToolRange { min: Decimal::ONE, max: Decimal::TEN },
        graduation: Some(Decimal::new(1, 1)),
        adapter: None,
        calibrations: calibrated.map(calibration).into_iter().collect(),
        interval: None,
        operations_before: None,
        operations_recorded: None,
        validity: Validity::NotStated,
        override_reason: None,
    };
    ToolHere { tool, operations, doubted: None }
}

fn nothing() -> Known {
    Known {
        today: date(2026, 11, 25),
        visits: Vec::new(),
        board_files: Vec::new(),
        tools: Vec::new(),
        records: FOLDER.into(),
        tools_unreadable: None,
        unreadable: Vec::new(),
    }
}

/// Four boards, two of them left open, one abandoned; three tools, one of them lapsed; a file that cannot be read.
fn full() -> Known {
    Known {
        visits: vec![
            visit("TO-1", "2026-03-04", Ended::Closed, counts(0, 40, 2, 2)),
            visit("PH-2", "2026-05-11", Ended::Abandoned, counts(30, 6, 0, 0)),
            visit("TO-1", "2026-10-02", Ended::LeftOpen, counts(44, 0, 0, 0)),
            visit("LH-1", "2026-11-02", Ended::Closed, counts(0, 12, 0, 0)),
            visit("DB-3", "2026-11-24", Ended::LeftOpen, counts(65, 50, 1, 8)),
        ],
        tools: vec![
            tool("red driver", "IL 4471", Some("2026-03-02"), 4_870),
            tool("the long wrench", "IL 0093", Some("2025-10-01"), 12),
            tool("borrowed driver", "77", None, 0),
        ],
        unreadable: vec![format!(
            "{FOLDER}/site=x/board=y/2026-01-01-first-abcdefgh.jsonl: line 14 is damaged: its link does not follow \
             from line 13\nhelp: compare it with a copy"
        )],
        ..nothing()
    }
}

fn start(known: Known) -> AtPage<Start> {
    AtPage::new(Start::new(known))
}

#[test]
fn start_as_it_is_seen() {
    start(nothing()).snapshot("start_empty");
    start(full()).snapshot("start_full");
    let mut board = start(full());
    board.keys("5");
    board.snapshot("start_board");
    let mut help = start(full());
    help.keys("?");
    help.snapshot("start_help");
    help.keys("?");
    assert!(help.text().contains("START"));
}

#[test]
fn start_line_by_line() {
    let (text, turned) = said(Start::new(full()), "9\n5\nback\n?\nq\n");
    assert_eq!(turned, Turned::Ended(plain::Ended::Left));
    snap().bind(|| insta::assert_snapshot!("page_start_plain", text));
    let (text, turned) = said(Start::new(nothing()), "\n");
    assert_eq!(turned, Turned::Ended(plain::Ended::Left));
    snap().bind(|| insta::assert_snapshot!("page_start_plain_empty", text));
}

#[test]
fn what_is_open_is_gone_on_with_by_number_or_by_enter() {
    // the newest first: DB-3 of November, then TO-1 of October; places in the list of visits
    assert_eq!(start(full()).keys("1"), Turn::Do(StartDeed::GoOn(4)));
    assert_eq!(start(full()).keys("2"), Turn::Do(StartDeed::GoOn(2)));
    assert_eq!(start(full()).keys("<Enter>"), Turn::Do(StartDeed::GoOn(4)));
    assert_eq!(said(Start::new(full()), "2\n").1, Turned::Do(StartDeed::GoOn(2)));
    assert_eq!(said(Start::new(full()), "").1, Turned::Ended(plain::Ended::EndOfInput));
}

#[test]
fn a_board_shows_its_visits_and_pageup_comes_back() {
    let mut page = start(full());
    assert_eq!(page.keys("5"), Turn::Stay);
    let text = page.text();
    assert!(text.contains("TO-1") && text.contains("44 terminals: 44 open"), "{text}");
    assert!(text.contains("44 terminals: 40 complete, 2 with remark, 2 set aside"), "{text}");
    assert!(text.contains("appendix 2026-03-04-first-toa1aaaa.txt"), "{text}");
    assert_eq!(page.keys("<PageUp>"), Turn::Stay);
    assert!(page.text().contains("Boards known here: 4 (visits closed: 2, abandoned: 1)"), "{}", page.text());
    assert_eq!(page.keys("<PageUp>"), Turn::Stay);
    assert!(page.text().contains("this is the first page: q leaves"));
    // from the board its open visit is gone on with too
    assert_eq!(page.keys("5 1"), Turn::Do(StartDeed::GoOn(2)));
    // a board whose visits are over is come back to, looked at, or left
    assert_eq!(page.keys("<PageUp> 6"), Turn::Stay);
    assert!(page.text().contains("No visit of this board is open. What now?"), "{}", page.text());
    assert!(matches!(page.keys("1"), Turn::Do(StartDeed::Revisit(_))));
    assert!(matches!(page.keys("2"), Turn::Do(StartDeed::Past(_))));
    assert_eq!(page.keys("3"), Turn::Stay);
    assert!(page.text().contains("START"));
}

/// Issue 6, point 5: who comes back from Start sees what has changed in the board file, as who names the file does.
#[test]
fn a_board_is_come_back_to_by_its_file_or_as_it_was_recorded() {
    let file = |path: &str, differs: Option<&str>| BoardFile {
        site: SITE.into(),
        board: "LH-1".into(),
        path: path.into(),
        differs: differs.map(str::to_owned),
    };
    let changed = Some("changed since it was recorded: new in the file: 3 line, 3 neutral, 3 cpc");
    let other = BoardFile { board: "TO-1".into(), ..file("boards/ticket-office.ron", None) };
    let files = vec![other, file("boards/lamp-hut.ron", changed), file("lamp-hut-2.ron", None)];
    let mut page = start(Known { board_files: files, ..full() });
    assert_eq!(page.keys("4"), Turn::Stay);
    page.snapshot("start_board_file");
    page.every_size();
    assert_eq!(page.keys("1"), Turn::Do(StartDeed::RevisitBy(1)));
    assert_eq!(page.keys("2"), Turn::Do(StartDeed::RevisitBy(2)));
    assert!(matches!(page.keys("3"), Turn::Do(StartDeed::Revisit(_))));
}

#[test]
fn keys_of_a_visit_mean_nothing_here_and_say_so() {
    for key in ["c", "x", "j", "=", "0", "9", "<F1><F1>"] {
        let mut page = start(full());
        assert_eq!(page.keys(key), Turn::Stay, "{key}");
        assert!(page.text().contains("START"), "{key}");
    }
    let mut page = start(full());
    page.keys("c");
    assert!(
        page.text().contains("that key means nothing here. Asked: a number from 1 to 6"),
        "{}",
        page.text()
    );
    page.keys("Q");
    assert!(page.text().contains("small letters only"), "{}", page.text());
    assert_eq!(start(full()).keys("t"), Turn::Do(StartDeed::Tools));
    assert_eq!(said(Start::new(full()), "t\n").1, Turned::Do(StartDeed::Tools));
    for leave in ["q", "<Ctrl-c>", "? <Ctrl-c>"] {
        assert_eq!(start(full()).keys(leave), Turn::Leave, "{leave}");
    }
}

/// More boards than any screen has rows.
fn many() -> Known {
    let visits = (1..=40).map(|n| visit(&format!("DB-{n}"), "2026-02-03", Ended::Closed, counts(0, 9, 0, 0)));
    Known { visits: visits.collect(), ..full() }
}

#[test]
fn a_long_list_scrolls_to_its_end_and_back_and_takes_numbers_of_two_digits() {
    let mut page = start(many());
    assert!(page.text().contains("Up and Down show the rest"), "{}", page.text());
    let first = page.text();
    page.keys(&"<Right>".repeat(12));
    let text = page.text();
    assert!(text.contains("witnessmark walk BOARD"), "the last line is seen: {text}");
    page.keys("<Up>");
    assert_ne!(page.text(), text, "no key is lost beyond the end");
    page.keys(&"<Left>".repeat(12));
    assert_eq!(page.text(), first);
    page.keys("12<Enter>");
    // the newest first, and of one day the last of the archive
    assert!(page.text().contains("DB-29"), "{}", page.text());
}

#[test]
fn no_size_of_window_makes_a_page_panic() {
    for known in [nothing(), full(), many()] {
        let mut page = start(known);
        page.keys("<Down><Down>");
        page.every_size();
        page.keys("3?<Down>");
        page.every_size();
    }
}

#[test]
fn a_too_small_window_says_what_it_needs_and_takes_no_key() {
    let mut page = start(full());
    let text = text_of(&page.shown(Theme::mono(), 79, 24).0);
    assert!(text.contains("needs 80 columns and 24 rows; it has 79 and 24"), "{text}");
}

#[test]
fn what_nobody_answers_ends_line_by_line() {
    let (_, turned) = said(Start::new(full()), &"nonsense\n".repeat(30));
    let Turned::Ended(plain::Ended::NoAnswer { asked, wanted }) = turned else { panic!("{turned:?}") };
    assert!(asked.starts_with("Go on with which visit") && wanted == "a number from 1 to 6");
}

#[test]
fn what_needs_the_person_is_emphasised_and_what_is_good_is_not() {
    let mut page = start(full());
    let (cells, _) = page.shown(Theme::colours(), 80, 24);
    let style_of = |words: &str| {
        let row = |y: u16| (0..80).map(|x| cells[(x, y)].symbol()).collect::<String>();
        let (y, x) = (0..24).find_map(|y| Some((y, row(y).find(words)?))).unwrap();
        cells[(u16::try_from(x).unwrap(), y)].style()
    };
    for needs in ["lapsed since", "130 operations left", "calibration not stated"] {
        assert_eq!(style_of(needs).fg, Theme::colours().needs.fg, "{needs}");
    }
    for plain in ["first visit of 2026-11-02", "abandoned"] {
        assert_eq!(style_of(plain).fg, Some(Color::Reset), "{plain}");
    }
}
