//! Cross-sections and least numbers of wires of IEC 60228:2004, Tables 1 to 4.
//!
//! Checked row by row against `tests/reference/iec60228_conductors.csv`.

use super::conductor::{Class, Metal};
use rust_decimal::Decimal;

/// Cross-sections of the standard in hundredths of a mm², and from which class they are listed.
const CSA_HUNDREDTHS: [i64; 18] =
    [50, 75, 100, 150, 250, 400, 600, 1000, 1600, 2500, 3500, 5000, 7000, 9500, 12000, 15000, 18500, 24000];

/// Cross-sections of the standard, mm², smallest first.
pub fn csas_mm2() -> impl Iterator<Item = Decimal> {
    CSA_HUNDREDTHS.into_iter().map(|hundredths| Decimal::new(hundredths, 2).normalize())
}

/// Whether the standard lists this cross-section.
#[must_use]
pub fn lists(csa_mm2: Decimal) -> bool {
    csas_mm2().any(|listed| listed == csa_mm2)
}

/// The listed cross-section nearest to this one.
#[must_use]
pub fn nearest(csa_mm2: Decimal) -> Decimal {
    csas_mm2().min_by_key(|listed| listed.checked_sub(csa_mm2).map(|off| off.abs())).unwrap_or(csa_mm2)
}

/// Least number of wires of a conductor, by class; nothing where the standard fixes none (classes 5 and 6).
/// `compacted` gives the least for any stranded make-up, which compacted circular conductors have.
#[must_use]
pub fn wires_min(class: Class, csa_mm2: Decimal, compacted: bool) -> Option<u16> {
    match class {
        Class::Solid => Some(1),
        Class::Stranded => {
            let hundredths = csa_mm2.checked_mul(Decimal::ONE_HUNDRED)?;
            let at = CSA_HUNDREDTHS.iter().position(|listed| Decimal::from(*listed) == hundredths)?;
            let circular = [7, 7, 7, 7, 7, 7, 7, 7, 7, 7, 7, 19, 19, 19, 37, 37, 37, 37];
            let compact = [7, 7, 7, 7, 7, 7, 7, 6, 6, 6, 6, 6, 12, 15, 18, 18, 30, 34];
            if compacted { compact.get(at).copied() } else { circular.get(at).copied() }
        }
        Class::Flexible | Class::HighlyFlexible => None,
    }
}

/// Least number of wires of any make-up, circular or compacted, by metal: what a board file may state. Aluminium
/// compacted has fewer than copper from 120 mm² on.
#[must_use]
pub fn wires_least(class: Class, csa_mm2: Decimal, metal: Metal) -> Option<u16> {
    let circular = wires_min(class, csa_mm2, false)?;
    let compacted = wires_min(class, csa_mm2, true)?;
    let aluminium = match (class, metal) {
        (Class::Stranded, Metal::Aluminium) if csa_mm2 >= Decimal::from(240) => 30,
        (Class::Stranded, Metal::Aluminium)
            if csa_mm2 >= Decimal::from(120) && csa_mm2 <= Decimal::from(150) =>
        {
            15
        }
        _ => compacted,
    };
    Some(circular.min(compacted).min(aluminium))
}
