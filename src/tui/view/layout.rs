//! The board laid out as it hangs on the wall, from its terminals alone: neutral bars above, the ways in two columns
//! with the fingers of the busbar between them (single-phase: in a row), other bars below, then what is fitted.
//!
//! Every terminal of the board stands in it exactly once; what fits no pattern stands by its place.

use super::words::width;
use crate::domain::board::{Board, PlaceKind, Pole, Role, Supply, Terminal};
use crate::domain::names::{PlaceName, WayNumber};
use crate::session::TerminalIndex;
use std::collections::BTreeMap;

/// A piece of a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Piece {
    /// Plain text.
    Text(String),
    /// The name of a place.
    Place(String),
    /// The name of a pole.
    Pole(Pole),
    /// The sign of a terminal.
    Sign(TerminalIndex),
}

/// A row of the drawing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Row {
    /// From left to right.
    pub(super) pieces: Vec<Piece>,
    /// Stays in sight while rows below it are.
    pub(super) heads: bool,
}

impl Row {
    fn text(&mut self, text: impl Into<String>) {
        self.pieces.push(Piece::Text(text.into()));
    }

    /// Signs, and blanks up to a width.
    fn signs(&mut self, list: &[TerminalIndex], wide: u16) {
        self.pieces.extend(list.iter().map(|at| Piece::Sign(*at)));
        let taken = u16::try_from(list.len()).unwrap_or(u16::MAX);
        self.text(blank(wide.saturating_sub(taken)));
    }

    fn wide(&self) -> u16 {
        self.pieces.iter().fold(0, |sum: u16, piece| sum.saturating_add(piece.wide()))
    }

    /// Terminals in it.
    pub(super) fn terminals(&self) -> impl Iterator<Item = TerminalIndex> {
        self.pieces.iter().filter_map(|piece| match piece {
            Piece::Sign(at) => Some(*at),
            Piece::Text(_) | Piece::Place(_) | Piece::Pole(_) => None,
        })
    }
}

impl Piece {
    /// Columns it takes.
    pub(super) fn wide(&self) -> u16 {
        match self {
            Self::Text(text) | Self::Place(text) => width(text),
            Self::Pole(pole) => width(pole.words()),
            Self::Sign(_) => 1,
        }
    }
}

fn blank(columns: u16) -> String {
    " ".repeat(usize::from(columns))
}

/// Rows of the drawing for so many columns.
pub(super) fn rows(board: &Board, room: u16) -> Vec<Row> {
    let places = Places::new(board, room);
    let is_neutral = |name: &PlaceName| places.of(name).any(|(_, t)| t.role == Role::Neutral);
    let of_kind = |kind: PlaceKind| board.places.iter().filter(move |place| place.kind == kind);
    let (above, below): (Vec<_>, Vec<_>) = of_kind(PlaceKind::Bar).partition(|place| is_neutral(&place.name));
    let mut rows: Vec<Row> = above.into_iter().flat_map(|place| places.bar(&place.name)).collect();
    let (ways, drawn) = places.ways();
    rows.extend(ways);
    rows.extend(below.into_iter().flat_map(|place| places.bar(&place.name)));
    let fitted = of_kind(PlaceKind::Incomer).chain(of_kind(PlaceKind::Fitting));
    let mut chunks: Vec<Row> = fitted.flat_map(|place| places.bar(&place.name)).collect();
    for place in of_kind(PlaceKind::Devices).chain(of_kind(PlaceKind::Fingers)) {
        let rest: Vec<(TerminalIndex, &Terminal)> =
            places.of(&place.name).filter(|(at, _)| !drawn.contains(at)).collect();
        chunks.extend(places.chunk(&place.name, &rest));
    }
    rows.extend(packed(chunks, room));
    rows
}

/// Short rows side by side where they fit.
fn packed(chunks: Vec<Row>, room: u16) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    for chunk in chunks {
        match rows.last_mut() {
            Some(row) if row.wide().saturating_add(2).saturating_add(chunk.wide()) <= room => {
                row.text("  ");
                row.pieces.extend(chunk.pieces);
            }
            _ => rows.push(chunk),
        }
    }
    rows
}

struct Places<'a> {
    board: &'a Board,
    room: u16,
    by_way: BTreeMap<WayNumber, Vec<Here<'a>>>,
}

type Here<'a> = (TerminalIndex, &'a Terminal);

impl<'a> Places<'a> {
    fn new(board: &'a Board, room: u16) -> Self {
        let mut places = Self { board, room, by_way: BTreeMap::new() };
        let by_way = places.all().filter_map(|here| here.1.way.map(|way| (way, here)));
        let mut found: BTreeMap<WayNumber, Vec<Here<'a>>> = BTreeMap::new();
        by_way.for_each(|(way, here)| found.entry(way).or_default().push(here));
        places.by_way = found;
        places
    }

    fn way(&self, way: u16) -> impl Iterator<Item = Here<'a>> {
        self.by_way.get(&WayNumber(way)).into_iter().flatten().copied()
    }

    fn all(&self) -> impl Iterator<Item = Here<'a>> {
        self.board.terminals.iter().enumerate().map(|(at, terminal)| (TerminalIndex(at), terminal))
    }

    fn of(&self, place: &PlaceName) -> impl Iterator<Item = Here<'a>> {
        self.all().filter(move |(_, terminal)| terminal.place == *place)
    }

    /// A bar or a fitting: its name and its signs, those of one way together where there is room.
    fn bar(&self, place: &PlaceName) -> Vec<Row> {
        let here: Vec<Here<'a>> = self.of(place).collect();
        self.chunk(place, &here)
    }

    fn chunk(&self, place: &PlaceName, here: &[Here<'a>]) -> Vec<Row> {
        if here.is_empty() {
            return Vec::new();
        }
        let label = format!("{place} ");
        let key = |terminal: &Terminal| (terminal.way, terminal.role);
        let mut grouped = Row { pieces: vec![Piece::Place(label.clone())], heads: false };
        let mut last = here.first().map(|(_, terminal)| key(terminal));
        for (at, terminal) in here {
            if last != Some(key(terminal)) {
                grouped.text(" ");
                last = Some(key(terminal));
            }
            grouped.pieces.push(Piece::Sign(*at));
        }
        if grouped.wide() <= self.room {
            return vec![grouped];
        }
        let indent = width(&label).min(self.room / 2);
        let signs = usize::from(self.room.saturating_sub(indent).max(1));
        let mut rows = Vec::new();
        for (nth, part) in here.chunks(signs).enumerate() {
            let head = if nth == 0 { super::words::fit(&label, indent) } else { blank(indent) };
            let mut row = Row { pieces: vec![Piece::Place(head)], heads: false };
            row.pieces.extend(part.iter().map(|(at, _)| Piece::Sign(*at)));
            rows.push(row);
        }
        rows
    }

    fn kind(&self, terminal: &Terminal) -> Option<PlaceKind> {
        self.board.places.iter().find(|place| place.name == terminal.place).map(|place| place.kind)
    }

    /// Fingers under a pole of a way.
    fn fingers(&self, way: u16, pole: Pole) -> Vec<TerminalIndex> {
        self.way(way)
            .filter(|(_, t)| t.pole == Some(pole))
            .filter(|(_, t)| self.kind(t) == Some(PlaceKind::Fingers))
            .map(|(at, _)| at)
            .collect()
    }

    /// Terminals of the device at a pole of a way: its line, and a neutral beside its last pole.
    fn device(&self, way: u16, pole: Pole) -> Vec<TerminalIndex> {
        let here: Vec<Here<'a>> =
            self.way(way).filter(|(_, t)| self.kind(t) == Some(PlaceKind::Devices)).collect();
        let mut list: Vec<TerminalIndex> =
            here.iter().filter(|(_, t)| t.pole == Some(pole)).map(|(at, _)| *at).collect();
        for (at, neutral) in here.iter().filter(|(_, t)| t.pole == Some(Pole::N)) {
            let last_pole = here
                .iter()
                .filter(|(_, t)| t.device == neutral.device && t.pole != Some(Pole::N))
                .filter_map(|(_, t)| t.pole)
                .max();
            if last_pole == Some(pole) {
                list.push(*at);
            }
        }
        list
    }

    /// The ways, and the terminals drawn there; nothing where the room is too narrow for the pattern.
    fn ways(&self) -> (Vec<Row>, Vec<TerminalIndex>) {
        let rows = match self.board.supply {
            Supply::ThreePhaseNeutral => self.three_phase(),
            Supply::SinglePhase => self.single_phase(),
        };
        if rows.iter().any(|row| row.wide() > self.room) {
            return (Vec::new(), Vec::new());
        }
        let drawn = rows.iter().flat_map(Row::terminals).collect();
        (rows, drawn)
    }

    /// Odd ways left, even ways right, the fingers between them.
    fn three_phase(&self) -> Vec<Row> {
        let poles = self.board.supply.poles();
        let ways = self.board.ways;
        let widest = |list: &dyn Fn(u16, Pole) -> Vec<TerminalIndex>, least: usize| {
            let all = (1..=ways).flat_map(|way| poles.iter().map(move |pole| (way, *pole)));
            let most = all.map(|(way, pole)| list(way, pole).len()).max().unwrap_or(0).max(least);
            u16::try_from(most).unwrap_or(u16::MAX)
        };
        let cell = widest(&|way, pole| self.device(way, pole), 2).saturating_add(1);
        let finger = widest(&|way, pole| self.fingers(way, pole), 1);
        let number = width(&ways.to_string());
        let mut head = Row { pieces: Vec::new(), heads: true };
        head.text(blank(number.saturating_add(1)));
        let columns = |row: &mut Row| {
            for pole in poles {
                row.pieces.push(Piece::Pole(*pole));
                row.text(blank(cell.saturating_sub(width(pole.words()))));
            }
        };
        columns(&mut head);
        let between = finger.saturating_mul(6).saturating_add(1);
        head.text(format!("{:<1$} ", "fingers", usize::from(between)));
        columns(&mut head);
        let mut rows = vec![head];
        for odd in (1..=ways).step_by(2) {
            let even = odd.saturating_add(1);
            let mut row = Row::default();
            row.text(format!("{odd:>0$} ", usize::from(number)));
            for pole in poles {
                row.signs(&self.device(odd, *pole), cell);
            }
            for pole in poles {
                row.signs(&self.fingers(odd, *pole), finger);
            }
            row.text(" ");
            if even <= ways {
                for pole in poles {
                    row.signs(&self.fingers(even, *pole), finger);
                }
                row.text(" ");
                for pole in poles {
                    row.signs(&self.device(even, *pole), cell);
                }
                row.text(even.to_string());
            }
            rows.push(row);
        }
        rows
    }

    /// All ways in a row, neutrals of devices above their lines, the busbar beneath.
    fn single_phase(&self) -> Vec<Row> {
        const LABEL: u16 = 8;
        let poles = self.board.supply.poles();
        let cell = width(&self.board.ways.to_string()).saturating_add(1).max(3);
        let each = usize::from(self.room.saturating_sub(LABEL).checked_div(cell).unwrap_or(1).max(1));
        let ways: Vec<u16> = (1..=self.board.ways).collect();
        let mut rows = Vec::new();
        for block in ways.chunks(each) {
            let mut head = Row { pieces: Vec::new(), heads: rows.is_empty() };
            head.text(format!("{:<1$}", "way", usize::from(LABEL)));
            for way in block {
                head.text(format!("{way:<0$}", usize::from(cell)));
            }
            rows.push(head);
            let line = |nth: usize, label: &str| -> Option<Row> {
                let mut row = Row::default();
                row.text(format!("{label:<0$}", usize::from(LABEL)));
                for way in block {
                    let device: Vec<TerminalIndex> =
                        poles.iter().flat_map(|pole| self.device(*way, *pole)).collect();
                    let fingers = || poles.iter().flat_map(|pole| self.fingers(*way, *pole)).collect();
                    let signs: Vec<TerminalIndex> = match nth {
                        0 => device.into_iter().filter(|at| self.is_neutral(*at)).collect(),
                        1 => device.into_iter().filter(|at| !self.is_neutral(*at)).collect(),
                        _ => fingers(),
                    };
                    row.signs(&signs, cell);
                }
                let any = row.terminals().next().is_some();
                any.then_some(row)
            };
            rows.extend([line(0, "neutral"), line(1, "line"), line(2, "finger")].into_iter().flatten());
        }
        rows
    }

    fn is_neutral(&self, at: TerminalIndex) -> bool {
        self.board.terminals.get(at.0).is_some_and(|terminal| terminal.role == Role::Neutral)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_terminal_stands_in_the_drawing_once_whatever_the_room() {
        for text in [crate::board_file::engine_shed(), crate::board_file::example()] {
            let board = crate::board_file::read(text.as_bytes()).unwrap().board;
            for room in 0..130 {
                let drawn: Vec<TerminalIndex> =
                    rows(&board, room).iter().flat_map(|row| row.terminals().collect::<Vec<_>>()).collect();
                let once: BTreeSet<TerminalIndex> = drawn.iter().copied().collect();
                assert_eq!(
                    (drawn.len(), once.len()),
                    (board.terminals.len(), board.terminals.len()),
                    "{room}"
                );
            }
        }
    }

    #[test]
    fn no_row_is_wider_than_the_room_that_the_smallest_screen_gives() {
        for text in [crate::board_file::engine_shed(), crate::board_file::example()] {
            let board = crate::board_file::read(text.as_bytes()).unwrap().board;
            assert!(rows(&board, 38).iter().all(|row| row.wide() <= 38));
        }
    }
}
