//! Opening, tools and the gate: one question after the other, what was answered so far above it, and the cautions
//! that belong here.

use super::list;
use super::page::{Page, bottom};
use super::words::{width, wrap};
use crate::domain::board::{Board, Supply};
use crate::domain::record::{DisturbedHow, Gates, Happened, Known};
use crate::domain::tool::{Tool, ToolKind, Validity};
use crate::domain::torque::{Unit, read_decimal};
use crate::domain::verdict::DecisionRule;
use crate::session::desk::{Answers, Field, Question, State, Topic};
use crate::tui::ui::Ui;
use ratatui::layout::Rect;

/// Columns of the names of the answers.
const LABEL: u16 = 26;
/// Answers that are shown before a tool in hand is.
const ANSWERS_MIN: usize = 4;

/// Draws everything between the header and what is told.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, state: &State, ui: &Ui, question: &Question) {
    let several = match &question.answers {
        Answers::Choice(list) if list.len() > 1 => list.as_slice(),
        Answers::Choice(_)
        | Answers::Observed(_)
        | Answers::Words(_)
        | Answers::Reading { .. }
        | Answers::Text { .. }
        | Answers::Number
        | Answers::Count => &[],
    };
    let entries = several.iter().fold(0_u16, |sum, entry| {
        let lines = wrap(entry, area.width.saturating_sub(5)).len();
        sum.saturating_add(u16::try_from(lines).unwrap_or(u16::MAX))
    });
    let (area, chosen) = bottom(area, entries.min(area.height / 2));
    list::draw(page, chosen, question, ui);
    let (area, _) = bottom(area, u16::from(entries > 0));
    let mut row = 1;
    row = if question.topic == Topic::Gate {
        gate_head(page, area, row, state)
    } else {
        board_head(page, area, row, state)
    };
    row = cautions(page, area, row, state).saturating_add(1);
    let tools: Vec<String> = state.visit.tools().iter().map(|held| in_hand(&held.tool)).collect();
    let lines = tools.iter().fold(0, |sum, words| wrap(words, area.width).len().saturating_add(sum));
    let said = said_so_far(state);
    let room = usize::from(area.height.saturating_sub(row)).saturating_sub(lines);
    // what was just said is worth more than a tool that does not change
    if room >= said.len().min(ANSWERS_MIN) {
        for words in &tools {
            row = page.put_wrapped(area, row, words, page.theme.plain);
        }
    }
    answers(page, area, row, &said);
}

/// What was answered so far, as much of it as there is room for: the latest, whole.
fn answers(page: &mut Page<'_>, area: Rect, row: u16, said: &[(&str, String)]) {
    let rows: Vec<(&str, Vec<String>)> =
        said.iter().map(|(label, words)| (*label, wrap(words, area.width.saturating_sub(LABEL)))).collect();
    let room = usize::from(area.height.saturating_sub(row));
    let height = |skip: usize| {
        let shown = rows.iter().skip(skip).map(|(_, lines)| lines.len());
        shown.fold(usize::from(skip > 0), usize::saturating_add)
    };
    let skip = (0..rows.len()).find(|skip| height(*skip) <= room).unwrap_or(rows.len());
    let mut row = row;
    if skip > 0 && room > 0 {
        let answers = if skip == 1 { "answer" } else { "answers" };
        page.put(area, row, 2, &format!("{skip} {answers} above these"), page.theme.plain);
        row = row.saturating_add(1);
    }
    for (label, lines) in rows.iter().skip(skip) {
        page.put(area, row, 2, label, page.theme.plain);
        for line in lines {
            page.put(area, row, LABEL, line, page.theme.strong);
            row = row.saturating_add(1);
        }
    }
}

fn board_head(page: &mut Page<'_>, area: Rect, row: u16, state: &State) -> u16 {
    let board = state.board();
    let alike = board.reference == board.title;
    let at_a_place = alike && board.ways == 0;
    let title = if alike { board.title.clone() } else { format!("{}, {}", board.title, board.reference) };
    let mut row = page.put_wrapped(area, row, &title, page.theme.strong);
    let plain = page.theme.plain;
    if at_a_place {
        // of a place without a board file nothing is known yet but its terminals
        return page.put_wrapped(area, row, "entered at the place, without a board file", plain);
    }
    for line in [
        format!("{}; {}", board.site, board.location),
        format!(
            "{}, {} A, {} ways, {} terminals; {}",
            board.supply.words(),
            board.rated_a,
            board.ways,
            board.terminals.len(),
            standard(board)
        ),
    ] {
        row = page.put_wrapped(area, row, &line, plain);
    }
    if let Some(vibration) = board.vibration {
        let words = format!("it shakes: to be looked at again after {} months", vibration.look_again_months);
        row = page.put_wrapped(area, row, &words, plain);
    }
    row
}

/// The standard with its edition; a board that was entered quickly states neither.
fn standard(board: &Board) -> String {
    if board.standard == board.edition {
        format!("standard {}", board.standard)
    } else {
        format!("{}:{}", board.standard, board.edition)
    }
}

fn gate_head(page: &mut Page<'_>, area: Rect, row: u16, state: &State) -> u16 {
    let title =
        "The gate: nothing is touched before it is answered, and it is asked again after every pause.";
    let mut row = page.put_wrapped(area, row, title, page.theme.strong);
    if let Some((_, gates)) = state.visit.gates().last() {
        row = page.put_wrapped(area, row, &last_time(gates), page.theme.plain);
    }
    row
}

fn last_time(gates: &Gates) -> String {
    let sources: Vec<String> =
        gates.sources.iter().map(|source| format!("{} {}", source.what, source.state.words())).collect();
    format!(
        "Last time: proved dead by {}, {}; {}; {}.",
        gates.dead_by,
        gates.proved_with,
        gates.locked_off,
        sources.join(", ")
    )
}

fn cautions(page: &mut Page<'_>, area: Rect, row: u16, state: &State) -> u16 {
    let mut row = row;
    for note in &state.board().notes {
        row = page.put_wrapped(area, row, &format!("Caution: {note}"), page.theme.needs);
    }
    row
}

/// A tool in hand, in a line.
fn in_hand(tool: &Tool) -> String {
    let calibrated = match (tool.validity, tool.calibrations.last()) {
        (Validity::NotStated, _) | (_, None) => "calibration not stated".to_owned(),
        (Validity::Valid, Some(calibration)) => format!("calibrated {}", calibration.date),
        (Validity::Lapsed, Some(calibration)) => format!("calibration of {} ENDED", calibration.date),
    };
    let range = if tool.kind == ToolKind::Fixed {
        format!("{} {}", tool.range.max, tool.unit)
    } else {
        format!("{} to {} {}", tool.range.min, tool.range.max, tool.unit)
    };
    format!(
        "tool {}: {}, serial {}, {}, {range}, {calibrated}",
        tool.id,
        tool.name,
        tool.serial,
        tool.kind.words()
    )
}

/// What the form in progress was told so far: name of the answer, answer.
pub(super) fn said_so_far(state: &State) -> Vec<(&'static str, String)> {
    let given = state.desk.form.as_ref().map_or(&[][..], |form| form.given.as_slice());
    let fixed = given.iter().any(|(field, value)| *field == Field::ToolKind && value == "2");
    given
        .iter()
        .filter_map(|(field, value)| {
            let words = in_words(state, *field, value);
            let label = if *field == Field::RangeTo && fixed { "made for" } else { label(*field)? };
            Some((label, if words.is_empty() { "-".into() } else { words }))
        })
        .inspect(|(label, _)| debug_assert!(width(label) < LABEL.saturating_sub(2)))
        .collect()
}

fn label(field: Field) -> Option<&'static str> {
    Some(match field {
        Field::Name => "name",
        Field::Role => "as",
        Field::Certificate => "appendix to certificate",
        Field::ToolOffered => "tool",
        Field::ToolKind => "kind of tool",
        Field::OwnTolerance => "own tolerance, per cent",
        Field::DecisionRule => "decided by",
        Field::ToolName => "called",
        Field::Serial => "serial number",
        Field::Unit => "unit of its scale",
        Field::RangeFrom => "lowest marked value",
        Field::RangeTo => "highest marked value",
        Field::Graduation => "graduation",
        Field::Class => "type and class",
        Field::Calibrated => "calibrated on",
        Field::CalibrationCertificate => "calibration certificate",
        Field::Override => "used because",
        Field::DeadBy => "proved dead by",
        Field::ProvedWith => "voltage tester",
        Field::TriedOnKnownSource => "on a known source",
        Field::LockedOff => "locked off",
        Field::SourceState => "this supply is",
        Field::Shrouded => "it is",
        Field::DecidedBy => "who decided",
        Field::AnotherSource => "another supply",
        Field::SourceWhat | Field::Supply => "supply",
        Field::SourceFeeds => "it feeds",
        Field::TailTug => "tug",
        Field::TailMark => "witness mark",
        Field::Covers => "covers",
        Field::LocksAndTools => "locks and tools",
        Field::Energised => "energised by",
        Field::By => "who",
        Field::Why => "why",
        Field::Words => "in own words",
        Field::Count => "counted",
        Field::Turned => "the screw",
        Field::Audit(field) => return field.label(),
        Field::Place => "place",
        Field::TailSize => "tails",
        Field::TailWires => "wires of the tails",
        Field::Torque => "maker's torque",
        Field::ReadAt => "read",
        Field::Happened => "what happened",
        Field::Disturbed => "disturbed",
        Field::How => "how",
        Field::Checked => "they checked it",
        Field::Read | Field::ReadAgain | Field::Cause | Field::Pick | Field::YesNo | Field::ScopeChange => {
            return None;
        }
    })
}

/// Answers from a list are kept as their number; here they are words again.
fn in_words(state: &State, field: Field, value: &str) -> String {
    let pick = value.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
    let found = match (field, pick) {
        (Field::Unit, Some(at)) => Unit::ALL.get(at).map(|unit| unit.symbol().to_owned()),
        (Field::DecisionRule, Some(at)) => DecisionRule::ALL.get(at).map(|rule| rule.short().to_owned()),
        (Field::ToolKind, Some(at)) => [ToolKind::Setting, ToolKind::Fixed, ToolKind::Indicating]
            .get(at)
            .map(|kind| kind.words().to_owned()),
        (Field::ToolOffered, Some(at)) => {
            let stated =
                |tool: &&Tool| !state.visit.tools().iter().any(|held| held.tool.serial == tool.serial);
            let tool = state.desk.start.tools_offered.iter().filter(stated).nth(at);
            Some(tool.map_or_else(
                || "another".to_owned(),
                |tool| format!("{}, serial {}", tool.name, tool.serial),
            ))
        }
        (Field::Audit(field), Some(_)) => field.in_words(value).map(str::to_owned),
        (Field::Torque, _) if read_decimal(value).is_ok() => Some(format!("{value} N.m")),
        (Field::Supply, Some(at)) => {
            [Supply::SinglePhase, Supply::ThreePhaseNeutral].get(at).map(|supply| supply.words().to_owned())
        }
        (Field::TailSize, Some(at)) => Some(nth_of(&["16 mm2", "25 mm2", "35 mm2", "10 mm2"], at)),
        (Field::TailWires, Some(at)) => Some(nth_of(&["7", "19"], at)),
        (Field::ReadAt, Some(at)) => {
            Some(nth_of(&["on the device", "leaflet", "door label", "data sheet", "maker's letter"], at))
        }
        (Field::Happened, Some(at)) => {
            Some(Happened::NAMED.get(at).map_or("other", Happened::words).to_owned())
        }
        (Field::Disturbed, Some(at)) => {
            let words = ["the incoming tails", "the whole board", "by name", "on the drawing"];
            words.get(at).map(|words| (*words).to_owned())
        }
        (Field::How, Some(at)) => {
            let kinds = DisturbedHow::ALL.iter().take(4).map(|how| how.words());
            Some(kinds.chain(["not all alike"]).nth(at).unwrap_or_default().to_owned())
        }
        (Field::Checked, Some(at)) => Known::ALL.get(at).map(|known| known.words().to_owned()),
        _ => None,
    };
    found.unwrap_or_else(|| value.to_owned())
}

fn nth_of(list: &[&str], at: usize) -> String {
    list.get(at).copied().unwrap_or("not seen").to_owned()
}
