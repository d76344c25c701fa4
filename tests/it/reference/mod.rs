//! Numbers of the domain against published ones; every row of every file, from `tests/reference/`.

mod as_set;
mod audit;
mod audit_draw;
mod audit_thermal;
mod conductors;
pub(crate) mod file;
mod units;
