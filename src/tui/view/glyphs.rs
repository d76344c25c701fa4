//! Our own large figures and capitals, five rows high, in solid cells; uprights are two cells wide, so that they
//! stay readable from two metres. Absent on purpose: small letters and whatever no name or value needs.

use super::page::Page;
use ratatui::layout::Rect;

/// Rows of a large figure.
pub const ROWS: u16 = 5;

/// How widely large figures are set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Setting {
    /// Six columns a figure, two between.
    Wide,
    /// Six columns a figure, one between.
    Close,
    /// Five columns a figure, one between.
    Narrow,
}

impl Setting {
    /// From the widest to the narrowest.
    pub const ALL: [Self; 3] = [Self::Wide, Self::Close, Self::Narrow];

    fn between(self) -> &'static str {
        match self {
            Self::Wide => "  ",
            Self::Close | Self::Narrow => " ",
        }
    }
}

/// Five rows of one figure, `#` for a solid cell; nothing for a character without a shape.
fn shape(c: char) -> Option<[&'static str; 5]> {
    Some(match c.to_ascii_uppercase() {
        '0' => ["######", "##..##", "##..##", "##..##", "######"],
        '1' => ["..##", "####", "..##", "..##", "..##"],
        '2' => ["######", "....##", "######", "##....", "######"],
        '3' => ["######", "....##", ".#####", "....##", "######"],
        '4' => ["##..##", "##..##", "######", "....##", "....##"],
        '5' => ["######", "##....", "######", "....##", "######"],
        '6' => ["######", "##....", "######", "##..##", "######"],
        '7' => ["######", "....##", "...##.", "...##.", "...##."],
        '8' => ["######", "##..##", "######", "##..##", "######"],
        '9' => ["######", "##..##", "######", "....##", "######"],
        'A' => [".####.", "##..##", "######", "##..##", "##..##"],
        'B' => ["#####.", "##..##", "#####.", "##..##", "#####."],
        'C' => [".#####", "##....", "##....", "##....", ".#####"],
        'D' => ["#####.", "##..##", "##..##", "##..##", "#####."],
        'E' => ["######", "##....", "#####.", "##....", "######"],
        'F' => ["######", "##....", "#####.", "##....", "##...."],
        'G' => [".#####", "##....", "##..##", "##..##", ".#####"],
        'H' => ["##..##", "##..##", "######", "##..##", "##..##"],
        'I' => ["####", ".##.", ".##.", ".##.", "####"],
        'J' => ["....##", "....##", "....##", "##..##", "######"],
        'K' => ["##..##", "##.##.", "####..", "##.##.", "##..##"],
        'L' => ["##....", "##....", "##....", "##....", "######"],
        'M' => ["##...##", "###.###", "#######", "##.#.##", "##...##"],
        'N' => ["##...##", "###..##", "#######", "##..###", "##...##"],
        'O' => [".####.", "##..##", "##..##", "##..##", ".####."],
        'P' => ["#####.", "##..##", "#####.", "##....", "##...."],
        'Q' => [".####.", "##..##", "##..##", ".####.", "....##"],
        'R' => ["#####.", "##..##", "#####.", "##.##.", "##..##"],
        'S' => [".#####", "##....", ".####.", "....##", "#####."],
        'T' => ["######", "..##..", "..##..", "..##..", "..##.."],
        'U' => ["##..##", "##..##", "##..##", "##..##", "######"],
        'V' => ["##..##", "##..##", "##..##", ".####.", "..##.."],
        'W' => ["##...##", "##.#.##", "#######", "###.###", "##...##"],
        'X' => ["##..##", "##..##", ".####.", "##..##", "##..##"],
        'Y' => ["##..##", "##..##", ".####.", "..##..", "..##.."],
        'Z' => ["######", "...###", ".####.", "###...", "######"],
        '.' => ["..", "..", "..", "..", "##"],
        '-' => ["....", "....", "####", "....", "...."],
        '?' => ["######", "....##", "..####", "......", "..##.."],
        ' ' => ["..", "..", "..", "..", ".."],
        _ => return None,
    })
}

/// The narrow cut of a figure: an inner column less, but for those that would lose an upright.
fn narrow(c: char, rows: [&'static str; 5]) -> [String; 5] {
    let six = match c.to_ascii_uppercase() {
        'M' => Some(["##..##", "######", "######", "##..##", "##..##"]),
        'N' => Some(["##..##", "###.##", "######", "##.###", "##..##"]),
        'T' | 'Y' | '?' | 'V' => Some(rows),
        _ => None,
    };
    if let Some(rows) = six {
        return rows.map(str::to_owned);
    }
    let drop = rows.map(str::len).iter().all(|len| *len == 6);
    rows.map(|row| {
        row.chars().enumerate().filter(|(at, _)| !(drop && *at == 2)).map(|(_, cell)| cell).collect()
    })
}

/// A text as five rows of cells, `#` solid and `.` empty; nothing where a character has no shape.
#[must_use]
pub fn cells(text: &str, setting: Setting) -> Option<[String; 5]> {
    let mut rows: [String; 5] = Default::default();
    for (nth, c) in text.chars().enumerate() {
        let shape = shape(c)?;
        let shape = match setting {
            Setting::Wide | Setting::Close => shape.map(str::to_owned),
            Setting::Narrow => narrow(c, shape),
        };
        for (row, part) in rows.iter_mut().zip(&shape) {
            if nth > 0 {
                row.extend(setting.between().chars().map(|_| '.'));
            }
            row.push_str(part);
        }
    }
    Some(rows)
}

/// Columns a text takes; nothing where it has no shape.
#[must_use]
pub fn wide(text: &str, setting: Setting) -> Option<u16> {
    let [first, ..] = cells(text, setting)?;
    u16::try_from(first.len()).ok()
}

/// Draws a text in solid cells at the top left of an area.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, text: &str, setting: Setting) {
    let Some(rows) = cells(text, setting) else { return };
    for (row, cells) in (0..).zip(&rows) {
        for (col, cell) in (0..).zip(cells.chars()) {
            if cell == '#' {
                page.fill(area, row, col);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: &str = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ.-?";

    #[test]
    fn every_figure_is_a_shape_of_its_own_with_rows_of_one_width() {
        for setting in Setting::ALL {
            let mut seen: Vec<[String; 5]> = Vec::new();
            for c in ALL.chars() {
                let rows = cells(&c.to_string(), setting).unwrap();
                assert!(rows.iter().all(|row| row.len() == rows[0].len()), "{c} {setting:?}");
                assert!(!seen.contains(&rows), "{c} {setting:?} looks like another");
                seen.push(rows);
            }
        }
    }

    #[test]
    fn uprights_are_two_cells_wide() {
        for setting in Setting::ALL {
            for c in ALL.chars().filter(|c| !"?.- ".contains(*c)) {
                let rows = cells(&c.to_string(), setting).unwrap();
                for row in &rows {
                    let runs = row.split('.').filter(|run| !run.is_empty());
                    // The middle of a W and an M is one cell: two would join its legs.
                    assert!(
                        runs.clone().all(|run| run.len() >= 2 || "MW".contains(c)),
                        "{c} {setting:?} {row}"
                    );
                }
            }
        }
    }

    #[test]
    fn what_has_no_shape_has_no_width() {
        assert_eq!(wide("2.50", Setting::Narrow), Some(20));
        assert_eq!(wide("MARK", Setting::Narrow), Some(24));
        assert_eq!(wide("für", Setting::Wide), None);
    }
}
