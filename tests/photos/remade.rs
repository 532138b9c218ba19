//! Metadata goes, the picture stands upright.

use super::{crc, jpeg, pixels, png};
use exif::{In, Tag, Value};
use hailyard::photo::{LONG_SIDE, prepare};
use image::{Rgb, RgbImage};
use std::io::Cursor;

const RED: [u8; 3] = [200, 30, 30];
const GREEN: [u8; 3] = [30, 160, 30];
const BLUE: [u8; 3] = [30, 30, 200];
const GREY: [u8; 3] = [128, 128, 128];

/// 96 x 64 in quarters: red and green above, blue and grey below.
fn quarters() -> RgbImage {
    RgbImage::from_fn(96, 64, |x, y| {
        Rgb(match (x < 48, y < 32) {
            (true, true) => RED,
            (false, true) => GREEN,
            (true, false) => BLUE,
            (false, false) => GREY,
        })
    })
}

/// The block of Exif 2.3: a TIFF of big-endian numbers. Offsets count from its
/// first byte; an entry has 12 bytes, a directory 2 + 12 · entries + 4.
fn exif_block(orientation: u16) -> Vec<u8> {
    let mut block = b"MM\0*\0\0\0\x08".to_vec(); // 8 bytes: the first directory is at 8
    let entry = |block: &mut Vec<u8>, tag: u16, kind: u16, count: u32, value: [u8; 4]| {
        block.extend(tag.to_be_bytes());
        block.extend(kind.to_be_bytes());
        block.extend(count.to_be_bytes());
        block.extend(value);
    };
    // The first directory: 3 entries, 2 + 36 + 4 = 42 bytes, so its end is 50.
    block.extend(3_u16.to_be_bytes());
    let [high, low] = orientation.to_be_bytes();
    entry(&mut block, 0x0112, 3, 1, [high, low, 0, 0]);
    // DateTime: 20 characters, too long for the entry; they stand at 50 and end at 70.
    entry(&mut block, 0x0132, 2, 20, 50_u32.to_be_bytes());
    // The directory of the position is at 70.
    entry(&mut block, 0x8825, 4, 1, 70_u32.to_be_bytes());
    block.extend([0; 4]);
    block.extend(b"2026:06:15 08:14:30\0");
    assert_eq!(block.len(), 70);
    // 4 entries: 2 + 48 + 4 = 54 bytes, so its end is 124. A latitude is three
    // fractions of 8 bytes: 124 to 148, and 148 to 172.
    block.extend(4_u16.to_be_bytes());
    entry(&mut block, 1, 2, 2, *b"N\0\0\0");
    entry(&mut block, 2, 5, 3, 124_u32.to_be_bytes());
    entry(&mut block, 3, 2, 2, *b"W\0\0\0");
    entry(&mut block, 4, 5, 3, 148_u32.to_be_bytes());
    block.extend([0; 4]);
    assert_eq!(block.len(), 124);
    for part in [41_u32, 1, 12, 1, 3_050, 100, 104, 1, 49, 1, 1_275, 100] {
        block.extend(part.to_be_bytes());
    }
    assert_eq!(block.len(), 172);
    block
}

/// A JPEG segment: mark, length with its own two bytes, content.
fn segment(marker: u8, content: &[u8]) -> Vec<u8> {
    let length = u16::try_from(content.len() + 2).expect("a short one");
    let mut bytes = vec![0xff, marker];
    bytes.extend(length.to_be_bytes());
    bytes.extend(content);
    bytes
}

/// As a telephone writes it: Exif, a second block of metadata, a profile, a comment.
fn with_metadata(picture: &[u8], orientation: u16) -> Vec<u8> {
    let mut bytes = picture[..2].to_vec();
    let exif: Vec<u8> = [b"Exif\0\0".as_slice(), &exif_block(orientation)].concat();
    bytes.extend(segment(0xe1, &exif));
    bytes.extend(segment(
        0xe1,
        b"http://ns.adobe.com/xap/1.0/\0<x>Wynn Tolliver</x>",
    ));
    bytes.extend(segment(0xed, b"Photoshop 3.0\0Wynn Tolliver"));
    bytes.extend(segment(0xfe, b"serial 4711"));
    bytes.extend(&picture[2..]);
    // Behind the end mark, as films are appended.
    bytes.extend(b"ftypmp42 Wynn Tolliver");
    bytes
}

/// The marks of a file's segments up to its first scan, and what is behind the end mark.
fn marks(bytes: &[u8]) -> (Vec<u8>, usize) {
    let (mut at, mut marks) = (2, Vec::new());
    while bytes[at + 1] != 0xda {
        assert_eq!(bytes[at], 0xff);
        marks.push(bytes[at + 1]);
        at += 2 + usize::from(u16::from_be_bytes([bytes[at + 2], bytes[at + 3]]));
    }
    let end = bytes.windows(2).rposition(|pair| pair == [0xff, 0xd9]);
    (marks, bytes.len() - 2 - end.expect("an end mark"))
}

/// A separate library reads what is in the input, and finds no such block in the output.
#[test]
fn position_and_date_are_in_the_input_and_not_in_the_output() {
    let input = with_metadata(&jpeg(&quarters()), 6);
    let read = exif::Reader::new()
        .read_from_container(&mut Cursor::new(&input))
        .expect("Exif in the input");
    let shown = |tag| {
        let field = read.get_field(tag, In::PRIMARY).expect("the field");
        field.display_value().to_string()
    };
    assert_eq!(shown(Tag::DateTime), "2026-06-15 08:14:30");
    assert_eq!(shown(Tag::GPSLatitude), "41 deg 12 min 30.5 sec");
    assert_eq!(shown(Tag::GPSLongitude), "104 deg 49 min 12.75 sec");
    let turn = read
        .get_field(Tag::Orientation, In::PRIMARY)
        .expect("the field");
    assert!(matches!(&turn.value, Value::Short(value) if value == &[6]));

    let photo = prepare(&input).expect("a photo");
    let none = exif::Reader::new().read_from_container(&mut Cursor::new(&photo.jpeg));
    assert!(matches!(none, Err(exif::Error::NotFound(_))));
    let (marks, behind) = marks(&photo.jpeg);
    assert_eq!(behind, 0);
    for mark in marks {
        // JFIF, tables of numbers and codes, and a baseline frame: no other
        // application's segment (e1 to ef), no comment (fe).
        assert!(matches!(mark, 0xe0 | 0xdb | 0xc4 | 0xc0), "{mark:x}");
    }
    let app0 = &photo.jpeg[6..11];
    assert_eq!(app0, b"JFIF\0");
    let holds = |bytes: &[u8], text: &[u8]| bytes.windows(text.len()).any(|part| part == text);
    for text in [b"Tolliver".as_slice(), b"Exif", b"4711", b"2026:06:15"] {
        assert!(holds(&input, text));
        assert!(!holds(&photo.jpeg, text));
    }
    assert_eq!(photo, prepare(&input).expect("a photo"));
}

/// Exif 2.3, tag 274: the stored first row and column are, seen upright,
/// 1 top and left, 2 top and right, 3 bottom and right, 4 bottom and left,
/// 5 left and top, 6 right and top, 7 right and bottom, 8 left and bottom.
/// So the stored corner red goes to where row and column meet; green is the
/// other end of the stored first row, blue of the stored first column.
#[test]
fn all_eight_orientations_stand_upright() {
    // Corners seen upright: top left, top right, bottom left, bottom right.
    let upright = [
        (1, [RED, GREEN, BLUE, GREY]),
        (2, [GREEN, RED, GREY, BLUE]),
        (3, [GREY, BLUE, GREEN, RED]),
        (4, [BLUE, GREY, RED, GREEN]),
        (5, [RED, BLUE, GREEN, GREY]),
        (6, [BLUE, RED, GREY, GREEN]),
        (7, [GREY, GREEN, BLUE, RED]),
        (8, [GREEN, GREY, RED, BLUE]),
        // Not in the standard: as it is stored.
        (0, [RED, GREEN, BLUE, GREY]),
        (9, [RED, GREEN, BLUE, GREY]),
    ];
    let stored = jpeg(&quarters());
    for (orientation, corners) in upright {
        let photo = prepare(&with_metadata(&stored, orientation)).expect("a photo");
        let (width, height) = match orientation {
            5..=8 => (64, 96),
            _ => (96, 64),
        };
        assert_eq!((photo.width, photo.height), (width, height));
        let seen = pixels(&photo.jpeg);
        assert_eq!(seen.dimensions(), (width, height));
        let at = [
            (4, 4),
            (width - 5, 4),
            (4, height - 5),
            (width - 5, height - 5),
        ];
        for ((x, y), colour) in at.into_iter().zip(corners) {
            near(seen.get_pixel(x, y).0, colour, 6, &format!("{orientation}"));
        }
    }
}

/// Scaled and turned at once: 3000 x 2000 stored, 1280 · 2000 / 3000 = 853.3.
#[test]
fn a_turned_picture_is_scaled_by_its_long_side() {
    let large = image::imageops::resize(
        &quarters(),
        3_000,
        2_000,
        image::imageops::FilterType::Nearest,
    );
    let photo = prepare(&with_metadata(&jpeg(&large), 6)).expect("a photo");
    assert_eq!((photo.width, photo.height), (853, LONG_SIDE));
    let seen = pixels(&photo.jpeg);
    near(seen.get_pixel(800, 40).0, RED, 6, "top right");
    near(seen.get_pixel(40, 40).0, BLUE, 6, "top left");
}

/// A text chunk and an Exif chunk of a PNG go as well.
#[test]
fn metadata_of_a_png_goes() {
    let plain = png(quarters());
    // Signature 8, header chunk 25: chunks may stand from 33 on.
    let mut bytes = plain[..33].to_vec();
    for (kind, content) in [
        (b"tEXt", b"Author\0Wynn Tolliver".to_vec()),
        (b"eXIf", exif_block(6)),
    ] {
        bytes.extend(u32::try_from(content.len()).expect("short").to_be_bytes());
        let body = [kind.as_slice(), &content].concat();
        bytes.extend(&body);
        bytes.extend(crc(&body).to_be_bytes());
    }
    bytes.extend(&plain[33..]);
    let read = exif::Reader::new().read_from_container(&mut Cursor::new(&bytes));
    assert!(
        read.expect("Exif in the input")
            .get_field(Tag::GPSLatitude, In::PRIMARY)
            .is_some()
    );
    let photo = prepare(&bytes).expect("a photo");
    assert_eq!((photo.width, photo.height), (64, 96));
    near(
        pixels(&photo.jpeg).get_pixel(59, 4).0,
        RED,
        6,
        "turned by its Exif",
    );
    assert!(!photo.jpeg.windows(8).any(|part| part == b"Tolliver"));
}

#[track_caller]
fn near(found: [u8; 3], expected: [u8; 3], within: u8, what: &str) {
    for (found, expected) in found.into_iter().zip(expected) {
        assert!(
            found.abs_diff(expected) <= within,
            "{what}: {found} for {expected}"
        );
    }
}
