//! Names of a board turned into places in it.

use super::visit::TerminalIndex;
use crate::domain::board::Board;
use crate::domain::names::{ConductorName, TerminalName};
use std::collections::HashMap;

/// Finds terminals and conductors by name. A finger's conductor is the finger itself.
#[derive(Clone, Debug, Default)]
pub(super) struct NameIndex {
    terminals: HashMap<TerminalName, TerminalIndex>,
    conductors: HashMap<ConductorName, (TerminalIndex, usize)>,
}

impl NameIndex {
    pub(super) fn of(board: &Board) -> Self {
        let mut index = Self::default();
        for (at, terminal) in board.terminals.iter().enumerate() {
            let here = TerminalIndex(at);
            index.terminals.insert(terminal.name.clone(), here);
            let names = terminal.conductor_names();
            if names.is_empty() {
                index.conductors.insert(ConductorName(terminal.name.0.clone()), (here, 0));
            }
            for (nth, name) in names.into_iter().enumerate() {
                index.conductors.insert(name, (here, nth));
            }
        }
        index
    }

    pub(super) fn terminal(&self, name: &TerminalName) -> Option<TerminalIndex> {
        self.terminals.get(name).copied()
    }

    pub(super) fn conductor(&self, name: &ConductorName) -> Option<(TerminalIndex, usize)> {
        self.conductors.get(name).copied()
    }
}
