//! `witnessmark` alone, and `places`.

use super::board::how_many;
use super::failure::Failure;
use super::places::rehearsals;
use super::{Face, Talk, known, toolbox, visit};
use crate::clock::Clock;
use crate::journal::RealStorage;
use crate::journal::archive::{self, Archive};
use crate::office::{PageState, Start, StartDeed};
use crate::plain::{self, Ended, Turned};
use crate::tui;
use std::path::Path;

/// What can be done here, in the words of the trade.
const WHAT: &str = "\
Witnessmark walks you through every terminal of a distribution board, keeps what
was done at each, and writes it up as an appendix to the certificate.

  witnessmark rehearse          practise on a demo board; nothing to set up
  witnessmark example           print a commented board file to start from
  witnessmark check FILE        name everything wrong in a board or tools file
  witnessmark walk BOARD        walk a board, or go on with its open visit
  witnessmark appendix [BOARD]  print the appendix of a visit
  witnessmark intact RECORD     check a record for damage
  witnessmark places            say where files live

It does not replace the maker's instructions, local rules or a licensed person's
judgement.
";

/// `witnessmark`: the page on the full screen; line by line where there is none; only printed where nobody answers.
pub(super) fn start(talk: &mut Talk<'_>, face: &Face) -> Result<(), Failure> {
    let records = talk.around.records(face.records.records.as_deref())?;
    let found = archive::scan(&RealStorage, &records, false)?;
    let clock = Clock::start();
    let page = Start::new(known::gather(&found, &records, &clock));
    let on_screen = talk.around.has_a_screen() && !face.plain;
    let asked = on_screen || face.plain || (talk.around.typed && talk.around.looked_at);
    if !asked {
        return print(talk, &page, &found);
    }
    let mut page = PageState::new(page);
    let deed = if on_screen {
        let options = tui::Options { no_color: talk.around.no_color };
        tui::on_screen(&clock, options, |screen| screen.page(&mut page))
            .map_err(|why| Failure::Wrong(format!("error: {why}")))?
    } else {
        line_by_line(talk, &mut page)?
    };
    match deed {
        Some(StartDeed::GoOn(at)) => match found.entries.get(at) {
            Some(entry) => visit::go_on_with(talk, entry, &found, face),
            None => Ok(()),
        },
        None => Ok(()),
    }
}

fn line_by_line(talk: &mut Talk<'_>, page: &mut PageState<Start>) -> Result<Option<StartDeed>, Failure> {
    let echo = !talk.around.typed;
    let mut lines = plain::Lines { input: talk.input, out: talk.out, echo };
    match plain::page(page, &mut lines)? {
        Turned::Do(deed) => Ok(Some(deed)),
        Turned::Ended(Ended::Left) => Ok(None),
        Turned::Ended(Ended::EndOfInput) => {
            writeln!(talk.out)?;
            Ok(None)
        }
        Turned::Ended(Ended::NoAnswer { asked, wanted }) => Err(Failure::Mend(format!(
            "error: what came in was no answer. It waits for: {asked}\nhelp: an answer would be: {wanted}"
        ))),
    }
}

/// For who only reads.
fn print(talk: &mut Talk<'_>, page: &Start, found: &Archive) -> Result<(), Failure> {
    talk.out.write_all(WHAT.as_bytes())?;
    plain::blocks(&page.summary(), talk.out)?;
    for error in &found.unreadable {
        let _unread = writeln!(talk.err, "note: {error}");
    }
    Ok(())
}

/// `places`
pub(super) fn places(talk: &mut Talk<'_>, named: Option<&Path>, tools: Option<&Path>) -> Result<(), Failure> {
    let records = talk.around.records(named)?;
    writeln!(talk.out, "records     {}", records.display())?;
    writeln!(talk.out, "rehearsals  {}", rehearsals(&records).display())?;
    let place = toolbox::place(&talk.around, tools);
    let place = place.map_or_else(|| "no home folder".to_owned(), |path| path.display().to_string());
    let state = match toolbox::load(&talk.around, tools) {
        Ok(held) if held.is_there() => how_many(held.toolbox()),
        Ok(_) => "not there yet".to_owned(),
        Err(_) => "cannot be read: check it".to_owned(),
    };
    writeln!(talk.out, "tools       {place} ({state})")?;
    writeln!(
        talk.out,
        "\nEach board has a folder: site=.../board=.../<day>-<kind>-<id>.jsonl, its appendix beside it."
    )?;
    writeln!(
        talk.out,
        "XDG_DATA_HOME and XDG_CONFIG_HOME move them; --records DIR names another records folder, --tools FILE another \
         tools file."
    )?;
    Ok(())
}
