//! How torques are judged, and what the words claim; nothing more than that.

use super::sheet::Sheet;
use super::words;
use crate::domain::limits::Basis;
use crate::domain::record::Fact;
use crate::domain::stated::Stated;
use crate::session::Visit;

/// The decision rule, the bases that occur, what is not claimed.
pub(super) fn write(visit: &Visit, sheet: &mut Sheet) {
    let Some(opened) = visit.opened() else { return };
    sheet.heading("HOW IT IS JUDGED");
    sheet.entry(
        "Decision rule",
        format!(
            "{}; fixed when the visit was opened, rules version {}",
            opened.decision_rule.words(),
            opened.rules
        ),
    );
    let stated: Vec<&Stated> = visit
        .terminals()
        .filter_map(|(_, terminal, _)| opened.board.torque_row(terminal))
        .map(|row| &row.stated)
        .collect();
    if stated.iter().any(|stated| matches!(stated, Stated::Single { .. })) {
        sheet.entry(
            "One value",
            format!(
                "{}. As set says: the calibration of the tool was stated and not older than 12 months on the day, \
                 and its scale was read before and after the work, each time within half a graduation of the \
                 required setting. Nothing more is claimed.",
                Basis::Single.words()
            ),
        );
    }
    if stated.iter().any(|stated| !matches!(stated, Stated::Single { .. })) {
        sheet.entry(
            "With limits",
            "range, tolerance or at most, as the maker states it. Pass says: the setting of a tool whose scale \
             agreed at both ends, or the reading of an indicating tool, lies within the limits, ends included, \
             compared as exact decimals. Fail says: it does not. The limits were not narrowed by the tool's error.",
        );
    }
    if let Some(own) = opened.own_tolerance {
        sheet.entry(
            "Own tolerance",
            format!(
                "{}: readings on one value may lie within +/- {} % of it. That is the firm's own rule, fixed when \
                 the visit was opened, not the maker's",
                Basis::OwnTolerance.words(),
                own.0
            ),
        );
    }
    let mut aims = vec!["the maker's value"];
    if stated.iter().any(|stated| matches!(stated, Stated::Range { .. })) {
        aims.push("within a range the value its maker recommends, else the middle (our choice)");
    }
    if stated.iter().any(|stated| matches!(stated, Stated::AtMost { .. })) {
        aims.push("where the maker says at most, an aim of our own that the board file names");
    }
    sheet.entry("Aimed at", format!("{}.", aims.join("; ")));
    sheet.entry(
        "Setting",
        "the mark of the scale nearest to the aim (our choice; a tie goes up). Units are converted by their exact \
         definitions.",
    );
    sheet.entry(
        "Not claimed",
        "the error of a setting is not reckoned in this version: neither the tool's calibration error nor how the \
         person used it is in any word or number here. A word says how the tool stood, not what torque the screw \
         received.",
    );
    let others = other_rules(visit, opened.rules);
    if !others.is_empty() {
        sheet.entry("Rules", format!("other versions of the rules: {}", others.join(", ")));
    }
}

/// Torques that were judged by another version than the one at the opening.
fn other_rules(visit: &Visit, rules: u32) -> Vec<String> {
    visit
        .lines()
        .iter()
        .filter_map(|line| match &line.fact {
            Fact::Torqued(f) if f.rules != rules => {
                Some(format!("{} by version {}", words::line(line.seq), f.rules))
            }
            _ => None,
        })
        .collect()
}
