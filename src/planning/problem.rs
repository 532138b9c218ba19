//! What is to be planned, in minutes: this room knows neither dents nor cards.

use rust_decimal::Decimal;

/// Working minutes of the site since its first working day began. Night, break
/// and closed days take no time: everyone pauses over them together.
pub type Minute = i64;

/// A working day of the site, from 0.
pub type Day = i64;

/// What a person can do. Strip people also fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, PartialOrd, Ord, Hash)]
pub struct Trades(u8);

impl Trades {
    /// Panels.
    pub const DENTS: Trades = Trades(1);
    /// Take off and put back.
    pub const STRIP: Trades = Trades(2);
    /// Wash, check, photographs.
    pub const FINISH: Trades = Trades(4);
    /// The trades that there are.
    pub const ALL: [Trades; 3] = [Trades::DENTS, Trades::STRIP, Trades::FINISH];

    /// Both together.
    #[must_use]
    pub fn and(self, other: Trades) -> Trades {
        Trades(self.0 | other.0)
    }

    /// Whether there is one in both.
    #[must_use]
    pub fn meets(self, other: Trades) -> bool {
        self.0 & other.0 != 0
    }

    /// How many.
    #[must_use]
    pub fn count(self) -> u32 {
        self.0.count_ones()
    }

    /// Every set of trades but the empty one.
    pub fn groups() -> impl Iterator<Item = Trades> {
        (1..8).map(Trades)
    }
}

/// The four stages of a car, in their order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// Parts are taken off.
    Strip,
    /// Dents, a task a panel.
    Dents,
    /// Parts are put back.
    Fit,
    /// Wash, final check, photographs.
    Finish,
}

impl Stage {
    /// All of them.
    pub const ALL: [Stage; 4] = [Stage::Strip, Stage::Dents, Stage::Fit, Stage::Finish];

    /// The word for it in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Stage::Strip => "strip",
            Stage::Dents => "dents",
            Stage::Fit => "fit",
            Stage::Finish => "finish",
        }
    }

    /// The trade that does it.
    #[must_use]
    pub fn trade(self) -> Trades {
        match self {
            Stage::Strip | Stage::Fit => Trades::STRIP,
            Stage::Dents => Trades::DENTS,
            Stage::Finish => Trades::FINISH,
        }
    }
}

/// A person as the plan sees one.
#[derive(Debug, Clone)]
pub struct Worker {
    /// The name.
    pub name: String,
    /// What the person can do.
    pub trades: Trades,
    /// Pace against the standard, above 0.
    pub speed: Decimal,
    /// The working days of the site on which the person is here, in order;
    /// `None`: on every one.
    pub days: Option<Vec<Day>>,
}

/// One piece of work on a car.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Work {
    /// Minutes at the standard's pace; 0 is no task.
    pub minutes: Decimal,
    /// The only worker who may do it, who has begun it.
    pub only: Option<usize>,
}

/// A car as the plan sees one.
#[derive(Debug, Clone, Default)]
pub struct PlanCar {
    /// The stock.
    pub stock: String,
    /// No task begins before.
    pub arrives: Minute,
    /// Taking off.
    pub strip: Work,
    /// The panels, in panel order.
    pub panels: Vec<Work>,
    /// Putting back.
    pub fit: Work,
    /// Putting back begins no earlier: the parts are due.
    pub fit_not_before: Minute,
    /// The last stage.
    pub finish: Work,
    /// Whether it was begun and stands in a bay when the plan begins.
    pub in_bay: bool,
    /// Finished no later, where that was promised.
    pub due: Option<Minute>,
    /// What a day late weighs.
    pub weight: i64,
}

/// A whole lot, its people and the rules of the site.
#[derive(Debug, Clone)]
pub struct PlanProblem {
    /// Working minutes of a day; `None`: time is not parted into days.
    pub day: Option<Minute>,
    /// The people, in crew order.
    pub workers: Vec<Worker>,
    /// The cars, in lot order.
    pub cars: Vec<PlanCar>,
    /// Cars in strip, dents and fit at once.
    pub bays: Option<usize>,
    /// Whether a car that waits for its parts gives its bay back meanwhile.
    pub release: bool,
    /// People in dents on one car at once.
    pub hands: usize,
}

/// One task of a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlannedTask {
    /// The car, by index.
    pub car: usize,
    /// The stage.
    pub stage: Stage,
    /// The panel's place in [`PlanCar::panels`], for dents.
    pub panel: Option<usize>,
    /// The worker, by index.
    pub worker: usize,
    /// First minute.
    pub start: Minute,
    /// One past the last minute.
    pub end: Minute,
}

/// Whole minutes that a task takes: its minutes at the standard's pace over the
/// speed, rounded up once, in exact arithmetic: 33 at 1.1 is 30.
#[must_use]
pub fn duration(minutes: Decimal, speed: Decimal) -> Minute {
    // m / 10^a over s / 10^b is m 10^b / (s 10^a).
    let (minutes, speed) = (minutes.normalize(), speed.normalize());
    let upper = minutes.mantissa() * 10_i128.pow(speed.scale());
    let lower = speed.mantissa() * 10_i128.pow(minutes.scale());
    let whole = upper.div_euclid(lower) + i128::from(upper.rem_euclid(lower) != 0);
    Minute::try_from(whole).unwrap_or(Minute::MAX / 4)
}
