//! Acts for the machine: a small board with every sort of clamp, six tools, and a generator that takes most of its
//! moves from what is sensible where a terminal stands, and the rest from nonsense.

use serde_json::{Value, json};
use witnessmark::domain::board::Board;
use witnessmark::domain::conductor::Preparation;
use witnessmark::domain::limits::OwnTolerance;
use witnessmark::domain::moment::Moment;
use witnessmark::domain::names::{ConductorName, PersonId, Seq, TerminalName, ToolId};
use witnessmark::domain::record::{
    About, AsideWhy, DecidedTo, DisturbedHow, Draft, Entered, EntryFault, Fact, Gates, Line, MarkResult,
    MarkSeen, Mode, NotClicked, Order, Person, Prepared, RemarkOn, Reset, Session, SessionCause, SettleKnown,
    SourceOfSupply, SourceState, Strands, TailLook, TorqueResult, Tug, Tugged, VisitKind,
};
use witnessmark::domain::tool::{Tool, ToolKind};
use witnessmark::domain::torque::Torque;
use witnessmark::domain::verdict::DecisionRule;
use witnessmark::session::{
    Act, EndCause, Informed, Need, OpenVisit, Refusal, ScaleNext, Standing, Step, Visit, apply, decide,
    setting_for,
};

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
        clamp("once", "cage", &forbid, single("2.0")),
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
const TERMINALS: [&str; 13] = [
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
    ];
    let board = json!({"reference": "TB1", "title": "Test board", "site": "Fennick Vale", "location": "store",
        "standard": "own", "edition": "1", "supply": "single_phase", "rated_a": "100", "ways": 4,
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
        decision_rule: DecisionRule::SimpleAcceptance,
        own_tolerance: own_tolerance.map(|percent| OwnTolerance(percent.into())),
    }))
}

/// A session begins.
pub(crate) fn beginning(cause: SessionCause) -> Act {
    Act::Begin(Session { nonce: "n".into(), program: "witnessmark 0.1.0".into(), cause, torn: None })
}

/// A gate with everything dead but one source, perhaps.
pub(crate) fn gate(incoming: SourceState, live: Option<&str>) -> Act {
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
        person: me(),
        dead_by: "R. Ashdown".into(),
        proved_with: "two-pole tester".into(),
        locked_off: "padlock 3".into(),
        sources,
    })
}

/// The line a fact becomes; links are the journal's and left plain here.
pub(crate) fn line(visit: &Visit, fact: Fact) -> Line {
    let seq = visit.next_seq();
    let second = 1_764_000_000_i64 + i64::try_from(seq.0).unwrap() * 7;
    let at = jiff::Timestamp::from_second(second).unwrap();
    let time = Moment { at, offset: jiff::tz::offset(1) };
    Draft { seq, time, who: me(), writer: me(), fact }.linked("0".repeat(64))
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
    rolls: Vec<u32>,
    at: usize,
    state: u64,
}

impl Dice {
    /// Takes these first, then goes on by itself from the seed.
    pub(crate) fn new(rolls: Vec<u32>, seed: u64) -> Self {
        Self { rolls, at: 0, state: seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1 }
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
    fn one_in(&mut self, many: usize) -> bool {
        self.roll(many) == many - 1
    }

    fn of<T: Clone>(&mut self, list: &[T]) -> T {
        list[self.roll(list.len())].clone()
    }
}

/// Whether an act looks at or tightens something.
pub(crate) fn observes(act: &Act) -> bool {
    matches!(
        act,
        Act::Enter { .. }
            | Act::Torque { .. }
            | Act::Tug { .. }
            | Act::Mark { .. }
            | Act::LastLook { .. }
            | Act::Decide { .. }
    )
}

fn mode(visit: &Visit, dice: &mut Dice) -> Mode {
    if visit.is_rehearsal() {
        Mode::Rehearsed
    } else {
        dice.of(&[Mode::Singly, Mode::Singly, Mode::Way, Mode::Place])
    }
}

fn names(visit: &Visit, wanted: impl Fn(&Standing) -> bool) -> Vec<TerminalName> {
    visit.terminals().filter(|(_, _, s)| wanted(s)).map(|(_, t, _)| t.name.clone()).collect()
}

fn unfinished(standing: &Standing) -> bool {
    standing.outcome == witnessmark::domain::record::Outcome::Open
}

/// A good next act, working towards closing when it is time to wind down.
pub(crate) fn sensible(visit: &Visit, dice: &mut Dice, winding_down: bool) -> Act {
    if visit.opened().is_none() {
        let own = dice.of(&[None, None, Some(4), Some(6)]);
        return opening(dice.one_in(12), own);
    }
    if visit.session().is_none() {
        return beginning(SessionCause::Opened);
    }
    let open = names(visit, unfinished);
    if winding_down || open.is_empty() {
        return wind_down(visit, dice);
    }
    if visit.tools().len() < tools().len() && dice.roll(visit.tools().len() * 2 + 1) == 0 {
        return Act::StateTool(Box::new(tools()[visit.tools().len()].clone()));
    }
    if visit.gate(&me()).is_none() {
        return match dice.roll(12) {
            0 | 3 => gate(SourceState::Unconnected, None),
            1 => gate(SourceState::Dead, Some("1 cpc")),
            2 => gate(SourceState::Live, None),
            _ => gate(SourceState::Dead, None),
        };
    }
    // the hand stays at one terminal more often than it moves on
    let last = visit
        .terminals()
        .filter(|(_, t, _)| open.contains(&t.name))
        .max_by_key(|(at, _, _)| visit.lines_about(*at).last().map_or(0, |line| line.seq.0));
    let name = match last {
        Some((_, terminal, _)) if !dice.one_in(3) => terminal.name.clone(),
        _ => dice.of(&open),
    };
    work_at(visit, dice, &name)
}

fn work_at(visit: &Visit, dice: &mut Dice, name: &TerminalName) -> Act {
    let at = visit.find(name).unwrap();
    let standing = visit.standing(at).unwrap();
    if visit.live_source(name).is_some() {
        return aside(visit, name.clone(), AsideWhy::StillLive);
    }
    if let Some(need) = standing.need {
        return meet(visit, dice, name, need);
    }
    let together = dice.one_in(5);
    let conductor = |nth| {
        let all = if together { alike(visit, standing) } else { vec![] };
        if all.is_empty() { vec![visit.conductor_name(at, nth).unwrap()] } else { all }
    };
    let mode = mode(visit, dice);
    match standing.next_step() {
        Some(Step::Prepare(nth)) => {
            let how = dice.of(&Preparation::NAMED);
            Act::Prepare { conductors: conductor(nth), how, aluminium: vec![], mode }
        }
        Some(Step::Enter(nth)) => {
            let enter = Act::Enter { conductors: conductor(nth), fault: None, mode };
            if decide(visit, &me(), &enter).is_err_and(|refusal| refusal == Refusal::TailsGoIn)
                && dice.one_in(2)
            {
                return gate(SourceState::Dead, None);
            }
            let fault = dice.one_in(12).then(|| dice.of(&EntryFault::ALL));
            Act::Enter { conductors: conductor(nth), fault, mode }
        }
        Some(Step::Torque { .. }) => tighten(visit, dice, name, mode),
        Some(Step::Tug(nth)) => {
            let result = match dice.roll(24) {
                0 | 1 => Tug::Shifted,
                2 => Tug::CameOut,
                3 => Tug::StrandsBroke,
                _ => Tug::Firm,
            };
            let all = visit.terminal(at).unwrap().conductor_names();
            let conductors = if nth == 0 && dice.one_in(3) { all } else { conductor(nth) };
            Act::Tug { conductors, result, mode }
        }
        Some(Step::Mark) => {
            let result =
                dice.of(&[MarkResult::Made, MarkResult::Made, MarkResult::NotVisible, MarkResult::NotUsed]);
            let all: Vec<TerminalName> =
                alike(visit, standing).into_iter().map(|conductor| TerminalName(conductor.0)).collect();
            let terminals = if together && !all.is_empty() { all } else { vec![name.clone()] };
            Act::Mark { terminals, result, mode }
        }
        None => end_a_span(visit, dice).unwrap_or(Act::Close),
    }
}

/// Conductors of terminals with one each that wait for the same step in the same attempt.
fn alike(visit: &Visit, standing: &Standing) -> Vec<ConductorName> {
    visit
        .terminals()
        .filter(|(_, t, s)| {
            let workable = unfinished(s) && s.need.is_none() && visit.live_source(&t.name).is_none();
            workable
                && t.conductors.len() == 1
                && (s.attempt, s.next_step()) == (standing.attempt, standing.next_step())
        })
        .map(|(_, t, _)| ConductorName(t.name.0.clone()))
        .collect()
}

fn aside(_: &Visit, name: TerminalName, why: AsideWhy) -> Act {
    Act::SetAside { terminals: vec![name], why }
}

fn meet(visit: &Visit, dice: &mut Dice, name: &TerminalName, need: Need) -> Act {
    let at = visit.find(name).unwrap();
    let decide_on = |about, strands, choice| Act::Decide {
        terminal: name.clone(),
        about,
        strands,
        choice,
        remark: String::new(),
    };
    let remake = |dice: &mut Dice| {
        let mut conductors = visit.terminal(at).unwrap().conductor_names();
        if conductors.len() > 1 && dice.one_in(2) {
            conductors.remove(0);
        }
        Act::Remake { terminal: name.clone(), conductors, why: "cut back".into() }
    };
    if dice.one_in(5) {
        // impatient: the screw before what has to come first
        let mode = mode(visit, dice);
        return Act::Torque { terminal: name.clone(), tool: None, result: TorqueResult::ByHand, mode };
    }
    match need {
        Need::Strands => match dice.roll(6) {
            0 => decide_on(About::OverTightened, Some(Strands::Cut), DecidedTo::Remake),
            1 => decide_on(About::OverTightened, Some(Strands::Cut), DecidedTo::SetAside),
            2 => decide_on(About::OverTightened, Some(Strands::Sound), DecidedTo::Remake),
            _ => decide_on(About::OverTightened, Some(Strands::Sound), DecidedTo::Keep),
        },
        Need::LookAtScrew { again } => {
            let choice =
                if again { DecidedTo::Again } else { dice.of(&[DecidedTo::Remake, DecidedTo::Replace]) };
            decide_on(About::NotClicked, None, choice)
        }
        Need::Replace => match visit.terminal(at).unwrap().device.clone() {
            Some(device) if dice.one_in(2) => Act::Replace { device, why: "stripped".into() },
            _ => aside(visit, name.clone(), AsideWhy::ReplaceDevice),
        },
        Need::NoAccess => aside(visit, name.clone(), AsideWhy::NoAccess),
        Need::Remake if dice.one_in(4) => {
            aside(visit, name.clone(), AsideWhy::Other("no more length".into()))
        }
        Need::Remake => remake(dice),
        Need::NoMakersValue => aside(visit, name.clone(), AsideWhy::NoMakersValue),
        Need::Spare => aside(visit, name.clone(), AsideWhy::SpareWay),
    }
}

fn tighten(visit: &Visit, dice: &mut Dice, name: &TerminalName, mode: Mode) -> Act {
    let at = visit.find(name).unwrap();
    let board = visit.board().unwrap();
    let torque = |tool, result| Act::Torque { terminal: name.clone(), tool, result, mode };
    let Some(row) = board.torque_row(visit.terminal(at).unwrap()) else {
        return torque(None, TorqueResult::ByHand);
    };
    if let Some(held) = visit.tools().last().filter(|_| dice.one_in(12)) {
        // whatever lies nearest, fit or not
        return torque(Some(held.tool.id.clone()), TorqueResult::Clicked);
    }
    let able: Vec<(Tool, Torque)> = visit
        .tools()
        .iter()
        .filter_map(|held| Some((held.tool.clone(), setting_for(visit, row, &held.tool).ok()?.0)))
        .collect();
    if able.is_empty() || dice.one_in(25) {
        return torque(None, TorqueResult::ByHand);
    }
    let (tool, required) = dice.of(&able);
    let id = tool.id.clone();
    if dice.one_in(12) {
        let why =
            dice.of(&[NotClicked::Spins, NotClicked::Spins, NotClicked::Stripped, NotClicked::NoAccess]);
        return torque(Some(id), TorqueResult::NotClicked { why });
    }
    if tool.kind == ToolKind::Indicating {
        let by = dice.of(&["0", "0", "0", "0.02", "0.02", "-0.6", "0.9"]);
        let value = (required.value + by.parse::<rust_decimal::Decimal>().unwrap()).normalize();
        let text = value.to_string();
        return torque(Some(id), TorqueResult::Reading { text, value, unit: tool.unit });
    }
    match visit.running_span(&id) {
        Some(span) if span.required == required && Some(span.session) == visit.session() => {
            torque(Some(id), TorqueResult::Clicked)
        }
        Some(span) if !span.fixed => end_span(visit, dice, &id, Some(ScaleNext { required })),
        _ => Act::BeginSpan { tool: id, required, read: required },
    }
}

fn end_span(visit: &Visit, dice: &mut Dice, id: &ToolId, next: Option<ScaleNext>) -> Act {
    let span = visit.spans().iter().rev().find(|span| span.tool == *id && span.is_open()).unwrap();
    let by = |by: &str| {
        let value = span.required.value + by.parse::<rust_decimal::Decimal>().unwrap();
        Torque::new(value.max(rust_decimal::Decimal::ZERO), span.required.unit)
    };
    let reset = EndCause::Reset(Reset { by: "R. Ashdown".into(), why: "for the main switch".into() });
    let (read, cause) = match dice.roll(16) {
        0 => (by("-1"), Some(EndCause::NotKnown)),
        1 => (by("-0.1"), Some(EndCause::NotKnown)),
        2 => (by("1"), Some(EndCause::NotKnown)),
        3 => (by("0.1"), Some(EndCause::NotKnown)),
        4 => (by("1"), Some(reset)),
        5 => return Act::LoseScale { tool: id.clone(), why: "dropped".into() },
        _ => (span.required, None),
    };
    let tool = &visit.tool(id).unwrap().tool;
    let cause = cause.filter(|_| !tool.agrees(&read, &span.required));
    Act::EndSpan { tool: id.clone(), read, cause, next }
}

fn end_a_span(visit: &Visit, dice: &mut Dice) -> Option<Act> {
    let open: Vec<ToolId> = visit.open_spans().map(|span| span.tool.clone()).collect();
    if open.is_empty() { None } else { Some(dice.of(&open)).map(|id| end_span(visit, dice, &id, None)) }
}

fn wind_down(visit: &Visit, dice: &mut Dice) -> Act {
    if dice.one_in(8) {
        // impatient: whatever is still in the way
        return dice.of(&[Act::Sign { person: me(), capacity: "done by".into() }, Act::Close]);
    }
    if let Some(remark) = visit.power_on().iter().find(|remark| remark.dealt_with.is_none()) {
        let handed_to = dice.one_in(2).then(|| "S. Birch".to_owned());
        let on = RemarkOn::Remark(remark.seq);
        return Act::Remark { on, text: "seen to".into(), before_power_on: false, handed_to };
    }
    if let Some(act) = end_a_span(visit, dice) {
        return act;
    }
    if let Some((_, terminal, _)) = visit.terminals().find(|(_, _, s)| unfinished(s)) {
        let why = if terminal.spare { AsideWhy::SpareWay } else { AsideWhy::Other("another day".into()) };
        return aside(visit, terminal.name.clone(), why);
    }
    let untold = names(visit, |s| s.aside.is_some() && s.told == Informed::NotYet);
    if !untold.is_empty() {
        let spare = untold.len() == 1 && untold[0].as_str() == "4 line";
        let whom = (!spare || dice.one_in(2)).then(|| "S. Birch".to_owned());
        return Act::Tell { terminals: untold, whom };
    }
    let sign = Act::Sign { person: me(), capacity: "done by".into() };
    if decide(visit, &me(), &sign).is_err() {
        return last_look(visit, dice);
    }
    if decide(visit, &me(), &Act::Close).is_ok() { Act::Close } else { sign }
}

fn last_look(visit: &Visit, dice: &mut Dice) -> Act {
    let dead = |name: &TerminalName| visit.live_source(name).is_none();
    let wanted: Vec<TerminalName> = visit
        .terminals()
        .filter(|(_, t, s)| t.tail && s.aside.is_none())
        .map(|(_, t, _)| t.name.clone())
        .collect();
    let mut look = |terminal: &TerminalName| TailLook {
        terminal: terminal.clone(),
        tug: match dice.roll(20) {
            0 => Tug::Shifted,
            1 => Tug::CameOut,
            _ => Tug::Firm,
        },
        mark: match dice.roll(12) {
            0 => MarkSeen::Moved,
            1 => MarkSeen::NotUsed,
            _ => MarkSeen::Held,
        },
    };
    let why_not = |why: &str| Act::LastLook {
        tails: vec![],
        why_not: Some(why.into()),
        covers: "back".into(),
        locks_and_tools_out: "out".into(),
        energised_by: None,
    };
    if !wanted.iter().all(dead) {
        return why_not("live");
    }
    if visit.gate(&me()).is_none() {
        return gate(SourceState::Dead, None);
    }
    let tails = wanted.iter().map(&mut look).collect();
    Act::LastLook {
        tails,
        why_not: None,
        covers: "back".into(),
        locks_and_tools_out: "out".into(),
        energised_by: dice.one_in(2).then(|| "R. Ashdown".into()),
    }
}

/// What happens besides the plan: disturbed, remarks, slips, reopenings, and plain nonsense.
pub(crate) fn mischief(visit: &Visit, dice: &mut Dice) -> Act {
    let name = TerminalName::from(dice.of(&TERMINALS));
    let tool = dice.of(&["A", "B", "C", "D", "E", "F", "X"]);
    let tool = ToolId::from(tool);
    match dice.roll(34) {
        0 => disturb(name, dice),
        1 | 2 | 27 | 28 | 33 => wild_step(visit, dice, &name),
        3 | 4 | 29 | 30 => wild_torque(visit, dice, name, tool),
        5..=9 => slip(visit, dice),
        10 | 31 | 32 => wild_scale(visit, dice, tool),
        11 => Act::Remake {
            conductors: dice.of(&[
                vec![ConductorName(name.0.clone())],
                vec![],
                vec![ConductorName::from("2 line/1")],
            ]),
            terminal: name,
            why: "better so".into(),
        },
        12 => Act::Replace { device: dice.of(&["1", "2", "incomer", "9"]).into(), why: "cracked".into() },
        13 => Act::SetAside {
            terminals: vec![name],
            why: dice.of(&[
                AsideWhy::SpareWay,
                AsideWhy::Other("later".into()),
                AsideWhy::Other("a\tb".into()),
            ]),
        },
        14 => Act::TakeUp { terminals: dice.of(&[vec![name], vec![]]), why: "there now".into() },
        15 => take_up(visit, dice),
        16 => Act::Tell {
            terminals: told_again(visit, dice, name),
            whom: dice.of(&[None, Some("S. Birch".into())]),
        },
        17 | 18 => remark(visit, dice, name),
        19 => wild_decision(dice, name),
        20 => beginning(dice.of(&[SessionCause::Resumed, SessionCause::Gap])),
        21 => wild_frame(dice, tool),
        22 => later(dice, name, tool),
        23 => {
            let one = |terminal| TailLook { terminal, tug: Tug::Firm, mark: MarkSeen::Held };
            let tails = ["incomer L", "incomer N"].map(|tail| one(TerminalName::from(tail)));
            Act::LastLook {
                tails: dice.of(&[vec![], vec![one(name)], tails.to_vec(), tails.to_vec()]),
                why_not: dice.of(&[None, Some("no light".into())]),
                covers: "back".into(),
                locks_and_tools_out: "out".into(),
                energised_by: None,
            }
        }
        24 => Act::Sign { person: dice.of(&[me(), PersonId::from("P9")]), capacity: "done by".into() },
        25 => Act::Close,
        26 if dice.one_in(8) => Act::Abandon { why: "board burnt".into(), told: "the owner".into() },
        _ => Act::ChooseRoute(dice.of(&Order::ALL)),
    }
}

fn disturb(name: TerminalName, dice: &mut Dice) -> Act {
    use DisturbedHow::{Flexed, Opened, ReTerminated, Repositioned, Twisted};
    Act::Disturb {
        terminals: vec![name],
        how: dice.of(&[Flexed, Twisted, Repositioned, ReTerminated, Opened]),
        by: "R. Ashdown".into(),
        checked_by_them: None,
        why: "dressing".into(),
    }
}

fn wild_step(visit: &Visit, dice: &mut Dice, name: &TerminalName) -> Act {
    let mode = match dice.roll(16) {
        0 => Mode::Row,
        1 => Mode::Rehearsed,
        _ => mode(visit, dice),
    };
    let one = |name: &str| vec![ConductorName::from(name)];
    // where something else comes first a step is refused for the sake of that
    let waiting = names(visit, |s| s.need.is_some() && s.aside.is_none() && !s.steps.is_empty());
    let name = &if waiting.is_empty() || dice.one_in(4) { name.clone() } else { dice.of(&waiting) };
    let conductors = match dice.roll(10) {
        0 => vec![],
        1 => [one("1 line"), one("1 neutral"), one("bell")].concat(),
        2 => [one("1 line"), one("1 line")].concat(),
        3 => [one("2 line/1"), one("2 line/2")].concat(),
        4 => one("nowhere"),
        5 => [one("main neutral/1"), one("main neutral/2")].concat(),
        _ => one(name.as_str()),
    };
    match dice.roll(4) {
        0 => {
            let how = dice.of(&[
                Preparation::Ferruled,
                Preparation::Other("waxed".into()),
                Preparation::Other("\u{202e}".into()),
            ]);
            let aluminium = dice.of(&[vec![], vec![witnessmark::domain::conductor::AluminiumCare::Brushed]]);
            Act::Prepare { conductors, how, aluminium, mode }
        }
        1 => Act::Enter { conductors, fault: dice.of(&[None, None, Some(EntryFault::BesideClamp)]), mode },
        2 => Act::Tug { conductors, result: dice.of(&[Tug::Firm, Tug::Firm, Tug::Shifted]), mode },
        _ => {
            let terminals = match dice.roll(4) {
                0 => vec![],
                1 => vec![name.clone(), name.clone()],
                _ => vec![name.clone()],
            };
            Act::Mark { terminals, result: MarkResult::Made, mode }
        }
    }
}

fn wild_torque(visit: &Visit, dice: &mut Dice, terminal: TerminalName, tool: ToolId) -> Act {
    let reading = |text: &str| {
        let value = text.parse().unwrap();
        TorqueResult::Reading {
            text: text.into(),
            value,
            unit: witnessmark::domain::torque::Unit::NewtonMetre,
        }
    };
    let bad = match reading("2.0") {
        TorqueResult::Reading { value, unit, .. } => {
            TorqueResult::Reading { text: "2\u{7}".into(), value, unit }
        }
        other => other,
    };
    let result = match dice.roll(8) {
        0 => TorqueResult::ByHand,
        1 => reading("-1"),
        2 => bad,
        3 => reading("2.1"),
        4 => TorqueResult::NotClicked { why: dice.of(&NotClicked::ALL) },
        _ => TorqueResult::Clicked,
    };
    // a made-off terminal is where a torque is refused for the sake of the tool
    let ready: Vec<TerminalName> = names(visit, |s| {
        s.outcome == witnessmark::domain::record::Outcome::Open
            && s.need.is_none()
            && matches!(s.next_step(), Some(Step::Torque { .. }))
    });
    let tool = if dice.one_in(4) { ToolId::from("F") } else { tool };
    let terminal = if ready.is_empty() || dice.one_in(4) { terminal } else { dice.of(&ready) };
    let tool = dice.of(&[Some(tool.clone()), Some(tool.clone()), Some(tool), None]);
    Act::Torque { terminal, tool, result, mode: mode(visit, dice) }
}

fn wild_scale(visit: &Visit, dice: &mut Dice, tool: ToolId) -> Act {
    if let Some(span) = visit.open_spans().next()
        && dice.one_in(2)
    {
        let cause = dice.of(&[None, Some(EndCause::NotKnown)]);
        let read = dice.of(&[span.required, nm("0.1")]);
        return Act::EndSpan { tool: span.tool.clone(), read, cause, next: None };
    }
    let most = Torque::new(rust_decimal::Decimal::MAX, witnessmark::domain::torque::Unit::PoundFoot);
    let read = dice.of(&[nm("2.0"), nm("2.0"), nm("9"), nm("-1"), most]);
    match dice.roll(4) {
        0 | 1 => Act::BeginSpan { tool, required: dice.of(&[nm("2.0"), nm("50")]), read },
        2 => Act::EndSpan { tool, read, cause: dice.of(&[None, None, Some(EndCause::NotKnown)]), next: None },
        _ => Act::LoseScale { tool, why: dice.of(&["dropped".into(), String::new()]) },
    }
}

fn told_again(visit: &Visit, dice: &mut Dice, name: TerminalName) -> Vec<TerminalName> {
    let aside = names(visit, |s| s.aside.is_some());
    if aside.is_empty() || dice.one_in(4) { vec![name] } else { vec![dice.of(&aside)] }
}

fn take_up(visit: &Visit, dice: &mut Dice) -> Act {
    let mut terminals = names(visit, |s| s.aside.is_some());
    if terminals.len() > 1 {
        terminals = vec![dice.of(&terminals)];
    }
    Act::TakeUp { terminals, why: "there now".into() }
}

fn remark(visit: &Visit, dice: &mut Dice, name: TerminalName) -> Act {
    let on = match dice.roll(4) {
        0 => RemarkOn::Board,
        1 => RemarkOn::Remark(Seq(dice.roll(20) as u64)),
        _ => RemarkOn::Terminal(name),
    };
    let handed_to = match (visit.power_on().last(), dice.roll(6)) {
        (_, 0) => Some("S. Birch".to_owned()),
        _ => None,
    };
    Act::Remark { on, text: "nut behind the busbar".into(), before_power_on: dice.one_in(2), handed_to }
}

fn wild_decision(dice: &mut Dice, terminal: TerminalName) -> Act {
    Act::Decide {
        terminal,
        about: dice.of(&[About::OverTightened, About::NotClicked, About::Tug]),
        strands: dice.of(&[None, Some(Strands::Sound), Some(Strands::Cut)]),
        choice: dice.of(&[DecidedTo::Keep, DecidedTo::Again, DecidedTo::Remake]),
        remark: String::new(),
    }
}

fn wild_frame(dice: &mut Dice, id: ToolId) -> Act {
    let Act::AnswerGates(mut gates) = gate(SourceState::Dead, None) else { return Act::Close };
    match dice.roll(6) {
        0 => opening(false, None),
        1 => {
            gates.sources.clear();
            Act::AnswerGates(gates)
        }
        2 => gate(SourceState::Dead, dice.of(&[None, Some("1 cpc"), Some("nowhere")])),
        3 => gate(dice.of(&[SourceState::Unconnected, SourceState::Live]), None),
        4 => {
            let mut tool = tools()[0].clone();
            tool.id = id;
            tool.graduation = None;
            Act::StateTool(Box::new(tool))
        }
        _ => gate(SourceState::Dead, None),
    }
}

fn later(dice: &mut Dice, terminal: TerminalName, tool: ToolId) -> Act {
    match dice.roll(5) {
        0 => Act::DoubtTool { tool, what: "dropped".into() },
        1 => Act::ReleaseTool { tool, by: "owner".into(), why: "checked".into() },
        2 => Act::SettleReady { terminal, how: SettleKnown::Timed },
        3 => Act::Join(Person { id: PersonId::from("P2"), name: "S. Birch".into(), role: "mate".into() }),
        _ => Act::AmendBoard {
            board: Box::new(board()),
            board_sha256: "1".repeat(64),
            reason: "another".into(),
        },
    }
}

/// Another answer in the place of an earlier one.
fn slip(visit: &Visit, dice: &mut Dice) -> Act {
    let lines = visit.lines();
    if lines.is_empty() {
        return Act::Close;
    }
    let target = dice.of(lines);
    let mut fact = target.fact.clone();
    match &mut fact {
        Fact::Prepared(f) => f.how = dice.of(&Preparation::NAMED),
        Fact::Entered(f) => {
            f.right = !f.right;
            f.fault = (!f.right).then_some(EntryFault::StrandOutside);
        }
        Fact::Torqued(f) => {
            f.result = match &f.result {
                TorqueResult::Reading { unit, .. } => {
                    let value: rust_decimal::Decimal =
                        dice.of(&["1.5", "2.0", "2.3", "3.5"]).parse().unwrap();
                    TorqueResult::Reading { text: value.to_string(), value, unit: *unit }
                }
                TorqueResult::Clicked => TorqueResult::NotClicked { why: dice.of(&NotClicked::ALL) },
                _ => TorqueResult::Clicked,
            };
        }
        Fact::Tugged(f) => f.result = dice.of(&[Tug::Firm, Tug::Shifted, Tug::CameOut]),
        Fact::Marked(f) => {
            f.result = dice.of(&[MarkResult::Made, MarkResult::NotUsed, MarkResult::NotVisible])
        }
        Fact::Scale(f) => {
            let by = dice.of(&["0", "0", "-1", "1", "0.1"]).parse::<rust_decimal::Decimal>().unwrap();
            f.read.value = f.required.value + by;
        }
        Fact::Gates(f) if dice.one_in(2) => {
            f.sources[0].state = dice.of(&[SourceState::Dead, SourceState::Live, SourceState::Unconnected]);
            f.sources[0].shrouded = Some(true);
            f.sources[0].decided_by = Some("R. Ashdown".into());
        }
        Fact::Gates(f) => f.locked_off = "padlock 4".into(),
        Fact::Tool(f) => match dice.roll(4) {
            0 => f.graduation = Some("0.1".parse().unwrap()),
            1 => f.validity = witnessmark::domain::tool::Validity::NotStated,
            2 => f.validity = witnessmark::domain::tool::Validity::Valid,
            _ => f.serial = "S-9".into(),
        },
        _ => {}
    }
    let named: Vec<TerminalName> = match &fact {
        Fact::Prepared(Prepared { conductors, .. })
        | Fact::Entered(Entered { conductors, .. })
        | Fact::Tugged(Tugged { conductors, .. }) => {
            let found = conductors.iter().filter_map(|name| visit.find_conductor(name));
            found.map(|(at, _)| visit.terminal(at).unwrap().name.clone()).collect()
        }
        Fact::Torqued(f) => f.terminals.clone(),
        Fact::Marked(f) => f.terminals.clone(),
        _ => vec![],
    };
    let terminal = match dice.roll(12) {
        0 => Some(TerminalName::from("1 line")),
        1..=4 if !named.is_empty() => Some(dice.of(&named)),
        _ => None,
    };
    Act::Correct { seq: target.seq, terminal, fact: Box::new(fact), why: "mistyped".into() }
}

/// A visit walked act by act, for tests that tell a story.
pub(crate) struct Walk {
    pub(crate) visit: Visit,
}

impl Walk {
    /// Opened, gate answered dead, all tools stated; own tolerance 6 per cent.
    pub(crate) fn begun() -> Self {
        let mut walk = Self { visit: Visit::empty() };
        walk.ok(&opening(false, Some(6)));
        walk.ok(&beginning(SessionCause::Opened));
        for tool in tools() {
            walk.ok(&Act::StateTool(Box::new(tool)));
        }
        walk.ok(&gate(SourceState::Dead, None));
        walk
    }

    /// Does an act that is accepted; what must always hold is checked after every line.
    pub(crate) fn ok(&mut self, act: &Act) {
        let facts = decide(&self.visit, &me(), act).unwrap_or_else(|refusal| panic!("{act:?}: {refusal}"));
        for fact in facts {
            let line = line(&self.visit, fact);
            self.visit = apply(std::mem::take(&mut self.visit), &line);
            witnessmark::session::invariant::check(&self.visit).unwrap();
        }
    }

    /// Does an act that is refused; gives the refusal.
    pub(crate) fn no(&self, act: &Act) -> Refusal {
        match decide(&self.visit, &me(), act) {
            Err(refusal) => refusal,
            Ok(facts) => panic!("{act:?} was accepted: {facts:?}"),
        }
    }

    /// Where a terminal stands.
    pub(crate) fn at(&self, name: &str) -> &Standing {
        self.visit.standing(self.visit.find(&TerminalName::from(name)).unwrap()).unwrap()
    }

    /// Number of the last line.
    pub(crate) fn last(&self) -> Seq {
        self.visit.lines().last().unwrap().seq
    }

    /// Prepares and enters every conductor of a terminal, right.
    pub(crate) fn make_off(&mut self, name: &str) {
        self.make_off_as(name, &Preparation::Ferruled);
    }

    pub(crate) fn make_off_as(&mut self, name: &str, how: &Preparation) {
        let at = self.visit.find(&TerminalName::from(name)).unwrap();
        let names = self.visit.terminal(at).unwrap().conductor_names();
        for conductor in names {
            let conductors = vec![conductor];
            self.ok(&Act::Prepare {
                conductors: conductors.clone(),
                how: how.clone(),
                aluminium: vec![],
                mode: Mode::Singly,
            });
            self.ok(&Act::Enter { conductors, fault: None, mode: Mode::Singly });
        }
    }

    pub(crate) fn begin_span(&mut self, tool: &str, set: &str) {
        let set = Torque::read(set).unwrap();
        self.ok(&Act::BeginSpan { tool: ToolId::from(tool), required: set, read: set });
    }

    pub(crate) fn end_span(&mut self, tool: &str, read: &str) {
        let read = Torque::read(read).unwrap();
        let id = ToolId::from(tool);
        let required = self.visit.running_span(&id).unwrap().required;
        let agrees = self.visit.tool(&id).unwrap().tool.agrees(&read, &required);
        let cause = (!agrees).then_some(EndCause::NotKnown);
        self.ok(&Act::EndSpan { tool: id, read, cause, next: None });
    }

    /// Corrects the last answer but `back` by a change of its fact.
    pub(crate) fn slip(&mut self, seq: Seq, change: impl FnOnce(&mut Fact)) {
        let mut fact = self.visit.line(seq).unwrap().fact.clone();
        change(&mut fact);
        self.ok(&Act::Correct { seq, terminal: None, fact: Box::new(fact), why: "mistyped".into() });
    }
}

/// A click, or the lack of it.
pub(crate) fn torque(name: &str, tool: &str, result: TorqueResult) -> Act {
    Act::Torque { terminal: name.into(), tool: Some(tool.into()), result, mode: Mode::Singly }
}

pub(crate) fn clicked(name: &str, tool: &str) -> Act {
    torque(name, tool, TorqueResult::Clicked)
}

pub(crate) fn read(name: &str, tool: &str, shown: &str) -> Act {
    let shown_torque = nm(shown);
    let result =
        TorqueResult::Reading { text: shown.into(), value: shown_torque.value, unit: shown_torque.unit };
    torque(name, tool, result)
}

/// A tug of some conductors.
pub(crate) fn tug(conductors: &[&str], result: Tug) -> Act {
    let conductors = conductors.iter().map(|name| ConductorName::from(*name)).collect();
    Act::Tug { conductors, result, mode: Mode::Singly }
}

pub(crate) fn mark(name: &str) -> Act {
    Act::Mark { terminals: vec![name.into()], result: MarkResult::Made, mode: Mode::Singly }
}

pub(crate) fn strands(name: &str, strands: Strands, choice: DecidedTo) -> Act {
    Act::Decide {
        terminal: name.into(),
        about: About::OverTightened,
        strands: Some(strands),
        choice,
        remark: String::new(),
    }
}

/// The last look at both tails, in board order.
pub(crate) fn last_look_at(tugs: [Tug; 2], marks: [MarkSeen; 2]) -> Act {
    let names = ["incomer L", "incomer N"].map(TerminalName::from);
    let seen = names.into_iter().zip(tugs.into_iter().zip(marks));
    Act::LastLook {
        tails: seen.map(|(terminal, (tug, mark))| TailLook { terminal, tug, mark }).collect(),
        why_not: None,
        covers: "back".into(),
        locks_and_tools_out: "out".into(),
        energised_by: None,
    }
}
