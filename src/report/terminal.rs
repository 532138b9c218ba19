//! Tables for a terminal, never wider than its window.

use tabled::builder::Builder;
use tabled::settings::object::{Columns, Rows};
use tabled::settings::peaker::Priority;
use tabled::settings::{Alignment, Modify, Padding, Style, Width as CellWidth};

/// How wide a table may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Width(pub usize);

/// One column of a table in the making.
#[derive(Debug, Clone)]
struct TextColumn {
    header: String,
    right: bool,
    /// Columns with the highest rank go first when the window is narrow; 0 stays.
    rank: u8,
}

/// What follows a sum while some line of it has no amount.
pub const QUOTE_MARK: &str = " + quote";

/// A table of texts with a header and right-aligned figures.
#[derive(Debug, Clone, Default)]
pub struct TextTable {
    columns: Vec<TextColumn>,
    rows: Vec<Vec<String>>,
}

impl TextTable {
    /// A table without columns.
    #[must_use]
    pub fn new() -> TextTable {
        TextTable::default()
    }

    /// Adds a column of words. A higher rank is dropped earlier in a narrow window; 0 never.
    #[must_use]
    pub fn words(self, header: &str, rank: u8) -> TextTable {
        self.column(header, false, rank)
    }

    /// Adds a column of figures.
    #[must_use]
    pub fn figures(self, header: &str, rank: u8) -> TextTable {
        self.column(header, true, rank)
    }

    fn column(mut self, header: &str, right: bool, rank: u8) -> TextTable {
        self.columns.push(TextColumn {
            header: header.to_owned(),
            right,
            rank,
        });
        self
    }

    /// Adds a row, as wide as the columns.
    pub fn row(&mut self, cells: Vec<String>) {
        debug_assert_eq!(
            cells.len(),
            self.columns.len(),
            "bug: a row of another width"
        );
        self.rows.push(cells);
    }

    /// The table as text, within the width: columns of rank 1 and more are
    /// dropped, highest first, until it fits, and named below; then words are
    /// wrapped.
    #[must_use]
    pub fn render(&self, width: Width) -> String {
        let mut kept: Vec<usize> = (0..self.columns.len()).collect();
        loop {
            let table = self.build(&kept);
            let droppable = kept
                .iter()
                .copied()
                .filter(|column| self.columns[*column].rank > 0)
                .max_by_key(|column| self.columns[*column].rank);
            match droppable {
                _ if table.total_width() <= width.0 => {
                    return finish(&table) + &self.dropped(&kept, width);
                }
                Some(column) => kept.retain(|kept| *kept != column),
                None => {
                    let mut table = table;
                    table.with(
                        CellWidth::wrap(width.0)
                            .keep_words(true)
                            .priority(Priority::max(true)),
                    );
                    return finish(&table) + &self.dropped(&kept, width);
                }
            }
        }
    }

    /// The columns that hold something and have no room.
    fn dropped(&self, kept: &[usize], width: Width) -> String {
        let names: Vec<&str> = (0..self.columns.len())
            .filter(|column| !kept.contains(column))
            .filter(|column| self.rows.iter().any(|row| !row[*column].is_empty()))
            .map(|column| self.columns[column].header.as_str())
            .collect();
        if names.is_empty() {
            return String::new();
        }
        let said = format!(" no room for: {}", names.join(", "));
        let mut text = String::new();
        super::plain::wrap_into(&mut text, &said, width, " ");
        text
    }

    /// Which columns have a cell that says `+ quote`.
    fn marked(&self) -> Vec<bool> {
        (0..self.columns.len())
            .map(|column| {
                self.columns[column].right
                    && self
                        .rows
                        .iter()
                        .any(|row| row[column].ends_with(QUOTE_MARK))
            })
            .collect()
    }

    fn build(&self, kept: &[usize]) -> tabled::Table {
        let mut builder = Builder::default();
        builder.push_record(
            kept.iter()
                .map(|column| self.columns[*column].header.as_str()),
        );
        let marked = self.marked();
        for row in &self.rows {
            builder.push_record(kept.iter().map(|column| {
                let cell = &row[*column];
                let shown = crate::intake::printable(cell);
                // Blanks where others say `+ quote`, so that cents stand under cents.
                if marked[*column] && !cell.is_empty() && !cell.ends_with(QUOTE_MARK) {
                    format!("{shown}{:1$}", "", QUOTE_MARK.len())
                } else {
                    shown
                }
            }));
        }
        let mut table = builder.build();
        table
            .with(Style::psql())
            .with(Padding::new(1, 1, 0, 0))
            .with(Modify::new(Rows::first()).with(Alignment::left()));
        for (at, column) in kept.iter().enumerate() {
            if self.columns[*column].right {
                table.with(Modify::new(Columns::one(at)).with(Alignment::right()));
            }
        }
        table
    }
}

fn finish(table: &tabled::Table) -> String {
    let mut text = String::new();
    for line in table.to_string().lines() {
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}
