//! The end of the page: how it was entered, last look, cautions, what this is and is not, signatures, the link.

use super::frame::minutes_words;
use super::letters::{glued, needs_ascii};
use super::sheet::Sheet;
use super::top::closed;
use super::words;
use crate::domain::board::Role;
use crate::domain::clamp::Clamp;
use crate::domain::conductor::Metal;
use crate::domain::names::PersonId;
use crate::domain::record::{EnteredCounts, Fact, LastLook, MarkResult, Outcome, TorqueResult};
use crate::session::{Ended, NOTES_KEPT, Step, Visit, closing, last_look_stands, standing_torques};

/// Every section of it.
pub(super) fn write(visit: &Visit, sheet: &mut Sheet) {
    entered(visit, sheet);
    last_look(visit, sheet);
    board_notes(visit, sheet);
    cautions(visit, sheet);
    what_this_is(visit, sheet);
    signatures(visit, sheet);
    link(visit, sheet);
}

fn entered(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("HOW IT WAS ENTERED");
    let now = closing(visit);
    let end = closed(visit).unwrap_or(&now);
    let EnteredCounts { singly, way, place, row, notes, rehearsed } = end.entered;
    let counts: Vec<String> = [
        (singly, "singly"),
        (way, "by way"),
        (place, "by place"),
        (row, "by row"),
        (notes, "from notes"),
        (rehearsed, "rehearsed"),
    ]
    .into_iter()
    .map(|(count, how)| glued(&format!("{count} {how}")))
    .collect();
    sheet.entry(
        "Answers",
        format!("{} (each counted once for each terminal or conductor)", counts.join(", ")),
    );
    sheet.entry("Order", visit.route().words());
    let seconds = end.pace.seconds_at_work;
    let mut pace = format!(
        "{} between the first line of each session and its last line before the closing, added up; {} complete, with or without remark",
        minutes_words(seconds.checked_div(60).unwrap_or(0)),
        words::count(usize::try_from(end.pace.terminals).unwrap_or(usize::MAX), "terminal", "terminals")
    );
    if let Some(each) = seconds.checked_div(u64::from(end.pace.terminals)) {
        pace = format!("{pace}, {} each", glued(&format!("{each} s")));
    }
    sheet.entry("Pace", format!("{pace}. Nothing is concluded from it."));
    rows(visit, sheet);
    kept_notes(visit, end.entered.notes, sheet);
    hands(visit, sheet);
    if super::audit::is(visit) {
        return;
    }
    let marks = |wanted: MarkResult| {
        visit.terminals().filter(move |(_, terminal, standing)| {
            let line = standing.answer(Step::Mark).and_then(|answer| visit.line(answer.seq));
            matches!(line.map(|line| visit.effective(line, Some(&terminal.name))),
                Some(Fact::Marked(f)) if f.result == wanted)
        })
    };
    sheet.entry(
        "Witness marks",
        format!(
            "{} made, {} not visible, {} not used",
            marks(MarkResult::Made).count(),
            marks(MarkResult::NotVisible).count(),
            marks(MarkResult::NotUsed).count()
        ),
    );
    let by_hand = visit
        .terminals()
        .filter(|(at, _, _)| {
            standing_torques(visit, *at).iter().any(|(_, torqued)| torqued.result == TorqueResult::ByHand)
        })
        .count();
    sheet.entry(
        "Without tool",
        format!("{} tightened without a torque tool", words::count(by_hand, "terminal", "terminals")),
    );
}

/// Rows that were entered after the work, with the number the person counted.
fn rows(visit: &Visit, sheet: &mut Sheet) {
    for line in visit.lines() {
        if let Fact::Torqued(f) = &line.fact
            && let Some(count) = f.count
        {
            let after_work =
                f.span.as_ref().and_then(|id| visit.span(id)).is_some_and(|span| span.after_work);
            let scale =
                if after_work { "the scale read only after the work" } else { "begun with the scale read" };
            let span = f.span.as_ref().map_or_else(String::new, |id| format!(", span {id}"));
            sheet.entry(
                "Row",
                format!(
                    "{}: {} counted and typed, {scale}{span}: {}",
                    words::line(line.seq),
                    words::count(usize::try_from(count).unwrap_or(usize::MAX), "terminal", "terminals"),
                    words::terminals(&f.terminals)
                ),
            );
            if !f.exceptions.is_empty() {
                let left = format!("not good or not done, left out: {}", words::terminals(&f.exceptions));
                sheet.under("Exceptions", left);
            }
        }
    }
}

/// Where answers came from notes, that stands in a remark on the board, with who kept them.
fn kept_notes(visit: &Visit, count: u32, sheet: &mut Sheet) {
    if count == 0 {
        return;
    }
    let kept: Vec<String> = visit
        .lines()
        .iter()
        .filter_map(|line| match visit.effective(line, None) {
            Fact::Remark(f) => f
                .text
                .strip_prefix(NOTES_KEPT)
                .map(|who| format!("kept by {who} ({})", words::line(line.seq))),
            _ => None,
        })
        .collect();
    let kept = if kept.is_empty() { "who kept them is not said".to_owned() } else { kept.join("; ") };
    sheet.entry("From notes", kept);
}

/// Who was on the tool and who at the keys, where those were two.
fn hands(visit: &Visit, sheet: &mut Sheet) {
    let mut pairs: Vec<(&PersonId, &PersonId, usize)> = Vec::new();
    for line in visit.lines() {
        match pairs.iter_mut().find(|(who, writer, _)| **who == line.who && **writer == line.writer) {
            Some((_, _, count)) => *count = count.saturating_add(1),
            None => pairs.push((&line.who, &line.writer, 1)),
        }
    }
    if pairs.len() < 2 {
        return;
    }
    for (who, writer, count) in pairs {
        let lines = words::count(count, "line", "lines");
        let (on_tool, at_keys) = (words::person(visit, who), words::person(visit, writer));
        let at_keys = if who == writer { "alone".to_owned() } else { format!("{at_keys} at the keys") };
        sheet.entry("On the tool", format!("{on_tool}, {at_keys}: {lines}"));
    }
}

fn last_look(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("LAST LOOK");
    let Some((seq, look)) = visit.last_look() else {
        sheet.text("Not answered.");
        return;
    };
    for line in visit.lines().iter().filter(|line| line.seq < seq) {
        if let Fact::LastLook(earlier) = &line.fact {
            sheet.text(format!("{}, {}, taken again since:", words::line(line.seq), words::when(line)));
            looked(earlier, sheet);
        }
    }
    let when = visit.line(seq).map(words::when).unwrap_or_default();
    let gone = if last_look_stands(visit) { "" } else { "; it no longer stands" };
    sheet.text(format!("{}, {when}{gone}.", words::line(seq)));
    looked(look, sheet);
}

fn looked(look: &LastLook, sheet: &mut Sheet) {
    for tail in &look.tails {
        sheet.under(
            &glued(tail.terminal.as_str()),
            format!("tug {}, witness mark {}", tail.tug.words(), tail.mark.words()),
        );
    }
    if let Some(why) = &look.why_not {
        sheet.under("Tails", format!("not looked at: {why}"));
    }
    sheet.under("Covers", format!("shrouds, covers and blanks: {}", look.covers));
    sheet.under("Counted", format!("locks and tools: {}", look.locks_and_tools_out));
    sheet.under(
        "Energised",
        look.energised_by.as_ref().map_or_else(|| "not energised".into(), |by| format!("by {by}")),
    );
}

fn board_notes(visit: &Visit, sheet: &mut Sheet) {
    let Some(board) = visit.board() else { return };
    if !board.notes.is_empty() {
        sheet.heading("NOTES OF THE BOARD FILE");
        for note in &board.notes {
            sheet.text(note.clone());
        }
    }
    let in_scope = |clamp: &Clamp| {
        visit
            .terminals()
            .any(|(_, terminal, now)| terminal.clamp == clamp.name && now.outcome != Outcome::NotInScope)
    };
    let clamps: Vec<&Clamp> =
        board.clamps.iter().filter(|clamp| !clamp.not_governing.is_empty() && in_scope(clamp)).collect();
    if clamps.is_empty() {
        return;
    }
    sheet.heading("MAKER'S VALUES READ ELSEWHERE THAT DO NOT GOVERN");
    for clamp in clamps {
        for row in &clamp.not_governing {
            let governing: Vec<String> = clamp
                .torque
                .iter()
                .map(|row| format!("{} ({})", glued(&row.stated.to_string()), row.source))
                .collect();
            sheet.text(format!(
                "Clamp {}: {} ({}). Governing: {}.",
                glued(clamp.name.as_str()),
                glued(&row.stated.to_string()),
                row.source,
                if governing.is_empty() { "none known".into() } else { governing.join("; ") }
            ));
        }
    }
}

fn cautions(visit: &Visit, sheet: &mut Sheet) {
    let Some(board) = visit.board() else { return };
    sheet.heading("CAUTIONS");
    let mut said = vec![
        "The maker's instructions, local rules and the judgement of a licensed person come before anything here.",
        "Incoming terminals may stay live with the main switch off. Nothing is tightened live.",
        "One click is the torque; turning on, or tightening fully again and again, damages copper.",
        "Where no maker's value is known, none is guessed.",
        "Heat marks: stop, find the cause; do not just tighten.",
        "Ends beyond the distributor's seals are not the electrician's: tell the distributor.",
    ];
    if board.terminals.iter().any(|terminal| terminal.role.may_carry_current_when_dead()) {
        said.push(
            "An earth, bonding or neutral conductor may carry current from elsewhere although the board is dead: \
             think before it is parted.",
        );
    }
    let mut conductors = board.terminals.iter().flat_map(|terminal| &terminal.conductors);
    if conductors.any(|conductor| conductor.class.fine_stranded()) {
        said.push("Fine-stranded conductors without a ferrule only where the maker of the clamp allows it.");
    }
    if board.terminals.iter().any(|terminal| terminal.conductors.len() > 1) {
        said.push("Two conductors in one clamp only where its maker allows it.");
    }
    let mut conductors = board.terminals.iter().flat_map(|terminal| &terminal.conductors);
    if conductors.any(|conductor| conductor.metal == Metal::Aluminium) {
        said.push("Aluminium only in a clamp whose maker allows it.");
    }
    if board.terminals.iter().any(|terminal| terminal.role == Role::Feed) {
        said.push("Fingers and links are terminals too: they carry everything above them.");
    }
    if board.vibration.is_some() {
        said.push(
            "The board shakes: what is tight today is looked at again when the time stated above is over.",
        );
    }
    for caution in said {
        sheet.item(caution);
    }
}

fn what_this_is(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("WHAT THIS IS AND IS NOT");
    if visit.is_rehearsal() {
        sheet.text("Practice, and a record of no work at all; what follows holds for a real visit.");
    }
    sheet.text(
        "A record of workmanship on the dates above, as the persons named said it while they worked. It is not a \
         test result and not a condition report, and it replaces neither. How the person held and turned the tool \
         is in no number here. What was seen is what was answered; the program saw nothing itself.",
    );
    sheet.text(
        "The lines of the record are linked by hashes. That finds accident and careless editing. Whoever works \
         all links out anew is found only by comparing the link below with another copy of it, or by a signature.",
    );
}

fn signatures(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("SIGNATURES");
    let later = visit
        .lines()
        .iter()
        .rev()
        .find(|line| !matches!(line.fact, Fact::Signed(_) | Fact::Session(_) | Fact::Closed(_)))
        .map(|line| line.seq);
    for seq in visit.signed() {
        let Some(line) = visit.line(*seq) else { continue };
        let Fact::Signed(signed) = &line.fact else { continue };
        let role = visit.person(&signed.person).map_or("", |person| person.role.as_str());
        let stale = if later.is_some_and(|later| *seq < later) {
            "; later lines were added, this is not for them"
        } else {
            ""
        };
        sheet.text(format!(
            "Signed at the keys by {}, {role}, as: {}; {} ({}){stale}.",
            words::person(visit, &signed.person),
            signed.capacity,
            words::when(line),
            words::line(*seq)
        ));
    }
    if visit.signed().is_empty() {
        sheet.text("Nobody has signed.");
    }
    for _ in 0..2 {
        sheet.together(|sheet| {
            sheet.gap();
            sheet.text(glued(
                "Name ______________________  Signature _____________________  Date ___________",
            ));
        });
    }
}

fn link(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("THE LINK");
    let lines = words::count(visit.lines().len(), "line", "lines");
    let Some(last) = visit.lines().last() else { return };
    sheet.together(|sheet| {
        sheet.text(match visit.ended() {
            Some(Ended::Closed(_)) => format!("Closed with {lines}. Closing link (SHA-256):"),
            Some(Ended::Abandoned(_)) => {
                format!("Abandoned, not closed, {lines}. Link of the last of them (SHA-256):")
            }
            None => format!("Not closed, {lines}. Link of the last of them (SHA-256), not a closing link:"),
        });
        sheet.inside(last.link.clone());
    });
    sheet.text(format!("Printed by {} {}.", env!("CARGO_PKG_NAME"), env!("CARGO_PKG_VERSION")));
}

/// What was done to the letters; nothing where nothing had to be.
pub(super) fn letters(sheet: &Sheet, heads: &[&str], ascii: bool) -> Option<String> {
    let any = sheet.texts().into_iter().chain(heads.iter().copied()).any(needs_ascii);
    (ascii && any).then(|| {
        "Printed in plain ASCII: accents were dropped, some letters are written as two, and a letter without a plain \
         form stands as ?. The record keeps names and words as they were typed."
            .to_owned()
    })
}
