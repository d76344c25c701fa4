//! The audit at the desk: what is due, and in which order its terminals are walked.
//!
//! Claim, look at everything, thermal round, draw, gate, then tug and tool: always-in terminals first, then block
//! after block of the sample, inside a block by setting. What a bad one asks for comes before anything else.

use super::form::{Form, Next, Purpose};
use super::route::{Pass, set_already, workable};
use super::{State, audit_claim, audit_find, audit_place};
use crate::domain::audit::draw::BLOCK;
use crate::domain::names::PlaceName;
use crate::domain::record::{Fact, Outcome, Plan, VisitKind};
use crate::session::audit::{Part, fingers_for_tool, found_at, left_out, part_at, tool_anywhere};
use crate::session::standing::{Need, Standing};
use crate::session::steps::Step;
use crate::session::visit::{TerminalIndex, Visit};

/// Questions that only an audit asks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AuditAsk {
    /// What is claimed, and what there is for it.
    Claim,
    /// Look at a place.
    LookPlace(PlaceName),
    /// The thermal round.
    Thermal,
    /// A terminal that stands out in it.
    Measure,
    /// Draw the sample.
    Draw,
    /// Tug a place.
    TugPlace(PlaceName),
    /// What has to be done about a bad one.
    Bad(TerminalIndex),
    /// Go on to everything?
    Escalate(TerminalIndex),
    /// Why a screw did not click.
    NotTried(TerminalIndex),
    /// A code the inspector types.
    Code(TerminalIndex),
}

/// One answer of an audit's forms.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum AuditField {
    /// Minutes there are.
    Minutes,
    /// Minutes without supply.
    WithoutSupply,
    /// Whether the board is on load.
    OnLoad,
    /// Load, per cent.
    Load,
    /// Whether insulation may be tugged.
    Tug,
    /// How far the tool goes.
    Tool,
    /// Per cent of the maker's value.
    Percent,
    /// Minutes a terminal for tugging.
    ATug,
    /// Minutes a terminal with the tool.
    ATool,
    /// Confidence, per cent.
    Confidence,
    /// Plan.
    Plan,
    /// What the size of the sample rests on.
    SizedBy,
    /// At most so many per cent bad.
    AtMost,
    /// The plan is taken.
    Confirm,
    /// Temperature of a terminal, degrees Celsius.
    Temperature,
    /// What it is compared with.
    Over,
    /// Temperature of that, degrees Celsius.
    Compared,
    /// Load current, A.
    LoadA,
    /// Rated current, A.
    RatedA,
    /// Exponent of the load correction.
    Exponent,
}

/// Whether typed words are names of terminals, or the word none.
pub(super) fn takes_names(purpose: &Purpose) -> bool {
    match purpose {
        Purpose::Row | Purpose::Together(..) => true,
        Purpose::Audit(ask) => {
            matches!(ask, AuditAsk::LookPlace(_) | AuditAsk::TugPlace(_) | AuditAsk::Draw | AuditAsk::Measure)
        }
        _ => false,
    }
}

impl AuditField {
    /// Its name beside the answer; nothing where the answer is not shown.
    #[must_use]
    pub fn label(self) -> Option<&'static str> {
        Some(match self {
            Self::Minutes => "minutes there are",
            Self::WithoutSupply => "of them without supply",
            Self::Load => "load, per cent",
            Self::Tug => "insulation tugged",
            Self::Tool => "the tool goes",
            Self::Percent => "to per cent of it",
            Self::ATug => "minutes a tug",
            Self::ATool => "minutes with the tool",
            Self::Confidence => "confidence, per cent",
            Self::Plan => "plan",
            Self::SizedBy => "sample size by",
            Self::AtMost => "at most bad, per cent",
            Self::Temperature => "temperature, C",
            Self::Over => "compared with",
            Self::Compared => "its temperature, C",
            Self::LoadA => "load current, A",
            Self::RatedA => "rated current, A",
            Self::Exponent => "exponent",
            Self::OnLoad | Self::Confirm => return None,
        })
    }

    /// An answer from a list in words again; nothing where it is no list.
    #[must_use]
    pub fn in_words(self, value: &str) -> Option<&'static str> {
        let at = value.parse::<usize>().ok()?.checked_sub(1)?;
        match self {
            Self::Tug => ["yes", "no"].get(at).copied(),
            Self::Tool => ["to the maker's value", "to a part of it", "nowhere"].get(at).copied(),
            Self::Plan => Plan::ALL.get(at).map(|plan| plan.words()),
            Self::SizedBy => {
                ["the minutes", "claim, remainder", "claim, whole board", "everything"].get(at).copied()
            }
            Self::Over => ["a like neighbour", "ambient"].get(at).copied(),
            _ => None,
        }
    }
}

pub(super) fn next(form: &Form, state: &State, ask: &AuditAsk) -> Next {
    match ask {
        AuditAsk::Claim => audit_claim::claim(form, state),
        AuditAsk::LookPlace(place) => audit_place::look(form, state, place),
        AuditAsk::Thermal => audit_find::thermal(form, state),
        AuditAsk::Measure => audit_find::measure(form, state),
        AuditAsk::Draw => audit_find::draw(form, state),
        AuditAsk::TugPlace(place) => audit_place::tug(form, state, place),
        AuditAsk::Bad(at) => audit_find::bad(form, state, *at),
        AuditAsk::Escalate(at) => audit_find::escalate(form, state, *at),
        AuditAsk::NotTried(at) => audit_place::not_tried(form, state, *at),
        AuditAsk::Code(at) => audit_find::code(form, state, *at),
    }
}

/// Whether this is an audit, opened already.
pub(super) fn is_audit(state: &State) -> bool {
    state.visit.kind() == VisitKind::Audit
}

/// Whether a tool has to be in hand before anything is tried.
pub(super) fn wants_tool(state: &State) -> bool {
    let claimed = state.visit.audit().claimed();
    claimed.is_some_and(|claimed| {
        let fingers = state.visit.board().is_some_and(|board| !fingers_for_tool(board, claimed).is_empty());
        fingers || tool_anywhere(&state.visit, claimed.tool)
    })
}

/// What is due before tool and gate; nothing where the walk goes on.
pub(super) fn due(state: &State) -> Option<Form> {
    if !is_audit(state) {
        return None;
    }
    let visit = &state.visit;
    let of = |ask: AuditAsk| Some(Form::new(Purpose::Audit(ask)));
    if visit.audit().claimed().is_none() {
        return of(AuditAsk::Claim);
    }
    let needs = |standing: &Standing| standing.need.is_some() && standing.outcome == Outcome::Open;
    if let Some((at, _, standing)) = visit.terminals().find(|(_, _, standing)| needs(standing)) {
        return match standing.need {
            Some(Need::Strands) => Some(Form::new(Purpose::Strands(at))),
            _ => of(AuditAsk::Bad(at)),
        };
    }
    if visit.audit().draw().is_none() {
        return before_draw(state);
    }
    to_escalate(visit).and_then(|at| of(AuditAsk::Escalate(at)))
}

fn before_draw(state: &State) -> Option<Form> {
    let of = |ask: AuditAsk| Some(Form::new(Purpose::Audit(ask)));
    if state.desk.focus.is_some_and(|at| waits_for(state, at, Step::Look)) {
        return state.desk.focus.map(|at| Form::new(Purpose::Step(at, Step::Look)));
    }
    if let Some(place) = place_waiting(state, Stage::Look) {
        return of(AuditAsk::LookPlace(place));
    }
    of(if state.visit.audit().thermal_over() { AuditAsk::Draw } else { AuditAsk::Thermal })
}

/// What is due once gate and scales are answered and no terminal is in front of the person.
pub(super) fn due_at_board(state: &State) -> Option<Form> {
    let place = place_waiting(state, Stage::Tug).filter(|_| is_audit(state))?;
    Some(Form::new(Purpose::Audit(AuditAsk::TugPlace(place))))
}

/// A bad one that nobody was asked about yet, while something is left out of the sample.
fn to_escalate(visit: &Visit) -> Option<TerminalIndex> {
    if left_out(visit).is_empty() {
        return None;
    }
    let asked = &visit.audit().escalated;
    let mut bad = visit.terminals().filter(|(at, _, _)| found_at(visit, *at).bad);
    bad.find(|(_, t, _)| !asked.iter().any(|(_, escalated)| escalated.because == t.name)).map(|(at, _, _)| at)
}

/// What is done by the place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stage {
    /// Looking, before the draw.
    Look,
    /// Tugging everything, after it.
    Tug,
}

fn waits_for(state: &State, at: TerminalIndex, step: Step) -> bool {
    state
        .visit
        .standing(at)
        .is_some_and(|s| s.outcome == Outcome::Open && s.need.is_none() && s.next_step() == Some(step))
        && workable(state, at, true)
}

/// Terminals of a place that wait for it, in the order of the board.
pub(super) fn waiting(state: &State, place: &PlaceName, by_place: Stage) -> Vec<TerminalIndex> {
    let fits = |at: TerminalIndex, standing: &Standing| match by_place {
        Stage::Look => waits_for(state, at, Step::Look),
        Stage::Tug => standing
            .next_step()
            .is_some_and(|step| matches!(step, Step::CheckTug(_)) && waits_for(state, at, step)),
    };
    let here = state.visit.terminals().filter(|(_, terminal, _)| terminal.place == *place);
    here.filter(|(at, _, standing)| fits(*at, standing)).map(|(at, _, _)| at).collect()
}

/// Whether a place was told at once already; what is left of it is taken one by one.
fn told(state: &State, place: &PlaceName, by_place: Stage) -> bool {
    let here = |name: &crate::domain::names::TerminalName| {
        let at = state.visit.find(name).and_then(|at| state.visit.terminal(at));
        at.is_some_and(|terminal| terminal.place == *place)
    };
    state.visit.lines().iter().any(|line| match (&line.fact, by_place) {
        (Fact::Looked(f), Stage::Look) => f.count.is_some() && f.terminals.first().is_some_and(here),
        (Fact::Tugged(f), Stage::Tug) => {
            let first = f.conductors.first().and_then(|name| state.visit.find_conductor(name));
            let terminal = first.and_then(|(at, _)| state.visit.terminal(at));
            f.count.is_some() && terminal.is_some_and(|terminal| here(&terminal.name))
        }
        _ => false,
    })
}

/// The first place of which several wait and that was not told at once yet.
fn place_waiting(state: &State, by_place: Stage) -> Option<PlaceName> {
    if by_place == Stage::Tug && !tugs_everything(state) {
        return None;
    }
    let places = state.visit.board().map_or(&[][..], |board| &board.places);
    let mut names = places.iter().map(|place| &place.name);
    names.find(|place| !told(state, place, by_place) && waiting(state, place, by_place).len() > 1).cloned()
}

fn tugs_everything(state: &State) -> bool {
    state.visit.audit().claimed().is_some_and(|claimed| claimed.tug && claimed.plan == Plan::TugEverything)
}

/// The terminal to stand at next; nothing where a place is told at once, or nothing is left.
pub(super) fn next_target(state: &State) -> Option<(TerminalIndex, Pass)> {
    if state.visit.audit().draw().is_none() {
        return one_left(state, Stage::Look).map(|at| (at, Pass::MakingOff));
    }
    if let Some(at) = one_left(state, Stage::Tug).filter(|_| tugs_everything(state)) {
        return Some((at, Pass::Tightening));
    }
    if place_waiting(state, Stage::Tug).is_some() {
        return None;
    }
    groups(state).into_iter().find_map(|group| next_of(state, group)).map(|at| (at, Pass::Tightening))
}

/// The one in front of the person, else the first left over of a place that was told, or alone in its place.
fn one_left(state: &State, by_place: Stage) -> Option<TerminalIndex> {
    let places = state.visit.board().map_or(&[][..], |board| &board.places);
    let mut left: Vec<TerminalIndex> = Vec::new();
    for place in places {
        let here = waiting(state, &place.name, by_place);
        if let Some(focus) = state.desk.focus.filter(|focus| here.contains(focus)) {
            return Some(focus);
        }
        if here.len() == 1 || told(state, &place.name, by_place) {
            left.extend(here.into_iter().filter(|at| !state.desk.later.contains(at)));
        }
    }
    left.first().copied()
}

/// The always-in terminals, then the blocks of the sample, those of the fingers last.
fn groups(state: &State) -> Vec<Vec<TerminalIndex>> {
    let visit = &state.visit;
    let facts = visit.audit();
    let always_in = facts.draw().into_iter().flat_map(|drawn| &drawn.always_in).map(|entry| &entry.terminal);
    let of_part = |wanted: Part| -> Vec<TerminalIndex> {
        let all = facts.sample().filter_map(|name| visit.find(name));
        all.filter(|at| part_at(visit, *at) == wanted).collect()
    };
    let mut groups = vec![always_in.filter_map(|name| visit.find(name)).collect()];
    for part in [Part::Conductors, Part::Finger] {
        groups.extend(of_part(part).chunks(BLOCK).map(<[TerminalIndex]>::to_vec));
    }
    groups
}

/// Of a group: the one in front of the person, else one whose setting stands on a tool already, else by setting.
fn next_of(state: &State, group: Vec<TerminalIndex>) -> Option<TerminalIndex> {
    let visit = &state.visit;
    let open = |at: &TerminalIndex| {
        visit
            .standing(*at)
            .is_some_and(|s| s.outcome == Outcome::Open && s.need.is_none() && s.next_step().is_some())
            && workable(state, *at, false)
    };
    let mut open: Vec<TerminalIndex> = group.into_iter().filter(open).collect();
    if let Some(focus) = state.desk.focus.filter(|focus| open.contains(focus)) {
        return Some(focus);
    }
    open.sort_by_key(|at| (visit.aim_nm(*at).cloned(), *at));
    set_already(state, Pass::Tightening, &open).or_else(|| open.first().copied())
}
