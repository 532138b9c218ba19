//! Rows of panels that say nothing unusual, read straight from the bytes.
//!
//! A region has millions of them. Nothing is decided here: a row is either so
//! plain that there is only one way to read it, its words having been read
//! before by the same readers as everywhere, or it is left to [`SheetReader`]
//! as it stands, with every rule and every message.
//!
//! [`SheetReader`]: super::SheetReader

use super::super::cells;
use super::super::draft::SheetMeta;
use super::super::header::{Column, ListColumn, Role};
use super::super::panel_cell;
use super::super::panel_list::{MANY, PlainPanel, RowDents, StoredPanel};
use super::super::storm_file::Settings;
use super::super::table::{Cell, MAX_CELL_CHARS};
use super::super::text_blocks::RecordEnds;
use super::super::vehicle_list::three_after_comma;
use super::block_rows::{BlockRows, Piece, Run};
use super::facts::fact_text;
use super::stock::is_sum_row;
use super::word_memo::{WordCutter, WordKey, WordMemo};
use crate::storm::words::PanelWord;
use crate::storm::{Access, Metal, Panel, Provenance, SizeId};
use hashbrown::DefaultHashBuilder;
use memchr::{memchr, memchr2};
use std::hash::BuildHasher;
use std::ops::Range;

/// What a column is to a plain row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Plain {
    Stock,
    Panel,
    /// By its place among the sheet's classes.
    Class(usize),
    Dents,
    Size,
    Metal,
    Access,
    /// By its place among the list's columns of this sheet.
    List(usize, ListColumn),
    Ignored,
    /// By its place among the columns that nobody knows.
    Unknown(usize),
    /// Mostly blank; read only where it is not.
    Rare(Role),
}

/// Reads the plain rows of one sheet.
pub struct PlainRows<'a> {
    settings: &'a Settings,
    columns: Vec<Plain>,
    classes: &'a [SizeId],
    sheet: u32,
    delimiter: u8,
    cutter: WordCutter,
    ends: RecordEnds,
    hasher: DefaultHashBuilder,
    panels: WordMemo<Panel>,
    metals: WordMemo<Option<Metal>>,
    accesses: WordMemo<Option<Access>>,
    sizes: WordMemo<usize>,
    /// The stock of the run at hand.
    stock: WordKey,
    /// Where the row before has its list's columns.
    list: Vec<Range<usize>>,
    list_here: Vec<Range<usize>>,
    rare: Vec<(Role, Range<usize>)>,
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
        let (mut columns, mut lists, mut unknown) = (Vec::new(), 0, 0);
        for (index, column) in meta.columns.iter().enumerate() {
            let is_twice = meta.columns[..index].iter().any(|earlier| {
                earlier.role == column.role && !matches!(column.role, Role::Unknown | Role::Ignored)
            });
            if column.index != index || is_twice {
                return None;
            }
            columns.push(plain(column, meta, &mut lists, &mut unknown)?);
        }
        let has = |wanted| columns.contains(&wanted);
        let by_class = columns
            .iter()
            .any(|column| matches!(column, Plain::Class(_)));
        // A total beside classes must be their sum, which is a rule of its own.
        let is_plain = has(Plain::Stock)
            && has(Plain::Panel)
            && !(has(Plain::Dents) && by_class)
            && has(Plain::Dents) == has(Plain::Size)
            && unknown <= 64;
        is_plain.then(|| PlainRows {
            settings,
            columns,
            classes: &meta.classes,
            sheet,
            delimiter,
            cutter: WordCutter::new(delimiter),
            ends: RecordEnds::new(delimiter),
            hasher,
            panels: WordMemo::default(),
            metals: WordMemo::default(),
            accesses: WordMemo::default(),
            sizes: WordMemo::default(),
            stock: WordKey::default(),
            list: vec![0..0; lists],
            list_here: vec![0..0; lists],
            rare: Vec::new(),
        })
    }

    /// Reads a block of text from a byte on.
    pub fn read(&mut self, text: String, from: usize) -> BlockRows {
        let bytes = text.as_bytes();
        let mut block = BlockRows::default();
        // Only where one of these stands can a row be anything but a line.
        let has_special = memchr2(b'"', b'\r', bytes).is_some();
        let mut at = from;
        while at < bytes.len() {
            let end = memchr(b'\n', &bytes[at..]).map_or(bytes.len(), |line| at + line);
            let next = (end + 1).min(bytes.len());
            let mut line = at..end;
            block.rows += 1;
            if has_special {
                if line.end > at && bytes[line.end - 1] == b'\r' {
                    line.end -= 1;
                }
                if memchr2(b'"', b'\r', &bytes[line.clone()]).is_some() {
                    at = self.special(bytes, at, &mut block);
                    continue;
                }
            }
            if !line.is_empty() && self.row(bytes, line, next, &mut block).is_none() {
                block.pieces.push(Piece::Other {
                    bytes: at..next,
                    row: block.rows,
                });
            }
            at = next;
        }
        block.text = text;
        block
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

    /// Reads a line; none where it is not plain.
    fn row(
        &mut self,
        bytes: &[u8],
        line: Range<usize>,
        next: usize,
        block: &mut BlockRows,
    ) -> Option<()> {
        // A comment, perhaps, or a cell beyond all bounds.
        if line.len() > MAX_CELL_CHARS || bytes[line.start] == b'#' {
            return None;
        }
        let mut dents = RowDents::default();
        let (mut stock, mut panel, mut total, mut size) =
            ((0..0, WordKey::default()), None, 0, None);
        let (mut metal, mut access, mut unknown) = (None, None, 0_u64);
        self.rare.clear();
        let mut at = line.start;
        let mut ended = false;
        for column in 0..self.columns.len() {
            let column = self.columns[column];
            if ended {
                if let Plain::List(place, _) = column {
                    self.list_here[place] = 0..0;
                }
                continue;
            }
            if let Plain::Class(_) | Plain::Dents = column {
                let (count, end) = self.cutter.whole_number(bytes, at, line.end)?;
                match column {
                    Plain::Class(class) => dents.set(class, count),
                    _ => total = count,
                }
                ended = end == line.end;
                at = end + 1;
                continue;
            }
            let (key, end) = self.cutter.cut(bytes, at, line.end);
            let cell = &bytes[at..end];
            if cell.first() == Some(&b'"') {
                return None;
            }
            match column {
                Plain::Stock => stock = (at..end, key),
                Plain::Panel => panel = Some(self.panel(key, cell)?),
                Plain::Metal => {
                    metal = self
                        .metals
                        .get(key, cell, |word| panel_cell::metal(word).ok())?;
                }
                Plain::Access => {
                    access = self
                        .accesses
                        .get(key, cell, |word| panel_cell::access(word).ok())?;
                }
                Plain::Size => size = self.size(key, cell)?,
                Plain::List(place, _) => self.list_here[place] = at..end,
                Plain::Unknown(place) if !is_blank(cell) => {
                    // Dents may be lost where a figure stands.
                    let first = cell.trim_ascii_start().first();
                    if first.is_none_or(|byte| byte.is_ascii_digit() || !byte.is_ascii()) {
                        return None;
                    }
                    unknown |= 1 << place;
                }
                Plain::Rare(role) if !is_blank(cell) => self.rare.push((role, at..end)),
                _ => {}
            }
            ended = end == line.end;
            at = end + 1;
        }
        let panel = panel?;
        if !ended {
            // Something stands beyond the last column, if only a delimiter.
            return None;
        }
        match size {
            Some(class) => dents.set(class, total),
            None if total > 0 => return None,
            None => {}
        }
        let source = Provenance {
            sheet: self.sheet,
            row: block.rows,
        };
        let stored = if self.rare.is_empty() {
            StoredPanel::Plain(PlainPanel::new(source, panel, dents, metal, access)?)
        } else {
            self.rich(bytes, source, panel, dents, metal, access)?
        };
        self.take(bytes, line.start..next, stock, stored, unknown, block)
    }

    /// Adds a panel to the run of its car.
    fn take(
        &mut self,
        bytes: &[u8],
        rows: Range<usize>,
        (stock, key): (Range<usize>, WordKey),
        stored: StoredPanel,
        unknown: u64,
        block: &mut BlockRows,
    ) -> Option<()> {
        let bit = 1 << stored.panel().index();
        if let Some(Piece::Run(run)) = block.pieces.last_mut()
            && run.bytes.end == rows.start
            && self.stock == key
            && (key.is_whole() || bytes[run.stock.clone()] == bytes[stock.clone()])
            && run.here & bit == 0
            && self.says_the_same(bytes)
        {
            run.bytes.end = rows.end;
            run.panels += 1;
            run.here |= bit;
            run.unknown |= unknown;
            block.panels.push(stored);
            return Some(());
        }
        let text = std::str::from_utf8(&bytes[stock.clone()]).ok()?;
        if !is_plain_stock(text) {
            return None;
        }
        let facts = self.facts(bytes, block)?;
        std::mem::swap(&mut self.list, &mut self.list_here);
        self.stock = key;
        block.pieces.push(Piece::Run(Run {
            hash: self.hasher.hash_one(text),
            stock,
            bytes: rows,
            row: block.rows,
            panels: 1,
            facts,
            here: bit,
            unknown,
        }));
        block.panels.push(stored);
        Some(())
    }

    /// Whether the row says of its car letter for letter what the run's first one says.
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
            let cell = cell(&bytes[self.list_here[place].clone()]);
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
    fn size(&mut self, key: WordKey, cell: &[u8]) -> Option<Option<usize>> {
        if is_blank(cell) {
            return Some(None);
        }
        let (names, classes) = (&self.settings.names, self.classes);
        let place = self.sizes.get(key, cell, |word| {
            let size = names.size(&word.shown()).ok()?;
            classes.iter().position(|class| *class == size)
        });
        place.map(Some)
    }

    /// A panel of which a row says more than dents, metal and access.
    fn rich(
        &self,
        bytes: &[u8],
        source: Provenance,
        panel: Panel,
        dents: RowDents,
        metal: Option<Metal>,
        access: Option<Access>,
    ) -> Option<StoredPanel> {
        let plain = PlainPanel::new(source, panel, dents, metal, access)?;
        let mut draft = StoredPanel::Plain(plain).unpack(self.classes);
        let names = &self.settings.names;
        for (role, at) in &self.rare {
            let cell = cell(&bytes[at.clone()]);
            match role {
                Role::Oversize => {
                    let comma = self.delimiter == b';';
                    let (sizes, refused) = cells::sizes(cell, self.settings.unit, comma);
                    if !refused.is_empty() {
                        return None;
                    }
                    for sized in sizes {
                        draft.add_measured(sized.diameter, sized.dents, true);
                    }
                }
                Role::Remove => {
                    for word in cells::word_list(cell).ok()? {
                        draft.add_removal(names.code(&word).ok()?);
                    }
                }
                Role::Conventional => draft.conventional = cells::yes_no(cell).ok()?,
                Role::Prior => draft.prior = panel_cell::prior(cell).ok()?,
                Role::Paint => draft.paint = panel_cell::paint(cell).ok()?,
                Role::Note => draft.note = cells::text(cell).ok()?,
                Role::CountedBy => draft.counted_by = cells::text(cell).ok()?,
                Role::CountedOn => draft.counted_on = cells::text(cell).ok()?,
                _ => return None,
            }
        }
        Some(StoredPanel::pack(draft, self.classes))
    }
}

fn plain(
    column: &Column,
    meta: &SheetMeta,
    lists: &mut usize,
    unknown: &mut usize,
) -> Option<Plain> {
    let next = |count: &mut usize| {
        *count += 1;
        *count - 1
    };
    Some(match column.role {
        Role::Stock => Plain::Stock,
        Role::Panel => Plain::Panel,
        Role::Class(size) => {
            let class = meta.classes.iter().position(|class| *class == size)?;
            Plain::Class(Some(class).filter(|class| *class < MANY)?)
        }
        Role::Dents => Plain::Dents,
        Role::Size => Plain::Size,
        Role::Metal => Plain::Metal,
        Role::Access => Plain::Access,
        Role::List(list) => Plain::List(next(lists), list),
        Role::Ignored => Plain::Ignored,
        Role::Unknown => Plain::Unknown(next(unknown)),
        Role::Oversize
        | Role::Remove
        | Role::Conventional
        | Role::Prior
        | Role::Paint
        | Role::Note
        | Role::CountedBy
        | Role::CountedOn => Plain::Rare(column.role),
        _ => return None,
    })
}

/// A cell of the text, which is UTF-8 as a whole and cut at ASCII only.
fn cell(bytes: &[u8]) -> Cell<'_> {
    std::str::from_utf8(bytes).map_or(Cell::Blank, Cell::of_text)
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
