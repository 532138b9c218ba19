//! Sound orders to begin from.

use super::problem::Minute;
use super::shop::Shop;

/// An order of whole cars, and whether it is scheduled through time.
#[derive(Debug, Clone)]
pub struct Start {
    /// The cars.
    pub order: Vec<usize>,
    /// Through time, and not car by car.
    pub through_time: bool,
}

/// The starts: every order both through time and car by car.
#[must_use]
pub fn starts(shop: &Shop<'_>) -> Vec<Start> {
    let by_order = orders(shop).into_iter().map(|order| {
        [true, false].map(|through_time| Start {
            order: order.clone(),
            through_time,
        })
    });
    by_order.flatten().collect()
}

fn orders(shop: &Shop<'_>) -> Vec<Vec<usize>> {
    let cars = &shop.problem.cars;
    let tasks = &shop.cars;
    let longest =
        |tasks: &[usize]| -> Minute { tasks.iter().map(|task| shop.least(Some(*task))).sum() };
    let dents: Vec<Minute> = tasks.iter().map(|car| longest(&car.panels)).collect();
    let strip: Vec<Minute> = tasks.iter().map(|car| shop.least(car.strip)).collect();
    let after: Vec<Minute> = tasks
        .iter()
        .map(|car| shop.least(car.fit) + shop.least(car.finish))
        .collect();
    let hands = Minute::try_from(shop.problem.hands).unwrap_or(1).max(1);
    let mut orders: Vec<Vec<usize>> = Vec::new();
    let mut add = |key: &dyn Fn(usize) -> (Minute, Minute)| {
        let mut order: Vec<usize> = (0..cars.len()).collect();
        order.sort_by_key(|car| key(*car));
        if !orders.contains(&order) {
            orders.push(order);
        }
    };
    // What was promised first; then the lot's own order.
    add(&|car| (cars[car].due.unwrap_or(Minute::MAX), cars[car].arrives));
    // Johnson 1954 for two stages: strip against all that follows.
    add(&|car| {
        let rest = dents[car] / hands + after[car];
        let later = Minute::from(strip[car] >= rest);
        (later, if later == 0 { strip[car] } else { -rest })
    });
    // The longest work first.
    add(&|car| (cars[car].arrives, -(strip[car] + dents[car] + after[car])));
    // Whose parts come last, last.
    add(&|car| {
        let waits = if tasks[car].fit.is_some() {
            cars[car].fit_not_before
        } else {
            0
        };
        (cars[car].arrives.max(waits), -(strip[car] + dents[car]))
    });
    // The longest work first, whenever it comes; the longest panel likewise.
    add(&|car| (0, -(strip[car] + dents[car] + after[car])));
    add(&|car| {
        let panels = tasks[car].panels.iter();
        (
            0,
            -panels
                .map(|task| shop.least(Some(*task)))
                .max()
                .unwrap_or(0),
        )
    });
    // What has the longest way after its dents first.
    add(&|car| (cars[car].arrives, -after[car]));
    orders
}
