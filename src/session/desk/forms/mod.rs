//! The forms, one file a subject.

pub(super) mod amend;
pub(super) mod doing;
pub(super) mod finding;
pub(super) mod flat;
pub(super) mod gate;
pub(super) mod hands;
pub(super) mod opening;
pub(super) mod scale;
pub(super) mod scope;
pub(super) mod sign_off;
pub(super) mod slip;
mod slip_looked;
mod slip_opened;
pub(super) mod tool;
