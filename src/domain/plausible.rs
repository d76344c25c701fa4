//! Whether a torque can be right for its thread.
//!
//! A thread alone never gives a torque: published tables differ by more than twice at M6 and more than five times at
//! M16. So nothing here is a maker's value, nothing is ever offered to work to, and nothing is an error; it only finds
//! values that were most likely misread, such as pound-force inches typed as newton metres. A clamp without a thread
//! is not looked at.

use super::clamp::Clamp;
use super::exact::Exact;
use super::stated::Stated;
use super::torque::{Torque, Unit};
use rust_decimal::Decimal;
use std::cmp::Reverse;

/// How far below the least test torque of its thread a value is still plausible: half of it. Our choice: no published
/// set that is kept in the tests goes below, and newton metres typed as pound-force inches do.
const BELOW: i64 = 2;
/// How far above the greatest test torque a value is still plausible, up to [`SMALL_THREAD_MM`]: three times. Our
/// choice: published sets reach 2.2 times (M6), pound-force inches typed as newton metres begin at 8.8 times.
const ABOVE_SMALL: i64 = 3;
/// The same for larger threads: six times. Published bolts of busbars reach 5.4 times (M16).
const ABOVE_LARGE: i64 = 6;
/// Thread up to which [`ABOVE_SMALL`] holds, mm.
const SMALL_THREAD_MM: i64 = 6;

/// Rows of IEC 60947-1 Table 4: up to and including which thread in tenths of a mm; columns I, II and III in
/// hundredths of a N.m.
type Row = (i64, Option<i64>, Option<i64>, i64);

/// IEC 60947-1 Table 4, from memory; several cells agree with independent published tables. Checked row by row
/// against `tests/reference/iec60947-1_table4_torque.csv`, whose head says which.
const TABLE_4: [Row; 17] = [
    (16, Some(5), Some(10), 10),
    (20, Some(10), Some(20), 20),
    (28, Some(20), Some(40), 40),
    (30, Some(25), Some(50), 50),
    (32, Some(30), Some(60), 60),
    (36, Some(40), Some(80), 80),
    (41, Some(70), Some(120), 120),
    (47, Some(80), Some(180), 180),
    (53, Some(80), Some(200), 200),
    (60, Some(120), Some(250), 300),
    (80, Some(250), Some(350), 600),
    (100, None, Some(400), 1_000),
    (120, None, None, 1_400),
    (150, None, None, 1_900),
    (200, None, None, 2_500),
    (240, None, None, 3_600),
    (i64::MAX, None, None, 5_000),
];

/// Torques that IEC 60947-1 Table 4 names for testing the strength of terminals, N.m. Never a maker's value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TestTorques {
    /// Column I: screws without a head.
    pub headless_nm: Option<Decimal>,
    /// Column II: screws and nuts turned with a screwdriver.
    pub screwdriver_nm: Option<Decimal>,
    /// Column III: screws and nuts turned by other means.
    pub other_nm: Decimal,
}

impl TestTorques {
    /// Those of a thread; nothing where the thread is not more than 0 mm.
    #[must_use]
    pub fn of(thread_mm: Decimal) -> Option<Self> {
        let nm = |hundredths| Decimal::new(hundredths, 2).normalize();
        let (_, headless, screwdriver, other) =
            TABLE_4.into_iter().find(|(up_to_tenths, ..)| thread_mm <= Decimal::new(*up_to_tenths, 1))?;
        (thread_mm > Decimal::ZERO).then(|| Self {
            headless_nm: headless.map(nm),
            screwdriver_nm: screwdriver.map(nm),
            other_nm: nm(other),
        })
    }
}

/// What is to be expected of a thread, N.m, both ends included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Band {
    /// Half the least test torque.
    pub least_nm: Decimal,
    /// Three times the greatest one up to M6, six times above.
    pub most_nm: Decimal,
}

impl Band {
    /// The band of a thread; nothing where the thread is not more than 0 mm.
    #[must_use]
    pub fn of(thread_mm: Decimal) -> Option<Self> {
        let test = TestTorques::of(thread_mm)?;
        let least = test.headless_nm.or(test.screwdriver_nm).unwrap_or(test.other_nm);
        let above = if thread_mm <= Decimal::from(SMALL_THREAD_MM) { ABOVE_SMALL } else { ABOVE_LARGE };
        Some(Self {
            least_nm: least.checked_div(Decimal::from(BELOW))?.normalize(),
            most_nm: test.other_nm.checked_mul(Decimal::from(above))?.normalize(),
        })
    }

    /// Whether a torque lies in it, compared exactly.
    #[must_use]
    pub fn holds(&self, torque: &Torque) -> bool {
        let exact = torque.exact_nm();
        exact >= Exact::from(self.least_nm) && exact <= Exact::from(self.most_nm)
    }
}

/// A torque that is most likely misread.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Implausible {
    /// As it was stated.
    pub torque: Torque,
    /// What is to be expected.
    pub band: Band,
    /// The same digits in another unit, or with the decimal point moved by one place, where that is to be expected:
    /// what to look for, never what to work to.
    pub rather: Vec<Torque>,
}

/// The first torque of a statement that cannot be right for its thread.
#[must_use]
pub fn implausible(thread_mm: Decimal, stated: &Stated) -> Option<Implausible> {
    let band = Band::of(thread_mm)?;
    let torque = torques(stated).into_iter().find(|torque| !band.holds(torque))?;
    let units = Unit::ALL.into_iter().filter(|unit| *unit != torque.unit);
    let in_units = units.map(|unit| Torque::new(torque.value, unit));
    let ten = Decimal::TEN;
    let moved = [torque.value.checked_div(ten), torque.value.checked_mul(ten)];
    let moved = moved.into_iter().flatten().map(|value| Torque::new(value.normalize(), torque.unit));
    let rather = in_units.chain(moved).filter(|torque| band.holds(torque)).collect();
    Some(Implausible { torque, band, rather })
}

fn torques(stated: &Stated) -> Vec<Torque> {
    match stated {
        Stated::Single { value } | Stated::Tolerance { value, .. } => vec![*value],
        Stated::Range { lower, upper, .. } => vec![*lower, *upper],
        Stated::AtMost { upper, aim } => vec![*upper, *aim],
    }
}

/// Two clamps of a board of which the smaller thread has the larger torque: a question, for both can be right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TurnedAbout<'c> {
    /// The clamp with the smaller thread.
    pub smaller: &'c Clamp,
    /// The least that is aimed at there.
    pub smaller_aim: Torque,
    /// The clamp with the larger thread.
    pub larger: &'c Clamp,
    /// The most that is aimed at there.
    pub larger_aim: Torque,
}

/// Clamps whose thread is smaller and whose torque is larger than those of another clamp, each once, beside the one
/// whose torque is farthest below. Larger screw, larger torque: common practice, no source.
///
/// Where a table gives several values, only clear cases count: the least of the smaller thread above the most of the
/// larger one. What is implausible by itself is left out, because it is told already.
#[must_use]
pub fn turned_about(clamps: &[Clamp]) -> Vec<TurnedAbout<'_>> {
    let mut known: Vec<Spread<'_>> = clamps.iter().filter_map(spread).collect();
    known.sort_by_key(|it| Reverse(it.thread_mm));
    let mut found = Vec::new();
    // of the threads larger than those being looked at, the one with the least torque
    let mut lowest: Option<&Spread<'_>> = None;
    for same in known.chunk_by(|one, other| one.thread_mm == other.thread_mm) {
        if let Some(larger) = lowest {
            found.extend(same.iter().filter(|it| it.least > larger.most).map(|it| TurnedAbout {
                smaller: it.clamp,
                smaller_aim: it.least,
                larger: larger.clamp,
                larger_aim: larger.most,
            }));
        }
        lowest = lowest.into_iter().chain(same).min_by(|one, other| one.most.cmp(&other.most));
    }
    found
}

struct Spread<'c> {
    clamp: &'c Clamp,
    thread_mm: Decimal,
    least: Torque,
    most: Torque,
}

/// A clamp with its thread and the least and the most that is aimed at.
fn spread(clamp: &Clamp) -> Option<Spread<'_>> {
    let thread_mm = clamp.thread_mm?;
    if clamp.torque.iter().any(|row| implausible(thread_mm, &row.stated).is_some()) {
        return None;
    }
    let aims = || clamp.torque.iter().map(|row| row.stated.aim());
    Some(Spread { clamp, thread_mm, least: aims().min()?, most: aims().max()? })
}
