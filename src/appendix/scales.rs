//! What the scale of a tool read at the ends of a span, as it stands in the block of its setting.
//!
//! Deliberately absent: what that makes of the terminals; the machine says it.

use super::letters::glued;
use super::reckoned;
use super::words;
use crate::domain::exact::Exact;
use crate::domain::limits::Limits;
use crate::domain::names::Seq;
use crate::domain::tool::Tool;
use crate::session::{Span, SpanEnd, Visit};

/// How near a reading must come to a setting: half a graduation; nothing for a tool without a scale.
pub(super) fn agrees(tool: &Tool) -> Option<String> {
    let half = Exact::from(tool.graduation?).over(&Exact::ratio(2, 1)).and_then(|half| half.decimal(9))?;
    Some(format!("within {}, half a graduation, ends included", glued(&format!("{half} {}", tool.unit))))
}

/// What the scale of a span read; where it stood too high at a setting with an upper limit, what that applied.
pub(super) fn read(visit: &Visit, span: &Span, limits: Option<&Limits>) -> String {
    let at = |seq: Seq| {
        let slip = if visit.is_corrected(seq) { ", slip put right" } else { "" };
        format!("{}{slip}", words::line(seq))
    };
    let start = format!("{} ({})", words::torque(&span.start), at(span.start_seq));
    if span.fixed {
        return format!(
            "fixed tool, read once: {start}{}",
            if span.start_agrees { "; agrees" } else { "; off" }
        );
    }
    if span.after_work {
        let word = if span.start_agrees { "agrees" } else { "off" };
        return format!("read only after the work: {start}; {word}");
    }
    let mut said = format!("start {start}");
    if !span.start_agrees {
        said.push_str(", does not agree");
    }
    let end_seq = span.end_seq.map_or_else(String::new, |seq| format!(" ({})", at(seq)));
    let end = span.end.map_or_else(String::new, |read| words::torque(&read));
    let ended = match &span.ended {
        SpanEnd::Open => "end not read yet".to_owned(),
        SpanEnd::Agreed => format!("end {end}{end_seq}: agrees"),
        SpanEnd::TooLow => format!("end {end}{end_seq}: too low, what was tightened was struck out"),
        SpanEnd::TooHigh => {
            let limited = limits.is_some_and(|limits| limits.upper.is_some());
            let tool = visit.tool(&span.tool).filter(|_| limited).map(|held| &held.tool);
            let then = tool.zip(span.end).map_or_else(
                || "the strands were to be looked at".to_owned(),
                |(tool, read)| {
                    format!("it then applied {}", reckoned::applied_in_short(&tool.applied(&read, None)))
                },
            );
            format!("end {end}{end_seq}: too high, {then}")
        }
        SpanEnd::Reset(reset) => {
            format!("end {end}{end_seq}: reset on purpose by {}, for: {}", reset.by, reset.why)
        }
        SpanEnd::Unread(why) => format!("end not read{end_seq}: {why}"),
    };
    format!("{said}, {ended}")
}
