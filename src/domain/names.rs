//! Names that records refer to, each a type of its own so that none is taken for another.

use serde::{Deserialize, Serialize};
use std::fmt;

macro_rules! name {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub String);

        impl $name {
            /// The name as text.
            #[must_use]
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl From<&str> for $name {
            fn from(text: &str) -> Self {
                Self(text.to_owned())
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(&self.0)
            }
        }
    };
}

name!(
    /// A terminal, `3L2 line`, `3 cpc`, `incomer L1`: printable, unique in its board, never changed.
    TerminalName
);
name!(
    /// A conductor in a terminal: the terminal's name, and `/1`, `/2` where several share the clamp.
    ConductorName
);
name!(
    /// A clamp type of the board file, `outgoing cage`.
    ClampName
);
name!(
    /// A fitted device, `3L2`, `4`, `incomer`.
    DeviceName
);
name!(
    /// A place: what a hand does without moving on, `left column`, `N bar`, `incomer`.
    PlaceName
);
name!(
    /// A tool in this visit: `A`, `B`, ….
    ToolId
);
name!(
    /// A person in this visit: `P1`, `P2`, ….
    PersonId
);
name!(
    /// A span of one setting: tool and number, `A3`.
    SpanId
);

/// The number of a way, 1 to 400.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct WayNumber(pub u16);

impl fmt::Display for WayNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

/// The number of a line in a record, from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Seq(pub u64);

impl Seq {
    /// The one after this.
    #[must_use]
    pub fn next(self) -> Self {
        Self(self.0.saturating_add(1))
    }
}

impl fmt::Display for Seq {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}
