//! A new storm's folder: settings with comments, two example cards, and a
//! count workbook for the clipboard.

mod settings;
mod workbook;

use crate::demo;
use crate::intake::LotCar;

/// The files of a new storm, by path.
#[derive(Debug)]
pub struct StormKit {
    /// Path in the folder and bytes.
    pub files: Vec<(String, Vec<u8>)>,
}

/// Why no kit could be made; a failure of the workbook library.
#[derive(Debug)]
pub struct KitError(pub String);

impl StormKit {
    /// The kit of a storm of this name. With a lot, its payers stand in
    /// storm.toml and its cars in the workbook; `lot_file` is the list's own
    /// name and bytes, which are taken over as they are.
    ///
    /// # Errors
    /// When the workbook library fails.
    pub fn new(
        name: &str,
        lot: &[LotCar],
        lot_file: Option<(String, Vec<u8>)>,
    ) -> Result<StormKit, KitError> {
        let mut files = vec![
            (
                "storm.toml".to_owned(),
                settings::storm_toml(name, lot).into_bytes(),
            ),
            ("rates/coins.toml".to_owned(), demo::COIN_CARD.to_vec()),
            (
                "rates/millimetres.toml".to_owned(),
                demo::MILLIMETRE_CARD.to_vec(),
            ),
            (
                "counts/counts.xlsx".to_owned(),
                workbook::count_workbook(name, lot).map_err(|error| KitError(error.to_string()))?,
            ),
        ];
        files.extend(lot_file);
        Ok(StormKit { files })
    }
}
