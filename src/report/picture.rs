//! Pictures of plain rectangles, rules and words, in shades of one hue. The
//! amount is printed in or beside its mark, and the numbers stand in a table
//! below, so nothing hangs on the shade alone.

use super::document::Table;

/// The darkest shade; 0 is the ground.
pub const SHADES: u8 = 5;

/// A picture and its numbers.
#[derive(Debug, Clone, Default)]
pub struct Picture {
    /// What it shows.
    pub title: String,
    /// What somebody who can't see it is told.
    pub alternative: String,
    /// Units of its own; a unit is a pixel on a screen of common width.
    pub width: f32,
    /// Likewise.
    pub height: f32,
    /// What is drawn, later marks over earlier ones.
    pub marks: Vec<Mark>,
    /// The numbers that it was drawn from.
    pub table: Table,
}

/// Where a word stands against its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// It begins there.
    Start,
    /// Its middle is there.
    Middle,
    /// It ends there.
    End,
}

/// One mark.
#[derive(Debug, Clone)]
pub enum Mark {
    /// A rectangle with a thin edge.
    Bar {
        /// Left.
        x: f32,
        /// Top.
        y: f32,
        /// Width.
        width: f32,
        /// Height.
        height: f32,
        /// 0 to [`SHADES`].
        shade: u8,
    },
    /// A thin line.
    Rule {
        /// From.
        from: (f32, f32),
        /// To.
        to: (f32, f32),
    },
    /// A word.
    Word {
        /// Its point: on the base line.
        x: f32,
        /// Likewise.
        y: f32,
        /// Where it stands against the point.
        anchor: Anchor,
        /// The height of its letters' box.
        size: f32,
        /// The shade that it stands on, so that it can be read there.
        on: u8,
        /// What it says.
        text: String,
    },
}

impl Picture {
    /// Adds a rectangle.
    pub fn bar(&mut self, (x, y): (f32, f32), (width, height): (f32, f32), shade: u8) {
        self.marks.push(Mark::Bar {
            x,
            y,
            width,
            height,
            shade: shade.min(SHADES),
        });
    }

    /// Adds a word on the ground.
    pub fn word(&mut self, at: (f32, f32), anchor: Anchor, size: f32, text: impl Into<String>) {
        self.word_on(at, anchor, size, 0, text);
    }

    /// Adds a word on a shade.
    pub fn word_on(
        &mut self,
        (x, y): (f32, f32),
        anchor: Anchor,
        size: f32,
        on: u8,
        text: impl Into<String>,
    ) {
        self.marks.push(Mark::Word {
            x,
            y,
            anchor,
            size,
            on,
            text: text.into(),
        });
    }

    /// Adds a thin line.
    pub fn rule(&mut self, from: (f32, f32), to: (f32, f32)) {
        self.marks.push(Mark::Rule { from, to });
    }
}

/// The shade of a value among values up to `most`: 0 for nothing, else 1 and more.
#[must_use]
pub fn shade(value: u64, most: u64) -> u8 {
    if value == 0 || most == 0 {
        return 0;
    }
    let steps = u64::from(SHADES);
    u8::try_from((value * steps).div_ceil(most).clamp(1, steps)).unwrap_or(SHADES)
}
