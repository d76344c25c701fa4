//! Where files live, and what the environment says. Nothing else in the program reads the environment.

use super::failure::Failure;
use crate::journal::names::REHEARSALS;
use directories::ProjectDirs;
use std::ffi::OsString;
use std::io::{self, IsTerminal as _};
use std::path::{Path, PathBuf};

/// Name of our folders.
const NAME: &str = "witnessmark";

/// Where a Unix machine keeps the rules of its own time zone.
const OWN_ZONE: &str = "/etc/localtime";

/// What surrounds the program: read once, at its start.
#[derive(Clone, Debug, Default)]
#[allow(clippy::struct_excessive_bools, reason = "facts about the surroundings, none of them a state")]
pub struct Surroundings {
    /// `XDG_DATA_HOME`.
    pub data_home: Option<OsString>,
    /// `XDG_CONFIG_HOME`.
    pub config_home: Option<OsString>,
    /// `NO_COLOR` is set to something.
    pub no_color: bool,
    /// `TERM` is `dumb`.
    pub dumb: bool,
    /// Rules of the machine's own time zone, where it keeps them in a file and `TZ` names no other.
    pub zone_rules: Option<Vec<u8>>,
    /// Somebody types.
    pub typed: bool,
    /// Somebody looks.
    pub looked_at: bool,
    /// Somebody reads what goes wrong.
    pub told: bool,
}

impl Surroundings {
    /// Reads the environment.
    #[must_use]
    pub fn of_this_machine() -> Self {
        let set = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty());
        Self {
            data_home: set("XDG_DATA_HOME"),
            config_home: set("XDG_CONFIG_HOME"),
            no_color: set("NO_COLOR").is_some(),
            dumb: set("TERM").is_some_and(|term| term == "dumb"),
            zone_rules: match std::env::var_os("TZ") {
                Some(_) => None,
                None => std::fs::read(OWN_ZONE).ok(),
            },
            typed: io::stdin().is_terminal(),
            looked_at: io::stdout().is_terminal(),
            told: io::stderr().is_terminal(),
        }
    }

    /// Whether the full screen can be used at all.
    pub(super) fn has_a_screen(&self) -> bool {
        self.typed && self.looked_at && !self.dumb
    }

    /// The records folder: as named, else `XDG_DATA_HOME`, else where this system keeps data.
    pub(super) fn records(&self, named: Option<&Path>) -> Result<PathBuf, Failure> {
        if let Some(named) = named {
            return as_folder(named);
        }
        let home = absolute(self.data_home.as_ref()).map(|home| home.join(NAME));
        let home = home.or_else(|| dirs().map(|dirs| dirs.data_dir().to_path_buf()));
        match home {
            Some(home) => as_folder(&home.join("records")),
            None => Err(Failure::mend("this user has no home folder", "name a folder with --records DIR")),
        }
    }

    /// The folder of settings: the tools file lies there.
    pub(super) fn config(&self) -> Option<PathBuf> {
        let home = absolute(self.config_home.as_ref()).map(|home| home.join(NAME));
        home.or_else(|| dirs().map(|dirs| dirs.config_dir().to_path_buf()))
    }
}

fn dirs() -> Option<ProjectDirs> {
    ProjectDirs::from("", "", NAME)
}

/// The XDG rule: a path that is not absolute is passed over.
fn absolute(home: Option<&OsString>) -> Option<PathBuf> {
    home.map(PathBuf::from).filter(|home| home.is_absolute())
}

/// A path made absolute, so that what is told of it holds in every folder.
fn as_folder(path: &Path) -> Result<PathBuf, Failure> {
    if path.is_file() {
        return Err(Failure::mend(
            format!("{} is a file, and a folder for records is wanted", path.display()),
            "name a folder with --records DIR",
        ));
    }
    std::path::absolute(path).map_err(|why| {
        Failure::mend(format!("{}: {why}", path.display()), "name a folder with --records DIR")
    })
}

/// A folder typed by hand; `~/` is the home folder, as in a shell.
pub(super) fn typed_folder(typed: &str) -> PathBuf {
    let home = || directories::BaseDirs::new().map(|dirs| dirs.home_dir().to_path_buf());
    let path = match typed.strip_prefix("~/") {
        Some(rest) => home().map_or_else(|| PathBuf::from(typed), |home| home.join(rest)),
        None => PathBuf::from(typed),
    };
    std::path::absolute(&path).unwrap_or(path)
}

/// Where rehearsals lie.
pub(super) fn rehearsals(records: &Path) -> PathBuf {
    records.join(REHEARSALS)
}
