//! What a tool in hand will and will not be able to show on this board: said before the work, not after it.

use super::decide::setting_for;
use super::visit::Visit;
use crate::domain::doubt::{Doubt, judged_by_limits};
use crate::domain::limits::Limits;
use crate::domain::names::ClampName;
use crate::domain::stated::TorqueRow;
use crate::domain::tool::Tool;

/// Clamps by what a tool can show there; each clamp once.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Outlook {
    /// Nothing can pass: its error takes up the whole range.
    pub nothing_passes: Vec<ClampName>,
    /// At its aim it passes only conditionally, or not at all.
    pub not_at_its_aim: Vec<ClampName>,
    /// It passes, but its error takes more than half of the half-width.
    pub half_taken: Vec<ClampName>,
    /// Nothing is stated of its error.
    pub error_not_stated: Vec<ClampName>,
    /// It cannot do the torque.
    pub out_of_reach: Vec<ClampName>,
}

/// The outlook of a tool on the board as it stands.
#[must_use]
pub fn outlook(visit: &Visit, tool: &Tool) -> Outlook {
    let mut found = Outlook::default();
    let Some(board) = visit.board() else { return found };
    let mut seen: Vec<&TorqueRow> = Vec::new();
    for terminal in &board.terminals {
        let Some(row) = board.torque_row(terminal) else { continue };
        if seen.iter().any(|other| std::ptr::eq(*other, row)) {
            continue;
        }
        seen.push(row);
        if let Some(list) = place(visit, tool, row, &mut found)
            && !list.contains(&terminal.clamp)
        {
            list.push(terminal.clamp.clone());
        }
    }
    found
}

fn place<'a>(
    visit: &Visit,
    tool: &Tool,
    row: &TorqueRow,
    found: &'a mut Outlook,
) -> Option<&'a mut Vec<ClampName>> {
    let rule = visit.opened()?.decision_rule;
    let limits = Limits::of(row, None);
    let Ok(required) = tool.required(&row.stated.aim()) else { return Some(&mut found.out_of_reach) };
    if !judged_by_limits(rule, &limits) {
        return setting_for(visit, row, tool).is_err().then_some(&mut found.out_of_reach);
    }
    Doubt::of(rule, &limits, &tool.applied(&required, None)).map(|doubt| match doubt {
        Doubt::NothingPasses => &mut found.nothing_passes,
        Doubt::Conditional => &mut found.not_at_its_aim,
        Doubt::MoreThanHalf => &mut found.half_taken,
        Doubt::NotStated => &mut found.error_not_stated,
    })
}

impl Outlook {
    /// In words, a line for each that is not empty; nothing where the tool does everything well.
    #[must_use]
    pub fn words(&self, tool: &Tool) -> Vec<String> {
        let id = &tool.id;
        let line = |clamps: &[ClampName], said: String| {
            let names: Vec<&str> = clamps.iter().map(ClampName::as_str).collect();
            (!clamps.is_empty()).then(|| format!("{said}: {}.", names.join(", ")))
        };
        [
            line(&self.out_of_reach, format!("Tool {id} cannot do the torque of")),
            line(
                &self.nothing_passes,
                format!("Nothing can pass with tool {id}, its error takes up the whole range, at"),
            ),
            line(&self.not_at_its_aim, format!("Tool {id} does not pass beyond doubt at")),
            line(
                &self.half_taken,
                format!("The error of tool {id} takes more than half of the tolerance at"),
            ),
            line(
                &self.error_not_stated,
                format!("Nothing is stated of the error of tool {id}: at best a conditional pass at"),
            ),
        ]
        .into_iter()
        .flatten()
        .collect()
    }
}
