//! A visit walked act by act, for tests that tell a story.

use crate::acts::{beginning, gate, line, me, nm, opening, tools};
use witnessmark::domain::conductor::Preparation;
use witnessmark::domain::names::{ConductorName, Seq, TerminalName, ToolId};
use witnessmark::domain::record::{
    About, DecidedTo, Fact, MarkResult, MarkSeen, Mode, SessionCause, SourceState, Strands, TailLook,
    TorqueResult, Tug,
};
use witnessmark::domain::torque::Torque;
use witnessmark::session::{Act, EndCause, Refusal, Standing, Visit, apply, decide};

/// A visit walked act by act, for tests that tell a story.
pub(crate) struct Walk {
    pub(crate) visit: Visit,
}

impl Walk {
    /// Opened, gate answered dead, all tools stated; own tolerance 6 per cent.
    pub(crate) fn begun() -> Self {
        let mut walk = Self { visit: Visit::empty() };
        walk.ok(&opening(false, Some(6)));
        walk.ok(&beginning(SessionCause::Opened));
        for tool in tools() {
            // these walks name settings: no tool is corrected, and its error is that of its class
            let mut tool = tool;
            tool.class.get_or_insert_with(|| "II D".into());
            tool.calibrations.iter_mut().for_each(|calibration| calibration.as_left.clear());
            walk.ok(&Act::StateTool(Box::new(tool)));
        }
        walk.ok(&gate(SourceState::Dead, None));
        walk
    }

    /// Does an act that is accepted; what must always hold is checked after every line.
    pub(crate) fn ok(&mut self, act: &Act) {
        let facts = decide(&self.visit, &me(), act).unwrap_or_else(|refusal| panic!("{act:?}: {refusal}"));
        for fact in facts {
            let line = line(&self.visit, fact);
            self.visit = apply(std::mem::take(&mut self.visit), &line);
            witnessmark::session::invariant::check(&self.visit).unwrap();
        }
    }

    /// Does an act that is refused; gives the refusal.
    pub(crate) fn no(&self, act: &Act) -> Refusal {
        match decide(&self.visit, &me(), act) {
            Err(refusal) => refusal,
            Ok(facts) => panic!("{act:?} was accepted: {facts:?}"),
        }
    }

    /// Where a terminal stands.
    pub(crate) fn at(&self, name: &str) -> &Standing {
        self.visit.standing(self.visit.find(&TerminalName::from(name)).unwrap()).unwrap()
    }

    /// Number of the last line.
    pub(crate) fn last(&self) -> Seq {
        self.visit.lines().last().unwrap().seq
    }

    /// Prepares and enters every conductor of a terminal, right.
    pub(crate) fn make_off(&mut self, name: &str) {
        self.make_off_as(name, &Preparation::Ferruled);
    }

    pub(crate) fn make_off_as(&mut self, name: &str, how: &Preparation) {
        let at = self.visit.find(&TerminalName::from(name)).unwrap();
        let names = self.visit.terminal(at).unwrap().conductor_names();
        for conductor in names {
            let conductors = vec![conductor];
            self.ok(&Act::Prepare {
                conductors: conductors.clone(),
                how: how.clone(),
                aluminium: vec![],
                mode: Mode::Singly,
            });
            self.ok(&Act::Enter { conductors, fault: None, mode: Mode::Singly });
        }
    }

    pub(crate) fn begin_span(&mut self, tool: &str, set: &str) {
        let set = Torque::read(set).unwrap();
        self.ok(&Act::BeginSpan { tool: ToolId::from(tool), required: set, read: set });
    }

    pub(crate) fn end_span(&mut self, tool: &str, read: &str) {
        let read = Torque::read(read).unwrap();
        let id = ToolId::from(tool);
        let required = self.visit.running_span(&id).unwrap().required;
        let agrees = self.visit.tool(&id).unwrap().tool.agrees(&read, &required);
        let cause = (!agrees).then_some(EndCause::NotKnown);
        self.ok(&Act::EndSpan { tool: id, read, cause, next: None });
    }

    /// Corrects the last answer but `back` by a change of its fact.
    pub(crate) fn slip(&mut self, seq: Seq, change: impl FnOnce(&mut Fact)) {
        let mut fact = self.visit.line(seq).unwrap().fact.clone();
        change(&mut fact);
        self.ok(&Act::Correct { seq, terminal: None, fact: Box::new(fact), why: "mistyped".into() });
    }
}

/// A click, or the lack of it.
pub(crate) fn torque(name: &str, tool: &str, result: TorqueResult) -> Act {
    Act::Torque { terminal: name.into(), tool: Some(tool.into()), result, mode: Mode::Singly }
}

pub(crate) fn clicked(name: &str, tool: &str) -> Act {
    torque(name, tool, TorqueResult::Clicked)
}

pub(crate) fn read(name: &str, tool: &str, shown: &str) -> Act {
    let shown_torque = nm(shown);
    let result =
        TorqueResult::Reading { text: shown.into(), value: shown_torque.value, unit: shown_torque.unit };
    torque(name, tool, result)
}

/// A tug of some conductors.
pub(crate) fn tug(conductors: &[&str], result: Tug) -> Act {
    let conductors = conductors.iter().map(|name| ConductorName::from(*name)).collect();
    Act::Tug { conductors, result, mode: Mode::Singly }
}

pub(crate) fn mark(name: &str) -> Act {
    Act::Mark { terminals: vec![name.into()], result: MarkResult::Made, mode: Mode::Singly }
}

pub(crate) fn strands(name: &str, strands: Strands, choice: DecidedTo) -> Act {
    Act::Decide {
        terminal: name.into(),
        about: About::OverTightened,
        strands: Some(strands),
        choice,
        remark: String::new(),
    }
}

/// The last look at both tails, in board order.
pub(crate) fn last_look_at(tugs: [Tug; 2], marks: [MarkSeen; 2]) -> Act {
    let names = ["incomer L", "incomer N"].map(TerminalName::from);
    let seen = names.into_iter().zip(tugs.into_iter().zip(marks));
    Act::LastLook {
        tails: seen.map(|(terminal, (tug, mark))| TailLook { terminal, tug, mark }).collect(),
        why_not: None,
        covers: "back".into(),
        locks_and_tools_out: "out".into(),
        energised_by: None,
    }
}
