//! A schedule that is kept, with its states on the way: a changed sequence is
//! scheduled from the last state before its first change, not from the
//! beginning.

use super::gaps::{Gaps, Span};
use super::sequence::Step;
use super::{NOWHERE, Placed};

/// Marks in a schedule, about.
const MARKS: usize = 48;

/// The state of a board before a step.
#[derive(Debug, Default)]
pub(super) struct Mark {
    pub at: usize,
    pub gaps: Gaps,
    pub held: Vec<Span>,
}

/// The schedule that changes are measured from.
#[derive(Debug, Default)]
pub(super) struct Kept {
    pub steps: Vec<Step>,
    pub placed: Vec<Placed>,
    marks: Vec<Mark>,
    /// Marks of the schedule in the making, which follow `marks[..=used]`.
    fresh: Vec<Mark>,
    used: usize,
    /// Marks whose memory can be used again.
    spare: Vec<Mark>,
    /// From this step on the board differs from what is kept.
    dirty: usize,
}

impl Kept {
    /// Forgets the schedule.
    pub fn forget(&mut self) {
        self.steps.clear();
        self.placed.clear();
        self.spare.append(&mut self.marks);
        self.spare.append(&mut self.fresh);
        self.used = 0;
        self.dirty = 0;
    }

    /// The last mark before the first step that differs, with the tasks placed
    /// as they were then; `None` where nothing is kept.
    pub fn restore(&mut self, steps: &[Step], placed: &mut [Placed]) -> Option<&Mark> {
        self.spare.append(&mut self.fresh);
        let pairs = self.steps.iter().zip(steps);
        let same = pairs.take_while(|(mine, new)| mine == new).count();
        let marks = self.marks.partition_point(|mark| mark.at <= same);
        self.used = marks.checked_sub(1)?;
        let at = self.marks[self.used].at;
        for step in self.steps.iter().take(at).skip(self.dirty) {
            placed[step.task] = self.placed[step.task];
        }
        for step in &self.steps[at..] {
            placed[step.task] = NOWHERE;
        }
        self.dirty = at;
        self.marks.get(self.used)
    }

    /// Marks the state before a step, where the last mark is far enough back.
    pub fn mark(&mut self, at: usize, steps: usize, gaps: &Gaps, held: &[Span]) {
        let last = self.fresh.last().or(self.marks.get(self.used));
        if last.is_some_and(|last| at < last.at + steps.div_ceil(MARKS).max(4)) {
            return;
        }
        let mut mark = self.spare.pop().unwrap_or_default();
        mark.at = at;
        mark.gaps.copy_from(gaps);
        mark.held.clear();
        mark.held.extend_from_slice(held);
        self.fresh.push(mark);
    }

    /// Keeps the schedule that was made last.
    pub fn keep(&mut self, steps: &[Step], placed: &[Placed]) {
        let known = (self.used + 1).min(self.marks.len());
        self.spare.extend(self.marks.drain(known..));
        self.marks.append(&mut self.fresh);
        let from = self.dirty.min(self.steps.len());
        self.steps.truncate(from);
        self.steps.extend_from_slice(&steps[from..]);
        if self.placed.len() == placed.len() {
            for step in &steps[from..] {
                self.placed[step.task] = placed[step.task];
            }
        } else {
            self.placed.clear();
            self.placed.extend_from_slice(placed);
        }
        self.dirty = steps.len();
    }
}
