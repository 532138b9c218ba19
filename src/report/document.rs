//! What a report says, whatever it is shown as: one plain struct that HTML,
//! PDF and text are all drawn from, so that no two of them can differ.

use super::picture::Picture;

/// A report for a person.
#[derive(Debug, Clone, Default)]
pub struct Document {
    /// What it is; the title of the page and the first line.
    pub title: String,
    /// Who sends it: name, address, and what else a letter's head has.
    pub sender: Vec<String>,
    /// The running number of a car's sheet, printed on each of its pages.
    pub number: String,
    /// What stands in it, in order.
    pub blocks: Vec<Block>,
}

/// A part of a document.
#[derive(Debug, Clone)]
pub enum Block {
    /// The head of a section.
    Heading(String),
    /// A paragraph.
    Text(String),
    /// Labels and values, in two columns where there is room.
    Facts(Vec<(&'static str, String)>),
    /// A lead and what it is about: `3 cars need a quote: 1, 2, 3`.
    Listed {
        /// The lead, without its colon.
        lead: String,
        /// What is listed.
        items: Vec<Cell>,
    },
    /// A table.
    Table(Table),
    /// A picture, with its numbers under it.
    Picture(Picture),
    /// A warning of the work's own danger, or of a figure's bounds.
    Caution {
        /// What it is about.
        about: String,
        /// What to mind.
        text: String,
    },
    /// Photographs, scaled and encoded anew: a caption, JPEG bytes, width and height.
    Photos(Vec<DocumentPhoto>),
    /// Room to sign, one for each of these.
    Signatures(Vec<String>),
}

/// A photograph of a car.
#[derive(Debug, Clone)]
pub struct DocumentPhoto {
    /// Under it.
    pub caption: String,
    /// A JPEG without any mark of where and when.
    pub jpeg: std::sync::Arc<[u8]>,
    /// Pixels.
    pub width: u32,
    /// Pixels.
    pub height: u32,
}

/// A table.
#[derive(Debug, Clone, Default)]
pub struct Table {
    /// What it shows.
    pub caption: String,
    /// Its columns.
    pub columns: Vec<TableColumn>,
    /// Its rows, each as wide as the columns.
    pub rows: Vec<Vec<Cell>>,
    /// Sums and the like, below the rows.
    pub foot: Vec<Vec<Cell>>,
    /// Whether a reader may want to sort it and to look for a row.
    pub long: bool,
}

/// A column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TableColumn {
    /// Its head.
    pub head: String,
    /// Whether it holds figures, which stand to the right.
    pub figures: bool,
    /// In a narrow place columns of a higher rank go first; 0 stays.
    pub rank: u8,
}

/// One cell.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Cell {
    /// What it says.
    pub text: String,
    /// The file beside this one that it leads to.
    pub link: Option<String>,
}

impl Cell {
    /// A cell that leads to a file.
    #[must_use]
    pub fn to(text: impl Into<String>, link: impl Into<String>) -> Cell {
        Cell {
            text: text.into(),
            link: Some(link.into()),
        }
    }
}

impl<T: Into<String>> From<T> for Cell {
    fn from(text: T) -> Cell {
        Cell {
            text: text.into(),
            link: None,
        }
    }
}

impl Table {
    /// A table without columns.
    #[must_use]
    pub fn new(caption: impl Into<String>) -> Table {
        Table {
            caption: caption.into(),
            ..Table::default()
        }
    }

    /// Adds a column of words.
    #[must_use]
    pub fn words(self, head: &str, rank: u8) -> Table {
        self.column(head, false, rank)
    }

    /// Adds a column of figures.
    #[must_use]
    pub fn figures(self, head: &str, rank: u8) -> Table {
        self.column(head, true, rank)
    }

    fn column(mut self, head: &str, figures: bool, rank: u8) -> Table {
        self.columns.push(TableColumn {
            head: head.to_owned(),
            figures,
            rank,
        });
        self
    }

    /// Adds a row, as wide as the columns.
    pub fn row(&mut self, cells: Vec<Cell>) {
        debug_assert_eq!(cells.len(), self.columns.len(), "bug: a row's width");
        self.rows.push(cells);
    }

    /// Adds a row of sums.
    pub fn sums(&mut self, cells: Vec<Cell>) {
        debug_assert_eq!(cells.len(), self.columns.len(), "bug: a foot's width");
        self.foot.push(cells);
    }

    /// Takes out the columns that hold nothing at all; the first one stays.
    #[must_use]
    pub fn without_empty_columns(mut self) -> Table {
        let used: Vec<bool> = (0..self.columns.len())
            .map(|column| {
                column == 0
                    || self
                        .rows
                        .iter()
                        .chain(&self.foot)
                        .any(|row| !row[column].text.is_empty())
            })
            .collect();
        let keep = |column: usize| used[column];
        let mut at = 0;
        self.columns.retain(|_| {
            at += 1;
            keep(at - 1)
        });
        for row in self.rows.iter_mut().chain(&mut self.foot) {
            let mut at = 0;
            row.retain(|_| {
                at += 1;
                keep(at - 1)
            });
        }
        self
    }
}
