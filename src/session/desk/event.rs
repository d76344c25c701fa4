//! What reaches the machine and what it asks of the outside.

use super::Stamp;
use crate::domain::names::WayNumber;
use crate::domain::record::{Draft, Line};
use crate::session::visit::TerminalIndex;

/// A doing that is no answer to the question that stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Command {
    /// Back: the last answer of a form, the form, or the terminal before.
    Back,
    /// Leave this terminal for later.
    Later,
    /// Tool or its setting.
    Tool,
    /// Another person.
    Person,
    /// Work a row.
    Row,
    /// The same for the whole place.
    Alike,
    /// Disturbed or opened again.
    Disturbed,
    /// A remark.
    Remark,
    /// The last answer was a slip.
    Slip,
    /// Amend the board.
    Amend,
    /// Set aside.
    SetAside,
    /// Cut back and remake.
    Remake,
    /// The numbers so far.
    SoFar,
    /// The list of everything else.
    List,
    /// Leave for the day.
    Leave,
    /// Go to a way, asked for next.
    GoToWay,
    /// Stand in front of a terminal.
    Go(TerminalIndex),
    /// Stand in front of the first open terminal of a way.
    Way(WayNumber),
}

/// What a face hands in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Input {
    /// A letter of a typed answer.
    Type(char),
    /// Take the last letter back; with nothing typed, go back.
    Rub,
    /// What is typed is the answer; nothing typed takes the offer.
    Submit,
    /// A whole answer at once.
    Line(String),
    /// A doing.
    Command(Command),
    /// Nothing but time: the machine woke up.
    Woke,
    /// Nothing but time: a wait is over. Nobody was there, so that it ends no pause and answers nothing.
    Due,
}

/// What happens.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Event {
    /// The person did something.
    Input(Stamp, Input),
    /// The journal confirmed these lines as durable.
    Confirmed(Vec<Line>),
    /// The journal could not store them; why, and what is safe.
    NotStored(String),
    /// What could not be stored was dropped; the record ends at its last confirmed line.
    GivenUp,
}

/// What the outside has to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Effect {
    /// Store these lines, then say [`Event::Confirmed`] or [`Event::NotStored`].
    Append(Vec<Draft>),
    /// Store what is pending once more.
    Retry,
    /// Drop what is pending.
    GiveUp,
    /// Write everything confirmed to another folder and store what is pending there.
    SaveElsewhere(String),
}

/// Why something could not be stored, in words, with what is safe and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoreTrouble(pub String);

/// Where facts are kept. The journal is handed in from outside; nothing here knows of files.
pub trait Recorder {
    /// Stores lines; returns only when they are durable.
    ///
    /// # Errors
    /// Nothing of the batch counts as stored.
    fn append(&mut self, drafts: Vec<Draft>) -> Result<Vec<Line>, StoreTrouble>;
    /// Stores what is pending once more.
    ///
    /// # Errors
    /// It is still not stored.
    fn retry(&mut self) -> Result<Vec<Line>, StoreTrouble>;
    /// Drops what is pending.
    ///
    /// # Errors
    /// The record could not be cut back to its last confirmed line.
    fn give_up(&mut self) -> Result<(), StoreTrouble>;
    /// Writes everything confirmed to another folder, then what is pending.
    ///
    /// # Errors
    /// Nothing was written there that counts.
    fn save_elsewhere(&mut self, folder: &str) -> Result<Vec<Line>, StoreTrouble>;
    /// Where the record lies, in words for the person; nothing where it lies nowhere yet.
    fn lies_at(&self) -> Option<String> {
        None
    }
}
