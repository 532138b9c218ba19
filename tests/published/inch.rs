//! The international inch: 25.4 mm exactly (1959 agreement; NIST Special
//! Publication 811, Appendix B.8). The Mint gives its coins in inches too:
//! .705, .835, .955, 1.205 (rounded to a thousandth).

use crate::builder::OneCar;
use hailyard::units::{LengthUnit, Millimetres};
use rust_decimal::Decimal;

#[test]
fn an_inch_is_25_4_millimetres_exactly() {
    let inches = |text: &str| {
        Millimetres::from_inches(text.parse::<Decimal>().expect("a number"))
            .0
            .normalize()
    };
    let mm = |text: &str| text.parse::<Decimal>().expect("a number");
    assert_eq!(inches("1"), mm("25.4"));
    assert_eq!(inches("2.5"), mm("63.5"));
    assert_eq!(inches("0.705"), mm("17.907"));
    assert_eq!(
        LengthUnit::Inch.millimetres(mm("0.125")).0.normalize(),
        mm("3.175")
    );
}

/// The coins' inch figures lie within half a thousandth of an inch of their
/// millimetre figures, so each stays in its class.
#[test]
fn the_coins_inch_figures_fall_into_the_coins_classes() {
    for (inches, class) in [
        ("0.705", "dime"),
        ("0.835", "nickel"),
        ("0.955", "quarter"),
        ("1.205", "half-dollar"),
    ] {
        let lines = OneCar::new(&format!("stock,panel,diameter_in\nA1,hood,{inches}\n"))
            .price()
            .lines("A1");
        assert!(
            lines[0].contains(&format!("dents {class}|")),
            "{inches}: {lines:?}"
        );
    }
}

/// Units may be mixed in one list: 2.5 in = 63.5 mm, 1.77165354 in is under 45 mm.
#[test]
fn a_list_may_mix_inches_and_millimetres() {
    let lines = OneCar::new("stock,panel,dime,oversize\nA1,hood,0,2.5 in; 63.5; 1.7 in x2\n")
        .card("[[oversize]]\nupto_mm = \"45\"\neach = \"38.00\"\n[[oversize]]\nupto_mm = \"63.5\"\neach = \"60.00\"\n")
        .price()
        .lines("A1");
    // 1.7 in = 43.18 mm: 2 x 38.00; 2 x 60.00
    assert_eq!(
        lines,
        [
            "hood|dents|oversize to 45 mm|2|76.00",
            "hood|dents|oversize to 63.5 mm|2|120.00"
        ]
    );
}
