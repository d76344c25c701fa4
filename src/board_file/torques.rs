//! The torque of a clamp as its maker states it: statements, tables, and which one governs.

use super::quantity;
use crate::domain::conductor::Class;
use crate::domain::stated::{ReadAt, Source, Stated, Tolerance, TorqueRow};
use crate::domain::torque::Torque;
use crate::written::fields;
use crate::written::fields::{Fields, count, list, word, yes_no};
use crate::written::node::{Node, Shape};
use crate::written::problem::{Findings, listed, meant, quoted};
use rust_decimal::Decimal;

/// Words for where a torque was read.
const READ_AT: [(&str, ReadAt); 5] = [
    ("OnDevice", ReadAt::OnDevice),
    ("Leaflet", ReadAt::Leaflet),
    ("DoorLabel", ReadAt::DoorLabel),
    ("DataSheet", ReadAt::DataSheet),
    ("MakersLetter", ReadAt::MakersLetter),
];
/// What a torque can be.
const STATEMENTS: [&str; 5] = ["Value", "Range", "AtMost", "Table", "Unknown"];
const VALUE_KEYS: [&str; 8] =
    ["value", "tolerance", "source", "governing", "csa_from", "csa_to", "classes", "conductors"];
const RANGE_KEYS: [&str; 9] =
    ["from", "to", "recommended", "source", "governing", "csa_from", "csa_to", "classes", "conductors"];
const AT_MOST_KEYS: [&str; 8] =
    ["limit", "aim", "source", "governing", "csa_from", "csa_to", "classes", "conductors"];
const TABLE_KEYS: [&str; 3] = ["rows", "source", "governing"];

/// Torque of a clamp, read.
#[derive(Clone, Debug, Default)]
pub(super) struct Torques {
    /// The governing statement; empty = no maker's value known.
    pub(super) rows: Vec<TorqueRow>,
    /// The others.
    pub(super) others: Vec<TorqueRow>,
}

/// One statement: rows and whether it is named as governing.
struct Statement {
    rows: Vec<TorqueRow>,
    governing: bool,
}

/// Reads what stands behind `torque:`.
pub(super) fn read(node: Node<'_>, found: &mut Findings) -> Option<Torques> {
    match node.shape() {
        Shape::Word("Unknown") => Some(Torques::default()),
        Shape::List(items) => several(node, &items, found),
        _ => statement(node, found).map(|only| Torques { rows: only.rows, others: Vec::new() }),
    }
}

fn several(node: Node<'_>, items: &[Node<'_>], found: &mut Findings) -> Option<Torques> {
    let read: Vec<Option<Statement>> = items.iter().map(|item| statement(*item, found)).collect();
    let read: Vec<Statement> = read.into_iter().collect::<Option<_>>()?;
    let Some(first) = read.first() else {
        found.wrong(
            node.span(),
            "this list of torques is empty",
            "write Unknown where no maker's value is known",
        );
        return None;
    };
    let agree = read.iter().all(|other| same(&first.rows, &other.rows));
    let named = read.iter().filter(|one| one.governing).count();
    if named > 1 {
        let reason = format!("{named} statements are named as governing; only one can be");
        found.wrong(node.head(), reason, "leave governing: true at one of them");
        return None;
    }
    if named == 0 && !agree {
        let texts: Vec<String> = read.iter().filter_map(|one| one.rows.first()).map(told).collect();
        found.wrong(
            node.head(),
            format!("the torques stated here disagree: {}", texts.join("; ")),
            "ask the maker, or name the one that holds by writing governing: true in it",
        );
        return None;
    }
    let at = read.iter().position(|one| one.governing).unwrap_or(0);
    let mut torques = Torques::default();
    for (n, one) in read.into_iter().enumerate() {
        if n == at { torques.rows = one.rows } else { torques.others.extend(one.rows) }
    }
    Some(torques)
}

fn told(row: &TorqueRow) -> String {
    format!("{} ({})", row.stated, row.source)
}

fn same(one: &[TorqueRow], other: &[TorqueRow]) -> bool {
    let bare = |rows: &[TorqueRow]| {
        let strip = |row: &TorqueRow| {
            (row.csa_from_mm2, row.csa_to_mm2, row.classes.clone(), row.conductors, row.stated.clone())
        };
        rows.iter().map(strip).collect::<Vec<_>>()
    };
    bare(one) == bare(other)
}

fn statement(node: Node<'_>, found: &mut Findings) -> Option<Statement> {
    let Shape::Struct("Table", keys) = node.shape() else {
        let (row, governing) = row(node, None, found)?;
        return Some(Statement { rows: vec![row], governing });
    };
    let table = Fields::checked(node, "Table", keys, &TABLE_KEYS, found);
    let shared = table.get("source").map(|source| read_at(source, found));
    let governing = governs(&table, found);
    let items =
        list(table.need("rows", "[Value(value: \"2.0 N.m\", csa_to: \"6 mm2\")]", found)?, "rows", found)?;
    if items.is_empty() {
        found.wrong(table.key_span("rows"), "this table has no rows", "add a row, or write torque: Unknown");
        return None;
    }
    let rows: Vec<_> = items.iter().map(|item| row(*item, shared.as_ref(), found)).collect();
    let rows = rows.into_iter().map(|row| row.map(|(row, _)| row)).collect::<Option<Vec<_>>>()?;
    Some(Statement { rows, governing: governing? })
}

fn governs(fields: &Fields<'_>, found: &mut Findings) -> Option<bool> {
    fields.get("governing").map_or(Some(false), |node| yes_no(node, "governing", found))
}

/// One row; `shared` is the source of its table: nothing where the table has none, `Some(None)` where it has a wrong
/// one.
fn row(node: Node<'_>, shared: Option<&Option<Source>>, found: &mut Findings) -> Option<(TorqueRow, bool)> {
    let Shape::Struct(word, keys) = node.shape() else {
        not_a_statement(node, found);
        return None;
    };
    let (fields, stated) = match word {
        "Value" => {
            let fields = Fields::checked(node, "Value", keys, &VALUE_KEYS, found);
            let stated = value(&fields, found);
            (fields, stated)
        }
        "Range" => {
            let fields = Fields::checked(node, "Range", keys, &RANGE_KEYS, found);
            let stated = range(&fields, found);
            (fields, stated)
        }
        "AtMost" => {
            let fields = Fields::checked(node, "AtMost", keys, &AT_MOST_KEYS, found);
            let stated = at_most(&fields, found);
            (fields, stated)
        }
        other => {
            let reason = format!("{} is no way to state a torque", quoted(other));
            found.wrong(node.head(), reason, meant(other, &STATEMENTS, "a torque is one of"));
            return None;
        }
    };
    let source = match (fields.get("source"), shared) {
        (Some(source), _) => read_at(source, found),
        (None, Some(shared)) => shared.clone(),
        (None, None) => {
            let reason = "this torque does not say where it was read";
            let help = "add source: OnDevice (printed on the device), or source: Leaflet(\"title, number, revision\")";
            found.wrong(fields.head.clone(), reason, help);
            None
        }
    };
    let governing = governs(&fields, found);
    let (csa_from_mm2, csa_to_mm2) = csa_ends(&fields, found)?;
    let classes = fields.get("classes").map_or(Some(Vec::new()), |node| classes(node, found));
    let conductors = match fields.get("conductors") {
        Some(node) => Some(count(node, "the number of conductors", (1, 4), found)?),
        None => None,
    };
    let conductors = conductors.and_then(|count| u8::try_from(count).ok());
    let (classes, stated, source) = (classes?, stated?, source?);
    Some((TorqueRow { csa_from_mm2, csa_to_mm2, classes, conductors, stated, source }, governing?))
}

fn not_a_statement(node: Node<'_>, found: &mut Findings) {
    let (reason, help) = match node.shape() {
        Shape::Number(typed) => (
            format!(
                "the torque is the bare number {}: unit and source are missing",
                quoted(typed).trim_matches('"')
            ),
            format!(
                "write Value(value: \"{} N.m\", source: OnDevice) if that is what is printed there",
                quoted(typed).trim_matches('"')
            ),
        ),
        Shape::Text(text) => (
            format!("the torque {} does not say where it was read", quoted(&text)),
            format!("write Value(value: {}, source: OnDevice), or source: Leaflet(\"...\")", quoted(&text)),
        ),
        Shape::Word(word) => (
            format!("{} is no way to state a torque", quoted(word)),
            meant(word, &STATEMENTS, "a torque is one of"),
        ),
        other => (
            format!("a torque is expected here, found {}", other.words()),
            format!("write one of {}", listed(&STATEMENTS)),
        ),
    };
    found.wrong(node.head(), reason, help);
}

fn value(fields: &Fields<'_>, found: &mut Findings) -> Option<Stated> {
    let value =
        fields.need("value", "\"2.5 N.m\"", found).and_then(|node| quantity::torque(node, "torque", found));
    let Some(node) = fields.get("tolerance") else { return value.map(|value| Stated::Single { value }) };
    let text = quantity::text_with_unit(node, "tolerance", "%", found)?;
    if let Some(percent) = quantity::percent(&text) {
        if percent <= Decimal::ZERO || percent >= Decimal::ONE_HUNDRED {
            let reason = format!(
                "the tolerance {} cannot be: more than 0 and less than 100 % are allowed",
                quoted(&text)
            );
            found.wrong(
                node.span(),
                reason,
                "write the tolerance as printed, \"10 %\" for plus and minus ten",
            );
            return None;
        }
        return Some(Stated::Tolerance { value: value?, tolerance: Tolerance::Percent(percent) });
    }
    let by = quantity::torque(node, "tolerance", found)?;
    let value = value?;
    if by >= value {
        let reason = format!("the tolerance {by} is not less than the value {value}");
        found.wrong(node.span(), reason, "write the tolerance as printed, \"0.2 N.m\" or \"10 %\"");
        return None;
    }
    Some(Stated::Tolerance { value, tolerance: Tolerance::Torque(by) })
}

fn range(fields: &Fields<'_>, found: &mut Findings) -> Option<Stated> {
    let mut end =
        |key, example| fields.need(key, example, found).and_then(|node| quantity::torque(node, key, found));
    let (lower, upper) = (end("from", "\"2.0 N.m\""), end("to", "\"2.5 N.m\""));
    let recommended =
        fields.get("recommended").map(|node| (node, quantity::torque(node, "recommended torque", found)));
    let (lower, upper) = (lower?, upper?);
    if lower >= upper {
        let reason = format!("the range is upside down: from {lower} to {upper}");
        let help = if lower > upper {
            format!("write from: \"{upper}\", to: \"{lower}\"")
        } else {
            format!("write Value(value: \"{lower}\", source: ...) for a single value")
        };
        found.wrong(fields.key_span("from"), reason, help);
        return None;
    }
    let recommended = match recommended {
        None => None,
        Some((node, value)) => {
            let value: Torque = value?;
            if value < lower || value > upper {
                let reason = format!("the recommended {value} lies outside the permitted {lower} to {upper}");
                found.wrong(
                    node.span(),
                    reason,
                    "read both again; the recommended value lies inside the range",
                );
                return None;
            }
            Some(value)
        }
    };
    Some(Stated::Range { lower, upper, recommended })
}

fn at_most(fields: &Fields<'_>, found: &mut Findings) -> Option<Stated> {
    let upper =
        fields.need("limit", "\"1.2 N.m\"", found).and_then(|node| quantity::torque(node, "limit", found));
    let example = "\"1.0 N.m\" (your own choice below the limit; it is printed as such)";
    let aim_node = fields.need("aim", example, found)?;
    let aim = quantity::torque(aim_node, "aim", found)?;
    let upper = upper?;
    if aim > upper {
        let reason = format!("the aim {aim} lies above the limit {upper}");
        found.wrong(aim_node.span(), reason, format!("aim at {upper} or less"));
        return None;
    }
    Some(Stated::AtMost { upper, aim })
}

/// From and to, mm²: `Some((None, None))` where neither is stated.
fn csa_ends(fields: &Fields<'_>, found: &mut Findings) -> Option<(Option<Decimal>, Option<Decimal>)> {
    let from = fields.get("csa_from").map(|node| quantity::csa(node, found));
    let to = fields.get("csa_to").map(|node| quantity::csa(node, found));
    let (from, to) = (from.map_or(Some(None), |v| v.map(Some))?, to.map_or(Some(None), |v| v.map(Some))?);
    if let (Some(least), Some(most)) = (from, to)
        && least > most
    {
        let reason = format!("this row is upside down: from {least} to {most} mm2");
        let help = format!("write csa_from: \"{most} mm2\", csa_to: \"{least} mm2\"");
        found.wrong(fields.key_span("csa_from"), reason, help);
        return None;
    }
    Some((from, to))
}

/// Reads a list of conductor classes, `[1, 2, 5]`.
pub(super) fn classes(node: Node<'_>, found: &mut Findings) -> Option<Vec<Class>> {
    let items = list(node, "classes", found)?;
    let read: Vec<_> = items.iter().map(|item| class(*item, found)).collect();
    read.into_iter().collect()
}

/// Reads one conductor class: 1, 2, 5 or 6.
pub(super) fn class(node: Node<'_>, found: &mut Findings) -> Option<Class> {
    let typed = match node.shape() {
        Shape::Number(typed) => quoted(typed),
        other => other.words(),
    };
    let class = node.text().parse().ok().and_then(Class::of_number);
    if class.is_none() {
        let reason = format!("{typed} is no conductor class of IEC 60228");
        found.wrong(node.span(), reason, "write 1 (solid), 2 (stranded), 5 (flexible) or 6 (more flexible)");
    }
    class
}

/// Reads `OnDevice`, `Leaflet("title, number, revision")`.
fn read_at(node: Node<'_>, found: &mut Findings) -> Option<Source> {
    match node.shape() {
        Shape::Word("OnDevice") => Some(Source { read_at: ReadAt::OnDevice, reference: String::new() }),
        Shape::Tuple(name, items) => {
            let known = READ_AT.iter().find(|(word, _)| *word == name);
            let (Some((_, read_at)), [reference]) = (known, items.as_slice()) else {
                let reason = format!("{} is no place where a torque is read", quoted(name));
                let words: Vec<&str> = READ_AT.iter().map(|(word, _)| *word).collect();
                let help = meant(
                    name,
                    &words,
                    "write one of them with one reference, as in Leaflet(\"title, number\")",
                );
                found.wrong(node.head(), reason, help);
                return None;
            };
            let reference = fields::remark(*reference, "reference", found)?;
            Some(Source { read_at: *read_at, reference })
        }
        Shape::Word(name) => {
            let known = word(node, "place where a torque is read", &READ_AT, found)?;
            let reason = format!("the {} has no reference", known.words());
            found.wrong(
                node.span(),
                reason,
                format!("write {name}(\"title, number, revision\") as printed on it"),
            );
            None
        }
        other => {
            let reason = format!("where the torque was read is expected here, found {}", other.words());
            found.wrong(node.head(), reason, "write OnDevice, or Leaflet(\"title, number, revision\")");
            None
        }
    }
}
