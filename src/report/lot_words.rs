//! What must be said beside the figures of a lot, and the estimate in a line.

use super::lot_report::LotReport;
use super::plain::wrap_into;
use super::sample_report::percent_text;
use super::terminal::Width;
use crate::sampling::{Figure, Measure, MeasureEstimate};
use crate::storm::LotSource;

/// What bounds the figures: each a warning.
#[must_use]
pub fn lot_cautions(report: &LotReport<'_>) -> Vec<String> {
    let (estimate, lot) = (report.estimate, report.lot);
    let mut said = Vec::new();
    if estimate.counted() == 0 {
        said.push("No car is counted yet, so nothing can be estimated.".to_owned());
    } else if let Some(without) = report.without() {
        said.push(format!(
            "Every figure is {without}: nothing is known of those, so none is the lot's."
        ));
    }
    if !estimate.is_whole() && lot.picked.is_empty() {
        said.push(
            "Nothing says how the counted cars were picked (storm.toml, [sample] picked): the worst \
             first is no sample, and no figure here holds then."
                .to_owned(),
        );
    }
    if lot.source == LotSource::Counts {
        said.push(
            "No vehicle list and no lot.* says how many cars there are: the lot is taken to be \
             those in the count sheets."
                .to_owned(),
        );
    }
    let theirs = (0..estimate.payers.len()).filter(|at| estimate.payers[*at].counted == 0);
    let unknown: Vec<&str> = theirs.map(|at| report.payer(at)).collect();
    if !unknown.is_empty() && estimate.counted() > 0 {
        said.push(format!(
            "No car of {} is counted: nothing is known of what they come to.",
            unknown.join(", ")
        ));
    }
    if estimate.quotes > 0 {
        let cars = match estimate.quotes {
            1 => "1 counted car needs".to_owned(),
            cars => format!("{cars} counted cars need"),
        };
        said.push(format!(
            "{cars} a quote: of their price what is known is in, and the rest is not."
        ));
    }
    if !report.left_out.is_empty() {
        said.push(format!(
            "Cars with errors are cars of the lot and not in the sample: {}.",
            report.left_out.join(", ")
        ));
    }
    for lack in &estimate.lacks {
        let problem = lack.problem(report.storm);
        said.push(format!(
            "No crew hours: storm.toml, [time], lacks {}.",
            problem.expected
        ));
    }
    said
}

/// How the figures are to be read.
pub fn lot_notes(report: &LotReport<'_>) -> Vec<String> {
    let estimate = report.estimate;
    let mut said = Vec::new();
    let Some(total) = estimate.measures.first() else {
        return said;
    };
    if estimate.counted() == 0 {
        return said;
    }
    said.push(if estimate.is_whole() {
        "All cars are counted: these are totals, and no estimates.".to_owned()
    } else if total.total.whole.interval.is_some() {
        "Low to high: where 95 of 100 such samples hold the true total, if the counted cars were \
         picked by chance or evenly."
            .to_owned()
    } else {
        "No interval: with one counted car in every stratum nothing says how cars differ."
            .to_owned()
    });
    let none = |made: &MeasureEstimate| made.total.whole.total == 0.0;
    if !estimate.is_whole() && estimate.measures.iter().any(none) {
        said.push(
            "Where no counted car has any, estimate and error are 0, and the lot may still hold some."
                .to_owned(),
        );
    }
    for (stratum, found) in estimate.strata.iter().zip(&total.total.strata) {
        if stratum.counted() == 1 && found.with.len() > 1 {
            let names: Vec<&str> = found
                .with
                .iter()
                .map(|at| estimate.strata[*at].name.as_str())
                .collect();
            said.push(format!(
                "One counted car of {}: its error is taken together with {}.",
                stratum.name,
                names.join(", ")
            ));
        }
    }
    said.extend(by_helper(report));
    said.extend(tiers(report));
    if !estimate.is_whole() {
        said.push(
            "What payers and owners pay is not estimated: a deductible's event maximum hangs on all \
             cars of a payer together."
                .to_owned(),
        );
    }
    said.extend(more(report));
    said
}

/// The tier that the whole lot would reach, payer by payer.
fn tiers(report: &LotReport<'_>) -> Vec<String> {
    let payers = report.estimate.payers.iter().enumerate();
    payers
        .filter_map(|(at, payer)| {
            let tier = payer.tier?;
            Some(format!(
                "{}: priced with the lot discount of {} on dents (from {} cars), since the lot is \
                 taken to have {} with a priced panel.",
                report.payer(at),
                tier.percent,
                tier.cars_at_least,
                payer.priced_in_lot
            ))
        })
        .collect()
}

/// A measure within a sentence.
fn phrase(measure: Measure) -> &'static str {
    match measure {
        Measure::DentsMoney => "the money for dents",
        Measure::Hours => "the crew's hours",
        _ => "the total",
    }
}

fn by_helper(report: &LotReport<'_>) -> Vec<String> {
    let Some(helper) = &report.lot.helper else {
        return Vec::new();
    };
    if !report.estimate.request.by_helper {
        return Vec::new();
    }
    let asked = report.estimate.measures.iter();
    asked
        .filter(|made| made.measure.has_ratio())
        .map(|made| {
            let (word, column) = (phrase(made.measure), helper.column);
            let Some(ratio) = &made.ratio else {
                return format!(
                    "By {column} nothing can be said of {word}: it needs a counted car in every \
                     stratum and a sum above 0."
                );
            };
            format!(
                "By {column} one of it comes to {:.6} of {word}; {}.",
                ratio.ratio,
                match (ratio.whole.error, made.total.whole.error) {
                    (Some(by), Some(plain)) if by < plain => "its error is the smaller one",
                    (Some(by), Some(plain)) if by > plain => "its error is the larger one",
                    (Some(_), Some(_)) => "its error is the same",
                    _ => "no error can be told",
                }
            )
        })
        .collect()
}

/// How many more to count, and where.
fn more(report: &LotReport<'_>) -> Option<String> {
    let estimate = report.estimate;
    if estimate.is_whole() {
        return None;
    }
    let wanted = percent_text(estimate.request.within);
    let Some(allocation) = &estimate.more else {
        return Some(
            "How many more to count can't be said: nothing tells yet how cars differ, or there are \
             too many."
                .to_owned(),
        );
    };
    let more = report.more().unwrap_or_default();
    let count: u64 = more.iter().sum();
    if count == 0 {
        return Some(format!("Nothing more need be counted for ± {wanted} %."));
    }
    let places: Vec<String> = estimate
        .strata
        .iter()
        .zip(&more)
        .filter(|(_, more)| **more > 0)
        .map(|(stratum, more)| format!("{more} of {}", stratum.name))
        .collect();
    let of = report.without().map_or_else(
        || "of the total".to_owned(),
        |_| "of what the strata counted come to".to_owned(),
    );
    Some(format!(
        "Count {count} more for ± {wanted} % {of}: {}; that should give ± {:.4} %.",
        places.join(", "),
        allocation.reach * 100.0
    ))
}

/// `total 804,166.67 USD (719,335.20 to 888,998.13)`.
fn figure_text(report: &LotReport<'_>, made: &MeasureEstimate, figure: &Figure) -> String {
    let shown = |value| report.shown(made.measure, value);
    let unit = if made.measure.is_money() {
        format!(" {}", report.storm.currency.code())
    } else {
        String::new()
    };
    let ends = figure.interval.map_or_else(String::new, |(low, high)| {
        format!(" ({} to {})", shown(low), shown(high))
    });
    format!(
        "{} {}{unit}{ends}",
        report.word(made.measure),
        shown(figure.total)
    )
}

/// The estimate in a paragraph, for the end of a storm's summary.
#[must_use]
pub fn lot_summary(report: &LotReport<'_>, width: Width) -> String {
    let estimate = report.estimate;
    let mut text = String::from("\n");
    let said: Vec<String> = [Measure::Total, Measure::Hours]
        .into_iter()
        .filter_map(|measure| estimate.measure(measure))
        .filter_map(|made| Some(figure_text(report, made, report.whole(made)?)))
        .collect();
    let of = report
        .without()
        .unwrap_or_else(|| report.whole_word().to_owned());
    let head = format!(
        "{of}, from {} of {} cars: {}. `hailyard lot` shows how sure that is, and how many more to \
         count.",
        estimate.counted(),
        estimate.cars(),
        if said.is_empty() {
            "nothing can be said yet".to_owned()
        } else {
            said.join(", ")
        }
    );
    wrap_into(&mut text, &head, width, "  ");
    text
}
