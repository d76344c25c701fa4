//! A board entered quickly: ways and poles, clamps unknown. The text is a board file like any other, to be completed
//! later; until then no maker's value is known and nothing can be tightened to one.
//!
//! Invariant: what comes out can be read by [`super::read`]. Deliberately absent: any value nobody saw.

use std::fmt::Write as _;

/// What is known of a board at a glance.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Quick {
    /// Reference on its label.
    pub reference: String,
    /// Title.
    pub title: String,
    /// Site.
    pub site: String,
    /// Where on the site.
    pub location: String,
    /// Three-phase and neutral, else single-phase.
    pub three_phase: bool,
    /// Rated current, A, as digits.
    pub rated_a: String,
    /// Number of ways, 1 or more.
    pub ways: u16,
    /// Ways with a three-pole device.
    pub three_pole: Vec<u16>,
    /// Ways with nothing connected.
    pub spare: Vec<u16>,
}

/// A text in quotation marks.
fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}

impl Quick {
    /// The board file.
    #[must_use]
    pub fn text(&self) -> String {
        let mut text = String::from(
            "// Entered quickly for an audit: ways and poles, clamps unknown. Complete it before anything is tightened: read \
             clamps,\n// torques and conductors from the devices. `witnessmark example` prints a commented board file.\n",
        );
        let supply = if self.three_phase { "ThreePhaseNeutral" } else { "SinglePhase" };
        let mut line = |words: String| {
            text.push_str(&words);
            text.push('\n');
        };
        line("Board(".into());
        line("    format: 0,".into());
        for (key, words) in [
            ("reference", &self.reference),
            ("title", &self.title),
            ("site", &self.site),
            ("location", &self.location),
        ] {
            line(format!("    {key}: {},", quoted(words)));
        }
        line("    standard: \"not stated\",\n    edition: \"not stated\",".into());
        line(format!("    supply: {supply},\n    rated: {},", quoted(&format!("{} A", self.rated_a))));
        line("    vibration: No,".into());
        line(
            "    notes: [\"Entered quickly for an audit: clamps, cross-sections and classes were not \
             read.\"],"
                .into(),
        );
        line(clamps());
        line(
            "    conductors: {\"conductor\": Conductor(csa: \"not seen\", class: 2, metal: Copper)},".into(),
        );
        line(self.devices());
        line(self.incomer());
        line(
            "    bars: {\n        \"N bar\": Bar(role: Neutral, clamp: \"bar tunnel\"),\n        \"E bar\": Bar(role: \
             Earth, clamp: \"bar tunnel\", terminals: {\"main earth\": On(conductors: \"conductor\")}),\n    },"
                .into(),
        );
        line(format!("    ways: {},\n    rows: [", self.ways));
        line(self.rows());
        line("    ],\n)".into());
        text
    }

    fn devices(&self) -> String {
        let of = |name: &str, poles: u8| {
            format!(
                "        \"{name}\": Device(maker: \"not read\", type: \"{name}\", poles: {poles}, finger: \"busbar \
                 finger\", load: \"outgoing clamp\"),\n"
            )
        };
        let three = if self.three_pole.is_empty() { String::new() } else { of("three-pole device", 3) };
        let single = if self.is_all_three_pole() { String::new() } else { of("single-pole device", 1) };
        format!("    devices: {{\n{single}{three}    }},")
    }

    fn is_all_three_pole(&self) -> bool {
        (1..=self.ways).all(|way| self.three_pole.contains(&way))
    }

    fn incomer(&self) -> String {
        let poles: &[(&str, &str)] = if self.three_phase {
            &[("L1", "L1"), ("L2", "L2"), ("L3", "L3"), ("N", "N")]
        } else {
            &[("L", "L1"), ("N", "N")]
        };
        let mut text =
            String::from("    incomer: Incomer(maker: \"not read\", type: \"main switch\", terminals: {\n");
        for (name, pole) in poles {
            let _infallible = writeln!(
                text,
                "        \"{name}\": On(clamp: \"incoming clamp\", conductors: \"conductor\", pole: {pole}, tail: true),"
            );
        }
        text.push_str("    }),");
        text
    }

    /// A row a way; a way of single poles on three phases names each.
    fn rows(&self) -> String {
        let mut rows = Vec::new();
        for way in 1..=self.ways {
            let three = self.three_pole.contains(&way);
            let device = if three { "three-pole device" } else { "single-pole device" };
            let at: Vec<String> = if self.three_phase && !three {
                ["L1", "L2", "L3"].iter().map(|pole| quoted(&format!("{way}{pole}"))).collect()
            } else {
                vec![quoted(&way.to_string())]
            };
            let each = at.join(", ");
            rows.push(if self.spare.contains(&way) {
                format!("        Spare(at: [{each}], device: \"{device}\"),")
            } else {
                format!(
                    "        Row(at: [{each}], device: \"{device}\", circuit: \"way {way}, not read\", line: \
                     \"conductor\", neutral: \"conductor\", cpc: \"conductor\"),"
                )
            });
        }
        rows.join("\n")
    }
}

/// Clamp types of which nothing is known but where they are.
fn clamps() -> String {
    let of = |name: &str, kind: &str, more: &str| {
        format!("        \"{name}\": Clamp(kind: {kind}, {more}torque: Unknown),\n")
    };
    format!(
        "    clamps: {{\n{}{}{}{}    }},",
        of("incoming clamp", "Cage", ""),
        of("busbar finger", "Finger", ""),
        of("outgoing clamp", "Cage", ""),
        of("bar tunnel", "Tunnel", "")
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::board_file::read;

    #[test]
    fn every_quick_board_is_a_board_file() {
        for three_phase in [false, true] {
            for (three_pole, spare) in [(vec![], vec![]), (vec![1], vec![2]), (vec![1, 2, 3], vec![1, 2, 3])]
            {
                let quick = Quick {
                    reference: "QB \"1\"".into(),
                    title: "Old \\ board".into(),
                    site: "Fennick Vale Light Railway".into(),
                    location: "lamp room".into(),
                    three_phase,
                    rated_a: "63".into(),
                    ways: 3,
                    three_pole: if three_phase { three_pole.clone() } else { vec![] },
                    spare: spare.clone(),
                };
                let text = quick.text();
                let board = read(text.as_bytes()).unwrap_or_else(|wrong| panic!("{text}\n{wrong:?}")).board;
                assert_eq!(board.reference, "QB \"1\"");
                assert!(board.terminals.iter().all(|terminal| board.torque_row(terminal).is_none()));
                assert!(board.terminals.iter().flat_map(|t| &t.conductors).all(|c| !c.size_seen()));
                let spares = board.terminals.iter().filter(|terminal| terminal.spare).count();
                assert_eq!(spares > 0, !spare.is_empty());
            }
        }
    }
}
