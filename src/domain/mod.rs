//! The trade in types: measures, clamps, conductors, boards, tools, limits, facts.
//!
//! Nothing in here reads a file, a clock or a terminal, and nothing keeps state. What can be derived is a
//! function, not a field. Deliberately absent: every rule about *when* something may be done; those stand in
//! [`crate::session`].

pub mod applied;
pub mod audit;
pub mod board;
pub mod calibration;
pub mod clamp;
pub mod conductor;
pub mod doubt;
pub mod exact;
pub mod figures;
pub mod fit;
pub mod iec60228;
pub mod limits;
pub mod moment;
pub mod names;
pub mod plausible;
pub mod reckon;
pub mod record;
pub mod setting;
pub mod stated;
pub mod text;
pub mod tool;
pub mod toolbox;
pub mod torque;
pub mod verdict;
