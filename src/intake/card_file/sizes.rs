//! Size classes and the oversize ladder.

use super::super::header::ListColumn;
use super::super::names::Names;
use super::super::toml_doc::Scalar;
use super::CardReader;
use super::raw::{RawSize, RawStep};
use crate::money::Exact;
use crate::rates::{OversizeStep, SizeClass};
use crate::storm::SizeId;
use crate::storm::words::{self, PanelWord};
use crate::units::Millimetres;
use rust_decimal::Decimal;
use toml::Spanned;

/// Words that a name may not be once folded: columns and terms of a count
/// sheet, keys of a grid, units.
const RESERVED: [&str; 25] = [
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
];

impl CardReader<'_, '_> {
    /// A name, checked against what names may not be and against its fellows.
    pub(super) fn free_name(&mut self, value: &Scalar, others: &[String]) -> Option<String> {
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
        let heads_a_list = ListColumn::ALL
            .iter()
            .any(|(_, word)| words::fold(word) == folded);
        if heads_a_list
            || RESERVED.iter().any(|word| words::fold(word) == folded)
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

    pub(super) fn sizes(&mut self, raw: &[Spanned<RawSize>], names: &mut Names) -> Vec<SizeClass> {
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

    pub(super) fn ascending(
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

    pub(super) fn steps(&mut self, raw: &[Spanned<RawStep>]) -> Vec<OversizeStep> {
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
}
