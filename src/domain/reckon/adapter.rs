//! An adapter in line with a torque wrench, which makes its lever longer or shorter.
//!
//! Source: set = target × L/(L+E), as in US Army TM 1-1500-204-23-9 chapter 8 and US Navy NAVEDTRA 14315; L from
//! the middle of the grip to the middle of the square drive, E from there to the middle of the screw, less than
//! zero where the adapter points back to the grip. Deliberately absent: an adapter at an angle, which nobody can
//! hold truly by hand; it is fitted in line.

use crate::domain::exact::Exact;
use rust_decimal::Decimal;

/// Lengths of wrench and adapter, both in one unit of length.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Adapter {
    lever: Exact,
    whole: Exact,
}

/// Why two lengths are no wrench with an adapter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoAdapter {
    /// The wrench has no length.
    NoLever,
    /// The adapter points back so far that the screw lies at the grip or behind it.
    BehindTheGrip,
}

impl Adapter {
    /// A wrench of length L with an adapter of length E.
    ///
    /// # Errors
    /// [`NoAdapter`] where no torque would reach the screw.
    pub fn new(lever: Decimal, extension: Decimal) -> Result<Self, NoAdapter> {
        let lever = Exact::from(lever);
        let whole = &lever + &Exact::from(extension);
        if lever <= Exact::zero() {
            return Err(NoAdapter::NoLever);
        }
        if whole <= Exact::zero() { Err(NoAdapter::BehindTheGrip) } else { Ok(Self { lever, whole }) }
    }

    /// What the wrench itself must give so that the screw gets a torque.
    #[must_use]
    pub fn at_the_wrench(&self, at_the_screw: &Exact) -> Exact {
        (at_the_screw * &self.lever).over(&self.whole).unwrap_or_else(Exact::zero)
    }

    /// What the screw gets when the wrench itself gives a torque.
    #[must_use]
    pub fn at_the_screw(&self, at_the_wrench: &Exact) -> Exact {
        (at_the_wrench * &self.whole).over(&self.lever).unwrap_or_else(Exact::zero)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_that_reach_no_screw_are_refused() {
        assert_eq!(Adapter::new(Decimal::ZERO, Decimal::ONE), Err(NoAdapter::NoLever));
        assert_eq!(Adapter::new(Decimal::ONE, Decimal::NEGATIVE_ONE), Err(NoAdapter::BehindTheGrip));
    }

    #[test]
    fn there_and_back_is_the_same_torque() {
        let adapter = Adapter::new(Decimal::TEN, Decimal::from_str_exact("-1.5").unwrap()).unwrap();
        let target = Exact::ratio(135, 7);
        assert_eq!(adapter.at_the_screw(&adapter.at_the_wrench(&target)), target);
    }
}
