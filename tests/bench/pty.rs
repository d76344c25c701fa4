//! A process in a terminal of 24 lines and 80 columns, read without a thread between, so that what is timed is the
//! process.

use portable_pty::{Child, CommandBuilder, PtySize, native_pty_system};
use std::io::{Read, Write};
use std::path::Path;
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::time::Duration;

/// The program.
pub(crate) const PROGRAM: &str = env!("CARGO_BIN_EXE_witnessmark");
/// What ends every frame of ours.
pub(crate) const END_OF_FRAME: &[u8] = b"\x1b[?2026l";
/// After this time a process that hangs is ended.
const PATIENCE: Duration = Duration::from_secs(120);

pub(crate) struct Pty {
    keys: Box<dyn Write + Send>,
    output: Box<dyn Read + Send>,
    child: Box<dyn Child + Send + Sync>,
    unread: Vec<u8>,
    /// Lets the watch end without ending the process.
    _watch: Sender<()>,
}

/// The program or this binary again with these arguments, without what a person may have set for a pager.
pub(crate) fn command(program: &Path, arguments: &[&Path]) -> CommandBuilder {
    let mut command = CommandBuilder::new(program);
    command.args(arguments);
    command.cwd(env!("CARGO_MANIFEST_DIR"));
    command.env("TERM", "xterm-256color");
    for name in ["NO_COLOR", "LESS", "LESSOPEN", "LESSCLOSE"] {
        command.env_remove(name);
    }
    command
}

impl Pty {
    pub(crate) fn start(command: CommandBuilder) -> Self {
        let size = PtySize { rows: 24, cols: 80, pixel_width: 0, pixel_height: 0 };
        let pair = native_pty_system().openpty(size).unwrap();
        let child = pair.slave.spawn_command(command).unwrap();
        // held open here, the end of the output would never come
        drop(pair.slave);
        let output = pair.master.try_clone_reader().unwrap();
        let keys = pair.master.take_writer().unwrap();
        let (watch, over) = channel();
        let mut killer = child.clone_killer();
        std::thread::spawn(move || {
            if over.recv_timeout(PATIENCE) == Err(RecvTimeoutError::Timeout) {
                let _gone_already = killer.kill();
            }
        });
        Self { keys, output, child, unread: Vec::new(), _watch: watch }
    }

    /// Reads until these bytes have come; false where the process ended before.
    pub(crate) fn reads(&mut self, mark: &[u8]) -> bool {
        let mut from = 0;
        loop {
            if let Some(at) = self.unread[from..].windows(mark.len()).position(|window| window == mark) {
                self.unread.drain(..from + at + mark.len());
                return true;
            }
            from = self.unread.len().saturating_sub(mark.len() - 1);
            let mut buffer = [0; 16 * 1024];
            match self.output.read(&mut buffer) {
                Ok(0) | Err(_) => return false,
                Ok(read) => self.unread.extend_from_slice(&buffer[..read]),
            }
        }
    }

    /// Reads a whole frame and panics where none comes.
    pub(crate) fn frame(&mut self) {
        assert!(self.reads(END_OF_FRAME), "no frame came: {}", String::from_utf8_lossy(&self.unread));
    }

    pub(crate) fn press(&mut self, key: u8) {
        self.keys.write_all(&[key]).unwrap();
        self.keys.flush().unwrap();
    }

    /// Most memory it ever held, KiB; nothing where the system does not say, or where it has ended.
    pub(crate) fn peak_kib(&self) -> Option<u64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.process_id()?)).ok()?;
        let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
        line.trim().strip_suffix(" kB")?.parse().ok()
    }
}

impl Drop for Pty {
    fn drop(&mut self) {
        let _gone_already = self.child.kill();
        let _gone_already = self.child.wait();
    }
}
