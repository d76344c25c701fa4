//! What is not plain: remarks, set aside, open, done again, slips.

use super::letters::glued;
use super::sheet::Sheet;
use super::words;
use crate::domain::board::Terminal;
use crate::domain::names::{Seq, TerminalName};
use crate::domain::record::{AsideWhy, Attempt, Fact, Outcome, RemarkOn};
use crate::session::{
    Informed, Need, OpenWhy, RemarkWhy, Standing, Step, Struck, StruckWhy, TerminalIndex, Visit,
};

/// Every section of it; one with nothing in it says so.
pub(super) fn write(visit: &Visit, sheet: &mut Sheet) {
    remarks(visit, sheet);
    set_aside(visit, sheet);
    open(visit, sheet);
    again(visit, sheet);
    slips(visit, sheet);
}

fn remarks(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("REMARKS");
    let mut any = false;
    for line in visit.lines() {
        if let Fact::Remark(f) = visit.effective(line, None)
            && !matches!(f.on, RemarkOn::Terminal(_))
        {
            any = true;
            let kind = if f.before_power_on { "before power on: " } else { "" };
            let end = match (&f.handed_to, f.cleared) {
                (Some(whom), _) => format!(" Handed over to {whom}."),
                (None, true) => " Cleared.".into(),
                (None, false) => String::new(),
            };
            sheet.text(format!(
                "{}, on {}: {kind}{}{}{end}",
                words::line(line.seq),
                words::on(&f.on),
                f.text,
                if end.is_empty() { "" } else { "." }
            ));
        }
    }
    for (_, terminal, standing) in visit.terminals() {
        let said: Vec<String> = standing.remarks.iter().map(|why| remark(visit, standing, why)).collect();
        if !said.is_empty() {
            any = true;
            sheet.entry(&glued(terminal.name.as_str()), said.join("; "));
        }
    }
    if !any {
        sheet.text("None.");
    }
}

fn remark(visit: &Visit, standing: &Standing, why: &RemarkWhy) -> String {
    match why {
        RemarkWhy::Written(seq) => match visit.line(*seq).map(|line| visit.effective(line, None)) {
            Some(Fact::Remark(f)) => {
                let kind = if f.before_power_on { "before power on: " } else { "" };
                format!("{kind}{} ({}){}", f.text, words::line(*seq), dealt_with(visit, *seq))
            }
            _ => words::line(*seq),
        },
        RemarkWhy::NotSeen | RemarkWhy::MarkOffset | RemarkWhy::SleeveShifted => {
            let look = standing.answer(Step::Look);
            let at = look.map_or_else(String::new, |look| format!(" (look {})", words::line(look.seq)));
            format!("{}{at}", why.words())
        }
        other => {
            let before = standing.rounds_before.iter().map(|(step, answer)| (*step, Some(*answer)));
            let now = standing.steps.iter().copied().zip(standing.answers.iter().copied());
            let torques = before.chain(now).filter(|(step, _)| step.is_torque());
            let lines: Vec<String> =
                torques.filter_map(|(_, answer)| answer).map(|answer| words::line(answer.seq)).collect();
            match (lines.as_slice(), standing.rounds_before.is_empty()) {
                ([], _) => other.words().to_owned(),
                ([first, ..], true) => format!("{} (torque {first})", other.words()),
                (all, false) => format!("{} (torque {})", other.words(), all.join(", ")),
            }
        }
    }
}

/// How a remark before power on was dealt with.
fn dealt_with(visit: &Visit, seq: Seq) -> String {
    let Some(remark) = visit.power_on().iter().find(|remark| remark.seq == seq) else {
        return String::new();
    };
    match (remark.dealt_with, &remark.handed_to) {
        (None, _) => ", not cleared".into(),
        (Some(by), None) => format!(", cleared in {}", words::line(by)),
        (Some(by), Some(whom)) => format!(", handed over to {whom} in {}", words::line(by)),
    }
}

/// Line of the setting aside, why, who was told in which line, and the terminals.
type AsideGroup<'a> = (Option<Seq>, &'a AsideWhy, (&'a Informed, Option<Seq>), Vec<TerminalName>);

fn set_aside(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("SET ASIDE");
    let mut groups: Vec<AsideGroup<'_>> = Vec::new();
    for (at, terminal, standing) in visit.terminals() {
        let Some(why) = &standing.aside else { continue };
        let last = |wanted: fn(&Fact) -> bool| {
            let lines = visit.lines_about(at).filter(|line| wanted(&line.fact));
            lines.last().map(|line| line.seq)
        };
        let seq = last(|fact| matches!(fact, Fact::SetAside(_)));
        let told = last(|fact| matches!(fact, Fact::Told(_))).filter(|told| Some(*told) > seq);
        let told = (&standing.told, told);
        match groups.iter_mut().find(|(known, _, other, _)| *known == seq && *other == told) {
            Some((_, _, _, names)) => names.push(terminal.name.clone()),
            None => groups.push((seq, why, told, vec![terminal.name.clone()])),
        }
    }
    if groups.is_empty() {
        sheet.text("None.");
    }
    for (seq, why, told, names) in groups {
        let at = |seq: Option<Seq>| seq.map_or_else(String::new, |seq| format!(" ({})", words::line(seq)));
        let (told, told_seq) = told;
        let told = match told {
            Informed::NotYet => "nobody was told yet".to_owned(),
            Informed::NobodyNeeded => "nobody needed telling".to_owned(),
            Informed::Told(whom) => format!("told: {whom}"),
        };
        sheet.text(format!(
            "{}, {}: {}{}; {told}{}.",
            words::aside(why),
            words::count(names.len(), "terminal", "terminals"),
            words::terminals(&names),
            at(seq),
            at(told_seq)
        ));
    }
}

fn open(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("STILL OPEN");
    let mut groups: Vec<(&'static str, Vec<TerminalName>)> = Vec::new();
    for (_, terminal, standing) in visit.terminals() {
        let words = match standing.outcome {
            Outcome::Settling => "settling",
            Outcome::Open if standing.steps.contains(&Step::Look) => checked_words(standing),
            Outcome::Open => standing.open_why().map_or("open", open_words),
            Outcome::Complete | Outcome::CompleteWithRemark | Outcome::SetAside | Outcome::NotInScope => {
                continue;
            }
        };
        match groups.iter_mut().find(|(known, _)| *known == words) {
            Some((_, names)) => names.push(terminal.name.clone()),
            None => groups.push((words, vec![terminal.name.clone()])),
        }
    }
    if groups.is_empty() {
        sheet.text("None.");
    }
    for (why, names) in groups {
        sheet.text(format!(
            "{why}, {}: {}.",
            words::count(names.len(), "terminal", "terminals"),
            words::terminals(&names)
        ));
    }
}

/// Why a terminal that is come back to is open: nothing of it was made off in this visit.
fn checked_words(standing: &Standing) -> &'static str {
    match standing.open_why() {
        Some(OpenWhy::Bare) => "not looked at yet",
        Some(OpenWhy::Begun | OpenWhy::MadeOff) => "looked at, to be tugged or tried",
        Some(other) => open_words(other),
        None => "open",
    }
}

fn open_words(why: OpenWhy) -> &'static str {
    match why {
        OpenWhy::Bare => "nothing done yet",
        OpenWhy::Begun => "begun, not made off",
        OpenWhy::MadeOff => "made off, to be finished",
        OpenWhy::ScaleToBeRead => "answered, the scale at the end of the span to be read",
        OpenWhy::Needs(Need::Strands) => "over-tightened, strands to be looked at",
        OpenWhy::Needs(Need::LookAtScrew { .. }) => "did not click, screw to be looked at",
        OpenWhy::Needs(Need::Distributor) => "for the distributor, to be set aside",
        OpenWhy::Needs(Need::Replace) => "device to be replaced, or to be set aside",
        OpenWhy::Needs(Need::NoAccess) => "no access, to be set aside",
        OpenWhy::Needs(Need::Remake) => "to be cut back and remade, or set aside",
        OpenWhy::Needs(Need::NoMakersValue) => "no maker's value, to be set aside",
        OpenWhy::Needs(Need::Spare) => "nothing connected, to be set aside as a spare way",
    }
}

/// What was struck out, superseded, remade, replaced, decided, disturbed or taken up again, line by line.
fn again(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("DONE AGAIN");
    sheet.text(
        "What was struck out, answered again, remade, replaced or opened again. The earlier lines stay in the \
         record and do not count.",
    );
    let mut any = false;
    for (at, terminal, standing) in visit.terminals() {
        let told = story(visit, at, terminal, standing);
        if told.is_empty() {
            continue;
        }
        any = true;
        let attempt = match standing.attempt.0 {
            1 => String::new(),
            n => format!(", attempt {n} counts"),
        };
        sheet.lead(format!("{}{attempt}", glued(terminal.name.as_str())));
        for (seq, said) in told {
            sheet.under(&words::line(seq), said);
        }
    }
    if !any {
        sheet.text("None.");
    }
}

fn story(visit: &Visit, at: TerminalIndex, terminal: &Terminal, standing: &Standing) -> Vec<(Seq, String)> {
    let mut told: Vec<(Seq, String)> = Vec::new();
    for line in visit.lines_about(at) {
        let fact = visit.effective(line, Some(&terminal.name));
        let struck: Vec<&Struck> = standing.struck.iter().filter(|struck| struck.seq == line.seq).collect();
        if let Some(first) = struck.first() {
            let attempt = match standing.attempt {
                Attempt::FIRST => String::new(),
                _ => format!("attempt {}, ", first.attempt.0),
            };
            let fact = narrowed(fact, terminal);
            let said = words::fact(&fact);
            told.push((
                line.seq,
                format!("{attempt}{said}; no longer counts: {}", why_struck(visit, at, &fact, &struck)),
            ));
        } else if is_turn(fact, standing) {
            told.push((line.seq, words::fact(fact)));
        }
    }
    told
}

/// Why, and for which conductors where the line also holds for others of the terminal.
fn why_struck(visit: &Visit, at: TerminalIndex, fact: &Fact, struck: &[&Struck]) -> String {
    let held = match fact {
        Fact::Prepared(f) => f.conductors.len(),
        Fact::Entered(f) => f.conductors.len(),
        Fact::Tugged(f) => f.conductors.len(),
        _ => 1,
    };
    let mut whys: Vec<(&str, Vec<String>)> = Vec::new();
    for struck in struck {
        let name = match struck.step {
            Step::Prepare(nth) | Step::Enter(nth) | Step::Tug(nth) | Step::CheckTug(nth) => {
                visit.conductor_name(at, nth)
            }
            Step::Look | Step::Check { .. } | Step::Torque { .. } | Step::Mark => None,
        };
        let name = name.map_or_else(String::new, |name| glued(name.as_str()));
        match whys.iter_mut().find(|(why, _)| *why == struck.why.words()) {
            Some((_, names)) => names.push(name),
            None => whys.push((struck.why.words(), vec![name])),
        }
    }
    let words: Vec<String> = whys
        .into_iter()
        .map(
            |(why, names)| {
                if names.len() >= held { why.to_owned() } else { format!("{why} ({})", names.join(", ")) }
            },
        )
        .collect();
    words.join(", ")
}

/// The fact about one terminal only, where it names conductors of several.
fn narrowed(fact: &Fact, terminal: &Terminal) -> Fact {
    let names = terminal.conductor_names();
    let mut fact = fact.clone();
    match &mut fact {
        Fact::Prepared(f) => f.conductors.retain(|name| names.contains(name)),
        Fact::Entered(f) if !names.is_empty() => f.conductors.retain(|name| names.contains(name)),
        Fact::Tugged(f) => f.conductors.retain(|name| names.contains(name)),
        _ => {}
    }
    fact
}

/// Whether a fact turns the course of a terminal; one set aside and taken up again shows both.
fn is_turn(fact: &Fact, standing: &Standing) -> bool {
    match fact {
        Fact::Decided(_) | Fact::Disturbed(_) | Fact::Remade(_) | Fact::Replaced(_) | Fact::TakenUp(_) => {
            true
        }
        // Where nothing was done yet the section about the board says all there is.
        Fact::BoardAmended(_) => standing.struck.iter().any(|struck| struck.why == StruckWhy::Amended),
        Fact::SetAside(_) => standing.aside.is_none(),
        _ => false,
    }
}

fn slips(visit: &Visit, sheet: &mut Sheet) {
    sheet.heading("SLIPS PUT RIGHT");
    let mut any = false;
    for line in visit.lines() {
        let Fact::Corrected(corrected) = &line.fact else { continue };
        any = true;
        let old = earlier(visit, line.seq, corrected.seq, corrected.terminal.as_ref());
        let of = corrected
            .terminal
            .as_ref()
            .map_or_else(String::new, |name| format!(" for {}", glued(name.as_str())));
        sheet.lead(format!(
            "{} puts {}{of} right, because: {}",
            words::line(line.seq),
            words::line(corrected.seq),
            corrected.why
        ));
        sheet.under("Was", old.map_or_else(String::new, words::fact));
        sheet.under("Is", words::fact(&corrected.fact));
    }
    if !any {
        sheet.text("None.");
    }
}

/// What a line said just before it was corrected at `at`.
fn earlier<'a>(visit: &'a Visit, at: Seq, seq: Seq, terminal: Option<&TerminalName>) -> Option<&'a Fact> {
    let before = visit.lines().iter().rev().filter(|line| line.seq < at).find_map(|line| match &line.fact {
        Fact::Corrected(c) if c.seq == seq && (c.terminal.is_none() || c.terminal.as_ref() == terminal) => {
            Some(&c.fact)
        }
        _ => None,
    });
    before.or_else(|| visit.line(seq).map(|line| &line.fact))
}
