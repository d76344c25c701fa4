//! `check` of a board of 18 ways: the whole process, beside the same program that only says its version.

use super::boards::widened;
use super::pty::PROGRAM;
use super::table::{Printed, in_turns};
use std::io;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const ROUNDS: usize = 101;

/// From before the start of a process to its end.
fn whole(command: &mut Command) -> Duration {
    let command = command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    let from = Instant::now();
    let status = command.status().unwrap();
    let took = from.elapsed();
    assert!(status.success(), "{command:?}: {status}");
    took
}

pub(crate) fn bench(table: &mut Printed, folder: &Path) -> io::Result<()> {
    let board = folder.join("eighteen-ways.ron");
    std::fs::write(&board, widened(18))?;
    let [checked, version, nothing] = in_turns(
        ROUNDS,
        [
            &mut || whole(Command::new(PROGRAM).arg("check").arg(&board)),
            &mut || whole(Command::new(PROGRAM).arg("--version")),
            &mut || whole(&mut Command::new("true")),
        ],
    );
    table.ratio("check of an 18-way board, whole process, to --version", &checked, &version, "under 5 ms")?;
    table.note(&format!("the process `true` takes {:.3} ms here", nothing.median_ms()))
}
