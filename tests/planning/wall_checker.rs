//! A checker of a whole plan by the clock, sharing no code with the planner:
//! plan.csv against crew, hours and minutes that the test itself knows.

use jiff::ToSpan;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// A person as the test made one.
pub struct Hand {
    pub name: String,
    pub trades: Vec<&'static str>,
    /// Hundredths.
    pub speed: i64,
    pub from: Option<Date>,
    pub to: Option<Date>,
    pub off: Vec<Date>,
}

/// A car: thousandths of minutes at the standard's pace.
pub struct Lot {
    pub stock: String,
    pub arrives: Option<Date>,
    pub parts_due: Option<Date>,
    pub strip: i64,
    pub panels: Vec<(&'static str, i64)>,
    pub fit: i64,
    pub finish: i64,
}

/// The rules of a site.
pub struct Rules {
    pub start: Date,
    pub weekdays: [bool; 7],
    pub closed: Vec<Date>,
    /// Stretches of a day, minutes after midnight.
    pub shifts: Vec<(i64, i64)>,
    pub hands: usize,
    pub bays: Option<usize>,
    /// Whether a car that waits for parts gives its bay back.
    pub release: bool,
    pub people: Vec<Hand>,
    pub cars: Vec<Lot>,
}

/// A task put together from its rows: minutes since the first day's midnight.
struct Whole {
    stage: String,
    person: String,
    rows: Vec<(i64, i64)>,
}

impl Rules {
    fn is_open(&self, day: Date) -> bool {
        let weekday = day.weekday().to_monday_zero_offset();
        self.weekdays[usize::try_from(weekday).expect("0 to 6")] && !self.closed.contains(&day)
    }

    fn is_here(&self, hand: &Hand, day: Date) -> bool {
        self.is_open(day)
            && hand.from.is_none_or(|from| from <= day)
            && hand.to.is_none_or(|to| day <= to)
            && !hand.off.contains(&day)
    }

    /// Minutes from the midnight of the first day.
    fn absolute(&self, day: Date, minute: i64) -> i64 {
        i64::from((day - self.start).get_days()) * 1440 + minute
    }

    /// A person's working stretches between two minutes.
    fn own_minutes(&self, hand: &Hand, from: i64, to: i64) -> i64 {
        let mut sum = 0;
        for day in from / 1440..=to / 1440 {
            let date = self.start.checked_add(day.days()).expect("a day");
            if !self.is_here(hand, date) {
                continue;
            }
            for (begin, end) in &self.shifts {
                let (begin, end) = (day * 1440 + begin, day * 1440 + end);
                sum += (end.min(to) - begin.max(from)).max(0);
            }
        }
        sum
    }

    /// The first rule that a plan breaks.
    pub fn check(&self, table: &[Vec<String>]) -> Result<(), String> {
        let mut tasks: BTreeMap<(String, String, String), Whole> = BTreeMap::new();
        let mut busy: BTreeMap<&str, Vec<(i64, i64)>> = BTreeMap::new();
        for row in table {
            let date: Date = row[0].parse().map_err(|_| format!("no day: {}", row[0]))?;
            let (from, to) = (clock(&row[1]), clock(&row[2]));
            let hand = self
                .people
                .iter()
                .find(|hand| hand.name == row[3])
                .ok_or_else(|| format!("{} is nobody", row[3]))?;
            let shift = self
                .shifts
                .iter()
                .any(|(begin, end)| *begin <= from && from < to && to <= *end);
            if !shift || !self.is_here(hand, date) {
                return Err(format!("{} is not at work: {row:?}", hand.name));
            }
            let span = (self.absolute(date, from), self.absolute(date, to));
            busy.entry(&hand.name).or_default().push(span);
            let key = (row[4].clone(), row[6].clone(), row[7].clone());
            let task = tasks.entry(key).or_insert_with(|| Whole {
                stage: row[6].clone(),
                person: hand.name.clone(),
                rows: Vec::new(),
            });
            if task.person != hand.name {
                return Err(format!("two people on one task: {row:?}"));
            }
            task.rows.push(span);
        }
        for (name, spans) in &mut busy {
            spans.sort_unstable();
            if spans.windows(2).any(|pair| pair[1].0 < pair[0].1) {
                return Err(format!("{name} does two things at once"));
            }
        }
        let mut in_bays = Vec::new();
        for car in &self.cars {
            in_bays.extend(self.car(car, &mut tasks)?);
        }
        if let Some((stock, stage, panel)) = tasks.keys().next() {
            return Err(format!("no such work: {stock} {stage} {panel}"));
        }
        match self.bays {
            Some(bays) if most_at_once(&in_bays) > bays => {
                Err("more cars than bays at once".to_owned())
            }
            _ => Ok(()),
        }
    }

    /// Checks a car's tasks and takes them out; when it is in a bay.
    fn car(
        &self,
        car: &Lot,
        tasks: &mut BTreeMap<(String, String, String), Whole>,
    ) -> Result<Vec<(i64, i64)>, String> {
        let mut wanted = vec![("strip", "", car.strip)];
        wanted.extend(
            car.panels
                .iter()
                .map(|(panel, minutes)| ("dents", *panel, *minutes)),
        );
        wanted.push(("fit", "", car.fit));
        wanted.push(("finish", "", car.finish));
        let mut mine: Vec<(usize, i64, i64)> = Vec::new();
        for (stage, panel, minutes) in wanted {
            if minutes == 0 {
                continue;
            }
            let key = (car.stock.clone(), stage.to_owned(), panel.to_owned());
            let task = tasks
                .remove(&key)
                .ok_or_else(|| format!("missing: {key:?}"))?;
            let (from, to) = self.task(car, &task, minutes)?;
            let order = ["strip", "dents", "fit", "finish"];
            let place = order
                .iter()
                .position(|known| *known == stage)
                .expect("known");
            mine.push((place, from, to));
        }
        for (place, from, _) in &mine {
            if mine.iter().any(|(other, _, to)| other < place && to > from) {
                return Err(format!(
                    "{}: a stage before the one before it is over",
                    car.stock
                ));
            }
        }
        let dents: Vec<(i64, i64)> = mine
            .iter()
            .filter(|(place, _, _)| *place == 1)
            .map(|(_, from, to)| (*from, *to))
            .collect();
        if most_at_once(&dents) > self.hands {
            return Err(format!("{}: too many hands", car.stock));
        }
        let span = |wanted: &dyn Fn(usize) -> bool| {
            let held = || mine.iter().filter(|(place, _, _)| wanted(*place));
            let from = held().map(|(_, from, _)| *from).min();
            from.zip(held().map(|(_, _, to)| *to).max())
        };
        let parts = car
            .parts_due
            .map_or(i64::MIN, |day| self.absolute(day, self.shifts[0].0));
        let before = span(&|place| place < 2);
        Ok(match (before, span(&|place| place == 2)) {
            // It waits outside from the end of its dents until the parts come.
            (Some((from, to)), Some(fit)) if self.release && to < parts => {
                vec![(from, to), fit]
            }
            _ => span(&|place| place < 3).into_iter().collect(),
        })
    }

    /// Checks one task: trade, length, no gap of its person's own time in it,
    /// not before the car and its parts are here.
    fn task(&self, car: &Lot, task: &Whole, minutes: i64) -> Result<(i64, i64), String> {
        let hand = self
            .people
            .iter()
            .find(|hand| hand.name == task.person)
            .expect("looked up before");
        let trade = if task.stage == "fit" {
            "strip"
        } else {
            &task.stage
        };
        let said = format!("{} {} by {}", car.stock, task.stage, hand.name);
        if !hand.trades.contains(&trade) {
            return Err(format!("{said}: not the trade"));
        }
        let from = task
            .rows
            .iter()
            .map(|(from, _)| *from)
            .min()
            .expect("a row");
        let to = task.rows.iter().map(|(_, to)| *to).max().expect("a row");
        let worked: i64 = task.rows.iter().map(|(from, to)| to - from).sum();
        // ceil(minutes / 1000 / (speed / 100)).
        let takes = (minutes + hand.speed * 10 - 1).div_euclid(hand.speed * 10);
        if worked != takes {
            return Err(format!("{said}: {worked} minutes for {takes}"));
        }
        if self.own_minutes(hand, from, to) != worked {
            return Err(format!("{said}: put down in between"));
        }
        let opening = self.shifts[0].0;
        let not_before =
            |day: Option<Date>| day.map_or(i64::MIN, |day| self.absolute(day, opening));
        if from < not_before(car.arrives) {
            return Err(format!("{said}: the car is not here"));
        }
        if task.stage == "fit" && from < not_before(car.parts_due) {
            return Err(format!("{said}: the parts are not here"));
        }
        Ok((from, to))
    }
}

fn clock(text: &str) -> i64 {
    let (hours, minutes) = text.split_once(':').expect("HH:MM");
    hours.parse::<i64>().expect("hours") * 60 + minutes.parse::<i64>().expect("minutes")
}

fn most_at_once(spans: &[(i64, i64)]) -> usize {
    spans
        .iter()
        .map(|(at, _)| {
            spans
                .iter()
                .filter(|(from, to)| from <= at && at < to)
                .count()
        })
        .max()
        .unwrap_or(0)
}
