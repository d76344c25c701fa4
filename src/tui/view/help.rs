//! Help: the key table, group by group, and what the signs on the drawing mean.

use super::page::{Page, bottom, left, top};
use super::words::{width, wrap};
use super::{footer, walk};
use crate::domain::record::VisitKind;
use crate::session::desk::State;
use crate::tui::keys::{self, KeyGroup, KeyRow, PageDoing};
use crate::tui::ui::Ui;
use ratatui::layout::Rect;

/// A line of the help.
struct Line {
    keys: String,
    words: String,
    kind: Kind,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// Name of a group.
    Heading,
    /// A key and what it does.
    Key,
    /// Words over the whole width.
    Words,
}

/// Draws the whole screen over a visit.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, state: &State, ui: &Ui) {
    let (rest, last) = bottom(area, 1);
    let kind = state.visit.opened().map_or(state.desk.start.visit, |opened| opened.visit);
    put(page, rest, &lines(rest.width, kind), ui);
    footer::draw(page, last, state, ui, &state.question());
}

/// Draws the whole screen over a page away from a visit: the keys that mean something there.
pub(super) fn draw_away(page: &mut Page<'_>, area: Rect, doings: &[PageDoing], ui: &Ui) {
    let (rest, _) = bottom(area, 1);
    let mut lines = Vec::new();
    let title =
        |group: KeyGroup| if group == KeyGroup::Move { "going about the pages" } else { group.words() };
    groups(&mut lines, rest.width, title, |row| keys::away(row, doings));
    lines.extend(licence(rest.width));
    put(page, rest, &lines, ui);
}

fn put(page: &mut Page<'_>, area: Rect, lines: &[Line], ui: &Ui) {
    let (title, body) = top(area, 1);
    let room = usize::from(body.height);
    let most = lines.len().saturating_sub(room);
    let from = usize::from(ui.help_scroll).min(most);
    let shown_to = from.saturating_add(room).min(lines.len());
    page.put(title, 0, 0, "HELP", page.theme.strong);
    let place = format!("lines {} to {shown_to} of {}", from.saturating_add(1), lines.len());
    page.put_right(title, 0, &place, page.theme.plain);
    for (row, line) in (0..).zip(lines.iter().skip(from).take(room)) {
        let style = if line.kind == Kind::Heading { page.theme.strong } else { page.theme.plain };
        page.put(body, row, 0, &line.keys, page.theme.strong);
        let (_, words) = left(body, if line.kind == Kind::Key { keys_wide() } else { 0 }, 0);
        page.put(words, row, 0, &line.words, style);
    }
}

/// Columns of the keys.
fn keys_wide() -> u16 {
    keys::table().iter().map(|row| width(row.keys)).max().unwrap_or(0).saturating_add(4)
}

fn lines(room: u16, kind: VisitKind) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    groups(&mut lines, room, KeyGroup::words, |row| keys::of_visit(row, kind));
    lines.push(heading(""));
    lines.push(heading("signs on the drawing; they are never keys"));
    lines.extend(walk::legend(true, room.saturating_sub(4)).iter().map(|words| plain(words)));
    lines.push(heading(""));
    lines.push(heading("the torque scale"));
    for words in SCALE {
        lines.extend(wrap(words, room.saturating_sub(4)).iter().map(|words| plain(words)));
    }
    lines.extend(licence(room));
    lines
}

/// The marks of the torque scale.
const SCALE: [&str; 4] = [
    "[ ] the maker's limits; none where the maker gives one value without tolerance",
    "( ) what passes once the error of the tool is taken off",
    "^ the value that is aimed at; the setting beside it is corrected for the tool",
    "The word behind it is the result of the last tightening.",
];

fn heading(words: &str) -> Line {
    Line { keys: String::new(), words: words.to_owned(), kind: Kind::Heading }
}

fn plain(words: &str) -> Line {
    Line { keys: String::new(), words: format!("  {words}"), kind: Kind::Words }
}

/// Every group of keys that has any, each key with its words.
fn groups(
    lines: &mut Vec<Line>,
    room: u16,
    title: impl Fn(KeyGroup) -> &'static str,
    words_of: impl Fn(&KeyRow) -> Option<&'static str>,
) {
    for group in KeyGroup::ALL {
        let rows = keys::table().iter().filter(|row| row.group == group);
        let rows: Vec<_> = rows.filter_map(|row| Some((row.keys, words_of(row)?))).collect();
        if rows.is_empty() {
            continue;
        }
        if !lines.is_empty() {
            lines.push(heading(""));
        }
        lines.push(heading(title(group)));
        for (keys, words) in rows {
            let mut keys = format!("  {keys}");
            for words in wrap(words, room.saturating_sub(keys_wide())) {
                lines.push(Line { keys: std::mem::take(&mut keys), words, kind: Kind::Key });
            }
        }
    }
}

fn licence(room: u16) -> Vec<Line> {
    let words = "This program does not replace the maker's instructions, local rules or a licensed person's judgement.";
    [heading("")]
        .into_iter()
        .chain(wrap(words, room.saturating_sub(4)).iter().map(|words| plain(words)))
        .collect()
}
