//! Documents as HTML: one file that needs no other and no network, readable
//! without script, light and dark, and on paper.

use super::document::{Block, Cell, Document, DocumentPhoto, Table};
use super::picture::{Anchor, Mark, Picture};
use crate::intake::printable_long;
use askama::Template;
use std::borrow::Cow;

/// Where a page stands among the others: a label and a path, or none for the
/// page itself.
pub type Step = (String, Option<String>);

/// A page of one or more documents; where there are several, each begins on a
/// sheet of its own in print.
#[derive(Template)]
#[template(path = "page.html")]
struct Page<'a> {
    title: &'a str,
    steps: &'a [Step],
    documents: &'a [Document],
    style: &'static str,
    script: &'static str,
}

/// A page of one document.
///
/// # Errors
/// Only when the template engine fails, which is a bug.
pub fn page(document: &Document, steps: &[Step]) -> Result<String, askama::Error> {
    pages(&document.title, std::slice::from_ref(document), steps)
}

/// A page of several documents under one title.
///
/// # Errors
/// Only when the template engine fails, which is a bug.
pub fn pages(title: &str, documents: &[Document], steps: &[Step]) -> Result<String, askama::Error> {
    Page {
        title,
        steps,
        documents,
        style: include_str!("style.css"),
        script: include_str!("script.js"),
    }
    .render()
}

impl Page<'_> {
    /// The heading tag of a document's title.
    fn top(&self) -> &'static str {
        if self.documents.len() == 1 {
            "h1"
        } else {
            "h2"
        }
    }

    /// The heading tag of a section.
    fn section(&self) -> &'static str {
        if self.documents.len() == 1 {
            "h2"
        } else {
            "h3"
        }
    }
}

/// Whether the first cell of a row names the row.
fn names_row(at: &usize, cell: &Cell) -> bool {
    *at == 0 && !cell.text.is_empty()
}

fn base64_of(photo: &DocumentPhoto) -> String {
    use base64::Engine;
    base64::engine::general_purpose::STANDARD.encode(&photo.jpeg)
}

fn anchor_word(anchor: &Anchor) -> &'static str {
    match anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    }
}

/// Text of the inputs as it may stand among other text: control and direction
/// marks are shown and do nothing.
fn shown(text: &str) -> Cow<'_, str> {
    if text.bytes().all(|byte| (0x20..0x7f).contains(&byte)) {
        Cow::Borrowed(text)
    } else {
        Cow::Owned(printable_long(text))
    }
}

/// Hundredths are finer than any screen shows.
fn short(number: impl std::fmt::Display) -> String {
    let text = format!("{number:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[derive(Template)]
#[template(path = "table.html")]
struct TablePart<'a> {
    table: &'a Table,
}

#[derive(Template)]
#[template(path = "picture.html")]
struct PicturePart<'a> {
    picture: &'a Picture,
}

fn table_part(table: &Table) -> TablePart<'_> {
    TablePart { table }
}

fn picture_part(picture: &Picture) -> PicturePart<'_> {
    PicturePart { picture }
}
