//! The reckoning: what a tool must be set to, what it then applies, how surely, and what that says of limits.
//!
//! Everything up to a decision is exact ([`super::exact::Exact`]); binary floating point is used for
//! probabilities and for the one number w that needs them, which is then used as a decimal. All of it is in one
//! unit, that of the tool, and knows no tool, terminal, visit or day: those hand their numbers in. Deliberately
//! absent: extrapolation beyond a calibration, and any figure for a single value without tolerance.

pub mod adapter;
pub mod class_limit;
pub mod conformance;
pub mod decision;
pub mod drift;
pub mod line;
pub mod look_back;
pub mod point_error;
pub mod shape;
mod spread;
