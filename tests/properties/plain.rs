//! A small storm in plain words and figures: what the generator makes, the
//! model prices and the files say.

use super::ratio::Ratio;

/// All panels in panel order.
pub const PANELS: [&str; 25] = [
    "hood",
    "cowl",
    "roof",
    "sunroof",
    "decklid",
    "liftgate",
    "tailgate",
    "fender-l",
    "fender-r",
    "pillar-l",
    "pillar-r",
    "rail-l",
    "rail-r",
    "door-fl",
    "door-rl",
    "door-fr",
    "door-rr",
    "quarter-l",
    "quarter-r",
    "cab-l",
    "cab-r",
    "bed-l",
    "bed-r",
    "rocker-l",
    "rocker-r",
];

/// All groups in their order; taxes and discounts never name the last.
pub const GROUPS: [&str; 6] = ["dents", "removal", "parts", "extra", "conventional", "tax"];

/// Names of size classes, smallest first; a card has some of them.
pub const SIZES: [&str; 5] = ["pea", "bean", "olive", "plum", "peach"];

#[derive(Clone, Debug)]
pub struct Lot {
    pub currency: &'static str,
    pub places: u32,
    pub payers: Vec<Payer>,
    pub cards: Vec<Card>,
    pub cars: Vec<Car>,
    pub agreed: Vec<Agreed>,
}

#[derive(Clone, Debug)]
pub struct Payer {
    pub name: &'static str,
    pub card: usize,
    pub discounts: Vec<(Vec<&'static str>, Ratio)>,
    /// From so many cars, so many percent.
    pub tiers: Vec<(u32, Ratio)>,
    pub minimum: Option<Ratio>,
    pub taxes: Vec<Tax>,
    pub deductible: Option<Ratio>,
    pub event_max: Option<Ratio>,
    pub total_loss: Option<TotalLoss>,
}

#[derive(Clone, Debug)]
pub struct TotalLoss {
    pub percent: Ratio,
    /// `>=`, else `>`.
    pub at_least: bool,
    pub hail_exempt: bool,
}

#[derive(Clone, Debug)]
pub struct Tax {
    pub name: &'static str,
    pub on: Vec<&'static str>,
    pub percent: Ratio,
}

/// A list of words on a card: empty where the key is left out.
pub type Words = Vec<&'static str>;

#[derive(Clone, Debug)]
pub struct Card {
    pub half_even: bool,
    pub mixed: &'static str,
    pub compound: bool,
    pub hour_rate: Ratio,
    pub removal_rate: Ratio,
    pub sizes: Vec<(&'static str, Ratio)>,
    pub grids: Vec<Grid>,
    pub steps: Vec<(Ratio, Ratio)>,
    pub uplifts: Vec<Uplift>,
    pub limits: Vec<Limit>,
    pub conventional: Vec<(Words, Ratio)>,
    pub removals: Vec<Removal>,
    pub extras: Vec<Extra>,
}

#[derive(Clone, Debug)]
pub struct Grid {
    pub panels: Words,
    pub hours: bool,
    /// First and last count; no last: open.
    pub bands: Vec<(u32, Option<u32>)>,
    /// By band, then by class.
    pub cells: Vec<Vec<Ratio>>,
}

#[derive(Clone, Debug)]
pub struct Uplift {
    pub name: String,
    pub percent: Ratio,
    pub on: Words,
    pub metal: Words,
    pub access: Words,
    pub panels: Words,
    pub bodies: Words,
}

#[derive(Clone, Debug)]
pub struct Limit {
    pub panels: Words,
    pub amount: Ratio,
    pub refers: bool,
}

#[derive(Clone, Debug)]
pub struct Removal {
    pub code: &'static str,
    /// By body; `other` is the rest, and all where it stands alone.
    pub hours: Vec<(&'static str, Ratio)>,
    pub per_panel: bool,
    pub parts: Option<Ratio>,
    pub includes: Words,
    /// Panels, and from how many dents.
    pub auto: Vec<(Words, u32)>,
}

#[derive(Clone, Debug)]
pub struct Extra {
    pub name: &'static str,
    pub per_panel: bool,
    pub amount: Ratio,
}

#[derive(Clone, Debug)]
pub struct Car {
    pub stock: String,
    pub body: &'static str,
    pub payer: usize,
    pub deductible: Option<Ratio>,
    pub value: Option<Ratio>,
    pub panels: Vec<Count>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Count {
    pub panel: &'static str,
    /// By class of the car's own card.
    pub sized: Vec<u32>,
    /// Diameter in mm, and how many.
    pub measured: Vec<(Ratio, u32)>,
    pub metal: &'static str,
    pub access: &'static str,
    pub remove: Words,
    pub conventional: bool,
    pub prior: u32,
}

#[derive(Clone, Debug)]
pub struct Agreed {
    pub car: usize,
    /// Empty: of the car.
    pub panel: String,
    /// Empty: left out.
    pub group: &'static str,
    pub item: String,
    pub amount: Ratio,
}

/// What is charged for a car. Amounts are texts, as on a sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bill {
    pub stock: String,
    pub status: &'static str,
    /// Each `panel|group|item|quantity|amount`.
    pub lines: Vec<String>,
    /// Empty: none is known.
    pub total: String,
    pub owner: String,
    pub payer: String,
    /// Dents in classes, oversize dents, referred panels.
    pub counts: [u32; 3],
    /// Of a total loss; empty: none.
    pub flag: &'static str,
}

impl Lot {
    pub fn card_of(&self, car: &Car) -> &Card {
        &self.cards[self.payers[car.payer].card]
    }
}
