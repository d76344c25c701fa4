//! How many terminals stand where.

use super::standing::OpenWhy;
use super::visit::Visit;
use crate::domain::record::Outcome;

/// How many terminals stand where; the outcomes add up to the board.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Terminals of the board.
    pub all: usize,
    /// Open, those of `scale_to_be_read` among them.
    pub open: usize,
    /// Every step answered, the scale still to be read.
    pub scale_to_be_read: usize,
    /// Settling.
    pub settling: usize,
    /// Complete.
    pub complete: usize,
    /// Complete with remark.
    pub with_remark: usize,
    /// Set aside.
    pub aside: usize,
    /// Not in the scope of a revisit or an audit.
    pub not_in_scope: usize,
}

impl Counts {
    /// Terminals that are part of the visit: all of them in a first visit, those in scope at a coming back.
    #[must_use]
    pub fn in_scope(&self) -> usize {
        self.all.saturating_sub(self.not_in_scope)
    }
}

impl Visit {
    /// How many terminals stand where.
    #[must_use]
    pub fn counts(&self) -> Counts {
        let mut counts = Counts { all: self.standings.len(), ..Counts::default() };
        for standing in &self.standings {
            let slot = match standing.outcome {
                Outcome::Open => &mut counts.open,
                Outcome::Settling => &mut counts.settling,
                Outcome::Complete => &mut counts.complete,
                Outcome::CompleteWithRemark => &mut counts.with_remark,
                Outcome::SetAside => &mut counts.aside,
                Outcome::NotInScope => &mut counts.not_in_scope,
            };
            *slot = slot.saturating_add(1);
            if standing.open_why() == Some(OpenWhy::ScaleToBeRead) {
                counts.scale_to_be_read = counts.scale_to_be_read.saturating_add(1);
            }
        }
        counts
    }
}
