//! Several terminals answered together: prepared alike, entered, marked; by the way or by the place, with exceptions.

use super::State;
use super::form::{DeskAct, Field, Form, Next, asked};
use super::question::{Answers, Question, Seen, choice, own_words};
use super::row::{ask, exceptions};
use crate::domain::board::Terminal;
use crate::domain::conductor::{Conductor, Metal, Preparation};
use crate::domain::names::{ConductorName, PlaceName, TerminalName, WayNumber};
use crate::domain::record::{LookResult, MarkResult, Mode};
use crate::session::act::Act;
use crate::session::steps::Step;
use std::fmt;

/// Terminals answered together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Scope {
    /// Those of a way.
    Way(WayNumber),
    /// Those of a place.
    Place(PlaceName),
}

impl Scope {
    fn holds(&self, terminal: &Terminal) -> bool {
        match self {
            Self::Way(way) => terminal.way == Some(*way),
            Self::Place(place) => terminal.place == *place,
        }
    }

    fn mode(&self) -> Mode {
        match self {
            Self::Way(_) => Mode::Way,
            Self::Place(_) => Mode::Place,
        }
    }
}

impl fmt::Display for Scope {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Way(way) => write!(f, "way {way}"),
            Self::Place(place) => write!(f, "{place}"),
        }
    }
}

/// What can be answered together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Together {
    /// Prepare its conductors alike.
    Prepare,
    /// Its entries are right.
    Enter,
    /// Its fingers are seated.
    Seat,
    /// Its witness marks.
    Mark,
    /// Coming back: look at it.
    Look,
}

/// Terminals with the conductor that waits; of marks no conductor.
type Waiting = Vec<(TerminalName, Option<ConductorName>)>;

/// Conductors or terminals whose next step this is; of marks the terminals. To be prepared alike they have to be
/// alike: class and metal of the conductor in front of the person.
pub(super) fn waiting_for(state: &State, scope: &Scope, step: Together) -> Waiting {
    let make_up = |conductor: &Conductor| (conductor.class, conductor.metal);
    let here = state.desk.focus.and_then(|at| state.visit.terminal(at));
    let pattern = here.and_then(|terminal| terminal.conductors.first()).map(make_up);
    let counts = state.desk.focus.and_then(|at| state.visit.standing(at)).map(|s| (s.attempt, s.round));
    let mut found = Vec::new();
    for (at, terminal, standing) in state.visit.terminals().filter(|(_, t, _)| scope.holds(t)) {
        // One fact speaks of one attempt and round.
        if standing.aside.is_some()
            || counts.is_some_and(|counts| counts != (standing.attempt, standing.round))
            || standing.need.is_some()
            || state.visit.live_source(&terminal.name).is_some()
        {
            continue;
        }
        let open = |step: Step| !standing.answer(step).is_some_and(|answer| answer.good);
        for candidate in &standing.steps {
            let fits = match (step, candidate) {
                (Together::Prepare, Step::Prepare(nth)) => {
                    let conductor = terminal.conductors.get(*nth);
                    // aluminium is brushed and given compound: that is asked one by one
                    let copper = conductor.is_some_and(|c| c.metal == Metal::Copper);
                    open(*candidate) && copper && conductor.map(make_up) == pattern
                }
                (Together::Enter, Step::Enter(nth)) => {
                    let finger = !standing.steps.contains(&Step::Prepare(*nth));
                    !finger && open(*candidate) && !open(Step::Prepare(*nth))
                }
                (Together::Seat, Step::Enter(nth)) => {
                    !standing.steps.contains(&Step::Prepare(*nth)) && open(*candidate)
                }
                (Together::Look, Step::Look) => standing.next_step() == Some(Step::Look),
                (Together::Mark, Step::Mark) => standing.next_step() == Some(Step::Mark),
                _ => false,
            };
            let conductor = match candidate {
                Step::Prepare(nth) | Step::Enter(nth) => state.visit.conductor_name(at, *nth),
                Step::Look
                | Step::CheckTug(_)
                | Step::Check { .. }
                | Step::Torque { .. }
                | Step::Tug(_)
                | Step::Mark => None,
            };
            if fits {
                found.push((terminal.name.clone(), conductor));
            }
        }
    }
    found
}

pub(super) fn together(form: &Form, state: &State, scope: &Scope, step: Together) -> Next {
    let all = waiting_for(state, scope, step);
    if all.is_empty() {
        return Next::Desk(DeskAct::Note(format!("nothing of {scope} waits for that")));
    }
    let listed =
        all.iter().map(|(name, conductor)| conductor.as_ref().map_or(name.0.as_str(), |c| c.as_str()));
    let listed = format!("{scope}: {}.", listed.collect::<Vec<_>>().join(", "));
    let mode = if state.is_rehearsal() { Mode::Rehearsed } else { scope.mode() };
    let words = match step {
        Together::Prepare => {
            let named = Preparation::NAMED.iter().map(Preparation::words);
            let question = ask("All of those: prepared how?", choice(named.chain(["not all alike"])));
            asked!(form, Field::Pick, question.hint(listed.clone()))
        }
        Together::Enter => asked!(
            form,
            Field::TailTug,
            all_of(ENTERED, "look at each. The entry is:")
                .hint(listed.clone())
                .hint("Right circuit, right side of the clamp, every strand in, no insulation under it.")
        ),
        Together::Seat => {
            asked!(form, Field::TailTug, all_of(SEATED, "look at each. It is:").hint(listed.clone()))
        }
        Together::Look => {
            asked!(form, Field::TailTug, all_of(LOOKED, "look at each. It is:").hint(listed.clone()))
        }
        Together::Mark => {
            asked!(form, Field::TailMark, all_of(MARKED, "the witness mark is:").hint(listed.clone()))
        }
    };
    let not_all = words == NOT_ALL || words == (Preparation::NAMED.len().saturating_add(1)).to_string();
    if not_all && form.get(Field::Words).is_some() {
        // The exceptions are told: the same is asked of the rest.
        return rest_of(form, state, (scope, step), all);
    }
    if not_all {
        let question =
            ask("Which of them not? Names of terminals, with commas between them:", own_words()).hint(listed);
        return Next::Ask(Field::Words, Box::new(question));
    }
    Next::Do(vec![act_of(step, &all, &words, mode)])
}

/// What can be answered for the whole place of the terminal in front of the person, by the step that is due there.
#[must_use]
pub fn alike_here(state: &State) -> Option<(Scope, Together)> {
    let at = state.desk.focus?;
    let terminal = state.visit.terminal(at)?;
    let standing = state.visit.standing(at)?;
    let step = match standing.next_step()? {
        Step::Prepare(_) => Together::Prepare,
        Step::Enter(nth) if standing.steps.contains(&Step::Prepare(nth)) => Together::Enter,
        Step::Enter(_) => Together::Seat,
        Step::Mark => Together::Mark,
        Step::Look => Together::Look,
        Step::CheckTug(_) | Step::Check { .. } | Step::Torque { .. } | Step::Tug(_) => return None,
    };
    let scope = Scope::Place(terminal.place.clone());
    (waiting_for(state, &scope, step).len() > 1).then_some((scope, step))
}

/// The word for "some of them not".
const NOT_ALL: &str = "not all";
const SOME: Seen = Seen { key: 'w', word: NOT_ALL };
const ENTERED: &[Seen] = &[Seen { key: 'r', word: "right" }, SOME];
const SEATED: &[Seen] = &[Seen { key: 'e', word: "seated" }, SOME];
const LOOKED: &[Seen] = &[Seen { key: 'r', word: "right" }, Seen { key: 'v', word: "not visible" }, SOME];
const MARKED: &[Seen] = &[
    Seen { key: 'k', word: "made" },
    Seen { key: 'v', word: "not visible" },
    Seen { key: 'u', word: "not used" },
    SOME,
];

fn all_of(list: &[Seen], words: &str) -> Question {
    ask(format!("All of those: {words}"), Answers::Observed(list.to_vec()))
}

/// Without the exceptions, which stay open and are taken one by one.
fn rest_of(form: &Form, state: &State, (scope, step): (&Scope, Together), all: Waiting) -> Next {
    let out =
        form.get(Field::Words).map_or_else(Vec::new, |typed| exceptions(state, typed).unwrap_or_default());
    let rest: Waiting = all.into_iter().filter(|(name, _)| !out.contains(name)).collect();
    let mode = if state.is_rehearsal() { Mode::Rehearsed } else { scope.mode() };
    if rest.is_empty() {
        return Next::Desk(DeskAct::Walk);
    }
    let list: Vec<&Seen> = match step {
        Together::Prepare => Vec::new(),
        Together::Enter => ENTERED.iter().collect(),
        Together::Seat => SEATED.iter().collect(),
        Together::Mark => MARKED.iter().collect(),
        Together::Look => LOOKED.iter().collect(),
    };
    let question = if step == Together::Prepare {
        ask("The others: prepared how?", choice(Preparation::NAMED.iter().map(Preparation::words)))
    } else {
        let good = list.into_iter().filter(|seen| seen.word != NOT_ALL).copied().collect();
        ask("The others:", Answers::Observed(good))
    };
    let words = asked!(form, Field::YesNo, question);
    Next::Do(vec![act_of(step, &rest, &words, mode)])
}

fn act_of(step: Together, of: &Waiting, words: &str, mode: Mode) -> Act {
    let conductors: Vec<ConductorName> = of.iter().filter_map(|(_, conductor)| conductor.clone()).collect();
    match step {
        Together::Prepare => {
            let pick = words.parse::<usize>().unwrap_or(1).saturating_sub(1);
            let how = Preparation::NAMED.get(pick).cloned().unwrap_or(Preparation::InLay);
            Act::Prepare { conductors, how, aluminium: Vec::new(), mode }
        }
        Together::Enter | Together::Seat => Act::Enter { conductors, fault: None, mode },
        Together::Look => Act::Look {
            terminals: of.iter().map(|(name, _)| name.clone()).collect(),
            result: if words == "right" { LookResult::Sound } else { LookResult::NotSeen },
            untouched: None,
            mode,
        },
        Together::Mark => Act::Mark {
            terminals: of.iter().map(|(name, _)| name.clone()).collect(),
            result: MarkResult::of(words).unwrap_or(MarkResult::NotUsed),
            mode,
        },
    }
}
