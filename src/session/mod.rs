//! The machine: what may be done now, what is recorded of it, and where every terminal stands.
//!
//! [`decide()`] holds every rule and turns an act into facts or a refusal in trade words. [`apply()`] folds confirmed
//! lines, refuses nothing, and is the only thing replay uses. `step` adds the desk: what is asked, what is half
//! typed, what is on its way to the journal. No file, clock or terminal in any of it.

#![allow(
    clippy::wildcard_enum_match_arm,
    reason = "a rule names the few kinds it is about; where a new kind must not be missed (`apply`) all are named"
)]

mod able;
mod act;
mod apply;
mod as_set;
pub mod audit;
mod chapter;
mod counts;
mod course;
mod decide;
mod derive;
pub mod desk;
mod difference;
mod fitting;
pub mod flat;
mod index;
pub mod invariant;
pub mod look_back;
mod outlook;
pub mod packing;
pub mod past;
mod put_right;
mod reckoned;
mod refusal;
mod running;
pub mod scope_of;
mod span;
mod standing;
mod steps;
mod visit;

pub use able::Able;
pub use act::{Act, EndCause, OpenVisit, ScaleNext};
pub use apply::{apply, replay};
pub use as_set::{TorqueDoubt, TorqueSaid, TorqueWord, said_at, said_of, standing_torques};
pub use counts::Counts;
pub use course::{Course, SETTLE_MINUTES, course_of};
pub use decide::{closing, decide, setting_for};
pub(crate) use decide::{last_look_stands, no_setting, shifted_since};
pub use desk::row::NOTES_KEPT;
pub use desk::scope_in_words;
pub use difference::{Change, difference};
pub use fitting::{doubtful_torque, misfits_at, misfits_before};
pub use outlook::{Outlook, outlook};
pub use reckoned::judged_anew;
pub use reckoned::verdict_now;
pub use refusal::Refusal;
pub use span::{Span, SpanEnd};
pub use standing::{
    Answered, Informed, Need, OpenWhy, RemarkWhy, Settling, Sign, Standing, Struck, StruckWhy,
};
pub use steps::{Step, check_steps_of, steps_of};
pub use visit::{Ended, PowerOnRemark, TerminalIndex, ToolInHand, Visit};
