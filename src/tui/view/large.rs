//! The three things read from two metres: where, what to set, what the hand needs next. Each stands in solid
//! cells with two small rows beneath; what does not fit stands whole in smaller text, never cut.

use super::glyphs::{self, Setting};
use super::page::{Page, left};
use super::words::{width, wrap};
use ratatui::layout::Rect;

/// Columns between two of them.
const GAP: u16 = 2;

/// Columns that smaller text makes do with.
const TEXT: u16 = 18;

/// Rows they take: the figures and two small rows.
pub(super) const ROWS: u16 = 7;

/// One of the three.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Large {
    /// In solid cells, where it fits.
    pub(super) figure: String,
    /// In smaller text, where it does not; whole.
    pub(super) whole: String,
    /// First small row.
    pub(super) label: String,
    /// Second small row.
    pub(super) small: String,
}

impl Large {
    /// A figure with its two small rows.
    pub(super) fn new(figure: impl Into<String>, label: impl Into<String>, small: impl Into<String>) -> Self {
        let figure = figure.into();
        Self { whole: figure.clone(), figure, label: label.into(), small: small.into() }
    }

    /// Stands whole in smaller text where the figure does not fit.
    pub(super) fn or_whole(mut self, whole: impl Into<String>) -> Self {
        self.whole = whole.into();
        self
    }

    /// With another figure and label.
    pub(super) fn named(mut self, figure: &str, label: &str) -> Self {
        figure.clone_into(&mut self.figure);
        figure.clone_into(&mut self.whole);
        label.clone_into(&mut self.label);
        self
    }

    fn wide(&self, setting: Setting) -> Option<u16> {
        glyphs::wide(&self.figure, setting)
    }
}

/// Draws the three side by side.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, three: &[Large; 3]) {
    let mut rest = area;
    for (one, columns) in three.iter().zip(arrange(area.width, three)) {
        let (room, after) = left(rest, columns, GAP);
        rest = after;
        one_of(page, room, one);
    }
}

/// Columns for each: always the same where they do, so that the eye finds them. A place with too long a name stands
/// in smaller text; only a long setting or bit moves the others aside.
fn arrange(room: u16, three: &[Large; 3]) -> [u16; 3] {
    let usable = room.saturating_sub(GAP.saturating_mul(2));
    let first = usable.saturating_mul(31) / 100;
    let last = usable.saturating_mul(36) / 100;
    let usual = [first, usable.saturating_sub(first).saturating_sub(last), last];
    let [place, setting, hand] = three;
    let text = |one: &Large| TEXT.min(width(&one.whole).saturating_add(2));
    let narrowest = |one: &Large| one.wide(Setting::Narrow).unwrap_or_else(|| text(one));
    let place = place.wide(Setting::Narrow).filter(|wide| *wide <= first).unwrap_or_else(|| text(place));
    for wide in [[place, narrowest(setting), narrowest(hand)], [place, narrowest(setting), text(hand)]] {
        if wide.iter().zip(&usual).all(|(wide, usual)| wide <= usual) {
            return usual;
        }
        let sum = wide.iter().fold(0_u16, |sum, wide| sum.saturating_add(*wide));
        if sum <= usable {
            let spare = usable.saturating_sub(sum) / 3;
            return wide.map(|wide| wide.saturating_add(spare));
        }
    }
    usual
}

fn one_of(page: &mut Page<'_>, area: Rect, one: &Large) {
    let fits = |setting: &Setting| one.wide(*setting).is_some_and(|wide| wide <= area.width);
    if let Some(setting) = Setting::ALL.into_iter().find(fits) {
        glyphs::draw(page, area, &one.figure, setting);
    } else {
        let lines = wrap(&one.whole, area.width.saturating_sub(2));
        let rows = u16::try_from(lines.len()).unwrap_or(glyphs::ROWS).min(glyphs::ROWS);
        let from = glyphs::ROWS.saturating_sub(rows) / 2;
        let style = page.theme.solid.patch(page.theme.strong);
        let widest = lines.iter().map(|line| width(line)).max().unwrap_or(0);
        for (row, line) in (from..).zip(lines) {
            let blank = " ".repeat(usize::from(widest.saturating_sub(width(&line))));
            let padded = format!(" {line}{blank} ");
            page.put(area, row, 0, &padded, style);
        }
    }
    let (label, small) = (page.theme.strong, page.theme.plain);
    page.put(area, glyphs::ROWS, 0, &one.label, label);
    page.put(area, glyphs::ROWS.saturating_add(1), 0, &one.small, small);
}
