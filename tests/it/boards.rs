//! The demo boards load, and hold what they are to show.

use std::collections::BTreeSet;
use std::path::PathBuf;
use witnessmark::board_file::{self, load};

fn boards() -> Vec<PathBuf> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/boards");
    let mut paths: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    paths
}

#[test]
fn every_board_in_boards_loads() {
    assert!(boards().len() >= 2);
    for path in boards() {
        let read = load(&path).unwrap_or_else(|why| panic!("{why}"));
        assert_eq!(read.warnings, Vec::new(), "{}", path.display());
        let mut aims = BTreeSet::new();
        for terminal in &read.board.terminals {
            if let Some(row) = read.board.torque_row(terminal) { aims.insert(row.stated.aim().to_string()); }
        }
        eprintln!("{} {} {aims:?}", path.display(), read.board.terminals.len());
        let _ = board_file::example();
    }
}
