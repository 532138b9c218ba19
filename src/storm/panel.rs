//! The outer body panels, in the order that every sheet keeps.

/// One outer body part. Left and right are as seen from the driver's seat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[repr(u8)]
#[allow(missing_docs)] // the names are the documentation
pub enum Panel {
    Hood,
    Cowl,
    Roof,
    Sunroof,
    Decklid,
    Liftgate,
    Tailgate,
    FenderL,
    FenderR,
    PillarL,
    PillarR,
    RailL,
    RailR,
    DoorFl,
    DoorRl,
    DoorFr,
    DoorRr,
    QuarterL,
    QuarterR,
    CabL,
    CabR,
    BedL,
    BedR,
    RockerL,
    RockerR,
}

impl Panel {
    /// All panels in panel order.
    pub const ALL: [Panel; 25] = [
        Panel::Hood,
        Panel::Cowl,
        Panel::Roof,
        Panel::Sunroof,
        Panel::Decklid,
        Panel::Liftgate,
        Panel::Tailgate,
        Panel::FenderL,
        Panel::FenderR,
        Panel::PillarL,
        Panel::PillarR,
        Panel::RailL,
        Panel::RailR,
        Panel::DoorFl,
        Panel::DoorRl,
        Panel::DoorFr,
        Panel::DoorRr,
        Panel::QuarterL,
        Panel::QuarterR,
        Panel::CabL,
        Panel::CabR,
        Panel::BedL,
        Panel::BedR,
        Panel::RockerL,
        Panel::RockerR,
    ];

    /// The canonical word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Panel::Hood => "hood",
            Panel::Cowl => "cowl",
            Panel::Roof => "roof",
            Panel::Sunroof => "sunroof",
            Panel::Decklid => "decklid",
            Panel::Liftgate => "liftgate",
            Panel::Tailgate => "tailgate",
            Panel::FenderL => "fender-l",
            Panel::FenderR => "fender-r",
            Panel::PillarL => "pillar-l",
            Panel::PillarR => "pillar-r",
            Panel::RailL => "rail-l",
            Panel::RailR => "rail-r",
            Panel::DoorFl => "door-fl",
            Panel::DoorRl => "door-rl",
            Panel::DoorFr => "door-fr",
            Panel::DoorRr => "door-rr",
            Panel::QuarterL => "quarter-l",
            Panel::QuarterR => "quarter-r",
            Panel::CabL => "cab-l",
            Panel::CabR => "cab-r",
            Panel::BedL => "bed-l",
            Panel::BedR => "bed-r",
            Panel::RockerL => "rocker-l",
            Panel::RockerR => "rocker-r",
        }
    }

    /// The panel of its canonical word, letter for letter.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Panel> {
        Panel::ALL.into_iter().find(|panel| panel.word() == word)
    }

    /// Its place in panel order.
    #[must_use]
    pub fn index(self) -> usize {
        self as usize
    }
}

/// A set of panels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct PanelSet(u32);

impl PanelSet {
    /// Every panel.
    pub const ALL: PanelSet = PanelSet((1 << 25) - 1);

    /// Whether the panel is in it.
    #[must_use]
    pub fn holds(self, panel: Panel) -> bool {
        self.0 & (1 << panel as u32) != 0
    }

    /// Panels that are in both.
    #[must_use]
    pub fn and(self, other: PanelSet) -> PanelSet {
        PanelSet(self.0 & other.0)
    }

    /// Whether there is none in it.
    #[must_use]
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }
}

impl FromIterator<Panel> for PanelSet {
    fn from_iter<I: IntoIterator<Item = Panel>>(panels: I) -> PanelSet {
        PanelSet(
            panels
                .into_iter()
                .fold(0, |set, panel| set | (1 << panel as u32)),
        )
    }
}
