//! The demo boards load, and hold what a person is to learn from them.

use std::collections::BTreeSet;
use std::path::PathBuf;
use witnessmark::board_file::{self, ReadBoard, load, read};
use witnessmark::domain::board::{Board, PlaceKind, Role, Supply, Terminal};
use witnessmark::domain::clamp::ClampKind;
use witnessmark::domain::conductor::{Metal, Preparation};
use witnessmark::domain::stated::Stated;
use witnessmark::domain::tool::{Tool, ToolKind, ToolRange, Validity};
use witnessmark::domain::torque::{Torque, Unit};

fn boards() -> Vec<PathBuf> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/boards");
    let entries = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let mut paths: Vec<_> = entries.filter(|path| !path.ends_with("tools.ron")).collect();
    paths.sort();
    paths
}

fn engine_shed() -> Board {
    read(board_file::engine_shed().as_bytes()).unwrap().board
}

fn ticket_office() -> Board {
    read(board_file::example().as_bytes()).unwrap().board
}

fn terminal<'b>(board: &'b Board, name: &str) -> &'b Terminal {
    board.terminal(&name.into()).unwrap_or_else(|| panic!("no terminal {name}"))
}

#[test]
fn every_board_in_boards_loads_without_a_warning() {
    assert!(boards().len() >= 3);
    for path in boards() {
        let ReadBoard { board, sha256, warnings } = load(&path).unwrap_or_else(|why| panic!("{why}"));
        assert_eq!(warnings, Vec::new(), "{}", path.display());
        assert_eq!(sha256.len(), 64);
        consistent(&board);
        let json = serde_json::to_string(&board).unwrap();
        assert_eq!(serde_json::from_str::<Board>(&json).unwrap(), board, "a board survives its record");
    }
}

/// What every board that was read holds: names are unique and plain, everything named is there, terminals stand
/// grouped by place in the order of the places.
fn consistent(board: &Board) {
    let names: BTreeSet<_> = board.terminals.iter().map(|terminal| &terminal.name).collect();
    assert_eq!(names.len(), board.terminals.len());
    let order =
        |terminal: &Terminal| board.places.iter().position(|place| place.name == terminal.place).unwrap();
    assert!(board.terminals.windows(2).all(|two| order(&two[0]) <= order(&two[1])));
    for terminal in &board.terminals {
        assert!(!terminal.name.as_str().contains(['/', ',']), "{}", terminal.name);
        let clamp = board.clamp(terminal).unwrap();
        if let Some(device) = &terminal.device {
            assert!(board.devices.iter().any(|it| it.name == *device), "{}", terminal.name);
        }
        let bare = terminal.conductors.is_empty();
        assert_eq!(terminal.spare, bare && clamp.kind != ClampKind::Finger, "{}", terminal.name);
        if !bare {
            assert_eq!(board.torque_row(terminal).is_some(), !clamp.torque.is_empty(), "{}", terminal.name);
        }
    }
}

#[test]
fn the_ticket_office_is_a_small_single_phase_board() {
    let board = ticket_office();
    assert_eq!((board.supply, board.ways), (Supply::SinglePhase, 10));
    let tails: Vec<_> = board.tails().map(witnessmark::domain::names::TerminalName::as_str).collect();
    assert_eq!(tails, ["incomer L", "incomer N"]);
    for name in tails {
        let tail = &terminal(&board, name).conductors[0];
        assert_eq!((tail.csa_mm2.to_string().as_str(), tail.wires), ("25", Some(7)));
    }
    let places: Vec<_> = board.places.iter().map(|place| place.name.as_str()).collect();
    assert_eq!(places, ["incomer", "fingers", "row", "N bar", "E bar"]);
    assert_eq!(board.blanks, ["10"]);
    assert!(terminal(&board, "9 line").spare && !terminal(&board, "9 finger").spare);
    let ring: Vec<_> = terminal(&board, "3 line").conductor_names().iter().map(ToString::to_string).collect();
    assert_eq!(ring, ["3 line/1", "3 line/2"]);
}

#[test]
fn the_engine_shed_holds_what_a_rehearsal_is_to_show() {
    let board = engine_shed();
    assert_eq!((board.supply, board.ways), (Supply::ThreePhaseNeutral, 12));
    assert!((110..=140).contains(&board.terminals.len()), "{}", board.terminals.len());
    assert!(board_file::engine_shed().lines().count() < 150, "writable by hand");
    assert_eq!(board.tails().count(), 4);
    assert!(board.vibration.is_some());
    assert_eq!(board.clamps.iter().filter(|clamp| clamp.settle.is_some()).count(), 2, "two clamps settle");
    let places: Vec<_> = board.places.iter().map(|place| place.name.as_str()).collect();
    assert_eq!(
        places,
        ["incomer", "fingers", "left column", "right column", "N bar", "E bar", "surge", "contactor"]
    );
    let used = |what: &dyn Fn(&Terminal) -> bool| board.terminals.iter().any(what);
    let clamp = |terminal: &Terminal| board.clamp(terminal).unwrap().clone();
    assert!(used(&|it| clamp(it).kind == ClampKind::Spring));
    assert!(used(&|it| clamp(it).screws == 2));
    assert!(used(&|it| clamp(it).kind.has_screw() && clamp(it).torque.is_empty()));
    assert!(used(&|it| clamp(it).torque.len() > 1));
    assert!(used(&|it| it.conductors.len() == 2));
    assert!(used(&|it| it.spare));
    let stated: Vec<_> =
        board.terminals.iter().filter_map(|it| board.torque_row(it)).map(|row| &row.stated).collect();
    assert!(stated.iter().any(|it| matches!(it, Stated::Range { recommended: Some(_), .. })));
    assert!(stated.iter().any(|it| matches!(it, Stated::AtMost { .. })));
    assert!(stated.iter().any(|it| matches!(it, Stated::Tolerance { .. })));
    assert!(stated.iter().any(|it| it.aim().unit == Unit::PoundInch));
    let aims: BTreeSet<_> = stated.iter().map(|it| it.aim()).collect();
    assert!(aims.len() >= 5, "{aims:?}");
}

/// What issue and design want of it: lugs on studs of 9 to 25 N.m, an aluminium feeder, moulded-case devices. Values are
/// typical of their kind and have no source.
#[test]
fn the_pump_house_has_lugs_on_studs_and_an_aluminium_feeder() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/boards/pump-house.ron");
    let board = load(std::path::Path::new(path)).unwrap().board;
    assert!(std::fs::read_to_string(path).unwrap().lines().count() < 150, "writable by hand");
    assert_eq!(
        (board.supply, board.site.as_str()),
        (Supply::ThreePhaseNeutral, "Fennick Vale Light Railway")
    );
    let clamp = |terminal: &Terminal| board.clamp(terminal).unwrap().clone();
    let studs: Vec<&Terminal> =
        board.terminals.iter().filter(|it| clamp(it).kind == ClampKind::Stud).collect();
    assert!(studs.len() > 20, "{}", studs.len());
    let (least, most) = (Torque::read("9 N.m").unwrap(), Torque::read("25 N.m").unwrap());
    let mut aims = BTreeSet::new();
    for stud in &studs {
        let aim = board.torque_row(stud).unwrap().stated.aim();
        assert!(aim >= least && aim <= most, "{}: {aim}", stud.name);
        aims.insert(aim);
        assert!(stud.conductors.iter().all(|it| it.planned == Some(Preparation::Lug)), "{}", stud.name);
        assert!(clamp(stud).thread_mm.is_some(), "{}", stud.name);
    }
    assert!(aims.contains(&least) && aims.contains(&most) && aims.len() >= 4, "{aims:?}");
    let aluminium: Vec<&str> = board
        .terminals
        .iter()
        .filter(|it| it.conductors.iter().any(|it| it.metal == Metal::Aluminium))
        .map(|it| it.name.as_str())
        .collect();
    assert_eq!(aluminium, ["incomer L1", "incomer L2", "incomer L3", "incomer N"]);
    assert!(board.tails().all(|tail| aluminium.contains(&tail.as_str())));
    assert!(board.notes.iter().any(|note| note.contains("brush") && note.contains("compound")));
    let place = |name: &str| terminal(&board, name).place.as_str().to_owned();
    assert_eq!((place("3 neutral"), place("6 neutral")), ("N studs".to_owned(), "N bar".to_owned()));
    let by_class = board.torque_row(terminal(&board, "5L1 line")).unwrap().stated.aim();
    assert!(by_class < board.torque_row(terminal(&board, "6L1 line")).unwrap().stated.aim());
}

#[test]
fn one_tool_from_half_to_six_newton_metres_reaches_every_torque() {
    let driver = Tool {
        id: "A".into(),
        serial: "R-1".into(),
        name: "rehearsal driver".into(),
        kind: ToolKind::Setting,
        class: None,
        unit: Unit::NewtonMetre,
        range: ToolRange { min: "0.5".parse().unwrap(), max: "6".parse().unwrap() },
        graduation: Some("0.05".parse().unwrap()),
        adapter: None,
        interval: None,
        calibrations: Vec::new(),
        operations_before: None,
        operations_recorded: None,
        validity: Validity::Valid,
        override_reason: None,
    };
    for board in [engine_shed(), ticket_office()] {
        for terminal in &board.terminals {
            if let Some(row) = board.torque_row(terminal) {
                assert!(driver.required(&row.stated.aim()).is_ok(), "{}: {}", terminal.name, row.stated);
            }
        }
    }
}

#[test]
fn terminals_are_named_after_way_pole_and_purpose() {
    let board = engine_shed();
    let at = |name: &str| {
        let terminal = terminal(&board, name);
        let device = terminal.device.as_ref().map_or("", |device| device.as_str());
        (terminal.place.as_str(), device, terminal.role)
    };
    for (name, expected) in [
        ("incomer L1", ("incomer", "incomer", Role::Line)),
        ("incomer N", ("incomer", "incomer", Role::Neutral)),
        ("3L2 finger", ("fingers", "3L2", Role::Feed)),
        ("3L2 line", ("left column", "3L2", Role::Line)),
        ("3L2 neutral", ("N bar", "", Role::Neutral)),
        ("3L2 cpc", ("E bar", "", Role::Earth)),
        ("6L1 line", ("right column", "6L1", Role::Line)),
        ("5L2 neutral", ("left column", "5L2", Role::Neutral)),
        ("5L2 lead", ("N bar", "", Role::Neutral)),
        ("7L1 finger", ("fingers", "7", Role::Feed)),
        ("7L3 line", ("left column", "7", Role::Line)),
        ("7 neutral", ("N bar", "", Role::Neutral)),
        ("7 cpc", ("E bar", "", Role::Earth)),
        ("main earth", ("E bar", "", Role::Earth)),
        ("surge L1", ("surge", "surge", Role::Line)),
        ("contactor 1 in", ("contactor", "contactor", Role::Line)),
    ] {
        assert_eq!(at(name), expected, "{name}");
    }
    assert!(board.terminal(&"1 neutral".into()).is_none(), "a motor without neutral");
    assert!(terminal(&board, "6L3 line").spare && terminal(&board, "6L3 neutral").spare);
    assert!(!terminal(&board, "6L3 lead").spare, "the lead of a spare device is there");
    assert_eq!(board.places.iter().filter(|place| place.kind == PlaceKind::Fitting).count(), 2);
}

#[test]
fn what_does_not_fit_is_warned_of_and_does_not_hinder() {
    let source = board_file::example()
        .replacen("csa: \"25 mm2\", class: 2, wires: 7", "csa: \"50 mm2\", class: 2, wires: 19", 1)
        .replacen(
            "\"10 bond\": Conductor(csa: \"10 mm2\", class: 2, wires: 7, metal: Copper)",
            "\"10 bond\": Conductor(csa: \"10 mm2\", class: 2, wires: 7, metal: Aluminium)",
            1,
        )
        .replacen(
            "kind: Cage, screws: 1,",
            "kind: Cage, screws: 2, screw_order: \"front, then rear\", second_torque: Forbidden,",
            1,
        );
    let read = read(source.as_bytes()).unwrap();
    let page = board_file::render_warnings(&read.warnings, "ticket-office.ron", &source);
    for part in ["has two screws", "outside the capacity", "\"bond water\": aluminium"] {
        assert!(page.contains(part), "{part}: {page}");
    }
    assert!(page.starts_with("warning: "), "{page}");
}
