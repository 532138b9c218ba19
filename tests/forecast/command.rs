//! `hailyard forecast` on storms whose odds can be told by hand. A day is 480
//! minutes; one dime takes a minute.

use crate::builder::hailyard;
use crate::planning::site::Site;
use hailyard::cli::Exit;
use serde_json::Value;

/// Nothing is left to chance.
const NONE: &str = "[chance]\nstandard_error = \"0\"\n";

/// A site on which only what is said is left to chance.
fn site(counts: &str, chance: &str) -> Site {
    Site::new(counts)
        .time("spread = \"0\"")
        .site(&format!("{NONE}{chance}"))
}

#[track_caller]
fn forecast(site: &Site, more: &[&str]) -> Value {
    let folder = site.folder();
    let ran = hailyard(&[&["forecast", &folder.arg(), "--json"], more].concat());
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    serde_json::from_str(&ran.out).expect("JSON")
}

fn days(odds: &Value) -> Vec<Option<u64>> {
    let list = odds["days"].as_array().expect("days");
    list.iter().map(|row| row["days"].as_u64()).collect()
}

/// Cars of a few panels, some with trim to take off, by a fixed roll.
fn many(cars: usize, mut roll: u64) -> String {
    let mut counts = "stock,panel,dime,removals\n".to_owned();
    for car in 0..cars {
        for panel in ["hood", "roof", "fender-l", "decklid"] {
            roll = roll.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            let dents = 10 + (roll >> 33) % 90;
            let trim = if (roll >> 50).is_multiple_of(3) {
                "trim"
            } else {
                ""
            };
            counts.push_str(&format!("S{car},{panel},{dents},{trim}\n"));
        }
    }
    counts
}

/// All chance off is the plan's day, whoever has which trades, with bays and
/// without, with days away.
#[test]
fn without_chance_it_is_the_plans_day() {
    let crews = [
        "name,trades,speed\nAda,dents,1\nBo,dents,0.9\nCy,strip,1\nDi,finish,1\n",
        "name,trades,speed,off\nAda,dents; strip; finish,1,\nBo,dents; finish,1.1,2026-06-16\nCy,strip,0.8,\n",
    ];
    for (at, crew) in crews.iter().enumerate() {
        for bays in ["", "bays = 2\n"] {
            let site = Site::new(&many(9, 77 + at as u64))
                .time("spread = \"0\"\nfinish_per_car = \"20\"")
                .site(&format!("{bays}{NONE}"))
                .crew(crew);
            let plan = site.json(&[]);
            let odds = forecast(&site, &["--replications", "20"]);
            let planned = plan["days"].as_u64();
            assert_eq!(odds["planned"].as_u64(), planned);
            assert_eq!(
                odds["without_chance"].as_u64(),
                planned,
                "crew {at}, {bays:?}"
            );
            assert_eq!(days(&odds), [planned; 3]);
            let ends = odds["ends"].as_array().expect("ends");
            assert!(ends.iter().all(|end| *end == ends[0]), "nothing differs");
            assert_eq!(odds["chance"]["chance"], "none");
        }
    }
}

/// One task of 100 minutes, done on the first day on which its one person is
/// there: on day d or before with 1 − 0.4^d, so 0.6, 0.84, 0.936, 0.974. Weather
/// closes the site likewise.
#[test]
fn days_that_are_lost_are_geometric() {
    for chance in ["absent_percent = \"40\"", "weather_percent = \"40\""] {
        let list = "stock,due\nA1,2026-06-15\n";
        let site = site("stock,panel,dime\nA1,hood,100\n", chance).vehicles(list);
        let odds = forecast(&site, &[]);
        assert_eq!(days(&odds), [Some(1), Some(2), Some(4)], "{chance}");
        // Four standard errors of 2,000 throws at 0.6: 4 √(0.24 / 2000) = 0.044.
        let due = &odds["due"][0];
        let all = due["odds_of_all"].as_f64().expect("odds");
        assert!((all - 0.6).abs() < 0.044, "{chance}: {all}");
        assert_eq!(due["least"]["odds"].as_f64(), Some(all));
        // It is busy 100 of the minutes up to its end on a day that it is there.
        assert_eq!(odds["busy"][0]["busy"].as_f64(), Some(1.0));
    }
}

/// Parts due at the opening of Tuesday, late by one day without fail (a geometric
/// number of days from 1 of mean 1 is 1): put back on Wednesday, the third day.
/// Whose parts are here already, or who needs none, is not late.
#[test]
fn parts_that_are_late_put_fitting_off() {
    let counts = "stock,panel,dime,removals\nA1,hood,30,trim\n";
    let late = "parts_late_percent = \"100\"\nparts_late_days = \"1\"";
    let due = |day: &str| format!("stock,parts_due\nA1,{day}\n");
    let with = |list: &str| {
        days(&forecast(
            &site(counts, late).vehicles(list),
            &["--replications", "50"],
        ))
    };
    assert_eq!(with(&due("2026-06-16")), [Some(3); 3]);
    assert_eq!(with(&due("2026-06-12")), [Some(1); 3]);
    let without = site("stock,panel,dime\nA1,hood,30\n", late).vehicles(&due("2026-06-16"));
    assert_eq!(
        days(&forecast(&without, &["--replications", "50"])),
        [Some(1); 3]
    );
}

/// Of a stripped car the 100 minutes of dents become 100 (1 + gamma) of mean 50:
/// 30 off, 30 on, so 210 on the mean; the standard deviation of a gamma of mean
/// 0.5 and shape 4 is 0.25, so 25 minutes, and the mean of 2,000 ends is within
/// 4 × 25 / √2000 = 2.3.
#[test]
fn growth_shows_once_a_car_is_stripped() {
    let growth = "growth_percent = \"100\"\ngrowth_mean = \"0.5\"\ngrowth_shape = \"4\"";
    let mean = |counts: &str| {
        let odds = forecast(&site(counts, growth), &[]);
        let ends = odds["ends"].as_array().expect("ends");
        let sum: f64 = ends.iter().map(|end| end.as_f64().expect("done")).sum();
        sum / ends.len() as f64
    };
    let stripped = mean("stock,panel,dime,removals\nA1,hood,100,trim\n");
    assert!((stripped - 210.0).abs() < 2.3, "{stripped}");
    approx::assert_abs_diff_eq!(
        mean("stock,panel,dime\nA1,hood,100\n"),
        100.0,
        epsilon = 1e-6
    );
}

/// Five cars in the lot, of which one is counted, 100 minutes: 500 minutes, so
/// a second day of 480. One listed and not counted, three that no list has.
#[test]
fn cars_that_nobody_counted_have_the_work_of_one_that_was() {
    let list = "stock,due\nA1,\nA2,2026-06-15\n";
    let site = site("stock,panel,dime\nA1,hood,100\n", "").vehicles(list);
    let counted = forecast(&site, &["--replications", "5"]);
    // Without lot.* the list is the lot: 200 minutes.
    assert_eq!(days(&counted), [Some(1); 3]);
    approx::assert_abs_diff_eq!(
        counted["ends"][0].as_f64().expect("done"),
        200.0,
        epsilon = 1e-6
    );
    assert_eq!(counted["due"][0]["odds_of_all"].as_f64(), Some(1.0));
    let folder = site.folder().file("lot.csv", "stratum,cars\nall,5\n");
    let ran = hailyard(&["forecast", &folder.arg(), "--json", "--replications", "5"]);
    let odds: Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(days(&odds), [Some(2); 3], "{}", ran.err);
    approx::assert_abs_diff_eq!(
        odds["ends"][0].as_f64().expect("done"),
        500.0,
        epsilon = 1e-6
    );
    assert_eq!(odds["uncounted"][0]["cars"], 4);
    assert_eq!(odds["uncounted"][0]["drawn_from"], 1);
    // The plan knows of counted cars alone.
    assert_eq!(odds["planned"], 1);
}

/// Two strata of ten minutes and of a hundred: two uncounted sedans are ten each,
/// and the van, of which none is counted, may be either.
#[test]
fn a_stratum_stands_for_its_own_cars() {
    let list = "stock,body\nA1,sedan\nA2,suv\nA3,sedan\nA4,sedan\nA5,van\n";
    let sheet = "stock,panel,dime\nA1,hood,10\nA2,hood,100\n";
    let folder = site(
        sheet,
        "[sample]\nstrata = \"body\"\npicked = \"the first of each\"\n",
    )
    .vehicles(list)
    .folder();
    let ran = hailyard(&["forecast", &folder.arg(), "--json", "--replications", "400"]);
    let odds: Value = serde_json::from_str(&ran.out).expect("JSON");
    let ends: Vec<f64> = odds["ends"]
        .as_array()
        .unwrap_or_else(|| panic!("{}", ran.err))
        .iter()
        .map(|end| end.as_f64().expect("done"))
        .collect();
    // 10 + 100 + 2 × 10 + 10 or 100.
    let of = |minutes: f64| {
        ends.iter()
            .filter(|end| (**end - minutes).abs() < 1e-6)
            .count()
    };
    assert_eq!(of(140.0) + of(230.0), 400);
    // Four standard errors of 400 throws of a coin: 40.
    assert!(of(140.0).abs_diff(200) < 40, "{}", of(140.0));
    let van = &odds["uncounted"][1];
    assert_eq!(
        (&van["stratum"], &van["of_whole_lot"]),
        (&"van".into(), &true.into())
    );
    let said = hailyard(&["forecast", &folder.arg(), "--replications", "10"]).out;
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        said.contains("1 car of van not counted: each has the work of any of the 2 counted in the whole lot, since none of these is."),
        "{said}"
    );
}

/// Who leaves after the first day, and the site is closed on it in 40 of 100:
/// then nothing is ever done, which is later than any day.
#[test]
fn what_the_crew_leaves_undone_is_later_than_any_day() {
    let site = site(
        "stock,panel,dime\nA1,hood,100\n",
        "weather_percent = \"40\"",
    )
    .crew("name,trades,to\nAda,dents,2026-06-15\n");
    let odds = forecast(&site, &[]);
    assert_eq!(days(&odds), [Some(1), None, None]);
    let not_done = odds["not_done"].as_f64().expect("a share");
    assert!((not_done - 0.4).abs() < 0.044, "{not_done}");
    let said = hailyard(&["forecast", &site.folder().arg()]).out;
    assert!(said.contains("not done"), "{said}");
}

/// More draws begin with the same ones; another seed has others.
#[test]
fn a_seed_says_which_draws_they_are() {
    let site = Site::new(&many(4, 5)).site("[chance]\nabsent_percent = \"10\"\n");
    let ends = |more: &[&str]| {
        forecast(&site, more)["ends"]
            .as_array()
            .expect("ends")
            .clone()
    };
    let (few, many) = (
        ends(&["--replications", "30"]),
        ends(&["--replications", "90"]),
    );
    assert_eq!(few, many[..30]);
    assert_ne!(few, ends(&["--replications", "30", "--seed", "2"]));
}

/// What was learned from a log moves the odds: who is twice as slow as stated
/// in thirty tasks takes twice the minutes.
#[test]
fn a_log_corrects_the_odds() {
    let counts: String = (0..31).fold("stock,panel,dime\n".to_owned(), |text, car| {
        format!("{text}S{car},hood,60\n")
    });
    let work = (0..30).fold(
        "date,person,trade,stock,panel,hours,done\n".to_owned(),
        |text, car| {
            let hours = if car % 2 == 0 { "1.95" } else { "2.05" };
            let day = car + 1;
            format!("{text}2026-05-{day:02},Ada,dents,S{car},hood,{hours},yes\n")
        },
    );
    let site = Site::new(&counts).site(NONE).work(&work);
    let odds = forecast(&site, &["--replications", "400"]);
    let median = odds["days"][0]["minutes"].as_f64().expect("done");
    assert!((median - 120.0).abs() < 2.0, "{median}");
    assert!(
        odds["chance"]["tasks"]
            .as_str()
            .expect("said")
            .contains("by 30 logged tasks")
    );
}

#[test]
fn where_there_is_no_plan_there_are_no_odds() {
    let site = site("stock,panel,dime\nA1,hood,100\n", "").crew("name,trades\nAda,strip\n");
    let ran = hailyard(&["forecast", &site.folder().arg()]);
    assert_eq!(ran.exit, Exit::Problems);
    assert!(ran.out.contains("There is no plan"), "{}", ran.out);
    assert!(
        ran.err.contains("No odds: there is no plan to go by."),
        "{}",
        ran.err
    );
}

/// Who interrupts gets what was reached: the first so many replications.
#[cfg(unix)]
#[test]
fn an_interruption_shows_what_was_reached() {
    use std::process::{Command, Stdio};
    use std::time::Duration;
    let run = |more: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_hailyard"));
        let folder = crate::builder::data("../../data/demo");
        command
            .arg("forecast")
            .arg(folder)
            .args(["--json", "--rounds", "0"])
            .args(more);
        command.stdout(Stdio::piped()).stderr(Stdio::piped());
        command.spawn().expect("runs")
    };
    // Before the first replication nobody listens yet, so a busy machine may
    // need more time.
    for wait in [2, 4, 8, 16] {
        let child = run(&["--replications", "1000000"]);
        std::thread::sleep(Duration::from_secs(wait));
        let id = child.id().to_string();
        Command::new("kill")
            .args(["-INT", &id])
            .status()
            .expect("sent");
        let output = child.wait_with_output().expect("ends");
        let Ok(odds) = serde_json::from_slice::<Value>(&output.stdout) else {
            continue;
        };
        assert_eq!(output.status.code(), Some(0));
        assert_eq!(odds["interrupted"], true);
        let reached = odds["replications"].as_u64().expect("a number");
        assert!(0 < reached && reached < 1_000_000, "{reached}");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(
            said.contains(&format!("interrupted after {reached} of 1000000")),
            "{said}"
        );
        let few = reached.min(40).to_string();
        let again = run(&["--replications", &few])
            .wait_with_output()
            .expect("ends");
        let again: Value = serde_json::from_slice(&again.stdout).expect("JSON");
        let first = odds["ends"].as_array().expect("ends")
            [..again["ends"].as_array().expect("ends").len()]
            .to_vec();
        assert_eq!(Value::from(first), again["ends"]);
        return;
    }
    panic!("never reached a replication");
}

/// Two begun cars stand in the one bay that there is, with 60 and 100 minutes left:
/// the third one, 100 minutes, waits until both are gone, and ends at 200.
#[test]
fn cars_in_more_bays_than_there_are_keep_others_out() {
    let counts = "stock,panel,dime\nA1,hood,10\nA1,roof,60\nA2,hood,10\nA2,roof,100\nA3,hood,100\n";
    let work = "date,person,trade,stock,panel,hours,done\n\
        2026-06-12,Ada,dents,A1,hood,,yes\n2026-06-12,Bo,dents,A2,hood,,yes\n";
    let site = site(counts, "")
        .crew("name,trades\nAda,dents\nBo,dents\nCy,dents\n")
        .work(work);
    let with_bay = Site {
        site: format!("bays = 1\n{}", site.site),
        ..site
    };
    assert_eq!(with_bay.json(&[])["end_minute"], 200);
    let odds = forecast(&with_bay, &["--replications", "3"]);
    assert_eq!(odds["days"][2]["minutes"].as_f64(), Some(200.0));
}

/// One technician, three cars of a day each; the last on the list is promised for
/// the first day. The plan does it first, and so does the forecast; where the
/// promises can't all be kept, those that the plan keeps are kept here.
#[test]
fn promises_that_the_plan_keeps_are_kept_without_chance() {
    let counts = "stock,panel,dime\nA1,hood,480\nA2,hood,480\nA3,hood,480\n";
    let list = "stock,due,priority\nA1,2026-06-17,\nA2,2026-06-15,3\nA3,2026-06-15,1\n";
    let odds = forecast(&site(counts, "").vehicles(list), &["--replications", "3"]);
    assert_eq!(odds["late_without_chance"], serde_json::json!([]));
    let due = odds["due"].as_array().expect("promises");
    assert_eq!(
        due[0]["odds_of_all"].as_f64(),
        Some(0.0),
        "two cars, one day"
    );
    assert_eq!(due[0]["least"]["stock"], "A2");
    assert_eq!(due[1]["odds_of_all"].as_f64(), Some(1.0));
}

#[test]
fn of_a_lot_of_which_nothing_is_known_no_odds_are_said() {
    let list = "stock\nA1\nA2\n";
    let site = site("stock,panel,dime\n", "").vehicles(list);
    let folder = site.folder();
    let said = hailyard(&["forecast", &folder.arg()]).out;
    assert!(said.contains("No odds: 2 cars not counted"), "{said}");
    assert!(!said.contains("day 1"), "{said}");
    let said = hailyard(&["staff", &folder.arg(), "--by", "2026-07-01"]).out;
    assert!(
        said.contains("No odds: nothing is known of any car"),
        "{said}"
    );
}
