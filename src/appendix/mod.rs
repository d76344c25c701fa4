//! The appendix to the certificate: plain text, 80 columns, pages of 60 lines, from the record alone.
//!
//! The same record and the same version of the program give the same bytes. What a number rests on stands beside
//! it: unit, source, rule, line of the record. Which facts are chosen stands in `top`, `frame`, `rules`, `amended`,
//! `settings`, `scales`, `reckoned`, `fit`, `rows`, `settled`, `findings` and `closing`; how they stand on the page in `page` and `letters`. Deliberately absent: the
//! columns of any model schedule, ticks and crosses, and any claim beyond what was recorded.

#![allow(
    clippy::wildcard_enum_match_arm,
    reason = "a section names the few kinds of fact it is about; `words`, which must miss none, names all"
)]

mod amended;
mod audit;
mod audit_drawn;
mod audit_rows;
mod closing;
mod doubtful;
mod findings;
mod fit;
mod frame;
mod letters;
mod looked;
mod page;
mod past;
mod reckoned;
mod revisit;
mod revisit_rows;
mod rows;
mod rules;
mod scales;
mod settings;
mod settled;
mod sheet;
mod top;
mod words;

pub(crate) use letters::{GLUE, glued};
pub(crate) use page::wrap;

use crate::domain::board::Board;
use crate::session::past::Past;
use crate::session::{Ended, Visit};

/// How it is printed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// Letters of ASCII only: accents are dropped, what has no plain letter becomes `?`.
    pub ascii: bool,
}

/// The whole appendix of a visit as it stands; pages parted by form feeds, every line ended by a line feed. Empty
/// for a visit without its first line.
#[must_use]
pub fn print(visit: &Visit, options: Options) -> String {
    let Some(opened) = visit.opened() else { return String::new() };
    let board = &opened.board;
    let day = visit.lines().first().map(|line| line.time.day()).unwrap_or_default();
    let head = page::Head {
        board: words::both_or_one("  ", board.reference.as_str(), board.title.as_str()),
        visit: format!("{}, record {}, {day}", opened.visit.called(), opened.id),
        banner: banner(visit),
    };
    let mut sheet = sheet::Sheet::default();
    let numbered = settings::of(visit);
    top::write(visit, &mut sheet);
    if audit::is(visit) {
        audit::write(visit, &mut sheet);
        frame::write(visit, &mut sheet);
        amended::write(visit, &mut sheet);
        rows::circuits(visit, &mut sheet);
    } else {
        frame::write(visit, &mut sheet);
        rules::write(visit, &mut sheet);
        amended::write(visit, &mut sheet);
        revisit::write(visit, &mut sheet);
        settings::write(visit, &numbered, &mut sheet);
        fit::write(visit, &mut sheet);
        rows::write(visit, &numbered, &mut sheet);
        settled::write(visit, &mut sheet);
    }
    findings::write(visit, &mut sheet);
    closing::write(visit, &mut sheet);
    if let Some(said) = closing::letters(&sheet, &[&head.board, &head.visit], options.ascii) {
        sheet.text(said);
    }
    page::print(&sheet, &head, options.ascii)
}

/// Past visits of a board, as pages.
#[must_use]
pub fn past_text(past: &Past, board: &Board) -> String {
    let head = page::Head {
        board: words::both_or_one("  ", board.reference.as_str(), board.title.as_str()),
        visit: "past visits".into(),
        banner: String::new(),
    };
    page::print(&past::past(past, board), &head, false)
}

/// What every page has to say.
fn banner(visit: &Visit) -> String {
    let ended = match visit.ended() {
        None => Some("NOT CLOSED"),
        Some(Ended::Abandoned(_)) => Some("ABANDONED"),
        Some(Ended::Closed(_)) => None,
    };
    let rehearsal = visit.is_rehearsal().then_some("REHEARSAL");
    rehearsal.into_iter().chain(ended).collect::<Vec<_>>().join(", ")
}
