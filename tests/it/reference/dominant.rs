//! Published examples in which one rectangle dominates.

use super::file::{exact, rows, same};
use witnessmark::domain::exact::Exact;
use witnessmark::domain::reckon::shape::{Shape, Which};

const OURS: &str = " as this project computes it";

/// The root of a sum of squares.
fn root_of_squares(parts: &[&str]) -> Exact {
    let sum = parts.iter().map(|part| exact(part)).fold(exact("0"), |sum, part| &sum + &(&part * &part));
    sum.root().0
}

fn times_root_three(factor: &str) -> Exact {
    &exact(factor) * &exact("3").root().0
}

fn shape(normal: &Exact, rectangle: &Exact) -> Shape {
    Shape::of(normal, rectangle, Which::Class)
}

/// The contributions of an example as this project takes them, and how many of their units make one of the file's.
fn contributions(example: &str) -> Option<(Shape, Exact)> {
    let one = exact("1");
    Some(match example {
        "S9" => (shape(&root_of_squares(&["0.001", "0.0064"]), &exact("0.05")), one),
        // micrometres; the smaller rectangle has a half-width of 25
        "S10" => {
            let other = &exact("625") * &Exact::ratio(1, 3);
            let normal = root_of_squares(&["0.46", "1.955"]);
            let normal = (&(&normal * &normal) + &other).root().0;
            (shape(&normal, &exact("50")), exact("1000"))
        }
        // millikelvins
        "S11" => {
            let normal = root_of_squares(&["15", "10", "23", "29", "58", "29", "17"]);
            (shape(&normal, &times_root_three("144")), exact("1000"))
        }
        "Supplement 1, equal rectangles" => (shape(&times_root_three("1"), &times_root_three("1")), one),
        "Supplement 1, one dominant rectangle" => {
            (shape(&times_root_three("1"), &times_root_three("10")), one)
        }
        _ => return None,
    })
}

/// What a row asks of this project's own way, where it asks anything of it.
fn ours(example: &str, quantity: &str) -> Option<Exact> {
    let (shape, units) = contributions(example.trim_end_matches(','))?;
    let half_width = shape.half_width(0.95);
    if quantity.contains("/ standard uncertainty") {
        half_width.over(&shape.standard_uncertainty())
    } else if quantity.starts_with("w (coverage 0.9545)") {
        shape.w().over(&units)
    } else if quantity.starts_with("half-width at 95 %") || quantity.starts_with("one rectangle") {
        half_width.over(&units)
    } else {
        None
    }
}

/// The guide's own figure, where the program has what it takes.
fn theirs(name: &str, quantity: &str) -> Option<Exact> {
    let only_normal = |parts: &[&str]| shape(&root_of_squares(parts), &exact("0"));
    let rectangle = shape(&exact("0"), &times_root_three("1"));
    match name {
        "S9" if quantity.starts_with("standard uncertainty") => {
            Some(only_normal(&["0.001", "0.029", "0.0064"]).standard_uncertainty())
        }
        "S10" if quantity.starts_with("standard uncertainty") => {
            Some(only_normal(&["0.46", "1.955", "15", "29"]).standard_uncertainty())
        }
        "S11" if quantity.starts_with("standard uncertainty") => {
            Some(only_normal(&["15", "10", "23", "29", "58", "144", "29", "17"]).standard_uncertainty())
        }
        "S9" if quantity.contains("essentially rectangular") => Some(rectangle.half_width(0.95)),
        "cg-15" if quantity.contains("rectangle dominates") => Some(rectangle.half_width(0.95)),
        "cg-15" if quantity.contains("normal dominates") => Some(only_normal(&["1"]).half_width(0.95)),
        "Supplement 1, one dominant rectangle" if quantity.contains("taken as normal") => {
            let normal = shape(&exact("103").root().0, &exact("0"));
            Some(normal.half_width(0.95))
        }
        _ => None,
    }
}

/// Source: EA-4/02 S9 to S11; EURAMET cg-15; JCGM 101:2008 9.2 (what was confirmed and what is from memory stands in
/// the provenance column). The contributions stand in words in the rows and are entered above by name. Left out are
/// the guides' products of rounded figures (*expanded uncertainty*), their trapezoids (*beta*, *trapezoid*, the k of
/// S10) and the exact sum of four rectangles (*half-width of the 95 % interval*): the program has one rectangle only.
#[test]
fn one_dominant_rectangle_comes_out_as_published() {
    let mut computed = 0;
    for row in rows("dominant_rectangle_published.csv") {
        let (name, quantity) = (row["name"].as_str(), row["quantity"].as_str());
        let found = match name.strip_suffix(OURS) {
            Some(example) => ours(example, quantity),
            None => theirs(name, quantity),
        };
        if let Some(found) = found {
            assert!(same(&found, &row["computed_value"]), "{} in {row:?}", found.to_f64());
            computed += 1;
        }
    }
    assert!(computed > 0);
}
