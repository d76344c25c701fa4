//! Tools files: RON text in, a checked toolbox or *every* problem out; and a toolbox as text again.
//!
//! What is wrong with a tool is judged by [`Toolbox::faults`] alone, the same that the Tools screen asks; this room
//! knows the words of the file and where they stand. Reading what was written gives the same tools. Deliberately
//! absent: the disk, but for loading; putting a file in the place of another is `cli`'s.
#![allow(
    clippy::wildcard_enum_match_arm,
    reason = "a value of any other shape is told in one and the same way"
)]

mod calibrations;
mod notes;
mod place;
mod tools;
mod write;

pub use crate::written::{LoadError, LoadFault, Problem, Warning, render, render_warnings};
pub use write::{HEAD, write};

use crate::domain::toolbox::Toolbox;
use crate::written::problem::Findings;
use crate::written::{Kind, judged, load as file, syntax};
use jiff::civil::Date;
use std::path::Path;

/// Format version of tools files that this program writes and reads.
pub const FORMAT: u32 = 1;
/// Most bytes a tools file may have. Our limit: 200 tools with ten full calibrations each take half of it.
pub const BYTES_MAX: u64 = 4 * 1_048_576;

/// Words and limits of a tools file.
static KIND: Kind = Kind {
    file: "tools file",
    whole: "tools file",
    head: "Tools",
    usual_name: "tools.ron",
    demo: "the demo tools file that `witnessmark example --tools` prints",
    format: FORMAT,
    bytes_max: BYTES_MAX,
};

/// A toolbox that was read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ReadTools {
    /// The tools.
    pub toolbox: Toolbox,
    /// The comments above the tools, kept when the file is written anew; LF line ends.
    pub head: String,
    /// What to know of, in file order.
    pub warnings: Vec<Warning>,
}

/// Reads the bytes of a tools file. Days after `today` are problems where it is given.
///
/// # Errors
/// Every problem, in file order; at least one.
pub fn read(bytes: &[u8], today: Option<Date>) -> Result<ReadTools, Vec<Problem>> {
    let mut found = Findings::default();
    let text = syntax::text(bytes, &KIND, &mut found);
    let toolbox = text.and_then(|text| tools::toolbox(text, today, &mut found));
    let (toolbox, warnings) = judged(toolbox, &KIND, found)?;
    let head = text.map(|text| text.node.span().start).and_then(|start| bytes.get(..start));
    let head = String::from_utf8_lossy(head.unwrap_or_default());
    let head = head.trim_start_matches('\u{feff}').replace("\r\n", "\n").trim().to_owned();
    Ok(ReadTools { toolbox, head, warnings })
}

/// Loads a tools file.
///
/// # Errors
/// [`LoadError`] with the whole message.
pub fn load(path: &Path, today: Option<Date>) -> Result<ReadTools, LoadError> {
    let bytes = file::bytes(path, &KIND)?;
    read(&bytes, today).map_err(|problems| file::wrong(path, &KIND, &bytes, problems))
}

/// The error of a tools file, for those who read its bytes themselves.
#[must_use]
pub fn fails(path: &Path, fault: LoadFault) -> LoadError {
    LoadError { kind: &KIND, path: path.to_owned(), fault }
}

/// Whether these bytes begin as a tools file does, right or wrong.
#[must_use]
pub fn is_one(bytes: &[u8]) -> bool {
    syntax::head_word(bytes) == KIND.head
}

/// The commented demo file to start from: the tools of the Fennick Vale Light Railway.
#[must_use]
pub fn example() -> &'static str {
    include_str!("../../boards/tools.ron")
}
