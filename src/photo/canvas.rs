//! Pixels: onto white, and smaller.

use image::{DynamicImage, RgbImage};

/// The picture in three channels of 8 bits, what is see-through on white.
#[must_use]
pub fn on_white(image: DynamicImage) -> RgbImage {
    if !image.color().has_alpha() {
        return image.into_rgb8();
    }
    let image = image.into_rgba8();
    let (width, height) = image.dimensions();
    let mut flat = RgbImage::new(width, height);
    for (to, from) in flat.pixels_mut().zip(image.pixels()) {
        let [red, green, blue, alpha] = from.0;
        to.0 = [red, green, blue].map(|channel| over_white(channel, alpha));
    }
    flat
}

/// c·a + 255·(1 − a) with a of 255 parts, rounded half up.
fn over_white(channel: u8, alpha: u8) -> u8 {
    let (channel, alpha) = (u32::from(channel), u32::from(alpha));
    let parts = channel * alpha + 255 * (255 - alpha);
    // At most 255 · 255 parts, so the quotient is at most 255.
    ((parts * 2 + 255) / 510) as u8
}

/// The size within `long` pixels on the long side, the short side rounded half
/// up; never larger than it is.
fn size_within(width: u32, height: u32, long: u32) -> (u32, u32) {
    let longest = width.max(height);
    if longest <= long {
        return (width, height);
    }
    let scaled = |side: u32| {
        let (side, longest, long) = (u64::from(side), u64::from(longest), u64::from(long));
        // At most `long`.
        ((side * long * 2 + longest) / (longest * 2)).max(1) as u32
    };
    (scaled(width), scaled(height))
}

/// Scaled down to `long` pixels on the long side, at most.
///
/// Each pixel is the mean of the area that it covers, pixels cut by its edge
/// with the part that lies inside, rounded half up. Whole numbers all the way:
/// along an axis of s pixels that become d, each old pixel is d units long and
/// each new one s. No filter with lobes: it would draw bright and dark seams
/// beside an edge, and a dent is read by its edges.
#[must_use]
pub fn scaled_down(image: RgbImage, long: u32) -> RgbImage {
    let (width, height) = image.dimensions();
    let (new_width, new_height) = size_within(width, height, long);
    if (new_width, new_height) == (width, height) {
        return image;
    }
    let mut scaled = RgbImage::new(new_width, new_height);
    let area = u64::from(width) * u64::from(height);
    let across = Axis::new(width, new_width);
    let down = Axis::new(height, new_height);
    let mut row_sums = vec![0_u32; new_width as usize * 3];
    let mut sums = vec![0_u64; new_width as usize * 3];
    let mut rows = scaled.chunks_exact_mut(new_width as usize * 3);
    for (row, cut) in image.chunks_exact(width as usize * 3).zip(down.cuts()) {
        across.sum_row(row, &mut row_sums);
        for (sum, row_sum) in sums.iter_mut().zip(&row_sums) {
            *sum += u64::from(cut.here) * u64::from(*row_sum);
        }
        if !cut.ends {
            continue;
        }
        if let Some(to) = rows.next() {
            for (to, sum) in to.iter_mut().zip(&sums) {
                // A mean of bytes is a byte.
                *to = ((sum * 2 + area) / (area * 2)) as u8;
            }
        }
        for (sum, row_sum) in sums.iter_mut().zip(&row_sums) {
            *sum = u64::from(cut.next) * u64::from(*row_sum);
        }
    }
    scaled
}

/// One axis of a picture that becomes smaller.
#[derive(Clone, Copy)]
struct Axis {
    old: u32,
    new: u32,
}

/// How the units of an old pixel fall to new ones.
struct Cut {
    /// Units within the new pixel that is being filled.
    here: u32,
    /// Whether that one is full with them.
    ends: bool,
    /// Units within the one after it.
    next: u32,
}

impl Axis {
    fn new(old: u32, new: u32) -> Axis {
        Axis { old, new }
    }

    /// For each old pixel in turn. A new one is no shorter than an old one, so
    /// an old one falls to two at most.
    fn cuts(self) -> impl Iterator<Item = Cut> {
        let mut left = self.old;
        (0..self.old).map(move |_| {
            let here = self.new.min(left);
            let next = self.new - here;
            let ends = here == left;
            left = if ends { self.old - next } else { left - here };
            Cut { here, ends, next }
        })
    }

    /// The sums over a row's new pixels: at most 255 · 20,000.
    fn sum_row(self, row: &[u8], sums: &mut [u32]) {
        let mut to = sums.chunks_exact_mut(3);
        let mut sum = [0_u32; 3];
        for (pixel, cut) in row.chunks_exact(3).zip(self.cuts()) {
            for (sum, channel) in sum.iter_mut().zip(pixel) {
                *sum += cut.here * u32::from(*channel);
            }
            if cut.ends {
                if let Some(to) = to.next() {
                    to.copy_from_slice(&sum);
                }
                for (sum, channel) in sum.iter_mut().zip(pixel) {
                    *sum = cut.next * u32::from(*channel);
                }
            }
        }
    }
}
