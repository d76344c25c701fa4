//! The one integration test binary.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "a test that cannot go on should stop"
)]

mod board_errors;
mod boards;
mod desk;
mod facts;
mod faulty;
mod journal;
mod journal_faults;
mod journal_places;
mod reference;
mod rig;
mod screens;
