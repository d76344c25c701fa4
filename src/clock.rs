//! The clock: the only reader of time.

use crate::domain::moment::Moment;
use crate::session::desk::Stamp;
use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};
use std::sync::OnceLock;
use std::time::Instant;

/// The zone of the machine by its rules, where these were given.
static ZONE: OnceLock<TimeZone> = OnceLock::new();

/// Goes by the rules of a time zone, the bytes of a file of RFC 8536. What cannot be read as that changes nothing: the
/// zone is looked up by its name then, which goes through the whole folder of zones and costs much of a first frame.
pub fn go_by(rules: &[u8]) {
    if let Ok(zone) = TimeZone::tzif("", rules) {
        // a second call finds the first one's
        let _already = ZONE.set(zone);
    }
}

/// A wall clock and a monotonic one, read together. The monotonic one stands still while the machine sleeps, and
/// that difference is how a sleep is noticed.
#[derive(Clone, Copy, Debug)]
pub struct Clock {
    started: Instant,
}

impl Clock {
    /// Starts the monotonic clock at 0.
    #[must_use]
    #[allow(clippy::disallowed_methods, reason = "this is the one place that reads time")]
    pub fn start() -> Self {
        Self { started: Instant::now() }
    }

    /// Now, with the offset of the machine's time zone.
    #[must_use]
    #[allow(clippy::disallowed_methods, reason = "this is the one place that reads time")]
    pub fn now(&self) -> Stamp {
        let wall = ZONE.get().map_or_else(
            || {
                let zoned = ZonedDateTime::now();
                Moment { at: zoned.timestamp(), offset: zoned.offset() }
            },
            |zone| {
                let at = Timestamp::now();
                Moment { at, offset: zone.to_offset(at) }
            },
        );
        let elapsed = self.started.elapsed().as_millis();
        Stamp { wall, mono_ms: u64::try_from(elapsed).unwrap_or(u64::MAX) }
    }
}
