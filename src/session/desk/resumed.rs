//! Where a visit that is gone on with stands: at the first open step after the last fact.
//!
//! What was in front of the person is worked out as it was then: the visit is folded up to the last fact about a terminal,
//! and the walk goes on from there with the lines that follow, as it did before. Deliberately absent: what was left for
//! later, and by which way somebody came; neither is kept.

use super::State;
use super::route::Pass;
use super::step::refocus;
use crate::domain::record::{Fact, Line};
use crate::session::apply::{apply, named, replay};
use crate::session::visit::{TerminalIndex, Visit};

impl State {
    /// Stands at the first open step after the last fact.
    pub(super) fn focus_after_resume(&mut self) {
        let lines = self.visit.lines().to_vec();
        let last =
            lines.iter().enumerate().rev().find_map(|(nth, line)| Some((nth, at_work(&self.visit, line)?)));
        let Some((nth, at)) = last else { return refocus(self) };
        let (before, after) = lines.split_at(nth.saturating_add(1));
        let now = std::mem::replace(&mut self.visit, replay(before));
        self.desk.focus = Some(at);
        self.desk.pass = Some(pass_there(&self.visit, at));
        refocus(self);
        for line in after {
            self.visit = apply(std::mem::take(&mut self.visit), line);
            refocus(self);
        }
        self.visit = now;
        self.desk.trail.clear();
    }
}

/// The terminal a line was answered at; nothing where it is about no terminal, or about several by another way than
/// standing before them.
fn at_work(visit: &Visit, line: &Line) -> Option<TerminalIndex> {
    let elsewhere = matches!(
        line.fact,
        Fact::Scope(_)
            | Fact::Thermal(_)
            | Fact::Code(_)
            | Fact::Told(_)
            | Fact::LastLook(_)
            | Fact::Remark(_)
    );
    if elsewhere {
        return None;
    }
    named(visit, &line.fact).iter().find_map(|name| visit.find(name))
}

/// The pass in which a terminal was worked last. What is made off waits for the tightening, but the person was still
/// making off; what was tightened already and is entered anew was met while tightening.
fn pass_there(visit: &Visit, at: TerminalIndex) -> Pass {
    let tightening = visit.lines_about(at).any(|line| {
        matches!(
            line.fact,
            Fact::Torqued(_)
                | Fact::Movement(_)
                | Fact::Tugged(_)
                | Fact::Marked(_)
                | Fact::Decided(_)
                | Fact::Remade(_)
                | Fact::Replaced(_)
                | Fact::Disturbed(_)
        )
    });
    if tightening { Pass::Tightening } else { Pass::MakingOff }
}
