//! From what a board file says to a board: terminals with their names, places in the order of a walk.

use super::devices::{Bar, Fixture, Single};
use super::rows::{Fitted, Rows};
use crate::domain::board::{Device, Place, PlaceKind, Pole, Role, Supply, TERMINALS_MAX, Terminal};
use crate::domain::conductor::Conductor;
use crate::domain::names::{ClampName, DeviceName, PlaceName, TerminalName, WayNumber};
use crate::written::problem::{Findings, quoted};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// A terminal and where in the file it comes from.
pub(super) struct Draft {
    /// The terminal.
    pub(super) terminal: Terminal,
    /// Where it is written.
    pub(super) span: Range<usize>,
}

/// All that hangs on the wall.
pub(super) struct Wall {
    /// Devices, incomer first.
    pub(super) devices: Vec<Device>,
    /// Places in the order of a walk.
    pub(super) places: Vec<Place>,
    /// Terminals, grouped by place.
    pub(super) drafts: Vec<Draft>,
}

/// What the wall is made from.
pub(super) struct Parts<'p> {
    /// Supply.
    pub(super) supply: Supply,
    /// Incoming device.
    pub(super) incomer: Option<&'p Fixture>,
    /// Bars.
    pub(super) bars: &'p [Bar],
    /// Fittings.
    pub(super) fittings: &'p [Fixture],
    /// Rows.
    pub(super) rows: &'p Rows,
}

const INCOMER: &str = "incomer";
const FINGERS: &str = "fingers";

/// Makes the wall.
pub(super) fn wall(parts: &Parts<'_>, found: &mut Findings) -> Wall {
    let mut fitted: Vec<&Fitted> = parts.rows.fitted.iter().collect();
    fitted.sort_by_key(|it| it.at);
    let mut wall = Wall { devices: Vec::new(), places: places(parts, found), drafts: Vec::new() };
    wall.fixtures(parts.incomer.into_iter());
    for it in &fitted {
        wall.devices.push(device(&it.at.words(), &it.device.maker, &it.device.printed_type));
        wall.fitted(it, parts.supply, parts.bars);
    }
    for bar in parts.bars {
        wall.singles(&bar.name, None, &bar.terminals, "");
    }
    wall.fixtures(parts.fittings.iter());
    wall.grouped();
    // a bar that nothing is clamped on is no place to go to
    let used: BTreeSet<&PlaceName> = wall.drafts.iter().map(|draft| &draft.terminal.place).collect();
    wall.places.retain(|place| used.contains(&place.name));
    wall.checked(&parts.rows.doubled, found);
    wall
}

fn device(name: &str, maker: &str, printed_type: &str) -> Device {
    Device {
        name: DeviceName(name.to_owned()),
        maker: maker.to_owned(),
        printed_type: printed_type.to_owned(),
    }
}

fn places(parts: &Parts<'_>, found: &mut Findings) -> Vec<Place> {
    let mut places: Vec<Place> = Vec::new();
    let mut add = |name: &str, kind: PlaceKind, span: Option<&Range<usize>>| {
        if places.iter().any(|place| place.name.as_str() == name) {
            if let Some(span) = span {
                let reason = format!("two places are named {}", quoted(name));
                found.wrong(span.clone(), reason, "give this one another name");
            }
        } else {
            places.push(Place { name: name.into(), kind });
        }
    };
    if parts.incomer.is_some() {
        add(INCOMER, PlaceKind::Incomer, None);
    }
    if parts.rows.fitted.iter().any(|it| it.device.finger.is_some()) {
        add(FINGERS, PlaceKind::Fingers, None);
    }
    for name in ["left column", "right column", "row"] {
        if parts.rows.fitted.iter().any(|it| column(parts.supply, it.at.way) == name) {
            add(name, PlaceKind::Devices, None);
        }
    }
    for bar in parts.bars {
        add(&bar.name, PlaceKind::Bar, Some(&bar.span));
    }
    for fitting in parts.fittings {
        add(&fitting.name, PlaceKind::Fitting, Some(&fitting.span));
    }
    places
}

fn column(supply: Supply, way: WayNumber) -> &'static str {
    match (supply, way.0 % 2) {
        (Supply::SinglePhase, _) => "row",
        (Supply::ThreePhaseNeutral, 1) => "left column",
        (Supply::ThreePhaseNeutral, _) => "right column",
    }
}

/// What a terminal of a fitted device has of its own.
struct Own<'o> {
    name: String,
    place: &'o str,
    clamp: &'o ClampName,
    on_device: bool,
    pole: Option<Pole>,
    role: Role,
    conductors: &'o [Conductor],
}

impl Wall {
    fn fixtures<'f>(&mut self, fixtures: impl Iterator<Item = &'f Fixture>) {
        for fixture in fixtures {
            self.devices.push(device(&fixture.name, &fixture.maker, &fixture.printed_type));
            let prefix = format!("{} ", fixture.name);
            self.singles(&fixture.name, Some(&fixture.name), &fixture.terminals, &prefix);
        }
    }

    fn singles(&mut self, place: &str, device: Option<&str>, singles: &[Single], prefix: &str) {
        for single in singles {
            let terminal = Terminal {
                name: TerminalName(format!("{prefix}{}", single.name)),
                place: place.into(),
                clamp: single.clamp.clone(),
                device: device.map(DeviceName::from),
                way: None,
                pole: single.pole,
                role: single.role,
                circuit: single.circuit.clone(),
                spare: single.conductors.is_empty() && single.takes_conductors,
                tail: single.tail,
                conductors: single.conductors.clone(),
            };
            self.drafts.push(Draft { terminal, span: single.span.clone() });
        }
    }

    fn fitted(&mut self, it: &Fitted, supply: Supply, bars: &[Bar]) {
        let name = it.at.words();
        let place = column(supply, it.at.way);
        let own = |word: &str| format!("{name} {word}");
        for (label, pole) in lines(it, supply) {
            if let Some(clamp) = &it.device.finger {
                let name = format!("{label} finger");
                let (role, conductors) = (Role::Feed, [].as_slice());
                self.own(it, Own { name, place: FINGERS, clamp, on_device: true, pole, role, conductors });
            }
            let (name, clamp, role) = (format!("{label} line"), &it.device.load, Role::Line);
            self.own(it, Own { name, place, clamp, on_device: true, pole, role, conductors: &it.line });
        }
        let neutral_bar = it.neutral_bar.and_then(|at| bars.get(at));
        let (pole, role) = (Some(Pole::N), Role::Neutral);
        if let Some((clamp, lead)) = &it.device.neutral {
            let conductors = it.neutral.as_slice();
            self.own(it, Own { name: own("neutral"), place, clamp, on_device: true, pole, role, conductors });
            if let Some(bar) = neutral_bar {
                let (place, clamp, conductors) = (bar.name.as_str(), &bar.clamp, lead.as_slice());
                self.own(
                    it,
                    Own { name: own("lead"), place, clamp, on_device: false, pole, role, conductors },
                );
            }
        } else if let Some(bar) = neutral_bar.filter(|_| !it.neutral.is_empty()) {
            let (place, clamp, conductors) = (bar.name.as_str(), &bar.clamp, it.neutral.as_slice());
            self.own(
                it,
                Own { name: own("neutral"), place, clamp, on_device: false, pole, role, conductors },
            );
        }
        if let Some(bar) = it.earth_bar.and_then(|at| bars.get(at)).filter(|_| !it.cpc.is_empty()) {
            let (place, clamp, conductors) = (bar.name.as_str(), &bar.clamp, it.cpc.as_slice());
            let (pole, role) = (None, Role::Earth);
            self.own(it, Own { name: own("cpc"), place, clamp, on_device: false, pole, role, conductors });
        }
    }

    fn own(&mut self, it: &Fitted, own: Own<'_>) {
        let terminal = Terminal {
            name: TerminalName(own.name),
            place: own.place.into(),
            clamp: own.clamp.clone(),
            device: own.on_device.then(|| DeviceName(it.at.words())),
            way: Some(it.at.way),
            pole: own.pole,
            role: own.role,
            circuit: it.circuit.clone(),
            spare: own.conductors.is_empty() && own.role != Role::Feed,
            tail: false,
            conductors: own.conductors.to_vec(),
        };
        self.drafts.push(Draft { terminal, span: it.span.clone() });
    }

    /// Groups the terminals by place; inside a place, terminals of no way first, then as they were made.
    fn grouped(&mut self) {
        let order: BTreeMap<PlaceName, usize> =
            self.places.iter().enumerate().map(|(at, place)| (place.name.clone(), at)).collect();
        self.drafts.sort_by_key(|draft| {
            (order.get(&draft.terminal.place).copied(), draft.terminal.way.map_or(0, |way| way.0))
        });
    }

    fn checked(&self, doubled: &BTreeSet<WayNumber>, found: &mut Findings) {
        let mut seen: BTreeSet<&TerminalName> = BTreeSet::new();
        // those of the ways first, so that a clash is told at the terminal that was named by hand
        let (of_ways, by_hand): (Vec<_>, Vec<_>) =
            self.drafts.iter().partition(|it| it.terminal.way.is_some());
        for draft in of_ways.into_iter().chain(by_hand) {
            let name = &draft.terminal.name;
            let told = draft.terminal.way.is_some_and(|way| doubled.contains(&way));
            if !seen.insert(name) && !told {
                let reason = format!("two terminals are named {}", quoted(name.as_str()));
                found.wrong(
                    draft.span.clone(),
                    reason,
                    "give this one another name: records refer to it by its name",
                );
            }
            if let Err(bad) = crate::domain::text::checked(name.as_str(), crate::domain::text::NAME_COLUMNS) {
                let reason = format!("the terminal's whole name {}: {}", quoted(name.as_str()), bad.reason());
                found.wrong(draft.span.clone(), reason, "shorten its own name or that of its owner");
            }
            if draft.terminal.tail && draft.terminal.conductors.is_empty() {
                let reason = format!(
                    "{} is to hold an incoming tail, but no conductor is in it",
                    quoted(name.as_str())
                );
                found.wrong(draft.span.clone(), reason, "name its conductor, or take tail: true out");
            }
        }
        if let Some(beyond) = self.drafts.get(TERMINALS_MAX) {
            let reason = format!(
                "this board has {} terminals; at most {TERMINALS_MAX} are allowed",
                self.drafts.len()
            );
            found.wrong(beyond.span.clone(), reason, "split it into two boards");
        }
    }
}

/// Labels and poles of the lines of a device.
fn lines(it: &Fitted, supply: Supply) -> Vec<(String, Option<Pole>)> {
    match (supply, it.at.pole) {
        (Supply::SinglePhase, _) => vec![(it.at.words(), Some(Pole::L1))],
        (Supply::ThreePhaseNeutral, Some(pole)) => vec![(it.at.words(), Some(pole))],
        (Supply::ThreePhaseNeutral, None) => supply
            .poles()
            .iter()
            .map(|pole| (format!("{}{}", it.at.way, pole.words()), Some(*pole)))
            .collect(),
    }
}
