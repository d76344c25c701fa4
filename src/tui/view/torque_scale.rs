//! The torque scale: a ruled line, brackets at the limits, round ones at the ends of what passes under the rule of the
//! visit, a caret at the aim and a word for the result. It never fills and never changes colour.

use super::page::Page;
use super::words::width;
use crate::domain::exact::Exact;
use crate::domain::limits::{Basis, Limits};
use crate::domain::reckon::decision::acceptance;
use crate::domain::record::{Fact, TorqueResult};
use crate::domain::torque::{Torque, Unit};
use crate::domain::verdict::{DecisionRule, Verdict};
use crate::session::desk::{State, Work};
use crate::session::{Step, verdict_now};
use ratatui::layout::Rect;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;

/// Rows it takes.
pub(super) const ROWS: u16 = 2;

/// Columns of the ruled line, an odd number so that it has a middle.
const LONG: u16 = 31;

/// Draws it.
pub(super) fn draw(page: &mut Page<'_>, area: Rect, row: u16, state: &State, work: &Work<'_>) {
    let Some(stated) = work.row.map(|row| &row.stated) else { return };
    let long = LONG.min(area.width);
    let aim = stated.aim();
    let own = state.visit.opened().and_then(|opened| opened.own_tolerance);
    let limits = work.limits.clone().or_else(|| work.row.map(|row| Limits::of(row, own)));
    let unit = limits.as_ref().map_or(aim.unit, |limits| limits.unit);
    let lower = limits.as_ref().and_then(|limits| limits.lower);
    let upper = limits.as_ref().and_then(|limits| limits.upper);
    let aim_there = aim.exact_in(unit).decimal(6).unwrap_or(aim.value);
    let at = caret(aim_there, lower, upper, long);
    let mut line: Vec<char> = (0..long).map(|col| if col % 5 == 0 { '+' } else { '-' }).collect();
    let mut set = |col: u16, mark: char| {
        if let Some(place) = line.get_mut(usize::from(col)) {
            *place = mark;
        }
    };
    if lower.is_some() {
        set(0, '[');
    }
    if upper.is_some() {
        set(long.saturating_sub(1), ']');
    }
    if let Some((from, to)) = accepted(state, work, unit) {
        for (end, mark) in [(from.filter(|_| lower.is_some()), '('), (to.filter(|_| upper.is_some()), ')')] {
            if let Some(end) = end {
                set(caret(end, lower, upper, long), mark);
            }
        }
    }
    set(at, '^');
    let line: String = line.into_iter().collect();
    let end = page.put(area, row, 0, &line, page.theme.plain);
    let said = result(state, work);
    page.put(area, row, end.saturating_add(1), said, page.theme.strong);
    figures(page, area, row.saturating_add(1), long, (at, aim), lower, upper.map(|upper| (upper, unit)));
}

/// Both ends of what passes, in a unit; nothing where no guard band is taken off, or where nothing can pass.
fn accepted(state: &State, work: &Work<'_>, unit: Unit) -> Option<(Option<Decimal>, Option<Decimal>)> {
    let rule = state.visit.opened()?.decision_rule;
    let limits = work.limits.as_ref()?;
    let judged = matches!(limits.basis, Basis::Range | Basis::Tolerance | Basis::AtMost);
    if rule == DecisionRule::SimpleAcceptance || !judged {
        return None;
    }
    let applied = work.tool?.applied(&work.required?, None);
    let w = applied.w()?;
    let band = acceptance(rule, &limits.band_in(applied.unit), &w);
    let here = |end: Option<Exact>| {
        end.and_then(|end| (&end * &applied.unit.factor()).over(&unit.factor()))
            .and_then(|end| end.decimal(6))
    };
    (!band.is_empty()).then(|| (here(band.lower), here(band.upper)))
}

/// The figures beneath: lower limit, aim, upper limit with the unit.
fn figures(
    page: &mut Page<'_>,
    area: Rect,
    row: u16,
    long: u16,
    (at, aim): (u16, Torque),
    lower: Option<Decimal>,
    upper: Option<(Decimal, crate::domain::torque::Unit)>,
) {
    let plain = page.theme.plain;
    let Some((upper, unit)) = upper else {
        let text = aim.to_string();
        page.put(area, row, at.saturating_sub(width(&aim.value.to_string()) / 2), &text, plain);
        return;
    };
    let lower = lower.map(|lower| digits(lower, aim)).unwrap_or_default();
    let low_end = page.put(area, row, 0, &lower, plain);
    let upper_digits = digits(upper, aim);
    let upper_col = long.saturating_sub(width(&upper_digits));
    page.put(area, row, upper_col, &format!("{upper_digits} {unit}"), plain);
    let aim_digits = aim.value.to_string();
    let aim_col = at.saturating_sub(width(&aim_digits) / 2).max(low_end.saturating_add(1));
    if aim_col.saturating_add(width(&aim_digits)) < upper_col {
        page.put(area, row, aim_col, &aim_digits, plain);
    }
}

/// A limit with as many digits as the aim has, and no more than three that the maker did not print.
fn digits(limit: Decimal, aim: Torque) -> String {
    let mut limit = limit.round_dp(aim.value.scale().max(3)).normalize();
    if limit.scale() < aim.value.scale() {
        limit.rescale(aim.value.scale());
    }
    limit.to_string()
}

/// Column of the caret: where the aim lies between the limits, from nothing where only the upper one is stated.
fn caret(aim: Decimal, lower: Option<Decimal>, upper: Option<Decimal>, long: u16) -> u16 {
    let last = long.saturating_sub(1);
    let middle = last / 2;
    let Some(upper) = upper else { return middle };
    let lower = lower.unwrap_or(Decimal::ZERO);
    let place = || -> Option<u16> {
        let span = upper.checked_sub(lower)?;
        let along = aim.checked_sub(lower)?.checked_mul(Decimal::from(last))?.checked_div(span)?;
        along.round().to_u16()
    };
    place().unwrap_or(middle).min(last)
}

/// A word for the result.
fn result(state: &State, work: &Work<'_>) -> &'static str {
    let last = work.standing.steps.iter().rev().find_map(|step| match step {
        Step::Torque { .. } | Step::Check { .. } => work.standing.answer(*step),
        Step::Look | Step::CheckTug(_) | Step::Prepare(_) | Step::Enter(_) | Step::Tug(_) | Step::Mark => {
            None
        }
    });
    let Some(line) = last.and_then(|answer| state.visit.line(answer.seq)) else { return "" };
    let Fact::Torqued(f) = state.visit.effective(line, Some(&work.terminal.name)) else {
        return "";
    };
    match (&f.result, verdict_now(&state.visit, f)) {
        (TorqueResult::NotClicked { .. }, _) => "no click",
        (TorqueResult::ByHand, _) => "by hand",
        (TorqueResult::Clicked, Verdict::BySetting | Verdict::NotJudged) => "clicked",
        (TorqueResult::Reading { .. }, Verdict::BySetting | Verdict::NotJudged) => "read",
        (TorqueResult::Clicked | TorqueResult::Reading { .. }, verdict) => verdict.words(),
    }
}
