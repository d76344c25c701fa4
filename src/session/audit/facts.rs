//! What the facts of an audit have said so far.

use crate::domain::audit::thermal::Class;
use crate::domain::names::{Seq, TerminalName};
use crate::domain::record::{Claimed, Code, Drawn, Escalated, Fact, Outcome, Thermal};
use crate::session::standing::{Informed, Standing};
use crate::session::visit::Visit;

/// What was said, folded; empty in every other visit.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct AuditFacts {
    /// The claim, with its line; the last one before the draw.
    pub claim: Option<(Seq, Claimed)>,
    /// The thermal round.
    pub thermal: Vec<(Seq, Thermal)>,
    /// The draw, with its line.
    pub drawn: Option<(Seq, Drawn)>,
    /// Answers to whether everything is done.
    pub escalated: Vec<(Seq, Escalated)>,
    /// Codes typed by the inspector.
    pub codes: Vec<(Seq, Code)>,
}

impl AuditFacts {
    /// Takes a fact in; says whether it was one of an audit.
    pub(crate) fn take(&mut self, seq: Seq, fact: &Fact) -> bool {
        match fact {
            Fact::Claim(claim) => self.claim = Some((seq, **claim)),
            Fact::Thermal(thermal) => self.thermal.push((seq, thermal.clone())),
            Fact::Drawn(drawn) => self.drawn = Some((seq, (**drawn).clone())),
            Fact::Escalated(escalated) => self.escalated.push((seq, escalated.clone())),
            Fact::Code(code) => self.codes.push((seq, code.clone())),
            _ => return false,
        }
        true
    }

    /// The claim that holds.
    #[must_use]
    pub fn claimed(&self) -> Option<&Claimed> {
        self.claim.as_ref().map(|(_, claim)| claim)
    }

    /// The draw.
    #[must_use]
    pub fn draw(&self) -> Option<&Drawn> {
        self.drawn.as_ref().map(|(_, drawn)| drawn)
    }

    /// Whether the thermal round is over, or there was none.
    #[must_use]
    pub fn thermal_over(&self) -> bool {
        self.thermal.iter().any(|(_, thermal)| !matches!(thermal, Thermal::Reading(_)))
    }

    /// Whether a terminal was measured in the thermal round.
    #[must_use]
    pub fn is_measured(&self) -> bool {
        self.thermal.iter().any(|(_, thermal)| matches!(thermal, Thermal::Reading(_)))
    }

    /// Whether a reading of the thermal round was hot.
    #[must_use]
    pub fn has_hot(&self) -> bool {
        self.thermal
            .iter()
            .any(|(_, thermal)| matches!(thermal, Thermal::Reading(reading) if reading.class.is_hot()))
    }

    /// The gravest class of the thermal readings of a terminal; nothing where none was taken.
    #[must_use]
    pub fn hottest(&self, name: &TerminalName) -> Option<Class> {
        let of_it = self.thermal.iter().filter_map(|(_, thermal)| match thermal {
            Thermal::Reading(reading) if reading.terminal == *name => Some(reading.class),
            _ => None,
        });
        of_it.max()
    }

    /// Whether a terminal is on the always-in list.
    #[must_use]
    pub fn is_always_in(&self, name: &TerminalName) -> bool {
        self.draw().is_some_and(|drawn| drawn.always_in.iter().any(|entry| entry.terminal == *name))
    }

    /// Whether a terminal was drawn, at once or because everything is done now.
    #[must_use]
    pub fn is_drawn(&self, name: &TerminalName) -> bool {
        self.draw().is_some_and(|drawn| drawn.terminals.contains(name))
            || self.escalated.iter().any(|(_, escalated)| escalated.terminals.contains(name))
    }

    /// Terminals drawn, in the order of the draw, with those added since.
    pub fn sample(&self) -> impl Iterator<Item = &TerminalName> {
        let added = self.escalated.iter().flat_map(|(_, escalated)| &escalated.terminals);
        self.draw().into_iter().flat_map(|drawn| &drawn.terminals).chain(added)
    }

    /// Whether the answer to a bad one was to do everything.
    #[must_use]
    pub fn is_everything(&self) -> bool {
        self.escalated.iter().any(|(_, escalated)| escalated.yes)
    }
}

/// Terminals that were found hot and of which nobody was told yet; what is set aside is told as that.
pub fn hot_untold(visit: &Visit) -> impl Iterator<Item = &TerminalName> {
    let untold = |standing: &Standing| {
        standing.aside.is_none()
            && standing.told == Informed::NotYet
            && standing.outcome != Outcome::NotInScope
    };
    let hot = |name: &TerminalName| visit.audit().hottest(name).is_some_and(Class::is_hot);
    let all = visit.terminals();
    all.filter(move |(_, terminal, standing)| untold(standing) && hot(&terminal.name))
        .map(|(_, terminal, _)| &terminal.name)
}

impl Visit {
    /// What the facts of an audit have said so far.
    #[must_use]
    pub fn audit(&self) -> &AuditFacts {
        &self.audit
    }
}
