//! From the start of the process to its first whole frame: a walk, one empty frame, and `less` on the same file.

use super::floor::EMPTY_FRAME;
use super::pty::{END_OF_FRAME, PROGRAM, Pty, command};
use super::table::{Printed, in_turns};
use std::io;
use std::path::Path;
use std::time::{Duration, Instant};

const ROUNDS: usize = 101;
const BOARD: &str = "boards/engine-shed.ron";

fn first_frame(program: &Path, arguments: &[&Path], mark: &[u8]) -> Duration {
    let command = command(program, arguments);
    let from = Instant::now();
    let mut pty = Pty::start(command);
    assert!(pty.reads(mark), "{}: it ended before its first frame", program.display());
    from.elapsed()
}

fn is_there(program: &str) -> bool {
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&path).any(|folder| folder.join(program).is_file())
}

pub(crate) fn bench(table: &mut Printed, folder: &Path) -> io::Result<()> {
    let own = std::env::current_exe()?;
    let records = folder.join("frame");
    let walk = ["walk".as_ref(), BOARD.as_ref(), "--records".as_ref(), records.as_path()];
    let mut walked = || first_frame(PROGRAM.as_ref(), &walk, END_OF_FRAME);
    let mut empty = || first_frame(&own, &[EMPTY_FRAME.as_ref()], END_OF_FRAME);
    // its first prompt is the name of the file
    let mut paged = || first_frame("less".as_ref(), &[BOARD.as_ref()], BOARD.as_bytes());
    if is_there("less") {
        let [walked, empty, paged] = in_turns(ROUNDS, [&mut walked, &mut empty, &mut paged]);
        table.ratio("first frame of walk, to one empty frame", &walked, &empty, "1.5")?;
        empty_frame_is(table)?;
        table.ratio("first frame of walk, to less on the same file", &walked, &paged, "1.2")
    } else {
        let [walked, empty] = in_turns(ROUNDS, [&mut walked, &mut empty]);
        table.ratio("first frame of walk, to one empty frame", &walked, &empty, "1.5")?;
        empty_frame_is(table)?;
        table.note("less is not installed here")
    }
}

fn empty_frame_is(table: &mut Printed) -> io::Result<()> {
    table.note("the empty frame: the bench binary again, with the same library and terminal guard, no file, no thread")
}
