//! Past visits of a board: what is outstanding, what was remade, which tool did what, and every terminal's story.

use super::block::{Block, Row};
use super::{Page, Turn};
use crate::session::desk::{Question, Topic, choice};
use crate::session::past::{Past, ToolDid};

/// The page.
#[derive(Clone, Debug)]
pub struct PastVisits {
    title: String,
    past: Past,
}

/// It wants nothing done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PastDeed {}

impl PastVisits {
    /// Over the past visits of a board.
    #[must_use]
    pub fn new(title: String, past: Past) -> Self {
        Self { title, past }
    }

    fn visits(&self) -> Block {
        let rows = (1_usize..).zip(&self.past.visits).map(|(nth, visit)| {
            let end = match visit.abandoned {
                Some(_) => "abandoned",
                None if visit.closed => "closed",
                None => "left open",
            };
            Row::new([
                format!("visit {nth}"),
                visit.day.clone(),
                visit.kind.called().to_owned(),
                end.to_owned(),
            ])
            .below(format!("record {}, {}", visit.id, visit.who))
        });
        let untold = self.past.untold.iter().map(|words| Row::new([format!("not told here: {words}")]));
        Block::new(format!("Visits: {}", self.past.visits.len())).listing(rows.chain(untold))
    }

    fn outstanding(&self) -> Block {
        let rows = self.past.outstanding().map(|(name, chapter)| {
            let why = chapter.left.as_deref().unwrap_or_default();
            let told = chapter.told.as_ref().map_or_else(String::new, |whom| format!(", told {whom}"));
            Row::new([name.0.clone(), format!("{why}, visit {}{told}", chapter.visit.saturating_add(1))])
                .needing(true)
        });
        or_none(Block::new("Outstanding").listing(rows))
    }

    fn remade(&self) -> Block {
        let rows = self.past.remade().map(|(name, chapter)| {
            let words = format!("{}, visit {}", chapter.remade.join("; "), chapter.visit.saturating_add(1));
            Row::new([name.0.clone(), words])
        });
        or_none(Block::new("Remade").listing(rows))
    }

    fn tools(&self) -> Block {
        let row = |did: ToolDid<'_>| {
            let names: Vec<&str> = did.terminals.iter().map(|name| name.as_str()).collect();
            let visit = format!("visit {}", did.visit.saturating_add(1));
            let what = format!("{}: {}", did.words(), names.join(", "));
            Row::new([did.name.to_owned(), format!("serial {}", did.serial), visit]).below(what)
        };
        or_none(Block::new("Which tool did what").listing(self.past.tools().into_iter().map(row)))
    }

    fn terminals(&self) -> Block {
        let rows = self.past.stories.iter().map(|story| {
            let mut row = Row::new([story.terminal.0.clone()]);
            for chapter in &story.chapters {
                row = row.below(format!("visit {}: {}", chapter.visit.saturating_add(1), chapter.in_words()));
            }
            row
        });
        Block::new("Terminals").listing(rows)
    }
}

fn or_none(block: Block) -> Block {
    if block.rows.is_empty() { block.saying("None.") } else { block }
}

impl Page for PastVisits {
    type Deed = PastDeed;

    fn title(&self) -> String {
        format!("{}   past visits", self.title)
    }

    fn body(&self) -> Vec<Block> {
        vec![self.visits(), self.outstanding(), self.remade(), self.tools(), self.terminals()]
    }

    fn question(&self) -> Question {
        Question::new(Topic::List, "Past visits, the earliest first.", choice(["back to the board"]))
            .offering_if(Some("1".to_owned()))
    }

    fn answer(&mut self, _answer: &str) -> Result<Turn<PastDeed>, String> {
        Ok(Turn::Leave)
    }

    fn back(&mut self) -> bool {
        false
    }
}
