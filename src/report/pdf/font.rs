//! The two fonts, and how wide a text is in them.
//!
//! DejaVu Sans Condensed (`data/fonts`): free to embed, and wide enough a set
//! of scripts (Latin, Greek, Cyrillic, Arabic, Hebrew, Georgian, Armenian)
//! for the names of people and places on most lots.

use krilla::text::{Font, GlyphId, KrillaGlyph};
use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, MetadataProvider};
use std::borrow::Cow;
use std::sync::atomic::{AtomicU64, Ordering};

static REGULAR: &[u8] = include_bytes!("../../../data/fonts/DejaVuSansCondensed.ttf");
static BOLD: &[u8] = include_bytes!("../../../data/fonts/DejaVuSansCondensed-Bold.ttf");

/// What stands for a character that the font has not.
const MISSING: char = '\u{fffd}';

/// A font: glyph and advance of every common character at hand.
pub struct Face {
    /// For the writer of the file.
    pub font: Font,
    common: Vec<(u32, f32)>,
    reference: FontRef<'static>,
    units: f32,
}

/// Both fonts.
pub struct Fonts {
    regular: Face,
    bold: Face,
    /// Characters set so far that neither has.
    missing: AtomicU64,
}

impl Fonts {
    /// The fonts inside the program.
    #[must_use]
    pub fn built_in() -> Fonts {
        Fonts {
            regular: Face::new(REGULAR),
            bold: Face::new(BOLD),
            missing: AtomicU64::new(0),
        }
    }

    /// One of them.
    #[must_use]
    pub fn face(&self, bold: bool) -> &Face {
        if bold { &self.bold } else { &self.regular }
    }

    /// The text with a sign in place of what the fonts have not, counted.
    pub fn covered<'t>(&self, text: &'t str, bold: bool) -> Cow<'t, str> {
        let covered = self.face(bold).covered(text);
        if let Cow::Owned(shown) = &covered {
            let signs = |text: &str| text.chars().filter(|c| *c == MISSING).count();
            let new = signs(shown) - signs(text);
            self.missing.fetch_add(new as u64, Ordering::Relaxed);
        }
        covered
    }

    /// How many characters had no shape so far.
    pub fn missing(&self) -> u64 {
        self.missing.load(Ordering::Relaxed)
    }

    /// The width of a text in points.
    #[must_use]
    pub fn width(&self, text: &str, size: f32, bold: bool) -> f32 {
        let face = self.face(bold);
        text.chars().map(|c| face.advance(c)).sum::<f32>() * size
    }

    /// Breaks a text into lines within a width: between words, and inside a
    /// word only where it is wider than a line by itself.
    #[must_use]
    pub fn lines(&self, text: &str, size: f32, bold: bool, width: f32) -> Vec<String> {
        let face = self.face(bold);
        let space = face.advance(' ') * size;
        let (mut lines, mut line, mut filled) = (Vec::new(), String::new(), 0.0);
        for word in text.split(' ').filter(|word| !word.is_empty()) {
            let wide = self.width(word, size, bold);
            let gap = if line.is_empty() { 0.0 } else { space };
            if filled + gap + wide <= width {
                if !line.is_empty() {
                    line.push(' ');
                }
                line.push_str(word);
                filled += gap + wide;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
                filled = 0.0;
            }
            if wide <= width {
                line.push_str(word);
                filled = wide;
                continue;
            }
            for c in word.chars() {
                let wide = face.advance(c) * size;
                if filled + wide > width && !line.is_empty() {
                    lines.push(std::mem::take(&mut line));
                    filled = 0.0;
                }
                line.push(c);
                filled += wide;
            }
        }
        if !line.is_empty() || lines.is_empty() {
            lines.push(line);
        }
        lines
    }
}

impl Face {
    fn new(bytes: &'static [u8]) -> Face {
        let reference = FontRef::new(bytes).expect("bug: a built-in font that can't be read");
        let font = Font::new(bytes.to_vec().into(), 0).expect("bug: likewise");
        let metrics = reference.metrics(Size::unscaled(), LocationRef::default());
        let mut face = Face {
            font,
            common: Vec::new(),
            reference,
            units: f32::from(metrics.units_per_em),
        };
        face.common = (0..0x250).map(|code| face.look_up(code)).collect();
        face
    }

    /// Glyph, and advance in parts of the size.
    fn look_up(&self, code: u32) -> (u32, f32) {
        let map = self.reference.charmap();
        let glyph = map
            .map(code)
            .or_else(|| map.map(MISSING))
            .unwrap_or_default();
        let metrics = self
            .reference
            .glyph_metrics(Size::unscaled(), LocationRef::default());
        let advance = metrics.advance_width(glyph).unwrap_or(0.0) / self.units;
        (glyph.to_u32(), advance)
    }

    fn glyph(&self, c: char) -> (u32, f32) {
        let code = u32::from(c);
        self.common
            .get(code as usize)
            .copied()
            .unwrap_or_else(|| self.look_up(code))
    }

    fn advance(&self, c: char) -> f32 {
        self.glyph(c).1
    }

    /// The glyphs of a text, side by side.
    #[must_use]
    pub fn glyphs(&self, text: &str) -> Vec<KrillaGlyph> {
        text.char_indices()
            .map(|(at, c)| {
                let (glyph, advance) = self.glyph(c);
                let range = at..at + c.len_utf8();
                KrillaGlyph::new(GlyphId::new(glyph), advance, 0.0, 0.0, 0.0, range, None)
            })
            .collect()
    }

    /// The text with a sign in place of what the font has not.
    fn covered<'t>(&self, text: &'t str) -> Cow<'t, str> {
        let map = self.reference.charmap();
        let has = |c: char| u32::from(c) < 0x7f || map.map(c).is_some();
        if text.chars().all(has) {
            return Cow::Borrowed(text);
        }
        text.chars()
            .map(|c| if has(c) { c } else { MISSING })
            .collect::<String>()
            .into()
    }
}

/// Whether a script is written from the right or joins its letters, so that
/// glyphs can't just stand side by side.
#[must_use]
pub fn needs_shaping(text: &str) -> bool {
    text.chars().any(|c| {
        matches!(u32::from(c),
            0x0300..=0x036f | 0x0590..=0x08ff | 0x0900..=0x0dff | 0xfb1d..=0xfdff | 0xfe70..=0xfeff)
    })
}
