//! Facts, names and moments in words.

use super::letters::glued;
use crate::domain::names::{ConductorName, PersonId, Seq, TerminalName};
use crate::domain::record::{
    About, AsideWhy, DecidedTo, DisturbedHow, Fact, Gates, Known, Line, RemarkOn, Scale, ScaleAt,
    SettleKnown, SourceState, Strands, TorqueResult, Torqued, Turned,
};
use crate::domain::tool::Tool;
use crate::domain::torque::{Torque, Unit};
use crate::session::Visit;

/// A torque whose number and unit stay together.
pub(super) fn torque(torque: &Torque) -> String {
    glued(&torque.to_string())
}

/// A torque, and in newton metres beside it where it is stated in another unit; rounded to a thousandth.
pub(super) fn torque_and_nm(stated: &Torque) -> String {
    if stated.unit == Unit::NewtonMetre {
        return torque(stated);
    }
    match stated.exact_nm().decimal(3) {
        Some(nm) => format!("{} ({}, rounded)", torque(stated), glued(&format!("{nm} N.m"))),
        None => torque(stated),
    }
}

/// Terminal names, each kept on one line.
pub(super) fn terminals<'a>(names: impl IntoIterator<Item = &'a TerminalName>) -> String {
    names.into_iter().map(|name| glued(name.as_str())).collect::<Vec<_>>().join(", ")
}

/// Conductor names, each kept on one line.
pub(super) fn conductors(names: &[ConductorName]) -> String {
    names.iter().map(|name| glued(name.as_str())).collect::<Vec<_>>().join(", ")
}

/// `line 12`, kept on one line.
pub(super) fn line(seq: Seq) -> String {
    glued(&format!("line {seq}"))
}

/// `2026-11-25 09:13`.
pub(super) fn when(line: &Line) -> String {
    glued(&format!("{} {}", line.time.day(), line.time.clock()))
}

/// The name of a person of this visit.
pub(super) fn person(visit: &Visit, id: &PersonId) -> String {
    visit.person(id).map_or_else(|| id.0.clone(), |person| person.name.clone())
}

/// `1 terminal`, `3 terminals`.
pub(super) fn count(n: usize, one: &str, many: &str) -> String {
    glued(&format!("{n} {}", if n == 1 { one } else { many }))
}

/// Terminals in few words: whole places by their name, the rest one by one.
pub(super) fn compact(visit: &Visit, names: &[TerminalName]) -> String {
    let Some(board) = visit.board() else { return terminals(names) };
    if names.is_empty() {
        return "no terminal of this board".into();
    }
    if board.terminals.iter().all(|terminal| names.contains(&terminal.name)) {
        return format!("every terminal of the board ({})", board.terminals.len());
    }
    if names.len() <= 4 {
        return terminals(names);
    }
    let mut parts = Vec::new();
    let mut left: Vec<&TerminalName> = names.iter().collect();
    for place in &board.places {
        let here: Vec<&TerminalName> =
            board.terminals.iter().filter(|t| t.place == place.name).map(|t| &t.name).collect();
        if here.len() > 1 && here.iter().all(|name| names.contains(name)) {
            parts.push(format!("all of {} ({})", glued(place.name.as_str()), here.len()));
            left.retain(|name| !here.contains(name));
        }
    }
    parts.extend(left.into_iter().map(|name| glued(name.as_str())));
    parts.join(", ")
}

/// What a remark is on.
pub(super) fn on(on: &RemarkOn) -> String {
    match on {
        RemarkOn::Board => "the board".into(),
        RemarkOn::Terminal(name) => glued(name.as_str()),
        RemarkOn::Remark(seq) => format!("the remark of {}", line(*seq)),
    }
}

/// A gate without its person.
pub(super) fn gate(gates: &Gates) -> String {
    let sources: Vec<String> =
        gates.sources.iter().map(|source| format!("{} {}", source.what, source.state.words())).collect();
    format!(
        "proved dead by {}, with {}, locked off: {}; {}",
        gates.dead_by,
        gates.proved_with,
        gates.locked_off,
        sources.join(", ")
    )
}

/// A live source: shrouded or not, and who decided.
pub(super) fn beside(state: SourceState, shrouded: Option<bool>, decided_by: Option<&String>) -> String {
    if state != SourceState::Live {
        return String::new();
    }
    let shrouded = match shrouded {
        Some(true) => "shrouded",
        Some(false) => "not shrouded",
        None => "shrouded or not: not answered",
    };
    let by = decided_by.map_or("nobody named", String::as_str);
    format!("{shrouded}; to work beside it was decided by {by}")
}

/// A tool in one sentence.
pub(super) fn tool(tool: &Tool) -> String {
    let class = tool.class.as_deref().unwrap_or("class not stated");
    let calibrated = tool.calibrations.last().map_or_else(
        || "calibration not stated".to_owned(),
        |last| {
            format!(
                "calibrated {}, certificate {}",
                last.date,
                last.certificate.as_deref().unwrap_or("not stated")
            )
        },
    );
    format!(
        "tool {}: {}, serial {}, {}, {class}, {} to {} {}, {calibrated}",
        tool.id,
        tool.name,
        tool.serial,
        tool.kind.words(),
        tool.range.min,
        tool.range.max,
        tool.unit
    )
}

fn scale(f: &Scale) -> String {
    let at = match f.at {
        ScaleAt::Start => "at the start",
        ScaleAt::End => "at the end",
        ScaleAt::AfterWork => "after the work",
    };
    let agrees = match (f.agrees, &f.reset) {
        (true, _) => "agrees".to_owned(),
        (false, Some(reset)) => format!("does not agree, reset on purpose by {}: {}", reset.by, reset.why),
        (false, None) => "does not agree".to_owned(),
    };
    format!(
        "scale of tool {} {at} of span {}: {}, required {}, {agrees}",
        f.tool,
        f.span,
        torque(&f.read),
        torque(&f.required)
    )
}

/// A torque with its tool and span.
pub(super) fn torqued(f: &Torqued) -> String {
    let screw = match (f.screw, f.pass) {
        (Some(screw), Some(2)) => format!(", screw {screw} again"),
        (Some(screw), _) => format!(", screw {screw}"),
        (None, _) => String::new(),
    };
    let with = match (&f.tool, &f.span) {
        (Some(tool), Some(span)) => format!(", tool {tool}, span {span}"),
        (Some(tool), None) => format!(", tool {tool}"),
        (None, _) => String::new(),
    };
    let turned = match f.turned {
        Some(Turned::Held) => ", the screw held",
        Some(Turned::Moved) => ", the screw moved",
        None => "",
    };
    let round = round(f.round);
    let result = match &f.result {
        TorqueResult::Clicked => "clicked".to_owned(),
        TorqueResult::NotClicked { why } => format!("did not click: {}", why.words()),
        TorqueResult::Reading { text, unit, .. } => format!("read {}", glued(&format!("{text} {unit}"))),
        TorqueResult::ByHand => "by hand, without a torque tool".to_owned(),
    };
    format!("torque{screw}{round}: {result}{turned}{with}")
}

/// Which settling an answer belongs to.
fn round(round: u8) -> &'static str {
    match round {
        0 => "",
        1 => " after the first wait",
        _ => " after the second wait",
    }
}

fn decided(about: About, strands: Option<Strands>, choice: DecidedTo) -> String {
    let about = match about {
        About::OverTightened => "over-tightened",
        About::NotClicked => "did not click",
        About::Tug => "tug not firm",
        About::Heat => "heat marks",
        About::DoubtedTool => "tool doubted since",
    };
    let strands = match strands {
        Some(Strands::Sound) => ", strands looked at: sound",
        Some(Strands::Cut) => ", strands looked at: cut",
        None => "",
    };
    let choice = match choice {
        DecidedTo::Keep => "kept so",
        DecidedTo::Again => "once again",
        DecidedTo::Remake => "to be remade",
        DecidedTo::Replace => "device to be replaced",
        DecidedTo::SetAside => "to be set aside",
    };
    format!("{about}{strands}; {choice}")
}

fn disturbed(how: DisturbedHow, checked: Option<Known>) -> String {
    let how = match how {
        DisturbedHow::Flexed => "flexed",
        DisturbedHow::Twisted => "twisted",
        DisturbedHow::Repositioned => "repositioned",
        DisturbedHow::ReTerminated => "taken out and terminated again",
        DisturbedHow::Opened => "clamp opened",
    };
    match checked {
        Some(Known::Yes) => format!("{how}, checked by them"),
        Some(Known::No) => format!("{how}, not checked by them"),
        Some(Known::NotKnown) => format!("{how}, checked by them: not known"),
        None => how.to_owned(),
    }
}

/// `: ` and the words, or nothing where there are none.
pub(super) fn after_colon(words: &str) -> String {
    if words.is_empty() { String::new() } else { format!(": {words}") }
}

/// Why something is set aside, and what that means.
pub(super) fn aside(why: &AsideWhy) -> String {
    match why {
        AsideWhy::Other(words) => format!("other: {words}"),
        named => named.words().to_owned(),
    }
}

/// A fact in words, without its terminals.
pub(super) fn fact(fact: &Fact) -> String {
    match fact {
        Fact::Claim(_) | Fact::Thermal(_) | Fact::Drawn(_) | Fact::Escalated(_) | Fact::Code(_) => {
            crate::session::audit::words::fact(fact).unwrap_or_default()
        }
        Fact::Scope(f) => format!("scope of the revisit: {}", f.happened.words()),
        Fact::Looked(f) => super::looked::looked(f),
        Fact::Movement(f) => super::looked::movement(f),
        Fact::Prepared(f) => format!("prepare ({}): {}", conductors(&f.conductors), f.how.words()),
        Fact::Entered(f) => format!("entry ({}): {}", conductors(&f.conductors), entry(f.right, f.fault)),
        Fact::Torqued(f) => torqued(f),
        Fact::Tugged(f) => {
            format!("tug ({}){}: {}", conductors(&f.conductors), round(f.round), f.result.words())
        }
        Fact::Marked(f) => format!("witness mark{}: {}", round(f.round), f.result.words()),
        Fact::Decided(f) => {
            format!("{}{}", decided(f.about, f.strands, f.choice), after_colon(&f.remark))
        }
        Fact::Disturbed(f) => {
            format!("disturbed ({}) by {}: {}", disturbed(f.how, f.checked_by_them), f.by, f.why)
        }
        Fact::Remade(f) if f.conductors.is_empty() => {
            format!("made again, attempt {} begins: {}", f.attempt.0, f.why)
        }
        Fact::Remade(f) => format!(
            "cut back and remade ({}), attempt {} begins: {}",
            conductors(&f.conductors),
            f.attempt.0,
            f.why
        ),
        Fact::Replaced(f) => format!("device {} replaced, a new attempt begins: {}", f.device, f.why),
        Fact::SetAside(f) => format!("set aside: {}", aside(&f.why)),
        Fact::Told(f) => f.whom.as_ref().map_or("nobody needed telling".into(), |w| format!("told: {w}")),
        Fact::TakenUp(f) => format!("taken up again: {}", f.why),
        Fact::Scale(f) => scale(f),
        Fact::ScaleUnread(f) => format!("scale of tool {} not read, span {}: {}", f.tool, f.span, f.why),
        Fact::Gates(f) => gate(f),
        Fact::Tool(f) => tool(f),
        Fact::Person(f) => format!("{}: {}, {}", f.id, f.name, f.role),
        Fact::Remark(f) => format!("remark on {}: {}", on(&f.on), f.text),
        Fact::SettleReady(f) => match f.how {
            SettleKnown::Timed => "settle wait over, by the clock".into(),
            SettleKnown::Stated => "settle wait over, as the person says".into(),
        },
        Fact::SettleWaived(f) => format!("settle not waited for: {}", f.why),
        Fact::ToolDoubted(f) => format!("tool {} doubted: {}{}", f.tool, f.what, after_colon(&f.note)),
        Fact::ToolReleased(f) => format!("tool {} released by {}: {}", f.tool, f.by, f.why),
        Fact::Opened(f) => f.said(),
        Fact::Session(_) => "session begun".into(),
        Fact::Route(f) => format!("order of the walk: {}", f.order.words()),
        Fact::BoardAmended(f) => format!("board amended: {}", f.reason),
        Fact::Corrected(f) => format!("slip of {} put right: {}", line(f.seq), f.why),
        Fact::LastLook(_) => "last look".into(),
        Fact::Signed(f) => format!("signed as {}", f.capacity),
        Fact::Abandoned(f) => format!("abandoned: {}", f.why),
        Fact::Closed(_) => "closed".into(),
    }
}

/// Two texts with something between, or one where they are the same: a place without a board file has one name for all.
pub(super) fn both_or_one(between: &str, first: &str, second: &str) -> String {
    if first == second { first.to_owned() } else { format!("{first}{between}{second}") }
}

fn entry(right: bool, fault: Option<crate::domain::record::EntryFault>) -> &'static str {
    match (right, fault) {
        (true, _) => "right",
        (false, Some(fault)) => fault.words(),
        (false, None) => "not right",
    }
}
