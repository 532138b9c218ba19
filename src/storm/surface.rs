//! What a panel is made of, how it is reached, and what paint is on it.

/// The metal of a panel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
#[repr(u8)]
pub enum Metal {
    /// Mild steel, where nothing is said.
    #[default]
    Steel,
    /// Aluminium: harder to work, so never cheaper than steel (common practice).
    Aluminium,
    /// High-strength steel.
    HighStrength,
}

impl Metal {
    /// All metals.
    pub const ALL: [Metal; 3] = [Metal::Steel, Metal::Aluminium, Metal::HighStrength];

    /// The canonical word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Metal::Steel => "steel",
            Metal::Aluminium => "aluminium",
            Metal::HighStrength => "high-strength",
        }
    }
}

/// How a technician gets behind the panel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
#[repr(u8)]
pub enum Access {
    /// Freely reached from behind.
    #[default]
    Open,
    /// Reached past a brace.
    Braced,
    /// No way behind it: pulled from the front.
    Glue,
}

impl Access {
    /// All kinds of access.
    pub const ALL: [Access; 3] = [Access::Open, Access::Braced, Access::Glue];

    /// The canonical word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Access::Open => "open",
            Access::Braced => "braced",
            Access::Glue => "glue",
        }
    }
}

/// The paint on a panel, from sound to worst. It never makes a price.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
#[repr(u8)]
pub enum Paint {
    /// The maker's own, sound.
    #[default]
    Factory,
    /// Painted again: glue may lift it.
    Repainted,
    /// Cracked or chipped: for the counter to refer.
    Broken,
}

impl Paint {
    /// All states of paint.
    pub const ALL: [Paint; 3] = [Paint::Factory, Paint::Repainted, Paint::Broken];

    /// The canonical word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Paint::Factory => "factory",
            Paint::Repainted => "repainted",
            Paint::Broken => "broken",
        }
    }
}

/// A set of metals, for the conditions of an uplift.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MetalSet(u8);

/// A set of kinds of access, for the conditions of an uplift.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AccessSet(u8);

macro_rules! small_set {
    ($set:ident of $member:ident) => {
        impl $set {
            /// Every member.
            pub const ALL: $set = $set(u8::MAX);

            /// Whether the member is in it.
            #[must_use]
            pub fn holds(self, member: $member) -> bool {
                self.0 & (1 << member as u8) != 0
            }

            /// Members that are in both.
            #[must_use]
            pub fn and(self, other: $set) -> $set {
                $set(self.0 & other.0)
            }

            /// Whether there is none in it.
            #[must_use]
            pub fn is_empty(self) -> bool {
                self.0 == 0
            }
        }

        impl FromIterator<$member> for $set {
            fn from_iter<I: IntoIterator<Item = $member>>(members: I) -> $set {
                $set(
                    members
                        .into_iter()
                        .fold(0, |set, member| set | (1 << member as u8)),
                )
            }
        }
    };
}

small_set!(MetalSet of Metal);
small_set!(AccessSet of Access);
