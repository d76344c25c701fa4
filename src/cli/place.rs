//! A place without a board file: what was entered there is written as one beside the record.
//!
//! The text is worked out from the record, so that it is written also where the program was killed before anybody left.
//! Once a board file lies there it belongs to the person, who completes it: it is never written over, nor beside another.

use super::print;
use crate::board_file;
use crate::domain::record::{Opened, VisitKind};
use crate::session::flat::Flat;
use std::path::{Path, PathBuf};

/// Ending of a board file.
pub(super) const ENDING: &str = "ron";

/// The board file that was entered when this visit was opened; nothing where its board came from a file.
fn text(opened: &Opened) -> Option<String> {
    let text = Flat::of(&opened.board).filter(|_| opened.visit == VisitKind::Revisit)?.text();
    let read = board_file::read(text.as_bytes()).ok()?;
    (read.sha256 == opened.board_sha256).then_some(text)
}

/// Whether the board of a visit was entered at its place.
pub(super) fn was_entered(opened: &Opened) -> bool {
    text(opened).is_some()
}

/// Where the board file of a place lies, written now where none was there yet; nothing where the board of the visit was
/// not entered at its place, or lies in a file of another record already.
///
/// # Errors
/// Where it should lie, and why it could not be written.
pub(super) fn keep_board(record: &Path, opened: &Opened) -> Result<Option<PathBuf>, (PathBuf, String)> {
    let Some(text) = text(opened) else { return Ok(None) };
    let file = record.with_extension(ENDING);
    if file.exists() {
        return Ok(Some(file));
    }
    if !board_files(record.parent().unwrap_or(Path::new(""))).is_empty() {
        return Ok(None);
    }
    match print::beside(&file, &text) {
        Ok(()) => Ok(Some(file)),
        Err(why) => Err((file, why.to_string())),
    }
}

/// Files in a folder that end as board files do, in the order of their names.
pub(super) fn board_files(folder: &Path) -> Vec<PathBuf> {
    let named = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let listed =
        std::fs::read_dir(named).into_iter().flatten().flatten().map(|entry| folder.join(entry.file_name()));
    let mut files: Vec<PathBuf> =
        listed.filter(|path| path.extension().is_some_and(|ending| ending == ENDING)).collect();
    files.sort();
    files
}
