//! A record of about 5,000 facts read and folded, beside parsing and hashing the same lines with the same crates.

use super::boards::widened;
use super::table::{Printed, in_turns};
use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};
use sha2::{Digest as _, Sha256};
use std::hint::black_box;
use std::io;
use std::path::Path;
use std::time::{Duration, Instant};
use witnessmark::board_file;
use witnessmark::domain::moment::Moment;
use witnessmark::domain::record::{Draft, Line};
use witnessmark::journal::{self, Link, RealStorage, line};
use witnessmark::session::desk::{Event, Input, Recorder, Stamp, Start, State, StoreTrouble, drive};
use witnessmark::session::replay;

const ROUNDS: usize = 41;
/// Ways of the board, so many that a rehearsal of it has about 5,000 facts.
const WAYS: usize = 75;
/// A bound that only ends a rehearsal which asks for more than Enter.
const ANSWERS_MAX: i64 = 50_000;

/// Links lines as the journal does, and keeps their bytes.
struct Linked {
    bytes: Vec<u8>,
    link: Link,
}

impl Recorder for Linked {
    fn append(&mut self, drafts: Vec<Draft>) -> Result<Vec<Line>, StoreTrouble> {
        let mut lines = Vec::new();
        for draft in drafts {
            let (bytes, line, its_link) = line::encode(&draft, &self.link).unwrap();
            self.bytes.extend(bytes);
            self.link = its_link;
            lines.push(line);
        }
        Ok(lines)
    }

    fn retry(&mut self) -> Result<Vec<Line>, StoreTrouble> {
        Ok(Vec::new())
    }

    fn give_up(&mut self) -> Result<(), StoreTrouble> {
        Ok(())
    }

    fn save_elsewhere(&mut self, _folder: &str) -> Result<Vec<Line>, StoreTrouble> {
        Ok(Vec::new())
    }
}

/// So many seconds after a morning in November.
fn at(seconds: i64) -> Stamp {
    let start: Timestamp = "2026-11-25T09:00:00Z".parse().unwrap();
    let wall = Moment { at: start + SignedDuration::from_secs(seconds), offset: Offset::UTC };
    Stamp { wall, mono_ms: u64::try_from(seconds).unwrap() * 1_000 }
}

/// A whole rehearsal, every question taken with Enter.
pub(crate) fn record() -> Vec<u8> {
    let read = board_file::read(widened(WAYS).as_bytes()).unwrap();
    let mut state = State::new(Start {
        program: "witnessmark bench".into(),
        id: "aaaaaaaa".into(),
        face: String::new(),
        nonce: "n".into(),
        board: read.board,
        board_sha256: read.sha256,
        rehearsal: true,
        visit: witnessmark::domain::record::VisitKind::First,
        flat: None,
        past: witnessmark::session::past::Past::default(),
        follows: None,
        person_offered: None,
        tools_offered: Vec::new(),
        operations: std::collections::BTreeMap::new(),
        news: Vec::new(),
    });
    let mut linked = Linked { bytes: Vec::new(), link: Link::ZERO };
    for answer in 1..ANSWERS_MAX {
        if state.desk.left.is_some() {
            break;
        }
        state = drive(state, Event::Input(at(answer * 5), Input::Line(String::new())), &mut linked);
    }
    linked.bytes
}

pub(crate) fn timed<T>(work: impl FnOnce() -> T) -> Duration {
    let from = Instant::now();
    let made = black_box(work());
    let took = from.elapsed();
    drop(made);
    took
}

fn parsed_and_hashed(path: &Path) -> (Vec<Line>, Vec<[u8; 32]>) {
    let bytes = std::fs::read(path).unwrap();
    let lines = || bytes.split(|byte| *byte == b'\n').filter(|line| !line.is_empty());
    lines()
        .map(|line| (serde_json::from_slice::<Line>(line).unwrap(), <[u8; 32]>::from(Sha256::digest(line))))
        .unzip()
}

pub(crate) fn bench(table: &mut Printed, folder: &Path) -> io::Result<()> {
    let path = folder.join("five-thousand.jsonl");
    let started = Instant::now();
    std::fs::write(&path, record())?;
    let made_in = started.elapsed();
    let read = || journal::read(&RealStorage, &path).unwrap();
    let lines = read().lines;
    let [both, bare, read_only, fold_only] = in_turns(
        ROUNDS,
        [
            &mut || {
                timed(|| {
                    let record = read();
                    let visit = replay(&record.lines);
                    (record, visit)
                })
            },
            &mut || timed(|| parsed_and_hashed(&path)),
            &mut || timed(read),
            &mut || timed(|| replay(&lines)),
        ],
    );
    let what = format!("read and replay of {} facts, to parse and hash", lines.len());
    table.ratio(&what, &both, &bare, "2")?;
    let bytes = std::fs::metadata(&path)?.len();
    table.note(&format!(
        "{bytes} bytes; reading {:.3} ms, folding {:.3} ms; the rehearsal that made it took {:.1} s",
        read_only.median_ms(),
        fold_only.median_ms(),
        made_in.as_secs_f64()
    ))
}
