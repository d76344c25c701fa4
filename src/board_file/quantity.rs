//! Quantities that only a board file has.

use crate::domain::iec60228;
use crate::domain::torque::read_decimal;
use crate::written::node::{Node, Shape};
use crate::written::problem::{Findings, quoted};
use crate::written::quantity::Measure;
use rust_decimal::Decimal;

pub(super) use crate::written::quantity::{measure, percent, text_with_unit, torque, whole};

/// Strip length, at most 200 mm.
pub(super) const STRIP: Measure = Measure { what: "strip length", units: &["mm"], more_than: 0, max: 200 };
/// Cross-section, at most 1000 mm².
pub(super) const CSA: Measure =
    Measure { what: "cross-section", units: &["mm2", "mm²"], more_than: 0, max: 1000 };
/// Rated current, at most 6300 A.
pub(super) const RATED: Measure = Measure { what: "rated current", units: &["A"], more_than: 0, max: 6300 };
/// Wait of a settle rule, at most 240 min.
pub(super) const WAIT: Measure = Measure { what: "wait", units: &["min", "minutes"], more_than: 0, max: 240 };
/// Interval for looking again, at most 120 months.
pub(super) const INTERVAL: Measure =
    Measure { what: "interval", units: &["months", "month"], more_than: 0, max: 120 };

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
