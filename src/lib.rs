//! Witnessmark walks an electrician through every terminal of a distribution board and writes the record up.
//!
//! Rooms, arrows only downward: `cli` → {`tui`, `plain`} → `office` → [`session`] → [`domain`]; `cli` → {`board_file`,
//! `journal`, `appendix`} → [`domain`]. Nothing here replaces the maker's instructions, local rules or a licensed
//! person's judgement.

pub mod appendix;
pub mod board_file;
pub mod cli;
pub mod clock;
pub mod domain;
pub mod journal;
pub mod office;
pub mod plain;
pub mod session;
pub mod tui;
