//! The cars of a reading, one after the other: for whoever needs no list of
//! all of them.

use super::super::draft::SheetMeta;
use super::super::problem::{Problem, Problems};
use super::super::resolve::{self, CHUNK, SoundCars};
use super::FolderReader;
use crate::rates::Rates;
use crate::storm::{Agreed, Storm};
use std::collections::BTreeSet;

/// Cars that were read and are checked while they are gone through.
pub struct Cars<'a> {
    reader: FolderReader<'a>,
    agreed: Vec<Agreed>,
}

/// What is left to say once all cars were gone through.
pub struct CarsRead<T> {
    /// What was made of them; none where storm.toml or a card is at fault.
    pub made: Option<T>,
    /// All that was found wrong or worth a look.
    pub problems: Problems,
    /// Cars with an error: their place in the lot and their stock, in lot order.
    pub left_out: Vec<(usize, String)>,
}

impl<'a> Cars<'a> {
    /// The cars of a reading that is done with its files.
    #[must_use]
    pub fn new(reader: FolderReader<'a>, agreed: Vec<Agreed>) -> Cars<'a> {
        Cars { reader, agreed }
    }

    /// The storm without its cars; agreed rows name a car by its place in the lot.
    #[must_use]
    pub fn storm(&self) -> Storm {
        self.reader.storm(Vec::new(), self.agreed.clone(), None)
    }

    /// Cards and terms.
    #[must_use]
    pub fn rates(&self) -> &'a Rates {
        &self.reader.settings.rates
    }

    /// The sheets that a [`crate::storm::Provenance`] points to.
    #[must_use]
    pub fn sheets(&self) -> Vec<SheetMeta> {
        self.reader.drafts.sheets.clone()
    }

    /// How many cars there are, bad ones among them.
    #[must_use]
    pub fn count(&self) -> usize {
        self.reader.drafts.cars.len()
    }

    /// How many of them make a chunk.
    #[must_use]
    pub const fn chunk() -> usize {
        CHUNK
    }

    /// Whether an error stands that belongs to no one car, so that nothing is priced.
    #[must_use]
    pub fn stops(&self) -> bool {
        self.reader.problems.stops()
    }

    /// Cars, by their place in the lot, one of whose agreed rows is at fault.
    #[must_use]
    pub fn agreed_at_fault(&self) -> BTreeSet<usize> {
        self.reader.drafts.agreed_at_fault.clone()
    }

    /// Checks all cars on all cores and gives the sound ones chunk by chunk to
    /// `visit`, each chunk with one of `slots`; what it made, in lot order.
    pub fn each_chunk<S: Send, T: Send>(
        &mut self,
        slots: Vec<S>,
        visit: impl Fn(S, &mut SoundCars<'_>) -> T + Sync,
    ) -> Vec<T> {
        let reader = &mut self.reader;
        // Days are a matter of the plan, and nobody plans from here.
        let mut plan_problems = Problems::default();
        resolve::each_chunk(
            &mut reader.drafts,
            reader.settings,
            &mut reader.problems,
            &mut plan_problems,
            slots,
            visit,
        )
    }

    /// An error that a later look found in a car.
    pub fn refuse(&mut self, car: usize, problem: Problem) {
        self.reader.problems.push(problem);
        self.reader.drafts.cars[car].bad = true;
    }

    /// Leaves a car out whose error was said before.
    pub fn leave_out(&mut self, car: usize) {
        self.reader.drafts.cars[car].bad = true;
    }

    /// Closes the reading.
    #[must_use]
    pub fn close<T>(self, made: T) -> CarsRead<T> {
        let reader = self.reader;
        // No car is left out without an error, and a million are many to look at.
        let left_out = match reader.problems.errors() {
            0 => Vec::new(),
            _ => reader.left_out(),
        };
        // A million cars take a while to forget, which nobody needs to wait for.
        let drafts = reader.drafts;
        rayon::spawn(move || drop(drafts));
        CarsRead {
            made: Some(made),
            problems: reader.problems,
            left_out,
        }
    }
}
