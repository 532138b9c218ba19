//! Count bands: `1-4`, `5-9` … `200+`.

use std::fmt;

/// A range of dent counts on one panel, both ends in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Band {
    /// The least count.
    pub from: u32,
    /// The greatest count; none: no end.
    pub to: Option<u32>,
}

impl fmt::Display for Band {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.to {
            None => write!(f, "{}+", self.from),
            Some(to) if to == self.from => write!(f, "{to}"),
            Some(to) => write!(f, "{}-{to}", self.from),
        }
    }
}

/// Why a text is no band.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BandError {
    /// A spreadsheet made a date of it: `5-9` became `9-May`.
    Date,
    /// It ends before it begins.
    Backwards,
    /// Anything else.
    Shape,
}

impl Band {
    /// Reads `5-9`, `5 to 9`, `7` or `200+`.
    ///
    /// # Errors
    /// When the text is none of these.
    pub fn parse(text: &str) -> Result<Band, BandError> {
        let text = text.trim();
        if let Some(from) = text.strip_suffix('+') {
            let from = whole(from)?;
            return Ok(Band { from, to: None });
        }
        // Spreadsheets and people also type the typographic dashes.
        let ends = ["-", "–", "—", " to "]
            .iter()
            .find_map(|dash| text.split_once(dash));
        let (from, to) = match ends {
            Some((from, to)) if looks_like_month(from) || looks_like_month(to) => {
                return Err(BandError::Date);
            }
            Some((_, to)) if to.contains('-') => return Err(BandError::Date),
            Some((from, to)) => (whole(from)?, whole(to)?),
            None if looks_like_month(text) || text.contains('/') => return Err(BandError::Date),
            None => {
                let one = whole(text)?;
                (one, one)
            }
        };
        if from > to {
            return Err(BandError::Backwards);
        }
        Ok(Band { from, to: Some(to) })
    }
}

fn whole(text: &str) -> Result<u32, BandError> {
    let text = text.trim();
    if text.is_empty() || !text.bytes().all(|b| b.is_ascii_digit()) {
        return Err(BandError::Shape);
    }
    text.parse().map_err(|_| BandError::Shape)
}

fn looks_like_month(text: &str) -> bool {
    const MONTHS: [&str; 12] = [
        "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
    ];
    let text = text.trim().to_lowercase();
    MONTHS.iter().any(|month| text.contains(month))
}

/// Whether bands begin at 1, join without gap or overlap, and stay open only
/// at the end. `Err` has the index of the first band at fault and what is wrong.
///
/// # Errors
/// The first band that does not fit its neighbour.
pub fn check_bands(bands: &[Band]) -> Result<(), (usize, String)> {
    let mut next = 1;
    for (index, band) in bands.iter().enumerate() {
        let end = band.to.map_or_else(String::new, |to| format!("-{to}"));
        let meant = if band.to.is_none() {
            format!("{next}+")
        } else {
            format!("{next}{end}")
        };
        if band.from > next {
            let what = if index == 0 {
                format!("{meant}: the bands begin at 1")
            } else {
                format!("{meant}: the bands leave a gap at {next}")
            };
            return Err((index, what));
        }
        if band.from < next {
            let what = if band.from == 0 {
                format!("{meant}: the bands begin at 1")
            } else {
                format!("{meant}: the bands overlap at {}", band.from)
            };
            return Err((index, what));
        }
        match band.to {
            Some(to) => next = to.saturating_add(1),
            None if index + 1 < bands.len() => {
                return Err((index, "`+` on the last band only".to_owned()));
            }
            None => {}
        }
    }
    Ok(())
}
