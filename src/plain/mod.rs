//! The line-by-line face: a line a question, a line an answer, over the same machine as the full screen.
//!
//! For screen readers, dumb terminals and scripts. It shows what the desk asks and hands back what was typed;
//! nothing is decided here. "recorded" is said of confirmed lines only. Deliberately absent: cursor movement,
//! colour, boxes, and every rule about keys that are leaned on, because no key does anything before Enter.

mod commands;
mod page;
mod show;

pub use page::{Turned, blocks, page};

use crate::clock::Clock;
use crate::domain::names::ToolId;
use crate::domain::record::{Fact, SessionCause};
use crate::session::TerminalIndex;
use crate::session::desk::{Command, Event, Form, Input, Left, Message, Question, Recorder, State, drive};
use commands::Asked;
use show::Show;
use std::collections::BTreeSet;
use std::io::{self, BufRead, Write};

/// Useless answers to one question after which it is repeated in full.
const REPEAT_AFTER: usize = 3;
/// Useless answers to one question after which the visit is paused.
const PAUSE_AFTER: usize = 10;
/// Lines in a row that record nothing after which the visit is paused: somebody, or something, goes in a circle.
const CIRCLE: usize = 200;
/// Longest line that is read, bytes; no answer is a tenth as long.
const LINE_BYTES_MAX: usize = 16 * 1024;

/// How the talk ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Ended {
    /// The person left, closed or abandoned; `desk.left` says which.
    Left,
    /// Nothing more comes in.
    EndOfInput,
    /// Nothing that came in was an answer; what is asked, and what would be an answer.
    NoAnswer {
        /// The question.
        asked: String,
        /// What would be one.
        wanted: String,
    },
}

/// What the face reads from and writes to.
pub struct Lines<'a> {
    /// Answers come from here.
    pub input: &'a mut dyn BufRead,
    /// Questions go here.
    pub out: &'a mut dyn Write,
    /// Answers are written behind their questions, because nobody sees them typed.
    pub echo: bool,
}

/// Asks until the person leaves, the visit ends or nothing more comes in.
///
/// # Errors
/// Where the output cannot be written. What was recorded is safe.
pub fn run(
    mut state: State,
    recorder: &mut dyn Recorder,
    clock: &Clock,
    lines: &mut Lines<'_>,
) -> io::Result<(State, Ended)> {
    let mut show = Show::default();
    let mut useless: usize = 0;
    let mut nothing_recorded: usize = 0;
    let mut in_full = true;
    while state.desk.left.is_none() {
        let question = state.question();
        show.question(&state, &question, in_full, lines.out)?;
        let Some(line) = next_line(lines)? else { return Ok((state, Ended::EndOfInput)) };
        let before = Before::of(&state);
        state = take(state, &question, line, recorder, clock, lines)?;
        show.recorded(&state, before.lines, lines.out)?;
        notes(&mut state, before.lines, lines.out)?;
        let moved = before.moved(&state);
        in_full = moved;
        nothing_recorded =
            if state.visit.lines().len() > before.lines { 0 } else { nothing_recorded.saturating_add(1) };
        useless = if moved { 0 } else { useless.saturating_add(1) };
        if useless >= PAUSE_AFTER || nothing_recorded >= CIRCLE {
            let question = state.question();
            let ended = Ended::NoAnswer { wanted: question.wanted(), asked: question.text };
            return Ok((state, ended));
        }
        // what is not stored is said until it is
        in_full = in_full || state.desk.trouble.is_some() || useless.checked_rem(REPEAT_AFTER) == Some(0);
    }
    Ok((state, Ended::Left))
}

/// What tells whether a line moved anything.
#[derive(PartialEq)]
struct Before {
    lines: usize,
    question: Question,
    form: Option<Form>,
    mending: Option<Form>,
    focus: Option<TerminalIndex>,
    signing: bool,
    tool: Option<ToolId>,
    later: BTreeSet<TerminalIndex>,
    troubled: bool,
    left: Option<Left>,
}

impl Before {
    fn of(state: &State) -> Self {
        let desk = &state.desk;
        Self {
            lines: state.visit.lines().len(),
            question: state.question(),
            form: desk.form.clone(),
            mending: desk.mending.clone(),
            focus: desk.focus,
            signing: desk.signing,
            tool: desk.tool.clone(),
            later: desk.later.clone(),
            troubled: desk.trouble.is_some(),
            left: desk.left,
        }
    }

    fn moved(&self, after: &State) -> bool {
        *self != Self::of(after)
    }
}

/// Why a session began anew under the last answer, if it did.
fn begun_anew(state: &State, before: usize) -> Option<&'static str> {
    state.visit.lines().iter().skip(before).find_map(|line| {
        let Fact::Session(session) = &line.fact else { return None };
        match session.cause {
            SessionCause::Gap => Some("more than half an hour has passed, or the machine slept"),
            SessionCause::ClockBack => Some("the clock went back"),
            SessionCause::Opened | SessionCause::Resumed => None,
        }
    })
}

/// Hands one line to the machine.
fn take(
    state: State,
    question: &Question,
    line: Typed,
    recorder: &mut dyn Recorder,
    clock: &Clock,
    lines: &mut Lines<'_>,
) -> io::Result<State> {
    let input = match line {
        Typed::Unreadable(why) => {
            writeln!(lines.out, "not taken: {why}")?;
            return Ok(state);
        }
        Typed::Line(line) => match commands::read(&line, question) {
            Asked::Help => {
                commands::help(lines.out)?;
                return Ok(state);
            }
            // what is not stored, and a visit not yet open, the desk speaks of
            Asked::Command(Command::SoFar)
                if state.visit.opened().is_some() && state.desk.trouble.is_none() =>
            {
                show::so_far(&state, lines.out)?;
                return Ok(state);
            }
            Asked::Command(command) => Input::Command(command),
            Asked::Answer => Input::Line(line),
        },
    };
    Ok(drive(state, Event::Input(clock.now(), input), recorder))
}

/// What the desk has to say besides: behind what was recorded, because it follows from that.
fn notes(state: &mut State, before: usize, out: &mut dyn Write) -> io::Result<()> {
    if let Some(why) = begun_anew(state, before) {
        writeln!(out, "The last answer was not taken: {why}. The gate is asked again.")?;
    }
    if let Some(Message::Note(note)) = state.desk.message.take() {
        writeln!(out, "{note}")?;
    }
    Ok(())
}

/// What came in.
enum Typed {
    Line(String),
    Unreadable(&'static str),
}

/// The next line without its ending; nothing at the end of the input. A terminal that is gone is such an end.
fn next_line(lines: &mut Lines<'_>) -> io::Result<Option<Typed>> {
    let mut bytes = Vec::new();
    let mut too_long = false;
    loop {
        let piece = match lines.input.fill_buf() {
            Ok(piece) => piece,
            Err(why) if why.kind() == io::ErrorKind::Interrupted => continue,
            Err(_gone) => &[],
        };
        if piece.is_empty() {
            if bytes.is_empty() && !too_long {
                return Ok(None);
            }
            break;
        }
        let end = piece.iter().position(|byte| *byte == b'\n');
        let (part, used) = match end {
            Some(at) => (piece.get(..at).unwrap_or_default(), at.saturating_add(1)),
            None => (piece, piece.len()),
        };
        too_long = too_long || bytes.len().saturating_add(part.len()) > LINE_BYTES_MAX;
        if !too_long {
            bytes.extend_from_slice(part);
        }
        lines.input.consume(used);
        if end.is_some() {
            break;
        }
    }
    let typed = if too_long {
        Typed::Unreadable("the line is too long for any answer")
    } else {
        String::from_utf8(bytes).map_or(Typed::Unreadable("the line is no UTF-8 text"), |line| {
            Typed::Line(line.trim_end_matches('\r').to_owned())
        })
    };
    if lines.echo {
        let seen = match &typed {
            Typed::Line(line) => show::printable(line),
            Typed::Unreadable(_) => String::new(),
        };
        writeln!(lines.out, "{seen}")?;
    }
    Ok(Some(typed))
}
