//! What an audit adds to the page: claim, populations, bounds, draw, thermal round, findings, limitations.
//!
//! Bounds are *as found* and stand beside what they rest on. Deliberately absent: any code or grade worked out by the
//! program, and any word about a terminal that was not looked at.

use super::audit_drawn;
use super::letters::glued;
use super::sheet::Sheet;
use super::words;
use crate::domain::names::TerminalName;
use crate::domain::record::{Claimed, Escalated, Fact, Plan, ToolReach, VisitKind};
use crate::session::audit::{
    Bounded, Found, Part, Picture, ResultWord, found_at, part_at, picture, tool_anywhere, tool_fits,
    words as said,
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
        audit_drawn::drawn(visit, &picture, sheet);
    } else {
        sheet.heading("WHAT THE AUDIT SHOWS");
        sheet.text("Nothing: no sample was drawn. What was looked at stands below.");
    }
    audit_drawn::thermal(visit, sheet);
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
    sheet.entry("Results", format!("of those with conductors: {}", listed.join(", ")));
    sheet.entry(
        "Bad",
        format!("{} of all: {}", all.iter().filter(|(_, _, bad)| *bad).count(), bad_means(visit)),
    );
    hot(visit, sheet);
}

/// What is hot is no bad one by itself, and may have to be repaired at once: the numbers alone would hide it.
fn hot(visit: &Visit, sheet: &mut Sheet) {
    let hottest = |name: &TerminalName| visit.audit().hottest(name).filter(|class| class.is_hot());
    let listed: Vec<String> = visit
        .terminals()
        .filter_map(|(_, terminal, _)| {
            Some(format!("{}, {}", terminal.name, hottest(&terminal.name)?.words()))
        })
        .collect();
    if !listed.is_empty() {
        sheet.entry("Hot", format!("{} in the thermal round: {}", listed.len(), listed.join("; ")));
    }
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
    let nowhere = claimed.tool != ToolReach::NotUsed && !tool_anywhere(visit, claimed.tool);
    let nowhere = if nowhere { "; no terminal here can be tried so: it was put on none" } else { "" };
    sheet.entry("Tool", format!("{}{nowhere}", claimed.tool.words()));
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
    let over = visit.ended().is_some();
    if picture.is_provisional() {
        sheet.text(
            "PROVISIONAL: not everything that was drawn or always in was inspected and, where the tool was to be put \
             on, tried. What was drawn and not reached is never replaced; it is counted as bad, and as moved, in every figure that says at worst.",
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
    if let Some(line) = said::if_not(&picture.bad, "bad", over) {
        sheet.under("Otherwise", line);
    }
    match &picture.moved {
        Some(moved) => {
            let of = "of the remainder the tool can be put on";
            sheet.entry("Moved", format!("{of}: {}", said::bounded(moved, "moved").join("; ")));
            if let Some(line) = said::if_not(moved, "moved", over) {
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
            "with links and bolted stabs, claimed apart: {} of {} looked at, {} damaged or heat-marked; there is nothing \
             to tug",
            picture.fingers.inspected, picture.fingers.size, picture.fingers.bad
        ),
    );
    fingers_moved(picture, over, sheet);
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

/// What is claimed of how tight the fingers are.
fn fingers_moved(picture: &Picture, over: bool, sheet: &mut Sheet) {
    let Some(moved) = &picture.fingers_moved else {
        sheet.under("Moved", "the tool was put on none of them: nothing is claimed of how tight they are");
        return;
    };
    let of = "of those the tool can be put on, by a sample of their own";
    sheet.under("Moved", format!("{of}: {}", said::bounded(moved, "moved").join("; ")));
    if let Some(line) = said::if_not(moved, "moved", over) {
        sheet.under("Otherwise", line);
    }
}

/// What the blocks that were finished say by themselves, where the sample was not.
fn blocks(picture: &Picture, sheet: &mut Sheet) {
    let Some(done) = &picture.blocks else { return };
    sheet.entry(
        "Whole blocks",
        format!(
            "{} done, from the first on: a random sample of the remainder by itself",
            words::count(done.blocks, "whole block", "whole blocks")
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
    parts.extend(said::if_not(bounded, "bad", false));
    parts.join("; ")
}

/// What nobody laid a hand or a tool on.
fn only_bounded(visit: &Visit, claimed: &Claimed, sheet: &mut Sheet) {
    let of = |wanted: &dyn Fn(Found, bool) -> bool| {
        visit.terminals().any(|(at, terminal, _)| {
            let fits = visit.clamp(at).is_some_and(|clamp| tool_fits(terminal, clamp, claimed.tool));
            part_at(visit, at) == Part::Conductors && wanted(found_at(visit, at), fits)
        })
    };
    if of(&|found, _| !found.by_hand) {
        sheet.item("What was not drawn, or drawn and not inspected, is known only through the bounds above.");
    } else if of(&|found, fits| fits && !found.by_tool) {
        sheet.item("Whether a screw that was not tried has moved is known only through the bound above.");
    }
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
    let untried = |at| part_at(visit, at) == Part::Finger && !found_at(visit, at).by_tool;
    let untried = visit.terminals().filter(|(at, _, _)| untried(*at)).count();
    if untried > 0 {
        sheet.item(format!(
            "Of the fingers, links and bolted stabs {untried} were looked at only: what is loose there is not found."
        ));
    }
    sheet.item(
        "A look finds what can be seen with the covers off; a tug finds what is loose in the hand. Neither finds a \
         joint that is poor and holds.",
    );
    only_bounded(visit, claimed, sheet);
    let untouched =
        visit.lines().iter().any(|line| matches!(&line.fact, Fact::Looked(f) if f.untouched.is_some()));
    if untouched {
        sheet.item("Looks before isolation were without touching.");
    }
}
