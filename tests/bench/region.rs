//! A whole region after one night of hail: invented, seeded counts of millions
//! of cars in one CSV, in the shapes that such files come in. Written as a
//! stream: what it needs of memory does not grow with the cars.

use super::lot::{BODIES, Counted, Draw, PANELS, TIER, payer, write_storm};
use clap::ValueEnum;
use std::borrow::Cow;
use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};

/// How the rows of a region are written down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Shape {
    /// A car's rows together, the usual columns, one payer.
    Plain,
    /// The same rows, the columns in another order.
    Shuffled,
    /// The rich rows under `;`: lists have to be quoted.
    Semicolon,
    /// One row of a hundred with oversize dents, one with something to remove.
    Rich,
    /// Panel by panel over the whole region: a car's rows are nowhere together.
    Scattered,
    /// Three payers with tiers and event maxima; who pays stands in every row.
    Payers,
    /// The plain rows beside a lot list.
    Listed,
}

/// What was written.
pub struct Written {
    /// The file of counts.
    pub counts: PathBuf,
    /// Its panel rows.
    pub rows: u64,
    /// Its size.
    pub bytes: u64,
}

const USUAL: &str = "stock,panel,dime,nickel,quarter,half-dollar,metal,oversize,remove";
const SHUFFLED: &str = "remove,quarter,metal,panel,dime,oversize,stock,half-dollar,nickel";
const WITH_PAYER: &str =
    "stock,payer,body,deductible,row,panel,dime,nickel,quarter,half-dollar,metal,oversize,remove";

const OVERSIZE: [&str; 4] = ["38; 52 x2", "41", "2.5 in", "33.5; 44; 61"];
const REMOVE: [&str; 4] = [
    "headliner",
    "door-trim",
    "tail-lamp-l; tail-lamp-r",
    "roof-antenna",
];
/// Each with its share of ten cars.
const PAYERS: [(&str, u64); 3] = [
    ("Harl Cover", 5),
    ("Ostrel Fleet", 2),
    ("Quillfeather Insurance", 3),
];
/// Mostly the payer's own.
const DEDUCTIBLES: [&str; 6] = ["", "", "", "250.00", "1000.00", "0"];

/// Writes a storm of so many cars.
pub fn write_region(folder: &Path, shape: Shape, cars: u64) -> Written {
    write_storm(folder, &payers(shape));
    if shape == Shape::Listed {
        write_list(&folder.join("vehicles.csv"), cars);
    }
    let counts = folder.join("counts/region.csv");
    let mut sheet = Sheet::new(shape, &counts);
    // Every panel is drawn from a seed of its own, so the rows of a car are
    // the same in any order and no row has to be kept.
    if shape == Shape::Scattered {
        for panel in 0..PANELS.len() {
            for car in 0..cars {
                sheet.row(&Car::new(shape, car), panel);
            }
        }
    } else {
        for car in 0..cars {
            let car = Car::new(shape, car);
            for panel in 0..PANELS.len() {
                sheet.row(&car, panel);
            }
        }
    }
    sheet.out.flush().expect("a file");
    // What is still on its way to the disk would slow down what is measured.
    sheet.out.get_ref().sync_all().expect("a file");
    Written {
        rows: sheet.rows,
        bytes: std::fs::metadata(&counts).expect("a file").len(),
        counts,
    }
}

fn payers(shape: Shape) -> String {
    if shape != Shape::Payers {
        return payer("Harl Cover", TIER, "90000.00");
    }
    let two = format!("{TIER}, {{ cars_at_least = 1000, percent = \"3.5\" }}");
    let three = format!("{two}, {{ cars_at_least = 200000, percent = \"4.125\" }}");
    [
        payer(PAYERS[0].0, &three, "60000000.00"),
        payer(PAYERS[1].0, TIER, "90000.00"),
        payer(PAYERS[2].0, &two, "4000000.00"),
    ]
    .concat()
}

/// The lot list: what it says of a car is what the rows of `Payers` say.
fn write_list(path: &Path, cars: u64) {
    let mut out = BufWriter::new(File::create(path).expect("a file"));
    writeln!(out, "stock,body,value,deductible,row").expect("a file");
    for at in 0..cars {
        let car = Car::new(Shape::Listed, at);
        writeln!(
            out,
            "H26-{at:07},{},{}.00,{},R{}",
            car.body,
            4_000 + keyed(at, 30).below(40_000),
            car.deductible,
            at / 40
        )
        .expect("a file");
    }
    out.flush().expect("a file");
}

struct Car {
    at: u64,
    body: &'static str,
    payer: &'static str,
    deductible: &'static str,
    /// Whether the body is written down anywhere and can be contradicted.
    has_body: bool,
}

impl Car {
    fn new(shape: Shape, at: u64) -> Car {
        let mut draw = keyed(at, 31);
        let mut turn = draw.below(10);
        let payer = PAYERS.into_iter().find(|(_, share)| {
            let here = turn < *share;
            turn = turn.saturating_sub(*share);
            here
        });
        Car {
            at,
            body: BODIES[draw.below(5) as usize],
            payer: payer.expect("shares make ten").0,
            deductible: DEDUCTIBLES[draw.below(6) as usize],
            has_body: matches!(shape, Shape::Payers | Shape::Listed),
        }
    }

    /// Only a sedan has a lid at the back, and a sedan or a pickup no gate:
    /// anything else would be a caution.
    fn can_have(&self, panel: &str) -> bool {
        !self.has_body
            || match panel {
                "decklid" => self.body == "sedan",
                "liftgate" => !matches!(self.body, "sedan" | "pickup"),
                _ => true,
            }
    }
}

/// A generator for one thing of one car. Neighbouring seeds of `Draw` begin
/// alike, so the seed is mixed first (the finaliser of SplitMix64).
fn keyed(car: u64, thing: u64) -> Draw {
    let mut seed = (car * 32 + thing + 20_260_611).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    seed = (seed ^ (seed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    seed = (seed ^ (seed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    Draw((seed ^ (seed >> 31)) % 2_147_483_646 + 1)
}

/// The counts as they are written, row by row.
struct Sheet {
    out: BufWriter<File>,
    columns: Vec<&'static str>,
    delimiter: &'static str,
    rich: bool,
    rows: u64,
}

impl Sheet {
    fn new(shape: Shape, path: &Path) -> Sheet {
        let header = match shape {
            Shape::Shuffled => SHUFFLED,
            Shape::Payers => WITH_PAYER,
            _ => USUAL,
        };
        let delimiter = if shape == Shape::Semicolon { ";" } else { "," };
        let file = File::create(path).expect("a file");
        let mut out = BufWriter::with_capacity(1 << 20, file);
        writeln!(out, "{}", header.replace(',', delimiter)).expect("a file");
        Sheet {
            out,
            columns: header.split(',').collect(),
            delimiter,
            rich: matches!(shape, Shape::Rich | Shape::Semicolon),
            rows: 0,
        }
    }

    /// One panel of one car, where it was counted.
    fn row(&mut self, car: &Car, at: usize) {
        let (panel, chance, most) = PANELS[at];
        let mut draw = keyed(car.at, at as u64);
        let Some(counted) = Counted::draw(&mut draw, chance, most) else {
            return;
        };
        if !car.can_have(panel) {
            return;
        }
        let kind = draw.below(4) as usize;
        let list = |is: bool, list: [&'static str; 4]| if is { list[kind] } else { "" };
        let oversize = list(self.rich && counted.oversize, OVERSIZE);
        let remove = list(self.rich && counted.remove, REMOVE);
        self.rows += 1;
        let [dime, nickel, quarter, half] = counted.dents;
        for (place, column) in self.columns.iter().enumerate() {
            let before = if place == 0 { "" } else { self.delimiter };
            match *column {
                "stock" => write!(self.out, "{before}H26-{:07}", car.at),
                "panel" => write!(self.out, "{before}{panel}"),
                "dime" => write!(self.out, "{before}{dime}"),
                "nickel" => write!(self.out, "{before}{nickel}"),
                "quarter" => write!(self.out, "{before}{quarter}"),
                "half-dollar" => write!(self.out, "{before}{half}"),
                "metal" => write!(self.out, "{before}{}", counted.metal),
                "oversize" => write!(self.out, "{before}{}", self.quoted(oversize)),
                "remove" => write!(self.out, "{before}{}", self.quoted(remove)),
                "payer" => write!(self.out, "{before}{}", car.payer),
                "body" => write!(self.out, "{before}{}", car.body),
                "deductible" => write!(self.out, "{before}{}", car.deductible),
                "row" => write!(self.out, "{before}R{}", car.at / 40),
                _ => unreachable!("every column has its match"),
            }
            .expect("a file");
        }
        writeln!(self.out).expect("a file");
    }

    /// Under `;` a list would fall apart without its quotes.
    fn quoted(&self, list: &'static str) -> Cow<'static, str> {
        if list.contains(self.delimiter) {
            format!("\"{list}\"").into()
        } else {
            list.into()
        }
    }
}
