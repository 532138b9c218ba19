//! Invented, seeded lots for the benchmarks.

use std::fmt::Write;
use std::path::Path;
use std::time::Duration;

/// A time in milliseconds.
pub fn milliseconds(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

/// Park and Miller's minimal standard generator: seeded, the same anywhere.
pub struct Draw(pub u64);

impl Draw {
    pub fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0 * 16_807 % 2_147_483_647;
        self.0 % end
    }
}

/// Panels: how many cars of a hundred have it counted, and the most dimes on it.
pub const PANELS: [(&str, u64, u64); 16] = [
    ("hood", 98, 60),
    ("roof", 98, 80),
    ("decklid", 40, 40),
    ("liftgate", 50, 15),
    ("fender-l", 90, 14),
    ("fender-r", 85, 10),
    ("rail-l", 90, 16),
    ("rail-r", 88, 14),
    ("door-fl", 85, 12),
    ("door-rl", 70, 8),
    ("door-fr", 75, 8),
    ("door-rr", 60, 6),
    ("quarter-l", 75, 12),
    ("quarter-r", 70, 8),
    ("pillar-l", 20, 3),
    ("sunroof", 15, 5),
];
pub const BODIES: [&str; 5] = ["sedan", "suv", "hatch", "pickup", "wagon"];
const METALS: [&str; 4] = ["", "steel", "aluminium", "high-strength"];

/// What was counted on one panel.
pub struct Counted {
    /// Dents by the card's size classes, smallest first.
    pub dents: [u64; 4],
    pub metal: &'static str,
    /// Whether there are oversize dents too: on one panel of a hundred.
    pub oversize: bool,
    /// Whether something has to come off first: on one panel of a hundred.
    pub remove: bool,
}

impl Counted {
    /// Draws a panel of [`PANELS`], where the car has it counted.
    pub fn draw(draw: &mut Draw, chance: u64, most: u64) -> Option<Counted> {
        (draw.below(100) < chance).then(|| Counted {
            dents: [most, most / 2 + 1, most / 4 + 1, most / 12 + 1]
                .map(|most| draw.below(most + 1)),
            metal: METALS[draw.below(4) as usize],
            oversize: draw.below(100) == 0,
            remove: draw.below(100) == 0,
        })
    }
}

/// Terms of one payer on the bench's card; `tiers` are its lot discounts.
pub fn payer(name: &str, tiers: &str, event_max: &str) -> String {
    format!(
        "[[payer]]\nname = \"{name}\"\nrate_card = \"rates/card.toml\"\ndiscount = [{{ on = [\"dents\"], percent = \"5\" }}]\nlot_discount = [{tiers}]\nminimum = \"150.00\"\ntax = [{{ name = \"state\", percent = \"8.25\", on = [\"parts\", \"extra\"] }}]\ndeductible = \"500.00\"\ndeductible_event_max = \"{event_max}\"\n"
    )
}

/// The one tier of a plain lot.
pub const TIER: &str = "{ cars_at_least = 25, percent = \"2\" }";

/// Writes the storm and its card; counts and lists are for the caller.
pub fn write_storm(folder: &Path, payers: &str) {
    let storm =
        format!("name = \"Bench\"\ndate = 2026-06-11\ncurrency = \"USD\"\nunit = \"mm\"\n{payers}");
    std::fs::create_dir_all(folder.join("rates")).expect("a folder");
    std::fs::create_dir_all(folder.join("counts")).expect("a folder");
    let card = include_str!("../../data/cards/coins.toml");
    for (path, text) in [("storm.toml", storm.as_str()), ("rates/card.toml", card)] {
        std::fs::write(folder.join(path), text).expect("a file");
    }
}

/// Writes a storm of so many cars; returns its panel rows.
pub fn write_lot(folder: &Path, cars: usize) -> usize {
    let mut draw = Draw(20_260_611);
    let mut list = String::from("stock,body,payer,value,row\n");
    let mut counts =
        String::from("stock,panel,dime,nickel,quarter,half-dollar,metal,oversize,remove\n");
    let mut rows = 0;
    for car in 0..cars {
        let body = BODIES[draw.below(5) as usize];
        let payer = ["Harl Cover", "Ostrel Fleet"][draw.below(2) as usize];
        let value = 4_000 + draw.below(40_000);
        let _ = writeln!(list, "C{car:06},{body},{payer},{value}.00,R{}", car / 40);
        for (panel, chance, most) in PANELS {
            let Some(counted) = Counted::draw(&mut draw, chance, most) else {
                continue;
            };
            rows += 1;
            let [dime, nickel, quarter, half] = counted.dents;
            let metal = counted.metal;
            let oversize = if counted.oversize { "38; 52 x2" } else { "" };
            let remove = if counted.remove { "headliner" } else { "" };
            let _ = writeln!(
                counts,
                "C{car:06},{panel},{dime},{nickel},{quarter},{half},{metal},{oversize},{remove}"
            );
        }
    }
    let both = ["Harl Cover", "Ostrel Fleet"].map(|name| payer(name, TIER, "90000.00"));
    write_storm(folder, &both.concat());
    std::fs::write(folder.join("vehicles.csv"), list).expect("a file");
    std::fs::write(folder.join("counts/lot.csv"), counts).expect("a file");
    rows
}
