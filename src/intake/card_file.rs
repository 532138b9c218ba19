//! `rates/NAME.toml` → [`RateCard`]. A card that comes out of here is sound.

use super::grid_file;
use super::names::Names;
use super::source::Source;
use super::toml_doc::{Doc, List, Scalar, Span};
use crate::money::{Exact, Percent, RoundingRule};
use crate::rates::{
    AutoRemoval, Band, BandError, Caution, Conventional, Extra, Grid, GridUnit, Limit, LimitAction,
    MixedSizes, OncePer, OversizeStep, Per, RateCard, Removal, RemovalHours, SizeClass, Uplift,
    UpliftBase, UpliftMode, check_bands,
};
use crate::storm::words::{self, PanelWord, Vocabulary};
use crate::storm::{
    Access, AccessSet, Body, BodySet, CodeId, Metal, MetalSet, Panel, PanelSet, SizeId,
};
use crate::units::{Hours, Millimetres};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::fmt;
use toml::Spanned;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawCard {
    name: Option<Scalar>,
    rounding: Option<Scalar>,
    mixed_sizes: Option<Scalar>,
    uplifts: Option<Scalar>,
    hour_rate: Option<Scalar>,
    removal_rate: Option<Scalar>,
    #[serde(default)]
    size: Vec<Spanned<RawSize>>,
    #[serde(default)]
    grid: Vec<Spanned<BTreeMap<String, Spanned<RawCell>>>>,
    #[serde(default)]
    oversize: Vec<Spanned<RawStep>>,
    #[serde(default)]
    uplift: Vec<Spanned<RawUplift>>,
    #[serde(default)]
    limit: Vec<Spanned<RawLimit>>,
    #[serde(default)]
    conventional: Vec<Spanned<RawConventional>>,
    #[serde(default)]
    removal: Vec<Spanned<RawRemoval>>,
    #[serde(default)]
    extra: Vec<Spanned<RawExtra>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawSize {
    name: Option<Scalar>,
    upto_mm: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawStep {
    upto_mm: Option<Scalar>,
    each: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawUplift {
    name: Option<Scalar>,
    percent: Option<Scalar>,
    on: Option<List>,
    metal: Option<List>,
    access: Option<List>,
    panels: Option<List>,
    bodies: Option<List>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawLimit {
    panels: Option<List>,
    amount: Option<Scalar>,
    then: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawConventional {
    panels: Option<List>,
    amount: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawRemoval {
    code: Option<Scalar>,
    hours: Option<Spanned<RawHours>>,
    once_per: Option<Scalar>,
    parts: Option<Scalar>,
    includes: Option<List>,
    #[serde(default)]
    auto: Vec<Spanned<RawAuto>>,
    caution: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawAuto {
    panels: Option<List>,
    dents_at_least: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawExtra {
    name: Option<Scalar>,
    per: Option<Scalar>,
    amount: Option<Scalar>,
}

/// A grid's value: one scalar, or a list with the place of every item.
enum RawCell {
    One(toml::Value),
    Many(Vec<Scalar>),
}

/// A removal's hours: one figure, or one by body.
enum RawHours {
    One(toml::Value),
    ByBody(BTreeMap<String, Scalar>),
}

struct OneOrMany<T>(std::marker::PhantomData<T>);

impl<'de, T: FromParts> serde::de::Visitor<'de> for OneOrMany<T> {
    type Value = T;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", T::EXPECTED)
    }

    fn visit_str<E>(self, text: &str) -> Result<T, E> {
        Ok(T::one(toml::Value::String(text.to_owned())))
    }

    fn visit_i64<E>(self, number: i64) -> Result<T, E> {
        Ok(T::one(toml::Value::Integer(number)))
    }

    fn visit_f64<E>(self, number: f64) -> Result<T, E> {
        Ok(T::one(toml::Value::Float(number)))
    }

    fn visit_bool<E>(self, truth: bool) -> Result<T, E> {
        Ok(T::one(toml::Value::Boolean(truth)))
    }

    fn visit_seq<A: serde::de::SeqAccess<'de>>(self, mut items: A) -> Result<T, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element()? {
            list.push(item);
        }
        T::many(list).ok_or_else(|| serde::de::Error::custom(T::EXPECTED))
    }

    fn visit_map<A: serde::de::MapAccess<'de>>(self, mut entries: A) -> Result<T, A::Error> {
        let mut table = BTreeMap::new();
        while let Some((key, value)) = entries.next_entry()? {
            table.insert(key, value);
        }
        T::table(table).ok_or_else(|| serde::de::Error::custom(T::EXPECTED))
    }
}

trait FromParts: Sized {
    const EXPECTED: &'static str;
    fn one(value: toml::Value) -> Self;
    fn many(_items: Vec<Scalar>) -> Option<Self> {
        None
    }
    fn table(_entries: BTreeMap<String, Scalar>) -> Option<Self> {
        None
    }
}

impl FromParts for RawCell {
    const EXPECTED: &'static str = "a quoted figure or a list of them";
    fn one(value: toml::Value) -> RawCell {
        RawCell::One(value)
    }
    fn many(items: Vec<Scalar>) -> Option<RawCell> {
        Some(RawCell::Many(items))
    }
}

impl FromParts for RawHours {
    const EXPECTED: &'static str = "quoted hours, or a table of them by body";
    fn one(value: toml::Value) -> RawHours {
        RawHours::One(value)
    }
    fn table(entries: BTreeMap<String, Scalar>) -> Option<RawHours> {
        Some(RawHours::ByBody(entries))
    }
}

impl<'de> Deserialize<'de> for RawCell {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<RawCell, D::Error> {
        from.deserialize_any(OneOrMany(std::marker::PhantomData))
    }
}

impl<'de> Deserialize<'de> for RawHours {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<RawHours, D::Error> {
        from.deserialize_any(OneOrMany(std::marker::PhantomData))
    }
}

/// Reads one card. `None` when it is refused; the reasons are in the doc's problems.
pub fn read(
    doc: &mut Doc<'_>,
    source: &dyn Source,
    path: &str,
    names: &mut Names,
) -> Option<RateCard> {
    let before = doc.problems().errors();
    let raw: RawCard = doc.read()?;
    let mut reader = CardReader {
        doc,
        vocabulary: Vocabulary::default(),
    };
    let card = reader.card(&raw, source, path, names);
    (reader.doc.problems().errors() == before)
        .then_some(card)
        .flatten()
}

struct CardReader<'d, 'p> {
    doc: &'d mut Doc<'p>,
    vocabulary: Vocabulary,
}

fn panel_choices() -> Vec<(&'static str, Panel)> {
    Panel::ALL
        .into_iter()
        .map(|panel| (panel.word(), panel))
        .collect()
}

fn body_choices() -> Vec<(&'static str, Body)> {
    Body::ALL
        .into_iter()
        .map(|body| (body.word(), body))
        .collect()
}

/// Words that a name may not be once folded: columns and terms of a count
/// sheet, keys of a grid, units.
const RESERVED: [&str; 34] = [
    "stock",
    "panel",
    "panels",
    "dents",
    "size",
    "metal",
    "access",
    "oversize",
    "remove",
    "conventional",
    "prior",
    "paint",
    "note",
    "counted_by",
    "counted_on",
    "diameter",
    "diameter_mm",
    "diameter_in",
    "count",
    "band",
    "bands",
    "unit",
    "file",
    "mm",
    "in",
    "vin",
    "year",
    "make",
    "model",
    "body",
    "payer",
    "value",
    "deductible",
    "row",
];

impl CardReader<'_, '_> {
    fn card(
        &mut self,
        raw: &RawCard,
        source: &dyn Source,
        path: &str,
        names: &mut Names,
    ) -> Option<RateCard> {
        let name = match &raw.name {
            Some(name) => self.doc.name(name),
            None => self.missing(&(0..0), "name", "the card's name"),
        };
        let rounding = self.choice(
            raw.rounding.as_ref(),
            &[
                ("half-up", RoundingRule::HalfUp),
                ("half-even", RoundingRule::HalfEven),
            ],
        );
        let mixed_sizes = self.choice(
            raw.mixed_sizes.as_ref(),
            &[
                ("predominant", MixedSizes::Predominant),
                ("largest", MixedSizes::Largest),
                ("each", MixedSizes::Each),
            ],
        );
        let uplift_mode = self.choice(
            raw.uplifts.as_ref(),
            &[("add", UpliftMode::Add), ("compound", UpliftMode::Compound)],
        );
        let hour_rate = raw.hour_rate.as_ref().map(|rate| self.doc.decimal(rate));
        let removal_rate = raw.removal_rate.as_ref().map(|rate| self.doc.decimal(rate));
        let sizes = self.sizes(&raw.size, names);
        let grids = self.grids(&raw.grid, &sizes, hour_rate.is_some(), source, path);
        let oversize = self.steps(&raw.oversize);
        let uplifts = self.uplifts(&raw.uplift);
        let limits = self.limits(&raw.limit);
        let conventional = self.conventional(&raw.conventional);
        let removals = self.removals(&raw.removal, removal_rate.is_some(), names);
        let extras = self.extras(&raw.extra);
        let card = RateCard {
            name: name?,
            rounding,
            mixed_sizes,
            uplift_mode,
            hour_rate: hour_rate.unwrap_or(Some(Decimal::ZERO))?,
            removal_rate: removal_rate.unwrap_or(Some(Decimal::ZERO))?,
            sizes,
            grids,
            oversize,
            uplifts,
            limits,
            conventional,
            removals,
            extras,
        };
        self.check_compounding(raw, &card);
        Some(card)
    }

    fn missing<T>(&mut self, at: &Span, key: &str, expected: &str) -> Option<T> {
        self.doc
            .fault_key(at, key, "", format!("`{key}`: {expected}"));
        None
    }

    fn choice<T: Copy + Default>(
        &mut self,
        value: Option<&Scalar>,
        known: &[(&'static str, T)],
    ) -> T {
        value
            .and_then(|value| self.doc.word(value, known))
            .unwrap_or_default()
    }

    fn panels(&mut self, list: &List) -> Option<Vec<Panel>> {
        let vocabulary = &self.vocabulary;
        self.doc.word_list(list, &panel_choices(), |word| {
            match vocabulary.panel(word)? {
                PanelWord::One(panel) => Some(panel.word().to_owned()),
                PanelWord::NoSide(panels) => {
                    let words: Vec<&str> = panels.iter().map(|panel| panel.word()).collect();
                    Some(super::toml_doc::one_of(&words))
                }
            }
        })
    }

    /// A list of panels as a set: `Some(None)` without a list, `None` when the list is at fault.
    fn panel_set(&mut self, list: Option<&List>) -> Option<Option<PanelSet>> {
        match list {
            None => Some(None),
            Some(list) => Some(Some(self.panels(list)?.into_iter().collect())),
        }
    }

    /// A name, checked against what names may not be and against its fellows.
    fn free_name(&mut self, value: &Scalar, others: &[String]) -> Option<String> {
        let name = self.doc.name(value)?;
        let folded = words::fold(&name);
        let span = value.span();
        if name.contains(['+', ';']) {
            self.doc.fault(
                &span,
                "a name without `+` or `;`, which part the terms of a sheet",
            );
            return None;
        }
        if RESERVED.iter().any(|word| words::fold(word) == folded)
            || words::column_alias(&folded).is_some()
        {
            self.doc
                .fault(&span, "a name that is no column, key or unit of a sheet");
            return None;
        }
        if let Some(other) = others.iter().find(|other| words::fold(other) == folded) {
            self.doc.fault(
                &span,
                format!("a name that differs from `{other}` once folded"),
            );
            return None;
        }
        Some(name)
    }

    fn sizes(&mut self, raw: &[Spanned<RawSize>], names: &mut Names) -> Vec<SizeClass> {
        let mut sizes: Vec<SizeClass> = Vec::new();
        if raw.is_empty() {
            self.doc
                .fault_key(&(0..0), "size", "", "at least one [[size]]");
        }
        for entry in raw {
            let (span, entry) = (entry.span(), entry.get_ref());
            let known: Vec<String> = sizes.iter().map(|size| size.name.clone()).collect();
            let name = match &entry.name {
                Some(name) => self.free_name(name, &known).filter(|text| {
                    let is_term = words::metal(text).is_some()
                        || words::access(text).is_some()
                        || matches!(self.vocabulary.panel(text), Some(PanelWord::One(_)));
                    if is_term {
                        self.doc.fault(
                            &name.span(),
                            "a name that is no panel, metal or access of a sheet",
                        );
                    }
                    !is_term
                }),
                None => self.missing(&span, "name", "the class's name"),
            };
            let upto = match &entry.upto_mm {
                Some(value) => {
                    self.ascending(value, sizes.last().map(|size| size.upto), "size classes")
                }
                None => self.missing(&span, "upto_mm", "the greatest diameter in the class"),
            };
            // A class whose limit is at fault still counts as a column of the grids.
            if let Some(name) = name {
                let upto = upto.unwrap_or_else(|| {
                    sizes
                        .last()
                        .map_or(Millimetres(Decimal::ZERO), |size| size.upto)
                });
                sizes.push(SizeClass {
                    id: SizeId(names.sizes.intern(&name)),
                    name,
                    upto,
                });
            }
        }
        sizes
    }

    fn ascending(
        &mut self,
        value: &Scalar,
        last: Option<Millimetres>,
        what: &str,
    ) -> Option<Millimetres> {
        let upto = Millimetres(self.doc.positive(value)?);
        if let Some(last) = last
            && upto <= last
        {
            let least = last.0.normalize();
            self.doc.fault(
                &value.span(),
                format!("more than {least}: {what} stand smallest first"),
            );
            return None;
        }
        Some(upto)
    }

    fn grids(
        &mut self,
        raw: &[Spanned<BTreeMap<String, Spanned<RawCell>>>],
        sizes: &[SizeClass],
        has_hour_rate: bool,
        source: &dyn Source,
        path: &str,
    ) -> Vec<Grid> {
        let mut grids = Vec::new();
        let mut catch_all = false;
        for entry in raw {
            let span = entry.span();
            let entry = entry.get_ref();
            if !entry.contains_key("panels") {
                if catch_all {
                    self.doc.fault_key(
                        &span,
                        "panels",
                        "two grids without `panels`",
                        "one such grid at most",
                    );
                }
                catch_all = true;
            }
            if let Some(grid) = self.grid(&span, entry, sizes, has_hour_rate, source, path) {
                grids.push(grid);
            }
        }
        grids
    }

    fn grid(
        &mut self,
        span: &Span,
        raw: &BTreeMap<String, Spanned<RawCell>>,
        sizes: &[SizeClass],
        has_hour_rate: bool,
        source: &dyn Source,
        path: &str,
    ) -> Option<Grid> {
        let one = |key: &str| {
            raw.get(key).and_then(|value| match value.get_ref() {
                RawCell::One(scalar) => Some(Spanned::new(value.span(), scalar.clone())),
                RawCell::Many(_) => None,
            })
        };
        let unit = match one("unit") {
            Some(value) => {
                let unit = self.doc.word(
                    &value,
                    &[("money", GridUnit::Money), ("hours", GridUnit::Hours)],
                );
                if unit == Some(GridUnit::Hours) && !has_hour_rate {
                    self.doc.fault_key(
                        &value.span(),
                        "hour_rate",
                        "",
                        "`hour_rate`: a grid is in hours",
                    );
                }
                unit?
            }
            None => GridUnit::Money,
        };
        let panels = match raw.get("panels") {
            None => None,
            Some(value) => match value.get_ref() {
                RawCell::Many(items) => {
                    let list = Spanned::new(value.span(), items.clone());
                    Some(self.panels(&list)?.into_iter().collect())
                }
                RawCell::One(_) => {
                    self.doc.fault(&value.span(), "a list of panels");
                    return None;
                }
            },
        };
        let (bands, cells) = if let Some(file) = one("file") {
            let beside: Vec<&str> = raw
                .keys()
                .map(String::as_str)
                .filter(|key| !["file", "unit", "panels"].contains(key))
                .collect();
            if !beside.is_empty() {
                self.doc.fault_found(
                    &file.span(),
                    beside.join(", "),
                    "no bands or classes beside `file`",
                    None,
                );
                return None;
            }
            let name = self.doc.name(&file)?;
            if name.contains(['/', '\\']) || name.starts_with("..") {
                self.doc
                    .fault(&file.span(), "the name of a file beside the card");
                return None;
            }
            let beside = path
                .rsplit_once('/')
                .map_or(String::new(), |(folder, _)| format!("{folder}/"));
            let place = self.doc.place(&file.span());
            grid_file::read(
                source,
                &format!("{beside}{name}"),
                &place,
                sizes,
                self.doc.problems(),
            )?
        } else {
            self.grid_columns(span, raw, sizes)?
        };
        Some(Grid {
            panels,
            unit,
            bands,
            cells,
        })
    }

    fn grid_columns(
        &mut self,
        span: &Span,
        raw: &BTreeMap<String, Spanned<RawCell>>,
        sizes: &[SizeClass],
    ) -> Option<(Vec<Band>, Vec<Vec<Decimal>>)> {
        let bands = match raw
            .get("bands")
            .map(|value| (value.span(), value.get_ref()))
        {
            Some((at, RawCell::Many(items))) => self.bands(&at, items),
            Some((at, RawCell::One(_))) => {
                self.doc.fault(&at, "a list of bands such as \"1-4\"");
                None
            }
            None => self.missing(span, "bands", "a list of bands such as \"1-4\""),
        };
        let rows = raw.get("bands").map_or(0, |value| match value.get_ref() {
            RawCell::Many(items) => items.len(),
            RawCell::One(_) => 0,
        });
        let mut columns: Vec<Option<Vec<Decimal>>> = vec![None; sizes.len()];
        let mut sound = true;
        for (key, value) in raw {
            if ["bands", "unit", "panels", "file"].contains(&key.as_str()) {
                continue;
            }
            let folded = words::fold(key);
            let Some(class) = sizes
                .iter()
                .position(|size| words::fold(&size.name) == folded)
            else {
                let known: Vec<String> = sizes
                    .iter()
                    .map(|size| words::fold(&size.name))
                    .chain(["bands", "unit", "panels", "file"].map(str::to_owned))
                    .collect();
                let meant = words::nearest(&folded, known.iter().map(String::as_str));
                let expected = match meant {
                    Some(meant) => format!("a size class or a key of a grid; probably {meant}"),
                    None => "a size class or a key of a grid".to_owned(),
                };
                self.doc
                    .fault_key(&value.span(), key, key.as_str(), expected);
                sound = false;
                continue;
            };
            let RawCell::Many(items) = value.get_ref() else {
                self.doc.fault(&value.span(), "one figure per band");
                sound = false;
                continue;
            };
            if items.len() != rows {
                self.doc.fault_found(
                    &value.span(),
                    format!("{} cells", items.len()),
                    format!("one cell per band: {rows}"),
                    None,
                );
                sound = false;
                continue;
            }
            let figures: Option<Vec<Decimal>> =
                items.iter().map(|item| self.doc.decimal(item)).collect();
            if columns[class].is_some() {
                self.doc
                    .fault_key(&value.span(), key, key.as_str(), "a size class once");
                sound = false;
            }
            sound &= figures.is_some();
            columns[class] = Some(figures.unwrap_or_default());
        }
        for (size, column) in sizes.iter().zip(&columns) {
            if column.is_none() && sound {
                self.missing::<()>(span, &size.name, "one figure per band for this class");
                sound = false;
            }
        }
        let bands = bands?;
        if !sound {
            return None;
        }
        let cells = (0..bands.len())
            .map(|band| {
                columns
                    .iter()
                    .map(|column| column.as_ref().map_or(Decimal::ZERO, |column| column[band]))
                    .collect()
            })
            .collect();
        Some((bands, cells))
    }

    fn bands(&mut self, at: &Span, items: &[Scalar]) -> Option<Vec<Band>> {
        if items.is_empty() {
            self.doc.fault(at, "at least one band");
            return None;
        }
        let mut bands = Vec::new();
        let mut sound = true;
        for item in items {
            let text = self.doc.source_text(&item.span());
            match Band::parse(&text) {
                Ok(band) => bands.push(band),
                Err(error) => {
                    self.doc.fault(&item.span(), band_expected(&error));
                    sound = false;
                }
            }
        }
        if !sound {
            return None;
        }
        if let Err((index, what)) = check_bands(&bands) {
            self.doc.fault(&items[index].span(), what);
            return None;
        }
        Some(bands)
    }

    fn steps(&mut self, raw: &[Spanned<RawStep>]) -> Vec<OversizeStep> {
        let mut steps: Vec<OversizeStep> = Vec::new();
        for entry in raw {
            let (span, entry) = (entry.span(), entry.get_ref());
            let upto = match &entry.upto_mm {
                Some(value) => self.ascending(value, steps.last().map(|step| step.upto), "steps"),
                None => self.missing(&span, "upto_mm", "the greatest diameter in the step"),
            };
            let each = match &entry.each {
                Some(value) => self.doc.decimal(value),
                None => self.missing(&span, "each", "the amount per dent"),
            };
            if let (Some(upto), Some(each)) = (upto, each) {
                steps.push(OversizeStep {
                    upto,
                    each: Exact::from(each),
                });
            }
        }
        steps
    }

    fn uplifts(&mut self, raw: &[Spanned<RawUplift>]) -> Vec<Uplift> {
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
                .map(|list| self.doc.word_list(list, &body_choices(), |_| None));
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

    /// A name that is printed on lines but heads no column.
    fn line_name(&mut self, value: &Scalar, others: &[String]) -> Option<String> {
        let name = self.doc.name(value)?;
        let folded = words::fold(&name);
        if name.contains(['+', ';']) {
            self.doc.fault(
                &value.span(),
                "a name without `+` or `;`, which part the terms of a sheet",
            );
            return None;
        }
        if ["mm", "in"].contains(&folded.as_str()) {
            self.doc.fault(&value.span(), "a name that is no unit");
            return None;
        }
        if let Some(other) = others.iter().find(|other| words::fold(other) == folded) {
            self.doc.fault(
                &value.span(),
                format!("a name that differs from `{other}` once folded"),
            );
            return None;
        }
        Some(name)
    }

    fn limits(&mut self, raw: &[Spanned<RawLimit>]) -> Vec<Limit> {
        let mut limits = Vec::new();
        for entry in raw {
            let (span, entry) = (entry.span(), entry.get_ref());
            let panels = self.panel_set(entry.panels.as_ref());
            let amount = match &entry.amount {
                Some(value) => self.doc.decimal(value),
                None => self.missing(&span, "amount", "the most a panel may cost in dents"),
            };
            let then = match &entry.then {
                Some(value) => self.doc.word(
                    value,
                    &[("hold", LimitAction::Hold), ("refer", LimitAction::Refer)],
                ),
                None => self.missing(&span, "then", "hold or refer"),
            };
            if let (Some(panels), Some(amount), Some(then)) = (panels, amount, then) {
                limits.push(Limit {
                    panels,
                    amount: Exact::from(amount),
                    then,
                });
            }
        }
        limits
    }

    fn conventional(&mut self, raw: &[Spanned<RawConventional>]) -> Vec<Conventional> {
        let mut entries = Vec::new();
        for entry in raw {
            let (span, entry) = (entry.span(), entry.get_ref());
            let panels = self.panel_set(entry.panels.as_ref());
            let amount = match &entry.amount {
                Some(value) => self.doc.decimal(value),
                None => self.missing(&span, "amount", "what a referred panel is entered at"),
            };
            if let (Some(panels), Some(amount)) = (panels, amount) {
                entries.push(Conventional {
                    panels,
                    amount: Exact::from(amount),
                });
            }
        }
        entries
    }

    fn removals(
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

    fn hours(&mut self, value: &Spanned<RawHours>) -> Option<RemovalHours> {
        let by_body = match value.get_ref() {
            RawHours::One(scalar) => {
                let scalar = Spanned::new(value.span(), scalar.clone());
                return Some(RemovalHours::Any(Hours(self.doc.decimal(&scalar)?)));
            }
            RawHours::ByBody(table) => table,
        };
        let mut hours: [Option<Decimal>; 8] = [None; 8];
        let mut sound = true;
        for (key, figure) in by_body {
            match Body::from_word(key) {
                Some(body) => match self.doc.decimal(figure) {
                    Some(figure) => hours[body as usize] = Some(figure),
                    None => sound = false,
                },
                None => {
                    let words = Body::ALL.map(Body::word);
                    let meant = words::nearest(&words::fold(key), words.into_iter());
                    let mut expected = super::toml_doc::one_of(&words);
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

    fn auto(&mut self, raw: &[Spanned<RawAuto>]) -> Vec<AutoRemoval> {
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
    fn includes(
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

    fn extras(&mut self, raw: &[Spanned<RawExtra>]) -> Vec<Extra> {
        let mut extras: Vec<Extra> = Vec::new();
        let mut names: Vec<String> = Vec::new();
        for entry in raw {
            let (span, entry) = (entry.span(), entry.get_ref());
            let name = match &entry.name {
                Some(value) => self.line_name(value, &names),
                None => self.missing(&span, "name", "the extra's name"),
            };
            names.extend(name.clone());
            let per = match &entry.per {
                Some(value) => self
                    .doc
                    .word(value, &[("vehicle", Per::Vehicle), ("panel", Per::Panel)]),
                None => self.missing(&span, "per", "vehicle or panel"),
            };
            let amount = match &entry.amount {
                Some(value) => self.doc.decimal(value),
                None => self.missing(&span, "amount", "the amount"),
            };
            if let (Some(name), Some(per), Some(amount)) = (name, per, amount) {
                extras.push(Extra {
                    name,
                    per,
                    amount: Exact::from(amount),
                });
            }
        }
        extras
    }

    /// Refuses more than four compounding uplifts that can meet on one panel,
    /// and figures whose product could pass the 38 digits of [`Exact`].
    fn check_compounding(&mut self, raw: &RawCard, card: &RateCard) {
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

/// What a faulty band should have been.
#[must_use]
pub fn band_expected(error: &BandError) -> &'static str {
    match error {
        BandError::Date => "a band such as 5-9: a spreadsheet has turned it into a date",
        BandError::Backwards => "a band that begins before it ends, such as 5-9",
        BandError::Shape => "a band such as 5-9, 7 or 200+",
    }
}
