//! The file part: what can be wrong with a board file before a word of it is read.

use super::problem::{Problem, render};
use super::{BYTES_MAX, ReadBoard, read};
use std::fmt;
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};

/// Why a board file could not be loaded.
#[derive(Debug)]
pub enum LoadError {
    /// Nothing is there.
    Missing(PathBuf),
    /// A folder, not a file.
    Directory(PathBuf),
    /// The system refuses to read it.
    Unreadable(PathBuf, io::Error),
    /// Larger than [`BYTES_MAX`].
    TooLarge(PathBuf, u64),
    /// Its text is wrong.
    Wrong {
        /// The file.
        path: PathBuf,
        /// Its text, as far as it is text.
        source: String,
        /// What is wrong, in file order.
        problems: Vec<Problem>,
    },
}

impl fmt::Display for LoadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing(path) => {
                write!(
                    f,
                    "error: there is no file {}\nhelp: look at the spelling and the folder",
                    path.display()
                )
            }
            Self::Directory(path) => write!(
                f,
                "error: {} is a folder, and a board file is wanted\nhelp: name the file in it: {}",
                path.display(),
                path.join("board.ron").display()
            ),
            Self::Unreadable(path, why) => write!(
                f,
                "error: {} cannot be read: {why}\nhelp: look at who may read it, and whether its disk is there",
                path.display()
            ),
            Self::TooLarge(path, bytes) => write!(
                f,
                "error: {} is {bytes} bytes large; a board file has at most {BYTES_MAX}\nhelp: is it the right file?",
                path.display()
            ),
            Self::Wrong { path, source, problems } => {
                f.write_str(render(problems, &path.display().to_string(), source).trim_end())
            }
        }
    }
}

impl std::error::Error for LoadError {}

/// Loads a board file.
///
/// # Errors
/// [`LoadError`] with the whole message.
pub fn load(path: &Path) -> Result<ReadBoard, LoadError> {
    let unreadable = |why: io::Error| match why.kind() {
        io::ErrorKind::NotFound => LoadError::Missing(path.to_owned()),
        _ => LoadError::Unreadable(path.to_owned(), why),
    };
    let about = std::fs::metadata(path).map_err(unreadable)?;
    if about.is_dir() {
        return Err(LoadError::Directory(path.to_owned()));
    }
    if about.len() > BYTES_MAX {
        return Err(LoadError::TooLarge(path.to_owned(), about.len()));
    }
    // a pipe or a file that grows states no size: never read more than one byte beyond the limit
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path).map_err(unreadable)?;
    file.take(BYTES_MAX.saturating_add(1)).read_to_end(&mut bytes).map_err(unreadable)?;
    let length = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
    if length > BYTES_MAX {
        return Err(LoadError::TooLarge(path.to_owned(), length));
    }
    read(&bytes).map_err(|problems| LoadError::Wrong {
        path: path.to_owned(),
        source: String::from_utf8_lossy(&bytes).into_owned(),
        problems,
    })
}
