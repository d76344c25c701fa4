//! Spans: one tool left at one setting, from the scale read before the work to the scale read after it.

use crate::domain::names::{Seq, SpanId, ToolId};
use crate::domain::record::Reset;
use crate::domain::torque::Torque;

/// How a span ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SpanEnd {
    /// Not yet read.
    Open,
    /// The scale agreed at both ends.
    Agreed,
    /// It stood below the setting: what was tightened is open again.
    TooLow,
    /// It stood above the setting: strands have to be looked at.
    TooHigh,
    /// It was turned on purpose in between.
    Reset(Reset),
    /// It could not be read.
    Unread(String),
}

/// A span.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Span {
    /// Its name.
    pub id: SpanId,
    /// Tool.
    pub tool: ToolId,
    /// What had to be set.
    pub required: Torque,
    /// What the scale read before the work.
    pub start: Torque,
    /// Line of that reading.
    pub start_seq: Seq,
    /// Whether it agreed (a slip can take that away again).
    pub start_agrees: bool,
    /// What the scale read after the work.
    pub end: Option<Torque>,
    /// Line of that reading, or of the word that it cannot be read.
    pub end_seq: Option<Seq>,
    /// How it ended.
    pub ended: SpanEnd,
    /// Line of the session in which it began.
    pub session: Seq,
    /// The scale was read only after the work.
    pub after_work: bool,
    /// A fixed tool: the one reading serves as both ends.
    pub fixed: bool,
}

impl Span {
    /// Whether an end is still to be read.
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.ended == SpanEnd::Open
    }

    /// Where a disagreeing scale stood.
    #[must_use]
    pub fn disagreeing(read: &Torque, required: &Torque) -> SpanEnd {
        if read < required { SpanEnd::TooLow } else { SpanEnd::TooHigh }
    }
}
