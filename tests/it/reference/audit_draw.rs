//! The draw: reproducible, a prefix of any longer draw, and fair.

use sha2::{Digest as _, Sha256};
use witnessmark::domain::audit::draw::order;
use witnessmark::domain::names::TerminalName;

fn names(many: usize) -> Vec<TerminalName> {
    (1..=many).map(|way| TerminalName::from(format!("{way} line").as_str())).collect()
}

fn words(drawn: &[TerminalName]) -> Vec<&str> {
    drawn.iter().map(|name| name.0.as_str()).collect()
}

/// Source: FIPS 180-4 examples, SHA-256 of `abc`.
#[test]
fn the_hash_is_sha_256() {
    let found = data_encoding::HEXLOWER.encode(&Sha256::digest(b"abc"));
    assert_eq!(found, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

/// Our own rule; the list was worked out with `printf 'fennick %s line' N | sha256sum | sort`, not with this program.
#[test]
fn a_seed_draws_the_same_terminals_on_any_machine() {
    let drawn = order("fennick", &names(12));
    assert_eq!(words(&drawn), EXPECTED.map(|way| format!("{way} line")));
    let mut backwards = names(12);
    backwards.reverse();
    assert_eq!(order("fennick", &backwards), drawn, "the order of the board has no part in it");
}

const EXPECTED: [u32; 12] = [1, 4, 3, 6, 11, 10, 8, 7, 5, 12, 2, 9];

/// A terminal less leaves the order of the others alone; so a hot one can join the always-in list.
#[test]
fn leaving_one_out_changes_nothing_about_the_others() {
    let all = order("fennick", &names(40));
    for gone in names(40) {
        let fewer: Vec<TerminalName> = names(40).into_iter().filter(|name| *name != gone).collect();
        let expected: Vec<TerminalName> = all.iter().filter(|name| **name != gone).cloned().collect();
        assert_eq!(order("fennick", &fewer), expected);
    }
}

/// Chi-square over 20 000 seeds `s0` to `s19999`, 12 terminals: how often each comes at each place, 121 degrees of
/// freedom. 99.9 % of fair draws stay below 173 (Wilson-Hilferty: 121 * (1 - 2/1089 + 3.0902 * sqrt(2/1089))^3 = 172.7).
/// Rows and columns of the table are both fixed, so (n-1)/n of the usual sum is the statistic.
#[test]
fn over_many_seeds_every_terminal_comes_equally_often_at_every_place() {
    const SEEDS: u32 = 20_000;
    let board = names(12);
    let mut seen = vec![vec![0_u32; 12]; 12];
    for seed in 0..SEEDS {
        for (place, name) in order(&format!("s{seed}"), &board).iter().enumerate() {
            let at = board.iter().position(|other| other == name).unwrap();
            seen[place][at] += 1;
        }
    }
    let expected = f64::from(SEEDS) / 12.0;
    let chi_square: f64 =
        seen.iter().flatten().map(|n| (f64::from(*n) - expected).powi(2) / expected).sum::<f64>() * 11.0
            / 12.0;
    assert!(chi_square < 173.0, "{chi_square}");
    // drawn at all, by any prefix: every count of a sample of 4
    for at in 0..12 {
        let drawn: u32 = seen.iter().take(4).map(|places| places[at]).sum();
        let fair = f64::from(SEEDS) / 3.0;
        assert!((f64::from(drawn) - fair).abs() < 4.0 * (fair * 2.0 / 3.0).sqrt(), "{at}: {drawn}");
    }
}
