//! What the lot list says of a car.

use super::{Body, Moment};
use crate::money::Money;

/// One vehicle of the lot. Texts are as written; an empty text is not known.
#[derive(Debug, Clone, Default)]
pub struct Vehicle {
    /// The lot's own number. It is text: case and zeros count.
    pub stock: String,
    /// The vehicle identification number.
    pub vin: String,
    /// Model year.
    pub year: String,
    /// Maker.
    pub make: String,
    /// Model.
    pub model: String,
    /// Body.
    pub body: Body,
    /// Index of the payer.
    pub payer: usize,
    /// Market value, for the total-loss flag.
    pub value: Option<Money>,
    /// This car's own deductible, before the payer's.
    pub deductible: Option<Money>,
    /// The row of the lot it stands in.
    pub row: String,
    /// When it comes in; without a time, at opening.
    pub arrives: Option<Moment>,
    /// When it is promised for; without a time, at closing.
    pub due: Option<Moment>,
    /// When its parts come; without a time, at opening.
    pub parts_due: Option<Moment>,
    /// Urgency, 1 to 3; 1 is the most urgent.
    pub priority: Option<u8>,
    /// The payer's claim number.
    pub claim: String,
    /// Registration plate.
    pub plate: String,
    /// Colour.
    pub colour: String,
    /// Odometer reading.
    pub odometer: String,
    /// The owner's name; never on a technician's page.
    pub owner: String,
}
