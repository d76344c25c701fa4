//! Past visits of a board on a page: what is outstanding, what was remade, which tool did what, and every terminal's
//! story.

use super::letters::glued;
use super::sheet::Sheet;
use super::words;
use crate::domain::board::Board;
use crate::domain::names::TerminalName;
use crate::session::past::{Chapter, Past};

/// Past visits of a board.
pub(super) fn past(past: &Past, board: &Board) -> Sheet {
    let mut sheet = Sheet::default();
    visits(past, &mut sheet);
    untold(past, &mut sheet);
    if past.visits.is_empty() {
        return sheet;
    }
    outstanding(past, &mut sheet);
    remade(past, &mut sheet);
    tools(past, &mut sheet);
    stories(past, board, &mut sheet);
    sheet
}

fn visits(past: &Past, sheet: &mut Sheet) {
    sheet.heading("VISITS");
    if past.visits.is_empty() {
        sheet.text("No visit of this board was ended yet.");
    }
    for (nth, visit) in past.visits.iter().enumerate() {
        let end = match &visit.abandoned {
            _ if visit.closed => "closed, its link:".to_owned(),
            Some(why) => format!("abandoned: {why}"),
            None => "left open".to_owned(),
        };
        sheet.entry(
            &format!("visit {}", nth.saturating_add(1)),
            format!("{}, {}, record {}, {}; {end}", visit.day, visit.kind.called(), visit.id, visit.who),
        );
        if visit.closed {
            sheet.inside(visit.link.clone());
        }
    }
}

/// What nothing is told of.
fn untold(past: &Past, sheet: &mut Sheet) {
    for words in &past.untold {
        sheet.entry("Not told here", words.clone());
    }
}

fn number(chapter: &Chapter) -> usize {
    chapter.visit.saturating_add(1)
}

fn outstanding(past: &Past, sheet: &mut Sheet) {
    sheet.heading("OUTSTANDING");
    let mut none = true;
    for (name, chapter) in past.outstanding() {
        none = false;
        let told = chapter.told.as_ref().map_or_else(String::new, |whom| format!("; told: {whom}"));
        let since = past.story(name).into_iter().flat_map(|story| &story.chapters);
        let since: Vec<String> = since
            .filter(|later| later.visit > chapter.visit)
            .filter_map(|later| Some(format!("; visit {}: {}", number(later), later.found.as_ref()?)))
            .collect();
        sheet.item(format!(
            "{}: {}, visit {}{told}{}",
            glued(name.as_str()),
            chapter.left.as_deref().unwrap_or_default(),
            number(chapter),
            since.concat()
        ));
    }
    if none {
        sheet.text("None.");
    }
}

fn remade(past: &Past, sheet: &mut Sheet) {
    sheet.heading("REMADE");
    let mut none = true;
    for (name, chapter) in past.remade() {
        none = false;
        sheet.item(format!("{name}: {}, visit {}", chapter.remade.join("; "), number(chapter)));
    }
    if none {
        sheet.text("None.");
    }
}

fn tools(past: &Past, sheet: &mut Sheet) {
    sheet.heading("TOOLS");
    let did = past.tools();
    if did.is_empty() {
        sheet.text("None.");
    }
    for tool in did {
        let names: Vec<TerminalName> = tool.terminals.iter().map(|name| (*name).clone()).collect();
        sheet.item(format!(
            "{}, serial {}, visit {}: {} {}: {}",
            tool.name,
            tool.serial,
            tool.visit.saturating_add(1),
            tool.words(),
            words::count(names.len(), "terminal", "terminals"),
            words::terminals(&names)
        ));
    }
}

fn stories(past: &Past, board: &Board, sheet: &mut Sheet) {
    sheet.heading("TERMINALS");
    for story in &past.stories {
        let gone = if board.terminal(&story.terminal).is_none() { ", no longer on the board" } else { "" };
        sheet.together(|sheet| {
            sheet.lead(format!("{}{gone}", story.terminal));
            for chapter in &story.chapters {
                sheet.under(&format!("visit {}", number(chapter)), chapter.in_words());
            }
        });
    }
}
