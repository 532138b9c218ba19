//! Sizes, means and white, against arithmetic and an independent model.

use super::{jpeg, pixels, png};
use hailyard::photo::budget::Budget;
use hailyard::photo::canvas::{on_white, scaled_down};
use hailyard::photo::prepare;
use image::{DynamicImage, ImageBuffer, Luma, Rgb, RgbImage, Rgba, RgbaImage};
use std::sync::atomic::{AtomicU64, Ordering};

#[test]
fn see_through_is_white_and_half_is_between() {
    let over = |colour| on_white(RgbaImage::from_pixel(1, 1, Rgba(colour)).into()).into_raw();
    assert_eq!(over([0, 7, 90, 0]), [255; 3]);
    assert_eq!(over([17, 18, 19, 255]), [17, 18, 19]);
    // (0 · 128 + 255 · 127) / 255 = 127; (100 · 128 + 255 · 127) / 255 = 177.2.
    assert_eq!(over([0, 100, 255, 128]), [127, 177, 255]);
    // (100 · 51 + 255 · 204) / 255 = 20 + 204.
    assert_eq!(over([100, 100, 100, 51]), [224; 3]);
}

#[test]
fn a_see_through_png_is_white_where_nothing_is() {
    let image = RgbaImage::from_fn(64, 64, |x, _| {
        Rgba(if x < 32 { [0, 0, 0, 0] } else { [0, 0, 0, 255] })
    });
    let seen = pixels(&prepare(&png(image)).expect("a photo").jpeg);
    assert!(seen.get_pixel(8, 30).0.iter().all(|channel| *channel > 250));
    assert!(seen.get_pixel(56, 30).0.iter().all(|channel| *channel < 5));
}

/// 16 bits and grey: 0x8080 of 0xffff is 0x80 of 0xff.
#[test]
fn deep_and_grey_pictures_come_out_in_three_channels_of_eight_bits() {
    let deep = ImageBuffer::from_pixel(32, 20, Rgb([0x8080_u16, 0x2020, 0xffff]));
    let grey = ImageBuffer::from_pixel(32, 20, Luma([0x60_u8]));
    let faint = ImageBuffer::from_pixel(32, 20, image::LumaA([0_u16, 0x3333]));
    for (image, colour) in [
        (DynamicImage::from(deep), [0x80, 0x20, 0xff]),
        (DynamicImage::from(grey), [0x60; 3]),
        // 0x3333 of 0xffff is a fifth: black on white gives 255 · 4/5 = 204.
        (DynamicImage::from(faint), [204; 3]),
    ] {
        let photo = prepare(&png(image)).expect("a photo");
        // The frame's segment: ff c0, two bytes of length, bits, sides, components.
        let frame = photo
            .jpeg
            .windows(2)
            .position(|pair| pair == [0xff, 0xc0])
            .expect("a baseline frame");
        assert_eq!(photo.jpeg[frame + 4], 8);
        assert_eq!(photo.jpeg[frame + 9], 3);
        let seen = pixels(&photo.jpeg).get_pixel(16, 10).0;
        for (seen, expected) in seen.into_iter().zip(colour) {
            assert!(seen.abs_diff(expected) <= 3, "{seen} for {expected}");
        }
    }
}

#[test]
fn the_long_side_is_1280_at_most_and_nothing_grows() {
    for (size, expected) in [
        ((1_600, 1_200), (1_280, 960)),
        ((1_200, 1_600), (960, 1_280)),
        // 1280 · 1001 / 2560 = 500.5, half up.
        ((2_560, 1_001), (1_280, 501)),
        ((1_280, 700), (1_280, 700)),
        ((1_281, 16), (1_280, 16)),
        ((20, 16), (20, 16)),
        // 1280 · 16 / 20000 = 1.02.
        ((20_000, 16), (1_280, 1)),
    ] {
        let image = RgbImage::from_pixel(size.0, size.1, Rgb([90, 120, 150]));
        let photo = prepare(&jpeg(&image)).expect("a photo");
        assert_eq!((photo.width, photo.height), expected, "{size:?}");
        assert_eq!(pixels(&photo.jpeg).dimensions(), expected);
    }
}

/// Five pixels become two: each new one covers 2.5, so the means are
/// (0 + 10 + 20/2) / 2.5 = 8 and (20/2 + 30 + 250) / 2.5 = 116.
#[test]
fn a_pixel_on_the_edge_counts_by_its_part() {
    let row = [0, 10, 20, 30, 250];
    let flat = RgbImage::from_fn(5, 1, |x, _| Rgb([row[x as usize]; 3]));
    let upright = RgbImage::from_fn(1, 5, |_, y| Rgb([row[y as usize]; 3]));
    assert_eq!(scaled_down(flat, 2).into_raw(), [8, 8, 8, 116, 116, 116]);
    assert_eq!(scaled_down(upright, 2).into_raw(), [8, 8, 8, 116, 116, 116]);
}

/// A picture with something everywhere.
fn mottled(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        Rgb([0, 1, 2].map(|channel| ((x * 71 + y * 113 + channel * 59 + x * y) % 256) as u8))
    })
}

/// Every size down to one pixel, against areas worked out in floats, pixel by
/// pixel; a byte is the mean rounded, so it is within half of it.
#[test]
fn means_agree_with_areas_in_floats() {
    let old = mottled(37, 23);
    let overlap = |new: u32, old: u32, ratio: f64| {
        let (from, to) = (f64::from(new) * ratio, f64::from(new + 1) * ratio);
        (to.min(f64::from(old + 1)) - from.max(f64::from(old))).max(0.0)
    };
    for long in 1..37 {
        let scaled = scaled_down(old.clone(), long);
        let across = 37.0 / f64::from(scaled.width());
        let down = 23.0 / f64::from(scaled.height());
        for (x, y, pixel) in scaled.enumerate_pixels() {
            let mut sums = [0.0; 3];
            for (old_x, old_y, old_pixel) in old.enumerate_pixels() {
                let area = overlap(x, old_x, across) * overlap(y, old_y, down);
                for (sum, channel) in sums.iter_mut().zip(old_pixel.0) {
                    *sum += area * f64::from(channel);
                }
            }
            for (sum, channel) in sums.into_iter().zip(pixel.0) {
                let off = (f64::from(channel) - sum / (across * down)).abs();
                assert!(off <= 0.5 + 1e-9, "{long}: {x},{y} off by {off}");
            }
        }
    }
}

/// The mean colour of a whole photo is that of its file's pixels: summed over
/// the decoded input on one side, over the decoded photo on the other. Scaling
/// keeps it but for roundings, encoding but for a part of a step.
#[test]
fn the_mean_colour_stays() {
    let input = jpeg(&RgbImage::from_fn(1_500, 1_100, |x, y| {
        Rgb([
            (x * 255 / 1_500) as u8,
            (y * 255 / 1_100) as u8,
            if (x / 90 + y / 70) % 2 == 0 { 40 } else { 210 },
        ])
    }));
    let mean = |image: &RgbImage| {
        let mut sums = [0_u64; 3];
        for pixel in image.pixels() {
            for (sum, channel) in sums.iter_mut().zip(pixel.0) {
                *sum += u64::from(channel);
            }
        }
        sums.map(|sum| sum as f64 / f64::from(image.width() * image.height()))
    };
    let photo = prepare(&input).expect("a photo");
    assert_eq!((photo.width, photo.height), (1_280, 939));
    let (before, after) = (mean(&pixels(&input)), mean(&pixels(&photo.jpeg)));
    for (before, after) in before.into_iter().zip(after) {
        assert!((before - after).abs() < 0.5, "{before} {after}");
    }
}

/// Eight threads take 30 of 100, and now and then more than all: what is held
/// at one time, counted beside the budget, never passes 100, and all come through.
#[test]
fn shares_of_memory_never_pass_the_whole() {
    let budget = Budget::new(100);
    let (held, most) = (AtomicU64::new(0), AtomicU64::new(0));
    std::thread::scope(|scope| {
        for thread in 0..8 {
            let (budget, held, most) = (&budget, &held, &most);
            scope.spawn(move || {
                for round in 0..200 {
                    let more_than_all = (thread + round) % 7 == 0;
                    let share = budget.take(if more_than_all { 1_000 } else { 30 });
                    let now = held.fetch_add(share.bytes(), Ordering::SeqCst) + share.bytes();
                    most.fetch_max(now, Ordering::SeqCst);
                    std::thread::yield_now();
                    held.fetch_sub(share.bytes(), Ordering::SeqCst);
                }
            });
        }
    });
    assert_eq!(most.into_inner(), 100);
}
