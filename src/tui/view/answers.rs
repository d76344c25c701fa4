//! What was answered so far in a form: the name of each answer, and the answer in words again.

use super::page::Page;
use super::words::{width, wrap};
use crate::domain::board::Supply;
use crate::domain::record::{DisturbedHow, Happened, Known};
use crate::domain::tool::{Tool, ToolKind};
use crate::domain::torque::{Unit, read_decimal};
use crate::domain::verdict::DecisionRule;
use crate::session::desk::{Field, Purpose, State, disturbed_so_far};
use ratatui::layout::Rect;

/// Columns of the names of the answers.
const LABEL: u16 = 26;

/// What was answered so far, as much of it as there is room for: the latest, whole.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, row: u16, said: &[(&str, String)]) {
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

/// What the form in progress was told so far: name of the answer, answer.
pub(super) fn said_so_far(state: &State) -> Vec<(&'static str, String)> {
    let Some(form) = &state.desk.form else { return Vec::new() };
    let fixed = form.given.iter().any(|(field, value)| *field == Field::ToolKind && value == "2");
    let scope = matches!(form.purpose, Purpose::Scope | Purpose::ScopeMore);
    let disturbed = if scope { disturbed_so_far(form, state) } else { Vec::new() };
    let (mut asked_how, mut adds) = (0_usize, false);
    // the gate asks about the incoming side before any other supply
    let mut supplies = 0_usize;
    let mut said = Vec::new();
    for (field, value) in &form.given {
        let mut words = in_words(state, *field, value);
        supplies = supplies.saturating_add(usize::from(*field == Field::SourceState));
        let named = match (*field, &form.purpose) {
            (Field::RangeTo, _) if fixed => Some("made for"),
            (Field::SourceState, _) if supplies == 1 => Some("incoming side"),
            (Field::Words, Purpose::Flat) => Some("its reference"),
            (Field::Words, Purpose::Scope) => Some("named"),
            (Field::SourceFeeds, Purpose::Scope | Purpose::ScopeMore) => {
                Some(if adds { "added" } else { "left out" })
            }
            (Field::Cause, Purpose::Scope) => Some("in own words"),
            (field, _) => label(field),
        };
        if *field == Field::ScopeChange {
            adds = value == "2";
        }
        if *field == Field::How && scope {
            // the first answer is about all of them, or says that they are asked one by one
            let name = asked_how.checked_sub(1).and_then(|nth| disturbed.get(nth));
            words = name.map_or_else(|| words.clone(), |name| format!("{name}: {words}"));
            asked_how = asked_how.saturating_add(1);
        }
        if let Some(named) = named {
            debug_assert!(width(named) < LABEL.saturating_sub(2));
            said.push((named, if words.is_empty() { "-".into() } else { words }));
        }
    }
    said
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
