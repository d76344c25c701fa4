//! A talk with the program, question by question, and a person who does everything well.
#![cfg(unix)]

use crate::program::command;
use std::io::{Read, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

/// Longer than any answer takes.
const PATIENCE: Duration = Duration::from_secs(20);

/// The program in the middle of a talk.
pub(crate) struct Talk {
    child: Child,
    stdin: ChildStdin,
    heard: Receiver<Vec<u8>>,
    said: String,
}

impl Talk {
    pub(crate) fn begin(board: &str, home: &Path) -> Self {
        Self::of("walk", board, home)
    }

    /// A visit of a kind, by its command.
    pub(crate) fn of(visit: &str, board: &str, home: &Path) -> Self {
        Self::said(&[visit, board], home)
    }

    /// Whatever is typed behind the name of the program, line by line, records in that folder.
    pub(crate) fn said(words: &[&str], home: &Path) -> Self {
        let more = ["--plain", "--records", home.to_str().unwrap()];
        let mut command = command(&[words, &more].concat(), home);
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::inherit());
        let mut child = command.spawn().unwrap();
        let (stdin, mut stdout) = (child.stdin.take().unwrap(), child.stdout.take().unwrap());
        let (send, heard) = channel();
        thread::spawn(move || {
            let mut bytes = [0; 4096];
            while let Ok(count @ 1..) = stdout.read(&mut bytes) {
                if send.send(bytes[..count].to_vec()).is_err() {
                    break;
                }
            }
        });
        Self { child, stdin, heard, said: String::new() }
    }

    /// Listens until a question waits for its answer, and gives what was said since; nothing where it has ended.
    pub(crate) fn question(&mut self) -> Option<String> {
        let mut heard = String::new();
        while !heard.ends_with("> ") {
            match self.heard.recv_timeout(PATIENCE) {
                Ok(bytes) => heard.push_str(&String::from_utf8(bytes).unwrap()),
                Err(std::sync::mpsc::RecvTimeoutError::Disconnected) => {
                    self.said.push_str(&heard);
                    return None;
                }
                Err(std::sync::mpsc::RecvTimeoutError::Timeout) => panic!("silence after {heard}"),
            }
        }
        self.said.push_str(&heard);
        Some(heard)
    }

    pub(crate) fn say(&mut self, line: &str) {
        // a program that was killed no longer listens
        let _ = self.stdin.write_all(format!("{line}\n").as_bytes());
    }

    /// Kill -9, then everything that had been said until then.
    pub(crate) fn kill(mut self) -> String {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
        while self.question().is_some() {}
        self.said
    }

    /// Waits for its end, and gives the exit code and everything that was said.
    pub(crate) fn end(mut self) -> (i32, String) {
        while self.question().is_some() {}
        (self.child.wait().unwrap().code().unwrap_or(-1), self.said)
    }
}

/// What the person answers. Every observation is the good one, so that no step is ever answered twice.
pub(crate) fn answer(heard: &str, setting: &mut String) -> String {
    let asked = heard.rsplit("\n\n").next().unwrap();
    let table = [
        ("Your name:", "M. Harrow"),
        ("Who is on the tool now?", ""),
        ("What are you here?", "electrician"),
        ("Reference of the certificate", ""),
        ("What kind of torque tool", "1"),
        ("Which torque tool", "1"),
        ("What do you call it?", "red driver"),
        ("Its serial number", "IL 4471"),
        ("Unit of its scale", "1"),
        ("Lowest marked value", "1"),
        ("Highest marked value", "5"),
        ("Graduation", "0.1"),
        ("Type and class", "II D"),
        ("How are torques with a range", "1"),
        ("Day of its last calibration", ""),
        ("In which order", "1"),
        ("Who proved this board dead?", "M. Harrow"),
        ("With which voltage tester, name and number?", "two-pole tester"),
        ("tried on a known source", "tried"),
        ("locked off", "main switch, key in pocket"),
        ("The incoming side is", "dead"),
        ("Is there another supply", "none"),
        ("prepared how?", "1"),
        ("The entry is:", "r"),
        ("is it seated", "e"),
        ("nothing is connected here", "3"),
        ("to the click", "c"),
        ("tug it firmly", "f"),
        ("draw the witness mark", "k"),
        ("Nothing is left to do", "1"),
        ("Was anybody told", "1"),
        ("Last look,", "1"),
        ("tug it. It is:", "f"),
        ("its witness mark is:", "h"),
        ("Shrouds, covers", "all back"),
        ("Locks and tools", "all out"),
        ("Who energised", ""),
        ("you sign", "1"),
        ("Close the visit?", "1"),
    ];
    if let Some((_, rest)) = asked.split_once("Set tool A to ") {
        rest.split(' ').next().unwrap().clone_into(setting);
        return "1".into();
    }
    if asked.contains("read its scale") {
        return setting.clone();
    }
    let found = table.iter().find(|(words, _)| asked.contains(words));
    found.unwrap_or_else(|| panic!("no answer to {asked}")).1.to_owned()
}
