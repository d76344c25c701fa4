//! Every torque of a record of about 5,000 facts judged anew, beside reading the record.

use super::replay::{record, timed};
use super::table::{Printed, in_turns};
use std::io;
use std::path::Path;
use witnessmark::domain::record::{Fact, Line};
use witnessmark::journal::{self, RealStorage};
use witnessmark::session::{judged_anew, replay};
use witnessmark::tools_file;

const ROUNDS: usize = 21;

/// Gives the rehearsal's invented tool, which says nothing of its error, the points and the class of a real one.
fn with_points(lines: &mut [Line]) {
    let toolbox = tools_file::read(tools_file::example().as_bytes(), None).unwrap().toolbox;
    let driver = toolbox.named("driver A").unwrap();
    for line in lines {
        if let Fact::Tool(tool) = &mut line.fact {
            tool.calibrations.clone_from(&driver.calibrations);
            tool.class.clone_from(&driver.class);
        }
    }
}

pub(crate) fn bench(table: &mut Printed, folder: &Path) -> io::Result<()> {
    let path = folder.join("judged.jsonl");
    std::fs::write(&path, record())?;
    let read = || journal::read(&RealStorage, &path).unwrap();
    let mut lines = read().lines;
    with_points(&mut lines);
    let visit = replay(&lines);
    let torques = || {
        lines.iter().filter_map(|line| {
            let Fact::Torqued(torqued) = &line.fact else { return None };
            Some(torqued)
        })
    };
    let sure = torques().filter(|t| judged_anew(&visit, t).applied.is_some_and(|a| a.w.is_some())).count();
    let mut judged = || {
        timed(|| {
            let anew: Vec<_> = torques().map(|torqued| judged_anew(&visit, torqued)).collect();
            anew
        })
    };
    let [judged, read_only] = in_turns(ROUNDS, [&mut judged, &mut || timed(read)]);
    let what = format!("re-judging {} torques, to reading their record", torques().count());
    table.ratio(&what, &judged, &read_only, "-")?;
    table.note(&format!("{} facts; {sure} of the torques with an error from points and class", lines.len()))
}
