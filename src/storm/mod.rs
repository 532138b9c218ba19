//! The words of the trade: panels, bodies, dents, vehicles, and the storm they
//! make up. Every value here is already checked; [`crate::intake`] makes them.

mod billing_log;
mod body;
mod class_dents;
mod count;
mod crew_log;
mod lot_strata;
mod moment;
mod panel;
mod person;
mod surface;
mod vehicle;
pub mod words;

pub use billing_log::{
    BillKind, BillNumber, BillParts, BillRow, BillingLog, Debtor, Decision, Receipt, ReceiptFor,
    Subject,
};
pub use body::{Body, BodySet};
pub use class_dents::ClassDents;
pub use count::{CodeId, MeasuredDents, PanelCount, PlainCount, Provenance, SizeId, SizedDents};
pub use crew_log::{CrewLog, PaidKind, PaidRow, WorkRow};
pub use lot_strata::{BLANK_STRATUM, LotHelper, LotSource, LotStrata, LotStratum, WHOLE_LOT};
pub use moment::Moment;
pub use panel::{Panel, PanelSet};
pub use person::{Pay, Person, Trade};
pub use surface::{Access, AccessSet, Metal, MetalSet, Paint};
pub use vehicle::Vehicle;

use crate::money::{Currency, Money};
use crate::units::LengthUnit;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// A storm: every car on the lot with what was counted on it.
#[derive(Debug, Clone)]
pub struct Storm {
    /// What people call it.
    pub name: String,
    /// The day of the hail.
    pub date: Option<Date>,
    /// The currency of every amount.
    pub currency: Currency,
    /// The unit in which dents are measured where nothing else is said.
    pub unit: LengthUnit,
    /// Who sends the sheets.
    pub sender: Sender,
    /// Who pays, in the order of storm.toml.
    pub payers: Vec<Payer>,
    /// The cars, in lot order.
    pub cars: Vec<Car>,
    /// What people agreed by hand, in file order.
    pub agreed: Vec<Agreed>,
    /// How many cars the whole lot has; none where what says so is at fault,
    /// or only some cars were to be counted.
    pub lot: Option<LotStrata>,
    /// Names of all size classes of all cards; [`SizeId`] counts here.
    pub size_names: Vec<String>,
    /// Names of all removal codes of all cards; [`CodeId`] counts here.
    pub code_names: Vec<String>,
}

impl Storm {
    /// The storm without some of its cars.
    #[must_use]
    pub fn without(mut self, cars: &BTreeSet<usize>) -> Storm {
        if cars.is_empty() {
            return self;
        }
        if let Some(lot) = &mut self.lot {
            lot.remove(cars);
        }
        let mut kept = 0;
        let moved: Vec<Option<usize>> = (0..self.cars.len())
            .map(|car| {
                (!cars.contains(&car)).then(|| {
                    kept += 1;
                    kept - 1
                })
            })
            .collect();
        let mut index = 0;
        self.cars.retain(|_| {
            index += 1;
            moved[index - 1].is_some()
        });
        self.agreed.retain_mut(|row| {
            let to = moved[row.car];
            row.car = to.unwrap_or(row.car);
            to.is_some()
        });
        self
    }
}

/// Who sends the sheets: storm.toml's `[from]`.
#[derive(Debug, Clone, Default)]
pub struct Sender {
    /// Name of the person or firm.
    pub name: String,
    /// Postal address.
    pub address: String,
    /// Telephone.
    pub phone: String,
    /// Electronic mail.
    pub email: String,
    /// Trade or tax registration.
    pub registration: String,
    /// Anything else for the foot of a sheet.
    pub note: String,
}

/// One who pays. The terms stand in [`crate::rates::Rates`] under the same index.
#[derive(Debug, Clone)]
pub struct Payer {
    /// The name, as it is printed.
    pub name: String,
    /// What a bill to it says beside the name.
    pub party: Party,
}

/// What a bill says of a party beside its name. Empty texts are not known.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Party {
    /// Postal address, in lines.
    pub address: String,
    /// Country by ISO 3166-1, two letters.
    pub country: String,
    /// The number under which the party is registered for taxes.
    pub tax_id: String,
    /// What the party wants to find on every bill: an order or file number.
    pub reference: String,
}

/// One car of the lot and its count.
#[derive(Debug, Clone, Default)]
pub struct Car {
    /// What is known of the vehicle.
    pub vehicle: Vehicle,
    /// The counted panels, in panel order.
    pub panels: Vec<PanelCount>,
    /// Removals wanted by the car as a whole and by no one panel.
    pub removals: Vec<CodeId>,
    /// Whether any count sheet speaks of this car.
    pub counted: bool,
    /// The note of a car row.
    pub note: String,
}

/// One row of `agreed.*`: an amount that people agreed by hand.
#[derive(Debug, Clone)]
pub struct Agreed {
    /// Index into [`Storm::cars`].
    pub car: usize,
    /// The panel, where one was named.
    pub panel: Option<Panel>,
    /// The group's word, where one was given.
    pub group: Option<Group>,
    /// What was agreed on, as it was written.
    pub item: String,
    /// The amount.
    pub amount: Money,
    /// Who agreed; may be empty.
    pub by: String,
    /// When, as it was written; may be empty.
    pub date: String,
    /// A remark.
    pub note: String,
    /// Where the row stands.
    pub source: Provenance,
}

/// Where a line's money belongs. The order is the order of every sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Group {
    /// Dents, oversize dents, uplifts, limits.
    Dents,
    /// Labour of remove and install.
    Removal,
    /// Clips, seals, glass.
    Parts,
    /// Extras of the card.
    Extra,
    /// Panels that go to conventional repair.
    Conventional,
    /// Taxes.
    Tax,
}

impl Group {
    /// All groups in their order.
    pub const ALL: [Group; 6] = [
        Group::Dents,
        Group::Removal,
        Group::Parts,
        Group::Extra,
        Group::Conventional,
        Group::Tax,
    ];

    /// The word for it in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Group::Dents => "dents",
            Group::Removal => "removal",
            Group::Parts => "parts",
            Group::Extra => "extra",
            Group::Conventional => "conventional",
            Group::Tax => "tax",
        }
    }

    /// The group of a word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Group> {
        Group::ALL.into_iter().find(|group| group.word() == word)
    }

    /// Its place in [`Group::ALL`].
    #[must_use]
    pub fn index(self) -> usize {
        self as usize
    }
}
