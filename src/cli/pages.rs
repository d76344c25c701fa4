//! One face for the pages of a command, one after another: the full screen is taken once for all of them.

use super::failure::Failure;
use super::{Face, Talk};
use crate::clock::Clock;
use crate::office::{Page, PageState};
use crate::plain::{self, Ended, Lines, Turned};
use crate::tui::{self, FullScreen, TuiError};

/// The face that shows pages.
pub(super) enum Pages<'a> {
    /// The full screen.
    Screen(&'a mut FullScreen),
    /// Line by line.
    Lines(Lines<'a>),
}

/// Why pages were left before the person left them.
pub(super) enum Stopped {
    /// The terminal failed, or the system ended the program.
    Screen(TuiError),
    /// Something else.
    Failed(Failure),
}

impl From<Failure> for Stopped {
    fn from(failure: Failure) -> Self {
        Self::Failed(failure)
    }
}

impl Pages<'_> {
    /// Shows a page until the person leaves it or something is to be done; nothing when they left.
    pub(super) fn show<P: Page>(&mut self, page: &mut PageState<P>) -> Result<Option<P::Deed>, Stopped> {
        let lines = match self {
            Self::Screen(screen) => return screen.page(page).map_err(Stopped::Screen),
            Self::Lines(lines) => lines,
        };
        match plain::page(page, lines).map_err(Failure::from)? {
            Turned::Do(deed) => Ok(Some(deed)),
            Turned::Ended(Ended::Left) => Ok(None),
            Turned::Ended(Ended::EndOfInput) => {
                writeln!(lines.out).map_err(Failure::from)?;
                Ok(None)
            }
            Turned::Ended(Ended::NoAnswer { asked, wanted }) => Err(Stopped::Failed(Failure::Mend(format!(
                "error: what came in was no answer. It waits for: {asked}\nhelp: an answer would be: {wanted}"
            )))),
        }
    }
}

/// Whether somebody is there to answer. Where nobody is, pages are only printed, unless lines were asked for.
pub(super) fn asked(talk: &Talk<'_>, face: &Face) -> bool {
    face.plain || (talk.around.typed && talk.around.looked_at)
}

/// Shows pages on the face that the command was given, or has.
pub(super) fn shown<T>(
    talk: &mut Talk<'_>,
    face: &Face,
    clock: &Clock,
    work: impl FnOnce(&mut Pages<'_>) -> Result<T, Stopped>,
) -> Result<T, Failure> {
    let on_lines = |stopped| match stopped {
        Stopped::Failed(failure) => failure,
        Stopped::Screen(why) => Failure::Wrong(format!("error: {why}")),
    };
    if face.plain || !talk.around.has_a_screen() {
        let echo = !talk.around.typed;
        return work(&mut Pages::Lines(Lines { input: talk.input, out: talk.out, echo })).map_err(on_lines);
    }
    let options = tui::Options { no_color: talk.around.no_color };
    let done = tui::on_screen(clock, options, |screen| match work(&mut Pages::Screen(screen)) {
        Ok(done) => Ok(Ok(done)),
        Err(Stopped::Failed(failure)) => Ok(Err(failure)),
        Err(Stopped::Screen(why)) => Err(why),
    });
    done.unwrap_or_else(|why| Err(Failure::Wrong(format!("error: {why}"))))
}
