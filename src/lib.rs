//! Witnessmark walks an electrician through every terminal of a distribution board and writes the record up.
//!
//! Rooms, arrows only downward: `cli` → {`tui`, `plain`} → [`office`] → [`session`] → [`domain`]; `cli` →
//! {`board_file`, `tools_file`, `journal`, `appendix`} → [`domain`]; {`board_file`, `tools_file`} → [`written`]. Nothing
//! here replaces the maker's instructions, local rules or a licensed person's judgement.

pub mod appendix;
pub mod board_file;
pub mod cli;
pub mod clock;
pub mod domain;
pub mod journal;
pub mod office;
pub mod plain;
pub mod session;
pub mod tools_file;
pub mod tui;
pub mod written;
