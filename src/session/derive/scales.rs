//! What the scale at the end of a span means for a terminal tightened in it.

use super::Fold;
use crate::domain::limits::{Lies, Limits};
use crate::domain::record::{Scale, ScaleAt};
use crate::domain::torque::Torque;
use crate::session::span::SpanEnd;
use crate::session::standing::{Need, StruckWhy};

/// Whether a scale that stood too high stood above the limit; a single value has none above its setting.
pub(super) fn above(limits: &Limits, read: &Torque) -> bool {
    limits.upper.is_none() || limits.place(read) == Lies::Above
}

impl Fold<'_> {
    pub(super) fn scale(&mut self, f: &Scale) {
        if f.at == ScaleAt::Start {
            return;
        }
        let Some(span) = self.visit.span(&f.span) else { return };
        let of_span = self.tightened.iter().filter(|t| t.span.as_ref() == Some(&span.id));
        let Some(first) = of_span.filter_map(|t| self.place(t.step)).min() else { return };
        match span.ended {
            SpanEnd::TooLow => {
                self.strike_steps_from(first, StruckWhy::ScaleTooLow);
                if self.forbidden {
                    self.set_need(Need::Remake);
                }
            }
            SpanEnd::TooHigh => {
                let read = span.end.unwrap_or(f.read);
                let mut over = false;
                for t in self.tightened.iter_mut().filter(|t| t.span.as_ref() == Some(&span.id)) {
                    if above(&t.limits, &read) {
                        over = true;
                    } else {
                        t.drifted = true;
                    }
                }
                if over {
                    self.set_need(Need::Strands);
                }
            }
            SpanEnd::Open | SpanEnd::Agreed | SpanEnd::Reset(_) | SpanEnd::Unread(_) => {}
        }
    }
}
