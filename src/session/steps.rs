//! Steps a terminal goes through, by what its clamp is.

use crate::domain::board::Terminal;
use crate::domain::clamp::{Clamp, ClampKind};

/// One step. Conductors are counted from 0 inside their terminal; screws from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Step {
    /// Coming back: look at it.
    Look,
    /// Coming back: tug a conductor as it was found.
    CheckTug(usize),
    /// Coming back: try a screw with the tool; it held or moved.
    Check {
        /// Screw, from 1.
        screw: u8,
    },
    /// Prepare the end of a conductor.
    Prepare(usize),
    /// Enter a conductor and look; a finger: see that it is seated (conductor 0).
    Enter(usize),
    /// Tighten a screw.
    Torque {
        /// Screw, from 1.
        screw: u8,
        /// 2 where the first screw is tightened again after the second.
        pass: u8,
    },
    /// Tug a conductor.
    Tug(usize),
    /// Make the witness mark.
    Mark,
}

/// Stage of a step: nothing of a later stage stands before everything of the earlier ones is good.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// Look, at a coming back.
    Look,
    /// Tug as it was found, at a coming back.
    CheckTug,
    /// Try with the tool, at a coming back.
    Check,
    /// Prepare and entry, conductor by conductor.
    MakingOff,
    /// Torque.
    Torque,
    /// Tug.
    Tug,
    /// Mark.
    Mark,
}

impl Step {
    /// Its stage.
    #[must_use]
    pub fn stage(self) -> Stage {
        match self {
            Self::Look => Stage::Look,
            Self::CheckTug(_) => Stage::CheckTug,
            Self::Check { .. } => Stage::Check,
            Self::Prepare(_) | Self::Enter(_) => Stage::MakingOff,
            Self::Torque { .. } => Stage::Torque,
            Self::Tug(_) => Stage::Tug,
            Self::Mark => Stage::Mark,
        }
    }

    /// Whether it belongs to the making-off pass; at a coming back, the look does.
    #[must_use]
    pub fn is_making_off(self) -> bool {
        matches!(self.stage(), Stage::MakingOff | Stage::Look)
    }

    /// Whether a tool is on the screw: tightening, or trying it at a coming back.
    #[must_use]
    pub fn is_torque(self) -> bool {
        matches!(self, Self::Torque { .. } | Self::Check { .. })
    }

    /// The trade's word.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Look => "look",
            Self::Prepare(_) => "prepare",
            Self::Enter(_) => "entry",
            Self::Torque { .. } | Self::Check { .. } => "torque",
            Self::Tug(_) | Self::CheckTug(_) => "tug",
            Self::Mark => "mark",
        }
    }
}

/// The steps of a terminal, in order. None for a terminal that nothing is connected to.
#[must_use]
pub fn steps_of(terminal: &Terminal, clamp: &Clamp) -> Vec<Step> {
    if clamp.kind == ClampKind::Finger {
        let mut steps = vec![Step::Enter(0)];
        steps.extend(torques(clamp));
        steps.push(Step::Mark);
        return steps;
    }
    let conductors = terminal.conductors.len();
    if conductors == 0 {
        return Vec::new();
    }
    let mut steps: Vec<Step> = (0..conductors).flat_map(|c| [Step::Prepare(c), Step::Enter(c)]).collect();
    if clamp.kind.has_screw() {
        steps.extend(torques(clamp));
    }
    steps.extend((0..conductors).map(Step::Tug));
    if clamp.kind.has_screw() {
        steps.push(Step::Mark);
    }
    steps
}

/// The steps of a coming back to a terminal, in order: look, tug, and the tool on each screw, unless its maker forbids
/// a second torque. A new witness mark is due only where a screw turned; that step is added when it does.
#[must_use]
pub fn check_steps_of(terminal: &Terminal, clamp: &Clamp) -> Vec<Step> {
    if terminal.conductors.is_empty() && clamp.kind != ClampKind::Finger {
        return Vec::new();
    }
    let mut steps = vec![Step::Look];
    steps.extend((0..terminal.conductors.len()).map(Step::CheckTug));
    if clamp.kind.has_screw() && !clamp.second_torque_forbidden {
        steps.extend((1..=clamp.screws.max(1)).map(|screw| Step::Check { screw }));
    }
    steps
}

fn torques(clamp: &Clamp) -> Vec<Step> {
    let mut steps = vec![Step::Torque { screw: 1, pass: 1 }];
    if clamp.screws == 2 {
        steps.push(Step::Torque { screw: 2, pass: 1 });
        if !clamp.second_torque_forbidden {
            steps.push(Step::Torque { screw: 1, pass: 2 });
        }
    }
    steps
}
