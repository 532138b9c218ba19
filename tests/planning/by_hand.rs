//! Plans that can be worked out by hand: break, night, day off, bay, late
//! parts, states of cars from the log, promises.

use super::site::Site;
use crate::builder::hailyard;
use hailyard::cli::Exit;

const ONE: &str = "stock,panel,dime\n";

/// 300 minutes from 08:00 with a break from 12:00 to 12:45: four hours before
/// it, 60 minutes behind it, so to 13:45. A break of 45 minutes makes a day of
/// 435; the middle of the day (11:37) would be the break's where none is said.
#[test]
fn a_task_pauses_over_the_break() {
    let storm =
        Site::new(&format!("{ONE}A1,hood,300\n")).hours("break = \"45 min\"\nbreak_at = \"12:00\"");
    assert_eq!(
        storm.rows(&[]),
        [
            "2026-06-15 08:00 12:00 Ada A1 dents hood",
            "2026-06-15 12:45 13:45 Ada A1 dents hood",
        ]
    );
    let middle = Site::new(&format!("{ONE}A1,hood,300\n")).hours("break = \"46 min\"");
    // (08:00 + 16:00 - 46) / 2 = 11:37: 217 minutes before it, 83 behind.
    assert_eq!(
        middle.rows(&[]),
        [
            "2026-06-15 08:00 11:37 Ada A1 dents hood",
            "2026-06-15 12:23 13:46 Ada A1 dents hood",
        ]
    );
}

/// 600 minutes are a day of 480 and 120 of the next; Friday's next is Monday,
/// and a closed Monday makes it Tuesday.
#[test]
fn a_task_goes_on_after_the_night_and_over_days_that_are_not_worked() {
    let friday = Site::new(&format!("{ONE}A1,hood,600\n"));
    let from = |day: &str, more: &str| {
        let mut storm = Site::new(&format!("{ONE}A1,hood,600\n")).hours(more);
        storm.hours = storm.hours.replace("2026-06-15", day);
        storm.rows(&[])
    };
    assert_eq!(
        friday.rows(&[]),
        [
            "2026-06-15 08:00 16:00 Ada A1 dents hood",
            "2026-06-16 08:00 10:00 Ada A1 dents hood",
        ]
    );
    assert_eq!(
        from("2026-06-19", ""),
        [
            "2026-06-19 08:00 16:00 Ada A1 dents hood",
            "2026-06-22 08:00 10:00 Ada A1 dents hood",
        ]
    );
    assert_eq!(
        from("2026-06-19", "closed = [2026-06-22]"),
        [
            "2026-06-19 08:00 16:00 Ada A1 dents hood",
            "2026-06-23 08:00 10:00 Ada A1 dents hood",
        ]
    );
}

/// Ada is off on Tuesday. Her 600 minutes go on on Wednesday, and she alone
/// ends what she began; Bo at half speed would need 1,200. With 480 minutes
/// more on another car Bo has those (960 of his, two days), and the storm
/// takes three days either way.
#[test]
fn a_day_off_pauses_the_task_of_who_is_off() {
    let storm = Site::new(&format!("{ONE}A1,hood,600\n"))
        .crew("name,trades,speed,off\nAda,dents,1,2026-06-16\n");
    assert_eq!(
        storm.rows(&[]),
        [
            "2026-06-15 08:00 16:00 Ada A1 dents hood",
            "2026-06-17 08:00 10:00 Ada A1 dents hood",
        ]
    );
    let two = Site::new(&format!("{ONE}A1,hood,600\nA2,hood,480\n"))
        .crew("name,trades,speed,off\nAda,dents,1,2026-06-16\nBo,dents,0.5,\n");
    let plan = two.json(&[]);
    assert_eq!(plan["days"], 3);
    // Both are worked on every day: 600 = 480 + 120, 480 / 0.5 = 960.
    assert_eq!(plan["end_minute"], 2 * 480 + 120);
    assert_eq!(plan["bound_days"], 3);
}

/// One bay. A1: strip 30, dents 100, fit 30 = 160 in the bay. A2 the same. With
/// a person for each trade the second car still waits for the bay: 320 minutes,
/// where two bays let strip and dents overlap: strip 30 + 30, dents to 130 and
/// 230, fit to 160 and 260.
#[test]
fn one_bay_is_held_to_the_end_of_fit() {
    let counts = "stock,panel,dime,remove\nA1,hood,100,trim\nA2,hood,100,trim\n";
    let crew = "name,trades,speed\nAda,dents,1\nBo,strip,1\n";
    let one = Site::new(counts).crew(crew).site("bays = 1");
    let plan = one.json(&[]);
    assert_eq!(
        (&plan["end_minute"], &plan["bound_minute"]),
        (&320.into(), &320.into())
    );
    assert_eq!(plan["bound_by"], "bays");
    let two = Site::new(counts).crew(crew).site("bays = 2").json(&[]);
    assert_eq!(
        (&two["end_minute"], &two["bound_minute"]),
        (&260.into(), &260.into())
    );
    // Who waits with one bay, and why: Bo for dents twice (30 to 130, 190 to
    // 290), Ada for the strip, for the bay and the strip of A2 behind it.
    let why: Vec<String> = plan["waits"]
        .as_array()
        .expect("waits")
        .iter()
        .map(|wait| format!("{} {} {}", wait["person"], wait["for"], wait["minutes"]))
        .collect();
    assert_eq!(
        why,
        [
            "\"Ada\" \"strip\" 30",
            "\"Ada\" \"strip\" 60",
            "\"Ada\" \"no more work\" 30",
            "\"Bo\" \"dents\" 100",
            "\"Bo\" \"dents\" 100",
        ]
    );
}

/// Parts come on Wednesday at opening: minute 960. Strip 30 and dents 100 are
/// done before; fit takes 30 from then. Without a bay to spare the second car,
/// 100 of dents, waits until Wednesday 08:30, unless the site gives the bay of
/// a car that waits for parts back.
#[test]
fn fit_waits_for_the_parts() {
    let counts = "stock,panel,dime,remove\nA1,hood,100,trim\n";
    let vehicles = "stock,parts_due,due\nA1,2026-06-17,2026-06-18\n";
    let storm = Site::new(counts).vehicles(vehicles);
    assert_eq!(
        storm.rows(&[]),
        [
            "2026-06-15 08:00 08:30 Ada A1 strip",
            "2026-06-15 08:30 10:10 Ada A1 dents hood",
            "2026-06-17 08:00 08:30 Ada A1 fit",
        ]
    );
    let counts = "stock,panel,dime,remove\nA1,hood,100,trim\nA2,hood,100,\n";
    let vehicles = "stock,parts_due,due,priority\nA1,2026-06-17,,\nA2,,2026-06-16,1\n";
    let keeps = Site::new(counts).vehicles(vehicles).site("bays = 1");
    let ends = |storm: &Site| storm.json(&[])["end_minute"].clone();
    // A2 first, as it is promised: 100, then A1 130 to 230, its fit 960 to 990.
    assert_eq!(ends(&keeps), 990);
    assert_eq!(keeps.json(&[])["days_late_weighted"], 0);
    let late = Site::new(&counts.replace("A2,hood,100,", "A2,hood,100,trim"))
        .vehicles("stock,parts_due\nA1,2026-06-17\nA2,2026-06-17\n")
        .site("bays = 1");
    // Each holds the only bay until its parts are on: 990, then strip, dents
    // and fit of the other, 160.
    assert_eq!(ends(&late), 990 + 160);
    // Given back, the other is stripped and worked meanwhile; 30 and 30 of fit.
    assert_eq!(ends(&late.site("release_for_parts = true")), 960 + 60);
}

/// Due is at closing: a car that is finished at 16:00 of its day is not late,
/// a minute into the next morning is a day late. A time of the day counts by
/// its day as well.
#[test]
fn a_promise_is_for_the_closing_of_its_day() {
    let plan = |dents: u32, due: &str| {
        Site::new(&format!("{ONE}A1,hood,{dents}\n"))
            .vehicles(&format!("stock,due,priority\nA1,{due},1\n"))
            .json(&[])
    };
    assert_eq!(plan(480, "2026-06-15")["days_late_weighted"], 0);
    let late = plan(481, "2026-06-15");
    // Weight 4 - 1.
    assert_eq!(late["days_late_weighted"], 3);
    assert_eq!(late["cars"][0]["days_late"], 1);
    assert_eq!(late["cars"][0]["no_plan_can_hold_it"], true);
    assert_eq!(plan(480, "2026-06-15 09:00")["days_late_weighted"], 0);
    // Sunday's promise is Friday's closing: three working days before.
    assert_eq!(plan(480, "2026-06-14")["cars"][0]["days_late"], 1);
}

/// Of 100 minutes 40 are logged at speed 1 (two thirds of an hour): 60 are left, for
/// who began, and no minute more by the rounding of thirds. Of the
/// next 95: a tenth is left, 10. What is done is done, and the car's states
/// follow it.
#[test]
fn the_log_says_what_is_left() {
    let counts =
        "stock,panel,dime,remove\nA1,hood,100,trim\nA1,roof,100,\nA2,hood,100,\nA3,hood,20,trim\n";
    let crew = "name,trades,speed\nAda,dents; strip; finish,1\nBo,dents,1\n";
    let log = "date,stock,panel,person,trade,hours,done\n\
        2026-06-15,A1,,Ada,strip,,\n\
        2026-06-15,A1,hood,Bo,,0.6666666,no\n\
        2026-06-15,A1,roof,Ada,,,\n\
        2026-06-15,A2,hood,Bo,,1.5833333,no\n\
        2026-06-15,A3,,Ada,strip,,\n";
    let plan = Site::new(counts).crew(crew).work(log).json(&[]);
    assert_eq!(plan["from"], "2026-06-16");
    let tasks: Vec<String> = plan["tasks"]
        .as_array()
        .expect("tasks")
        .iter()
        .map(|task| {
            format!(
                "{} {} {} {}",
                task["stock"], task["stage"], task["person"], task["minutes"]
            )
            .replace('"', "")
        })
        .collect();
    assert_eq!(
        tasks,
        [
            "A1 dents Bo 60",
            "A1 fit Ada 30",
            "A2 dents Bo 10",
            "A3 dents Ada 20",
            "A3 fit Ada 30",
        ]
    );
    let states: Vec<&str> = plan["cars"]
        .as_array()
        .expect("cars")
        .iter()
        .map(|car| car["state"].as_str().expect("a word"))
        .collect();
    assert_eq!(states, ["in dents", "in dents", "stripped"]);
}

/// A plan from a later day takes what is logged as done and puts what can't be
/// kept first.
#[test]
fn a_plan_from_a_later_day_begins_with_what_does_not_hold() {
    let storm = Site::new(&format!("{ONE}A1,hood,480\nA2,hood,480\nA3,hood,480\n"))
        .vehicles("stock,due\nA1,2026-06-15\nA2,2026-06-16\nA3,2026-06-24\n")
        .work("date,stock,panel,person\n2026-06-15,A1,hood,Ada\n");
    let folder = storm.folder();
    let ran = hailyard(&["plan", &folder.arg(), "--from", "2026-06-22"]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    // From Monday the 22nd: A2, promised for Tuesday the 16th, is finished on
    // Monday the 22nd, four working days late; A3 on Tuesday, in time.
    let late = ran.out.find("Promises that do not hold").expect("said");
    let first_day = ran
        .out
        .find("Work on Mon 2026-06-22")
        .expect("the first day");
    assert!(late < first_day);
    let row = ran
        .out
        .lines()
        .find(|line| line.contains("| 2026-06-16"))
        .expect("A2");
    let cells: Vec<&str> = row.split('|').map(str::trim).collect();
    assert_eq!(
        cells[..5],
        ["A2", "2026-06-16", "Mon 2026-06-22", "4", "can't be held"]
    );
    assert!(!ran.out.contains("A1 "), "{}", ran.out);
}

/// Each is an answer with its reason and its cure.
#[test]
fn what_can_not_be_done_is_answered() {
    let ada = "name,trades,speed,to\nAda,dents,1,2026-06-15\n";
    for (storm, said) in [
        (
            Site::new("stock,panel,dime,remove\nA1,hood,10,trim\n").crew(ada),
            "Nobody can do strip of car A1. Somebody with the trade strip in the crew list cures it.",
        ),
        (
            Site::new(&format!("{ONE}A1,hood,481\n")).crew(ada),
            "takes 8 h 01 in one piece, longer than anyone with the trade dents is here",
        ),
        (
            Site::new(&format!("{ONE}A1,hood,300\nA2,hood,300\n")).crew(ada),
            "Dents of car A2, 5 h of it, found no place: the last with that trade leaves after Mon 2026-06-15",
        ),
        (
            Site::new(&format!("{ONE}A1,hood,30\n"))
                .crew(ada)
                .vehicles("stock,arrives\nA1,2026-06-16\n"),
            "Dents of car A1, 30 min of it, found no place",
        ),
    ] {
        let folder = storm.folder();
        let ran = hailyard(&["plan", &folder.arg()]);
        assert_eq!(ran.exit, Exit::Problems, "{}{}", ran.out, ran.err);
        let flat = ran.out.replace("\n  ", " ");
        assert!(
            flat.contains("There is no plan") || flat.contains("No plan was found"),
            "{flat}"
        );
        assert!(flat.contains(said), "{flat}");
        let ran = hailyard(&["plan", &folder.arg(), "--json"]);
        let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
        assert_eq!(json["possible"], false);
    }
}

/// What Bo has begun is for whoever can once Bo has left: on the first day of
/// the plan already, or before the parts come.
#[test]
fn begun_work_of_who_has_left_is_handed_over() {
    let crew = "name,trades,speed,to\nAda,dents; strip,1,\nBo,dents; strip,1,2026-06-15\n";
    let log = "date,stock,panel,person,hours,done\n2026-06-15,A1,hood,Bo,1,no\n";
    // Of 100 minutes 60 are logged.
    let gone = Site::new(&format!("{ONE}A1,hood,100\n"))
        .crew(crew)
        .work(log);
    assert_eq!(gone.rows(&[]), ["2026-06-16 08:00 08:40 Ada A1 dents hood"]);
    let folder = gone.folder();
    let said = hailyard(&["plan", &folder.arg()]).out;
    assert!(
        said.contains("Bo began work on A1 and is no longer here"),
        "{said}"
    );
    let later = Site::new("stock,panel,dime,remove\nA1,hood,100,trim\n")
        .crew(&crew.replace("2026-06-15", "2026-06-17"))
        .vehicles("stock,parts_due\nA1,2026-06-18\n")
        .work(
            "date,stock,panel,person,trade,done\n2026-06-15,A1,hood,Ada,,\n\
             2026-06-15,A1,,Ada,strip,\n2026-06-15,A1,,Bo,fit,no\n",
        );
    assert_eq!(later.rows(&[]), ["2026-06-18 08:00 08:30 Ada A1 fit"]);
    assert!(
        hailyard(&["plan", &later.folder().arg()])
            .out
            .contains("Bo began work on A1")
    );
}

/// A row for a whole car of 90 and 10 minutes, two hours of one person: one
/// lesson of 100 minutes at ln(120 / 100) = 0.182, not two. With rows by panel
/// beside it none of its shares is a lesson. Hours that two people have on one
/// panel teach nothing, nor does work done again.
#[test]
fn only_finished_work_of_one_person_teaches() {
    let behind = |log: &str| {
        let plan = Site::new(&format!("{ONE}A1,hood,90\nA1,roof,10\nA2,hood,100\n"))
            .crew("name,trades,speed\nAda,dents,1\nBo,dents,1\n")
            .work(&format!("date,stock,panel,person,hours,part,redo\n{log}"))
            .json(&[]);
        let of = |at: usize| {
            plan["people"][at]["tasks_behind_it"]
                .as_i64()
                .expect("a number")
        };
        (of(0), of(1))
    };
    assert_eq!(behind("2026-06-15,A1,,Ada,2,,\n"), (1, 0));
    assert_eq!(
        behind("2026-06-15,A1,hood,Bo,1,,\n2026-06-15,A1,,Ada,2,,\n"),
        (0, 1)
    );
    assert_eq!(
        behind("2026-06-15,A1,hood,Ada,1,,\n2026-06-15,A1,hood,Bo,1,,\n"),
        (0, 0)
    );
    assert_eq!(
        behind("2026-06-15,A2,hood,Ada,1,,\n2026-06-16,A2,hood,Ada,1,25%,yes\n"),
        (0, 0)
    );
    assert_eq!(behind("2026-06-15,A2,hood,Ada,1,,\n"), (1, 0));
}

/// Three panels of two days each, two hands; Ada is off on Tuesday, Bo leaves
/// after it, Cyd comes on it. Ada on Monday and Wednesday, Bo on Monday and
/// Tuesday, Cyd on Tuesday and Wednesday: never more than two at work on the
/// car, and three days. So no bound may say four, as three unsplit pieces on
/// two pairs of hands would.
#[test]
fn a_bound_allows_for_days_away() {
    let plan = Site::new(&format!("{ONE}A1,hood,960\nA1,roof,960\nA1,cowl,960\n"))
        .crew(
            "name,trades,from,to,off\nAda,dents,,,2026-06-16\n\
             Bo,dents,,2026-06-16,\nCyd,dents,2026-06-16,,\n",
        )
        .json(&[]);
    assert!(
        plan["bound_days"].as_i64() <= Some(3),
        "{}",
        plan["bound_days"]
    );
}

/// A1 stands stripped in the only bay and waits for its parts until Wednesday:
/// A2 gets the bay when A1's fit is done, at 990 of the minutes from Monday, and
/// takes 100. Where the bay is given back, A2 is done on Tuesday by 100.
#[test]
fn a_car_that_was_begun_holds_its_bay_from_the_start() {
    let site = || {
        Site::new("stock,panel,dime,remove\nA1,hood,100,trim\nA2,hood,100,\n")
            .vehicles("stock,parts_due\nA1,2026-06-17\nA2,\n")
            .work(
                "date,stock,panel,person,trade\n2026-06-15,A1,,Ada,strip\n\
                 2026-06-15,A1,hood,Ada,dents\n",
            )
            .site("bays = 1")
    };
    assert_eq!(
        site().rows(&[]),
        [
            "2026-06-17 08:00 08:30 Ada A1 fit",
            "2026-06-17 08:30 10:10 Ada A2 dents hood",
        ]
    );
    let back = site().site("release_for_parts = true");
    assert_eq!(
        back.rows(&[]),
        [
            "2026-06-16 08:00 09:40 Ada A2 dents hood",
            "2026-06-17 08:00 08:30 Ada A1 fit",
        ]
    );
}

/// A plan of an earlier run is named: nobody is to work by it.
#[test]
fn what_an_earlier_plan_left_is_named() {
    let out = tempfile::TempDir::new().expect("a folder");
    let arg = out.path().to_str().expect("UTF-8");
    let crew = "name,trades,to\nAda,dents,\nBo,dents,\n";
    let first = Site::new(&format!("{ONE}A1,hood,300\n"))
        .crew(crew)
        .folder();
    let ran = hailyard(&["storm", &first.arg(), "--out", arg]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    // Bo has left, and this command writes no plain text.
    let alone = crew.replace("Bo,dents,\n", "");
    let second = Site::new(&format!("{ONE}A1,hood,300\n"))
        .crew(&alone)
        .folder();
    let ran = hailyard(&["plan", &second.arg(), "--out", arg]);
    let said = "of an earlier run, and not of this one: plan.txt, work-lists/Bo.csv, \
                work-lists/Bo.html, work-lists/Bo.ics, work-lists/Bo.pdf\n";
    assert!(ran.err.contains(said), "{}", ran.err);
    // Nobody can do it: only the page, which says so, is of this run.
    let gone = crew.replace("Ada,dents,\nBo,dents,\n", "Ada,finish,\n");
    let third = Site::new(&format!("{ONE}A1,hood,300\n"))
        .crew(&gone)
        .folder();
    let ran = hailyard(&["plan", &third.arg(), "--out", arg]);
    assert_eq!(ran.exit, Exit::Problems, "{}", ran.out);
    let said = "not of this one: plan.csv, plan.ics, plan.txt, work-lists/Ada.csv";
    assert!(ran.err.contains(said), "{}", ran.err);
}
