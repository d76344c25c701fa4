//! Whether a scope puts a terminal that was worked at back to another attempt: part of number 7.

use crate::domain::names::{ConductorName, Seq, TerminalName};
use crate::domain::record::{Fact, Line};

/// Whether a line before a number says something of a terminal, by its name alone: the board may have changed since.
pub(super) fn said_before(lines: &[Line], seq: Seq, name: &TerminalName) -> bool {
    lines.iter().take_while(|line| line.seq < seq).any(|line| says(&line.fact, name))
}

fn says(fact: &Fact, name: &TerminalName) -> bool {
    let of = |conductors: &[ConductorName]| {
        conductors.iter().any(|conductor| {
            conductor
                .0
                .strip_prefix(name.as_str())
                .is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
        })
    };
    match fact {
        Fact::Prepared(f) => of(&f.conductors),
        Fact::Entered(f) => of(&f.conductors),
        Fact::Tugged(f) => of(&f.conductors),
        Fact::Torqued(f) => f.terminals.contains(name),
        Fact::Marked(f) => f.terminals.contains(name),
        Fact::Looked(f) => f.terminals.contains(name),
        Fact::Movement(f) => f.terminal == *name,
        Fact::Disturbed(f) => f.terminals.contains(name),
        Fact::Replaced(f) => f.terminals.contains(name),
        Fact::SetAside(f) => f.terminals.contains(name),
        Fact::TakenUp(f) => f.terminals.contains(name),
        Fact::Remade(f) => f.terminal == *name,
        Fact::Decided(f) => f.terminal == *name,
        _ => false,
    }
}
