//! Names that the cards of a storm share: size classes and removal codes.
//! Two cards that write one name differently mean the same by it.

use super::cells::{Read, Refusal};
use crate::storm::words;
use crate::storm::{CodeId, SizeId};

/// Names by their folded spelling, each with the first way it was written.
#[derive(Debug, Default, Clone)]
pub struct NameList {
    folded: Vec<String>,
    written: Vec<String>,
}

impl NameList {
    /// The place of a name, which is added where it is new.
    pub fn intern(&mut self, name: &str) -> u16 {
        let at = self.position(&words::fold(name)).unwrap_or_else(|| {
            self.folded.push(words::fold(name));
            self.written.push(name.to_owned());
            self.folded.len() - 1
        });
        // A card has at most 200 of a kind, so this takes hundreds of cards.
        u16::try_from(at).unwrap_or(u16::MAX)
    }

    fn position(&self, folded: &str) -> Option<usize> {
        self.folded.iter().position(|known| known == folded)
    }

    /// The place of a name by its folded spelling.
    #[must_use]
    pub fn find(&self, folded: &str) -> Option<u16> {
        self.position(folded).and_then(|at| u16::try_from(at).ok())
    }

    /// The name as a card writes it.
    #[must_use]
    pub fn written(&self, at: u16) -> &str {
        self.written.get(usize::from(at)).map_or("", String::as_str)
    }

    /// The folded names.
    pub fn folded(&self) -> impl Iterator<Item = &str> {
        self.folded.iter().map(String::as_str)
    }

    /// All names as cards write them.
    #[must_use]
    pub fn all_written(&self) -> &[String] {
        &self.written
    }

    fn read(&self, word: &str, expected: &str) -> Read<u16> {
        let folded = words::fold(word);
        self.find(&folded).ok_or_else(|| {
            let near = words::nearest(&folded, self.folded());
            Refusal {
                expected: expected.to_owned(),
                meant: near
                    .and_then(|near| self.find(near))
                    .map(|at| self.written(at).to_owned()),
            }
        })
    }
}

/// Size classes and removal codes of all cards of a storm.
#[derive(Debug, Default, Clone)]
pub struct Names {
    /// Size classes.
    pub sizes: NameList,
    /// Removal codes.
    pub codes: NameList,
}

impl Names {
    /// The names that a storm has already.
    #[must_use]
    pub fn of(sizes: &[String], codes: &[String]) -> Names {
        let mut names = Names::default();
        for size in sizes {
            names.sizes.intern(size);
        }
        for code in codes {
            names.codes.intern(code);
        }
        names
    }

    /// The size class of a written name.
    pub fn size(&self, word: &str) -> Read<SizeId> {
        self.sizes.read(word, "a size class").map(SizeId)
    }

    /// The removal of a written code.
    pub fn code(&self, word: &str) -> Read<CodeId> {
        self.codes
            .read(word, "a removal code of the card")
            .map(CodeId)
    }
}
