//! Remove and install: trim, lamps, headliner, glass taken off and put back.

use crate::money::Exact;
use crate::storm::{Body, CodeId, PanelSet};
use crate::units::Hours;
use rust_decimal::Decimal;

/// How often a removal can be charged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OncePer {
    /// Once on a car, however often wanted.
    Vehicle,
    /// Once on each panel that wants it.
    Panel,
}

/// The hours of a removal, one figure or by body.
#[derive(Debug, Clone)]
pub enum RemovalHours {
    /// The same on every body.
    Any(Hours),
    /// One figure for every body, in [`Body::ALL`] order.
    ByBody([Hours; 8]),
}

impl RemovalHours {
    /// The hours on this body.
    #[must_use]
    pub fn on(&self, body: Body) -> Hours {
        match self {
            RemovalHours::Any(hours) => *hours,
            RemovalHours::ByBody(hours) => hours[body as usize],
        }
    }
}

/// A removal that is charged without being listed.
#[derive(Debug, Clone, Copy)]
pub struct AutoRemoval {
    /// On these panels.
    pub panels: PanelSet,
    /// From this many dents on one of them, oversize ones counted.
    pub dents_at_least: u32,
}

/// One removal code of a card.
#[derive(Debug, Clone)]
pub struct Removal {
    /// The code, as printed.
    pub code: String,
    /// The code across all cards.
    pub id: CodeId,
    /// Labour.
    pub hours: RemovalHours,
    /// How often.
    pub once_per: OncePer,
    /// Clips, seals, adhesive.
    pub parts: Option<Exact>,
    /// Indices of the card's removals that are not charged again beside this one.
    pub includes: Vec<usize>,
    /// What sets it off without being listed.
    pub auto: Vec<AutoRemoval>,
    /// What the work can hurt.
    pub caution: Option<Caution>,
}

/// What a removal's work can hurt. Each caution ends in deference to the
/// vehicle maker's procedure, local code and licensed practice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)] // the names are the documentation
pub enum Caution {
    Airbag,
    Glass,
    Camera,
    HighVoltage,
    Heat,
    Solvent,
    Dust,
    Corrosion,
}

impl Caution {
    /// All cautions.
    pub const ALL: [Caution; 8] = [
        Caution::Airbag,
        Caution::Glass,
        Caution::Camera,
        Caution::HighVoltage,
        Caution::Heat,
        Caution::Solvent,
        Caution::Dust,
        Caution::Corrosion,
    ];

    /// The word in a card.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Caution::Airbag => "airbag",
            Caution::Glass => "glass",
            Caution::Camera => "camera",
            Caution::HighVoltage => "high-voltage",
            Caution::Heat => "heat",
            Caution::Solvent => "solvent",
            Caution::Dust => "dust",
            Caution::Corrosion => "corrosion",
        }
    }

    /// What is printed beside the work.
    #[must_use]
    pub fn text(self) -> &'static str {
        match self {
            // 49 U.S.C. 30122(b); makers' waits differ (10 s to 30 min), so none is printed.
            Caution::Airbag => {
                "Curtain inflators sit behind the roof rail: before trim comes off, shut the restraint system down, disconnect the 12 V supply, wait the time that the maker states, and prove the system again after; follow the vehicle maker's procedure, local code and licensed practice."
            }
            // Auto glass replacement safety standard 005-2022; safe drive-away time is the adhesive maker's.
            Caution::Glass => {
                "Bonded glass: release the car only after the adhesive maker's safe drive-away time for that day's temperature and humidity; follow the vehicle maker's procedure, local code and licensed practice."
            }
            Caution::Camera => {
                "A camera behind the glass may need recalibration by the maker's method; say so in writing if it is not done; follow the vehicle maker's procedure, local code and licensed practice."
            }
            // 49 CFR 571.305 S3; 29 CFR 1910.303(g)(2)(i).
            Caution::HighVoltage => {
                "Treat orange cables and marked parts as live: only trained people isolate the high-voltage system, prove it dead, then work; follow the vehicle maker's procedure, local code and licensed practice."
            }
            Caution::Heat => {
                "Warm evenly, measure the surface, stop at the paint maker's limit: overheated polyurethane paint can give off isocyanates; ventilate; follow the vehicle maker's procedure, local code and licensed practice."
            }
            // NIOSH Pocket Guide npgd0359: flash point of isopropyl alcohol 53 °F (11.7 °C).
            Caution::Solvent => {
                "Solvent vapour lights below room temperature: no heat gun, spark or flame near it, air moving, lid on; follow the vehicle maker's procedure, local code and licensed practice."
            }
            Caution::Dust => {
                "Extract sanding dust at the tool and use a fitted respirator: old coats can hold lead or chromium; follow the vehicle maker's procedure, local code and licensed practice."
            }
            Caution::Corrosion => {
                "Any hole, cut bond or bared metal needs its coating, sealer and cavity wax put back, inside as well as out; follow the vehicle maker's procedure, local code and licensed practice."
            }
        }
    }
}

impl Removal {
    /// Labour before rounding: hours × the card's removal rate.
    #[must_use]
    pub fn labour(&self, body: Body, rate: Decimal) -> Exact {
        Exact::from(self.hours.on(body).0).times(rate)
    }
}
