//! Times, medians, and the table they stand in.

use std::io::{self, Write};
use std::time::Duration;

/// Rounds that are run before any is counted.
const WARM_UP: usize = 3;

/// What one side took, round by round.
#[derive(Default)]
pub(crate) struct Times(Vec<Duration>);

impl Times {
    pub(crate) fn push(&mut self, time: Duration) {
        self.0.push(time);
    }

    pub(crate) fn len(&self) -> usize {
        self.0.len()
    }

    /// Time that so many of a hundred rounds did not exceed, in milliseconds.
    fn hundredth(&self, part: usize) -> f64 {
        let mut sorted = self.0.clone();
        sorted.sort_unstable();
        let at = (sorted.len() * part / 100).min(sorted.len().saturating_sub(1));
        sorted.get(at).map_or(f64::NAN, Duration::as_secs_f64) * 1_000.0
    }

    /// Median in milliseconds.
    pub(crate) fn median_ms(&self) -> f64 {
        self.hundredth(50)
    }
}

/// Runs the sides in turns, A B A B, and gives the times of each.
pub(crate) fn in_turns<const N: usize>(
    rounds: usize,
    mut sides: [&mut dyn FnMut() -> Duration; N],
) -> [Times; N] {
    let mut times = std::array::from_fn(|_| Times::default());
    for round in 0..rounds + WARM_UP {
        for (side, times) in sides.iter_mut().zip(&mut times) {
            let took = side();
            if round >= WARM_UP {
                times.push(took);
            }
        }
    }
    times
}

/// Where rows go.
pub(crate) struct Table<W> {
    out: W,
}

/// The table on standard output.
pub(crate) type Printed = Table<io::Stdout>;

impl<W: Write> Table<W> {
    pub(crate) fn new(out: W) -> Self {
        Self { out }
    }

    pub(crate) fn head(&mut self) -> io::Result<()> {
        if cfg!(debug_assertions) {
            self.note("not optimised: these figures say nothing")?;
        }
        writeln!(
            self.out,
            "{:<58}{:>10}{:>10}{:>7}  {:<12}{:>5}",
            "medians of one run, the two sides in turns", "ours ms", "other ms", "ratio", "aim", "n"
        )
    }

    /// A row of two sides.
    pub(crate) fn ratio(&mut self, what: &str, ours: &Times, other: &Times, aim: &str) -> io::Result<()> {
        let (a, b, n) = (ours.median_ms(), other.median_ms(), ours.len().min(other.len()));
        writeln!(self.out, "{what:<58}{a:>10.3}{b:>10.3}{:>7.2}  {aim:<12}{n:>5}", a / b)?;
        self.note(&format!("95 of 100 within {:.3} and {:.3} ms", ours.hundredth(95), other.hundredth(95)))
    }

    /// A row of one figure.
    pub(crate) fn figure(&mut self, what: &str, figure: &str, aim: &str) -> io::Result<()> {
        writeln!(self.out, "{what:<58}{figure:>20}{:>7}  {aim}", "")
    }

    /// What is to be known of the row above.
    pub(crate) fn note(&mut self, words: &str) -> io::Result<()> {
        writeln!(self.out, "    {words}")
    }

    pub(crate) fn foot(&mut self) -> io::Result<()> {
        writeln!(
            self.out,
            "Times go up and down with whatever else the machine does, both sides of a ratio less so. Nothing is \
             passed or failed here."
        )
    }
}
