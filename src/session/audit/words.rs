//! Bounds in words; the same on the screen and on the page.

use super::picture::{Bounded, Census, Picture};
use crate::domain::record::{Claimed, Fact, Plan, SizedBy, Thermal, ThermalReading};

/// What *bad* means, in words.
pub const BAD: &str = "shifts under a hand tug, damaged, or heat-marked";

/// What *bad* means where nothing is tugged.
pub const BAD_UNTUGGED: &str = "damaged or heat-marked; nothing was tugged, so what is loose is not found";

/// `1 terminal`, `3 terminals`.
fn terminals(many: u32) -> String {
    if many == 1 { "1 terminal".into() } else { format!("{many} terminals") }
}

/// The always-in terminals in one line.
#[must_use]
pub fn census(census: &Census) -> String {
    let mut said = format!("{} of {} inspected, {} bad", census.inspected, census.size, census.bad);
    if census.for_tool > 0 {
        let (tried, with_tool, moved) = (census.tried, census.for_tool, census.moved);
        said = format!("{said}; {tried} of {with_tool} tried with the tool, {moved} moved");
    }
    said
}

/// What is done at a terminal to find it bad, or moved.
fn done(what: &str) -> &'static str {
    if what == "moved" { "tried" } else { "inspected" }
}

/// A sample and its bounds in two lines: what was found, what follows.
#[must_use]
pub fn bounded(bounded: &Bounded, what: &str) -> [String; 2] {
    let (s, b) = (bounded.sampled, bounded.bounds);
    let drawn =
        if s.drawn == s.remainder { "all of them drawn".into() } else { format!("{} drawn", s.drawn) };
    let done = done(what);
    let found = format!("{}, {drawn}, {} {done}, {} {what}", terminals(s.remainder), s.inspected, s.bad);
    let missing = s.not_inspected();
    let follows = if b.provisional {
        format!(
            "provisional: at most {} {what} among {}, the {missing} drawn and not {done} left out; at most {} at \
             worst, those {missing} counted as {what}",
            b.reachable,
            s.remainder.saturating_sub(missing),
            b.worst
        )
    } else {
        format!("final, as found: at most {} {what}", b.worst)
    };
    [found, follows]
}

/// What the rest of the sample would mean, or would have meant where the audit is over: all clean, or one more that is
/// not.
#[must_use]
pub fn if_not(bounded: &Bounded, what: &str, over: bool) -> Option<String> {
    let one_more = bounded.one_more?;
    let missing = bounded.sampled.not_inspected();
    if over && bounded.bounds.provisional {
        let clean = if what == "moved" { "held" } else { "been clean" };
        return Some(format!(
            "if the {missing} not {} had {clean}: at most {} {what}; one more {what}: at most {}",
            done(what),
            bounded.rest_clean.worst,
            one_more.worst
        ));
    }
    Some(if bounded.bounds.provisional {
        let clean = if what == "moved" { "hold" } else { "are clean" };
        format!(
            "if the {} still to be {} {clean}: at most {} {what}; one more {what}: at most {}",
            missing,
            done(what),
            bounded.rest_clean.worst,
            one_more.worst
        )
    } else {
        format!("one more {what} would have meant: at most {}", one_more.worst)
    })
}

/// The numbers of an audit so far, a line each.
#[must_use]
pub fn lines(picture: &Picture) -> Vec<String> {
    let mut lines = vec![format!("always in: {}", census(&picture.always_in))];
    let [found, follows] = bounded(&picture.bad, "bad");
    lines.push(format!("remainder: {found}"));
    lines.push(follows);
    lines.extend(if_not(&picture.bad, "bad", false));
    if let Some(moved) = &picture.moved {
        let [found, follows] = bounded(moved, "moved");
        lines.push(format!("under the tool: {found}"));
        lines.push(follows);
        lines.extend(if_not(moved, "moved", false));
    }
    if let Some(moved) = &picture.fingers_moved {
        let [found, follows] = bounded(moved, "moved");
        lines.push(format!("fingers under the tool: {found}"));
        lines.push(follows);
    }
    lines.push(format!("whole board: at most {} bad at worst", picture.bad_at_worst()));
    lines
}

/// What is claimed, in words.
#[must_use]
pub fn claim(claimed: &Claimed) -> String {
    match claimed.basis {
        SizedBy::Minutes => {
            let percent =
                claimed.claim.confidence.saturating_mul(rust_decimal::Decimal::ONE_HUNDRED).normalize();
            format!("{}, at {percent} % confidence", claimed.basis.words())
        }
        SizedBy::Everything => claimed.basis.words().into(),
        _ => format!("{}, {}", claimed.claim.words(), claimed.basis.words()),
    }
}

/// What is sampled under a plan, in words.
#[must_use]
pub fn sampled(plan: Plan, tool: bool) -> &'static str {
    match (plan, tool) {
        (Plan::TugEverything, false) => "nothing",
        (Plan::TugEverything, true) => "moved",
        (Plan::SampleBoth, false) => "bad",
        (Plan::SampleBoth, true) => "bad and moved",
    }
}

/// A temperature in words, with what follows from it.
#[must_use]
pub fn thermal(reading: &ThermalReading) -> String {
    format!(
        "{} C, {} {} C, at {} A of {} A: {} K at rated load (exponent {}), {}",
        reading.temperature_c,
        reading.over.words(),
        reading.compared_c,
        reading.load_a,
        reading.rated_a,
        reading.corrected_k,
        reading.exponent,
        reading.class.words()
    )
}

/// A fact of an audit in words, its terminal first; nothing for every other fact.
#[must_use]
pub fn fact(fact: &Fact) -> Option<String> {
    Some(match fact {
        Fact::Claim(claimed) => format!("claim: {}, {}", claim(claimed), claimed.plan.words()),
        Fact::Thermal(Thermal::Reading(reading)) => {
            format!("{} hot: {} K, {}", reading.terminal, reading.corrected_k, reading.class.words())
        }
        Fact::Thermal(Thermal::Over { camera }) => format!("thermal round over, {camera}"),
        Fact::Thermal(Thermal::NotTaken { why }) => format!("no thermal round: {why}"),
        Fact::Drawn(drawn) => format!(
            "drawn with seed {}: {} of {}, {} always in",
            drawn.seed,
            drawn.of_remainder().count(),
            drawn.remainder.len(),
            drawn.always_in.len()
        ),
        Fact::Escalated(escalated) => {
            let answer = if escalated.yes { "everything now" } else { "not everything" };
            format!("{} bad: {answer}, {}", escalated.because, escalated.why)
        }
        Fact::Code(code) => format!("{} code {}", code.terminal, code.code),
        _ => return None,
    })
}
