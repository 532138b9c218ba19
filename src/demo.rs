//! The built-in storm and card: an invented hail in an invented place.

use crate::intake::InMemory;

/// A file that is compiled in, by its path in the storm's folder.
macro_rules! demo_files {
    ($($path:literal),* $(,)?) => {
        [$(($path, include_bytes!(concat!("../data/demo/", $path)).as_slice())),*]
    };
}

/// The files of the demo storm.
static FILES: [(&str, &[u8]); 16] = demo_files![
    "storm.toml",
    "vehicles.csv",
    "agreed.csv",
    "crew.csv",
    "work.csv",
    "paid.csv",
    "bills.csv",
    "received.csv",
    "rates/bramblecote.toml",
    "rates/dunnock.toml",
    "rates/quillfeather.toml",
    "rates/quillfeather-rails.csv",
    "counts/arch-scan.csv",
    "counts/car-boards.xlsx",
    "counts/evening-round.ods",
    "counts/walk-round.csv",
];

/// The example card with coin classes.
pub const COIN_CARD: &[u8] = include_bytes!("../data/cards/coins.toml");
/// The example card with millimetre classes, in hours.
pub const MILLIMETRE_CARD: &[u8] = include_bytes!("../data/cards/millimetres.toml");

/// Path of the example card in [`cards`].
pub const EXAMPLE_CARD: &str = "coins.toml";

/// The demo storm's folder.
#[must_use]
pub fn storm() -> InMemory {
    let mut folder = InMemory::default();
    for (path, bytes) in FILES {
        folder.add(path, bytes);
    }
    folder
}

/// The example cards.
#[must_use]
pub fn cards() -> InMemory {
    let mut folder = InMemory::default();
    folder.add(EXAMPLE_CARD, COIN_CARD);
    folder
}
