//! What is used up, brought or asked about: bits, crimped ends, strip lengths, aluminium, paint, values to find out.

use super::is_tightened;
use crate::domain::board::Terminal;
use crate::domain::clamp::{Clamp, ClampKind, SettleBasis};
use crate::domain::conductor::{Conductor, Metal, Preparation};
use crate::domain::names::{ClampName, TerminalName};
use crate::session::steps::{Step, steps_of};
use rust_decimal::Decimal;

/// What is used up, brought or asked about. Lists are in a fixed order, smallest first where they have a size.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Materials {
    /// Bits and sockets as printed, and how many terminals each is for.
    pub bits: Vec<(String, usize)>,
    /// Clamps with a screw whose drive is not stated.
    pub no_drive: Vec<ClampName>,
    /// Planned ferrules, pins and lugs.
    pub crimped: Vec<Crimped>,
    /// Ends without a planned preparation where one is likely to be wanted.
    pub questions: Vec<Question>,
    /// Strip lengths.
    pub strips: Vec<Strip>,
    /// Clamps of bare ends whose strip length is not stated.
    pub no_strip: Vec<ClampName>,
    /// Aluminium ends, to be brushed and given compound.
    pub aluminium: usize,
    /// Witness marks that can be seen.
    pub marks: usize,
    /// Clamps without a maker's value, to find out about.
    pub unknown: Vec<Unknown>,
    /// Settle waits asked for.
    pub settles: Vec<Settles>,
}

/// Ends crimped alike.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Crimped {
    /// Ferrule, compression pin or lug.
    pub what: Preparation,
    /// Nominal cross-section, mm².
    pub csa_mm2: Decimal,
    /// Of what.
    pub metal: Metal,
    /// Thread of the stud a lug goes on, mm; nothing where it is not stated, and for everything else.
    pub thread_mm: Option<Decimal>,
    /// How many.
    pub count: usize,
}

/// Ends without a planned preparation: fine strands under a screw, or anything on a stud.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// Cross-section and make-up: `4 mm2, fine-stranded`.
    pub conductor: String,
    /// Its clamp.
    pub clamp: ClampName,
    /// Whether it goes on a stud: then a lug is asked about, else a ferrule or pin.
    pub on_stud: bool,
    /// How many ends.
    pub count: usize,
}

/// Ends stripped alike.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Strip {
    /// Length, mm.
    pub strip_mm: Decimal,
    /// How many ends.
    pub count: usize,
    /// Clamps they go in, each once.
    pub clamps: Vec<ClampName>,
}

/// A clamp without a maker's value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unknown {
    /// The clamp.
    pub clamp: ClampName,
    /// Its terminals.
    pub terminals: Vec<TerminalName>,
}

/// Terminals that settle alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Settles {
    /// Minutes to wait.
    pub wait_minutes: u16,
    /// Who asks for it.
    pub basis: SettleBasis,
    /// How many terminals.
    pub terminals: usize,
}

/// Of terminals at which something is to be done.
pub(super) fn materials(work: &[(&Terminal, &Clamp)]) -> Materials {
    let mut found = Materials::default();
    for (terminal, clamp) in work {
        found.of_clamp(terminal, clamp);
        for conductor in &terminal.conductors {
            found.of_conductor(conductor, clamp);
        }
    }
    found.bits.sort();
    let rank = |what: &Preparation| Preparation::NAMED.iter().position(|named| named == what);
    found
        .crimped
        .sort_by_key(|end| (rank(&end.what), end.metal == Metal::Aluminium, end.csa_mm2, end.thread_mm));
    found.strips.sort_by_key(|strip| strip.strip_mm);
    found.settles.sort_by_key(|settle| settle.wait_minutes);
    found
}

impl Materials {
    fn of_clamp(&mut self, terminal: &Terminal, clamp: &Clamp) {
        if is_tightened(terminal, clamp) {
            match &clamp.drive {
                Some(drive) => {
                    count(
                        &mut self.bits,
                        |(known, _)| known == drive,
                        || (drive.clone(), 0),
                        |bit| &mut bit.1,
                    );
                }
                None => add_once(&mut self.no_drive, &clamp.name),
            }
            if clamp.torque_for(&terminal.conductors).is_none() {
                match self.unknown.iter_mut().find(|unknown| unknown.clamp == clamp.name) {
                    Some(unknown) => unknown.terminals.push(terminal.name.clone()),
                    None => self
                        .unknown
                        .push(Unknown { clamp: clamp.name.clone(), terminals: vec![terminal.name.clone()] }),
                }
            }
        }
        if clamp.mark_visible && steps_of(terminal, clamp).contains(&Step::Mark) {
            self.marks = self.marks.saturating_add(1);
        }
        if let Some(settle) = &clamp.settle {
            let (wait_minutes, basis) = (settle.wait_minutes, settle.basis);
            count(
                &mut self.settles,
                |known| known.wait_minutes == wait_minutes && known.basis == basis,
                || Settles { wait_minutes, basis, terminals: 0 },
                |known| &mut known.terminals,
            );
        }
    }

    fn of_conductor(&mut self, conductor: &Conductor, clamp: &Clamp) {
        let on_stud = clamp.kind == ClampKind::Stud;
        if conductor.metal == Metal::Aluminium {
            self.aluminium = self.aluminium.saturating_add(1);
        }
        match &conductor.planned {
            Some(what @ (Preparation::Ferruled | Preparation::CompressionPin | Preparation::Lug)) => {
                let thread_mm = clamp.thread_mm.filter(|_| *what == Preparation::Lug);
                let fresh = Crimped {
                    what: what.clone(),
                    csa_mm2: conductor.csa_mm2,
                    metal: conductor.metal,
                    thread_mm,
                    count: 0,
                };
                let same = |known: &Crimped| Crimped { count: 0, ..known.clone() } == fresh;
                count(&mut self.crimped, same, || fresh.clone(), |end| &mut end.count);
            }
            None if clamp.kind.has_screw() && (conductor.class.fine_stranded() || on_stud) => {
                let clamp = clamp.name.clone();
                let fresh = Question { conductor: conductor.to_string(), clamp, on_stud, count: 0 };
                let same = |known: &Question| Question { count: 0, ..known.clone() } == fresh;
                count(&mut self.questions, same, || fresh.clone(), |question| &mut question.count);
            }
            Some(_) | None => {}
        }
        match clamp.strip_mm {
            Some(strip_mm) => {
                let fresh = || Strip { strip_mm, count: 0, clamps: Vec::new() };
                count(&mut self.strips, |known| known.strip_mm == strip_mm, fresh, |strip| &mut strip.count);
                if let Some(strip) = self.strips.iter_mut().find(|known| known.strip_mm == strip_mm) {
                    add_once(&mut strip.clamps, &clamp.name);
                }
            }
            // a lug is stripped by its own leaflet
            None if !on_stud => add_once(&mut self.no_strip, &clamp.name),
            None => {}
        }
    }
}

/// Counts one more of what is the same, or the first.
fn count<T>(
    list: &mut Vec<T>,
    same: impl Fn(&T) -> bool,
    fresh: impl FnOnce() -> T,
    counter: impl Fn(&mut T) -> &mut usize,
) {
    if !list.iter().any(&same) {
        list.push(fresh());
    }
    if let Some(found) = list.iter_mut().find(|known| same(known)) {
        let counter = counter(found);
        *counter = counter.saturating_add(1);
    }
}

fn add_once(clamps: &mut Vec<ClampName>, name: &ClampName) {
    if !clamps.contains(name) {
        clamps.push(name.clone());
    }
}
