//! Uplifts, and how many of them may build on each other.

use super::CardReader;
use super::raw::{RawCard, RawUplift};
use crate::money::Percent;
use crate::rates::{GridUnit, RateCard, Uplift, UpliftBase, UpliftMode};
use crate::storm::words;
use crate::storm::{Access, AccessSet, Body, BodySet, Metal, MetalSet, Panel, PanelSet};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use toml::Spanned;

impl CardReader<'_, '_> {
    pub(super) fn uplifts(&mut self, raw: &[Spanned<RawUplift>]) -> Vec<Uplift> {
        let mut uplifts: Vec<Uplift> = Vec::new();
        for entry in raw {
            let (span, entry) = (entry.span(), entry.get_ref());
            let known: Vec<String> = uplifts.iter().map(|uplift| uplift.name.clone()).collect();
            let name = match &entry.name {
                // An uplift may bear a metal's or a panel's name: it is no column.
                Some(name) => self.line_name(name, &known),
                None => self.missing(&span, "name", "the uplift's name"),
            };
            let percent = match &entry.percent {
                Some(value) => self.doc.percent(value, 1000),
                None => self.missing(&span, "percent", "how much"),
            };
            let on = match &entry.on {
                Some(list) => self
                    .doc
                    .word_list(list, &[("dents", 0), ("oversize", 1)], |_| None)
                    .map(|kinds| UpliftBase {
                        dents: kinds.contains(&0),
                        oversize: kinds.contains(&1),
                    }),
                None => self.missing(&span, "on", "a list of dents, oversize"),
            };
            let metals = entry.metal.as_ref().map(|list| {
                let known = Metal::ALL.map(|metal| (metal.word(), metal));
                self.doc.word_list(list, &known, |word| {
                    Some(words::metal(word)?.word().to_owned())
                })
            });
            let accesses = entry.access.as_ref().map(|list| {
                let known = Access::ALL.map(|access| (access.word(), access));
                self.doc.word_list(list, &known, |word| {
                    Some(words::access(word)?.word().to_owned())
                })
            });
            let panels = self.panel_set(entry.panels.as_ref());
            let bodies = entry
                .bodies
                .as_ref()
                .map(|list| self.doc.word_list(list, &super::body_choices(), |_| None));
            if let (Some(name), Some(percent), Some(on), Some(panels)) = (name, percent, on, panels)
            {
                uplifts.push(Uplift {
                    name,
                    percent,
                    on,
                    metals: metals
                        .flatten()
                        .map_or(MetalSet::ALL, |list| list.into_iter().collect()),
                    accesses: accesses
                        .flatten()
                        .map_or(AccessSet::ALL, |list| list.into_iter().collect()),
                    panels: panels.unwrap_or(PanelSet::ALL),
                    bodies: bodies
                        .flatten()
                        .map_or(BodySet::ALL, |list| list.into_iter().collect()),
                });
            }
        }
        uplifts
    }

    /// Refuses more than four compounding uplifts that can meet on one panel,
    /// and figures whose product could pass the 38 digits of [`Exact`].
    pub(super) fn check_compounding(&mut self, raw: &RawCard, card: &RateCard) {
        if card.uplift_mode != UpliftMode::Compound {
            return;
        }
        let Some(entry) = raw.uplift.last().map(Spanned::span) else {
            return;
        };
        if most_meeting(&card.uplifts) > 4 {
            self.doc.fault_key(
                &entry,
                "uplift",
                format!(
                    "{} compounding uplifts that can meet",
                    most_meeting(&card.uplifts)
                ),
                "at most four that can meet on one panel",
            );
            return;
        }
        let figure = |value: Decimal| value.to_f64().unwrap_or(f64::MAX);
        let cells = card.grids.iter().flat_map(|grid| {
            let rate = match grid.unit {
                GridUnit::Money => 1.0,
                GridUnit::Hours => figure(card.hour_rate),
            };
            grid.cells
                .iter()
                .flatten()
                .map(move |cell| figure(*cell) * rate)
        });
        let largest_cell = cells.fold(0.0, f64::max) * card.sizes.len().max(1) as f64;
        let largest_step = card
            .oversize
            .iter()
            .filter_map(|step| step.each.to_string().parse::<f64>().ok())
            .fold(0.0, f64::max)
            * 9_999.0;
        let factors: f64 = card
            .uplifts
            .iter()
            .map(|uplift| figure(uplift.percent.0))
            .map(|percent| (100.0 + percent) * 1_000.0)
            .collect::<Vec<f64>>()
            .iter()
            .fold(Vec::new(), |mut most: Vec<f64>, factor| {
                most.push(*factor);
                most.sort_by(|a, b| b.total_cmp(a));
                most.truncate(4);
                most
            })
            .iter()
            .product();
        // Four places are the most that any currency has.
        if largest_cell.max(largest_step) * 10_000.0 * factors > 1.0e38 {
            self.doc.fault_key(
                &entry,
                "uplift",
                "figures and compounding percents whose product passes 38 digits",
                "smaller figures, or fewer compounding uplifts",
            );
        }
    }
}

/// How many uplifts on one kind of line can meet on one panel of one car.
fn most_meeting(uplifts: &[Uplift]) -> usize {
    let mut most = 0;
    for panel in Panel::ALL {
        for body in Body::ALL {
            for metal in Metal::ALL {
                for access in Access::ALL {
                    let meeting = uplifts
                        .iter()
                        .filter(|uplift| uplift.percent != Percent::ZERO)
                        .filter(|uplift| uplift.applies(metal, access, panel, body));
                    let (mut dents, mut oversize) = (0, 0);
                    for uplift in meeting {
                        dents += usize::from(uplift.on.dents);
                        oversize += usize::from(uplift.on.oversize);
                    }
                    most = most.max(dents).max(oversize);
                }
            }
        }
    }
    most
}
