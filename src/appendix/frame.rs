//! Times and sessions, isolation, instruments.

use super::letters::glued;
use super::sheet::Sheet;
use super::words;
use crate::domain::calibration::{Calibration, CalibrationPoint, Running};
use crate::domain::names::{Seq, TerminalName, ToolId};
use crate::domain::record::{Fact, Gates, Line, SessionCause};
use crate::domain::tool::{Tool, ToolKind, Validity};
use crate::session::{ToolInHand, Visit};

/// All three.
pub(super) fn write(visit: &Visit, sheet: &mut Sheet) {
    times(visit, sheet);
    isolation(visit, sheet);
    instruments(visit, sheet);
}

fn times(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("TIMES");
    let offset: String = visit
        .lines()
        .first()
        .map(|line| line.time.to_string().chars().skip(19).collect())
        .unwrap_or_default();
    sheet.text(format!(
        "By the wall clock of the machine, {offset} from UTC at the opening; order comes from the line numbers and \
         never from the time."
    ));
    let sessions = visit.sessions();
    let mut before: Option<&Line> = visit.lines().first();
    for (at, mark) in sessions.iter().enumerate() {
        let next = sessions.get(at.saturating_add(1)).map(|mark| mark.seq);
        let mut lines =
            visit.lines().iter().filter(|line| line.seq >= mark.seq && next.is_none_or(|n| line.seq < n));
        let Some(first) = visit.line(mark.seq) else { continue };
        let last = lines.next_back().unwrap_or(first);
        let mut said = format!(
            "{} to {}, lines {} to {}, {}",
            words::when(first),
            if last.time.day() == first.time.day() { last.time.clock() } else { words::when(last) },
            mark.seq,
            last.seq,
            cause(mark.cause)
        );
        if let Some(earlier) = before.filter(|_| at > 0) {
            said.push_str(&gap(first.time.seconds_since(&earlier.time)));
        }
        if let Fact::Session(session) = &first.fact
            && let Some((_, face)) = session.program.split_once(", ")
        {
            said = format!("{said}; {face}");
        }
        if let Fact::Session(session) = &first.fact
            && let Some(torn) = &session.torn
        {
            said = format!(
                "{said}; {} at the end were torn and are kept in {}",
                words::count(usize::try_from(torn.bytes).unwrap_or(usize::MAX), "byte", "bytes"),
                words::line(mark.seq)
            );
        }
        sheet.entry(&format!("Session {}", at.saturating_add(1)), said);
        before = Some(last);
    }
    if sessions.is_empty() {
        sheet.entry("Session", "none was begun");
    }
}

fn cause(cause: SessionCause) -> &'static str {
    match cause {
        SessionCause::Opened => "with the opening",
        SessionCause::Resumed => "resumed",
        SessionCause::Gap => "after a gap without an answer",
        SessionCause::ClockBack => "after the wall clock went back",
    }
}

fn gap(seconds: i64) -> String {
    if seconds < 0 {
        return "; the clock stands earlier than at the line before".into();
    }
    let minutes = u64::try_from(seconds).unwrap_or(0).checked_div(60).unwrap_or(0);
    format!("; {} after the line before", minutes_words(minutes))
}

/// `7 min`, `2 h 05 min`.
pub(super) fn minutes_words(minutes: u64) -> String {
    let hours = minutes.checked_div(60).unwrap_or(0);
    let rest = minutes.checked_rem(60).unwrap_or(0);
    glued(&if hours == 0 { format!("{rest} min") } else { format!("{hours} h {rest:02} min") })
}

fn isolation(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("ISOLATION");
    if visit.gates().is_empty() {
        sheet.text("No gate was answered: nothing that touches a conductor was permitted.");
        return;
    }
    sheet.text("Answered before the first contact, and after an interruption again before the next.");
    for (at, (seq, gates)) in visit.gates().iter().enumerate() {
        let Some(line) = visit.line(*seq) else { continue };
        let corrected = if visit.is_corrected(*seq) { ", with a slip put right" } else { "" };
        let head = format!(
            "{}, {}, by {}{corrected}",
            words::line(*seq),
            words::when(line),
            words::person(visit, &gates.person)
        );
        let earlier = visit.gates().iter().take(at).find(|(_, earlier)| earlier == gates);
        match earlier {
            Some((same, _)) => sheet.text(format!("{head}: answered again as in {}.", words::line(*same))),
            None => gate(visit, &head, gates, sheet),
        }
    }
}

fn gate(visit: &Visit, head: &str, gates: &Gates, sheet: &mut Sheet) {
    sheet.lead(format!("{head}:"));
    sheet.under("Proved dead by", gates.dead_by.clone());
    sheet.under("Proved with", gates.proved_with.clone());
    sheet.under("Locked off", gates.locked_off.clone());
    for source in &gates.sources {
        let beside = words::beside(source.state, source.shrouded, source.decided_by.as_ref());
        let beside = if beside.is_empty() { beside } else { format!("; {beside}") };
        sheet.under(
            "Source",
            format!(
                "{}: {}; feeds {}{beside}",
                source.what,
                source.state.words(),
                words::compact(visit, &source.feeds)
            ),
        );
    }
}

fn instruments(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("INSTRUMENTS");
    if visit.tools().is_empty() {
        sheet.text("No torque tool was stated.");
        return;
    }
    for held in visit.tools() {
        instrument(visit, held, sheet);
    }
}

fn instrument(visit: &Visit, held: &ToolInHand, sheet: &mut Sheet) {
    let tool = &held.tool;
    let stated = stated_in(visit, &tool.id);
    let corrected = match stated {
        Some(seq) if visit.is_corrected(seq) => ", with a slip put right",
        _ => "",
    };
    let line = stated.map_or(String::new(), |seq| format!(" ({}{corrected})", words::line(seq)));
    sheet.entry(&format!("Tool {}", tool.id), format!("{}, serial {}{line}", tool.name, glued(&tool.serial)));
    sheet.under("Kind", format!("{}; {}", kind(tool.kind), class(tool)));
    sheet.under("Range", range(tool));
    if let Some(adapter) = &tool.adapter {
        let (lever, extension) = (adapter.lever_mm, adapter.extension_mm);
        sheet
            .under("Adapter", format!("{}, {extension} mm in line with a lever of {lever} mm", adapter.what));
    }
    if tool.calibrations.is_empty() {
        sheet.under("Calibration", "calibration not stated");
    }
    for (at, calibration) in tool.calibrations.iter().enumerate() {
        sheet.under("Calibration", calibrated(calibration));
        // what was tightened rests on the last one; the points of earlier ones stand in the record
        if at.saturating_add(1) == tool.calibrations.len() {
            points("As found", &calibration.as_found, tool, sheet);
            points("As left", &calibration.as_left, tool, sheet);
        }
    }
    sheet.under("On the day", validity(visit, tool, stated));
    sheet.under("Operations", operations(visit, tool));
    doubts(visit, &tool.id, sheet);
}

/// When a tool was doubted, what was done with it before, and by whom and on what grounds it was released.
fn doubts(visit: &Visit, id: &ToolId, sheet: &mut Sheet) {
    let mut released = true;
    let mut since = Seq(0);
    for line in visit.lines() {
        let by = || words::person(visit, &line.who);
        match &line.fact {
            Fact::ToolDoubted(f) if f.tool == *id => {
                let note = words::after_colon(&f.note);
                let said = format!(
                    "{}{note} ({}, {}, by {})",
                    f.what,
                    words::line(line.seq),
                    words::when(line),
                    by()
                );
                sheet.under("Doubted", said);
                let done = done_with(visit, id, since, line.seq);
                if !done.is_empty() {
                    sheet.under(
                        "Done with it",
                        format!("since it was last trusted: {}", words::terminals(&done)),
                    );
                }
                released = false;
            }
            Fact::ToolReleased(f) if f.tool == *id => {
                sheet.under(
                    "Released",
                    format!("by {}: {} ({}, {})", f.by, f.why, words::line(line.seq), words::when(line)),
                );
                (released, since) = (true, line.seq);
            }
            _ => {}
        }
    }
    if !released {
        sheet.under("Since then", "not released: nothing was tightened with it any more");
    }
}

/// Terminals tightened with a tool between two lines, in order, each once.
fn done_with(visit: &Visit, id: &ToolId, since: Seq, until: Seq) -> Vec<TerminalName> {
    let mut names: Vec<TerminalName> = Vec::new();
    for line in visit.lines().iter().filter(|line| since < line.seq && line.seq < until) {
        if let Fact::Torqued(f) = &line.fact
            && f.tool.as_ref() == Some(id)
        {
            for name in &f.terminals {
                if !names.contains(name) {
                    names.push(name.clone());
                }
            }
        }
    }
    names
}

fn stated_in(visit: &Visit, id: &ToolId) -> Option<Seq> {
    visit
        .lines()
        .iter()
        .find(|line| matches!(&line.fact, Fact::Tool(tool) if tool.id == *id))
        .map(|line| line.seq)
}

fn kind(kind: ToolKind) -> &'static str {
    match kind {
        ToolKind::Setting => "setting tool: set on a scale, clicks or slips at it",
        ToolKind::Fixed => "fixed tool: made or locked for one value",
        ToolKind::Indicating => "indicating tool: shows the torque while it is turned",
    }
}

fn class(tool: &Tool) -> String {
    tool.class.as_ref().map_or_else(
        || "class not stated".into(),
        |class| format!("type and class as printed on it: {}", glued(class)),
    )
}

fn range(tool: &Tool) -> String {
    let range = if tool.kind == ToolKind::Fixed {
        glued(&format!("{} {}", tool.range.min, tool.unit))
    } else {
        glued(&format!("{} to {} {}", tool.range.min, tool.range.max, tool.unit))
    };
    match tool.graduation {
        Some(step) => format!("{range}, graduation {}", glued(&format!("{step} {}", tool.unit))),
        None => range,
    }
}

fn calibrated(calibration: &Calibration) -> String {
    let certificate =
        calibration.certificate.as_ref().map_or_else(|| "not stated".into(), |number| glued(number));
    let laboratory = calibration.laboratory.as_ref().map(|laboratory| format!(", {laboratory}"));
    let first_use = calibration.first_use.as_ref().map(|day| format!(", first used {day}"));
    format!(
        "on {}, certificate {certificate}{}{}",
        calibration.date,
        laboratory.unwrap_or_default(),
        first_use.unwrap_or_default()
    )
}

/// Points of a calibration: set or indicated, mean reference torque, W.
fn points(label: &str, points: &[CalibrationPoint], tool: &Tool, sheet: &mut Sheet) {
    if points.is_empty() {
        return;
    }
    let said: Vec<String> = points
        .iter()
        .map(|point| {
            let w = point.w_percent.map_or_else(|| "W not stated".to_owned(), |w| format!("W {w} %"));
            glued(&format!("{}: {} ({w})", point.set, point.reference))
        })
        .collect();
    sheet.under(
        label,
        format!("set: mean reference torque, {}: {}", glued(tool.unit.symbol()), said.join("; ")),
    );
}

fn validity(visit: &Visit, tool: &Tool, stated: Option<Seq>) -> String {
    let end = tool.due().map_or_else(String::new, |due| {
        format!(" until {} or {} operations", glued(&due.until.to_string()), due.operations)
    });
    match tool.validity {
        Validity::Valid if tool.due().is_some_and(|due| visit.operations(tool) > due.operations) => {
            format!("calibration stated, good at first,{end}; its operations were used up in this visit")
        }
        Validity::Valid => format!("calibration stated and good,{end}"),
        Validity::NotStated => {
            "calibration not stated: what was done with it is at best complete with remark".into()
        }
        Validity::Lapsed => format!(
            "{}: it was good{end}; used all the same because: {}",
            match stated.map(|seq| visit.ended_as(tool, seq)) {
                Some(Running::UsedUp) => "operations of the calibration used up",
                _ => "calibration lapsed",
            },
            tool.override_reason.as_deref().unwrap_or("no reason was recorded")
        ),
    }
}

fn operations(visit: &Visit, tool: &Tool) -> String {
    let here = visit.operations_here(&tool.serial);
    let recorded = tool.operations_recorded.map_or_else(
        || "no other records counted".to_owned(),
        |count| format!("{count} in other records on this machine since first use"),
    );
    let stated = match tool.operations_before {
        Some(before) => format!("{before} stated beside them"),
        None => "none stated beside them".into(),
    };
    let here =
        words::count(usize::try_from(here).unwrap_or(usize::MAX), "click or reading", "clicks or readings");
    format!("{here} in this visit, {recorded}, {stated}")
}
