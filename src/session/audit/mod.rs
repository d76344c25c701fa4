//! The audit: which terminals, what was found, and how far that carries.
//!
//! The looks, tugs and movements are steps like any other (`session::derive`); here stands what only an audit has: its
//! parts, its plan, its draw, its result words and its bounds. Invariant: what is not inspected is never counted as
//! good, and a drawn terminal is never replaced. Deliberately absent: repairs. An audit finds; what is mended is
//! another visit.

mod act;
mod decide;
mod facts;
mod found;
mod parts;
mod picture;
mod plan;
pub mod words;

pub use act::{AuditAct, Measured};
pub(crate) use decide::{MENDS_NOTHING, decide, looks_untouched, permits};
pub use facts::AuditFacts;
pub use found::{Found, ResultWord, found_at};
pub use parts::{Part, always_in_by_board, look_at, part_at, part_of, populations, seen_bad, tool_fits};
pub use picture::{Bounded, Census, Picture, WholeBlocks, picture};
pub use plan::{
    Sizes, bought, draw_order, fingers_for_tool, left_out, minutes_for, planned, sizes, steps_at,
    tool_anywhere,
};
