//! A checker of plans that shares no code with the planner: instance and plan
//! as JSON, the rules as they are written, whole numbers throughout.

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// A span of a plan with what it is.
struct Span<'a> {
    stage: &'a str,
    panel: Option<usize>,
    person: &'a str,
    start: i64,
    end: i64,
}

/// The end of the last task, or the first rule that the plan breaks.
pub fn check(instance: &Value, plan: &Value) -> Result<i64, String> {
    let people: BTreeMap<&str, &Value> = list(instance, "people")
        .iter()
        .map(|person| (text(person, "name"), person))
        .collect();
    let mut of_car: BTreeMap<&str, Vec<Span<'_>>> = BTreeMap::new();
    let mut of_person: BTreeMap<&str, Vec<(i64, i64)>> = BTreeMap::new();
    for task in list(plan, "tasks") {
        let span = Span {
            stage: text(task, "stage"),
            panel: task["panel"]
                .as_u64()
                .map(|at| usize::try_from(at).expect("few")),
            person: text(task, "person"),
            start: whole(task, "start"),
            end: whole(task, "end"),
        };
        of_person
            .entry(span.person)
            .or_default()
            .push((span.start, span.end));
        of_car.entry(text(task, "stock")).or_default().push(span);
    }
    for (person, spans) in &mut of_person {
        spans.sort_unstable();
        for pair in spans.windows(2) {
            if pair[1].0 < pair[0].1 {
                return Err(format!("{person} does two tasks at minute {}", pair[1].0));
            }
        }
    }
    let (mut last, mut held) = (0, Vec::new());
    for car in list(instance, "cars") {
        let stock = text(car, "stock");
        let spans = of_car.remove(stock).unwrap_or_default();
        complete(stock, car, &spans)?;
        for span in &spans {
            person_may(stock, car, span, &people)?;
            last = last.max(span.end);
        }
        in_order(stock, car, &spans)?;
        hands(stock, &spans, whole(instance, "hands_per_car"))?;
        let in_bay = || spans.iter().filter(|span| span.stage != "finish");
        if let (Some(from), Some(to)) = (
            in_bay().map(|span| span.start).min(),
            in_bay().map(|span| span.end).max(),
        ) {
            held.push((from, to));
        }
    }
    if let Some(stock) = of_car.keys().next() {
        return Err(format!("car {stock} is not of the instance"));
    }
    if let Some(bays) = instance["bays"].as_i64()
        && most_at_once(&held) > bays
    {
        return Err("more cars at once than there are bays".to_owned());
    }
    Ok(last)
}

fn list<'a>(value: &'a Value, key: &str) -> &'a [Value] {
    value[key].as_array().expect("a list")
}

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().expect("a text")
}

fn whole(value: &Value, key: &str) -> i64 {
    value[key].as_i64().expect("a whole number")
}

/// One task for every piece of work, and no other.
fn complete(stock: &str, car: &Value, spans: &[Span<'_>]) -> Result<(), String> {
    let mut wanted: BTreeSet<(&str, Option<usize>)> = BTreeSet::new();
    for stage in ["strip", "fit", "finish"] {
        if whole(car, stage) > 0 {
            wanted.insert((stage, None));
        }
    }
    for (at, minutes) in list(car, "panels").iter().enumerate() {
        if minutes.as_i64().expect("minutes") > 0 {
            wanted.insert(("dents", Some(at)));
        }
    }
    for span in spans {
        if !wanted.remove(&(span.stage, span.panel)) {
            return Err(format!(
                "car {stock}: a {} that is no work, or twice",
                span.stage
            ));
        }
    }
    match wanted.first() {
        Some((stage, _)) => Err(format!("car {stock}: a {stage} is missing")),
        None => Ok(()),
    }
}

/// The person has the trade, and the span is as long as it takes: whole minutes
/// times the speed hold the work, and one minute less would not.
fn person_may(
    stock: &str,
    car: &Value,
    span: &Span<'_>,
    people: &BTreeMap<&str, &Value>,
) -> Result<(), String> {
    let Some(person) = people.get(span.person) else {
        return Err(format!("car {stock}: {} is nobody", span.person));
    };
    let trade = if span.stage == "fit" {
        "strip"
    } else {
        span.stage
    };
    if !list(person, "trades").iter().any(|known| known == trade) {
        return Err(format!(
            "car {stock}: {} can't do {}",
            span.person, span.stage
        ));
    }
    let minutes = match span.panel {
        Some(at) => car["panels"][at].as_i64().expect("minutes"),
        None => whole(car, span.stage),
    };
    // A speed of at most six decimals, as millionths.
    let speed: String = person["speed"].to_string();
    let (units, decimals) = speed.split_once('.').unwrap_or((&speed, ""));
    let millionths: i64 = format!("{units}{decimals:0<6}").parse().expect("a speed");
    let takes = span.end - span.start;
    let enough = |minutes_given: i64| minutes_given * millionths >= minutes * 1_000_000;
    if !enough(takes) || enough(takes - 1) {
        return Err(format!(
            "car {stock}: {} takes {takes} minutes for {minutes} at {speed}",
            span.person
        ));
    }
    Ok(())
}

fn in_order(stock: &str, car: &Value, spans: &[Span<'_>]) -> Result<(), String> {
    let order = ["strip", "dents", "fit", "finish"];
    for span in spans {
        if span.start < whole(car, "arrives") {
            return Err(format!("car {stock}: {} before it arrives", span.stage));
        }
        if span.stage == "fit" && span.start < whole(car, "fit_not_before") {
            return Err(format!("car {stock}: fit before its parts"));
        }
        let place = |stage: &str| order.iter().position(|known| *known == stage);
        for other in spans {
            if place(other.stage) < place(span.stage) && other.end > span.start {
                return Err(format!(
                    "car {stock}: {} before {} is over",
                    span.stage, other.stage
                ));
            }
        }
    }
    Ok(())
}

fn hands(stock: &str, spans: &[Span<'_>], most: i64) -> Result<(), String> {
    let panels: Vec<(i64, i64)> = spans
        .iter()
        .filter(|span| span.stage == "dents")
        .map(|span| (span.start, span.end))
        .collect();
    if most_at_once(&panels) > most {
        return Err(format!("car {stock}: too many hands at once"));
    }
    Ok(())
}

/// How many half-open spans lie over each other at most.
fn most_at_once(spans: &[(i64, i64)]) -> i64 {
    let mut steps: Vec<(i64, i64)> = spans
        .iter()
        .flat_map(|(from, to)| [(*from, 1), (*to, -1)])
        .collect();
    // At one minute those who leave go first.
    steps.sort_unstable();
    let (mut now, mut most) = (0, 0);
    for (_, step) in steps {
        now += step;
        most = most.max(now);
    }
    most
}
