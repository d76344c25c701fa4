//! What the facts are chosen into: headings, texts, entries and tables, without a thought of lines and pages.

/// One thing on the page.
pub(super) enum Block {
    /// A section begins.
    Heading(String),
    /// Text over the whole width, moved in by so many columns.
    Text(usize, String),
    /// A label with its text beside it, moved in by so many columns.
    Entry(usize, String, String),
    /// An empty line.
    Gap,
    /// A ruled-off list whose head is repeated on every page.
    Table(Table),
}

/// A list in columns.
pub(super) struct Table {
    /// Width of each column.
    pub(super) widths: Vec<usize>,
    /// Heads, one a column.
    pub(super) heads: Vec<&'static str>,
    /// Rows, in order.
    pub(super) rows: Vec<Row>,
}

/// A row of a table.
pub(super) enum Row {
    /// Text across all columns.
    Across(String),
    /// Cells; several lots of them where a terminal holds several conductors. Kept on one page.
    Cells(Vec<Vec<String>>),
}

/// The appendix before it is broken into lines and pages.
#[derive(Default)]
pub(super) struct Sheet {
    /// In order.
    pub(super) blocks: Vec<Block>,
}

impl Sheet {
    /// Begins a section.
    pub(super) fn heading(&mut self, title: &str) {
        self.blocks.push(Block::Heading(title.to_owned()));
    }

    /// Text over the whole width.
    pub(super) fn text(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Text(0, text.into()));
    }

    /// Text moved in by two columns.
    pub(super) fn inside(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Text(2, text.into()));
    }

    /// A label with its text.
    pub(super) fn entry(&mut self, label: &str, text: impl Into<String>) {
        self.blocks.push(Block::Entry(0, label.to_owned(), text.into()));
    }

    /// A label with its text, moved in by two columns.
    pub(super) fn under(&mut self, label: &str, text: impl Into<String>) {
        self.blocks.push(Block::Entry(2, label.to_owned(), text.into()));
    }

    /// An empty line.
    pub(super) fn gap(&mut self) {
        self.blocks.push(Block::Gap);
    }

    /// A table.
    pub(super) fn table(&mut self, table: Table) {
        self.blocks.push(Block::Table(table));
    }

    /// Every text in it.
    pub(super) fn texts(&self) -> impl Iterator<Item = &str> {
        self.blocks.iter().flat_map(|block| -> Vec<&str> {
            match block {
                Block::Heading(text) | Block::Text(_, text) => vec![text],
                Block::Entry(_, label, text) => vec![label, text],
                Block::Gap => Vec::new(),
                Block::Table(table) => table.rows.iter().flat_map(Row::texts).collect(),
            }
        })
    }
}

impl Row {
    fn texts(&self) -> Vec<&str> {
        match self {
            Self::Across(text) => vec![text],
            Self::Cells(lots) => lots.iter().flatten().map(String::as_str).collect(),
        }
    }
}
