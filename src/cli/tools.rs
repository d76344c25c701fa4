//! `tools` with its look back, and the Tools page from Start.

use super::failure::Failure;
use super::pages::{self, Pages, Stopped};
use super::setting::{known_as, no_tools_file};
use super::toolbox::ToolsOnDisk;
use super::{Face, Talk, known, toolbox};
use crate::clock::Clock;
use crate::journal::RealStorage;
use crate::journal::archive::{self, Archive};
use crate::office::{PageState, Tools, ToolsDeed};
use crate::plain;
use std::path::Path;

/// `tools`: the page; only printed where nobody answers. A file that cannot be read is never written over.
pub(super) fn tools(talk: &mut Talk<'_>, face: &Face, named: Option<&Path>) -> Result<(), Failure> {
    let records = talk.around.records(face.records.records.as_deref())?;
    let found = archive::scan(&RealStorage, &records, false)?;
    let mut held = toolbox::load(&talk.around, named).map_err(|wrong| Failure::Mend(wrong.to_string()))?;
    let clock = Clock::start();
    if !pages::asked(talk, face) {
        plain::blocks(&page(&held, &found, &clock).summary(), talk.out)?;
        writeln!(talk.out, "\nTools file: {}", held.path().display())?;
        return Ok(());
    }
    pages::shown(talk, face, &clock, |pages| show(pages, &mut held, &found, &clock))
}

/// `tools --look-back NAME`: what was done with a tool in the time that is in question.
pub(super) fn look_back(
    talk: &mut Talk<'_>,
    name: &str,
    face: &Face,
    named: Option<&Path>,
) -> Result<(), Failure> {
    let records = talk.around.records(face.records.records.as_deref())?;
    let held = toolbox::load(&talk.around, named)?;
    if !held.is_there() {
        return Err(no_tools_file(held.path()).into());
    }
    let tool = known_as(held.toolbox(), name)?;
    let found = archive::scan(&RealStorage, &records, false)?;
    writeln!(talk.out, "{}, serial {}", tool.name, tool.serial)?;
    Ok(plain::blocks(&page(&held, &found, &Clock::start()).work(&tool.serial), talk.out)?)
}

fn page(held: &ToolsOnDisk<RealStorage>, found: &Archive, clock: &Clock) -> Tools {
    Tools::new(held.toolbox().clone(), known::used_looking_back(found), known::today(clock))
}

/// Shows the page until the person leaves it; every change is durable before it is said to be saved.
pub(super) fn show(
    pages: &mut Pages<'_>,
    held: &mut ToolsOnDisk<RealStorage>,
    found: &Archive,
    clock: &Clock,
) -> Result<(), Stopped> {
    let mut page = PageState::new(page(held, found, clock));
    while let Some(ToolsDeed::Save(toolbox)) = pages.show(&mut page)? {
        match held.save(toolbox) {
            Ok(()) => page.note = Some(page.page.saved()),
            Err(why) => page.page.not_saved(why.to_string()),
        }
    }
    Ok(())
}
