//! Pictures as people hand them in → pictures that may be handed on.
//!
//! A camera writes where and when it stood, and whose it is, into its files.
//! None of that is anybody's business on a car's sheet, so nothing of a file
//! goes through but its pixels: they are decoded, turned upright, scaled down
//! and encoded anew. This room knows bytes and pixels, no storm and no files.

pub mod budget;
pub mod canvas;
mod kind;
mod segments;

use budget::Budget;
use image::codecs::jpeg::{JpegDecoder, JpegEncoder};
use image::codecs::png::PngDecoder;
use image::metadata::Orientation;
use image::{
    DynamicImage, ExtendedColorType, ImageDecoder, ImageError, ImageResult, Limits, RgbImage,
};
use kind::Kind;
use segments::End;
use std::io::Cursor;

/// The long side of a prepared photo, in pixels, at most: 180 mm at 180 dots an inch.
pub const LONG_SIDE: u32 = 1_280;
/// The longest side that is decoded.
pub const MAX_SIDE: u32 = 20_000;
/// The most pixels that are decoded: what large cameras make.
pub const MAX_PIXELS: u64 = 64_000_000;
/// The shortest side that shows anything.
pub const MIN_SIDE: u32 = 16;
/// The most bytes of a decoded picture.
const MAX_UNPACKED: u64 = 256 << 20;
/// Of 100: no blocks to be seen in print at a third of the size of 95.
const QUALITY: u8 = 80;

/// All pictures that are decoded at one time share this, however many threads
/// prepare them. The largest single one needs less.
static MEMORY: Budget = Budget::new(1 << 30);

/// A picture ready for a sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    /// A baseline JPEG of three components and 8 bits, upright, without any metadata.
    pub jpeg: Vec<u8>,
    /// Its width in pixels.
    pub width: u32,
    /// Its height in pixels.
    pub height: u32,
}

/// Why a picture can't stand on a sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhotoFault {
    /// What the bytes are.
    pub found: String,
    /// What was expected.
    pub expected: String,
}

impl PhotoFault {
    fn new(found: impl Into<String>, expected: impl Into<String>) -> PhotoFault {
        PhotoFault {
            found: found.into(),
            expected: expected.into(),
        }
    }

    fn no_picture(found: impl Into<String>) -> PhotoFault {
        PhotoFault::new(found, "a JPEG or PNG picture")
    }

    fn broken(found: impl Into<String>) -> PhotoFault {
        PhotoFault::new(found, "a picture that can be opened")
    }
}

/// Decodes, turns upright, scales down and encodes anew. The same bytes give
/// the same photo. Memory is bounded over all threads that call this.
///
/// # Errors
/// When the bytes are no whole JPEG or PNG picture of a sensible size.
pub fn prepare(bytes: &[u8]) -> Result<Photo, PhotoFault> {
    let kind = match kind::of(bytes) {
        Kind::Other(found) => return Err(PhotoFault::no_picture(found)),
        known => known,
    };
    if kind == Kind::Jpeg {
        // The decoder fills what is missing with grey, which is no picture of a car.
        match segments::end(bytes) {
            End::Whole => {}
            End::CutShort => return Err(PhotoFault::broken("a picture that is cut short")),
            End::Broken => return Err(PhotoFault::broken("a broken picture")),
        }
    }
    // The decoders are other people's code: a panic of theirs on a broken file
    // is a broken file, and nothing of ours is half-changed by it.
    std::panic::catch_unwind(|| {
        if kind == Kind::Jpeg {
            remade(JpegDecoder::new(Cursor::new(bytes)), |pixels, _| {
                // A progressive file is held as coefficients of two bytes, of
                // at most four components, beside the pixels; the decoder has
                // a copy of the file too.
                12 * pixels + bytes.len() as u64
            })
        } else {
            remade(
                PngDecoder::with_limits(Cursor::new(bytes), limits()),
                // As decoded, as four channels of 8 bits, and as three on white.
                |pixels, unpacked| unpacked + 7 * pixels,
            )
        }
    })
    .unwrap_or_else(|_| {
        Err(PhotoFault::broken(
            "a picture that the decoder broke off in",
        ))
    })
}

fn limits() -> Limits {
    let mut limits = Limits::default();
    limits.max_image_width = Some(MAX_SIDE);
    limits.max_image_height = Some(MAX_SIDE);
    limits.max_alloc = Some(MAX_UNPACKED);
    limits
}

/// What a decoder gives, on white, scaled, upright and encoded. `cost` tells
/// the memory from the pixels and the decoded bytes.
fn remade<D: ImageDecoder>(
    decoder: ImageResult<D>,
    cost: impl Fn(u64, u64) -> u64,
) -> Result<Photo, PhotoFault> {
    let mut decoder = decoder.map_err(|error| fault(&error))?;
    let (width, height) = decoder.dimensions();
    let pixels = u64::from(width) * u64::from(height);
    let size = || format!("a picture of {width} x {height} pixels");
    if width.max(height) > MAX_SIDE || pixels > MAX_PIXELS {
        return Err(PhotoFault::new(
            size(),
            "at most 20,000 pixels a side and 64 million in all",
        ));
    }
    if width.min(height) < MIN_SIDE {
        return Err(PhotoFault::new(
            size(),
            format!("at least {MIN_SIDE} pixels a side"),
        ));
    }
    let unpacked = decoder.total_bytes();
    if unpacked > MAX_UNPACKED {
        return Err(PhotoFault::new(
            format!("{} of {} MiB", size(), unpacked >> 20),
            "at most 256 MiB unpacked",
        ));
    }
    decoder
        .set_limits(limits())
        .map_err(|error| fault(&error))?;
    // A picture whose orientation can't be read has none.
    let turn = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let _share = MEMORY.take(cost(pixels, unpacked));
    let decoded = DynamicImage::from_decoder(decoder).map_err(|error| fault(&error))?;
    let scaled = canvas::scaled_down(canvas::on_white(decoded), LONG_SIDE);
    let mut upright = DynamicImage::ImageRgb8(scaled);
    upright.apply_orientation(turn);
    encoded(&upright.into_rgb8())
}

fn encoded(image: &RgbImage) -> Result<Photo, PhotoFault> {
    let (width, height) = image.dimensions();
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, QUALITY)
        .encode(image.as_raw(), width, height, ExtendedColorType::Rgb8)
        .map_err(|error| fault(&error))?;
    Ok(Photo {
        jpeg,
        width,
        height,
    })
}

fn fault(error: &ImageError) -> PhotoFault {
    match error {
        ImageError::Unsupported(why) => PhotoFault::new(
            format!("a picture of an uncommon kind ({why})"),
            "a JPEG or PNG picture as cameras and telephones write them",
        ),
        ImageError::Limits(_) => PhotoFault::new(
            "a picture that is too large",
            "at most 20,000 pixels a side and 256 MiB unpacked",
        ),
        other => PhotoFault::broken(format!("a broken picture ({other})")),
    }
}
