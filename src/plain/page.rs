//! A page away from a visit, line by line: its blocks, then a question a line.

use super::commands::{self, Asked};
use super::show::{answers, folded, prompt};
use super::{Ended, Lines, PAUSE_AFTER, REPEAT_AFTER, Typed, next_line};
use crate::office::{Block, Page, PageState, Turn};
use crate::session::desk::{Input, Question};
use std::io::{self, Write};

/// How a page ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Turned<D> {
    /// Something is to be done outside.
    Do(D),
    /// The person left, or nothing that came in was an answer.
    Ended(Ended),
}

/// Shows a page until the person leaves, something is to be done outside, or nothing more comes in.
///
/// # Errors
/// Where the output cannot be written.
pub fn page<P: Page>(state: &mut PageState<P>, lines: &mut Lines<'_>) -> io::Result<Turned<P::Deed>> {
    let mut useless: usize = 0;
    let mut shown: Option<(String, Vec<Block>, Question)> = None;
    if let Some(note) = state.note.take() {
        folded(&note, "", lines.out)?;
    }
    loop {
        let now = (state.page.title(), state.page.body(), state.page.question());
        let in_full = useless.checked_rem(REPEAT_AFTER) == Some(0);
        if in_full
            && state.page.is_retold()
            && shown.as_ref().map(|shown| (&shown.0, &shown.1)) != Some((&now.0, &now.1))
        {
            writeln!(lines.out, "\n{}", now.0)?;
            blocks(&now.1, lines.out)?;
        }
        if in_full {
            ask(&now.1, &now.2, lines.out)?;
        } else {
            prompt(&now.2, lines.out)?;
        }
        let Some(line) = next_line(lines)? else { return Ok(Turned::Ended(Ended::EndOfInput)) };
        match take(state, line, &now.2, lines.out)? {
            Turn::Stay => {}
            Turn::Leave => return Ok(Turned::Ended(Ended::Left)),
            Turn::Do(deed) => return Ok(Turned::Do(deed)),
        }
        if let Some(note) = state.note.take() {
            folded(&note, "", lines.out)?;
        }
        let moved = (state.page.title(), state.page.body(), state.page.question()) != now;
        useless = if moved { 0 } else { useless.saturating_add(1) };
        if useless >= PAUSE_AFTER {
            let (asked, wanted) = (now.2.text.clone(), now.2.wanted());
            return Ok(Turned::Ended(Ended::NoAnswer { asked, wanted }));
        }
        shown = Some(now);
    }
}

fn take<P: Page>(
    state: &mut PageState<P>,
    line: Typed,
    question: &Question,
    out: &mut dyn Write,
) -> io::Result<Turn<P::Deed>> {
    let input = match line {
        Typed::Unreadable(why) => {
            writeln!(out, "not taken: {why}")?;
            return Ok(Turn::Stay);
        }
        Typed::Line(line) => match commands::read(&line, question) {
            Asked::Help => {
                commands::help_away(&state.page.doings(), out)?;
                return Ok(Turn::Stay);
            }
            Asked::Command(command) => Input::Command(command),
            Asked::Answer => Input::Line(line),
        },
    };
    Ok(state.take(input))
}

fn ask(body: &[Block], question: &Question, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out)?;
    folded(&question.text, "", out)?;
    for hint in question.hints.iter().flat_map(|hint| hint.lines()) {
        folded(&hint.replace("PageUp", "back"), "  ", out)?;
    }
    let elsewhere: Vec<usize> =
        body.iter().flat_map(|block| &block.rows).filter_map(|row| row.number).collect();
    answers(question, &elsewhere, out)?;
    prompt(question, out)
}

/// Blocks below each other, the cells of a row behind each other: nothing is said by its column alone.
///
/// # Errors
/// Where the output cannot be written.
pub fn blocks(blocks: &[Block], out: &mut dyn Write) -> io::Result<()> {
    for block in blocks {
        writeln!(out)?;
        if !block.heading.is_empty() {
            folded(&block.heading, "", out)?;
        }
        let indent = if block.heading.is_empty() { "" } else { "  " };
        for words in &block.words {
            folded(words, indent, out)?;
        }
        for row in &block.rows {
            let cells = row.cells.join(if block.terms { ": " } else { ", " });
            let line = row.number.map_or_else(|| cells.clone(), |number| format!("{number} {cells}"));
            folded(&line, "  ", out)?;
            for line in row.below.iter().chain(&row.details) {
                folded(line, "    ", out)?;
            }
        }
    }
    Ok(())
}
