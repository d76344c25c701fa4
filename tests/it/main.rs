//! The integration tests, one binary.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::arithmetic_side_effects, clippy::as_conversions, reason = "the tests allowance misses helpers outside test functions")]

mod board_errors;
mod boards;
mod reference;
mod rig;
