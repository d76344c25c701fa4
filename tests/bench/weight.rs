//! Size of the program as it is shipped.

use super::pty::PROGRAM;
use super::table::Printed;
use std::io;
use std::path::Path;

pub(crate) fn bench(table: &mut Printed, _folder: &Path) -> io::Result<()> {
    let bytes = std::fs::metadata(PROGRAM)?.len();
    table.figure("size of the stripped program", &format!("{:.2} MB", bytes as f64 / 1e6), "under 4 MB")
}
