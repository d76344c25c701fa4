//! `revisit` and `past`: what earlier records of a board say, and the visit that comes back to it.

use super::failure::Failure;
use super::{Face, Talk, board, visit};
use crate::board_file;
use crate::domain::board::{Board, Supply};
use crate::domain::record::VisitKind;
use crate::journal::archive::{self, Archive};
use crate::journal::{End, RealStorage, read};
use crate::office::{PageState, PastVisits};
use crate::session::desk::Start;
use crate::session::flat::Flat;
use crate::session::past::Past;
use crate::session::{Visit, replay};
use std::path::Path;

/// `revisit [BOARD]`
pub(super) fn revisit(
    talk: &mut Talk<'_>,
    path: Option<&Path>,
    face: &Face,
    tools: Option<&Path>,
) -> Result<(), Failure> {
    match path {
        Some(path) => visit::of_kind(talk, path, (face, tools), VisitKind::Revisit),
        None => visit::at_place(talk, face, tools),
    }
}

/// Reads a board that was entered at a place.
pub(super) fn read_text(text: &str) -> Option<(Board, String)> {
    board_file::read(text.as_bytes()).ok().map(|read| (read.board, read.sha256))
}

/// The board of a place before anything of it is entered.
pub(super) fn unnamed_place() -> Flat {
    let place = "a place without a board file".to_owned();
    Flat { place, supply: Supply::SinglePhase, tail_mm2: None, wires: None, torque: None }
}

/// What closed and abandoned visits of a board say. A record that became unreadable between two looks is left out; the
/// scan names it.
pub(super) fn past_of(found: &Archive, board: &Board) -> Past {
    let mut visits: Vec<Visit> = Vec::new();
    let mut untold = Vec::new();
    for entry in found.of(board) {
        let which = || format!("{} of {}, record {}", entry.kind.called(), entry.opened.day(), entry.id);
        match read(&RealStorage, &entry.path) {
            Ok(_) if entry.end == End::Open => untold.push(format!("{}: it is still open", which())),
            Ok(record) => visits.push(replay(&record.lines)),
            Err(_) => untold.push(format!("{}: it cannot be read any more", which())),
        }
    }
    if !found.unreadable.is_empty() {
        let many = found.unreadable.len();
        let records = if many == 1 { "1 record".to_owned() } else { format!("{many} records") };
        untold.push(format!(
            "{records} of this machine that cannot be read, of whatever board; `witnessmark intact` says why"
        ));
    }
    let mut past = Past::of(&visits);
    past.untold = untold;
    past
}

/// Says which record a coming back goes on from, or that there is none, and how the board file has changed since. Said on
/// the first screen as well: the full screen hides what was written before it.
pub(super) fn earlier(
    talk: &mut Talk<'_>,
    found: &Archive,
    board: &Board,
    start: &mut Start,
) -> Result<(), Failure> {
    let follows = found.last_closed_of(board).map(|entry| {
        let visit = format!("Goes on from the {} of {}", entry.kind.called(), entry.opened.day());
        (format!("{visit}, record {}, closing link {}.", entry.id, entry.link), format!("{visit}."))
    });
    let none = || "No closed record of this board is known here: nothing can be compared.".to_owned();
    let (said, news) = follows.unwrap_or_else(|| (none(), none()));
    writeln!(talk.out, "{said}")?;
    start.news.push(news);
    if let Some(words) = start.past.board.as_ref().and_then(|before| board::difference(before, board)) {
        let words = format!("The board file has changed since the last record: {words}.");
        writeln!(talk.out, "{words}")?;
        start.news.push(words);
    }
    Ok(())
}

/// `past BOARD`
pub(super) fn past(talk: &mut Talk<'_>, path: &Path, records: Option<&Path>) -> Result<(), Failure> {
    let file = board::load(talk, path)?;
    let records = talk.around.records(records)?;
    let found = archive::scan(&RealStorage, &records, false)?;
    let past = past_of(&found, &file.board);
    talk.out.write_all(crate::appendix::past_text(&past, &file.board).as_bytes())?;
    Ok(())
}

/// The page of the past visits of a board, by one of its records; nothing where that can no longer be read.
pub(super) fn past_page(found: &Archive, at: usize) -> Option<PageState<PastVisits>> {
    let entry = found.entries.get(at)?;
    let visit = replay(&read(&RealStorage, &entry.path).ok()?.lines);
    let board = visit.board()?;
    let title = format!("{}   {}", board.title, board.site);
    Some(PageState::new(PastVisits::new(title, past_of(found, board))))
}
