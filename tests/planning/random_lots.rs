//! Random lots, crews and hours: every plan keeps the rules by the clock, as a
//! checker of its own reads them from plan.csv, and no bound passes a plan.

use super::site::Site;
use super::wall_checker::{Hand, Lot, Rules};
use crate::builder::{hailyard, read_csv};
use hailyard::cli::Exit;
use jiff::ToSpan;
use jiff::civil::Date;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use tempfile::TempDir;

const PANELS: [&str; 6] = [
    "hood",
    "roof",
    "fender-l",
    "door-fl",
    "door-fr",
    "quarter-r",
];

struct Draw(ChaCha8Rng);

impl Draw {
    fn below(&mut self, most: u32) -> u32 {
        self.0.next_u32() % most
    }

    fn maybe(&mut self, percent: u32) -> bool {
        self.below(100) < percent
    }

    fn day(&mut self, start: Date, within: u32) -> Date {
        let days = i64::from(self.below(within));
        start.checked_add(days.days()).expect("a day")
    }
}

/// A storm and the rules that its plan must keep.
fn lot(seed: u64) -> (Site, Rules) {
    lot_of(seed, false)
}

/// The same, where everyone may leave before the work is done.
fn lot_of(seed: u64, leaves: bool) -> (Site, Rules) {
    let mut draw = Draw(ChaCha8Rng::seed_from_u64(seed));
    let start: Date = "2026-06-15".parse().expect("a day");
    let six = draw.maybe(50);
    let (from, to, pause) = (
        450 + i64::from(draw.below(60)),
        1000,
        i64::from(draw.below(50)),
    );
    let at = 720 + i64::from(draw.below(40));
    let closed = vec![draw.day(start, 6)];
    let mut crew = "name,trades,speed,from,to,off\n".to_owned();
    let mut people = Vec::new();
    for at in 0..3 + draw.below(4) {
        // The first three see to it that every trade is there to the end.
        let trades: Vec<&'static str> = match at {
            0 => vec!["dents"],
            1 => vec!["strip"],
            2 => vec!["finish", "dents"],
            _ => vec![["dents", "strip", "finish"][draw.below(3) as usize]],
        };
        let speed = 70 + i64::from(draw.below(60));
        let comes = (at > 2 && draw.maybe(40)).then(|| draw.day(start, 5));
        let goes = (at > 2 && draw.maybe(30) || leaves && draw.maybe(70))
            .then(|| comes.unwrap_or(start).checked_add(4.days()).expect("a day"));
        let off: Vec<Date> = (0..draw.below(3)).map(|_| draw.day(start, 9)).collect();
        let text = |day: Option<Date>| day.map_or(String::new(), |day| day.to_string());
        let days: Vec<String> = off.iter().map(ToString::to_string).collect();
        crew.push_str(&format!(
            "P{at},{},{}.{:02},{},{},{}\n",
            trades.join("; "),
            speed / 100,
            speed % 100,
            text(comes),
            text(goes),
            days.join("; ")
        ));
        people.push(Hand {
            name: format!("P{at}"),
            trades,
            speed,
            from: comes,
            to: goes,
            off,
        });
    }
    let mut counts = "stock,panel,dime,nickel,metal,access,remove\n".to_owned();
    let mut vehicles = "stock,arrives,due,parts_due,priority\n".to_owned();
    let mut cars = Vec::new();
    for at in 0..4 + draw.below(12) {
        let stock = format!("A{at}");
        let text = |day: Option<Date>| day.map_or(String::new(), |day| day.to_string());
        let arrives = draw.maybe(30).then(|| draw.day(start, 5));
        let parts_due = draw.maybe(20).then(|| draw.day(start, 8));
        let due = draw.maybe(40).then(|| draw.day(start, 8));
        let priority = draw.below(4);
        vehicles.push_str(&format!(
            "{stock},{},{},{},{}\n",
            text(arrives),
            text(due),
            text(parts_due),
            if priority == 0 {
                String::new()
            } else {
                priority.to_string()
            }
        ));
        let (mut panels, mut removals) = (Vec::new(), 0);
        for panel in PANELS {
            if draw.maybe(40) && panel != "hood" {
                continue;
            }
            let (dimes, nickels) = (draw.below(60), draw.below(30));
            let metal = [("", 100), ("aluminium", 135)][usize::from(draw.maybe(25))];
            let access = [("", 100), ("glue", 140)][usize::from(draw.maybe(25))];
            let trim = draw.maybe(30);
            removals += i64::from(trim && dimes + nickels > 0);
            counts.push_str(&format!(
                "{stock},{panel},{dimes},{nickels},{},{},{}\n",
                metal.0,
                access.0,
                if trim && dimes + nickels > 0 {
                    "trim"
                } else {
                    ""
                }
            ));
            // Setup 4, a dime 1.1, a nickel 2.3 minutes: thousandths.
            let dents = i64::from(dimes) * 11 + i64::from(nickels) * 23;
            let scaled = dents * metal.1 * access.1;
            if dents > 0 {
                // Tenths times hundredths squared are 1/100,000; to thousandths, exactly or up.
                panels.push((panel, 4_000 + (scaled + 99).div_euclid(100)));
            }
        }
        // An hour each, 0.9 true hours, 0.6 of it taking off: 32.4 and 21.6 minutes.
        cars.push(Lot {
            stock,
            arrives,
            parts_due,
            strip: removals * 32_400,
            fit: removals * 21_600,
            finish: if panels.is_empty() && removals == 0 {
                0
            } else {
                25_000
            },
            panels,
        });
    }
    let release = draw.maybe(50);
    let hands = 1 + draw.below(3) as usize;
    let bays = draw.maybe(50).then(|| 1 + draw.below(4) as usize);
    let mut site = Site::new(&counts)
        .time("panel_setup = 4\nfinish_per_car = 25\nremoval_share = \"0.6\"\nremoval_factor = \"0.9\"")
        .time("metal = { aluminium = \"1.35\" }\naccess = { glue = \"1.4\" }")
        .site(&format!("hands_per_car = {hands}\nrelease_for_parts = {release}"))
        .crew(&crew)
        .vehicles(&vehicles);
    site.time = site
        .time
        .replace("dime = 1, nickel = 2", "dime = \"1.1\", nickel = \"2.3\"");
    if let Some(bays) = bays {
        site = site.site(&format!("bays = {bays}"));
    }
    let clock = |minutes: i64| format!("{:02}:{:02}", minutes / 60, minutes % 60);
    site.hours = format!(
        "start = {start}\ndays = \"mon-{}\"\nfrom = \"{}\"\nto = \"{}\"\nbreak = \"{pause} min\"\nbreak_at = \"{}\"\nclosed = [{}]\n",
        if six { "sat" } else { "fri" },
        clock(from),
        clock(to),
        clock(at),
        closed[0]
    );
    let rules = Rules {
        start,
        weekdays: [true, true, true, true, true, six, false],
        closed,
        shifts: vec![(from, at), (at + pause, to)],
        hands,
        bays,
        release,
        people,
        cars,
    };
    (site, rules)
}

#[test]
fn plans_keep_the_rules_by_the_clock() {
    for seed in 0..40 {
        let (site, rules) = lot(seed);
        let table = site.table(&["--rounds", "60"]);
        assert_eq!(rules.check(&table), Ok(()), "seed {seed}");
        let json = site.json(&["--rounds", "60"]);
        let (end, bound) = (&json["end_minute"], &json["bound_minute"]);
        assert!(bound.as_i64() <= end.as_i64(), "seed {seed}: {bound} {end}");
        assert!(json["bound_days"].as_i64() <= json["days"].as_i64());
    }
}

/// Where people leave there is a plan that keeps the rules, or an answer; both
/// after a search, in which much finds no place.
#[test]
fn crews_that_leave_are_planned_or_answered() {
    let (mut planned, mut answered) = (0, 0);
    for seed in 200..240 {
        let (site, rules) = lot_of(seed, true);
        let (folder, out) = (site.folder(), TempDir::new().expect("a folder"));
        let arg = out.path().to_str().expect("UTF-8");
        let ran = hailyard(&["plan", &folder.arg(), "--rounds", "400", "--out", arg]);
        match ran.exit {
            Exit::Done => {
                let table = read_csv(&out.path().join("plan.csv")).split_off(1);
                assert_eq!(rules.check(&table), Ok(()), "seed {seed}");
                planned += 1;
            }
            exit => {
                assert_eq!(exit, Exit::Problems, "seed {seed}: {}{}", ran.out, ran.err);
                assert!(ran.out.contains("cures it"), "seed {seed}: {}", ran.out);
                answered += 1;
            }
        }
    }
    assert!(planned >= 10 && answered >= 10, "{planned} and {answered}");
}

/// The checker sees a minute too many, another person, another day, a row gone.
#[test]
fn the_checker_by_the_clock_refuses_broken_plans() {
    let (site, rules) = lot(7);
    let table = site.table(&["--rounds", "10"]);
    assert_eq!(rules.check(&table), Ok(()));
    let broken = |change: &dyn Fn(&mut Vec<Vec<String>>)| {
        let mut table = table.clone();
        change(&mut table);
        rules.check(&table).expect_err("a broken plan")
    };
    let at = |stage: &str| table.iter().position(|row| row[6] == stage).expect("one");
    assert!(
        broken(&|table| drop(table.remove(0))).contains("missing")
            || broken(&|table| drop(table.remove(0))).contains("minutes for")
    );
    let finish = at("finish");
    assert!(broken(&|table| table[finish][3] = "P1".to_owned()).contains("P1"));
    assert!(broken(&|table| table[finish][3] = "Nobody".to_owned()).contains("is nobody"));
    assert!(broken(&|table| table[finish][0] = "2026-06-21".to_owned()).contains("not at work"));
    assert!(broken(&|table| table[finish][1] = "05:00".to_owned()).contains("not at work"));
    assert!(broken(&|table| table[finish][4] = "B9".to_owned()).contains("missing"));
    let narrower = Rules {
        hands: 0,
        ..lot(7).1
    };
    assert!(
        narrower
            .check(&table)
            .expect_err("no hands")
            .contains("too many hands")
    );
    let no_bay = Rules {
        bays: Some(0),
        ..lot(7).1
    };
    assert!(
        no_bay
            .check(&table)
            .expect_err("no bay")
            .contains("than bays")
    );
    let mut later = lot(7).1;
    for car in &mut later.cars {
        car.arrives = Some("2027-01-01".parse().expect("a day"));
    }
    assert!(
        later
            .check(&table)
            .expect_err("not here")
            .contains("not here")
    );
}
