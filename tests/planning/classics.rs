//! Published special cases: one stage, no calendar, equal people.
//!
//! The five-stage flow shops among the reference instances (`flow_ta001`,
//! `hfs_*`) do not fit this core, which has four stages of which two are one
//! trade; Johnson's two stages do, and stand among the small instances.

use crate::builder::{Folder, hailyard};
use hailyard::cli::Exit;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use serde_json::Value;

/// Independent jobs on equal machines: cars of one panel, one person each.
fn planned(jobs: &[u32], machines: usize, rounds: &str) -> (i64, i64) {
    let people: Vec<Value> = (0..machines)
        .map(|at| serde_json::json!({"name": format!("P{at}"), "trades": ["dents"], "speed": 1.0}))
        .collect();
    let cars: Vec<Value> = jobs
        .iter()
        .enumerate()
        .map(|(at, minutes)| {
            serde_json::json!({"stock": format!("A{at}"), "arrives": 0, "strip": 0, "panels": [minutes],
                "fit": 0, "fit_not_before": 0, "finish": 0, "due": null})
        })
        .collect();
    let instance = serde_json::json!({
        "hands_per_car": 1, "bays": null, "people": people, "cars": cars
    });
    let folder = Folder::new().file("a.json", instance.to_string());
    let path = folder.path().join("a.json");
    let path = path.to_str().expect("UTF-8");
    let ran = hailyard(&["plan", "--instance", path, "--rounds", rounds, "--json"]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    let plan: Value = serde_json::from_str(&ran.out).expect("JSON");
    let of = |key: &str| plan[key].as_i64().expect("a number");
    (of("makespan"), of("bound"))
}

/// The least makespan, by trying every assignment.
fn least(jobs: &[u32], machines: usize) -> i64 {
    fn place(jobs: &[u32], loads: &mut Vec<i64>, best: &mut i64) {
        let Some((first, rest)) = jobs.split_first() else {
            *best = (*best).min(*loads.iter().max().expect("a machine"));
            return;
        };
        for machine in 0..loads.len() {
            loads[machine] += i64::from(*first);
            if loads[machine] < *best {
                place(rest, loads, best);
            }
            loads[machine] -= i64::from(*first);
        }
    }
    let mut best = jobs.iter().map(|job| i64::from(*job)).sum::<i64>() + 1;
    place(jobs, &mut vec![0; machines], &mut best);
    best
}

fn random_jobs(seed: u64) -> (Vec<u32>, usize) {
    let mut draw = ChaCha8Rng::seed_from_u64(seed);
    let machines = 2 + (draw.next_u32() % 3) as usize;
    let jobs = (0..5 + draw.next_u32() % 5)
        .map(|_| 1 + draw.next_u32() % 40)
        .collect();
    (jobs, machines)
}

/// McNaughton 1959 (Management Science 6:1): with jobs that may be interrupted
/// the least end is max(longest, sum over machines). It bounds jobs that may
/// not, and the bound here is no less, and no more than the true optimum.
#[test]
fn the_bound_on_equal_machines_is_mcnaughtons_at_least() {
    for seed in 0..60 {
        let (jobs, machines) = random_jobs(seed);
        let (_, bound) = planned(&jobs, machines, "0");
        let sum: i64 = jobs.iter().map(|job| i64::from(*job)).sum();
        let longest = jobs.iter().max().copied().map_or(0, i64::from);
        let even = (sum + machines as i64 - 1) / machines as i64;
        let best = least(&jobs, machines);
        assert!(
            longest.max(even) <= bound && bound <= best,
            "{jobs:?} on {machines}: {bound}"
        );
    }
}

/// Graham 1969 (SIAM J. Appl. Math. 17:416): the longest first ends no later
/// than 4/3 - 1/(3m) of the optimum. It is among the starts, so the first plan
/// keeps it; a short search finds the optimum itself.
#[test]
fn the_first_plan_keeps_grahams_bound_and_a_search_finds_the_best() {
    for seed in 100..140 {
        let (jobs, machines) = random_jobs(seed);
        let m = machines as i64;
        let best = least(&jobs, machines);
        // One round has looked at every start.
        let (first, _) = planned(&jobs, machines, "1");
        assert!(
            first * 3 * m <= best * (4 * m - 1),
            "{jobs:?}: {first} for {best}"
        );
        let (found, _) = planned(&jobs, machines, "2000");
        assert_eq!(found, best, "{jobs:?} on {machines}");
    }
}
