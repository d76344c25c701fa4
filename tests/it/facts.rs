//! Made-up boards, facts and drafts for tests.

use witnessmark::domain::board::{Board, Device, Place, PlaceKind, Pole, Role, Supply, Terminal};
use witnessmark::domain::clamp::{Clamp, ClampKind};
use witnessmark::domain::conductor::{Class, Conductor, Metal};
use witnessmark::domain::moment::Moment;
use witnessmark::domain::names::{PersonId, Seq, WayNumber};
use witnessmark::domain::record::{
    Abandoned, Closed, Draft, EnteredCounts, FORMAT, Fact, Opened, Pace, Person, Remark, RemarkOn, Session,
    SessionCause, Torn, VisitKind,
};
use witnessmark::domain::stated::{ReadAt, Source, Stated, TorqueRow};
use witnessmark::domain::torque::Torque;
use witnessmark::domain::verdict::DecisionRule;

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
