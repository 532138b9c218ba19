//! Totals by stratum as bars, each with its interval as a whisker.

use crate::report::document::{Cell, Table};
use crate::report::lot_report::LotReport;
use crate::report::picture::{Anchor, Picture};
use crate::sampling::{Figure, Measure};

const WIDTH: f32 = 680.0;
/// Room for the strata's names.
const NAMES: f32 = 130.0;
/// Room for a figure behind the longest bar.
const FIGURES: f32 = 110.0;
const HIGH: f32 = 24.0;
const LETTER: f32 = 12.0;
/// Letters of a name that fit before the bars.
const NAME_LETTERS: usize = 18;
/// Strata in one picture; more of them fit no page.
const TOGETHER: usize = 24;

/// Bars on one scale, as many pictures as they need; none where nothing is
/// above 0.
#[must_use]
pub fn totals_by_stratum(report: &LotReport<'_>) -> Vec<Picture> {
    let estimate = report.estimate;
    let Some(total) = estimate.measures.first() else {
        return Vec::new();
    };
    let figures: Vec<(&str, &Figure)> = estimate
        .strata
        .iter()
        .zip(&total.total.strata)
        .filter_map(|(stratum, found)| Some((stratum.name.as_str(), found.figure.as_ref()?)))
        .collect();
    let most = figures
        .iter()
        .map(|(_, figure)| figure.interval.map_or(figure.total, |(_, high)| high))
        .fold(0.0, f64::max);
    if most <= 0.0 {
        return Vec::new();
    }
    figures
        .chunks(TOGETHER)
        .enumerate()
        .map(|(at, figures)| picture(report, figures, most, at))
        .collect()
}

fn picture(report: &LotReport<'_>, figures: &[(&str, &Figure)], most: f64, at: usize) -> Picture {
    let shown = |value| report.shown(Measure::Total, value);
    let title = format!(
        "Total by stratum and its interval of 95 %, in {}{}",
        report.storm.currency.code(),
        if at == 0 { "" } else { ", continued" }
    );
    let mut table = Table::new(title.clone())
        .words("stratum", 0)
        .figures("total", 0)
        .figures("low", 0)
        .figures("high", 0);
    let mut picture = Picture {
        title,
        width: WIDTH,
        ..Picture::default()
    };
    // Between 0 and 1, so nothing is lost that a screen could show.
    let along = |value: f64| {
        let part = (value / most).clamp(0.0, 1.0) as f32;
        NAMES + part * (WIDTH - NAMES - FIGURES)
    };
    for (row, (name, figure)) in (0_u16..).zip(figures) {
        let y = f32::from(row) * (HIGH + 8.0);
        let middle = y + HIGH / 2.0;
        let short: String = name.chars().take(NAME_LETTERS).collect();
        picture.word((0.0, middle + 4.0), Anchor::Start, LETTER, short);
        let end = along(figure.total);
        picture.bar((NAMES, y), (end - NAMES, HIGH), 2);
        let mut cells: Vec<Cell> = vec![(*name).into(), shown(figure.total).into()];
        let mut behind = end;
        match figure.interval {
            Some((low, high)) => {
                let (low_at, high_at) = (along(low), along(high));
                picture.rule((low_at, middle), (high_at, middle));
                for x in [low_at, high_at] {
                    picture.rule((x, middle - 5.0), (x, middle + 5.0));
                }
                behind = behind.max(high_at);
                cells.extend([shown(low).into(), shown(high).into()]);
            }
            None => cells.extend(["".into(), "".into()]),
        }
        let at = (behind + 8.0, middle + 4.0);
        picture.word(at, Anchor::Start, LETTER, shown(figure.total));
        table.row(cells);
        picture.height = y + HIGH;
    }
    picture.alternative = format!(
        "A bar for each of {} strata, as long as its total, with a line over its interval.",
        figures.len()
    );
    picture.table = table;
    picture
}
