//! Commands: what is typed after `witnessmark`, what each does, and with which exit code it ends.
//!
//! Errors go to standard error; 2 is what the person can mend, 1 what went wrong, 0 everything else; a closed pipe
//! is no error. This is the only room that reads the environment. Deliberately absent: rules of the trade.

mod audit;
mod board;
mod day;
mod end;
mod failure;
mod folded;
mod intact;
mod keeper;
mod known;
mod lines;
mod offers;
mod overview;
pub mod pack;
mod pages;
mod place;
mod places;
mod print;
mod revisit;
pub mod setting;
pub mod toolbox;
mod tools;
mod visit;

pub use places::Surroundings;

use crate::domain::record::VisitKind;
use clap::{Args, Parser, Subcommand};
use day::OnDay;
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
    face: Face,
    #[command(flatten)]
    tools: ToolsNamed,
}

#[derive(Debug, Args)]
struct Records {
    /// Folder in which records lie, instead of the usual one (see `places`)
    #[arg(long, value_name = "DIR")]
    records: Option<PathBuf>,
}

#[derive(Debug, Args)]
struct ToolsNamed {
    /// Tools file, instead of the usual one (see `places`)
    #[arg(long, value_name = "FILE")]
    tools: Option<PathBuf>,
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
        #[command(flatten)]
        tools: ToolsNamed,
    },
    /// Come back to a board whose conductors were moved since; goes on with its open revisit if there is one
    Revisit {
        /// The board file; without one the place is entered and kept as one
        board: Option<PathBuf>,
        #[command(flatten)]
        face: Face,
        #[command(flatten)]
        tools: ToolsNamed,
    },
    /// Audit an existing board; goes on with its open audit if there is one
    Audit {
        /// The board file; where it is not there, the board is entered quickly and kept in it
        board: PathBuf,
        #[command(flatten)]
        face: Face,
        #[command(flatten)]
        tools: ToolsNamed,
    },
    /// Print what past visits say of a board, terminal by terminal
    Past {
        /// The board file
        board: PathBuf,
        #[command(flatten)]
        records: Records,
    },
    /// Practise a first visit, or a revisit or an audit, on a demo board (or your own) with an invented tool; it never
    /// counts
    Rehearse {
        /// A board file instead of the demo board
        board: Option<PathBuf>,
        /// Come back to the board instead: a revisit
        #[arg(long, conflicts_with = "audit")]
        revisit: bool,
        /// Audit the board instead
        #[arg(long)]
        audit: bool,
        #[command(flatten)]
        face: Face,
    },
    /// Look at the torque tools: add, calibrate, doubt, retire; what was done with a tool that is in question
    Tools {
        /// Only print what was done with this tool in the time that is in question (name or serial number); where a
        /// laboratory found it out, every reading is judged anew
        #[arg(long, value_name = "NAME")]
        look_back: Option<String>,
        #[command(flatten)]
        face: Face,
        #[command(flatten)]
        tools: ToolsNamed,
    },
    /// Read board files and tools files and name everything that is wrong in them
    Check {
        /// Board files or tools files
        #[arg(required = true, value_name = "FILE")]
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
    /// Say what to set on a torque tool for a value, and what it really applies then
    Setting {
        /// Name or serial number of the tool; without it every tool is compared
        #[arg(long, value_name = "NAME")]
        tool: Option<String>,
        /// The torque at the screw with its unit: "2.5 N.m"
        #[arg(required = true, num_args = 1..=2, value_name = "VALUE", allow_negative_numbers = true)]
        value: Vec<String>,
        #[command(flatten)]
        on: OnDay,
        #[command(flatten)]
        records: Records,
        #[command(flatten)]
        tools: ToolsNamed,
    },
    /// Say what to take along for a board: tools and settings, bits, ferrules, what to find out about
    Pack {
        /// The board file
        board: PathBuf,
        #[command(flatten)]
        on: OnDay,
        #[command(flatten)]
        records: Records,
        #[command(flatten)]
        tools: ToolsNamed,
    },
    /// Print a commented demo board to start from
    Example {
        /// A demo tools file instead
        #[arg(long)]
        tools: bool,
    },
    /// Say where files live
    Places {
        #[command(flatten)]
        records: Records,
        #[command(flatten)]
        tools: ToolsNamed,
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
    if let Some(rules) = &around.zone_rules {
        crate::clock::go_by(rules);
    }
    let (mut plain, mut folding) = (io::stderr(), folded::Folding::new(io::stderr()));
    let err: &mut dyn Write = if around.told { &mut folding } else { &mut plain };
    let (mut whole, mut broken) = (io::stdout(), folded::Folding::new(io::stdout()));
    let out: &mut dyn Write = if around.looked_at { &mut broken } else { &mut whole };
    let mut talk = Talk { input: &mut io::stdin().lock(), out, err, around };
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
    /// The face of the command; nothing for commands that only print.
    fn face_mut(&mut self) -> Option<&mut Face> {
        match self {
            Self::Walk { face, .. }
            | Self::Revisit { face, .. }
            | Self::Audit { face, .. }
            | Self::Rehearse { face, .. }
            | Self::Tools { face, .. } => Some(face),
            Self::Appendix { .. }
            | Self::Past { .. }
            | Self::Places { .. }
            | Self::Setting { .. }
            | Self::Pack { .. }
            | Self::Check { .. }
            | Self::Intact { .. }
            | Self::Example { .. } => None,
        }
    }

    /// Where the records folder of the command stands; nothing for commands that look at no records.
    fn records_mut(&mut self) -> Option<&mut Option<PathBuf>> {
        match self {
            Self::Walk { face, .. }
            | Self::Revisit { face, .. }
            | Self::Audit { face, .. }
            | Self::Rehearse { face, .. }
            | Self::Tools { face, .. } => Some(&mut face.records.records),
            Self::Appendix { records, .. }
            | Self::Past { records, .. }
            | Self::Places { records, .. }
            | Self::Setting { records, .. }
            | Self::Pack { records, .. } => Some(&mut records.records),
            Self::Check { .. } | Self::Intact { .. } | Self::Example { .. } => None,
        }
    }
}

impl What {
    /// Where the tools file of the command stands; nothing for commands that look at none.
    fn tools_mut(&mut self) -> Option<&mut Option<PathBuf>> {
        match self {
            Self::Walk { tools, .. }
            | Self::Revisit { tools, .. }
            | Self::Audit { tools, .. }
            | Self::Tools { tools, .. }
            | Self::Places { tools, .. }
            | Self::Setting { tools, .. }
            | Self::Pack { tools, .. } => Some(&mut tools.tools),
            Self::Rehearse { .. }
            | Self::Past { .. }
            | Self::Appendix { .. }
            | Self::Check { .. }
            | Self::Intact { .. }
            | Self::Example { .. } => None,
        }
    }
}

fn carry_out(mut typed: Typed, talk: &mut Talk<'_>) -> Result<(), Failure> {
    // `--records`, `--tools` and `--plain` may stand before the command as well as behind it.
    if let Some(Some(records)) = typed.what.as_mut().map(What::records_mut)
        && records.is_none()
    {
        records.clone_from(&typed.face.records.records);
    }
    if let Some(face) = typed.what.as_mut().and_then(What::face_mut) {
        face.plain |= typed.face.plain;
    }
    if let Some(Some(tools)) = typed.what.as_mut().map(What::tools_mut)
        && tools.is_none()
    {
        tools.clone_from(&typed.tools.tools);
    }
    match typed.what {
        None => overview::start(talk, &typed.face, typed.tools.tools.as_deref()),
        Some(What::Tools { look_back: Some(tool), face, tools }) => {
            tools::look_back(talk, &tool, &face, tools.tools.as_deref())
        }
        Some(What::Tools { look_back: None, face, tools }) => {
            tools::tools(talk, &face, tools.tools.as_deref())
        }
        Some(What::Walk { board, face, tools }) => visit::walk(talk, &board, &face, tools.tools.as_deref()),
        Some(What::Revisit { board, face, tools }) => {
            revisit::revisit(talk, board.as_deref(), &face, tools.tools.as_deref())
        }
        Some(What::Audit { board, face, tools }) => audit::audit(talk, &board, &face, tools.tools.as_deref()),
        Some(What::Past { board, records }) => revisit::past(talk, &board, records.records.as_deref()),
        Some(What::Rehearse { board, revisit, audit, face }) => {
            let kind = match (revisit, audit) {
                (true, _) => VisitKind::Revisit,
                (false, true) => VisitKind::Audit,
                (false, false) => VisitKind::First,
            };
            visit::rehearse(talk, board.as_deref(), kind, &face)
        }
        Some(What::Check { board }) => board::check(talk, &board),
        Some(What::Appendix { of, ascii, records }) => {
            print::appendix(talk, of.as_deref(), ascii, records.records.as_deref())
        }
        Some(What::Setting { tool, value, on, records, tools }) => {
            setting::setting(talk, tool.as_deref(), &value, on.day()?, (&records, &tools))
        }
        Some(What::Pack { board, on, records, tools }) => {
            pack::pack(talk, &board, on.day()?, (&records, &tools))
        }
        Some(What::Intact { record }) => intact::intact(talk, &record),
        Some(What::Example { tools }) => {
            let text = if tools { crate::tools_file::example() } else { crate::board_file::example() };
            Ok(talk.out.write_all(text.as_bytes())?)
        }
        Some(What::Places { records, tools }) => {
            overview::places(talk, records.records.as_deref(), tools.tools.as_deref())
        }
    }
}
