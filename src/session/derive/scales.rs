//! What the scale at the end of a span means for a terminal tightened in it.

use super::{Fold, Tightened};
use crate::domain::limits::Limits;
use crate::domain::record::{Scale, ScaleAt};
use crate::domain::tool::Tool;
use crate::domain::torque::Torque;
use crate::session::span::SpanEnd;
use crate::session::standing::{Need, StruckWhy};
use crate::session::steps::Stage;

/// Whether what a tool applied at a scale that stood too high lies above the limit; a single value has none above its
/// setting. The scale itself is no torque: points and an adapter stand between.
pub(super) fn above(tool: Option<&Tool>, limits: &Limits, read: &Torque) -> bool {
    let (unit, applied) = match tool {
        Some(tool) => (tool.unit, tool.applied(read, None).torque),
        None => (read.unit, read.exact_in(read.unit)),
    };
    limits.band_in(unit).upper.is_none_or(|upper| applied > upper)
}

impl Fold<'_> {
    pub(super) fn scale(&mut self, f: &Scale) {
        if f.at == ScaleAt::Start {
            return;
        }
        let Some(span) = self.visit.span(&f.span) else { return };
        let id = span.id.clone();
        let of_span = |t: &&Tightened| t.span.as_ref() == Some(&id);
        let first = if self.earlier.iter().any(|t| of_span(&t)) {
            self.steps.iter().position(|step| step.stage() == Stage::Torque)
        } else {
            self.tightened.iter().filter(of_span).filter_map(|t| self.place(t.step)).min()
        };
        let Some(first) = first else { return };
        match span.ended {
            SpanEnd::TooLow => {
                if self.earlier.iter().any(|t| of_span(&t)) {
                    self.strike_rounds(StruckWhy::ScaleTooLow);
                }
                self.strike_steps_from(first, StruckWhy::ScaleTooLow);
                if self.forbidden {
                    self.set_need(Need::Remake);
                }
            }
            SpanEnd::TooHigh => {
                let read = span.end.unwrap_or(f.read);
                let mut over = false;
                let all = self.tightened.iter_mut().chain(self.earlier.iter_mut());
                let held = self.visit.tool(&span.tool).map(|held| &held.tool);
                for t in all.filter(|t| t.span.as_ref() == Some(&id)) {
                    if above(held, &t.limits, &read) {
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
