//! Commands: what is typed after `witnessmark`, what each does, and with which exit code it ends.
//!
//! Errors go to standard error; 2 is what the person can mend, 1 what went wrong, 0 everything else; a closed pipe
//! is no error. This is the only room that reads the environment. Deliberately absent: rules of the trade.

mod audit;
mod board;
mod end;
mod failure;
mod intact;
mod keeper;
mod overview;
mod places;
mod print;
mod revisit;
mod visit;

pub use places::Surroundings;

use clap::{Args, Parser, Subcommand};
use failure::Failure;
use std::ffi::OsString;
use std::io::{self, BufRead, Write};
use std::path::PathBuf;
use std::process::ExitCode;

/// Program and version, as they stand in records.
pub(crate) const PROGRAM: &str = concat!("witnessmark ", env!("CARGO_PKG_VERSION"));

/// Walks an electrician through every terminal of a distribution board and writes the record up as an appendix to
/// the certificate.
#[derive(Debug, Parser)]
#[command(name = "witnessmark", version, disable_help_subcommand = true)]
struct Typed {
    #[command(subcommand)]
    what: Option<What>,
    #[command(flatten)]
    records: Records,
}

#[derive(Debug, Args)]
struct Records {
    /// Folder in which records lie, instead of the usual one (see `places`)
    #[arg(long, value_name = "DIR")]
    records: Option<PathBuf>,
}

#[derive(Debug, Args)]
struct Face {
    /// A line a question and a line an answer, without full screen
    #[arg(long)]
    plain: bool,
    #[command(flatten)]
    records: Records,
}

#[derive(Debug, Subcommand)]
enum What {
    /// Walk a board, terminal by terminal; goes on with its open visit if there is one
    Walk {
        /// The board file
        board: PathBuf,
        #[command(flatten)]
        face: Face,
    },
    /// Come back to a board whose conductors were moved since; goes on with its open revisit if there is one
    Revisit {
        /// The board file; without one the place is entered and kept as one
        board: Option<PathBuf>,
        #[command(flatten)]
        face: Face,
    },
    /// Audit an existing board; goes on with its open audit if there is one
    Audit {
        /// The board file; where it is not there, the board is entered quickly and kept in it
        board: PathBuf,
        #[command(flatten)]
        face: Face,
    },
    /// Print what past visits say of a board, terminal by terminal
    Past {
        /// The board file
        board: PathBuf,
        #[command(flatten)]
        records: Records,
    },
    /// Practise on a demo board (or your own) with an invented tool; it never counts
    Rehearse {
        /// A board file instead of the demo board
        board: Option<PathBuf>,
        #[command(flatten)]
        face: Face,
    },
    /// Read board files and name everything that is wrong in them
    Check {
        /// Board files
        #[arg(required = true)]
        board: Vec<PathBuf>,
    },
    /// Print the appendix of the last closed visit, of a board, or of a record
    Appendix {
        /// A board file or a record
        of: Option<PathBuf>,
        /// Letters of ASCII only
        #[arg(long)]
        ascii: bool,
        #[command(flatten)]
        records: Records,
    },
    /// Check records for damage: every link, and the outcomes worked out again
    Intact {
        /// Records
        #[arg(required = true)]
        record: Vec<PathBuf>,
    },
    /// Print a commented demo board to start from
    Example,
    /// Say where files live
    Places {
        #[command(flatten)]
        records: Records,
    },
}

/// What a command talks to.
struct Talk<'a> {
    input: &'a mut dyn BufRead,
    out: &'a mut dyn Write,
    err: &'a mut dyn Write,
    around: Surroundings,
}

/// The whole program.
#[must_use]
pub fn main() -> ExitCode {
    let around = Surroundings::of_this_machine();
    let mut talk =
        Talk { input: &mut io::stdin().lock(), out: &mut io::stdout(), err: &mut io::stderr(), around };
    ExitCode::from(run(std::env::args_os(), &mut talk))
}

fn run(arguments: impl IntoIterator<Item = OsString>, talk: &mut Talk<'_>) -> u8 {
    let done = match Typed::try_parse_from(arguments) {
        Ok(typed) => carry_out(typed, talk),
        Err(usage) if usage.use_stderr() => {
            Err(Failure::Mend(usage.render().to_string().trim_end().to_owned()))
        }
        Err(help) => write!(talk.out, "{}", help.render()).map_err(Failure::from),
    };
    let done = done.and_then(|()| talk.out.flush().map_err(Failure::from));
    let Err(failure) = done else { return 0 };
    if let Some(message) = failure.message() {
        // where nobody reads errors either, the exit code still tells
        let _unread = writeln!(talk.err, "{message}");
    }
    failure.code()
}

impl What {
    /// Where the records folder of the command stands; nothing for commands that look at no records.
    fn records_mut(&mut self) -> Option<&mut Option<PathBuf>> {
        match self {
            Self::Walk { face, .. }
            | Self::Revisit { face, .. }
            | Self::Audit { face, .. }
            | Self::Rehearse { face, .. } => Some(&mut face.records.records),
            Self::Appendix { records, .. } | Self::Past { records, .. } | Self::Places { records } => {
                Some(&mut records.records)
            }
            Self::Check { .. } | Self::Intact { .. } | Self::Example => None,
        }
    }
}

fn carry_out(mut typed: Typed, talk: &mut Talk<'_>) -> Result<(), Failure> {
    // `--records` may stand before the command as well as behind it.
    if let Some(Some(records)) = typed.what.as_mut().map(What::records_mut)
        && records.is_none()
    {
        records.clone_from(&typed.records.records);
    }
    match typed.what {
        None => overview::start(talk, typed.records.records.as_deref()),
        Some(What::Walk { board, face }) => visit::walk(talk, &board, &face),
        Some(What::Revisit { board, face }) => revisit::revisit(talk, board.as_deref(), &face),
        Some(What::Audit { board, face }) => audit::audit(talk, &board, &face),
        Some(What::Past { board, records }) => revisit::past(talk, &board, records.records.as_deref()),
        Some(What::Rehearse { board, face }) => visit::rehearse(talk, board.as_deref(), &face),
        Some(What::Check { board }) => board::check(talk, &board),
        Some(What::Appendix { of, ascii, records }) => {
            print::appendix(talk, of.as_deref(), ascii, records.records.as_deref())
        }
        Some(What::Intact { record }) => intact::intact(talk, &record),
        Some(What::Example) => Ok(talk.out.write_all(crate::board_file::example().as_bytes())?),
        Some(What::Places { records }) => overview::places(talk, records.records.as_deref()),
    }
}
