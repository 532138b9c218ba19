//! Vehicle bodies, and the panels that a body cannot have.

use super::Panel;

/// The shape of a vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
#[repr(u8)]
#[allow(missing_docs)] // the names are the documentation
pub enum Body {
    Sedan,
    Hatch,
    Wagon,
    Coupe,
    Suv,
    Van,
    Pickup,
    #[default]
    Other,
}

impl Body {
    /// All bodies in list order.
    pub const ALL: [Body; 8] = [
        Body::Sedan,
        Body::Hatch,
        Body::Wagon,
        Body::Coupe,
        Body::Suv,
        Body::Van,
        Body::Pickup,
        Body::Other,
    ];

    /// The canonical word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Body::Sedan => "sedan",
            Body::Hatch => "hatch",
            Body::Wagon => "wagon",
            Body::Coupe => "coupe",
            Body::Suv => "suv",
            Body::Van => "van",
            Body::Pickup => "pickup",
            Body::Other => "other",
        }
    }

    /// The body of its canonical word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Body> {
        Body::ALL.into_iter().find(|body| body.word() == word)
    }

    /// Whether a body of this shape can have the panel at all (common
    /// practice, no source). Only clear contradictions are named: a bed away
    /// from a pickup, rear doors on a coupe, a boot lid on what has a gate.
    #[must_use]
    pub fn can_have(self, panel: Panel) -> bool {
        match panel {
            Panel::BedL | Panel::BedR => matches!(self, Body::Pickup | Body::Other),
            Panel::CabL | Panel::CabR => matches!(self, Body::Pickup | Body::Van | Body::Other),
            Panel::Decklid => !matches!(self, Body::Suv | Body::Van | Body::Pickup | Body::Wagon),
            Panel::Tailgate => !matches!(self, Body::Sedan | Body::Coupe),
            Panel::Liftgate => !matches!(self, Body::Sedan | Body::Pickup),
            Panel::DoorRl | Panel::DoorRr => self != Body::Coupe,
            _ => true,
        }
    }
}

/// A set of bodies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BodySet(u8);

impl BodySet {
    /// Every body.
    pub const ALL: BodySet = BodySet(u8::MAX);

    /// Whether the body is in it.
    #[must_use]
    pub fn holds(self, body: Body) -> bool {
        self.0 & (1 << body as u8) != 0
    }

    /// Bodies that are in both.
    #[must_use]
    pub fn and(self, other: BodySet) -> BodySet {
        BodySet(self.0 & other.0)
    }

    /// Whether there is none in it.
    #[must_use]
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }
}

impl FromIterator<Body> for BodySet {
    fn from_iter<I: IntoIterator<Item = Body>>(bodies: I) -> BodySet {
        BodySet(
            bodies
                .into_iter()
                .fold(0, |set, body| set | (1 << body as u8)),
        )
    }
}
