//! What the hand needs at the terminal in front of the person.

use super::State;
use super::route::tool_for;
use crate::domain::board::Terminal;
use crate::domain::clamp::Clamp;
use crate::domain::limits::Limits;
use crate::domain::names::ToolId;
use crate::domain::stated::TorqueRow;
use crate::domain::tool::Tool;
use crate::domain::torque::Torque;
use crate::session::decide::setting_for;
use crate::session::standing::Standing;
use crate::session::steps::Step;
use crate::session::visit::TerminalIndex;

/// The terminal in front of the person and what is needed there.
#[derive(Clone, Debug)]
pub struct Work<'a> {
    /// Its place in the board.
    pub at: TerminalIndex,
    /// The terminal.
    pub terminal: &'a Terminal,
    /// Its clamp.
    pub clamp: &'a Clamp,
    /// Where it stands.
    pub standing: &'a Standing,
    /// The step that is due.
    pub step: Option<Step>,
    /// The row of the maker's table that holds here; nothing where no maker's value is known.
    pub row: Option<&'a TorqueRow>,
    /// The tool for it.
    pub tool: Option<&'a Tool>,
    /// What has to be set on that tool, in its unit.
    pub required: Option<Torque>,
    /// What a torque is judged by.
    pub limits: Option<Limits>,
    /// Whether that tool stands at the setting, its scale read in this session.
    pub set: bool,
}

pub(super) fn work(state: &State) -> Option<Work<'_>> {
    let at = state.desk.focus?;
    let visit = &state.visit;
    let terminal = visit.terminal(at)?;
    let clamp = visit.clamp(at)?;
    let standing = visit.standing(at)?;
    let row = clamp.torque_for(&terminal.conductors);
    let chosen = tool_for(state, at);
    let tool = chosen.as_ref().and_then(|(id, _)| visit.tool(id)).map(|held| &held.tool);
    let limits =
        row.zip(tool).and_then(|(row, tool)| setting_for(visit, row, tool).ok()).map(|(_, limits)| limits);
    let required = chosen.as_ref().map(|(_, required)| *required);
    let set = chosen.as_ref().is_some_and(|(id, required)| {
        visit
            .running_span(id)
            .is_some_and(|span| span.required == *required && Some(span.session) == visit.session())
    });
    Some(Work { at, terminal, clamp, standing, step: standing.next_step(), row, tool, required, limits, set })
}

/// The tool that is used at a terminal.
pub(super) fn tool_at(state: &State, at: TerminalIndex) -> Option<ToolId> {
    tool_for(state, at).map(|(tool, _)| tool)
}

/// What has to be set on a tool for the torque that is due in front of the person.
pub(super) fn required_of(state: &State, tool: &ToolId) -> Option<Torque> {
    let at = state.desk.focus?;
    let standing = state.visit.standing(at)?;
    if !standing.next_step().is_some_and(Step::is_torque) || standing.aside.is_some() {
        return None;
    }
    let terminal = state.visit.terminal(at)?;
    let row = state.visit.clamp(at)?.torque_for(&terminal.conductors)?;
    let held = state.visit.tool(tool)?;
    setting_for(&state.visit, row, &held.tool).ok().map(|(required, _)| required)
}
