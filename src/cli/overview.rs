//! `witnessmark` alone, and `places`.

use super::Talk;
use super::failure::Failure;
use super::places::rehearsals;
use crate::journal::archive;
use crate::journal::{End, RealStorage};
use std::path::Path;

/// What can be done here, in the words of the trade.
const WHAT: &str = "\
Witnessmark walks you through every terminal of a distribution board, keeps what
was done at each, and writes it up as an appendix to the certificate.

  witnessmark rehearse          practise on a demo board; nothing to set up
  witnessmark example           print a commented board file to start from
  witnessmark check BOARD       name everything that is wrong in a board file
  witnessmark walk BOARD        walk a board, or go on with its open visit
  witnessmark appendix [BOARD]  print the appendix of a visit
  witnessmark intact RECORD     check a record for damage
  witnessmark places            say where files live

It does not replace the maker's instructions, local rules or a licensed person's
judgement.
";

/// `witnessmark`
pub(super) fn start(talk: &mut Talk<'_>, records: Option<&Path>) -> Result<(), Failure> {
    let records = talk.around.records(records)?;
    let found = archive::scan(&RealStorage, &records, false)?;
    talk.out.write_all(WHAT.as_bytes())?;
    let open: Vec<_> = found.entries.iter().filter(|entry| entry.end == End::Open).collect();
    writeln!(talk.out, "\nVisits left open: {}", count(open.len()))?;
    for entry in open {
        let (board, site, day) = (&entry.board, &entry.site, entry.opened.day());
        writeln!(talk.out, "  {board}, {site}: {} visit of {day}", entry.kind.words())?;
        writeln!(talk.out, "    {}", entry.path.display())?;
    }
    let closed = found.entries.iter().filter(|entry| entry.end == End::Closed).count();
    writeln!(talk.out, "Visits closed: {}", count(closed))?;
    writeln!(talk.out, "Records: {}", records.display())?;
    for error in &found.unreadable {
        let _unread = writeln!(talk.err, "note: {error}");
    }
    Ok(())
}

fn count(number: usize) -> String {
    if number == 0 { "none".into() } else { number.to_string() }
}

/// `places`
pub(super) fn places(talk: &mut Talk<'_>, named: Option<&Path>) -> Result<(), Failure> {
    let records = talk.around.records(named)?;
    writeln!(talk.out, "records     {}", records.display())?;
    writeln!(talk.out, "rehearsals  {}", rehearsals(&records).display())?;
    let settings = talk.around.config();
    let settings = settings.map_or_else(|| "no home folder".to_owned(), |path| path.display().to_string());
    writeln!(talk.out, "settings    {settings} (nothing is kept there yet)")?;
    writeln!(
        talk.out,
        "\nEach board has a folder: site=.../board=.../<day>-<kind>-<id>.jsonl, its appendix beside it."
    )?;
    writeln!(
        talk.out,
        "XDG_DATA_HOME and XDG_CONFIG_HOME move them; --records DIR names another records folder."
    )?;
    Ok(())
}
