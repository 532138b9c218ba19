//! cars.csv and totals.csv as the rules say they must be, from what the
//! independent model makes of a lot.

use crate::properties::model::{Line, Priced};
use crate::properties::plain::{GROUPS, Lot, PANELS};
use crate::properties::ratio::Ratio;
use std::fmt::Write;

/// All bodies, in the order of the list.
const BODIES: [&str; 8] = [
    "sedan", "hatch", "wagon", "coupe", "suv", "van", "pickup", "other",
];

/// Sums of lines; whether there are any, and whether one has an amount.
#[derive(Clone, Copy, Default)]
struct Sum {
    lines: bool,
    known: bool,
    /// In minor units.
    units: i128,
}

impl Sum {
    fn add(&mut self, lot: &Lot, amount: Option<Ratio>) {
        self.lines = true;
        self.known |= amount.is_some();
        let grain = Ratio::new(10_i128.pow(lot.places), 1);
        let units = |amount: Ratio| (amount * grain).as_whole().expect("minor units");
        self.units += amount.map_or(0, units);
    }

    fn join(&mut self, other: Sum) {
        self.lines |= other.lines;
        self.known |= other.known;
        self.units += other.units;
    }

    /// Nothing where there are lines and none has an amount.
    fn is_shown(self) -> bool {
        self.known || !self.lines
    }

    fn shown(self, lot: &Lot) -> String {
        match self.is_shown() {
            true => money(lot, self.units),
            false => String::new(),
        }
    }
}

fn money(lot: &Lot, units: i128) -> String {
    Ratio::new(units, 10_i128.pow(lot.places)).money(lot.places)
}

/// What a row says after its key: counts, then sums.
#[derive(Clone, Default)]
struct Sums {
    /// Panels, dents, oversize.
    counts: [u64; 3],
    groups: [Sum; 6],
    total: Sum,
}

impl Sums {
    fn of(lot: &Lot, done: &Priced) -> Sums {
        let mut sums = Sums::default();
        for panel in &done.panels {
            sums.count(panel.dents, panel.oversize, panel.referred);
        }
        for line in &done.lines {
            sums.line(lot, line);
        }
        sums
    }

    /// A panel counts with a dent, or referred by the counter.
    fn count(&mut self, dents: u32, oversize: u32, referred: bool) {
        self.counts[0] += u64::from(dents + oversize > 0 || referred);
        self.counts[1] += u64::from(dents);
        self.counts[2] += u64::from(oversize);
    }

    fn line(&mut self, lot: &Lot, line: &Line) {
        let group = GROUPS.iter().position(|group| *group == line.group);
        self.groups[group.expect("a group")].add(lot, line.amount);
        self.total.add(lot, line.amount);
    }

    fn join(&mut self, other: &Sums) {
        for (mine, theirs) in self.counts.iter_mut().zip(other.counts) {
            *mine += theirs;
        }
        for (mine, theirs) in self.groups.iter_mut().zip(other.groups) {
            mine.join(theirs);
        }
        self.total.join(other.total);
    }

    fn amounts(&self, lot: &Lot) -> String {
        let groups = self.groups.iter().map(|sum| sum.shown(lot) + ",");
        groups.collect::<String>() + &self.total.shown(lot)
    }
}

/// Text as a cell of our own CSV.
fn text(text: &str) -> String {
    let guarded = match text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        true => format!("'{text}"),
        false => text.to_owned(),
    };
    match guarded.contains([',', '"', '\n', '\r']) {
        true => format!("\"{}\"", guarded.replace('"', "\"\"")),
        false => guarded,
    }
}

/// cars.csv.
pub fn cars(lot: &Lot, priced: &[Priced]) -> String {
    let mut csv = "stock,payer,status,panels,dents,oversize,referred,dents_amount,removal_amount,parts_amount,extra_amount,conventional_amount,tax_amount,total,payer_pays,owner_pays,flags\n".to_owned();
    for (car, done) in lot.cars.iter().zip(priced) {
        let _ = write!(
            csv,
            "{},{},{},",
            text(&car.stock),
            text(lot.payers[car.payer].name),
            done.status
        );
        if done.status == "uncounted" {
            // 14 columns without a figure.
            csv += ",,,,,,,,,,,,,\n";
            continue;
        }
        let sums = Sums::of(lot, done);
        let [panels, dents, oversize] = sums.counts;
        let referred = done.panels.iter().filter(|panel| panel.referred).count();
        let pays = |part: Ratio| match sums.total.is_shown() {
            true => part.money(lot.places),
            false => String::new(),
        };
        let _ = writeln!(
            csv,
            "{panels},{dents},{oversize},{referred},{},{},{},{}",
            sums.amounts(lot),
            pays(done.total - done.owner),
            pays(done.owner),
            done.flag
        );
    }
    csv
}

/// A row of totals.csv in the making.
#[derive(Clone, Default)]
struct Row {
    cars: u64,
    quotes: u64,
    sums: Sums,
    /// Payers and owners, where they are told; in minor units.
    pays: [i128; 2],
}

impl Row {
    fn car(&mut self, lot: &Lot, done: &Priced) {
        self.cars += 1;
        self.quotes += u64::from(done.status == "quote");
        let sums = Sums::of(lot, done);
        if sums.total.is_shown() {
            let mut part = Sum::default();
            part.add(lot, Some(done.owner));
            self.pays[1] += part.units;
            self.pays[0] += sums.total.units - part.units;
        }
        self.sums.join(&sums);
    }

    fn csv(&self, lot: &Lot, by: &str, key: &str) -> String {
        let [panels, dents, oversize] = self.sums.counts;
        let pays = match self.sums.total.is_shown() && by != "panel" {
            true => self.pays.map(|part| money(lot, part)),
            false => [String::new(), String::new()],
        };
        format!(
            "{by},{},{},{},{panels},{dents},{oversize},{},{},{}\n",
            text(key),
            self.cars,
            self.quotes,
            self.sums.amounts(lot),
            pays[0],
            pays[1]
        )
    }
}

/// totals.csv of a storm of this name.
pub fn totals(lot: &Lot, name: &str, priced: &[Priced]) -> String {
    let mut csv = "by,key,cars,quotes,panels,dents,oversize,dents_amount,removal_amount,parts_amount,extra_amount,conventional_amount,tax_amount,total,payer_pays,owner_pays\n".to_owned();
    let counted = || {
        let all = lot.cars.iter().zip(priced);
        all.filter(|(_, done)| done.status != "uncounted")
    };
    let mut storm = Row::default();
    let mut payers = vec![Row::default(); lot.payers.len()];
    let mut bodies = vec![Row::default(); BODIES.len()];
    for (car, done) in counted() {
        let body = BODIES.iter().position(|body| *body == car.body);
        storm.car(lot, done);
        payers[car.payer].car(lot, done);
        bodies[body.expect("a body")].car(lot, done);
    }
    csv += &storm.csv(lot, "storm", name);
    for (payer, row) in lot.payers.iter().zip(&payers) {
        if row.cars > 0 {
            csv += &row.csv(lot, "payer", payer.name);
        }
    }
    for (body, row) in BODIES.iter().zip(&bodies) {
        if row.cars > 0 {
            csv += &row.csv(lot, "body", body);
        }
    }
    for panel in PANELS {
        let mut row = Row::default();
        for (_, done) in counted() {
            on_panel(lot, done, panel, &mut row);
        }
        if row.cars > 0 {
            csv += &row.csv(lot, "panel", panel);
        }
    }
    let mut rest = Row::default();
    for (_, done) in counted() {
        let lines: Vec<&Line> = lines_on(done, "").collect();
        rest.cars += u64::from(!lines.is_empty());
        for line in lines {
            rest.sums.line(lot, line);
        }
    }
    if rest.cars > 0 {
        csv += &rest.csv(lot, "panel", "(car)");
    }
    csv
}

fn lines_on<'a>(done: &'a Priced, panel: &str) -> impl Iterator<Item = &'a Line> {
    done.lines.iter().filter(move |line| line.panel == panel)
}

/// A car's dents and lines on a panel; the car counts with either.
fn on_panel(lot: &Lot, done: &Priced, panel: &str, row: &mut Row) {
    let counted = done.panels.iter().find(|counted| counted.panel == panel);
    let before = row.sums.counts[0];
    if let Some(counted) = counted {
        row.sums
            .count(counted.dents, counted.oversize, counted.referred);
    }
    let lines: Vec<&Line> = lines_on(done, panel).collect();
    row.cars += u64::from(row.sums.counts[0] > before || !lines.is_empty());
    row.quotes += u64::from(lines.iter().any(|line| line.amount.is_none()));
    for line in lines {
        row.sums.line(lot, line);
    }
}
