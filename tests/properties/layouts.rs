//! How the same counts are written down changes no bill.

use super::check;
use super::files::bills_of;
use super::plain::Lot;
use super::ratio::Ratio;
use super::sheets::{Sheet, car_rows, dent_rows, one_sheet, panel_rows, rows};
use super::storms::Dice;
use proptest::prop_assert_eq;

/// Rows in another order, dealt out to one to four files.
#[test]
fn order_and_split_of_rows_change_nothing() {
    check(400, 6, |lot, dice| {
        let mut rows = rows(lot);
        dice.shuffle(&mut rows);
        let mut files: Vec<Vec<_>> = vec![Vec::new(); 1 + dice.below(4) as usize];
        for row in rows {
            let last = u32::try_from(files.len()).expect("few files");
            files[dice.below(last) as usize].push(row);
        }
        let sheets = files.iter().enumerate().map(|(index, rows)| {
            let name = format!("counts/{}.csv", ["w", "B", "10", "2"][index]);
            (name, panel_rows(lot, rows))
        });
        let split: Vec<Sheet> = sheets.collect();
        prop_assert_eq!(bills_of(lot, split)?, bills_of(lot, one_sheet(lot))?);
        Ok(())
    });
}

/// Gives every counted dent a diameter of its class, so that a caliper says it all.
pub fn measured(lot: &Lot, dice: &mut Dice<'_>) -> Lot {
    let mut measured = lot.clone();
    for car in &mut measured.cars {
        let sizes = &lot.card_of(car).sizes;
        for count in &mut car.panels {
            for (class, dents) in count.sized.iter_mut().enumerate() {
                let less = Ratio::dec(dice.below(2), 2);
                // Below the smallest class's limit nothing lies; above another's, a hair.
                let lowest = class.checked_sub(1).map(|below| sizes[below].1);
                let diameter = sizes[class].1 - less;
                let diameter = match lowest {
                    Some(lowest) if diameter <= lowest => sizes[class].1,
                    _ => diameter,
                };
                if *dents > 0 {
                    count.measured.push((diameter, *dents));
                }
                *dents = 0;
            }
        }
    }
    measured
}

/// Counted by class or measured with a caliper; measured dents in the
/// `oversize` column of panel rows, as dent rows, as car rows, and a storm
/// whose panels are spread over all three.
#[test]
fn layouts_change_nothing() {
    check(250, 6, |lot, dice| {
        let expected = bills_of(lot, one_sheet(lot))?;
        let all = rows(lot);
        let sheet = |name: &str, text| vec![(format!("counts/{name}.csv"), text)];
        prop_assert_eq!(
            &bills_of(lot, sheet("cars", car_rows(lot, &all)))?,
            &expected
        );
        let lot = &measured(lot, dice);
        prop_assert_eq!(&bills_of(lot, one_sheet(lot))?, &expected);
        prop_assert_eq!(
            &bills_of(lot, sheet("cars", car_rows(lot, &all)))?,
            &expected
        );
        prop_assert_eq!(
            &bills_of(lot, sheet("dents", dent_rows(lot, &all)))?,
            &expected
        );
        let mut dealt = [Vec::new(), Vec::new(), Vec::new()];
        for row in all {
            dealt[dice.below(3) as usize].push(row);
        }
        let mixed = vec![
            ("counts/a.csv".to_owned(), panel_rows(lot, &dealt[0])),
            ("counts/b.csv".to_owned(), dent_rows(lot, &dealt[1])),
            ("counts/c.csv".to_owned(), car_rows(lot, &dealt[2])),
        ];
        prop_assert_eq!(&bills_of(lot, mixed)?, &expected);
        Ok(())
    });
}
