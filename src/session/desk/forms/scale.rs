//! Scales: read before the work and after it. Nothing is offered, and nothing on these questions says what it
//! should be.

use crate::domain::names::{Seq, SpanId, TerminalName, ToolId};
use crate::domain::record::{Fact, Reset, Scale};
use crate::domain::torque::{Torque, read_decimal};
use crate::session::act::{Act, EndCause, ScaleNext};
use crate::session::desk::State;
use crate::session::desk::form::{DeskAct, Field, Form, Next, Purpose, asked};
use crate::session::desk::question::{Answers, Question, Topic, choice, name_text, own_words};
use crate::session::desk::walk;

/// Given in a form for a scale whose tool stays in hand.
pub(in crate::session::desk) const GOES_ON: &str = "goes on";

fn reading(text: String, state: &State, tool: &ToolId, or_word: Option<&'static str>) -> Question {
    let unit = state.visit.tool(tool).map_or(crate::domain::torque::Unit::NewtonMetre, |held| held.tool.unit);
    Question::new(Topic::Scale, text, Answers::Reading { unit, or_word })
}

fn torque(state: &State, tool: &ToolId, typed: &str) -> Option<Torque> {
    let unit = state.visit.tool(tool)?.tool.unit;
    Some(Torque::new(read_decimal(typed).ok()?, unit))
}

pub(in crate::session::desk) fn start(form: &Form, state: &State, tool: &ToolId) -> Next {
    let Some(required) = walk::required_of(state, tool) else {
        return Next::Desk(DeskAct::Note("nothing has to be set at this terminal".into()));
    };
    let offer = state.is_rehearsal().then(|| required.value.to_string());
    let typed = asked!(
        form,
        Field::Read,
        reading(format!("Tool {tool}: read its scale and type what it shows:"), state, tool, None)
            .offering_if(offer)
    );
    match torque(state, tool, &typed) {
        Some(read) => Next::Do(vec![Act::BeginSpan { tool: tool.clone(), required, read }]),
        None => Next::Desk(DeskAct::Note("that reading could not be understood".into())),
    }
}

pub(in crate::session::desk) fn end(form: &Form, state: &State, span: &SpanId) -> Next {
    let Some(span) = state.visit.span(span) else {
        return Next::Desk(DeskAct::Note("that span is over".into()));
    };
    let tool = &span.tool;
    let offer = state.is_rehearsal().then(|| span.required.value.to_string());
    let first = asked!(
        form,
        Field::Read,
        reading(
            format!("Tool {tool}, before it is turned or put away: read its scale and type what it shows:"),
            state,
            tool,
            Some("lost"),
        )
        .offering_if(offer)
        .hint("lost: the scale cannot be read any more.")
    );
    if first == "lost" {
        return Next::Go(Form::new(Purpose::ScaleLost(span.id.clone())));
    }
    let Some(held) = state.visit.tool(tool) else {
        return Next::Desk(DeskAct::Note("that tool is not in hand".into()));
    };
    let agrees =
        |typed: &str| torque(state, tool, typed).is_some_and(|read| held.tool.agrees(&read, &span.required));
    let mut read = first.clone();
    if !agrees(&first) {
        // Typed until two in a row are the same: a mistyped digit must not reopen a whole row, and a second
        // guess must not hide a disagreement.
        let mut last = first;
        let mut again = form.all(Field::ReadAgain);
        loop {
            let Some(next) = again.next() else {
                let question = reading(format!("Tool {tool}: once more, what does its scale show?"), state, tool, None)
                    .hint("Look again and type exactly what it shows. It is recorded when two in a row are the same.");
                return Next::Ask(Field::ReadAgain, Box::new(question));
            };
            if next == last {
                read = last;
                break;
            }
            next.clone_into(&mut last);
        }
    }
    // What disagrees is stored before a word is asked about it: nobody goes back over a reading that was not liked.
    let cause = (!agrees(&read)).then_some(EndCause::NotKnown);
    let Some(read) = torque(state, tool, &read) else {
        return Next::Desk(DeskAct::Note("that reading could not be understood".into()));
    };
    // After a reopening and after a row the work goes on: one reading ends a span and begins the next. Put away,
    // or given to other hands, the tool is read anew.
    let goes_on = Some(span.session) != state.visit.session() || form.get(Field::Pick) == Some(GOES_ON);
    let next = walk::required_of(state, tool).filter(|_| goes_on).map(|required| ScaleNext { required });
    Next::Do(vec![Act::EndSpan { tool: tool.clone(), read, cause, next }])
}

/// What happened to a scale whose disagreement is recorded. Not known is what stands without an answer.
pub(in crate::session::desk) fn cause(form: &Form, state: &State, seq: Seq) -> Next {
    let scale = state.visit.line(seq).map(|line| state.visit.effective(line, None));
    let Some(Fact::Scale(scale)) = scale else { return Next::Desk(DeskAct::Walk) };
    let tool = &scale.tool;
    asked!(
        form,
        Field::Cause,
        Question::new(
            Topic::Scale,
            format!("The scale of tool {tool} does not stand where it was set. What happened?"),
            choice(["reset on purpose in between", "not known"]),
        )
        .hint(
            "The reading is recorded. Reset on purpose: nothing is struck out, complete with remark at best."
        )
        .hint("Not known: too low opened what was tightened, too high asks to look at the strands.")
    );
    if form.pick(Field::Cause) == Some(2) {
        return Next::Desk(DeskAct::Note(opened_by(state, scale)));
    }
    let by = asked!(form, Field::By, Question::new(Topic::Scale, "By whom was it reset?", name_text()));
    let why = asked!(form, Field::Why, Question::new(Topic::Scale, "For what?", own_words()));
    let fact = Scale { reset: Some(Reset { by, why }), ..scale.clone() };
    Next::Do(vec![Act::Correct {
        seq,
        terminal: None,
        fact: Box::new(Fact::Scale(fact)),
        why: "said when asked what happened".into(),
    }])
}

/// What a scale that disagrees has opened, by name where they are few; the walk may stand elsewhere by now.
fn opened_by(state: &State, scale: &Scale) -> String {
    let (mut names, mut tried_only) = (Vec::<&TerminalName>::new(), true);
    for line in state.visit.lines() {
        let fact = state.visit.effective(line, None);
        let with = if let Fact::Torqued(torqued) = fact
            && torqued.span.as_ref() == Some(&scale.span)
        {
            tried_only = false;
            torqued.terminals.as_slice()
        } else if let Fact::Movement(movement) = fact
            && movement.span.as_ref() == Some(&scale.span)
        {
            std::slice::from_ref(&movement.terminal)
        } else {
            continue;
        };
        for name in with {
            if !names.contains(&name) {
                names.push(name);
            }
        }
    }
    let which = match names.as_slice() {
        [] => return "nothing was tightened or tried between the two readings".into(),
        few if few.len() <= 3 => few.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "),
        many => format!("{} terminals", many.len()),
    };
    if scale.read < scale.required {
        format!("the scale stood too low; open again: {which}")
    } else if tried_only {
        format!("the scale stood too high; tried with it: {which}")
    } else {
        format!("the scale stood too high; tightened with it: {which}")
    }
}

pub(in crate::session::desk) fn lost(form: &Form, state: &State, span: &SpanId) -> Next {
    let Some(span) = state.visit.span(span) else {
        return Next::Desk(DeskAct::Note("that span is over".into()));
    };
    let why = asked!(
        form,
        Field::Why,
        Question::new(
            Topic::Scale,
            format!("Why can the scale of tool {} not be read?", span.tool),
            own_words()
        )
        .hint("Its terminals are complete with remark at best: scale not read at the end.")
    );
    Next::Do(vec![Act::LoseScale { tool: span.tool.clone(), why }])
}
