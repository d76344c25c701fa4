//! A small board with every sort of clamp, six tools, and how acts become lines.

use serde_json::{Value, json};
use witnessmark::domain::board::Board;
use witnessmark::domain::limits::OwnTolerance;
use witnessmark::domain::moment::Moment;
use witnessmark::domain::names::{PersonId, TerminalName};
use witnessmark::domain::record::{
    Draft, Fact, Gates, Line, Person, Session, SessionCause, SourceOfSupply, SourceState, VisitKind,
};
use witnessmark::domain::tool::Tool;
use witnessmark::domain::torque::Torque;
use witnessmark::domain::verdict::DecisionRule;
use witnessmark::session::{Act, OpenVisit, Refusal, Visit, apply, decide};

/// The person of every act.
pub(crate) fn me() -> PersonId {
    PersonId::from("P1")
}

pub(crate) fn nm(text: &str) -> Torque {
    Torque::read(&format!("{text} N.m")).unwrap()
}

fn clamp(name: &str, kind: &str, more: &Value, stated: Option<Value>) -> Value {
    let screws = match kind {
        "spring" => 0,
        _ => 1,
    };
    let rows: Vec<Value> = stated
        .into_iter()
        .map(|stated| json!({"stated": stated, "source": {"read_at": "on_device", "reference": ""}}))
        .collect();
    let mut clamp = json!({"name": name, "kind": kind, "screws": screws, "conductors_max": 2, "aluminium": true,
        "second_torque_forbidden": false, "mark_visible": true, "torque": rows});
    for (key, value) in more.as_object().unwrap() {
        clamp[key] = value.clone();
    }
    clamp
}

fn n(value: &str) -> Value {
    json!({"value": value, "unit": "N.m"})
}

fn clamps() -> Vec<Value> {
    let forbid = json!({"second_torque_forbidden": true});
    let two = json!({"screws": 2});
    let two_forbid = json!({"screws": 2, "second_torque_forbidden": true});
    let single = |value: &str| Some(json!({"single": {"value": n(value)}}));
    let tolerance = |value: &str, by: &str| {
        Some(json!({"tolerance": {"value": n(value), "tolerance": {"torque": n(by)}}}))
    };
    let range = json!({"range": {"lower": n("2.0"), "upper": n("3.0"), "recommended": n("2.5")}});
    let most = json!({"at_most": {"upper": n("2.2"), "aim": n("2.0")}});
    vec![
        clamp("cage", "cage", &json!({}), single("2.0")),
        clamp("incoming", "cage", &json!({}), Some(range)),
        clamp("bar", "tunnel", &json!({}), tolerance("2.0", "0.2")),
        clamp("plate", "saddle", &json!({}), Some(most)),
        clamp("spring", "spring", &json!({}), None),
        clamp(
            "finger",
            "finger",
            &json!({"conductors_max": 0}),
            Some(json!({"single": {"value": {"value": "22", "unit": "lbf.in"}}})),
        ),
        clamp("unknown", "saddle", &json!({}), None),
        clamp("two", "tunnel", &two, tolerance("2.5", "0.25")),
        clamp("two once", "tunnel", &two_forbid, single("2.0")),
        clamp("once", "cage", &forbid, tolerance("2.0", "0.2")),
        clamp(
            "settling",
            "cage",
            &json!({"settle": {"wait_minutes": 15, "basis": "own_practice"}}),
            single("2.0"),
        ),
        clamp("settled", "tunnel", &json!({"settle": {"wait_minutes": 30, "basis": "maker"}}), single("2.0")),
        clamp("narrow", "cage", &json!({}), tolerance("2.3", "0.05")),
    ]
}

fn terminal(name: &str, clamp: &str, device: Option<&str>, conductors: usize, more: &Value) -> Value {
    let copper = json!({"csa_mm2": "4", "class": "stranded", "wires": 7, "metal": "copper"});
    let mut terminal = json!({"name": name, "place": "board", "clamp": clamp, "role": "line", "spare": false,
        "tail": false, "conductors": vec![copper; conductors]});
    if let Some(device) = device {
        terminal["device"] = json!(device);
    }
    for (key, value) in more.as_object().unwrap() {
        terminal[key] = value.clone();
    }
    terminal
}

/// The terminals of [`board`].
pub(crate) const TERMINALS: [&str; 16] = [
    "incomer L",
    "incomer N",
    "1 line",
    "1 finger",
    "2 line",
    "3 line",
    "4 line",
    "1 neutral",
    "1 cpc",
    "bell",
    "meter",
    "main earth",
    "main neutral",
    "5 line",
    "5 neutral",
    "5 cpc",
];

/// A small board with every sort of clamp; invented.
pub(crate) fn board() -> Board {
    let (none, tail, spare) = (json!({}), json!({"tail": true}), json!({"spare": true}));
    let aluminium = json!({"conductors": [{"csa_mm2": "16", "class": "stranded", "metal": "aluminium"}]});
    let terminals = vec![
        terminal("incomer L", "incoming", Some("incomer"), 1, &tail),
        terminal("incomer N", "once", Some("incomer"), 1, &tail),
        terminal("1 line", "cage", Some("1"), 1, &none),
        terminal("1 finger", "finger", Some("1"), 0, &none),
        terminal("2 line", "cage", Some("2"), 2, &none),
        terminal("3 line", "narrow", Some("3"), 1, &none),
        terminal("4 line", "cage", None, 0, &spare),
        terminal("1 neutral", "bar", None, 1, &none),
        terminal("1 cpc", "plate", None, 1, &aluminium),
        terminal("bell", "spring", None, 1, &none),
        terminal("meter", "unknown", None, 1, &none),
        terminal("main earth", "two", None, 1, &none),
        terminal("main neutral", "two once", None, 2, &none),
        terminal("5 line", "settling", Some("5"), 1, &none),
        terminal("5 neutral", "settling", None, 2, &none),
        terminal("5 cpc", "settled", None, 1, &none),
    ];
    let board = json!({"reference": "TB1", "title": "Test board", "site": "Fennick Vale", "location": "store",
        "standard": "own", "edition": "1", "supply": "single_phase", "rated_a": "100", "ways": 5,
        "clamps": clamps(), "devices": [], "places": [{"name": "board", "kind": "devices"}],
        "terminals": terminals});
    serde_json::from_value(board).unwrap()
}

fn tool(
    id: &str,
    kind: &str,
    unit: &str,
    range: (&str, &str),
    graduation: Option<&str>,
    validity: &str,
) -> Tool {
    let mut tool = json!({"id": id, "serial": format!("S-{id}"), "name": format!("driver {id}"), "kind": kind,
        "unit": unit, "range": {"min": range.0, "max": range.1}, "validity": validity});
    if let Some(graduation) = graduation {
        tool["graduation"] = json!(graduation);
    }
    if validity != "not_stated" {
        tool["calibrations"] = json!([{"date": "2026-03-02", "certificate": "K-1187"}]);
    }
    // one is corrected by its points, one has a class and nothing more, the others say nothing of their error
    match id {
        "A" => {
            let point =
                |set: &str, reference: &str| json!({"set": set, "reference": reference, "w_percent": "2.0"});
            tool["calibrations"][0]["as_left"] =
                json!([point("0.5", "0.51"), point("3", "2.96"), point("5", "4.9")]);
        }
        "B" | "D" => tool["class"] = json!(if id == "B" { "II D" } else { "I D" }),
        _ => {}
    }
    if validity == "lapsed" {
        tool["override"] = json!("the other one is at the laboratory");
    }
    serde_json::from_value(tool).unwrap()
}

/// Two setting tools, a fixed one, two indicating ones, and a coarse one that has lapsed.
pub(crate) fn tools() -> Vec<Tool> {
    vec![
        tool("A", "setting", "N.m", ("0.5", "5"), Some("0.05"), "valid"),
        tool("B", "setting", "lbf.in", ("5", "40"), Some("1"), "valid"),
        tool("C", "fixed", "N.m", ("2.0", "2.0"), None, "valid"),
        tool("D", "indicating", "N.m", ("0.5", "10"), Some("0.01"), "valid"),
        tool("E", "indicating", "N.m", ("1", "2.4"), Some("0.01"), "not_stated"),
        tool("F", "setting", "N.m", ("1", "5"), Some("0.5"), "lapsed"),
    ]
}

/// The first act of a visit of [`board`].
pub(crate) fn opening(rehearsal: bool, own_tolerance: Option<u32>) -> Act {
    Act::Open(Box::new(OpenVisit {
        program: "witnessmark 0.1.0".into(),
        id: "abcdefgh".into(),
        person: Person { id: me(), name: "R. Ashdown".into(), role: "electrician".into() },
        visit: VisitKind::First,
        rehearsal,
        follows: None,
        certificate: String::new(),
        board: board(),
        board_sha256: "0".repeat(64),
        decision_rule: match own_tolerance {
            None => DecisionRule::GuardedFourWords,
            Some(even) if even % 2 == 0 => DecisionRule::GuardedTwoWords,
            Some(_) => DecisionRule::SimpleAcceptance,
        },
        own_tolerance: own_tolerance.map(|percent| OwnTolerance(percent.into())),
    }))
}

/// A session begins.
pub(crate) fn beginning(cause: SessionCause) -> Act {
    Act::Begin(Session { nonce: "n".into(), program: "witnessmark 0.1.0".into(), cause, torn: None })
}

/// A gate with everything dead but one source, perhaps.
pub(crate) fn gate(incoming: SourceState, live: Option<&str>) -> Act {
    gate_of(&me(), incoming, live)
}

/// Somebody's own gate.
pub(crate) fn gate_of(person: &PersonId, incoming: SourceState, live: Option<&str>) -> Act {
    let source = |what: &str, feeds: Vec<TerminalName>, state| {
        let beside = state == SourceState::Live;
        let decided_by = beside.then(|| "R. Ashdown".to_owned());
        SourceOfSupply { what: what.into(), feeds, state, shrouded: beside.then_some(true), decided_by }
    };
    let tails = vec![TerminalName::from("incomer L"), TerminalName::from("incomer N")];
    let mut sources = vec![source("incoming", tails, incoming)];
    if let Some(name) = live {
        sources.push(source("solar", vec![TerminalName::from(name)], SourceState::Live));
    }
    Act::AnswerGates(Gates {
        person: person.clone(),
        dead_by: "R. Ashdown".into(),
        proved_with: "two-pole tester".into(),
        locked_off: "padlock 3".into(),
        sources,
    })
}

/// The line a fact becomes; links are the journal's and left plain here.
pub(crate) fn line(visit: &Visit, fact: Fact) -> Line {
    line_of(visit, &me(), fact)
}

/// The line of a fact of somebody; the first person stays at the keys.
pub(crate) fn line_of(visit: &Visit, who: &PersonId, fact: Fact) -> Line {
    let seq = visit.next_seq();
    let second = 1_764_000_000_i64 + i64::try_from(seq.0).unwrap() * 7;
    let at = jiff::Timestamp::from_second(second).unwrap();
    let time = Moment { at, offset: jiff::tz::offset(1) };
    Draft { seq, time, who: who.clone(), writer: me(), fact }.linked("0".repeat(64))
}

/// Does one act, refusal or not.
pub(crate) fn act(visit: Visit, act: &Act) -> (Visit, Result<(), Refusal>) {
    match decide(&visit, &me(), act) {
        Ok(facts) => {
            let done = facts.into_iter().fold(visit, |visit, fact| {
                let line = line(&visit, fact);
                apply(visit, &line)
            });
            (done, Ok(()))
        }
        Err(refusal) => (visit, Err(refusal)),
    }
}

/// A sequence of choices, from a property test or from a seed.
pub(crate) struct Dice {
    /// Who is on the tool.
    pub(crate) hand: PersonId,
    rolls: Vec<u32>,
    at: usize,
    state: u64,
}

impl Dice {
    /// Takes these first, then goes on by itself from the seed.
    pub(crate) fn new(rolls: Vec<u32>, seed: u64) -> Self {
        Self { hand: me(), rolls, at: 0, state: seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1 }
    }

    /// 0 to `below` - 1.
    pub(crate) fn roll(&mut self, below: usize) -> usize {
        // xorshift64*, by Sebastiano Vigna (2016): any generator would do here
        self.state ^= self.state >> 12;
        self.state ^= self.state << 25;
        self.state ^= self.state >> 27;
        let own = (self.state.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 33) as u32;
        let rolled = self.rolls.get(self.at).copied().unwrap_or(own);
        self.at += 1;
        rolled as usize % below.max(1)
    }

    /// Once in so many.
    pub(crate) fn one_in(&mut self, many: usize) -> bool {
        self.roll(many) == many - 1
    }

    pub(crate) fn of<T: Clone>(&mut self, list: &[T]) -> T {
        list[self.roll(list.len())].clone()
    }
}

/// A board that differs somewhat: another value, a settle rule, another csa, a terminal gone, more or exchanged.
pub(crate) fn edited(board: &Board, dice: &mut Dice) -> Board {
    let mut json = serde_json::to_value(board).unwrap();
    let original = serde_json::to_value(self::board()).unwrap();
    let count = json["terminals"].as_array().unwrap().len();
    let (one, other) = (dice.roll(count), dice.roll(count));
    let clamps = json["clamps"].as_array().unwrap().len();
    match dice.roll(10) {
        0 | 1 => {
            let clamp = dice.roll(clamps);
            let value = dice.of(&["1.8", "2.0", "2.2"]);
            let source = json!({"read_at": "door_label", "reference": ""});
            if json["clamps"][clamp]["kind"] != "spring" {
                json["clamps"][clamp]["torque"] =
                    json!([{"stated": {"single": {"value": n(value)}}, "source": source}]);
            }
        }
        2 => {
            // a finger holds no conductor, and every other clamp does: other boards no file can say
            let clamp = json["clamps"][dice.roll(clamps)].clone();
            let was = json["clamps"].as_array().unwrap().iter();
            let was = was.clone().find(|known| known["name"] == json["terminals"][one]["clamp"]).unwrap();
            if (clamp["kind"] == "finger") == (was["kind"] == "finger") {
                json["terminals"][one]["clamp"] = clamp["name"].clone();
            }
        }
        3 if json["terminals"][one]["conductors"].as_array().is_some_and(|list| !list.is_empty()) => {
            json["terminals"][one]["conductors"][0]["csa_mm2"] = json!(dice.of(&["4", "6", "10"]));
        }
        4 | 5 => {
            let gone = json["terminals"].as_array_mut().unwrap();
            let spare_or_tail = gone[one]["spare"] == true || gone[one]["tail"] == true;
            if gone.len() > 8 && !spare_or_tail {
                gone.remove(one);
            }
        }
        6 => {
            let missing = original["terminals"].as_array().unwrap().iter().find(|terminal| {
                json["terminals"].as_array().unwrap().iter().all(|there| there["name"] != terminal["name"])
            });
            let more =
                missing.cloned().unwrap_or_else(|| terminal("6 line", "cage", Some("6"), 1, &json!({})));
            let there = json["terminals"].as_array_mut().unwrap();
            if there.iter().all(|known| known["name"] != more["name"]) {
                there.push(more);
            }
        }
        7 => {
            let name = json["terminals"][one]["name"].clone();
            json["terminals"][one]["name"] = json["terminals"][other]["name"].clone();
            json["terminals"][other]["name"] = name;
        }
        8 => {
            let taken =
                |json: &Value| json["terminals"].as_array().unwrap().iter().any(|t| t["name"] == "renamed");
            if !taken(&json) && json["terminals"][one]["tail"] != true {
                json["terminals"][one]["name"] = json!("renamed");
            }
        }
        _ => {
            let conductor =
                json["terminals"][one]["conductors"].as_array().and_then(|list| list.first().cloned());
            let finger =
                json["clamps"].as_array().unwrap().iter().any(|clamp| {
                    clamp["name"] == json["terminals"][one]["clamp"] && clamp["kind"] == "finger"
                });
            if let Some(conductor) = conductor.filter(|_| !finger) {
                let list = json["terminals"][one]["conductors"].as_array_mut().unwrap();
                if list.len() == 1 { list.push(conductor) } else { list.truncate(1) }
            }
        }
    }
    serde_json::from_value(json).unwrap()
}

/// Whether an act looks at or tightens something.
pub(crate) fn observes(act: &Act) -> bool {
    matches!(
        act,
        Act::Enter { .. }
            | Act::Look { .. }
            | Act::Try { .. }
            | Act::Torque { .. }
            | Act::TorqueRow { .. }
            | Act::Settle { .. }
            | Act::Tug { .. }
            | Act::Mark { .. }
            | Act::LastLook { .. }
            | Act::Decide { .. }
    )
}
