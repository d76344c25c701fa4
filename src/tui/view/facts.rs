//! What is known of the terminal in front of the person: clamp, conductor, source, torque scale, steps.
//!
//! Not drawn while a scale is asked: figures of the setting stand here.

use super::page::Page;
use super::recorded;
use super::torque_scale;
use super::words::{flow, width, wrap};
use crate::domain::clamp::{ClampKind, SettleBasis};
use crate::domain::limits::Basis;
use crate::domain::record::Fact;
use crate::domain::stated::Stated;
use crate::session::desk::settle::{Wait, wait_at};
use crate::session::desk::{State, Work};
use crate::session::{Answered, Step};
use ratatui::layout::Rect;
use ratatui::style::Style;

/// Draws them; what matters least gives way first where there is little room.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, state: &State, work: &Work<'_>) {
    let plain = page.theme.plain;
    let steps = steps(state, work, area.width);
    let struck = struck(work);
    let scale_rows = if work.row.is_some() { torque_scale::ROWS } else { 0 };
    let clamp = clamp_lines(work, area.width);
    let source = wrap(&source_words(work), area.width);
    let judged = wrap(&judged_words(work), area.width);
    let mut room = area.height.saturating_sub(rows(&steps));
    let mut take = |wanted: u16| {
        let fits = wanted <= room;
        room = room.saturating_sub(if fits { wanted } else { 0 });
        fits
    };
    // In the order of what is missed most.
    let (with_clamp, with_source) = (take(rows(&clamp)), take(rows(&source)));
    let (with_scale, with_judged) = (take(scale_rows), take(rows(&judged)));
    let struck = struck.map_or_else(Vec::new, |struck| wrap(&struck, area.width));
    let with_struck = take(rows(&struck));
    let airy = take(2);
    let mut row = 0;
    for (lines, with) in [(clamp, with_clamp), (source, with_source), (judged, with_judged)] {
        for line in lines.iter().filter(|_| with) {
            page.put(area, row, 0, line, plain);
            row = row.saturating_add(1);
        }
    }
    if airy {
        row = row.saturating_add(1);
    }
    if with_scale && scale_rows > 0 {
        torque_scale::draw(page, area, row, state, work);
        row = row.saturating_add(scale_rows);
    }
    if airy {
        row = row.saturating_add(1);
    }
    for (line, due) in &steps {
        let style: Style = if *due { page.theme.strong } else { plain };
        page.put(area, row, 0, line, style);
        row = row.saturating_add(1);
    }
    for line in struck.iter().filter(|_| with_struck) {
        page.put(area, row, 0, line, plain);
        row = row.saturating_add(1);
    }
}

fn rows<T>(lines: &[T]) -> u16 {
    u16::try_from(lines.len()).unwrap_or(u16::MAX)
}

/// Columns that the small row beneath the place has on the smallest screen.
const SHORT_CIRCUIT: u16 = 22;

/// Clamp and what is in it.
fn clamp_lines(work: &Work<'_>, room: u16) -> Vec<String> {
    let mut clamp = work.clamp.kind.words().to_owned();
    if work.clamp.screws == 2 {
        let order = work.clamp.screw_order.as_deref().unwrap_or("in any order");
        clamp = format!("{clamp}, 2 screws: {order}");
    } else if let Some(drive) = &work.clamp.drive {
        clamp = format!("{clamp}, {drive}");
    }
    let mut conductors: Vec<(String, usize)> = Vec::new();
    for conductor in &work.terminal.conductors {
        let conductor = conductor.to_string();
        match conductors.iter_mut().find(|(known, _)| *known == conductor) {
            Some((_, count)) => *count = count.saturating_add(1),
            None => conductors.push((conductor, 1)),
        }
    }
    let counted = conductors
        .into_iter()
        .map(|(conductor, count)| if count > 1 { format!("{count} x {conductor}") } else { conductor });
    let all: Vec<String> = std::iter::once(clamp).chain(counted).collect();
    // The small row beneath the place shows it where it is short.
    let circuit = work.terminal.circuit.iter().filter(|circuit| width(circuit) > SHORT_CIRCUIT);
    let mut lines: Vec<String> = circuit.flat_map(|circuit| wrap(circuit, room)).collect();
    lines.extend(flow(&all, "; ", room));
    lines
}

/// Where the value was read, with what the small row beneath the setting leaves out.
fn source_words(work: &Work<'_>) -> String {
    let Some(row) = work.row else {
        return if work.clamp.kind == ClampKind::Spring {
            String::new()
        } else {
            "no maker's value is known".into()
        };
    };
    let besides = match &row.stated {
        Stated::Range { recommended: Some(value), .. } => format!("recommended {value}; "),
        Stated::AtMost { aim, .. } => format!("own aim {aim}; "),
        Stated::Single { .. } | Stated::Tolerance { .. } | Stated::Range { .. } => String::new(),
    };
    format!("{besides}source: {}", row.source)
}

/// How it will be judged.
fn judged_words(work: &Work<'_>) -> String {
    let basis = match (&work.limits, work.row.map(|row| &row.stated)) {
        (Some(limits), _) => limits.basis,
        (None, Some(Stated::Single { .. })) => Basis::Single,
        (None, Some(Stated::Tolerance { .. })) => Basis::Tolerance,
        (None, Some(Stated::Range { .. })) => Basis::Range,
        (None, Some(Stated::AtMost { .. })) => Basis::AtMost,
        (None, None) => return String::new(),
    };
    match basis {
        Basis::Single => "no tolerance: judged as set".into(),
        Basis::OwnTolerance => "judged by the firm's own tolerance".into(),
        Basis::Tolerance | Basis::Range | Basis::AtMost => format!("judged by the {}", basis.words()),
        Basis::None => String::new(),
    }
}

/// Columns before the answers of a step.
const ANSWERS: u16 = 11;

/// The steps with their answers, those of one kind together; the due one is marked and stands out.
fn steps(state: &State, work: &Work<'_>, room: u16) -> Vec<(String, bool)> {
    let mut lines: Vec<(String, bool)> = Vec::new();
    let live = state.visit.live_source(&work.terminal.name).is_some();
    let waits = live || work.standing.need.is_some() || work.standing.aside.is_some();
    let due = work.step.filter(|_| !waits);
    // in the order in which they are done: a coming back tugs before the tool is on the screw
    let mut kinds: Vec<&str> = Vec::new();
    for step in &work.standing.steps {
        if !kinds.contains(&step.words()) {
            kinds.push(step.words());
        }
    }
    for kind in kinds {
        let here: Vec<Step> =
            work.standing.steps.iter().copied().filter(|step| step.words() == kind).collect();
        if here.is_empty() {
            continue;
        }
        let is_due = due.is_some_and(|due| here.contains(&due));
        let named = if kind == "entry" && work.clamp.kind == ClampKind::Finger { "seated" } else { kind };
        let mut head = format!("{} {named:<8} ", if is_due { '>' } else { ' ' });
        for line in wrap(&answers(state, work, &here), room.saturating_sub(ANSWERS)) {
            lines.push((format!("{head}{line}"), is_due));
            head = " ".repeat(usize::from(ANSWERS));
        }
    }
    if let Some((label, words)) = settle_words(state, work) {
        let mut head = format!("  {label:<8} ");
        for line in wrap(&words, room.saturating_sub(ANSWERS)) {
            lines.push((format!("{head}{line}"), false));
            head = " ".repeat(usize::from(ANSWERS));
        }
    }
    if let Some(aside) = &work.standing.aside {
        let words = format!("set aside: {}", aside.words());
        lines.extend(wrap(&words, room).into_iter().map(|line| (line, true)));
    }
    lines
}

/// The wait it is in, else the round after one; nothing before any.
fn settle_words(state: &State, work: &Work<'_>) -> Option<(&'static str, String)> {
    let round = match work.standing.round {
        0 => None,
        1 => Some(("settled", "the same torque once more".to_owned())),
        _ => Some(("settled", "twice, the same torque again".to_owned())),
    };
    let (Some(settling), Some(wait)) = (work.standing.settling, wait_at(state, work.at)) else {
        return round;
    };
    let asks = match settling.basis {
        SettleBasis::Maker => "the maker asks for it",
        SettleBasis::OwnPractice => "own practice",
    };
    let until = match wait {
        Wait::Until(until) => format!("due {}", until.clock_not_before()),
        Wait::Over => "due now".into(),
        Wait::AskPerson => "the clock went back".into(),
    };
    Some(("settles", format!("{} min, {until}; {asks}", settling.wait_minutes)))
}

/// Answers to the steps of one kind; said once where all are the same.
fn answers(state: &State, work: &Work<'_>, steps: &[Step]) -> String {
    let said: Vec<String> = steps
        .iter()
        .map(|step| work.standing.answer(*step).map_or_else(|| "-".to_owned(), |a| said(state, work, a)))
        .collect();
    match said.split_first() {
        Some((first, rest)) if rest.iter().all(|other| other == first) => first.clone(),
        _ => {
            let numbered: Vec<String> =
                steps.iter().zip(&said).map(|(step, said)| format!("{} {said}", numbered(*step))).collect();
            numbered.join(", ")
        }
    }
}

fn numbered(step: Step) -> String {
    match step {
        Step::Prepare(nth) | Step::Enter(nth) | Step::Tug(nth) | Step::CheckTug(nth) => {
            format!("/{}", nth.saturating_add(1))
        }
        Step::Check { screw } | Step::Torque { screw, pass: 1 } => screw.to_string(),
        Step::Torque { screw, .. } => format!("{screw} again"),
        Step::Look | Step::Mark => String::new(),
    }
}

/// What a standing answer said, in a word or two.
#[allow(clippy::wildcard_enum_match_arm, reason = "only the facts that answer a step are named")]
fn said(state: &State, work: &Work<'_>, answer: Answered) -> String {
    let Some(line) = state.visit.line(answer.seq) else { return String::new() };
    let words = match state.visit.effective(line, Some(&work.terminal.name)) {
        Fact::Prepared(f) => f.how.words().to_owned(),
        Fact::Entered(f) if work.clamp.kind == ClampKind::Finger && f.right => "yes".into(),
        Fact::Entered(f) => recorded::entry(f.fault).to_owned(),
        Fact::Torqued(f) => {
            format!("{}{}", recorded::torque(&f.result, false), recorded::turned(f.turned))
        }
        Fact::Tugged(f) => f.result.words().to_owned(),
        Fact::Marked(f) => f.result.words().to_owned(),
        Fact::Looked(f) => f.result.words(),
        Fact::Movement(f) => f.found.words(),
        other => recorded::in_words(other, false),
    };
    if answer.good { words } else { format!("{words}: again") }
}

/// What no longer counts, counted; nothing where everything stands.
fn struck(work: &Work<'_>) -> Option<String> {
    let last = work.standing.struck.last()?;
    let many = work.standing.struck.len();
    let attempt = match work.standing.attempt.0 {
        0 | 1 => String::new(),
        later => format!("attempt {later}, "),
    };
    Some(format!("{attempt}{many} struck out, last: {}", last.why.words()))
}
