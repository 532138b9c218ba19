//! Whatever a sheet looks like and a lot is made of, cars.csv and totals.csv
//! are what the independent model makes of it, byte for byte.

use super::both::{both, same};
use super::lots::{Kind, STORM, enough, lot};
use super::sheet::{Look, Order, write};
use super::tables;
use crate::properties::model::priced;
use crate::properties::storms::Dice;
use hailyard::cli::Exit;

/// Prices a lot written down in some way, both ways.
#[track_caller]
fn equal(kind: &Kind, look: &Look) {
    let rolls = enough(kind);
    let mut dice = Dice::new(&rolls);
    let made = lot(kind, &mut dice);
    let (lot, files) = write(kind, look, &made, &mut dice);
    assert!(dice.left() > 0, "rolls for the whole lot");
    let found = both(&files, &[]);
    assert_eq!(found.ran.exit, Exit::Done, "{}", found.ran.err);
    let priced = priced(&lot);
    let cars = tables::cars(&lot, &priced);
    same("cars.csv", found.text("cars.csv"), &cars);
    let totals = tables::totals(&lot, STORM, &priced);
    same("totals.csv", found.text("totals.csv"), &totals);
}

/// Panel rows with a column per class and nothing more.
#[test]
fn plain_panel_rows() {
    equal(&Kind::plain(1, 300), &Look::PLAIN);
}

#[test]
fn columns_in_any_order_and_columns_that_nobody_needs() {
    let kind = Kind {
        odd: 20,
        ..Kind::plain(2, 150)
    };
    let look = Look {
        columns: Order::Shuffled,
        needless: true,
        loose: true,
        ..Look::PLAIN
    };
    equal(&kind, &look);
}

#[test]
fn semicolons_decimal_commas_and_quoted_lists() {
    let kind = Kind {
        odd: 30,
        payers: 3,
        ..Kind::plain(3, 150)
    };
    let look = Look {
        delimiter: ';',
        ..Look::PLAIN
    };
    equal(&kind, &look);
    let in_counts = Look { list: None, ..look };
    equal(&kind, &in_counts);
}

#[test]
fn tabs_marks_carriage_returns_and_quotes_around_everything() {
    let kind = Kind {
        odd: 10,
        ..Kind::plain(4, 100)
    };
    let tabs = Look {
        delimiter: '\t',
        newline: "\r\n",
        ..Look::PLAIN
    };
    equal(&kind, &tabs);
    let marked = Look {
        mark: true,
        newline: "\r\n",
        ..Look::PLAIN
    };
    equal(&Kind::plain(5, 100), &marked);
    let quoted = Look {
        quoted: true,
        needless: true,
        ..Look::PLAIN
    };
    equal(&kind, &quoted);
    let all = Look {
        newline: "\r\n",
        mark: true,
        ..quoted
    };
    equal(&kind, &all);
}

/// One row in a hundred says more than counts, or one in three.
#[test]
fn rows_with_lists_and_facts() {
    for (seed, odd) in [(6, 1), (7, 30)] {
        let kind = Kind {
            odd,
            payers: 3,
            ..Kind::plain(seed, 250)
        };
        equal(&kind, &Look::PLAIN);
    }
}

/// Rows of a car lie anywhere, in one file or two, and the lot order is the
/// list's, or without one that of first appearance.
#[test]
fn rows_of_a_car_that_are_not_together() {
    let kind = Kind {
        odd: 5,
        payers: 3,
        uncounted: true,
        ..Kind::plain(8, 200)
    };
    for (files, list) in [(1, Order::Lot), (1, Order::Shuffled), (2, Order::Shuffled)] {
        let look = Look {
            rows: Order::Shuffled,
            files,
            list: Some(list),
            ..Look::PLAIN
        };
        equal(&kind, &look);
    }
    for files in [1, 3] {
        let look = Look {
            rows: Order::Shuffled,
            files,
            list: None,
            ..Look::PLAIN
        };
        let counted = Kind {
            uncounted: false,
            ..kind.clone()
        };
        equal(&counted, &look);
    }
}

/// Three payers, two cards, and all that the list would say in the counts.
#[test]
fn columns_of_the_list_in_the_counts() {
    let kind = Kind {
        payers: 3,
        classes: vec![4, 4],
        ..Kind::plain(9, 250)
    };
    let look = Look {
        list: None,
        ..Look::PLAIN
    };
    equal(&kind, &look);
}

#[test]
fn one_class_or_seven_and_cards_with_different_ones() {
    for (seed, classes) in [
        (10, vec![1]),
        (11, vec![7]),
        (12, vec![3, 5]),
        (13, vec![7, 1]),
    ] {
        let kind = Kind {
            classes,
            payers: 3,
            odd: 3,
            ..Kind::plain(seed, 120)
        };
        equal(&kind, &Look::PLAIN);
    }
}

#[test]
fn a_total_and_its_size() {
    for (seed, mixed) in [(14, "predominant"), (15, "largest"), (16, "each")] {
        let kind = Kind {
            mixed,
            one_size: true,
            odd: 5,
            ..Kind::plain(seed, 100)
        };
        let look = Look {
            one_size: true,
            ..Look::PLAIN
        };
        equal(&kind, &look);
    }
}

#[test]
fn grids_in_hours_mixed_sizes_and_both_roundings() {
    for (seed, mixed) in [(17, "predominant"), (18, "largest"), (19, "each")] {
        let kind = Kind {
            mixed,
            hours: seed != 18,
            half_even: seed != 17,
            odd: 10,
            ..Kind::plain(seed, 120)
        };
        equal(&kind, &Look::PLAIN);
    }
}

#[test]
fn currencies_of_no_two_and_three_places() {
    for (seed, currency) in [(20, ("JPY", 0)), (21, ("KWD", 3))] {
        let kind = Kind {
            currency,
            payers: 3,
            odd: 10,
            ..Kind::plain(seed, 120)
        };
        equal(&kind, &Look::PLAIN);
    }
}

/// Each row ends with delimiters that no column needs.
#[test]
fn delimiters_at_the_end_of_every_row() {
    let kind = Kind {
        odd: 10,
        ..Kind::plain(26, 100)
    };
    let look = Look {
        newline: ",\n",
        ..Look::PLAIN
    };
    equal(&kind, &look);
    let more = Look {
        newline: ", ,\t,\r\n",
        ..look
    };
    equal(&kind, &more);
}

#[test]
fn a_storm_measured_in_inches() {
    let kind = Kind {
        odd: 40,
        ..Kind::plain(25, 100)
    };
    for delimiter in [',', ';'] {
        let look = Look {
            inches: true,
            delimiter,
            ..Look::PLAIN
        };
        equal(&kind, &look);
    }
}

#[test]
fn stocks_of_every_kind() {
    let kind = Kind {
        hard_stocks: true,
        odd: 5,
        uncounted: true,
        ..Kind::plain(22, 150)
    };
    equal(&kind, &Look::PLAIN);
    let other = Look {
        columns: Order::Shuffled,
        rows: Order::Shuffled,
        loose: true,
        ..Look::PLAIN
    };
    equal(&kind, &other);
}

#[test]
fn a_blank_stock_is_the_one_above() {
    let look = Look {
        blank_stock: true,
        ..Look::PLAIN
    };
    equal(&Kind::plain(23, 120), &look);
    let in_counts = Look {
        list: None,
        columns: Order::Shuffled,
        ..look
    };
    equal(&Kind::plain(23, 120), &in_counts);
}

#[test]
fn repeated_rows_add_up_or_the_last_holds() {
    for rule in ["add", "last"] {
        let kind = Kind {
            odd: 30,
            ..Kind::plain(24, 120)
        };
        for rows in [Order::Lot, Order::Shuffled] {
            let look = Look {
                repeated: Some(rule),
                rows,
                files: 2,
                ..Look::PLAIN
            };
            equal(&kind, &look);
        }
    }
}

/// Cards whose every rule is rolled.
#[test]
fn random_cards() {
    for seed in 30..40 {
        let kind = Kind {
            random_cards: true,
            classes: vec![1 + seed as usize % 7, 4],
            mixed: ["predominant", "largest", "each"][seed as usize % 3],
            half_even: seed % 2 == 0,
            payers: 3,
            odd: 10,
            currency: [("USD", 2), ("JPY", 0), ("KWD", 3)][seed as usize / 2 % 3],
            ..Kind::plain(seed, 60)
        };
        equal(&kind, &Look::PLAIN);
    }
}

#[test]
fn three_thousand_cars() {
    let kind = Kind {
        payers: 3,
        odd: 1,
        ..Kind::plain(50, 3_000)
    };
    equal(&kind, &Look::PLAIN);
}
