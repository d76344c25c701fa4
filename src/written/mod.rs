//! A RON file that a person wrote: every problem in it found in one go, each with its place and the edit to make.
//!
//! What board files and tools files share: the text and its places, groups and their keys, texts, words, counts,
//! quantities with their unit, the format version, and how a problem stands on the page. Nothing here knows what a file
//! is about; the rooms above say it with a [`Kind`]. Deliberately absent: writing, and derived readers, which stop at
//! the first mistake and keep no places.
#![allow(
    clippy::wildcard_enum_match_arm,
    reason = "a value of any other shape is told in one and the same way"
)]

pub(crate) mod fields;
pub(crate) mod load;
pub(crate) mod node;
pub(crate) mod problem;
pub(crate) mod quantity;
mod split;
pub(crate) mod syntax;

pub use load::{LoadError, LoadFault};
pub use problem::{Problem, Warning, render, render_warnings};

use problem::Findings;

/// What kind of file is read: its words and its limits.
#[derive(Debug, PartialEq, Eq)]
pub struct Kind {
    /// What such a file is called, `board file`.
    pub file: &'static str,
    /// What stands in it, `board`.
    pub whole: &'static str,
    /// Name of its outermost group, `Board`.
    pub head: &'static str,
    /// How such a file is usually named.
    pub usual_name: &'static str,
    /// Where a good one can be seen.
    pub demo: &'static str,
    /// Format version that is read.
    pub format: u32,
    /// Most bytes it may have.
    pub bytes_max: u64,
}

/// What was read, with its warnings in file order.
///
/// # Errors
/// Every problem, in file order; at least one.
pub(crate) fn judged<T>(
    read: Option<T>,
    kind: &Kind,
    mut found: Findings,
) -> Result<(T, Vec<Warning>), Vec<Problem>> {
    found.problems.sort_by_key(|problem| problem.span.start);
    found.warnings.sort_by_key(|warning| warning.span.start);
    match read {
        Some(read) if found.problems.is_empty() => Ok((read, found.warnings)),
        _ => {
            if found.problems.is_empty() {
                // every path to nothing tells why; should one be forgotten, the person still gets a message
                found.wrong(
                    0..0,
                    format!("this {} cannot be read", kind.file),
                    format!("compare it with {}", kind.demo),
                );
            }
            Err(found.problems)
        }
    }
}
