//! What turns a terminal's story: decisions, disturbance, amended boards, new attempts, closing scales, the last look.

use super::Fold;
use crate::domain::board::Board;
use crate::domain::names::{ConductorName, Seq};
use crate::domain::record::{
    About, Attempt, Decided, DecidedTo, Disturbed, DisturbedHow, LastLook, Strands, Tug,
};
use crate::session::difference::{Change, difference};
use crate::session::standing::{Informed, Need, StruckWhy};
use crate::session::steps::{Stage, Step};

impl Fold<'_> {
    pub(super) fn decided(&mut self, f: &Decided) {
        match (f.about, self.need) {
            (About::OverTightened, Some(Need::Strands)) => match (f.strands, f.choice) {
                (Some(Strands::Sound), DecidedTo::Keep) => {
                    self.need = self.after_strands.take();
                    self.over_kept = true;
                }
                (Some(Strands::Sound) | None, DecidedTo::SetAside) => {}
                _ => self.need = Some(Need::Remake),
            },
            (About::NotClicked, Some(Need::LookAtScrew { .. })) => match f.choice {
                DecidedTo::Again => {
                    self.need = None;
                    self.used_again = true;
                }
                DecidedTo::Replace => self.need = Some(Need::Replace),
                DecidedTo::Remake => self.need = Some(Need::Remake),
                DecidedTo::Keep | DecidedTo::SetAside => {}
            },
            _ => {}
        }
    }

    pub(super) fn disturbed(&mut self, f: &Disturbed) {
        let torque_stood = !self.tightened.is_empty();
        self.strike_rounds(StruckWhy::Disturbed);
        self.strike_from(Stage::Torque, StruckWhy::Disturbed);
        if self.is_checking() {
            self.strike_from(Stage::Look, StruckWhy::Disturbed);
        }
        if f.how == DisturbedHow::ReTerminated {
            self.taken_out();
            self.strike_where(StruckWhy::Disturbed, |step| matches!(step, Step::Enter(_)));
        }
        if self.forbidden && torque_stood {
            self.set_need(Need::Remake);
        }
    }

    /// Another value opens the torque again, or asks for a remake where the maker forbids a second one; another clamp
    /// or other conductors open everything. A name that is there once more is another terminal: nothing said of the
    /// earlier one holds for it.
    pub(super) fn amended(&mut self, board: &Board, seq: Seq) {
        let change = self.visit.board_before(seq).and_then(|before| {
            let changes = difference(before, board);
            changes.into_iter().find(|(name, _)| *name == self.terminal.name).map(|(_, change)| change)
        });
        let torque_stood = !self.tightened.is_empty();
        self.waits_by(board);
        self.strike_rounds(StruckWhy::Amended);
        if change == Some(Change::New) {
            self.used_again = false;
            self.shifted = false;
            self.over_kept = false;
            self.aside = None;
            self.told = Informed::NotYet;
            self.written.clear();
        }
        if change == Some(Change::Torque) {
            self.strike_where(StruckWhy::Amended, |step| {
                step.stage() >= Stage::Torque || step.stage() == Stage::Check
            });
            if self.forbidden && torque_stood {
                self.set_need(Need::Remake);
            }
        } else {
            self.strike_from(Stage::Look, StruckWhy::Amended);
            self.need = None;
            self.after_strands = None;
        }
    }

    pub(super) fn new_attempt(&mut self, attempt: Attempt, cut_back: Option<&Vec<ConductorName>>) {
        let cut = cut_back.map(|names| self.mine(names));
        let carried = |step: Step| match (step, &cut) {
            (Step::Prepare(nth), Some(cut)) => !cut.contains(&nth),
            _ => false,
        };
        self.strike_rounds(StruckWhy::NewAttempt);
        self.strike_where(StruckWhy::NewAttempt, |step| !carried(step));
        self.tightened.clear();
        self.made_off_again(cut.as_deref());
        self.attempt = attempt;
        self.need = None;
        self.used_again = false;
        self.shifted = false;
        self.over_kept = false;
        self.after_strands = None;
    }

    pub(super) fn last_look(&mut self, f: &LastLook) {
        let gave_way = f.tails.iter().any(|tail| {
            tail.terminal == self.terminal.name && matches!(tail.tug, Tug::CameOut | Tug::StrandsBroke)
        });
        if gave_way {
            self.set_need(Need::Remake);
        }
    }
}
