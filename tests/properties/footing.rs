//! Sums: lines to groups, cars to payers, bodies and panels, parts to wholes;
//! and that the number of cores changes none of them.

use super::check;
use super::files::{all, price};
use super::sheets::one_sheet;
use hailyard::money::Money;
use hailyard::pricing::{GroupSum, price_storm};
use hailyard::storm::Group;
use hailyard::totals::{By, StormTotals, TotalsRow};
use proptest::test_runner::TestCaseError;
use proptest::{prop_assert, prop_assert_eq};
use rayon::ThreadPoolBuilder;

/// Everything in a row that must foot: sums by group, panels, dents, oversize.
type Foot = ([GroupSum; 6], [u64; 3]);

fn foot<'a>(rows: impl Iterator<Item = &'a TotalsRow>) -> Foot {
    let mut sums = Foot::default();
    for row in rows {
        for (sum, more) in sums.0.iter_mut().zip(row.groups) {
            sum.join(more);
        }
        let counts = [row.panels, row.dents, row.oversize];
        for (sum, more) in sums.1.iter_mut().zip(counts) {
            *sum += more;
        }
    }
    sums
}

/// The rows of one kind of key.
fn by(totals: &StormTotals, kind: By) -> Vec<&TotalsRow> {
    let same = |row: &&TotalsRow| std::mem::discriminant(&row.by) == std::mem::discriminant(&kind);
    totals.rows.iter().filter(same).collect()
}

#[test]
fn lines_foot_to_groups_and_cars_to_every_total() {
    check(200, 6, |lot, _| {
        let (storm, _, priced) = price(all(lot, one_sheet(lot)))?;
        let mut whole = Foot::default();
        let (mut payers, mut owners) = (Money::ZERO, Money::ZERO);
        for car in &priced.cars {
            let mut total = GroupSum::default();
            for group in Group::ALL {
                let mut sum = GroupSum::default();
                let lines = car.ledger.lines().iter();
                for line in lines.filter(|line| line.group == group) {
                    sum.add(line.amount);
                }
                prop_assert_eq!(car.ledger.sum(group), sum);
                total.join(sum);
                whole.0[group.index()].join(sum);
            }
            prop_assert_eq!(car.total(), total);
            let dented = |panel: &&_| hailyard::pricing::PricedPanel::counts(panel);
            whole.1[0] += car.panels.iter().filter(dented).count() as u64;
            for panel in &car.panels {
                whole.1[1] += u64::from(panel.dents);
                whole.1[2] += u64::from(panel.oversize);
            }
            payers += car.payer_pays.unwrap_or_default();
            owners += car.owner_pays.unwrap_or_default();
        }
        let totals = StormTotals::of(&priced.sums(&storm), storm.payers.len()).expect("totals");
        let row = totals.storm().expect("a row of the storm");
        prop_assert_eq!(foot(std::iter::once(row)), whole);
        prop_assert_eq!(row.payer_pays.unwrap_or_default(), payers);
        prop_assert_eq!(row.owner_pays.unwrap_or_default(), owners);
        let panels = by(&totals, By::Panel(None));
        prop_assert_eq!(foot(panels.into_iter()), whole);
        for kind in [By::Payer(0), By::Body(hailyard::storm::Body::Other)] {
            let rows = by(&totals, kind);
            prop_assert_eq!(foot(rows.iter().copied()), whole);
            let sum = |part: fn(&TotalsRow) -> Option<Money>| -> Money {
                rows.iter().filter_map(|row| part(row)).sum()
            };
            prop_assert_eq!(sum(|row| row.payer_pays), payers);
            prop_assert_eq!(sum(|row| row.owner_pays), owners);
            let cars: u64 = rows.iter().map(|row| row.cars).sum();
            let quotes: u64 = rows.iter().map(|row| row.quotes).sum();
            prop_assert_eq!((cars, quotes), (row.cars, row.quotes));
        }
        Ok(())
    });
}

#[test]
fn payer_and_owner_make_up_the_total_and_owners_stop_at_the_event_maximum() {
    check(600, 6, |lot, _| {
        let (storm, rates, priced) = price(all(lot, one_sheet(lot)))?;
        let mut borne = vec![Money::ZERO; storm.payers.len()];
        for (car, done) in storm.cars.iter().zip(&priced.cars) {
            let terms = &rates.terms[car.vehicle.payer];
            let (Some(owner), Some(payer)) = (done.owner_pays, done.payer_pays) else {
                prop_assert!(!done.is_counted() || done.total().shown().is_none());
                continue;
            };
            prop_assert_eq!(done.total().shown(), Some(owner + payer));
            prop_assert!(owner >= Money::ZERO && payer >= Money::ZERO);
            let own = car.vehicle.deductible.or(terms.deductible);
            prop_assert!(owner <= own.unwrap_or_default());
            borne[car.vehicle.payer] += owner;
        }
        for (borne, terms) in borne.into_iter().zip(&rates.terms) {
            if let Some(most) = terms.deductible_event_max {
                prop_assert!(borne <= most);
            }
        }
        Ok(())
    });
}

#[test]
fn one_thread_and_several_price_alike() {
    let pool = |threads| ThreadPoolBuilder::new().num_threads(threads).build();
    let pools = [1, 2, 5].map(|threads| pool(threads).expect("threads"));
    check(80, 40, |lot, _| {
        let mut shown = pools.iter().map(|pool| {
            pool.install(|| {
                let (storm, rates, priced) = price(all(lot, one_sheet(lot)))?;
                let again = price_storm(&storm, &rates);
                let texts = (format!("{priced:?}"), format!("{again:?}"));
                Ok::<_, TestCaseError>(texts)
            })
        });
        let (one, again) = shown.next().expect("three pools")?;
        prop_assert_eq!(&one, &again);
        for several in shown {
            let (several, again) = several?;
            prop_assert_eq!(&one, &several);
            prop_assert_eq!(&one, &again);
        }
        Ok(())
    });
}
