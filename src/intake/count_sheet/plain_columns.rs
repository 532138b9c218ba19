//! What the columns of a sheet are to its plain rows.

use super::super::draft::SheetMeta;
use super::super::header::{Column, ListColumn, Role};
use super::super::panel_list::{MANY, Surface};
use crate::storm::{Access, Metal, Panel};

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

/// Where in a row what is found.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Layout {
    /// The stock's cell.
    pub stock: usize,
    /// The cells of dents by class, each with its class's place among the sheet's.
    pub classes: Vec<(usize, usize)>,
    /// Two side by side of two classes that follow each other: the first one.
    pub twos: Vec<(usize, usize)>,
    /// The cell of all dents.
    pub dents: Option<usize>,
    /// The cells of the list's columns, in their order.
    pub lists: Vec<usize>,
    /// Cells of words side by side, from the first to the last. What stands in all of
    /// them together comes again and again, as one of them does.
    pub words: Vec<(usize, usize)>,
}

/// What the words of a row say. Each of a sheet's columns says another part of
/// it, so that what several say is put together bit by bit.
#[derive(Debug, Clone, Copy, Default)]
pub struct Said {
    /// The panel and, above it, the place of the size among the sheet's classes,
    /// each by its place from 1, and 0 where none was said.
    parts: u16,
    /// The metal and the access.
    pub surface: Surface,
    /// Columns that nobody knows and in which something stands, one bit each.
    pub unknown: u64,
}

const SIZE: u32 = 8;

impl Said {
    /// A panel.
    pub fn say_panel(&mut self, panel: Panel) {
        self.parts |= panel.index() as u16 + 1;
    }

    /// A size, by its place among the sheet's classes.
    pub fn say_size(&mut self, class: Option<u8>) {
        self.parts |= class.map_or(0, |class| u16::from(class) + 1) << SIZE;
    }

    /// A metal, where there is one.
    pub fn say_metal(&mut self, metal: Option<Metal>) {
        self.surface = self.surface.and(Surface::new(metal, None));
    }

    /// An access, where there is one.
    pub fn say_access(&mut self, access: Option<Access>) {
        self.surface = self.surface.and(Surface::new(None, access));
    }

    /// Adds what other columns say.
    #[inline]
    pub fn and(self, other: Said) -> Said {
        Said {
            parts: self.parts | other.parts,
            surface: self.surface.and(other.surface),
            unknown: self.unknown | other.unknown,
        }
    }

    fn part(self, shift: u32) -> Option<usize> {
        ((self.parts >> shift & 0xff) as usize).checked_sub(1)
    }

    /// The panel.
    pub fn panel(self) -> Option<Panel> {
        Panel::ALL.get(self.part(0)?).copied()
    }

    /// The place of the size among the sheet's classes.
    pub fn size(self) -> Option<usize> {
        self.part(SIZE)
    }
}

/// The columns of a sheet of panel rows.
#[derive(Debug)]
pub struct PlainColumns {
    /// Each of them.
    pub columns: Vec<Plain>,
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
        is_plain.then_some(PlainColumns { columns })
    }

    /// Where what is found.
    pub fn layout(&self) -> Layout {
        let mut layout = Layout::default();
        let mut is_beside = false;
        for (index, column) in self.columns.iter().enumerate() {
            let mut is_words = false;
            match *column {
                Plain::Stock => layout.stock = index,
                Plain::Class(class) => match layout.classes.pop() {
                    Some((cell, before)) if (cell + 1, before + 1) == (index, class) => {
                        layout.twos.push((cell, before));
                    }
                    before => {
                        layout.classes.extend(before);
                        layout.classes.push((index, class));
                    }
                },
                Plain::Dents => layout.dents = Some(index),
                Plain::List(..) => layout.lists.push(index),
                _ => {
                    is_words = true;
                    match layout.words.last_mut() {
                        Some((_, last)) if is_beside => *last = index,
                        _ => layout.words.push((index, index)),
                    }
                }
            }
            is_beside = is_words;
        }
        layout
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
