//! Settling: who asks for it, and what the screws did when the same torque was set upon them once more.

use super::letters::glued;
use super::sheet::Sheet;
use super::words;
use crate::domain::board::Terminal;
use crate::domain::clamp::SettleBasis;
use crate::domain::names::TerminalName;
use crate::domain::record::{Attempt, Fact, Outcome, SettleKnown, Tug, Turned, VisitKind};
use crate::session::{RemarkWhy, SETTLE_MINUTES, Standing, Step, TerminalIndex, Visit};

/// The section; nothing where no clamp asks for settling and nothing settled.
pub(super) fn write(visit: &Visit, sheet: &mut Sheet) {
    let asked = asked_for(visit);
    let settled = |fact: &Fact| matches!(fact, Fact::SettleReady(_) | Fact::SettleWaived(_));
    if asked.is_empty() && !visit.lines().iter().any(|line| settled(&line.fact)) {
        return;
    }
    sheet.heading("SETTLING");
    sheet.text(
        "The same torque once more after a wait. Whether the screw turned before the tool spoke is what is looked \
         for. A tug that shifted counts as moved. What moved settles once more; moved again it is remade: that is a \
         rule of this program, no published one.",
    );
    for words in asked {
        sheet.entry("Asked for by", words);
    }
    known(visit, sheet);
    let mut groups: Vec<(&'static str, String, Vec<&TerminalName>)> = Vec::new();
    for (at, terminal, standing) in visit.terminals() {
        let Some((label, said)) = told(visit, at, terminal, standing) else { continue };
        match groups.iter_mut().find(|(known, words, _)| *known == label && *words == said) {
            Some((_, _, names)) => names.push(&terminal.name),
            None => groups.push((label, said, vec![&terminal.name])),
        }
    }
    for (label, said, names) in groups {
        let how_many = match names.len() {
            1 => String::new(),
            n => format!("{}: ", words::count(n, "terminal", "terminals")),
        };
        let names = words::terminals(names);
        sheet.entry(label, format!("{how_many}{names}{}", words::after_colon(&said)));
    }
}

/// One line a clamp that asks for it.
fn asked_for(visit: &Visit) -> Vec<String> {
    let Some(board) = visit.board() else { return Vec::new() };
    let used = board.clamps.iter().filter(|clamp| {
        visit
            .terminals()
            .any(|(_, terminal, standing)| terminal.clamp == clamp.name && settles(visit, standing))
    });
    let clamps = used.filter_map(|clamp| {
        let settle = clamp.settle.as_ref()?;
        let who = match settle.basis {
            SettleBasis::Maker => "its maker",
            SettleBasis::OwnPractice => "own practice, no published source",
        };
        let minutes = glued(&format!("{} min", settle.wait_minutes));
        Some(format!("{who}: clamp {}, {minutes}", glued(clamp.name.as_str())))
    });
    // what moved at a coming back waits whatever its clamp asks for when it is made off
    let waited = visit.terminals().any(|(at, _, standing)| {
        visit.clamp(at).is_some_and(|clamp| clamp.settle.is_none())
            && (standing.round > 0
                || standing.settling.is_some()
                || standing.remarks.contains(&RemarkWhy::SettleWaived))
    });
    let own = (visit.kind() == VisitKind::Revisit && waited).then(|| {
        let minutes = glued(&format!("{SETTLE_MINUTES} min"));
        format!("own practice, no published source: what moved in this visit, {minutes}")
    });
    clamps.chain(own).collect()
}

/// Whether its clamp's rule is asked of it: when it is made off, or when it moved at a coming back.
fn settles(visit: &Visit, standing: &Standing) -> bool {
    let checked = standing.steps.contains(&Step::Look);
    !standing.steps.is_empty()
        && (visit.kind() != VisitKind::Revisit
            || !checked
            || standing.round > 0
            || standing.settling.is_some())
}

/// How it is known that the waits were over.
fn known(visit: &Visit, sheet: &mut Sheet) {
    let of = |wanted: SettleKnown| {
        visit
            .lines()
            .iter()
            .filter(move |line| matches!(&line.fact, Fact::SettleReady(f) if f.how == wanted))
            .count()
    };
    let (timed, stated) = (of(SettleKnown::Timed), of(SettleKnown::Stated));
    if timed > 0 || stated > 0 {
        sheet.entry("Waits over", format!("{timed} by the clock, {stated} as the person said"));
    }
}

/// What became of a terminal: a label, and its rounds one by one where they are more than one that held.
fn told(
    visit: &Visit,
    at: TerminalIndex,
    terminal: &Terminal,
    standing: &Standing,
) -> Option<(&'static str, String)> {
    let rounds = rounds(visit, at, terminal, standing);
    let said = rounds.iter().map(|round| round.words.clone()).collect::<Vec<_>>().join("; ");
    let why = visit.lines_about(at).filter_map(|line| match &line.fact {
        Fact::SettleWaived(f) => Some(format!("{} ({})", f.why, words::line(line.seq))),
        _ => None,
    });
    if standing.remarks.contains(&RemarkWhy::SettleWaived) {
        let why = why.last().unwrap_or_default();
        return Some(("Not waited for", if said.is_empty() { why } else { format!("{said}; {why}") }));
    }
    if let [round] = rounds.as_slice()
        && round.held_once
        && standing.settling.is_none()
    {
        return Some(("Held", "after one wait".into()));
    }
    if standing.outcome == Outcome::Settling {
        return Some(("Settling now", said));
    }
    if !rounds.is_empty() {
        return Some((if rounds.iter().any(|round| round.moved) { "Moved" } else { "Held" }, said));
    }
    // what is only checked, or lies outside, is not asked to settle
    let made_off = !standing.steps.is_empty() && !standing.steps.contains(&Step::Look);
    let asked = made_off && visit.clamp(at).is_some_and(|clamp| clamp.settle.is_some());
    (asked && standing.aside.is_none() && !terminal.conductors.is_empty())
        .then_some(("Not settled yet", said))
}

struct Round {
    words: String,
    held_once: bool,
    moved: bool,
}

/// What was seen in every round of every attempt.
fn rounds(visit: &Visit, at: TerminalIndex, terminal: &Terminal, standing: &Standing) -> Vec<Round> {
    let mut all = Vec::new();
    for line in visit.lines_about(at) {
        let (attempt, round, word) = match visit.effective(line, Some(&terminal.name)) {
            Fact::Torqued(f) if f.round > 0 => match f.turned {
                Some(Turned::Held) => (f.attempt, f.round, "held"),
                Some(Turned::Moved) if f.round > 1 => (f.attempt, f.round, "moved again"),
                Some(Turned::Moved) => (f.attempt, f.round, "moved"),
                None => continue,
            },
            Fact::Tugged(f) if f.round > 0 && f.result == Tug::Shifted => (f.attempt, f.round, "tug shifted"),
            _ => continue,
        };
        let struck = standing.struck.iter().find(|struck| struck.seq == line.seq);
        let wait = if round == 1 { "first" } else { "second" };
        let of = if standing.attempt == Attempt::FIRST {
            String::new()
        } else {
            format!("attempt {}, ", attempt.0)
        };
        let end =
            struck.map_or_else(String::new, |struck| format!(", no longer counts: {}", struck.why.words()));
        all.push(Round {
            words: format!("{of}{word} after the {wait} wait ({}){end}", words::line(line.seq)),
            held_once: word == "held" && round == 1 && struck.is_none(),
            moved: word != "held",
        });
    }
    all
}
