//! `witnessmark` alone, and `places`.

use super::board::how_many;
use super::failure::Failure;
use super::places::rehearsals;
use super::toolbox::ToolsOnDisk;
use super::{Face, Talk, known, pages, revisit, toolbox, tools, visit};
use crate::clock::Clock;
use crate::domain::record::VisitKind;
use crate::journal::RealStorage;
use crate::journal::archive::{self, Archive, Entry};
use crate::office::{BoardFile, PageState, Start, StartDeed};
use crate::plain;
use crate::tools_file::LoadError;
use std::path::{Path, PathBuf};

/// What can be done here, in the words of the trade.
const WHAT: &str = "\
Witnessmark walks you through every terminal of a distribution board, keeps what
was done at each, and writes it up as an appendix to the certificate.

  witnessmark rehearse          practise on a demo board; nothing to set up
                                (--revisit, --audit: the other visits)
  witnessmark example           print a commented board file to start from
  witnessmark check FILE        name everything wrong in a board or tools file
  witnessmark walk BOARD        walk a board, or go on with its open visit
  witnessmark revisit [BOARD]   come back to what was disturbed since
  witnessmark past BOARD        print what past visits say of a board
  witnessmark audit BOARD       say how far an existing board can be trusted
  witnessmark pack BOARD        what to take along before leaving for a board
  witnessmark setting VALUE     what to set on a torque tool, and what it applies
  witnessmark tools             torque tools: add, calibrate, doubt, retire
  witnessmark appendix [BOARD]  print the appendix of a visit
  witnessmark intact RECORD     check a record for damage
  witnessmark places            say where files live

It does not replace the maker's instructions, local rules or a licensed person's
judgement.
";

/// `witnessmark`: the page on the full screen; line by line where there is none; only printed where nobody answers.
pub(super) fn start(talk: &mut Talk<'_>, face: &Face, tools_named: Option<&Path>) -> Result<(), Failure> {
    let records = talk.around.records(face.records.records.as_deref())?;
    let clock = Clock::start();
    let around = talk.around.clone();
    let look = || -> Result<(Archive, ToolsFound, PageState<Start>, Vec<BoardFile>), Failure> {
        let found = archive::scan(&RealStorage, &records, false)?;
        let tools = toolbox::load(&around, tools_named);
        let known = known::gather(&found, &records, &tools, &clock);
        let files = known.board_files.clone();
        Ok((found, tools, PageState::new(Start::new(known)), files))
    };
    if !pages::asked(talk, face) {
        let (found, _, page, _) = look()?;
        return print(talk, &page.page, &found);
    }
    let chosen = pages::shown(talk, face, &clock, |pages| {
        let (mut found, mut tools, mut page, mut files) = look()?;
        loop {
            match pages.show(&mut page)? {
                None => return Ok(None),
                Some(StartDeed::GoOn(at)) => {
                    return Ok(found.entries.get(at).cloned().map(|entry| Chosen::GoOn(entry, found)));
                }
                Some(StartDeed::Revisit(at)) => {
                    return Ok(found.entries.get(at).cloned().map(|entry| Chosen::Recorded(entry, found)));
                }
                Some(StartDeed::RevisitBy(nth)) => {
                    return Ok(files.get(nth).map(|file| Chosen::File(PathBuf::from(&file.path))));
                }
                Some(StartDeed::Past(at)) => {
                    if let Some(mut past) = revisit::past_page(&found, at) {
                        pages.show(&mut past)?;
                    }
                }
                Some(StartDeed::Tools) => match &mut tools {
                    Ok(held) => {
                        tools::show(pages, held, &found, &clock)?;
                        (found, tools, page, files) = look()?;
                    }
                    Err(_) => {
                        page.note =
                            Some("the tools file cannot be read: what is wrong stands under Tools".into());
                    }
                },
            }
        }
    })?;
    match chosen {
        Some(Chosen::GoOn(entry, found)) => visit::go_on_with(talk, &entry, &found, face, tools_named),
        Some(Chosen::Recorded(entry, found)) => visit::come_back_to(talk, &entry, &found, face, tools_named),
        Some(Chosen::File(path)) => visit::of_kind(talk, &path, (face, tools_named), VisitKind::Revisit),
        None => Ok(()),
    }
}

/// What was chosen on the page and needs another screen: go on with a visit, or come back to a board as it was recorded
/// or by a file.
enum Chosen {
    GoOn(Entry, Archive),
    Recorded(Entry, Archive),
    File(PathBuf),
}

/// The tools file, or why it cannot be read.
type ToolsFound = Result<ToolsOnDisk<RealStorage>, LoadError>;

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
