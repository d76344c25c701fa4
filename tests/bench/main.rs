//! What the program costs: each figure a ratio of two things timed in turns within one run, as medians.
//!
//! `cargo bench` prints a small table; `cargo bench -- replay` only the rows whose name has that word in it. No
//! figure ever fails: they are read, and set beside the aims of the design. Deliberately absent: figures of another
//! day or machine to compare with.

#![cfg_attr(
    unix,
    allow(
        clippy::unwrap_used,
        clippy::indexing_slicing,
        clippy::arithmetic_side_effects,
        clippy::as_conversions,
        clippy::cast_precision_loss,
        clippy::disallowed_methods,
        reason = "a bench that cannot go on should stop; it reads time, and figures are printed in binary floating point"
    )
)]

#[cfg(unix)]
mod boards;
#[cfg(unix)]
mod check;
#[cfg(unix)]
mod floor;
#[cfg(unix)]
mod frame;
#[cfg(unix)]
mod judge;
#[cfg(unix)]
mod key;
#[cfg(unix)]
mod pty;
#[cfg(unix)]
mod replay;
#[cfg(unix)]
mod setting;
#[cfg(unix)]
mod table;
#[cfg(unix)]
mod weight;

#[cfg(not(unix))]
fn main() {}

#[cfg(unix)]
fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.first().map(String::as_str) {
        Some(floor::EMPTY_FRAME) => floor::empty_frame().unwrap(),
        Some(floor::BARE_APPEND) => floor::bare_append(arguments[1].as_ref(), arguments[2].as_ref()).unwrap(),
        _ => measure(&arguments).unwrap(),
    }
}

#[cfg(unix)]
type Bench = fn(&mut table::Printed, &std::path::Path) -> std::io::Result<()>;

/// Names that can be asked for, and what each measures.
#[cfg(unix)]
const BENCHES: &[(&str, Bench)] = &[
    ("frame", frame::bench),
    ("key", key::bench),
    ("replay", replay::bench),
    ("judge", judge::bench),
    ("setting", setting::bench),
    ("check", check::bench),
    ("size", weight::bench),
];

#[cfg(unix)]
fn measure(arguments: &[String]) -> std::io::Result<()> {
    let mut table = table::Table::new(std::io::stdout());
    if !arguments.iter().any(|argument| argument == "--bench") {
        // `cargo test --all-targets` starts this too, and there a table would only take time
        return table.note("nothing is measured unless asked for by `cargo bench`");
    }
    let asked: Vec<&String> = arguments.iter().filter(|argument| !argument.starts_with('-')).collect();
    // not the folder for temporary files: that is often kept in memory, where `fdatasync` costs nothing
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    table.head()?;
    for (name, bench) in BENCHES {
        if asked.is_empty() || asked.iter().any(|word| name.contains(word.as_str())) {
            bench(&mut table, folder.path())?;
        }
    }
    table.foot()
}
