//! Tables on pages: the head again on every page, rows whole, sums never
//! parted from the row above them.

use super::flow::{Flow, LEADING};
use super::font::Fonts;
use super::paper::{Ink, Put, SIDE};
use crate::intake::printable_long;
use crate::report::document::{Cell, Table, TableColumn};

/// Left and right of a cell's text.
const PAD: f32 = 3.0;
/// Sizes that are tried, the largest that fits.
const SIZES: [f32; 4] = [8.5, 7.5, 6.5, 5.6];
/// A word longer than this may be broken where there is no room.
const LONGEST_WORD: f32 = 110.0;
/// The widest that words alone make a column.
const WIDEST: f32 = 420.0;

/// A row set in lines.
struct SetRow {
    cells: Vec<Vec<String>>,
    lines: usize,
}

/// A table set for a width.
struct SetTable<'t> {
    columns: Vec<&'t TableColumn>,
    widths: Vec<f32>,
    size: f32,
}

/// Sets a table on the pages of a flow.
pub fn lay_out(flow: &mut Flow<'_>, table: &Table) {
    if table.columns.is_empty() {
        return;
    }
    let (set, kept) = SetTable::fit(table, flow.fonts, flow.width());
    let head_cells: Vec<String> = set.columns.iter().map(|c| c.head.clone()).collect();
    let head = set.row(flow.fonts, head_cells, true);
    let body = set.rows(flow.fonts, &table.rows, &kept, false);
    let foot = set.rows(flow.fonts, &table.foot, &kept, true);
    let caption = flow
        .fonts
        .lines(&printable_long(&table.caption), 8.5, true, flow.width());
    let high = |row: &SetRow| set.height(row);
    // Caption, head and three rows stay together.
    let start = caption.len() as f32 * 8.5 * LEADING
        + high(&head)
        + body.iter().take(3).map(high).sum::<f32>()
        + 4.0;
    if start < flow.page_height() {
        flow.ensure(start);
    }
    for line in caption {
        let base = flow.y + 8.5;
        flow.text_at((SIDE, base), 8.5, true, Ink::Black, &line);
        flow.y += 8.5 * LEADING;
    }
    flow.y += 1.0;
    set.put(flow, &head, true, true);
    let foot_high: f32 = foot.iter().map(high).sum();
    for (at, row) in body.iter().enumerate() {
        let with_foot = if at + 1 == body.len() { foot_high } else { 0.0 };
        set.place(flow, row, &head, with_foot, false);
    }
    for row in &foot {
        set.place(flow, row, &head, 0.0, true);
    }
}

impl<'t> SetTable<'t> {
    /// Chooses size and widths; where even the smallest letters leave no room,
    /// columns of the highest rank go.
    fn fit(table: &'t Table, fonts: &Fonts, room: f32) -> (SetTable<'t>, Vec<usize>) {
        let mut kept: Vec<usize> = (0..table.columns.len()).collect();
        loop {
            for size in SIZES {
                let widths = widths(table, &kept, fonts, size, room);
                let (least, natural) = (sum(&widths, |w| w.0), sum(&widths, |w| w.1));
                let smallest = size == SIZES[SIZES.len() - 1];
                let droppable = kept.iter().any(|column| table.columns[*column].rank > 0);
                if least <= room || (smallest && !droppable) {
                    let set = SetTable {
                        columns: kept.iter().map(|column| &table.columns[*column]).collect(),
                        widths: share(&widths, least, natural, room, table, &kept),
                        size,
                    };
                    return (set, kept);
                }
            }
            let out = kept
                .iter()
                .copied()
                .max_by_key(|column| table.columns[*column].rank);
            kept.retain(|column| Some(*column) != out);
        }
    }

    fn rows(&self, fonts: &Fonts, rows: &[Vec<Cell>], kept: &[usize], bold: bool) -> Vec<SetRow> {
        rows.iter()
            .map(|row| {
                let cells = kept.iter().map(|column| row[*column].text.clone());
                self.row(fonts, cells.collect(), bold)
            })
            .collect()
    }

    fn row(&self, fonts: &Fonts, cells: Vec<String>, bold: bool) -> SetRow {
        let cells: Vec<Vec<String>> = cells
            .iter()
            .zip(&self.widths)
            .map(|(text, width)| {
                let text = printable_long(text);
                fonts.lines(&text, self.size, bold, width - 2.0 * PAD)
            })
            .collect();
        let lines = cells.iter().map(Vec::len).max().unwrap_or(1);
        SetRow { cells, lines }
    }

    fn height(&self, row: &SetRow) -> f32 {
        row.lines as f32 * self.size * LEADING + 2.6
    }

    /// A row, on the next page under the head again where there is no room.
    fn place(&self, flow: &mut Flow<'_>, row: &SetRow, head: &SetRow, more: f32, bold: bool) {
        let high = self.height(row);
        let whole = high + more + self.height(head) < flow.page_height();
        let need = if whole {
            high + more
        } else {
            self.size * LEADING
        };
        if flow.room() < need {
            flow.turn();
            self.put(flow, head, true, true);
        }
        if whole {
            self.put(flow, row, bold, bold);
            return;
        }
        // Taller than a page: line by line.
        for line in 0..row.lines {
            if flow.room() < self.size * LEADING + 2.6 {
                flow.turn();
                self.put(flow, head, true, true);
            }
            let part = SetRow {
                cells: row
                    .cells
                    .iter()
                    .map(|lines| lines.get(line).cloned().into_iter().collect())
                    .collect(),
                lines: 1,
            };
            self.put(flow, &part, bold, bold);
        }
    }

    fn put(&self, flow: &mut Flow<'_>, row: &SetRow, bold: bool, heavy: bool) {
        let mut x = SIDE;
        for ((lines, width), column) in row.cells.iter().zip(&self.widths).zip(&self.columns) {
            for (at, line) in lines.iter().enumerate() {
                let base = flow.y + self.size * (1.0 + LEADING * at as f32) + 0.6;
                let left = if column.figures {
                    x + width - PAD - flow.fonts.width(line, self.size, bold)
                } else {
                    x + PAD
                };
                flow.text_at((left, base), self.size, bold, Ink::Black, line);
            }
            x += width;
        }
        flow.y += self.height(row);
        flow.put(Put::Rule {
            from: (SIDE, flow.y - 0.4),
            to: (x, flow.y - 0.4),
            thick: if heavy { 0.9 } else { 0.3 },
        });
    }
}

fn sum(widths: &[(f32, f32)], of: impl Fn(&(f32, f32)) -> f32) -> f32 {
    widths.iter().map(of).sum()
}

/// Per column: the least width, which breaks no word, and the natural one.
fn widths(table: &Table, kept: &[usize], fonts: &Fonts, size: f32, room: f32) -> Vec<(f32, f32)> {
    kept.iter()
        .map(|column| {
            let (mut least, mut natural) = (0.0_f32, 0.0_f32);
            let mut measure = |text: &str, bold: bool| {
                natural = natural.max(fonts.width(text, size, bold));
                for word in text.split(' ') {
                    least = least.max(fonts.width(word, size, bold));
                }
            };
            measure(&table.columns[*column].head, true);
            for (rows, bold) in [(&table.rows, false), (&table.foot, true)] {
                for row in rows {
                    let text = &row[*column].text;
                    if !text.is_empty() {
                        measure(text, bold);
                    }
                }
            }
            let cap = WIDEST.min(room);
            let least = least.min(LONGEST_WORD) + 2.0 * PAD;
            let natural = natural.min(cap) + 2.0 * PAD;
            (least, natural.max(least))
        })
        .collect()
}

/// Widths that fill the room: all natural where that fits, the rest to words;
/// else what is above the least is shared out in proportion.
fn share(
    widths: &[(f32, f32)],
    least: f32,
    natural: f32,
    room: f32,
    table: &Table,
    kept: &[usize],
) -> Vec<f32> {
    if least > room {
        // Nothing can go any more: words are broken.
        return widths
            .iter()
            .map(|(narrow, _)| narrow * room / least)
            .collect();
    }
    if natural <= room {
        let wordy: f32 = widths
            .iter()
            .zip(kept)
            .filter(|(_, column)| !table.columns[**column].figures)
            .map(|(width, _)| width.1)
            .sum();
        // A table of two short columns need not run over the whole page.
        let extra = (room - natural).min(natural * 0.6);
        return widths
            .iter()
            .zip(kept)
            .map(|((_, natural), column)| {
                if table.columns[*column].figures || wordy <= 0.0 {
                    *natural
                } else {
                    natural + extra * natural / wordy
                }
            })
            .collect();
    }
    let part = (room - least) / (natural - least).max(0.01);
    widths
        .iter()
        .map(|(least, natural)| least + (natural - least) * part)
        .collect()
}
