//! A cell of a car row: terms joined by `+`, such as
//! `12 dime + 8 nickel + 55 mm x2 + alu + remove tail-lamp-l`.

use super::cells::{self, Refusal};
use super::names::Names;
use super::panel_draft::PanelDraft;
use super::table::Cell;
use crate::storm::words;
use crate::storm::{Access, CodeId, Metal, SizeId};
use crate::units::{LengthUnit, Millimetres};

/// One term of a cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Term {
    /// `0` alone: a counted clean panel.
    Clean,
    /// `COUNT CLASS`.
    Sized(SizeId, u32),
    /// `SIZE mm|in [xN]`.
    Measured(Millimetres, u32),
    /// A metal.
    Metal(Metal),
    /// An access.
    Access(Access),
    /// `conventional`.
    Conventional,
    /// `remove CODE`.
    Remove(CodeId),
}

/// What the words of a cell may be in this storm.
#[derive(Debug, Clone, Copy)]
pub struct Grammar<'a> {
    /// Size classes and removal codes.
    pub names: &'a Names,
    /// Whether a comma between digits is a decimal comma.
    pub decimal_comma: bool,
}

const TERMS: &str = "COUNT CLASS, SIZE mm or in, a metal, an access, conventional or remove CODE";

impl Grammar<'_> {
    /// The terms of a cell, and every term that is none, with what it was.
    #[must_use]
    pub fn read(&self, cell: Cell<'_>) -> (Vec<Term>, Vec<(String, Refusal)>) {
        let text = match cell {
            Cell::Text(text) => text.to_owned(),
            Cell::Number(number) => super::table::number_text(number),
            Cell::NoValue(_) => {
                let refusal = Refusal::new("a formula with a stored value");
                return (Vec::new(), vec![(cell.shown().into_owned(), refusal)]);
            }
            Cell::Blank => return (Vec::new(), Vec::new()),
            other => {
                return (
                    Vec::new(),
                    vec![(other.shown().into_owned(), Refusal::new(TERMS))],
                );
            }
        };
        if text.trim() == "0" {
            return (vec![Term::Clean], Vec::new());
        }
        let (mut terms, mut refused) = (Vec::new(), Vec::new());
        for part in text.split('+').map(str::trim) {
            match self.term(part) {
                Ok(term) => {
                    if let Some(refusal) = clash(&terms, term) {
                        refused.push((part.to_owned(), refusal));
                    } else {
                        terms.push(term);
                    }
                }
                Err(refusal) => refused.push((part.to_owned(), refusal)),
            }
        }
        (terms, refused)
    }

    fn term(&self, part: &str) -> Result<Term, Refusal> {
        if part.is_empty() {
            return Err(Refusal::new("a term on both sides of every +"));
        }
        if let Some(metal) = words::metal(part) {
            return Ok(Term::Metal(metal));
        }
        if let Some(access) = words::access(part) {
            return Ok(Term::Access(access));
        }
        if words::fold(part) == "conventional" {
            return Ok(Term::Conventional);
        }
        if let Some((verb, code)) = part.split_once(char::is_whitespace)
            && words::fold(verb) == "remove"
        {
            return self.names.code(code.trim()).map(Term::Remove);
        }
        if part.starts_with(|c: char| c.is_ascii_digit()) {
            return self.count_or_size(part);
        }
        let known: Vec<String> = ["conventional", "remove"]
            .into_iter()
            .chain(Metal::ALL.map(Metal::word))
            .chain(Access::ALL.map(Access::word))
            .map(words::fold)
            .collect();
        let near = words::nearest(&words::fold(part), known.iter().map(String::as_str));
        Err(Refusal {
            expected: TERMS.to_owned(),
            meant: near.map(str::to_owned),
        })
    }

    fn count_or_size(&self, part: &str) -> Result<Term, Refusal> {
        let figures: usize = part
            .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',')))
            .unwrap_or(part.len());
        let (figures, rest) = part.split_at(figures);
        let rest = rest.trim();
        if rest.is_empty() {
            return Err(Refusal::new(
                "dents with a size class, or a size with mm or in",
            ));
        }
        let unit = rest
            .split(|c: char| !c.is_alphabetic())
            .next()
            .unwrap_or("");
        let size = self.names.size(rest);
        if size.is_err() && LengthUnit::from_word(&unit.to_lowercase()).is_some() {
            let sized = cells::sized(part, None, self.decimal_comma)?;
            return Ok(Term::Measured(sized.diameter, sized.dents));
        }
        let dents = cells::dents(Cell::Text(figures))?;
        match size {
            Ok(size) => Ok(Term::Sized(size, dents)),
            Err(Refusal { meant, .. }) => Err(Refusal {
                expected: "COUNT CLASS".to_owned(),
                meant: meant.map(|class| format!("{figures} {class}")),
            }),
        }
    }
}

/// Two metals or two kinds of access in one cell.
fn clash(terms: &[Term], term: Term) -> Option<Refusal> {
    terms.iter().find_map(|earlier| match (earlier, term) {
        (Term::Metal(one), Term::Metal(other)) if *one != other => Some(Refusal::new(format!(
            "one metal a panel; the cell says {} too",
            one.word()
        ))),
        (Term::Access(one), Term::Access(other)) if *one != other => Some(Refusal::new(format!(
            "one access a panel; the cell says {} too",
            one.word()
        ))),
        _ => None,
    })
}

/// Writes the terms of a cell into a panel.
pub fn apply(terms: &[Term], draft: &mut PanelDraft, row: u32) {
    for term in terms {
        match *term {
            Term::Clean => {}
            Term::Sized(size, dents) => draft.add_sized(size, dents),
            Term::Measured(diameter, dents) => draft.add_measured(diameter, dents, false),
            Term::Metal(metal) => draft.metal = Some((metal, row)),
            Term::Access(access) => draft.access = Some((access, row)),
            Term::Conventional => draft.conventional = true,
            Term::Remove(code) => draft.add_removal(code),
        }
    }
}
