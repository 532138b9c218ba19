//! Step 1: dents in the size classes, by the grid.

use super::line::{Basis, Item, Line};
use super::prepared::{PreparedCard, PreparedGrid};
use crate::rates::{GridUnit, MixedSizes};
use crate::storm::{Group, Panel};
use crate::units::Hours;

/// The count is above a closed last band: the whole panel is referred.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AboveGrid;

/// Adds the lines for a panel's dents per class; none where there is no dent.
///
/// # Errors
/// A count above the grid's closed last band.
pub fn lines(
    card: &PreparedCard<'_>,
    panel: Panel,
    by_class: &[u32],
    lines: &mut Vec<Line>,
) -> Result<(), AboveGrid> {
    // Intake refuses dents on a panel that no grid serves.
    let Some(grid) = card.grid(panel) else {
        return Ok(());
    };
    if let Some(class) = one_class(card.card.mixed_sizes, by_class.len(), |at| by_class[at]) {
        let all = by_class.iter().sum();
        if all > 0 {
            lines.push(line(card, grid, panel, class, all)?);
        }
        return Ok(());
    }
    for (class, &dents) in by_class.iter().enumerate() {
        if dents > 0 {
            lines.push(line(card, grid, panel, class, dents)?);
        }
    }
    Ok(())
}

/// The class that gives the column to all dents, of so many with so many dents each;
/// none where each has its own.
#[inline]
#[must_use]
pub fn one_class(mixed: MixedSizes, classes: usize, dents: impl Fn(usize) -> u32) -> Option<usize> {
    let class = match mixed {
        // `max_by_key` keeps the last of equals: a tie goes to the larger class.
        MixedSizes::Predominant => (0..classes).max_by_key(|class| dents(*class)),
        MixedSizes::Largest => (0..classes).rfind(|class| dents(*class) > 0),
        MixedSizes::Each => return None,
    };
    Some(class.unwrap_or(0))
}

fn line(
    card: &PreparedCard<'_>,
    grid: &PreparedGrid<'_>,
    panel: Panel,
    class: usize,
    dents: u32,
) -> Result<Line, AboveGrid> {
    let band = grid.band_of(dents).ok_or(AboveGrid)?;
    let (cell, amount) = grid.amounts[band][class];
    let hours = (grid.grid.unit == GridUnit::Hours).then(|| {
        (
            Hours(grid.grid.cells[band][class]),
            card.card.hour_rate.into(),
        )
    });
    Ok(Line {
        panel: Some(panel),
        group: Group::Dents,
        item: Item::Dents(class),
        quantity: Some(dents),
        amount: Some(amount),
        basis: Basis::Band {
            dents,
            class,
            band: grid.grid.bands[band],
            hours,
            cell,
        },
    })
}
