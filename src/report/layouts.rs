//! A sheet laid out in each of the three ways.

use super::page::Page;
use super::paper::{Layout, PAPER_STYLE, Paper, escaped, html_file, html_file_in, plain};
use super::{html_layout, markdown_layout, text_layout};
use crate::words::Language;

impl Paper {
    /// The sheet as a file of its own.
    pub fn laid_out(&self, layout: Layout, width: usize) -> String {
        match layout {
            Layout::Text => self.text(width),
            Layout::Markdown => self.markdown(),
            Layout::Html => self.html(),
        }
    }

    /// The same in a language, which a file of HTML names for those who hear it read.
    pub fn laid_out_in(&self, language: Language, layout: Layout, width: usize) -> String {
        match layout {
            Layout::Html => html_file_in(language, &self.title, PAPER_STYLE, &self.html_body()),
            Layout::Text | Layout::Markdown => self.laid_out(layout, width),
        }
    }

    /// Plain text in `width` columns.
    pub fn text(&self, width: usize) -> String {
        let mut page = Page::new(width);
        page.wrapped(&plain(&self.title.to_uppercase()), "", "  ");
        for block in &self.blocks {
            text_layout::block(&mut page, block);
        }
        page.done()
    }

    /// Plain text in `width` columns without the title.
    pub fn body_text(&self, width: usize) -> String {
        let mut page = Page::new(width);
        for block in &self.blocks {
            text_layout::block(&mut page, block);
        }
        page.done()
    }

    /// Markdown, with tables.
    pub fn markdown(&self) -> String {
        let mut out = format!("# {}\n", markdown_layout::safe(&self.title));
        for block in &self.blocks {
            out.push('\n');
            markdown_layout::block(&mut out, block);
        }
        out
    }

    /// An HTML fragment for a page that has [`PAPER_STYLE`].
    pub fn html_body(&self) -> String {
        self.html_body_as("paper")
    }

    /// The same with more classes, of which `paper` must be one.
    pub fn html_body_as(&self, classes: &str) -> String {
        let mut out = format!(
            "<article class=\"{classes}\">\n<h1>{}</h1>\n",
            escaped(&self.title)
        );
        for block in &self.blocks {
            html_layout::block(&mut out, block);
        }
        out.push_str("</article>\n");
        out
    }

    /// The blocks alone, for a page that has a title of its own and [`PAPER_STYLE`].
    pub fn html_blocks(&self) -> String {
        let mut out = String::from("<div class=\"paper report\">\n");
        for block in &self.blocks {
            html_layout::block(&mut out, block);
        }
        out.push_str("</div>\n");
        out
    }

    /// A whole HTML file without scripts or anything from elsewhere.
    pub fn html(&self) -> String {
        html_file(&self.title, PAPER_STYLE, &self.html_body())
    }
}
