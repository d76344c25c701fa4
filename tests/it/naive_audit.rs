//! The second, naive reader of audits: steps, result words and counts from the JSON of a record alone.
//!
//! Written from the tables and not from the code; it shares nothing with the program.

use serde_json::Value;

/// What stands of an audit's own facts.
pub(crate) struct Audit<'a> {
    claim: Option<&'a Value>,
    drawn: Option<&'a Value>,
    added: Vec<&'a str>,
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or("")
}

fn names(value: &Value) -> Vec<&str> {
    value.as_array().map(|list| list.iter().map(text).collect()).unwrap_or_default()
}

impl<'a> Audit<'a> {
    /// Nothing where the record is of no audit.
    pub(crate) fn of(lines: &'a [Value]) -> Option<Self> {
        if lines.first()?["fact"]["opened"]["visit"] != "audit" {
            return None;
        }
        let mut audit = Self { claim: None, drawn: None, added: Vec::new() };
        for line in lines {
            let fact = &line["fact"];
            if fact["claim"].is_object() {
                audit.claim = Some(&fact["claim"]);
            }
            if fact["drawn"].is_object() {
                audit.drawn = Some(&fact["drawn"]);
            }
            audit.added.extend(names(&fact["escalated"]["terminals"]));
        }
        Some(audit)
    }

    pub(crate) fn is_always_in(&self, name: &str) -> bool {
        let list = self.drawn.and_then(|drawn| drawn["always_in"].as_array());
        list.is_some_and(|list| list.iter().any(|entry| entry["terminal"] == name))
    }

    pub(crate) fn is_drawn(&self, name: &str) -> bool {
        self.drawn.is_some_and(|drawn| names(&drawn["terminals"]).contains(&name))
            || self.added.contains(&name)
    }

    pub(crate) fn is_remainder(&self, name: &str) -> bool {
        self.drawn.is_some_and(|drawn| names(&drawn["remainder"]).contains(&name))
    }

    pub(crate) fn tugs_everything(&self) -> bool {
        self.claim.is_some_and(|claim| claim["plan"] == "tug_everything")
    }

    /// `look`, `check_tug 0`, `check 1`; nothing at all for a spare terminal.
    pub(crate) fn steps(&self, terminal: &Value, clamp: &Value) -> Vec<String> {
        let count = terminal["conductors"].as_array().map_or(0, Vec::len);
        if clamp["kind"] != "finger" && count == 0 {
            return Vec::new();
        }
        let mut steps = vec!["look".to_owned()];
        let Some(claim) = self.claim else { return steps };
        let name = text(&terminal["name"]);
        let in_hand = if clamp["kind"] == "finger" {
            self.is_drawn(name)
        } else {
            self.drawn.is_none() || self.is_always_in(name) || self.is_drawn(name)
        };
        if claim["tug"] == true && (in_hand || self.tugs_everything()) {
            steps.extend((0..count).map(|nth| format!("check_tug {nth}")));
        }
        let known = clamp["torque"].as_array().is_some_and(|rows| !rows.is_empty());
        let allowed = match &claim["tool"] {
            Value::String(word) if word == "makers_value" => clamp["second_torque_forbidden"] != true,
            Value::String(_) => false,
            part => part["part"]["percent"].is_number(),
        };
        if in_hand && allowed && known && clamp["kind"] != "spring" {
            let screws = if clamp["screws"] == 2 { 2 } else { 1 };
            steps.extend((1..=screws).map(|screw| format!("check {screw}")));
        }
        steps
    }
}

/// What is found at a terminal: the last look, and the standing answers by step.
pub(crate) struct Found<'a> {
    pub(crate) look: Option<&'a Value>,
    pub(crate) tugs: Vec<&'a str>,
    pub(crate) moves: Vec<&'a Value>,
}

impl Found<'_> {
    /// Shifts under a tug, damaged, or heat-marked.
    pub(crate) fn is_bad(&self) -> bool {
        self.is_seen_bad() || self.tugs.iter().any(|tug| *tug != "firm")
    }

    fn is_seen_bad(&self) -> bool {
        let marks = self.look.and_then(|look| look["found"].as_array());
        marks.is_some_and(|marks| marks.iter().any(|m| m["heat"].is_string() || m == "strands_damaged"))
    }

    fn is_damaged(&self) -> bool {
        self.is_seen_bad() || self.tugs.contains(&"strands_broke")
    }

    fn is_moved(&self) -> bool {
        let shifts = self.tugs.iter().any(|tug| ["shifted", "came_out"].contains(tug));
        shifts || self.moves.iter().any(|found| **found != "held")
    }

    /// `held`, `moved`, `loose`, `damaged`, `not accessible`, `no data`, `not drawn`.
    pub(crate) fn word(&self, steps: &[String], no_access: bool) -> &'static str {
        let seen = self.look.is_some_and(|look| look == "sound" || look["found"].is_array());
        let of = |what: &str| steps.iter().filter(|step| step.starts_with(what)).count();
        let all = self.tugs.len() == of("check_tug") && self.moves.len() == of("check ");
        let shifts = self.tugs.iter().any(|tug| ["shifted", "came_out"].contains(tug));
        if self.is_damaged() {
            "damaged"
        } else if shifts || self.moves.iter().any(|found| **found == "loose") {
            "loose"
        } else if no_access || self.look.is_some_and(|look| look == "not_accessible") {
            "not accessible"
        } else if self.is_moved() {
            "moved"
        } else if steps.len() == 1 && seen {
            "not drawn"
        } else if seen && all {
            "held"
        } else {
            "no data"
        }
    }
}
