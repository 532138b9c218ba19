//! Sheets of paper and what is put on them, in points from the top left.

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, clap::ValueEnum)]
pub enum Paper {
    /// 210 x 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 x 11 in (ANSI/ASME Y14.1).
    Letter,
}

impl Paper {
    /// Width and height in points of 1/72 in.
    #[must_use]
    pub fn size(self) -> (f32, f32) {
        match self {
            Paper::A4 => (595.276, 841.89),
            Paper::Letter => (612.0, 792.0),
        }
    }
}

/// Left and right of the text.
pub const SIDE: f32 = 38.0;
/// Above it.
pub const TOP: f32 = 36.0;
/// Below it; the foot line stands there.
pub const BOTTOM: f32 = 44.0;

/// How dark something is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ink {
    /// Text.
    Black,
    /// Labels.
    Grey,
    /// On a dark shade.
    White,
    /// A picture's shade.
    Shade(u8),
}

/// One thing on a page.
#[derive(Debug, Clone)]
pub enum Put {
    /// A line of text; its point is on the base line, at the left.
    Text {
        /// Left.
        x: f32,
        /// Base line.
        y: f32,
        /// Size in points.
        size: f32,
        /// In the bold font.
        bold: bool,
        /// How dark.
        ink: Ink,
        /// What it says.
        text: String,
    },
    /// A thin line.
    Rule {
        /// From.
        from: (f32, f32),
        /// To.
        to: (f32, f32),
        /// How thick.
        thick: f32,
    },
    /// A filled rectangle with a thin edge.
    Bar {
        /// Left and top.
        at: (f32, f32),
        /// Width and height.
        size: (f32, f32),
        /// How dark.
        ink: Ink,
    },
    /// A photograph.
    Photo {
        /// Left and top.
        at: (f32, f32),
        /// Width and height.
        size: (f32, f32),
        /// Its bytes.
        jpeg: std::sync::Arc<[u8]>,
    },
}

/// A page.
#[derive(Debug, Clone, Default)]
pub struct Page {
    /// All that is on it.
    pub puts: Vec<Put>,
}
