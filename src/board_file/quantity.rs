//! Quantities of a board file: texts with their unit, so that no digit is lost on the way through binary.

use super::node::{Node, Shape};
use super::problem::{Findings, listed, quoted};
use crate::domain::iec60228;
use crate::domain::torque::{Torque, Unit, Unreadable, read_decimal};
use rust_decimal::Decimal;

/// Greatest torque a board file may state, N.m: five hundred. Our choice: far above any clamp of a distribution
/// board, low enough to catch a lost decimal point or unit.
const TORQUE_MAX_NM: i64 = 500;

/// What a quantity other than a torque may be.
pub(super) struct Measure {
    /// What it is called.
    what: &'static str,
    /// Units as they may be written, the first one is offered.
    units: &'static [&'static str],
    /// Most that is allowed.
    max: i64,
}

/// Strip length, at most 200 mm.
pub(super) const STRIP: Measure = Measure { what: "strip length", units: &["mm"], max: 200 };
/// Cross-section, at most 1000 mm².
pub(super) const CSA: Measure = Measure { what: "cross-section", units: &["mm2", "mm²"], max: 1000 };
/// Rated current, at most 6300 A.
pub(super) const RATED: Measure = Measure { what: "rated current", units: &["A"], max: 6300 };
/// Wait of a settle rule, at most 240 min.
pub(super) const WAIT: Measure = Measure { what: "wait", units: &["min", "minutes"], max: 240 };
/// Interval for looking again, at most 120 months.
pub(super) const INTERVAL: Measure = Measure { what: "interval", units: &["months", "month"], max: 120 };

/// Reads a quantity with its unit: more than nothing, no more than its most.
pub(super) fn measure(node: Node<'_>, kind: &Measure, found: &mut Findings) -> Option<Decimal> {
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
    if value <= Decimal::ZERO || value > Decimal::from(kind.max) {
        let reason = format!(
            "the {what} {} cannot be: more than 0 and at most {} {unit} are allowed",
            quoted(&text),
            kind.max
        );
        found.wrong(node.span(), reason, format!("read the {what} again and correct it"));
        return None;
    }
    Some(value.normalize())
}

/// Reads a quantity that must be whole.
pub(super) fn whole(node: Node<'_>, kind: &Measure, found: &mut Findings) -> Option<u16> {
    let value = measure(node, kind, found)?;
    let whole = if value.is_integer() { u16::try_from(value.mantissa()).ok() } else { None };
    if whole.is_none() {
        let unit = kind.units.first().copied().unwrap_or("");
        let reason = format!("the {} must be whole, found {value} {unit}", kind.what);
        found.wrong(node.span(), reason, format!("write it without a fraction, \"12 {unit}\""));
    }
    whole
}

/// What stands in a file that is still to be completed, in the place of a size that could not be read.
const NOT_SEEN: &str = "not seen";

/// Whether a size could not be read; it is kept as 0.
fn not_seen(node: Node<'_>) -> bool {
    matches!(node.shape(), Shape::Text(text) if text.trim() == NOT_SEEN)
}

/// Reads the rated current of a board; 0 where it is not seen.
pub(super) fn rated(node: Node<'_>, found: &mut Findings) -> Option<Decimal> {
    if not_seen(node) { Some(Decimal::ZERO) } else { measure(node, &RATED, found) }
}

/// Reads a cross-section that IEC 60228 lists; 0 where it is not seen.
pub(super) fn csa(node: Node<'_>, found: &mut Findings) -> Option<Decimal> {
    if not_seen(node) {
        return Some(Decimal::ZERO);
    }
    let value = measure(node, &CSA, found)?;
    if iec60228::lists(value) {
        return Some(value);
    }
    let all: Vec<String> = iec60228::csas_mm2().map(|csa| csa.to_string()).collect();
    let all: Vec<&str> = all.iter().map(String::as_str).collect();
    found.wrong(
        node.span(),
        format!("{value} mm2 is no cross-section of IEC 60228"),
        format!(
            "write \"{} mm2\" if that is what was meant; {} mm2 are listed",
            iec60228::nearest(value),
            all.join(" ")
        ),
    );
    None
}

/// Reads a thread, `M5` or `M3.5`, in mm.
pub(super) fn thread(node: Node<'_>, found: &mut Findings) -> Option<Decimal> {
    let words = match node.shape() {
        Shape::Text(text) => {
            let value = text.trim().strip_prefix('M').and_then(|number| read_decimal(number).ok());
            if let Some(value) = value.filter(|value| *value > Decimal::ONE && *value <= Decimal::from(64)) {
                return Some(value.normalize());
            }
            quoted(&text)
        }
        other => other.words(),
    };
    found.wrong(
        node.span(),
        format!("the thread must be a metric one from M1.2 to M64, found {words}"),
        "write it as \"M5\"; leave thread out if it is not known",
    );
    None
}

/// Reads a torque: more than nothing, at most 500 N.m.
pub(super) fn torque(node: Node<'_>, what: &str, found: &mut Findings) -> Option<Torque> {
    let text = text_with_unit(node, what, "N.m", found)?;
    let units: Vec<&str> = Unit::ALL.iter().map(|unit| unit.symbol()).collect();
    let units = listed(&units);
    let (reason, help) = match Torque::read(&text) {
        Ok(torque) if torque.value <= Decimal::ZERO => (
            format!("the {what} {} is not more than nothing", quoted(&text)),
            "write the maker's value".into(),
        ),
        Ok(torque) if torque > Torque::new(Decimal::from(TORQUE_MAX_NM), Unit::NewtonMetre) => (
            format!("the {what} {} cannot be: at most {TORQUE_MAX_NM} N.m are allowed", quoted(&text)),
            "look for a lost decimal point or a wrong unit (250 cN.m is 2.5 N.m)".into(),
        ),
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
pub(super) fn percent(text: &str) -> Option<Decimal> {
    text.trim().strip_suffix('%').and_then(|number| read_decimal(number).ok())
}

/// The text of a quantity; a bare number is told with the edit to make.
pub(super) fn text_with_unit(node: Node<'_>, what: &str, unit: &str, found: &mut Findings) -> Option<String> {
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
