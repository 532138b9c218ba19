//! What goes to others before the crew: the lot, a finder.

use crate::money::Percent;
use crate::storm::Group;

/// What a share is taken of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShareOf {
    /// One of the groups dents, removal, parts, extra, as priced.
    Group(Group),
    /// All four of them, as priced.
    Total,
    /// Dents less what the shares above took of them.
    DentsLeft,
}

impl ShareOf {
    /// The word in storm.toml.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            ShareOf::Group(group) => group.word(),
            ShareOf::Total => "total",
            ShareOf::DentsLeft => "dents_left",
        }
    }

    /// What it is of, as people say it.
    #[must_use]
    pub fn said(self) -> &'static str {
        match self {
            ShareOf::Group(group) => group.word(),
            ShareOf::Total => "total",
            ShareOf::DentsLeft => "what is left of dents",
        }
    }

    /// What the word in storm.toml means.
    #[must_use]
    pub fn from_word(word: &str) -> Option<ShareOf> {
        match word {
            "total" => Some(ShareOf::Total),
            "dents_left" => Some(ShareOf::DentsLeft),
            word => Group::from_word(word)
                .filter(|group| !matches!(group, Group::Conventional | Group::Tax))
                .map(ShareOf::Group),
        }
    }
}

/// One share of every car's money.
#[derive(Debug, Clone)]
pub struct Share {
    /// Who gets it.
    pub to: String,
    /// What it is taken of.
    pub of: ShareOf,
    /// How much of it.
    pub percent: Percent,
    /// The line of storm.toml on which its percent stands.
    pub line: u32,
}
