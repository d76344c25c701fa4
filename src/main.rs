//! The `witnessmark` program: a shim over the library.

fn main() {}
