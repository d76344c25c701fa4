//! The terminal guard: takes the terminal as a full screen and gives it back once, whatever ends the program.
//!
//! Given back on the normal end and on an error (`Drop`), on a panic (a hook, so that the panic's own words appear on
//! the normal screen) and before a stop. The mouse is never taken, so text can be selected.

use super::app::Screen;
use ratatui::crossterm::cursor::{Hide, Show};
use ratatui::crossterm::queue;
use ratatui::crossterm::terminal::{
    BeginSynchronizedUpdate, Clear, ClearType, EndSynchronizedUpdate, EnterAlternateScreen,
    LeaveAlternateScreen,
};
use std::io::{self, Write};
use std::panic::{self, PanicHookInfo};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, TryLockError};

/// What is done to a terminal other than writing to it.
pub trait Modes: Send + Sync + 'static {
    /// Raw mode on or off: keys come one by one and are not shown by the terminal itself.
    ///
    /// # Errors
    /// There is no terminal, or it is gone.
    fn raw(&self, on: bool) -> io::Result<()>;
    /// Stops the program until somebody lets it go on; false where that cannot be done.
    ///
    /// # Errors
    /// The system refused.
    fn stop(&self) -> io::Result<bool>;
}

/// The terminal the program runs in.
#[derive(Clone, Copy, Debug)]
pub struct OwnTerminal;

impl Modes for OwnTerminal {
    fn raw(&self, on: bool) -> io::Result<()> {
        use ratatui::crossterm::terminal::{disable_raw_mode, enable_raw_mode};
        if on { enable_raw_mode() } else { disable_raw_mode() }
    }

    #[cfg(unix)]
    fn stop(&self) -> io::Result<bool> {
        signal_hook::low_level::raise(signal_hook::consts::SIGTSTP).map(|()| true)
    }

    #[cfg(not(unix))]
    fn stop(&self) -> io::Result<bool> {
        Ok(false)
    }
}

struct Shared<W> {
    out: Mutex<W>,
    modes: Box<dyn Modes>,
    /// The terminal is ours now.
    inside: AtomicBool,
}

impl<W: Write> Shared<W> {
    fn out(&self) -> MutexGuard<'_, W> {
        self.out.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn enter(&self) -> io::Result<()> {
        if self.inside.load(Ordering::SeqCst) {
            // Stopped from outside: the shell changed the mode behind our back, so it is set anew.
            self.modes.raw(false)?;
        }
        self.modes.raw(true)?;
        self.inside.store(true, Ordering::SeqCst);
        let mut out = self.out();
        // Cleared too: a program killed before may have left this very screen standing, half drawn.
        queue!(out, EnterAlternateScreen, Clear(ClearType::All), Hide)?;
        out.flush()
    }

    fn leave(&self) -> io::Result<()> {
        let mut out = self.out();
        self.leave_through(&mut out)
    }

    /// From a panic hook: whoever panicked may hold the writer; then `Drop` gives the terminal back a little later.
    fn leave_if_free(&self) {
        let mut out = match self.out.try_lock() {
            Ok(out) => out,
            Err(TryLockError::Poisoned(poisoned)) => poisoned.into_inner(),
            Err(TryLockError::WouldBlock) => return,
        };
        // A terminal that is gone needs nothing given back.
        let _ = self.leave_through(&mut out);
    }

    fn leave_through(&self, out: &mut W) -> io::Result<()> {
        if !self.inside.swap(false, Ordering::SeqCst) {
            return Ok(());
        }
        let written =
            queue!(out, EndSynchronizedUpdate, LeaveAlternateScreen, Show).and_then(|()| out.flush());
        // Even where nothing can be written any more the mode is put back: the shell behind us needs it.
        self.modes.raw(false).and(written)
    }
}

/// Writer to the guarded terminal, for the drawing.
#[allow(missing_debug_implementations, reason = "a lock around a writer says nothing")]
pub struct Out<W>(Arc<Shared<W>>);

impl<W: Write> Write for Out<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.out().write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.out().flush()
    }
}

type Hook = dyn Fn(&PanicHookInfo<'_>) + Send + Sync + 'static;

/// Holds the terminal; gives it back when dropped.
#[allow(missing_debug_implementations, reason = "a panic hook has none")]
pub struct Guard<W: Write + Send + 'static> {
    shared: Arc<Shared<W>>,
    previous: Arc<Hook>,
}

impl<W: Write + Send + 'static> Guard<W> {
    /// Takes the terminal. The hook stands before anything is changed, and hands on to the one before it.
    ///
    /// # Errors
    /// The terminal could not be taken; it is given back as it was.
    pub fn new(out: W, modes: impl Modes) -> io::Result<Self> {
        let shared =
            Arc::new(Shared { out: Mutex::new(out), modes: Box::new(modes), inside: AtomicBool::new(false) });
        let previous: Arc<Hook> = Arc::from(panic::take_hook());
        let (hooked, before) = (Arc::clone(&shared), Arc::clone(&previous));
        panic::set_hook(Box::new(move |info| {
            hooked.leave_if_free();
            before(info);
        }));
        let guard = Self { shared, previous };
        guard.shared.enter()?;
        Ok(guard)
    }

    /// A writer to the terminal, for the drawing.
    #[must_use]
    pub fn out(&self) -> Out<W> {
        Out(Arc::clone(&self.shared))
    }
}

impl<W: Write + Send + 'static> Screen for Guard<W> {
    fn begin_frame(&mut self) -> io::Result<()> {
        queue!(self.shared.out(), BeginSynchronizedUpdate)
    }

    fn end_frame(&mut self) -> io::Result<()> {
        let mut out = self.shared.out();
        queue!(out, EndSynchronizedUpdate)?;
        out.flush()
    }

    fn ring(&mut self) -> io::Result<()> {
        let mut out = self.shared.out();
        out.write_all(b"\x07")?;
        out.flush()
    }

    fn stop(&mut self) -> io::Result<bool> {
        self.shared.leave()?;
        let stopped = self.shared.modes.stop()?;
        if !stopped {
            self.shared.enter()?;
        }
        Ok(stopped)
    }

    fn enter(&mut self) -> io::Result<()> {
        self.shared.enter()
    }
}

impl<W: Write + Send + 'static> Drop for Guard<W> {
    fn drop(&mut self) {
        // A terminal that is gone needs nothing given back.
        let _ = self.shared.leave();
        // While a panic unwinds no hook may be set; ours does nothing more then.
        if !std::thread::panicking() {
            let previous = Arc::clone(&self.previous);
            panic::set_hook(Box::new(move |info| previous(info)));
        }
    }
}
