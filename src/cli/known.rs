//! What is known on this machine, gathered from the records for the pages of the office.

use crate::clock::Clock;
use crate::domain::calibration::Calibration;
use crate::journal::archive::{Archive, Entry};
use crate::journal::{End, RealStorage, read};
use crate::office::{Ended, Known, KnownVisit, ToolHere, counted};
use crate::session::replay;
use std::path::Path;

/// Everything that is known, its visits in the order of the archive.
pub(super) fn gather(found: &Archive, records: &Path, clock: &Clock) -> Known {
    let now = clock.now().wall;
    Known {
        today: now.offset.to_datetime(now.at).date(),
        visits: found.entries.iter().map(visit).collect(),
        tools: tools(found),
        records: records.display().to_string(),
        unreadable: found.unreadable.iter().map(ToString::to_string).collect(),
    }
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

/// Tools of the last visits, each serial number once, as last stated.
fn tools(found: &Archive) -> Vec<ToolHere> {
    let operations = found.operations_besides("");
    let mut known: Vec<ToolHere> = Vec::new();
    for tool in found.entries.iter().rev().flat_map(|entry| &entry.tools) {
        if known.iter().any(|other| other.tool.serial == tool.serial) {
            continue;
        }
        let from = tool.calibrations.last().and_then(Calibration::runs_from).map(|day| day.to_string());
        let days = operations.get(&tool.serial).into_iter().flatten();
        // days written year first are ordered as text
        let since = days.filter(|(day, _)| from.as_ref().is_none_or(|from| *day >= from));
        let recorded = since.fold(0_u64, |sum, (_, count)| sum.saturating_add(*count));
        let operations = recorded.saturating_add(tool.operations_before.unwrap_or(0));
        known.push(ToolHere { tool: tool.clone(), operations });
    }
    known
}
