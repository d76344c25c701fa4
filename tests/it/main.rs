//! The one integration test binary.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    clippy::as_conversions,
    clippy::wildcard_enum_match_arm,
    reason = "a test that cannot go on should stop; the tests allowance misses helpers outside test functions"
)]

mod appendix;
mod board_errors;
mod boards;
mod cli;
mod desk;
mod facts;
mod faulty;
mod fit;
mod journal;
mod journal_faults;
mod journal_places;
mod keys;
mod kills;
mod plain;
mod program;
#[cfg(unix)]
mod pty;
mod reference;
mod rig;
mod screens;
mod scripted;
mod talk;
mod talks;
mod tidy;
mod troubles;
mod tui_loop;
