//! Many replications, on every core, in the order of their numbers.

use super::chance::{Chance, ChanceTerms};
use super::drawn::Drawn;
use super::flow::Flow;
use super::run::Run;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

/// How often, and under which chance.
#[derive(Debug, Clone, Copy)]
pub struct Replicate<'a> {
    /// The chance.
    pub terms: &'a ChanceTerms,
    /// Its seed.
    pub seed: u64,
    /// How often.
    pub times: usize,
}

/// Who waits for replications: told how many there are, and free to stop them.
#[derive(Default)]
pub struct Watch<'a> {
    /// How many are done.
    pub done: AtomicUsize,
    /// Set: no more are begun.
    pub stop: Arc<AtomicBool>,
    /// Told how many are done, now and then.
    pub tell: Option<&'a (dyn Fn(usize) + Sync)>,
}

/// What came of replications: the first so many of them, whoever stopped them.
#[derive(Debug, Clone, Default)]
pub struct Replications {
    /// The minute of the last finish, one by one; infinite where not all cars
    /// can be finished.
    pub ends: Vec<f64>,
    /// The minute of the last work, one by one: the last finish, or, where not all
    /// can be finished, what was done before.
    pub until: Vec<f64>,
    /// Of each one: how many cars are finished by the end of each working day,
    /// up to the day after which no more are.
    pub by_day: Vec<Vec<u32>>,
    /// By rank: in how many of them the car is finished by its due minute.
    pub on_time: Vec<u32>,
    /// By place in [`Flow::dates`]: in how many of them every car due then is finished by it.
    pub all_on_time: Vec<u32>,
    /// By place in the flow's people: minutes with a task, over all of them.
    pub worked: Vec<u64>,
    /// Likewise: minutes here, up to the last finish.
    pub here: Vec<u64>,
}

/// Replications that one thread does without looking up.
const TOGETHER: usize = 16;
/// Minutes are added up in millionths, so that no sum hangs on its order.
const FINE: f64 = 1e6;
/// Minutes that are no delay.
const FLOAT: f64 = 1e-6;

impl Replications {
    /// The mean part of their time here that somebody has a task, by place in
    /// the flow's people; none for who is never here.
    #[must_use]
    pub fn busy(&self) -> Vec<Option<f64>> {
        let pairs = self.worked.iter().zip(&self.here);
        pairs
            .map(|(worked, here)| (*here > 0).then(|| *worked as f64 / *here as f64))
            .collect()
    }

    fn join(&mut self, next: Replications) {
        self.ends.extend(next.ends);
        self.until.extend(next.until);
        self.by_day.extend(next.by_day);
        add(&mut self.on_time, &next.on_time);
        add(&mut self.all_on_time, &next.all_on_time);
        add(&mut self.worked, &next.worked);
        add(&mut self.here, &next.here);
    }
}

fn add<T: Copy + std::ops::AddAssign>(sums: &mut Vec<T>, next: &[T]) {
    if sums.is_empty() {
        sums.extend(next);
        return;
    }
    for (sum, next) in sums.iter_mut().zip(next) {
        *sum += *next;
    }
}

/// Replicates a flow.
#[must_use]
pub fn replicate(flow: &Flow, how: Replicate<'_>, watch: &Watch<'_>) -> Replications {
    let dates = flow.dates();
    // Each thread takes the next ones that nobody has taken, so that whoever stops
    // them loses no more than what is in hand.
    let next = AtomicUsize::new(0);
    let work = || {
        let (mut run, mut drawn) = (Run::of(flow), Drawn::default());
        let mut done = Vec::new();
        while !watch.stop.load(Ordering::Relaxed) {
            let first = next.fetch_add(TOGETHER, Ordering::Relaxed);
            if first >= how.times {
                break;
            }
            let last = (first + TOGETHER).min(how.times);
            let mut all = Replications::default();
            for replication in first..last {
                let of = replication as u64;
                all.join(one(flow, &dates, how, of, &mut run, &mut drawn));
            }
            done.push((first, all));
            let more = last - first;
            let so_far = watch.done.fetch_add(more, Ordering::Relaxed) + more;
            if let Some(tell) = watch.tell {
                tell(so_far);
            }
        }
        done
    };
    let mut done: Vec<(usize, Replications)> =
        rayon::broadcast(|_| work()).into_iter().flatten().collect();
    done.sort_by_key(|(first, _)| *first);
    let mut all = Replications::default();
    // Of what was stopped, those before the first that is lacking: the same as
    // if no more had been asked for.
    for (first, of) in done {
        if first != all.count() {
            break;
        }
        all.join(of);
    }
    all
}

fn one(
    flow: &Flow,
    dates: &[f64],
    how: Replicate<'_>,
    replication: u64,
    run: &mut Run<'_>,
    drawn: &mut Drawn,
) -> Replications {
    let mut chance = Chance::of(how.terms, how.seed, replication);
    drawn.pace.clear();
    let paces = flow.people.iter();
    drawn
        .pace
        .extend(paces.map(|person| chance.pace(person.key) / person.speed));
    drawn.draw(flow, |rank| chance.of_car(flow.cars[rank].key));
    let end = run.go(drawn, &mut chance, &mut |_| {});
    let until = end.unwrap_or(run.worked_until);
    let whole = |minutes: f64| (minutes * FINE).round() as u64;
    let people = 0..flow.people.len();
    let mut on_time = vec![1; flow.cars.len()];
    let mut all_on_time = vec![1; dates.len()];
    for (rank, car) in flow.cars.iter().enumerate() {
        // What ends with a day is of that day, however a float rounds it.
        if let Some(due) = car.due.filter(|due| run.ends[rank] > due + FLOAT) {
            on_time[rank] = 0;
            all_on_time[dates.partition_point(|date| *date < due)] = 0;
        }
    }
    Replications {
        ends: vec![end.unwrap_or(f64::INFINITY)],
        until: vec![until],
        by_day: vec![finished_by_day(&run.ends, flow.day)],
        on_time,
        all_on_time,
        worked: run.worked.iter().map(|minutes| whole(*minutes)).collect(),
        here: people
            .map(|person| whole(run.here(person, until, &mut chance)))
            .collect(),
    }
}

/// How many cars are finished by the end of each day.
fn finished_by_day(ends: &[f64], day: f64) -> Vec<u32> {
    let mut by_day: Vec<u32> = Vec::new();
    if day.is_infinite() {
        return by_day;
    }
    for end in ends.iter().filter(|end| end.is_finite()) {
        let at = day_of(*end, day) as usize - 1;
        if by_day.len() <= at {
            by_day.resize(at + 1, 0);
        }
        by_day[at] += 1;
    }
    let mut so_far = 0;
    for count in &mut by_day {
        so_far += *count;
        *count = so_far;
    }
    by_day
}

/// The working day, from 1, on which a minute is over. What ends with a day is
/// of that day, however a float rounds it.
#[must_use]
pub fn day_of(end: f64, day: f64) -> u32 {
    ((end - FLOAT) / day).ceil().max(1.0) as u32
}
