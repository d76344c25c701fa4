//! Where the calibration of a tool stands while a visit goes on: by the day of its latest line and the operations
//! counted so far.
//!
//! Operations are counted for the serial number, whatever letters the tool was stated under. The day is that of the latest line: between two lines lie at most thirty minutes, because a
//! longer gap begins a session with a line of its own.

use super::visit::Visit;
use crate::domain::calibration::Running;
use crate::domain::names::Seq;
use crate::domain::record::{Fact, Line};
use crate::domain::tool::{Tool, Validity};

impl Visit {
    /// Operations recorded in this visit with a tool of that serial number.
    #[must_use]
    pub fn operations_here(&self, serial: &str) -> u64 {
        self.operations.iter().find(|(known, _)| known == serial).map_or(0, |(_, count)| *count)
    }

    /// Operations of a tool since first use after its last calibration, as far as they are known.
    #[must_use]
    pub fn operations(&self, tool: &Tool) -> u64 {
        before(tool).saturating_add(self.operations_here(&tool.serial))
    }

    /// Where the calibration of a tool stands now; nothing where none is stated, or where the tool is used past its
    /// end on a typed reason.
    #[must_use]
    pub fn calibration_now(&self, tool: &Tool) -> Option<Running> {
        let day = self.lines().last()?.time.date();
        Some(due(tool)?.stands(day, self.operations(tool)))
    }

    /// Where it stood at a torque, whose own operations count; how it had ended where the tool was used past its end.
    /// Nothing where none is stated.
    pub(super) fn calibration_at(&self, tool: &Tool, seq: Seq) -> Option<Running> {
        if tool.validity == Validity::Lapsed {
            return Some(self.ended_as(tool, seq));
        }
        let due = due(tool)?;
        let line = self.line(seq)?;
        // counted one by one only where the count could have reached the end
        let most = self.operations(tool);
        let done = if most <= due.operations { 0 } else { self.operations_before(tool, line) };
        Some(due.stands(line.time.date(), done))
    }

    /// How the calibration of a tool had ended that is used past its end: where its time was not over on the day of a
    /// line, its operations were used up.
    #[must_use]
    pub fn ended_as(&self, tool: &Tool, seq: Seq) -> Running {
        match tool.due().zip(self.line(seq)) {
            Some((due, line)) if line.time.date() <= due.until => Running::UsedUp,
            _ => Running::Over,
        }
    }

    /// Operations before the last one of a line.
    fn operations_before(&self, tool: &Tool, line: &Line) -> u64 {
        let of_tool = |line: &Line| match &line.fact {
            Fact::Torqued(f) if f.serial.as_ref() == Some(&tool.serial) => f.operations(),
            _ => 0,
        };
        let through = self.lines().iter().take_while(|other| other.seq <= line.seq).map(of_tool);
        through.fold(before(tool), u64::saturating_add).saturating_sub(1)
    }
}

fn before(tool: &Tool) -> u64 {
    tool.operations_before.unwrap_or(0).saturating_add(tool.operations_recorded.unwrap_or(0))
}

fn due(tool: &Tool) -> Option<crate::domain::calibration::Due> {
    if tool.validity == Validity::Valid { tool.due() } else { None }
}
