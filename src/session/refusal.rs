//! Why something cannot be done now, in trade words.

use crate::domain::names::{SpanId, TerminalName, ToolId};
use std::fmt;

/// A refusal. Nothing was recorded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// No visit is open yet.
    NotOpened,
    /// The visit is open already.
    OpenedAlready,
    /// The visit is closed or abandoned.
    Ended,
    /// No session was begun.
    NoSession,
    /// The person on the tool has not answered the gate of this session.
    GateFirst,
    /// A gate is incomplete: the first source must be the incoming side.
    GateIncomplete(&'static str),
    /// A source that feeds the terminal is live.
    Live(TerminalName, String),
    /// The incoming side was unconnected; before its tails go in the gate is answered anew.
    TailsGoIn,
    /// No such terminal, conductor, tool, person, device or line.
    Unknown(&'static str, String),
    /// Nothing was named.
    NothingNamed,
    /// The terminals named are not of one attempt or not of one kind.
    NotTogether,
    /// It is set aside.
    IsSetAside(TerminalName),
    /// It is not set aside.
    NotSetAside(TerminalName),
    /// The step is answered already.
    AnsweredAlready(TerminalName, &'static str),
    /// Another step comes first.
    StepFirst(TerminalName, &'static str),
    /// There is no such step at this clamp.
    NoSuchStep(TerminalName, &'static str),
    /// Over-tightened: the strands come first.
    StrandsFirst(TerminalName),
    /// The screw has to be looked at first.
    LookFirst(TerminalName),
    /// Only a remake or setting aside helps.
    RemakeFirst(TerminalName),
    /// Only a new device or setting aside helps.
    ReplaceFirst(TerminalName),
    /// Heat at the meter or the cut-out: not to be touched.
    DoNotTouch(TerminalName),
    /// It cannot be reached: set aside.
    NoAccess(TerminalName),
    /// Nothing is connected there: set aside as a spare way.
    SpareWay(TerminalName),
    /// It is not settling.
    NotSettling(TerminalName),
    /// There is nothing to decide there.
    NothingToDecide(TerminalName),
    /// That choice is not possible there.
    ChoiceNotPossible(&'static str),
    /// No maker's value: by hand only, then set aside.
    NoMakersValue(TerminalName),
    /// The tool cannot do the torque.
    OutOfRange(ToolId, String),
    /// Its nearest mark lies outside the maker's limits.
    NoMarkWithin(ToolId, String),
    /// The tool is doubted.
    Doubted(ToolId),
    /// The tool is not doubted.
    NotDoubted(ToolId),
    /// The tool's calibration has come to its end; how.
    CalibrationEnded(ToolId, String),
    /// The number typed is not the number named; which it should be is not said.
    CountDiffers,
    /// The board is not the one of this visit, or the same as it is now.
    NotAmended(&'static str),
    /// The scale has to be read before the work.
    ScaleFirst(ToolId),
    /// The tool stands at another setting.
    OtherSetting(ToolId, SpanId),
    /// The scale of the running span has to be read first.
    SpanRuns(SpanId),
    /// No span of that tool is open.
    NoSpan(ToolId),
    /// The scale does not agree with what has to be set.
    StartDisagrees,
    /// The scale disagrees; say what happened.
    CauseFirst,
    /// A cause is only asked for where the scale disagrees.
    CauseNotNeeded,
    /// A setting tool clicks; an indicating tool is read.
    ResultNotOfTool(&'static str),
    /// No own tolerance was fixed at the opening.
    NoOwnTolerance,
    /// The text cannot be taken.
    BadText(String),
    /// A quantity cannot be taken.
    BadQuantity(String),
    /// Somebody must be told; only spare ways need nobody.
    ToldFirst,
    /// Only an answer of the same kind, about the same terminal, takes the place of a slip.
    SlipOfOtherKind,
    /// That line cannot be put right as a slip.
    NotASlip(&'static str),
    /// Something stands in the way of closing.
    NotYet(String),
    /// The remark named is not one to be dealt with before power on, or it was dealt with.
    NotThatRemark,
    /// A rehearsal is marked so, and only a rehearsal.
    RehearsalMode,
    /// This comes with a later version of the program.
    LaterVersion(&'static str),
}

impl Refusal {
    /// Kinds of refusal [`super::decide()`] can give, for tests that want each to occur.
    pub const KINDS: [&'static str; 52] = [
        "not_opened",
        "opened_already",
        "ended",
        "no_session",
        "gate_first",
        "gate_incomplete",
        "live",
        "tails_go_in",
        "unknown",
        "nothing_named",
        "not_together",
        "is_set_aside",
        "not_set_aside",
        "answered_already",
        "step_first",
        "no_such_step",
        "strands_first",
        "look_first",
        "remake_first",
        "replace_first",
        "do_not_touch",
        "no_access",
        "spare_way",
        "not_settling",
        "nothing_to_decide",
        "choice_not_possible",
        "no_makers_value",
        "out_of_range",
        "no_mark_within",
        "doubted",
        "not_doubted",
        "calibration_ended",
        "count_differs",
        "not_amended",
        "scale_first",
        "other_setting",
        "span_runs",
        "no_span",
        "start_disagrees",
        "cause_first",
        "cause_not_needed",
        "result_not_of_tool",
        "no_own_tolerance",
        "bad_text",
        "bad_quantity",
        "told_first",
        "slip_of_other_kind",
        "not_a_slip",
        "not_yet",
        "not_that_remark",
        "rehearsal_mode",
        "later_version",
    ];

    /// The kind, one of [`Refusal::KINDS`].
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::NotOpened => "not_opened",
            Self::OpenedAlready => "opened_already",
            Self::Ended => "ended",
            Self::NoSession => "no_session",
            Self::GateFirst => "gate_first",
            Self::GateIncomplete(_) => "gate_incomplete",
            Self::Live(..) => "live",
            Self::TailsGoIn => "tails_go_in",
            Self::Unknown(..) => "unknown",
            Self::NothingNamed => "nothing_named",
            Self::NotTogether => "not_together",
            Self::IsSetAside(_) => "is_set_aside",
            Self::NotSetAside(_) => "not_set_aside",
            Self::AnsweredAlready(..) => "answered_already",
            Self::StepFirst(..) => "step_first",
            Self::NoSuchStep(..) => "no_such_step",
            Self::StrandsFirst(_) => "strands_first",
            Self::LookFirst(_) => "look_first",
            Self::RemakeFirst(_) => "remake_first",
            Self::ReplaceFirst(_) => "replace_first",
            Self::DoNotTouch(_) => "do_not_touch",
            Self::NoAccess(_) => "no_access",
            Self::SpareWay(_) => "spare_way",
            Self::NotSettling(_) => "not_settling",
            Self::NothingToDecide(_) => "nothing_to_decide",
            Self::ChoiceNotPossible(_) => "choice_not_possible",
            Self::NoMakersValue(_) => "no_makers_value",
            Self::OutOfRange(..) => "out_of_range",
            Self::NoMarkWithin(..) => "no_mark_within",
            Self::Doubted(_) => "doubted",
            Self::NotDoubted(_) => "not_doubted",
            Self::CalibrationEnded(..) => "calibration_ended",
            Self::CountDiffers => "count_differs",
            Self::NotAmended(_) => "not_amended",
            Self::ScaleFirst(_) => "scale_first",
            Self::OtherSetting(..) => "other_setting",
            Self::SpanRuns(_) => "span_runs",
            Self::NoSpan(_) => "no_span",
            Self::StartDisagrees => "start_disagrees",
            Self::CauseFirst => "cause_first",
            Self::CauseNotNeeded => "cause_not_needed",
            Self::ResultNotOfTool(_) => "result_not_of_tool",
            Self::NoOwnTolerance => "no_own_tolerance",
            Self::BadText(_) => "bad_text",
            Self::BadQuantity(_) => "bad_quantity",
            Self::ToldFirst => "told_first",
            Self::SlipOfOtherKind => "slip_of_other_kind",
            Self::NotASlip(_) => "not_a_slip",
            Self::NotYet(_) => "not_yet",
            Self::NotThatRemark => "not_that_remark",
            Self::RehearsalMode => "rehearsal_mode",
            Self::LaterVersion(_) => "later_version",
        }
    }
}

impl fmt::Display for Refusal {
    #[allow(clippy::too_many_lines, reason = "one row a refusal; split, the list could not be read as one")]
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotOpened => f.write_str("no visit is open yet: open one first"),
            Self::OpenedAlready => f.write_str("this visit is open already"),
            Self::Ended => f.write_str("this visit has ended: a correction is a new visit"),
            Self::NoSession => f.write_str("no session was begun: start the program on the record again"),
            Self::GateFirst => {
                f.write_str("nothing is touched before your own gate: who proved it dead, with what, how locked off")
            }
            Self::GateIncomplete(what) => write!(f, "the gate is incomplete: {what}"),
            Self::Live(terminal, source) => {
                write!(f, "{terminal} is fed by {source}, which is live: isolate it, or set the terminal aside")
            }
            Self::TailsGoIn => f.write_str(
                "the incoming side was unconnected; before a tail goes in, answer the gate for it anew",
            ),
            Self::Unknown(what, name) => write!(f, "there is no {what} {name:?} on this board or in this visit"),
            Self::NothingNamed => f.write_str("nothing was named: name at least one terminal"),
            Self::NotTogether => f.write_str("these cannot be answered together: take them one by one"),
            Self::IsSetAside(terminal) => write!(f, "{terminal} is set aside: take it up again first"),
            Self::NotSetAside(terminal) => write!(f, "{terminal} is not set aside"),
            Self::AnsweredAlready(terminal, step) => write!(
                f,
                "{step} at {terminal} is answered already: for a mistyped answer use slip, for new work remake"
            ),
            Self::StepFirst(terminal, step) => write!(f, "{step} comes first at {terminal}"),
            Self::NoSuchStep(terminal, step) => write!(f, "there is no {step} at {terminal}: its clamp has none"),
            Self::StrandsFirst(terminal) => {
                write!(f, "{terminal} was over-tightened: look at the strands before anything else")
            }
            Self::LookFirst(terminal) => write!(f, "{terminal} did not click: look at the screw and decide first"),
            Self::RemakeFirst(terminal) => {
                write!(f, "{terminal} has to be cut back and remade, or set aside with a reason")
            }
            Self::ReplaceFirst(terminal) => {
                write!(f, "the device at {terminal} has to be replaced, or the terminal set aside")
            }
            Self::DoNotTouch(terminal) => {
                write!(f, "heat at the meter or cut-out beyond {terminal}: do not touch it, tell the distributor")
            }
            Self::NoAccess(terminal) => write!(f, "the tool does not get to {terminal}: set it aside with the reason"),
            Self::SpareWay(terminal) => write!(f, "nothing is connected at {terminal}: set it aside as a spare way"),
            Self::NotSettling(terminal) => write!(f, "{terminal} is not waiting to be tightened once more"),
            Self::NothingToDecide(terminal) => write!(f, "there is nothing to decide at {terminal}"),
            Self::ChoiceNotPossible(why) => write!(f, "that is not possible here: {why}"),
            Self::NoMakersValue(terminal) => write!(
                f,
                "no maker's value is known for {terminal}: tighten by hand, then set it aside, or find the value"
            ),
            Self::OutOfRange(tool, why) => write!(f, "tool {tool} cannot do this: {why}"),
            Self::NoMarkWithin(tool, why) => {
                write!(f, "no mark of tool {tool} lies within the maker's limits: {why}; take a finer tool")
            }
            Self::Doubted(tool) => write!(f, "tool {tool} is doubted: nothing is tightened with it until released"),
            Self::NotDoubted(tool) => write!(f, "tool {tool} is not doubted"),
            Self::CalibrationEnded(tool, how) => write!(
                f,
                "the calibration of tool {tool} {how}: take another tool, or state this one anew with the reason why it \
                 is used all the same"
            ),
            Self::CountDiffers => f.write_str(
                "that is not how many are named: count again, and name what was left out",
            ),
            Self::NotAmended(why) => write!(f, "the board is not amended: {why}"),
            Self::ScaleFirst(tool) => write!(f, "read the scale of tool {tool} before you tighten with it"),
            Self::OtherSetting(tool, span) => write!(
                f,
                "tool {tool} stands at another setting (span {span}): read its scale, then set it for this terminal"
            ),
            Self::SpanRuns(span) => write!(f, "span {span} is still open: read the scale before you turn it"),
            Self::NoSpan(tool) => write!(f, "no span of tool {tool} is open"),
            Self::StartDisagrees => {
                f.write_str("that is not the setting for this terminal: set the tool again, then read the scale")
            }
            Self::CauseFirst => f.write_str("the scale does not stand where it was set: say what happened"),
            Self::CauseNotNeeded => f.write_str("the scale agrees: there is nothing to explain"),
            Self::ResultNotOfTool(why) => f.write_str(why),
            Self::NoOwnTolerance => f.write_str(
                "the maker gives no tolerance and no own tolerance was fixed at the opening: use a setting tool",
            ),
            Self::BadText(why) | Self::BadQuantity(why) => f.write_str(why),
            Self::ToldFirst => f.write_str("say who was told; only for spare ways nobody needs telling"),
            Self::SlipOfOtherKind => {
                f.write_str("a slip is put right by an answer of the same kind about the same terminal")
            }
            Self::NotASlip(why) => write!(f, "that cannot be put right as a slip: {why}"),
            Self::NotYet(why) => write!(f, "the visit cannot be closed yet: {why}"),
            Self::NotThatRemark => f.write_str("that remark is not waiting to be dealt with before power on"),
            Self::RehearsalMode => f.write_str("only a rehearsal answers itself"),
            Self::LaterVersion(what) => write!(f, "{what} comes with a later version of this program"),
        }
    }
}
