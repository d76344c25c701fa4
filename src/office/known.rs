//! What is known on this machine, as the pages need it: plain data that `cli` gathers.

use crate::domain::calibration::{Calibration, Interval, Running};
use crate::domain::record::{Outcome, VisitKind};
use crate::domain::tool::Tool;
use crate::session::Counts;
use jiff::civil::Date;

/// How a visit ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// It did not: it was left open.
    LeftOpen,
    /// Closed at sign-off.
    Closed,
    /// Abandoned, with a reason.
    Abandoned,
}

impl Ended {
    /// In a word or two.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::LeftOpen => "left open",
            Self::Closed => "closed",
            Self::Abandoned => "abandoned",
        }
    }
}

/// A visit that is recorded here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KnownVisit {
    /// Id of its record.
    pub id: String,
    /// Site of its board.
    pub site: String,
    /// Reference of its board.
    pub board: String,
    /// Kind.
    pub kind: VisitKind,
    /// Day on which it was opened, `2026-11-25`.
    pub day: String,
    /// How it ended.
    pub ended: Ended,
    /// Where its terminals stand.
    pub counts: Counts,
    /// Folder of its record.
    pub folder: String,
    /// Name of its record there.
    pub record: String,
    /// Name of the appendix beside it, where there is one.
    pub appendix: Option<String>,
}

impl KnownVisit {
    /// Whether two visits are of the same board.
    #[must_use]
    pub fn same_board(&self, other: &Self) -> bool {
        (&self.site, &self.board) == (&other.site, &other.board)
    }

    /// Its site; a place that was entered without a board file has one name for all.
    #[must_use]
    pub fn where_it_is(&self) -> String {
        if self.site == self.board { "entered at the place".into() } else { self.site.clone() }
    }

    /// Kind and day, `first visit of 2026-11-25`.
    #[must_use]
    pub fn words(&self) -> String {
        format!("{} of {}", self.kind.called(), self.day)
    }
}

/// A board file that was found here, of a board that is recorded here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoardFile {
    /// Site of its board.
    pub site: String,
    /// Reference of its board.
    pub board: String,
    /// Its path, as it is named to a command.
    pub path: String,
    /// How it differs from the board as last recorded, or why it cannot be read; nothing where it is the same.
    pub differs: Option<String>,
}

/// A tool that was in hand here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToolHere {
    /// As it stands in the tools file, else as last stated.
    pub tool: Tool,
    /// Why it is doubted, where it is.
    pub doubted: Option<String>,
    /// Operations since its last calibration: those recorded here and those stated.
    pub operations: u64,
}

/// Everything that is known here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Known {
    /// Today, where this machine is.
    pub today: Date,
    /// Visits, the latest opened last; rehearsals are none.
    pub visits: Vec<KnownVisit>,
    /// Board files of boards that are recorded here.
    pub board_files: Vec<BoardFile>,
    /// Tools in use: those of the tools file, then others of the last visits; each serial number once.
    pub tools: Vec<ToolHere>,
    /// The records folder.
    pub records: String,
    /// Why the tools file cannot be read, where it cannot.
    pub tools_unreadable: Option<String>,
    /// Files there that cannot be read; why, and what to do.
    pub unreadable: Vec<String>,
}

/// Counts of outcomes that were fixed at closing.
#[must_use]
pub fn counted(outcomes: &[Outcome]) -> Counts {
    let of = |wanted: Outcome| outcomes.iter().filter(|outcome| **outcome == wanted).count();
    Counts {
        all: outcomes.len(),
        open: of(Outcome::Open),
        scale_to_be_read: 0,
        settling: of(Outcome::Settling),
        complete: of(Outcome::Complete),
        with_remark: of(Outcome::CompleteWithRemark),
        aside: of(Outcome::SetAside),
        not_in_scope: of(Outcome::NotInScope),
    }
}

/// Terminals by outcome, in words; what there is none of is not named.
pub(super) fn counts_in_words(counts: &Counts) -> String {
    let parts = [
        (counts.open, "open"),
        (counts.settling, "settling"),
        (counts.complete, "complete"),
        (counts.with_remark, "with remark"),
        (counts.aside, "set aside"),
    ];
    let parts: Vec<String> = parts
        .iter()
        .filter(|(number, _)| *number > 0)
        .map(|(number, words)| format!("{number} {words}"))
        .collect();
    format!("{} terminals: {}", counts.all, parts.join(", "))
}

/// How long the calibration of a tool stays valid, in words; and whether that needs the person.
#[must_use]
pub fn calibration(
    last: Option<&Calibration>,
    interval: Option<Interval>,
    done: u64,
    today: Date,
) -> (String, bool) {
    let Some(due) = last.and_then(|calibration| calibration.due(interval)) else {
        return ("calibration not stated".into(), true);
    };
    let made = last.and_then(|calibration| calibration.date.parse::<Date>().ok());
    if let Some(made) = made.filter(|made| *made > today) {
        return (format!("calibrated only on {made}, after that day"), true);
    }
    let until = due.until;
    let days = today.until(until).map_or(0, |span| span.get_days());
    let left = due.operations.saturating_sub(done);
    let words = match (due.stands(today, done), days) {
        (Running::Over, _) => format!("lapsed since {until}"),
        (Running::UsedUp, _) => {
            format!("its {} operations are used up; else valid until {until}", due.operations)
        }
        (_, 0) => format!("valid until {until}, its last day; {left} operations left"),
        (_, 1) => format!("valid until {until}, 1 day and {left} operations left"),
        (_, days) => format!("valid until {until}, {days} days and {left} operations left"),
    };
    (words, due.stands(today, done) != Running::Good)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::record::Outcome;

    #[test]
    fn outcomes_are_counted_and_named_where_there_are_any() {
        let outcomes = [Outcome::Complete, Outcome::Complete, Outcome::SetAside];
        assert_eq!(counts_in_words(&counted(&outcomes)), "3 terminals: 2 complete, 1 set aside");
    }
}
