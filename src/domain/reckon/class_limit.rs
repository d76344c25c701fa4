//! The maximum permissible relative deviation of a hand torque tool, by its type and class of ISO 6789.
//!
//! Source: ISO 6789-1:2017 clause 5.1.5. Type II class A was confirmed in one public user manual (2003 edition);
//! every other row, and the readings a point, are from memory. The column goes by the tool's own maximum and not
//! by the setting (from memory).

use crate::domain::exact::Exact;
use crate::domain::torque::Torque;
use rust_decimal::Decimal;

/// One class of tools.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ToolClass {
    /// `I` indicating, `II` setting.
    pub tool_type: &'static str,
    /// Letter within the type.
    pub letter: char,
    /// What such a tool is.
    pub description: &'static str,
    /// Limit for tools up to and including 10 N.m, ± per cent of the reference value.
    pub small_percent: u8,
    /// Limit for tools above 10 N.m, ± per cent of the reference value.
    pub large_percent: u8,
    /// Readings taken at each point.
    pub readings: u8,
    /// Whether the limits were not seen in any open text.
    pub from_memory: bool,
}

const fn class(
    tool_type: &'static str,
    letter: char,
    description: &'static str,
    percent: (u8, u8),
    readings: u8,
) -> ToolClass {
    let (small_percent, large_percent) = percent;
    ToolClass { tool_type, letter, description, small_percent, large_percent, readings, from_memory: true }
}

/// Every class, type I first. Only type II class A was seen in an open text.
pub const CLASSES: [ToolClass; 12] = [
    class("I", 'A', "wrench with torsion or flexion bar", (6, 6), 5),
    class("I", 'B', "wrench with rigid housing and scale, dial or display", (6, 4), 5),
    class("I", 'C', "wrench with rigid housing and electronic measurement", (6, 4), 5),
    class("I", 'D', "screwdriver with scale, dial or display", (6, 6), 5),
    class("I", 'E', "screwdriver with electronic measurement", (6, 4), 5),
    ToolClass {
        from_memory: false,
        ..class("II", 'A', "wrench, adjustable, graduated or with display", (6, 4), 5)
    },
    class("II", 'B', "wrench, fixed setting", (6, 4), 10),
    class("II", 'C', "wrench, adjustable, not graduated", (6, 4), 10),
    class("II", 'D', "screwdriver, adjustable, graduated or with display", (6, 6), 5),
    class("II", 'E', "screwdriver, fixed setting", (6, 6), 10),
    class("II", 'F', "screwdriver, adjustable, not graduated", (6, 6), 10),
    class("II", 'G', "wrench with flexion bar, adjustable, graduated", (6, 6), 5),
];

/// Words that may stand around type and letter.
const AROUND: &[&str] = &["ISO", "DIN", "EN", "BS", "TYPE", "CLASS"];

/// The class a tool's own words name: `II D`, `IIA`, `Type I class C`, `ISO 6789-1:2017 Type II, Class A`.
#[must_use]
pub fn named(text: &str) -> Option<ToolClass> {
    let upper = text.to_uppercase().replace("6789-1", "6789").replace("6789-2", "6789");
    let mut rest = String::new();
    for word in upper.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()) {
        let number_of_a_standard = word.len() > 2 && word.bytes().all(|b| b.is_ascii_digit());
        if !AROUND.contains(&word) && !number_of_a_standard {
            rest.push_str(word);
        }
    }
    let letter = rest.pop()?;
    let tool_type = match rest.as_str() {
        "1" => "I",
        "2" => "II",
        roman => roman,
    };
    CLASSES.into_iter().find(|class| class.tool_type == tool_type && class.letter == letter)
}

/// The limit of a tool by its class as printed and its maximum, ± per cent of the reference value; nothing where
/// the words name no class.
#[must_use]
pub fn limit_percent(text: &str, tool_max: &Torque) -> Option<Decimal> {
    let class = named(text)?;
    let small = tool_max.exact_nm() <= Exact::ratio(10, 1);
    Some(Decimal::from(if small { class.small_percent } else { class.large_percent }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_class_is_read_however_it_is_printed() {
        let named = |text| named(text).map(|class| format!("{} {}", class.tool_type, class.letter));
        for text in ["II D", "IID", "ii d", "Type II class D", "ISO 6789-1:2017 Type II, Class D", "2D"] {
            assert_eq!(named(text).as_deref(), Some("II D"), "{text}");
        }
        assert_eq!(named("Type I class C").as_deref(), Some("I C"));
        for text in ["", "D", "III A", "II H", "I G", "click", "ISO 6789", "Type II", "I", "é"] {
            assert_eq!(named(text), None, "{text}");
        }
    }

    /// Ten newton metres in any unit belong to the lower column (from memory).
    #[test]
    fn the_column_goes_by_the_maximum_of_the_tool() {
        let limit = |max: &str| limit_percent("II A", &Torque::read(max).unwrap()).unwrap().to_string();
        assert_eq!(limit("10 N.m"), "6");
        assert_eq!(limit("1000 cN.m"), "6");
        assert_eq!(limit("10.01 N.m"), "4");
        assert_eq!(limit("88.5 lbf.in"), "6");
        assert_eq!(limit("88.6 lbf.in"), "4");
    }
}
