//! Kill -9 at a random moment of a walk, again and again until the visit is closed.
//!
//! The person is played by [`answer`], which reads the questions as they come; a kill comes right after a line was
//! said to be recorded, or a moment after an answer was handed in, while it is on its way to the disk. Afterwards
//! the record is compared with everything that was said. The issue asks for 200 kills; no outside source.
#![cfg(unix)]

use crate::facts::Dice;
use crate::program::records;
use crate::talk::{Talk, answer};
use std::collections::BTreeSet;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::Duration;
use witnessmark::domain::record::{Fact, Line, SessionCause};
use witnessmark::journal::{End, RealStorage, Record, read};
use witnessmark::session::desk::{Start, State};
use witnessmark::session::{invariant, replay};

/// How many kills there are at least.
const KILLS: usize = 200;
const BOARD: &str = "tests/boards/lamp-hut.ron";
/// The one visit in the folder; files that never became one are left out.
fn visit(home: &Path) -> Option<(PathBuf, Record)> {
    let mut found: Vec<_> = records(home)
        .into_iter()
        .filter(|path| std::fs::metadata(path).unwrap().len() > 0)
        .map(|path| read(&RealStorage, &path).map(|record| (path, record)).unwrap())
        .collect();
    assert!(found.len() <= 1, "two visits of one board");
    found.pop()
}

/// Every line that was said to be recorded stands in the record, in that order, from the line at which the talk
/// began; at most what one answer records was stored and not said.
fn compare(said: &str, before: usize, lines: &[Line]) -> usize {
    let said: Vec<&str> =
        said.lines().filter_map(|line| line.split_once("recorded ").map(|(_, w)| w)).collect();
    let state = State::over(replay(lines), start());
    // the session line of a resume is stored before anything is asked and not said
    let own = usize::from(before > 0);
    let stored: Vec<String> = lines.iter().skip(before + own).map(|line| state.line_in_words(line)).collect();
    assert!(said.len() <= stored.len(), "said {said:#?}\nstored {stored:#?}");
    for (said, stored) in said.iter().zip(&stored) {
        assert_eq!(said, stored, "what was said is what is stored");
    }
    assert!(stored.len() - said.len() <= 2, "one answer records at most two lines here: {stored:#?}");
    stored.len() - said.len()
}

fn start() -> Start {
    crate::desk::start(&std::fs::read_to_string(BOARD).unwrap(), false)
}

/// Nothing of the work stands twice, the gate comes first in every session, and no torque without a scale in it.
fn in_order(lines: &[Line]) {
    let (mut once, mut gate, mut scale) = (BTreeSet::new(), false, false);
    for line in lines {
        let done = match &line.fact {
            Fact::Session(_) => {
                (gate, scale) = (false, false);
                None
            }
            Fact::Gates(_) => {
                gate = true;
                None
            }
            Fact::Scale(_) => {
                scale = true;
                None
            }
            Fact::Prepared(f) => Some(format!("prepared {:?}", f.conductors)),
            Fact::Entered(f) => Some(format!("entered {:?}", f.conductors)),
            Fact::Torqued(f) => {
                assert!(scale, "line {}: the scale comes before the torque in every session", line.seq.0);
                Some(format!("torqued {:?}", f.terminals))
            }
            Fact::Tugged(f) => Some(format!("tugged {:?}", f.conductors)),
            Fact::Marked(f) => Some(format!("marked {:?}", f.terminals)),
            _ => None,
        };
        if let Some(done) = done {
            assert!(gate, "line {}: the gate comes first in every session", line.seq.0);
            assert!(once.insert(done.clone()), "{done} stands twice");
        }
    }
}

/// One walk of the board, killed as the dice fall, to its end. Gives the number of kills and how many of them left
/// something stored that had not been said.
fn walk(home: &Path, dice: &mut Dice, enough: usize) -> (usize, usize) {
    let (mut kills, mut unsaid) = (0, 0);
    let mut setting = String::new();
    loop {
        let before = visit(home).map_or(0, |(_, record)| record.lines.len());
        let open_span =
            visit(home).is_some_and(|(_, record)| replay(&record.lines).open_spans().next().is_some());
        let has_route =
            visit(home).is_some_and(|(_, r)| r.lines.iter().any(|l| matches!(l.fact, Fact::Route(_))));
        let mut talk = Talk::begin(BOARD, home);
        let mut left = dice.below(30) + 1;
        let mut asked = 0;
        let mut scale_asked = false;
        let killed = loop {
            let Some(heard) = talk.question() else { break false };
            match asked {
                0 if has_route => assert!(heard.contains("Who is on the tool now?"), "{heard}"),
                1 if has_route => {
                    assert!(
                        heard.contains("Who proved this board dead?"),
                        "the gate is asked again: {heard}"
                    );
                }
                _ => {}
            }
            asked += 1;
            scale_asked |= heard.contains("read its scale");
            if open_span && heard.contains("to the click") {
                assert!(scale_asked, "the scale of the open span is asked again before the next torque");
            }
            talk.say(&answer(&heard, &mut setting));
            left -= 1;
            if left == 0 && kills < enough {
                // at once, or while the answer is on its way to the disk, or after it
                thread::sleep(Duration::from_micros(dice.below(4) * dice.below(400)));
                break true;
            }
        };
        let said = if killed { talk.kill() } else { talk.end().1 };
        kills += usize::from(killed);
        let Some((_, record)) = visit(home) else {
            assert!(!said.contains("recorded "), "said to be recorded and gone");
            continue;
        };
        assert!(record.torn.is_none() || killed);
        unsaid += usize::from(compare(&said, before, &record.lines) > 0);
        in_order(&record.lines);
        assert_eq!(invariant::check(&replay(&record.lines)), Ok(()), "what must always hold");
        if record.end == End::Closed {
            let resumed =
                |line: &&Line| matches!(&line.fact, Fact::Session(s) if s.cause == SessionCause::Resumed);
            assert!(record.lines.iter().filter(resumed).count() <= kills);
            return (kills, unsaid);
        }
        assert!(killed, "it ended by itself before the visit was closed:\n{said}");
    }
}

#[test]
fn nothing_confirmed_is_lost_or_doubled_however_often_it_is_killed() {
    let seed = std::env::var_os("WITNESSMARK_SEED")
        .and_then(|seed| seed.to_str()?.parse().ok())
        .unwrap_or(20_261_125);
    let mut err = std::io::stderr();
    let _ = err.write_all(format!("seed {seed} (WITNESSMARK_SEED)\n").as_bytes());
    let mut dice = Dice(seed);
    let (mut kills, mut unsaid, mut walks) = (0, 0, 0);
    while kills < KILLS {
        let home = tempfile::tempdir().unwrap();
        let (more, left_unsaid) = walk(home.path(), &mut dice, KILLS);
        kills += more;
        unsaid += left_unsaid;
        walks += 1;
    }
    let words = format!("{kills} kills in {walks} walks; {unsaid} left a stored answer unsaid\n");
    let _ = err.write_all(words.as_bytes());
}
