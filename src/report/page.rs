//! Text that grows line by line in so many columns.

/// Text that grows line by line, wrapped.
pub(crate) struct Page {
    out: String,
    width: usize,
}

impl Page {
    /// An empty page of `width` columns.
    pub(crate) fn new(width: usize) -> Self {
        Self {
            out: String::new(),
            width,
        }
    }

    /// Columns that the text is laid out in.
    pub(crate) fn width(&self) -> usize {
        self.width
    }

    /// The finished text.
    pub(crate) fn done(self) -> String {
        self.out
    }

    /// A line as it is.
    pub(crate) fn line(&mut self, text: &str) {
        self.out.push_str(text.trim_end());
        self.out.push('\n');
    }

    /// A heading after an empty line.
    pub(crate) fn title(&mut self, text: &str) {
        self.line("");
        self.wrapped(&text.to_uppercase(), "", "  ");
    }

    /// A paragraph under a heading.
    pub(crate) fn paragraph(&mut self, text: &str) {
        self.wrapped(text, "  ", "  ");
    }

    /// An item of a list.
    pub(crate) fn item(&mut self, text: &str) {
        self.wrapped(text, "  - ", "    ");
    }

    /// Wrapped text with `first` before its first line and `rest` before the others.
    pub(crate) fn wrapped(&mut self, text: &str, first: &str, rest: &str) {
        let options = textwrap::Options::new(self.width)
            .initial_indent(first)
            .subsequent_indent(rest);
        for line in textwrap::wrap(text, options) {
            self.line(&line);
        }
    }
}
