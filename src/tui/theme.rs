//! How things look.

/// Colours and emphasis.
#[derive(Clone, Copy, Debug)]
pub struct Theme;

impl Theme {
    /// With the terminal's sixteen colours.
    #[must_use]
    pub fn colours() -> Self {
        Self
    }

    /// Without any colour.
    #[must_use]
    pub fn mono() -> Self {
        Self
    }
}
