//! A small driver over `decide` and `apply`: visits made in code, with a made-up clock and made-up links.
//!
//! The board is hand-made and holds one terminal of every kind; all names and values are invented.

use rust_decimal::Decimal;
use sha2::{Digest as _, Sha256};
use witnessmark::domain::board::{Board, Device, Place, PlaceKind, Pole, Role, Supply, Terminal, Vibration};
use witnessmark::domain::calibration::Calibration;
use witnessmark::domain::clamp::{Clamp, ClampKind};
use witnessmark::domain::conductor::{Class, Conductor, Metal, Preparation};
use witnessmark::domain::moment::Moment;
use witnessmark::domain::names::{PersonId, TerminalName, ToolId, WayNumber};
use witnessmark::domain::record::{
    AsideWhy, Draft, EntryFault, Fact, Gates, Line, MarkResult, MarkSeen, Mode, Order, Person, Session,
    SessionCause, SourceOfSupply, SourceState, TailLook, TorqueResult, Tug, VisitKind,
};
use witnessmark::domain::stated::{ReadAt, Source, Stated, TorqueRow};
use witnessmark::domain::tool::{Tool, ToolKind, ToolRange, Validity};
use witnessmark::domain::torque::{Torque, Unit};
use witnessmark::domain::verdict::DecisionRule;
use witnessmark::session::{Act, EndCause, OpenVisit, Refusal, Visit, apply, decide};

/// A torque from its text.
pub(crate) fn torque(text: &str) -> Torque {
    Torque::read(text).unwrap()
}

fn decimal(text: &str) -> Decimal {
    Decimal::from_str_exact(text).unwrap()
}

fn row(stated: Stated, read_at: ReadAt, reference: &str) -> TorqueRow {
    TorqueRow {
        csa_from_mm2: None,
        csa_to_mm2: None,
        classes: Vec::new(),
        conductors: None,
        stated,
        source: Source { read_at, reference: reference.into() },
    }
}

/// A clamp without a torque.
pub(crate) fn clamp(name: &str, kind: ClampKind, screws: u8) -> Clamp {
    Clamp {
        name: name.into(),
        kind,
        screws,
        screw_order: None,
        thread_mm: None,
        drive: None,
        strip_mm: None,
        capacity: Vec::new(),
        conductors_max: if kind == ClampKind::Finger { 0 } else { 2 },
        preparations: Vec::new(),
        aluminium: false,
        second_torque_forbidden: false,
        settle: None,
        mark_visible: true,
        torque: Vec::new(),
        not_governing: Vec::new(),
    }
}

fn conductor(csa_mm2: &str, wires: Option<u16>, class: Class) -> Conductor {
    Conductor { csa_mm2: decimal(csa_mm2), class, wires, metal: Metal::Copper, planned: None }
}

/// A terminal with the conductors given.
pub(crate) fn terminal(
    name: &str,
    place: &str,
    clamp: &str,
    role: Role,
    conductors: Vec<Conductor>,
) -> Terminal {
    Terminal {
        name: name.into(),
        place: place.into(),
        clamp: clamp.into(),
        device: None,
        way: None,
        pole: None,
        role,
        circuit: None,
        spare: false,
        tail: false,
        conductors,
    }
}

fn clamps() -> Vec<Clamp> {
    let single = |text| Stated::Single { value: torque(text) };
    let mut incoming = clamp("incoming cage", ClampKind::Cage, 1);
    incoming.torque = vec![row(
        Stated::Range {
            lower: torque("2.5 N.m"),
            upper: torque("3.5 N.m"),
            recommended: Some(torque("3.0 N.m")),
        },
        ReadAt::Leaflet,
        "Illustrative leaflet 7, rev 2",
    )];
    let mut outgoing = clamp("outgoing cage", ClampKind::Cage, 1);
    outgoing.torque = vec![row(single("2.0 N.m"), ReadAt::OnDevice, "")];
    outgoing.not_governing = vec![row(single("1.8 N.m"), ReadAt::DoorLabel, "")];
    let mut tunnel = clamp("bar tunnel", ClampKind::Tunnel, 1);
    tunnel.torque = vec![row(
        Stated::AtMost { upper: torque("18 lbf.in"), aim: torque("16 lbf.in") },
        ReadAt::DoorLabel,
        "",
    )];
    let mut two_screws = clamp("earth block", ClampKind::Tunnel, 2);
    two_screws.screw_order = Some("left, then right".into());
    two_screws.torque = vec![row(single("1.2 N.m"), ReadAt::OnDevice, "")];
    let mut finger = clamp("busbar finger", ClampKind::Finger, 1);
    finger.torque = vec![row(single("2.0 N.m"), ReadAt::OnDevice, "")];
    let spring = clamp("bell spring", ClampKind::Spring, 0);
    let unknown = clamp("timer saddle", ClampKind::Saddle, 1);
    vec![incoming, outgoing, tunnel, two_screws, finger, spring, unknown]
}

/// A board with a terminal of every kind: tails, single value, range with a recommended value, at most, spring,
/// finger, no maker's value, two screws, two conductors, spare.
pub(crate) fn board() -> Board {
    let tail = || vec![conductor("25", Some(7), Class::Stranded)];
    let thin = || vec![conductor("2.5", Some(7), Class::Stranded)];
    let mut terminals = vec![
        terminal("incomer L", "incomer", "incoming cage", Role::Line, tail()),
        terminal("incomer N", "incomer", "incoming cage", Role::Neutral, tail()),
        terminal("finger 1", "fingers", "busbar finger", Role::Feed, Vec::new()),
        terminal("1 line", "row", "outgoing cage", Role::Line, thin()),
        terminal(
            "2 line",
            "row",
            "outgoing cage",
            Role::Line,
            vec![conductor("2.5", Some(7), Class::Stranded), conductor("1.5", None, Class::Solid)],
        ),
        terminal("3 line", "row", "outgoing cage", Role::Line, vec![conductor("4", None, Class::Flexible)]),
        terminal("4 line", "row", "outgoing cage", Role::Line, Vec::new()),
        terminal("1 neutral", "N bar", "bar tunnel", Role::Neutral, thin()),
        terminal("1 cpc", "E bar", "earth block", Role::Earth, thin()),
        terminal("bell", "extras", "bell spring", Role::Other, vec![conductor("1", None, Class::Solid)]),
        terminal("timer 14", "extras", "timer saddle", Role::Other, thin()),
    ];
    for terminal in &mut terminals {
        let name = terminal.name.as_str().to_owned();
        terminal.tail = name.starts_with("incomer");
        terminal.spare = name == "4 line";
        if let Some(way) = name.split(' ').next().and_then(|front| front.parse().ok()) {
            terminal.way = Some(WayNumber(way));
        }
        if name.ends_with("line") {
            terminal.pole = Some(Pole::L1);
            terminal.device = name.split(' ').next().map(Into::into);
        }
    }
    let place = |name: &str, kind| Place { name: name.into(), kind };
    let device = |name: &str| Device {
        name: name.into(),
        maker: "Illustrative".into(),
        printed_type: "B16, 10 kA".into(),
    };
    Board {
        reference: "FV-TO-1".into(),
        title: "Ticket office".into(),
        site: "Fennick Vale Light Railway".into(),
        location: "behind the counter, left of the door".into(),
        standard: "BS 7671".into(),
        edition: "2018 with amendment 2".into(),
        supply: Supply::SinglePhase,
        rated_a: decimal("63"),
        vibration: Some(Vibration { look_again_months: 6 }),
        ways: 4,
        clamps: clamps(),
        devices: vec![device("1"), device("2"), device("3")],
        places: vec![
            place("incomer", PlaceKind::Incomer),
            place("fingers", PlaceKind::Fingers),
            place("row", PlaceKind::Devices),
            place("N bar", PlaceKind::Bar),
            place("E bar", PlaceKind::Bar),
            place("extras", PlaceKind::Fitting),
        ],
        terminals,
        blanks: Vec::new(),
        notes: vec!["The values of this board are typical, not a maker's.".into()],
    }
}

/// A setting tool, 1 to 5 N.m in steps of 0.1, calibrated.
pub(crate) fn driver(id: &str) -> Tool {
    Tool {
        id: id.into(),
        serial: format!("TD-204{}", id.len()),
        name: "torque driver".into(),
        kind: ToolKind::Setting,
        class: Some("II D".into()),
        unit: Unit::NewtonMetre,
        range: ToolRange { min: decimal("1.0"), max: decimal("5.0") },
        graduation: Some(decimal("0.1")),
        adapter: None,
        interval: None,
        calibrations: vec![Calibration {
            date: "2026-03-02".into(),
            first_use: None,
            certificate: Some("K-1187".into()),
            laboratory: None,
            as_found: Vec::new(),
            as_left: Vec::new(),
        }],
        operations_before: None,
        operations_recorded: None,
        validity: Validity::Valid,
        override_reason: None,
    }
}

/// A setting tool in pound-force inches whose calibration has lapsed.
pub(crate) fn lapsed(id: &str) -> Tool {
    let mut tool = driver(id);
    tool.serial = "LB-77".into();
    tool.name = "inch driver".into();
    tool.class = None;
    tool.unit = Unit::PoundInch;
    tool.range = ToolRange { min: decimal("5"), max: decimal("40") };
    tool.graduation = Some(decimal("0.5"));
    tool.calibrations[0].date = "2025-01-15".into();
    tool.calibrations[0].certificate = None;
    tool.validity = Validity::Lapsed;
    tool.override_reason = Some("the only driver with an inch scale on site".into());
    tool
}

/// An indicating tool without any calibration stated.
pub(crate) fn indicating(id: &str) -> Tool {
    let mut tool = driver(id);
    tool.serial = "IND-5".into();
    tool.name = "dial".into();
    tool.kind = ToolKind::Indicating;
    tool.class = None;
    tool.calibrations.clear();
    tool.validity = Validity::NotStated;
    tool
}

/// A visit that is driven act by act.
#[derive(Clone)]
pub(crate) struct Script {
    /// As it stands.
    pub(crate) visit: Visit,
    who: PersonId,
    clock_seconds: i64,
    mode: Mode,
}

/// What opens a visit of a board.
pub(crate) fn opening(board: Board) -> OpenVisit {
    OpenVisit {
        program: "witnessmark 0.1.0".into(),
        id: "k7m2q4xa".into(),
        person: Person { id: "P1".into(), name: "Rowan Ashby".into(), role: "electrician".into() },
        visit: VisitKind::First,
        rehearsal: false,
        follows: None,
        certificate: "EIC 2026-118".into(),
        board,
        board_sha256: "a3".repeat(32),
        decision_rule: DecisionRule::SimpleAcceptance,
        own_tolerance: None,
    }
}

impl Script {
    /// Nothing but the opening and its session.
    pub(crate) fn opened(open: OpenVisit) -> Self {
        let mode = if open.rehearsal { Mode::Rehearsed } else { Mode::Singly };
        // 2026-11-25T09:00:00+01:00
        let script = Self { visit: Visit::empty(), who: "P1".into(), clock_seconds: 1_795_593_600, mode };
        script.act(Act::Open(Box::new(open))).session(SessionCause::Opened)
    }

    /// The demo board with tool `A` in hand and the gate answered.
    pub(crate) fn new() -> Self {
        Self::opened(opening(board())).framed()
    }

    /// Tool `A` and a gate with the incoming side dead.
    pub(crate) fn framed(self) -> Self {
        self.act(Act::ChooseRoute(Order::Place)).act(Act::StateTool(Box::new(driver("A")))).gate()
    }

    /// The gate with the incoming side dead.
    pub(crate) fn gate(self) -> Self {
        let feeds = self.visit.board().unwrap().tails().cloned().collect();
        let incoming = SourceOfSupply {
            what: "incoming".into(),
            feeds,
            state: SourceState::Dead,
            shrouded: None,
            decided_by: None,
        };
        self.gate_of(vec![incoming])
    }

    /// A gate with these sources.
    pub(crate) fn gate_of(self, sources: Vec<SourceOfSupply>) -> Self {
        let gates = Gates {
            person: self.who.clone(),
            dead_by: "Rowan Ashby".into(),
            proved_with: "two-pole tester, tried on a known source before and after".into(),
            locked_off: "main switch, own padlock, key in pocket".into(),
            sources,
        };
        self.act(Act::AnswerGates(gates))
    }

    /// Begins a session.
    pub(crate) fn session(self, cause: SessionCause) -> Self {
        let nonce = format!("{:016x}", self.visit.next_seq().0);
        let program = "witnessmark 0.1.0".into();
        self.act(Act::Begin(Session { nonce, program, cause, torn: None }))
    }

    /// Lets minutes go by.
    pub(crate) fn wait(mut self, minutes: i64) -> Self {
        self.clock_seconds += minutes * 60;
        self
    }

    /// Does it; a refusal ends the test.
    #[track_caller]
    #[allow(clippy::needless_pass_by_value, reason = "a script reads better without borrows")]
    pub(crate) fn act(mut self, act: Act) -> Self {
        match decide(&self.visit, &self.who, &act) {
            Ok(facts) => {
                for fact in facts {
                    self = self.keep(fact);
                }
                self
            }
            Err(refusal) => panic!("refused: {refusal}; the act was {act:?}"),
        }
    }

    /// What it is refused with.
    #[track_caller]
    pub(crate) fn refused(&self, act: &Act) -> Refusal {
        decide(&self.visit, &self.who, act).expect_err("should have been refused")
    }

    /// Takes a fact in without deciding upon it, seven seconds after the one before.
    pub(crate) fn keep(mut self, fact: Fact) -> Self {
        let seq = self.visit.next_seq();
        self.clock_seconds += 7;
        let at = jiff::Timestamp::from_second(self.clock_seconds).unwrap();
        let time = Moment { at, offset: jiff::tz::offset(1) };
        let draft = Draft { seq, time, who: self.who.clone(), writer: self.who.clone(), fact };
        let line = draft.linked(link(seq.0));
        self.visit = apply(self.visit, &line);
        self
    }

    /// Number of the last line.
    pub(crate) fn last(&self) -> witnessmark::domain::names::Seq {
        self.visit.lines().last().unwrap().seq
    }

    /// Lines so far.
    pub(crate) fn lines(&self) -> &[Line] {
        self.visit.lines()
    }

    fn names(&self, terminal: &str) -> Vec<witnessmark::domain::names::ConductorName> {
        let at = self.visit.find(&terminal.into()).unwrap();
        let names = self.visit.terminal(at).unwrap().conductor_names();
        if names.is_empty() { vec![terminal.into()] } else { names }
    }

    /// Prepares every conductor of a terminal.
    #[track_caller]
    pub(crate) fn prepare(self, terminal: &str, how: Preparation) -> Self {
        let conductors = self.names(terminal);
        let mode = self.mode;
        self.act(Act::Prepare { conductors, how, aluminium: Vec::new(), mode })
    }

    /// Enters every conductor of a terminal, or seats the finger.
    #[track_caller]
    pub(crate) fn enter(self, terminal: &str, fault: Option<EntryFault>) -> Self {
        let conductors = self.names(terminal);
        let mode = self.mode;
        self.act(Act::Enter { conductors, fault, mode })
    }

    /// Prepares, left in lay, and enters.
    #[track_caller]
    pub(crate) fn make_off(self, terminal: &str) -> Self {
        self.prepare(terminal, Preparation::InLay).enter(terminal, None)
    }

    /// Reads the scale before the work.
    #[track_caller]
    pub(crate) fn begin(self, tool: &str, required: &str) -> Self {
        let required = torque(required);
        self.act(Act::BeginSpan { tool: tool.into(), required, read: required })
    }

    /// Reads the scale after the work.
    #[track_caller]
    pub(crate) fn end(self, tool: &str, read: &str, cause: Option<EndCause>) -> Self {
        self.act(Act::EndSpan { tool: tool.into(), read: torque(read), cause, next: None })
    }

    /// Tightens the next screw of a terminal.
    #[track_caller]
    pub(crate) fn tighten(self, terminal: &str, tool: Option<&str>, result: TorqueResult) -> Self {
        let mode = self.mode;
        self.act(Act::Torque { terminal: terminal.into(), tool: tool.map(ToolId::from), result, mode })
    }

    /// It clicked.
    #[track_caller]
    pub(crate) fn click(self, terminal: &str, tool: &str) -> Self {
        self.tighten(terminal, Some(tool), TorqueResult::Clicked)
    }

    /// Tugs every conductor of a terminal.
    #[track_caller]
    pub(crate) fn tug(self, terminal: &str, result: Tug) -> Self {
        let conductors = self.names(terminal);
        let mode = self.mode;
        self.act(Act::Tug { conductors, result, mode })
    }

    /// Marks a terminal.
    #[track_caller]
    pub(crate) fn mark(self, terminal: &str, result: MarkResult) -> Self {
        let mode = self.mode;
        self.act(Act::Mark { terminals: vec![terminal.into()], result, mode })
    }

    /// Clicked, firm, made.
    #[track_caller]
    pub(crate) fn finish(self, terminal: &str, tool: &str) -> Self {
        self.click(terminal, tool).tug(terminal, Tug::Firm).mark(terminal, MarkResult::Made)
    }

    /// Sets terminals aside and says who was told.
    #[track_caller]
    pub(crate) fn aside(self, terminals: &[&str], why: AsideWhy, told: Option<&str>) -> Self {
        let terminals: Vec<TerminalName> = terminals.iter().map(|name| (*name).into()).collect();
        self.act(Act::SetAside { terminals: terminals.clone(), why })
            .act(Act::Tell { terminals, whom: told.map(Into::into) })
    }

    /// The last look with every tail firm and every mark held.
    #[track_caller]
    pub(crate) fn last_look(self) -> Self {
        let tails = self
            .visit
            .terminals()
            .filter(|(_, terminal, standing)| terminal.tail && standing.aside.is_none())
            .map(|(_, terminal, _)| TailLook {
                terminal: terminal.name.clone(),
                tug: Tug::Firm,
                mark: MarkSeen::Held,
            })
            .collect();
        self.act(Act::LastLook {
            tails,
            why_not: None,
            covers: "back".into(),
            locks_and_tools_out: "out".into(),
            energised_by: Some("Rowan Ashby".into()),
        })
    }

    /// Signs and closes.
    #[track_caller]
    pub(crate) fn close(self) -> Self {
        let person = self.who.clone();
        self.act(Act::Sign { person, capacity: "done by".into() }).act(Act::Close)
    }
}

/// A made-up link: the hash of the line's number.
fn link(seq: u64) -> String {
    data_encoding::HEXLOWER.encode(&Sha256::digest(seq.to_be_bytes()))
}

/// Makes off and tightens the whole demo board, every terminal complete but the spare and the one without value.
pub(crate) fn whole_board(script: Script) -> Script {
    let worked =
        ["incomer L", "incomer N", "1 line", "2 line", "3 line", "1 neutral", "1 cpc", "bell", "timer 14"];
    let mut script = worked.into_iter().fold(script, Script::make_off).enter("finger 1", None);
    script = script.begin("A", "3.0 N.m").finish("incomer L", "A").finish("incomer N", "A");
    script = script.end("A", "3.0 N.m", None).begin("A", "2.0 N.m").click("finger 1", "A");
    script = script.mark("finger 1", MarkResult::Made);
    for name in ["1 line", "2 line", "3 line"] {
        script = script.finish(name, "A");
    }
    script = script.end("A", "2.0 N.m", None).begin("A", "1.8 N.m").finish("1 neutral", "A");
    script = script.end("A", "1.8 N.m", None).begin("A", "1.2 N.m");
    script = script.click("1 cpc", "A").click("1 cpc", "A").finish("1 cpc", "A");
    script = script.end("A", "1.2 N.m", None).tug("bell", Tug::Firm);
    script = script.tighten("timer 14", None, TorqueResult::ByHand).tug("timer 14", Tug::Firm);
    script.mark("timer 14", MarkResult::NotVisible)
}

/// The whole demo board, closed.
pub(crate) fn closed(script: Script) -> Script {
    whole_board(script)
        .aside(&["4 line"], AsideWhy::SpareWay, None)
        .aside(&["timer 14"], AsideWhy::NoMakersValue, Some("M. Cole, client"))
        .last_look()
        .close()
}

#[test]
fn the_whole_board_can_be_closed() {
    let script = closed(Script::new());
    let counts = script.visit.counts();
    assert_eq!((counts.complete, counts.aside, counts.open, counts.all), (9, 2, 0, 11));
    assert_eq!(script.lines().len() as u64, script.last().0);
    assert_eq!(script.refused(&Act::Close), Refusal::Ended);
}
