//! The gate: proved dead by whom, with what, how locked off, and every source of supply.
//!
//! Tester and lock are choices and are offered from the last gate. *Dead*, *tried* and other supplies never are.

use crate::domain::names::TerminalName;
use crate::domain::record::{Gates, SourceOfSupply, SourceState};
use crate::session::act::Act;
use crate::session::desk::State;
use crate::session::desk::form::{Field, Form, Next, Purpose, asked};
use crate::session::desk::naming::terminals_of;
use crate::session::desk::question::{Answers, Question, Topic, name_text, own_words};

/// What the incoming side is called in a record.
const INCOMING: &str = "incoming";
/// What *tried* stands for in a record.
const TRIED: &str = ", tried on a known source before and after";

fn ask(text: impl Into<String>, answers: Answers) -> Question {
    Question::new(Topic::Gate, text, answers)
}

pub(in crate::session::desk) fn gate(form: &Form, state: &State) -> Next {
    let rehearsal = state.is_rehearsal();
    let offer = |text: &str| rehearsal.then(|| text.to_owned());
    let earlier =
        state.visit.gates().iter().rev().map(|(_, gates)| gates).find(|g| g.person == state.desk.who);
    let mut first = ask("Who proved this board dead?", name_text()).offering_if(offer("Rehearser"));
    if let Some(gates) = earlier {
        first = first.hint(format!("Asked again after every reopening. Last time: {}.", gates.dead_by));
    }
    let dead_by = asked!(form, Field::DeadBy, first);
    let tester = earlier.map(|gates| gates.proved_with.trim_end_matches(TRIED).to_owned());
    let proved_with = asked!(
        form,
        Field::ProvedWith,
        ask("With which voltage tester, name and number?", own_words())
            .offering_if(tester.or_else(|| offer("two-pole tester")))
    );
    asked!(
        form,
        Field::TriedOnKnownSource,
        ask("Was it tried on a known source, before and after?", Answers::Words(vec!["tried"]))
            .offering_if(offer("tried"))
            .hint("Prove the tester, test every pair, prove the tester again.")
    );
    let locked_off = asked!(
        form,
        Field::LockedOff,
        ask("How is it locked off, and who has the key?", own_words()).offering_if(
            earlier
                .map(|gates| gates.locked_off.clone())
                .or_else(|| offer("main switch locked, key in pocket"))
        )
    );
    let sources = match sources(form, state, rehearsal) {
        Ok(sources) => sources,
        Err(next) => return next,
    };
    Next::Do(vec![Act::AnswerGates(Gates {
        person: state.desk.who.clone(),
        dead_by,
        proved_with: format!("{proved_with}{TRIED}"),
        locked_off,
        sources,
    })])
}

fn sources(form: &Form, state: &State, rehearsal: bool) -> Result<Vec<SourceOfSupply>, Next> {
    let mut given = form
        .given
        .iter()
        .skip_while(|(field, _)| *field != Field::SourceState && *field != Field::SourceWhat);
    let mut sources: Vec<SourceOfSupply> = Vec::new();
    for (what, feeds) in known(form, state) {
        let incoming = sources.is_empty();
        sources.push(source(&mut given, what, feeds, incoming, rehearsal)?);
    }
    loop {
        let what = {
            match given.next() {
                None => return Err(another(form, state, rehearsal)),
                Some((_, answer)) if answer == "none" => return Ok(sources),
                Some(_) => {
                    let Some((_, what)) = given.next() else {
                        let question = ask(
                            "Which second supply (solar, battery, generator, borrowed neutral)?",
                            name_text(),
                        );
                        return Err(Next::Ask(Field::SourceWhat, Box::new(question)));
                    };
                    what.clone()
                }
            }
        };
        let feeds = match given.next() {
            Some((_, names)) => terminals_of(state, names).unwrap_or_default(),
            None => return Err(feeds_question(&what)),
        };
        sources.push(source(&mut given, what, feeds, false, rehearsal)?);
    }
}

/// Sources that are asked about without being named again: the incoming side, and every second supply of the last
/// gate. A supply that was named once does not vanish by not being mentioned.
fn known(form: &Form, state: &State) -> Vec<(String, Vec<TerminalName>)> {
    let mut known = vec![(INCOMING.to_owned(), state.board().tails().cloned().collect())];
    let put_right = match form.purpose {
        Purpose::Slip(seq) => Some(seq),
        _ => None,
    };
    let last = state.visit.gates().iter().rev().find(|(seq, _)| Some(*seq) != put_right);
    if let Some((_, gates)) = last {
        known.extend(gates.sources.iter().skip(1).map(|source| (source.what.clone(), source.feeds.clone())));
    }
    known
}

fn another(form: &Form, state: &State, rehearsal: bool) -> Next {
    let question = ask(
        if known(form, state).len() > 1 {
            "Is there yet another supply?"
        } else {
            "Is there another supply: solar, battery, generator, borrowed neutral?"
        },
        Answers::Words(vec!["none", "yes"]),
    );
    Next::Ask(Field::AnotherSource, Box::new(question.offering_if(rehearsal.then(|| "none".to_owned()))))
}

fn feeds_question(what: &str) -> Next {
    let question = ask(format!("Which terminals does {what} feed?"), own_words())
        .hint("Names with commas between them, a way as \"way 3\", a place by its name, or \"all\".");
    Next::Ask(Field::SourceFeeds, Box::new(question))
}

fn source<'a>(
    given: &mut impl Iterator<Item = &'a (Field, String)>,
    what: String,
    feeds: Vec<TerminalName>,
    incoming: bool,
    rehearsal: bool,
) -> Result<SourceOfSupply, Next> {
    let offer = |text: &str| rehearsal.then(|| text.to_owned());
    let Some((_, state_word)) = given.next() else {
        let live_or_dead = format!("{what} is:");
        let (text, words) = if incoming {
            ("The incoming side is:", vec!["dead", "live", "unconnected"])
        } else {
            (live_or_dead.as_str(), vec!["dead", "live"])
        };
        let question = ask(text, Answers::Words(words))
            .offering_if(offer("dead"))
            .hint("Incoming terminals may stay live with the main switch off.");
        return Err(Next::Ask(Field::SourceState, Box::new(question)));
    };
    let state = match state_word.as_str() {
        "dead" => SourceState::Dead,
        "unconnected" => SourceState::Unconnected,
        _ => SourceState::Live,
    };
    if state != SourceState::Live {
        return Ok(SourceOfSupply { what, feeds, state, shrouded: None, decided_by: None });
    }
    let Some((_, shrouded)) = given.next() else {
        let question =
            ask(format!("{what} is live. Is it shrouded?"), Answers::Words(vec!["shrouded", "bare"]))
                .hint("What it feeds is not touched. Work beside it only where being dead is unreasonable.");
        return Err(Next::Ask(Field::Shrouded, Box::new(question)));
    };
    let Some((_, decided_by)) = given.next() else {
        let question = ask("Who decided that you work beside it?", name_text());
        return Err(Next::Ask(Field::DecidedBy, Box::new(question)));
    };
    Ok(SourceOfSupply {
        what,
        feeds,
        state,
        shrouded: Some(shrouded == "shrouded"),
        decided_by: Some(decided_by.clone()),
    })
}
