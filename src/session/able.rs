//! Which tool in hand can do which terminal, what has to be set on it there, and how large its error is then.
//!
//! Worked out once for each tool and board: the route asks for all of it at every key. Whether a tool may be used *now*
//! (doubted, its calibration ended) is not part of it.

use super::decide::setting_for;
use super::visit::{TerminalIndex, Visit};
use crate::domain::names::ToolId;
use crate::domain::stated::TorqueRow;
use crate::domain::tool::Tool;
use crate::domain::torque::Torque;

/// A tool at a terminal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Able {
    /// What has to be set, or read, in the tool's unit.
    pub required: Torque,
    /// Half-width of the interval that covers 95.45 % of the error there, N.m; infinite where nothing is stated of it.
    pub w_nm: f64,
}

/// What a tool can do, terminal by terminal.
#[derive(Clone, Debug)]
pub(super) struct AbleTool {
    pub(super) tool: ToolId,
    pub(super) terminals: Vec<Option<Able>>,
}

impl Visit {
    /// A tool in hand at a terminal; nothing where it cannot do the torque, or no maker's value is known.
    #[must_use]
    pub fn able(&self, tool: &ToolId, at: TerminalIndex) -> Option<Able> {
        *self.able.iter().find(|able| able.tool == *tool)?.terminals.get(at.0)?
    }

    /// Works it out anew for one tool, or for all of them where none is named.
    pub(super) fn work_out_able(&mut self, only: Option<&ToolId>) {
        let wanted = |tool: &&Tool| only.is_none_or(|id| tool.id == *id);
        let tools: Vec<&Tool> = self.tools.iter().map(|held| &held.tool).filter(wanted).collect();
        let fresh: Vec<AbleTool> = tools.into_iter().map(|tool| of_tool(self, tool)).collect();
        self.able.retain(|able| !fresh.iter().any(|new| new.tool == able.tool));
        self.able.extend(fresh);
    }
}

fn of_tool(visit: &Visit, tool: &Tool) -> AbleTool {
    let Some(board) = visit.board() else {
        return AbleTool { tool: tool.id.clone(), terminals: Vec::new() };
    };
    // many terminals go by one row of one maker's table
    let mut known: Vec<(&TorqueRow, Option<Able>)> = Vec::new();
    let terminals = board
        .terminals
        .iter()
        .map(|terminal| {
            let row = board.torque_row(terminal)?;
            if let Some((_, able)) = known.iter().find(|(other, _)| std::ptr::eq(*other, row)) {
                return *able;
            }
            let able = at_row(visit, tool, row);
            known.push((row, able));
            able
        })
        .collect();
    AbleTool { tool: tool.id.clone(), terminals }
}

fn at_row(visit: &Visit, tool: &Tool, row: &TorqueRow) -> Option<Able> {
    let (required, _) = setting_for(visit, row, tool).ok()?;
    let applied = tool.applied(&required, None);
    let w_nm = applied.w().map_or(f64::INFINITY, |w| (&w * &tool.unit.factor()).to_f64());
    Some(Able { required, w_nm })
}
