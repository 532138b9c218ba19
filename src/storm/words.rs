//! How people write the words of the trade. Words are compared folded: without
//! regard to case, spaces, `_` and `-`.

use super::{Access, Metal, Panel};

/// A word without case, spaces, `_` and `-`.
#[must_use]
pub fn fold(word: &str) -> String {
    word.chars()
        .filter(|c| !c.is_whitespace() && *c != '_' && *c != '-')
        .flat_map(char::to_lowercase)
        .collect()
}

/// Other words for panels that have no side.
const PLAIN: [(Panel, &[&str]); 7] = [
    (Panel::Hood, &["bonnet", "engine lid"]),
    (Panel::Cowl, &["scuttle", "cowl panel"]),
    (Panel::Roof, &["roof panel", "roof skin"]),
    (
        Panel::Sunroof,
        &["moonroof", "sun roof panel", "roof glass panel"],
    ),
    (
        Panel::Decklid,
        &["deck", "trunk", "trunk lid", "boot", "boot lid"],
    ),
    (
        Panel::Liftgate,
        &["hatch lid", "rear hatch", "lift gate door"],
    ),
    (Panel::Tailgate, &["tail board", "end gate"]),
];

/// Stems of panels that come in a left and a right one, with other words for them.
const SIDED: [(Panel, Panel, &str, &[&str]); 7] = [
    (
        Panel::FenderL,
        Panel::FenderR,
        "fender",
        &["wing", "front wing"],
    ),
    (
        Panel::PillarL,
        Panel::PillarR,
        "pillar",
        &["a pillar", "windscreen pillar"],
    ),
    (
        Panel::RailL,
        Panel::RailR,
        "rail",
        &["roof rail", "cant rail"],
    ),
    (
        Panel::QuarterL,
        Panel::QuarterR,
        "quarter",
        &["quarter panel", "rear wing", "rear quarter"],
    ),
    (Panel::CabL, Panel::CabR, "cab", &["cab corner", "cab side"]),
    (Panel::BedL, Panel::BedR, "bed", &["bed side", "box side"]),
    (
        Panel::RockerL,
        Panel::RockerR,
        "rocker",
        &["rocker panel", "sill"],
    ),
];

const LEFT: [&str; 3] = ["l", "left", "lh"];
const RIGHT: [&str; 3] = ["r", "right", "rh"];

/// The four doors: front or rear, left or right.
const DOORS: [(Panel, &[&str]); 4] = [
    (Panel::DoorFl, &["fl", "lf", "front left", "left front"]),
    (Panel::DoorRl, &["rl", "lr", "rear left", "left rear"]),
    (Panel::DoorFr, &["fr", "rf", "front right", "right front"]),
    (Panel::DoorRr, &["rr", "rear right", "right rear"]),
];

/// What a written panel word means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PanelWord {
    /// One panel.
    One(Panel),
    /// A word that leaves the side open: both or all four are offered.
    NoSide(&'static [Panel]),
}

const DOOR_PANELS: [Panel; 4] = [Panel::DoorFl, Panel::DoorRl, Panel::DoorFr, Panel::DoorRr];
const SIDE_PAIRS: [[Panel; 2]; 7] = [
    [Panel::FenderL, Panel::FenderR],
    [Panel::PillarL, Panel::PillarR],
    [Panel::RailL, Panel::RailR],
    [Panel::QuarterL, Panel::QuarterR],
    [Panel::CabL, Panel::CabR],
    [Panel::BedL, Panel::BedR],
    [Panel::RockerL, Panel::RockerR],
];

/// Every written word for a panel, folded, with what it means. Canonical
/// words come first.
fn panel_words() -> Vec<(String, PanelWord)> {
    let mut words: Vec<(String, PanelWord)> = Panel::ALL
        .into_iter()
        .map(|panel| (fold(panel.word()), PanelWord::One(panel)))
        .collect();
    for (panel, others) in PLAIN {
        words.extend(
            others
                .iter()
                .map(|word| (fold(word), PanelWord::One(panel))),
        );
    }
    for (index, (left, right, stem, others)) in SIDED.into_iter().enumerate() {
        for name in std::iter::once(stem).chain(others.iter().copied()) {
            let name = fold(name);
            for (panel, sides) in [(left, LEFT), (right, RIGHT)] {
                for side in sides {
                    words.push((format!("{side}{name}"), PanelWord::One(panel)));
                    words.push((format!("{name}{side}"), PanelWord::One(panel)));
                }
            }
            words.push((name, PanelWord::NoSide(&SIDE_PAIRS[index])));
        }
    }
    for (panel, sides) in DOORS {
        for side in sides {
            let side = fold(side);
            words.push((format!("{side}door"), PanelWord::One(panel)));
            words.push((format!("door{side}"), PanelWord::One(panel)));
        }
    }
    words.push(("door".to_owned(), PanelWord::NoSide(&DOOR_PANELS)));
    words
}

/// Other words for metals.
const METALS: [(Metal, &[&str]); 3] = [
    (Metal::Steel, &["mild steel"]),
    (Metal::Aluminium, &["aluminum", "alu", "al"]),
    (Metal::HighStrength, &["hss", "uhss", "high strength steel"]),
];

/// Other words for kinds of access.
const ACCESSES: [(Access, &[&str]); 3] = [
    (Access::Open, &["free"]),
    (Access::Braced, &["brace", "behind brace"]),
    (Access::Glue, &["glue pull", "no access"]),
];

/// Other words for columns: the known column, then what people call it.
const COLUMNS: [(&str, &[&str]); 11] = [
    ("stock", &["stock no", "stock number", "stock #", "lot no"]),
    ("panel", &["part", "body panel"]),
    ("dents", &["count of dents", "dent count", "total dents"]),
    ("diameter", &["dent diameter"]),
    ("oversize", &["oversized", "over size"]),
    ("remove", &["r&i", "removal", "removals"]),
    ("conventional", &["conventional repair"]),
    ("prior", &["prior dents", "old dents"]),
    ("note", &["notes", "remark", "remarks"]),
    ("colour", &["color"]),
    ("odometer", &["mileage"]),
];

/// The words of the trade by their folded spelling, made once per run.
#[derive(Debug, Clone)]
pub struct Vocabulary {
    panels: std::collections::BTreeMap<String, PanelWord>,
}

impl Default for Vocabulary {
    fn default() -> Vocabulary {
        let mut panels = std::collections::BTreeMap::new();
        for (word, meaning) in panel_words() {
            panels.entry(word).or_insert(meaning);
        }
        Vocabulary { panels }
    }
}

impl Vocabulary {
    /// Adds a team's own word for a panel.
    pub fn add_panel(&mut self, word: &str, panel: Panel) {
        self.panels.insert(fold(word), PanelWord::One(panel));
    }

    /// What a panel word means, if it is known.
    #[must_use]
    pub fn panel(&self, word: &str) -> Option<PanelWord> {
        self.panels.get(&fold(word)).copied()
    }

    /// The nearest known panel word, for a message.
    #[must_use]
    pub fn nearest_panel(&self, word: &str) -> Option<String> {
        let folded = fold(word);
        let near = nearest(&folded, self.panels.keys().map(String::as_str))?;
        Some(match self.panels.get(near)? {
            PanelWord::One(panel) if fold(panel.word()) == near => panel.word().to_owned(),
            PanelWord::One(panel) => format!("{near} ({})", panel.word()),
            PanelWord::NoSide(panels) => {
                let words: Vec<&str> = panels.iter().map(|panel| panel.word()).collect();
                words.join(" or ")
            }
        })
    }
}

/// The metal of a written word.
#[must_use]
pub fn metal(word: &str) -> Option<Metal> {
    of_words(word, &METALS, Metal::word)
}

/// The access of a written word.
#[must_use]
pub fn access(word: &str) -> Option<Access> {
    of_words(word, &ACCESSES, Access::word)
}

fn of_words<T: Copy>(
    word: &str,
    table: &[(T, &[&str])],
    canonical: fn(T) -> &'static str,
) -> Option<T> {
    let folded = fold(word);
    table
        .iter()
        .find(|(value, others)| {
            fold(canonical(*value)) == folded || others.iter().any(|other| fold(other) == folded)
        })
        .map(|(value, _)| *value)
}

/// The known column that a folded header stands for, if it is another word for one.
#[must_use]
pub fn column_alias(folded: &str) -> Option<&'static str> {
    COLUMNS
        .iter()
        .find(|(_, others)| others.iter().any(|other| fold(other) == folded))
        .map(|(known, _)| *known)
}

/// The known word nearest to a folded one, near enough to be meant: at most a
/// third of its letters differ.
#[must_use]
pub fn nearest<'a>(folded: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    // A cell of a novel's length is no misspelt word, and distances cost its length.
    if folded.len() > 60 {
        return None;
    }
    known
        .map(|word| (strsim::damerau_levenshtein(folded, word), word))
        .filter(|(distance, word)| distance * 3 <= word.chars().count())
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, word)| word)
}

/// All other words as rows of `canonical, other words`: the table in the README.
#[must_use]
pub fn table() -> Vec<(String, String)> {
    let mut rows: Vec<(String, String)> = PLAIN
        .iter()
        .map(|(panel, others)| (panel.word().to_owned(), others.join(", ")))
        .collect();
    for (left, right, stem, others) in SIDED {
        let names: Vec<&str> = std::iter::once(stem)
            .chain(others.iter().copied())
            .collect();
        rows.push((
            format!("{}, {}", left.word(), right.word()),
            format!(
                "{} with {} or {} before or after",
                names.join(", "),
                LEFT.join("/"),
                RIGHT.join("/")
            ),
        ));
    }
    for (panel, sides) in DOORS {
        rows.push((
            panel.word().to_owned(),
            format!("door with {} before or after", sides.join(", ")),
        ));
    }
    rows.extend(
        METALS
            .iter()
            .map(|(metal, others)| (metal.word().to_owned(), others.join(", "))),
    );
    rows.extend(
        ACCESSES
            .iter()
            .map(|(access, others)| (access.word().to_owned(), others.join(", "))),
    );
    rows.extend(
        COLUMNS
            .iter()
            .map(|(known, others)| (format!("column `{known}`"), others.join(", "))),
    );
    rows
}
