//! The appendix: what stands on its pages, line by line.

use crate::rig::snap;
use crate::scripted::{Script, board, closed, indicating, lapsed, opening, torque, whole_board};
use proptest::prelude::*;
use witnessmark::appendix::{Options, print};
use witnessmark::domain::clamp::{Settle, SettleBasis};
use witnessmark::domain::conductor::Preparation;
use witnessmark::domain::limits::OwnTolerance;
use witnessmark::domain::record::{
    About, AsideWhy, DecidedTo, DisturbedHow, EntryFault, Fact, MarkResult, MarkSeen, Mode, NotClicked,
    Person, RemarkOn, Reset, SessionCause, SettleKnown, SourceOfSupply, SourceState, Strands, TailLook,
    TorqueResult, Tug, Turned,
};
use witnessmark::domain::text::{NAME_COLUMNS, REMARK_COLUMNS, checked, columns};
use witnessmark::domain::torque::Unit;
use witnessmark::session::{Act, EndCause, TorqueDoubt, TorqueWord, said_at};

fn text(script: &Script) -> String {
    print(&script.visit, Options::default())
}

fn snapshot(name: &str, text: &str) {
    snap().bind(|| insta::assert_snapshot!(name, text));
}

/// Puts a line right with what `change` makes of its fact.
fn slip(script: Script, seq: u64, why: &str, change: impl FnOnce(&mut Fact)) -> Script {
    let seq = witnessmark::domain::names::Seq(seq);
    let mut fact = script.visit.line(seq).unwrap().fact.clone();
    change(&mut fact);
    script.act(Act::Correct { seq, terminal: None, fact: Box::new(fact), why: why.into() })
}

fn remark(on: RemarkOn, text: &str, before_power_on: bool, handed_to: Option<&str>) -> Act {
    Act::Remark { on, text: text.into(), before_power_on, handed_to: handed_to.map(Into::into) }
}

/// An act by one key each.
const SINGLY: Mode = Mode::Singly;

/// Slip, remake, shifted tug, scale too low and redone, too high and kept, reset on purpose, unread end, by hand, no
/// maker's value, two remarks before power on, lapsed tool with override, indicating tool without calibration, gap,
/// second source, last look not taken.
fn everything() -> Script {
    everything_and(|script| script)
}

/// The same, and more before what is left over is set aside.
pub(crate) fn everything_and(more: impl FnOnce(Script) -> Script) -> Script {
    let mut open = opening(board());
    open.own_tolerance = Some(OwnTolerance(6.into()));
    let script = Script::opened(open)
        .framed()
        .act(Act::StateTool(Box::new(lapsed("B"))))
        .act(Act::StateTool(Box::new(indicating("C"))))
        .act(remark(RemarkOn::Board, "an M6 nut fell behind the busbar", true, None));
    let nut = script.last();
    let script =
        script.act(remark(RemarkOn::Terminal("2 line".into()), "ring continuity to be tested", true, None));
    let ring = script.last();
    let script = made_off_with_a_slip(script).wait(35).session(SessionCause::Gap).gate();
    let script = other_torques(remade_after_a_tug(spans_that_disagree(script)));
    more(script)
        .aside(&["4 line"], AsideWhy::SpareWay, None)
        .aside(&["timer 14"], AsideWhy::NoMakersValue, Some("M. Cole, client"))
        .act(remark(
            RemarkOn::Remark(nut),
            "not found; no power before it is",
            false,
            Some("M. Cole, client"),
        ))
        .act(remark(RemarkOn::Remark(ring), "tested, 0.4 ohm", false, None))
        .act(Act::LastLook {
            tails: Vec::new(),
            why_not: Some("the distributor fits the front tomorrow".into()),
            covers: "front left off, tape and a notice".into(),
            locks_and_tools_out: "out".into(),
            energised_by: None,
        })
        .close()
}

fn made_off_with_a_slip(mut script: Script) -> Script {
    for name in ["incomer L", "incomer N", "1 line", "1 neutral", "1 cpc", "bell", "timer 14"] {
        script = script.make_off(name);
    }
    script = script.prepare("2 line", Preparation::Other("twisted together, then folded once".into()));
    script = script.enter("2 line", Some(EntryFault::StrandOutside)).enter("2 line", None);
    script = script.prepare("3 line", Preparation::Ferruled);
    let mistyped = script.last().0;
    script = script.enter("3 line", None).enter("finger 1", None);
    slip(script, mistyped, "wrong key", |fact| {
        if let Fact::Prepared(f) = fact {
            f.how = Preparation::CompressionPin;
        }
    })
}

/// Too low and redone, too high and kept, reset on purpose.
fn spans_that_disagree(script: Script) -> Script {
    let reset = EndCause::Reset(Reset { by: "J. Pell".into(), why: "the pump house board".into() });
    script
        .begin("A", "2.0 N.m")
        .finish("1 line", "A")
        .click("finger 1", "A")
        .mark("finger 1", MarkResult::NotUsed)
        .end("A", "1.6 N.m", Some(EndCause::NotKnown))
        .begin("A", "2.0 N.m")
        .finish("1 line", "A")
        .end("A", "2.4 N.m", Some(EndCause::NotKnown))
        .act(Act::Decide {
            terminal: "1 line".into(),
            about: About::OverTightened,
            strands: Some(Strands::Sound),
            choice: DecidedTo::Keep,
            remark: "looked at under the lamp".into(),
        })
        .begin("A", "2.0 N.m")
        .click("finger 1", "A")
        .mark("finger 1", MarkResult::NotUsed)
        .end("A", "3.5 N.m", Some(reset))
}

/// One of two conductors shifts, then comes out; it is cut back.
fn remade_after_a_tug(script: Script) -> Script {
    let first = || vec!["2 line/1".into()];
    script
        .begin("A", "2.0 N.m")
        .click("2 line", "A")
        .act(Act::Tug { conductors: first(), result: Tug::Shifted, mode: SINGLY })
        .act(Act::Enter { conductors: first(), fault: None, mode: SINGLY })
        .click("2 line", "A")
        .act(Act::Tug { conductors: first(), result: Tug::CameOut, mode: SINGLY })
        .act(Act::Remake { terminal: "2 line".into(), conductors: first(), why: "end too short".into() })
        .act(Act::Prepare {
            conductors: first(),
            how: Preparation::FoldedBack,
            aluminium: Vec::new(),
            mode: SINGLY,
        })
        .enter("2 line", None)
        .finish("2 line", "A")
        .end("A", "2.0 N.m", None)
}

/// Read below and within, end not read, spun and by hand, lapsed tool, two screws, disturbed, no maker's value.
fn other_torques(script: Script) -> Script {
    let reading = |text: &str| TorqueResult::Reading {
        text: text.into(),
        value: torque(&format!("{text} N.m")).value,
        unit: Unit::NewtonMetre,
    };
    let spins = TorqueResult::NotClicked { why: NotClicked::Spins };
    script
        .tighten("3 line", Some("C"), reading("1.80"))
        .tighten("3 line", Some("C"), reading("2.05"))
        .tug("3 line", Tug::Firm)
        .mark("3 line", MarkResult::Made)
        .begin("A", "3.0 N.m")
        .finish("incomer L", "A")
        .act(Act::LoseScale { tool: "A".into(), why: "dropped behind the counter".into() })
        .tighten("incomer N", None, spins)
        .act(Act::Decide {
            terminal: "incomer N".into(),
            about: About::NotClicked,
            strands: None,
            choice: DecidedTo::Again,
            remark: String::new(),
        })
        .tighten("incomer N", None, TorqueResult::ByHand)
        .tug("incomer N", Tug::Firm)
        .mark("incomer N", MarkResult::Made)
        .begin("B", "16.0 lbf.in")
        .finish("1 neutral", "B")
        .end("B", "16.0 lbf.in", None)
        .begin("A", "1.2 N.m")
        .click("1 cpc", "A")
        .click("1 cpc", "A")
        .finish("1 cpc", "A")
        .end("A", "1.2 N.m", None)
        .tug("bell", Tug::Firm)
        .act(Act::Disturb {
            terminals: vec!["bell".into()],
            how: DisturbedHow::Flexed,
            by: "J. Pell".into(),
            checked_by_them: None,
            why: "dressing the extras".into(),
        })
        .tug("bell", Tug::Firm)
        .tighten("timer 14", None, TorqueResult::ByHand)
        .tug("timer 14", Tug::Firm)
        .mark("timer 14", MarkResult::NotVisible)
}

#[test]
fn a_good_closed_visit() {
    snapshot("appendix__good_closed", &text(&closed(Script::new())));
}

#[test]
fn a_visit_with_everything_in_it() {
    snapshot("appendix__everything", &text(&everything()));
}

#[test]
fn a_visit_still_open() {
    let live = SourceOfSupply {
        what: "solar".into(),
        feeds: vec!["1 line".into(), "1 neutral".into()],
        state: SourceState::Live,
        shrouded: Some(true),
        decided_by: Some("Rowan Ashby".into()),
    };
    let incoming = SourceOfSupply {
        what: "incoming".into(),
        feeds: vec!["incomer L".into(), "incomer N".into()],
        state: SourceState::Dead,
        shrouded: None,
        decided_by: None,
    };
    let script = Script::new()
        .make_off("incomer L")
        .make_off("incomer N")
        .prepare("2 line", Preparation::InLay)
        .make_off("3 line")
        .begin("A", "3.0 N.m")
        .finish("incomer L", "A")
        .wait(80)
        .session(SessionCause::Resumed)
        .gate_of(vec![incoming, live]);
    snapshot("appendix__open", &text(&script));
}

#[test]
fn a_rehearsal() {
    let mut open = opening(board());
    open.rehearsal = true;
    snapshot("appendix__rehearsal", &text(&closed(Script::opened(open).framed())));
}

#[test]
fn an_abandoned_visit() {
    let script = whole_board(Script::new()).act(Act::Abandon {
        why: "the board is not fixed to the wall".into(),
        told: "M. Cole, client".into(),
    });
    snapshot("appendix__abandoned", &text(&script));
}

#[test]
fn plain_ascii() {
    let mut board = board();
    board.title = "Réception, Größe 3 – 25 mm² ± 5 %".into();
    board.site = "駅 Fennick Vale".into();
    let mut open = opening(board);
    open.person =
        Person { id: "P1".into(), name: "Zoë Łukasz-Ørsted".into(), role: "électricienne".into() };
    let script = closed(Script::opened(open).framed());
    let plain = print(&script.visit, Options { ascii: true });
    assert!(plain.is_ascii());
    snapshot("appendix__ascii", &plain);
}

/// Pages of a text: parted by form feeds, at most 60 lines, no line wider than 80 columns with its form feed.
fn pages(text: &str) -> Vec<Vec<&str>> {
    for line in text.split('\n') {
        assert!(columns(line) <= 80 && line.chars().count() <= 240, "{} columns: {line}", columns(line));
        assert!(!line.chars().any(|c| c.is_control() && c != '\u{c}'), "{line:?}");
    }
    let pages: Vec<Vec<&str>> = text.split('\u{c}').map(|page| page.lines().collect()).collect();
    for (at, page) in pages.iter().enumerate() {
        assert!(page.len() <= 60, "page {} has {} lines", at + 1, page.len());
        assert!(page[0].ends_with(&format!("page {} of {}", at + 1, pages.len())), "{}", page[0]);
    }
    pages
}

/// Rows of the terminal table whose first cell is this name.
fn rows(text: &str, name: &str) -> usize {
    let table = text.split("TERMINALS\n").nth(1).unwrap().split("\nREMARKS\n").next().unwrap();
    table.lines().filter(|line| line.chars().take(16).collect::<String>().trim_end() == name).count()
}

#[test]
fn every_page_of_what_does_not_count_says_so() {
    let mut open = opening(board());
    open.rehearsal = true;
    let rehearsed = Script::opened(open).framed();
    let banners = [
        (text(&rehearsed), "REHEARSAL, NOT CLOSED"),
        (text(&closed(rehearsed)), "REHEARSAL"),
        (text(&Script::new()), "NOT CLOSED"),
    ];
    for (text, banner) in &banners {
        for page in pages(text) {
            assert!(page[1].ends_with(banner), "{}", page[1]);
        }
    }
    assert!(pages(&text(&closed(Script::new()))).iter().all(|page| page[1].ends_with("2026-11-25")));
}

#[test]
fn the_same_record_gives_the_same_bytes() {
    for options in [Options::default(), Options { ascii: true }] {
        assert_eq!(print(&everything().visit, options), print(&everything().visit, options));
    }
    let script = everything();
    let replayed = witnessmark::session::replay(script.lines());
    assert_eq!(print(&replayed, Options::default()), text(&script));
}

#[test]
fn before_its_first_line_there_is_nothing_to_print() {
    assert_eq!(print(&witnessmark::session::Visit::empty(), Options::default()), "");
}

#[test]
fn every_prefix_of_a_visit_can_be_printed() {
    let script = everything();
    for end in 1..=script.lines().len() {
        let visit = witnessmark::session::replay(&script.lines()[..end]);
        let text = print(&visit, Options::default());
        pages(&text);
        for (_, terminal, _) in visit.terminals() {
            assert_eq!(rows(&text, terminal.name.as_str()), 1, "{} after line {end}", terminal.name);
        }
    }
}

/// Common practice, no source: what was tightened without a torque tool is never *as set*.
#[test]
fn as_set_is_taken_away_by_every_doubt() {
    let script = everything();
    let said = |name: &str| {
        let said = said_at(&script.visit, script.visit.find(&name.into()).unwrap()).unwrap();
        (said.word, said.doubts)
    };
    assert_eq!(said("2 line"), (TorqueWord::AsSet, vec![]));
    assert_eq!(said("1 cpc"), (TorqueWord::AsSet, vec![]));
    assert_eq!(said("1 line"), (TorqueWord::NotAsSet, vec![TorqueDoubt::ScaleTooHigh]));
    assert_eq!(said("finger 1"), (TorqueWord::NotAsSet, vec![TorqueDoubt::ResetOnPurpose]));
    assert_eq!(said("incomer L"), (TorqueWord::NotAsSet, vec![TorqueDoubt::ScaleNotReadAtEnd]));
    assert_eq!(said("incomer N"), (TorqueWord::NotAsSet, vec![TorqueDoubt::ByHand]));
    assert_eq!(said("1 neutral"), (TorqueWord::Pass, vec![TorqueDoubt::CalibrationLapsed]));
    assert_eq!(said("3 line"), (TorqueWord::Pass, vec![TorqueDoubt::CalibrationNotStated]));
    assert_eq!(said("timer 14").0, TorqueWord::NotJudged);
    assert!(said_at(&script.visit, script.visit.find(&"bell".into()).unwrap()).is_none());
    // the same setting with a tool whose calibration is not stated
    let mut tool = crate::scripted::driver("D");
    tool.validity = witnessmark::domain::tool::Validity::NotStated;
    tool.calibrations.clear();
    let open = Script::new().act(Act::StateTool(Box::new(tool))).enter("finger 1", None);
    let open = open.begin("D", "2.0 N.m").click("finger 1", "D");
    let at = open.visit.find(&"finger 1".into()).unwrap();
    assert_eq!(said_at(&open.visit, at).unwrap().word, TorqueWord::NotAsSet);
}

#[test]
fn a_scale_still_to_be_read_is_not_as_set() {
    let script = Script::new().enter("finger 1", None).begin("A", "2.0 N.m").click("finger 1", "A");
    let at = script.visit.find(&"finger 1".into()).unwrap();
    assert_eq!(said_at(&script.visit, at).unwrap().word, TorqueWord::ScaleToBeRead);
    let script = script.end("A", "2.0 N.m", None);
    assert_eq!(said_at(&script.visit, at).unwrap().word, TorqueWord::AsSet);
}

#[test]
fn outcomes_written_at_closing_that_do_not_follow_are_named_on_page_one() {
    let mut script = closed(Script::new());
    assert!(!text(&script).contains("NOT THOSE THAT FOLLOW"));
    let mut lines = script.lines().to_vec();
    if let Fact::Closed(closed) = &mut lines.last_mut().unwrap().fact {
        closed.outcomes[0].outcome = witnessmark::domain::record::Outcome::SetAside;
    }
    script.visit = witnessmark::session::replay(&lines);
    assert!(pages(&text(&script))[0].iter().any(|line| line.contains("NOT THOSE THAT FOLLOW")));
}

/// What an inspector must not miss stands on the first page, in this order, before anything else.
#[test]
fn the_first_page_begins_with_what_must_not_be_missed() {
    let solar = SourceOfSupply {
        what: "solar".into(),
        feeds: vec!["1 line".into()],
        state: SourceState::Live,
        shrouded: Some(false),
        decided_by: Some("Rowan Ashby".into()),
    };
    let incoming = SourceOfSupply {
        what: "incoming".into(),
        feeds: Vec::new(),
        state: SourceState::Unconnected,
        shrouded: None,
        decided_by: None,
    };
    let script = Script::new()
        .gate_of(vec![incoming, solar])
        .act(remark(RemarkOn::Board, "a nut is missing", true, None))
        .aside(&["1 line"], AsideWhy::StillLive, Some("M. Cole"));
    let text = text(&script);
    let first = pages(&text)[0].join(" ").split_whitespace().collect::<Vec<_>>().join(" ");
    let at = |words: &str| first.find(words).unwrap_or_else(|| panic!("{words} is not on page one: {first}"));
    let order = [
        at("NOT CLOSED. "),
        at("INCOMING TAILS NOT LOOKED AT BEFORE LEAVING"),
        at("BEFORE POWER ON, NOT CLEARED"),
        at("a nut is missing. Neither cleared nor handed over."),
        at("LIVE:"),
        at("not shrouded; to work beside it was decided by Rowan Ashby"),
        at("Set aside because still live: 1 line."),
        at("WHAT, WHERE, WHO"),
    ];
    assert!(order.is_sorted(), "{order:?}");
}

#[test]
fn a_last_look_that_no_longer_stands_is_no_last_look() {
    let looked = |mark| Act::LastLook {
        tails: ["incomer L", "incomer N"]
            .map(|name| TailLook { terminal: name.into(), tug: Tug::Firm, mark })
            .into(),
        why_not: None,
        covers: "back".into(),
        locks_and_tools_out: "out".into(),
        energised_by: None,
    };
    let held = whole_board(Script::new()).act(looked(MarkSeen::Held));
    assert!(!text(&held).contains("NOT LOOKED AT"));
    let moved = whole_board(Script::new()).act(looked(MarkSeen::Moved));
    let text = text(&moved);
    assert!(text.contains("INCOMING TAILS NOT LOOKED AT BEFORE LEAVING: incomer L, incomer N."), "{text}");
    assert!(text.contains("no longer stands"), "{text}");
}

#[test]
fn a_fixed_tool_is_read_once_and_a_corrected_scale_says_so() {
    let mut fixed = crate::scripted::driver("F");
    fixed.kind = witnessmark::domain::tool::ToolKind::Fixed;
    fixed.range.min = torque("2.0 N.m").value;
    fixed.range.max = fixed.range.min;
    fixed.graduation = None;
    let script = Script::new().act(Act::StateTool(Box::new(fixed))).enter("finger 1", None);
    let script = script.begin("F", "2.0 N.m").click("finger 1", "F").mark("finger 1", MarkResult::Made);
    let said = text(&script);
    assert!(said.contains("fixed tool, read once: 2.0 N.m (line 8); agrees"), "{said}");
    assert!(said.contains("the tool is fixed at it"), "{said}");
    let script = script.make_off("1 line").begin("A", "2.0 N.m").finish("1 line", "A");
    let script = script.end("A", "1.6 N.m", Some(EndCause::NotKnown));
    assert!(text(&script).contains("1.6 N.m (line 17): too low"), "{}", text(&script));
    let end = script.last().0;
    let script = slip(script, end, "typed 1.6 for 2.0", |fact| {
        if let Fact::Scale(f) = fact {
            f.read = torque("2.0 N.m");
        }
    });
    let said = text(&script);
    assert!(said.contains("2.0 N.m (line 17, slip put"), "{said}");
    assert!(said.contains("as set, 1 terminal: 1 line"), "{said}");
}

/// Names and remarks as the machine accepts them, wide letters and combining marks among them.
fn words(most: usize) -> impl Strategy<Value = String> {
    let letter = prop_oneof![
        4 => proptest::char::range('a', 'z'),
        1 => Just(' '),
        2 => proptest::char::range('\u{4e00}', '\u{4eff}'),
        1 => proptest::char::range('\u{300}', '\u{320}'),
        1 => prop_oneof![Just('é'), Just('²'), Just('·'), Just('ß'), Just('🔌'), Just('\u{fe0f}'), Just('1')],
        1 => any::<char>(),
    ];
    proptest::collection::vec(letter, 1..most).prop_filter_map("refused as a text", move |letters| {
        let text: String = letters.into_iter().collect();
        checked(&text, most).ok()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_line_is_wider_than_the_page_and_every_terminal_has_one_row(
        names in proptest::collection::vec(words(NAME_COLUMNS), 12),
        remarks in proptest::collection::vec(words(REMARK_COLUMNS), 8),
        copies in 0_usize..120,
    ) {
        let mut board = board();
        (board.reference, board.title, board.site) = (names[0].clone(), names[1].clone(), names[2].clone());
        board.location.clone_from(&remarks[0]);
        board.notes.push(remarks[1].clone());
        board.places[5].name = names[3].as_str().into();
        for (nth, terminal) in board.terminals.iter_mut().skip(9).enumerate() {
            terminal.place = names[3].as_str().into();
            terminal.name = format!("{nth}{}", names[4 + nth]).as_str().into();
            terminal.circuit = Some(names[6].clone());
        }
        let wide: Vec<String> = board.terminals.iter().skip(9).map(|t| t.name.0.clone()).collect();
        for nth in 0..copies {
            let mut copy = board.terminals[3].clone();
            copy.name = format!("c{nth}").as_str().into();
            board.terminals.push(copy);
        }
        let mut open = opening(board);
        open.person.name.clone_from(&names[7]);
        open.person.role.clone_from(&names[8]);
        open.certificate.clone_from(&remarks[2]);
        let mut tool = lapsed("B");
        tool.name.clone_from(&names[9]);
        tool.serial.clone_from(&names[10]);
        tool.override_reason = Some(remarks[3].clone());
        let script = Script::opened(open)
            .framed()
            .act(Act::StateTool(Box::new(tool)))
            .prepare(&wide[0], Preparation::Other(remarks[4].clone()))
            .act(remark(RemarkOn::Terminal(wide[0].as_str().into()), &remarks[5], true, None))
            .aside(&[&wide[1]], AsideWhy::Other(remarks[6].clone()), Some(&remarks[7]))
            .make_off("1 neutral")
            .begin("B", "16.0 lbf.in")
            .finish("1 neutral", "B")
            .act(Act::LoseScale { tool: "B".into(), why: remarks[0].clone() });
        let text = text(&script);
        pages(&text);
        for nth in 0..copies {
            prop_assert_eq!(rows(&text, &format!("c{nth}")), 1);
        }
        let plain = print(&script.visit, Options { ascii: true });
        prop_assert!(plain.is_ascii());
        pages(&plain);
    }
}

/// From notes, a row with its scale read only after the work, a wait that is over by word of mouth and one that is
/// not waited for, a tool doubted and not released, a last look taken twice.
fn as_it_goes() -> Script {
    let mut board = board();
    for clamp in board.clamps.iter_mut().filter(|clamp| clamp.name.as_str() == "outgoing cage") {
        clamp.settle = Some(Settle { wait_minutes: 15, basis: SettleBasis::OwnPractice });
    }
    let notes = format!("{}Sam Weir: this morning, the laptop was flat", witnessmark::session::NOTES_KEPT);
    let (row, three) = (Mode::Row, || vec!["1 line".into(), "3 line".into()]);
    let script = Script::opened(opening(board))
        .framed()
        .act(remark(RemarkOn::Board, &notes, false, None))
        .act(Act::Prepare {
            conductors: vec!["1 line".into(), "3 line".into()],
            how: Preparation::InLay,
            aluminium: Vec::new(),
            mode: Mode::Notes,
        });
    let script = script.enter("1 line", None).enter("3 line", None).make_off("incomer L");
    let script = script
        .act(Act::TorqueRow {
            terminals: three(),
            tool: "A".into(),
            scale_after: Some(torque("2.0 N.m")),
            count: 2,
            exceptions: Vec::new(),
            mode: row,
        })
        .act(Act::Tug { conductors: vec!["1 line".into(), "3 line".into()], result: Tug::Firm, mode: row })
        .act(Act::Mark { terminals: three(), result: MarkResult::Made, mode: row })
        .wait(20)
        .act(Act::SettleReady { terminal: "1 line".into(), how: SettleKnown::Stated })
        .act(Act::WaiveSettle { terminal: "3 line".into(), why: "the last train leaves".into() })
        .begin("A", "2.0 N.m")
        .act(Act::Settle {
            terminal: "1 line".into(),
            tool: Some("A".into()),
            result: TorqueResult::Clicked,
            turned: Some(Turned::Held),
            mode: SINGLY,
        })
        .tug("1 line", Tug::Firm)
        .mark("1 line", MarkResult::Made)
        .end("A", "2.0 N.m", None)
        .begin("A", "3.0 N.m")
        .finish("incomer L", "A")
        .end("A", "3.0 N.m", None)
        .act(Act::DoubtTool { tool: "A".into(), what: "overloaded".into() });
    let rest = ["incomer N", "finger 1", "2 line", "1 neutral", "1 cpc", "bell", "timer 14"];
    let script = script.aside(&rest, AsideWhy::Other("another day".into()), Some("M. Cole, client"));
    let script = script.aside(&["4 line"], AsideWhy::SpareWay, None).act(Act::LastLook {
        tails: vec![TailLook { terminal: "incomer L".into(), tug: Tug::Firm, mark: MarkSeen::Moved }],
        why_not: None,
        covers: "back".into(),
        locks_and_tools_out: "out".into(),
        energised_by: None,
    });
    script.aside(&["incomer L"], AsideWhy::Other("no other tool".into()), Some("M. Cole, client")).last_look()
}

#[test]
fn settling_rows_notes_and_a_doubted_tool() {
    let script = as_it_goes().close();
    let said = text(&script);
    // The torque before the wait counts beside the one after it.
    assert!(!said.contains("Struck out      2"), "{said}");
    let word = |name: &str| said_at(&script.visit, script.visit.find(&name.into()).unwrap()).unwrap();
    // As set needs both ends, and a tool that nobody doubts.
    let doubts = vec![TorqueDoubt::ToolDoubted, TorqueDoubt::ScaleAfterWork];
    for name in ["1 line", "3 line"] {
        assert_eq!((word(name).word, word(name).doubts), (TorqueWord::NotAsSet, doubts.clone()), "{name}");
    }
    snapshot("appendix__as_it_goes", &said);
}

#[test]
fn an_amended_board_keeps_the_torques_of_before_with_the_values_they_were_judged_by() {
    let script = Script::new().make_off("1 line").make_off("3 line").begin("A", "2.0 N.m");
    let script = script.finish("1 line", "A").finish("3 line", "A").end("A", "2.0 N.m", None);
    let mut amended = script.visit.board().unwrap().clone();
    amended.terminals.retain(|terminal| terminal.name.as_str() != "3 line");
    for clamp in amended.clamps.iter_mut().filter(|clamp| clamp.name.as_str() == "outgoing cage") {
        clamp.torque[0].stated = witnessmark::domain::stated::Stated::Single { value: torque("2.4 N.m") };
    }
    let script = script.act(Act::AmendBoard {
        board: Box::new(amended),
        board_sha256: "b7".repeat(32),
        reason: "as it hangs on the wall".into(),
    });
    let said = text(&script);
    for line in [
        "  Maker's value   2.0 N.m, no tolerance",
        "  Gone            done at it, no longer on the board: 3 line",
        "  Gone            3 line; 5 lines about it stay in the record",
        "  Struck out      1 torque, see DONE AGAIN",
    ] {
        assert!(said.contains(line), "{line}\n{said}");
    }
}
