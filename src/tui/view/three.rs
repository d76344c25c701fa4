//! Which three things are read from two metres, by what is asked and which step is due.

use super::large::Large;
use crate::domain::board::Terminal;
use crate::domain::clamp::ClampKind;
use crate::domain::names::ToolId;
use crate::domain::record::Fact;
use crate::domain::stated::Stated;
use crate::domain::tool::ToolKind;
use crate::session::desk::row::row_here;
use crate::session::desk::settle::{Wait, wait_at};
use crate::session::desk::{Purpose, Question, State, Topic, Work};
use crate::session::{Need, Step};

/// The three of a step of the walk, or of a finding or doing at a terminal.
pub(super) fn of_walk(work: &Work<'_>, state: &State, question: &Question) -> [Large; 3] {
    [place(work.terminal), setting(work), hand(work, state, question.topic)]
}

/// The three of a scale. No figure of the setting stands in them: the one in the middle is a question mark.
pub(super) fn of_scale(state: &State) -> [Large; 3] {
    let tool = tool_asked(state);
    let unit = tool.as_ref().and_then(|id| state.visit.tool(id)).map(|held| held.tool.unit.symbol());
    let name = tool.as_ref().and_then(|id| state.visit.tool(id)).map_or("", |held| held.tool.name.as_str());
    let letter = tool.as_ref().map_or_else(|| "?".to_owned(), ToString::to_string);
    [
        Large::new(letter, "TOOL", name),
        Large::new("?", format!("{} ON ITS SCALE", unit.unwrap_or("")), "type what it shows"),
        Large::new("READ", "READ THE SCALE", "turn nothing before it"),
    ]
}

/// The tool whose scale is asked for.
fn tool_asked(state: &State) -> Option<ToolId> {
    let span_tool = |span| state.visit.span(span).map(|span| span.tool.clone());
    match state.desk.form.as_ref().map(|form| &form.purpose) {
        Some(Purpose::ScaleStart(tool)) => Some(tool.clone()),
        Some(Purpose::ScaleEnd(span) | Purpose::ScaleLost(span)) => span_tool(span),
        Some(Purpose::Slip(seq) | Purpose::ScaleCause(seq)) => {
            match state.visit.line(*seq).map(|line| &line.fact) {
                Some(Fact::Scale(scale)) => Some(scale.tool.clone()),
                _ => None,
            }
        }
        Some(Purpose::Row) => row_here(state).map(|row| row.tool),
        Some(_) => None,
        None => state.open_spans().next().map(|span| span.tool.clone()),
    }
}

/// Where: the way and pole large, what it is beneath; names that are not of a way without the place they begin with.
fn place(terminal: &Terminal) -> Large {
    let name = terminal.name.as_str();
    let circuit = terminal.circuit.as_deref().unwrap_or("");
    let in_place = name.strip_prefix(terminal.place.as_str()).map(str::trim_start);
    let (figure, label) = match (terminal.way, name.split_once(' ')) {
        (Some(_), Some((position, what))) => {
            let bar = terminal.device.is_none().then(|| format!(", {}", terminal.place));
            (position.to_owned(), format!("{}{}", what.to_uppercase(), bar.unwrap_or_default()))
        }
        _ => match in_place.filter(|rest| !rest.is_empty()) {
            Some(rest) => (rest.to_owned(), terminal.place.as_str().to_uppercase()),
            None => (name.to_owned(), terminal.place.as_str().to_uppercase()),
        },
    };
    Large::new(figure, label, circuit).or_whole(name)
}

/// What to set on the tool in hand, in its unit, the maker's value small beneath.
fn setting(work: &Work<'_>) -> Large {
    if work.clamp.kind == ClampKind::Spring {
        return Large::new("-", "NO TORQUE", "spring clamp");
    }
    if work.terminal.spare && work.standing.steps.is_empty() {
        return Large::new("-", "NOTHING CONNECTED", "");
    }
    let Some(row) = work.row else {
        return Large::new("-", "NO MAKER'S VALUE", "do not guess: by hand");
    };
    let maker = format!("maker {}", short(&row.stated));
    if let (Some(required), Some(tool)) = (work.required, work.tool) {
        let on = if tool.kind == ToolKind::Indicating { "TO READ ON" } else { "ON" };
        let label = format!("{} {on} TOOL {}", required.unit, tool.id);
        return Large::new(required.value.to_string(), label, maker);
    }
    let aim = row.stated.aim();
    Large::new(aim.value.to_string(), format!("{} BY THE MAKER", aim.unit), "no tool in hand does it")
}

/// The maker's words without what the facts beside the drawing say.
fn short(stated: &Stated) -> String {
    match stated {
        Stated::Range { lower, upper, .. } if lower.unit == upper.unit => {
            format!("{} to {upper}", lower.value)
        }
        Stated::Range { lower, upper, .. } => format!("{lower} to {upper}"),
        Stated::AtMost { upper, .. } => format!("at most {upper}"),
        Stated::Single { .. } | Stated::Tolerance { .. } => stated.to_string(),
    }
}

/// What the hand needs next.
fn hand(work: &Work<'_>, state: &State, topic: Topic) -> Large {
    if topic == Topic::SetTool {
        return match work.tool.map(|tool| tool.kind) {
            Some(ToolKind::Fixed) => Large::new("TAKE", "TAKE THE TOOL", "then read its mark"),
            _ => Large::new("SET", "SET THE TOOL", "from below"),
        };
    }
    if state.visit.live_source(&work.terminal.name).is_some() {
        return Large::new("LIVE", "DO NOT TOUCH", "what feeds it is live");
    }
    match work.standing.need {
        Some(Need::Strands) => return Large::new("LOOK", "OPEN AND LOOK", "strands sound or cut?"),
        Some(Need::LookAtScrew { .. }) => return Large::new("LOOK", "LOOK AT THE SCREW", "it spins"),
        Some(Need::Remake) => return Large::new("CUT", "CUT BACK", "and remake, or set aside"),
        Some(_) => return Large::default(),
        None => {}
    }
    if let (Some(_), Some(Wait::Until(until))) = (work.standing.settling, wait_at(state, work.at)) {
        return Large::new("WAIT", "SETTLING", format!("until {}", until.clock_not_before()));
    }
    match work.step {
        Some(Step::Prepare(_)) => strip(work),
        Some(Step::Enter(_)) if work.clamp.kind == ClampKind::Finger => {
            Large::new("SEAT", "SEATED?", "under its clamp")
        }
        Some(Step::Enter(_)) => Large::new("LOOK", "ENTER AND LOOK", "every strand in"),
        Some(Step::Look) => Large::new("LOOK", "LOOK", "heat, sleeve, mark, strands"),
        Some(Step::Check { screw }) => bit(work, screw, 1),
        Some(Step::Torque { screw, pass }) => bit(work, screw, pass),
        Some(Step::Tug(nth) | Step::CheckTug(nth)) => Large::new("TUG", "TUG", nth_of(work, nth)),
        Some(Step::Mark) => Large::new("MARK", "WITNESS MARK", "across screw and body"),
        None => Large::default(),
    }
}

fn nth_of(work: &Work<'_>, nth: usize) -> String {
    let many = work.terminal.conductors.len();
    if many > 1 { format!("conductor {} of {many}", nth.saturating_add(1)) } else { "firmly".into() }
}

fn strip(work: &Work<'_>) -> Large {
    match work.clamp.strip_mm {
        Some(strip) => Large::new(strip.to_string(), "mm TO STRIP", "no nicks"),
        None => Large::new("PREP", "STRIP", "length not stated"),
    }
}

/// The bit; its whole name where the size alone stands large.
fn bit(work: &Work<'_>, screw: u8, pass: u8) -> Large {
    let small = match (work.clamp.screws, pass) {
        (2, 1) => format!("screw {screw} of 2"),
        (2, _) => format!("screw {screw} once more"),
        _ if work.standing.round > 0 => "settled: once more".into(),
        _ => work.clamp.thread_mm.map_or_else(String::new, |thread| format!("thread M{thread}")),
    };
    let Some(drive) = &work.clamp.drive else {
        return Large::new("BIT", "BIT", small).named("BIT", "BIT NOT STATED");
    };
    let size = drive.rsplit(' ').next().unwrap_or(drive);
    Large::new(size, format!("BIT {drive}"), small).or_whole(drive.clone())
}
