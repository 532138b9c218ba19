//! The free time of the workers, and spans that may only overlap so far.

use super::super::calendar::{Calendar, NEVER};
use super::super::problem::Minute;
use super::super::shop::Able;

/// A half-open span of minutes.
pub(super) type Span = (Minute, Minute);

/// A place for a task.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    pub worker: usize,
    /// Which of the worker's gaps.
    gap: usize,
    /// In the worker's own minutes.
    own: Span,
    pub start: Minute,
    pub end: Minute,
}

/// A gap that was taken from, to be put back.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cut {
    worker: usize,
    gap: usize,
    was: Span,
    /// How many gaps are left of it.
    left: usize,
}

/// By worker: the gaps between tasks, in own minutes and in order.
#[derive(Debug, Default)]
pub(super) struct Gaps(Vec<Vec<Span>>);

impl Gaps {
    /// Everyone's whole time.
    pub fn reset(&mut self, calendars: &[Calendar]) {
        self.0.resize(calendars.len(), Vec::new());
        for (gaps, calendar) in self.0.iter_mut().zip(calendars) {
            gaps.clear();
            if calendar.capacity() > 0 {
                gaps.push((0, calendar.capacity()));
            }
        }
    }

    /// Becomes a copy, in the memory that is there.
    pub fn copy_from(&mut self, other: &Gaps) {
        self.0.clone_from(&other.0);
    }

    /// The earliest place with one worker that ends before `beat` and is not
    /// crowded out by the spans of the car's other panels.
    pub fn earliest(
        &self,
        calendar: &Calendar,
        able: Able,
        ready: Minute,
        beat: Minute,
        crowd: Option<(&[Span], usize)>,
    ) -> Option<Place> {
        let own_ready = calendar.own(ready);
        let gaps = &self.0[able.worker];
        let first = gaps.partition_point(|(_, end)| *end < own_ready + able.takes);
        for (gap, (from, to)) in gaps.iter().enumerate().skip(first) {
            let mut own_start = own_ready.max(*from);
            while own_start + able.takes <= *to {
                let start = calendar.site(own_start);
                let end = calendar.site_end(own_start + able.takes);
                if end >= beat {
                    return None;
                }
                match crowd.and_then(|(spans, most)| full_until(spans, start, end, most)) {
                    Some(free) => own_start = calendar.own(free).max(own_start + 1),
                    None => {
                        return Some(Place {
                            worker: able.worker,
                            gap,
                            own: (own_start, own_start + able.takes),
                            start,
                            end,
                        });
                    }
                }
            }
        }
        None
    }

    /// Takes a place: the gap shrinks or parts in two. What is shorter than
    /// `least` holds nothing and is dropped.
    pub fn take(&mut self, place: Place, least: Minute) -> Cut {
        let gaps = &mut self.0[place.worker];
        let was = gaps[place.gap];
        let (before, after) = ((was.0, place.own.0), (place.own.1, was.1));
        let keeps = |gap: Span| gap.1 - gap.0 >= least;
        let left = match (keeps(before), keeps(after)) {
            (true, true) => {
                gaps[place.gap] = before;
                gaps.insert(place.gap + 1, after);
                2
            }
            (true, false) => {
                gaps[place.gap] = before;
                1
            }
            (false, true) => {
                gaps[place.gap] = after;
                1
            }
            (false, false) => {
                gaps.remove(place.gap);
                0
            }
        };
        Cut {
            worker: place.worker,
            gap: place.gap,
            was,
            left,
        }
    }

    /// Puts back what was taken last.
    pub fn put_back(&mut self, cut: Cut) {
        let gaps = &mut self.0[cut.worker];
        match cut.left {
            0 => gaps.insert(cut.gap, cut.was),
            left => {
                gaps[cut.gap] = cut.was;
                if left > 1 {
                    gaps.remove(cut.gap + 1);
                }
            }
        }
    }
}

/// Where as many spans as there may be lie over a minute of `start..end`, the
/// minute at which one of them ends; the latest of these.
pub(super) fn full_until(
    spans: &[Span],
    start: Minute,
    end: Minute,
    most: usize,
) -> Option<Minute> {
    let meets = spans
        .iter()
        .filter(|(from, to)| *from < end && start < *to)
        .count();
    if meets < most {
        return None;
    }
    let covers = |minute: Minute| {
        let spans = spans.iter();
        spans.filter(move |(from, to)| *from <= minute && minute < *to)
    };
    let moments = spans
        .iter()
        .map(|(from, _)| *from)
        .filter(|from| start < *from && *from < end);
    std::iter::once(start)
        .chain(moments)
        .filter(|minute| covers(*minute).count() >= most)
        .map(|minute| covers(minute).map(|(_, to)| *to).min().unwrap_or(NEVER))
        .max()
}
