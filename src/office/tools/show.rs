//! What stands on the Tools page: the list, one tool with its history, the work done with it, a form in progress.

use super::ask::{AS_FOUND_FIRST, unit};
use super::form::{Field, Form, KINDS, Purpose};
use super::look_back::{FoundOut, Tally, done_in};
use super::work::{Period, Used};
use crate::domain::calibration::{Calibration, CalibrationPoint};
use crate::domain::tool::ToolKind;
use crate::domain::toolbox::{KnownTool, LookBack, Toolbox, Which};
use crate::domain::torque::Unit;
use crate::office::block::{Block, Row};
use crate::office::known::calibration;
use jiff::civil::Date;

/// Points shown while they are typed; those above are counted.
const POINTS_SHOWN: usize = 6;

/// A kind and what it means.
pub(super) fn kind_in_words(kind: ToolKind) -> &'static str {
    match kind {
        ToolKind::Setting => "setting: set on a scale, clicks or slips",
        ToolKind::Fixed => "fixed: made or locked for one value",
        ToolKind::Indicating => "indicating: shows the torque",
    }
}

/// Range and graduation, `0.50 to 4.00 N.m by 0.05`.
fn range(tool: &KnownTool) -> String {
    let (min, max, unit) = (tool.range.min, tool.range.max, tool.unit);
    if tool.kind == ToolKind::Fixed {
        return format!("{max} {unit}");
    }
    let step = tool.graduation.map_or_else(String::new, |step| format!(" by {step}"));
    format!("{min} to {max} {unit}{step}")
}

/// Every tool, those in use first, numbered from 1.
pub(super) fn list(order: &[&KnownTool], used: &Used, today: Date) -> Vec<Block> {
    let rows = (1..).zip(order).map(|(number, tool)| {
        let class = tool.class.as_ref().map_or_else(String::new, |class| format!("class {class}"));
        let cells =
            [tool.name.clone(), tool.serial.clone(), tool.kind.words().to_owned(), range(tool), class];
        let row = Row::new(cells).numbered(number);
        let (words, needs) = stands(tool, used, today);
        row.below(words).needing(needs)
    });
    let in_use = order.iter().filter(|tool| tool.retired.is_none()).count();
    let retired = order.len().saturating_sub(in_use);
    let heading = format!("Tools in use: {in_use}, retired: {retired}");
    let mut blocks = vec![Block::new(heading).listing(rows)];
    if order.is_empty() {
        blocks.push(
            Block::default()
                .saying("No tool is known yet. Add the first one; its certificate at hand helps."),
        );
    }
    blocks
}

/// Whether it may be used, in words; and whether that needs the person.
fn stands(tool: &KnownTool, used: &Used, today: Date) -> (String, bool) {
    if let Some(retired) = &tool.retired {
        return (format!("retired {}: {}", retired.day, retired.why), false);
    }
    if let Some(doubt) = tool.doubted() {
        return (format!("DOUBTED since {} by {}: {}", doubt.day, doubt.by, doubt.what), true);
    }
    if let Some(doubt) = used.doubt_of(tool) {
        return (format!("DOUBTED in a visit of {} at {}: {}", doubt.day, doubt.board, doubt.what), true);
    }
    let done = used.operations_of(tool);
    calibration(tool.calibration(), tool.interval, done, today)
}

/// One tool with its whole history.
pub(super) fn tool(tool: &KnownTool, used: &Used, today: Date) -> Vec<Block> {
    let (words, needs) = stands(tool, used, today);
    let now = Block::new("Now").listing([Row::new([words]).needing(needs)]);
    let calibrations = Block::new(format!("Calibrations: {}", tool.calibrations.len()))
        .listing(tool.calibrations.iter().rev().map(|calibration| calibration_row(calibration, tool.unit)));
    let mut blocks = vec![now, calibrations];
    if !tool.doubts.is_empty() {
        blocks.push(doubts(tool));
    }
    if !tool.looks_back.is_empty() {
        let rows = tool
            .looks_back
            .iter()
            .rev()
            .map(|look| Row::new([look.board.clone(), look.record.clone()]).below(verdict(look)));
        blocks.push(Block::new("Verdicts on work done with it").listing(rows));
    }
    blocks.push(stated(tool));
    let advice = tool.advice();
    if !advice.is_empty() {
        let rows = advice.iter().map(|advice| Row::new([advice.reason()]).below(advice.help()));
        blocks.push(Block::new("To know").listing(rows).beside());
    }
    blocks.push(Block::new("At the laboratory").saying(AS_FOUND_FIRST).beside());
    blocks
}

fn verdict(look: &LookBack) -> String {
    format!("{}, says {} on {}", look.verdict.words(), look.by, look.day)
}

fn doubts(tool: &KnownTool) -> Block {
    let rows = tool.doubts.iter().rev().map(|doubt| {
        let row = Row::new([doubt.day.to_string(), doubt.by.clone()]).below(doubt.what.clone());
        match &doubt.released {
            Some(release) => {
                row.below(format!("trusted again {} by {}: {}", release.day, release.by, release.why))
            }
            None => row,
        }
    });
    Block::new("Doubts").listing(rows)
}

fn stated(tool: &KnownTool) -> Block {
    let mut rows = vec![
        ["serial number".to_owned(), tool.serial.clone()],
        ["kind".into(), tool.kind.words().into()],
        ["range".into(), range(tool)],
        ["class".into(), tool.class.clone().unwrap_or_else(|| "not stated".into())],
    ];
    if let Some(adapter) = &tool.adapter {
        let words =
            format!("{}, lever {} mm, extension {} mm", adapter.what, adapter.lever_mm, adapter.extension_mm);
        rows.push(["adapter".into(), words]);
    }
    let own = tool.interval.map(|own| {
        let months = own.months.map(|months| format!("{months} months"));
        let every = own.operations.map(|every| format!("{every} operations"));
        months.into_iter().chain(every).collect::<Vec<_>>().join(" or ")
    });
    rows.push(["interval".into(), own.unwrap_or_else(|| "usual: 12 months or 5000 operations".into())]);
    if let Some(operations) = tool.operations {
        rows.push(["operations stated".into(), operations.to_string()]);
    }
    Block::new("Stated").terms(rows).beside()
}

fn calibration_row(calibration: &Calibration, unit: Unit) -> Row {
    let certificate = calibration.certificate.clone().unwrap_or_else(|| "no certificate".into());
    let laboratory = calibration.laboratory.clone().unwrap_or_default();
    let cells = [calibration.date.clone(), certificate, laboratory];
    let mut row = Row::new(cells.into_iter().filter(|cell| !cell.is_empty()));
    if let Some(first_use) = &calibration.first_use {
        row = row.below(format!("first used {first_use}"));
    }
    for (which, points) in [(Which::AsFound, &calibration.as_found), (Which::AsLeft, &calibration.as_left)] {
        if !points.is_empty() {
            row = row.below(format!("{}, {unit}: {}", which.words(), points_in_words(points)));
        }
    }
    if calibration.as_found.is_empty() && calibration.as_left.is_empty() {
        row = row.below("no points");
    }
    row
}

fn points_in_words(points: &[CalibrationPoint]) -> String {
    let each = points
        .iter()
        .map(|point| format!("{} gave {} (W {})", point.set, point.reference, w_in_words(point)));
    each.collect::<Vec<_>>().join("; ")
}

fn w_in_words(point: &CalibrationPoint) -> String {
    point.w_percent.map_or_else(|| "not stated".into(), |w| format!("{w} %"))
}

/// Work done with a tool in the period that is in question, numbered from 1.
pub(super) fn work(tool: &KnownTool, used: &Used) -> Vec<Block> {
    let period = Period::of(tool, used);
    let found_out = FoundOut::of(tool, &period);
    let mut tally = Tally::default();
    let mut terminals = 0_usize;
    let mut rows = Vec::new();
    for (number, (work, names)) in (1..).zip(used.in_period(&tool.serial, &period)) {
        terminals = terminals.saturating_add(names.len());
        let look = tool.looks_back.iter().rfind(|look| look.record == work.record);
        let counted =
            if names.len() == 1 { "1 terminal".into() } else { format!("{} terminals", names.len()) };
        let mut row =
            Row::new([work.board.clone(), work.site.clone(), format!("record {}", work.record), counted])
                .numbered(number);
        row = match &found_out {
            None => row.below(names.join(", ")),
            Some(found_out) => {
                let done = done_in(used, &tool.serial, &work.record, &period);
                found_out.lines(&done, &names, &mut tally).into_iter().fold(row, Row::below)
            }
        };
        rows.push(match look {
            Some(look) => row.below(verdict(look)),
            None => row.below("no verdict yet").needing(true),
        });
    }
    let heading = format!("Done with it {}", period.words());
    let words = match rows.len() {
        0 => "Nothing, as far as the records on this machine say.".into(),
        1 => format!("{terminals} terminals in 1 record on this machine."),
        many => format!("{terminals} terminals in {many} records on this machine."),
    };
    let mut block = Block::new(heading).saying(words);
    if rows.is_empty() {
        return vec![block];
    }
    if let Some(found_out) = found_out {
        block = block.saying(found_out.words()).saying(tally.words());
    }
    let note = Block::default().saying(
        "A named person decides on each record. The verdict is kept with the tool; the records stay as they are.",
    );
    vec![block.listing(rows), note]
}

/// A form in progress: what was answered so far.
pub(super) fn form(form: &Form, toolbox: &Toolbox) -> Vec<Block> {
    let tool = form.serial().and_then(|serial| toolbox.of_serial(serial));
    let said = form
        .given
        .iter()
        .filter_map(|(field, answer)| Some([label(*field)?.to_owned(), in_words(*field, answer)]));
    let mut blocks = vec![Block::new(heading(form, tool)).terms(said)];
    if let Purpose::Calibrate(_) = form.purpose {
        let calibration = form.calibration();
        for (which, points) in
            [(Which::AsFound, &calibration.as_found), (Which::AsLeft, &calibration.as_left)]
        {
            let above = points.len().saturating_sub(POINTS_SHOWN);
            let mut block = Block::new(format!("Points {}, {}", which.words(), unit(form, tool)));
            if above > 0 {
                block = block.saying(format!("{above} above these"));
            }
            let rows =
                points.iter().enumerate().skip(above).map(|(row, point)| point_row(form, which, row, point));
            if !points.is_empty() {
                blocks.push(block.listing(rows));
            }
        }
        if form.next(toolbox) == Field::Save
            && let Some(tool) = tool
        {
            let mut calibrated = tool.clone();
            calibrated.calibrations.push(calibration);
            let known = tool.advice();
            let new = calibrated.advice().into_iter().filter(|advice| !known.contains(advice));
            let rows: Vec<Row> = new.map(|advice| Row::new([advice.reason()]).below(advice.help())).collect();
            if !rows.is_empty() {
                blocks.push(Block::new("To know").listing(rows));
            }
        }
    }
    blocks
}

fn point_row(form: &Form, which: Which, row: usize, point: &CalibrationPoint) -> Row {
    let mut cells = vec![format!("point {}", row.saturating_add(1)), point.set.to_string()];
    if form.get(Field::Reference(which, row)).is_some() {
        cells.push(format!("gave {}", point.reference));
    }
    if form.get(Field::W(which, row)).is_some() {
        cells.push(format!("W {}", w_in_words(point)));
    }
    Row::new(cells)
}

fn heading(form: &Form, tool: Option<&KnownTool>) -> String {
    let name = tool.map_or("", |tool| tool.name.as_str());
    match &form.purpose {
        Purpose::Add => "A new tool".into(),
        Purpose::Edit(_) => format!("{name}: what is stated, put right"),
        Purpose::Calibrate(_) => format!("{name}: one more calibration"),
        Purpose::Doubt(_) => format!("{name} is doubted"),
        Purpose::FirstUse(_) => format!("{name}: its first use"),
        Purpose::Release { .. } => format!("{name} is trusted again"),
        Purpose::Retire(_) => format!("{name} is retired"),
        Purpose::Verdict { board, record, .. } => {
            format!("Verdict on {board}, record {record}, done with {name}")
        }
    }
}

fn label(field: Field) -> Option<&'static str> {
    Some(match field {
        Field::Name => "called",
        Field::Serial => "serial number",
        Field::Kind => "kind",
        Field::Class => "class",
        Field::Unit => "unit",
        Field::From => "lowest value",
        Field::To => "highest value",
        Field::Graduation => "graduation",
        Field::Adapter => "adapter",
        Field::Lever => "lever, mm",
        Field::Extension => "extension, mm",
        Field::Months => "interval, months",
        Field::Every => "interval, operations",
        Field::Operations => "operations stated",
        Field::Date => "calibrated",
        Field::FirstUse => "first used",
        Field::Certificate => "certificate",
        Field::Laboratory => "laboratory",
        Field::Adjusted => "adjusted",
        Field::By => "who",
        Field::What => "in own words",
        Field::Verdict => "verdict",
        Field::Set(..) | Field::Reference(..) | Field::W(..) | Field::Save => return None,
    })
}

/// Answers from a list are kept as their number; here they are words again.
fn in_words(field: Field, answer: &str) -> String {
    let at = answer.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
    let found = match (field, at) {
        (Field::Kind, Some(at)) => KINDS.get(at).map(|kind| kind.words()),
        (Field::Unit, Some(at)) => Unit::ALL.get(at).map(|unit| unit.symbol()),
        (Field::Adjusted, Some(at)) => ["no", "yes"].get(at).copied(),
        (Field::Verdict, Some(at)) => ["stands", "to be done again", "other"].get(at).copied(),
        _ => None,
    };
    found.unwrap_or(if answer.is_empty() { "-" } else { answer }).to_owned()
}
