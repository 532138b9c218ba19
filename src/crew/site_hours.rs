//! The hours of the site: from its clock to working minutes and back.

use jiff::ToSpan;
use jiff::civil::{Date, DateTime, Time, Weekday};

/// Working minutes since the opening of the first day that is planned; below 0
/// before it.
pub type Minute = i64;

/// When everyone works: so many minutes on every working day, with one break
/// for all. Night, break and closed days take no working minutes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SiteHours {
    /// The first day that may be planned.
    start: Date,
    /// Monday first.
    weekdays: [bool; 7],
    /// Minutes after midnight.
    from: i64,
    to: i64,
    /// The break, minutes after midnight; empty where there is none.
    pause: (i64, i64),
    /// Days of these weekdays that are not worked, in order.
    closed: Vec<Date>,
}

/// One stretch of work on one day, not broken by anything.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Part {
    /// The day.
    pub day: Date,
    /// Minutes after midnight.
    pub from: i64,
    /// Likewise.
    pub to: i64,
}

impl Part {
    /// When it begins.
    #[must_use]
    pub fn begins(&self) -> DateTime {
        self.day.to_datetime(clock(self.from))
    }

    /// When it ends.
    #[must_use]
    pub fn ends(&self) -> DateTime {
        if self.to == 24 * 60 {
            let next = self.day.tomorrow().unwrap_or(self.day);
            return next.to_datetime(Time::midnight());
        }
        self.day.to_datetime(clock(self.to))
    }
}

/// Looking for a working day ends after so many days: a week has one, and the
/// closed days are counted in.
const FAR: i64 = 8;

impl SiteHours {
    /// Hours of a site. `None` unless some weekday is worked, the day ends
    /// after it begins, and the break lies within and leaves a minute.
    #[must_use]
    pub fn new(
        start: Date,
        weekdays: [bool; 7],
        (from, to): (i64, i64),
        pause: (i64, i64),
        mut closed: Vec<Date>,
    ) -> Option<SiteHours> {
        let sound = weekdays.contains(&true)
            && 0 <= from
            && to <= 24 * 60
            && from <= pause.0
            && pause.0 <= pause.1
            && pause.1 <= to
            && (to - from) > (pause.1 - pause.0);
        // Only days that would be worked are lost.
        closed.retain(|day| weekdays[usize::from(weekday_index(day.weekday()))]);
        closed.sort_unstable();
        closed.dedup();
        let mut hours = SiteHours {
            start,
            weekdays,
            from,
            to,
            pause,
            closed,
        };
        hours.start = hours.working_day_from(start);
        sound.then_some(hours)
    }

    /// The first working day.
    #[must_use]
    pub fn start(&self) -> Date {
        self.start
    }

    /// The same hours, counted from the first working day not before this one.
    #[must_use]
    pub fn from_day(&self, day: Date) -> SiteHours {
        let mut hours = self.clone();
        hours.start = hours.working_day_from(day);
        hours
    }

    /// Working minutes of a day.
    #[must_use]
    pub fn day_minutes(&self) -> Minute {
        (self.to - self.from) - (self.pause.1 - self.pause.0)
    }

    /// Whether the site works on a day.
    #[must_use]
    pub fn is_open(&self, day: Date) -> bool {
        self.weekdays[usize::from(day.weekday().to_monday_zero_offset().unsigned_abs())]
            && self.closed.binary_search(&day).is_err()
    }

    fn working_day_from(&self, day: Date) -> Date {
        let most = FAR + self.closed.len() as i64 * 7;
        let mut day = day;
        for _ in 0..most {
            if self.is_open(day) {
                break;
            }
            day = plus(day, 1);
        }
        day
    }

    /// How many working days lie before a day, counted from the first one:
    /// below 0 before it. A day that is not worked counts like the next one.
    #[must_use]
    pub fn day_index(&self, day: Date) -> i64 {
        let before = |day: Date| self.worked_since_monday_of_year_one(day);
        before(day) - before(self.start)
    }

    /// Working days before a day since a fixed Monday: whole weeks by
    /// multiplication, so that a far day costs no more than a near one.
    fn worked_since_monday_of_year_one(&self, day: Date) -> i64 {
        let anchor = Date::constant(1, 1, 1); // a Monday
        let days = day.duration_since(anchor).as_secs() / (24 * 60 * 60);
        let (weeks, rest) = (days.div_euclid(7), days.rem_euclid(7));
        let a_week = self.weekdays.iter().filter(|worked| **worked).count() as i64;
        let of_rest = self.weekdays[..usize::try_from(rest).unwrap_or(0)]
            .iter()
            .filter(|worked| **worked)
            .count() as i64;
        let lost = self.closed.partition_point(|closed| *closed < day) as i64;
        weeks * a_week + of_rest - lost
    }

    /// The date of a working day by its index.
    #[must_use]
    pub fn date(&self, index: i64) -> Date {
        let a_week = self.weekdays.iter().filter(|worked| **worked).count() as i64;
        // Near it first, then day by day over what is closed.
        let mut day = plus(self.start, index.div_euclid(a_week) * 7 - 7);
        let mut left = index - self.day_index(day);
        // The calendar has an end, at which a day stays what it is.
        while left > 0 && day < Date::MAX {
            day = plus(day, 1);
            left = index - self.day_index(day);
        }
        while left < 0 && day > Date::MIN {
            day = plus(day, -1);
            left = index - self.day_index(day);
        }
        self.working_day_from(day)
    }

    /// The first so many working days.
    #[must_use]
    pub fn first_days(&self, count: i64) -> Vec<Date> {
        let mut days = Vec::new();
        let mut day = self.start;
        for _ in 0..count {
            if !self.is_open(day) {
                break;
            }
            days.push(day);
            day = self.working_day_from(plus(day, 1));
        }
        days
    }

    /// The minute at which a day opens; of a day that is not worked, the
    /// next one's.
    #[must_use]
    pub fn opening(&self, day: Date) -> Minute {
        self.day_index(day) * self.day_minutes()
    }

    /// The minute at which a day closes; of a day that is not worked, the one
    /// before it closed at the same.
    #[must_use]
    pub fn closing(&self, day: Date) -> Minute {
        self.opening(day)
            + if self.is_open(day) {
                self.day_minutes()
            } else {
                0
            }
    }

    /// The working minutes that lie before a time of a day.
    #[must_use]
    pub fn at(&self, moment: DateTime) -> Minute {
        let (day, time) = (moment.date(), moment.time());
        let of_day = i64::from(time.hour()) * 60 + i64::from(time.minute());
        let within = if self.is_open(day) {
            let morning = of_day.min(self.pause.0) - self.from;
            let afternoon = of_day.min(self.to) - self.pause.1;
            morning.max(0) + afternoon.max(0)
        } else {
            0
        };
        self.opening(day) + within
    }

    /// The day in which the minute that ends at `end` lies.
    #[must_use]
    pub fn day_of_end(&self, end: Minute) -> Date {
        self.date((end - 1).div_euclid(self.day_minutes()))
    }

    /// When a working minute begins.
    #[must_use]
    pub fn begins(&self, minute: Minute) -> DateTime {
        let day = self.day_minutes();
        let of_day = self.clock_of(minute.rem_euclid(day), false);
        self.date(minute.div_euclid(day)).to_datetime(clock(of_day))
    }

    /// When the minute before this one ends.
    #[must_use]
    pub fn ends(&self, minute: Minute) -> DateTime {
        let day = self.day_minutes();
        let last = minute - 1;
        let to = self.clock_of(last.rem_euclid(day) + 1, true);
        Part {
            day: self.date(last.div_euclid(day)),
            from: self.from,
            to,
        }
        .ends()
    }

    /// Minutes after midnight of a working minute of the day; what is both the
    /// end of the morning and the beginning of the afternoon is as asked.
    fn clock_of(&self, within: i64, is_end: bool) -> i64 {
        let morning = self.pause.0 - self.from;
        if within < morning || (is_end && within == morning) {
            self.from + within
        } else {
            self.pause.1 + within - morning
        }
    }

    /// The stretches of a span of working minutes, parted by break and night.
    /// `is_here` says on which days, by index, whoever works is here.
    #[must_use]
    pub fn parts(
        &self,
        start: Minute,
        end: Minute,
        mut is_here: impl FnMut(i64) -> bool,
    ) -> Vec<Part> {
        let day = self.day_minutes();
        let morning = self.pause.0 - self.from;
        let mut parts = Vec::new();
        let mut minute = start;
        while minute < end {
            let index = minute.div_euclid(day);
            let within = minute - index * day;
            let day_ends = (index + 1) * day;
            if !is_here(index) {
                minute = day_ends;
                continue;
            }
            // Where there is no break the day is one stretch.
            let stops = if within < morning && self.pause.0 < self.pause.1 {
                index * day + morning
            } else {
                day_ends
            };
            let to = end.min(stops);
            parts.push(Part {
                day: self.date(index),
                from: self.clock_of(within, false),
                to: self.clock_of(to - index * day, true),
            });
            minute = to;
        }
        parts
    }

    /// The hours of a day in words: `07:30 to 18:00, break 12:22 to 13:07`.
    #[must_use]
    pub fn said(&self) -> String {
        let of = |minutes: i64| format!("{:02}:{:02}", minutes / 60, minutes % 60);
        let mut said = format!("{} to {}", of(self.from), of(self.to));
        if self.pause.0 < self.pause.1 {
            said.push_str(&format!(
                ", break {} to {}",
                of(self.pause.0),
                of(self.pause.1)
            ));
        }
        said
    }
}

fn weekday_index(weekday: Weekday) -> u8 {
    weekday.to_monday_zero_offset().unsigned_abs()
}

/// A day so many days later; the calendar's own end stays its end.
fn plus(day: Date, days: i64) -> Date {
    day.saturating_add(days.days())
}

fn clock(minutes: i64) -> Time {
    let hour = i8::try_from(minutes / 60).unwrap_or(23).min(23);
    let minute = i8::try_from(minutes % 60).unwrap_or(0);
    Time::new(hour, minute, 0, 0).unwrap_or(Time::midnight())
}
