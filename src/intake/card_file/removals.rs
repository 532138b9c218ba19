//! Removals: hours, what sets them off, and what includes what.

use super::super::names::Names;
use super::super::toml_doc::one_of;
use super::CardReader;
use super::raw::{RawAuto, RawHours, RawRemoval};
use crate::money::Exact;
use crate::rates::{AutoRemoval, Caution, OncePer, Removal, RemovalHours};
use crate::storm::words;
use crate::storm::{Body, CodeId, Panel};
use crate::units::Hours;
use rust_decimal::Decimal;
use std::collections::BTreeMap;
use toml::Spanned;

impl CardReader<'_, '_> {
    pub(super) fn removals(
        &mut self,
        raw: &[Spanned<RawRemoval>],
        has_rate: bool,
        names: &mut Names,
    ) -> Vec<Removal> {
        if let (Some(first), false) = (raw.first(), has_rate) {
            self.doc.fault_key(
                &first.span(),
                "removal_rate",
                "",
                "`removal_rate`: the card has removals",
            );
        }
        let mut codes: Vec<String> = Vec::new();
        let mut removals: Vec<(usize, Removal)> = Vec::new();
        for (index, entry) in raw.iter().enumerate() {
            let (span, entry) = (entry.span(), entry.get_ref());
            let code = match &entry.code {
                Some(value) => self.line_name(value, &codes),
                None => self.missing(&span, "code", "the removal's code"),
            };
            codes.push(code.clone().unwrap_or_default());
            let hours = match &entry.hours {
                Some(value) => self.hours(value),
                None => self.missing(&span, "hours", "the hours it takes"),
            };
            let once_per = match &entry.once_per {
                Some(value) => self.doc.word(
                    value,
                    &[("vehicle", OncePer::Vehicle), ("panel", OncePer::Panel)],
                ),
                None => self.missing(&span, "once_per", "vehicle or panel"),
            };
            let parts = entry.parts.as_ref().map(|value| self.doc.decimal(value));
            let auto = self.auto(&entry.auto);
            let caution = entry.caution.as_ref().and_then(|value| {
                self.doc.word(
                    value,
                    &Caution::ALL.map(|caution| (caution.word(), caution)),
                )
            });
            if let (Some(code), Some(hours), Some(once_per)) = (code, hours, once_per) {
                removals.push((
                    index,
                    Removal {
                        id: CodeId(names.codes.intern(&code)),
                        code,
                        hours,
                        once_per,
                        parts: parts.flatten().map(Exact::from),
                        includes: Vec::new(),
                        auto,
                        caution,
                    },
                ));
            }
        }
        self.includes(raw, &codes, &mut removals);
        removals.into_iter().map(|(_, removal)| removal).collect()
    }

    pub(super) fn hours(&mut self, value: &Spanned<RawHours>) -> Option<RemovalHours> {
        let by_body = match value.get_ref() {
            RawHours::One(scalar) => {
                let scalar = Spanned::new(value.span(), scalar.clone());
                return Some(RemovalHours::Any(Hours(self.doc.hours(&scalar)?)));
            }
            RawHours::ByBody(table) => table,
        };
        let mut hours: [Option<Decimal>; 8] = [None; 8];
        let mut sound = true;
        for (key, figure) in by_body {
            match Body::from_word(key) {
                Some(body) => match self.doc.hours(figure) {
                    Some(figure) => hours[body as usize] = Some(figure),
                    None => sound = false,
                },
                None => {
                    let words = Body::ALL.map(Body::word);
                    let meant = words::nearest(&words::fold(key), words.into_iter());
                    let mut expected = one_of(&words);
                    if let Some(meant) = meant {
                        expected.push_str(&format!("; probably {meant}"));
                    }
                    self.doc
                        .fault_key(&figure.span(), key, key.as_str(), expected);
                    sound = false;
                }
            }
        }
        let other = hours[Body::Other as usize];
        if sound && other.is_none() && hours[..7].iter().any(Option::is_none) {
            let given: Vec<&str> = by_body.keys().map(String::as_str).collect();
            self.doc.fault_found(
                &value.span(),
                format!("{} only", given.join(", ")),
                "`other`, or every body",
                None,
            );
            return None;
        }
        sound.then(|| {
            RemovalHours::ByBody(
                hours.map(|figure| Hours(figure.or(other).unwrap_or(Decimal::ZERO))),
            )
        })
    }

    pub(super) fn auto(&mut self, raw: &[Spanned<RawAuto>]) -> Vec<AutoRemoval> {
        let mut list = Vec::new();
        for entry in raw {
            let (span, entry) = (entry.span(), entry.get_ref());
            let panels = match &entry.panels {
                Some(panels) => self.panels(panels),
                None => Some(Panel::ALL.to_vec()),
            };
            let dents_at_least = match &entry.dents_at_least {
                Some(value) => self.doc.whole(value),
                None => self.missing(&span, "dents_at_least", "from how many dents on a panel"),
            };
            if let (Some(panels), Some(dents_at_least)) = (panels, dents_at_least) {
                list.push(AutoRemoval {
                    panels: panels.into_iter().collect(),
                    dents_at_least,
                });
            }
        }
        list
    }

    /// Resolves `includes` and refuses rings. `removals` keep their index in `raw`.
    pub(super) fn includes(
        &mut self,
        raw: &[Spanned<RawRemoval>],
        codes: &[String],
        removals: &mut [(usize, Removal)],
    ) {
        let mut edges: Vec<Vec<usize>> = vec![Vec::new(); raw.len()];
        for (index, entry) in raw.iter().enumerate() {
            let Some(list) = &entry.get_ref().includes else {
                continue;
            };
            if list.get_ref().is_empty() {
                self.doc.fault(
                    &list.span(),
                    "a list that is not empty; leave the key out instead",
                );
            }
            for item in list.get_ref() {
                let Some(code) = self.doc.name(item) else {
                    continue;
                };
                let folded = words::fold(&code);
                match codes.iter().position(|known| words::fold(known) == folded) {
                    Some(target) if edges[index].contains(&target) => {
                        self.doc.fault(&item.span(), "a code once in a list");
                    }
                    Some(target) => edges[index].push(target),
                    None => {
                        let known: Vec<String> =
                            codes.iter().map(|code| words::fold(code)).collect();
                        let meant = words::nearest(&folded, known.iter().map(String::as_str));
                        let meant = meant.and_then(|near| {
                            codes.iter().find(|code| words::fold(code) == near).cloned()
                        });
                        self.doc
                            .fault_meant(&item.span(), "a removal code of this card", meant);
                    }
                }
            }
        }
        if let Some(ring) = find_ring(&edges) {
            // The ring is said once, where its first code in card order includes the next.
            let first = ring.iter().copied().min().unwrap_or(0);
            let mut names: Vec<&str> = Vec::new();
            let start = ring.iter().position(|node| *node == first).unwrap_or(0);
            for step in 0..ring.len() {
                names.push(&codes[ring[(start + step) % ring.len()]]);
            }
            if let Some(list) = &raw[first].get_ref().includes {
                self.doc
                    .fault_found(&list.span(), names.join(", "), "no ring", None);
            }
        }
        let place: BTreeMap<usize, usize> = removals
            .iter()
            .enumerate()
            .map(|(at, (index, _))| (*index, at))
            .collect();
        for (index, removal) in removals.iter_mut() {
            removal.includes = edges[*index]
                .iter()
                .filter_map(|target| place.get(target).copied())
                .collect();
        }
    }
}

/// A ring in a directed graph, if there is one, in the order of its arrows.
fn find_ring(edges: &[Vec<usize>]) -> Option<Vec<usize>> {
    // 0: not seen, 1: on the path, 2: done. The path is kept by hand: a card
    // may chain thousands of codes, which a recursion would not survive.
    let mut state = vec![0_u8; edges.len()];
    for start in 0..edges.len() {
        let mut path: Vec<(usize, usize)> = vec![(start, 0)];
        if state[start] != 0 {
            continue;
        }
        state[start] = 1;
        while let Some((node, next)) = path.last_mut() {
            let node = *node;
            let Some(&target) = edges[node].get(*next) else {
                state[node] = 2;
                path.pop();
                continue;
            };
            *next += 1;
            match state[target] {
                0 => {
                    state[target] = 1;
                    path.push((target, 0));
                }
                1 => {
                    let from = path.iter().position(|(node, _)| *node == target)?;
                    return Some(path[from..].iter().map(|(node, _)| *node).collect());
                }
                _ => {}
            }
        }
    }
    None
}
