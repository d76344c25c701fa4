//! The integration tests, one binary.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    clippy::as_conversions,
    clippy::wildcard_enum_match_arm,
    reason = "a test that cannot go on should stop; the tests allowance misses helpers outside test functions"
)]

mod acts;
mod broken;
mod mended;
mod mischief;
mod moves;
mod naive;
mod properties;
mod trade_facts;
mod walk;
