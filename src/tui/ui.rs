//! What only the screen knows. Nothing of it is recorded, and nothing of it changes what may be answered.

/// State of the screen itself.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ui {
    /// The help lies over everything else.
    pub help: bool,
    /// First row of the key table that the help shows.
    pub help_scroll: u16,
    /// So far lies over everything but the help.
    pub so_far: bool,
    /// First row of so far that is shown.
    pub so_far_scroll: u16,
    /// First entry of a long list that is shown, from 0; 0 again with every new question.
    pub list_from: usize,
    /// Why the last key was not taken; one line, gone with the next key.
    pub note: Option<String>,
    /// Where the record lies, in words for the person; nothing where it lies nowhere yet.
    pub record_at: Option<String>,
}
