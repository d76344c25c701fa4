//! The trade in types: measures, clamps, conductors, boards, tools, limits, facts.
//!
//! Nothing in here reads a file, a clock or a terminal, and nothing keeps state. What can be derived is a
//! function, not a field. Deliberately absent: every rule about *when* something may be done; those stand in
//! [`crate::session`].

pub mod audit;
pub mod board;
pub mod clamp;
pub mod conductor;
pub mod exact;
pub mod fit;
pub mod iec60228;
pub mod limits;
pub mod moment;
pub mod names;
pub mod plausible;
pub mod record;
pub mod stated;
pub mod text;
pub mod tool;
pub mod torque;
pub mod verdict;
