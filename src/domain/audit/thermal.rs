//! A temperature rise, corrected for load, and its class.

use rust_decimal::Decimal;
use rust_decimal::prelude::{FromPrimitive as _, ToPrimitive as _};
use serde::{Deserialize, Serialize};

/// What a rise is measured over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Over {
    /// A like part beside it under like load.
    LikeNeighbour,
    /// The air around it.
    Ambient,
}

impl Over {
    /// Both, in the order in which they are listed.
    pub const ALL: [Self; 2] = [Self::LikeNeighbour, Self::Ambient];

    /// As it is printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::LikeNeighbour => "over a like neighbour",
            Self::Ambient => "over ambient",
        }
    }
}

/// Class of a rise. Source: ANSI/NETA ATS and MTS, Table 100.18.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Class {
    /// Below the first row of the table.
    None,
    /// Possible deficiency: warrants investigation.
    PossibleDeficiency,
    /// Indicates probable deficiency: repair as time permits.
    ProbableDeficiency,
    /// Monitor until corrective measures can be accomplished.
    Monitor,
    /// Major discrepancy: repair at once.
    MajorDiscrepancy,
}

impl Class {
    /// As it is printed.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::None => "below the table",
            Self::PossibleDeficiency => "possible deficiency, warrants investigation",
            Self::ProbableDeficiency => "probable deficiency, repair as time permits",
            Self::Monitor => "monitor until corrected",
            Self::MajorDiscrepancy => "major discrepancy, repair at once",
        }
    }

    /// Whether a terminal of this class joins the always-in terminals. Our own rule: from *probable deficiency* on.
    #[must_use]
    pub fn is_hot(self) -> bool {
        self >= Self::ProbableDeficiency
    }

    /// The class of a rise in kelvin. Between two classes of the table the higher one holds (our choice).
    #[must_use]
    pub fn of(rise_k: Decimal, over: Over) -> Self {
        let above = |limit: u32| rise_k > Decimal::from(limit);
        if rise_k < Decimal::ONE {
            return Self::None;
        }
        match over {
            Over::LikeNeighbour if above(15) => Self::MajorDiscrepancy,
            Over::LikeNeighbour if above(3) => Self::ProbableDeficiency,
            Over::Ambient if above(40) => Self::MajorDiscrepancy,
            Over::Ambient if above(20) => Self::Monitor,
            Over::Ambient if above(10) => Self::ProbableDeficiency,
            Over::LikeNeighbour | Over::Ambient => Self::PossibleDeficiency,
        }
    }
}

/// Why a rise is not corrected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotCorrected {
    /// Less than 40 % of the rated current flows.
    LoadTooLow,
    /// The exponent lies outside 1.6 to 2.
    Exponent,
    /// A current is not above 0, or a number is out of all reason.
    OutOfReason,
}

impl NotCorrected {
    /// Why, in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::LoadTooLow => {
                "less than 40 % of the device's rated current flows: no rise is judged at so little load"
            }
            Self::Exponent => "the exponent of the load correction is 1.6 to 2",
            Self::OutOfReason => "currents are above 0 A, rises below 1000 K",
        }
    }
}

/// Least load, per cent of the rated current of the circuit's protective device.
/// Source: NETA MTS wording in two secondary sources.
pub const LOAD_MIN_PERCENT: u32 = 40;

/// The formula alone: `rise * (rated / measured)^exponent`, in K, without a look at the load.
///
/// Source: infrared training institute, tip on load correction (the inverse form is algebra).
#[must_use]
pub fn corrected_k(rise_k: f64, measured_a: f64, rated_a: f64, exponent: f64) -> f64 {
    rise_k * (rated_a / measured_a).powf(exponent)
}

/// The rise at rated load, in K, to two decimals.
///
/// # Errors
/// [`NotCorrected`]: too little load, an exponent outside 1.6 to 2, numbers out of reason.
pub fn at_rated_load(
    rise_k: Decimal,
    measured_a: Decimal,
    rated_a: Decimal,
    exponent: Decimal,
) -> Result<Decimal, NotCorrected> {
    let reasonable = Decimal::from(100_000);
    if measured_a <= Decimal::ZERO
        || rated_a <= Decimal::ZERO
        || measured_a > reasonable
        || rated_a > reasonable
    {
        return Err(NotCorrected::OutOfReason);
    }
    let load = measured_a.saturating_mul(Decimal::ONE_HUNDRED);
    if load < rated_a.saturating_mul(Decimal::from(LOAD_MIN_PERCENT)) {
        return Err(NotCorrected::LoadTooLow);
    }
    if exponent < Decimal::from_parts(16, 0, 0, false, 1) || exponent > Decimal::TWO {
        return Err(NotCorrected::Exponent);
    }
    let float = |number: Decimal| number.to_f64().ok_or(NotCorrected::OutOfReason);
    let rise = corrected_k(float(rise_k)?, float(measured_a)?, float(rated_a)?, float(exponent)?);
    Decimal::from_f64(rise)
        .map(|rise| rise.round_dp(2).normalize())
        .filter(|rise| rise.abs() < Decimal::ONE_THOUSAND)
        .ok_or(NotCorrected::OutOfReason)
}
