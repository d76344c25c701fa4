//! A toolbox as the text of a tools file: the same text for the same tools.

use super::FORMAT;
use super::tools::KINDS;
use crate::domain::calibration::{Calibration, CalibrationPoint};
use crate::domain::tool::ToolKind;
use crate::domain::toolbox::{Doubt, KnownTool, LookBack, LookBackVerdict, Toolbox};
use crate::domain::torque::Unit;
use rust_decimal::Decimal;
use std::fmt::{Display, Write as _};

/// What stands above the tools of a new file.
pub const HEAD: &str = "\
// Torque tools and their calibrations. Edit it by hand or on the Tools screen; `witnessmark check FILE` names
// everything that is wrong, in one go.
//
// When a tool is changed on the screen, the file is written anew: what stands up here is kept, other comments are not.
// Tools are told apart by their serial numbers. A calibration is added below the older ones and never overwritten.
// Every torque is a text with the unit of the tool's scale, \"2.50 N.m\". W is the relative expanded uncertainty of a
// point, \"2.0 %\", or NotStated. as_found is what the laboratory found before it adjusted anything: ask for it.";

/// A toolbox as text below some comments. What is no comment there is left out.
#[must_use]
pub fn write(toolbox: &Toolbox, head: &str) -> String {
    let mut page = Page { text: String::new(), depth: 0 };
    if crate::written::node::skip_blank(head).is_empty() && !head.trim().is_empty() {
        page.text.push_str(head.trim());
        page.text.push('\n');
    }
    page.open("Tools(");
    page.line(&format!("format: {FORMAT},"));
    page.open("tools: [");
    for tool in &toolbox.tools {
        page.tool(tool);
    }
    page.close("],");
    page.close(")");
    page.text
}

/// Text so far, and how deep the brackets are.
struct Page {
    text: String,
    depth: usize,
}

fn quote(text: impl Display) -> String {
    format!("\"{}\"", text.to_string().replace('\\', "\\\\").replace('"', "\\\""))
}

fn torque(value: Decimal, unit: Unit) -> String {
    format!("\"{value} {unit}\"")
}

impl Page {
    fn line(&mut self, words: &str) {
        let _ = writeln!(self.text, "{}{words}", "    ".repeat(self.depth));
    }

    fn open(&mut self, words: &str) {
        self.line(words);
        self.depth = self.depth.saturating_add(1);
    }

    fn close(&mut self, words: &str) {
        self.depth = self.depth.saturating_sub(1);
        self.line(words);
    }

    fn key(&mut self, key: &str, value: impl Display) {
        self.line(&format!("{key}: {value},"));
    }

    fn tool(&mut self, tool: &KnownTool) {
        let unit = tool.unit;
        let kind = KINDS.iter().find(|(_, kind)| *kind == tool.kind).map_or("Setting", |(word, _)| *word);
        self.open("Tool(");
        self.key("name", quote(&tool.name));
        self.key("serial", quote(&tool.serial));
        self.key("kind", kind);
        if let Some(class) = &tool.class {
            self.key("class", quote(class));
        }
        self.key("unit", quote(unit));
        if tool.kind == ToolKind::Fixed {
            self.key("value", torque(tool.range.min, unit));
        } else {
            let (from, to) = (torque(tool.range.min, unit), torque(tool.range.max, unit));
            self.key("range", format!("Range(from: {from}, to: {to})"));
        }
        if let Some(step) = tool.graduation {
            self.key("graduation", torque(step, unit));
        }
        if let Some(adapter) = &tool.adapter {
            let (lever, extension) = (adapter.lever_mm, adapter.extension_mm);
            let what = quote(&adapter.what);
            let value =
                format!("Adapter(what: {what}, lever: \"{lever} mm\", extension: \"{extension} mm\")");
            self.key("adapter", value);
        }
        if let Some(interval) = tool.interval {
            let months = interval.months.map(|months| format!("months: {months}"));
            let operations = interval.operations.map(|operations| format!("operations: {operations}"));
            let parts: Vec<String> = months.into_iter().chain(operations).collect();
            self.key("interval", format!("Interval({})", parts.join(", ")));
        }
        if let Some(operations) = tool.operations {
            self.key("operations", operations);
        }
        self.list("calibrations", &tool.calibrations, |page, calibration| {
            page.calibration(calibration, unit);
        });
        self.list("doubts", &tool.doubts, Self::doubt);
        self.list("looked_back", &tool.looks_back, Self::look_back);
        if let Some(retired) = &tool.retired {
            let value = format!("Retired(day: \"{}\", why: {})", retired.day, quote(&retired.why));
            self.key("retired", value);
        }
        self.close("),");
    }

    fn list<T>(&mut self, key: &str, items: &[T], one: impl Fn(&mut Self, &T)) {
        if items.is_empty() {
            return;
        }
        self.open(&format!("{key}: ["));
        for item in items {
            one(self, item);
        }
        self.close("],");
    }

    fn calibration(&mut self, calibration: &Calibration, unit: Unit) {
        self.open("Calibration(");
        self.key("date", quote(&calibration.date));
        for (key, text) in [
            ("first_use", &calibration.first_use),
            ("certificate", &calibration.certificate),
            ("laboratory", &calibration.laboratory),
        ] {
            if let Some(text) = text {
                self.key(key, quote(text));
            }
        }
        self.list("as_found", &calibration.as_found, |page, point| page.point(point, unit));
        self.list("as_left", &calibration.as_left, |page, point| page.point(point, unit));
        self.close("),");
    }

    fn point(&mut self, point: &CalibrationPoint, unit: Unit) {
        let w = point.w_percent.map_or_else(|| "NotStated".to_owned(), |w| format!("\"{w} %\""));
        let (set, reference) = (torque(point.set, unit), torque(point.reference, unit));
        self.line(&format!("Point(set: {set}, reference: {reference}, w: {w}),"));
    }

    fn doubt(&mut self, doubt: &Doubt) {
        self.open("Doubt(");
        self.key("day", quote(doubt.day));
        self.key("by", quote(&doubt.by));
        self.key("what", quote(&doubt.what));
        if let Some(release) = &doubt.released {
            let (by, why) = (quote(&release.by), quote(&release.why));
            self.key("released", format!("Released(day: \"{}\", by: {by}, why: {why})", release.day));
        }
        self.close("),");
    }

    fn look_back(&mut self, look_back: &LookBack) {
        let verdict = match &look_back.verdict {
            LookBackVerdict::Stands => "Stands".to_owned(),
            LookBackVerdict::DoAgain => "DoAgain".to_owned(),
            LookBackVerdict::Other(reason) => format!("Other({})", quote(reason)),
        };
        self.open("LookedBack(");
        self.key("day", quote(look_back.day));
        self.key("by", quote(&look_back.by));
        self.key("board", quote(&look_back.board));
        self.key("record", quote(&look_back.record));
        self.key("verdict", verdict);
        self.close("),");
    }
}
