//! Commands: exit codes, what goes to which stream, where files live.
