//! United States Mint, "Coin Specifications" (usmint.gov, learn/coin-and-medal-programs):
//! dime 17.91 mm, nickel 21.21, quarter 24.26, half dollar 30.61. The example
//! card's classes are named after them and end at these diameters.

use crate::builder::{OneCar, data};

#[test]
fn the_example_cards_classes_end_at_the_coins_diameters() {
    let card = std::fs::read_to_string(data("../../data/cards/coins.toml")).expect("the card");
    let published = [
        ("dime", "17.91"),
        ("nickel", "21.21"),
        ("quarter", "24.26"),
        ("half-dollar", "30.61"),
    ];
    for (coin, diameter) in published {
        assert!(
            card.contains(&format!("name = \"{coin}\"\nupto_mm = \"{diameter}\"")),
            "{coin}"
        );
    }
}

/// A dent as wide as the coin is in its class; a hundredth of a millimetre more is in the next.
#[test]
fn a_dent_as_wide_as_a_coin_is_in_the_coins_class() {
    let edges = [
        ("17.91", "dime"),
        ("17.92", "nickel"),
        ("21.21", "nickel"),
        ("21.22", "quarter"),
        ("24.26", "quarter"),
        ("24.27", "half-dollar"),
        ("30.61", "half-dollar"),
    ];
    for (diameter, class) in edges {
        let lines = OneCar::new(&format!("stock,panel,diameter_mm\nA1,hood,{diameter}\n"))
            .price()
            .lines("A1");
        assert!(
            lines[0].starts_with(&format!("hood|dents|dents {class}|1|")),
            "{diameter}: {lines:?}"
        );
    }
}
