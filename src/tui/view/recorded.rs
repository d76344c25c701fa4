//! Lines of the record in a few words: what was recorded last, and what an answer said.

use crate::domain::names::{ConductorName, TerminalName};
use crate::domain::record::{
    Corrected, EntryFault, Fact, LastLook, Line, Remark, RemarkOn, Scale, ScaleAt, SetAside, TorqueResult,
    Turned,
};
use crate::session::desk::State;

/// A line in words with its time, `10:24  3L2 line clicked`. While a scale is asked no figure stands in it.
pub(super) fn sentence(line: &Line, scale_asked: bool) -> String {
    format!("{}  {}", line.time.clock(), in_words(&line.fact, scale_asked))
}

/// The same, with what only the visit knows: what has no conductor, and who a person is.
pub(super) fn sentence_of(state: &State, line: &Line, scale_asked: bool) -> String {
    let mut words = in_words(&line.fact, scale_asked);
    if let Fact::Entered(f) = &line.fact
        && f.right
        && state.is_finger(f)
    {
        words = match f.conductors.as_slice() {
            [one] => format!("{one} seated"),
            many => format!("{} seated", many.len()),
        };
    }
    if let Fact::Signed(f) = &line.fact
        && let Some(person) = state.visit.person(&f.person)
    {
        words = format!("signed: {} {}", f.capacity, person.name);
    }
    format!("{}  {words}", line.time.clock())
}

/// A fact in a few words.
pub(super) fn in_words(fact: &Fact, scale_asked: bool) -> String {
    match fact {
        Fact::Opened(f) => format!("visit opened, {}", f.board.title),
        Fact::Session(_) => "a new session".into(),
        Fact::Person(f) => format!("{}, {}", f.name, f.role),
        Fact::Tool(f) => format!("tool {}: {}, serial {}", f.id, f.name, f.serial),
        Fact::Gates(f) => format!("gate answered, proved dead by {}", f.dead_by),
        Fact::Route(f) => format!("order {}", f.order.words()),
        Fact::BoardAmended(f) => format!("board amended: {}", f.reason),
        Fact::Scale(f) => scale(f, scale_asked),
        Fact::ScaleUnread(f) => format!("scale of tool {} not read: {}", f.tool, f.why),
        Fact::ToolDoubted(f) => format!("tool {} doubted: {}", f.tool, f.what),
        Fact::ToolReleased(f) => format!("tool {} released: {}", f.tool, f.why),
        Fact::Claim(_) | Fact::Thermal(_) | Fact::Drawn(_) | Fact::Escalated(_) | Fact::Code(_) => {
            crate::session::audit::words::fact(fact).unwrap_or_default()
        }
        Fact::Scope(f) => format!("{}: {} terminals in scope", f.happened.words(), f.terminals.len()),
        Fact::Looked(f) => format!("{} look: {}", terminals(&f.terminals), f.result.words()),
        Fact::Movement(f) => format!("{} {}", f.terminal, f.found.words()),
        Fact::Prepared(f) => format!("{} prepared: {}", ends(&f.conductors), f.how.words()),
        Fact::Entered(f) => format!("{} entry: {}", ends(&f.conductors), entry(f.fault)),
        Fact::Torqued(f) => {
            let screw = f.screw.map_or_else(String::new, |screw| format!(", screw {screw}"));
            let (which, said) = (terminals(&f.terminals), torque(&f.result, scale_asked));
            format!("{which}{screw} {said}{}", turned(f.turned))
        }
        Fact::Tugged(f) => format!("{} tug: {}", ends(&f.conductors), f.result.words()),
        Fact::Marked(f) => format!("{} mark: {}", terminals(&f.terminals), f.result.words()),
        Fact::Decided(f) => format!("{}: decided after looking", f.terminal),
        Fact::SettleReady(f) => format!("{}: settled", f.terminal),
        Fact::SettleWaived(f) => format!("{}: settle not waited for: {}", f.terminal, f.why),
        Fact::Disturbed(f) => format!("{} disturbed: {}", terminals(&f.terminals), f.why),
        Fact::Remade(f) => format!("{} cut back, attempt {}", f.terminal, f.attempt.0),
        Fact::Replaced(f) => format!("device {} replaced: {}", f.device, f.why),
        Fact::SetAside(f) => aside(f),
        Fact::Told(f) => match &f.whom {
            Some(whom) => format!("{whom} was told of {}", terminals(&f.terminals)),
            None => format!("nobody needed telling of {}", terminals(&f.terminals)),
        },
        Fact::TakenUp(f) => format!("{} taken up again", terminals(&f.terminals)),
        Fact::Remark(f) => remark(f),
        Fact::Corrected(f) => corrected(f, scale_asked),
        Fact::LastLook(f) => last_look(f),
        Fact::Signed(f) => format!("signature, {}", f.capacity),
        Fact::Abandoned(f) => format!("abandoned: {}", f.why),
        Fact::Closed(f) => format!("closed, {} lines", f.lines),
    }
}

/// What the tool said.
pub(super) fn torque(result: &TorqueResult, scale_asked: bool) -> String {
    match result {
        TorqueResult::Clicked => "clicked".into(),
        TorqueResult::NotClicked { why } => format!("did not click: {}", why.words()),
        TorqueResult::Reading { .. } if scale_asked => "read".into(),
        TorqueResult::Reading { text, unit, .. } => format!("read {text} {unit}"),
        TorqueResult::ByHand => "tightened by hand".into(),
    }
}

/// What the screw did before the tool spoke, after settling; nothing where that was not asked.
pub(super) fn turned(turned: Option<Turned>) -> &'static str {
    match turned {
        Some(Turned::Held) => ", held",
        Some(Turned::Moved) => ", moved",
        None => "",
    }
}

/// What the look at an entry showed.
pub(super) fn entry(fault: Option<EntryFault>) -> &'static str {
    fault.map_or("right", EntryFault::words)
}

fn scale(f: &Scale, scale_asked: bool) -> String {
    let end = match f.at {
        ScaleAt::Start => "before the work",
        ScaleAt::End => "after the work",
        ScaleAt::AfterWork => "only after the work",
    };
    if scale_asked {
        return format!("scale of tool {} read {end}", f.tool);
    }
    let off = if f.agrees { "" } else { ", off its setting" };
    format!("scale of tool {} {end}: {}{off}", f.tool, f.read)
}

fn ends(names: &[ConductorName]) -> String {
    match names {
        [one] => one.to_string(),
        many => format!("{} conductors", many.len()),
    }
}

fn terminals(names: &[TerminalName]) -> String {
    match names {
        [one] => one.to_string(),
        many => format!("{} terminals", many.len()),
    }
}

fn aside(f: &SetAside) -> String {
    format!("{} set aside: {}", terminals(&f.terminals), f.why.words())
}

fn remark(f: &Remark) -> String {
    match (&f.on, f.before_power_on) {
        (RemarkOn::Terminal(name), _) => format!("remark on {name}: {}", f.text),
        (RemarkOn::Remark(seq), _) => format!("on remark {seq}: {}", f.text),
        (RemarkOn::Board, true) => format!("before power on: {}", f.text),
        (RemarkOn::Board, false) => format!("remark: {}", f.text),
    }
}

fn corrected(f: &Corrected, scale_asked: bool) -> String {
    let words =
        if let Fact::Opened(opened) = &f.fact { opened.said() } else { in_words(&f.fact, scale_asked) };
    format!("slip put right, now: {words}")
}

fn last_look(f: &LastLook) -> String {
    match &f.why_not {
        Some(why) => format!("last look not possible: {why}"),
        None => format!("last look, {} incoming tails", f.tails.len()),
    }
}
