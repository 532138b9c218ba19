//! Pages into the file.

use super::font::{Fonts, needs_shaping};
use super::paper::{Ink, Page, Put};
use super::{LaidOut, Paper, Setter};
use krilla::color::rgb;
use krilla::configure::{Archival, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point, Rect, Size, Transform};
use krilla::image::Image;
use krilla::metadata::{DateTime, Metadata};
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, Stroke};
use krilla::surface::Surface;
use krilla::text::TextDirection;
use krilla::{Document, SerializeSettings};

/// Why a PDF could not be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PdfError(String);

impl std::fmt::Display for PdfError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "the PDF could not be made: {}", self.0)
    }
}

/// A PDF in the making, one document after the other.
pub struct PdfFile<'s> {
    document: Document,
    fonts: &'s Fonts,
    paper: Paper,
    outline: Outline,
    pages: usize,
}

impl<'s> PdfFile<'s> {
    /// The bytes of a file that is filled by `fill`. It has the form for long
    /// keeping, unless some text of the inputs has no place in one (a character
    /// of private use, say); then it is a plain PDF with the same pages.
    ///
    /// The day is printed nowhere; it is the file's own date, so that one made
    /// later of the same storm is the same.
    ///
    /// # Errors
    /// Only for a bug.
    pub fn made(
        setter: &'s Setter,
        title: &str,
        day: Option<jiff::civil::Date>,
        fill: impl Fn(&mut PdfFile<'s>),
    ) -> Result<Vec<u8>, PdfError> {
        let mut file = PdfFile::new(setter, title, day, true)?;
        fill(&mut file);
        if let Ok(bytes) = file.finish() {
            return Ok(bytes);
        }
        let mut file = PdfFile::new(setter, title, day, false)?;
        fill(&mut file);
        file.finish()
    }

    fn new(
        setter: &'s Setter,
        title: &str,
        day: Option<jiff::civil::Date>,
        for_long: bool,
    ) -> Result<PdfFile<'s>, PdfError> {
        let mut configuration = ConfigurationBuilder::new();
        if for_long {
            configuration = configuration.with_archival_validator(Archival::A2_B);
        }
        let configuration = configuration
            .finish()
            .map_err(|error| PdfError(format!("{error:?}")))?;
        let mut document = Document::new_with(SerializeSettings {
            configuration,
            ..SerializeSettings::default()
        });
        let title = crate::intake::printable_long(title);
        let mut metadata = Metadata::new()
            .title(title.clone())
            .language("en".to_owned())
            .creator("hailyard".to_owned())
            .producer("hailyard".to_owned())
            .document_id(title);
        if let Some(day) = day {
            metadata = metadata.creation_date(file_date(day));
        }
        document.set_metadata(metadata);
        Ok(PdfFile {
            document,
            fonts: &setter.fonts,
            paper: setter.paper,
            outline: Outline::new(),
            pages: 0,
        })
    }

    /// Adds a document's pages, and its title to the list of contents.
    pub fn add(&mut self, laid_out: &LaidOut) {
        let top = XyzDestination::new(self.pages, Point::from_xy(0.0, 0.0));
        let title = crate::intake::printable_long(&laid_out.title);
        self.outline.push_child(OutlineNode::new(title, top));
        for page in &laid_out.pages {
            self.page(page);
        }
        self.pages += laid_out.pages.len();
    }

    /// The bytes of the file.
    fn finish(mut self) -> Result<Vec<u8>, PdfError> {
        self.document.set_outline(self.outline);
        self.document
            .finish()
            .map_err(|error| PdfError(format!("{error:?}")))
    }

    fn page(&mut self, page: &Page) {
        let (wide, high) = self.paper.size();
        let Some(settings) = PageSettings::from_wh(wide, high) else {
            return;
        };
        let mut sheet = self.document.start_page_with(settings);
        let mut surface = sheet.surface();
        for put in &page.puts {
            draw(&mut surface, self.fonts, put);
        }
        surface.finish();
        sheet.finish();
    }
}

fn draw(surface: &mut Surface<'_>, fonts: &Fonts, put: &Put) {
    match put {
        Put::Text {
            x,
            y,
            size,
            bold,
            ink,
            text,
        } => {
            let face = fonts.face(*bold);
            let at = Point::from_xy(*x, *y);
            surface.set_stroke(None);
            surface.set_fill(Some(fill(*ink)));
            if needs_shaping(text) {
                let direction = TextDirection::Auto;
                surface.draw_text(at, face.font.clone(), *size, text, false, direction);
            } else {
                let glyphs = face.glyphs(text);
                surface.draw_glyphs(at, &glyphs, face.font.clone(), text, *size, false);
            }
        }
        Put::Rule { from, to, thick } => {
            let mut path = PathBuilder::new();
            path.move_to(from.0, from.1);
            path.line_to(to.0, to.1);
            surface.set_fill(None);
            // Hairlines between rows are paler than edges.
            let pale = if *thick < 0.4 { 0xa8 } else { 0x33 };
            surface.set_stroke(Some(stroke(*thick, pale)));
            if let Some(path) = path.finish() {
                surface.draw_path(&path);
            }
        }
        Put::Bar { at, size, ink } => {
            let Some(rect) = Rect::from_xywh(at.0, at.1, size.0.max(0.1), size.1.max(0.1)) else {
                return;
            };
            let mut path = PathBuilder::new();
            path.push_rect(rect);
            surface.set_fill(Some(fill(*ink)));
            surface.set_stroke(Some(stroke(0.5, 0x33)));
            if let Some(path) = path.finish() {
                surface.draw_path(&path);
            }
        }
        Put::Photo { at, size, jpeg } => {
            // Our own encoder made it; one that can't be read is left white.
            // The form for long keeping allows no smoothing by the viewer.
            if let (Ok(image), Some(size)) = (
                Image::from_jpeg(jpeg.to_vec().into(), false),
                Size::from_wh(size.0, size.1),
            ) {
                surface.push_transform(&Transform::from_translate(at.0, at.1));
                surface.draw_image(image, size);
                surface.pop();
            }
        }
    }
}

fn colour(ink: Ink) -> rgb::Color {
    match ink {
        Ink::Black => rgb::Color::new(0, 0, 0),
        Ink::Grey => rgb::Color::new(0x50, 0x4a, 0x5c),
        Ink::White => rgb::Color::new(255, 255, 255),
        // The shades of the pages for a browser.
        Ink::Shade(shade) => match shade {
            0 => rgb::Color::new(0xff, 0xff, 0xff),
            1 => rgb::Color::new(0xec, 0xe8, 0xf4),
            2 => rgb::Color::new(0xcf, 0xc4, 0xe6),
            3 => rgb::Color::new(0xa8, 0x93, 0xd1),
            4 => rgb::Color::new(0x7a, 0x5f, 0xb5),
            _ => rgb::Color::new(0x4c, 0x32, 0x87),
        },
    }
}

fn fill(ink: Ink) -> Fill {
    Fill {
        paint: colour(ink).into(),
        opacity: NormalizedF32::ONE,
        rule: Default::default(),
    }
}

fn stroke(width: f32, grey: u8) -> Stroke {
    Stroke {
        paint: rgb::Color::new(grey, grey, grey).into(),
        width,
        ..Stroke::default()
    }
}

fn file_date(day: jiff::civil::Date) -> DateTime {
    let year = u16::try_from(day.year()).unwrap_or(0);
    let month = u8::try_from(day.month()).unwrap_or(1);
    let of_month = u8::try_from(day.day()).unwrap_or(1);
    DateTime::new(year)
        .month(month)
        .day(of_month)
        .hour(0)
        .minute(0)
        .second(0)
        .utc_offset_hour(0)
        .utc_offset_minute(0)
}
