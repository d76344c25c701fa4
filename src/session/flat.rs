//! A place without any board file: the tails of a flat whose meter was exchanged this morning, written as a board file
//! that can be completed later. The text is made here and read by the reader of board files, so it is one of them.

use crate::domain::board::{Board, Supply};

/// What was entered at the place; what could not be read is nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Flat {
    /// Its name: address, number.
    pub place: String,
    /// Supply.
    pub supply: Supply,
    /// Cross-section of the tails in mm².
    pub tail_mm2: Option<&'static str>,
    /// Wires of the tails.
    pub wires: Option<u16>,
    /// Torque of the incoming clamp with its unit, and where it was read, as the board file says it.
    pub torque: Option<(String, String)>,
}

/// How the text of a board file becomes a board with its SHA-256; handed in from outside.
pub type ReadText = fn(&str) -> Option<(Board, String)>;

impl Flat {
    /// The board file of a place.
    #[must_use]
    pub fn text(&self) -> String {
        let place = quoted(&self.place);
        let supply = match self.supply {
            Supply::SinglePhase => "SinglePhase",
            Supply::ThreePhaseNeutral => "ThreePhaseNeutral",
        };
        let csa = self.tail_mm2.map_or_else(|| "not seen".to_owned(), |mm2| format!("{mm2} mm2"));
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
                "        \"{name}\": On(clamp: \"incoming clamp\", conductors: \"tail\", pole: {pole}, tail: true),\n"
            );
            tails.push_str(&line);
        }
        format!(
            "// Entered at the place for a revisit of the tails. What stands as \"not seen\" or \"not stated\", kinds of\n\
             // clamp, devices, ways and circuits are still to be completed; `witnessmark check` reads it again.\n\
             Board(\n    format: 0,\n    reference: {place},\n    title: {place},\n    site: {place},\n    \
             location: \"not stated\",\n    standard: \"not stated\",\n    edition: \"not stated\",\n    \
             supply: {supply},\n    rated: \"not seen\",\n    vibration: No,\n    clamps: {{\n        \
             \"incoming clamp\": Clamp(kind: Cage, torque: {torque}),\n        \
             \"earth clamp\": Clamp(kind: Tunnel, torque: Unknown),\n    }},\n    conductors: {{\n        \
             \"tail\": Conductor(csa: \"{csa}\", class: 2, {wires}metal: Copper),\n        \
             \"earth\": Conductor(csa: \"not seen\", class: 2, metal: Copper),\n    }},\n    devices: {{}},\n    \
             incomer: Incomer(maker: \"not seen\", type: \"not seen\", terminals: {{\n{tails}    }}),\n    \
             bars: {{\"earth bar\": Bar(role: Earth, clamp: \"earth clamp\", terminals: {{\"main earth\": \
             On(conductors: \"earth\")}})}},\n    ways: 0,\n    rows: [],\n)\n"
        )
    }
}

/// A text as it stands in a board file.
#[must_use]
pub fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}
