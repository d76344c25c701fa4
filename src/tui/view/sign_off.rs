//! Sign-off: where every terminal stands, what was found at the tails, and what still stands in the way.

use super::answers;
use super::list;
use super::page::{Page, left, top};
use super::words::fit;
use crate::domain::names::TerminalName;
use crate::domain::record::{Fact, Outcome};
use crate::session::audit::hot_untold;
use crate::session::desk::{Field, Question, State};
use crate::session::{Informed, Standing};
use crate::tui::ui::Ui;
use ratatui::layout::Rect;

/// Heading of the tails.
const TAILS: &str = "tail          tug           mark";
/// Columns of the left half.
const HALF: u16 = 38;

/// Draws everything between the header and what is told.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, state: &State, ui: &Ui, question: &Question) {
    let (_, area) = top(area, 1);
    page.put(area, 0, 0, "SIGN-OFF", page.theme.strong);
    let (_, area) = top(area, 2);
    let (counts, rest) = left(area, HALF, 2);
    let row = draw_counts(page, counts, state);
    let (_, below) = top(counts, row.saturating_add(1));
    list::draw(page, below, question, ui);
    let (steps, rest) = top(rest, 7);
    in_the_way(page, steps, state);
    let (_, rest) = top(rest, 1);
    last_look(page, rest, state);
}

fn draw_counts(page: &mut Page<'_>, area: Rect, state: &State) -> u16 {
    let c = state.visit.counts();
    let lines = [
        ("terminals", c.in_scope()),
        ("complete", c.complete),
        ("complete with remark", c.with_remark),
        ("set aside", c.aside),
        ("settling", c.settling),
        ("open", c.open),
    ];
    let mut row = 0;
    for (words, count) in lines {
        let open = matches!(words, "settling" | "open") && count > 0;
        let style = if open { page.theme.needs } else { page.theme.plain };
        page.put(area, row, 0, &format!("{count:>5}  {words}"), style);
        row = row.saturating_add(1);
    }
    row
}

/// What has to be answered before closing, in its order, and how far each is.
fn in_the_way(page: &mut Page<'_>, area: Rect, state: &State) {
    let visit = &state.visit;
    let count = |test: fn(&Standing) -> bool| visit.terminals().filter(|(_, _, s)| test(s)).count();
    let spans = visit.open_spans().count();
    let open = count(|s| matches!(s.outcome, Outcome::Open | Outcome::Settling));
    let untold = count(|s| s.aside.is_some() && s.told == Informed::NotYet);
    let power = visit.power_on().iter().filter(|remark| remark.dealt_with.is_none()).count();
    let looked = visit.last_look().is_some();
    let signed = !visit.signed().is_empty();
    let left = |count: usize, words: &str| {
        if count == 0 { "none left".to_owned() } else { format!("{count} {words}") }
    };
    let answered = |done: bool| if done { "answered" } else { "to be answered" }.to_owned();
    let hot = hot_untold(visit).count();
    let mut lines = vec![
        ("scales to be read", left(spans, "to read"), spans > 0),
        ("open terminals", left(open, "open"), open > 0),
        ("set aside, not told", left(untold, "to tell"), untold > 0),
        ("before power on", left(power, "to deal with"), power > 0),
        ("last look", answered(looked), false),
        ("signature", answered(signed), false),
    ];
    // told one by one after what was set aside, and counted complete: nothing else on this page would say so
    if visit.audit().has_hot() {
        lines.insert(3, ("hot, not told", left(hot, "to tell"), hot > 0));
    }
    for (row, (words, how, needs)) in (0..).zip(lines) {
        page.put(area, row, 0, words, page.theme.plain);
        page.put(area, row, 22, &how, if needs { page.theme.needs } else { page.theme.plain });
    }
}

/// Tails with what was answered so far, then the other answers of the last look.
fn last_look(page: &mut Page<'_>, area: Rect, state: &State) {
    let plain = page.theme.plain;
    let given = state.desk.form.as_ref().map_or(&[][..], |form| form.given.as_slice());
    let answers =
        |wanted: Field| given.iter().filter(move |(field, _)| *field == wanted).map(|(_, v)| v.as_str());
    let looking = given.iter().any(|(field, _)| *field == Field::TailTug);
    let mut row = 0;
    if looking {
        page.put(area, row, 0, TAILS, plain);
        row = 1;
        let tails: Vec<&str> = state.board().tails().map(TerminalName::as_str).collect();
        let mut marks = answers(Field::TailMark);
        for (name, tug) in tails.iter().zip(answers(Field::TailTug)) {
            let mark = marks.next().unwrap_or("");
            page.put(area, row, 0, &fit(name, 13), plain);
            page.put(area, row, 14, tug, plain);
            page.put(area, row, 28, mark, plain);
            row = row.saturating_add(1);
        }
        for (label, words) in answers::said_so_far(state) {
            if !matches!(label, "tug" | "witness mark") {
                page.put(area, row, 0, &format!("{label}: {words}"), plain);
                row = row.saturating_add(1);
            }
        }
        return;
    }
    let Some((_, look)) = state.visit.last_look() else { return };
    if let Some(why) = &look.why_not {
        row = page.put_wrapped(area, row, &format!("Tails not looked at: {why}"), page.theme.needs);
    }
    if !look.tails.is_empty() {
        page.put(area, row, 0, TAILS, plain);
        row = row.saturating_add(1);
    }
    for tail in &look.tails {
        page.put(area, row, 0, &fit(tail.terminal.as_str(), 13), plain);
        page.put(area, row, 14, tail.tug.words(), plain);
        page.put(area, row, 28, tail.mark.words(), plain);
        row = row.saturating_add(1);
    }
    row = page.put_wrapped(area, row, &format!("covers: {}", look.covers), plain);
    row = page.put_wrapped(area, row, &format!("locks and tools: {}", look.locks_and_tools_out), plain);
    let energised = look.energised_by.as_deref().unwrap_or("nobody: it stays dead");
    row = page.put_wrapped(area, row, &format!("energised by: {energised}"), plain);
    for seq in state.visit.signed() {
        if let Some(Fact::Signed(signed)) = state.visit.line(*seq).map(|line| &line.fact) {
            let name = state.visit.person(&signed.person).map_or("", |person| person.name.as_str());
            row = page.put_wrapped(area, row, &format!("signed: {} {name}", signed.capacity), plain);
        }
    }
}
