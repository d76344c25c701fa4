//! Board files: RON text in, a checked board or *every* problem out.
//!
//! Reading is one pass of RON for the syntax, then every key and value with its place, each checked and told. A board
//! that comes out is whole: every name in it refers to something in it. Deliberately absent: defaults from any file
//! but this one, and everything that depends on a tool or a visit.
#![allow(
    clippy::wildcard_enum_match_arm,
    reason = "a value of any other shape is told in one and the same way"
)]

mod build;
mod clamps;
mod cover;
mod devices;
mod fit;
mod positions;
mod quantity;
pub mod quick;
mod rows;
mod torques;
mod whole;

pub use crate::written::{LoadError, LoadFault, Problem, Warning, render, render_warnings};

use crate::domain::board::Board;
use crate::written::problem::Findings;
use crate::written::{Kind, judged, load as file, syntax};
use sha2::{Digest as _, Sha256};
use std::path::Path;

/// Format version of board files that this program writes about and reads.
pub const FORMAT: u32 = 0;
/// Most bytes a board file may have. Our limit: a board of 2000 terminals takes a quarter of it.
pub const BYTES_MAX: u64 = 1_048_576;

/// Words and limits of a board file.
static KIND: Kind = Kind {
    file: "board file",
    whole: "board",
    head: "Board",
    usual_name: "board.ron",
    demo: "the demo board that `witnessmark example` prints",
    format: FORMAT,
    bytes_max: BYTES_MAX,
};

/// A board that was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadBoard {
    /// The board.
    pub board: Board,
    /// SHA-256 of the bytes of the file, 64 lower-case hex digits.
    pub sha256: String,
    /// What to know of, in file order.
    pub warnings: Vec<Warning>,
}

/// Reads the bytes of a board file.
///
/// # Errors
/// Every problem, in file order; at least one.
pub fn read(bytes: &[u8]) -> Result<ReadBoard, Vec<Problem>> {
    let mut found = Findings::default();
    let board = syntax::text(bytes, &KIND, &mut found).and_then(|text| whole::board(text, &mut found));
    let (board, warnings) = judged(board, &KIND, found)?;
    Ok(ReadBoard { board, sha256: sha256(bytes), warnings })
}

/// Loads a board file.
///
/// # Errors
/// [`LoadError`] with the whole message.
pub fn load(path: &Path) -> Result<ReadBoard, LoadError> {
    let bytes = file::bytes(path, &KIND)?;
    read(&bytes).map_err(|problems| file::wrong(path, &KIND, &bytes, problems))
}

/// SHA-256 as 64 lower-case hex digits.
fn sha256(bytes: &[u8]) -> String {
    data_encoding::HEXLOWER.encode(&Sha256::digest(bytes))
}

/// The commented demo board to start from, and to rehearse a revisit on: the ticket office.
#[must_use]
pub fn example() -> &'static str {
    include_str!("../../boards/ticket-office.ron")
}

/// The file of the demo board that the rehearsal of an audit takes: the pump house.
#[must_use]
pub fn pump_house() -> &'static str {
    include_str!("../../boards/pump-house.ron")
}

/// The file of the demo board that the rehearsal of a first visit takes: the engine shed.
#[must_use]
pub fn engine_shed() -> &'static str {
    include_str!("../../boards/engine-shed.ron")
}
