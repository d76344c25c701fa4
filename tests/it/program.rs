//! The program itself, run as a person or a script runs it: arguments and lines in; output, errors, exit code out.

use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::{self, JoinHandle};
use std::time::Duration;

/// How long a run may take before it counts as hanging, in steps of [`STEP`].
const STEPS: usize = 24_000;
const STEP: Duration = Duration::from_millis(5);

/// What comes in.
pub(crate) enum Input {
    /// These bytes, then the end.
    Bytes(Vec<u8>),
    /// Empty lines for ever, as `yes ''` gives them.
    EmptyForEver,
    /// These lines, then the last of them for ever.
    ForEver(Vec<String>),
}

/// What a run said.
#[derive(Debug)]
pub(crate) struct Said {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

impl Said {
    /// Asserts the exit code and shows both outputs where it differs.
    #[track_caller]
    pub(crate) fn expect(self, code: i32) -> Self {
        assert_eq!(self.code, code, "\n--- out\n{}\n--- err\n{}", self.out, self.err);
        self
    }
}

/// The program with these arguments, in a folder without anything of the machine's around it.
pub(crate) fn command(arguments: &[&str], home: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_witnessmark"));
    command.args(arguments).current_dir(env!("CARGO_MANIFEST_DIR")).env_clear();
    command.env("HOME", home).env("TZ", "UTC").env("XDG_DATA_HOME", home.join("data"));
    command.env("XDG_CONFIG_HOME", home.join("config"));
    command
}

/// Runs it to its end.
pub(crate) fn run(arguments: &[&str], home: &Path, input: Input) -> Said {
    finish(command(arguments, home), input)
}

/// Runs a command to its end.
pub(crate) fn finish(mut command: Command, input: Input) -> Said {
    let mut child =
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let feeder = thread::spawn(move || match input {
        // a program that has stopped reading is no failure of the feeder
        Input::Bytes(bytes) => drop(stdin.write_all(&bytes)),
        Input::ForEver(lines) => {
            let last = lines.last().map(|line| format!("{line}\n").repeat(16)).unwrap();
            let _ = stdin.write_all((lines.join("\n") + "\n").as_bytes());
            while stdin.write_all(last.as_bytes()).is_ok() {}
        }
        Input::EmptyForEver => while stdin.write_all(&[b'\n'; 64]).is_ok() {},
    });
    let out = reader(child.stdout.take().unwrap());
    let err = reader(child.stderr.take().unwrap());
    let code = wait(&mut child);
    feeder.join().unwrap();
    Said { code, out: out.join().unwrap(), err: err.join().unwrap() }
}

fn reader(mut from: impl Read + Send + 'static) -> JoinHandle<String> {
    thread::spawn(move || {
        let mut bytes = Vec::new();
        from.read_to_end(&mut bytes).unwrap();
        String::from_utf8(bytes).unwrap()
    })
}

fn wait(child: &mut Child) -> i32 {
    for _ in 0..STEPS {
        if let Some(status) = child.try_wait().unwrap() {
            return status.code().unwrap_or(-1);
        }
        thread::sleep(STEP);
    }
    child.kill().unwrap();
    panic!("it does not end by itself");
}

/// Every record below a folder.
pub(crate) fn records(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).into_iter().flatten() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "jsonl") {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

/// The one record below a folder.
#[track_caller]
pub(crate) fn only_record(folder: &Path) -> PathBuf {
    let found = records(folder);
    assert_eq!(found.len(), 1, "{found:?}");
    found[0].clone()
}

/// A script: a line an answer; lines that begin with `#` are for its reader. `{a month ago}` is that day.
pub(crate) fn script(name: &str) -> Vec<String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/scripts").join(name);
    let today = jiff::tz::Offset::UTC.to_datetime(jiff::Timestamp::now()).date();
    let month_ago = today.checked_sub(jiff::Span::new().days(30)).unwrap();
    let text = std::fs::read_to_string(path).unwrap();
    let lines = text.lines().filter(|line| !line.starts_with('#'));
    lines.map(|line| line.replace("{a month ago}", &month_ago.to_string())).collect()
}

/// Text without what differs from run to run: the folder, ids, days, times of the day, links.
pub(crate) fn steady(text: &str, folder: &Path) -> String {
    let mut text = text.replace(&folder.display().to_string(), "[folder]");
    for record in records(folder) {
        let name = record.file_stem().unwrap().to_string_lossy().into_owned();
        let id = name.rsplit('-').next().unwrap();
        text = text.replace(id, "[id]");
    }
    let link = "h".repeat(64);
    let shapes = [
        (link.as_str(), "[link]"),
        ("dddd-dd-ddTdd:dd:dd+dd:dd", "[moment]"),
        ("dddd-dd-dd", "[day]"),
        ("ddd days and dddd operations", "[days and operations]"),
        ("dd:dd", "[time]"),
    ];
    for (shape, word) in shapes {
        text = hidden(&text, shape, word);
    }
    text
}

/// Puts a word in the place of everything of a shape: `d` is a digit, `h` a hex digit, all else itself.
fn hidden(text: &str, shape: &str, word: &str) -> String {
    let letters: Vec<char> = text.chars().collect();
    let shape: Vec<char> = shape.chars().collect();
    let fits = |at: usize| {
        letters.len() >= at + shape.len()
            && shape.iter().enumerate().all(|(n, s)| match s {
                'd' => letters[at + n].is_ascii_digit(),
                'h' => letters[at + n].is_ascii_hexdigit(),
                other => letters[at + n] == *other,
            })
    };
    let mut out = String::new();
    let mut at = 0;
    while at < letters.len() {
        if fits(at) {
            out.push_str(word);
            at += shape.len();
        } else {
            out.push(letters[at]);
            at += 1;
        }
    }
    out
}

/// The zone of the machine comes from its own file or by its name; both must say the same, and TZ goes before.
#[test]
fn times_bear_the_offset_of_the_machine_or_of_tz() {
    let home = tempfile::tempdir().unwrap();
    let offset_of = |zone: Option<&str>, folder: &str| {
        let folder = home.path().join(folder);
        let mut command =
            command(&["rehearse", "--plain", "--records", folder.to_str().unwrap()], home.path());
        match zone {
            Some(zone) => command.env("TZ", zone),
            None => command.env_remove("TZ"),
        };
        finish(command, Input::Bytes("\n".repeat(20).into_bytes()));
        let record = only_record(&folder);
        let first = std::fs::read_to_string(record).unwrap();
        let time = first.split_once("\"time\":\"").unwrap().1.split('"').next().unwrap().to_owned();
        time["2026-11-25T15:13:00".len()..].to_owned()
    };
    assert_eq!(offset_of(Some("<+0530>-5:30"), "far"), "+05:30");
    let here = jiff::ZonedDateTime::now().offset();
    let wanted = jiff::Timestamp::UNIX_EPOCH.display_with_offset(here).to_string();
    assert_eq!(offset_of(None, "here"), wanted[wanted.len() - 6..], "as the library finds it by name");
}
