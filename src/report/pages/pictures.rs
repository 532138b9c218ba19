//! The pictures of a storm and of a comparison.

use super::sum_text;
use crate::compare::CardComparison;
use crate::money::grouped_whole;
use crate::pricing::{GroupSum, Status};
use crate::report::document::{Cell, Table};
use crate::report::picture::{Anchor, Picture, shade};
use crate::report::storm_report::StormReport;
use crate::storm::{Group, Panel};
use crate::totals::By;

/// All pictures are as wide as a page's text.
const WIDTH: f32 = 680.0;
/// The letters of a picture.
const LETTER: f32 = 13.0;
/// Payers in one picture; more of them fit no page.
const TOGETHER: usize = 4;

/// Dents by panel: plain rectangles in panel order, five in a row, the darker
/// the more dents, the number in each.
#[must_use]
pub fn dents_by_panel(report: &StormReport<'_>) -> Option<Picture> {
    let mut table = Table::new("Dents by panel")
        .words("panel", 0)
        .figures("cars", 0)
        .figures("dents", 0)
        .figures("oversize", 0);
    let mut dents = [0_u64; Panel::ALL.len()];
    for row in &report.totals.rows {
        let By::Panel(Some(panel)) = row.by else {
            continue;
        };
        dents[panel as usize] = row.dents + row.oversize;
        table.row(vec![
            panel.word().into(),
            row.cars.to_string().into(),
            row.dents.to_string().into(),
            row.oversize.to_string().into(),
        ]);
    }
    let most = dents.iter().copied().max().filter(|most| *most > 0)?;
    let (columns, gap, high) = (5_u16, 6.0, 50.0);
    let wide = (WIDTH - gap * f32::from(columns - 1)) / f32::from(columns);
    let mut picture = Picture {
        title: "Dents by panel, oversize ones counted".to_owned(),
        width: WIDTH,
        ..Picture::default()
    };
    for (at, panel) in (0_u16..).zip(Panel::ALL) {
        let x = f32::from(at % columns) * (wide + gap);
        let y = f32::from(at / columns) * (high + gap);
        let number = dents[panel as usize];
        let tone = shade(number, most);
        picture.bar((x, y), (wide, high), tone);
        picture.word_on(
            (x + 8.0, y + 19.0),
            Anchor::Start,
            LETTER,
            tone,
            panel.word(),
        );
        picture.word_on(
            (x + wide - 8.0, y + 41.0),
            Anchor::End,
            17.0,
            tone,
            number.to_string(),
        );
        picture.height = y + high;
    }
    let (heaviest, _) = Panel::ALL
        .into_iter()
        .map(|panel| (panel, dents[panel as usize]))
        .rev()
        .max_by_key(|(_, number)| *number)?;
    picture.alternative = format!(
        "A grid of {} panels with the dents counted on each; most are on {}: {most} of {}.",
        Panel::ALL.len(),
        heaviest.word(),
        dents.iter().sum::<u64>()
    );
    picture.table = table;
    Some(picture)
}

/// How the totals of priced cars spread, a row of bars for each payer.
#[must_use]
pub fn price_distribution(report: &StormReport<'_>) -> Vec<Picture> {
    let storm = report.storm;
    let mut totals: Vec<Vec<f64>> = vec![Vec::new(); storm.payers.len()];
    for (car, priced) in storm.cars.iter().zip(&report.priced.cars) {
        if priced.status == Status::Priced {
            totals[car.vehicle.payer].push(priced.total().known.as_statistic());
        }
    }
    let most = totals.iter().flatten().copied().fold(0.0, f64::max);
    if most <= 0.0 {
        return Vec::new();
    }
    let step = round_step(most);
    let bins = (most / step).floor() as usize + 1;
    let mut table = Table::new("Priced cars by their total")
        .words("from", 0)
        .words("to below", 0);
    for payer in &storm.payers {
        table = table.figures(&payer.name, 0);
    }
    let mut counted = vec![vec![0_u64; bins]; storm.payers.len()];
    for (payer, totals) in totals.iter().enumerate() {
        for total in totals {
            counted[payer][((total / step).floor() as usize).min(bins - 1)] += 1;
        }
    }
    let edge = |bin: usize| grouped_whole(step * bin as f64);
    for bin in 0..bins {
        let mut row: Vec<Cell> = vec![edge(bin).into(), edge(bin + 1).into()];
        row.extend(counted.iter().map(|of| Cell::from(of[bin].to_string())));
        table.row(row);
    }
    let tallest = counted.iter().flatten().copied().max().unwrap_or(1).max(1);
    let title = format!("Priced cars by their total, in {}", storm.currency.code());
    let said: Vec<String> = storm
        .payers
        .iter()
        .zip(&totals)
        .filter(|(_, totals)| !totals.is_empty())
        .map(|(payer, totals)| format!("{}: {} priced cars", payer.name, totals.len()))
        .collect();
    let alternative = format!(
        "Bars of how many cars fall into each step of {}. {}.",
        edge(1),
        said.join(", ")
    );
    let named: Vec<(&str, &Vec<u64>)> = storm
        .payers
        .iter()
        .map(|payer| payer.name.as_str())
        .zip(&counted)
        .collect();
    let mut pictures: Vec<Picture> = named
        .chunks(TOGETHER)
        .enumerate()
        .map(|(at, named)| {
            let mut picture = Picture {
                title: continued(&title, at),
                alternative: alternative.clone(),
                width: WIDTH,
                ..Picture::default()
            };
            picture.height = distribution_of(&mut picture, named, tallest, &edge);
            picture
        })
        .collect();
    if let Some(last) = pictures.last_mut() {
        last.table = table;
    }
    pictures
}

/// Upright bars of some payers over one scale; how high they are together.
fn distribution_of(
    picture: &mut Picture,
    named: &[(&str, &Vec<u64>)],
    tallest: u64,
    edge: &dyn Fn(usize) -> String,
) -> f32 {
    let bins = named.first().map_or(1, |(_, of)| of.len());
    let (high, wide) = (70.0_f32, WIDTH / bins as f32);
    let mut top = 0.0;
    for (name, of) in named {
        let name = shortened(name, HEAD);
        picture.word((0.0, top + 14.0), Anchor::Start, LETTER, name);
        let base = top + 22.0 + 16.0 + high;
        for (bin, cars) in of.iter().enumerate() {
            if *cars == 0 {
                continue;
            }
            let x = bin as f32 * wide;
            let tall = high * *cars as f32 / tallest as f32;
            picture.bar((x + 2.0, base - tall), (wide - 4.0, tall), 3);
            let above = (x + wide / 2.0, base - tall - 4.0);
            picture.word(above, Anchor::Middle, LETTER, cars.to_string());
        }
        picture.rule((0.0, base), (WIDTH, base));
        top = base + 10.0;
    }
    // An edge every second bar where there are many, so that they don't touch.
    for bin in (0..bins).step_by(bins.div_ceil(7)) {
        let x = bin as f32 * wide;
        picture.word((x, top + 8.0), Anchor::Start, LETTER, edge(bin));
    }
    top + 14.0
}

/// A round width for at most twelve bars up to this amount: 1, 2 or 5 and noughts.
fn round_step(most: f64) -> f64 {
    let mut step = 1.0;
    loop {
        for factor in [1.0, 2.0, 5.0] {
            if most / (step * factor) < 12.0 {
                return step * factor;
            }
        }
        step *= 10.0;
    }
}

/// One bar of [`bars`].
struct Measured {
    /// Before it.
    label: String,
    /// As long as this.
    sum: GroupSum,
}

/// Sections of horizontal bars on one scale, the amount behind each: as many
/// pictures as they need, the table with the last.
fn bars(
    title: &str,
    alternative: &str,
    sections: &[(String, Vec<Measured>)],
    table: Table,
    money: &dyn Fn(GroupSum) -> String,
) -> Vec<Picture> {
    let most = sections
        .iter()
        .flat_map(|(_, bars)| bars)
        .map(|bar| bar.sum.known.as_statistic())
        .fold(0.0, f64::max);
    let mut pictures: Vec<Picture> = sections
        .chunks(TOGETHER)
        .enumerate()
        .map(|(at, sections)| {
            let mut picture = Picture {
                title: continued(title, at),
                alternative: alternative.to_owned(),
                width: WIDTH,
                ..Picture::default()
            };
            picture.height = bars_of(&mut picture, sections, most, money);
            picture
        })
        .collect();
    if let Some(last) = pictures.last_mut() {
        last.table = table;
    }
    pictures
}

/// A title, and that it goes on.
fn continued(title: &str, at: usize) -> String {
    match at {
        0 => title.to_owned(),
        _ => format!("{title}, continued"),
    }
}

/// The bars of some sections; how high they are together.
fn bars_of(
    picture: &mut Picture,
    sections: &[(String, Vec<Measured>)],
    most: f64,
    money: &dyn Fn(GroupSum) -> String,
) -> f32 {
    let (label_end, bar_start, bar_room, high) = (168.0, 176.0, 370.0, 18.0);
    let mut top = 0.0;
    for (at, (head, bars)) in sections.iter().enumerate() {
        if at > 0 {
            top += 12.0;
        }
        let head = shortened(head, HEAD);
        picture.word((0.0, top + 14.0), Anchor::Start, LETTER, head);
        top += 22.0;
        for (place, bar) in bars.iter().enumerate() {
            let share = if most > 0.0 {
                (bar.sum.known.as_statistic() / most) as f32
            } else {
                0.0
            };
            let wide = (bar_room * share).max(1.0);
            let tone = if place % 2 == 0 { 4 } else { 2 };
            let label = shortened(&bar.label, LABEL);
            picture.word((label_end, top + 14.0), Anchor::End, LETTER, label);
            picture.bar((bar_start, top), (wide, high), tone);
            let behind = (bar_start + wide + 6.0, top + 14.0);
            picture.word(behind, Anchor::Start, LETTER, money(bar.sum));
            top += high + 5.0;
        }
    }
    top
}

/// Letters before a bar.
const LABEL: usize = 20;
/// Letters over a section.
const HEAD: usize = 70;

/// A label that has room; the table has it whole.
fn shortened(label: &str, letters: usize) -> String {
    if label.chars().count() <= letters {
        return label.to_owned();
    }
    let kept: String = label.chars().take(letters - 1).collect();
    format!("{}…", kept.trim_end())
}

/// What the money of each payer is for.
#[must_use]
pub fn money_by_group(report: &StormReport<'_>) -> Vec<Picture> {
    let currency = report.storm.currency;
    let payers: Vec<_> = report
        .totals
        .rows
        .iter()
        .filter(|row| matches!(row.by, By::Payer(_)))
        .filter(|row| !row.total().known.is_zero())
        .collect();
    if payers.is_empty() {
        return Vec::new();
    }
    let used: Vec<Group> = Group::ALL
        .into_iter()
        .filter(|group| {
            payers
                .iter()
                .any(|row| !row.groups[group.index()].known.is_zero())
        })
        .collect();
    let sections: Vec<(String, Vec<Measured>)> = payers
        .iter()
        .map(|row| {
            let bars = used
                .iter()
                .map(|group| Measured {
                    label: group.word().to_owned(),
                    sum: row.groups[group.index()],
                })
                .collect();
            (report.key(row.by).1.to_owned(), bars)
        })
        .collect();
    let mut table = Table::new("Share of money by group").words("payer", 0);
    for group in &used {
        table = table.figures(group.word(), 0).figures("%", 1);
    }
    table = table.figures("total", 0);
    for row in &payers {
        let whole = row.total().known.as_statistic();
        let mut cells: Vec<Cell> = vec![report.key(row.by).1.into()];
        for group in &used {
            let sum = row.groups[group.index()];
            let share = 100.0 * sum.known.as_statistic() / whole;
            cells.push(sum_text(currency, sum).into());
            cells.push(format!("{share:.1}").into());
        }
        cells.push(sum_text(currency, row.total()).into());
        table.row(cells);
    }
    let said: Vec<String> = payers
        .iter()
        .map(|row| {
            let share = 100.0 * row.groups[Group::Dents.index()].known.as_statistic()
                / row.total().known.as_statistic();
            format!("{} {share:.1} % for dents", report.key(row.by).1)
        })
        .collect();
    let alternative = format!(
        "Bars of money by group for each payer: {}.",
        said.join("; ")
    );
    let title = format!("What the money is for, in {}", currency.code());
    let money = |sum| sum_text(currency, sum);
    bars(&title, &alternative, &sections, table, &money)
}

/// The cards of a comparison, payer by payer and over all.
#[must_use]
pub fn card_against_card(comparison: &CardComparison) -> Vec<Picture> {
    let currency = comparison.storm.currency;
    let section = |head: &str, of: &dyn Fn(usize) -> GroupSum| {
        let bars = comparison
            .columns
            .iter()
            .enumerate()
            .map(|(card, (name, _))| Measured {
                label: name.clone(),
                sum: of(card),
            })
            .collect();
        (head.to_owned(), bars)
    };
    let mut sections: Vec<(String, Vec<Measured>)> = comparison
        .storm
        .payers
        .iter()
        .enumerate()
        .map(|(payer, known)| {
            section(&known.name, &|card| {
                comparison.columns[card].1.by_payer[payer]
            })
        })
        .collect();
    if sections.len() > 1 {
        sections.push(section("all payers", &|card| {
            comparison.columns[card].1.total
        }));
    }
    let mut table = Table::new("Card against card").words("payer", 0);
    for (name, _) in &comparison.columns {
        table = table.figures(name, 0);
    }
    for (head, bars) in &sections {
        let mut cells: Vec<Cell> = vec![head.as_str().into()];
        cells.extend(
            bars.iter()
                .map(|bar| Cell::from(sum_text(currency, bar.sum))),
        );
        table.row(cells);
    }
    let said: Vec<String> = comparison
        .columns
        .iter()
        .map(|(name, totals)| format!("{name} {}", sum_text(currency, totals.total)))
        .collect();
    let alternative = format!(
        "Bars of the storm's total on each card: {}.",
        said.join("; ")
    );
    let title = format!("Card against card, in {}", currency.code());
    let money = |sum| sum_text(currency, sum);
    bars(&title, &alternative, &sections, table, &money)
}
