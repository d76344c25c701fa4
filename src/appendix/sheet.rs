//! What the facts are chosen into: headings, texts, entries and tables, without a thought of lines and pages.

/// One thing on the page.
pub(super) enum Block {
    /// A section begins.
    Heading(String),
    /// Text that says what follows; never the last on its page.
    Lead(String),
    /// Text over the whole width, moved in by so many columns.
    Text(usize, String),
    /// A label with its text beside it, moved in by so many columns.
    Entry(usize, String, String),
    /// Text behind a dash.
    Item(String),
    /// An empty line.
    Gap,
    /// Blocks that stay on one page where they are not too long for it.
    Together(Vec<Block>),
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
    /// Text across all columns, a colon behind it; said again where its rows go on overleaf.
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

    /// Text that says what follows.
    pub(super) fn lead(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Lead(text.into()));
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

    /// Text behind a dash.
    pub(super) fn item(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Item(text.into()));
    }

    /// What is written here stays on one page where it can.
    pub(super) fn together(&mut self, write: impl FnOnce(&mut Self)) {
        let mut inner = Self::default();
        write(&mut inner);
        self.blocks.push(Block::Together(inner.blocks));
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
    pub(super) fn texts(&self) -> Vec<&str> {
        self.blocks.iter().flat_map(Block::texts).collect()
    }
}

impl Block {
    fn texts(&self) -> Vec<&str> {
        match self {
            Self::Heading(text) | Self::Lead(text) | Self::Text(_, text) | Self::Item(text) => vec![text],
            Self::Entry(_, label, text) => vec![label, text],
            Self::Gap => Vec::new(),
            Self::Together(blocks) => blocks.iter().flat_map(Self::texts).collect(),
            Self::Table(table) => table.rows.iter().flat_map(Row::texts).collect(),
        }
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
