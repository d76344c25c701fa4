//! From a key to its fact durable and its frame drawn, through a terminal: a whole rehearsal of the engine shed,
//! every Enter that records something, beside a bare append of the same bytes and a bare frame.

use super::floor::BARE_APPEND;
use super::pty::{END_OF_FRAME, PROGRAM, Pty, command};
use super::table::{Printed, Times};
use std::io;
use std::path::{Path, PathBuf};
use std::time::Instant;

/// A rehearsal takes about a thousand; the bound only ends one that asks for more than Enter.
const KEYS_MAX: usize = 4_000;
/// Facts before the first that is counted.
const WARM_UP: usize = 10;

const ENTER: u8 = b'\r';

pub(crate) fn bench(table: &mut Printed, folder: &Path) -> io::Result<()> {
    let records = folder.join("key");
    let rehearse = ["rehearse".as_ref(), "--records".as_ref(), records.as_path()];
    let mut ours = Pty::start(command(PROGRAM.as_ref(), &rehearse));
    ours.frame();
    let first = ours.peak_kib();
    let mut peak = first;
    let record = loop {
        if let Some(record) = record_in(&records)? {
            break record;
        }
        ours.press(ENTER);
        ours.frame();
    };
    let (bytes_of, next) = (record.with_extension("bare"), record.with_extension("next"));
    let own = std::env::current_exe()?;
    let mut bare = Pty::start(command(&own, &[BARE_APPEND.as_ref(), bytes_of.as_path(), next.as_path()]));
    bare.frame();
    let (mut walked, mut bared) = (Times::default(), Times::default());
    let mut facts = 0;
    for _ in 0..KEYS_MAX {
        let before = usize::try_from(record.metadata()?.len()).unwrap();
        let from = Instant::now();
        ours.press(ENTER);
        if !ours.reads(END_OF_FRAME) {
            break;
        }
        let took = from.elapsed();
        let written = std::fs::read(&record)?.split_off(before);
        if !written.is_empty() {
            std::fs::write(&next, &written)?;
            bare.press(b'l');
            bare.frame();
            let from = Instant::now();
            bare.press(ENTER);
            bare.frame();
            let beside = from.elapsed();
            facts += 1;
            if facts > WARM_UP {
                walked.push(took);
                bared.push(beside);
            }
        }
        peak = ours.peak_kib().or(peak);
    }
    table.ratio("key to durable and drawn, to bare append and bare frame", &walked, &bared, "1.5")?;
    table.note(
        "bare: the bench binary again; the same bytes into the same folder, fdatasync, one line drawn",
    )?;
    let kib = |kib: Option<u64>| {
        kib.map_or("not told here".into(), |kib| format!("{:.1} MiB", kib as f64 / 1024.0))
    };
    table.figure("peak memory, engine shed, first frame", &kib(first), "under 16 MiB")?;
    table.figure("peak memory, engine shed, rehearsal to its end", &kib(peak), "under 16 MiB")
}

/// The one record below a folder.
fn record_in(folder: &Path) -> io::Result<Option<PathBuf>> {
    let mut folders = vec![folder.to_path_buf()];
    while let Some(folder) = folders.pop() {
        let Ok(entries) = std::fs::read_dir(folder) else { continue };
        for entry in entries {
            let path = entry?.path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "jsonl") {
                return Ok(Some(path));
            }
        }
    }
    Ok(None)
}
