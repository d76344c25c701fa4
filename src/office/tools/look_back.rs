//! What stands on the page of work done with a tool that a laboratory found out: every reading judged anew.
//!
//! Readings alike in setting, limits and word are told together, because the error of a setting is common to them. A
//! single value is told with what was really applied; no pass and no fail is made up for it. Deliberately absent: the
//! decision, which a named person makes on each record.

use super::work::{Period, Used};
use crate::domain::calibration::Calibration;
use crate::domain::exact::Exact;
use crate::domain::figures::{per_cent, with_error};
use crate::domain::limits::Limits;
use crate::domain::reckon::line::Straight;
use crate::domain::reckon::look_back::{Fate, Off, Way};
use crate::domain::toolbox::KnownTool;
use crate::domain::torque::{Torque, Unit};
use crate::session::look_back::{Anew, DoneWith};
use rust_decimal::Decimal;

/// A tool that was found out, with the points as found.
pub(super) struct FoundOut<'a> {
    calibration: &'a Calibration,
    points: Straight,
    unit: Unit,
}

/// A reading, or several alike.
struct Group<'a> {
    done: &'a DoneWith,
    anew: Anew,
    terminals: Vec<&'a str>,
}

/// How many readings came to what.
#[derive(Default)]
pub(super) struct Tally {
    was_pass: usize,
    never_pass: usize,
    still_pass: usize,
    by_setting: usize,
    tried: usize,
    undetermined: usize,
}

impl<'a> FoundOut<'a> {
    /// Where the last calibration found it out; nothing where its period is another, or its points make no line.
    pub(super) fn of(tool: &'a KnownTool, period: &Period) -> Option<Self> {
        period.to.as_ref()?;
        let calibration = tool.calibration()?;
        let points = Straight::through(&calibration.as_found).ok()?;
        Some(Self { calibration, points, unit: tool.unit })
    }

    /// What it is judged by, in words.
    pub(super) fn words(&self) -> String {
        let of = self.calibration.certificate.as_ref().map_or_else(String::new, |it| format!(", {it}"));
        format!(
            "Judged anew with the points as found on {}{of}; nothing is added for drift, and nothing is said outside \
             the points.",
            self.calibration.date
        )
    }

    /// One record: a line for all readings that are alike, the worst first.
    pub(super) fn lines(&self, done: &[&DoneWith], names: &[&str], tally: &mut Tally) -> Vec<String> {
        let (before, after): (Vec<&DoneWith>, Vec<&DoneWith>) =
            done.iter().partition(|done| self.is_before(done));
        let mut groups = self.groups(&before);
        groups.sort_by_key(worst_first);
        for group in &groups {
            tally.count(group);
        }
        let mut lines: Vec<String> = groups.iter().map(|group| self.line(group)).collect();
        let judged = |name: &&&str| done.iter().any(|done| done.terminal.as_str() == **name);
        let gone: Vec<&str> = names.iter().filter(|name| !judged(name)).copied().collect();
        if !after.is_empty() {
            let names = listed(after.iter().map(|done| done.terminal.as_str()));
            lines.push(format!("done as it was calibrated then, and not in question: {names}"));
        }
        if !gone.is_empty() {
            lines.push(format!("done again or struck out in the same record: {}", gone.join(", ")));
        }
        lines
    }

    /// Whether the tool was not yet stated with this calibration: on its day both may have happened.
    fn is_before(&self, done: &DoneWith) -> bool {
        done.calibrated.as_ref().is_none_or(|date| *date < self.calibration.date)
    }

    fn groups<'d>(&self, done: &[&'d DoneWith]) -> Vec<Group<'d>> {
        let mut groups: Vec<Group<'d>> = Vec::new();
        for done in done {
            let name = done.terminal.as_str();
            match groups.iter_mut().find(|group| alike(group.done, done)) {
                Some(group) if group.terminals.contains(&name) => {}
                Some(group) => group.terminals.push(name),
                None => {
                    let anew = done.anew(&self.points, self.unit);
                    groups.push(Group { done, anew, terminals: vec![name] });
                }
            }
        }
        groups
    }

    fn line(&self, group: &Group<'_>) -> String {
        let Group { done, anew, terminals } = group;
        let fate = anew.fate.map_or("judged by setting", Fate::words);
        let fate = if done.tried { "tried, not tightened" } else { fate };
        let verb = if done.read { "read" } else { "set to" };
        let aim = done.aim.filter(|_| anew.fate.is_none());
        let aim = aim.map_or_else(String::new, |aim| format!(" for {aim}"));
        let was = if done.tried { String::new() } else { format!(", recorded: {}", done.was.words()) };
        let names = terminals.join(", ");
        let said = format!("{fate}: {names}; {verb} {}{aim}{was};", done.said);
        let Some(found) = &anew.found else {
            return format!("{said} now undetermined, outside the points as found");
        };
        let applied = with_error(&found.applied, found.w().as_ref(), self.unit);
        let now = anew.verdict.map_or_else(String::new, |verdict| format!(" {},", verdict.words()));
        let off = anew.off.as_ref().map_or_else(String::new, |off| format!(" {}", self.off(off, done, anew)));
        let result = format!("{now}{off}");
        let colon = if result.is_empty() { "" } else { ":" };
        format!("{said} really applied {applied}{colon}{result}")
    }

    fn off(&self, off: &Off, done: &DoneWith, anew: &Anew) -> String {
        let by = with_error(&off.by, None, self.unit);
        if anew.fate.is_some() {
            let side = match off.way {
                Way::TooLittle => "below",
                Way::TooMuch => "above",
                Way::Within => "inside",
            };
            // with the digits of its maker
            let Limits { lower, upper, unit, .. } = &done.limits;
            let same = |limit: &&Decimal| Torque::new(**limit, *unit).exact_in(self.unit) == off.from;
            let limit = lower.iter().chain(upper).find(same);
            // one made of another unit, or of per cent, has digits that nobody printed
            let shown = |limit: &Decimal| if limit.scale() > 6 { limit.round_dp(3) } else { *limit };
            return limit.map_or_else(String::new, |limit| format!("{by} {side} {} {unit}", shown(limit)));
        }
        let percent = off.percent().map_or_else(|| "?".into(), |percent| per_cent(&percent));
        match off.way {
            Way::TooLittle => format!("{by} too little, {percent}"),
            Way::TooMuch => format!("{by} too much, {percent}"),
            Way::Within => "exactly that".into(),
        }
    }
}

impl Tally {
    fn count(&mut self, group: &Group<'_>) {
        let more = group.terminals.len();
        let of = match group.anew.fate {
            Some(Fate::WasPassNowNot) => &mut self.was_pass,
            Some(Fate::WasNeverPass) => &mut self.never_pass,
            Some(Fate::StillPass) => &mut self.still_pass,
            None if group.done.tried => &mut self.tried,
            None => &mut self.by_setting,
        };
        *of = of.saturating_add(more);
        if group.anew.found.is_none() {
            self.undetermined = self.undetermined.saturating_add(more);
        }
    }

    /// In words.
    pub(super) fn words(&self) -> String {
        let tried = match self.tried {
            0 => String::new(),
            count => format!("; tried, not tightened: {count}"),
        };
        let undetermined = match self.undetermined {
            0 => String::new(),
            count => format!(" Undetermined of these: {count}."),
        };
        format!(
            "Was pass, now not: {}; was never pass: {}; judged by setting: {}; still pass: {}{tried}.{undetermined}",
            self.was_pass, self.never_pass, self.by_setting, self.still_pass,
        )
    }
}

/// The records' readings of a tool that count.
pub(super) fn done_in<'a>(used: &'a Used, serial: &str, record: &str, period: &Period) -> Vec<&'a DoneWith> {
    let work = used.work.iter().filter(|work| work.serial == serial && work.record == record);
    work.flat_map(|work| &work.counting).filter(|done| period.holds(&done.day)).collect()
}

/// Alike in everything but terminal and day.
fn alike(one: &DoneWith, other: &DoneWith) -> bool {
    (one.said, one.read, one.tried, one.recorded_step, &one.adapter, one.aim, &one.limits, one.rule, one.was)
        == (
            other.said,
            other.read,
            other.tried,
            other.recorded_step,
            &other.adapter,
            other.aim,
            &other.limits,
            other.rule,
            other.was,
        )
        && one.said.value.scale() == other.said.value.scale()
}

/// What became of it: was pass and now not, was never pass, by setting, still pass; in each what nothing can be said of,
/// then the farthest off.
fn worst_first(group: &Group<'_>) -> (u8, Option<std::cmp::Reverse<Exact>>) {
    let fate = match group.anew.fate {
        Some(Fate::WasPassNowNot) => 0,
        Some(Fate::WasNeverPass) => 1,
        None if group.done.tried => 4,
        None => 2,
        Some(Fate::StillPass) => 3,
    };
    (fate, group.anew.off.as_ref().map(|off| std::cmp::Reverse(off.rank())))
}

fn listed<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let mut all: Vec<&str> = Vec::new();
    for name in names {
        if !all.contains(&name) {
            all.push(name);
        }
    }
    all.join(", ")
}
