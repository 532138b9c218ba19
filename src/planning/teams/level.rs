//! What each team has to do, levelled.

use super::super::problem::Minute;
use super::{PARTS, Team, Teams};

/// Cars of all teams that are looked at, from the end, for each change.
const LOOKED_AT: usize = 250;
/// Changes that are made at most.
const CHANGES: usize = 100;

/// A car to another team, or two cars for one another.
#[derive(Clone, Copy)]
struct Change {
    one: usize,
    mine: usize,
    other: usize,
    theirs: Option<usize>,
}

impl Teams<'_, '_> {
    /// Lets teams change cars while that brings their ends nearer together.
    pub(super) fn level_cars(&self, teams: &mut [Team<'_>]) {
        for _ in 0..CHANGES {
            let starts: Vec<Vec<Minute>> = teams.iter().map(starts_of).collect();
            let mut best: Option<(i128, Change)> = None;
            for one in 0..teams.len() {
                for other in 0..teams.len() {
                    if one != other {
                        self.best_change(teams, &starts, (one, other), &mut best);
                    }
                }
            }
            let Some((_, change)) = best else { return };
            self.make(teams, change);
        }
    }

    fn best_change(
        &self,
        teams: &[Team<'_>],
        starts: &[Vec<Minute>],
        (one, other): (usize, usize),
        best: &mut Option<(i128, Change)>,
    ) {
        let (first, second) = (&teams[one], &teams[other]);
        let members = |team: &Team<'_>| i128::try_from(team.members.len()).unwrap_or(1);
        let worth = |a: Minute, b: Minute| {
            i128::from(a) * i128::from(a) * members(first)
                + i128::from(b) * i128::from(b) * members(second)
        };
        let was = worth(first.over(), second.over());
        let fits = |car: usize, at: Minute| self.ready[car] * PARTS <= at;
        for mine in looked_at(first, teams.len()) {
            let car = first.cars[mine];
            let (less, more) = (first.shared[car], second.shared[car]);
            let mut look = |theirs: Option<usize>, found: i128| {
                if found - was < best.as_ref().map_or(0, |best| best.0) {
                    let change = Change {
                        one,
                        mine,
                        other,
                        theirs,
                    };
                    *best = Some((found - was, change));
                }
            };
            look(None, worth(first.over() - less, second.over() + more));
            if one > other {
                continue;
            }
            for theirs in looked_at(second, teams.len()) {
                let back = second.cars[theirs];
                if fits(car, starts[other][theirs]) && fits(back, starts[one][mine]) {
                    look(
                        Some(theirs),
                        worth(
                            first.over() - less + first.shared[back],
                            second.over() + more - second.shared[back],
                        ),
                    );
                }
            }
        }
    }

    fn make(&self, teams: &mut [Team<'_>], change: Change) {
        let mine = teams[change.one].cars[change.mine];
        if let Some(theirs) = change.theirs {
            let back = std::mem::replace(&mut teams[change.other].cars[theirs], mine);
            teams[change.one].cars[change.mine] = back;
        } else {
            teams[change.one].cars.remove(change.mine);
            let other = &mut teams[change.other];
            let starts = starts_of(other);
            let place = (0..other.inner())
                .find(|at| starts[*at] >= self.ready[mine] * PARTS)
                .unwrap_or(other.inner());
            other.cars.insert(place, mine);
        }
        for team in [change.one, change.other] {
            let team = &mut teams[team];
            team.takes = team.cars.iter().map(|car| team.shared[*car]).sum();
        }
    }
}

/// When a team comes to each of its cars, in parts of minutes.
fn starts_of(team: &Team<'_>) -> Vec<Minute> {
    let mut at = 0;
    let cars = team.cars.iter();
    cars.map(|car| {
        let start = at;
        at += team.shared[*car];
        start
    })
    .collect()
}

/// The cars of a team that are looked at: all but the last, from the end.
fn looked_at(team: &Team<'_>, teams: usize) -> std::ops::Range<usize> {
    let most = (LOOKED_AT / teams).max(8);
    team.inner().saturating_sub(most)..team.inner()
}
