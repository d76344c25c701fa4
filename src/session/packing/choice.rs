//! Which tool does which terminal, at which settings, how often it is set, and what no tool does.

use super::is_tightened;
use crate::domain::applied::Applied;
use crate::domain::board::{Board, Terminal};
use crate::domain::calibration::Running;
use crate::domain::clamp::Clamp;
use crate::domain::doubt::Doubt;
use crate::domain::exact::Exact;
use crate::domain::limits::Limits;
use crate::domain::names::{ClampName, TerminalName, ToolId};
use crate::domain::record::Order;
use crate::domain::setting::Setting;
use crate::domain::stated::TorqueRow;
use crate::domain::tool::{Tool, Validity};
use crate::domain::toolbox::{KnownTool, Retired};
use crate::domain::torque::Torque;
use crate::domain::verdict::DecisionRule;
use crate::session::decide::{no_setting, setting_for};
use crate::session::refusal::Refusal;
use crate::session::visit::Visit;
use jiff::civil::Date;
use std::collections::HashMap;

/// The usual rule, which an opening offers.
const RULE: DecisionRule = DecisionRule::GuardedFourWords;

/// A tool that may be taken along.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Candidate {
    /// As a visit would state it.
    pub tool: Tool,
    /// Why it stays here, where it does.
    pub not_taken: Option<NotTaken>,
}

/// Why a tool stays here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotTaken {
    /// It is no longer used.
    Retired(Retired),
    /// Somebody doubts it: since when, who, what happened.
    Doubted(String),
    /// It is calibrated only on a later day: that one.
    NotYet(Date),
    /// The time of its calibration is over: its last day.
    Over(Date),
    /// The operations of its calibration are used up: how many it was good for.
    UsedUp(u64),
}

impl Candidate {
    /// A tool of the tools file on a day, after so many operations; `doubt` says who doubts it, where somebody does.
    #[must_use]
    pub fn of(known: &KnownTool, day: Date, done: u64, doubt: Option<String>) -> Self {
        let due = known.due();
        let not_yet = known.calibrated_after(day).map(NotTaken::NotYet);
        let not_taken = match (&known.retired, doubt, due.map(|due| (due, due.stands(day, done)))) {
            (Some(retired), ..) => Some(NotTaken::Retired(retired.clone())),
            (None, Some(doubt), _) => Some(NotTaken::Doubted(doubt)),
            (None, None, Some((due, Running::Over))) => Some(NotTaken::Over(due.until)),
            (None, None, Some((due, Running::UsedUp))) => Some(NotTaken::UsedUp(due.operations)),
            (None, None, _) => not_yet,
        };
        let validity = if due.is_some() { Validity::Valid } else { Validity::NotStated };
        Self { tool: known.in_visit(ToolId::from(known.serial.as_str()), validity), not_taken }
    }
}

/// Tools, their settings, and what they cannot do. Tools are named by their place among the candidates, from 0.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tools {
    /// Those to take, in the order of the candidates.
    pub taken: Vec<PackedTool>,
    /// Maker's values that no tool can do.
    pub no_tool: Vec<NoTool>,
    /// Maker's values with limits that are in doubt with the tool chosen.
    pub doubtful: Vec<Doubtful>,
}

/// A tool to take.
#[derive(Clone, Debug, PartialEq)]
pub struct PackedTool {
    /// Which.
    pub tool: usize,
    /// What has to be set on it, the smallest first.
    pub settings: Vec<PackedSetting>,
}

/// What has to be set, and for what.
#[derive(Clone, Debug, PartialEq)]
pub struct PackedSetting {
    /// What to set, or to read.
    pub required: Torque,
    /// What is really applied then.
    pub applied: Applied,
    /// Terminals tightened with it.
    pub terminals: usize,
    /// Their clamps, each once, in the order of the board.
    pub clamps: Vec<ClampName>,
    /// Whether readings there need the firm's own tolerance, which is asked for at the opening.
    pub own_tolerance: bool,
}

/// A maker's value that no tool can do.
#[derive(Clone, Debug, PartialEq)]
pub struct NoTool {
    /// As its maker states it.
    pub stated: String,
    /// Its clamps, each once.
    pub clamps: Vec<ClampName>,
    /// Its terminals.
    pub terminals: Vec<TerminalName>,
    /// Why not, by tool; of those that stay here only the ones that could do it.
    pub why: Vec<(usize, Why)>,
}

/// Why a tool does not do a maker's value.
#[derive(Clone, Debug, PartialEq)]
pub enum Why {
    /// It cannot; in words.
    Cannot(String),
    /// It could, but stays here.
    StaysHere,
}

/// A maker's value with limits that is in doubt with the tool chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubtful {
    /// As its maker states it.
    pub stated: String,
    /// Its clamps, each once.
    pub clamps: Vec<ClampName>,
    /// How many terminals.
    pub terminals: usize,
    /// The tool.
    pub tool: usize,
    /// What is really applied.
    pub applied: Applied,
    /// Why it is in doubt.
    pub doubt: Doubt,
}

/// The tool chosen for a row of a maker's table.
#[derive(Clone, Debug)]
pub(super) struct Chosen {
    pub(super) tool: usize,
    setting: Setting,
    limits: Limits,
    own_tolerance: bool,
}

/// Which tool is set to what at each terminal.
pub(super) type ByTerminal = HashMap<TerminalName, (usize, Torque)>;

/// Chooses for every terminal, and gathers what that means.
pub(super) fn choose(work: &[(&Terminal, &Clamp)], candidates: &[Candidate]) -> (Tools, ByTerminal) {
    let mut tools = Tools::default();
    let mut by_terminal = ByTerminal::new();
    // many terminals go by one row of one maker's table
    let mut known: Vec<(&TorqueRow, Option<Chosen>)> = Vec::new();
    for (terminal, clamp) in work.iter().filter(|(terminal, clamp)| is_tightened(terminal, clamp)) {
        let Some(row) = clamp.torque_for(&terminal.conductors) else { continue };
        let worked_out = known.iter().find(|(other, _)| std::ptr::eq(*other, row));
        let chosen = if let Some((_, chosen)) = worked_out {
            chosen.clone()
        } else {
            let chosen = best(row, candidates);
            known.push((row, chosen.clone()));
            chosen
        };
        match chosen {
            Some(chosen) => {
                by_terminal.insert(terminal.name.clone(), (chosen.tool, chosen.setting.required));
                tools.take(&chosen, clamp);
                tools.doubt(&chosen, row, clamp);
            }
            None => tools.leave(row, clamp, &terminal.name, candidates),
        }
    }
    tools.taken.sort_by_key(|taken| taken.tool);
    for taken in &mut tools.taken {
        taken.settings.sort_by_key(|setting| setting.required);
    }
    (tools, by_terminal)
}

/// The tool with the smallest error for a row; one that needs the firm's own tolerance only where no other can do it.
fn best(row: &TorqueRow, candidates: &[Candidate]) -> Option<Chosen> {
    let taken = candidates.iter().enumerate().filter(|(_, candidate)| candidate.not_taken.is_none());
    let able = taken.filter_map(|(tool, candidate)| at_row(row, tool, &candidate.tool).ok());
    able.min_by(|one, other| {
        let error = |chosen: &Chosen| chosen.setting.w_nm();
        one.own_tolerance.cmp(&other.own_tolerance).then(error(one).total_cmp(&error(other)))
    })
}

fn at_row(row: &TorqueRow, number: usize, tool: &Tool) -> Result<Chosen, String> {
    let aim = row.stated.aim();
    let setting = Setting::of(tool, &aim).map_err(|why| no_setting(tool, &aim, why))?;
    // a visit that is not opened goes by the usual rule, and knows no tolerance of the firm's own
    let (limits, own_tolerance) = match setting_for(&Visit::empty(), row, tool) {
        Ok((_, limits)) => (limits, false),
        Err(Refusal::NoOwnTolerance) => (Limits::of(row, None), true),
        Err(Refusal::OutOfRange(_, why) | Refusal::NoMarkWithin(_, why)) => return Err(why),
        Err(other) => return Err(other.to_string()),
    };
    Ok(Chosen { tool: number, setting, limits, own_tolerance })
}

impl Tools {
    fn take(&mut self, chosen: &Chosen, clamp: &Clamp) {
        let at = self.taken.iter().position(|taken| taken.tool == chosen.tool).unwrap_or_else(|| {
            self.taken.push(PackedTool { tool: chosen.tool, settings: Vec::new() });
            self.taken.len().saturating_sub(1)
        });
        let Some(PackedTool { settings, .. }) = self.taken.get_mut(at) else { return };
        let required = chosen.setting.required;
        match settings.iter_mut().find(|setting| setting.required == required) {
            Some(setting) => {
                setting.terminals = setting.terminals.saturating_add(1);
                setting.own_tolerance |= chosen.own_tolerance;
                add_once(&mut setting.clamps, &clamp.name);
            }
            None => settings.push(PackedSetting {
                required,
                applied: chosen.setting.applied.clone(),
                terminals: 1,
                clamps: vec![clamp.name.clone()],
                own_tolerance: chosen.own_tolerance,
            }),
        }
    }

    fn leave(&mut self, row: &TorqueRow, clamp: &Clamp, name: &TerminalName, candidates: &[Candidate]) {
        let stated = row.stated.to_string();
        if let Some(known) = self.no_tool.iter_mut().find(|known| known.stated == stated) {
            known.terminals.push(name.clone());
            add_once(&mut known.clamps, &clamp.name);
            return;
        }
        let why = candidates.iter().enumerate().filter_map(|(at, candidate)| {
            let able = at_row(row, at, &candidate.tool);
            match (&candidate.not_taken, able) {
                (None, Err(why)) => Some((at, Why::Cannot(why))),
                (Some(NotTaken::Retired(_)), _) | (Some(_), Err(_)) | (None, Ok(_)) => None,
                (Some(_), Ok(_)) => Some((at, Why::StaysHere)),
            }
        });
        self.no_tool.push(NoTool {
            stated,
            clamps: vec![clamp.name.clone()],
            terminals: vec![name.clone()],
            why: why.collect(),
        });
    }

    fn doubt(&mut self, chosen: &Chosen, row: &TorqueRow, clamp: &Clamp) {
        let Some(doubt) = Doubt::of(RULE, &chosen.limits, &chosen.setting.applied) else { return };
        let stated = row.stated.to_string();
        let same = |known: &&mut Doubtful| known.stated == stated && known.tool == chosen.tool;
        if let Some(known) = self.doubtful.iter_mut().find(same) {
            known.terminals = known.terminals.saturating_add(1);
            add_once(&mut known.clamps, &clamp.name);
            return;
        }
        self.doubtful.push(Doubtful {
            stated,
            clamps: vec![clamp.name.clone()],
            terminals: 1,
            tool: chosen.tool,
            applied: chosen.setting.applied.clone(),
            doubt,
        });
    }

    /// Different settings over all tools: no order asks for fewer changes.
    #[must_use]
    pub fn pairs(&self) -> usize {
        self.taken.iter().fold(0, |sum, taken| sum.saturating_add(taken.settings.len()))
    }
}

fn add_once(clamps: &mut Vec<ClampName>, name: &ClampName) {
    if !clamps.contains(name) {
        clamps.push(name.clone());
    }
}

/// How often a tool has to be set in each order, as a walk counts it: two tools at two settings need none.
pub(super) fn settings_by_order(board: &Board, chosen: &ByTerminal) -> Vec<(Order, usize)> {
    let place = |terminal: &Terminal| board.places.iter().position(|place| place.name == terminal.place);
    let aim = |terminal: &Terminal| board.torque_row(terminal).map(|row| row.stated.aim().exact_nm());
    let count = |order: Order| {
        let mut sequence: Vec<(Option<usize>, Option<Exact>, usize, &TerminalName)> = board
            .terminals
            .iter()
            .enumerate()
            .map(|(at, terminal)| {
                let group = match order {
                    Order::Place => place(terminal),
                    Order::Way => terminal.way.map(|way| usize::from(way.0)),
                    Order::Setting => None,
                };
                (group, aim(terminal), at, &terminal.name)
            })
            .collect();
        sequence.sort();
        let mut stands: HashMap<usize, Torque> = HashMap::new();
        let settings = sequence.iter().filter_map(|(.., name)| chosen.get(*name));
        settings.filter(|(tool, required)| stands.insert(*tool, *required) != Some(*required)).count()
    };
    Order::ALL.into_iter().map(|order| (order, count(order))).collect()
}
