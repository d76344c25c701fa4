//! `walk` and `rehearse`: opening a visit or going on with it, choosing the face, and what stands behind it.

use super::end::{self, After};
use super::failure::Failure;
use super::keeper::Keeper;
use super::offers::offers;
use super::{Face, PROGRAM, Talk, board, place, revisit};
use crate::board_file::{self, ReadBoard};
use crate::clock::Clock;
use crate::domain::record::{Fact, Line, Session, SessionCause, Torn, VisitKind};
use crate::journal::archive::{self, Archive, Entry};
use crate::journal::error::ReadFault;
use crate::journal::{Journal, RealStorage, ResumeError, names, read, resume};
use crate::plain;
use crate::session::desk::{Message, Start, State, session_draft};
use crate::session::past::Past;
use crate::session::replay;
use crate::tui;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// `walk BOARD`
pub(super) fn walk(
    talk: &mut Talk<'_>,
    path: &Path,
    face: &Face,
    tools: Option<&Path>,
) -> Result<(), Failure> {
    of_kind(talk, path, (face, tools), VisitKind::First)
}

/// A visit of a kind to the board of a file: the one left open, else a new one.
pub(super) fn of_kind(
    talk: &mut Talk<'_>,
    path: &Path,
    (face, tools): (&Face, Option<&Path>),
    kind: VisitKind,
) -> Result<(), Failure> {
    let records = talk.around.records(face.records.records.as_deref())?;
    let file = board::load(talk, path)?;
    let found = archive::scan(&RealStorage, &records, false)?;
    refuse_damaged(talk, &found, &records, &file)?;
    let clock = Clock::start();
    let mut start = start(&file, false, face_words(talk, face))?;
    start.visit = kind;
    let open = found.open_visits(&file.board, kind).last().cloned();
    let id = open.as_ref().map(|entry| entry.id.as_str());
    offers(talk, (&found, &file, id), tools, &mut start)?;
    let after =
        After { records: records.clone(), board: Some(path.to_path_buf()), rehearsal: false, face, kind };
    if kind != VisitKind::First {
        start.past = revisit::past_of(&found, &file.board);
        if open.is_none() {
            revisit::earlier(talk, &found, &file.board, &mut start)?;
        }
    }
    let (state, keeper) = match open {
        Some(entry) => go_on(talk, &entry, start, &clock, &file)?,
        None => begin(talk, start, &records, &clock)?,
    };
    talk_through(talk, state, keeper, &clock, &after)
}

/// A revisit of a place without a board file: what is entered there becomes one.
pub(super) fn at_place(talk: &mut Talk<'_>, face: &Face, tools: Option<&Path>) -> Result<(), Failure> {
    let records = talk.around.records(face.records.records.as_deref())?;
    let found = archive::scan(&RealStorage, &records, false)?;
    let place = board_file::read(revisit::unnamed_place().text().as_bytes())
        .map_err(|why| Failure::Wrong(format!("error: {} problems in the board of a place", why.len())))?;
    let clock = Clock::start();
    let mut start = start(&place, false, face_words(talk, face))?;
    start.visit = VisitKind::Revisit;
    offers(talk, (&found, &place, None), tools, &mut start)?;
    start.flat = Some(revisit::read_text);
    let name =
        format!("{}-{}-{}.{}", clock.now().wall.day(), start.visit.words(), start.id, names::EXTENSION);
    let keeper = Keeper::of_place(records.clone(), &name);
    heading(talk, &start, start.visit.called())?;
    let after = After { records, board: None, rehearsal: false, face, kind: VisitKind::Revisit };
    talk_through(talk, State::new(start), keeper, &clock, &after)
}

/// A revisit begun without the file of the board: of the board as its last record holds it.
pub(super) fn come_back_to(
    talk: &mut Talk<'_>,
    entry: &Entry,
    found: &Archive,
    face: &Face,
    tools: Option<&Path>,
) -> Result<(), Failure> {
    let records = talk.around.records(face.records.records.as_deref())?;
    let file = board_of(entry)?;
    if let Some(open) = found.open_visits(&file.board, VisitKind::Revisit).last() {
        return go_on_with(talk, open, found, face, tools);
    }
    let clock = Clock::start();
    let mut start = start(&file, false, face_words(talk, face))?;
    start.visit = VisitKind::Revisit;
    start.past = revisit::past_of(found, &file.board);
    offers(talk, (found, &file, None), tools, &mut start)?;
    revisit::earlier(talk, found, &file.board, &mut start)?;
    let after = After { records: records.clone(), board: None, rehearsal: false, face, kind: start.visit };
    let (state, keeper) = begin(talk, start, &records, &clock)?;
    talk_through(talk, state, keeper, &clock, &after)
}

/// The board that a record holds, amendments made.
fn board_of(entry: &Entry) -> Result<ReadBoard, Failure> {
    let record = read(&RealStorage, &entry.path)?;
    let visit = replay(&record.lines);
    match (visit.board_sha256(), visit.board()) {
        (Some(sha256), Some(board)) => {
            Ok(ReadBoard { board: board.clone(), sha256: sha256.to_owned(), warnings: Vec::new() })
        }
        _ => {
            Err(Failure::mend("this record holds no board", "name its board file: witnessmark revisit BOARD"))
        }
    }
}

/// Goes on with an open visit chosen by its number, on the board that its record holds.
pub(super) fn go_on_with(
    talk: &mut Talk<'_>,
    entry: &Entry,
    found: &Archive,
    face: &Face,
    tools: Option<&Path>,
) -> Result<(), Failure> {
    let records = talk.around.records(face.records.records.as_deref())?;
    let record = read(&RealStorage, &entry.path)?;
    let visit = replay(&record.lines);
    let opened = visit.opened().zip(visit.board());
    let Some((sha256, board)) = opened.map(|(opened, board)| (opened.board_sha256.clone(), board.clone()))
    else {
        return Err(Failure::mend(
            "this record holds no board",
            "name its board file: witnessmark walk BOARD",
        ));
    };
    let file = ReadBoard { board, sha256, warnings: Vec::new() };
    let clock = Clock::start();
    let kind = entry.kind;
    let after = After { records, board: None, rehearsal: false, face, kind };
    let mut start = start(&file, false, face_words(talk, face))?;
    start.visit = kind;
    if kind != VisitKind::First {
        start.past = revisit::past_of(found, &file.board);
    }
    if let Some(opened) = visit.opened().filter(|opened| place::was_entered(opened)) {
        start.flat = Some(revisit::read_text);
        // where it cannot be written now it is told when the person leaves
        let _told_at_leaving = place::keep_board(&entry.path, opened);
    }
    offers(talk, (found, &file, Some(&entry.id)), tools, &mut start)?;
    let (state, keeper) = go_on(talk, entry, start, &clock, &file)?;
    talk_through(talk, state, keeper, &clock, &after)
}

/// `rehearse [BOARD]`, of a visit of a kind. What real records say of the board is shown; nothing is added to them.
pub(super) fn rehearse(
    talk: &mut Talk<'_>,
    path: Option<&Path>,
    kind: VisitKind,
    face: &Face,
) -> Result<(), Failure> {
    let records = talk.around.records(face.records.records.as_deref())?;
    let demo = match kind {
        VisitKind::First => board_file::engine_shed(),
        VisitKind::Revisit => board_file::example(),
        VisitKind::Audit => board_file::pump_house(),
    };
    let file = match path {
        Some(path) => board::load(talk, path)?,
        None => board_file::read(demo.as_bytes()).map_err(|why| {
            Failure::Wrong(format!("error: {} problems in the demo board of this program", why.len()))
        })?,
    };
    let clock = Clock::start();
    let mut start = start(&file, true, face_words(talk, face))?;
    start.visit = kind;
    if kind != VisitKind::First {
        let found = archive::scan(&RealStorage, &records, false)?;
        start.past = revisit::past_of(&found, &file.board);
        revisit::earlier(talk, &found, &file.board, &mut start)?;
    }
    let board = path.map(Path::to_path_buf);
    let after = After { records: records.clone(), board, rehearsal: true, face, kind };
    let (state, keeper) = begin(talk, start, &records, &clock)?;
    talk_through(talk, state, keeper, &clock, &after)
}

/// A file in the board's folder that cannot be read may be its open visit: nothing is opened beside it. What never
/// became a visit holds nothing and is passed over.
fn refuse_damaged(
    talk: &mut Talk<'_>,
    found: &Archive,
    records: &Path,
    file: &ReadBoard,
) -> Result<(), Failure> {
    for error in found.unreadable_of(records, &file.board, false) {
        if error.fault == ReadFault::NotAVisit {
            let empty = std::fs::metadata(&error.path).is_ok_and(|about| about.len() == 0);
            if !empty {
                let _unread = writeln!(talk.err, "note: {error}");
            }
            continue;
        }
        let whole = error.to_string();
        let reason = whole.split("\nhelp:").next().unwrap_or(&whole);
        return Err(Failure::mend(
            reason,
            "nothing was changed in it. It lies among the records of this board and may be its open visit, so no \
             other is opened beside it. Compare it with a copy; to walk without it, move it to another folder",
        ));
    }
    Ok(())
}

/// How the person is spoken to, as a session line says it.
fn face_words(talk: &Talk<'_>, face: &Face) -> &'static str {
    if !face.plain && talk.around.has_a_screen() {
        "full screen"
    } else if talk.around.typed {
        "line by line"
    } else {
        "line by line, answers not typed at a terminal"
    }
}

fn start(file: &ReadBoard, rehearsal: bool, face: &str) -> Result<Start, Failure> {
    let chance =
        |why: std::io::Error| Failure::Wrong(format!("error: no random numbers from this system: {why}"));
    Ok(Start {
        program: PROGRAM.into(),
        id: names::new_id().map_err(chance)?,
        face: face.to_owned(),
        nonce: names::new_nonce().map_err(chance)?,
        board: file.board.clone(),
        board_sha256: file.sha256.clone(),
        rehearsal,
        visit: VisitKind::First,
        flat: None,
        past: Past::default(),
        follows: None,
        person_offered: None,
        tools_offered: Vec::new(),
        operations: BTreeMap::new(),
        news: Vec::new(),
    })
}

/// A new visit; its file is made with its first lines.
fn begin(
    talk: &mut Talk<'_>,
    mut start: Start,
    records: &Path,
    clock: &Clock,
) -> Result<(State, Keeper), Failure> {
    let folder = names::board_folder(records, &start.board, start.rehearsal);
    let wall = clock.now().wall;
    // a folder that cannot be listed is told when the first answer cannot be stored there
    let path = match names::fresh(&RealStorage, &folder, start.visit, &wall) {
        Ok((id, path)) => {
            start.id = id;
            path
        }
        Err(_) => {
            folder.join(format!("{}-{}-{}.{}", wall.day(), start.visit.words(), start.id, names::EXTENSION))
        }
    };
    heading(talk, &start, start.visit.called())?;
    let mut state = State::new(start);
    tell(&mut state, Vec::new());
    Ok((state, Keeper::new(path)))
}

fn heading(talk: &mut Talk<'_>, start: &Start, what: &str) -> Result<(), Failure> {
    let practice = if start.rehearsal { "REHEARSAL, nothing of it counts. " } else { "" };
    let board = &start.board;
    let alike = board.title == board.reference;
    let board_words =
        if alike { board.title.clone() } else { format!("{}, {}", board.title, board.reference) };
    writeln!(talk.out, "{practice}{board_words}: {what}. ? explains what can be typed.")?;
    for note in &board.notes {
        writeln!(talk.out, "Caution: {note}")?;
    }
    Ok(())
}

/// Goes on with an open visit: on the board of the record.
fn go_on(
    talk: &mut Talk<'_>,
    entry: &Entry,
    start: Start,
    clock: &Clock,
    file: &ReadBoard,
) -> Result<(State, Keeper), Failure> {
    let session = |torn: Option<Torn>| Session {
        nonce: start.nonce.clone(),
        program: start.program_and_face(),
        cause: SessionCause::Resumed,
        torn,
    };
    let resumed: Result<(Journal<RealStorage>, _), ResumeError> =
        resume(&RealStorage, &entry.path, |lines, torn| {
            session_draft(lines, clock.now().wall, session(torn))
        });
    // whatever the reason, the file is as it was and the person has to look at it
    let (journal, lines) = resumed.map_err(|why| Failure::Mend(format!("error: {why}")))?;
    let mut state = State::over(replay(&lines), start);
    let what = format!("{}, gone on with", state.visit.kind().called());
    heading(talk, &state.desk.start, &what)?;
    let before = lines.len().saturating_sub(1);
    writeln!(talk.out, "Record: {}, {before} lines.", entry.path.display())?;
    if let Some(last) = before.checked_sub(1).and_then(|at| lines.get(at)) {
        writeln!(talk.out, "The last of them: {} {}", last.time.day(), state.line_in_words(last))?;
    }
    let news: Vec<String> =
        torn_in_words(lines.last()).into_iter().chain(board_in_words(&state, file)).collect();
    for words in &news {
        writeln!(talk.out, "{words}")?;
    }
    tell(&mut state, news);
    Ok((state, Keeper::resumed(journal)))
}

/// Tells on the first screen what was written before it: the full screen hides that.
fn tell(state: &mut State, mut news: Vec<String>) {
    news.append(&mut state.desk.start.news);
    if !news.is_empty() {
        state.desk.message = Some(Message::Note(news.join(" ")));
    }
}

/// What a resume cut off, in words.
fn torn_in_words(session: Option<&Line>) -> Option<String> {
    let Some(Fact::Session(Session { torn: Some(torn), .. })) = session.map(|line| &line.fact) else {
        return None;
    };
    Some(format!(
        "{} bytes behind it were torn off in the middle of a line and had not been said to be recorded; they are kept \
         in the record.",
        torn.bytes
    ))
}

/// How the board file differs from the board of the visit, in words.
fn board_in_words(state: &State, file: &ReadBoard) -> Option<String> {
    let opened = state.visit.opened().filter(|opened| opened.board_sha256 != file.sha256)?;
    Some(match board::difference(state.visit.board().unwrap_or(&opened.board), &file.board) {
        None => "The board file was written anew since; it describes the same board.".into(),
        Some(words) => format!("The board file has changed since: {words}. What is to hold is asked next."),
    })
}

/// The face, and what follows it.
fn talk_through(
    talk: &mut Talk<'_>,
    state: State,
    mut keeper: Keeper,
    clock: &Clock,
    after: &After<'_>,
) -> Result<(), Failure> {
    let (state, how) = if !after.face.plain && talk.around.has_a_screen() {
        let options = tui::Options { no_color: talk.around.no_color };
        let state = tui::run(state, &mut keeper, clock, options)
            .map_err(|why| Failure::Wrong(format!("error: {why}")))?;
        (state, plain::Ended::Left)
    } else {
        let echo = !talk.around.typed;
        let mut lines = plain::Lines { input: talk.input, out: talk.out, echo };
        plain::run(state, &mut keeper, clock, &mut lines)?
    };
    let path: PathBuf = keeper.path().to_path_buf();
    drop(keeper);
    end::after(talk, &state, &how, &path, after)
}
