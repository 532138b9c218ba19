//! What the columns of a sheet are to its plain rows.

use super::super::draft::SheetMeta;
use super::super::header::{Column, ListColumn, Role};
use super::super::panel_list::MANY;
use crate::storm::{Access, Metal, Panel};
use std::ops::Range;

/// What a column is to a plain row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Plain {
    /// The stock.
    Stock,
    /// The panel.
    Panel,
    /// By its place among the sheet's classes.
    Class(usize),
    /// All dents, of one class.
    Dents,
    /// Their class.
    Size,
    /// The metal.
    Metal,
    /// The access.
    Access,
    /// By its place among the list's columns of this sheet.
    List(usize, ListColumn),
    /// Whatever stands there says nothing.
    Ignored,
    /// By its place among the columns that nobody knows.
    Unknown(usize),
    /// Mostly blank; read only where it is not.
    Rare(Role),
}

/// Columns that are read in one go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Part {
    /// The stock.
    Stock,
    /// Dents of a class, by its place among the sheet's.
    Class(usize),
    /// All dents.
    Dents,
    /// By its place among the list's columns of this sheet.
    List(usize),
    /// Columns of words side by side: which of the sheet's. What stands in all of
    /// them together comes again and again, as one of them does.
    Words(Range<usize>),
}

/// What the words of a row say.
#[derive(Debug, Clone, Copy, Default)]
pub struct Said {
    /// The panel.
    pub panel: Option<Panel>,
    /// The place among the sheet's classes.
    pub size: Option<usize>,
    /// The metal, where one was said.
    pub metal: Option<Metal>,
    /// The access, where one was said.
    pub access: Option<Access>,
    /// Columns that nobody knows and in which something stands, one bit each.
    pub unknown: u64,
}

impl Said {
    /// Adds what other columns say.
    pub fn and(self, other: Said) -> Said {
        Said {
            panel: self.panel.or(other.panel),
            size: self.size.or(other.size),
            metal: self.metal.or(other.metal),
            access: self.access.or(other.access),
            unknown: self.unknown | other.unknown,
        }
    }
}

/// The columns of a sheet of panel rows.
#[derive(Debug)]
pub struct PlainColumns {
    /// Each of them.
    pub columns: Vec<Plain>,
    /// How many are the list's.
    pub lists: usize,
}

impl PlainColumns {
    /// None where the header leaves no row plain.
    pub fn of(meta: &SheetMeta) -> Option<PlainColumns> {
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
        is_plain.then_some(PlainColumns { columns, lists })
    }

    /// The columns by what is read in one go.
    pub fn parts(&self) -> Vec<Part> {
        let mut parts: Vec<Part> = Vec::new();
        for (index, column) in self.columns.iter().enumerate() {
            let part = match *column {
                Plain::Stock => Part::Stock,
                Plain::Class(class) => Part::Class(class),
                Plain::Dents => Part::Dents,
                Plain::List(place, _) => Part::List(place),
                _ => {
                    if let Some(Part::Words(columns)) = parts.last_mut() {
                        columns.end = index + 1;
                        continue;
                    }
                    Part::Words(index..index + 1)
                }
            };
            parts.push(part);
        }
        parts
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
