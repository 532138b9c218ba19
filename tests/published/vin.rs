//! VIN check digits: 49 CFR 565.15(c) (values, weights, sum modulo 11, X for 10).

use crate::builder::{OneCar, hailyard};
use hailyard::intake::vin::{VinOddity, check};

/// Published examples, each with where it stands.
const PUBLISHED: [(&str, &str); 6] = [
    ("1G4AH59H45G118341", "49 CFR 565, sample table"),
    (
        "1J9RP1A36A1644345",
        "NHTSA, Outline for New Manufacturer Information, p. 18",
    ),
    (
        "1M8GDM9AXKP042788",
        "Wikibooks, Vehicle Identification Numbers",
    ),
    ("JH2RC3605MM101581", "published VIN calculator's example"),
    (
        "LJCPCBLCX11000237",
        "scientificgems.wordpress.com, 2018-04-27",
    ),
    (
        "11111111111111111",
        "customary self-test value, from memory",
    ),
];

#[test]
fn published_vins_hold_and_no_other_check_digit_does() {
    for (vin, source) in PUBLISHED {
        assert_eq!(check(vin), Ok(()), "{vin}: {source}");
        let right = vin.chars().nth(8).expect("a ninth place");
        for digit in "0123456789X".chars().filter(|digit| *digit != right) {
            let wrong = format!("{}{digit}{}", &vin[..8], &vin[9..]);
            assert_eq!(check(&wrong), Err(VinOddity::CheckDigit(right)), "{wrong}");
        }
    }
}

#[test]
fn length_and_alphabet_are_seen_first() {
    assert_eq!(check("1M8GDM9AXKP04278"), Err(VinOddity::Length(16)));
    assert_eq!(check("1M8GDM9AXKP04278O"), Err(VinOddity::Sign('O')));
    assert_eq!(check("IM8GDM9AXKP042788"), Err(VinOddity::Sign('I')));
    assert_eq!(check("1m8gdm9axkp042788"), Ok(()));
}

/// ISO 3779 itself asks for no check digit outside North America (from
/// memory), so a failure is a caution and the car is priced.
#[test]
fn a_failed_check_digit_is_a_caution() {
    let folder = OneCar::new("stock,panel,dime\nA1,hood,3\n")
        .vehicles("stock,vin\nA1,1M8GDM9A1KP042788\n")
        .folder();
    let ran = hailyard(&["check", &folder.arg()]);
    assert_eq!(ran.exit, hailyard::cli::Exit::Done);
    assert!(ran.out.contains("0 errors, 1 caution"), "{}", ran.out);
}
