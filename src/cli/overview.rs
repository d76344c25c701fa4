//! `witnessmark` alone, and `places`.

use super::failure::Failure;
use super::places::rehearsals;
use super::{Talk, visit};
use crate::clock::Clock;
use crate::domain::tool::{Tool, valid_until};
use crate::journal::archive::{self, Archive, Entry};
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
  witnessmark audit BOARD       say how far an existing board can be trusted
  witnessmark appendix [BOARD]  print the appendix of a visit
  witnessmark intact RECORD     check a record for damage
  witnessmark places            say where files live

It does not replace the maker's instructions, local rules or a licensed person's
judgement.
";

/// `witnessmark`
pub(super) fn start(talk: &mut Talk<'_>, named: Option<&Path>) -> Result<(), Failure> {
    let records = talk.around.records(named)?;
    let found = archive::scan(&RealStorage, &records, false)?;
    talk.out.write_all(WHAT.as_bytes())?;
    boards(talk, &found)?;
    tools(talk, &found)?;
    let open: Vec<&Entry> = found.entries.iter().filter(|entry| entry.end == End::Open).collect();
    writeln!(talk.out, "\nVisits left open: {}", count(open.len()))?;
    for (number, entry) in (1_usize..).zip(&open) {
        let (board, site, day) = (&entry.board, &entry.site, entry.opened.day());
        writeln!(talk.out, "  {number} {board}, {site}: {} visit of {day}", entry.kind.words())?;
        writeln!(talk.out, "    {}", entry.path.display())?;
    }
    let closed = found.entries.iter().filter(|entry| entry.end == End::Closed).count();
    writeln!(talk.out, "Visits closed: {}", count(closed))?;
    writeln!(talk.out, "Records: {}", records.display())?;
    for error in &found.unreadable {
        let _unread = writeln!(talk.err, "note: {error}");
    }
    if talk.around.typed && talk.around.looked_at && !open.is_empty() {
        return choose(talk, named, &open);
    }
    Ok(())
}

/// Asks which of the open visits goes on; an empty line leaves.
fn choose(talk: &mut Talk<'_>, named: Option<&Path>, open: &[&Entry]) -> Result<(), Failure> {
    write!(talk.out, "\nGo on with which open visit? Its number, or nothing to leave > ")?;
    talk.out.flush()?;
    let mut line = String::new();
    talk.input.read_line(&mut line)?;
    let typed = line.trim();
    if typed.is_empty() {
        return Ok(());
    }
    let picked = typed.parse::<usize>().ok().and_then(|number| open.get(number.checked_sub(1)?));
    match picked {
        Some(entry) => visit::go_on_with(talk, entry, named),
        None => Err(Failure::mend(
            format!("{typed:?} is no number of an open visit: 1 to {}", open.len()),
            "start again and type one of the numbers, or nothing",
        )),
    }
}

/// Boards of the records, each with its last visit.
fn boards(talk: &mut Talk<'_>, found: &Archive) -> Result<(), Failure> {
    let mut last: Vec<&Entry> = Vec::new();
    for entry in &found.entries {
        last.retain(|known| (&known.site, &known.board) != (&entry.site, &entry.board));
        last.push(entry);
    }
    writeln!(talk.out, "\nBoards known here: {}", count(last.len()))?;
    for entry in last {
        let end = match entry.end {
            End::Open => "left open",
            End::Closed => "closed",
            End::Abandoned => "abandoned",
        };
        let (board, site, day) = (&entry.board, &entry.site, entry.opened.day());
        let kind = entry.kind.words();
        writeln!(talk.out, "  {board}, {site}: last a {kind} visit of {day}, {end}")?;
    }
    Ok(())
}

/// Tools of the last visits, each as last stated, and how long their calibration stays valid.
fn tools(talk: &mut Talk<'_>, found: &Archive) -> Result<(), Failure> {
    let mut known: Vec<&Tool> = Vec::new();
    for tool in found.entries.iter().rev().flat_map(|entry| &entry.tools) {
        if !known.iter().any(|other| other.serial == tool.serial) {
            known.push(tool);
        }
    }
    if known.is_empty() {
        return Ok(());
    }
    let today = Clock::start().now().wall.day();
    writeln!(talk.out, "\nTools of the last visits:")?;
    for tool in known {
        let valid = calibration(tool, &today);
        writeln!(talk.out, "  {}, serial {}: {valid}", tool.name, tool.serial)?;
    }
    Ok(())
}

fn calibration(tool: &Tool, today: &str) -> String {
    let date = tool.calibrations.last().map(|calibration| calibration.date.as_str());
    let Some((date, until)) = date.and_then(|date| Some((date, valid_until(date)?))) else {
        return "no calibration stated".into();
    };
    // days written year first are ordered as text
    if today <= until.to_string().as_str() {
        format!("calibrated {date}, valid until {until}")
    } else {
        format!("calibrated {date}, lapsed since {until}")
    }
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
