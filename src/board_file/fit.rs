//! What does not fit on a board, as its file is told of it.
//!
//! What the maker's torque cannot be found for is wrong; everything else that does not fit is a finding of its own,
//! for a board may have been built by others, and is only warned of. The rules stand in [`crate::domain::fit`] and
//! [`crate::domain::plausible`]; here are the places in the file and the edits to make.

use super::build::Draft;
use crate::domain::clamp::Clamp;
use crate::domain::fit::{Misfit, misfits};
use crate::domain::plausible::{self, Implausible};
use crate::domain::torque::{Torque, Unit};
use crate::written::problem::{Findings, quoted};
use std::collections::BTreeMap;
use std::ops::Range;

/// Terminals named in one warning; the rest is counted.
const NAMED_MAX: usize = 6;

/// One misfit and every terminal that has it.
struct Case<'d> {
    clamp: &'d Clamp,
    misfit: Misfit,
    at: Vec<&'d Draft>,
}

/// Checks every terminal against its clamp. What several terminals have in common is told once.
pub(super) fn check(drafts: &[Draft], clamps: &[Clamp], found: &mut Findings) {
    let clamps: BTreeMap<&str, &Clamp> = clamps.iter().map(|clamp| (clamp.name.as_str(), clamp)).collect();
    let mut cases: BTreeMap<(&str, String), Case<'_>> = BTreeMap::new();
    for draft in drafts {
        let Some(clamp) = clamps.get(draft.terminal.clamp.as_str()).copied() else { continue };
        let misfits = misfits(clamp, &draft.terminal.conductors);
        torque_known(draft, clamp, &misfits, found);
        for misfit in misfits {
            let key = (clamp.name.as_str(), misfit.found());
            cases.entry(key).or_insert_with(|| Case { clamp, misfit, at: Vec::new() }).at.push(draft);
        }
    }
    for ((_, what), case) in cases {
        // the one that is written first
        let Some(first) = case.at.iter().min_by_key(|draft| draft.span.start) else { continue };
        let reason = format!(
            "{}: {what}; its clamp {} {}",
            terminals(&case.at),
            quoted(case.clamp.name.as_str()),
            case.misfit.stated(case.clamp)
        );
        found.warn(first.span.clone(), reason, edit(&case.misfit));
    }
}

/// Tells conductors of which each one fits, but for which together no torque is stated.
fn torque_known(draft: &Draft, clamp: &Clamp, misfits: &[Misfit], found: &mut Findings) {
    let beyond =
        misfits.iter().any(|it| matches!(it, Misfit::OutsideCapacity { .. } | Misfit::TooMany { .. }));
    let conductors = &draft.terminal.conductors;
    if beyond || draft.terminal.spare || clamp.torque.is_empty() || clamp.torque_for(conductors).is_some() {
        return;
    }
    let reason = format!(
        "no single row of the torque table of the clamp {} holds for what is in {}",
        quoted(clamp.name.as_str()),
        quoted(draft.terminal.name.as_str())
    );
    let help = "different conductors share this clamp: ask the maker for the torque and state it as a clamp of its own";
    found.wrong(draft.span.clone(), reason, help);
}

/// `"1 line", "2 line" and 4 more terminals`.
fn terminals(at: &[&Draft]) -> String {
    let names: Vec<String> =
        at.iter().take(NAMED_MAX).map(|draft| quoted(draft.terminal.name.as_str())).collect();
    let more = at.len().saturating_sub(NAMED_MAX);
    match (more, names.split_last()) {
        (0, Some((last, []))) => last.clone(),
        (0, Some((last, front))) => format!("{} and {last}", front.join(", ")),
        (1, _) => format!("{} and one more terminal", names.join(", ")),
        _ => format!("{} and {more} more terminals", names.join(", ")),
    }
}

fn edit(misfit: &Misfit) -> &'static str {
    match misfit {
        Misfit::OutsideCapacity { .. } => {
            "read the capacity on the device again; if it is as stated, another clamp is needed, or a pin or lug that \
             its maker names"
        }
        Misfit::TooMany { .. } => {
            "give each conductor a clamp of its own, or correct conductors: in the clamp as its maker states it"
        }
        Misfit::Mixed { .. } => {
            "give each a clamp of its own, or ask the maker; where one torque is stated for them together, write it as a \
             row of a Table with conductors: 2"
        }
        Misfit::FineStranded { .. } => {
            "write planned: Ferruled in the conductor if that is planned; if the maker allows bare strands, name that \
             preparation in the clamp and in the conductor"
        }
        Misfit::Aluminium { .. } => {
            "write aluminium: Allowed in the clamp if its maker says so; otherwise plan a clamp or lug that is made for it"
        }
        Misfit::NotNamed { .. } => {
            "plan one of these, or add this one to preparations in the clamp if its maker allows it"
        }
    }
}

/// Checks the torques of every clamp against its thread, then the clamps against each other. The spans are those of
/// `torque` in each clamp, in the same order.
pub(super) fn threads(clamps: &[Clamp], spans: &[Range<usize>], found: &mut Findings) {
    for (clamp, span) in clamps.iter().zip(spans) {
        let Some(thread) = clamp.thread_mm else { continue };
        for odd in clamp.torque.iter().filter_map(|row| plausible::implausible(thread, &row.stated)) {
            let Implausible { torque, band, rather } = &odd;
            let reason = format!(
                "the torque {} of the clamp {} is unlikely for its thread M{thread}: {} to {} N.m is a wide band round the test \
                 torques of IEC 60947-1",
                shown(torque),
                quoted(clamp.name.as_str()),
                band.least_nm,
                band.most_nm,
            );
            found.warn(span.clone(), reason, again(rather, thread));
        }
    }
    let at: BTreeMap<&str, &Range<usize>> =
        clamps.iter().zip(spans).map(|(clamp, span)| (clamp.name.as_str(), span)).collect();
    for odd in plausible::turned_about(clamps) {
        let (small, large) = (odd.smaller, odd.larger);
        let (Some(thread), Some(wide)) = (small.thread_mm, large.thread_mm) else { continue };
        let Some(span) = at.get(small.name.as_str()).copied() else { continue };
        let reason = format!(
            "is the torque of the clamp {} right? M{thread} with {}, and the larger M{wide} of {} has {}",
            quoted(small.name.as_str()),
            shown(&odd.smaller_aim),
            quoted(large.name.as_str()),
            shown(&odd.larger_aim),
        );
        let help = "read torque and thread of both again; a larger screw mostly has the larger torque. If both are as \
                    printed, leave them so";
        found.warn(span.clone(), reason, help);
    }
}

/// A torque with its newton metres behind it where it was stated in another unit.
fn shown(torque: &Torque) -> String {
    let nm = torque.exact_nm().decimal(2).filter(|_| torque.unit != Unit::NewtonMetre);
    nm.map_or_else(|| torque.to_string(), |nm| format!("{torque} ({nm} N.m)"))
}

fn again(rather: &[Torque], thread: rust_decimal::Decimal) -> String {
    if rather.is_empty() {
        return "read value, unit and thread again; if they are as printed, leave them so".to_owned();
    }
    let words: Vec<String> = rather.iter().map(shown).collect();
    let words = match words.split_last() {
        Some((last, front)) if !front.is_empty() => format!("{} or {last}", front.join(", ")),
        _ => words.concat(),
    };
    format!(
        "read value, unit and thread again: {words} would be usual for M{thread}. If they are as printed, leave them \
         so"
    )
}
