//! The one test binary.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "helpers of tests may fail loudly")]
#![allow(
    clippy::arithmetic_side_effects,
    clippy::as_conversions,
    clippy::wildcard_enum_match_arm,
    reason = "tests count small things"
)]

mod appendix;
mod rig;
mod scripted;
