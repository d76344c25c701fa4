//! What must always hold, checked after every step in debug builds and after every act in the tests.
//!
//! Readings of the same visit: `lines` walks the record from its first line and looks at each fact as it was
//! written then; `standings` looks at where every terminal stands now. Neither uses what the rules use to decide,
//! so a rule that is wrong shows here. Deliberately absent: number 11 (the visit equals the fold of its lines),
//! which has a check of its own because it costs a whole replay, and number 15 (progress), which is about what
//! may be done next and is driven by the tests.

mod audit;
mod lines;
mod scope;
mod standings;
#[cfg(test)]
mod tests;

use super::apply::replay;
use super::derive::derive;
use super::visit::Visit;
use std::fmt;

/// Something that must always hold does not: a mistake in this program, never in the record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Broken {
    /// Which: 1 to 15 of every visit, 16 and 17 of an audit.
    pub number: u8,
    /// What is wrong, with the line or the terminal.
    pub what: String,
}

impl fmt::Display for Broken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "invariant {} does not hold: {}", self.number, self.what)
    }
}

/// Breaks an invariant unless it holds.
fn holds(number: u8, good: bool, what: impl FnOnce() -> String) -> Result<(), Broken> {
    if good { Ok(()) } else { Err(Broken { number, what: what() }) }
}

/// Checks everything that can be seen in a visit alone: all but 11 and 15. An empty visit is whole.
///
/// # Errors
/// The first [`Broken`] found.
pub fn check(visit: &Visit) -> Result<(), Broken> {
    lines::check(visit)?;
    audit::check(visit)?;
    standings::check(visit)
}

/// Checks number 11: the visit equals the fold of its confirmed lines, and no terminal was left as it stood before
/// a line that is about it. Costs a whole replay.
///
/// # Errors
/// [`Broken`] with number 11.
pub fn check_fold(visit: &Visit) -> Result<(), Broken> {
    let again = replay(visit.lines());
    let whole = again == *visit
        && again.tools() == visit.tools()
        && again.persons() == visit.persons()
        && again.gates() == visit.gates()
        && again.sessions() == visit.sessions()
        && again.power_on() == visit.power_on()
        && again.last_look() == visit.last_look()
        && again.signed() == visit.signed()
        && again.ended() == visit.ended();
    holds(11, whole, || "the visit differs from the fold of its lines".into())?;
    for (at, terminal, standing) in visit.terminals() {
        let fresh = derive(visit, at).as_ref() == Some(standing);
        holds(11, fresh, || format!("{} was not derived again after the last line about it", terminal.name))?;
    }
    Ok(())
}
