//! Conductors of IEC 60228.

use super::file::{decimal, rows};
use witnessmark::domain::conductor::{Class, Metal};
use witnessmark::domain::iec60228;

/// Source: IEC 60228:2004 Tables 1 to 4.
#[test]
fn cross_sections_and_wires_are_those_of_iec_60228() {
    let mut listed = Vec::new();
    for row in rows("iec60228_conductors.csv") {
        let class = Class::of_number(row["class"].parse().unwrap()).unwrap();
        let csa = decimal(&row["area_mm2"]);
        assert!(iec60228::lists(csa), "{row:?}");
        listed.push(csa);
        let fixed = |key: &str| row[key].parse::<u16>().ok();
        let circular = fixed("min_wires_circular_cu");
        assert_eq!(iec60228::wires_min(class, csa, false), circular, "{row:?}");
        if let Some(aluminium) = fixed("min_wires_circular_al") {
            assert_eq!(Some(aluminium), circular, "{row:?}");
        }
        let copper = fixed("min_wires_compacted_cu");
        if let Some(copper) = copper {
            assert_eq!(iec60228::wires_min(class, csa, true), Some(copper), "{row:?}");
        }
        let least =
            |compacted: Option<u16>| circular.map(|circular| compacted.unwrap_or(circular).min(circular));
        assert_eq!(iec60228::wires_least(class, csa, Metal::Copper), least(copper), "{row:?}");
        let aluminium = fixed("min_wires_compacted_al");
        assert_eq!(iec60228::wires_least(class, csa, Metal::Aluminium), least(aluminium), "{row:?}");
    }
    listed.sort_unstable();
    listed.dedup();
    assert_eq!(listed, iec60228::csas_mm2().collect::<Vec<_>>());
}
