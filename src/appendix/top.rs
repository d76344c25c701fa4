//! What an inspector must not miss, first; then what, where and who.

use super::letters::glued;
use super::sheet::Sheet;
use super::words;
use crate::domain::board::{Board, Device};
use crate::domain::names::TerminalName;
use crate::domain::record::{AsideWhy, Closed, Fact, SourceState, VisitKind};
use crate::domain::verdict::RULES;
use crate::session::flat::Flat;
use crate::session::{Ended, PowerOnRemark, TorqueWord, Visit, closing, last_look_stands, said_at};

/// The first page's top, the title block and the numbers.
pub(super) fn write(visit: &Visit, sheet: &mut Sheet) {
    sheet.text("TERMINATIONS OF A DISTRIBUTION BOARD: APPENDIX TO THE CERTIFICATE");
    state(visit, sheet);
    super::revisit::top(visit, sheet);
    tails(visit, sheet);
    power_on(visit, sheet);
    live(visit, sheet);
    super::doubtful::write(visit, sheet);
    differs(visit, sheet);
    what(visit, sheet);
    if !super::audit::is(visit) {
        numbers(visit, sheet);
    }
}

fn state(visit: &Visit, sheet: &mut Sheet) {
    let lines = words::count(visit.lines().len(), "line", "lines");
    if visit.is_rehearsal() {
        sheet.gap();
        sheet.text(
            "REHEARSAL. Practice only: the program answered for the person where it was asked to, the tool and the \
             board may be invented, and nothing here was done to any installation.",
        );
    }
    match visit.ended() {
        None => {
            sheet.gap();
            sheet.text(format!(
                "NOT CLOSED. The visit was still open after {lines} when this was printed; what is said here may \
                 still change, and lines may be missing at the end."
            ));
        }
        Some(Ended::Abandoned(seq)) => {
            if let Some(Fact::Abandoned(f)) = visit.line(seq).map(|line| &line.fact) {
                sheet.gap();
                sheet.text(format!(
                    "ABANDONED and not finished ({}): {}. Told: {}.",
                    words::line(seq),
                    f.why,
                    f.told
                ));
            }
        }
        Some(Ended::Closed(_)) => {}
    }
}

fn tails(visit: &Visit, sheet: &mut Sheet) {
    let Some(board) = visit.board() else { return };
    let all: Vec<&TerminalName> = board.tails().filter(|name| visit.is_part(name)).collect();
    if all.is_empty() {
        return;
    }
    let stands = last_look_stands(visit);
    let look = visit.last_look().filter(|_| stands);
    let seen = |name: &TerminalName| {
        look.is_some_and(|(_, look)| look.tails.iter().any(|tail| tail.terminal == *name))
    };
    let unseen: Vec<&TerminalName> = all.into_iter().filter(|name| !seen(name)).collect();
    if unseen.is_empty() {
        return;
    }
    let why = match (visit.last_look(), stands) {
        (None, _) => "the last look is not answered".to_owned(),
        (Some((seq, _)), false) => {
            format!("the last look of {} no longer stands, a tail moved or was worked on", words::line(seq))
        }
        (Some((seq, look)), true) => match &look.why_not {
            Some(why) => format!("{why} ({})", words::line(seq)),
            None => format!("set aside ({})", words::line(seq)),
        },
    };
    sheet.gap();
    sheet.text(format!(
        "INCOMING TAILS NOT LOOKED AT BEFORE LEAVING: {}. Reason: {why}.",
        words::terminals(unseen)
    ));
}

fn power_on(visit: &Visit, sheet: &mut Sheet) {
    let cleared = |remark: &PowerOnRemark| remark.dealt_with.is_some() && remark.handed_to.is_none();
    let open: Vec<&PowerOnRemark> = visit.power_on().iter().filter(|remark| !cleared(remark)).collect();
    if open.is_empty() {
        return;
    }
    sheet.gap();
    sheet.lead("BEFORE POWER ON, NOT CLEARED:");
    for remark in open {
        let said = format!("{}, on {}: {}", words::line(remark.seq), words::on(&remark.on), remark.text);
        sheet.inside(match (&remark.handed_to, remark.dealt_with) {
            (Some(whom), Some(seq)) => {
                let how = match visit.line(seq).map(|line| &line.fact) {
                    Some(Fact::Remark(f)) => f.text.clone(),
                    _ => String::new(),
                };
                format!("{said}. Handed over to {whom} ({}){}.", words::line(seq), words::after_colon(&how))
            }
            _ => format!("{said}. Neither cleared nor handed over."),
        });
    }
}

fn live(visit: &Visit, sheet: &mut Sheet) {
    let mut said = Vec::new();
    if let Some((seq, gates)) = visit.gates().last() {
        for source in gates.sources.iter().filter(|source| source.state == SourceState::Live) {
            said.push(format!(
                "{} was live when last asked ({}). It feeds {}; {}.",
                source.what,
                words::line(*seq),
                words::compact(visit, &source.feeds),
                words::beside(source.state, source.shrouded, source.decided_by.as_ref())
            ));
        }
    }
    let aside: Vec<TerminalName> = visit
        .terminals()
        .filter(|(_, _, standing)| standing.aside == Some(AsideWhy::StillLive))
        .map(|(_, terminal, _)| terminal.name.clone())
        .collect();
    if !aside.is_empty() {
        said.push(format!("Set aside because still live: {}.", words::compact(visit, &aside)));
    }
    if said.is_empty() {
        return;
    }
    sheet.gap();
    sheet.lead("LIVE:");
    for line in said {
        sheet.inside(line);
    }
}

/// The closing line of the record, where there is one.
pub(super) fn closed(visit: &Visit) -> Option<&Closed> {
    match visit.ended() {
        Some(Ended::Closed(seq)) => match &visit.line(seq)?.fact {
            Fact::Closed(closed) => Some(closed),
            _ => None,
        },
        _ => None,
    }
}

fn differs(visit: &Visit, sheet: &mut Sheet) {
    let Some(written) = closed(visit) else { return };
    let now = closing(visit).outcomes;
    if written.outcomes == now {
        return;
    }
    sheet.gap();
    let rules = visit.opened().map_or(RULES, |opened| opened.rules);
    if rules != RULES {
        // what an earlier version of the rules decided stays decided
        let others = written.outcomes.iter().filter(|outcome| !now.contains(outcome));
        let said: Vec<String> = others
            .map(|outcome| {
                let why = outcome.why.as_deref().map_or_else(String::new, |why| format!(", {why}"));
                format!("{} {}{why}", glued(outcome.terminal.as_str()), outcome.outcome.words())
            })
            .collect();
        sheet.text(format!(
            "CLOSED UNDER RULES {rules}; this program has rules {RULES}, and what is printed below follows from those. At \
             closing it was decided: {}. That stands.",
            said.join("; ")
        ));
        return;
    }
    sheet.text(
        "THE OUTCOMES WRITTEN AT CLOSING ARE NOT THOSE THAT FOLLOW FROM THE LINES. Below stand those that follow. \
         Have the record checked before anything is relied upon.",
    );
}

fn what(visit: &Visit, sheet: &mut Sheet) {
    let Some(opened) = visit.opened() else { return };
    let board = &opened.board;
    sheet.heading("WHAT, WHERE, WHO");
    sheet.entry("Board", words::both_or_one(", ", board.reference.as_str(), board.title.as_str()));
    let location = if unknown(&board.location) { "location not stated" } else { &board.location };
    sheet.entry("Site", format!("{}; {location}", board.site));
    let certificate =
        if opened.certificate.is_empty() { "no reference was stated" } else { &opened.certificate };
    sheet.entry("Certificate", certificate);
    let standard = match board.standard.as_str() {
        standard if standard.ends_with("not stated") => "not stated".to_owned(),
        standard => words::both_or_one(", ", standard, board.edition.as_str()),
    };
    sheet.entry("Standard", standard);
    sheet.entry("Supply", format!("{}, {}, {}", board.supply.words(), rated(board), ways(board)));
    if !board.blanks.is_empty() {
        let blanks: Vec<String> = board.blanks.iter().map(|blank| glued(blank)).collect();
        sheet.entry("Blanks", format!("at {}", blanks.join(", ")));
    }
    if let Some(vibration) = board.vibration {
        let months = words::count(vibration.look_again_months.into(), "month", "months");
        sheet.entry("Vibration", format!("the board shakes: to be looked at again after {months}"));
    }
    if let Some(follows) = &opened.follows {
        sheet.entry("Follows", format!("record {}, closing link:", follows.id));
        sheet.inside(follows.link.clone());
    }
    devices(board, sheet);
    for person in visit.persons() {
        sheet.entry("Person", format!("{}: {}, {}", person.id, person.name, person.role));
    }
    sheet.entry("Record", record(visit));
    sheet.entry("Board file", "SHA-256 of its bytes:");
    sheet.inside(opened.board_sha256.clone());
    let amended = super::amended::lines(visit).count();
    if amended > 0 {
        let times = words::count(amended, "time", "times");
        sheet.entry(
            "Amended",
            format!("{times} since the opening, see BOARD AMENDED; this page shows it as it is now"),
        );
    }
}

fn rated(board: &Board) -> String {
    if board.rated_a.is_zero() {
        "rated current not seen".into()
    } else {
        format!("rated {}", glued(&format!("{} A", board.rated_a)))
    }
}

/// A place without a board file has none to count.
fn ways(board: &Board) -> String {
    if Flat::is_board(board) {
        "ways not seen".into()
    } else {
        words::count(board.ways.into(), "way", "ways")
    }
}

/// Whether a text of a board file says that something could not be read.
fn unknown(text: &str) -> bool {
    matches!(text, "not seen" | "not read" | "not stated")
}

fn make(device: &Device) -> String {
    match (unknown(&device.maker), unknown(&device.printed_type)) {
        (true, true) => format!("maker and type {}", device.maker),
        (true, false) => format!("maker {}, {}", device.maker, device.printed_type),
        (false, true) => format!("{}, type {}", device.maker, device.printed_type),
        (false, false) => format!("{}, {}", device.maker, device.printed_type),
    }
}

/// Devices of one make and type together.
fn devices(board: &Board, sheet: &mut Sheet) {
    let mut makes: Vec<(&Device, Vec<String>)> = Vec::new();
    for device in &board.devices {
        let same =
            |known: &Device| (&known.maker, &known.printed_type) == (&device.maker, &device.printed_type);
        let name = glued(device.name.as_str());
        match makes.iter_mut().find(|(known, _)| same(known)) {
            Some((_, names)) => names.push(name),
            None => makes.push((device, vec![name])),
        }
    }
    for (device, names) in makes {
        let label = if names.len() == 1 { "Device" } else { "Devices" };
        sheet.entry(label, format!("{}: {}", names.join(", "), make(device)));
    }
}

fn record(visit: &Visit) -> String {
    let Some(opened) = visit.opened() else { return String::new() };
    format!(
        "{}, {}, written by {}, format {}",
        opened.id,
        words::count(visit.lines().len(), "line", "lines"),
        opened.program,
        opened.format
    )
}

fn numbers(visit: &Visit, sheet: &mut Sheet) {
    let counts = visit.counts();
    sheet.heading("IN NUMBERS");
    if visit.kind() == VisitKind::Revisit && visit.scope().is_none() {
        sheet.entry("Terminals", "which of them are in scope is not said yet");
        return;
    }
    let mut parts = vec![
        format!("{} complete", counts.complete),
        format!("{} complete with remark", counts.with_remark),
        format!("{} set aside", counts.aside),
        format!("{} open", counts.open),
    ];
    if counts.settling > 0 {
        parts.push(format!("{} settling", counts.settling));
    }
    let outside = match counts.not_in_scope {
        0 => String::new(),
        n => format!("; {n} more are not in scope"),
    };
    sheet.entry("Terminals", format!("{}: {}{outside}", counts.in_scope(), parts.join(", ")));
    if counts.scale_to_be_read > 0 {
        sheet.entry(
            "Of the open",
            format!("{} answered but for the scale at the end of their span", counts.scale_to_be_read),
        );
    }
    let torques = torques(visit);
    if !torques.is_empty() {
        sheet.entry("Their torques", torques);
    }
}

/// Terminals by the word for their torque.
fn torques(visit: &Visit) -> String {
    let mut words: Vec<(TorqueWord, usize)> = Vec::new();
    for word in visit.terminals().filter_map(|(at, _, _)| said_at(visit, at)).map(|said| said.word) {
        match words.iter_mut().find(|(known, _)| *known == word) {
            Some((_, count)) => *count = count.saturating_add(1),
            None => words.push((word, 1)),
        }
    }
    words.sort_unstable();
    let words: Vec<String> =
        words.into_iter().map(|(word, count)| glued(&format!("{count} {}", word.words()))).collect();
    words.join(", ")
}
