//! How torques are judged, and what the words claim; nothing more than that.

use super::sheet::Sheet;
use super::words;
use crate::domain::limits::Basis;
use crate::domain::reckon::decision::worst_risk_words;
use crate::domain::record::Fact;
use crate::domain::stated::Stated;
use crate::domain::verdict::DecisionRule;
use crate::session::Visit;

/// The decision rule, the bases that occur, what is not claimed.
pub(super) fn write(visit: &Visit, sheet: &mut Sheet) {
    let Some(opened) = visit.opened() else { return };
    sheet.heading("HOW IT IS JUDGED");
    sheet.entry(
        "Decision rule",
        format!(
            "{}. {}. Fixed when the visit was opened, rules version {}",
            opened.decision_rule.words(),
            risk(opened.decision_rule),
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
                "{}. As set says: the calibration of the tool was stated and good on the day, and its scale was read \
                 before and after the work, each time within half a graduation of the required setting. Nothing \
                 more is claimed: no guard band, no probability.",
                Basis::Single.words()
            ),
        );
    }
    if stated.iter().any(|stated| !matches!(stated, Stated::Single { .. })) {
        sheet.entry("With limits", with_limits(opened.decision_rule));
    }
    if let Some(own) = opened.own_tolerance {
        sheet.entry(
            "Own tolerance",
            format!(
                "{}: readings on one value may lie within +/- {} % of it. That is the firm's own rule, fixed when \
                 the visit was opened, not the maker's; nothing is taken off it for the error of the tool (simple \
                 acceptance), so that {}",
                Basis::OwnTolerance.words(),
                own.0,
                worst_risk_words(DecisionRule::SimpleAcceptance)
            ),
        );
    }
    reckoning(&stated, sheet);
    let others = other_rules(visit, opened.rules);
    if !others.is_empty() {
        sheet.entry("Rules", format!("other versions of the rules: {}", others.join(", ")));
    }
}

/// What is aimed at and set, and what the error of it is.
fn reckoning(stated: &[&Stated], sheet: &mut Sheet) {
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
        "Error",
        "of an applied torque: normal, W/200 of it (k = 2), from a certificate that states W, and drift as a \
         rectangle (half the class limit until the tool's own history says better; our choice); else one rectangle \
         of the limit of its class of ISO 6789-1. Between the points of a calibration on a straight line, beyond \
         them nothing. It is common to all terminals of a setting and stands once, there. Given is the half-width \
         that covers 95.45 % of it.",
    );
    sheet.entry(
        "Calibration",
        "good for 12 months or 5000 operations from first use, whichever comes first, or the owner's own interval \
         where one is stated; operations are those recorded and those stated.",
    );
    sheet.entry(
        "Not claimed",
        "how the person used the tool is in no number here. A word says what the tool applied as far as its \
         calibration tells, not what clamping force the screw received.",
    );
}

/// What a rule leaves at worst.
fn risk(rule: DecisionRule) -> String {
    let words = worst_risk_words(rule);
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}", first.to_uppercase(), letters.as_str()))
}

/// What the words mean under a rule.
fn with_limits(rule: DecisionRule) -> String {
    let first =
        "range, tolerance or at most, as the maker states it; ends included, compared as exact decimals. ";
    let words = match rule {
        DecisionRule::GuardedFourWords => {
            "Pass: what was applied lies within the limits by at least the error of the tool (the guard band). \
             Conditional pass: within, but not by so much. Conditional fail: outside, but by no more than that. Fail: \
             outside beyond it (ILAC-G8:09/2019)."
        }
        DecisionRule::GuardedTwoWords => {
            "Pass: what was applied lies within the limits by at least the error of the tool (the guard band). Fail: \
             it does not (ILAC-G8:09/2019). Where nothing is stated of that error, what lies within passes \
             conditionally."
        }
        DecisionRule::SimpleAcceptance => {
            "Pass: what was applied lies within the limits. Fail: it does not. The limits are not narrowed by the \
             error of the tool (ILAC-G8:09/2019)."
        }
    };
    format!("{first}{words}")
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
