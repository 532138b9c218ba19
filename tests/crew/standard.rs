//! The time standard, by hand, and what is wrong with a storm's time.

use crate::builder::hailyard;
use crate::planning::Site;
use hailyard::cli::Exit;

/// The minutes of `plan --json`'s tasks, as `stock stage panel minutes`.
#[track_caller]
fn minutes(site: &Site) -> Vec<String> {
    let plan = site.json(&[]);
    let tasks = plan["tasks"].as_array().expect("tasks");
    tasks
        .iter()
        .map(|task| {
            let panel = task["panel"].as_str().unwrap_or_default();
            let (stock, stage) = (&task["stock"], &task["stage"]);
            format!("{stock} {stage} {panel} {}", task["minutes"]).replace('"', "")
        })
        .collect()
}

/// Setup 6, a dime 1.6, a nickel 2.1, oversize 14 + 0.55 per mm beyond the
/// card's largest class of 30.61 mm; aluminium 1.35, glue 1.4.
///
/// The hood takes 6 + 10 x 1.6 = 22. The roof, aluminium by glue, takes 6 + 1.35 x
/// 1.4 x (10 x 1.6 with 5 x 2.1) = 6 + 1.89 x 26.5 = 56.085, so 57. The decklid's
/// two of 50.61 mm take 6 + 2 x (14 + 0.55 x 20) = 56. A measured dent of 20 mm is a
/// nickel: 6 + 2.1 = 8.1, so 9. Finish takes 35.
#[test]
fn a_panel_takes_setup_and_its_dents() {
    let counts = "stock,panel,dime,nickel,metal,access,oversize\n\
        A1,hood,10,,,,\n\
        A1,roof,10,5,aluminium,glue,\n\
        A1,decklid,,,,,50.61 x2\n\
        A1,cowl,,,,,20\n\
        A1,sunroof,0,,,,\n";
    let site = Site::new(counts)
        .time(
            "panel_setup = 6\noversize_base = 14\noversize_per_mm = \"0.55\"\nfinish_per_car = 35",
        )
        .time("metal = { aluminium = \"1.35\" }\naccess = { glue = \"1.4\" }");
    let site = Site {
        time: site
            .time
            .replace("dime = 1, nickel = 2", "dime = \"1.6\", nickel = \"2.1\""),
        ..site
    };
    let mut found = minutes(&site);
    found.sort();
    assert_eq!(
        found,
        [
            "A1 dents cowl 9",
            "A1 dents decklid 56",
            "A1 dents hood 22",
            "A1 dents roof 57",
            "A1 finish  35",
        ]
    );
}

/// 33 minutes at speed 1.1 are 30, exactly: rounded up once, in decimals. A
/// binary 33 / 1.1 is 30.000000000000004 or 29.999999999999996.
#[test]
fn a_task_is_rounded_up_once() {
    let site = Site::new("stock,panel,dime\nA1,hood,33\nA1,roof,34\n")
        .crew("name,trades,speed\nAda,dents,1.1\n");
    let mut found = minutes(&site);
    found.sort();
    assert_eq!(found, ["A1 dents hood 30", "A1 dents roof 31"]);
}

/// An hour charged at 0.8 true hours is 48 minutes; 0.6 of it taking off: 28.8
/// and 19.2, so 29 and 20. Half and half without a word: 30 and 30. A removal
/// that stands in another takes no time of its own; one that is listed on two
/// panels takes it twice.
#[test]
fn removals_take_off_and_put_back() {
    let counts = "stock,panel,dime,remove\nA1,hood,1,trim\n";
    let shared = Site::new(counts).time("removal_share = \"0.6\"\nremoval_factor = \"0.8\"");
    assert_eq!(minutes(&shared)[0], "A1 strip  29");
    assert_eq!(minutes(&shared)[2], "A1 fit  20");
    assert_eq!(minutes(&Site::new(counts))[0], "A1 strip  30");
    let twice = Site::new("stock,panel,dime,remove\nA1,hood,1,trim\nA1,roof,1,trim\n");
    assert_eq!(minutes(&twice)[0], "A1 strip  60");
}

/// A referred panel is no work of this crew; one that waits for its quote is.
#[test]
fn referred_panels_are_no_work_and_quotes_are() {
    let site = Site::new("stock,panel,dime,conventional,oversize\nA1,hood,9,yes,\nA1,roof,,,60\n")
        .time("oversize_base = 10\noversize_per_mm = 0");
    assert_eq!(minutes(&site), ["A1 dents roof 10"]);
}

/// Each fault is said with its place, and what was probably meant.
#[test]
fn faults_of_hours_and_standard_are_said() {
    let sound = || Site::new("stock,panel,dime,nickel\nA1,hood,5,2\n");
    let with = |from: &str, to: &str| {
        let mut site = sound();
        for text in [&mut site.hours, &mut site.time, &mut site.site] {
            *text = text.replace(from, to);
        }
        site
    };
    let more = |hours: &str| sound().hours(hours);
    for (site, said) in [
        (with("2026-06-15", "15.6."), "TOML"),
        (
            with("\"08:00\"", "\"8 am\""),
            "from: found `8 am`; expected a quoted time of day",
        ),
        (
            with("\"16:00\"", "\"07:00\""),
            "expected a time after `from`",
        ),
        (with("mon-fri", "mon-fry"), "probably fri"),
        (with("mon-fri", ""), "expected days such as"),
        (more("break = \"45\""), "probably \"45 min\""),
        (more("break = \"481 min\""), "a break within the day"),
        (more("break_at = \"20:00\""), "a break within the day"),
        (
            more("brake = \"45 min\""),
            "found `brake`; expected one of start",
        ),
        (more("closed = [\"yes\"]"), "expected a date such as"),
        (
            with("start = 2026-06-15\n", ""),
            "`start`: the first working day",
        ),
        (
            with("dime = 1", "dyme = 1"),
            "found `dyme`; expected a size class of a card; probably dime",
        ),
        (
            with("dime = 1", "dime = 1.5"),
            "expected a quoted decimal: \"1.5\"",
        ),
        (with("dime = 1", "dime = 1001"), "0 to 1000"),
        (
            sound().time("metal = { aluminum = \"1.2\" }"),
            "probably aluminium",
        ),
        (sound().time("removal_share = \"1.1\""), "0 to 1"),
        (sound().time("access = { glue = 0 }"), "a number above 0"),
        (sound().site("bays = 0"), "a whole number from 1"),
        (
            sound().site("hands_per_car = \"two\""),
            "a whole number from 1",
        ),
        (sound().site("bay = 3"), "probably bays"),
    ] {
        let folder = site.folder();
        for command in ["plan", "check", "storm"] {
            let ran = hailyard(&[command, &folder.arg()]);
            assert_eq!(
                ran.exit,
                Exit::Problems,
                "{command}: {said}: {}{}",
                ran.out,
                ran.err
            );
            let all = format!("{}{}", ran.out, ran.err);
            assert!(all.contains(said), "{command}: {said}: {all}");
        }
    }
}

/// What a count needs and the standard lacks, each named once with its cars.
#[test]
fn a_class_without_minutes_is_named() {
    let counts = "stock,panel,dime,quarter,metal,access,oversize\n\
        A1,hood,5,1,,,\nA2,hood,,2,high-strength,braced,\nA3,hood,1,,,,60\n";
    let site = Site::new(counts);
    let folder = site.folder();
    for command in ["plan", "check", "storm"] {
        let ran = hailyard(&[command, &folder.arg()]);
        assert_eq!(ran.exit, Exit::Problems, "{}{}", ran.out, ran.err);
        let all = format!("{}{}", ran.out, ran.err);
        for said in [
            "per_dent: nothing found; expected minutes of the size class quarter: 2 cars need it, A1 first",
            "oversize_base: nothing found; expected minutes of dents beyond the largest size class: A3 needs it",
            "metal: nothing found; expected a factor for high-strength; steel is 1: A2 needs it",
            "access: nothing found; expected a factor for braced; open is 1: A2 needs it",
            "4 errors",
        ] {
            assert!(all.contains(said), "{command}: {said}: {all}");
        }
    }
    // A price needs none of it.
    assert_eq!(hailyard(&["price", &folder.arg()]).exit, Exit::Done);
    assert_eq!(hailyard(&["pay", &folder.arg()]).exit, Exit::Done);
}

/// Days of cars are a matter of the plan alone.
#[test]
fn faults_in_the_days_of_cars_are_the_plans() {
    let site = Site::new("stock,panel,dime\nA1,hood,5\nA2,hood,5\n").vehicles(
        "stock,arrives,due,parts_due,priority\nA1,22.6.2026,Friday,2026-06-31,4\nA2,,2026-06-16 25:00,,\n",
    );
    let folder = site.folder();
    for command in ["plan", "check", "storm"] {
        let ran = hailyard(&[command, &folder.arg()]);
        assert_eq!(ran.exit, Exit::Problems);
        let all = format!("{}{}", ran.out, ran.err);
        for said in [
            "row 2, arrives: found `22.6.2026`; expected a day as YYYY-MM-DD; probably 2026-06-22 [car A1]",
            "row 2, due: found `Friday`",
            "row 2, parts_due: found `2026-06-31`",
            "row 2, priority: found `4`; expected 1, 2 or 3",
            "row 3, due: found `2026-06-16 25:00`; expected a day, or a day and a time",
            "5 errors",
        ] {
            assert!(all.contains(said), "{command}: {said}: {all}");
        }
    }
    for command in ["price", "pay"] {
        assert_eq!(hailyard(&[command, &folder.arg()]).exit, Exit::Done);
    }
}

/// What a plan needs that is not there at all.
#[test]
fn a_storm_without_hours_or_crew_can_not_be_planned() {
    let folder = crate::builder::OneCar::new("stock,panel,dime\nA1,hood,5\n").folder();
    let ran = hailyard(&["plan", &folder.arg()]);
    assert_eq!(ran.exit, Exit::Problems);
    for said in [
        "storm.toml, hours: nothing found; expected [hours]",
        "storm.toml, time: nothing found; expected [time]",
        "crew, name: nothing found; expected crew.csv",
    ] {
        assert!(ran.err.contains(said), "{said}: {}", ran.err);
    }
    // `storm` does what the folder allows.
    let out = tempfile::TempDir::new().expect("a folder");
    let arg = out.path().to_str().expect("UTF-8");
    let ran = hailyard(&["storm", &folder.arg(), "--out", arg]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    assert!(!out.path().join("plan.html").exists());
}
