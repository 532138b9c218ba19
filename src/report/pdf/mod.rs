//! Documents as PDF: set on pages of our own layout, fonts embedded, text
//! searchable, in the form for long keeping (PDF/A-2b, ISO 19005-2).

mod draw;
mod flow;
mod font;
mod paper;
mod table;

pub use draw::{PdfError, PdfFile};
pub use paper::Paper;

use super::document::Document;
use font::Fonts;

/// A document laid out on pages.
pub struct LaidOut {
    /// The title, for the reader's list of contents.
    title: String,
    pages: Vec<paper::Page>,
}

/// The fonts and the paper, which lay out any number of documents, on any core.
pub struct Setter {
    fonts: Fonts,
    paper: Paper,
}

impl Setter {
    /// A setter for this paper.
    #[must_use]
    pub fn new(paper: Paper) -> Setter {
        Setter {
            fonts: Fonts::built_in(),
            paper,
        }
    }

    /// How many characters of all documents so far the fonts have no shape for;
    /// a sign stands in their place.
    #[must_use]
    pub fn missing(&self) -> u64 {
        self.fonts.missing()
    }

    /// Sets a document on pages. Its own pages are numbered from 1.
    #[must_use]
    pub fn lay_out(&self, document: &Document) -> LaidOut {
        LaidOut {
            title: document.title.clone(),
            pages: flow::lay_out(document, &self.fonts, self.paper),
        }
    }
}
