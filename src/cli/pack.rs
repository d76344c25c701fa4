//! `pack`: what to take along for a board on a day, for who stands in the store room.
//!
//! Deliberately absent: arithmetic and choices; both stand in `session::packing`.

use super::failure::Failure;
use super::lines::Lines;
use super::setting::doubt;
use super::{Records, Talk, ToolsNamed, board, known, toolbox};
use crate::appendix::glued;
use crate::domain::board::Board;
use crate::domain::clamp::SettleBasis;
use crate::domain::conductor::{Metal, Preparation};
use crate::domain::doubt::Doubt;
use crate::domain::figures::with_error;
use crate::domain::record::{Pace, VisitKind};
use crate::domain::tool::ToolKind;
use crate::domain::toolbox::{KnownTool, Toolbox};
use crate::journal::RealStorage;
use crate::journal::archive;
use crate::office::{Used, calibration};
use crate::session::packing::{
    Candidate, Expected, Materials, NotTaken, PackedSetting, PackedTool, Packing, Why, packing,
};
use jiff::civil::Date;
use std::fmt::Display;
use std::path::Path;

/// `pack BOARD [--on DATE]`
pub(super) fn pack(
    talk: &mut Talk<'_>,
    path: &Path,
    day: Date,
    (records, tools): (&Records, &ToolsNamed),
) -> Result<(), Failure> {
    let file = board::load(talk, path)?;
    let held = toolbox::load(&talk.around, tools.tools.as_deref())?;
    let records = talk.around.records(records.records.as_deref())?;
    let found = archive::scan(&RealStorage, &records, false)?;
    let paces: Vec<Pace> = found
        .entries
        .iter()
        .filter(|entry| entry.kind == VisitKind::First)
        .filter_map(|entry| entry.pace)
        .collect();
    let page = page(&file.board, held.toolbox(), &known::used(&found), &paces, day);
    talk.out.write_all(page.as_bytes())?;
    if !held.is_there() {
        writeln!(talk.out, "\nNo tools file lies at {}", held.path().display())?;
        writeln!(talk.out, "Enter your torque tools: witnessmark tools")?;
    }
    Ok(())
}

/// The whole page.
#[must_use]
pub fn page(board: &Board, toolbox: &Toolbox, used: &Used, paces: &[Pace], day: Date) -> String {
    let of = |known: &KnownTool| Candidate::of(known, day, used.operations_of(known), doubt(known, used));
    let candidates: Vec<Candidate> = toolbox.tools.iter().map(of).collect();
    let packed = packing(board, &candidates, paces);
    let mut lines = Lines::default();
    let work = many(packed.terminals, "terminal");
    let on = glued(&format!("on {day}"));
    lines.text(&format!("{}, {}: what to take along for {work} {on}", board.title, board.reference));
    let store = Store { toolbox, used, day, candidates: &candidates };
    store.taken(&mut lines, &packed);
    store.not_taken(&mut lines, &packed);
    store.no_tool(&mut lines, &packed);
    store.doubtful(&mut lines, &packed);
    changes(&mut lines, &packed);
    consumed(&mut lines, &packed.materials);
    find_out(&mut lines, &packed.materials);
    time(&mut lines, packed.time);
    lines.into_text()
}

fn many(count: usize, what: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    glued(&format!("{count} {what}{plural}"))
}

fn listed<T: Display>(all: &[T]) -> String {
    let all: Vec<String> = all.iter().map(ToString::to_string).collect();
    all.join(", ")
}

/// The first of many names, and how many more there are.
fn first_of<T: Display>(all: &[T]) -> String {
    const SHOWN: usize = 8;
    let more = all.len().saturating_sub(SHOWN);
    let shown: Vec<&T> = all.iter().take(SHOWN).collect();
    if more > 0 { format!("{} and {more} more", listed(&shown)) } else { listed(&shown) }
}

/// Where the tools stand.
struct Store<'a> {
    toolbox: &'a Toolbox,
    used: &'a Used,
    day: Date,
    candidates: &'a [Candidate],
}

impl Store<'_> {
    fn known(&self, tool: usize) -> Option<&KnownTool> {
        self.toolbox.tools.get(tool)
    }

    fn name(&self, tool: usize) -> &str {
        self.known(tool).map_or("", |known| &known.name)
    }

    fn taken(&self, lines: &mut Lines, packed: &Packing) {
        lines.heading("Torque tools");
        if self.toolbox.tools.is_empty() {
            lines.beside("", 2, "none is known yet");
        } else if packed.tools.taken.is_empty() {
            lines.beside("", 2, "none of the tools file does any terminal of this board");
        }
        for PackedTool { tool, settings } in &packed.tools.taken {
            let Some(known) = self.known(*tool) else { continue };
            let done = self.used.operations_of(known);
            let (words, _) = calibration(known.stated(), known.interval, done, self.day);
            let adapter =
                known.adapter.as_ref().map_or_else(String::new, |a| format!(", with its {}", glued(&a.what)));
            let serial = glued(&format!("serial {}", known.serial));
            lines.beside("", 2, &format!("{}, {serial}{adapter}: {words}", known.name));
            let rows: Vec<Vec<String>> = settings.iter().map(|setting| row(known.kind, setting)).collect();
            lines.rows(&rows);
        }
    }

    fn not_taken(&self, lines: &mut Lines, packed: &Packing) {
        let stays = |(at, candidate): (usize, &Candidate)| {
            let known = self.known(at)?;
            let why = match &candidate.not_taken {
                Some(NotTaken::Retired(retired)) => format!("retired on {}: {}", retired.day, retired.why),
                Some(NotTaken::Doubted(doubt)) => format!("doubted {doubt}"),
                Some(NotTaken::NotYet(date)) => format!("its calibration is of {date}, after that day"),
                Some(NotTaken::Over(until)) => format!("its calibration ended on {until}"),
                Some(NotTaken::UsedUp(count)) => {
                    format!("its calibration is used up: {count} operations")
                }
                None if packed.tools.taken.iter().any(|taken| taken.tool == at) => return None,
                None => "not needed here".into(),
            };
            Some(vec![known.name.clone(), known.serial.clone(), why])
        };
        let rows: Vec<Vec<String>> = self.candidates.iter().enumerate().filter_map(stays).collect();
        if !rows.is_empty() {
            lines.heading("Tools that stay here");
            lines.rows(&rows);
        }
    }

    fn no_tool(&self, lines: &mut Lines, packed: &Packing) {
        if packed.tools.no_tool.is_empty() {
            return;
        }
        lines.heading("NO TOOL for these; borrow one, or have one calibrated");
        for value in &packed.tools.no_tool {
            let names = first_of(&value.terminals);
            let count = many(value.terminals.len(), "terminal");
            let stated = glued(&value.stated);
            lines.beside("", 2, &format!("{stated}, {}, {count}: {names}", listed(&value.clamps)));
            for (tool, why) in &value.why {
                let why = match why {
                    Why::Cannot(why) => why.as_str(),
                    Why::StaysHere => "it could, but it stays here",
                };
                lines.beside("", 4, &format!("{}: {why}", self.name(*tool)));
            }
        }
    }

    fn doubtful(&self, lines: &mut Lines, packed: &Packing) {
        if packed.tools.doubtful.is_empty() {
            return;
        }
        lines.heading("Limits that the error of the tool makes narrow");
        for value in &packed.tools.doubtful {
            let said = &value.applied;
            let applied = glued(&with_error(&said.torque, said.w().as_ref(), said.unit));
            let what = match value.doubt {
                Doubt::NothingPasses => "NOTHING CAN PASS, its error takes up the whole of them",
                Doubt::Conditional => "a conditional pass at best",
                Doubt::MoreThanHalf => "its error takes more than half of the tolerance",
                Doubt::NotStated => "a conditional pass at best: nothing is stated of its error",
            };
            let words = format!(
                "{}, {}, {}: {} applies {applied}; {what}",
                glued(&value.stated),
                listed(&value.clamps),
                many(value.terminals, "terminal"),
                self.name(value.tool),
            );
            lines.beside("", 2, &words);
        }
    }
}

fn row(kind: ToolKind, setting: &PackedSetting) -> Vec<String> {
    let how = match kind {
        ToolKind::Setting => "set",
        ToolKind::Fixed => "fixed at",
        ToolKind::Indicating => "turn to",
    };
    let own = if setting.own_tolerance { "; own tolerance to be named at the opening" } else { "" };
    vec![
        format!("  {how} {}", setting.required),
        many(setting.terminals, "terminal"),
        format!("{}{own}", listed(&setting.clamps)),
    ]
}

fn changes(lines: &mut Lines, packed: &Packing) {
    if packed.tools.taken.is_empty() {
        return;
    }
    lines.heading("How often a tool is set");
    let rows: Vec<Vec<String>> =
        packed.changes.iter().map(|(order, count)| vec![order.words().into(), count.to_string()]).collect();
    lines.rows(&rows);
    let pairs = packed.tools.pairs();
    lines.beside(
        "",
        2,
        &format!("{} of a tool in all: no order needs fewer", many(pairs, "different setting")),
    );
}

fn consumed(lines: &mut Lines, found: &Materials) {
    lines.heading("Bits and sockets");
    let bits = found.bits.iter().map(|(drive, count)| vec![drive.clone(), many(*count, "terminal")]);
    lines.rows(&bits.collect::<Vec<_>>());
    if !found.no_drive.is_empty() {
        lines.beside("", 2, &format!("look at the screw, none is stated: {}", listed(&found.no_drive)));
    }
    if !found.crimped.is_empty() {
        lines.heading("Ferrules, pins and lugs, as planned; and the crimping tools for them");
        let rows = found.crimped.iter().map(|end| {
            let what = if end.what == Preparation::Ferruled { "ferrule" } else { end.what.words() };
            let thread = end.thread_mm.map_or_else(String::new, |mm| format!(" for M{}", mm.normalize()));
            let metal = if end.metal == Metal::Aluminium { ", for aluminium" } else { "" };
            vec![format!("{what} {} mm2{thread}{metal}", end.csa_mm2), end.count.to_string()]
        });
        lines.rows(&rows.collect::<Vec<_>>());
    }
    if !found.strips.is_empty() {
        lines.heading("Strip lengths");
        let rows = found.strips.iter().map(|strip| {
            vec![format!("{} mm", strip.strip_mm), many(strip.count, "end"), listed(&strip.clamps)]
        });
        lines.rows(&rows.collect::<Vec<_>>());
    }
    lines.heading("Besides");
    if found.aluminium > 0 {
        let ends = many(found.aluminium, "aluminium end");
        lines.beside("", 2, &format!("wire brush and joint compound: {ends}"));
    }
    if found.marks > 0 {
        lines.beside("", 2, &format!("paint for {}", many(found.marks, "witness mark")));
    }
    lines.beside("", 2, "tester and a known source to try it on, locks, labels");
    for settle in &found.settles {
        let by = match settle.basis {
            SettleBasis::Maker => "asked for by the maker",
            SettleBasis::OwnPractice => "own practice",
        };
        let terminals = many(settle.terminals, "terminal");
        let wait = glued(&format!("{} minutes", settle.wait_minutes));
        lines.beside("", 2, &format!("time to settle, {wait}, then once more: {terminals}, {by}"));
    }
}

fn find_out(lines: &mut Lines, found: &Materials) {
    if found.unknown.is_empty() && found.questions.is_empty() && found.no_strip.is_empty() {
        return;
    }
    lines.heading("To find out before leaving");
    for unknown in &found.unknown {
        let names = listed(&unknown.terminals);
        lines.beside("", 2, &format!("the maker's torque of {}: {names}", unknown.clamp));
    }
    for question in &found.questions {
        let what = if question.on_stud { "lugs" } else { "ferrules or pins" };
        let ends = many(question.count, "end");
        let words = format!(
            "{what}? {ends} of {} in {}, nothing planned",
            glued(&question.conductor),
            question.clamp
        );
        lines.beside("", 2, &words);
    }
    if !found.no_strip.is_empty() {
        lines.beside("", 2, &format!("the strip length of {}", listed(&found.no_strip)));
    }
}

fn time(lines: &mut Lines, time: Option<Expected>) {
    let Some(time) = time else { return };
    let visits = many(time.visits, "closed first visit");
    lines.heading("Time");
    let words = format!(
        "about {} at the board, by the pace of {visits} on this machine ({} terminals)",
        glued(&format!("{} h {} min", time.hours, time.minutes)),
        time.terminals
    );
    lines.beside("", 2, &words);
}
