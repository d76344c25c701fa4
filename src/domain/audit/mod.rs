//! The numbers of an audit: how many to draw, which ones, and what the finds say about the rest.
//!
//! Two populations, never pooled: the *always-in* terminals are all looked at and counted; of the *remainder* a
//! random sample is drawn. Counts and chances are exact whole numbers and ratios; only the load correction of a
//! temperature rise is computed in binary, and rounded to a stated decimal before it is compared. Deliberately
//! absent: any statement about one terminal that was not looked at, and any approximation to the hypergeometric
//! distribution.

pub mod board;
pub mod bound;
pub mod chance;
pub mod claim;
pub mod draw;
pub mod thermal;
pub mod time;
