//! A long count sheet, read block by block on all cores and taken in in the
//! order of the text.

use super::super::csv_text::{RecordReader, Records};
use super::super::draft::Fact;
use super::super::header::ListColumn;
use super::super::panel_list::PanelRef;
use super::super::table::Unreadable;
use super::super::text_blocks::TextBlocks;
use super::SheetReader;
use super::block_rows::{BlockRows, Piece, Run};
use super::plain_rows::PlainRows;
use crate::storm::Provenance;
use compact_str::CompactString;
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Blocks that may wait to be taken in, so that memory stays bounded.
const MOST_WAITING: usize = 4;

/// A block that is not read yet.
enum Unread {
    /// The first one, and the byte that it is read from.
    Text(String, usize),
    /// Another one.
    Bytes(Vec<u8>),
    /// Why there is no more.
    Failed(Unreadable),
}

/// What was read of a block, or why there is no more.
type Read = Result<BlockRows, Unreadable>;

/// Where blocks come together again in the order of the text.
struct Merge<'r, 'a> {
    reader: &'r mut SheetReader<'a>,
    delimiter: u8,
    /// Reads what is not plain.
    records: Option<RecordReader>,
    /// The block that comes next.
    next: usize,
    /// Rows above it.
    rows: u32,
    comments: u32,
    failed: Option<Unreadable>,
}

/// Reads the rest of a sheet whose header was found: first `text` from `from`
/// on, above which stand `rows` rows, then all other blocks. How many comment
/// rows were passed over.
pub fn read<'a>(
    reader: &mut SheetReader<'a>,
    blocks: &mut TextBlocks<'_>,
    text: String,
    from: usize,
    rows: u32,
) -> Result<u32, Unreadable> {
    let meta = reader.meta().clone();
    let (settings, sheet, delimiter) = (reader.settings, reader.sheet, blocks.delimiter);
    let hasher = reader.drafts.hasher();
    let plain_rows = || PlainRows::new(settings, &meta, sheet, delimiter, hasher.clone());
    let decoder = blocks.decoder();
    let mut first = Some((text, from));
    let mut given = 0_usize;
    // Which block is next is decided under the same lock as its bytes are read.
    let unread = Mutex::new(|spent: Vec<u8>| -> Option<(usize, Unread)> {
        let block = match first.take() {
            Some((text, from)) => Unread::Text(text, from),
            None => match blocks.next_bytes(spent) {
                Ok(None) => return None,
                Ok(Some(bytes)) => Unread::Bytes(bytes),
                Err(error) => Unread::Failed(error),
            },
        };
        given += 1;
        Some((given - 1, block))
    });
    let waiting: Mutex<BTreeMap<usize, Read>> = Mutex::default();
    // The memory of blocks that were taken in, for later ones.
    let spent: Mutex<Vec<BlockRows>> = Mutex::default();
    let merge = Mutex::new(Merge {
        reader,
        delimiter,
        records: None,
        next: 0,
        rows,
        comments: 0,
        failed: None,
    });
    rayon::broadcast(|_| {
        let mut plain = plain_rows();
        loop {
            let mut room = held(&spent).pop().unwrap_or_default();
            let free = std::mem::take(&mut room.text);
            let next = (*held(&unread))(free);
            let Some((place, block)) = next else { break };
            let block = match block {
                Unread::Text(text, from) => Ok((text.into_bytes(), from)),
                Unread::Bytes(bytes) => decoder.utf8(bytes).map(|text| (text, 0)),
                Unread::Failed(error) => Err(error),
            };
            let is_last = block.is_err();
            let read = block.map(|(text, from)| match &mut plain {
                Some(plain) => plain.read(text, from, room),
                None => BlockRows::whole(text, from),
            });
            let crowded = {
                let mut waiting = held(&waiting);
                waiting.insert(place, read);
                waiting.len() > MOST_WAITING
            };
            // Whoever is free takes in what is ready; the others read on.
            let taking = if crowded {
                Some(held(&merge))
            } else {
                merge.try_lock().ok()
            };
            if let Some(mut merge) = taking {
                merge.take_ready(&waiting, &spent);
                if merge.failed.is_some() {
                    break;
                }
            }
            if is_last {
                break;
            }
        }
    });
    let mut merge = merge.into_inner().unwrap_or_else(PoisonError::into_inner);
    merge.take_ready(&waiting, &spent);
    match merge.failed {
        Some(failed) => Err(failed),
        None => Ok(merge.comments),
    }
}

/// A lock whose holder can only have panicked with a bug, which is passed on anyway.
fn held<T: ?Sized>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Merge<'_, '_> {
    fn take_ready(
        &mut self,
        waiting: &Mutex<BTreeMap<usize, Read>>,
        spent: &Mutex<Vec<BlockRows>>,
    ) {
        while self.failed.is_none() {
            let Some(read) = held(waiting).remove(&self.next) else {
                return;
            };
            self.next += 1;
            let taken = read.and_then(|mut block| {
                self.take(&mut block)?;
                held(spent).push(block);
                Ok(())
            });
            self.failed = taken.err();
        }
    }

    fn take(&mut self, block: &mut BlockRows) -> Result<(), Unreadable> {
        let mut panels = std::mem::take(&mut block.panels);
        panels.rows_below(self.rows);
        self.reader.drafts.open_block(panels);
        let last = self.take_pieces(&block.text, &block.pieces, &block.facts);
        self.reader.drafts.close_block();
        self.rows = last?.max(self.rows + block.rows);
        Ok(())
    }

    /// Takes in what was read of a block; the number of the last row that was
    /// not plain.
    fn take_pieces(
        &mut self,
        text: &[u8],
        pieces: &[Piece],
        mut facts: &[(ListColumn, CompactString)],
    ) -> Result<u32, Unreadable> {
        let above = self.rows;
        let (mut last, mut first) = (above, 0);
        let mut known = self.known_cars(pieces).into_iter();
        for piece in pieces {
            match piece {
                Piece::Run(run) => {
                    let known = known.next().flatten();
                    let (of_run, rest) = facts.split_at(run.facts);
                    facts = rest;
                    let panels = first..first + run.panels;
                    first = panels.end;
                    if !self.take_run(run, known, panels, of_run) {
                        self.row_by_row(text, &run.bytes, above + run.row - 1)?;
                    }
                }
                Piece::Other { bytes, row } => {
                    last = self.row_by_row(text, bytes, above + row - 1)?;
                }
            }
        }
        Ok(last)
    }

    /// The cars of all runs that were known before the block.
    fn known_cars(&self, pieces: &[Piece]) -> Vec<Option<usize>> {
        let stocks = pieces.iter().filter_map(|piece| match piece {
            Piece::Run(run) => Some((run.stock.as_str(), run.hash)),
            Piece::Other { .. } => None,
        });
        let stocks: Vec<(&str, u64)> = stocks.collect();
        self.reader.drafts.find_all_hashed(&stocks)
    }

    /// Takes in the rows of a run all at once, where no rule has anything to say
    /// to them: neither a stock that the list lacks nor a panel counted before
    /// nor a fact that differs. Otherwise nothing of it is taken. `panels` are
    /// its places in the open block.
    fn take_run(
        &mut self,
        run: &Run,
        known: Option<usize>,
        panels: Range<usize>,
        facts: &[(ListColumn, CompactString)],
    ) -> bool {
        let (above, reader) = (self.rows, &mut *self.reader);
        let drafts = &mut *reader.drafts;
        // A car may have come with an earlier run of the block.
        let known = known.or_else(|| drafts.find_hashed(&run.stock, run.hash));
        match known.map(|car| &drafts.cars[car]) {
            None if drafts.has_list => return false,
            None => {}
            Some(car) => {
                let is_here = |panel: PanelRef<'_>| run.here >> panel.panel().index() & 1 == 1;
                let differs = |(column, text): &(ListColumn, CompactString)| {
                    car.fact(*column).is_some_and(|known| known.text != *text)
                };
                if drafts.panels(car).iter().any(is_here) || facts.iter().any(differs) {
                    return false;
                }
            }
        }
        let car = known.unwrap_or_else(|| drafts.add_hashed(run.stock.clone(), run.hash));
        let source = Provenance {
            sheet: reader.sheet,
            row: above + run.row,
        };
        let has_list = drafts.has_list;
        let draft = &mut drafts.cars[car];
        draft.first_row.get_or_insert(source);
        draft.spoken_of = true;
        for (column, text) in facts {
            if !has_list && draft.fact(*column).is_none() {
                draft.facts.push(Fact {
                    column: *column,
                    text: text.clone(),
                    source,
                });
            }
        }
        drafts.give_run(car, panels, source.row);
        for (place, unknown) in reader.unknown.iter_mut().enumerate() {
            unknown.used |= place < 64 && run.unknown >> place & 1 == 1;
        }
        reader.last_stock = Some(car);
        reader.is_last_sound = true;
        true
    }

    /// Gives rows to the reader one by one, with every rule it has; the number
    /// of the last.
    fn row_by_row(
        &mut self,
        text: &[u8],
        bytes: &Range<usize>,
        above: u32,
    ) -> Result<u32, Unreadable> {
        let reader = self.records.take();
        let reader = reader.unwrap_or_else(|| RecordReader::new(self.delimiter));
        // Rows of a text in UTF-8 are cut at ASCII.
        let rows = std::str::from_utf8(&text[bytes.clone()]).expect("bug: a row cut in a sign");
        let mut records = Records::with(reader, rows, above);
        let read = loop {
            match records.next() {
                Ok(Some(row)) => self.reader.row(row),
                Ok(None) => break Ok(records.number()),
                Err(error) => break Err(error),
            };
        };
        self.comments += records.comments();
        self.records = Some(records.into_reader());
        read
    }
}
