//! Crews of other sizes: behind every format of them.

use super::forecast_report::percent;
use super::forecast_words::{times, uncounted_notes};
use super::grid::{Grid, Kind, Value, columns};
use super::plain::wrap_into;
use super::plan_report::{PlanReport, day_text};
use super::terminal::Width;
use crate::money::grouped_whole;
use crate::planning::forecast::{CrewOdds, CrewSize, Staff, StaffQuestion, day_of};
use jiff::civil::Date;
use serde_json::json;

/// The trades in the order of a crew's size.
pub const TRADES: [&str; 3] = ["dents", "strip", "finish"];

/// Crews beside the plan of the one there is.
#[derive(Clone, Copy)]
pub struct StaffReport<'a> {
    /// The plan.
    pub plan: PlanReport<'a>,
    /// The crews.
    pub staff: &'a Staff,
    /// What they are compared by.
    pub question: StaffQuestion,
    /// The day by which all is to be done, where one is asked for.
    pub by: Option<Date>,
    /// Trades for which no pay of one more person is stated.
    pub without_pay: &'a [&'static str],
    /// Trades that nobody in the crew list has, for which one person was added.
    pub added: &'a [&'static str],
}

impl StaffReport<'_> {
    /// The working day, from 1, on which a crew is done at the odds, and its date.
    #[must_use]
    pub fn day(&self, crew: &CrewOdds) -> Option<(u32, Date)> {
        let hours = &self.plan.jobs.hours;
        let day = day_of(crew.minute?, hours.day_minutes() as f64);
        Some((day, hours.date(i64::from(day) - 1)))
    }

    /// A cost in whole units of the currency: an estimate, and no bill.
    #[must_use]
    pub fn cost(&self, crew: &CrewOdds) -> String {
        grouped_whole(crew.cost)
    }

    /// Whether a crew was gone through as often as was asked for.
    fn is_whole(&self, crew: &CrewOdds) -> bool {
        crew.times == self.question.times
    }

    /// `4 dents (1 more), 2 strip, 1 finish`.
    #[must_use]
    pub fn crew_text(&self, size: CrewSize) -> String {
        let here = self.staff.now.size;
        let said: Vec<String> = (0..3)
            .filter(|at| size[*at] > 0 || here[*at] > 0)
            .map(|at| {
                let change = match size[at].cmp(&here[at]) {
                    std::cmp::Ordering::Greater => format!(" ({} more)", size[at] - here[at]),
                    std::cmp::Ordering::Less => format!(" ({} fewer)", here[at] - size[at]),
                    std::cmp::Ordering::Equal => String::new(),
                };
                format!("{} {}{change}", size[at], TRADES[at])
            })
            .collect();
        said.join(", ")
    }

    fn when(&self, crew: &CrewOdds) -> String {
        match self.day(crew) {
            Some((day, date)) => format!(
                "done by {} (day {day}) at {} %",
                day_text(date),
                self.question.odds
            ),
            None => format!("not done at {} % on any day", self.question.odds),
        }
    }

    /// What to bring, in sentences.
    #[must_use]
    pub fn verdict(&self) -> Vec<String> {
        let staff = self.staff;
        let currency = self.plan.storm.currency.code();
        if staff.unknown > 0 && staff.now.times > 0 && staff.now.minute == Some(0.0) {
            return vec!["No odds: nothing is known of any car that is left to do.".to_owned()];
        }
        if !self.is_whole(&staff.now) {
            return vec![
                "Interrupted before the crew as it is was gone through: nothing can be said."
                    .to_owned(),
            ];
        }
        let mut said = Vec::new();
        if !self.added.is_empty() {
            said.push(format!(
                "Nobody in the crew list does {}: one person for each is taken to come.",
                self.added.join(" or ")
            ));
        }
        said.push(format!(
            "The crew as it is, {}: {}.",
            self.crew_text(staff.now.size),
            self.when(&staff.now)
        ));
        if let Some(by) = self.by {
            let asked = format!("{} at {} %", day_text(by), self.question.odds);
            match (&staff.cheapest, &staff.largest) {
                (Some(crew), _) if crew.size == staff.now.size => said.push(format!(
                    "It is done by {asked} (odds {} %), and no {} crew was found that is.",
                    percent(crew.odds),
                    if self.question.has_costs {
                        "cheaper"
                    } else {
                        "smaller"
                    }
                )),
                (Some(crew), _) => {
                    let costs = if self.question.has_costs {
                        format!(
                            ", {} {currency} in any case, {} with the crew as it is",
                            self.cost(crew),
                            self.cost(&staff.now)
                        )
                    } else {
                        String::new()
                    };
                    let least = if self.question.has_costs {
                        "cheapest"
                    } else {
                        "smallest"
                    };
                    said.push(format!(
                        "The {least} crew found that is done by {asked}: {}; odds {} %{costs}.",
                        self.crew_text(crew.size),
                        percent(crew.odds)
                    ));
                }
                (None, Some(largest)) => {
                    said.push(format!(
                        "No crew that was tried is done by {asked}. With {}: {}.",
                        self.crew_text(largest.size),
                        self.when(largest)
                    ));
                    if let Some(without) = &staff.without_bays {
                        said.push(format!(
                            "The same crew without a limit of bays: {}, odds of {} {} %.",
                            self.when(without),
                            day_text(by),
                            percent(without.odds)
                        ));
                    }
                    said.push(
                        "What else would: a later date, cars or parts that come earlier, more hours a day, \
                         more people on one car ([site] hands_per_car)."
                            .to_owned(),
                    );
                }
                (None, None) => said.push(format!(
                    "Interrupted before a crew was looked for that is done by {asked}."
                )),
            }
        }
        said.push(match staff.holds_up {
            Some(trade) => format!(
                "What holds it up is {}: one more person there gains most.",
                TRADES[trade]
            ),
            None if staff.untried || staff.is_interrupted => {
                "What holds it up is not known: one more of some trade was not gone through.".to_owned()
            }
            None => "No trade holds it up: one more person gains little anywhere. Arrivals, parts, bays or single \
                     long cars may."
                .to_owned(),
        });
        said
    }

    /// What must be said beside it.
    #[must_use]
    pub fn notes(&self) -> Vec<String> {
        let staff = self.staff;
        let mut said = Vec::new();
        if staff.is_interrupted {
            said.push("Interrupted: crews that are not shown were not gone through.".to_owned());
        }
        said.extend(uncounted_notes(&staff.stand_ins, staff.unknown, |of| {
            let strata = self.plan.storm.lot.as_ref()?;
            strata.column?;
            Some(strata.strata.get(of.stratum?)?.name.as_str())
        }));
        if self.question.has_costs {
            said.push(
                "Cost in any case, on the mean: lodging and per diem for every day of everybody's stay, and the more \
                 of what is guaranteed and what is agreed by day and hour. Parts of the cars' own pools are not in \
                 it: they are the same money, however many share it."
                    .to_owned(),
            );
            if !self.without_pay.is_empty() {
                said.push(format!(
                    "No pay is stated for more people of {} ([staff] pay): only lodging and per diem are in.",
                    self.without_pay.join(", ")
                ));
            }
        } else {
            said.push(
                "Nothing says what one more person costs: [staff] in storm.toml, lodging_night, per_diem and pay. So \
                 the fewest people are sought."
                    .to_owned(),
            );
        }
        if staff.levelled {
            said.push(
                "A larger crew that came out later is shown with the days and odds of the smaller one: nobody has to \
                 be given work."
                    .to_owned(),
            );
        }
        said.push(format!(
            "Each crew was gone through {}: a day may differ from that of the forecast, which goes through one crew \
             more often.",
            times(self.question.times)
        ));
        said.push(
            "Whoever is added works at the standard's pace, as the log corrects it, from the first day to the last. \
             Fewer: of who has that trade alone the last of the crew list stay away, of the others they no longer do \
             it."
                .to_owned(),
        );
        said
    }
}

/// What the crew comes to, under a storm's summary.
#[must_use]
pub fn staff_summary(report: &StaffReport<'_>, width: Width) -> String {
    let mut text = String::new();
    let said = match report.staff.holds_up {
        Some(trade) => format!(
            "One more person for {} would gain most. `hailyard staff` compares crews.",
            TRADES[trade]
        ),
        None => "No trade holds it up. `hailyard staff` compares crews.".to_owned(),
    };
    wrap_into(&mut text, &said, width, "  ");
    text
}

/// `staff.csv`: a row for every crew that was compared.
#[must_use]
pub fn staff_grid<'a>(report: &StaffReport<'_>) -> Grid<'a> {
    let mut rows = Vec::new();
    for (trade, crews) in report.staff.by_trade.iter().enumerate() {
        for crew in crews {
            let day = report.day(crew);
            let mut row = vec![Value::text(TRADES[trade])];
            row.extend(crew.size.map(|count| Value::count(Some(count as u64))));
            row.push(Value::count(day.map(|(day, _)| u64::from(day))));
            row.push(Value::text(
                day.map_or(String::new(), |(_, date)| date.to_string()),
            ));
            row.push(
                report
                    .by
                    .map_or(Value::Empty, |_| Value::Statistic(crew.odds, 4)),
            );
            row.push(Value::Statistic(crew.cost, 2));
            row.push(Value::Statistic(crew.busy[trade], 4));
            rows.push(row);
        }
    }
    Grid {
        columns: columns(&[
            ("trade", Kind::Text),
            ("dents", Kind::Count),
            ("strip", Kind::Count),
            ("finish", Kind::Count),
            ("days", Kind::Count),
            ("date", Kind::Text),
            ("odds", Kind::Statistic),
            ("cost", Kind::Statistic),
            ("busy", Kind::Statistic),
        ]),
        rows,
    }
}

/// The crews as JSON.
#[must_use]
pub fn staff_json(report: &StaffReport<'_>) -> serde_json::Value {
    let crew = |crew: &CrewOdds| {
        let day = report.day(crew);
        json!({
            "dents": crew.size[0],
            "strip": crew.size[1],
            "finish": crew.size[2],
            "replications": crew.times,
            "days": day.map(|(day, _)| day),
            "date": day.map(|(_, date)| date.to_string()),
            "odds": report.by.map(|_| crew.odds),
            "cost": crew.cost,
            "levelled": crew.is_levelled,
            "busy": {"dents": crew.busy[0], "strip": crew.busy[1], "finish": crew.busy[2]},
        })
    };
    let staff = report.staff;
    let by_trade: serde_json::Map<String, serde_json::Value> = TRADES
        .iter()
        .zip(&staff.by_trade)
        .map(|(trade, crews)| {
            let crews: Vec<serde_json::Value> = crews.iter().map(crew).collect();
            ((*trade).to_owned(), json!(crews))
        })
        .collect();
    json!({
        "format": 1,
        "possible": true,
        "storm": report.plan.storm.name,
        "lacking": report.added,
        "by": report.by.map(|by| by.to_string()),
        "odds_asked": report.question.odds,
        "replications": report.question.times,
        "interrupted": staff.is_interrupted,
        "now": crew(&staff.now),
        "by_trade": by_trade,
        "holds_up": staff.holds_up.map(|trade| TRADES[trade]),
        "cheapest": staff.cheapest.as_ref().map(crew),
        "largest_tried": staff.largest.as_ref().map(crew),
        "largest_without_bays": staff.without_bays.as_ref().map(crew),
        "levelled": staff.levelled,
        "currency": report.plan.storm.currency.code(),
    })
}
