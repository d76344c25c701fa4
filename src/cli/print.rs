//! `appendix`, and the appendix written beside a record.

use super::failure::Failure;
use super::{Talk, board};
use crate::journal::archive;
use crate::journal::error::Trouble;
use crate::journal::storage::folder_of;
use crate::journal::{End, RealStorage, Storage as _, StoredFile as _, names, read};
use crate::session::{Visit, replay};
use std::ffi::OsString;
use std::io;
use std::path::{Path, PathBuf};

/// `appendix [BOARD|RECORD]`
pub(super) fn appendix(
    talk: &mut Talk<'_>,
    of: Option<&Path>,
    ascii: bool,
    records: Option<&Path>,
) -> Result<(), Failure> {
    let path = match of {
        Some(path) if is_record(path) => path.to_path_buf(),
        Some(path) => of_board(talk, path, records)?,
        None => last_closed(talk, records)?,
    };
    let record = read(&RealStorage, &path)?;
    talk.out.write_all(appendix_text(&replay(&record.lines), ascii).as_bytes())?;
    Ok(())
}

/// A record by its name or by how it begins; everything else is taken for a board file.
fn is_record(path: &Path) -> bool {
    if path.extension().is_some_and(|ending| ending == names::EXTENSION) {
        return true;
    }
    let mut first = [0_u8; 9];
    std::fs::File::open(path)
        .and_then(|mut file| io::Read::read_exact(&mut file, &mut first))
        .is_ok_and(|()| &first == b"{\"seq\":1,")
}

fn of_board(talk: &mut Talk<'_>, path: &Path, records: Option<&Path>) -> Result<PathBuf, Failure> {
    let file = board::load(talk, path)?;
    let records = talk.around.records(records)?;
    let found = archive::scan(&RealStorage, &records, false)?;
    let closed = found.last_closed_of(&file.board);
    let entry = closed.or_else(|| found.of(&file.board).rfind(|entry| entry.end == End::Open));
    entry.map(|entry| entry.path.clone()).ok_or_else(|| {
        Failure::mend(
            format!("board {} has no visit in {}", file.board.reference, records.display()),
            "walk it first, or name the record itself",
        )
    })
}

fn last_closed(talk: &mut Talk<'_>, records: Option<&Path>) -> Result<PathBuf, Failure> {
    let records = talk.around.records(records)?;
    let found = archive::scan(&RealStorage, &records, false)?;
    found.last_closed().map(|entry| entry.path.clone()).ok_or_else(|| {
        Failure::mend(
            format!("no visit is closed yet in {}", records.display()),
            "close one, or name a board or a record; a rehearsal is printed by naming its record",
        )
    })
}

/// The appendix of a visit as text.
pub(super) fn appendix_text(visit: &Visit, ascii: bool) -> String {
    crate::appendix::print(visit, crate::appendix::Options { ascii })
}

/// Writes the page beside its record, durable, and never over something else.
///
/// # Errors
/// Why the disk refused; nothing of that name stands there then that was not there before.
pub(super) fn beside(page: &Path, text: &str) -> Result<(), Trouble> {
    let storage = RealStorage;
    match storage.read(page) {
        Ok(there) if there == text.as_bytes() => return Ok(()),
        Ok(_) => return Err(Trouble::Exists),
        Err(why) if why.kind() == io::ErrorKind::NotFound => {}
        Err(why) => return Err(why.into()),
    }
    let mut aside = OsString::from(page.as_os_str());
    aside.push(".new");
    let aside = PathBuf::from(aside);
    match storage.remove(&aside) {
        Err(why) if why.kind() != io::ErrorKind::NotFound => return Err(why.into()),
        _ => {}
    }
    let written = storage.create_new(&aside).and_then(|mut file| {
        file.write_at(0, text.as_bytes())?;
        file.sync_data()
    });
    let named = written.and_then(|()| storage.rename(&aside, page));
    if let Err(why) = named {
        let _left_behind = storage.remove(&aside);
        return Err(why.into());
    }
    Ok(storage.sync_folder(folder_of(page))?)
}
