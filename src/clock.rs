//! The clock: the only reader of time.

use crate::domain::moment::Moment;
use crate::session::desk::Stamp;
use jiff::ZonedDateTime;
use std::time::Instant;

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
        let zoned = ZonedDateTime::now();
        let wall = Moment { at: zoned.timestamp(), offset: zoned.offset() };
        let elapsed = self.started.elapsed().as_millis();
        Stamp { wall, mono_ms: u64::try_from(elapsed).unwrap_or(u64::MAX) }
    }
}
