//! A place without any board file: the tails of a flat whose meter was exchanged this morning, written as a board file
//! that can be completed later. The text is made here and read by the reader of board files, so it is one of them.

use crate::domain::board::{Board, Supply};
use crate::domain::names::ClampName;
use crate::domain::stated::{ReadAt, Source, Stated};

/// What was entered at the place; what could not be read is nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Flat {
    /// Its name: address, number.
    pub place: String,
    /// Supply.
    pub supply: Supply,
    /// Cross-section of the tails in mm².
    pub tail_mm2: Option<String>,
    /// Wires of the tails.
    pub wires: Option<u16>,
    /// Torque of the incoming clamp with its unit, and where it was read, as the board file says it.
    pub torque: Option<(String, String)>,
}

/// Name of the clamp of the tails.
const INCOMING: &str = "incoming clamp";

/// How the text of a board file becomes a board with its SHA-256; handed in from outside.
pub type ReadText = fn(&str) -> Option<(Board, String)>;

impl Flat {
    /// What was entered, read back from the board that a record holds, so that the file can be written anew; nothing
    /// where a board cannot have been entered at a place. What was completed since is not in it: whether the text is the
    /// one that the record was opened with, its SHA-256 says.
    #[must_use]
    pub fn of(board: &Board) -> Option<Self> {
        let tail = board.terminals.iter().find(|terminal| terminal.tail)?.conductors.first()?;
        let incoming = board.clamps.iter().find(|clamp| clamp.name == ClampName::from(INCOMING))?;
        let torque = match incoming.torque.first().map(|row| (&row.stated, &row.source)) {
            Some((Stated::Single { value }, source)) => Some((value.to_string(), source_in_file(source))),
            Some(_) => return None,
            None => None,
        };
        Some(Self {
            place: board.reference.clone(),
            supply: board.supply,
            tail_mm2: (!tail.csa_mm2.is_zero()).then(|| tail.csa_mm2.to_string()),
            wires: tail.wires,
            torque,
        })
    }

    /// Whether a board stands as it was entered at a place: then nobody stated what its text has to name all the same,
    /// the kinds of its clamps and the classes of its conductors.
    #[must_use]
    pub fn is_board(board: &Board) -> bool {
        let named = board.title == board.reference && board.site == board.reference;
        named && board.ways == 0 && board.rated_a.is_zero() && Self::of(board).is_some()
    }

    /// The board file of a place.
    #[must_use]
    pub fn text(&self) -> String {
        let place = quoted(&self.place);
        let supply = match self.supply {
            Supply::SinglePhase => "SinglePhase",
            Supply::ThreePhaseNeutral => "ThreePhaseNeutral",
        };
        let csa = self.tail_mm2.as_ref().map_or_else(|| "not seen".to_owned(), |mm2| format!("{mm2} mm2"));
        let wires = self.wires.map_or_else(String::new, |wires| format!("wires: {wires}, "));
        let torque = match &self.torque {
            Some((value, source)) => format!("Value(value: {}, source: {source})", quoted(value)),
            None => "Unknown".to_owned(),
        };
        let mut tails = String::new();
        for pole in self.supply.poles().iter().map(|pole| pole.words()).chain(["N"]) {
            let single = self.supply == Supply::SinglePhase && pole != "N";
            let name = if single { "L" } else { pole };
            let line = format!(
                "        \"{name}\": On(clamp: \"{INCOMING}\", conductors: \"tail\", pole: {pole}, tail: true),\n"
            );
            tails.push_str(&line);
        }
        format!(
            "// Entered at the place for a revisit of the tails. What stands as \"not seen\" or \"not stated\", kinds of\n\
             // clamp, devices, ways and circuits are still to be completed; `witnessmark check` reads it again.\n\
             Board(\n    format: 0,\n    reference: {place},\n    title: {place},\n    site: {place},\n    \
             location: \"not stated\",\n    standard: \"not stated\",\n    edition: \"not stated\",\n    \
             supply: {supply},\n    rated: \"not seen\",\n    vibration: No,\n    clamps: {{\n        \
             \"{INCOMING}\": Clamp(kind: Cage, torque: {torque}),\n        \
             \"earth clamp\": Clamp(kind: Tunnel, torque: Unknown),\n    }},\n    conductors: {{\n        \
             \"tail\": Conductor(csa: \"{csa}\", class: 2, {wires}metal: Copper),\n        \
             \"earth\": Conductor(csa: \"not seen\", class: 2, metal: Copper),\n    }},\n    devices: {{}},\n    \
             incomer: Incomer(maker: \"not seen\", type: \"not seen\", terminals: {{\n{tails}    }}),\n    \
             bars: {{\"earth bar\": Bar(role: Earth, clamp: \"earth clamp\", terminals: {{\"main earth\": \
             On(conductors: \"earth\")}})}},\n    ways: 0,\n    rows: [],\n)\n"
        )
    }
}

/// Where a torque was read, as a board file says it.
#[must_use]
pub fn source_in_file(source: &Source) -> String {
    let reference = quoted(&source.reference);
    match source.read_at {
        ReadAt::OnDevice => "OnDevice".to_owned(),
        ReadAt::Leaflet => format!("Leaflet({reference})"),
        ReadAt::DoorLabel => format!("DoorLabel({reference})"),
        ReadAt::DataSheet => format!("DataSheet({reference})"),
        ReadAt::MakersLetter => format!("MakersLetter({reference})"),
    }
}

/// A text as it stands in a board file.
#[must_use]
pub fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}
