//! A moment on the wall clock, as it is written into a record.

use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};
use std::fmt;

/// A wall-clock moment with the offset the machine had then, to the second. Never used for order: that is what
/// a line's number is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Moment {
    /// The instant.
    pub at: Timestamp,
    /// Hours and minutes the wall was ahead of UTC.
    pub offset: Offset,
}

impl Moment {
    /// Reads RFC 3339 with an offset, `2026-11-25T09:13:47+01:00`.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let at: Timestamp = text.parse().ok()?;
        let pieces = jiff::fmt::temporal::Pieces::parse(text).ok()?;
        let offset = pieces.to_numeric_offset().unwrap_or(Offset::UTC);
        Some(Self { at, offset })
    }

    /// Day on the wall.
    #[must_use]
    pub fn date(&self) -> jiff::civil::Date {
        self.offset.to_datetime(self.at).date()
    }

    /// Day on the wall, `2026-11-25`.
    #[must_use]
    pub fn day(&self) -> String {
        self.date().to_string()
    }

    /// Time on the wall, `09:13`.
    #[must_use]
    pub fn clock(&self) -> String {
        self.offset.to_datetime(self.at).strftime("%H:%M").to_string()
    }

    /// Time on the wall at the first whole minute that is not before it, so that nobody comes back too early.
    #[must_use]
    pub fn clock_not_before(&self) -> String {
        let begun = self.at.as_second().rem_euclid(60);
        let left =
            if begun == 0 && self.at.subsec_nanosecond() == 0 { 0 } else { 60_i64.saturating_sub(begun) };
        let at = self.at.checked_add(SignedDuration::from_secs(left)).unwrap_or(self.at);
        Self { at, offset: self.offset }.clock()
    }

    /// Seconds from another moment to this one; negative where the clock went back.
    #[must_use]
    pub fn seconds_since(&self, earlier: &Self) -> i64 {
        SignedDuration::from_secs(self.at.as_second().saturating_sub(earlier.at.as_second())).as_secs()
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let whole = Timestamp::from_second(self.at.as_second()).unwrap_or(self.at);
        write!(f, "{}", whole.display_with_offset(self.offset))
    }
}

impl Serialize for Moment {
    fn serialize<S: Serializer>(&self, writer: S) -> Result<S::Ok, S::Error> {
        writer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Moment {
    fn deserialize<D: Deserializer<'de>>(reader: D) -> Result<Self, D::Error> {
        let text = String::deserialize(reader)?;
        Self::read(&text).ok_or_else(|| D::Error::custom("a time is written 2026-11-25T09:13:47+01:00"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_offset_survives() {
        let moment = Moment::read("2026-11-25T09:13:47+01:00").unwrap();
        assert_eq!(moment.to_string(), "2026-11-25T09:13:47+01:00");
        assert_eq!((moment.day().as_str(), moment.clock().as_str()), ("2026-11-25", "09:13"));
    }

    #[test]
    fn a_wait_is_told_by_the_minute_at_which_it_is_over() {
        let clock = |text: &str| Moment::read(text).unwrap().clock_not_before();
        assert_eq!(clock("2026-11-25T09:13:00+01:00"), "09:13");
        assert_eq!(clock("2026-11-25T09:13:01+01:00"), "09:14");
        assert_eq!(clock("2026-11-25T23:59:59+01:00"), "00:00");
        assert_eq!(clock("1969-12-31T23:59:30Z"), "00:00", "before 1970 too");
    }
}
