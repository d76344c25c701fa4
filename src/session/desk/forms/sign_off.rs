//! Sign-off: what still stands in the way, one thing after the other; the last look; signature; closing.

use crate::domain::audit::thermal::Class;
use crate::domain::names::{Seq, TerminalName};
use crate::domain::record::{AsideWhy, MarkSeen, Outcome, RemarkOn, TailLook, Tug};
use crate::session::act::Act;
use crate::session::audit::hot_untold;
use crate::session::decide::{last_look_stands, tails_to_look_at};
use crate::session::desk::State;
use crate::session::desk::ask::TUGGED;
use crate::session::desk::form::{DeskAct, Field, Form, Next, Purpose, SignOff, asked};
use crate::session::desk::question::{Answers, Question, Seen, Topic, choice, name_text, own_words};
use crate::session::desk::words::terminals_in_words;
use crate::session::standing::Informed;
use crate::session::visit::TerminalIndex;

/// Words for the mark of a tail.
const MARK_SEEN: [Seen; 4] = [
    Seen { key: 'h', word: "held" },
    Seen { key: 'm', word: "moved" },
    Seen { key: 'v', word: "not visible" },
    Seen { key: 'u', word: "not used" },
];

fn ask(text: impl Into<String>, answers: Answers) -> Question {
    Question::new(Topic::SignOff, text, answers)
}

/// The part that is due once signing has begun.
pub(in crate::session::desk) fn due(state: &State) -> Form {
    let visit = &state.visit;
    if let Some(span) = visit.open_spans().next() {
        return Form::new(Purpose::ScaleEnd(span.id.clone()));
    }
    let part = if visit.terminals().any(|(_, _, s)| matches!(s.outcome, Outcome::Open | Outcome::Settling)) {
        SignOff::StillOpen
    } else if visit.terminals().any(|(_, _, s)| s.aside.is_some() && s.told == Informed::NotYet)
        || hot_untold(visit).next().is_some()
    {
        SignOff::Told
    } else if let Some(remark) = visit.power_on().iter().find(|remark| remark.dealt_with.is_none()) {
        SignOff::PowerOn(remark.seq)
    } else if !last_look_stands(visit) {
        SignOff::LastLook
    } else if crate::session::decide::is_signed(visit) {
        SignOff::Close
    } else {
        SignOff::Sign
    };
    Form::new(Purpose::SignOff(part))
}

pub(in crate::session::desk) fn sign_off(form: &Form, state: &State, part: &SignOff) -> Next {
    match part {
        SignOff::Begin => begin(form, state),
        SignOff::StillOpen => still_open(form, state),
        SignOff::Told => told(form, state),
        SignOff::PowerOn(seq) => power_on(form, state, *seq),
        SignOff::LastLook => last_look(form, state),
        SignOff::Sign => sign(form, state),
        SignOff::Close => close(form),
    }
}

fn begin(form: &Form, state: &State) -> Next {
    let counts = state.visit.counts();
    asked!(
        form,
        Field::Pick,
        ask("Nothing is left to do at the terminals. What now?", choice(["sign off", "stay at the board"]))
            .offering("1")
            .hint(format!(
                "{} terminals: {} complete, {} with remark, {} set aside.",
                counts.in_scope(),
                counts.complete,
                counts.with_remark,
                counts.aside
            ))
    );
    if form.pick(Field::Pick) == Some(1) {
        Next::Desk(DeskAct::SignOff)
    } else {
        Next::Desk(DeskAct::Note("arrows, g and the list (i) take you to any terminal".into()))
    }
}

fn still_open(form: &Form, state: &State) -> Next {
    let open: Vec<TerminalIndex> = state
        .visit
        .terminals()
        .filter(|(_, _, s)| matches!(s.outcome, Outcome::Open | Outcome::Settling))
        .map(|(at, _, _)| at)
        .collect();
    let live = |at: &TerminalIndex| {
        state.visit.terminal(*at).is_some_and(|terminal| state.visit.live_source(&terminal.name).is_some())
    };
    let live_open: Vec<TerminalIndex> = open.iter().copied().filter(live).collect();
    if !live_open.is_empty() && state.visit.gate(&state.desk.who).is_some() {
        let terminals = names(state, &live_open);
        return Next::Do(vec![Act::SetAside { terminals, why: AsideWhy::StillLive }]);
    }
    let settling: Vec<TerminalIndex> =
        state.visit.terminals().filter(|(_, _, s)| s.settling.is_some()).map(|(at, _, _)| at).collect();
    let mut choices = vec!["back to the walk", "set them all aside with one reason"];
    if !settling.is_empty() {
        choices.push("settle not waited for, with one reason for all that settle");
    }
    let still = match settling.len() {
        0 => String::new(),
        many => format!(", {many} of them settling"),
    };
    asked!(
        form,
        Field::Pick,
        ask(format!("Still open: {}{still}. What now?", terminals_in_words(open.len())), choice(choices))
            .offering("1")
    );
    match form.pick(Field::Pick) {
        Some(2) => Next::Go(Form::new(Purpose::SetAside(open))),
        Some(3) => Next::Go(Form::new(Purpose::WaiveSettle(settling))),
        _ => Next::Desk(DeskAct::Walk),
    }
}

fn names(state: &State, list: &[TerminalIndex]) -> Vec<TerminalName> {
    list.iter().filter_map(|at| state.visit.terminal(*at)).map(|terminal| terminal.name.clone()).collect()
}

fn told(form: &Form, state: &State) -> Next {
    let aside = state.visit.terminals().any(|(_, _, s)| s.aside.is_some() && s.told == Informed::NotYet);
    if let Some(hot) = hot_untold(&state.visit).next().filter(|_| !aside) {
        let class = state.visit.audit().hottest(hot).map_or("", Class::words);
        let whom = asked!(
            form,
            Field::By,
            ask(format!("Hot, {class}: {hot}. Who was told?"), name_text())
                .hint("It stays in use as it is: the cause has to be found by somebody who knows of it.")
                .offering_if(state.is_rehearsal().then(|| "nobody: rehearsal".to_owned()))
        );
        return Next::Do(vec![Act::Tell { terminals: vec![hot.clone()], whom: Some(whom) }]);
    }
    let untold =
        || state.visit.terminals().filter(|(_, _, s)| s.aside.is_some() && s.told == Informed::NotYet);
    let spare: Vec<TerminalName> = untold()
        .filter(|(_, _, s)| s.aside == Some(AsideWhy::SpareWay))
        .map(|(_, terminal, _)| terminal.name.clone())
        .collect();
    let first = untold().map(|(_, _, s)| &s.aside).find(|aside| **aside != Some(AsideWhy::SpareWay));
    // who has to do what differs by the reason, and page one of a revisit says so
    let together = |aside: &Option<AsideWhy>| !state.visit.is_coming_back() || Some(aside) == first;
    let others: Vec<TerminalName> = untold()
        .filter(|(_, _, s)| s.aside != Some(AsideWhy::SpareWay) && together(&s.aside))
        .map(|(_, terminal, _)| terminal.name.clone())
        .collect();
    if !others.is_empty() {
        let why = first.and_then(Option::as_ref).filter(|_| state.visit.is_coming_back());
        let why = why.map_or_else(String::new, |why| format!(", {}", why.words()));
        let list = others.iter().map(TerminalName::as_str).collect::<Vec<_>>().join(", ");
        let whom = asked!(
            form,
            Field::By,
            ask(format!("Set aside{why}: {}. Who was told?", terminals_in_words(others.len())), name_text())
                .hint(list)
                .offering_if(state.is_rehearsal().then(|| "nobody: rehearsal".to_owned()))
        );
        return Next::Do(vec![Act::Tell { terminals: others, whom: Some(whom) }]);
    }
    asked!(
        form,
        Field::Pick,
        ask(
            format!("Set aside as spare: {}. Was anybody told?", terminals_in_words(spare.len())),
            choice(["nobody needed telling", "somebody was told"]),
        )
        .offering("1")
    );
    let whom = if form.pick(Field::Pick) == Some(2) {
        Some(asked!(form, Field::By, ask("Who was told?", name_text())))
    } else {
        None
    };
    Next::Do(vec![Act::Tell { terminals: spare, whom }])
}

fn power_on(form: &Form, state: &State, seq: Seq) -> Next {
    let text = state.visit.power_on().iter().find(|r| r.seq == seq).map_or("", |remark| remark.text.as_str());
    asked!(
        form,
        Field::Pick,
        ask(
            format!("Before power on: {text}"),
            choice(["it is dealt with", "it is handed over to somebody by name"])
        )
    );
    let handed_to = if form.pick(Field::Pick) == Some(2) {
        Some(asked!(form, Field::By, ask("Handed over to whom?", name_text())))
    } else {
        None
    };
    let words = asked!(form, Field::Words, ask("How was it dealt with, or what was agreed?", own_words()));
    Next::Do(vec![Act::Remark { on: RemarkOn::Remark(seq), text: words, before_power_on: false, handed_to }])
}

fn last_look(form: &Form, state: &State) -> Next {
    let rehearsal = state.is_rehearsal();
    let offer = |text: &str| rehearsal.then(|| text.to_owned());
    let wanted = tails_to_look_at(&state.visit);
    let mut why_not = None;
    let mut tails = Vec::new();
    if !wanted.is_empty() {
        asked!(
            form,
            Field::Pick,
            ask(
                format!("Last look, once more after the final dressing. Incoming tails: {}.", wanted.len()),
                choice(["tug each and look at its mark now", "not possible, with the reason"]),
            )
            .offering("1")
            .hint("Tails move when the front goes on.")
        );
        if form.pick(Field::Pick) == Some(2) {
            why_not = Some(asked!(form, Field::Why, ask("Why can the tails not be looked at?", own_words())));
        } else if state.visit.gate(&state.desk.who).is_none() {
            return Next::Go(Form::new(Purpose::Gate));
        } else {
            tails = match each_tail(form, state, wanted, rehearsal) {
                Ok(tails) => tails,
                Err(next) => return next,
            };
        }
    }
    let covers = asked!(
        form,
        Field::Covers,
        ask("Shrouds, covers and blanks: what is back, what is missing?", own_words())
            .offering_if(offer("all back"))
    );
    let locks_and_tools_out = asked!(
        form,
        Field::LocksAndTools,
        ask("Locks and tools counted out: how many, what is missing?", own_words())
            .offering_if(offer("all out"))
    );
    let energised = asked!(
        form,
        Field::Energised,
        ask(
            "Who energised the board? (nothing if it stays dead)",
            Answers::Text { columns: crate::domain::text::NAME_COLUMNS, optional: true },
        )
    );
    Next::Do(vec![Act::LastLook {
        tails,
        why_not,
        covers,
        locks_and_tools_out,
        energised_by: (!energised.is_empty()).then_some(energised),
    }])
}

fn each_tail(
    form: &Form,
    state: &State,
    wanted: Vec<TerminalName>,
    rehearsal: bool,
) -> Result<Vec<TailLook>, Next> {
    let offer = |text: &str| rehearsal.then(|| text.to_owned());
    let mut tugs = form.all(Field::TailTug);
    let mut marks = form.all(Field::TailMark);
    let mut tails = Vec::new();
    for terminal in wanted {
        let at = state.visit.find(&terminal);
        let about = |question: Question| match at {
            Some(at) => question.about(at),
            None => question,
        };
        let Some(tug) = tugs.next() else {
            let question = ask(format!("{terminal}: tug it. It is:"), Answers::Observed(TUGGED.to_vec()));
            return Err(Next::Ask(Field::TailTug, Box::new(about(question).offering_if(offer("firm")))));
        };
        let Some(mark) = marks.next() else {
            let question =
                ask(format!("{terminal}: its witness mark is:"), Answers::Observed(MARK_SEEN.to_vec()));
            return Err(Next::Ask(Field::TailMark, Box::new(about(question).offering_if(offer("held")))));
        };
        let tug = Tug::of(tug);
        let mark = MarkSeen::of(mark);
        if let (Some(tug), Some(mark)) = (tug, mark) {
            tails.push(TailLook { terminal, tug, mark });
        }
    }
    Ok(tails)
}

fn sign(form: &Form, state: &State) -> Next {
    let name = state.visit.person(&state.desk.who).map_or("", |person| person.name.as_str());
    asked!(
        form,
        Field::Pick,
        ask(
            format!("{name}: you sign that this record says what was done and seen. As what?"),
            choice(["done by", "in charge of the work"]),
        )
        .offering("1")
    );
    let capacity = if form.pick(Field::Pick) == Some(2) { "in charge of the work" } else { "done by" };
    Next::Do(vec![Act::Sign { person: state.desk.who.clone(), capacity: capacity.into() }])
}

fn close(form: &Form) -> Next {
    asked!(
        form,
        Field::Pick,
        ask(
            "Signed. Close the visit?",
            choice(["close it", "somebody countersigns first", "back to the walk"])
        )
        .offering("1")
        .hint("A closed visit never changes: a correction is a new visit.")
    );
    match form.pick(Field::Pick) {
        Some(1) => Next::Do(vec![Act::Close]),
        Some(2) => Next::Go(Form::new(Purpose::Countersign)),
        _ => Next::Desk(DeskAct::Walk),
    }
}
