//! What stands on a page: blocks of words and rows. How wide a column is, what wraps and what stands beside what is
//! for the faces.

/// A part of a page.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Block {
    /// Its heading; nothing for none.
    pub heading: String,
    /// Words below the heading, each wrapped on its own.
    pub words: Vec<String>,
    /// Its rows.
    pub rows: Vec<Row>,
    /// May stand in a second column where there is room for one.
    pub beside: bool,
    /// Every row is a term and what it means, or a label and its value.
    pub terms: bool,
}

/// A row of a block.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Row {
    /// Its number in the list that is asked about.
    pub number: Option<usize>,
    /// Its cells; those of one block stand in columns.
    pub cells: Vec<String>,
    /// Lines below it.
    pub below: Vec<String>,
    /// Lines below those, left out on a full screen that has no room for them.
    pub details: Vec<String>,
    /// It needs the person.
    pub needs: bool,
}

impl Block {
    /// A block with its heading.
    #[must_use]
    pub fn new(heading: impl Into<String>) -> Self {
        Self { heading: heading.into(), ..Self::default() }
    }

    pub(super) fn beside(mut self) -> Self {
        self.beside = true;
        self
    }

    pub(super) fn terms<S: Into<String>>(mut self, rows: impl IntoIterator<Item = [S; 2]>) -> Self {
        self.terms = true;
        self.rows.extend(rows.into_iter().map(Row::new));
        self
    }

    pub(super) fn saying(mut self, words: impl Into<String>) -> Self {
        self.words.push(words.into());
        self
    }

    pub(super) fn listing(mut self, rows: impl IntoIterator<Item = Row>) -> Self {
        self.rows.extend(rows);
        self
    }
}

impl Row {
    /// A row of cells.
    pub fn new<S: Into<String>>(cells: impl IntoIterator<Item = S>) -> Self {
        Self { cells: cells.into_iter().map(Into::into).collect(), ..Self::default() }
    }

    pub(super) fn numbered(mut self, number: usize) -> Self {
        self.number = Some(number);
        self
    }

    pub(super) fn below(mut self, line: impl Into<String>) -> Self {
        self.below.push(line.into());
        self
    }

    pub(super) fn detail(mut self, line: impl Into<String>) -> Self {
        self.details.push(line.into());
        self
    }

    pub(super) fn needing(mut self, needs: bool) -> Self {
        self.needs = needs;
        self
    }
}
