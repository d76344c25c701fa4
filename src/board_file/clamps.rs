//! Clamp types and conductors of a board file.

use super::cover;
use super::{fit, quantity, torques};
use crate::domain::clamp::{Capacity, Clamp, ClampKind, Settle, SettleBasis};
use crate::domain::conductor::{Class, Conductor, Metal, Preparation};
use crate::domain::iec60228;
use crate::domain::names::ClampName;
use crate::written::fields;
use crate::written::fields::{Fields, Named, count, list, name, word};
use crate::written::node::{Node, Shape};
use crate::written::problem::{Findings, quoted};
use rust_decimal::Decimal;
use std::ops::Range;

const CLAMP_KEYS: [&str; 14] = [
    "kind",
    "screws",
    "screw_order",
    "thread",
    "drive",
    "strip",
    "capacity",
    "conductors",
    "preparations",
    "aluminium",
    "second_torque",
    "settle",
    "mark",
    "torque",
];
const KINDS: [(&str, ClampKind); 6] = [
    ("Cage", ClampKind::Cage),
    ("Tunnel", ClampKind::Tunnel),
    ("Saddle", ClampKind::Saddle),
    ("Stud", ClampKind::Stud),
    ("Finger", ClampKind::Finger),
    ("Spring", ClampKind::Spring),
];
const METALS: [(&str, Metal); 2] = [("Copper", Metal::Copper), ("Aluminium", Metal::Aluminium)];
const PREPARATIONS: [(&str, usize); 8] = [
    ("InLay", 0),
    ("ReTwisted", 1),
    ("Flattened", 2),
    ("FoldedBack", 3),
    ("Ferruled", 4),
    ("CompressionPin", 5),
    ("Lug", 6),
    ("Solid", 7),
];
const BASES: [(&str, SettleBasis); 2] =
    [("Maker", SettleBasis::Maker), ("OwnPractice", SettleBasis::OwnPractice)];

/// Reads all clamp types, and warns of torques that cannot be right for their thread.
pub(super) fn clamps(node: Option<Node<'_>>, found: &mut Findings) -> (Named<Clamp>, Vec<Clamp>) {
    let mut named = Named::new("clamp");
    let (mut list, mut spans) = (Vec::new(), Vec::new());
    for (name, span, value) in node.and_then(|node| fields::map(node, "clamp", found)).unwrap_or_default() {
        let (clamp, torque_span) = clamp(&name, span, value, found).unzip();
        list.extend(clamp.clone());
        spans.extend(torque_span);
        named.add(name, clamp);
    }
    fit::threads(&list, &spans, found);
    (named, list)
}

/// One clamp type, and where its torque is written.
fn clamp(
    own_name: &str,
    span: Range<usize>,
    node: Node<'_>,
    found: &mut Findings,
) -> Option<(Clamp, Range<usize>)> {
    let keys = Fields::open(node, "Clamp", &CLAMP_KEYS, found)?;
    let kind = keys.need("kind", "Cage", found).and_then(|node| word(node, "kind of clamp", &KINDS, found));
    let drive = keys.get("drive").map(|node| name(node, "drive", found));
    let strip_mm = keys.get("strip").map(|node| quantity::measure(node, &quantity::STRIP, found));
    let thread_mm = keys.get("thread").map(|node| quantity::thread(node, found));
    let capacity = keys.get("capacity").map_or(Some(Vec::new()), |node| capacity(node, found));
    let preparations = keys.get("preparations").map_or(Some(Vec::new()), |node| preparations(node, found));
    let aluminium = choice(&keys, "aluminium", &[("Allowed", true), ("NotAllowed", false)], false, found);
    let forbidden = choice(&keys, "second_torque", &[("Allowed", false), ("Forbidden", true)], false, found);
    let mark_visible = choice(&keys, "mark", &[("Visible", true), ("NotVisible", false)], true, found);
    let settle = keys.get("settle").map(|node| settle(node, found));
    let kind = kind?;
    let (screws, screw_order) = screws(&keys, kind, found)?;
    let conductors_max = conductors_max(&keys, kind, found);
    let torque = torque(&keys, kind, found);
    let clamp = Clamp {
        name: ClampName(own_name.to_owned()),
        kind,
        screws,
        screw_order,
        thread_mm: given(thread_mm)?,
        drive: given(drive)?,
        strip_mm: given(strip_mm)?,
        capacity: capacity?,
        conductors_max: conductors_max?,
        preparations: preparations?,
        aluminium: aluminium?,
        second_torque_forbidden: forbidden?,
        settle: given(settle)?,
        mark_visible: mark_visible?,
        torque: torque.as_ref()?.rows.clone(),
        not_governing: torque?.others,
    };
    second_torque(&clamp, &keys, span, found);
    let torque_span = keys.key_span("torque");
    cover::check(&clamp, torque_span.clone(), found).then_some((clamp, torque_span))
}

/// A value that may be left out: given and good, left out, or nothing where it is given and wrong.
#[allow(clippy::option_option, reason = "left out and wrong are two different things here")]
fn given<T>(value: Option<Option<T>>) -> Option<Option<T>> {
    value.map_or(Some(None), |value| value.map(Some))
}

fn choice(
    keys: &Fields<'_>,
    key: &str,
    words: &[(&'static str, bool)],
    left_out: bool,
    found: &mut Findings,
) -> Option<bool> {
    keys.get(key).map_or(Some(left_out), |node| word(node, &key.replace('_', " "), words, found))
}

fn screws(keys: &Fields<'_>, kind: ClampKind, found: &mut Findings) -> Option<(u8, Option<String>)> {
    let order = keys.get("screw_order").map(|node| name(node, "screw order", found));
    if !kind.has_screw() {
        for key in ["screws", "screw_order", "thread", "drive"] {
            if keys.get(key).is_some() {
                let reason = format!("a spring clamp has no screw, so it has no {}", key.replace('_', " "));
                found.wrong(keys.key_span(key), reason, format!("take {key} out, or name another kind"));
            }
        }
        return Some((0, None));
    }
    let screws =
        keys.get("screws").map_or(Some(1), |node| count(node, "the number of screws", (1, 2), found))?;
    let order = given(order)?;
    if screws == 2 && order.is_none() {
        let reason = "a clamp with two screws does not say which one comes first";
        found.wrong(
            keys.key_span("screws"),
            reason,
            "add screw_order: \"front, then rear\" (in your own words)",
        );
        return None;
    }
    u8::try_from(screws).ok().map(|screws| (screws, order))
}

fn conductors_max(keys: &Fields<'_>, kind: ClampKind, found: &mut Findings) -> Option<u8> {
    let Some(node) = keys.get("conductors") else { return Some(u8::from(kind.takes_conductors())) };
    if !kind.takes_conductors() {
        let reason = "a finger takes no conductor of its own";
        found.wrong(keys.key_span("conductors"), reason, "take conductors out, or name another kind");
        return None;
    }
    count(node, "the number of conductors", (1, 4), found).and_then(|count| u8::try_from(count).ok())
}

fn torque(keys: &Fields<'_>, kind: ClampKind, found: &mut Findings) -> Option<torques::Torques> {
    if kind.has_screw() {
        let example =
            "Value(value: \"2.5 N.m\", source: OnDevice), or torque: Unknown where no maker's value is known";
        return keys.need("torque", example, found).and_then(|node| torques::read(node, found));
    }
    if keys.get("torque").is_some() {
        let reason = "a spring clamp has no screw, so it has no torque";
        found.wrong(keys.key_span("torque"), reason, "take torque out, or name another kind");
    }
    Some(torques::Torques::default())
}

fn second_torque(clamp: &Clamp, keys: &Fields<'_>, span: Range<usize>, found: &mut Findings) {
    let name = quoted(clamp.name.as_str());
    if clamp.settle.is_some() && clamp.second_torque_forbidden {
        let reason = format!("the clamp {name} has a settle rule, and its maker forbids a second torque");
        let help = "take settle out; if the maker allows a second torque, write second_torque: Allowed";
        found.wrong(keys.key_span("settle"), reason, help);
    } else if clamp.settle.is_some() && !clamp.kind.has_screw() {
        found.wrong(
            keys.key_span("settle"),
            "a spring clamp has nothing to tighten again",
            "take settle out",
        );
    }
    if clamp.screws == 2 && clamp.second_torque_forbidden {
        let reason = format!("the clamp {name} has two screws and its maker forbids a second torque");
        found.warn(
            span,
            reason,
            "the first screw will not be tightened again after the second; ask the maker",
        );
    }
}

fn settle(node: Node<'_>, found: &mut Findings) -> Option<Settle> {
    let keys = Fields::open(node, "Settle", &["wait", "asked_by"], found)?;
    let wait =
        keys.need("wait", "\"15 min\"", found).and_then(|node| quantity::whole(node, &quantity::WAIT, found));
    let basis = keys.need("asked_by", "Maker, or asked_by: OwnPractice", found);
    let basis = basis.and_then(|node| word(node, "one who asks for it", &BASES, found));
    Some(Settle { wait_minutes: wait?, basis: basis? })
}

fn capacity(node: Node<'_>, found: &mut Findings) -> Option<Vec<Capacity>> {
    let items = list(node, "capacity", found)?;
    let read: Vec<_> = items.iter().map(|item| capacity_row(*item, found)).collect();
    read.into_iter().collect()
}

fn capacity_row(node: Node<'_>, found: &mut Findings) -> Option<Capacity> {
    let keys = Fields::open(node, "Capacity", &["from", "to", "classes"], found)?;
    let classes = keys.get("classes").map_or(Some(Vec::new()), |node| torques::classes(node, found));
    let mut end = |key, example| {
        let node = keys.need(key, example, found)?;
        quantity::measure(node, &quantity::CSA, found)
    };
    let (from_mm2, to_mm2) = (end("from", "\"1 mm2\""), end("to", "\"16 mm2\""));
    let (classes, from_mm2, to_mm2) = (classes?, from_mm2?, to_mm2?);
    if from_mm2 > to_mm2 {
        let reason = format!("the capacity is reversed: from {from_mm2} to {to_mm2} mm2");
        let help = format!("write from: \"{to_mm2} mm2\", to: \"{from_mm2} mm2\"");
        found.wrong(keys.key_span("from"), reason, help);
        return None;
    }
    Some(Capacity { classes, from_mm2, to_mm2 })
}

fn preparations(node: Node<'_>, found: &mut Findings) -> Option<Vec<Preparation>> {
    let items = list(node, "preparations", found)?;
    let read: Vec<_> = items.iter().map(|item| preparation(*item, found)).collect();
    read.into_iter().collect()
}

fn preparation(node: Node<'_>, found: &mut Findings) -> Option<Preparation> {
    if let Shape::Tuple("Other", items) = node.shape()
        && let [words] = items.as_slice()
    {
        return name(*words, "preparation", found).map(Preparation::Other);
    }
    let at = word(node, "preparation", &PREPARATIONS, found)?;
    Preparation::NAMED.get(at).cloned()
}

const CONDUCTOR_KEYS: [&str; 5] = ["csa", "class", "wires", "metal", "planned"];

/// Reads all conductors.
pub(super) fn conductors(node: Option<Node<'_>>, found: &mut Findings) -> Named<Conductor> {
    let mut named = Named::new("conductor");
    for (name, _, value) in node.and_then(|node| fields::map(node, "conductor", found)).unwrap_or_default() {
        named.add(name, conductor(value, found));
    }
    named
}

fn conductor(node: Node<'_>, found: &mut Findings) -> Option<Conductor> {
    let keys = Fields::open(node, "Conductor", &CONDUCTOR_KEYS, found)?;
    let csa = keys.need("csa", "\"2.5 mm2\"", found).and_then(|node| quantity::csa(node, found));
    let class = keys.need("class", "2", found).and_then(|node| torques::class(node, found));
    let wires = keys.get("wires").map(|node| count(node, "the number of wires", (1, 5_000), found));
    let metal = keys.need("metal", "Copper", found).and_then(|node| word(node, "metal", &METALS, found));
    let planned = keys.get("planned").map(|node| preparation(node, found));
    let (csa_mm2, class, wires, metal) = (csa?, class?, given(wires)?, metal?);
    if let Some(wires) = wires {
        enough_wires((csa_mm2, class, metal), wires, keys.key_span("wires"), found)?;
    }
    Some(Conductor { csa_mm2, class, wires, metal, planned: given(planned)? })
}

fn enough_wires(
    (csa_mm2, class, metal): (Decimal, Class, Metal),
    wires: u16,
    span: Range<usize>,
    found: &mut Findings,
) -> Option<()> {
    if class == Class::Solid && wires > 1 {
        let reason = format!("{wires} wires in a class 1 conductor: class 1 is one solid wire");
        found.wrong(span, reason, "write class: 2 for a stranded one, or take wires out");
        return None;
    }
    // nothing is fixed for classes 5 and 6
    let Some(least) = iec60228::wires_least(class, csa_mm2, metal) else { return Some(()) };
    if wires < least {
        let number = class.number();
        let reason =
            format!("{wires} wires at {csa_mm2} mm2, class {number}: IEC 60228 asks for at least {least}");
        let help = if wires == 1 { "write class: 1 for a solid one" } else { "count the wires again" };
        found.wrong(span, reason, help);
        return None;
    }
    Some(())
}
