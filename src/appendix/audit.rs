//! What an audit adds to the page: claim, populations, bounds, draw, thermal round, findings, limitations.
//!
//! Bounds are *as found* and stand beside what they rest on. Deliberately absent: any code or grade worked out by the
//! program, and any word about a terminal that was not looked at.

use super::letters::glued;
use super::sheet::{Row, Sheet, Table};
use super::words;
use crate::domain::audit::thermal::LOAD_MIN_PERCENT;
use crate::domain::names::TerminalName;
use crate::domain::record::{AlwaysInWhy, Drawn, Escalated, Fact, Plan, Thermal, ToolReach, VisitKind};
use crate::session::audit::{
    Bounded, Part, Picture, ResultWord, found_at, part_at, picture, tool_fits, words as said,
};
use crate::session::{Visit, replay};
use rust_decimal::Decimal;

/// Whether the page is about an audit.
pub(super) fn is(visit: &Visit) -> bool {
    visit.kind() == VisitKind::Audit
}

/// What it shows, first of all; then what that rests on.
pub(super) fn write(visit: &Visit, sheet: &mut Sheet) {
    numbers(visit, sheet);
    claim(visit, sheet);
    if let Some(picture) = picture(visit) {
        shows(visit, &picture, sheet);
        drawn(visit, &picture.drawn, sheet);
    } else {
        sheet.heading("WHAT THE AUDIT SHOWS");
        sheet.text("Nothing: no sample was drawn. What was looked at stands below.");
    }
    thermal(visit, sheet);
    super::audit_rows::write(visit, sheet);
    limitations(visit, sheet);
}

fn numbers(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("IN NUMBERS");
    let all: Vec<(Part, ResultWord, bool)> = visit
        .terminals()
        .map(|(at, _, _)| {
            let found = found_at(visit, at);
            (part_at(visit, at), found.word, found.bad)
        })
        .collect();
    let of = |part: Part| all.iter().filter(move |(known, _, _)| *known == part);
    sheet.entry(
        "Terminals",
        format!(
            "{}: {} with conductors; {} fingers, links or bolted stabs, claimed apart; {} spare, not part of the \
             audit",
            all.len(),
            of(Part::Conductors).count(),
            of(Part::Finger).count(),
            of(Part::Spare).count()
        ),
    );
    let listed: Vec<String> = ResultWord::ALL
        .into_iter()
        .map(|word| (word, of(Part::Conductors).filter(|(_, known, _)| *known == word).count()))
        .filter(|(_, count)| *count > 0)
        .map(|(word, count)| glued(&format!("{count} {}", word.words())))
        .collect();
    sheet.entry("Results", listed.join(", "));
    sheet.entry(
        "Bad",
        format!("{} of all: {}", all.iter().filter(|(_, _, bad)| *bad).count(), bad_means(visit)),
    );
}

fn bad_means(visit: &Visit) -> &'static str {
    let tugged = visit.audit().claimed().is_none_or(|claimed| claimed.tug);
    if tugged { said::BAD } else { said::BAD_UNTUGGED }
}

fn claim(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("WHAT WAS TO BE CLAIMED");
    let Some((seq, claimed)) = visit.audit().claim.as_ref() else {
        sheet.text("Nothing was claimed yet.");
        return;
    };
    sheet.entry("Claim", format!("{} ({})", said::claim(claimed), words::line(*seq)));
    sheet.entry("Plan", claimed.plan.words());
    sheet.entry("Bad is", format!("{}, and nothing else", bad_means(visit)));
    sheet.entry(
        "Moved is",
        "the screw turned before the tool reached what it was taken to. Old copper travels a little: it is counted \
         apart, with a bound of its own, and is no defect by itself. What is loose under a tug counts as moved too \
         (our own rule)",
    );
    sheet.entry("Tool", claimed.tool.words());
    let load = match claimed.load_percent {
        Some(load) => format!("board at {load} % of its rated current"),
        None => "load not known, or none".into(),
    };
    sheet.entry(
        "There was",
        format!("{} min, {} of them without supply; {load}", claimed.minutes, claimed.minutes_without_supply),
    );
    let tug = claimed.minutes_a_tug;
    let tool = claimed.minutes_a_tool;
    let estimate = match (claimed.tug, claimed.tool) {
        (false, ToolReach::NotUsed) => return,
        (true, ToolReach::NotUsed) => format!("{tug} min a terminal for tugging"),
        (true, _) => format!("{tug} min a terminal for tugging, {tool} min with the tool"),
        (false, _) => format!("{tool} min a terminal with the tool"),
    };
    sheet.entry("Estimate", format!("{estimate}, as the person estimated them"));
}

fn shows(visit: &Visit, picture: &Picture, sheet: &mut Sheet) {
    sheet.heading("WHAT THE AUDIT SHOWS");
    if picture.is_provisional() {
        sheet.text(
            "PROVISIONAL: not everything that was drawn or always in was inspected. What was drawn and not reached \
             is never replaced; it is counted as bad in every figure that says at worst.",
        );
    } else {
        sheet.text("Final, as found: everything that was drawn or always in was inspected.");
    }
    let percent = picture.claimed.claim.confidence.saturating_mul(Decimal::ONE_HUNDRED).normalize();
    sheet.text(format!(
        "At {percent} % confidence, by the hypergeometric distribution in exact numbers. Always-in terminals and \
         remainder are never pooled."
    ));
    sheet.entry("Always in", said::census(&picture.always_in));
    let of_bad = match picture.claimed.plan {
        Plan::TugEverything => "of the remainder, each looked at and tugged",
        Plan::SampleBoth => "of the remainder, by the sample",
    };
    sheet.entry("Bad", format!("{of_bad}: {}", said::bounded(&picture.bad, "bad").join("; ")));
    if let Some(line) = said::if_not(&picture.bad, "bad") {
        sheet.under("Otherwise", line);
    }
    match &picture.moved {
        Some(moved) => {
            let of = "of the remainder the tool can be put on";
            sheet.entry("Moved", format!("{of}: {}", said::bounded(moved, "moved").join("; ")));
            if let Some(line) = said::if_not(moved, "moved") {
                sheet.under("Otherwise", line);
            }
        }
        None => sheet.entry("Moved", "the tool was put on nothing: nothing is claimed"),
    }
    blocks(picture, sheet);
    sheet.entry(
        "Whole board",
        format!(
            "of {} terminals with conductors at most {} bad at worst, the finds among the always-in counted",
            picture.whole,
            picture.bad_at_worst()
        ),
    );
    sheet.entry(
        "Fingers",
        format!(
            "{} looked at of {}, {} bad; not tugged, not tried: what is loose there is not found",
            picture.fingers.inspected, picture.fingers.size, picture.fingers.bad
        ),
    );
    if picture.since.size > 0 {
        sheet.entry(
            "Since",
            format!(
                "{} came to the board after the draw, part of no claim; {} bad",
                words::count(
                    usize::try_from(picture.since.size).unwrap_or(usize::MAX),
                    "terminal",
                    "terminals"
                ),
                picture.since.bad
            ),
        );
    }
    for (seq, escalated) in &visit.audit().escalated {
        asked(visit, *seq, escalated, sheet);
    }
}

/// What the blocks that were finished say by themselves, where the sample was not.
fn blocks(picture: &Picture, sheet: &mut Sheet) {
    let Some(done) = &picture.blocks else { return };
    sheet.entry(
        "Whole blocks",
        format!(
            "{} done, from the first on; by themselves they are a random sample of the remainder",
            words::count(done.blocks, "block", "blocks")
        ),
    );
    for (bounded, what) in [(&done.bad, "bad"), (&done.moved, "moved")] {
        if let Some(bounded) = bounded {
            sheet.under(if what == "bad" { "Bad" } else { "Moved" }, said::bounded(bounded, what).join("; "));
        }
    }
}

/// What stood when it was asked whether everything is done, and the answer.
fn asked(visit: &Visit, seq: crate::domain::names::Seq, escalated: &Escalated, sheet: &mut Sheet) {
    let answer = if escalated.yes { "yes, everything" } else { "no" };
    sheet.entry(
        "One bad",
        format!(
            "{}: go on to everything? {answer}, because: {} ({})",
            glued(escalated.because.as_str()),
            escalated.why,
            words::line(seq)
        ),
    );
    let before: Vec<_> = visit.lines().iter().filter(|line| line.seq < seq).cloned().collect();
    if let Some(before) = picture(&replay(&before)) {
        sheet.under("Before", bounds(&before.bad));
        if escalated.yes {
            sheet.under("Added", words::count(escalated.terminals.len(), "terminal", "terminals"));
        }
    }
}

fn bounds(bounded: &Bounded) -> String {
    let mut parts = said::bounded(bounded, "bad").to_vec();
    parts.extend(said::if_not(bounded, "bad"));
    parts.join("; ")
}

fn drawn(visit: &Visit, drawn: &Drawn, sheet: &mut Sheet) {
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
    let block = usize::try_from(drawn.block).unwrap_or(1).max(1);
    for (number, names) in (1_usize..).zip(drawn.terminals.chunks(block)) {
        sheet.entry(&format!("Block {number}"), words::terminals(names));
    }
    if drawn.terminals.is_empty() {
        sheet.entry("Drawn", "none");
    }
    for (seq, escalated) in visit.audit().escalated.iter().filter(|(_, escalated)| escalated.yes) {
        sheet.entry("Added", format!("{} ({})", words::terminals(&escalated.terminals), words::line(*seq)));
    }
}

fn thermal(visit: &Visit, sheet: &mut Sheet) {
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
    if rows.is_empty() {
        if visit.audit().thermal_over() && !facts.iter().any(|(_, t)| matches!(t, Thermal::NotTaken { .. })) {
            sheet.text("No terminal stood out.");
        }
        return;
    }
    sheet.text(format!(
        "Rise at rated load = rise x (rated / load)^exponent (infrared training institute: 1.6 to 2); class by \
         ANSI/NETA ATS and MTS, Table 100.18, between two classes the higher one (our choice); refused below \
         {LOAD_MIN_PERCENT} % of the rated current. From probable deficiency on a terminal joins the always-in \
         list (our own rule)."
    ));
    sheet.gap();
    sheet.table(Table {
        widths: vec![14, 5, 14, 9, 4, 7, 19],
        heads: vec!["terminal", "C", "compared, C", "A", "exp", "K", "class"],
        rows,
    });
}

fn limitations(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("LIMITATIONS");
    let Some(claimed) = visit.audit().claimed() else {
        sheet.item("No claim was stated and nothing was drawn.");
        return;
    };
    let names = |word: ResultWord| -> Vec<TerminalName> {
        visit
            .terminals()
            .filter(|(at, _, _)| part_at(visit, *at) != Part::Spare && found_at(visit, *at).word == word)
            .map(|(_, terminal, _)| terminal.name.clone())
            .collect()
    };
    for (word, said) in [
        (ResultWord::NotAccessible, "Not accessible, counted apart and never as good"),
        (ResultWord::NoData, "No data, counted apart and never as good"),
    ] {
        let names = names(word);
        if !names.is_empty() {
            sheet.item(format!("{said}: {}.", words::compact(visit, &names)));
        }
    }
    if !claimed.tug {
        sheet.item("The insulation was not to be tugged: nothing here says that a conductor holds.");
    }
    let no_tool: Vec<TerminalName> = visit
        .terminals()
        .filter(|(at, terminal, _)| {
            let clamp = visit.clamp(*at);
            part_at(visit, *at) == Part::Conductors
                && clamp
                    .is_some_and(|clamp| clamp.kind.has_screw() && !tool_fits(terminal, clamp, claimed.tool))
        })
        .map(|(_, terminal, _)| terminal.name.clone())
        .collect();
    if claimed.tool != ToolReach::NotUsed && !no_tool.is_empty() {
        sheet.item(format!(
            "No maker's value known, or its maker forbids a second torque; the tool was not put on: {}.",
            words::compact(visit, &no_tool)
        ));
    }
    if claimed.tool == ToolReach::NotUsed {
        sheet.item("No tool was put on: nothing is said about how tight a screw is.");
    }
    sheet.item("Fingers, links and bolted stabs were looked at and neither tugged nor tried.");
    sheet.item(
        "A look finds what can be seen with the covers off; a tug finds what is loose in the hand. Neither finds a \
         joint that is poor and holds.",
    );
    sheet.item("What was undrawn and not tugged is known only through the bounds above.");
    let untouched =
        visit.lines().iter().any(|line| matches!(&line.fact, Fact::Looked(f) if f.untouched.is_some()));
    if untouched {
        sheet.item("Looks before isolation were without touching.");
    }
}
