//! Where events really come from: the terminal and the system, each waited for on a thread of its own, so that a
//! terminal that hangs up cannot keep the program from ending.

use super::app::{Happening, Source};
use super::error::TuiError;
use crate::clock::Clock;
use crate::domain::moment::Moment;
use crate::session::desk::Stamp;
use ratatui::crossterm::event;
use std::sync::Arc;
#[cfg(unix)]
use std::sync::LazyLock;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread;
use std::time::Duration;

/// How long a reading thread may outlive the screen.
const LINGER: Duration = Duration::from_millis(200);
/// How long at most the clock is not looked at while something is waited for.
const LOOK_AGAIN: Duration = Duration::from_secs(5);

/// Keys, sizes and signals of the program's own terminal.
#[allow(missing_debug_implementations, reason = "a channel and a signal handle say nothing")]
pub(super) struct OwnSource {
    clock: Clock,
    events: Receiver<(Stamp, Happening)>,
    over: Arc<AtomicBool>,
    #[cfg(unix)]
    signals: signal_hook::iterator::Handle,
}

/// Whether no screen is taken: then signals end the program as they always did. One for the whole process, because
/// one screen may follow another and a handler once set stays.
#[cfg(unix)]
static NO_SCREEN: LazyLock<Arc<AtomicBool>> = LazyLock::new(|| Arc::new(AtomicBool::new(true)));
/// The default of every signal is set up once.
#[cfg(unix)]
static DEFAULTS: AtomicBool = AtomicBool::new(false);

impl OwnSource {
    /// Begins to wait. Signals are taken over first, so that none can end the program between here and the guard.
    ///
    /// # Errors
    /// The system gives no signals or no thread.
    pub(super) fn start(clock: &Clock) -> Result<Self, TuiError> {
        let (sender, events) = channel();
        let over = Arc::new(AtomicBool::new(false));
        #[cfg(unix)]
        let signals = watch_signals(*clock, sender.clone())?;
        // The first look sets up the listening: a new size is not missed even before the thread runs.
        event::poll(Duration::ZERO).map_err(TuiError::Read)?;
        let source = Self {
            clock: *clock,
            events,
            over: Arc::clone(&over),
            #[cfg(unix)]
            signals,
        };
        let clock = *clock;
        thread::Builder::new()
            .name("keys".into())
            .spawn(move || read_keys(clock, &sender, &over))
            .map_err(TuiError::Read)?;
        Ok(source)
    }
}

fn read_keys(clock: Clock, sender: &Sender<(Stamp, Happening)>, over: &AtomicBool) {
    while !over.load(Ordering::SeqCst) {
        let happening = match event::poll(LINGER) {
            Ok(false) => continue,
            // What comes after the screen is over is left for whatever stands on the terminal next.
            Ok(true) if over.load(Ordering::SeqCst) => return,
            Ok(true) => event::read().map_or_else(Happening::Lost, Happening::Terminal),
            Err(why) => Happening::Lost(why),
        };
        let lost = matches!(happening, Happening::Lost(_));
        // Stamped here and not where it is taken: a slow disk must not make two keys look close.
        if sender.send((clock.now(), happening)).is_err() || lost {
            return;
        }
    }
}

#[cfg(unix)]
fn watch_signals(
    clock: Clock,
    sender: Sender<(Stamp, Happening)>,
) -> Result<signal_hook::iterator::Handle, TuiError> {
    use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGTERM};
    if !DEFAULTS.swap(true, Ordering::SeqCst) {
        for signal in [SIGTERM, SIGHUP, SIGINT] {
            signal_hook::flag::register_conditional_default(signal, Arc::clone(&NO_SCREEN))
                .map_err(TuiError::Enter)?;
        }
    }
    let mut signals =
        signal_hook::iterator::Signals::new([SIGTERM, SIGHUP, SIGINT, SIGCONT]).map_err(TuiError::Enter)?;
    NO_SCREEN.store(false, Ordering::SeqCst);
    let handle = signals.handle();
    thread::Builder::new()
        .name("signals".into())
        .spawn(move || {
            for signal in signals.forever() {
                let happening =
                    if signal == SIGCONT { Happening::Continued } else { Happening::Killed(signal) };
                if sender.send((clock.now(), happening)).is_err() {
                    return;
                }
            }
        })
        .map_err(TuiError::Enter)?;
    Ok(handle)
}

impl Source for OwnSource {
    fn next(&mut self, due: Option<Moment>) -> Option<(Stamp, Happening)> {
        let Some(due) = due else { return self.events.recv().ok() };
        loop {
            let left = due.seconds_since(&self.clock.now().wall);
            let Ok(left) = u64::try_from(left) else { return Some((self.clock.now(), Happening::Due)) };
            if left == 0 {
                return Some((self.clock.now(), Happening::Due));
            }
            // looked at again and again: the clock on the wall may be set, and a laptop sleeps
            match self.events.recv_timeout(Duration::from_secs(left).min(LOOK_AGAIN)) {
                Ok(happened) => return Some(happened),
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => return None,
            }
        }
    }

    fn now(&self) -> Stamp {
        self.clock.now()
    }
}

impl Drop for OwnSource {
    fn drop(&mut self) {
        self.over.store(true, Ordering::SeqCst);
        #[cfg(unix)]
        {
            NO_SCREEN.store(true, Ordering::SeqCst);
            self.signals.close();
        }
    }
}
