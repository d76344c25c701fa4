//! What is said, and written, when a person leaves or a visit ends.

use super::failure::Failure;
use super::{Face, Talk, place, print};
use crate::domain::record::VisitKind;
use crate::plain::Ended;
use crate::session::desk::so_far::settling_in_words;
use crate::session::desk::{Left, State};
use std::path::{Path, PathBuf};

/// What has to be known to tell how the walk goes on.
pub(super) struct After<'a> {
    /// The records folder.
    pub(super) records: PathBuf,
    /// The board file as it was named.
    pub(super) board: Option<PathBuf>,
    /// Practice only.
    pub(super) rehearsal: bool,
    /// Kind of the visit.
    pub(super) kind: VisitKind,
    /// What was typed.
    pub(super) face: &'a Face,
}

pub(super) fn after(
    talk: &mut Talk<'_>,
    state: &State,
    how: &Ended,
    record: &Path,
    after: &After<'_>,
) -> Result<(), Failure> {
    board_kept(talk, state, record, after)?;
    if state.desk.left == Some(Left::Ended) {
        return ended(talk, state, record, after);
    }
    if matches!(how, Ended::Left) {
        writeln!(talk.out)?;
    } else {
        writeln!(talk.out, "\n")?;
    }
    paused(talk, state, how, record, after)?;
    match how {
        Ended::Left | Ended::EndOfInput => Ok(()),
        Ended::NoAnswer { asked, wanted } => Err(Failure::Mend(format!(
            "error: paused: what came in was no answer. It waits for: {asked}\nhelp: an answer would be: {wanted}"
        ))),
    }
}

/// What was entered at a place without a board file is kept as one, beside its record.
fn board_kept(talk: &mut Talk<'_>, state: &State, record: &Path, after: &After<'_>) -> Result<(), Failure> {
    let Some(opened) = state.visit.opened().filter(|_| after.board.is_none()) else { return Ok(()) };
    match place::keep_board(record, opened) {
        Ok(Some(file)) => writeln!(talk.out, "\nBoard file, to be completed: {}", file.display())?,
        Ok(None) => {}
        Err((file, why)) => {
            let file = file.display();
            return Err(Failure::Wrong(format!(
                "error: the record is whole, but its board file could not be written to {file}: {why}"
            )));
        }
    }
    Ok(())
}

fn paused(
    talk: &mut Talk<'_>,
    state: &State,
    how: &Ended,
    record: &Path,
    after: &After<'_>,
) -> Result<(), Failure> {
    if state.desk.trouble.is_some() {
        writeln!(talk.out, "The last answer is NOT recorded.")?;
    }
    if state.visit.opened().is_none() {
        writeln!(talk.out, "The visit was not opened; nothing is recorded.")?;
        return Ok(());
    }
    let counts = state.visit.counts();
    let word = if matches!(how, Ended::Left) { "Left for the day" } else { "Paused" };
    let practice = if after.rehearsal { "REHEARSAL. " } else { "" };
    let mut scale = String::new();
    if counts.scale_to_be_read > 0 {
        scale = format!(" ({} of them wait only for a scale)", counts.scale_to_be_read);
    }
    let open = if state.visit.kind() == VisitKind::Revisit && state.visit.scope().is_none() {
        "what was disturbed is still to be said".to_owned()
    } else {
        format!("{} of {} terminals are open{scale}", counts.open, counts.in_scope())
    };
    writeln!(talk.out, "{practice}{word}. The visit stays open: {open}.")?;
    still_to_come(talk, state)?;
    writeln!(talk.out, "Record: {}", record.display())?;
    if after.rehearsal {
        writeln!(talk.out, "A rehearsal is not gone on with: the next one begins anew.")?;
    } else {
        writeln!(talk.out, "To go on: {}", command(record, after))?;
    }
    Ok(())
}

/// What waits besides open terminals: settling, scales, remarks before power on.
fn still_to_come(talk: &mut Talk<'_>, state: &State) -> Result<(), Failure> {
    if state.visit.counts().settling > 0 {
        writeln!(talk.out, "Besides these: {}.", settling_in_words(state))?;
    }
    for span in state.visit.open_spans() {
        writeln!(
            talk.out,
            "Scale still to be read: tool {}. Leave it at its setting until then.",
            span.tool
        )?;
    }
    let remarks = state.visit.power_on().iter().filter(|remark| remark.dealt_with.is_none()).count();
    if remarks > 0 {
        writeln!(talk.out, "Remarks to be dealt with before power on: {remarks}.")?;
    }
    Ok(())
}

/// The line to type to go on.
fn command(record: &Path, after: &After<'_>) -> String {
    let mut words = vec!["witnessmark".to_owned()];
    // without the file of the board the visit is chosen from those left open
    if let Some(board) = &after.board {
        let command = match after.kind {
            VisitKind::First => "walk",
            kind @ (VisitKind::Revisit | VisitKind::Audit) => kind.words(),
        };
        words.extend([command.to_owned(), quoted(board)]);
    }
    if after.face.plain {
        words.push("--plain".into());
    }
    // a record that was saved elsewhere is found where it was saved
    let moved = record.parent().filter(|_| !record.starts_with(&after.records));
    if let Some(folder) = moved.or(after.face.records.records.as_deref()) {
        words.push("--records".into());
        words.push(quoted(folder));
    }
    words.join(" ")
}

fn quoted(path: &Path) -> String {
    let text = path.display().to_string();
    if text.contains(' ') { format!("\"{text}\"") } else { text }
}

fn ended(talk: &mut Talk<'_>, state: &State, record: &Path, after: &After<'_>) -> Result<(), Failure> {
    let practice = if after.rehearsal { "REHEARSAL. " } else { "" };
    let counts = state.visit.counts();
    writeln!(
        talk.out,
        "\n{practice}The visit is over: {} terminals, {} complete, {} with remark, {} set aside, {} open.",
        counts.in_scope(),
        counts.complete,
        counts.with_remark,
        counts.aside,
        counts.open
    )?;
    writeln!(talk.out, "Record: {}", record.display())?;
    let page = record.with_extension("txt");
    let text = print::appendix_text(&state.visit, false);
    match print::beside(&page, &text) {
        Ok(()) => {
            writeln!(talk.out, "Appendix: {}", page.display())?;
            Ok(())
        }
        Err(why) => Err(Failure::Wrong(format!(
            "error: the record is whole, but the appendix could not be written to {}: {why}\nhelp: print it with: \
             witnessmark appendix {}",
            page.display(),
            quoted(record)
        ))),
    }
}
