//! The file part: what can be wrong with a written file before a word of it is read.

use super::Kind;
use super::problem::{Problem, render};
use std::fmt;
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};

/// Why a file could not be loaded.
#[derive(Debug)]
pub struct LoadError {
    /// What was wanted.
    pub kind: &'static Kind,
    /// The file.
    pub path: PathBuf,
    /// What is wrong with it.
    pub fault: LoadFault,
}

/// What keeps a file from being loaded.
#[derive(Debug)]
pub enum LoadFault {
    /// Nothing is there.
    Missing,
    /// A folder, not a file.
    Directory,
    /// The system refuses to read it.
    Unreadable(io::Error),
    /// Larger than such a file may be; its bytes.
    TooLarge(u64),
    /// Its text is wrong.
    Wrong {
        /// Its text, as far as it is text.
        source: String,
        /// What is wrong, in file order.
        problems: Vec<Problem>,
    },
}

impl fmt::Display for LoadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let shown = self.path.display();
        let kind = self.kind;
        match &self.fault {
            LoadFault::Missing => {
                write!(f, "error: there is no file {shown}\nhelp: look at the spelling and the folder")
            }
            LoadFault::Directory => write!(
                f,
                "error: {shown} is a folder, and a {} is wanted\nhelp: name the file in it: {}",
                kind.file,
                self.path.join(kind.usual_name).display()
            ),
            LoadFault::Unreadable(why) => write!(
                f,
                "error: {shown} cannot be read: {why}\nhelp: look at who may read it, and whether its disk is there"
            ),
            LoadFault::TooLarge(bytes) => write!(
                f,
                "error: {shown} is {bytes} bytes large; a {} has at most {}\nhelp: is it the right file?",
                kind.file, kind.bytes_max
            ),
            LoadFault::Wrong { source, problems } => {
                f.write_str(render(problems, &shown.to_string(), source).trim_end())
            }
        }
    }
}

impl std::error::Error for LoadError {}

/// The bytes of a file, no more than its kind allows.
///
/// # Errors
/// [`LoadError`] with the whole message.
pub(crate) fn bytes(path: &Path, kind: &'static Kind) -> Result<Vec<u8>, LoadError> {
    let fails = |fault| LoadError { kind, path: path.to_owned(), fault };
    let unreadable = |why: io::Error| match why.kind() {
        io::ErrorKind::NotFound => fails(LoadFault::Missing),
        _ => fails(LoadFault::Unreadable(why)),
    };
    let about = std::fs::metadata(path).map_err(unreadable)?;
    if about.is_dir() {
        return Err(fails(LoadFault::Directory));
    }
    if about.len() > kind.bytes_max {
        return Err(fails(LoadFault::TooLarge(about.len())));
    }
    // a pipe or a file that grows states no size: never read more than one byte beyond the limit
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path).map_err(unreadable)?;
    file.take(kind.bytes_max.saturating_add(1)).read_to_end(&mut bytes).map_err(unreadable)?;
    let length = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
    if length > kind.bytes_max { Err(fails(LoadFault::TooLarge(length))) } else { Ok(bytes) }
}

/// The error of a text in which something is wrong.
pub(crate) fn wrong(path: &Path, kind: &'static Kind, bytes: &[u8], problems: Vec<Problem>) -> LoadError {
    let source = String::from_utf8_lossy(bytes).into_owned();
    LoadError { kind, path: path.to_owned(), fault: LoadFault::Wrong { source, problems } }
}
