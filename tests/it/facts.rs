//! Made-up boards, facts and drafts for tests.

use rust_decimal::Decimal;
use witnessmark::domain::audit::claim::Claim;
use witnessmark::domain::audit::thermal;
use witnessmark::domain::board::{Board, Device, Place, PlaceKind, Pole, Role, Supply, Terminal};
use witnessmark::domain::calibration::{Calibration, CalibrationPoint, Interval};
use witnessmark::domain::clamp::{Clamp, ClampKind};
use witnessmark::domain::conductor::{AluminiumCare, Class, Conductor, Metal, Preparation};
use witnessmark::domain::limits::{Basis, Limits};
use witnessmark::domain::moment::Moment;
use witnessmark::domain::names::{ConductorName, PersonId, Seq, TerminalName, WayNumber};
use witnessmark::domain::record::*;
use witnessmark::domain::stated::{ReadAt, Source, Stated, TorqueRow};
use witnessmark::domain::tool::{Adapter, Tool, ToolKind, ToolRange, Validity};
use witnessmark::domain::torque::{Torque, Unit};
use witnessmark::domain::verdict::{DecisionRule, Verdict};

/// A board of one terminal.
pub(crate) fn tiny_board() -> Board {
    let torque = TorqueRow {
        csa_from_mm2: None,
        csa_to_mm2: None,
        classes: Vec::new(),
        conductors: None,
        stated: Stated::Single { value: Torque::read("2.50 N.m").unwrap() },
        source: Source { read_at: ReadAt::OnDevice, reference: String::new() },
    };
    let cage = Clamp {
        name: "outgoing cage".into(),
        kind: ClampKind::Cage,
        screws: 1,
        screw_order: None,
        thread_mm: None,
        drive: Some("PZ2".into()),
        strip_mm: Some("12".parse().unwrap()),
        capacity: Vec::new(),
        conductors_max: 1,
        preparations: Vec::new(),
        aluminium: false,
        second_torque_forbidden: false,
        settle: None,
        mark_visible: true,
        torque: vec![torque],
        not_governing: Vec::new(),
    };
    let conductor = Conductor {
        csa_mm2: "2.5".parse().unwrap(),
        class: Class::Stranded,
        wires: Some(7),
        metal: Metal::Copper,
        planned: None,
    };
    let terminal = Terminal {
        name: "1 line".into(),
        place: "row".into(),
        clamp: "outgoing cage".into(),
        device: Some("1".into()),
        way: Some(WayNumber(1)),
        pole: Some(Pole::L1),
        role: Role::Line,
        circuit: Some("lamp room lights".into()),
        spare: false,
        tail: false,
        conductors: vec![conductor],
    };
    Board {
        reference: "DB 1".into(),
        title: "Lamp room".into(),
        site: "Fennick Vale Light Railway".into(),
        location: "Lamp room, north wall".into(),
        standard: "IEC 60364".into(),
        edition: "own copy".into(),
        supply: Supply::SinglePhase,
        rated_a: "63".parse().unwrap(),
        vibration: None,
        ways: 1,
        clamps: vec![cage],
        devices: vec![Device { name: "1".into(), maker: "Illustrative".into(), printed_type: "L6".into() }],
        places: vec![Place { name: "row".into(), kind: PlaceKind::Devices }],
        terminals: vec![terminal],
        blanks: Vec::new(),
        notes: Vec::new(),
    }
}

/// A draft with a number; a second later for every number.
pub(crate) fn draft(seq: u64, fact: Fact) -> Draft {
    let mut time = Moment::read("2026-11-25T09:13:00+01:00").unwrap();
    time.at = jiff::Timestamp::from_second(time.at.as_second() + i64::try_from(seq).unwrap()).unwrap();
    Draft { seq: Seq(seq), time, who: PersonId::from("P1"), writer: PersonId::from("P1"), fact }
}

/// Line 1 of a first visit.
pub(crate) fn opened(id: &str) -> Fact {
    Fact::Opened(Box::new(Opened {
        format: FORMAT,
        program: "witnessmark 0.1.0".into(),
        rules: 1,
        id: id.into(),
        person: Person { id: "P1".into(), name: "R. Ames".into(), role: "electrician".into() },
        visit: VisitKind::First,
        rehearsal: false,
        follows: None,
        certificate: String::new(),
        board: tiny_board(),
        board_sha256: "0".repeat(64),
        decision_rule: DecisionRule::SimpleAcceptance,
        own_tolerance: None,
    }))
}

/// A session.
pub(crate) fn session(cause: SessionCause, torn: Option<Torn>) -> Fact {
    Fact::Session(Session {
        nonce: "abcdefgh23456722".into(),
        program: "witnessmark 0.1.0".into(),
        cause,
        torn,
    })
}

/// A remark on the board.
pub(crate) fn remark(text: &str) -> Fact {
    Fact::Remark(Remark {
        on: RemarkOn::Board,
        text: text.into(),
        before_power_on: false,
        cleared: false,
        handed_to: None,
    })
}

/// The visit is closed, with so many lines.
pub(crate) fn closed(lines: u64) -> Fact {
    Fact::Closed(Box::new(Closed {
        lines,
        outcomes: Vec::new(),
        entered: EnteredCounts::default(),
        pace: Pace::default(),
    }))
}

/// The visit is abandoned.
pub(crate) fn abandoned() -> Fact {
    Fact::Abandoned(Abandoned { why: "board taken down".into(), told: "works manager".into() })
}
/// A number of things, in the width in which records count.
pub(crate) fn count(things: usize) -> u64 {
    u64::try_from(things).unwrap()
}

/// Throws numbers from a seed (splitmix64), the same on every machine.
#[derive(Clone, Debug)]
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    /// The next number.
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number from 0 to one less than the limit.
    pub(crate) fn below(&mut self, limit: u64) -> u64 {
        self.next() % limit
    }

    /// The same for places in a list.
    pub(crate) fn index(&mut self, limit: usize) -> usize {
        usize::try_from(self.below(count(limit))).unwrap()
    }

    /// One in two.
    pub(crate) fn flip(&mut self) -> bool {
        self.below(2) == 0
    }

    /// One of these.
    pub(crate) fn pick<T: Clone>(&mut self, from: &[T]) -> T {
        from[self.index(from.len())].clone()
    }

    /// It, or nothing.
    pub(crate) fn perhaps<T>(&mut self, made: impl FnOnce(&mut Self) -> T) -> Option<T> {
        if self.flip() { Some(made(self)) } else { None }
    }

    /// Some of these, at most three.
    pub(crate) fn some<T>(&mut self, made: impl Fn(&mut Self) -> T) -> Vec<T> {
        (0..self.below(4)).map(|_| made(self)).collect()
    }

    /// A text; also such as would break a careless writer.
    pub(crate) fn text(&mut self) -> String {
        let odd = [
            "",
            "\",\"link\":\"",
            "\\",
            "Größe 3 🔩",
            "\u{7f}",
            "a\nb",
            "{}",
            "firm",
            "\u{2028}",
            "3L2 line",
        ];
        format!("{}{}", self.pick(&odd), self.pick(&odd))
    }

    /// A decimal with its own digits.
    pub(crate) fn decimal(&mut self) -> Decimal {
        let scale = u32::try_from(self.below(7)).unwrap();
        Decimal::new(i64::try_from(self.below(1_000_000_000)).unwrap(), scale)
    }

    /// A torque.
    pub(crate) fn torque(&mut self) -> Torque {
        Torque::new(self.decimal(), self.pick(&Unit::ALL))
    }
}

/// Number of kinds of [`some_fact`].
pub(crate) const KINDS: u64 = 39;

/// A fact of a kind, 0 to 38, those of a coming back and of an audit last, in the order of the format. It need not make sense.
pub(crate) fn some_fact(kind: u64, dice: &mut Dice) -> Fact {
    match kind {
        0..=10 => some_framing_fact(kind, dice),
        11..=21 => some_step_fact(kind, dice),
        22..=30 => some_keeping_fact(kind, dice),
        31..=33 => some_coming_back_fact(kind, dice),
        _ => some_audit_fact(kind, dice),
    }
}

fn some_audit_fact(kind: u64, dice: &mut Dice) -> Fact {
    let name = |d: &mut Dice| TerminalName(d.text());
    match kind {
        34 => Fact::Claim(Box::new(Claimed {
            minutes: dice.decimal(),
            minutes_without_supply: dice.decimal(),
            load_percent: dice.perhaps(Dice::decimal),
            minutes_a_tug: dice.decimal(),
            minutes_a_tool: dice.decimal(),
            tug: dice.flip(),
            tool: dice.pick(&[ToolReach::MakersValue, ToolReach::NotUsed, ToolReach::Part { percent: 80 }]),
            plan: dice.pick(&Plan::ALL),
            basis: dice.pick(&SizedBy::ALL),
            claim: Claim { at_most: dice.decimal(), confidence: dice.decimal() },
        })),
        35 => Fact::Thermal(match dice.below(3) {
            0 => Thermal::Over { camera: dice.text() },
            1 => Thermal::NotTaken { why: dice.text() },
            _ => Thermal::Reading(Box::new(ThermalReading {
                terminal: name(dice),
                temperature_c: dice.decimal(),
                over: dice.pick(&thermal::Over::ALL),
                compared_c: dice.decimal(),
                load_a: dice.decimal(),
                rated_a: dice.decimal(),
                exponent: dice.decimal(),
                corrected_k: dice.decimal(),
                class: dice.pick(&[thermal::Class::None, thermal::Class::MajorDiscrepancy]),
            })),
        }),
        36 => Fact::Drawn(Box::new(Drawn {
            seed: dice.text(),
            rule: dice.text(),
            block: u32::try_from(dice.below(99)).unwrap(),
            always_in: dice.some(|d| AlwaysIn {
                terminal: TerminalName(d.text()),
                why: d.pick(&[AlwaysInWhy::Incoming, AlwaysInWhy::Hot, AlwaysInWhy::Named]),
            }),
            remainder: terminals(dice),
            terminals: terminals(dice),
        })),
        37 => Fact::Escalated(Escalated {
            because: name(dice),
            yes: dice.flip(),
            why: dice.text(),
            terminals: dice.some(|d| TerminalName(d.text())),
        }),
        _ => Fact::Code(Code { terminal: name(dice), code: dice.text() }),
    }
}

fn some_coming_back_fact(kind: u64, dice: &mut Dice) -> Fact {
    let happened = |d: &mut Dice| if d.flip() { Happened::Other(d.text()) } else { d.pick(&Happened::NAMED) };
    match kind {
        31 => Fact::Scope(Box::new(Scope {
            happened: happened(dice),
            by: dice.perhaps(Dice::text),
            checked_by_them: dice.pick(&Known::ALL),
            terminals: dice.some(|d| InScope {
                terminal: TerminalName(d.text()),
                why: d.pick(&[InScopeWhy::Disturbed, InScopeWhy::OtherEnd, InScopeWhy::New]),
                how: d.perhaps(|d| d.pick(&DisturbedHow::ALL)),
                attempt: attempt(d),
                last: d.perhaps(|d| LastTime {
                    visit: d.text(),
                    day: d.text(),
                    who: d.text(),
                    outcome: d.pick(&[Outcome::Complete, Outcome::SetAside, Outcome::NotInScope]),
                    prepared: d.some(|d| d.pick(&Preparation::NAMED)),
                    set: d.perhaps(Dice::torque),
                    applied: d.perhaps(Dice::torque),
                    tool: d.perhaps(Dice::text),
                    serial: d.perhaps(Dice::text),
                    torques: u32::try_from(d.below(9)).unwrap(),
                }),
            }),
            dropped: dice.some(|d| Dropped { terminal: TerminalName(d.text()), why: d.text() }),
            gone: terminals(dice),
            not_ours: dice.some(Dice::text),
        })),
        32 => Fact::Looked(Looked {
            terminals: terminals(dice),
            attempt: attempt(dice),
            result: match dice.below(4) {
                0 => LookResult::Sound,
                1 => LookResult::NotSeen,
                2 => LookResult::NotAccessible,
                _ => LookResult::Found(vec![dice.pick(&Mark::ALL)]),
            },
            untouched: dice.perhaps(|d| Untouched { decided_by: d.text() }),
            mode: mode(dice),
            count: dice.perhaps(|d| u32::try_from(d.below(99)).unwrap()),
        }),
        _ => Fact::Movement(Movement {
            terminal: TerminalName(dice.text()),
            screw: dice.perhaps(|d| if d.flip() { 1 } else { 2 }),
            attempt: attempt(dice),
            tool: "A".into(),
            serial: dice.text(),
            span: dice.perhaps(|_| "A1".into()),
            at: dice.perhaps(Dice::torque),
            found: match dice.below(4) {
                0 => Moved::Held,
                1 => Moved::Moved,
                2 => Moved::Loose,
                _ => {
                    let value = dice.decimal();
                    Moved::First { text: value.to_string(), value, unit: dice.pick(&Unit::ALL) }
                }
            },
            earlier: dice.perhaps(Dice::torque),
            mode: mode(dice),
        }),
    }
}

fn terminals(dice: &mut Dice) -> Vec<TerminalName> {
    dice.some(|d| TerminalName(d.text()))
}

fn conductors(dice: &mut Dice) -> Vec<ConductorName> {
    dice.some(|d| ConductorName(d.text()))
}

fn attempt(dice: &mut Dice) -> Attempt {
    Attempt(u32::try_from(1 + dice.below(9)).unwrap())
}

fn mode(dice: &mut Dice) -> Mode {
    dice.pick(&[Mode::Singly, Mode::Way, Mode::Place, Mode::Row, Mode::Notes, Mode::Rehearsed])
}

/// A tool of a letter.
pub(crate) fn some_tool(id: &str, dice: &mut Dice) -> Tool {
    let point = |d: &mut Dice| CalibrationPoint {
        set: d.decimal(),
        reference: d.decimal(),
        w_percent: d.perhaps(Dice::decimal),
    };
    Tool {
        id: id.into(),
        serial: dice.text(),
        name: dice.text(),
        kind: dice.pick(&[ToolKind::Setting, ToolKind::Fixed, ToolKind::Indicating]),
        class: dice.perhaps(Dice::text),
        unit: dice.pick(&Unit::ALL),
        range: ToolRange { min: dice.decimal(), max: dice.decimal() },
        graduation: dice.perhaps(Dice::decimal),
        adapter: dice.perhaps(|d| Adapter {
            what: d.text(),
            lever_mm: d.decimal(),
            extension_mm: d.decimal(),
        }),
        interval: dice.perhaps(|d| Interval { months: d.perhaps(|_| 6), operations: d.perhaps(Dice::next) }),
        calibrations: dice.some(|d| Calibration {
            date: "2026-03-02".into(),
            first_use: d.perhaps(Dice::text),
            certificate: d.perhaps(Dice::text),
            laboratory: d.perhaps(Dice::text),
            as_found: d.some(point),
            as_left: d.some(point),
        }),
        operations_before: dice.perhaps(Dice::next),
        operations_recorded: dice.perhaps(Dice::next),
        validity: dice.pick(&[Validity::Valid, Validity::NotStated, Validity::Lapsed]),
        override_reason: dice.perhaps(Dice::text),
    }
}

fn some_framing_fact(kind: u64, dice: &mut Dice) -> Fact {
    match kind {
        0 => opened(&dice.text()),
        1 => {
            let torn = dice.perhaps(|d| Torn { bytes: d.next(), sha256: d.text(), base64: d.text() });
            session(dice.pick(&[SessionCause::Opened, SessionCause::Resumed, SessionCause::Gap]), torn)
        }
        2 => Fact::Person(Person { id: "P2".into(), name: dice.text(), role: dice.text() }),
        3 => Fact::Tool(Box::new(some_tool("A", dice))),
        4 => Fact::Gates(Gates {
            person: "P1".into(),
            dead_by: dice.text(),
            proved_with: dice.text(),
            locked_off: dice.text(),
            sources: dice.some(|d| SourceOfSupply {
                what: d.text(),
                feeds: terminals(d),
                state: d.pick(&[SourceState::Dead, SourceState::Live, SourceState::Unconnected]),
                shrouded: d.perhaps(Dice::flip),
                decided_by: d.perhaps(Dice::text),
            }),
        }),
        5 => Fact::Route(Route { order: dice.pick(&Order::ALL) }),
        6 => Fact::BoardAmended(Box::new(BoardAmended {
            board: tiny_board(),
            board_sha256: dice.text(),
            reason: dice.text(),
            reopened: terminals(dice),
        })),
        7 => Fact::Scale(Scale {
            tool: "A".into(),
            span: "A1".into(),
            at: dice.pick(&[ScaleAt::Start, ScaleAt::End, ScaleAt::AfterWork]),
            required: dice.torque(),
            read: dice.torque(),
            agrees: dice.flip(),
            reset: dice.perhaps(|d| Reset { by: d.text(), why: d.text() }),
        }),
        8 => Fact::ScaleUnread(ScaleUnread { tool: "A".into(), span: "A1".into(), why: dice.text() }),
        9 => Fact::ToolDoubted(ToolDoubted { tool: "A".into(), what: dice.text(), note: dice.text() }),
        _ => Fact::ToolReleased(ToolReleased { tool: "A".into(), by: dice.text(), why: dice.text() }),
    }
}

fn some_torqued(dice: &mut Dice) -> Torqued {
    let unit = dice.pick(&Unit::ALL);
    let result = match dice.below(4) {
        0 => TorqueResult::Clicked,
        1 => TorqueResult::NotClicked { why: dice.pick(&NotClicked::ALL) },
        2 => TorqueResult::Reading { text: dice.text(), value: dice.decimal(), unit },
        _ => TorqueResult::ByHand,
    };
    Torqued {
        terminals: terminals(dice),
        screw: dice.perhaps(|_| 2),
        pass: dice.perhaps(|_| 1),
        attempt: attempt(dice),
        round: 0,
        tool: dice.perhaps(|_| "A".into()),
        serial: dice.perhaps(Dice::text),
        span: dice.perhaps(|_| "A1".into()),
        result,
        applied: dice.perhaps(|d| AppliedTorque {
            value: d.decimal(),
            unit: d.pick(&Unit::ALL),
            w: d.perhaps(Dice::decimal),
        }),
        turned: dice.perhaps(|_| Turned::Moved),
        aim: dice.perhaps(Dice::torque),
        required: dice.perhaps(Dice::torque),
        limits: Limits {
            lower: dice.perhaps(Dice::decimal),
            upper: dice.perhaps(Dice::decimal),
            unit,
            basis: dice.pick(&[Basis::Single, Basis::Range, Basis::None]),
            source: dice.text(),
        },
        rules: 1,
        verdict: dice.pick(&[Verdict::BySetting, Verdict::Pass, Verdict::Fail, Verdict::NotJudged]),
        mode: mode(dice),
        count: dice.perhaps(|_| 9),
        exceptions: terminals(dice),
    }
}

fn some_step_fact(kind: u64, dice: &mut Dice) -> Fact {
    let tug = dice.pick(&[Tug::Firm, Tug::Shifted, Tug::CameOut, Tug::StrandsBroke]);
    match kind {
        11 => Fact::Prepared(Prepared {
            conductors: conductors(dice),
            attempt: attempt(dice),
            how: if dice.flip() { dice.pick(&Preparation::NAMED) } else { Preparation::Other(dice.text()) },
            aluminium: dice.some(|_| AluminiumCare::Compound),
            mode: mode(dice),
        }),
        12 => Fact::Entered(Entered {
            conductors: conductors(dice),
            attempt: attempt(dice),
            right: dice.flip(),
            fault: dice.perhaps(|d| d.pick(&EntryFault::ALL)),
            mode: mode(dice),
        }),
        13 => Fact::Torqued(Box::new(some_torqued(dice))),
        14 => Fact::Tugged(Tugged {
            conductors: conductors(dice),
            attempt: attempt(dice),
            round: 1,
            result: tug,
            mode: mode(dice),
            count: dice.perhaps(|d| u32::try_from(d.below(99)).unwrap()),
        }),
        15 => Fact::Marked(Marked {
            terminals: terminals(dice),
            attempt: attempt(dice),
            round: 2,
            result: dice.pick(&[MarkResult::Made, MarkResult::NotVisible, MarkResult::NotUsed]),
            mode: mode(dice),
        }),
        16 => Fact::Decided(Decided {
            terminal: TerminalName(dice.text()),
            about: About::OverTightened,
            strands: dice.perhaps(|_| Strands::Cut),
            choice: dice.pick(&[DecidedTo::Keep, DecidedTo::Remake, DecidedTo::SetAside]),
            remark: dice.text(),
        }),
        17 => Fact::SettleReady(SettleReady {
            terminal: TerminalName(dice.text()),
            how: dice.pick(&[SettleKnown::Timed, SettleKnown::Stated]),
        }),
        18 => Fact::SettleWaived(SettleWaived { terminal: TerminalName(dice.text()), why: dice.text() }),
        19 => Fact::Disturbed(Disturbed {
            terminals: terminals(dice),
            how: dice.pick(&[DisturbedHow::Flexed, DisturbedHow::ReTerminated]),
            by: dice.text(),
            checked_by_them: dice.perhaps(|_| Known::NotKnown),
            why: dice.text(),
        }),
        20 => Fact::Remade(Remade {
            terminal: TerminalName(dice.text()),
            attempt: attempt(dice),
            conductors: conductors(dice),
            why: dice.text(),
        }),
        _ => Fact::Replaced(Replaced {
            device: "1".into(),
            terminals: terminals(dice),
            attempts: dice.some(attempt),
            why: dice.text(),
        }),
    }
}

fn some_keeping_fact(kind: u64, dice: &mut Dice) -> Fact {
    match kind {
        22 => Fact::SetAside(SetAside {
            terminals: terminals(dice),
            why: if dice.flip() { AsideWhy::NoAccess } else { AsideWhy::Other(dice.text()) },
            told: dice.perhaps(Dice::text),
        }),
        23 => Fact::Told(Told { terminals: terminals(dice), whom: dice.perhaps(Dice::text) }),
        24 => Fact::TakenUp(TakenUp { terminals: terminals(dice), why: dice.text() }),
        25 => Fact::Remark(Remark {
            on: if dice.flip() { RemarkOn::Remark(Seq(3)) } else { RemarkOn::Terminal("1 line".into()) },
            text: dice.text(),
            before_power_on: dice.flip(),
            cleared: dice.flip(),
            handed_to: dice.perhaps(Dice::text),
        }),
        26 => Fact::Corrected(Box::new(Corrected {
            seq: Seq(dice.next()),
            terminal: dice.perhaps(|d| TerminalName(d.text())),
            fact: Fact::Torqued(Box::new(some_torqued(dice))),
            why: dice.text(),
        })),
        27 => Fact::LastLook(LastLook {
            tails: dice.some(|d| TailLook {
                terminal: TerminalName(d.text()),
                tug: Tug::Firm,
                mark: d.pick(&[MarkSeen::Held, MarkSeen::Moved, MarkSeen::NotUsed]),
            }),
            why_not: dice.perhaps(Dice::text),
            covers: dice.text(),
            locks_and_tools_out: dice.text(),
            energised_by: dice.perhaps(Dice::text),
        }),
        28 => Fact::Signed(Signed { person: "P1".into(), capacity: dice.text() }),
        29 => abandoned(),
        _ => closed(dice.next()),
    }
}
