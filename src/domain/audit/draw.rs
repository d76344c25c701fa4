//! Which terminals are drawn: an order of the remainder that anybody can work out again from the printed seed.
//!
//! **The rule.** For every terminal of the remainder take the SHA-256 (FIPS 180-4) of the bytes of *seed*, one
//! space, *terminal name* (UTF-8). The smallest comes first; digests are compared as bytes, which is the order of
//! their hexadecimal digits. The first n are the sample of n. A longer sample begins with the shorter one, so any
//! number of whole blocks from the front is a random sample too; inside a block the walk may take any order.
//! On any machine: `printf '%s %s' SEED 'TERMINAL NAME' | sha256sum`. Deliberately absent: a generator with a state,
//! so that no version of a library can change what a seed draws.

use crate::domain::names::TerminalName;
use sha2::{Digest as _, Sha256};

/// The rule in words, as it is printed.
pub const RULE: &str = "SHA-256 of seed, one space, terminal name; the smallest come first";

/// Terminals walked together before the bounds are looked at again; our choice.
pub const BLOCK: usize = 8;

/// The remainder in the order in which it is drawn.
#[must_use]
pub fn order(seed: &str, remainder: &[TerminalName]) -> Vec<TerminalName> {
    let mut keyed: Vec<([u8; 32], &TerminalName)> =
        remainder.iter().map(|name| (digest(seed, name), name)).collect();
    // names differ, so the second key never decides in earnest
    keyed.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| a.1.0.cmp(&b.1.0)));
    keyed.into_iter().map(|(_, name)| name.clone()).collect()
}

fn digest(seed: &str, name: &TerminalName) -> [u8; 32] {
    let mut hash = Sha256::new();
    hash.update(seed.as_bytes());
    hash.update(b" ");
    hash.update(name.0.as_bytes());
    hash.finalize().into()
}
