//! The tools: what is stated of each, and everything the domain finds wrong with them, at its place.

use super::place::Places;
use super::{calibrations, notes};
use crate::domain::calibration::Interval;
use crate::domain::tool::{Adapter, ToolKind, ToolRange};
use crate::domain::toolbox::{At, Fault, KnownTool, MONTHS_MAX, Toolbox};
use crate::domain::torque::{Torque, Unit};
use crate::written::fields::{self, Fields, count, list, name, word};
use crate::written::node::{Node, Shape};
use crate::written::problem::{Findings, listed, quoted};
use crate::written::quantity::{Measure, any_torque, as_typed};
use crate::written::syntax::{Text, newer};
use jiff::civil::Date;
use rust_decimal::Decimal;

const KEYS: [&str; 2] = ["format", "tools"];
const TOOL_KEYS: [&str; 15] = [
    "name",
    "serial",
    "kind",
    "class",
    "unit",
    "range",
    "value",
    "graduation",
    "adapter",
    "interval",
    "operations",
    "calibrations",
    "doubts",
    "looked_back",
    "retired",
];
/// Kinds as the file writes them.
pub(super) const KINDS: [(&str, ToolKind); 3] =
    [("Setting", ToolKind::Setting), ("Fixed", ToolKind::Fixed), ("Indicating", ToolKind::Indicating)];
/// Lever of the tool, at most 2000 mm.
const LEVER: Measure = Measure { what: "lever", units: &["mm"], more_than: 0, max: 2000 };
/// Extension of the adapter, to either side at most 2000 mm.
const EXTENSION: Measure = Measure { what: "extension", units: &["mm"], more_than: -2000, max: 2000 };

/// Reads the whole file.
pub(super) fn toolbox(text: Text<'_>, today: Option<Date>, found: &mut Findings) -> Option<Toolbox> {
    if newer(text.node, &super::KIND, found) {
        return None;
    }
    let keys = Fields::open(text.node, "Tools", &KEYS, found)?;
    let node = keys.need("tools", "[Tool(...), ...]", found)?;
    let items = list(node, "tools", found)?;
    let mut toolbox = Toolbox::default();
    let mut places = Vec::new();
    let mut whole = true;
    for item in items {
        match tool(item, found) {
            Some((tool, at)) => {
                toolbox.tools.push(tool);
                places.push(at);
            }
            None => whole = false,
        }
    }
    for (number, fault) in toolbox.faults(today) {
        if let Some(places) = places.get(number)
            && !places.told(fault.at)
        {
            tell(&fault, places, found);
        }
    }
    for (number, advice) in toolbox.advice() {
        if let Some(places) = places.get(number)
            && !places.told(advice.at)
        {
            found.warn(places.of(advice.at), advice.reason(), advice.help());
        }
    }
    whole.then_some(toolbox)
}

fn tell(fault: &Fault, places: &Places, found: &mut Findings) {
    found.wrong(places.of(fault.at), fault.reason(), fault.help());
}

/// A tool and its places. What could not be read is told and has a stand-in that is wrong in no way that is not told
/// already, so that the rest of the tool is judged all the same.
fn tool(node: Node<'_>, found: &mut Findings) -> Option<(KnownTool, Places)> {
    let keys = Fields::open(node, "Tool", &TOOL_KEYS, found)?;
    let mut places = Places::new(keys.head.clone());
    let name = needed(&keys, ("name", "\"...\""), At::Name, &mut places, found, |node, found| {
        fields::name(node, "name of the tool", found)
    });
    let serial = ("serial", "\"...\", as engraved");
    let serial = needed(&keys, serial, At::Serial, &mut places, found, |node, found| {
        fields::name(node, "serial number", found)
    });
    let kind = keys.need("kind", "Setting, Fixed or Indicating", found);
    let kind = kind.and_then(|node| word(node, "kind of a tool", &KINDS, found));
    let unit = keys.need("unit", "\"N.m\"", found).and_then(|node| unit(node, found));
    let range = range(&keys, kind, unit, &mut places, found);
    let graduation = optional(&keys, "graduation", At::Graduation, &mut places, found, |node, found| {
        in_unit(node, "graduation", unit, found)
    });
    if kind.is_none() {
        places.unread(At::Graduation);
        places.unread(At::Class);
    }
    let class = optional(&keys, "class", At::Class, &mut places, found, |node, found| {
        fields::name(node, "class", found)
    });
    let adapter = optional(&keys, "adapter", At::Adapter, &mut places, found, adapter);
    let interval = optional(&keys, "interval", At::Interval, &mut places, found, interval);
    let operations = optional(&keys, "operations", At::Operations, &mut places, found, |node, found| {
        number(node, "the number of operations", found)
    });
    let calibrations = calibrations::read(&keys, unit, &mut places, found);
    let (doubts, looks_back, retired) = notes::read(&keys, &mut places, found);
    let tool = KnownTool {
        name: name.unwrap_or_default(),
        serial: serial.unwrap_or_default(),
        kind: kind.unwrap_or(ToolKind::Setting),
        class,
        unit: unit.unwrap_or(Unit::NewtonMetre),
        range,
        graduation,
        adapter,
        interval,
        operations,
        calibrations,
        doubts,
        retired,
        looks_back,
    };
    Some((tool, places))
}

/// A part that must be there, and its place.
fn needed<'n, T>(
    keys: &Fields<'n>,
    (key, example): (&str, &str),
    at: At,
    places: &mut Places,
    found: &mut Findings,
    read: impl FnOnce(Node<'n>, &mut Findings) -> Option<T>,
) -> Option<T> {
    let node = keys.need(key, example, found);
    let value = node.and_then(|node| {
        places.note(at, node.span());
        read(node, found)
    });
    if value.is_none() {
        places.unread(at);
    }
    value
}

/// A part that may be left out, and its place.
fn optional<'n, T>(
    keys: &Fields<'n>,
    key: &str,
    at: At,
    places: &mut Places,
    found: &mut Findings,
    read: impl FnOnce(Node<'n>, &mut Findings) -> Option<T>,
) -> Option<T> {
    let node = keys.get(key)?;
    places.note(at, if node.span().len() > 60 { node.head() } else { node.span() });
    let value = read(node, found);
    if value.is_none() {
        places.unread(at);
    }
    value
}

fn unit(node: Node<'_>, found: &mut Findings) -> Option<Unit> {
    let units: Vec<&str> = Unit::ALL.iter().map(|unit| unit.symbol()).collect();
    let (reason, span) = match node.shape() {
        Shape::Text(text) => match Unit::read(&text) {
            Some(unit) => return Some(unit),
            None => (format!("{} is no unit of torque here", quoted(&text)), node.span()),
        },
        other => (format!("the unit must be a text, found {}", other.words()), node.head()),
    };
    let help = format!("write the unit of its scale in quotation marks, one of {}", listed(&units));
    found.wrong(span, reason, help);
    None
}

/// A torque of this tool, in the unit of its scale. Where that unit could not be read, any unit does.
pub(super) fn in_unit(
    node: Node<'_>,
    what: &str,
    unit: Option<Unit>,
    found: &mut Findings,
) -> Option<Decimal> {
    let torque = any_torque(node, what, unit.unwrap_or(Unit::NewtonMetre), found)?;
    let Some(unit) = unit.filter(|unit| *unit != torque.unit) else { return Some(torque.value) };
    let reason = format!("the {what} is in {}, and this tool's scale is in {unit}", torque.unit);
    // only what is the same to the last digit is offered
    let exact = torque.exact_in(unit).decimal(6).map(|value| Torque::new(value.normalize(), unit));
    let help = match exact.filter(|exact| *exact == torque) {
        Some(exact) => format!("write \"{exact}\", or correct the unit of the tool"),
        None => format!("ask for it in {unit}, or correct the unit of the tool"),
    };
    found.wrong(node.span(), reason, help);
    None
}

/// The range, or the value of a fixed tool. Where it could not be read, one that every point lies in.
fn range(
    keys: &Fields<'_>,
    kind: Option<ToolKind>,
    unit: Option<Unit>,
    places: &mut Places,
    found: &mut Findings,
) -> ToolRange {
    let range = match kind {
        Some(ToolKind::Fixed) => fixed(keys, unit, places, found),
        Some(ToolKind::Setting | ToolKind::Indicating) => marked(keys, unit, places, found),
        // without a known kind both words may be right
        None if keys.get("value").is_some() && keys.get("range").is_some() => None,
        None if keys.get("value").is_some() => fixed(keys, unit, places, found),
        None if keys.get("range").is_some() => marked(keys, unit, places, found),
        None => None,
    };
    if kind.is_none() {
        places.unread(At::Range);
    }
    range.unwrap_or_else(|| {
        places.unread(At::Range);
        places.unread(At::Graduation);
        ToolRange { min: Decimal::ZERO, max: Decimal::MAX }
    })
}

fn fixed(
    keys: &Fields<'_>,
    unit: Option<Unit>,
    places: &mut Places,
    found: &mut Findings,
) -> Option<ToolRange> {
    if keys.get("range").is_some() {
        let reason = "a fixed tool has one value and no range";
        found.wrong(
            keys.key_span("range"),
            reason,
            "write value: \"...\", what it is made or locked for, in its place",
        );
        return None;
    }
    let node = keys.need("value", "\"2.5 N.m\", what it is made or locked for", found)?;
    places.note(At::Range, node.span());
    in_unit(node, "value", unit, found).map(|value| ToolRange { min: value, max: value })
}

fn marked(
    keys: &Fields<'_>,
    unit: Option<Unit>,
    places: &mut Places,
    found: &mut Findings,
) -> Option<ToolRange> {
    if keys.get("value").is_some() {
        let reason = "only a fixed tool has one value";
        found.wrong(
            keys.key_span("value"),
            reason,
            "write range: Range(from: \"...\", to: \"...\") in its place",
        );
        return None;
    }
    let node = keys.need("range", "Range(from: \"0.4 N.m\", to: \"4.0 N.m\")", found)?;
    places.note(At::Range, node.span());
    let ends = Fields::open(node, "Range", &["from", "to"], found)?;
    let from = ends.need("from", "\"0.4 N.m\"", found);
    let to = ends.need("to", "\"4.0 N.m\"", found);
    let from = from.and_then(|node| in_unit(node, "lowest marked value", unit, found));
    let to = to.and_then(|node| in_unit(node, "highest marked value", unit, found));
    Some(ToolRange { min: from?, max: to? })
}

fn adapter(node: Node<'_>, found: &mut Findings) -> Option<Adapter> {
    let keys = Fields::open(node, "Adapter", &["what", "lever", "extension"], found)?;
    let what = keys.need("what", "\"...\"", found).and_then(|node| name(node, "name of the adapter", found));
    let lever = keys.need("lever", "\"400 mm\", from the middle of the grip to the square drive", found);
    let lever = lever.and_then(|node| as_typed(node, &LEVER, found));
    let extension = keys.need("extension", "\"35 mm\", from the square drive to the screw", found);
    let extension = extension.and_then(|node| as_typed(node, &EXTENSION, found));
    Some(Adapter { what: what?, lever_mm: lever?, extension_mm: extension? })
}

fn interval(node: Node<'_>, found: &mut Findings) -> Option<Interval> {
    let keys = Fields::open(node, "Interval", &["months", "operations"], found)?;
    let months = keys.get("months").map(|node| count(node, "the number of months", (1, MONTHS_MAX), found));
    let operations = keys.get("operations").map(|node| number(node, "the number of operations", found));
    if months == Some(None) || operations == Some(None) {
        return None;
    }
    Some(Interval { months: months.flatten(), operations: operations.flatten() })
}

/// A whole number; how large it may be is the domain's to say.
fn number(node: Node<'_>, what: &str, found: &mut Findings) -> Option<u64> {
    if let Shape::Number(typed) = node.shape()
        && let Ok(number) = typed.parse()
    {
        return Some(number);
    }
    let reason = format!("{what} must be a whole number, found {}", node.shape().words());
    found.wrong(node.span(), reason, "write a whole number without a unit: 120");
    None
}
