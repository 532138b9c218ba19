//! Grids, in the card or in a file beside it.

use super::super::grid_file;
use super::super::source::Source;
use super::super::toml_doc::{MOST_HOURS, Scalar, Span};
use super::CardReader;
use super::raw::RawCell;
use crate::rates::{Band, BandError, Grid, GridUnit, SizeClass, check_bands};
use crate::storm::words;
use rust_decimal::Decimal;
use std::collections::BTreeMap;
use toml::Spanned;

impl CardReader<'_, '_> {
    pub(super) fn grids(
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

    pub(super) fn grid(
        &mut self,
        span: &Span,
        raw: &BTreeMap<String, Spanned<RawCell>>,
        sizes: &[SizeClass],
        has_hour_rate: bool,
        source: &dyn Source,
        path: &str,
    ) -> Option<Grid> {
        for key in ["unit", "file"] {
            if let Some(value) = raw.get(key)
                && matches!(value.get_ref(), RawCell::Many(_))
            {
                self.doc.fault(&value.span(), "one quoted text, not a list");
                return None;
            }
        }
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
        if unit == GridUnit::Hours && !self.bounds_hours(span, &bands, &cells, sizes) {
            return None;
        }
        Some(Grid {
            panels,
            unit,
            bands,
            cells,
        })
    }

    /// Whether no cell of a grid has more hours than an entry may have.
    fn bounds_hours(
        &mut self,
        span: &Span,
        bands: &[Band],
        cells: &[Vec<Decimal>],
        sizes: &[SizeClass],
    ) -> bool {
        let mut sound = true;
        for (band, cells) in bands.iter().zip(cells) {
            for (size, hours) in sizes.iter().zip(cells) {
                if *hours > Decimal::from(MOST_HOURS) {
                    self.doc.fault_found(
                        span,
                        format!("{hours} hours for {}, {band}", size.name),
                        format!("at most {MOST_HOURS} hours"),
                        None,
                    );
                    sound = false;
                }
            }
        }
        sound
    }

    pub(super) fn grid_columns(
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

    pub(super) fn bands(&mut self, at: &Span, items: &[Scalar]) -> Option<Vec<Band>> {
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
