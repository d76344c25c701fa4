//! What a key of the table means in a visit of its kind: a coming back asks the same words of other things, and an audit
//! mends nothing.

use super::{Does, KeyRow};
use crate::domain::record::VisitKind;
use crate::session::desk::Command;

/// What a key does in a visit of a kind, in words; nothing where it means nothing there.
#[must_use]
pub fn of_visit(row: &KeyRow, kind: VisitKind) -> Option<&'static str> {
    match kind {
        VisitKind::First => Some(row.words),
        VisitKind::Revisit => Some(at_revisit(row)),
        VisitKind::Audit => at_audit(row),
    }
}

#[allow(clippy::wildcard_enum_match_arm, reason = "only what differs from the table is named")]
fn at_revisit(row: &KeyRow) -> &'static str {
    match row.does {
        Does::Observe("right") => "right: the look, nothing is wrong; the entry",
        Does::Observe("wrong") => "wrong: the look, or the entry; asks what is wrong",
        Does::Observe("held") => "held: the screw before the click, or after settling; the mark, last look",
        Does::Observe("moved") => "moved: the screw before the click, or after settling; the mark, last look",
        Does::Observe("not visible") => "not visible: the look; the witness mark",
        Does::Observe("clicked") => "clicked: the tool, where it is made off anew",
        Does::Observe("firm") => "firm: the tug, as it was found or made off",
        _ => row.words,
    }
}

#[allow(clippy::wildcard_enum_match_arm, reason = "only what differs from the table is named")]
fn at_audit(row: &KeyRow) -> Option<&'static str> {
    Some(match row.does {
        Does::Observe("right") => "right: the look, nothing is wrong",
        Does::Observe("wrong") => "wrong: the look; asks what is wrong",
        Does::Observe("not visible") => "not visible: the look; the mark, last look",
        Does::Observe("held") => "held: the screw under the tool; the mark, last look",
        Does::Observe("moved") => "moved: the screw under the tool; the mark, last look",
        Does::Observe("not used") => "not used: the witness mark, last look",
        Does::Observe("firm") => "firm: the tug, as it was found",
        Does::Observe("seated" | "clicked" | "made")
        | Does::Do(Command::Row | Command::Alike | Command::Disturbed | Command::Remake) => return None,
        _ => row.words,
    })
}
