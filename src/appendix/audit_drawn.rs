//! How an audit's sample was drawn, and what its thermal round read.

use super::letters::glued;
use super::sheet::{Row, Sheet, Table};
use super::words;
use crate::domain::audit::thermal::LOAD_MIN_PERCENT;
use crate::domain::names::TerminalName;
use crate::domain::record::{AlwaysInWhy, Plan, Thermal};
use crate::session::Visit;
use crate::session::audit::Picture;

/// Seed, rule, populations and blocks.
pub(super) fn drawn(visit: &Visit, picture: &Picture, sheet: &mut Sheet) {
    let drawn = &picture.drawn;
    sheet.heading("HOW IT WAS DRAWN");
    let seq = visit.audit().drawn.as_ref().map(|(seq, _)| words::line(*seq)).unwrap_or_default();
    sheet.entry("Seed", format!("{} ({seq})", glued(&drawn.seed)));
    sheet.entry("Rule", drawn.rule.clone());
    sheet.entry("By hand", "printf '%s %s' SEED 'TERMINAL NAME' | sha256sum, smallest first");
    sheet.entry(
        "Blocks",
        format!(
            "of {}, one after the other: any number of whole blocks from the first on is a random sample",
            drawn.block
        ),
    );
    for why in [
        AlwaysInWhy::Incoming,
        AlwaysInWhy::Neutral,
        AlwaysInWhy::MainEarth,
        AlwaysInWhy::Aluminium,
        AlwaysInWhy::Hot,
        AlwaysInWhy::SeenBad,
        AlwaysInWhy::Named,
    ] {
        let names: Vec<&TerminalName> =
            drawn.always_in.iter().filter(|entry| entry.why == why).map(|entry| &entry.terminal).collect();
        if !names.is_empty() {
            sheet.entry("Always in", format!("{}: {}", why.words(), words::terminals(names)));
        }
    }
    sheet.entry("Remainder", words::terminals(&drawn.remainder));
    drawn_from(picture, sheet);
    let block = usize::try_from(drawn.block).unwrap_or(1).max(1);
    let terminals: Vec<&TerminalName> = drawn.of_remainder().collect();
    for (number, names) in (1_usize..).zip(terminals.chunks(block)) {
        sheet.entry(&format!("Block {number}"), words::terminals(names.iter().copied()));
    }
    if terminals.is_empty() {
        sheet.entry("Drawn", "none of the remainder");
    }
    let fingers: Vec<&TerminalName> = drawn.fingers().collect();
    if !fingers.is_empty() {
        sheet.entry("Fingers", format!("by the same rule, for the tool: {}", words::terminals(fingers)));
    }
    for (seq, escalated) in visit.audit().escalated.iter().filter(|(_, escalated)| escalated.yes) {
        sheet.entry("Added", format!("{} ({})", words::terminals(&escalated.terminals), words::line(*seq)));
    }
}

/// Which part of the remainder was drawn from, where the tool cannot be put on all of it.
fn drawn_from(picture: &Picture, sheet: &mut Sheet) {
    let not = picture.not_for_tool;
    let Some(moved) = picture.moved.filter(|_| not > 0) else { return };
    let all = moved.sampled.remainder;
    sheet.entry(
        "Drawn from",
        match picture.claimed.plan {
            Plan::TugEverything => {
                format!("the {all} of it that the tool can be put on: the sample is the tool's alone")
            }
            Plan::SampleBoth => format!(
                "all of it, for every one can be bad; the {not} of it that the tool cannot be put on are left out of \
                 what is claimed of moved, for which those drawn among the {all} others are a random sample"
            ),
        },
    );
}

/// The thermal round, a row a reading.
pub(super) fn thermal(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("THERMAL ROUND");
    let facts = &visit.audit().thermal;
    let rows: Vec<Row> = facts
        .iter()
        .filter_map(|(_, thermal)| match thermal {
            Thermal::Reading(r) => Some(Row::Cells(vec![vec![
                r.terminal.0.clone(),
                r.temperature_c.to_string(),
                format!("{}, {}", r.compared_c, r.over.words()),
                format!("{} of {}", r.load_a, r.rated_a),
                r.exponent.to_string(),
                r.corrected_k.to_string(),
                r.class.words().to_owned(),
            ]])),
            Thermal::Over { .. } | Thermal::NotTaken { .. } => None,
        })
        .collect();
    for (seq, thermal) in facts {
        match thermal {
            Thermal::Over { camera } => {
                sheet.text(format!("Before isolation, on load, with {camera} ({}).", words::line(*seq)));
            }
            Thermal::NotTaken { why } => {
                sheet.text(format!("None: {why} ({}).", words::line(*seq)));
            }
            Thermal::Reading(_) => {}
        }
    }
    if facts.is_empty() {
        sheet.text("Not said yet.");
    }
    if rows.is_empty() {
        if visit.audit().thermal_over() && !facts.iter().any(|(_, t)| matches!(t, Thermal::NotTaken { .. })) {
            sheet.text("No terminal stood out.");
        }
        return;
    }
    sheet.text(format!(
        "Rise at rated load = rise x (rated / load)^exponent (infrared training institute: 1.6 to 2); class by \
         ANSI/NETA ATS and MTS, Table 100.18, between two classes the higher one (our choice); refused below \
         {LOAD_MIN_PERCENT} % of the rated current. From probable deficiency on, a terminal joins the always-in \
         list (our own rule)."
    ));
    sheet.gap();
    sheet.table(Table {
        widths: vec![14, 5, 14, 9, 4, 7, 19],
        heads: vec!["terminal", "C", "compared, C", "A", "exp", "K", "class"],
        rows,
    });
}
