//! What DEVELOPERS.md says of the record, held against the types that read and write it.
//!
//! The section's tables are read as a small schema: `key`, `?` where it may be missing, a type, `[]` for a list. The
//! reader itself says which keys and words it knows, by refusing one that cannot be; and every line of the kept
//! records, and facts made up, are followed through the tables key by key. Our own rule, no outside source.

use crate::facts::{Dice, KINDS, some_fact};
use crate::frozen::fixtures;
use serde::de::DeserializeOwned;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use witnessmark::domain::audit::{claim, thermal};
use witnessmark::domain::calibration::{Calibration, CalibrationPoint, Interval};
use witnessmark::domain::clamp::{Capacity, Clamp, ClampKind, Settle, SettleBasis};
use witnessmark::domain::conductor::{AluminiumCare, Class, Conductor, Metal, Preparation};
use witnessmark::domain::limits::{Basis, Limits};
use witnessmark::domain::stated::{ReadAt, Source, Stated, Tolerance, TorqueRow};
use witnessmark::domain::tool::{Adapter, Tool, ToolKind, ToolRange, Validity};
use witnessmark::domain::torque::{Torque, Unit};
use witnessmark::domain::verdict::{DecisionRule, Verdict};
use witnessmark::domain::{board, record::*};

const DEVELOPERS: &str = include_str!("../../DEVELOPERS.md");
const HEADING: &str = "## The record, format 1\n";

/// Types without keys of their own.
const PLAIN: [&str; 9] = ["text", "count", "yes/no", "decimal", "time", "day", "hex", "name", "fact"];

/// Keys or words that a reader says it knows, out of its refusal.
fn known<T: DeserializeOwned>(text: &str) -> BTreeSet<String> {
    let Err(why) = serde_json::from_str::<T>(text) else { panic!("{text} is taken") };
    let why = why.to_string();
    let (_, expected) = why.split_once("expected").unwrap_or_else(|| panic!("{why}"));
    expected.split('`').skip(1).step_by(2).map(str::to_owned).collect()
}

/// Every kind of fact, as the reader names them.
pub(crate) fn kinds() -> BTreeSet<String> {
    known::<Fact>("{\"?\":0}")
}

/// One key or word of a table row.
#[derive(Debug)]
struct Entry {
    optional: bool,
    list: bool,
    /// Nothing for a word that stands alone.
    kind: Option<String>,
}

type Row = BTreeMap<String, Entry>;

fn entry(text: &str) -> (String, Entry) {
    let mut parts = text.trim().splitn(3, '`');
    assert_eq!(parts.next(), Some(""), "an entry begins with its key: {text}");
    let key = parts.next().unwrap().to_owned();
    let rest = parts.next().unwrap_or_else(|| panic!("{text}"));
    let optional = rest.starts_with('?');
    let rest = rest.trim_start_matches('?').split(',').next().unwrap().trim();
    let word = rest.split(' ').next().unwrap();
    let kind = word.trim_end_matches("[]");
    let list = word.ends_with("[]");
    (key, Entry { optional, list, kind: (!kind.is_empty()).then(|| kind.to_owned()) })
}

/// Rows of the section's tables, by name; what stands before the entries of a row is its name in backticks.
fn tables() -> BTreeMap<String, Row> {
    let text = DEVELOPERS.replace("\r\n", "\n");
    let (_, section) = text.split_once(HEADING).expect("the section");
    let section = section.split("\n## ").next().unwrap();
    let mut found = BTreeMap::new();
    for line in section.lines().filter(|line| line.starts_with("| `")) {
        let cells: Vec<&str> = line.trim_matches('|').split('|').collect();
        let [name, entries] = cells[..] else { panic!("two cells a row: {line}") };
        let name = name.trim().trim_matches('`').to_owned();
        let row: Row = entries.split(';').map(entry).collect();
        assert!(found.insert(name.clone(), row).is_none(), "{name} stands twice");
    }
    found
}

/// What the reader knows, by the name under which it is documented.
fn readers() -> BTreeMap<String, BTreeSet<String>> {
    let mut found: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut add = |name: &str, known| assert!(found.insert(name.to_owned(), known).is_none(), "{name} twice");
    macro_rules! keys { ($($name:literal $of:ty),* $(,)?) => { $(add($name, known::<$of>("{\"?\":0}"));)* } }
    macro_rules! words { ($($name:literal $of:ty),* $(,)?) => { $(add($name, known::<$of>("\"?\""));)* } }
    macro_rules! inside { ($($name:literal $of:ty),* $(,)?) => {
        $(add($name, known::<$of>(&format!("{{\"{}\":{{\"?\":0}}}}", $name)));)*
    } }
    keys! {
        "line" Line, "opened" Opened, "session" Session, "person" Person, "tool" Tool, "gates" Gates, "route" Route,
        "board_amended" BoardAmended, "claim" Claimed, "drawn" Drawn, "escalated" Escalated,
        "code" Code, "scope" Scope, "looked" Looked, "movement" Movement, "scale" Scale,
        "scale_unread" ScaleUnread, "tool_doubted" ToolDoubted, "tool_released" ToolReleased,
        "prepared" Prepared, "entered" Entered, "torqued" Torqued, "tugged" Tugged, "marked" Marked,
        "decided" Decided, "settle_ready" SettleReady, "settle_waived" SettleWaived, "disturbed" Disturbed,
        "remade" Remade, "replaced" Replaced, "set_aside" SetAside, "told" Told, "taken_up" TakenUp,
        "remark" Remark, "corrected" Corrected, "last_look" LastLook, "signed" Signed, "abandoned" Abandoned,
        "closed" Closed, "follows" Follows, "torn" Torn, "source_of_supply" SourceOfSupply, "reset" Reset,
        "torque" Torque, "applied" AppliedTorque, "limits" Limits, "untouched" Untouched, "in_scope" InScope,
        "last_time" LastTime, "dropped" Dropped, "thermal_reading" ThermalReading, "always_in" AlwaysIn,
        "claim_made" claim::Claim, "tail" TailLook, "outcome_of" TerminalOutcome, "entered_counts" EnteredCounts,
        "pace" Pace, "range_of_tool" ToolRange, "adapter" Adapter, "interval" Interval, "calibration" Calibration,
        "point" CalibrationPoint, "board" board::Board, "vibration" board::Vibration, "device" board::Device,
        "place" board::Place, "terminal" board::Terminal, "conductor" Conductor, "clamp" Clamp,
        "capacity" Capacity, "settle" Settle, "torque_row" TorqueRow, "source" Source,
    }
    words! {
        "thermal" Thermal, "visit" VisitKind, "cause" SessionCause, "state" SourceState, "order" Order,
        "at" ScaleAt, "mode" Mode, "preparation" Preparation, "aluminium" AluminiumCare, "fault" EntryFault,
        "result" TorqueResult, "not_clicked_why" NotClicked, "turned" Turned, "verdict" Verdict, "tug" Tug,
        "mark" MarkResult, "about" About, "strands" Strands, "choice" DecidedTo, "settle_known" SettleKnown,
        "how" DisturbedHow, "known" Known, "aside_why" AsideWhy, "remark_on" RemarkOn, "mark_seen" MarkSeen,
        "outcome" Outcome, "happened" Happened, "in_scope_why" InScopeWhy, "look" LookResult, "seen" Mark,
        "heat" HeatAt, "movement_found" Moved, "reach" ToolReach, "plan" Plan, "basis_of_claim" SizedBy,
        "over_what" thermal::Over, "thermal_class" thermal::Class, "always_in_why" AlwaysInWhy,
        "decision_rule" DecisionRule, "unit" Unit, "basis" Basis, "tool_kind" ToolKind, "validity" Validity,
        "supply" board::Supply, "pole" board::Pole, "role" board::Role, "place_kind" board::PlaceKind,
        "clamp_kind" ClampKind, "settle_basis" SettleBasis, "class" Class, "metal" Metal, "read_at" ReadAt,
        "stated" Stated, "tolerance_of" Tolerance,
    }
    inside! {
        "not_clicked" TorqueResult, "reading" TorqueResult, "first" Moved, "part" ToolReach, "over" Thermal,
        "not_taken" Thermal, "single" Stated, "tolerance" Stated, "range" Stated, "at_most" Stated,
    }
    found
}

#[test]
fn the_documented_keys_and_words_are_those_that_are_read() {
    let tables = tables();
    let readers = readers();
    let names = |of: &BTreeMap<String, Row>| of.keys().cloned().collect::<BTreeSet<_>>();
    assert_eq!(names(&tables), readers.keys().cloned().collect(), "rows of the tables");
    for (name, known) in &readers {
        assert_eq!(tables[name].keys().cloned().collect::<BTreeSet<_>>(), *known, "{name}");
    }
    let missing: Vec<String> = kinds().into_iter().filter(|kind| !tables.contains_key(kind)).collect();
    assert!(missing.is_empty(), "kinds of fact without a row: {missing:?}");
    for (name, row) in &tables {
        for kind in row.values().filter_map(|entry| entry.kind.as_deref()) {
            assert!(PLAIN.contains(&kind) || tables.contains_key(kind), "{name}: no type is called {kind}");
        }
    }
}

/// Follows values through the tables, and keeps which keys it saw and which it missed.
struct Follow {
    tables: BTreeMap<String, Row>,
    seen: BTreeSet<(String, String)>,
    missed: BTreeSet<(String, String)>,
}

impl Follow {
    fn value(&mut self, kind: &str, value: &Value, at: &str) {
        let fits = match kind {
            "fact" => return self.fact(value),
            "text" | "decimal" | "time" | "day" | "hex" | "name" => value.is_string(),
            "count" => value.is_u64(),
            "yes/no" => value.is_boolean(),
            _ => return self.row(kind, value, at),
        };
        assert!(fits, "{at}: {value} is no {kind}");
        if kind == "decimal" {
            let digits = value.as_str().unwrap();
            assert!(digits.parse::<rust_decimal::Decimal>().is_ok(), "{at}: {digits}");
        }
    }

    fn fact(&mut self, value: &Value) {
        let (kind, body) = value.as_object().unwrap().iter().next().unwrap();
        self.row(kind, body, kind);
    }

    fn row(&mut self, name: &str, value: &Value, at: &str) {
        let keys: Vec<(String, bool, bool, Option<String>)> = self.tables[name]
            .iter()
            .map(|(key, entry)| (key.clone(), entry.optional, entry.list, entry.kind.clone()))
            .collect();
        if let Value::String(word) = value {
            let entry = keys.iter().find(|(key, ..)| key == word);
            return assert!(matches!(entry, Some((.., None))), "{at}: {word} is no word of {name}");
        }
        let object = value.as_object().unwrap_or_else(|| panic!("{at}: {value} is no {name}"));
        let word = keys.iter().any(|(.., kind)| kind.is_none()) || WORDS_WITH_MORE.contains(&name);
        for key in object.keys() {
            assert!(keys.iter().any(|(known, ..)| known == key), "{at}: {name} has no key {key}");
        }
        for (key, optional, list, kind) in keys {
            let Some(value) = object.get(&key) else {
                assert!(optional || word, "{at}: {name} without {key}");
                self.missed.insert((name.to_owned(), key));
                continue;
            };
            self.seen.insert((name.to_owned(), key.clone()));
            let kind = kind.unwrap_or_else(|| panic!("{at}: {key} stands alone"));
            let at = format!("{at}.{key}");
            match value {
                Value::Array(values) if list => values.iter().for_each(|value| self.value(&kind, value, &at)),
                _ if list => panic!("{at}: {value} is no list"),
                _ => self.value(&kind, value, &at),
            }
        }
    }
}

/// Enumerations of which every word carries more.
const WORDS_WITH_MORE: [&str; 3] = ["stated", "tolerance_of", "thermal"];

#[test]
fn every_line_kept_and_every_fact_made_up_is_as_documented() {
    let mut follow = Follow { tables: tables(), seen: BTreeSet::new(), missed: BTreeSet::new() };
    for bytes in fixtures() {
        for line in bytes.split(|byte| *byte == b'\n').filter(|line| !line.is_empty()) {
            follow.row("line", &serde_json::from_slice(line).unwrap(), "line");
        }
    }
    let mut dice = Dice(1);
    for turn in 0..KINDS * 60 {
        follow.fact(&serde_json::to_value(some_fact(turn % KINDS, &mut dice)).unwrap());
    }
    // a key said to be optional is missing somewhere, and one of a fact is seen somewhere
    let facts = kinds();
    let (mut never_missing, mut never_seen) = (Vec::new(), Vec::new());
    for (name, row) in &follow.tables {
        for (key, entry) in row {
            let place = (name.clone(), key.clone());
            let seen = follow.seen.contains(&place);
            if entry.optional && seen && !follow.missed.contains(&place) {
                never_missing.push(format!("{name}.{key}"));
            }
            if facts.contains(name) && !seen {
                never_seen.push(format!("{name}.{key}"));
            }
        }
    }
    assert_eq!((never_missing, never_seen), (Vec::new(), Vec::new()));
}
