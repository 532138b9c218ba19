//! One panel of one car as its rows have told so far.

use super::header::Role;
use crate::storm::{Access, CodeId, Metal, Paint, Panel, Provenance, SizeId, SizedDents};
use crate::units::Millimetres;

/// Dents of a measured diameter, and whether the `oversize` column held them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MeasuredDraft {
    /// The diameter.
    pub diameter: Millimetres,
    /// How many.
    pub dents: u32,
    /// Whether they stood as oversize.
    pub as_oversize: bool,
}

/// One panel of one car as its rows have told so far.
#[derive(Debug, Clone)]
pub struct PanelDraft {
    /// Which panel.
    pub panel: Panel,
    /// Dents by class name.
    pub sized: SizedDents,
    /// Measured dents.
    pub measured: Vec<MeasuredDraft>,
    /// The metal, where one was said, and in which row.
    pub metal: Option<(Metal, u32)>,
    /// The access, where one was said, and in which row.
    pub access: Option<(Access, u32)>,
    /// Removals.
    pub removals: Vec<CodeId>,
    /// Referred by the counter.
    pub conventional: bool,
    /// Dents not of this storm.
    pub prior: u32,
    /// The paint.
    pub paint: Paint,
    /// A remark.
    pub note: String,
    /// Who counted.
    pub counted_by: String,
    /// When.
    pub counted_on: String,
    /// Where it stands first.
    pub source: Provenance,
    /// Whether rows of this sheet add up by themselves (dent rows).
    pub adds_up: bool,
}

impl PanelDraft {
    /// A panel of which nothing is said yet.
    #[must_use]
    pub fn new(panel: Panel, source: Provenance) -> PanelDraft {
        PanelDraft {
            panel,
            sized: SizedDents::new(),
            measured: Vec::new(),
            metal: None,
            access: None,
            removals: Vec::new(),
            conventional: false,
            prior: 0,
            paint: Paint::default(),
            note: String::new(),
            counted_by: String::new(),
            counted_on: String::new(),
            source,
            adds_up: false,
        }
    }

    /// Adds dents of a class; none leaves no trace.
    pub fn add_sized(&mut self, size: SizeId, dents: u32) {
        if dents == 0 {
            return;
        }
        match self.sized.iter_mut().find(|(known, _)| *known == size) {
            Some((_, total)) => *total = total.saturating_add(dents),
            None => self.sized.push((size, dents)),
        }
    }

    /// Adds measured dents; the same diameter adds up.
    pub fn add_measured(&mut self, diameter: Millimetres, dents: u32, as_oversize: bool) {
        if dents == 0 {
            return;
        }
        // Past the most dents of a panel the sizes no longer matter: the count
        // is an error, and only its total is kept.
        let full = self.measured.len() > super::resolve::MAX_DENTS as usize;
        let same = if full {
            Some(0)
        } else {
            self.measured
                .iter()
                .position(|known| known.diameter == diameter && known.as_oversize == as_oversize)
        };
        match same {
            Some(at) => self.measured[at].dents = self.measured[at].dents.saturating_add(dents),
            None => self.measured.push(MeasuredDraft {
                diameter,
                dents,
                as_oversize,
            }),
        }
    }

    /// Adds a removal, once.
    pub fn add_removal(&mut self, code: CodeId) {
        if !self.removals.contains(&code) {
            self.removals.push(code);
        }
    }

    /// All dents, in classes and measured.
    #[must_use]
    pub fn total(&self) -> u32 {
        let sized = self.sized.iter().map(|(_, dents)| *dents);
        let measured = self.measured.iter().map(|measured| measured.dents);
        sized.chain(measured).fold(0, u32::saturating_add)
    }

    /// Joins another count of the same panel into this one: counts, prior and
    /// lists join, conventional if either, the worse paint. `Err` names the
    /// role in which they do not agree.
    pub fn join(&mut self, other: PanelDraft) -> Result<(), (Role, String, String)> {
        if let (Some((mine, row)), Some((theirs, _))) = (self.metal, other.metal)
            && mine != theirs
        {
            return Err((
                Role::Metal,
                theirs.word().to_owned(),
                format!("one metal a panel; row {row} says {}", mine.word()),
            ));
        }
        if let (Some((mine, row)), Some((theirs, _))) = (self.access, other.access)
            && mine != theirs
        {
            return Err((
                Role::Access,
                theirs.word().to_owned(),
                format!("one access a panel; row {row} says {}", mine.word()),
            ));
        }
        self.metal = self.metal.or(other.metal);
        self.access = self.access.or(other.access);
        for (size, dents) in other.sized {
            self.add_sized(size, dents);
        }
        for measured in other.measured {
            self.add_measured(measured.diameter, measured.dents, measured.as_oversize);
        }
        for code in other.removals {
            self.add_removal(code);
        }
        self.conventional |= other.conventional;
        self.prior = self.prior.saturating_add(other.prior);
        self.paint = self.paint.max(other.paint);
        for (mine, theirs) in [
            (&mut self.note, other.note),
            (&mut self.counted_by, other.counted_by),
            (&mut self.counted_on, other.counted_on),
        ] {
            if mine.is_empty() {
                *mine = theirs;
            } else if !theirs.is_empty() && !mine.split("; ").any(|part| part == theirs) {
                mine.push_str("; ");
                mine.push_str(&theirs);
            }
        }
        Ok(())
    }
}
