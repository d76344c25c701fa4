//! What turns a terminal's story: decisions, disturbance, amended boards, new attempts, closing scales, the last look.

use super::{Fold, Tightened, above};
use crate::domain::board::Board;
use crate::domain::names::{ConductorName, Seq};
use crate::domain::record::{
    About, Attempt, Decided, DecidedTo, Disturbed, DisturbedHow, LastLook, Scale, ScaleAt, Strands, Tug,
};
use crate::session::difference::{Change, difference};
use crate::session::span::SpanEnd;
use crate::session::standing::{Need, StruckWhy};
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
        if f.how == DisturbedHow::ReTerminated {
            self.strike_where(StruckWhy::Disturbed, |step| matches!(step, Step::Enter(_)));
        }
        if self.forbidden && torque_stood {
            self.set_need(Need::Remake);
        }
    }

    /// Another value opens the torque again; another clamp or other conductors open everything.
    pub(super) fn amended(&mut self, board: &Board, seq: Seq) {
        let change = self.visit.board_before(seq).and_then(|before| {
            let changes = difference(before, board);
            changes.into_iter().find(|(name, _)| *name == self.terminal.name).map(|(_, change)| change)
        });
        self.strike_rounds(StruckWhy::Amended);
        if change == Some(Change::Torque) {
            self.strike_from(Stage::Torque, StruckWhy::Amended);
        } else {
            self.strike_from(Stage::MakingOff, StruckWhy::Amended);
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
        self.attempt = attempt;
        self.need = None;
        self.used_again = false;
        self.shifted = false;
        self.over_kept = false;
        self.after_strands = None;
    }

    pub(super) fn scale(&mut self, f: &Scale) {
        if f.at == ScaleAt::Start {
            return;
        }
        let Some(span) = self.visit.span(&f.span) else { return };
        let id = span.id.clone();
        let of_span = |t: &&Tightened| t.span.as_ref() == Some(&id);
        let first = if self.earlier.iter().any(|t| of_span(&t)) {
            self.steps.iter().position(|step| step.stage() == Stage::Torque)
        } else {
            self.tightened.iter().filter(of_span).filter_map(|t| self.place(t.step)).min()
        };
        let Some(first) = first else { return };
        match span.ended {
            SpanEnd::TooLow => {
                if self.earlier.iter().any(|t| of_span(&t)) {
                    self.strike_rounds(StruckWhy::ScaleTooLow);
                }
                self.strike_steps_from(first, StruckWhy::ScaleTooLow);
                if self.forbidden {
                    self.set_need(Need::Remake);
                }
            }
            SpanEnd::TooHigh => {
                let read = span.end.unwrap_or(f.read);
                let mut over = false;
                let all = self.tightened.iter_mut().chain(self.earlier.iter_mut());
                for t in all.filter(|t| t.span.as_ref() == Some(&id)) {
                    if above(&t.limits, &read) {
                        over = true;
                    } else {
                        t.drifted = true;
                    }
                }
                if over {
                    self.set_need(Need::Strands);
                }
            }
            SpanEnd::Open | SpanEnd::Agreed | SpanEnd::Reset(_) | SpanEnd::Unread(_) => {}
        }
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
