//! What was counted on a car.

use super::Sheet;
use crate::rates::RateCard;
use crate::report::document::{Block, Table};
use crate::storm::{Access, Metal, Paint, PanelCount};

impl Sheet<'_, '_> {
    /// What was counted, panel by panel, prior dents too.
    pub(super) fn counts(&self, blocks: &mut Vec<Block>) {
        if self.car.panels.is_empty() {
            return;
        }
        let mut table = Table::new("What was counted")
            .words("panel", 0)
            .words("counted", 0)
            .words("surface", 2)
            .figures("prior", 1)
            .words("note", 3);
        for count in &self.car.panels {
            let prior = match count.prior {
                0 => String::new(),
                prior => prior.to_string(),
            };
            table.row(vec![
                count.panel.word().into(),
                counted_text(self.card, count).into(),
                surface_text(count).into(),
                prior.into(),
                count.note.as_str().into(),
            ]);
        }
        blocks.push(Block::Table(table.without_empty_columns()));
    }
}

/// The dents of a panel in the words of a card.
#[must_use]
pub fn counted_text(card: &RateCard, count: &PanelCount) -> String {
    let sorted = card.sort_dents(count).unwrap_or_default();
    let mut parts: Vec<String> = sorted
        .by_class
        .iter()
        .zip(&card.sizes)
        .filter(|(dents, _)| **dents > 0)
        .map(|(dents, class)| {
            // `9 mm-15` would read as nine millimetres.
            if class.name.contains(|c: char| c.is_ascii_digit()) {
                format!("{dents} x {}", class.name)
            } else {
                format!("{dents} {}", class.name)
            }
        })
        .collect();
    parts.extend(sorted.oversize.iter().map(|dents| match dents.dents {
        1 => format!("oversize {}", dents.diameter),
        times => format!("{times} x oversize {}", dents.diameter),
    }));
    if parts.is_empty() {
        parts.push("clean".to_owned());
    }
    parts.join(" + ")
}

/// Metal, access and paint, as far as they are not the usual ones.
#[must_use]
pub fn surface_text(count: &PanelCount) -> String {
    let mut words = Vec::new();
    if count.metal != Metal::Steel {
        words.push(count.metal.word());
    }
    if count.access != Access::Open {
        words.push(match count.access {
            Access::Glue => "no access (glue)",
            access => access.word(),
        });
    }
    if count.paint != Paint::Factory {
        words.push(count.paint.word());
    }
    if count.conventional {
        words.push("to conventional repair");
    }
    words.join(", ")
}
