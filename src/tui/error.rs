//! What can go wrong with the terminal.

use std::fmt;
use std::io;

/// The terminal could not be used, or told the program to end.
#[derive(Debug)]
pub enum TuiError {
    /// It could not be made a full screen.
    Enter(io::Error),
    /// Drawing failed.
    Draw(String),
    /// Keys could not be read.
    Read(io::Error),
    /// The system told the program to end; its signal.
    Killed(i32),
}

impl fmt::Display for TuiError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Enter(why) => write!(f, "this terminal cannot be used as a full screen: {why}"),
            Self::Draw(why) => write!(f, "the screen could not be drawn: {why}"),
            Self::Read(why) => write!(f, "no keys can be read from this terminal: {why}"),
            Self::Killed(signal) => write!(f, "the system ended the program (signal {signal})"),
        }?;
        write!(f, "; what was recorded is safe, and --plain needs no full screen")
    }
}

impl std::error::Error for TuiError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Enter(why) | Self::Read(why) => Some(why),
            Self::Draw(_) | Self::Killed(_) => None,
        }
    }
}
