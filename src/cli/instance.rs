//! `hailyard plan --instance`: a bare problem, for who sets this planner beside another.

use super::Exit;
use super::arguments::PlanArgs;
use super::output::{Stop, Streams};
use super::plan::stop_rule;
use crate::intake::{Disk, Source};
use crate::planning::{Bound, Plan, PlanProblem, Shop, lower_bound, plan, read_instance};
use std::path::Path;

/// Bytes of an instance.
const MAX_INSTANCE: u64 = 64 << 20;

/// Plans the instance of a file.
pub fn plan_instance(
    path: &Path,
    args: &PlanArgs,
    streams: &mut Streams<'_>,
) -> Result<Exit, Stop> {
    let path = path.to_string_lossy().into_owned();
    let here = Disk::new("");
    let bytes = here
        .read(&path, MAX_INSTANCE)
        .map_err(|error| Stop::Usage(format!("{path}: {error}")))?;
    let problem = std::str::from_utf8(&bytes)
        .map_err(|error| error.to_string())
        .and_then(read_instance);
    let problem = match problem {
        Ok(problem) => problem,
        Err(said) => {
            streams.say(&format!("error: {path}: {said}\n"));
            return Ok(Exit::Problems);
        }
    };
    let stop = stop_rule(args, ROUNDS)?;
    let bound = lower_bound(&Shop::of(&problem));
    let found = plan(&problem, stop, args.seed);
    if let Some(said) = nobody(&problem, &found) {
        streams.say(&format!("error: {path}: {said}\n"));
        return Ok(Exit::Problems);
    }
    if args.common.json {
        streams.json(&plan_json(&problem, &found, &bound))?;
    } else {
        let (end, least) = (found.score.end, bound.end);
        let said = if end == least {
            "no plan under these rules ends earlier".to_owned()
        } else {
            format!("no plan under these rules ends before {least}")
        };
        streams.print(&format!("ends after {end} minutes; {said}\n"))?;
    }
    Ok(Exit::Done)
}

/// Changes that are tried where nothing else is said.
const ROUNDS: u64 = 20_000;

/// Why there is no plan, and what would cure it.
fn nobody(problem: &PlanProblem, plan: &Plan) -> Option<String> {
    if problem.bays == Some(0) {
        return Some("no bay, so no car can be worked on; at least one cures it".to_owned());
    }
    if plan.score.unplaced == 0 {
        return None;
    }
    let shop = Shop::of(problem);
    let task = shop.tasks.iter().find(|task| task.able.is_empty())?;
    Some(format!(
        "nobody can do {} of car {}; a person with that trade cures it",
        task.stage.word(),
        problem.cars[task.car].stock
    ))
}

fn plan_json(problem: &PlanProblem, plan: &Plan, bound: &Bound) -> serde_json::Value {
    let tasks: Vec<serde_json::Value> = plan
        .tasks
        .iter()
        .map(|task| {
            serde_json::json!({
                "stock": problem.cars[task.car].stock,
                "stage": task.stage.word(),
                "panel": task.panel,
                "person": problem.workers[task.worker].name,
                "start": task.start,
                "end": task.end,
            })
        })
        .collect();
    serde_json::json!({
        "makespan": plan.score.end,
        "bound": bound.end,
        "tasks": tasks,
    })
}
