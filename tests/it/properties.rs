//! Properties of the machine under acts that are mostly sensible: what must always hold, replay, round trips, and
//! the second, naive reader.

use crate::acts::{self, Dice, act, me, observes};
use crate::mischief::mischief;
use crate::moves::sensible;
use crate::naive;
use crate::naive_audit;
use proptest::prelude::*;
use serde_json::Value;
use std::collections::BTreeMap;
use witnessmark::domain::names::{PersonId, TerminalName};
use witnessmark::domain::record::{AsideWhy, Draft, Fact, Line, Outcome, TorqueResult, VisitKind};
use witnessmark::session::audit::AuditAct;
use witnessmark::session::audit::hot_untold;
use witnessmark::session::{
    Act, Ended, Informed, Refusal, Standing, Step, Visit, apply, closing, decide, invariant,
};

/// Counts over a run or many.
#[derive(Default)]
pub(crate) struct Tally {
    runs: usize,
    closed: usize,
    accepted: usize,
    refused: usize,
    facts: BTreeMap<&'static str, usize>,
    refusals: BTreeMap<&'static str, usize>,
}

/// Does one act, line by line: after every line of it what must always hold does hold.
pub(crate) fn careful(mut visit: Visit, who: &PersonId, act: &Act, tally: &mut Tally) -> Visit {
    match decide(&visit, who, act) {
        Err(refusal) => {
            tally.refused += 1;
            *tally.refusals.entry(refusal.kind()).or_default() += 1;
            assert!(!refusal.to_string().is_empty());
        }
        Ok(facts) => {
            tally.accepted += 1;
            for fact in facts {
                let line = acts::line_of(&visit, who, fact);
                *tally.facts.entry(line.fact.kind()).or_default() += 1;
                round_trip(&line);
                visit = apply(visit, &line);
                invariant::check(&visit).unwrap_or_else(|broken| panic!("{broken}\n{}", told(&visit)));
            }
            stands(&visit, act);
        }
    }
    visit
}

/// A record as a person reads it, for a failing test.
fn told(visit: &Visit) -> String {
    let lines = visit.lines().iter().filter(|line| line.seq.0 > 1);
    lines.map(|line| serde_json::to_string(&line.fact).unwrap() + "\n").collect()
}

fn round_trip(line: &Line) {
    let text = serde_json::to_string(line).unwrap();
    let back: Line = serde_json::from_str(&text).unwrap();
    assert_eq!(&back, line);
    assert_eq!(serde_json::to_string(&back).unwrap(), text);
    let Line { seq, time, who, writer, fact, link } = back;
    let draft = serde_json::to_string(&Draft { seq, time, who, writer, fact }).unwrap();
    assert_eq!(format!("{},\"link\":\"{link}\"}}", draft.strip_suffix('}').unwrap()), text);
}

/// What was accepted as an answer is an answer: nothing is recorded only to be struck out at once.
fn stands(visit: &Visit, act: &Act) {
    let seq = visit.lines().last().unwrap().seq;
    let lost = |wanted: &dyn Fn(Step) -> bool| {
        visit.terminals().any(|(_, _, s)| {
            let shifted = |why| why == witnessmark::session::StruckWhy::TugShifted;
            s.struck.iter().any(|k| k.seq == seq && wanted(k.step) && !shifted(k.why))
        })
    };
    let bad = match act {
        Act::Prepare { .. }
        | Act::Enter { .. }
        | Act::Torque { .. }
        | Act::TorqueRow { .. }
        | Act::Settle { .. }
        | Act::Mark { .. }
        | Act::Look { .. }
        | Act::Try { .. }
        | Act::Audit(AuditAct::LookAlike { .. } | AuditAct::TugAlike { .. })
        | Act::Tug { .. } => lost(&|_| true),
        _ => false,
    };
    assert!(!bad, "recorded and struck out at once\n{}", told(visit));
}

fn json(visit: &Visit) -> Vec<Value> {
    visit.lines().iter().map(|line| serde_json::to_value(line).unwrap()).collect()
}

fn outcome_word(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Open => "open",
        Outcome::Settling => "settling",
        Outcome::Complete => "complete",
        Outcome::CompleteWithRemark => "complete_with_remark",
        Outcome::SetAside => "set_aside",
        Outcome::NotInScope => "not_in_scope",
    }
}

/// The visit is its lines, and the second reader says the same of them; for every test that makes a record.
pub(crate) fn agrees(visit: &Visit) {
    invariant::check_fold(visit).unwrap_or_else(|broken| panic!("{broken}\n{}", told(visit)));
    let naive = naive::read(&json(visit));
    for (row, (at, terminal, standing)) in naive.rows.iter().zip(visit.terminals()) {
        let fact = |step| {
            let line = visit.line(standing.answer(step)?.seq)?;
            Some(visit.effective(line, Some(&terminal.name)).clone())
        };
        let mark = match fact(Step::Mark) {
            Some(Fact::Marked(f)) => serde_json::to_value(f.result).unwrap().as_str().unwrap().to_owned(),
            _ => "-".into(),
        };
        let by_hand = standing
            .steps
            .iter()
            .any(|step| matches!(fact(*step), Some(Fact::Torqued(f)) if f.result == TorqueResult::ByHand));
        let ours = naive::Row {
            terminal: terminal.name.0.clone(),
            outcome: outcome_word(standing.outcome),
            attempt: standing.attempt.0.into(),
            struck: standing.struck.len(),
            mark,
            by_hand,
            found: (visit.kind() == VisitKind::Audit).then(|| {
                let found = witnessmark::session::audit::found_at(visit, at);
                (found.word.words(), found.bad)
            }),
        };
        let about: String = visit
            .lines()
            .iter()
            .filter(|l| l.seq.0 > 1)
            .filter(|l| {
                visit.lines_about(at).any(|a| a.seq == l.seq)
                    || ["scale", "corrected", "scale_unread", "board_amended"].contains(&l.fact.kind())
            })
            .map(|l| format!("{} {}", l.seq, serde_json::to_string(&l.fact).unwrap()))
            .collect::<Vec<_>>()
            .join("\n");
        assert_eq!(*row, ours, "{standing:#?}\n{about}");
    }
    assert_eq!(naive.rows.len(), visit.terminals().count());
    counts_agree(visit, &naive);
    audit_agrees(visit, &naive);
}

/// Finds of an audit, counted by the second reader.
fn audit_agrees(visit: &Visit, naive: &naive::Reading) {
    let lines = json(visit);
    let (Some(audit), Some(picture)) =
        (naive_audit::Audit::of(&lines), witnessmark::session::audit::picture(visit))
    else {
        return;
    };
    let bad = |of: &dyn Fn(&str) -> bool| {
        let rows = naive.rows.iter().filter(|row| row.found.is_some_and(|(_, bad)| bad) && of(&row.terminal));
        u32::try_from(rows.count()).unwrap()
    };
    let sampled = |name: &str| audit.is_remainder(name) && (audit.tugs_everything() || audit.is_drawn(name));
    assert_eq!(picture.always_in.bad, bad(&|name| audit.is_always_in(name)));
    assert_eq!(picture.bad.sampled.bad, bad(&sampled));
    assert_eq!(u32::try_from(picture.bad_ones.len()).unwrap(), bad(&|_| true));
    let remainder = picture.drawn.remainder.len();
    assert_eq!(usize::try_from(picture.bad.sampled.remainder).unwrap(), remainder, "nothing is replaced");
    assert!(picture.bad.bounds.worst >= picture.bad.sampled.bad);
    assert!(picture.bad.bounds.worst <= picture.bad.sampled.remainder);
}

fn counts_agree(visit: &Visit, naive: &naive::Reading) {
    let counts = visit.counts();
    let theirs = ["open", "settling", "complete", "complete_with_remark", "set_aside", "not_in_scope"];
    let theirs = theirs.map(|o| naive.count(o));
    let c = counts;
    let ours = [c.open, c.settling, c.complete, c.with_remark, c.aside, c.not_in_scope];
    assert_eq!(theirs, ours);
    let entered = closing(visit).entered;
    let ours = [
        ("singly", entered.singly),
        ("way", entered.way),
        ("place", entered.place),
        ("row", entered.row),
        ("notes", entered.notes),
        ("rehearsed", entered.rehearsed),
    ];
    for (mode, count) in ours {
        assert_eq!(naive.entered.get(mode).copied().unwrap_or(0), u64::from(count), "{mode}");
    }
}

/// Number 15: from here the visit can be signed off without touching a conductor.
pub(crate) fn can_be_signed_off(mut visit: Visit, tally: &mut Tally) {
    let from = visit.next_seq();
    for _ in 0..60 {
        if visit.ended().is_some() {
            break;
        }
        let act = untouched(&visit);
        assert!(!matches!(&act, Act::LastLook { tails, .. } if !tails.is_empty()));
        let accepted = decide(&visit, &me(), &act);
        assert!(accepted.is_ok(), "{act:?}: {accepted:?}\n{}", told(&visit));
        visit = careful(visit, &me(), &act, tally);
    }
    assert!(matches!(visit.ended(), Some(Ended::Closed(_))), "no way out\n{}", told(&visit));
    let allowed = ["scale_unread", "set_aside", "told", "remark", "last_look", "signed", "closed", "session"];
    let written = visit.lines().iter().filter(|line| line.seq >= from);
    for line in written {
        assert!(allowed.contains(&line.fact.kind()), "{} on the way out", line.fact.kind());
    }
    agrees(&visit);
}

/// The next act on the way out that touches nothing.
fn untouched(visit: &Visit) -> Act {
    if visit.session().is_none() {
        return acts::beginning(witnessmark::domain::record::SessionCause::Opened);
    }
    if let Some(span) = visit.open_spans().next() {
        return Act::LoseScale { tool: span.tool.clone(), why: "no time".into() };
    }
    let named = |wanted: fn(&Standing) -> bool| -> Vec<TerminalName> {
        visit.terminals().filter(|(_, _, s)| wanted(s)).map(|(_, t, _)| t.name.clone()).collect()
    };
    let open = named(|s| matches!(s.outcome, Outcome::Open | Outcome::Settling));
    if !open.is_empty() {
        return Act::SetAside { terminals: open, why: AsideWhy::Other("no time".into()) };
    }
    let untold = named(|s| s.aside.is_some() && s.told == Informed::NotYet);
    if !untold.is_empty() {
        return Act::Tell { terminals: untold, whom: Some("S. Birch".into()) };
    }
    if let Some(hot) = hot_untold(visit).next() {
        return Act::Tell { terminals: vec![hot.clone()], whom: Some("S. Birch".into()) };
    }
    if let Some(remark) = visit.power_on().iter().find(|remark| remark.dealt_with.is_none()) {
        let on = witnessmark::domain::record::RemarkOn::Remark(remark.seq);
        let handed_to = Some("S. Birch".into());
        return Act::Remark { on, text: "handed over".into(), before_power_on: false, handed_to };
    }
    let sign = Act::Sign { person: me(), capacity: "done by".into() };
    if decide(visit, &me(), &sign).is_err() {
        return Act::LastLook {
            tails: vec![],
            why_not: Some("no time".into()),
            covers: "back".into(),
            locks_and_tools_out: "out".into(),
            energised_by: None,
        };
    }
    if decide(visit, &me(), &Act::Close).is_ok() { Act::Close } else { sign }
}

/// One whole run: so many acts, the last third winding down, then the end is looked at.
fn run(dice: &mut Dice, length: usize, wild_percent: usize, tally: &mut Tally) -> Visit {
    let mut visit = Visit::empty();
    tally.runs += 1;
    for turn in 0..length {
        if visit.ended().is_some() && dice.roll(4) != 0 {
            break;
        }
        let wild = dice.roll(100) < wild_percent;
        let act = if wild { mischief(&visit, dice) } else { sensible(&visit, dice, turn * 4 > length * 3) };
        // hands change now and then, more often where nobody else has a gate yet
        if visit.persons().len() > 1 && dice.one_in(25) {
            dice.hand = dice.of(visit.persons()).id;
        }
        visit = careful(visit, &dice.hand.clone(), &act, tally);
        if visit.opened().is_some() && dice.roll(40) == 0 {
            agrees(&visit);
            if visit.ended().is_none() {
                can_be_signed_off(visit.clone(), &mut Tally::default());
            }
        }
    }
    if visit.opened().is_some() {
        agrees(&visit);
        if visit.ended().is_none() {
            can_be_signed_off(visit.clone(), &mut Tally::default());
        }
    }
    tally.closed += usize::from(matches!(visit.ended(), Some(Ended::Closed(_))));
    visit
}

#[expect(
    clippy::print_stdout,
    reason = "the counts are read with --nocapture; the harness keeps them otherwise"
)]
fn say(shown: &str) {
    println!("{shown}");
}

#[test]
fn a_fixed_batch_of_runs_reaches_every_record_and_every_refusal() {
    let mut tally = Tally::default();
    for seed in 1..=80 {
        let mut dice = Dice::new(Vec::new(), seed);
        let length = 60 + dice.roll(200);
        let wild = [0, 10, 15, 25, 60][dice.roll(5)];
        run(&mut dice, length, wild, &mut tally);
    }
    let shown = format!(
        "{} runs, {} closed; {} acts accepted, {} refused\nrecords {:?}\nrefusals {:?}\n",
        tally.runs, tally.closed, tally.accepted, tally.refused, tally.facts, tally.refusals
    );
    say(&shown);
    assert!(tally.closed * 100 >= tally.runs * 30, "{shown}");
    let missing: Vec<&str> =
        Refusal::KINDS.into_iter().filter(|kind| !tally.refusals.contains_key(kind)).collect();
    // only at a coming back is heat found: the revisit has a batch of its own
    let missing: Vec<&str> = missing.into_iter().filter(|kind| *kind != "do_not_touch").collect();
    assert!(missing.is_empty(), "never refused as {missing:?}\n{shown}");
    let all = [
        "opened",
        "session",
        "person",
        "tool",
        "gates",
        "route",
        "board_amended",
        "scale",
        "scale_unread",
        "tool_doubted",
        "tool_released",
        "prepared",
        "entered",
        "torqued",
        "tugged",
        "marked",
        "decided",
        "settle_ready",
        "settle_waived",
        "disturbed",
        "remade",
        "replaced",
        "set_aside",
        "told",
        "taken_up",
        "remark",
        "corrected",
        "last_look",
        "signed",
        "abandoned",
        "closed",
    ];
    for kind in all {
        assert!(tally.facts.contains_key(kind), "{kind}\n{shown}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, max_shrink_iters: 100, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_done_holds_replays_and_is_read_alike(
        rolls in prop::collection::vec(any::<u32>(), 50..500),
        length in 20_usize..200,
        wild in 0_usize..60,
    ) {
        run(&mut Dice::new(rolls, 7), length, wild, &mut Tally::default());
    }

    #[test]
    fn without_an_observation_nothing_is_ever_complete(
        rolls in prop::collection::vec(any::<u32>(), 50..300),
        wild in 0_usize..80,
    ) {
        let mut dice = Dice::new(rolls, 11);
        let (mut visit, _) = act(Visit::empty(), &acts::opening(false, Some(4)));
        for turn in 0..100 {
            let next = if dice.roll(100) < wild { mischief(&visit, &mut dice) } else { sensible(&visit, &mut dice, turn > 80) };
            if !observes(&next) {
                visit = act(visit, &next).0;
            }
            let done = visit.counts().complete + visit.counts().with_remark;
            prop_assert_eq!(done, 0);
        }
    }
}
