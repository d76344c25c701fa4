//! How a question stands on lines.

use crate::domain::record::Outcome;
use crate::domain::text::columns;
use crate::session::desk::{Answers, Pass, Question, State, Topic};
use crate::session::{Step, TerminalIndex};
use std::io::{self, Write};

/// Columns after which a line of ours goes on below.
const WIDTH: usize = 78;

/// Remembers at which terminal the person stands, so that it is told when that changes and only then.
#[derive(Debug, Default)]
pub(super) struct Show {
    at: Option<TerminalIndex>,
}

impl Show {
    /// The question, in full or only its prompt.
    pub(super) fn question(
        &mut self,
        state: &State,
        question: &Question,
        in_full: bool,
        out: &mut dyn Write,
    ) -> io::Result<()> {
        if in_full {
            writeln!(out)?;
            self.place(state, question, out)?;
            folded(&question.text, "", out)?;
            for hint in &question.hints {
                for line in hint.lines() {
                    // the desk names the key of the full screen
                    folded(&line.replace("PageUp", "back"), "  ", out)?;
                }
            }
            answers(question, &[], out)?;
        }
        prompt(question, out)
    }

    /// Where the person stands, once per terminal. Nothing while a scale is read.
    fn place(&mut self, state: &State, question: &Question, out: &mut dyn Write) -> io::Result<()> {
        if question.topic == Topic::Scale || question.about.is_none() || question.about == self.at {
            return Ok(());
        }
        self.at = question.about;
        let Some(at) = question.about else { return Ok(()) };
        let (Some(terminal), Some(clamp)) = (state.visit.terminal(at), state.visit.clamp(at)) else {
            return Ok(());
        };
        let practice = if state.is_rehearsal() { "REHEARSAL  " } else { "" };
        let circuit = terminal.circuit.as_ref().map_or_else(String::new, |circuit| format!(", {circuit}"));
        let bit = clamp.drive.as_ref().map_or_else(String::new, |drive| format!(", bit {drive}"));
        let walked =
            if question.topic == Topic::SignOff { String::new() } else { format!("{}. ", pass(state)) };
        folded(
            &format!(
                "{practice}{walked}{}: {}{circuit}; {}{bit}.",
                terminal.name,
                terminal.place,
                clamp.kind.words()
            ),
            "",
            out,
        )
    }

    /// What was confirmed as durable since.
    #[allow(clippy::unused_self, reason = "one way of showing, one type")]
    pub(super) fn recorded(&self, state: &State, before: usize, out: &mut dyn Write) -> io::Result<()> {
        for line in state.visit.lines().iter().skip(before) {
            writeln!(out, "recorded {}", state.line_in_words(line))?;
        }
        Ok(())
    }
}

/// So far, part by part, each line below its heading.
pub(super) fn so_far(state: &State, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "So far:")?;
    for part in crate::session::desk::so_far::so_far(state) {
        writeln!(out, "{}", part.title)?;
        for line in part.lines {
            folded(&line, "  ", out)?;
        }
    }
    Ok(())
}

/// The pass the person walks in, and how many terminals it still has.
fn pass(state: &State) -> String {
    let making_off = |step: Option<Step>| step.is_some_and(Step::is_making_off);
    let open = || {
        state.visit.terminals().filter(|(_, terminal, standing)| {
            standing.outcome == Outcome::Open
                && !standing.scale_to_be_read
                && state.visit.live_source(&terminal.name).is_none()
        })
    };
    let still = open().filter(|(_, _, s)| making_off(s.next_step())).count();
    let coming_back = state.visit.is_coming_back();
    match state.desk.pass {
        Some(Pass::MakingOff) if coming_back => format!("Looking, {still} to go"),
        Some(Pass::Tightening) if coming_back => {
            format!("Tugging and trying, {} to go", open().count().saturating_sub(still))
        }
        Some(Pass::MakingOff) => format!("Making off, {still} to go"),
        Some(Pass::Tightening) => format!("Tightening, {} to go", open().count().saturating_sub(still)),
        None => format!("{} terminals open", open().count()),
    }
}

/// What counts as an answer; of a list every entry but those that stand elsewhere.
pub(super) fn answers(question: &Question, elsewhere: &[usize], out: &mut dyn Write) -> io::Result<()> {
    match &question.answers {
        Answers::Choice(list) => {
            for (number, words) in (1_usize..).zip(list).filter(|(number, _)| !elsewhere.contains(number)) {
                folded(&format!("{number} {words}"), "  ", out)?;
            }
            Ok(())
        }
        Answers::Text { .. } => Ok(()),
        Answers::Observed(_)
        | Answers::Words(_)
        | Answers::Reading { .. }
        | Answers::Number
        | Answers::Count => folded(&format!("({})", question.wanted()), "  ", out),
    }
}

/// What stands before the answer.
pub(super) fn prompt(question: &Question, out: &mut dyn Write) -> io::Result<()> {
    if let Answers::Choice(list) = &question.answers
        && list.len() > 1
    {
        write!(out, "1 to {} ", list.len())?;
    }
    match offered(question) {
        Some(offer) => write!(out, "[{offer}] > ")?,
        None => write!(out, "> ")?,
    }
    out.flush()
}

/// The offer as it reads: of a list its number and words.
fn offered(question: &Question) -> Option<String> {
    let offer = question.offer.as_ref()?;
    let words = match &question.answers {
        Answers::Choice(list) => {
            let at = offer.parse::<usize>().ok()?.checked_sub(1)?;
            return list.get(at).map(|words| format!("{offer} {words}"));
        }
        Answers::Observed(_)
        | Answers::Words(_)
        | Answers::Reading { .. }
        | Answers::Text { .. }
        | Answers::Number
        | Answers::Count => offer,
    };
    Some(words.clone())
}

/// A line folded at blanks, what follows indented two columns more.
pub(super) fn folded(text: &str, indent: &str, out: &mut dyn Write) -> io::Result<()> {
    let mut line = indent.to_owned();
    let mut bare = true;
    for word in printable(text).split(' ') {
        if !bare && columns(&line).saturating_add(columns(word)).saturating_add(1) > WIDTH {
            writeln!(out, "{line}")?;
            line = format!("{indent}  ");
            bare = true;
        }
        if !bare {
            line.push(' ');
        }
        line.push_str(word);
        bare = false;
    }
    writeln!(out, "{line}")
}

/// Text without anything that moves a cursor.
pub(super) fn printable(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect()
}
