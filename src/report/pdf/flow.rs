//! Documents onto pages: blocks one under the other, a heading never alone at
//! the foot of a page.

use super::font::Fonts;
use super::paper::{BOTTOM, Ink, Page, Paper, Put, SIDE, TOP};
use super::table;
use crate::intake::printable_long;
use crate::report::document::{Block, Document, DocumentPhoto};
use crate::report::picture::{Anchor, Mark, Picture};

/// Size of running text.
pub const TEXT: f32 = 8.5;
/// From base line to base line, in parts of the size.
pub const LEADING: f32 = 1.3;
/// What must fit from a heading on: itself, and a table's caption, head and
/// first three rows.
const BELOW_HEADING: f32 = 96.0;

/// Pages in the making.
pub struct Flow<'f> {
    /// The fonts.
    pub fonts: &'f Fonts,
    paper: Paper,
    pages: Vec<Page>,
    /// The top of what comes next.
    pub y: f32,
}

/// Sets a document on pages.
pub fn lay_out(document: &Document, fonts: &Fonts, paper: Paper) -> Vec<Page> {
    let mut flow = Flow {
        fonts,
        paper,
        pages: vec![Page::default()],
        y: TOP,
    };
    flow.head(document);
    for block in &document.blocks {
        flow.block(block);
    }
    flow.foot_lines(document);
    flow.pages
}

impl Flow<'_> {
    /// Width of the text.
    pub fn width(&self) -> f32 {
        self.paper.size().0 - 2.0 * SIDE
    }

    fn end(&self) -> f32 {
        self.paper.size().1 - BOTTOM
    }

    /// Height of a whole page's text.
    pub fn page_height(&self) -> f32 {
        self.end() - TOP
    }

    /// Room left on this page.
    pub fn room(&self) -> f32 {
        self.end() - self.y
    }

    /// Begins a page.
    pub fn turn(&mut self) {
        self.pages.push(Page::default());
        self.y = TOP;
    }

    /// Begins a page where there is not as much room; whether it did.
    pub fn ensure(&mut self, height: f32) -> bool {
        let turns = self.room() < height && self.y > TOP;
        if turns {
            self.turn();
        }
        turns
    }

    /// Puts something on this page.
    pub fn put(&mut self, put: Put) {
        if let Some(page) = self.pages.last_mut() {
            page.puts.push(put);
        }
    }

    /// One line of text, its left and its base line given.
    pub fn text_at(&mut self, (x, y): (f32, f32), size: f32, bold: bool, ink: Ink, text: &str) {
        if text.is_empty() {
            return;
        }
        self.put(Put::Text {
            x,
            y,
            size,
            bold,
            ink,
            text: self.fonts.covered(text, bold).into_owned(),
        });
    }

    /// A paragraph over the whole width, broken over pages where it must.
    fn paragraph(&mut self, text: &str, size: f32, bold: bool, ink: Ink, indent: f32) {
        let text = printable_long(text);
        let lines = self.fonts.lines(&text, size, bold, self.width() - indent);
        let high = size * LEADING;
        // Two lines together at the start of a paragraph.
        self.ensure(high * lines.len().min(2) as f32);
        for line in lines {
            self.ensure(high);
            let base = self.y + size;
            self.text_at((SIDE + indent, base), size, bold, ink, &line);
            self.y += high;
        }
    }

    fn head(&mut self, document: &Document) {
        let right = SIDE + self.width();
        let mut y = TOP;
        for (at, line) in document.sender.iter().enumerate() {
            let size = if at == 0 { 9.0 } else { 7.5 };
            let line = printable_long(line);
            for line in self.fonts.lines(&line, size, at == 0, self.width() * 0.48) {
                let wide = self.fonts.width(&line, size, at == 0);
                let ink = if at == 0 { Ink::Black } else { Ink::Grey };
                self.text_at((right - wide, y + size), size, at == 0, ink, &line);
                y += size * LEADING;
            }
        }
        let title = printable_long(&document.title);
        for line in self.fonts.lines(&title, 15.0, true, self.width() * 0.5) {
            self.text_at((SIDE, self.y + 15.0), 15.0, true, Ink::Black, &line);
            self.y += 15.0 * 1.2;
        }
        if !document.number.is_empty() {
            let number = printable_long(&format!("Sheet {}", document.number));
            for line in self.fonts.lines(&number, TEXT, false, self.width() * 0.5) {
                self.text_at((SIDE, self.y + TEXT), TEXT, false, Ink::Grey, &line);
                self.y += TEXT * LEADING;
            }
        }
        self.y = self.y.max(y) + 8.0;
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Heading(text) => {
                self.ensure(BELOW_HEADING);
                self.y += 8.0;
                self.paragraph(text, 11.5, true, Ink::Black, 0.0);
                self.y += 2.0;
            }
            Block::Text(text) => {
                self.paragraph(text, TEXT, false, Ink::Black, 0.0);
                self.y += 3.0;
            }
            Block::Facts(facts) => self.facts(facts),
            Block::Listed { lead, items } => {
                let items: Vec<&str> = items.iter().map(|item| item.text.as_str()).collect();
                let text = format!("{lead}: {}", items.join(", "));
                self.paragraph(&text, TEXT, false, Ink::Black, 0.0);
                self.y += 3.0;
            }
            Block::Table(shown) => {
                table::lay_out(self, shown);
                self.y += 8.0;
            }
            Block::Picture(picture) => self.picture(picture),
            Block::Caution { about, text } => self.caution(about, text),
            Block::Photos(photos) => self.photos(photos),
            Block::Signatures(names) => self.signatures(names),
        }
    }

    /// Labels and values in two columns.
    fn facts(&mut self, facts: &[(&'static str, String)]) {
        let column = self.width() / 2.0;
        let (label_wide, gap) = (62.0, 10.0);
        for pair in facts.chunks(2) {
            let set: Vec<(&str, Vec<String>)> = pair
                .iter()
                .map(|(label, value)| {
                    let value = printable_long(value);
                    let room = column - label_wide - gap;
                    (*label, self.fonts.lines(&value, TEXT, false, room))
                })
                .collect();
            let most = set.iter().map(|(_, lines)| lines.len()).max().unwrap_or(0);
            for line in 0..most {
                self.ensure(TEXT * LEADING);
                let base = self.y + TEXT;
                for (at, (label, lines)) in set.iter().enumerate() {
                    let x = SIDE + column * at as f32;
                    if line == 0 {
                        self.text_at((x, base), TEXT, false, Ink::Grey, label);
                    }
                    if let Some(text) = lines.get(line) {
                        self.text_at((x + label_wide, base), TEXT, false, Ink::Black, text);
                    }
                }
                self.y += TEXT * LEADING;
            }
        }
        self.y += 8.0;
    }

    fn caution(&mut self, about: &str, text: &str) {
        self.y += 2.0;
        let text = printable_long(&format!("Caution, {about}: {text}"));
        let lines = self.fonts.lines(&text, TEXT, false, self.width() - 12.0);
        let high = TEXT * LEADING * lines.len() as f32;
        if high < self.page_height() {
            self.ensure(high);
        }
        for line in lines {
            self.ensure(TEXT * LEADING);
            let (top, base) = (self.y, self.y + TEXT);
            self.put(Put::Rule {
                from: (SIDE + 3.0, top),
                to: (SIDE + 3.0, top + TEXT * LEADING),
                thick: 2.0,
            });
            self.text_at((SIDE + 12.0, base), TEXT, false, Ink::Black, &line);
            self.y += TEXT * LEADING;
        }
        self.y += 4.0;
    }

    fn picture(&mut self, picture: &Picture) {
        let scale = (self.width() * 0.84 / picture.width.max(1.0)).min(1.0);
        let high = picture.height * scale;
        let title = TEXT * LEADING + 6.0;
        self.ensure((title + high).min(self.page_height()));
        self.paragraph(&picture.title, TEXT, true, Ink::Black, 0.0);
        self.y += 4.0;
        let (left, top) = (SIDE, self.y);
        let place = |x: f32, y: f32| (left + x * scale, top + y * scale);
        for mark in &picture.marks {
            match mark {
                Mark::Bar {
                    x,
                    y,
                    width,
                    height,
                    shade,
                } => self.put(Put::Bar {
                    at: place(*x, *y),
                    size: (width * scale, height * scale),
                    ink: Ink::Shade(*shade),
                }),
                Mark::Rule { from, to } => self.put(Put::Rule {
                    from: place(from.0, from.1),
                    to: place(to.0, to.1),
                    thick: 0.5,
                }),
                Mark::Word {
                    x,
                    y,
                    anchor,
                    size,
                    on,
                    text,
                } => {
                    let text = printable_long(text);
                    let size = size * scale * 0.92;
                    let wide = self.fonts.width(&text, size, false);
                    let (x, y) = place(*x, *y);
                    let x = match anchor {
                        Anchor::Start => x,
                        Anchor::Middle => x - wide / 2.0,
                        Anchor::End => x - wide,
                    };
                    let ink = if *on >= 4 { Ink::White } else { Ink::Black };
                    self.text_at((x, y), size, false, ink, &text);
                }
            }
        }
        self.y += high + 8.0;
        table::lay_out(self, &picture.table);
        self.y += 8.0;
    }

    /// Two in a row, each at most a third of a page high.
    fn photos(&mut self, photos: &[DocumentPhoto]) {
        let gap = 12.0;
        let (room, tallest) = ((self.width() - gap) / 2.0, self.page_height() / 3.0);
        for pair in photos.chunks(2) {
            let sizes: Vec<(f32, f32)> = pair
                .iter()
                .map(|photo| {
                    let (wide, high) = (photo.width.max(1) as f32, photo.height.max(1) as f32);
                    let scale = (room / wide).min(tallest / high);
                    (wide * scale, high * scale)
                })
                .collect();
            let high = sizes.iter().map(|size| size.1).fold(0.0, f32::max);
            self.ensure(high + TEXT * LEADING + 6.0);
            for (at, (photo, size)) in pair.iter().zip(&sizes).enumerate() {
                let x = SIDE + (room + gap) * at as f32;
                self.put(Put::Photo {
                    at: (x, self.y),
                    size: *size,
                    jpeg: photo.jpeg.clone(),
                });
                let caption = printable_long(&photo.caption);
                let line = self.fonts.lines(&caption, 7.0, false, room).swap_remove(0);
                let base = self.y + high + 9.0;
                self.text_at((x, base), 7.0, false, Ink::Grey, &line);
            }
            self.y += high + TEXT * LEADING + 6.0;
        }
    }

    /// Room to sign, side by side.
    fn signatures(&mut self, names: &[String]) {
        let high = 70.0;
        self.ensure(high);
        self.y += 10.0;
        let gap = 24.0;
        let count = names.len().max(1) as f32;
        let wide = (self.width() - gap * (count - 1.0)) / count;
        for (at, name) in names.iter().enumerate() {
            let x = SIDE + (wide + gap) * at as f32;
            let name = printable_long(name);
            let line = self.fonts.lines(&name, TEXT, false, wide).swap_remove(0);
            self.text_at((x, self.y + TEXT), TEXT, false, Ink::Black, &line);
            self.put(Put::Rule {
                from: (x, self.y + 44.0),
                to: (x + wide, self.y + 44.0),
                thick: 0.6,
            });
            let below = (x, self.y + 53.0);
            self.text_at(below, 7.0, false, Ink::Grey, "name, date, signature");
        }
        self.y += high - 8.0;
    }

    /// What it is and which page of how many, at the foot of each.
    fn foot_lines(&mut self, document: &Document) {
        let (wide, tall) = self.paper.size();
        let name = match document.number.as_str() {
            "" => document.title.clone(),
            number => number.to_owned(),
        };
        let name = printable_long(&name);
        let name = self
            .fonts
            .lines(&name, 7.0, false, self.width() * 0.75)
            .swap_remove(0);
        let name = self.fonts.covered(&name, false).into_owned();
        let (count, base) = (self.pages.len(), tall - 24.0);
        for (at, page) in self.pages.iter_mut().enumerate() {
            let number = format!("page {} of {count}", at + 1);
            let x = wide - SIDE - self.fonts.width(&number, 7.0, false);
            for (x, text) in [(SIDE, name.clone()), (x, number)] {
                page.puts.push(Put::Text {
                    x,
                    y: base,
                    size: 7.0,
                    bold: false,
                    ink: Ink::Grey,
                    text,
                });
            }
        }
    }
}
