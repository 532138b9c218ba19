//! Rows of panels that say nothing unusual, read straight from the bytes.
//!
//! A region has millions of them. Nothing is decided here: a row is either so
//! plain that there is only one way to read it, its words having been read
//! before by the same readers as everywhere, or it is left to [`SheetReader`]
//! as it stands, with every rule and every message.
//!
//! [`SheetReader`]: super::SheetReader

use super::super::draft::SheetMeta;
use super::super::header::ListColumn;
use super::super::panel_cell;
use super::super::panel_list::{PlainPanel, StoredPanel};
use super::super::run_panels::PackedPanel;
use super::super::storm_file::Settings;
use super::super::table::Cell;
use super::super::text_blocks::RecordEnds;
use super::super::vehicle_list::three_after_comma;
use super::block_rows::{BlockRows, Piece, Run};
use super::cuts::{Cuts, CutsMemory, RowCells};
use super::facts::fact_text;
use super::lines::Lines;
use super::plain_columns::{Layout, Plain, PlainColumns, Said};
use super::quotes::without_needless;
use super::rare_cells::RareCells;
use super::row_dents::{FewDents, many_dents};
use super::stock::is_sum_row;
use super::whole_numbers::{two_whole_numbers, whole_number};
use super::word_memo::{WordKey, WordMemo};
use crate::storm::words::PanelWord;
use crate::storm::{Access, Metal, Panel, SizeId};
use compact_str::CompactString;
use hashbrown::DefaultHashBuilder;
use memchr::memchr;
use std::hash::BuildHasher;
use std::ops::Range;

/// Reads the plain rows of one sheet.
pub struct PlainRows<'a> {
    settings: &'a Settings,
    columns: Vec<Plain>,
    layout: Layout,
    classes: &'a [SizeId],
    sheet: u16,
    delimiter: u8,
    ends: RecordEnds,
    cuts: CutsMemory,
    hasher: DefaultHashBuilder,
    /// What was read before in the words of the layout.
    words: Vec<WordMemo<Said>>,
    panels: WordMemo<Panel>,
    metals: WordMemo<Option<Metal>>,
    accesses: WordMemo<Option<Access>>,
    sizes: WordMemo<u8>,
    /// The stock of the run at hand.
    stock: WordKey,
    /// Where the row before has its list's columns.
    list: Vec<Range<usize>>,
    list_here: Vec<Range<usize>>,
    rare: RareCells,
}

impl<'a> PlainRows<'a> {
    /// For a sheet of panel rows; none where its header leaves no row plain.
    pub fn new(
        settings: &'a Settings,
        meta: &'a SheetMeta,
        sheet: u32,
        delimiter: u8,
        hasher: DefaultHashBuilder,
    ) -> Option<PlainRows<'a>> {
        let columns = PlainColumns::of(meta)?;
        let sheet = u16::try_from(sheet).ok()?;
        let layout = columns.layout();
        Some(PlainRows {
            settings,
            words: layout.words.iter().map(|_| WordMemo::default()).collect(),
            list: vec![0..0; layout.lists.len()],
            list_here: vec![0..0; layout.lists.len()],
            layout,
            columns: columns.columns,
            classes: &meta.classes,
            sheet,
            delimiter,
            ends: RecordEnds::new(delimiter),
            cuts: CutsMemory::default(),
            hasher,
            panels: WordMemo::default(),
            metals: WordMemo::default(),
            accesses: WordMemo::default(),
            sizes: WordMemo::default(),
            stock: WordKey::default(),
            rare: RareCells::new(delimiter),
        })
    }

    /// Reads a block of text, in UTF-8, from a byte on, into the memory of one that is no
    /// longer needed.
    #[inline(never)] // so that it stands together in a profile
    pub fn read(&mut self, text: Vec<u8>, from: usize, spent: BlockRows) -> BlockRows {
        let (text, from) = match without_needless(&text, from, self.delimiter, &mut self.ends) {
            Some(unquoted) => (unquoted, 0),
            None => (text, from),
        };
        let bytes = text.as_slice();
        let mut block = spent.emptied();
        block.panels.sheet = self.sheet;
        // Few rows are shorter; what is too much is given back.
        block.panels.reserve(bytes.len() / 32);
        let mut lines = Lines::new(bytes);
        let memory = std::mem::take(&mut self.cuts);
        let mut cuts = Cuts::new(bytes, self.delimiter, lines.line_end, from, memory);
        let mut at = from;
        while at < bytes.len() {
            block.rows += 1;
            let is_line = lines.is_line(at);
            let read = match is_line {
                true => self.row(bytes, at, &mut cuts, &mut block),
                false => None,
            };
            at = match read {
                Some(next) => next,
                None => {
                    let next = match is_line {
                        true => self.other(bytes, at, lines.end_of(at), &mut block),
                        false => self.special(bytes, at, &mut block),
                    };
                    cuts.skip_to(next);
                    next
                }
            };
        }
        self.cuts = cuts.into_memory();
        block.text = text;
        block
    }

    /// Leaves a row that is not plain to the reader; where the next one begins.
    fn other(&self, bytes: &[u8], at: usize, end: usize, block: &mut BlockRows) -> usize {
        let next = (end + 1).min(bytes.len());
        block.pieces.push(Piece::Other {
            bytes: at..next,
            row: block.rows,
        });
        next
    }

    /// Passes a record in which a quote or a lone carriage return stands.
    fn special(&mut self, bytes: &[u8], at: usize, block: &mut BlockRows) -> usize {
        if bytes[at] == b'\r' {
            // An empty line under another line end.
            return at + 1;
        }
        let end = self.ends.of(bytes, at).unwrap_or(bytes.len());
        block.pieces.push(Piece::Other {
            bytes: at..end,
            row: block.rows,
        });
        end
    }

    /// Reads a line; where the next one begins, or none where it is not plain.
    fn row(
        &mut self,
        bytes: &[u8],
        start: usize,
        cuts: &mut Cuts<'_>,
        block: &mut BlockRows,
    ) -> Option<usize> {
        // A comment, perhaps.
        if bytes[start] == b'#' {
            return None;
        }
        // Where something stands beyond the last column, if only a delimiter, it
        // is not plain.
        let columns = self.columns.len();
        let cells = cuts.row(start, columns)?;
        let (base, text, next) = (cells.base, cells.text, cells.next);
        let (line_start, line_end) = cells.span(0, columns - 1);
        if line_end == line_start {
            // An empty line.
            return Some(next);
        }
        let mut dents = FewDents::default();
        for &(cell, class) in &self.layout.twos {
            let (one, other) = cells.two(cell);
            dents.set_two(class, two_whole_numbers(text, one, other)?);
        }
        for &(cell, class) in &self.layout.classes {
            dents.set(class, whole_number(text, cells.cell(cell))?);
        }
        let (said, is_rare) = match self.known_words(cells) {
            Some(said) => (said, false),
            None => self.read_words(bytes, cells)?,
        };
        let panel = said.panel()?;
        if let Some(cell) = self.layout.dents {
            let total = whole_number(text, cells.cell(cell))?;
            match said.size() {
                Some(class) => dents.set(class, total),
                None if total > 0 => return None,
                None => {}
            }
        }
        let dents = match dents.packed() {
            Some(packed) => packed,
            None => many_dents(&self.layout, cells, said.size())?,
        };
        for (here, cell) in self.list_here.iter_mut().zip(&self.layout.lists) {
            let (at, end) = cells.cell(*cell);
            *here = base + at..base + end;
        }
        let packed = PackedPanel::new(panel, dents, said.surface).filter(|_| !is_rare);
        let other = match packed {
            Some(_) => None,
            None => {
                let place = (self.sheet, block.rows);
                let plain = PlainPanel::new(place, panel, dents, said.surface);
                Some(match is_rare {
                    true => self.rare.rich(bytes, plain, self.settings, self.classes)?,
                    false => StoredPanel::Plain(plain),
                })
            }
        };
        let (at, end) = cells.cell(self.layout.stock);
        let stock = base + at..base + end;
        self.take(bytes, start..next, stock, panel, said.unknown, block)?;
        if let Some(packed) = packed {
            block.panels.push(packed);
        } else if let Some(other) = other {
            block.panels.push_other(other);
        }
        Some(next)
    }

    /// What the words of a row say, where all of them were read before.
    #[inline]
    fn known_words(&self, cells: RowCells<'_>) -> Option<Said> {
        let mut said = Said::default();
        for (&(first, last), known) in self.layout.words.iter().zip(&self.words) {
            // Few rows have an oversize dent or a metal of their own.
            if !cells.is_empty(first, last) {
                let (at, end) = cells.span(first, last);
                said = said.and(known.find(WordKey::of(cells.text, at, end))?);
            }
        }
        Some(said)
    }

    /// The same where some are new, and whether any of them is rare.
    #[cold]
    fn read_words(&mut self, bytes: &[u8], cells: RowCells<'_>) -> Option<(Said, bool)> {
        self.rare.clear();
        let mut said = Said::default();
        for place in 0..self.layout.words.len() {
            let (first, last) = self.layout.words[place];
            let (at, end) = cells.span(first, last);
            let key = WordKey::of(cells.text, at, end);
            let here = match self.words[place].find(key) {
                Some(known) => known,
                None => self.words(bytes, cells.base + at..cells.base + end, key, place)?,
            };
            said = said.and(here);
        }
        Some((said, !self.rare.is_empty()))
    }

    /// Reads words cell by cell that were not read before in this company.
    fn words(
        &mut self,
        bytes: &[u8],
        words: Range<usize>,
        key: WordKey,
        place: usize,
    ) -> Option<Said> {
        let (mut said, mut is_rare) = (Said::default(), false);
        let (first, last) = self.layout.words[place];
        let mut at = words.start;
        for index in first..=last {
            let length = memchr(self.delimiter, &bytes[at..words.end]);
            let end = length.map_or(words.end, |length| at + length);
            let (cell, key) = (&bytes[at..end], WordKey::of(bytes, at, end));
            match self.columns[index] {
                Plain::Panel => said.say_panel(self.panel(key, cell)?),
                Plain::Metal => {
                    let read = |word: Cell<'_>| panel_cell::metal(word).ok();
                    said.say_metal(self.metals.get(key, cell, read)?);
                }
                Plain::Access => {
                    let read = |word: Cell<'_>| panel_cell::access(word).ok();
                    said.say_access(self.accesses.get(key, cell, read)?);
                }
                Plain::Size => said.say_size(self.size(key, cell)?),
                Plain::Unknown(place) if !is_blank(cell) => {
                    // Dents may be lost where a figure stands.
                    let first = cell.trim_ascii_start().first();
                    if first.is_none_or(|byte| byte.is_ascii_digit() || !byte.is_ascii()) {
                        return None;
                    }
                    said.unknown |= 1 << place;
                }
                Plain::Rare(role) if !is_blank(cell) => {
                    self.rare.push(role, at..end);
                    is_rare = true;
                }
                _ => {}
            }
            if end == words.end {
                break;
            }
            at = end + 1;
        }
        // What is rare says more than is kept.
        if !is_rare {
            self.words[place].keep(key, said);
        }
        Some(said)
    }

    /// Adds a row with a panel to the run of its car.
    #[inline(always)] // a region adds eleven million
    fn take(
        &mut self,
        bytes: &[u8],
        rows: Range<usize>,
        stock: Range<usize>,
        panel: Panel,
        unknown: u64,
        block: &mut BlockRows,
    ) -> Option<()> {
        let here = 1 << panel.index();
        let key = WordKey::of(bytes, stock.start, stock.end);
        match block.pieces.last_mut() {
            Some(Piece::Run(run))
                if run.bytes.end == rows.start
                    && self.stock == key
                    && (key.is_whole() || *run.stock.as_bytes() == bytes[stock.clone()])
                    && run.here & here == 0
                    && (self.list.is_empty() || self.says_the_same(bytes)) =>
            {
                run.bytes.end = rows.end;
                run.panels += 1;
                run.here |= here;
                run.unknown |= unknown;
            }
            _ => {
                let run = self.begin(bytes, rows, stock, block)?;
                self.stock = key;
                block.pieces.push(Piece::Run(Run {
                    here,
                    unknown,
                    ..run
                }));
            }
        }
        Some(())
    }

    /// Begins the run of a car with a row.
    fn begin(
        &mut self,
        bytes: &[u8],
        rows: Range<usize>,
        stock: Range<usize>,
        block: &mut BlockRows,
    ) -> Option<Run> {
        let text = std::str::from_utf8(&bytes[stock]).ok()?;
        if !is_plain_stock(text) {
            return None;
        }
        let facts = self.facts(bytes, block)?;
        std::mem::swap(&mut self.list, &mut self.list_here);
        Some(Run {
            hash: self.hasher.hash_one(text),
            stock: CompactString::new(text),
            bytes: rows,
            row: block.rows,
            panels: 1,
            facts,
            here: 0,
            unknown: 0,
        })
    }

    /// Whether the row says of its car letter for letter what the run's first one says.
    #[inline]
    fn says_the_same(&self, bytes: &[u8]) -> bool {
        let mut cells = self.list.iter().zip(&self.list_here);
        cells.all(|(before, here)| bytes[before.clone()] == bytes[here.clone()])
    }

    /// What the row says of its car; how much that is.
    fn facts(&self, bytes: &[u8], block: &mut BlockRows) -> Option<usize> {
        let before = block.facts.len();
        for column in &self.columns {
            let Plain::List(place, column) = *column else {
                continue;
            };
            let cell = Cell::of_utf8(&bytes[self.list_here[place].clone()]);
            if cell.is_blank() {
                continue;
            }
            let comma = self.delimiter == b';';
            let is_money = matches!(column, ListColumn::Value | ListColumn::Deductible);
            match fact_text(cell, column, comma) {
                // A comma that may part thousands is worth a word.
                Ok(text) if !(comma && is_money && three_after_comma(&cell.shown())) => {
                    if !text.is_empty() {
                        block.facts.push((column, text.into()));
                    }
                }
                _ => {
                    block.facts.truncate(before);
                    return None;
                }
            }
        }
        Some(block.facts.len() - before)
    }

    fn panel(&mut self, key: WordKey, cell: &[u8]) -> Option<Panel> {
        let vocabulary = &self.settings.vocabulary;
        self.panels
            .get(key, cell, |word| match vocabulary.panel(&word.shown()) {
                Some(PanelWord::One(panel)) if !word.is_blank() => Some(panel),
                _ => None,
            })
    }

    /// The place of a size among the sheet's classes; a blank is none.
    fn size(&mut self, key: WordKey, cell: &[u8]) -> Option<Option<u8>> {
        if is_blank(cell) {
            return Some(None);
        }
        let (names, classes) = (&self.settings.names, self.classes);
        let place = self.sizes.get(key, cell, |word| {
            let size = names.size(&word.shown()).ok()?;
            let place = classes.iter().position(|class| *class == size)?;
            u8::try_from(place).ok()
        });
        place.map(Some)
    }
}

fn is_blank(cell: &[u8]) -> bool {
    cell.iter().all(u8::is_ascii_whitespace)
}

/// Whether a stock is what stands there, letter for letter, and no row of sums.
fn is_plain_stock(text: &str) -> bool {
    let has_digit = text.bytes().any(|byte| byte.is_ascii_digit());
    !text.is_empty()
        && text.trim().len() == text.len()
        && !text.starts_with(['\'', '#'])
        && (has_digit || !is_sum_row(text))
}
