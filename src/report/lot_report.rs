//! An estimate of the whole lot beside what it was made of: behind every
//! format of it.

use super::grid::{Grid, Kind, Value, columns};
use super::sample_report::figure_json;
use crate::sampling::{Figure, LotEstimate, Measure, MeasureEstimate, Stratum};
use crate::storm::{CodeId, LotSource, LotStrata, Storm};
use serde_json::{Value as Json, json};

/// An estimate with its storm.
#[derive(Clone, Copy)]
pub struct LotReport<'a> {
    /// The storm.
    pub storm: &'a Storm,
    /// What its cars are a sample of.
    pub lot: &'a LotStrata,
    /// What that comes to.
    pub estimate: &'a LotEstimate,
    /// Stocks of cars that are left out because of errors.
    pub left_out: &'a [String],
}

impl LotReport<'_> {
    /// A measure in a word or two.
    pub(super) fn word(&self, measure: Measure) -> String {
        match measure {
            Measure::Total => "total".to_owned(),
            Measure::DentsMoney => "for dents".to_owned(),
            Measure::Hours => "crew hours".to_owned(),
            Measure::Dents => "dents".to_owned(),
            Measure::Oversize => "oversize dents".to_owned(),
            Measure::Quotes => "cars with a quote".to_owned(),
            Measure::Removal(code) => format!("R&I {}", self.code(code)),
        }
    }

    fn code(&self, code: CodeId) -> &str {
        let names = &self.storm.code_names;
        names.get(usize::from(code.0)).map_or("", String::as_str)
    }

    /// The key of a measure in files, and the removal's code.
    fn key(&self, measure: Measure) -> (&'static str, &str) {
        match measure {
            Measure::Total => ("total", ""),
            Measure::DentsMoney => ("dents_amount", ""),
            Measure::Hours => ("hours", ""),
            Measure::Dents => ("dents", ""),
            Measure::Oversize => ("oversize", ""),
            Measure::Quotes => ("quotes", ""),
            Measure::Removal(code) => ("removal", self.code(code)),
        }
    }

    /// A figure of a measure as people read it.
    pub(super) fn shown(&self, measure: Measure, value: f64) -> String {
        if measure.is_money() {
            self.storm.currency.grouped_statistic(value)
        } else {
            format!("{value:.1}")
        }
    }

    /// A payer's name.
    pub(super) fn payer(&self, at: usize) -> &str {
        &self.storm.payers[self.estimate.payers[at].payer].name
    }

    /// How many more to count in each stratum.
    pub(super) fn more(&self) -> Option<Vec<u64>> {
        let more = self.estimate.more.as_ref()?;
        Some(more.more(&self.estimate.strata))
    }

    fn source(&self) -> &str {
        match &self.lot.source {
            LotSource::File(path) => path,
            LotSource::List => "vehicles",
            LotSource::Counts => "counts",
        }
    }
}

const COLUMNS: [(&str, Kind); 12] = [
    ("measure", Kind::Text),
    ("code", Kind::Text),
    ("unit", Kind::Text),
    ("by", Kind::Text),
    ("key", Kind::Text),
    ("cars", Kind::Count),
    ("counted", Kind::Count),
    ("total", Kind::Statistic),
    ("se", Kind::Statistic),
    ("df", Kind::Statistic),
    ("low", Kind::Statistic),
    ("high", Kind::Statistic),
];

/// Decimals of what is no money.
const PLACES: usize = 4;

/// Every figure, one a row: `lot.csv`. A stratum or payer without a counted car
/// has no figure; the whole is `whole lot`, or `strata counted` where it is not
/// the lot's.
#[must_use]
pub fn lot_grid<'a>(report: &'a LotReport<'a>) -> Grid<'a> {
    let estimate = report.estimate;
    let mut rows = Vec::new();
    for made in &estimate.measures {
        let mut row = |by: &'static str,
                       key: &'a str,
                       cars: Option<u64>,
                       counted: u64,
                       figure: Option<&Figure>| {
            let (measure, code) = report.key(made.measure);
            let places = if made.measure.is_money() {
                report.storm.currency.places() as usize
            } else {
                PLACES
            };
            let number = |value: Option<f64>, places| {
                value.map_or(Value::Empty, |value| Value::Statistic(value, places))
            };
            let ends = figure.and_then(|figure| figure.interval);
            rows.push(vec![
                Value::text(measure),
                Value::text(code),
                Value::text(unit(report.storm, made.measure)),
                Value::text(by),
                Value::text(key),
                Value::count(cars),
                Value::Count(counted),
                number(figure.map(|figure| figure.total), places),
                number(figure.and_then(|figure| figure.error), places),
                number(figure.map(|figure| figure.df), PLACES),
                number(ends.map(|ends| ends.0), places),
                number(ends.map(|ends| ends.1), places),
            ]);
        };
        let whole = report.whole_word();
        let (cars, counted) = (Some(estimate.cars_estimated()), estimate.counted());
        row(whole, "", cars, counted, report.whole(made));
        if let Some(ratio) = &made.ratio {
            let column = report
                .lot
                .helper
                .as_ref()
                .map_or("", |helper| helper.column);
            row("helper", column, cars, counted, Some(&ratio.whole));
        }
        for (stratum, found) in estimate.strata.iter().zip(&made.total.strata) {
            let (cars, counted) = (Some(stratum.cars), stratum.counted());
            row(
                "stratum",
                &stratum.name,
                cars,
                counted,
                found.figure.as_ref(),
            );
        }
        for (at, figure) in made.by_payer.iter().enumerate() {
            let counted = estimate.payers[at].counted;
            row("payer", report.payer(at), None, counted, figure.as_ref());
        }
    }
    Grid {
        columns: columns(&COLUMNS),
        rows,
    }
}

fn unit(storm: &Storm, measure: Measure) -> &str {
    match measure {
        Measure::Hours => "h",
        measure if measure.is_money() => storm.currency.code(),
        _ => "",
    }
}

/// The whole estimate as JSON; figures are numbers, since they are statistics.
#[must_use]
pub fn lot_json(report: &LotReport<'_>) -> Json {
    let (estimate, lot, storm) = (report.estimate, report.lot, report.storm);
    let more = report.more();
    let strata: Vec<Json> = estimate
        .strata
        .iter()
        .enumerate()
        .map(|(at, stratum)| {
            json!({
                "stratum": stratum.name,
                "cars": stratum.cars,
                "counted": stratum.counted(),
                "more": more.as_ref().map(|more| more[at]),
            })
        })
        .collect();
    let payers: Vec<Json> = (0..estimate.payers.len())
        .map(|at| {
            let payer = &estimate.payers[at];
            json!({
                "payer": report.payer(at),
                "counted": payer.counted,
                "cars_with_a_priced_panel": payer.priced_in_lot,
                "lot_discount_from_cars": payer.tier.map(|tier| tier.cars_at_least),
                "lot_discount_percent": payer.tier.map(|tier| tier.percent.0.normalize().to_string()),
            })
        })
        .collect();
    let missing: Vec<Json> = estimate
        .missing()
        .map(|stratum| json!({"stratum": stratum.name, "cars": stratum.cars}))
        .collect();
    json!({
        "format": 1,
        "storm": storm.name,
        "date": storm.date.map(|date| date.to_string()),
        "currency": storm.currency.code(),
        "cars": estimate.cars(),
        "counted": estimate.counted(),
        "left_out": report.left_out,
        "cars_from": report.source(),
        "strata_by": lot.column,
        "picked": Some(&lot.picked).filter(|picked| !picked.is_empty()),
        "degrees_of_freedom": match estimate.request.degrees {
            crate::sampling::Degrees::Counted => "counted",
            crate::sampling::Degrees::Satterthwaite => "satterthwaite",
        },
        "helper": lot.helper.as_ref().filter(|_| estimate.request.by_helper).map(|helper| {
            json!({"column": helper.column, "total": helper.total})
        }),
        "not_counted": missing,
        "quotes_counted": estimate.quotes,
        "strata": strata,
        "payers": payers,
        "estimates": estimate.measures.iter().map(|made| measure_json(report, made)).collect::<Vec<_>>(),
        "more": estimate.more.as_ref().map(|more| json!({
            "within": estimate.request.within,
            "gives": more.reach,
            "cars": report.more().map(|more| more.iter().sum::<u64>()),
        })),
        "cautions": super::lot_words::lot_cautions(report),
    })
}

fn measure_json(report: &LotReport<'_>, made: &MeasureEstimate) -> Json {
    let estimate = report.estimate;
    let (measure, code) = report.key(made.measure);
    let mut whole = figure_json(report.whole(made));
    whole["of"] = json!(report.whole_word());
    whole["without_cars"] = json!(estimate.missing().map(|of| of.cars).sum::<u64>());
    let names = |with: &[usize]| -> Vec<&str> {
        let strata = with.iter().map(|at| estimate.strata[*at].name.as_str());
        strata.collect()
    };
    let strata: Vec<Json> = estimate
        .strata
        .iter()
        .zip(&made.total.strata)
        .map(|(stratum, found)| {
            let mut row = figure_json(found.figure.as_ref());
            row["stratum"] = json!(stratum.name);
            row["variance_with"] = json!(names(&found.with));
            row
        })
        .collect();
    let payers: Vec<Json> = made
        .by_payer
        .iter()
        .enumerate()
        .map(|(at, figure)| {
            let mut row = figure_json(figure.as_ref());
            row["payer"] = json!(report.payer(at));
            row
        })
        .collect();
    let ratio = made.ratio.map(|ratio| {
        let mut row = figure_json(Some(&ratio.whole));
        row["ratio"] = json!(ratio.ratio);
        row["helper_by_sample"] = json!(ratio.helper);
        row
    });
    json!({
        "measure": measure,
        "code": Some(code).filter(|code| !code.is_empty()),
        "unit": unit(report.storm, made.measure),
        "whole": whole,
        "by_helper": ratio,
        "strata": strata,
        "payers": payers,
    })
}

impl LotReport<'_> {
    /// What the whole is called: the lot only where it is the lot.
    pub(super) fn whole_word(&self) -> &'static str {
        if self.estimate.missing().next().is_some() {
            "strata counted"
        } else {
            "whole lot"
        }
    }

    /// The whole's figure; none where nothing is counted.
    pub(super) fn whole<'m>(&self, made: &'m MeasureEstimate) -> Option<&'m Figure> {
        (self.estimate.counted() > 0 || self.estimate.is_whole()).then_some(&made.total.whole)
    }

    /// `of the strata counted, without 9 cars of van`, where that is so.
    pub(super) fn without(&self) -> Option<String> {
        let missing: Vec<String> = self.estimate.missing().map(cars_of).collect();
        (!missing.is_empty())
            .then(|| format!("of the strata counted, without {}", missing.join(", ")))
    }
}

fn cars_of(stratum: &Stratum) -> String {
    match stratum.cars {
        1 => format!("1 car of {}", stratum.name),
        cars => format!("{cars} cars of {}", stratum.name),
    }
}
