//! A card made ready: what hangs on the card alone is rounded once per card and
//! not once per panel.

use crate::money::{Currency, Exact, Money, Rounding};
use crate::rates::{Grid, GridUnit, Limit, RateCard};
use crate::storm::{Body, Panel};
use rust_decimal::Decimal;

/// A card with what pricing looks up again and again.
#[derive(Debug)]
pub struct PreparedCard<'a> {
    /// Its place among the storm's cards.
    pub number: usize,
    /// The card.
    pub card: &'a RateCard,
    /// Its rounding in the storm's currency.
    pub rounding: Rounding,
    /// The place of every removal in the byte order of their codes.
    code_places: Vec<usize>,
    /// The removals that include each, in the byte order of their codes.
    including: Vec<Vec<usize>>,
    /// The labour of every removal by body.
    labour: Vec<[Money; Body::ALL.len()]>,
    grids: Vec<PreparedGrid<'a>>,
    grid_of: [Option<usize>; 25],
    limit_of: [Option<Limit>; 25],
    set_off_by: [Vec<(usize, u32)>; 25],
}

/// A grid with the amount of every cell.
#[derive(Debug)]
pub struct PreparedGrid<'a> {
    /// The grid.
    pub grid: &'a Grid,
    /// `amounts[band][class]`, exact and rounded.
    pub amounts: Vec<Vec<(Exact, Money)>>,
    /// The band of every count that is not large.
    band_of: Vec<Option<u16>>,
}

impl PreparedGrid<'_> {
    /// Counts whose band is looked up.
    const LOOKED_UP: u32 = 512;

    /// The band that holds a count above 0; none when it is above a closed last band.
    #[must_use]
    pub fn band_of(&self, count: u32) -> Option<usize> {
        match self.band_of.get(count as usize) {
            Some(band) => band.map(usize::from),
            None => self.grid.band_of(count),
        }
    }
}

impl<'a> PreparedCard<'a> {
    /// Makes a storm's cards ready.
    #[must_use]
    pub fn all(cards: &'a [RateCard], currency: Currency) -> Vec<PreparedCard<'a>> {
        let cards = cards.iter().enumerate();
        cards
            .map(|(number, card)| PreparedCard::new(number, card, currency))
            .collect()
    }

    fn new(number: usize, card: &'a RateCard, currency: Currency) -> PreparedCard<'a> {
        let rounding = Rounding {
            rule: card.rounding,
            currency,
        };
        let amount = |unit: GridUnit, cell: Decimal| {
            let exact = match unit {
                GridUnit::Money => Exact::from(cell),
                GridUnit::Hours => Exact::from(cell).times(card.hour_rate),
            };
            (exact, rounding.money(exact))
        };
        let grids: Vec<PreparedGrid<'a>> = card
            .grids
            .iter()
            .map(|grid| PreparedGrid {
                grid,
                amounts: grid
                    .cells
                    .iter()
                    .map(|row| row.iter().map(|cell| amount(grid.unit, *cell)).collect())
                    .collect(),
                band_of: (0..PreparedGrid::LOOKED_UP)
                    .map(|count| {
                        grid.band_of(count)
                            .and_then(|band| u16::try_from(band).ok())
                    })
                    .collect(),
            })
            .collect();
        let grid_of = Panel::ALL.map(|panel| {
            let serving = card.grid_for(panel)?;
            card.grids
                .iter()
                .position(|grid| std::ptr::eq(grid, serving))
        });
        let mut by_code: Vec<usize> = (0..card.removals.len()).collect();
        by_code.sort_by(|a, b| card.removals[*a].code.cmp(&card.removals[*b].code));
        let mut code_places = vec![0; by_code.len()];
        for (place, removal) in by_code.iter().enumerate() {
            code_places[*removal] = place;
        }
        let including = (0..by_code.len()).map(|removal| {
            let includes = |other: &usize| card.removals[*other].includes.contains(&removal);
            by_code.iter().copied().filter(includes).collect()
        });
        let labour = card.removals.iter().map(|removal| {
            Body::ALL.map(|body| rounding.money(removal.labour(body, card.removal_rate)))
        });
        PreparedCard {
            labour: labour.collect(),
            number,
            card,
            rounding,
            including: including.collect(),
            code_places,
            grids,
            grid_of,
            set_off_by: Panel::ALL.map(|panel| set_off_by(card, panel)),
            limit_of: Panel::ALL.map(|panel| card.limit_for(panel).copied()),
        }
    }

    /// The grid that serves a panel.
    #[must_use]
    pub fn grid(&self, panel: Panel) -> Option<&PreparedGrid<'a>> {
        self.grid_of[panel.index()].map(|grid| &self.grids[grid])
    }

    /// The limit of a panel.
    #[must_use]
    pub fn limit(&self, panel: Panel) -> Option<&Limit> {
        self.limit_of[panel.index()].as_ref()
    }

    /// What the labour of a removal comes to on a body.
    #[must_use]
    pub fn labour(&self, removal: usize, body: Body) -> Money {
        self.labour[removal][body as usize]
    }

    /// The place of a removal in the byte order of their codes.
    #[must_use]
    pub fn code_place(&self, removal: usize) -> usize {
        self.code_places[removal]
    }

    /// The removals that include one, in the byte order of their codes.
    #[must_use]
    pub fn including(&self, removal: usize) -> &[usize] {
        &self.including[removal]
    }

    /// The removals that dents on a panel can set off, in card order, and from
    /// how many dents on.
    #[must_use]
    pub fn set_off_by(&self, panel: Panel) -> &[(usize, u32)] {
        &self.set_off_by[panel.index()]
    }
}

fn set_off_by(card: &RateCard, panel: Panel) -> Vec<(usize, u32)> {
    let mut found = Vec::new();
    for (removal, entry) in card.removals.iter().enumerate() {
        let autos = entry.auto.iter().filter(|auto| auto.panels.holds(panel));
        found.extend(autos.map(|auto| (removal, auto.dents_at_least)));
    }
    found
}
