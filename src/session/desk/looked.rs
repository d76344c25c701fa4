//! The questions of a coming back: look, tug as it was found, the tool on the screw; and what was recorded last time
//! beside them.

use super::State;
use super::ask::{TUGGED, rehearsed};
use super::form::{DeskAct, Field, Form, Next, Purpose, asked};
use super::forms::finding::singly;
use super::question::{Answers, Question, Seen, Topic, choice, name_text};
use super::tighten::{self, turned_of};
use crate::domain::board::Terminal;
use crate::domain::names::TerminalName;
use crate::domain::record::{
    AsideWhy, Fact, HeatAt, InScope, LastTime, LookResult, Mark, Moved, Outcome, TorqueResult, Tug, Turned,
};
use crate::domain::stated::TorqueRow;
use crate::domain::tool::{Tool, ToolKind};
use crate::domain::torque::{Torque, read_decimal};
use crate::session::act::Act;
use crate::session::past::{applied_in_words, prepared_in_words};
use crate::session::standing::Need;
use crate::session::steps::Step;
use crate::session::visit::TerminalIndex;

/// Words and keys of the look.
pub(super) const LOOKED: [Seen; 3] = [
    Seen { key: 'r', word: "right" },
    Seen { key: 'w', word: "wrong" },
    Seen { key: 'v', word: "not visible" },
];
/// Words and keys of a screw that is tried with a tool that clicks.
const TRIED: [Seen; 3] = [
    Seen { key: 'h', word: "held" },
    Seen { key: 'm', word: "moved" },
    Seen { key: 'n', word: "did not click" },
];
/// Words and keys of a screw that is tried without a torque tool.
const BY_HAND: [Seen; 2] = [Seen { key: 'h', word: "held" }, Seen { key: 'm', word: "moved" }];
/// Full torques in one attempt after which another one is cautioned. Own practice; no published source.
const TORQUES_MANY: u32 = 3;
/// What is looked for.
const LOOK_FOR: &str = "Heat, a shifted sleeve, a witness mark out of line, damaged strands.";

fn gone() -> Next {
    Next::Desk(DeskAct::Note("that terminal is no longer on the board".into()))
}

/// What was recorded last time, in one line; what there is none of is said too.
#[must_use]
pub fn last_time_in_words(entry: &InScope) -> String {
    let Some(last) = &entry.last else { return "No earlier record of work on it.".into() };
    let mut parts = vec![last.day.clone()];
    parts.extend(prepared_in_words(&last.prepared));
    parts.extend(torque_in_words(last));
    parts.push(last.who.clone());
    let begins = u32::from(entry.afresh());
    let attempt = entry.attempt.0.saturating_sub(begins);
    if attempt > 1 {
        parts.push(format!("attempt {attempt}"));
    }
    parts.push(last.outcome.words().to_owned());
    format!("Last time: {}.", parts.join(", "))
}

fn torque_in_words(last: &LastTime) -> Option<String> {
    let tool = match (&last.tool, &last.serial) {
        (Some(tool), Some(serial)) => format!(" with {tool}, serial {serial}"),
        _ => String::new(),
    };
    let applied = last.applied.as_ref()?;
    Some(format!("{}{tool}", applied_in_words(applied, last.set.as_ref())))
}

/// Full torques that the present attempt of a terminal has had, those of earlier visits among them.
#[must_use]
pub fn full_torques(state: &State, at: TerminalIndex) -> u32 {
    let visit = &state.visit;
    let Some((terminal, standing)) = visit.terminal(at).zip(visit.standing(at)) else { return 0 };
    let entry = visit.in_scope(&terminal.name).filter(|entry| entry.attempt == standing.attempt);
    let before = entry.and_then(|entry| entry.last.as_ref()).map_or(0, |last| last.torques);
    let here = visit.lines_about(at).filter(|line| {
        matches!(visit.effective(line, Some(&terminal.name)), Fact::Torqued(f)
            if f.attempt == standing.attempt
                && f.screw.unwrap_or(1) == 1
                && matches!(f.result, TorqueResult::Clicked | TorqueResult::Reading { .. }))
    });
    before.saturating_add(u32::try_from(here.count()).unwrap_or(u32::MAX))
}

/// The caution where one more full torque would be one of many.
fn many_torques(state: &State, at: TerminalIndex) -> Option<String> {
    let had = full_torques(state, at);
    (had >= TORQUES_MANY).then(|| {
        format!(
            "Caution: {had} full torques on it already. Each one bites deeper: think of a remake instead."
        )
    })
}

/// What was recorded last time at a terminal in scope.
pub(super) fn beside(state: &State, at: TerminalIndex) -> Option<String> {
    state.visit.in_scope(&state.visit.terminal(at)?.name).map(last_time_in_words)
}

/// Look at a terminal; beside a live source without touching, when the person decides so.
pub(super) fn look(form: &Form, state: &State, at: TerminalIndex, live: bool) -> Next {
    let Some(terminal) = state.visit.terminal(at) else { return gone() };
    let untouched = if live {
        let words = "Who decided that it is looked at live, without touching?";
        let offer = state.visit.person(&state.desk.who).map(|person| person.name.clone());
        Some(asked!(
            form,
            Field::DecidedBy,
            Question::new(Topic::Walk, words, name_text()).about(at).offering_if(offer)
        ))
    } else if super::audit::is_audit(state) {
        // looked at before isolation, by the person who looks
        crate::session::audit::looks_untouched(&state.visit, &state.desk.who)
    } else {
        None
    };
    let touch = if live { "DO NOT TOUCH. Look at it" } else { "look at it" };
    let mut question = Question::new(
        Topic::Walk,
        format!("{}: {touch}. It is:", terminal.name),
        Answers::Observed(LOOKED.to_vec()),
    )
    .about(at)
    .offering_if(rehearsed(state, "right"))
    .hint(LOOK_FOR);
    if let Some(words) = beside(state, at) {
        question = question.hint(words);
    }
    let seen = asked!(form, Field::Words, question);
    let result = match seen.as_str() {
        "right" => LookResult::Sound,
        "not visible" => LookResult::NotSeen,
        _ => match what_is_wrong(form, at, terminal, !super::audit::is_audit(state)) {
            Ok(result) => result,
            Err(next) => return next,
        },
    };
    Next::Do(vec![Act::Look {
        terminals: vec![terminal.name.clone()],
        result,
        untouched,
        mode: singly(state),
    }])
}

/// Whether something can be answered at a live terminal without touching it: a look, or what a look asks for.
pub(super) fn can_be_met_live(state: &State, at: TerminalIndex) -> bool {
    state.visit.is_coming_back()
        && state.visit.standing(at).is_some_and(|standing| {
            standing.outcome == Outcome::Open
                && match standing.need {
                    Some(Need::Replace | Need::Distributor | Need::NoAccess) => true,
                    Some(_) => false,
                    None => standing.next_step() == Some(Step::Look),
                }
        })
}

/// Before a live terminal: look without touching when the person decides so, else it waits for isolation.
pub(super) fn live(form: &Form, state: &State, at: TerminalIndex) -> Next {
    let Some(terminal) = state.visit.terminal(at) else { return gone() };
    let source = state.visit.live_source(&terminal.name).unwrap_or_default();
    let question = Question::new(
        Topic::Walk,
        format!("{}: fed by {source}, which is live. DO NOT TOUCH.", terminal.name),
        choice(["I decide to look at it without touching", "set it aside: still live"]),
    );
    asked!(form, Field::YesNo, question.about(at));
    if form.pick(Field::YesNo) == Some(1) {
        return look(form, state, at, true);
    }
    Next::Do(vec![Act::SetAside { terminals: vec![terminal.name.clone()], why: AsideWhy::StillLive }])
}

/// What was seen, one thing after the other until nothing more is; with what follows where something is mended.
fn what_is_wrong(
    form: &Form,
    at: TerminalIndex,
    terminal: &Terminal,
    mends: bool,
) -> Result<LookResult, Next> {
    let strands = !terminal.conductors.is_empty();
    let mut left: Vec<Mark> =
        Mark::ALL.into_iter().filter(|mark| strands || *mark != Mark::StrandsDamaged).collect();
    let mut marks: Vec<Mark> = Vec::new();
    let mut picks = form.all(Field::Pick);
    loop {
        let mut words: Vec<String> = left
            .iter()
            .map(|mark| match mark {
                Mark::Heat(heat) if mends || *heat == HeatAt::MeterOrCutOut => {
                    format!("{}: {}", heat.words(), heat.consequence())
                }
                Mark::StrandsDamaged if mends => format!("{}: cut back and remake", mark.words()),
                _ => mark.words().to_owned(),
            })
            .collect();
        words.push(if marks.is_empty() { "it cannot be got at" } else { "nothing else" }.to_owned());
        let text = if marks.is_empty() { "what is wrong?" } else { "and what else?" };
        let last = words.len();
        let Some(pick) = picks.next() else {
            let question =
                Question::new(Topic::Finding, format!("{}: {text}", terminal.name), choice(words)).about(at);
            return Err(Next::Ask(Field::Pick, Box::new(question)));
        };
        let pick = pick.parse::<usize>().unwrap_or(last);
        if pick >= last || left.is_empty() {
            let none = marks.is_empty();
            return Ok(if none { LookResult::NotAccessible } else { LookResult::Found(marks) });
        }
        marks.push(left.remove(pick.saturating_sub(1)));
    }
}

/// Tug a conductor as it was found.
pub(super) fn check_tug(form: &Form, state: &State, at: TerminalIndex, nth: usize) -> Next {
    let words = super::ask::conductor_words(state, at, nth);
    let mut question = Question::new(
        Topic::Walk,
        format!("{words}: tug it firmly, as it was found. It is:"),
        Answers::Observed(TUGGED.to_vec()),
    )
    .about(at)
    .offering_if(rehearsed(state, "firm"));
    let tails = state.visit.terminal(at).is_some_and(|terminal| terminal.role.may_carry_current_when_dead());
    if tails {
        question =
            question.hint("Do not part it: it may carry current from elsewhere although the board is dead.");
    }
    let seen = asked!(form, Field::Words, question);
    let conductors = state.visit.conductor_name(at, nth).into_iter().collect();
    Next::Do(vec![Act::Tug {
        conductors,
        result: Tug::of(&seen).unwrap_or(Tug::Shifted),
        mode: singly(state),
    }])
}

/// The tool on a screw that was tightened before.
pub(super) fn check(form: &Form, state: &State, at: TerminalIndex, screw: u8) -> Next {
    let Some((terminal, clamp)) = state.visit.terminal(at).zip(state.visit.clamp(at)) else { return gone() };
    let try_it = Trying {
        form,
        state,
        at,
        screw,
        name: &terminal.name,
        which: tighten::which(terminal, clamp, screw),
    };
    let Some(row) = clamp.torque_for(&terminal.conductors) else { return try_it.by_hand() };
    let chosen = super::route::tool_for(state, at);
    let tool = chosen.and_then(|(id, required)| Some((&state.visit.tool(&id)?.tool, required)));
    match tool {
        None => tighten::no_tool(form, state, at, &try_it.which),
        Some((tool, required)) if tool.kind == ToolKind::Indicating => try_it.reading(row, tool, required),
        Some((tool, _)) => {
            tighten::scale_first(form, state, at, &tool.id).unwrap_or_else(|| try_it.click(row, tool))
        }
    }
}

/// A screw that is tried.
struct Trying<'a> {
    form: &'a Form,
    state: &'a State,
    at: TerminalIndex,
    screw: u8,
    name: &'a TerminalName,
    which: String,
}

impl Trying<'_> {
    fn question(&self, text: String, answers: Answers) -> Question {
        let mut question = Question::new(Topic::Walk, text, answers).about(self.at);
        if let Some(words) = beside(self.state, self.at) {
            question = question.hint(words);
        }
        match many_torques(self.state, self.at) {
            Some(caution) => question.hint(caution),
            None => question,
        }
    }

    fn full(&self, tool: Option<&Tool>, result: TorqueResult, turned: Option<Turned>) -> Next {
        Next::Do(vec![Act::Settle {
            terminal: self.name.clone(),
            tool: tool.map(|tool| tool.id.clone()),
            result,
            turned,
            mode: singly(self.state),
        }])
    }

    fn by_hand(&self) -> Next {
        let text = format!("{}: no maker's value is known. Try it by hand. The screw:", self.which);
        let question = self
            .question(text, Answers::Observed(BY_HAND.to_vec()))
            .offering_if(rehearsed(self.state, "held"))
            .hint("Do not guess a value. Held: it keeps a remark. Moved: it is set aside, no maker's value.");
        let seen = asked!(self.form, Field::Words, question);
        self.full(None, TorqueResult::ByHand, turned_of(&seen))
    }

    fn click(&self, row: &TorqueRow, tool: &Tool) -> Next {
        let text = format!(
            "{}: tighten once, smoothly, with tool {}. Before the click the screw:",
            self.which, tool.id
        );
        let question = self
            .question(text, Answers::Observed(TRIED.to_vec()))
            .offering_if(rehearsed(self.state, "held"))
            .hint(format!("Maker: {}, {}.", row.stated, row.source));
        let seen = asked!(self.form, Field::Words, question);
        match turned_of(&seen) {
            Some(turned) => self.full(Some(tool), TorqueResult::Clicked, Some(turned)),
            None => Next::Go(Form::new(Purpose::NotClicked(self.at))),
        }
    }

    /// First movement, or held at what it has to reach; what moved is then tightened to it.
    fn reading(&self, row: &TorqueRow, tool: &Tool, required: Torque) -> Next {
        let step = Step::Check { screw: self.screw };
        let moved = self.state.visit.standing(self.at).is_some_and(|s| s.answer(step).is_some());
        if moved {
            return self.after_first(row, tool, required);
        }
        let text = format!(
            "{}: turn tool {} up slowly, at most to {required}. Where did the screw move first?",
            self.which, tool.id
        );
        let question = self
            .question(text, Answers::Reading { unit: tool.unit, or_word: Some("held") })
            .offering_if(rehearsed(self.state, "held"))
            .hint(format!("held: it did not move up to {required}. Shown as loss, never judged."));
        let typed = asked!(self.form, Field::Read, question);
        let found = match read_decimal(&typed) {
            Ok(value) => Moved::First { text: typed, value, unit: tool.unit },
            Err(_) => Moved::Held,
        };
        Next::Do(vec![Act::Try {
            terminal: self.name.clone(),
            tool: tool.id.clone(),
            at: Some(required),
            found,
            mode: singly(self.state),
        }])
    }

    fn after_first(&self, row: &TorqueRow, tool: &Tool, required: Torque) -> Next {
        let text =
            format!("{}: it moved. Tighten it to {required}. What did tool {} show?", self.which, tool.id);
        let question =
            Question::new(Topic::Walk, text, Answers::Reading { unit: tool.unit, or_word: Some("none") })
                .about(self.at)
                .offering_if(rehearsed(self.state, &required.value.to_string()))
                .hint(format!("Maker: {}, {}. none: it was not reached.", row.stated, row.source));
        let typed = asked!(self.form, Field::Read, question);
        match read_decimal(&typed) {
            Ok(value) => {
                let result = TorqueResult::Reading { text: typed, value, unit: tool.unit };
                self.full(Some(tool), result, Some(Turned::Moved))
            }
            Err(_) => Next::Go(Form::new(Purpose::NotClicked(self.at))),
        }
    }
}
