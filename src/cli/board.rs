//! Reading board files for the commands, and checking board files and tools files.

use super::Talk;
use super::failure::Failure;
use super::toolbox::today;
use crate::board_file::{self, ReadBoard, render_warnings};
use crate::domain::board::Board;
use crate::domain::toolbox::Toolbox;
use crate::tools_file;
use std::path::{Path, PathBuf};

/// A board file with its warnings told, or every problem in it.
pub(super) fn load(talk: &mut Talk<'_>, path: &Path) -> Result<ReadBoard, Failure> {
    let read = board_file::load(path)?;
    if !read.warnings.is_empty() {
        let source = std::fs::read(path).unwrap_or_default();
        let source = String::from_utf8_lossy(&source);
        let words = render_warnings(&read.warnings, &path.display().to_string(), &source);
        let _unread = writeln!(talk.err, "{}", words.trim_end());
    }
    Ok(read)
}

/// A tools file with its warnings told, or every problem in it.
fn tools(talk: &mut Talk<'_>, path: &Path, source: &[u8]) -> Result<Toolbox, Failure> {
    let read = tools_file::load(path, today())?;
    if !read.warnings.is_empty() {
        let source = String::from_utf8_lossy(source);
        let words = render_warnings(&read.warnings, &path.display().to_string(), &source);
        let _unread = writeln!(talk.err, "{}", words.trim_end());
    }
    Ok(read.toolbox)
}

/// The bytes of a file that begins as a tools file does.
fn begins_as_tools(path: &Path) -> Option<Vec<u8>> {
    let about = std::fs::metadata(path).ok()?;
    if !about.is_file() || about.len() > tools_file::BYTES_MAX {
        return None;
    }
    std::fs::read(path).ok().filter(|bytes| tools_file::is_one(bytes))
}

/// `check FILE…`
pub(super) fn check(talk: &mut Talk<'_>, paths: &[PathBuf]) -> Result<(), Failure> {
    let mut wrong = Vec::new();
    for path in paths {
        let in_short = match begins_as_tools(path) {
            Some(source) => tools(talk, path, &source).map(|toolbox| tools_in_short(&toolbox)),
            None => load(talk, path).map(|read| in_short(&read.board)),
        };
        match in_short {
            Ok(words) => writeln!(talk.out, "{}: {words}", path.display())?,
            Err(failure) => wrong.extend(failure.message()),
        }
    }
    if wrong.is_empty() { Ok(()) } else { Err(Failure::Mend(wrong.join("\n\n"))) }
}

fn tools_in_short(toolbox: &Toolbox) -> String {
    let retired = toolbox.tools.len().saturating_sub(toolbox.in_use().count());
    let without = toolbox.in_use().filter(|tool| tool.calibrations.is_empty()).count();
    let doubted = toolbox.in_use().filter(|tool| tool.doubted().is_some()).count();
    let counts = [(retired, "of them retired"), (without, "without a calibration"), (doubted, "doubted")];
    let more = counts.iter().filter(|(count, _)| *count > 0).map(|(count, what)| format!("{count} {what}"));
    let words: Vec<String> = std::iter::once(how_many(toolbox)).chain(more).collect();
    format!("tools file: can be used; {}", words.join(", "))
}

/// `1 tool`, `5 tools`.
pub(super) fn how_many(toolbox: &Toolbox) -> String {
    let count = toolbox.tools.len();
    format!("{count} {}", if count == 1 { "tool" } else { "tools" })
}

fn in_short(board: &Board) -> String {
    let count = board.terminals.len();
    let without = board.terminals.iter().filter(|t| !t.spare && needs_value(board, t)).count();
    let spare = board.terminals.iter().filter(|t| t.spare).count();
    let unknown = if without > 0 { format!(", {without} without a maker's torque") } else { String::new() };
    format!(
        "board {}, {}: can be walked; {} ways, {count} terminals, {spare} of them spare{unknown}",
        board.reference, board.title, board.ways
    )
}

fn needs_value(board: &Board, terminal: &crate::domain::board::Terminal) -> bool {
    board.clamp(terminal).is_some_and(|clamp| clamp.kind.has_screw()) && board.torque_row(terminal).is_none()
}

/// What differs between the board of a record and that of the file as it is now; nothing where they are the same.
pub(super) fn difference(recorded: &Board, now: &Board) -> Option<String> {
    if recorded == now {
        return None;
    }
    let gone = recorded.terminals.iter().filter(|t| now.terminal(&t.name).is_none());
    let new = now.terminals.iter().filter(|t| recorded.terminal(&t.name).is_none());
    let changed = now.terminals.iter().filter(|t| {
        recorded.terminal(&t.name).is_some_and(|old| old != *t || recorded.clamp(old) != now.clamp(t))
    });
    let mut parts = Vec::new();
    for (what, names) in [
        ("new in the file", names(new)),
        ("gone from the file", names(gone)),
        ("changed in the file", names(changed)),
    ] {
        if !names.is_empty() {
            parts.push(format!("{what}: {names}"));
        }
    }
    if parts.is_empty() {
        parts.push("no terminal differs, only what is said about the board".into());
    }
    Some(parts.join("; "))
}

/// The first of many names, and how many more there are.
fn names<'a>(list: impl Iterator<Item = &'a crate::domain::board::Terminal>) -> String {
    const SHOWN: usize = 8;
    let all: Vec<&str> = list.map(|terminal| terminal.name.as_str()).collect();
    let more = all.len().saturating_sub(SHOWN);
    let shown = all.iter().take(SHOWN).copied().collect::<Vec<_>>().join(", ");
    if more > 0 { format!("{shown} and {more} more") } else { shown }
}
