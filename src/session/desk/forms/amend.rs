//! Amending in mid-walk: a maker's value found or read differently, or a board file that has changed.

use crate::domain::board::Board;
use crate::domain::names::ClampName;
use crate::domain::stated::{ReadAt, Source, Stated, TorqueRow};
use crate::domain::torque::Torque;
use crate::session::act::Act;
use crate::session::desk::State;
use crate::session::desk::form::{DeskAct, Field, Form, Next, asked};
use crate::session::desk::question::{Answers, Question, Topic, choice, name_text, own_words};
use crate::session::difference::difference;
use crate::session::visit::TerminalIndex;

/// Most changes that are listed; the rest are counted.
const LISTED_MAX: usize = 12;

fn ask(text: impl Into<String>, answers: Answers) -> Question {
    Question::new(Topic::Doing, text, answers)
}

/// The value as it is read on the device, and where: holds for every terminal of the clamp.
pub(in crate::session::desk) fn value(form: &Form, state: &State, at: TerminalIndex) -> Next {
    let (Some(terminal), Some(clamp)) = (state.visit.terminal(at), state.visit.clamp(at)) else {
        return Next::Desk(DeskAct::Walk);
    };
    if !clamp.kind.has_screw() {
        return Next::Desk(DeskAct::Note("a spring has no torque".into()));
    }
    let now = clamp.torque_for(&terminal.conductors);
    let known =
        now.map_or_else(|| "no maker's value".to_owned(), |row| format!("{}, {}", row.stated, row.source));
    let alike = state.visit.terminals().filter(|(_, t, _)| t.clamp == clamp.name).count();
    let typed = asked!(
        form,
        Field::Words,
        ask(format!("Clamp {}: what does its maker state?", clamp.name), name_text())
            .about(at)
            .hint(format!("So far: {known}. It holds for the {alike} terminals of this clamp."))
            .hint("Such as 2.5 N.m, or 2.0 to 2.8 N.m. What was tightened to another value is open again.")
    );
    asked!(form, Field::Pick, ask("Where was that read?", choice(ReadAt::ALL.map(ReadAt::words))).about(at));
    let read_at = form.pick(Field::Pick).and_then(|n| ReadAt::ALL.get(n.saturating_sub(1))).copied();
    let read_at = read_at.unwrap_or(ReadAt::OnDevice);
    let reference = if read_at == ReadAt::OnDevice {
        String::new()
    } else {
        asked!(form, Field::Why, ask("Its title, number and revision, as printed:", name_text()).about(at))
    };
    let Ok(stated) = read_stated(&typed) else {
        return Next::Desk(DeskAct::Note("that value could not be understood".into()));
    };
    let source = Source { read_at, reference };
    let reason = format!("clamp {}: {stated}, {source}", clamp.name);
    let board = with_value(state.board(), &clamp.name, now, stated, source);
    let sha = state.visit.board_sha256().unwrap_or_default().to_owned();
    Next::Do(vec![Act::AmendBoard { board: Box::new(board), board_sha256: sha, reason }])
}

/// The board with one row of the maker's table changed, or its only one made.
fn with_value(
    board: &Board,
    clamp: &ClampName,
    now: Option<&TorqueRow>,
    stated: Stated,
    source: Source,
) -> Board {
    let mut board = board.clone();
    if let Some(clamp) = board.clamps.iter_mut().find(|c| c.name == *clamp) {
        let row = clamp.torque.iter_mut().find(|row| Some(&**row) == now);
        match row {
            Some(row) => {
                row.stated = stated;
                row.source = source;
            }
            None => clamp.torque.push(TorqueRow {
                csa_from_mm2: None,
                csa_to_mm2: None,
                classes: Vec::new(),
                conductors: None,
                stated,
                source,
            }),
        }
    }
    board
}

/// Reads `2.5 N.m` or `2.0 to 2.8 N.m`.
///
/// # Errors
/// What is wrong, in words.
pub(in crate::session::desk) fn read_stated(text: &str) -> Result<Stated, String> {
    let torque = |part: &str| {
        let Ok(torque) = Torque::read(part) else {
            return Err(format!("{part:?} is no torque: write 2.5 N.m"));
        };
        let nm = torque.exact_nm();
        let most = crate::domain::exact::Exact::ratio(500, 1);
        if nm <= crate::domain::exact::Exact::zero() || nm > most {
            return Err("a torque is more than 0 and at most 500 N.m".to_owned());
        }
        Ok(torque)
    };
    match text.split_once(" to ") {
        None => Ok(Stated::Single { value: torque(text)? }),
        Some((lower, upper)) => {
            let upper = torque(upper)?;
            let lower = torque(lower).or_else(|_| torque(&format!("{lower} {}", upper.unit)))?;
            if lower >= upper {
                return Err("a range goes from the lower to the higher value".into());
            }
            Ok(Stated::Range { lower, upper, recommended: None })
        }
    }
}

/// The board file has changed since: the difference first, then the question.
pub(in crate::session::desk) fn from_file(form: &Form, state: &State) -> Next {
    let file = &state.desk.start.board;
    let changes = difference(state.board(), file);
    let mut question = ask(
        "The board file differs from the board of this visit. What holds?",
        choice(["the file: amend the visit", "the visit: go on with its board"]),
    );
    for (name, change) in changes.iter().take(LISTED_MAX) {
        question = question.hint(format!("{name}: {}", change.words()));
    }
    if changes.is_empty() {
        question = question.hint("No terminal differs; only what is written about the board.");
    } else if changes.len() > LISTED_MAX {
        question = question.hint(format!("and {} more", changes.len().saturating_sub(LISTED_MAX)));
    }
    asked!(form, Field::Pick, question);
    if form.pick(Field::Pick) == Some(2) {
        return Next::Desk(DeskAct::KeepBoard);
    }
    let reason = asked!(form, Field::Why, ask("Why does the board differ?", own_words()));
    Next::Do(vec![Act::AmendBoard {
        board: Box::new(file.clone()),
        board_sha256: state.desk.start.board_sha256.clone(),
        reason,
    }])
}
