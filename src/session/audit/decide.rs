//! Rules of an audit's own acts.

use super::act::{AuditAct, Measured};
use super::found::found_at;
use super::parts::{Part, look_at, part_at, populations, seen_bad};
use super::plan::{Sizes, count, draw_order, left_out};
use crate::domain::audit::draw::{BLOCK, RULE};
use crate::domain::audit::thermal::{Class, at_rated_load};
use crate::domain::names::{ConductorName, PersonId, TerminalName};
use crate::domain::record::{
    Claimed, Code, Drawn, Escalated, Fact, LookResult, Mode, Thermal, ThermalReading, ToolReach, Tug,
    VisitKind,
};
use crate::domain::text::{NAME_COLUMNS, checked};
use crate::session::act::Act;
use crate::session::refusal::Refusal;
use crate::session::visit::Visit;
use rust_decimal::Decimal;

type Facts = Result<Vec<Fact>, Refusal>;

/// Most minutes an audit is planned for.
const MINUTES_MAX: u32 = 10_000;
/// Highest temperature taken, degrees Celsius.
const CELSIUS_MAX: u32 = 1_000;

/// Decides upon an act of an audit.
pub(crate) fn decide(visit: &Visit, who: &PersonId, act: &AuditAct) -> Facts {
    if visit.opened().is_none_or(|opened| opened.visit != VisitKind::Audit) {
        return Err(Refusal::ChoiceNotPossible("only an audit has a claim, a thermal round and a draw"));
    }
    match act {
        AuditAct::LookAlike { terminals, count, mode } => look_alike(visit, who, terminals, *count, *mode),
        AuditAct::TugAlike { conductors, count, mode } => tug_alike(visit, who, conductors, *count, *mode),
        AuditAct::Claim(claimed) => claim(visit, claimed),
        AuditAct::Measure(measured) => measure(visit, measured),
        AuditAct::ThermalOver { camera } => {
            before_draw(visit)?;
            let camera = name("camera", camera)?;
            Ok(vec![Fact::Thermal(Thermal::Over { camera })])
        }
        AuditAct::NoThermal { why } => {
            before_draw(visit)?;
            if visit.audit().is_measured() {
                return Err(Refusal::ChoiceNotPossible(
                    "a terminal was measured, so there is a thermal round",
                ));
            }
            let why = crate::session::decide::text("why", why)?;
            Ok(vec![Fact::Thermal(Thermal::NotTaken { why })])
        }
        AuditAct::Draw { seed, named } => draw(visit, seed, named),
        AuditAct::Escalate { because, yes, why } => escalate(visit, because, *yes, why),
        AuditAct::Code { terminal, code } => {
            known(visit, terminal)?;
            let code = name("code", code)?;
            Ok(vec![Fact::Code(Code { terminal: terminal.clone(), code })])
        }
    }
}

/// Looks at an audit come before isolation: without touching, by the person who looks.
fn look_alike(visit: &Visit, who: &PersonId, terminals: &[TerminalName], typed: u32, mode: Mode) -> Facts {
    if typed != count(terminals.len()) {
        return Err(Refusal::CountDiffers);
    }
    let act = Act::Look {
        terminals: terminals.to_vec(),
        result: LookResult::Sound,
        untouched: looks_untouched(visit, who),
        mode,
    };
    let mut facts = crate::session::decide::decide(visit, who, &act)?;
    if let Some(Fact::Looked(looked)) = facts.first_mut() {
        looked.count = Some(typed);
    }
    Ok(facts)
}

/// Before the person's gate a look touches nothing, and the person who looks has decided so.
pub(crate) fn looks_untouched(visit: &Visit, who: &PersonId) -> Option<String> {
    let person = visit.person(who).map(|person| person.name.clone());
    person.filter(|_| visit.gate(who).is_none())
}

fn tug_alike(visit: &Visit, who: &PersonId, conductors: &[ConductorName], typed: u32, mode: Mode) -> Facts {
    if typed != count(conductors.len()) {
        return Err(Refusal::CountDiffers);
    }
    let act = Act::Tug { conductors: conductors.to_vec(), result: Tug::Firm, mode };
    let mut facts = crate::session::decide::decide(visit, who, &act)?;
    if let Some(Fact::Tugged(tugged)) = facts.first_mut() {
        tugged.count = Some(typed);
    }
    Ok(facts)
}

/// Why nothing is made off, remade or disturbed in an audit.
pub(crate) const MENDS_NOTHING: &str =
    "an audit only finds, it mends nothing: set it aside with what has to be done";

/// Whether an act of every visit has a place in an audit: it finds and mends nothing, and draws before it touches.
pub(crate) fn permits(visit: &Visit, act: &Act) -> Result<(), Refusal> {
    if visit.kind() != VisitKind::Audit {
        return Ok(());
    }
    match act {
        Act::Prepare { .. }
        | Act::Enter { .. }
        | Act::Torque { .. }
        | Act::TorqueRow { .. }
        | Act::Settle { .. }
        | Act::SettleReady { .. }
        | Act::WaiveSettle { .. }
        | Act::Mark { .. }
        | Act::Disturb { .. }
        | Act::Remake { .. }
        | Act::Replace { .. } => Err(Refusal::ChoiceNotPossible(MENDS_NOTHING)),
        Act::Tug { .. } | Act::Try { .. } if visit.audit().draw().is_none() => {
            Err(Refusal::NotYet("the draw comes before anything is tugged or tried".into()))
        }
        _ => Ok(()),
    }
}

fn name(what: &str, words: &str) -> Result<String, Refusal> {
    checked(words, NAME_COLUMNS).map_err(|bad| Refusal::BadText(format!("{what}: {}", bad.reason())))
}

fn known(visit: &Visit, name: &TerminalName) -> Result<(), Refusal> {
    visit.find(name).map(|_| ()).ok_or_else(|| Refusal::Unknown("terminal", name.0.clone()))
}

fn before_draw(visit: &Visit) -> Result<(), Refusal> {
    match visit.audit().draw() {
        None => Ok(()),
        Some(_) => {
            Err(Refusal::ChoiceNotPossible("the sample is drawn: claim and thermal round come before it"))
        }
    }
}

fn claim(visit: &Visit, claimed: &Claimed) -> Facts {
    before_draw(visit)?;
    let most = Decimal::from(MINUTES_MAX);
    let bad = |why: &str| Err(Refusal::BadQuantity(why.into()));
    if claimed.minutes < Decimal::ZERO || claimed.minutes > most {
        return bad("minutes: 0 to 10000");
    }
    if claimed.minutes_without_supply < Decimal::ZERO || claimed.minutes_without_supply > claimed.minutes {
        return bad("minutes without supply: 0 to the minutes there are");
    }
    for each in [claimed.minutes_a_tug, claimed.minutes_a_tool] {
        if each <= Decimal::ZERO || each > most {
            return bad("minutes a terminal: more than 0");
        }
    }
    if claimed.load_percent.is_some_and(|load| load <= Decimal::ZERO || load > Decimal::from(200)) {
        return bad("load: more than 0 and up to 200 per cent of the rated current");
    }
    if let ToolReach::Part { percent } = claimed.tool
        && !(1..=99).contains(&percent)
    {
        return bad("a part of the maker's value: 1 to 99 per cent");
    }
    let parts = claimed.claim.at_most >= Decimal::ZERO
        && claimed.claim.at_most < Decimal::ONE
        && claimed.claim.confidence > Decimal::ZERO
        && claimed.claim.confidence < Decimal::ONE;
    if !parts {
        return bad("a claim: at most 0 to under 100 per cent, confidence over 0 and under 100 per cent");
    }
    Ok(vec![Fact::Claim(Box::new(*claimed))])
}

fn measure(visit: &Visit, measured: &Measured) -> Facts {
    before_draw(visit)?;
    known(visit, &measured.terminal)?;
    if visit.audit().thermal_over() {
        return Err(Refusal::ChoiceNotPossible("the thermal round is over"));
    }
    let most = Decimal::from(CELSIUS_MAX);
    for celsius in [measured.temperature_c, measured.compared_c] {
        if celsius.abs() > most {
            return Err(Refusal::BadQuantity("temperatures in degrees Celsius, up to 1000".into()));
        }
    }
    let rise_k = measured.temperature_c.saturating_sub(measured.compared_c);
    let corrected_k = at_rated_load(rise_k, measured.load_a, measured.rated_a, measured.exponent)
        .map_err(|why| Refusal::BadQuantity(why.words().into()))?;
    Ok(vec![Fact::Thermal(Thermal::Reading(Box::new(ThermalReading {
        terminal: measured.terminal.clone(),
        temperature_c: measured.temperature_c,
        over: measured.over,
        compared_c: measured.compared_c,
        load_a: measured.load_a,
        rated_a: measured.rated_a,
        exponent: measured.exponent,
        corrected_k,
        class: Class::of(corrected_k, measured.over),
    })))])
}

fn draw(visit: &Visit, seed: &str, named: &[TerminalName]) -> Facts {
    before_draw(visit)?;
    let Some(claimed) = visit.audit().claimed() else {
        return Err(Refusal::NotYet("what is claimed comes before the draw".into()));
    };
    if !visit.audit().thermal_over() {
        return Err(Refusal::NotYet(
            "the thermal round comes before the draw, or a word why there is none".into(),
        ));
    }
    for (at, terminal, standing) in visit.terminals() {
        let looked = look_at(visit, &terminal.name).is_some() || standing.aside.is_some();
        if !looked && part_at(visit, at) != Part::Spare {
            return Err(Refusal::NotYet(format!(
                "{} was not looked at: the draw comes after that",
                terminal.name
            )));
        }
    }
    let spaced = seed.is_empty() || seed.contains(char::is_whitespace);
    let seed = name("seed", seed).ok().filter(|_| !spaced);
    let seed = seed.ok_or(Refusal::ChoiceNotPossible("a seed is one word without spaces"))?;
    for name in named {
        known(visit, name)?;
    }
    let (always_in, remainder) = populations(visit, named);
    let bad = always_in.iter().filter(|entry| look_at(visit, &entry.terminal).is_some_and(seen_bad)).count();
    let Some(board) = visit.board() else { return Ok(Vec::new()) };
    let sizes = Sizes::at(visit, claimed, named);
    let many = sizes.planned(claimed, count(bad));
    let first = |names: Vec<TerminalName>, many: u32| {
        names.into_iter().take(usize::try_from(many).unwrap_or(usize::MAX))
    };
    let (of_remainder, fingers) = draw_order(board, claimed, &seed, &remainder);
    let fingers = first(fingers, sizes.planned_fingers(claimed, many));
    let terminals = first(of_remainder, many).chain(fingers);
    Ok(vec![Fact::Drawn(Box::new(Drawn {
        rule: RULE.into(),
        block: count(BLOCK),
        always_in,
        terminals: terminals.collect(),
        remainder,
        seed,
    }))])
}

fn escalate(visit: &Visit, because: &TerminalName, yes: bool, why: &str) -> Facts {
    let at = visit.find(because).ok_or_else(|| Refusal::Unknown("terminal", because.0.clone()))?;
    if !found_at(visit, at).bad {
        return Err(Refusal::ChoiceNotPossible("only a bad one asks for everything"));
    }
    let added = left_out(visit);
    if added.is_empty() {
        return Err(Refusal::ChoiceNotPossible("everything is drawn already"));
    }
    let why = crate::session::decide::text("why", why)?;
    let terminals = if yes { added } else { Vec::new() };
    Ok(vec![Fact::Escalated(Escalated { because: because.clone(), yes, why, terminals })])
}
