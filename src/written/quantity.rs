//! Quantities of a written file: texts with their unit, so that no digit is lost on the way through binary.

use super::node::{Node, Shape};
use super::problem::{Findings, listed, quoted};
use crate::domain::torque::{Torque, Unit, Unreadable, read_decimal};
use rust_decimal::Decimal;

/// Greatest torque a file may state, N.m: five hundred. Our choice: far above any clamp of a distribution board,
/// low enough to catch a lost decimal point or unit.
const TORQUE_MAX_NM: i64 = 500;

/// What a quantity other than a torque may be.
pub(crate) struct Measure {
    /// What it is called.
    pub(crate) what: &'static str,
    /// Units as they may be written, the first one is offered.
    pub(crate) units: &'static [&'static str],
    /// It must be more than this: 0 for everything but what has a direction.
    pub(crate) more_than: i64,
    /// Most that is allowed.
    pub(crate) max: i64,
}

/// Reads a quantity with its unit, without its last zeros.
pub(crate) fn measure(node: Node<'_>, kind: &Measure, found: &mut Findings) -> Option<Decimal> {
    as_typed(node, kind, found).map(|value| value.normalize())
}

/// Reads a quantity with its unit, its digits kept.
pub(crate) fn as_typed(node: Node<'_>, kind: &Measure, found: &mut Findings) -> Option<Decimal> {
    let unit = kind.units.first().copied().unwrap_or("");
    let what = kind.what;
    let text = text_with_unit(node, what, unit, found)?;
    let (number, typed_unit) = split(&text);
    let Ok(value) = read_decimal(number) else {
        let reason = format!("the {what} {} is no number with a unit", quoted(&text));
        found.wrong(node.span(), reason, format!("write it as \"16 {unit}\", at most 9 digits"));
        return None;
    };
    if !kind.units.contains(&typed_unit) {
        let (reason, help) = if typed_unit.is_empty() {
            (format!("the {what} {} has no unit", quoted(&text)), format!("write \"{number} {unit}\""))
        } else {
            let reason = format!("the {what} {} is not in {unit}", quoted(&text));
            (reason, format!("write it in {unit}: \"{number} {unit}\" if that is what was meant"))
        };
        found.wrong(node.span(), reason, help);
        return None;
    }
    if value <= Decimal::from(kind.more_than) || value > Decimal::from(kind.max) {
        let reason = format!(
            "the {what} {} cannot be: more than {} and at most {} {unit} are allowed",
            quoted(&text),
            kind.more_than,
            kind.max
        );
        found.wrong(node.span(), reason, format!("read the {what} again and correct it"));
        return None;
    }
    Some(value)
}

/// Reads a quantity that must be whole.
pub(crate) fn whole(node: Node<'_>, kind: &Measure, found: &mut Findings) -> Option<u16> {
    let value = measure(node, kind, found)?;
    let whole = if value.is_integer() { u16::try_from(value.mantissa()).ok() } else { None };
    if whole.is_none() {
        let unit = kind.units.first().copied().unwrap_or("");
        let reason = format!("the {} must be whole, found {value} {unit}", kind.what);
        found.wrong(node.span(), reason, format!("write it without a fraction, \"12 {unit}\""));
    }
    whole
}

/// Reads a torque: more than nothing, at most 500 N.m.
pub(crate) fn torque(node: Node<'_>, what: &str, found: &mut Findings) -> Option<Torque> {
    let torque = any_torque(node, what, Unit::NewtonMetre, found)?;
    let (reason, help) = if torque.value <= Decimal::ZERO {
        ("is not more than nothing".to_owned(), "write the maker's value")
    } else if torque > Torque::new(Decimal::from(TORQUE_MAX_NM), Unit::NewtonMetre) {
        (
            format!("cannot be: at most {TORQUE_MAX_NM} N.m are allowed"),
            "look for a lost decimal point or a wrong unit (250 cN.m is 2.5 N.m)",
        )
    } else {
        return Some(torque);
    };
    let typed = match node.shape() {
        Shape::Text(text) => text,
        _ => torque.to_string(),
    };
    found.wrong(node.span(), format!("the {what} {} {reason}", quoted(&typed)), help);
    None
}

/// Reads a torque of any size; `unit` is offered where a bare number stands.
pub(crate) fn any_torque(node: Node<'_>, what: &str, unit: Unit, found: &mut Findings) -> Option<Torque> {
    let text = text_with_unit(node, what, unit.symbol(), found)?;
    let units: Vec<&str> = Unit::ALL.iter().map(|unit| unit.symbol()).collect();
    let units = listed(&units);
    let (reason, help) = match Torque::read(&text) {
        Ok(torque) => return Some(torque),
        Err(Unreadable::NoNumber) => (
            format!("the {what} {} does not begin with a number", quoted(&text)),
            "write the number, then the unit: \"2.5 N.m\"".into(),
        ),
        Err(Unreadable::TooManyDigits) => (
            format!("the {what} {} has more digits than any scale", quoted(&text)),
            "write it as printed: at most 9 digits, at most 6 after the point".into(),
        ),
        Err(Unreadable::NoUnit) => (
            format!("the {what} {} has no unit", quoted(&text)),
            format!("write \"{} N.m\" if newton metres were read; allowed are {units}", text.trim()),
        ),
        Err(Unreadable::UnknownUnit(unit)) => (
            format!("{} is no unit of torque here", quoted(&unit)),
            format!("write the value in one of {units}"),
        ),
    };
    found.wrong(node.span(), reason, help);
    None
}

/// Reads per cent, `10 %`, where the text is one: `None` where it is not.
pub(crate) fn percent(text: &str) -> Option<Decimal> {
    text.trim().strip_suffix('%').and_then(|number| read_decimal(number).ok())
}

/// The text of a quantity; a bare number is told with the edit to make.
pub(crate) fn text_with_unit(node: Node<'_>, what: &str, unit: &str, found: &mut Findings) -> Option<String> {
    match node.shape() {
        Shape::Text(text) => Some(text),
        Shape::Number(typed) => {
            let shown = quoted(typed);
            let reason = format!("the {what} is the bare number {}: it has no unit", shown.trim_matches('"'));
            let help =
                format!("write \"{} {unit}\" if that is the unit printed there", shown.trim_matches('"'));
            found.wrong(node.span(), reason, help);
            None
        }
        other => {
            let reason = format!(
                "the {what} must be a number with its unit in quotation marks, found {}",
                other.words()
            );
            found.wrong(node.head(), reason, format!("write \"... {unit}\""));
            None
        }
    }
}

fn split(text: &str) -> (&str, &str) {
    let text = text.trim();
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+')))
        .unwrap_or(text.len());
    text.split_at_checked(end).map_or((text, ""), |(number, unit)| (number.trim(), unit.trim()))
}
