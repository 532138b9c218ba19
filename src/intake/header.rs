//! The header of a sheet: which column means what, and which layout it makes.

use super::names::Names;
use super::storm_file::IntakeOptions;
use crate::storm::words::{self, PanelWord, Vocabulary};
use crate::storm::{Panel, SizeId};
use crate::units::LengthUnit;

/// The three layouts of a count sheet, told apart by their header.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    /// One row a panel.
    Panels,
    /// One row a dent, as measured.
    Dents,
    /// One row a car, one column a panel.
    Cars,
}

/// Columns of the vehicle list, known in every count sheet too.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)] // the names are the documentation
pub enum ListColumn {
    Vin,
    Year,
    Make,
    Model,
    Body,
    Payer,
    Value,
    Deductible,
    Arrives,
    Due,
    PartsDue,
    Priority,
    Row,
    Claim,
    Plate,
    Colour,
    Odometer,
    Owner,
}

impl ListColumn {
    /// All of them with their words.
    pub const ALL: [(ListColumn, &'static str); 18] = [
        (ListColumn::Vin, "vin"),
        (ListColumn::Year, "year"),
        (ListColumn::Make, "make"),
        (ListColumn::Model, "model"),
        (ListColumn::Body, "body"),
        (ListColumn::Payer, "payer"),
        (ListColumn::Value, "value"),
        (ListColumn::Deductible, "deductible"),
        (ListColumn::Arrives, "arrives"),
        (ListColumn::Due, "due"),
        (ListColumn::PartsDue, "parts_due"),
        (ListColumn::Priority, "priority"),
        (ListColumn::Row, "row"),
        (ListColumn::Claim, "claim"),
        (ListColumn::Plate, "plate"),
        (ListColumn::Colour, "colour"),
        (ListColumn::Odometer, "odometer"),
        (ListColumn::Owner, "owner"),
    ];
}

/// What a column of a sheet means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)] // the names are the documentation
pub enum Role {
    Stock,
    Panel,
    Class(SizeId),
    Dents,
    Size,
    Diameter(Option<LengthUnit>),
    Count,
    Metal,
    Access,
    Oversize,
    Remove,
    Conventional,
    Prior,
    Paint,
    Note,
    CountedBy,
    CountedOn,
    List(ListColumn),
    PanelCell(Panel),
    /// A column of a list with fixed ones, by its word.
    Named(&'static str),
    /// Left out on request.
    Ignored,
    /// A panel word without its side.
    NoSide(&'static [Panel]),
    /// Known to nobody.
    Unknown,
}

/// One column of a sheet.
#[derive(Debug, Clone)]
pub struct Column {
    /// Its position, from 0.
    pub index: usize,
    /// Its header as written.
    pub header: String,
    /// What it means.
    pub role: Role,
}

/// Words for the columns of count sheets besides classes, panels and the list's.
const COUNT_COLUMNS: [(&str, Role); 18] = [
    ("stock", Role::Stock),
    ("panel", Role::Panel),
    ("dents", Role::Dents),
    ("size", Role::Size),
    ("diameter", Role::Diameter(None)),
    ("diameter_mm", Role::Diameter(Some(LengthUnit::Millimetre))),
    ("diameter_in", Role::Diameter(Some(LengthUnit::Inch))),
    ("count", Role::Count),
    ("metal", Role::Metal),
    ("access", Role::Access),
    ("oversize", Role::Oversize),
    ("remove", Role::Remove),
    ("conventional", Role::Conventional),
    ("prior", Role::Prior),
    ("paint", Role::Paint),
    ("note", Role::Note),
    ("counted_by", Role::CountedBy),
    ("counted_on", Role::CountedOn),
];

/// Reads headers of one storm.
#[derive(Debug)]
pub struct HeaderReader<'a> {
    /// How sheets are read.
    pub options: &'a IntakeOptions,
    /// Words for panels.
    pub vocabulary: &'a Vocabulary,
    /// Size classes of all cards.
    pub names: &'a Names,
}

impl HeaderReader<'_> {
    /// The folded word that a header stands for, the team's and the trade's
    /// other words translated.
    fn known_word(&self, header: &str) -> String {
        let folded = words::fold(header);
        if let Some(known) = self.options.columns.get(&folded) {
            return known.clone();
        }
        words::column_alias(&folded).map_or(folded, words::fold)
    }

    fn count_role(&self, header: &str) -> Option<Role> {
        let folded = self.known_word(header);
        if self.options.ignore.contains(&words::fold(header)) {
            return Some(Role::Ignored);
        }
        if let Some((_, role)) = COUNT_COLUMNS
            .iter()
            .find(|(word, _)| words::fold(word) == folded)
        {
            return Some(*role);
        }
        if let Some(size) = self.names.sizes.find(&folded) {
            return Some(Role::Class(SizeId(size)));
        }
        if let Some((column, _)) = ListColumn::ALL
            .iter()
            .find(|(_, word)| words::fold(word) == folded)
        {
            return Some(Role::List(*column));
        }
        None
    }

    /// Whether a word is a column of any count sheet or of the lot list.
    #[must_use]
    pub fn is_known(&self, header: &str) -> bool {
        self.count_role(header).is_some() || self.panel_role(header).is_some()
    }

    fn panel_role(&self, header: &str) -> Option<Role> {
        match self.vocabulary.panel(&self.known_word(header))? {
            PanelWord::One(panel) => Some(Role::PanelCell(panel)),
            PanelWord::NoSide(panels) => Some(Role::NoSide(panels)),
        }
    }

    /// Whether a row of cells is the header of a count sheet: it holds
    /// `stock` and one more known column.
    #[must_use]
    pub fn is_count_header(&self, cells: &[&str]) -> bool {
        let roles = cells
            .iter()
            .map(|cell| self.count_role(cell).or_else(|| self.panel_role(cell)));
        is_header(roles, |role| matches!(role, Role::Stock))
    }

    /// The columns and layout of a count sheet's header. No layout: the sheet
    /// holds no counts.
    #[must_use]
    pub fn count_columns(&self, cells: &[(usize, String)]) -> (Option<Layout>, Vec<Column>) {
        let roles: Vec<Option<Role>> = cells
            .iter()
            .map(|(_, cell)| self.count_role(cell))
            .collect();
        let has = |wanted: fn(&Role) -> bool| roles.iter().flatten().any(wanted);
        let layout = if has(|role| matches!(role, Role::Panel)) {
            if has(|role| matches!(role, Role::Diameter(_))) {
                Some(Layout::Dents)
            } else {
                Some(Layout::Panels)
            }
        } else if cells
            .iter()
            .any(|(_, cell)| self.panel_role(cell).is_some())
        {
            Some(Layout::Cars)
        } else {
            None
        };
        let columns = cells
            .iter()
            .zip(roles)
            .map(|((index, header), role)| {
                let role = match layout {
                    Some(layout) => role
                        .filter(|role| fits(*role, layout))
                        .or_else(|| self.panel_role(header).filter(|_| layout == Layout::Cars))
                        .unwrap_or(Role::Unknown),
                    None => role.unwrap_or(Role::Unknown),
                };
                Column {
                    index: *index,
                    header: header.clone(),
                    role,
                }
            })
            .collect();
        (layout, columns)
    }

    /// The nearest known column of a layout, for a message.
    #[must_use]
    pub fn nearest_column(&self, header: &str, layout: Layout) -> Option<String> {
        let folded = words::fold(header);
        let mut known: Vec<String> = COUNT_COLUMNS
            .iter()
            .filter(|(_, role)| fits(*role, layout))
            .map(|(word, _)| (*word).to_owned())
            .collect();
        known.extend(ListColumn::ALL.iter().map(|(_, word)| (*word).to_owned()));
        if layout == Layout::Panels {
            known.extend(self.names.sizes.folded().map(str::to_owned));
        }
        if layout == Layout::Cars
            && let Some(panel) = self.vocabulary.nearest_panel(header)
        {
            return Some(panel);
        }
        words::nearest(&folded, known.iter().map(String::as_str)).map(str::to_owned)
    }
}

/// Whether a role has a meaning in a layout.
fn fits(role: Role, layout: Layout) -> bool {
    match role {
        Role::Stock | Role::Remove | Role::Note | Role::List(_) | Role::Ignored => true,
        Role::Panel
        | Role::Metal
        | Role::Access
        | Role::Conventional
        | Role::Prior
        | Role::Paint => layout != Layout::Cars,
        Role::Class(_) | Role::Dents | Role::Size | Role::Oversize => layout == Layout::Panels,
        Role::CountedBy | Role::CountedOn => true,
        Role::Diameter(_) | Role::Count => layout == Layout::Dents,
        Role::PanelCell(_) | Role::NoSide(_) => layout == Layout::Cars,
        Role::Named(_) | Role::Unknown => false,
    }
}

fn is_header(roles: impl Iterator<Item = Option<Role>>, is_stock: fn(Role) -> bool) -> bool {
    let (mut stock, mut others) = (false, 0);
    for role in roles.flatten() {
        if is_stock(role) {
            stock = true;
        } else {
            others += 1;
        }
    }
    stock && others > 0
}
