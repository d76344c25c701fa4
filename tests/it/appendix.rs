//! The appendix: what stands on its pages, line by line.

use crate::rig::snap;
use crate::scripted::{Script, board, closed, indicating, lapsed, opening, torque, whole_board};
use witnessmark::appendix::{Options, print};
use witnessmark::domain::conductor::Preparation;
use witnessmark::domain::record::{
    About, AsideWhy, DecidedTo, DisturbedHow, EntryFault, Fact, MarkResult, NotClicked, Person, RemarkOn,
    Reset, SessionCause, SourceOfSupply, SourceState, Strands, TorqueResult, Tug,
};
use witnessmark::session::{Act, EndCause};

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

/// Slip, remake, shifted tug, scale too low and redone, too high and kept, reset on purpose, unread end, by hand, no
/// maker's value, two remarks before power on, lapsed tool with override, indicating tool without calibration, gap,
/// second source, last look not taken.
fn everything() -> Script {
    let mut open = opening(board());
    open.own_tolerance = Some(witnessmark::domain::limits::OwnTolerance(6.into()));
    let mut script = Script::opened(open)
        .framed()
        .act(Act::StateTool(Box::new(lapsed("B"))))
        .act(Act::StateTool(Box::new(indicating("C"))))
        .act(remark(RemarkOn::Board, "an M6 nut fell behind the busbar", true, None));
    let nut = script.last();
    script = script.act(remark(
        RemarkOn::Terminal("2 line".into()),
        "ring continuity still to be tested",
        true,
        None,
    ));
    let ring = script.last();
    for name in ["incomer L", "incomer N", "1 line", "1 neutral", "1 cpc", "bell", "timer 14"] {
        script = script.make_off(name);
    }
    script = script.prepare("2 line", Preparation::Other("twisted together, then folded once".into()));
    script = script.enter("2 line", Some(EntryFault::StrandOutside)).enter("2 line", None);
    script = script.prepare("3 line", Preparation::Ferruled);
    let mistyped = script.last().0;
    script = script.enter("3 line", None).enter("finger 1", None);
    script = slip(script, mistyped, "wrong key", |fact| {
        if let Fact::Prepared(f) = fact {
            f.how = Preparation::CompressionPin;
        }
    });
    script = script.wait(35).session(SessionCause::Gap).gate();
    // too low: struck out and redone
    script = script.begin("A", "2.0 N.m").finish("1 line", "A").click("finger 1", "A");
    script = script.mark("finger 1", MarkResult::NotUsed).end("A", "1.6 N.m", Some(EndCause::NotKnown));
    // again: too high, kept after a look
    script = script.begin("A", "2.0 N.m").finish("1 line", "A").end("A", "2.4 N.m", Some(EndCause::NotKnown));
    script = script.act(Act::Decide {
        terminal: "1 line".into(),
        about: About::OverTightened,
        strands: Some(Strands::Sound),
        choice: DecidedTo::Keep,
        remark: "looked at under the lamp".into(),
    });
    // reset on purpose
    script = script.begin("A", "2.0 N.m").click("finger 1", "A").mark("finger 1", MarkResult::NotUsed);
    let cause = EndCause::Reset(Reset { by: "J. Pell".into(), why: "the pump house board".into() });
    script = script.end("A", "3.5 N.m", Some(cause));
    // shifted, then came out, remade
    let first = || vec!["2 line/1".into()];
    let singly = witnessmark::domain::record::Mode::Singly;
    script = script.begin("A", "2.0 N.m").click("2 line", "A");
    script = script.act(Act::Tug { conductors: first(), result: Tug::Shifted, mode: singly });
    script = script.act(Act::Enter { conductors: first(), fault: None, mode: singly });
    script = script.click("2 line", "A");
    script = script.act(Act::Tug { conductors: first(), result: Tug::CameOut, mode: singly });
    script = script.act(Act::Remake {
        terminal: "2 line".into(),
        conductors: first(),
        why: "end too short".into(),
    });
    script = script.act(Act::Prepare {
        conductors: first(),
        how: Preparation::FoldedBack,
        aluminium: Vec::new(),
        mode: singly,
    });
    script = script.enter("2 line", None).finish("2 line", "A").end("A", "2.0 N.m", None);
    // an indicating tool: below, then within
    let reading = |text: &str| TorqueResult::Reading {
        text: text.into(),
        value: torque(&format!("{text} N.m")).value,
        unit: witnessmark::domain::torque::Unit::NewtonMetre,
    };
    script =
        script.tighten("3 line", Some("C"), reading("1.80")).tighten("3 line", Some("C"), reading("2.05"));
    script = script.tug("3 line", Tug::Firm).mark("3 line", MarkResult::Made);
    // the end of the span cannot be read
    script = script
        .begin("A", "3.0 N.m")
        .finish("incomer L", "A")
        .act(Act::LoseScale { tool: "A".into(), why: "dropped behind the counter".into() });
    // did not click, then by hand
    script = script.tighten("incomer N", None, TorqueResult::NotClicked { why: NotClicked::Spins });
    script = script.act(Act::Decide {
        terminal: "incomer N".into(),
        about: About::NotClicked,
        strands: None,
        choice: DecidedTo::Again,
        remark: String::new(),
    });
    script = script.tighten("incomer N", None, TorqueResult::ByHand).tug("incomer N", Tug::Firm);
    script = script.mark("incomer N", MarkResult::Made);
    // lapsed tool in pound-force inches
    script = script.begin("B", "16.0 lbf.in").finish("1 neutral", "B").end("B", "16.0 lbf.in", None);
    script = script.begin("A", "1.2 N.m").click("1 cpc", "A").click("1 cpc", "A").finish("1 cpc", "A");
    script = script.end("A", "1.2 N.m", None).tug("bell", Tug::Firm).act(Act::Disturb {
        terminals: vec!["bell".into()],
        how: DisturbedHow::Flexed,
        by: "J. Pell".into(),
        checked_by_them: None,
        why: "dressing the extras".into(),
    });
    script = script.tug("bell", Tug::Firm);
    script = script.tighten("timer 14", None, TorqueResult::ByHand).tug("timer 14", Tug::Firm);
    script = script.mark("timer 14", MarkResult::NotVisible);
    script = script.aside(&["4 line"], AsideWhy::SpareWay, None);
    script = script.aside(&["timer 14"], AsideWhy::NoMakersValue, Some("M. Cole, client"));
    script = script.act(remark(
        RemarkOn::Remark(nut),
        "not found; do not energise before it is",
        false,
        Some("M. Cole, client"),
    ));
    script = script.act(remark(RemarkOn::Remark(ring), "tested, 0.4 ohm", false, None));
    script = script.act(Act::LastLook {
        tails: Vec::new(),
        why_not: Some("the distributor fits the front tomorrow".into()),
        covers: "front left off, tape and a notice".into(),
        locks_and_tools_out: "out".into(),
        energised_by: None,
    });
    script.close()
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
