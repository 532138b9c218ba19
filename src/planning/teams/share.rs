//! Who of a team does which panel.

use super::super::problem::Minute;
use super::chance::Chance;
use super::{Team, Teams, takes};

/// Changes of panels that are made at most.
const CHANGES: usize = 400;
/// How many of a team's last panels change hands while minutes are levelled.
const LEVELLED: usize = 400;
/// How many of them two members share exactly, and the minutes and panels that
/// are looked through for it at most.
const SHARED_EXACTLY: usize = 64;
const MOST_LOOKED: usize = 1 << 20;

/// No way to share; and time and changes in one figure, time first.
const NONE: Minute = Minute::MAX / 2;
const TIME: Minute = 1 << 20;

/// Panels, each with the place of the member who does it.
pub(super) type Shares = Vec<(usize, usize)>;

impl Teams<'_, '_> {
    /// The panels of a team's cars, each with the place of the member who does
    /// it, and those of its last car that are done earlier, each with its
    /// start; the spans of the cars are set.
    pub(super) fn share(
        &self,
        team: &Team<'_>,
        spans: &mut [(Minute, Minute)],
        chance: &mut Chance,
    ) -> (Shares, Vec<(Minute, usize, usize)>) {
        let takes = |panel: usize, member: usize| takes(self.shop, panel, team.members[member]);
        let mut ends = vec![0; team.members.len()];
        let mut shares = Shares::new();
        let mut left: Vec<Vec<usize>> = team
            .cars
            .iter()
            .map(|car| self.longest_first(*car))
            .collect();
        let last = left.len().saturating_sub(1);
        let mut filled = Vec::new();
        for at in 0..left.len() {
            let car = team.cars[at];
            for member in 0..ends.len() {
                // Who would wait does panels of the last car meanwhile.
                while at < last
                    && ends[member] < self.ready[car]
                    && self.ready[team.cars[last]] <= ends[member]
                    && left[last].len() > ends.len()
                {
                    let gap = self.ready[car] - ends[member];
                    let any = chance.below(2) > 0;
                    let skip = chance.below(if any { left[last].len() } else { 3 });
                    let fills = |at: &usize| any || takes(left[last][*at], member) <= gap;
                    let place = (0..left[last].len()).filter(fills).nth(skip);
                    let place = place.unwrap_or(left[last].len() - 1);
                    let panel = left[last].remove(place);
                    filled.push((ends[member], panel, member));
                    ends[member] += takes(panel, member);
                }
            }
            let begin = ends.iter().copied().min().unwrap_or(0);
            for panel in std::mem::take(&mut left[at]) {
                let ends_at = |member: usize| ends[member] + takes(panel, member);
                // What somebody has begun takes others no time: it is not theirs.
                let member = (0..ends.len())
                    .min_by_key(|member| (takes(panel, *member) == 0, ends_at(*member)));
                let member = member.unwrap_or(0);
                ends[member] = ends_at(member);
                shares.push((panel, member));
            }
            spans[car] = (begin, ends.iter().copied().max().unwrap_or(0));
        }
        self.level(team, &mut shares, &mut ends, chance);
        (shares, filled)
    }

    fn longest_first(&self, car: usize) -> Vec<usize> {
        let mut panels = self.shop.cars[car].panels.clone();
        panels.sort_by_key(|panel| (-self.shop.least(Some(*panel)), *panel));
        panels
    }

    /// Levels the ends of the members: what anyone of them may do of the last
    /// panels changes hands.
    fn level(
        &self,
        team: &Team<'_>,
        shares: &mut [(usize, usize)],
        ends: &mut [Minute],
        chance: &mut Chance,
    ) {
        let from = shares.len().saturating_sub(LEVELLED);
        self.level_panels(team, &mut shares[from..], ends);
        let from = shares.len().saturating_sub(SHARED_EXACTLY);
        let shares = &mut shares[from..];
        let is_fixed = |(panel, _): &(usize, usize)| self.shop.tasks[*panel].able.len() < 2;
        if team.members.len() == 2 && !shares.iter().any(is_fixed) {
            self.share_exactly(team, shares, ends, chance);
        }
    }

    /// Shares panels between two so that the later of them ends as early as can
    /// be, with as few changes as that takes: by each time that the first may
    /// spend, the least that the second must.
    fn share_exactly(
        &self,
        team: &Team<'_>,
        shares: &mut [(usize, usize)],
        ends: &mut [Minute],
        chance: &mut Chance,
    ) {
        let takes = |panel: usize, member: usize| takes(self.shop, panel, team.members[member]);
        let spent = |member: usize| -> Minute {
            let own = shares.iter().filter(|(_, by)| *by == member);
            own.map(|(panel, by)| takes(*panel, *by)).sum()
        };
        let base = [ends[0] - spent(0), ends[1] - spent(1)];
        let last = team.cars.last().copied().unwrap_or(0);
        let later = ends[0].max(ends[1]);
        let Ok(most) = usize::try_from(later - base[0]) else {
            return;
        };
        if most.saturating_mul(shares.len()) > MOST_LOOKED {
            return;
        }
        let mut least = vec![NONE; most + 1];
        least[0] = 0;
        let mut takes_it = vec![false; shares.len() * (most + 1)];
        for (at, &(panel, by)) in shares.iter().enumerate() {
            let row = &mut takes_it[at * (most + 1)..][..=most];
            let (mine, theirs) = (takes(panel, 0), takes(panel, 1) * TIME);
            let mine = usize::try_from(mine).unwrap_or(usize::MAX);
            // The last car stays shared as it is: both end on it.
            let cost = if self.shop.tasks[panel].car == last {
                1_000
            } else {
                1 + Minute::try_from(chance.below(8)).unwrap_or(0)
            };
            let (to_first, to_second) =
                (Minute::from(by != 0) * cost, Minute::from(by != 1) * cost);
            for time in (0..=most).rev() {
                let second = least[time] + theirs + to_second;
                let first = match time.checked_sub(mine) {
                    Some(before) => least[before] + to_first,
                    None => NONE,
                };
                row[time] = first < second;
                least[time] = first.min(second);
            }
        }
        let ends_with = |time: usize| {
            let first = base[0] + Minute::try_from(time).unwrap_or(NONE);
            let second = base[1] + least[time] / TIME;
            (first.max(second), first + second, least[time] % TIME)
        };
        let Some(mut time) = (0..=most).min_by_key(|time| ends_with(*time)) else {
            return;
        };
        if ends_with(time).0 >= later {
            return;
        }
        ends[0] = base[0] + Minute::try_from(time).unwrap_or(0);
        ends[1] = base[1] + least[time] / TIME;
        for at in (0..shares.len()).rev() {
            let (panel, by) = &mut shares[at];
            *by = usize::from(!takes_it[at * (most + 1) + time]);
            if *by == 0 {
                time -= usize::try_from(takes(*panel, 0)).unwrap_or(0);
            }
        }
    }

    /// Lets members change panels of one car while that brings the later end
    /// forward, or else the sum of their ends: what is lost to rounding.
    fn level_panels(&self, team: &Team<'_>, shares: &mut [(usize, usize)], ends: &mut [Minute]) {
        let worth = |ends: &[Minute]| (ends.iter().copied().max(), ends.iter().sum::<Minute>());
        let takes = |panel: usize, member: usize| takes(self.shop, panel, team.members[member]);
        let mut found = ends.to_vec();
        for _ in 0..CHANGES {
            let mut best = (worth(ends), None);
            for one in 0..shares.len() {
                let (panel, mine) = shares[one];
                let car = self.shop.tasks[panel].car;
                for (place, &(other, theirs)) in shares.iter().enumerate().skip(one + 1) {
                    if self.shop.tasks[other].car != car {
                        break;
                    }
                    if mine == theirs || takes(other, mine) == 0 || takes(panel, theirs) == 0 {
                        continue;
                    }
                    found.copy_from_slice(ends);
                    found[mine] += takes(other, mine) - takes(panel, mine);
                    found[theirs] += takes(panel, theirs) - takes(other, theirs);
                    if worth(&found) < best.0 {
                        best = (worth(&found), Some((one, place)));
                    }
                }
            }
            let Some((one, other)) = best.1 else { return };
            let ((panel, mine), (second, theirs)) = (shares[one], shares[other]);
            ends[mine] += takes(second, mine) - takes(panel, mine);
            ends[theirs] += takes(panel, theirs) - takes(second, theirs);
            (shares[one].1, shares[other].1) = (theirs, mine);
        }
    }
}
