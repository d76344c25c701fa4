//! Start: what is known here, and where to go from it. A board that is looked at shows its visits.

use super::block::{Block, Row};
use super::known::{BoardFile, Ended, Known, KnownVisit, calibration, counts_in_words};
use super::{Page, Turn};
use crate::session::desk::{Command, Question, Topic, choice};

/// What to type, and what it does: for who has nothing yet.
const FIRST_STEPS: [[&str; 2]; 4] = [
    ["witnessmark rehearse", "practise on a demo board; nothing to set up"],
    ["witnessmark example", "print a commented board file to start from"],
    ["witnessmark check BOARD", "name everything that is wrong in a board file"],
    ["witnessmark walk BOARD", "walk a board, or go on with its open visit"],
];
/// The rest of the commands, for who has begun.
const OTHERS: [[&str; 2]; 6] = [
    ["witnessmark revisit [BOARD]", "come back to what was disturbed since"],
    ["witnessmark audit BOARD", "how far a board others built can be trusted"],
    ["witnessmark past BOARD", "print what past visits say of a board"],
    ["witnessmark tools", "torque tools: add, calibrate, doubt, retire"],
    ["witnessmark appendix [BOARD]", "print the appendix of a visit"],
    ["witnessmark places", "say where files live"],
];

/// How a visit of each kind is begun.
const TO_BEGIN: [&str; 3] =
    ["witnessmark walk BOARD", "witnessmark revisit [BOARD]", "witnessmark audit BOARD"];

/// What Start wants done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StartDeed {
    /// Go on with an open visit: its place in [`Known::visits`].
    GoOn(usize),
    /// Come back to the board of a visit as it was recorded: its place in [`Known::visits`].
    Revisit(usize),
    /// Come back to a board by its file: its place in [`Known::board_files`].
    RevisitBy(usize),
    /// Past visits of the board of a visit: its place in [`Known::visits`].
    Past(usize),
    /// Look at the tools.
    Tools,
}

/// The page, and the pages of the boards behind it.
#[derive(Clone, Debug)]
pub struct Start {
    known: Known,
    /// A visit of the board that is looked at.
    board: Option<usize>,
}

/// What an entry of the list leads to: visits by place in [`Known::visits`], files in [`Known::board_files`].
#[derive(Clone, Copy)]
enum Entry {
    GoOn(usize),
    Board(usize),
    Revisit(usize),
    RevisitBy(usize),
    Past(usize),
    Leave,
    Back,
}

impl Start {
    /// Over what is known.
    #[must_use]
    pub fn new(known: Known) -> Self {
        Self { known, board: None }
    }

    /// What stands on it for who only reads: without what can be typed.
    #[must_use]
    pub fn summary(&self) -> Vec<Block> {
        let mut blocks = vec![self.open_visits(), self.boards()];
        blocks.extend(self.tools());
        blocks.push(self.records());
        // where nothing is asked no number answers
        blocks.iter_mut().flat_map(|block| &mut block.rows).for_each(|row| row.number = None);
        blocks
    }

    fn visits(&self) -> impl DoubleEndedIterator<Item = (usize, &KnownVisit)> {
        self.known.visits.iter().enumerate()
    }

    /// Visits left open, the newest first.
    fn open(&self) -> impl Iterator<Item = (usize, &KnownVisit)> {
        self.visits().rev().filter(|(_, visit)| visit.ended == Ended::LeftOpen)
    }

    /// The last visit of every board, the newest first.
    fn last_of_boards(&self) -> Vec<(usize, &KnownVisit)> {
        let mut last: Vec<(usize, &KnownVisit)> = Vec::new();
        for (at, visit) in self.visits().rev() {
            if !last.iter().any(|(_, known)| known.same_board(visit)) {
                last.push((at, visit));
            }
        }
        last
    }

    /// The board that is looked at: its visits, the newest first.
    fn looked_at(&self) -> Option<(&KnownVisit, Vec<(usize, &KnownVisit)>)> {
        let of = self.known.visits.get(self.board?)?;
        Some((of, self.visits().rev().filter(|(_, visit)| visit.same_board(of)).collect()))
    }

    /// Files of the board that is looked at, with their places in what is known.
    fn files(&self) -> impl Iterator<Item = (usize, &BoardFile)> {
        let of = self.board.and_then(|at| self.known.visits.get(at));
        let files = self.known.board_files.iter().enumerate();
        files.filter(move |(_, file)| of.is_some_and(|of| (&of.site, &of.board) == (&file.site, &file.board)))
    }

    /// What a revisit from here goes by; nothing where no visit is over that could be come back to.
    fn board_files(&self, visits: &[(usize, &KnownVisit)]) -> Option<Block> {
        visits.iter().find(|(_, visit)| visit.ended != Ended::LeftOpen)?;
        let before = visits.iter().filter(|(_, visit)| visit.ended == Ended::LeftOpen).count();
        let rows = (before.saturating_add(1)..).zip(self.files()).map(|(number, (_, file))| {
            let differs = file.differs.clone();
            let words = differs.unwrap_or_else(|| "as last recorded".into());
            Row::new([file.path.clone()]).numbered(number).below(words).needing(file.differs.is_some())
        });
        let block = Block::new("Come back to it by its board file").listing(rows).beside();
        Some(if block.rows.is_empty() {
            Block::new("Board file").beside().saying(
                "None of it lies in this folder or beside its records: a revisit from here goes by the board as it was \
                 recorded. By a file: witnessmark revisit FILE",
            )
        } else {
            block
        })
    }

    fn entries(&self) -> Vec<Entry> {
        if let Some((_, visits)) = self.looked_at() {
            let open = visits.iter().filter(|(_, visit)| visit.ended == Ended::LeftOpen);
            let mut list: Vec<Entry> = open.map(|(at, _)| Entry::GoOn(*at)).collect();
            if let Some((at, _)) = visits.iter().find(|(_, visit)| visit.ended != Ended::LeftOpen) {
                list.extend(self.files().map(|(nth, _)| Entry::RevisitBy(nth)));
                list.extend([Entry::Revisit(*at), Entry::Past(*at)]);
            }
            list.push(Entry::Back);
            return list;
        }
        let open = self.open().map(|(at, _)| Entry::GoOn(at));
        let boards = self.last_of_boards().into_iter().map(|(at, _)| Entry::Board(at));
        let list: Vec<Entry> = open.chain(boards).collect();
        if list.is_empty() { vec![Entry::Leave] } else { list }
    }

    fn words(&self, entry: Entry) -> String {
        let visit = |at: usize| self.known.visits.get(at);
        match entry {
            Entry::GoOn(at) => {
                visit(at).map_or_else(String::new, |visit| format!("go on with {}", visit.board))
            }
            Entry::Board(at) => {
                visit(at).map_or_else(String::new, |visit| format!("look at {}", visit.board))
            }
            Entry::RevisitBy(nth) => {
                let path = self.known.board_files.get(nth).map(|file| std::path::Path::new(&file.path));
                let name = path.and_then(std::path::Path::file_name).unwrap_or_default();
                format!("come back to it by {}", name.to_string_lossy())
            }
            Entry::Revisit(_) => "come back to it as recorded".into(),
            Entry::Past(_) => "past visits, terminal by terminal".into(),
            Entry::Leave => "leave".into(),
            Entry::Back => "back to the boards".into(),
        }
    }

    fn open_visits(&self) -> Block {
        let open: Vec<(usize, &KnownVisit)> = self.open().collect();
        let rows = (1..).zip(&open).map(|(number, (_, visit))| {
            let left = visit.counts.open.saturating_add(visit.counts.settling);
            let cells = [
                visit.board.clone(),
                visit.where_it_is(),
                visit.words(),
                format!("{left} of {} to do", visit.counts.all),
            ];
            Row::new(cells).numbered(number).detail(path(visit, &visit.record))
        });
        Block::new(format!("Visits left open: {}", count(open.len()))).listing(rows)
    }

    fn boards(&self) -> Block {
        let before = self.open().count();
        let last = self.last_of_boards();
        let first = before.saturating_add(1);
        let rows = (first..).zip(&last).map(|(number, (_, visit))| {
            let cells =
                [visit.board.clone(), visit.where_it_is(), visit.words(), visit.ended.words().to_owned()];
            Row::new(cells).numbered(number)
        });
        let ended = |how: Ended| count(self.visits().filter(|(_, visit)| visit.ended == how).count());
        let totals =
            format!("visits closed: {}, abandoned: {}", ended(Ended::Closed), ended(Ended::Abandoned));
        Block::new(format!("Boards known here: {} ({totals})", count(last.len()))).listing(rows)
    }

    fn tools(&self) -> Option<Block> {
        let rows = self.known.tools.iter().map(|known| {
            let tool = &known.tool;
            let last = tool.calibrations.last();
            let (words, needs) = calibration(last, tool.interval, known.operations, self.known.today);
            let row = Row::new([tool.name.clone(), format!("serial {}", tool.serial)]).below(words);
            match &known.doubted {
                Some(what) => row.below(format!("DOUBTED: {what}")).needing(true),
                None => row.needing(needs),
            }
        });
        let mut block = Block::new("Tools").listing(rows).beside();
        if let Some(why) = &self.known.tools_unreadable {
            block.rows.extend(why.lines().map(|line| Row::new([line]).needing(true)));
        }
        (!block.rows.is_empty()).then_some(block)
    }

    fn records(&self) -> Block {
        let mut block = Block::new("Records").saying(self.known.records.clone()).beside();
        if !self.known.unreadable.is_empty() {
            block = block.saying(format!("files that cannot be read: {}", self.known.unreadable.len()));
            let lines = self.known.unreadable.iter().flat_map(|why| why.lines());
            block.rows.extend(lines.map(|line| Row::new([line]).needing(true)));
        }
        block
    }
}

/// Visits of a board, and where their records lie.
fn of_board(of: &KnownVisit, visits: &[(usize, &KnownVisit)]) -> Vec<Block> {
    let mut number = 0_usize;
    let rows = visits.iter().map(|(_, visit)| {
        let cells = [visit.day.clone(), visit.kind.words().to_owned(), visit.ended.words().to_owned()];
        let mut row = Row::new(cells).below(counts_in_words(&visit.counts));
        row = row.below(if visit.folder == of.folder {
            visit.record.clone()
        } else {
            path(visit, &visit.record)
        });
        if let Some(appendix) = &visit.appendix {
            row = row.below(format!("appendix {appendix}"));
        }
        if visit.ended == Ended::LeftOpen {
            number = number.saturating_add(1);
            row = row.numbered(number);
        }
        row
    });
    let visits = Block::new(format!("Visits: {}", visits.len())).listing(rows);
    let folder = Block::new("Folder of its records").saying(of.folder.clone()).beside();
    vec![visits, folder]
}
impl Page for Start {
    type Deed = StartDeed;

    fn title(&self) -> String {
        match self.looked_at() {
            Some((board, _)) => format!("{}   {}", board.board, board.site),
            None => "START".into(),
        }
    }

    fn body(&self) -> Vec<Block> {
        if let Some((of, visits)) = self.looked_at() {
            let mut blocks = of_board(of, &visits);
            blocks.extend(self.board_files(&visits));
            return blocks;
        }
        if !self.known.visits.is_empty() {
            let begin = TO_BEGIN.into_iter().fold(Block::new("To begin a visit"), Block::saying).beside();
            let blocks = [self.open_visits(), self.boards()].into_iter().chain(self.tools());
            return blocks.chain([self.records(), begin]).collect();
        }
        let begin = Block::new("Nothing is recorded here yet. What to do first:").terms(FIRST_STEPS);
        let others = Block::new("Later").terms(OTHERS);
        let licence = Block::default().saying(
            "It does not replace the maker's instructions, local rules or a licensed person's judgement.",
        );
        vec![begin, others, self.records(), licence]
    }

    fn question(&self) -> Question {
        let entries = self.entries();
        let text = match (entries.first(), self.board) {
            (Some(Entry::Leave), _) => "Nothing to go on with.",
            (Some(Entry::GoOn(_)), Some(_)) => "Go on with which open visit, or what else? Its number:",
            (_, Some(_)) => "No visit of this board is open. What now?",
            (Some(Entry::GoOn(_)), None) => "Go on with which visit, or look at which board? Its number:",
            (_, None) => "Look at which board? Its number:",
        };
        let offered = match entries.first() {
            Some(Entry::Board(_) | Entry::Revisit(_) | Entry::RevisitBy(_) | Entry::Past(_)) | None => None,
            Some(Entry::GoOn(_) | Entry::Leave | Entry::Back) => Some("1".to_owned()),
        };
        let list = choice(entries.iter().map(|entry| self.words(*entry)));
        Question::new(Topic::List, text, list).offering_if(offered)
    }

    fn answer(&mut self, answer: &str) -> Result<Turn<StartDeed>, String> {
        let picked = answer.parse::<usize>().ok().and_then(|number| number.checked_sub(1));
        let entry = picked.and_then(|at| self.entries().get(at).copied());
        match entry {
            Some(Entry::GoOn(at)) => return Ok(Turn::Do(StartDeed::GoOn(at))),
            Some(Entry::Leave) => return Ok(Turn::Leave),
            Some(Entry::Revisit(at)) => return Ok(Turn::Do(StartDeed::Revisit(at))),
            Some(Entry::RevisitBy(nth)) => return Ok(Turn::Do(StartDeed::RevisitBy(nth))),
            Some(Entry::Past(at)) => return Ok(Turn::Do(StartDeed::Past(at))),
            Some(Entry::Board(at)) => self.board = Some(at),
            Some(Entry::Back) => self.board = None,
            None => return Err("there is no such entry".into()),
        }
        Ok(Turn::Stay)
    }

    fn back(&mut self) -> bool {
        self.board.take().is_some()
    }

    fn doings(&self) -> Vec<(Command, &'static str)> {
        vec![(Command::Tool, "tools")]
    }

    fn doing(&mut self, _tools: Command) -> Turn<StartDeed> {
        Turn::Do(StartDeed::Tools)
    }
}

fn path(visit: &KnownVisit, file: &str) -> String {
    std::path::Path::new(&visit.folder).join(file).display().to_string()
}

fn count(number: usize) -> String {
    if number == 0 { "none".into() } else { number.to_string() }
}
