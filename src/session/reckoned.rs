//! What a recorded torque says of its limits now.
//!
//! Its verdict is the one it was recorded with, unless the tool was put right as a slip since: then it is judged anew by
//! the same rule. On which side a torque that does not stand lies follows from what was applied.

use super::decide::judge;
use super::visit::Visit;
use crate::domain::exact::Exact;
use crate::domain::limits::Lies;
use crate::domain::record::{TorqueResult, Torqued};
use crate::domain::tool::Tool;
use crate::domain::torque::Torque;
use crate::domain::verdict::Verdict;
use std::borrow::Cow;

/// A torque as it is judged now.
pub(super) fn judged_now<'a>(visit: &Visit, torqued: &'a Torqued) -> Cow<'a, Torqued> {
    let held = torqued.tool.as_ref().and_then(|id| visit.tool(id)).filter(|held| held.put_right);
    let Some(held) = held else { return Cow::Borrowed(torqued) };
    Cow::Owned(with(visit, Some(&held.tool), torqued))
}

/// A recorded torque judged anew by the rules of this program: what was applied, its error and its verdict, worked out
/// from its tool as it is stated in the visit. Limits, aim and required setting stay as they were recorded.
#[must_use]
pub fn judged_anew(visit: &Visit, torqued: &Torqued) -> Torqued {
    let held = torqued.tool.as_ref().and_then(|id| visit.tool(id));
    with(visit, held.map(|held| &held.tool), torqued)
}

fn with(visit: &Visit, tool: Option<&Tool>, torqued: &Torqued) -> Torqued {
    let mut anew = torqued.clone();
    judge(visit, tool, &mut anew);
    anew
}

/// Where a torque lies: within where its verdict lets it stand, else at the nearer limit. The first rules kept no applied
/// torque: there a reading is its own figure.
pub(super) fn lies(torqued: &Torqued) -> Lies {
    if torqued.verdict.stands() {
        return Lies::Within;
    }
    let applied = match (&torqued.applied, &torqued.result) {
        (Some(applied), _) => Torque::new(applied.value, applied.unit),
        (None, TorqueResult::Reading { value, unit, .. }) => Torque::new(*value, *unit),
        (None, _) => return Lies::Above,
    };
    let unit = torqued.limits.unit;
    let band = torqued.limits.band_in(unit);
    let applied = applied.exact_in(unit);
    let above = match (band.lower, band.upper) {
        (Some(_), None) => false,
        (None, _) => true,
        (Some(lower), Some(upper)) => &(&applied - &lower) - &(&upper - &applied) >= Exact::zero(),
    };
    if above { Lies::Above } else { Lies::Below }
}

/// The verdict on a torque as it stands.
#[must_use]
pub fn verdict_now(visit: &Visit, torqued: &Torqued) -> Verdict {
    judged_now(visit, torqued).verdict
}
