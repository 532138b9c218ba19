//! What is no picture, no whole one or too large a one is a fault in words:
//! never a panic, never an abort, and never a guess at the missing half.

use super::{crc, jpeg, png};
use hailyard::intake::{InMemory, Severity, car_photos};
use hailyard::photo::prepare;
use image::{Rgb, RgbImage};

#[track_caller]
fn fault(bytes: &[u8]) -> String {
    let fault = prepare(bytes).expect_err("a fault");
    format!("{}; expected {}", fault.found, fault.expected)
}

fn picture() -> RgbImage {
    RgbImage::from_fn(120, 90, |x, y| {
        Rgb([(x * 2) as u8, (y * 2) as u8, (x * y % 251) as u8])
    })
}

/// Cut at every byte: the picture is refused, whatever its first half would show.
#[test]
fn a_cut_picture_is_refused_wherever_it_is_cut() {
    let whole = jpeg(&picture());
    assert!(prepare(&whole).is_ok());
    for length in 3..whole.len() {
        let said = fault(&whole[..length]);
        assert_eq!(
            said, "a picture that is cut short; expected a picture that can be opened",
            "cut at {length}"
        );
    }
    let whole = png(picture());
    // The last chunk, of 12 bytes, holds nothing; neither does the checksum before it.
    for length in (8..whole.len() - 16).step_by(7) {
        let said = fault(&whole[..length]);
        assert!(said.starts_with("a broken picture ("), "{length}: {said}");
    }
}

/// Every byte of a file turned over, one at a time: a photo or a fault.
#[test]
fn a_damaged_picture_never_breaks_the_program() {
    let small = RgbImage::from_fn(24, 17, |x, y| Rgb([(x * 9) as u8, (y * 9) as u8, 77]));
    for whole in [jpeg(&small), png(small.clone())] {
        for at in 0..whole.len() {
            let mut bytes = whole.clone();
            bytes[at] = !bytes[at];
            if let Ok(photo) = prepare(&bytes) {
                assert!(photo.width.max(photo.height) <= 1_280);
            }
        }
    }
}

/// A scan's bytes hold no marks but restarts: another one is damage.
#[test]
fn damage_within_a_scan_is_seen() {
    let whole = jpeg(&picture());
    let scan = whole.windows(2).position(|pair| pair == [0xff, 0xda]);
    let mut bytes = whole.clone();
    let middle = (scan.expect("a scan") + whole.len()) / 2;
    bytes[middle..middle + 2].copy_from_slice(&[0xff, 0x3a]);
    assert!(fault(&bytes).starts_with("a broken picture;"));
}

/// A header of 33 bytes claims 60,000 x 60,000 pixels, 10.8 GB.
#[test]
fn a_bomb_is_refused_by_what_it_claims() {
    let mut bomb = png(picture());
    bomb[16..20].copy_from_slice(&60_000_u32.to_be_bytes());
    bomb[20..24].copy_from_slice(&60_000_u32.to_be_bytes());
    // The checksum over the header's chunk is another then.
    let sum = crc(&bomb[12..29]);
    bomb[29..33].copy_from_slice(&sum.to_be_bytes());
    let said = fault(&bomb);
    assert!(
        said.contains("60000 x 60000") || said.contains("too large"),
        "{said}"
    );
    assert!(said.contains("at most 20,000 pixels a side"), "{said}");

    // The same of a JPEG: behind ff c0, length and bits stand height and width.
    let mut bomb = jpeg(&picture());
    let frame = bomb.windows(2).position(|pair| pair == [0xff, 0xc0]);
    let at = frame.expect("a frame") + 5;
    bomb[at..at + 4].copy_from_slice(&[0x4e, 0x20, 0x4e, 0x20]); // 0x4e20 = 20,000
    assert_eq!(
        fault(&bomb),
        "a picture of 20000 x 20000 pixels; expected at most 20,000 pixels a side and 64 million in all"
    );
    // 16 bits in four channels are 8 bytes: 6,000 · 6,000 · 8 = 288,000,000, 274 MiB.
    let deep = image::ImageBuffer::from_pixel(6_000, 16, image::Rgba([9_u16; 4]));
    let mut deep = png(deep);
    deep[20..24].copy_from_slice(&6_000_u32.to_be_bytes());
    let sum = crc(&deep[12..29]);
    deep[29..33].copy_from_slice(&sum.to_be_bytes());
    assert_eq!(
        fault(&deep),
        "a picture of 6000 x 6000 pixels of 274 MiB; expected at most 256 MiB unpacked"
    );
}

#[test]
fn other_formats_are_named() {
    let expected = "; expected a JPEG or PNG picture";
    for (bytes, name) in [
        (b"".as_slice(), "an empty file"),
        (b"PK\x03\x04\x14\0\0\0", "a zip archive"),
        (b"\0\0\0\x18ftypheic\0\0\0\0", "a HEIC picture"),
        (b"\0\0\0\x18ftypmif1\0\0\0\0", "a HEIC picture"),
        (b"\0\0\0\x1cftypavif\0\0\0\0", "an AVIF picture"),
        (b"\0\0\0\x18ftypmp42\0\0\0\0", "a film or sound"),
        (b"RIFF\x24\0\0\0WEBPVP8 ", "a WebP picture"),
        (b"II*\0\x08\0\0\0", "a TIFF or raw picture"),
        (b"MM\0*\0\0\0\x08", "a TIFF or raw picture"),
        (b"GIF89a\x01\0\x01\0", "a GIF picture"),
        (b"BM\x46\0\0\0\0\0\0\0", "a BMP picture"),
        (b"%PDF-1.7\n", "a PDF document"),
        (b"stock,panel,dime\n", "no picture"),
        (b"\xff\xd8", "no picture"),
    ] {
        assert_eq!(fault(bytes), format!("{name}{expected}"));
    }
    assert_eq!(
        fault(&png(RgbImage::new(1, 1))),
        "a picture of 1 x 1 pixels; expected at least 16 pixels a side"
    );
}

/// A car's good photos are made, each other one is a caution of the car.
#[test]
fn a_cars_photos_come_with_a_caution_for_each_that_does_not() {
    let mut folder = InMemory::default();
    folder.add("photos/A1/a.jpg", jpeg(&picture()));
    folder.add("photos/A1/b.jpg", b"PK\x03\x04".to_vec());
    folder.add("photos/A1/c.png", jpeg(&picture())); // the content decides
    folder.add("photos/A1/large.jpg", vec![0xff; (32 << 20) + 1]);
    let paths = ["a.jpg", "b.jpg", "c.png", "gone.jpg", "large.jpg"]
        .map(|name| format!("photos/A1/{name}"));
    let (photos, problems) = car_photos(&folder, "A1", &paths);
    let made: Vec<&str> = photos.iter().map(|(path, _)| path.as_str()).collect();
    assert_eq!(made, ["photos/A1/a.jpg", "photos/A1/c.png"]);
    assert_eq!(photos[0].1, photos[1].1);
    assert!(problems.iter().all(|one| one.severity == Severity::Caution));
    let said: Vec<String> = problems.iter().map(ToString::to_string).collect();
    assert_eq!(
        said,
        [
            "caution: photos/A1/b.jpg: found `a zip archive`; expected a JPEG or PNG picture [car A1]",
            "caution: photos/A1/gone.jpg: found `no such file`; expected a photo of at most 32 MiB [car A1]",
            "caution: photos/A1/large.jpg: found `more than 32 MiB`; expected a photo of at most 32 MiB [car A1]",
        ]
    );
}
