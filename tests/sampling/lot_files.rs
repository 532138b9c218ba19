//! `lot.*` and `[sample]`: how many cars there are in all, held against the
//! vehicle list and the counts.

use crate::builder::{Folder, SMALL_CARD, hailyard};
use hailyard::cli::Exit;
use hailyard::intake::{Disk, read_storm};
use hailyard::storm::{LotSource, LotStrata};

const STORM: &str = "name = \"S\"\ncurrency = \"USD\"\n[[payer]]\nname = \"Harl Cover\"\nrate_card = \"rates/card.toml\"\n";
const LIST: &str = "stock,body,value\nA1,Sedan,9000\nA2,suv,20000.50\nA3,sedan,8000\nA4,,7000\n";
const COUNTS: &str = "stock,panel,dime\nA1,hood,3\nA3,hood,2\nA4,hood,0\n";

fn folder(sample: &str, list: &str, lot: Option<&str>) -> Folder {
    let mut folder = Folder::new()
        .file("storm.toml", format!("{STORM}{sample}"))
        .file("rates/card.toml", SMALL_CARD)
        .file("counts/lot.csv", COUNTS);
    if !list.is_empty() {
        folder = folder.file("vehicles.csv", list);
    }
    if let Some(lot) = lot {
        folder = folder.file("lot.csv", lot);
    }
    folder
}

fn strata(sample: &str, list: &str, lot: Option<&str>) -> LotStrata {
    let intake = read_storm(&Disk::new(folder(sample, list, lot).path()), None);
    assert_eq!(intake.lot_problems.errors(), 0);
    let (storm, _) = intake.storm.expect("a storm");
    storm.lot.expect("its strata")
}

fn sizes(lot: &LotStrata) -> Vec<(&str, u64)> {
    let strata = lot.strata.iter();
    strata
        .map(|stratum| (stratum.name.as_str(), stratum.cars))
        .collect()
}

#[test]
fn without_lot_the_list_is_the_whole_lot() {
    let lot = strata("", LIST, None);
    assert_eq!(sizes(&lot), [("all", 4)]);
    assert_eq!((lot.source, lot.is_asked), (LotSource::List, false));
    // Strata as they first occur; case is no matter, a blank is one of its own.
    let lot = strata("[sample]\nstrata = \"Body\"\n", LIST, None);
    assert_eq!(sizes(&lot), [("Sedan", 2), ("suv", 1), ("(blank)", 1)]);
    assert_eq!(lot.of_car, [0, 1, 0, 2]);
    assert_eq!(lot.unlisted(), [0, 0, 0]);
    assert_eq!((lot.column, lot.is_asked), (Some("body"), true));
    let lot = strata("", "", None);
    assert_eq!(
        (sizes(&lot), lot.source.clone()),
        (vec![("all", 3)], LotSource::Counts)
    );
}

/// 12 + 30 + 4 + 1 cars; the list has two sedans, one suv, one of no body.
#[test]
fn lot_says_how_many_there_are_and_in_which_order() {
    let sample = "[sample]\nstrata = \"body\"\nhelper = \"value\"\nhelper_total = \"611000.25\"\npicked = \"every tenth\"\n";
    let sizes_file = "Whole lot\nstratum;cars\nSUV;12\nsedan;30\nvan;4\n;1\n";
    let lot = strata(sample, LIST, Some(sizes_file));
    assert_eq!(
        sizes(&lot),
        [("SUV", 12), ("sedan", 30), ("van", 4), ("(blank)", 1)]
    );
    assert_eq!(lot.of_car, [1, 0, 1, 3]);
    assert_eq!(lot.unlisted(), [11, 28, 4, 0]);
    assert_eq!(lot.source, LotSource::File("lot.csv".to_owned()));
    assert_eq!(lot.picked, "every tenth");
    let helper = lot.helper.expect("a helper");
    assert_eq!(helper.of_car, [9_000.0, 20_000.5, 8_000.0, 7_000.0]);
    assert_eq!(helper.total, 611_000.25);
    // Of the list alone: 9,000 + 20,000.50 + 8,000 + 7,000.
    let lot = strata("[sample]\nhelper = \"value\"\n", LIST, None);
    assert_eq!(lot.helper.expect("a helper").total, 44_000.5);
    // One stratum needs no column, whatever it is called.
    let lot = strata("", LIST, Some("stratum,cars\nall of it,9\n"));
    assert_eq!(
        (sizes(&lot), lot.unlisted()),
        (vec![("all of it", 9)], vec![5])
    );
}

/// A car with an error is in no sample and yet one of the lot.
#[test]
fn a_bad_car_stays_one_of_the_lot() {
    let list = format!("{LIST}A5,suv,x\n");
    let storm = folder("[sample]\nstrata = \"body\"\n", &list, None);
    let intake = read_storm(&Disk::new(storm.path()), None);
    assert_eq!(intake.left_out, [(4, "A5".to_owned())]);
    let lot = intake.storm.expect("a storm").0.lot.expect("its strata");
    assert_eq!(sizes(&lot), [("Sedan", 2), ("suv", 2), ("(blank)", 1)]);
    assert_eq!(lot.of_car, [0, 1, 0, 2]);
    assert_eq!(lot.unlisted(), [0, 1, 0]);
}

/// The same for one that is taken out later, for its agreed amount.
#[test]
fn a_car_that_is_taken_out_takes_its_place_along() {
    let storm = folder(
        "[sample]\nstrata = \"body\"\nhelper = \"value\"\n",
        LIST,
        None,
    );
    let (storm, _) = read_storm(&Disk::new(storm.path()), None)
        .storm
        .expect("a storm");
    let lot = storm.without(&[0].into()).lot.expect("its strata");
    assert_eq!(lot.of_car, [1, 0, 2]);
    assert_eq!(lot.unlisted(), [1, 0, 0]);
    assert_eq!(
        lot.helper.expect("a helper").of_car,
        [20_000.5, 8_000.0, 7_000.0]
    );
}

#[test]
fn all_that_is_wrong_is_said_in_one_go_and_no_price_waits_for_it() {
    let lot = "stratum,cars\nsedan,1\nsuvs,5\nvan,x\nVAN,2\n";
    let list = "stock,body,value\nA1,sedan,9000\nA2,suv,\nA3,sedan,8000\nA4,,7000\n";
    let storm = folder(
        "[sample]\nstrata = \"body\"\nhelper = \"value\"\n",
        list,
        Some(lot),
    );
    let ran = hailyard(&["check", &storm.arg()]);
    assert_eq!(ran.exit, Exit::Problems);
    for said in [
        "error: storm.toml, line 8, helper: found `value`; expected `helper_total` beside it: the list has 4 of 6 cars, so its sum is not that of the lot",
        "error: vehicles.csv, row 3, value: nothing found; expected a number, 0 or more: `[sample] helper` is value, which helps only where every car has it [car A2]",
        "error: vehicles.csv, row 3, body: found `suv`; expected a stratum of lot.csv for 1 car; probably suvs [car A2]",
        "error: vehicles.csv, row 5, body: found `(blank)`; expected a stratum of lot.csv for 1 car [car A4]",
        "error: lot.csv, row 2, cars: found `1`; expected at least what is counted: 2",
        "error: lot.csv, row 4, cars: found `x`; expected a whole number of cars, at most 10,000,000",
        "error: lot.csv, row 5, stratum: found `VAN`; expected a stratum once; first at row 4",
        "7 errors, 1 caution",
    ] {
        assert!(ran.out.contains(said), "{said}\n{}", ran.out);
    }
    let ran = hailyard(&["price", &storm.arg()]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    assert!(!ran.err.contains("lot.csv"), "{}", ran.err);
}

#[test]
fn more_on_the_list_than_in_the_lot_is_a_caution() {
    let lot = "stratum,cars\nsedan,2\nsuv,0\n,1\n";
    let storm = folder("[sample]\nstrata = \"body\"\n", LIST, Some(lot));
    let ran = hailyard(&["check", &storm.arg()]);
    let said = "caution: lot.csv, row 3, cars: found `0`; expected at least what is listed: 1";
    assert!(ran.out.contains(said), "{}", ran.out);
    assert_eq!(ran.exit, Exit::Done);
}

#[test]
fn strata_of_a_lot_that_nobody_listed_are_no_strata() {
    let storm = folder("[sample]\nstrata = \"body\"\n", "", None);
    let ran = hailyard(&["check", &storm.arg()]);
    let said = "error: storm.toml, line 7, strata: found `body`; expected vehicles.* or lot.* beside it: nothing says how many cars there are";
    assert!(ran.out.contains(said), "{}", ran.out);
    // A column in which every car differs parts nothing.
    let list = (0..1_001).fold("stock,row\n".to_owned(), |list, car| {
        format!("{list}A{car},{car}\n")
    });
    let storm = folder("[sample]\nstrata = \"row\"\n", &list, None);
    let ran = hailyard(&["check", &storm.arg()]);
    assert!(
        ran.out.contains("this one has 1001 different words"),
        "{}",
        ran.out
    );
}

/// Both `lot.csv` and a workbook: nobody knows which holds.
#[test]
fn two_files_of_one_name_are_an_error() {
    let storm = folder("", LIST, Some("stratum,cars\nall,9\n")).file("lot.xlsx", "");
    let ran = hailyard(&["check", &storm.arg()]);
    assert!(
        ran.out
            .contains("found `lot.csv, lot.xlsx`; expected one file named lot"),
        "{}",
        ran.out
    );
    assert_eq!(hailyard(&["price", &storm.arg()]).exit, Exit::Done);
}
