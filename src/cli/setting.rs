//! `setting`: what to set on a tool for a torque, what is really applied then, and how surely.
//!
//! The same answer as at a terminal of a walk, without one. Deliberately absent: arithmetic; every number comes from the
//! domain.

use super::failure::Failure;
use super::lines::Lines;
use super::{Records, Talk, ToolsNamed, known, toolbox};
use crate::appendix::glued;
use crate::domain::applied::{Applied, RestsOn};
use crate::domain::figures::{between, error, per_cent, with_error};
use crate::domain::names::ToolId;
use crate::domain::setting::{Reach, Setting, ranked};
use crate::domain::tool::{NoSetting, Tool, ToolKind, Validity};
use crate::domain::toolbox::{KnownTool, Toolbox};
use crate::domain::torque::{Torque, Unit, Unreadable};
use crate::journal::RealStorage;
use crate::journal::archive;
use crate::office::{Used, calibration};
use crate::session::no_setting;
use jiff::civil::Date;
use rust_decimal::Decimal;
use std::fmt;

/// Where texts begin behind their labels.
const LABEL: usize = 14;

/// `setting [--tool NAME] [--on DATE] VALUE`
pub(super) fn setting(
    talk: &mut Talk<'_>,
    tool: Option<&str>,
    value: &[String],
    day: Date,
    (records, tools): (&Records, &ToolsNamed),
) -> Result<(), Failure> {
    let target = target(&value.join(" "))?;
    let held = toolbox::load(&talk.around, tools.tools.as_deref())?;
    if !held.is_there() {
        return Err(no_tools_file(held.path()).into());
    }
    let records = talk.around.records(records.records.as_deref())?;
    let used = known::used(&archive::scan(&RealStorage, &records, false)?);
    Ok(talk.out.write_all(answer(held.toolbox(), tool, &target, &used, day)?.as_bytes())?)
}

/// Why there is no answer; the person can mend it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unanswered {
    /// Why, in trade words.
    pub reason: String,
    /// What to do.
    pub help: String,
}

impl Unanswered {
    fn new(reason: impl fmt::Display, help: impl fmt::Display) -> Self {
        Self { reason: reason.to_string(), help: help.to_string() }
    }
}

impl From<Unanswered> for Failure {
    fn from(why: Unanswered) -> Self {
        Self::mend(why.reason, why.help)
    }
}

/// There is no tools file.
pub(super) fn no_tools_file(path: &std::path::Path) -> Unanswered {
    Unanswered::new(
        format!("no tools file lies at {}", path.display()),
        "enter your torque tools: witnessmark tools; or name another file with --tools FILE \
         (witnessmark example --tools prints one to start from)",
    )
}

/// Reads what is wanted at the screw: a number and its unit, more than nothing.
///
/// # Errors
/// [`Unanswered`] with what was typed and what is allowed.
pub fn target(typed: &str) -> Result<Torque, Unanswered> {
    let units: Vec<&str> = Unit::ALL.iter().map(|unit| unit.symbol()).collect();
    let units = units.join(", ");
    let (reason, help) = match Torque::read(typed) {
        Ok(torque) if torque.value > Decimal::ZERO => return Ok(torque),
        Ok(torque) => (format!("{torque} is not more than nothing"), "type the maker's value".to_owned()),
        Err(Unreadable::NoUnit) => (
            format!("the torque is the bare number {}: it has no unit", typed.trim()),
            format!("type \"{} N.m\" if newton metres are meant; allowed are {units}", typed.trim()),
        ),
        Err(Unreadable::NoNumber) => (
            format!("\"{typed}\" does not begin with a number"),
            "type the number, then the unit: \"2.5 N.m\"".into(),
        ),
        Err(Unreadable::TooManyDigits) => (
            format!("\"{typed}\" has more digits than any scale"),
            "type at most 9 digits, at most 6 of them after the point".into(),
        ),
        Err(Unreadable::UnknownUnit(unit)) => {
            (format!("\"{unit}\" is no unit of torque here"), format!("type the value in one of {units}"))
        }
    };
    Err(Unanswered { reason, help })
}

/// The whole answer: of one tool by its name or serial number, else a line for each tool in use.
///
/// # Errors
/// [`Unanswered`]: no such tool, retired, out of its range, not calibrated there; or no tool can do it.
pub fn answer(
    toolbox: &Toolbox,
    named: Option<&str>,
    target: &Torque,
    used: &Used,
    day: Date,
) -> Result<String, Unanswered> {
    let Some(named) = named else { return all(toolbox, target, used, day) };
    let known = find(toolbox, named)?;
    let tool = as_it_is(known);
    let setting = Setting::of(&tool, target).map_err(|why| {
        let words = no_setting(&tool, target, why);
        let reason = format!("{} cannot do it: {words}{}", known.name, reaches(&tool, why));
        Unanswered::new(reason, others(toolbox, target))
    })?;
    let mut lines = Lines::default();
    one(&mut lines, known, &tool, &setting);
    standing(&mut lines, known, used, day);
    Ok(lines.into_text())
}

/// The tool as a walk would state it.
fn as_it_is(known: &KnownTool) -> Tool {
    known.in_visit(ToolId::from("A"), Validity::NotStated)
}

/// The tool of a name or serial number that is in use.
fn find<'t>(toolbox: &'t Toolbox, named: &str) -> Result<&'t KnownTool, Unanswered> {
    let tool = known_as(toolbox, named)?;
    match &tool.retired {
        None => Ok(tool),
        Some(retired) => Err(Unanswered::new(
            format!("{}, serial {}, was retired on {}: {}", tool.name, tool.serial, retired.day, retired.why),
            "take a tool that is in use: witnessmark tools lists them",
        )),
    }
}

/// The tool of a name or serial number, upper and lower case alike; those in use first.
pub(super) fn known_as<'t>(toolbox: &'t Toolbox, named: &str) -> Result<&'t KnownTool, Unanswered> {
    let wanted = named.trim().to_lowercase();
    let found = |tool: &&KnownTool| [&tool.serial, &tool.name].iter().any(|n| n.to_lowercase() == wanted);
    if let Some(tool) = toolbox.named(named.trim()).or_else(|| toolbox.tools.iter().find(found)) {
        return Ok(tool);
    }
    let mut nearest: Vec<(usize, String)> = toolbox
        .in_use()
        .map(|tool| {
            let off = |name: &str| strsim::damerau_levenshtein(&wanted, &name.to_lowercase());
            let near = off(&tool.name).min(off(&tool.serial));
            (near, format!("{} (serial {})", tool.name, tool.serial))
        })
        .collect();
    nearest.sort_by_key(|(off, _)| *off);
    let in_use: Vec<String> = nearest.into_iter().map(|(_, name)| name).collect();
    Err(Unanswered::new(
        format!("no tool is called \"{named}\""),
        if in_use.is_empty() {
            "the tools file holds no tool in use: witnessmark tools adds one".to_owned()
        } else {
            format!("tools in use, the nearest name first: {}", in_use.join(", "))
        },
    ))
}

/// How far a tool reaches, for who went beyond.
fn reaches(tool: &Tool, why: NoSetting) -> String {
    let reach = Reach::of(tool);
    match (why, &reach.applied) {
        (NoSetting::NotCalibratedHere, Some(ends)) => {
            format!("; they reach from {} at the screw", between(ends, tool.unit))
        }
        (NoSetting::BelowRange | NoSetting::AboveRange, _) if tool.adapter.is_some() => {
            format!(", with its adapter {} at the screw", between(&reach.range, tool.unit))
        }
        _ => String::new(),
    }
}

/// Which other tools can do it, for who asked for one that cannot.
fn others(toolbox: &Toolbox, target: &Torque) -> String {
    let tools: Vec<Tool> = toolbox.in_use().map(as_it_is).collect();
    let tools: Vec<&Tool> = tools.iter().collect();
    let able: Vec<String> = ranked(&tools, target).into_iter().map(|(tool, _)| tool.name.clone()).collect();
    if able.is_empty() {
        "no tool in use can do it: take one whose range and calibration reach it".into()
    } else {
        format!("these can: {}; witnessmark setting \"{target}\" compares them", able.join(", "))
    }
}

fn one(lines: &mut Lines, known: &KnownTool, tool: &Tool, setting: &Setting) {
    let class = known.class.as_ref().map_or_else(String::new, |class| format!(", class {class}"));
    let serial = glued(&format!("serial {}", known.serial));
    lines.beside("Tool", LABEL, &format!("{}, {serial}, {}{class}", known.name, known.kind.words()));
    lines.beside("Target", LABEL, &in_its_unit(&setting.target, tool.unit));
    let (label, how) = to_do(tool.kind, &setting.required);
    lines.beside(label, LABEL, &how);
    let said = &setting.applied;
    let sure = if said.shape.is_some() { " (95.45 %)" } else { "" };
    let applied = glued(&with_error(&said.torque, said.w().as_ref(), said.unit));
    lines.beside("Applied", LABEL, &format!("{applied} at the screw{sure}"));
    shape(lines, said);
    limits(lines, tool);
}

/// `2.5 N.m`, in the unit of the tool besides.
fn in_its_unit(target: &Torque, unit: Unit) -> String {
    if target.unit == unit {
        return format!("{} at the screw", glued(&target.to_string()));
    }
    let there = glued(&with_error(&target.exact_in(unit), None, unit));
    format!("{} at the screw, that is {there}", glued(&target.to_string()))
}

/// What the hand does.
fn to_do(kind: ToolKind, required: &Torque) -> (&'static str, String) {
    match kind {
        ToolKind::Setting => ("Set", format!("{required} on its scale")),
        ToolKind::Fixed => ("Set", format!("nothing: it is fixed at {required}")),
        ToolKind::Indicating => ("Turn to", format!("{required} on its display")),
    }
}

/// The error's two parts and what each rests on.
fn shape(lines: &mut Lines, said: &Applied) {
    let Some(shape) = &said.shape else {
        lines.beside("Error", LABEL, &said.rests_on.words());
        return;
    };
    let u = glued(&format!("u = {}", error(shape.normal(), said.unit)));
    let a = glued(&format!("a = {}", error(shape.rectangle(), said.unit)));
    match &said.rests_on {
        RestsOn::Certificate { w_percent, drift_percent, drift_of_history } => {
            let w = glued(&per_cent(w_percent));
            lines.beside("Error", LABEL, &format!("normal, {u}: half of its certificate's W, {w}"));
            let rectangle = match drift_percent {
                Some(drift) => {
                    let whence = if *drift_of_history {
                        "the tool's own history"
                    } else {
                        "half its class limit, our choice"
                    };
                    format!("rectangle, {a}: drift of {}, {whence}", glued(&per_cent(drift)))
                }
                None => "no rectangle: neither class nor history says how far it drifts".into(),
            };
            lines.beside("", LABEL, &rectangle);
        }
        RestsOn::ClassLimit(limit) => {
            let limit = glued(&format!("{limit} %"));
            lines.beside(
                "Error",
                LABEL,
                &format!("rectangle, {a}: the limit of its class, {limit}; no normal part"),
            );
        }
        RestsOn::Nothing => lines.beside("Error", LABEL, &said.rests_on.words()),
    }
}

/// What the tool can do.
fn limits(lines: &mut Lines, tool: &Tool) {
    let (min, max, unit) = (tool.range.min, tool.range.max, tool.unit);
    let reach = Reach::of(tool);
    if tool.kind != ToolKind::Fixed {
        let step = tool.graduation.map_or_else(String::new, |step| format!(" by {step}"));
        lines.beside("Range", LABEL, &format!("{}{step}", glued(&format!("{min} to {max} {unit}"))));
    }
    if let Some(adapter) = &tool.adapter {
        let words = format!(
            "{}, lever {} mm, extension {} mm: its range is {} at the screw",
            adapter.what,
            adapter.lever_mm,
            adapter.extension_mm,
            glued(&between(&reach.range, unit)),
        );
        lines.beside("Adapter", LABEL, &words);
    }
    if let Some((settings, applied)) = reach.settings.zip(reach.applied) {
        let end = |end| with_error(end, None, unit);
        let words = if settings.0 == settings.1 {
            format!("at {} only, which applies {}", end(&settings.0), end(&applied.0))
        } else {
            let applied = glued(&between(&applied, unit));
            format!("from {}, which apply {applied} at the screw", glued(&between(&settings, unit)))
        };
        lines.beside("Calibrated", LABEL, &words);
    }
}

/// Whether it may be used on a day.
fn standing(lines: &mut Lines, known: &KnownTool, used: &Used, day: Date) {
    let stated = known.stated();
    let done = used.operations_of(known);
    let (words, _) = calibration(stated, known.interval, done, day);
    let more = match stated.and_then(|stated| stated.certificate.as_ref()) {
        Some(certificate) => format!("; certificate {}", glued(certificate)),
        None => "; what is done with it is at best complete with remark".into(),
    };
    let words = words.strip_prefix("calibration ").unwrap_or(&words);
    lines.beside("On the day", LABEL, &day.to_string());
    lines.beside("Calibration", LABEL, &format!("{words}{more}"));
    if let Some(words) = doubt(known, used) {
        lines.beside("DOUBTED", LABEL, &words);
    }
}

/// Who doubts it, where somebody does: in the tools file, else in a visit.
pub(super) fn doubt(known: &KnownTool, used: &Used) -> Option<String> {
    let in_file = known.doubted().map(|doubt| format!("since {} by {}: {}", doubt.day, doubt.by, doubt.what));
    in_file.or_else(|| {
        let doubt = used.doubt_of(known)?;
        Some(format!("in a visit of {} at {}: {}", doubt.day, doubt.board, doubt.what))
    })
}

/// A line a tool, the smallest error first, then those that cannot do it.
fn all(toolbox: &Toolbox, target: &Torque, used: &Used, day: Date) -> Result<String, Unanswered> {
    let tools: Vec<Tool> = toolbox.in_use().map(as_it_is).collect();
    let tools: Vec<&Tool> = tools.iter().collect();
    let able = ranked(&tools, target);
    let why = |tool: &&Tool| {
        let why = Setting::of(tool, target).err()?;
        Some((tool.name.clone(), no_setting(tool, target, why)))
    };
    let unable: Vec<(String, String)> = tools.iter().filter_map(why).collect();
    if able.is_empty() {
        let reasons: Vec<String> = unable.iter().map(|(name, why)| format!("{name}: {why}")).collect();
        let reasons = if reasons.is_empty() { "none is in use".into() } else { reasons.join("; ") };
        return Err(Unanswered::new(
            format!("no tool of the tools file can do {target}: {reasons}"),
            "take one whose range and calibration reach it: witnessmark tools adds it",
        ));
    }
    let mut lines = Lines::default();
    lines.text(&format!("{target} at the screw on {day}, by tool, the smallest error first:"));
    let rows: Vec<Vec<String>> = able
        .iter()
        .map(|(tool, setting)| {
            let said = &setting.applied;
            let (label, how) = match tool.kind {
                ToolKind::Fixed => ("fixed at", setting.required.to_string()),
                ToolKind::Setting => ("set", setting.required.to_string()),
                ToolKind::Indicating => ("turn to", setting.required.to_string()),
            };
            let applied = with_error(&said.torque, said.w().as_ref(), said.unit);
            vec![tool.name.clone(), format!("{label} {how}"), applied, in_short(toolbox, tool, used, day)]
        })
        .collect();
    lines.rows(&rows);
    if !unable.is_empty() {
        lines.heading("Not with:");
        lines.rows(&unable.into_iter().map(|(name, why)| vec![name, why]).collect::<Vec<_>>());
    }
    Ok(lines.into_text())
}

/// Whether it may be used on a day, in a few words.
fn in_short(toolbox: &Toolbox, tool: &Tool, used: &Used, day: Date) -> String {
    let Some(known) = toolbox.of_serial(&tool.serial) else { return String::new() };
    if doubt(known, used).is_some() {
        return "DOUBTED".into();
    }
    calibration(known.stated(), known.interval, used.operations_of(known), day).0
}
