//! What is offered to a visit: the tools of the tools file and of the last visits, who was on the tool, and the operations
//! that other records know of.

use super::failure::Failure;
use super::{Talk, toolbox};
use crate::board_file::ReadBoard;
use crate::domain::names::ToolId;
use crate::domain::record::Follows;
use crate::domain::tool::Validity;
use crate::journal::archive::Archive;
use crate::journal::{RealStorage, read};
use crate::session::desk::Start;
use crate::session::{Visit, replay};
use std::path::Path;

/// What the tools file and the last visits offer. A tools file that cannot be read is named and offers nothing: who
/// stands at an open board must be able to go on.
pub(super) fn offers(
    talk: &mut Talk<'_>,
    (found, file, open): (&Archive, &ReadBoard, Option<&str>),
    tools: Option<&Path>,
    start: &mut Start,
) -> Result<(), Failure> {
    let mut known = Vec::new();
    match toolbox::load(&talk.around, tools) {
        Ok(held) => {
            let usable = held.toolbox().in_use().filter(|tool| tool.doubted().is_none());
            start.tools_offered =
                usable.map(|tool| tool.in_visit(ToolId::from("A"), Validity::NotStated)).collect();
            known.extend(held.toolbox().tools.iter().map(|tool| tool.serial.clone()));
        }
        Err(why) => {
            writeln!(talk.err, "{}", why.to_string().trim_end())?;
            start.news.push(
                "The tools file cannot be read; witnessmark check names why. Its tools are not offered."
                    .into(),
            );
        }
    }
    let others = found.last_tools().iter().filter(|tool| !known.contains(&tool.serial));
    start.tools_offered.extend(others.cloned());
    start.operations = found.operations_besides(open.unwrap_or_default());
    start.follows = found
        .last_closed_of(&file.board)
        .map(|entry| Follows { id: entry.id.clone(), link: entry.link.clone() });
    // as it was put right, where it was mistyped
    let last = found.entries.last().and_then(|entry| read(&RealStorage, &entry.path).ok());
    let last = last.map(|record| replay(&record.lines));
    start.person_offered = last
        .as_ref()
        .and_then(Visit::opened)
        .map(|opened| (opened.person.name.clone(), opened.person.role.clone()));
    Ok(())
}
