//! The key table: one key, one meaning, everywhere. It drives what a key does, the footer and the help.
//!
//! Small letters only. Capitals sign outcomes on the screen and are never keys, so that Caps Lock is noticed.

mod away;
mod footer;
mod of_visit;
mod takes;

pub use away::{PageDoing, away, away_footer};
pub use footer::{footer, half_answered};
pub use of_visit::of_visit;
pub use takes::Takes;

use crate::session::desk::Command;
use ratatui::crossterm::event::KeyCode;

/// What a key is for; the help shows them group by group.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum KeyGroup {
    /// Answering the question that stands.
    Answer,
    /// What was seen or felt: never offered.
    Observation,
    /// Going about the board.
    Move,
    /// Doings that are no answer.
    Doing,
    /// The screen itself.
    Screen,
}

impl KeyGroup {
    /// Every group, in the order of the help.
    pub const ALL: [Self; 5] = [Self::Answer, Self::Observation, Self::Move, Self::Doing, Self::Screen];

    /// Its heading.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Answer => "answering",
            Self::Observation => "observations, where they are asked",
            Self::Move => "going about the board",
            Self::Doing => "doings",
            Self::Screen => "the screen",
        }
    }
}

/// What a key does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Does {
    /// Ends what is typed, else takes the offered choice.
    Take,
    /// Takes the last typed character back; with nothing typed goes back.
    Rub,
    /// Chooses from a numbered list, or types a figure.
    Digit,
    /// Types the point of a figure.
    Point,
    /// An observation; its word.
    Observe(&'static str),
    /// Walks the drawing; scrolls a long list and the help.
    Walk(Direction),
    /// A doing.
    Do(Command),
    /// Help on and off.
    Help,
    /// Stops the program until the shell brings it back.
    Suspend,
}

/// Where an arrow points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// The terminal before, in this place.
    Left,
    /// The next terminal, in this place.
    Right,
    /// The place before.
    Up,
    /// The next place.
    Down,
}

/// What is pressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stroke {
    Key(KeyCode),
    Ctrl(char),
    AnyDigit,
}

/// A row of the table.
#[derive(Clone, Copy, Debug)]
pub struct KeyRow {
    /// The keys as they are printed.
    pub keys: &'static str,
    /// What they do, in words.
    pub words: &'static str,
    /// What they are for.
    pub group: KeyGroup,
    /// What they do.
    pub does: Does,
    strokes: &'static [Stroke],
}

macro_rules! row {
    ($keys:literal, $words:expr, $group:ident, $does:expr, [$($stroke:expr),+]) => {
        KeyRow { keys: $keys, words: $words, group: KeyGroup::$group, does: $does, strokes: &[$($stroke),+] }
    };
}
macro_rules! seen {
    ($key:literal, $char:literal, $word:literal, $of:literal) => {
        row!(
            $key,
            concat!($word, $of),
            Observation,
            Does::Observe($word),
            [Stroke::Key(KeyCode::Char($char))]
        )
    };
}
macro_rules! doing {
    ($key:literal, $char:literal, $command:ident, $words:literal) => {
        row!($key, $words, Doing, Does::Do(Command::$command), [Stroke::Key(KeyCode::Char($char))])
    };
}

const TABLE: &[KeyRow] = &[
    row!(
        "Enter",
        "ends what is typed; takes an offered choice",
        Answer,
        Does::Take,
        [Stroke::Key(KeyCode::Enter)]
    ),
    row!(
        "0 to 9",
        "choose from a list (then Enter if it is long), or type a figure",
        Answer,
        Does::Digit,
        [Stroke::AnyDigit]
    ),
    row!(
        ". or ,",
        "the point of a figure",
        Answer,
        Does::Point,
        [Stroke::Key(KeyCode::Char('.')), Stroke::Key(KeyCode::Char(','))]
    ),
    row!(
        "Backspace",
        "rubs out what is typed; with nothing typed goes back",
        Answer,
        Does::Rub,
        [Stroke::Key(KeyCode::Backspace), Stroke::Ctrl('h')]
    ),
    seen!("r", 'r', "right", ": the entry"),
    seen!("w", 'w', "wrong", ": the entry; asks what is wrong"),
    seen!("e", 'e', "seated", ": a finger, link or stab"),
    seen!("c", 'c', "clicked", ": the tool"),
    seen!("n", 'n', "did not click", ": the tool; asks why"),
    seen!("f", 'f', "firm", ": the tug"),
    seen!("s", 's', "shifted", ": the tug"),
    seen!("o", 'o', "came out", ": the tug"),
    seen!("b", 'b', "strands broke", ": the tug"),
    seen!("h", 'h', "held", ": the screw after settling; the mark, last look"),
    seen!("m", 'm', "moved", ": the screw after settling; the mark, last look"),
    seen!("k", 'k', "made", ": the witness mark"),
    seen!("v", 'v', "not visible", ": the witness mark"),
    seen!("u", 'u', "not used", ": the witness mark"),
    row!(
        "PageUp, Esc",
        "back: the last answer, the form, or the terminal before",
        Move,
        Does::Do(Command::Back),
        [Stroke::Key(KeyCode::PageUp), Stroke::Key(KeyCode::Esc)]
    ),
    row!(
        "PageDown",
        "leave this terminal for later",
        Move,
        Does::Do(Command::Later),
        [Stroke::Key(KeyCode::PageDown)]
    ),
    row!(
        "Left",
        "the terminal before, in this place; in a long list: ten up",
        Move,
        Does::Walk(Direction::Left),
        [Stroke::Key(KeyCode::Left)]
    ),
    row!(
        "Right",
        "the next terminal, in this place; in a long list: ten down",
        Move,
        Does::Walk(Direction::Right),
        [Stroke::Key(KeyCode::Right)]
    ),
    row!(
        "Up",
        "the place before; in a long list, so far and the help: up",
        Move,
        Does::Walk(Direction::Up),
        [Stroke::Key(KeyCode::Up)]
    ),
    row!(
        "Down",
        "the next place; in a long list, so far and the help: down",
        Move,
        Does::Walk(Direction::Down),
        [Stroke::Key(KeyCode::Down)]
    ),
    row!(
        "g",
        "go to a way: type its number, then Enter",
        Move,
        Does::Do(Command::GoToWay),
        [Stroke::Key(KeyCode::Char('g'))]
    ),
    doing!("t", 't', Tool, "tool or its setting"),
    doing!("p", 'p', Person, "who takes the tool"),
    doing!("j", 'j', Row, "work a row, and tell it afterwards"),
    doing!("=", '=', Alike, "the same for the whole place"),
    doing!("d", 'd', Disturbed, "disturbed or opened again"),
    doing!("+", '+', Remark, "a remark"),
    doing!("l", 'l', Slip, "the last answer was a slip"),
    doing!("a", 'a', Amend, "a maker's value found, or read differently: amend the board"),
    doing!("x", 'x', SetAside, "set aside; asks for the reason"),
    doing!("z", 'z', Remake, "cut back and remake; asks for the reason"),
    doing!("y", 'y', SoFar, "so far: what is open, waits or was set aside, in numbers too"),
    row!(
        "i, Tab",
        "list of everything else that is possible now",
        Doing,
        Does::Do(Command::List),
        [Stroke::Key(KeyCode::Char('i')), Stroke::Key(KeyCode::Tab)]
    ),
    row!(
        "q, Ctrl-C",
        "leave for the day (a second press leaves the scale unread)",
        Doing,
        Does::Do(Command::Leave),
        [Stroke::Key(KeyCode::Char('q')), Stroke::Ctrl('c')]
    ),
    row!(
        "?, F1",
        "this help, on and off (in the middle of a text only F1)",
        Screen,
        Does::Help,
        [Stroke::Key(KeyCode::Char('?')), Stroke::Key(KeyCode::F(1))]
    ),
    row!("Ctrl-Z", "stop, and go on later with the shell's fg", Screen, Does::Suspend, [Stroke::Ctrl('z')]),
];

/// The whole table, in the order of the help.
#[must_use]
pub fn table() -> &'static [KeyRow] {
    TABLE
}

/// The row of a key; `ctrl` is whether it is pressed with Ctrl.
#[must_use]
pub fn row_of(code: KeyCode, ctrl: bool) -> Option<&'static KeyRow> {
    TABLE.iter().find(|row| {
        row.strokes.iter().any(|stroke| match (stroke, code) {
            (Stroke::Ctrl(c), KeyCode::Char(pressed)) => ctrl && *c == pressed,
            (Stroke::AnyDigit, KeyCode::Char(pressed)) => !ctrl && pressed.is_ascii_digit(),
            (Stroke::Key(key), _) => !ctrl && *key == code,
            _ => false,
        })
    })
}
