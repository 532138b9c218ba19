//! Which files belong to which car, and what is said of the others.

use crate::builder::{Folder, OneCar, hailyard};
use hailyard::cli::Exit;
use hailyard::intake::{Disk, InMemory, Intake, read_storm};
use std::collections::BTreeSet;

const COUNTS: &str = "stock,panel,dime\nA1,hood,3\n0042,hood,4\nB/7,roof,5\nC%2,roof,6\n";

/// A storm of four cars with empty files at these paths, read from disk.
fn storm(files: &[&str]) -> (Folder, Intake) {
    let mut folder = OneCar::new(COUNTS).folder();
    for path in files {
        folder = folder.file(path, "");
    }
    let intake = read_storm(&Disk::new(folder.path()), None);
    (folder, intake)
}

fn said(intake: &Intake) -> Vec<String> {
    let problems = intake.problems.sorted();
    problems.into_iter().map(ToString::to_string).collect()
}

#[track_caller]
fn paths<'a>(intake: &'a Intake, stock: &str) -> Vec<&'a str> {
    intake.photos[stock].iter().map(String::as_str).collect()
}

#[test]
fn photos_are_listed_by_stock_in_byte_order() {
    let files = [
        "photos/A1/b.JPG",
        "photos/A1/B.jpeg",
        "photos/A1/a.Png",
        "photos/A1/.DS_Store",
        "photos/A1/Thumbs.db",
        "photos/.hidden",
        "photos/0042/1.jpg",
        "photos/B%2F7/1.jpg",
        "photos/C%2/1.jpg",
        "photos/C%252/2.jpg",
    ];
    let (_folder, intake) = storm(&files);
    assert_eq!(said(&intake), [""; 0]);
    assert_eq!(intake.photos.len(), 4);
    assert_eq!(
        paths(&intake, "A1"),
        ["photos/A1/B.jpeg", "photos/A1/a.Png", "photos/A1/b.JPG"]
    );
    assert_eq!(paths(&intake, "0042"), ["photos/0042/1.jpg"]);
    assert_eq!(paths(&intake, "B/7"), ["photos/B%2F7/1.jpg"]);
    // As it is, and escaped: both are the car's.
    assert_eq!(
        paths(&intake, "C%2"),
        ["photos/C%2/1.jpg", "photos/C%252/2.jpg"]
    );
    // In memory likewise.
    let small = OneCar::new(COUNTS);
    let mut memory = InMemory::default();
    let settings = small.folder();
    for path in ["storm.toml", "rates/card.toml", "counts/lot.csv"] {
        memory.add(
            path,
            std::fs::read(settings.path().join(path)).expect("a file"),
        );
    }
    for path in files {
        memory.add(path, Vec::new());
    }
    let in_memory = read_storm(&memory, None);
    assert_eq!(in_memory.photos, intake.photos);
    assert_eq!(said(&in_memory), [""; 0]);
}

#[test]
fn whatever_is_no_photo_of_a_car_is_a_caution() {
    let (folder, _) = storm(&[
        "photos/a1/1.jpg",
        "photos/42/1.jpg",
        "photos/b%2f7/1.jpg",
        "photos/nobody/1.jpg",
        "photos/IMG_1.jpg",
        "photos/A1/IMG_2.HEIC",
        "photos/A1/left/1.jpg",
        "photos/A1/noending",
    ]);
    std::fs::create_dir_all(folder.path().join("photos/0042")).expect("a folder");
    let intake = read_storm(&Disk::new(folder.path()), None);
    assert_eq!(
        said(&intake),
        [
            "caution: photos/0042: found `an empty folder`; expected a photo: .jpg, .jpeg or .png [car 0042]",
            "caution: photos/42: found `42`; expected a folder named as a stock; probably 0042",
            "caution: photos/A1/IMG_2.HEIC: found `IMG_2.HEIC`; expected a photo: .jpg, .jpeg or .png [car A1]",
            "caution: photos/A1/left: found `left`; expected no subfolder: it is passed over [car A1]",
            "caution: photos/A1/noending: found `noending`; expected a photo: .jpg, .jpeg or .png [car A1]",
            "caution: photos/IMG_1.jpg: found `IMG_1.jpg`; expected a folder named as a stock",
            "caution: photos/a1: found `a1`; expected a folder named as a stock; probably A1",
            "caution: photos/b%2f7: found `b%2f7`; expected a folder named as a stock; probably B%2F7",
            "caution: photos/nobody: found `nobody`; expected a folder named as a stock",
        ]
    );
    assert!(intake.photos.is_empty());
    // Cautions alone end well.
    assert_eq!(hailyard(&["check", &folder.arg()]).exit, Exit::Done);
}

#[test]
fn the_25th_photo_is_left_out_and_that_is_said() {
    let files: Vec<String> = (1..=30).map(|n| format!("photos/A1/{n:02}.jpg")).collect();
    let files: Vec<&str> = files.iter().map(String::as_str).collect();
    let (_folder, intake) = storm(&files);
    assert_eq!(paths(&intake, "A1"), &files[..24]);
    assert_eq!(
        said(&intake),
        [
            "caution: photos/A1/25.jpg: found `30 photos of the car`; expected at most 24: this one and those after it are left out [car A1]"
        ]
    );
    let (_folder, intake) = storm(&files[..24]);
    assert_eq!(said(&intake), [""; 0]);
}

#[test]
fn a_file_or_another_name_in_place_of_the_folder_is_said() {
    let (_folder, intake) = storm(&["photos"]);
    assert_eq!(
        said(&intake),
        [
            "caution: photos: found `no folder`; expected a folder of photos, in it a folder for each stock"
        ]
    );
    let (_folder, intake) = storm(&["photo/A1/1.jpg", "Sketches/1.jpg"]);
    assert_eq!(
        said(&intake),
        ["caution: photo: found `photo`; expected the name photos. It is not read"]
    );
}

/// By stock, so that leaving cars out leaves every other car its own photos.
#[test]
fn a_car_that_is_left_out_shifts_no_photos() {
    let (_folder, intake) = storm(&["photos/A1/1.jpg", "photos/B%2F7/1.jpg"]);
    let (storm, _) = intake.storm.as_ref().expect("a storm").clone();
    let rest = storm.without(&BTreeSet::from([0]));
    let stocks: Vec<&str> = rest.cars.iter().map(|car| &*car.vehicle.stock).collect();
    assert_eq!(stocks, ["0042", "B/7", "C%2"]);
    assert_eq!(
        paths(&intake, &rest.cars[1].vehicle.stock),
        ["photos/B%2F7/1.jpg"]
    );
    // A car with an error of its own is no stranger to its photos.
    let folder = OneCar::new("stock,panel,dime\nA1,hood,x\nA2,hood,3\n")
        .folder()
        .file("photos/A1/1.jpg", "");
    let intake = read_storm(&Disk::new(folder.path()), None);
    assert_eq!(intake.problems.errors(), 1);
    assert_eq!(intake.problems.cautions(), 0);
}

/// Where the counts can't be read, nothing is said of stocks that they would have told.
#[test]
fn an_unreadable_sheet_makes_no_photo_a_stranger() {
    let folder = OneCar::new("a,b\n1,2\n")
        .folder()
        .file("photos/A1/1.jpg", "");
    let intake = read_storm(&Disk::new(folder.path()), None);
    assert!(intake.problems.stops());
    assert_eq!(intake.problems.cautions(), 0);
}
