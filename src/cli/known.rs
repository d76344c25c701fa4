//! What is known on this machine, gathered from the records and the tools file for the pages of the office.
#![allow(clippy::wildcard_enum_match_arm, reason = "two facts speak of doubts, whatever facts are added")]

use super::toolbox::ToolsOnDisk;
use super::{board, place};
use crate::board_file::{self, ReadBoard};
use crate::clock::Clock;
use crate::domain::board::Board;
use crate::domain::calibration::Calibration;
use crate::domain::names::ToolId;
use crate::domain::record::{Fact, Line};
use crate::domain::tool::{Tool, Validity};
use crate::domain::toolbox::Toolbox;
use crate::journal::archive::{Archive, Entry};
use crate::journal::{End, RealStorage, read};
use crate::office::{BoardFile, DoubtedInVisit, Ended, Known, KnownVisit, ToolHere, Used, Work, counted};
use crate::session::look_back::done_with_tools;
use crate::session::replay;
use crate::tools_file::LoadError;
use jiff::civil::Date;
use std::path::{Path, PathBuf};

/// Everything that is known, its visits in the order of the archive.
pub(super) fn gather(
    found: &Archive,
    records: &Path,
    tools_file: &Result<ToolsOnDisk<RealStorage>, LoadError>,
    clock: &Clock,
) -> Known {
    let toolbox = tools_file.as_ref().ok().map(ToolsOnDisk::toolbox);
    Known {
        today: today(clock),
        visits: found.entries.iter().map(visit).collect(),
        board_files: board_files(found),
        tools: tools(found, toolbox),
        tools_unreadable: tools_file.as_ref().err().map(ToString::to_string),
        records: records.display().to_string(),
        unreadable: found.unreadable.iter().map(ToString::to_string).collect(),
    }
}

/// Today, where this machine is.
pub(super) fn today(clock: &Clock) -> Date {
    let now = clock.now().wall;
    now.offset.to_datetime(now.at).date()
}

/// Board files of what is recorded here: those beside its records, in this folder and in its folder of boards. One beside
/// records is known by its folder, so that it is named also where it can no longer be read.
fn board_files(found: &Archive) -> Vec<BoardFile> {
    let mut files: Vec<BoardFile> = Vec::new();
    let mut known: Vec<&Entry> = Vec::new();
    for entry in found.entries.iter().rev() {
        if !known.iter().any(|other| (&other.site, &other.board) == (&entry.site, &entry.board)) {
            known.push(entry);
        }
    }
    let here = ["", "boards"].into_iter().flat_map(|folder| place::board_files(Path::new(folder)));
    let here: Vec<(PathBuf, ReadBoard)> =
        here.filter_map(|path| Some((path.clone(), board_file::load(&path).ok()?))).collect();
    for entry in known {
        let named = |path: &Path, differs: Option<String>| BoardFile {
            site: entry.site.clone(),
            board: entry.board.clone(),
            path: path.display().to_string(),
            differs,
        };
        let is_it = |file: &ReadBoard| file.board.site == entry.site && file.board.reference == entry.board;
        let differs = |file: &ReadBoard| {
            let words = board::difference(&last_board(found, entry)?, &file.board)?;
            Some(format!("changed since it was recorded: {words}"))
        };
        for path in place::board_files(entry.path.parent().unwrap_or(Path::new(""))) {
            match board_file::load(&path) {
                Ok(file) if is_it(&file) => files.push(named(&path, differs(&file))),
                Ok(_) => {}
                Err(_) => {
                    files.push(named(&path, Some("cannot be read: witnessmark check names why".into())));
                }
            }
        }
        let of_it = here.iter().filter(|(_, file)| is_it(file));
        files.extend(of_it.map(|(path, file)| named(path, differs(file))));
    }
    files
}

/// The board as the last visit of it that is over holds it.
fn last_board(found: &Archive, of: &Entry) -> Option<Board> {
    let mut ended = found.entries.iter().rev().filter(|entry| entry.end != End::Open);
    let last = ended.find(|entry| (&entry.site, &entry.board) == (&of.site, &of.board))?;
    replay(&read(&RealStorage, &last.path).ok()?.lines).board().cloned()
}

fn visit(entry: &Entry) -> KnownVisit {
    let name = |path: &Path| path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let page = entry.path.with_extension("txt");
    let counts = if entry.end == End::Closed {
        counted(&entry.outcomes)
    } else {
        // read again, because the scan keeps no lines; one that cannot be read any more counts nothing
        read(&RealStorage, &entry.path).map(|record| replay(&record.lines).counts()).unwrap_or_default()
    };
    KnownVisit {
        id: entry.id.clone(),
        site: entry.site.clone(),
        board: entry.board.clone(),
        kind: entry.kind,
        day: entry.opened.day(),
        ended: match entry.end {
            End::Open => Ended::LeftOpen,
            End::Closed => Ended::Closed,
            End::Abandoned => Ended::Abandoned,
        },
        counts,
        folder: entry.path.parent().unwrap_or(Path::new("")).display().to_string(),
        record: name(&entry.path),
        appendix: page.is_file().then(|| name(&page)),
    }
}

/// Tools in use: those of the tools file, then others of the last visits; each serial number once.
fn tools(found: &Archive, toolbox: Option<&Toolbox>) -> Vec<ToolHere> {
    let operations = found.operations_besides("");
    let count = |tool: &Tool| {
        let from = tool.calibrations.last().and_then(Calibration::runs_from).map(|day| day.to_string());
        let days = operations.get(&tool.serial).into_iter().flatten();
        // days written year first are ordered as text
        let since = days.filter(|(day, _)| from.as_ref().is_none_or(|from| *day >= from));
        since.fold(tool.operations_before.unwrap_or(0), |sum, (_, count)| sum.saturating_add(*count))
    };
    let of_file = toolbox.into_iter().flat_map(Toolbox::in_use).map(|known| {
        let tool = known.in_visit(ToolId::from("A"), Validity::NotStated);
        let doubted = known.doubted().map(|doubt| doubt.what.clone());
        ToolHere { operations: count(&tool), tool, doubted }
    });
    let mut all: Vec<ToolHere> = of_file.collect();
    for tool in found.entries.iter().rev().flat_map(|entry| &entry.tools) {
        let known = toolbox.is_some_and(|toolbox| toolbox.of_serial(&tool.serial).is_some());
        if !known && !all.iter().any(|other| other.tool.serial == tool.serial) {
            all.push(ToolHere { operations: count(tool), tool: tool.clone(), doubted: None });
        }
    }
    all
}

/// What the records say was done with every tool. They are read again, because the scan keeps no lines; one that
/// cannot be read any more says nothing.
pub(super) fn used(found: &Archive) -> Used {
    gathered(found, false)
}

/// The same, with what of it counts at the end of each record: for who looks back.
pub(super) fn used_looking_back(found: &Archive) -> Used {
    gathered(found, true)
}

fn gathered(found: &Archive, looking_back: bool) -> Used {
    let mut used = Used { operations: found.operations_besides(""), ..Used::default() };
    for entry in found.entries.iter().filter(|entry| !entry.tools.is_empty()) {
        let Ok(record) = read(&RealStorage, &entry.path) else { continue };
        let mut doubts: Vec<(ToolId, DoubtedInVisit)> = Vec::new();
        for line in &record.lines {
            done(&mut used.work, entry, line);
            match &line.fact {
                Fact::ToolDoubted(doubted) => {
                    let tool = entry.tools.iter().find(|tool| tool.id == doubted.tool);
                    doubts.extend(tool.map(|tool| {
                        let (serial, board) = (tool.serial.clone(), entry.board.clone());
                        let (day, what) = (line.time.day(), doubted.what.clone());
                        (doubted.tool.clone(), DoubtedInVisit { serial, day, board, what })
                    }));
                }
                Fact::ToolReleased(released) => doubts.retain(|(tool, _)| *tool != released.tool),
                _ => {}
            }
        }
        used.doubts.extend(doubts.into_iter().map(|(_, doubt)| doubt));
        if looking_back {
            counting(&mut used.work, entry, &record.lines);
        }
    }
    used
}

/// Terminals of a line that were tightened, or whose screws were tried, with a tool.
fn done(work: &mut Vec<Work>, entry: &Entry, line: &Line) {
    let fact = if let Fact::Corrected(corrected) = &line.fact { &corrected.fact } else { &line.fact };
    let (id, serial, names) = match fact {
        // a screw that spun was not tightened with it
        Fact::Torqued(torqued) if torqued.operations() > 0 => {
            let names = torqued.terminals.iter().filter(|name| !torqued.exceptions.contains(name));
            (torqued.tool.as_ref(), torqued.serial.as_ref(), names.collect())
        }
        Fact::Movement(tried) if tried.tried_to().is_some() => {
            (Some(&tried.tool), Some(&tried.serial), vec![&tried.terminal])
        }
        _ => return,
    };
    // a serial number may have been put right since
    let stated = entry.tools.iter().find(|tool| Some(&tool.id) == id);
    let Some(serial) = stated.map(|tool| &tool.serial).or(serial) else { return };
    let terminals = names.into_iter().map(|name| (line.time.day(), name.to_string()));
    let known = work.iter_mut().find(|work| work.serial == *serial && work.record == entry.id);
    match known {
        Some(work) => work.terminals.extend(terminals),
        None => work.push(Work {
            serial: serial.clone(),
            board: entry.board.clone(),
            site: entry.site.clone(),
            record: entry.id.clone(),
            terminals: terminals.collect(),
            counting: Vec::new(),
        }),
    }
}

/// What of the work in a record counts at its end.
fn counting(work: &mut [Work], entry: &Entry, lines: &[Line]) {
    if !work.iter().any(|work| work.record == entry.id) {
        return;
    }
    for done in done_with_tools(&replay(lines)) {
        let mut of_tool =
            work.iter_mut().filter(|work| work.record == entry.id && work.serial == done.serial);
        if let Some(work) = of_tool.next() {
            work.counting.push(done);
        }
    }
}
