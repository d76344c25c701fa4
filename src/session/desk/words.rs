//! A recorded line in words: what the faces say once it is durable, and what lists of earlier answers show.

use super::State;
use crate::domain::names::Seq;
use crate::domain::record::{
    DecidedTo, Entered, EntryFault, Fact, Line, Outcome, ScaleAt, SessionCause, SetAside, TorqueResult,
};

impl State {
    /// A recorded line in words, its time first: `10:24 3L2 line torque clicked`. Slips are put right in it.
    #[must_use]
    pub fn line_in_words(&self, line: &Line) -> String {
        let words = match self.visit.effective(line, None) {
            Fact::Entered(f) if f.right && self.is_finger(f) => format!("{} seated", list(&f.conductors)),
            fact => fact_in_words(fact),
        };
        format!("{} {words}", line.time.clock())
    }

    /// Whether an entry is of fingers, links or stabs, which are seated and have no conductor.
    #[must_use]
    pub fn is_finger(&self, entered: &Entered) -> bool {
        let first = entered.conductors.first().and_then(|name| self.visit.find_conductor(name));
        let clamp = first.and_then(|(at, _)| self.visit.clamp(at));
        clamp.is_some_and(|clamp| !clamp.kind.takes_conductors())
    }
}

/// The line of a number in words; nothing where there is none.
pub(super) fn in_words(state: &State, seq: Seq) -> String {
    state.visit.line(seq).map_or_else(String::new, |line| state.line_in_words(line))
}

fn fact_in_words(fact: &Fact) -> String {
    match fact {
        Fact::Looked(f) => format!("{} look {}", list(&f.terminals), f.result.words()),
        Fact::Movement(f) => format!("{} {}", f.terminal, f.found.words()),
        Fact::Prepared(f) => format!("{} prepared {}", list(&f.conductors), f.how.words()),
        Fact::Entered(f) => {
            format!("{} entry {}", list(&f.conductors), f.fault.map_or("right", EntryFault::words))
        }
        Fact::Torqued(f) => {
            let screw = f.screw.map_or_else(String::new, |screw| format!(" screw {screw}"));
            let turned = f
                .turned
                .filter(|_| f.round == 0)
                .map_or_else(String::new, |turned| format!(", {}", turned.words()));
            format!("{}{screw} torque {}{turned}", list(&f.terminals), result_words(&f.result))
        }
        Fact::Tugged(f) => format!("{} tug {}", list(&f.conductors), f.result.words()),
        Fact::Marked(f) => format!("{} mark {}", list(&f.terminals), f.result.words()),
        Fact::Decided(f) => format!("{} {}", f.terminal, decided_words(f.choice)),
        Fact::Remade(f) => format!("{} remade, attempt {} begins", f.terminal, f.attempt.0),
        Fact::Replaced(f) => format!("device {} replaced", f.device),
        Fact::Disturbed(f) => format!("{} disturbed", list(&f.terminals)),
        Fact::SetAside(f) => aside_words(f),
        Fact::TakenUp(f) => format!("{} taken up again", list(&f.terminals)),
        Fact::Told(f) => {
            let whom =
                f.whom.as_ref().map_or("nobody needed telling".to_owned(), |whom| format!("told {whom}"));
            format!("{}: {whom}", terminals_in_words(f.terminals.len()))
        }
        other => frame_in_words(other),
    }
}

/// What frames the work rather than being it.
fn frame_in_words(fact: &Fact) -> String {
    match fact {
        Fact::Opened(f) => format!("visit {} opened", f.id),
        Fact::Person(f) => format!("{}, {}", f.name, f.role),
        Fact::Session(f) => match f.cause {
            SessionCause::Opened => "session begun".into(),
            SessionCause::Resumed => "visit resumed".into(),
            SessionCause::Gap | SessionCause::ClockBack => "session begun anew".into(),
        },
        Fact::Tool(f) => format!("tool {} in hand: {}, serial {}", f.id, f.name, f.serial),
        Fact::Gates(f) => format!("gate answered, proved dead by {}", f.dead_by),
        Fact::Scope(f) => {
            format!("{}, {} in scope", f.happened.words(), terminals_in_words(f.terminals.len()))
        }
        Fact::Route(f) => format!("route {}", f.order.words()),
        Fact::Scale(f) => {
            let at = if f.at == ScaleAt::Start { "start" } else { "end" };
            format!("scale of tool {} at the {at} {}", f.tool, f.read)
        }
        Fact::ScaleUnread(f) => format!("scale of tool {} not read", f.tool),
        Fact::Corrected(f) => format!("line {} put right", f.seq.0),
        Fact::Remark(_) => "remark".into(),
        Fact::LastLook(_) => "last look".into(),
        Fact::Signed(_) => "signature".into(),
        Fact::Abandoned(_) => "visit abandoned".into(),
        Fact::Closed(f) => {
            let count = |outcome| f.outcomes.iter().filter(|o| o.outcome == outcome).count();
            let (complete, aside) = (count(Outcome::Complete), count(Outcome::SetAside));
            let remark = count(Outcome::CompleteWithRemark);
            format!("visit closed: {complete} complete, {remark} with remark, {aside} set aside")
        }
        other => crate::session::audit::words::fact(other).unwrap_or_else(|| other.kind().replace('_', " ")),
    }
}

fn aside_words(fact: &SetAside) -> String {
    match fact.terminals.as_slice() {
        [one] => format!("{one} set aside, {}", fact.why.words()),
        several => format!("{} set aside, {}", terminals_in_words(several.len()), fact.why.words()),
    }
}

/// `1 terminal`, `2 terminals`.
pub(super) fn terminals_in_words(count: usize) -> String {
    if count == 1 { "1 terminal".into() } else { format!("{count} terminals") }
}

fn list<T: ToString>(names: &[T]) -> String {
    names.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

fn decided_words(choice: DecidedTo) -> &'static str {
    match choice {
        DecidedTo::Keep => "looked at and kept",
        DecidedTo::Again => "looked at, to be tightened once again",
        DecidedTo::Remake => "looked at, to be remade",
        DecidedTo::Replace => "looked at, device to be replaced",
        DecidedTo::SetAside => "looked at, set aside",
    }
}

fn result_words(result: &TorqueResult) -> String {
    match result {
        TorqueResult::Clicked => "clicked".into(),
        TorqueResult::NotClicked { why } => format!("did not click, {}", why.words()),
        TorqueResult::Reading { text, unit, .. } => format!("read {text} {unit}"),
        TorqueResult::ByHand => "by hand".into(),
    }
}
