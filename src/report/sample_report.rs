//! A total from a sample, as people and programs read it.

use super::plain::wrap_into;
use super::terminal::{TextTable, Width};
use crate::sampling::{
    Allocation, Figure, RatioEstimate, Stratum, TotalEstimate, can_allocate, estimate_ratio,
    estimate_total, more_to_count, residuals, satterthwaite,
};
use serde_json::{Value, json};

/// What a sample says.
#[derive(Debug)]
pub struct SampleReport<'a> {
    strata: &'a [Stratum],
    /// The plain estimate.
    estimate: TotalEstimate,
    /// By the helper, where one is asked for: none where it can't be.
    ratio: Option<Option<RatioEstimate>>,
    satterthwaite: Option<f64>,
    /// The part of the total that is wanted to either side, and what gives it.
    within: f64,
    more: Option<Allocation>,
}

impl<'a> SampleReport<'a> {
    /// Estimates; `helper` are the counted ones' helpers by stratum, and their
    /// total over all.
    #[must_use]
    pub fn of(
        strata: &'a [Stratum],
        helper: Option<(&[Vec<f64>], f64)>,
        within: f64,
    ) -> SampleReport<'a> {
        let estimate = estimate_total(strata);
        let ratio = helper.map(|(helpers, known)| estimate_ratio(strata, helpers, known));
        let few = can_allocate(strata);
        let more = match (&ratio, helper) {
            _ if !few || !estimate.missing.is_empty() => None,
            (Some(Some(ratio)), Some((helpers, _))) => {
                let left = residuals(strata, helpers, ratio.ratio);
                more_to_count(strata, &left, estimate.whole.total, within)
            }
            _ => more_to_count(strata, strata, estimate.whole.total, within),
        };
        SampleReport {
            strata,
            satterthwaite: satterthwaite(strata),
            estimate,
            ratio,
            within,
            more,
        }
    }

    /// What is asked for: by the helper where there is one; none where it says
    /// nothing.
    fn asked(&self) -> Option<Figure> {
        match self.ratio {
            Some(ratio) => ratio.map(|ratio| ratio.whole),
            None => Some(self.estimate.whole),
        }
    }

    fn missing(&self) -> Vec<&str> {
        let missing = self.estimate.missing.iter();
        missing.map(|at| self.strata[*at].name.as_str()).collect()
    }
}

/// A part as per cent, without the dust of binary figures.
pub(super) fn percent_text(part: f64) -> String {
    format!("{}", (part * 1e8).round() / 1e6)
}

/// A figure; without one every key is there and null.
pub(super) fn figure_json(figure: Option<&Figure>) -> Value {
    let interval = figure.and_then(|figure| figure.interval);
    json!({
        "total": figure.map(|figure| figure.total),
        "se": figure.and_then(|figure| figure.error),
        "df": figure.map(|figure| figure.df),
        "low": interval.map(|ends| ends.0),
        "high": interval.map(|ends| ends.1),
    })
}

/// The report as JSON: on top what was asked for, by the helper where there is one.
#[must_use]
pub fn sample_json(report: &SampleReport<'_>) -> Value {
    let mut json = figure_json(report.asked().as_ref());
    let strata: Vec<Value> = report
        .strata
        .iter()
        .zip(&report.estimate.strata)
        .map(|(stratum, found)| {
            let mut row = figure_json(found.figure.as_ref());
            row["stratum"] = json!(stratum.name);
            row["cars"] = json!(stratum.cars);
            row["counted"] = json!(stratum.counted());
            let with = found.with.iter().map(|at| report.strata[*at].name.as_str());
            row["variance_with"] = json!(with.collect::<Vec<_>>());
            row
        })
        .collect();
    json["format"] = json!(1);
    json["cars"] = json!(
        report
            .strata
            .iter()
            .map(|stratum| stratum.cars)
            .sum::<u64>()
    );
    json["counted"] = json!(report.strata.iter().map(Stratum::counted).sum::<u64>());
    json["strata"] = json!(strata);
    json["not_counted"] = json!(report.missing());
    json["satterthwaite_df"] = json!(report.satterthwaite);
    json["plain"] = figure_json(Some(&report.estimate.whole));
    json["ratio"] = match &report.ratio {
        Some(Some(ratio)) => {
            let mut row = figure_json(Some(&ratio.whole));
            row["ratio"] = json!(ratio.ratio);
            row["helper_by_sample"] = json!(ratio.helper);
            row
        }
        _ => Value::Null,
    };
    json["more"] = match &report.more {
        Some(more) => json!({
            "within": report.within,
            "gives": more.reach,
            "by_stratum": report.strata.iter().zip(more.more(report.strata))
                .map(|(stratum, more)| json!({"stratum": stratum.name, "more": more}))
                .collect::<Vec<_>>(),
        }),
        None => Value::Null,
    };
    json
}

/// The report as text.
#[must_use]
pub fn sample_text(report: &SampleReport<'_>, value: &str, width: Width) -> String {
    let mut text = String::new();
    let all: u64 = report.strata.iter().map(|stratum| stratum.cars).sum();
    let counted: u64 = report.strata.iter().map(Stratum::counted).sum();
    wrap_into(
        &mut text,
        &format!("{value}: {counted} of {all} counted"),
        width,
        "  ",
    );
    let mut table = TextTable::new()
        .words("stratum", 0)
        .figures("of", 5)
        .figures("counted", 4)
        .figures("total", 0)
        .figures("standard error", 0)
        .figures("df", 3)
        .figures("low", 1)
        .figures("high", 1);
    let more = report.more.as_ref().map(|more| more.more(report.strata));
    let has_more = more.is_some();
    if has_more {
        table = table.figures("count more", 2);
    }
    let mut row =
        |name: &str, of: u64, counted: u64, figure: Option<&Figure>, more: Option<u64>| {
            let mut cells = vec![name.to_owned(), of.to_string(), counted.to_string()];
            cells.extend(figure_cells(figure));
            if has_more {
                cells.push(more.map_or_else(String::new, |more: u64| more.to_string()));
            }
            table.row(cells);
        };
    for (at, (stratum, found)) in report
        .strata
        .iter()
        .zip(&report.estimate.strata)
        .enumerate()
    {
        let more = more.as_ref().map(|more| more[at]);
        let figure = found.figure.as_ref();
        row(&stratum.name, stratum.cars, stratum.counted(), figure, more);
    }
    let all_more = more.as_ref().map(|more| more.iter().sum());
    row(
        "whole",
        all,
        counted,
        Some(&report.estimate.whole),
        all_more,
    );
    if let Some(Some(ratio)) = &report.ratio {
        row("whole, by helper", all, counted, Some(&ratio.whole), None);
    }
    text.push_str(&table.render(width));
    for said in notes(report, value) {
        wrap_into(&mut text, &said, width, "  ");
    }
    text
}

fn figure_cells(figure: Option<&Figure>) -> [String; 5] {
    let shown =
        |number: Option<f64>| number.map_or_else(String::new, |number| format!("{number:.2}"));
    [
        shown(figure.map(|figure| figure.total)),
        shown(figure.and_then(|figure| figure.error)),
        figure.map_or_else(String::new, |figure| format!("{}", figure.df)),
        shown(figure.and_then(|figure| figure.interval).map(|ends| ends.0)),
        shown(figure.and_then(|figure| figure.interval).map(|ends| ends.1)),
    ]
}

/// What must be said beside the figures.
fn notes(report: &SampleReport<'_>, value: &str) -> Vec<String> {
    let mut said = Vec::new();
    let all: u64 = report.strata.iter().map(|stratum| stratum.cars).sum();
    let counted: u64 = report.strata.iter().map(Stratum::counted).sum();
    let missing = report.missing();
    if !missing.is_empty() {
        let cars: u64 = report
            .estimate
            .missing
            .iter()
            .map(|at| report.strata[*at].cars)
            .sum();
        said.push(format!(
            "Of the strata counted, without {cars} of {}: nothing is known of them, so this is not the whole.",
            missing.join(", ")
        ));
    }
    let figure = report.asked().unwrap_or(report.estimate.whole);
    if figure.interval.is_none() {
        said.push(
            "No interval: with one counted in every stratum nothing says how they differ."
                .to_owned(),
        );
    } else if counted == all && missing.is_empty() {
        said.push("All are counted: this is the total, and no estimate.".to_owned());
    } else {
        said.push(
            "Low to high: where 95 of 100 such samples hold the true total, if what was counted \
             was picked by chance or evenly; the worst first is no sample."
                .to_owned(),
        );
    }
    for (stratum, found) in report.strata.iter().zip(&report.estimate.strata) {
        if stratum.counted() == 1 && found.with.len() > 1 {
            let names: Vec<&str> = found
                .with
                .iter()
                .map(|at| report.strata[*at].name.as_str())
                .collect();
            said.push(format!(
                "One counted of {}: its error is taken together with {}.",
                stratum.name,
                names.join(", ")
            ));
        }
    }
    match &report.ratio {
        Some(Some(ratio)) => said.push(format!(
            "By the helper one of it comes to {:.6} of {value}; {}.",
            ratio.ratio,
            match (ratio.whole.error, report.estimate.whole.error) {
                (Some(by), Some(plain)) if by < plain => "its error is the smaller one",
                (Some(_), Some(_)) => "its error is not the smaller one",
                _ => "no error can be told",
            }
        )),
        Some(None) => said.push(
            "By the helper nothing can be said: it needs a counted one in every stratum and a sum above 0."
                .to_owned(),
        ),
        None => {}
    }
    if let Some(more) = &report.more {
        let count: u64 = more.more(report.strata).iter().sum();
        let wanted = percent_text(report.within);
        said.push(if count == 0 {
            format!("Nothing more need be counted for ± {wanted} %.")
        } else {
            format!(
                "Count {count} more, as shown, for ± {wanted} % of the total; that should give ± {:.4} %.",
                more.reach * 100.0
            )
        });
    }
    said
}
