//! Boards of any size: the engine shed with further three-phase ways.

use std::fmt::Write as _;
use witnessmark::board_file;

/// The engine shed with so many ways, at least its own twelve; the others hold three devices each.
pub(crate) fn widened(ways: usize) -> String {
    let mut rows = String::new();
    for way in 13..=ways {
        writeln!(
            rows,
            "        Row(at: [\"{way}L1\", \"{way}L2\", \"{way}L3\"], device: \"RC16\", circuits: [\"sockets {way}a\", \
             \"sockets {way}b\", \"sockets {way}c\"], line: \"2.5\", neutral: \"2.5\", cpc: \"2.5\"),"
        )
        .unwrap();
    }
    let shed = board_file::engine_shed();
    let (before, end) = shed.rsplit_once("    ],").unwrap();
    format!("{before}{rows}    ],{end}").replace("ways: 12,", &format!("ways: {ways},"))
}
