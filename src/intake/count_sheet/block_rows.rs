//! What was read of one block of a sheet, before it is taken in.

use super::super::header::ListColumn;
use super::super::run_panels::RunPanels;
use compact_str::CompactString;
use std::ops::Range;

/// Rows that belong together, in the order of the text.
pub enum Piece {
    /// Rows of one car, each of another panel.
    Run(Run),
    /// One row that is not plain.
    Other {
        /// Its bytes, line end included.
        bytes: Range<usize>,
        /// Its number within the block, from 1.
        row: u32,
    },
}

/// Plain rows of one car that follow each other.
pub struct Run {
    /// The stock. The text is still far away for whoever takes the run in, since
    /// another core has read it.
    pub stock: CompactString,
    /// Its hash.
    pub hash: u64,
    /// All bytes of the rows.
    pub bytes: Range<usize>,
    /// The first row's number within the block, from 1.
    pub row: u32,
    /// How many of the block's panels.
    pub panels: usize,
    /// How many of the block's facts.
    pub facts: usize,
    /// Which panels, one bit each.
    pub here: u32,
    /// Columns that nobody knows and in which something stands, one bit each.
    pub unknown: u64,
}

/// A block of text as it was read.
#[derive(Default)]
pub struct BlockRows {
    /// The text, in UTF-8.
    pub text: Vec<u8>,
    /// What it holds.
    pub pieces: Vec<Piece>,
    /// The panels of all runs. Those that keep their row count it from 1 within the block.
    pub panels: RunPanels,
    /// What the rows of all runs say of their cars.
    pub facts: Vec<(ListColumn, CompactString)>,
    /// Its rows.
    pub rows: u32,
}

impl BlockRows {
    /// The same memory without anything in it. That of the panels stays with the cars.
    #[must_use]
    pub fn emptied(mut self) -> BlockRows {
        self.text.clear();
        self.pieces.clear();
        self.panels = RunPanels::default();
        self.facts.clear();
        self.rows = 0;
        self
    }

    /// A block of which no row is plain.
    #[must_use]
    pub fn whole(text: Vec<u8>, from: usize) -> BlockRows {
        BlockRows {
            pieces: vec![Piece::Other {
                bytes: from..text.len(),
                row: 1,
            }],
            text,
            ..BlockRows::default()
        }
    }
}
