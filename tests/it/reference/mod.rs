//! Numbers of the domain against published ones; every row of every file, from `tests/reference/`.

mod adapter;
mod as_set;
mod audit;
mod audit_draw;
mod audit_thermal;
mod classes;
mod conductors;
mod conformance;
mod correction;
mod decisions;
mod dominant;
pub(crate) mod file;
mod guide;
mod look_back;
mod point_error;
mod shapes;
mod units;
