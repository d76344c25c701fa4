//! `setting` of one tool, beside reading the tools file it needs; and the whole process beside one that only says its
//! version.

use super::pty::PROGRAM;
use super::replay::timed;
use super::table::{Printed, in_turns};
use std::io;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;
use witnessmark::cli::setting::{answer, target};
use witnessmark::office::Used;
use witnessmark::tools_file;

const ROUNDS: usize = 101;
const TOOLS: &str = "boards/tools.ron";

fn whole(arguments: &[&str]) -> Duration {
    timed(|| {
        let done = Command::new(PROGRAM).args(arguments).stdin(Stdio::null()).stdout(Stdio::null()).status();
        assert!(done.unwrap().success(), "{arguments:?}");
    })
}

pub(crate) fn bench(table: &mut Printed, folder: &Path) -> io::Result<()> {
    let read = || tools_file::load(Path::new(TOOLS), None).unwrap().toolbox;
    let (wanted, used) = (target("2.5 N.m").unwrap(), Used::default());
    let day = "2023-11-20".parse().unwrap();
    let answered = || answer(&read(), Some("driver A"), &wanted, &used, day).unwrap();
    let [both, alone] = in_turns(ROUNDS, [&mut || timed(answered), &mut || timed(read)]);
    table.ratio("tools file read and one setting answered, to reading it", &both, &alone, "-")?;
    let records = folder.join("setting").display().to_string();
    let arguments =
        ["setting", "--tool", "driver A", "2.5 N.m", "--tools", TOOLS, "--records", records.as_str()];
    let [asked, version] = in_turns(ROUNDS, [&mut || whole(&arguments), &mut || whole(&["--version"])]);
    table.ratio("setting, whole process, to --version", &asked, &version, "-")
}
