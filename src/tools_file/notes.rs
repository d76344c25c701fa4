//! What people noted about a tool: doubts, verdicts on earlier work, retirement.

use super::place::Places;
use crate::domain::toolbox::{At, Doubt, LookBack, LookBackVerdict, NoteAt, Release, Retired};
use crate::written::fields::{Fields, list, name, remark};
use crate::written::node::{Node, Shape};
use crate::written::problem::{Findings, quoted};
use jiff::civil::Date;

/// Reads all three; what could not be read is told and left out.
pub(super) fn read(
    keys: &Fields<'_>,
    places: &mut Places,
    found: &mut Findings,
) -> (Vec<Doubt>, Vec<LookBack>, Option<Retired>) {
    let mut doubts = Vec::new();
    places.note(At::Doubts, keys.key_span("doubts"));
    for item in keys.get("doubts").and_then(|node| list(node, "doubts", found)).unwrap_or_default() {
        doubts.extend(doubt(item, doubts.len(), places, found));
    }
    let mut looks_back = Vec::new();
    places.note(At::LooksBack, keys.key_span("looked_back"));
    let verdicts = keys.get("looked_back").and_then(|node| list(node, "verdicts", found));
    for item in verdicts.unwrap_or_default() {
        looks_back.extend(look_back(item, looks_back.len(), places, found));
    }
    let retired = keys.get("retired").and_then(|node| {
        let keys = Fields::open(node, "Retired", &["day", "why"], found)?;
        let day = day(&keys, At::Retired(NoteAt::Day), places, found);
        let why = text(&keys, ("why", "why"), "reason of the retirement", true, found);
        Some(Retired { day: day?, why: why? })
    });
    // one that could not be read is not one that is not there
    if keys.get("retired").is_some() && retired.is_none() {
        places.unread(At::Calibrations);
        places.unread(At::Name);
    }
    (doubts, looks_back, retired)
}

fn doubt(node: Node<'_>, number: usize, places: &mut Places, found: &mut Findings) -> Option<Doubt> {
    let keys = Fields::open(node, "Doubt", &["day", "by", "what", "released"], found)?;
    let on = day(&keys, At::Doubt(number, NoteAt::Day), places, found);
    let by = text(&keys, ("by", "who doubts it"), "name of who doubts it", false, found);
    let what = text(&keys, ("what", "what happened"), "reason of the doubt", true, found);
    let released = keys.get("released").map(|node| release(node, number, places, found));
    let released = match released {
        Some(release) => Some(release?),
        None => None,
    };
    Some(Doubt { day: on?, by: by?, what: what?, released })
}

fn release(node: Node<'_>, number: usize, places: &mut Places, found: &mut Findings) -> Option<Release> {
    let keys = Fields::open(node, "Released", &["day", "by", "why"], found)?;
    let on = day(&keys, At::Release(number, NoteAt::Day), places, found);
    let by = text(&keys, ("by", "who trusts it again"), "name of who trusts it again", false, found);
    let why = text(&keys, ("why", "why"), "reason of the release", true, found);
    Some(Release { day: on?, by: by?, why: why? })
}

fn look_back(node: Node<'_>, number: usize, places: &mut Places, found: &mut Findings) -> Option<LookBack> {
    let keys = Fields::open(node, "LookedBack", &["day", "by", "board", "record", "verdict"], found)?;
    let on = day(&keys, At::LookBack(number, NoteAt::Day), places, found);
    let by = text(&keys, ("by", "who decided"), "name of who decided", false, found);
    let board = text(&keys, ("board", "its board"), "board", false, found);
    let record = text(&keys, ("record", "its record"), "record", false, found);
    let decided = keys.need("verdict", "Stands, DoAgain or Other(\"...\")", found);
    let verdict = decided.and_then(|node| verdict(node, found));
    Some(LookBack { day: on?, by: by?, board: board?, record: record?, verdict: verdict? })
}

fn verdict(node: Node<'_>, found: &mut Findings) -> Option<LookBackVerdict> {
    match node.shape() {
        Shape::Word("Stands") => Some(LookBackVerdict::Stands),
        Shape::Word("DoAgain") => Some(LookBackVerdict::DoAgain),
        Shape::Tuple("Other", items) if items.len() == 1 => {
            items.first().and_then(|reason| remark(*reason, "verdict", found)).map(LookBackVerdict::Other)
        }
        other => {
            let reason = format!("the verdict is Stands, DoAgain or Other(\"...\"), found {}", other.words());
            found.wrong(
                node.head(),
                reason,
                "write one of the three; Other says in own words what was decided",
            );
            None
        }
    }
}

fn text(
    keys: &Fields<'_>,
    (key, said): (&str, &str),
    what: &str,
    long: bool,
    found: &mut Findings,
) -> Option<String> {
    let node = keys.need_said(key, said, "\"...\"", found)?;
    if long { remark(node, what, found) } else { name(node, what, found) }
}

/// A day; whether it can be meant is the domain's to say.
fn day(keys: &Fields<'_>, at: At, places: &mut Places, found: &mut Findings) -> Option<Date> {
    let node = keys.need("day", "\"2026-03-02\"", found)?;
    places.note(at, node.span());
    let reason = match node.shape() {
        Shape::Text(text) => match text.parse::<Date>().ok().filter(|day| day.to_string() == text) {
            Some(day) => return Some(day),
            None => format!("{} is no day", quoted(&text)),
        },
        other => format!("the day must be a text, found {}", other.words()),
    };
    found.wrong(node.span(), reason, "write year, month and day in quotation marks: \"2026-03-02\"");
    None
}
