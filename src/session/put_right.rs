//! A slip put right: the corrected fact takes the place of the mistyped one wherever the fold kept something of it.

use super::apply::{named, take_scale};
use super::visit::Visit;
use crate::domain::names::TerminalName;
use crate::domain::record::{Corrected, Fact, Person};

/// Takes a correction in. Every standing is derived again afterwards.
pub(super) fn put_right(visit: &mut Visit, corrected: &Corrected) {
    let key = (corrected.seq, corrected.terminal.clone());
    visit.corrections.insert(key, corrected.fact.clone());
    let seq = corrected.seq;
    match &corrected.fact {
        Fact::Scale(scale) => take_scale(visit, seq, scale),
        Fact::Tool(tool) => {
            if let Some(held) = visit.tools.iter_mut().find(|held| held.tool.id == tool.id) {
                held.tool = (**tool).clone();
                held.put_right = true;
            }
            visit.work_out_able(Some(&tool.id));
        }
        // the board of the visit may have been amended since; a slip touches only what was said at the opening
        Fact::Opened(said) => {
            if let Some(opened) = visit.opened.as_mut() {
                opened.person = said.person.clone();
                opened.certificate.clone_from(&said.certificate);
            }
            known_as(visit, &said.person);
        }
        Fact::Person(person) => known_as(visit, person),
        Fact::Gates(gates) => {
            if let Some(slot) = visit.gates.iter_mut().find(|(at, _)| *at == seq) {
                slot.1 = gates.clone();
            }
        }
        other => {
            // A corrected answer may name other conductors of its terminal; its line stays where it is.
            let names = named(visit, other);
            if let Some(at) = usize::try_from(seq.0).ok().and_then(|n| n.checked_sub(1)) {
                insert_about(visit, at, &names);
            }
        }
    }
}

fn known_as(visit: &mut Visit, person: &Person) {
    if let Some(known) = visit.persons.iter_mut().find(|known| known.id == person.id) {
        *known = person.clone();
    }
}

fn insert_about(visit: &mut Visit, at: usize, names: &[TerminalName]) {
    for index in names.iter().filter_map(|name| visit.find(name)).collect::<Vec<_>>() {
        if let Some(lines) = visit.lines_of.get_mut(index.0)
            && let Err(place) = lines.binary_search(&at)
        {
            lines.insert(place, at);
        }
    }
}
