//! One block a setting: what a tool was set to, for which of the maker's values, and what its scale read.
//!
//! What the tool did is common to every terminal done at that setting, so it stands here once.

use super::letters::glued;
use super::reckoned;
use super::scales;
use super::sheet::Sheet;
use super::words;
use crate::domain::board::Board;
use crate::domain::clamp::Clamp;
use crate::domain::limits::{Basis, Limits};
use crate::domain::names::{Seq, SpanId, TerminalName, ToolId};
use crate::domain::record::{Fact, TorqueResult, Torqued};
use crate::domain::stated::Stated;
use crate::domain::tool::{Tool, ToolKind};
use crate::domain::torque::Torque;
use crate::session::flat::Flat;
use crate::session::{Span, TerminalIndex, Visit, said_at, standing_torques, verdict_now};
use rust_decimal::Decimal;

/// A setting: equal tool, required setting, aim, limits, basis and source.
pub(super) struct Setting {
    tool: ToolId,
    required: Torque,
    aim: Option<Torque>,
    limits: Limits,
    stated: String,
    spans: Vec<SpanId>,
    clamps: Vec<String>,
    terminals: Vec<(TerminalIndex, TerminalName)>,
    /// Terminals no longer on the board that were done at it.
    gone: Vec<TerminalName>,
    readings: Vec<(Seq, TerminalName, String)>,
    struck: usize,
}

/// Settings in the order in which they were first used; their number is their place here, from 1.
pub(super) struct Settings(Vec<Setting>);

impl Settings {
    /// Numbers of the settings a terminal's standing torques belong to: `[1]`, `[1,3]`; empty where there is none.
    pub(super) fn numbers(&self, at: TerminalIndex) -> String {
        let numbers: Vec<String> = (1_usize..)
            .zip(&self.0)
            .filter(|(_, setting)| setting.terminals.iter().any(|(index, _)| *index == at))
            .map(|(number, _)| number.to_string())
            .collect();
        if numbers.is_empty() { String::new() } else { format!(" [{}]", numbers.join(",")) }
    }
}

/// Every setting that a torque was recorded at.
pub(super) fn of(visit: &Visit) -> Settings {
    let mut settings: Vec<Setting> = Vec::new();
    for line in visit.lines() {
        let Fact::Torqued(named) = &line.fact else { continue };
        for name in &named.terminals {
            if let Fact::Torqued(torqued) = visit.effective(line, Some(name)) {
                take(visit, &mut settings, line.seq, name, torqued);
            }
        }
    }
    Settings(settings)
}

fn take(visit: &Visit, settings: &mut Vec<Setting>, seq: Seq, name: &TerminalName, torqued: &Torqued) {
    let (Some(tool), Some(required)) = (&torqued.tool, torqued.required) else { return };
    let Some(board) = visit.board_before(seq) else { return };
    let stated = stated(board, name);
    let same = |setting: &&Setting| {
        setting.tool == *tool
            && same_digits(setting.required, required)
            && setting.limits == torqued.limits
            && setting.stated == stated
    };
    let known = settings.iter().position(|setting| same(&setting));
    let place = known.unwrap_or(settings.len());
    if known.is_none() {
        settings.push(Setting {
            tool: tool.clone(),
            required,
            aim: torqued.aim,
            limits: torqued.limits.clone(),
            stated: stated.clone(),
            spans: Vec::new(),
            clamps: Vec::new(),
            terminals: Vec::new(),
            gone: Vec::new(),
            readings: Vec::new(),
            struck: 0,
        });
    }
    let Some(setting) = settings.get_mut(place) else { return };
    note(visit, setting, (seq, board), name, torqued);
}

fn note(
    visit: &Visit,
    setting: &mut Setting,
    (seq, board): (Seq, &Board),
    name: &TerminalName,
    torqued: &Torqued,
) {
    let there = visit.find(name);
    let stands =
        there.is_some_and(|at| standing_torques(visit, at).iter().any(|(standing, _)| *standing == seq));
    if let Some(span) = &torqued.span
        && !setting.spans.contains(span)
    {
        setting.spans.push(span.clone());
    }
    let clamp = board.terminal(name).and_then(|terminal| board.clamp(terminal));
    let kind = |clamp: &Clamp| if Flat::is_board(board) { "kind not seen" } else { clamp.kind.words() };
    if let Some(clamp) = clamp.map(|clamp| format!("{} ({})", clamp.name, kind(clamp)))
        && !setting.clamps.contains(&clamp)
    {
        setting.clamps.push(clamp);
    }
    if let TorqueResult::Reading { text, value, unit } = &torqued.result {
        let struck = if stands { "" } else { ", struck out" };
        let slip = if visit.is_corrected(seq) { ", slip put right" } else { "" };
        let tool = visit.tool(&setting.tool).map(|held| &held.tool);
        let applied = tool.map_or_else(String::new, |tool| {
            let said = tool.applied(&Torque::new(*value, *unit), Some(Decimal::new(1, value.scale())));
            format!("; {}", reckoned::in_short(&torqued.limits, &said))
        });
        let word = verdict_now(visit, torqued).words();
        let said = format!("{}, {word}{slip}{struck}{applied}", glued(&format!("{text} {unit}")));
        setting.readings.push((seq, name.clone(), said));
    }
    let Some(at) = there else {
        if !setting.gone.contains(name) {
            setting.gone.push(name.clone());
        }
        return;
    };
    if !stands {
        setting.struck = setting.struck.saturating_add(1);
    } else if !setting.terminals.iter().any(|(index, _)| *index == at) {
        setting.terminals.push((at, name.clone()));
    }
}

fn same_digits(one: Torque, other: Torque) -> bool {
    one.unit == other.unit && one == other
}

/// The maker's words for a terminal of a board.
fn stated(board: &Board, name: &TerminalName) -> String {
    let row = board.terminal(name).and_then(|terminal| board.torque_row(terminal));
    row.map_or_else(
        || "not known".into(),
        |row| match &row.stated {
            Stated::Single { value } => format!("{}, no tolerance", words::torque_and_nm(value)),
            other => glued(&other.to_string()),
        },
    )
}

/// Every block.
pub(super) fn write(visit: &Visit, settings: &Settings, sheet: &mut Sheet) {
    sheet.heading("SETTINGS");
    if settings.0.is_empty() {
        sheet.text("Nothing was tightened with a torque tool.");
    }
    for (at, setting) in settings.0.iter().enumerate() {
        sheet.together(|sheet| {
            if at > 0 {
                sheet.gap();
            }
            block(visit, at.saturating_add(1), setting, sheet);
        });
    }
    by_hand(visit, sheet);
    idle(visit, settings, sheet);
}

fn block(visit: &Visit, number: usize, setting: &Setting, sheet: &mut Sheet) {
    let held = visit.tool(&setting.tool);
    let serial = held.map_or(String::new(), |held| format!(", serial {}", glued(&held.tool.serial)));
    let kind = held.map(|held| held.tool.kind);
    let shown = match setting.aim {
        // Nothing was rounded to a mark: the digits are the maker's.
        Some(aim) if kind == Some(ToolKind::Indicating) && same_digits(aim, setting.required) => aim,
        _ => setting.required,
    };
    sheet.entry(
        &format!("Setting [{number}]"),
        format!("{} on tool {}{serial}", words::torque_and_nm(&shown), setting.tool),
    );
    sheet.under("Maker's value", setting.stated.clone());
    sheet.under("Source", setting.limits.source.clone());
    sheet.under("Clamp", setting.clamps.join("; "));
    sheet.under("Basis", setting.limits.basis.words());
    if let Some(limits) = limits(&setting.limits) {
        sheet.under("Limits", limits);
    }
    if let Some(aim) = &setting.aim {
        sheet.under("Aimed at", aimed(aim, &setting.required, held.map(|held| &held.tool)));
    }
    let agrees = held.filter(|_| !setting.spans.is_empty()).and_then(|held| scales::agrees(&held.tool));
    if let Some(agrees) = agrees {
        sheet.under("Agrees", agrees);
    }
    for span in setting.spans.iter().filter_map(|id| visit.span(id)) {
        sheet.under(&format!("Scale, {}", span.id), scales::read(visit, span, Some(&setting.limits)));
    }
    if kind == Some(ToolKind::Indicating) {
        if let Some(held) = held {
            sheet.under("Error", reckoned::error(&held.tool.applied(&setting.required, None)));
        }
        for (seq, name, said) in &setting.readings {
            sheet.under("Reading", format!("{}: {said} ({})", glued(name.as_str()), words::line(*seq)));
        }
    }
    if kind != Some(ToolKind::Indicating)
        && let Some((held, rule)) = held.zip(visit.opened().map(|opened| opened.decision_rule))
    {
        reckoned::write(rule, &setting.limits, &held.tool.applied(&setting.required, None), sheet);
    }
    verdicts(visit, setting, sheet);
    if !setting.gone.is_empty() {
        let gone = words::terminals(&setting.gone);
        sheet.under("Gone", format!("done at it, no longer on the board: {gone}"));
    }
    if setting.struck > 0 {
        sheet.under(
            "Struck out",
            format!("{}, see DONE AGAIN", words::count(setting.struck, "torque", "torques")),
        );
    }
}

fn limits(limits: &Limits) -> Option<String> {
    let unit = limits.unit;
    let source = match limits.basis {
        Basis::OwnTolerance => ", the firm's own",
        _ => "",
    };
    match (limits.lower, limits.upper) {
        (Some(lower), Some(upper)) => {
            Some(format!("{}{source}", glued(&format!("{lower} to {upper} {unit}"))))
        }
        (None, Some(upper)) => Some(format!("{}{source}", glued(&format!("at most {upper} {unit}")))),
        (Some(lower), None) => Some(format!("{}{source}", glued(&format!("at least {lower} {unit}")))),
        (None, None) => None,
    }
}

fn aimed(aim: &Torque, required: &Torque, tool: Option<&Tool>) -> String {
    let kind = tool.map(|tool| tool.kind);
    let mut said = words::torque(aim);
    if aim.unit != required.unit
        && let Some(here) = aim.exact_in(required.unit).decimal(3)
    {
        said = format!("{said} ({}, rounded)", glued(&format!("{here} {}", required.unit)));
    }
    match (kind, tool.and_then(|tool| tool.graduation)) {
        (Some(ToolKind::Setting), Some(step)) => {
            let step = glued(&format!("{step} {}", required.unit));
            let why = corrected(tool);
            format!("{said}{why}; the nearest mark of {step} is {}", words::torque(required))
        }
        (Some(ToolKind::Fixed), _) => format!("{said}; the tool is fixed at it"),
        (Some(ToolKind::Indicating), _) if tool.is_some_and(|tool| tool.line().is_some()) => {
            format!("{said}{}; to be read on the tool: {}", corrected(tool), words::torque(required))
        }
        (Some(ToolKind::Indicating), _) => format!("{said}; read on the tool"),
        _ => said,
    }
}

/// What stands between the aim and the setting.
fn corrected(tool: Option<&Tool>) -> &'static str {
    let line = tool.is_some_and(|tool| tool.line().is_some());
    let adapter = tool.is_some_and(|tool| tool.lever().is_some());
    match (line, adapter) {
        (true, true) => ", corrected by its calibration and for the adapter",
        (true, false) => ", corrected by its calibration",
        (false, true) => ", corrected for the adapter",
        (false, false) => "",
    }
}

/// Terminals by what can be said of them, the best word first.
fn verdicts(visit: &Visit, setting: &Setting, sheet: &mut Sheet) {
    let mut groups: Vec<(crate::session::TorqueSaid, Vec<&TerminalName>)> = Vec::new();
    for (at, name) in &setting.terminals {
        let Some(said) = said_at(visit, *at) else { continue };
        match groups.iter_mut().find(|(known, _)| *known == said) {
            Some((_, names)) => names.push(name),
            None => groups.push((said, vec![name])),
        }
    }
    groups.sort_by(|one, other| one.0.cmp(&other.0));
    for (said, names) in groups {
        let n = names.len();
        sheet.under(
            "Verdict",
            format!("{}, {}: {}", said.words(), words::count(n, "terminal", "terminals"), {
                words::terminals(names)
            }),
        );
    }
}

/// What was tightened without a torque tool, with the value it could not be set to.
fn by_hand(visit: &Visit, sheet: &mut Sheet) {
    let mut first = true;
    for (at, terminal, _) in visit.terminals() {
        let done = standing_torques(visit, at);
        let Some((seq, torqued)) = done.iter().find(|(_, f)| f.result == TorqueResult::ByHand) else {
            continue;
        };
        if first {
            sheet.gap();
            sheet.lead("Tightened without a torque tool, and therefore never as set:");
            first = false;
        }
        let value = if torqued.limits.basis == Basis::None {
            format!("no maker's value is known for the clamp {}", glued(terminal.clamp.as_str()))
        } else {
            let stated = visit.board_before(*seq).map(|board| stated(board, &terminal.name));
            format!("maker's value {} ({})", stated.unwrap_or_default(), torqued.limits.source)
        };
        sheet.under(&glued(terminal.name.as_str()), format!("{value} ({})", words::line(*seq)));
    }
}

/// Spans at which nothing was tightened.
fn idle(visit: &Visit, settings: &Settings, sheet: &mut Sheet) {
    let used = |span: &Span| settings.0.iter().any(|setting| setting.spans.contains(&span.id));
    let idle: Vec<&Span> = visit.spans().iter().filter(|span| !used(span)).collect();
    if idle.is_empty() {
        return;
    }
    sheet.gap();
    sheet.lead("Read, but nothing was tightened at it:");
    for span in idle {
        sheet.under(
            &format!("Span {}", span.id),
            format!(
                "tool {}, required {}: {}",
                span.tool,
                words::torque(&span.required),
                scales::read(visit, span, None)
            ),
        );
    }
}
