//! Extremes that a plan must answer: no panic, no memory or time without bounds.

use super::Site;
use crate::builder::hailyard;
use hailyard::cli::Exit;

/// What comes out, whatever it is: an answer with one of these words.
#[track_caller]
fn answered(site: &Site, more: &[&str], exit: Exit, said: &str) {
    let folder = site.folder();
    let ran = hailyard(&[&["plan", &folder.arg(), "--rounds", "20"], more].concat());
    let all = format!("{}{}", ran.out, ran.err).replace("\n  ", " ");
    assert_eq!(ran.exit, exit, "{all}");
    assert!(all.contains(said), "{said}: {all}");
    assert!(!all.contains("bug"), "{all}");
}

#[test]
fn work_without_end_is_answered() {
    // 9,999 dents of 1,000 minutes by 20 x 20: 4 billion minutes, 8.3 million
    // days of 480.
    let mut much = Site::new("stock,panel,dime,metal,access\nA1,hood,9999,aluminium,glue\n")
        .time("metal = { aluminium = 20 }\naccess = { glue = 20 }");
    much.time = much.time.replace("dime = 1,", "dime = 1000,");
    answered(
        &much,
        &[],
        Exit::Problems,
        "It would take 8332500 working days.",
    );
    let slow = much.crew("name,trades,speed\nAda,dents,0.01\nBo,dents,100\n");
    answered(&slow, &[], Exit::Problems, "working days. More people");
    // A quick one beside a slow one: the slow one is never asked.
    let pair = Site::new("stock,panel,dime\nA1,hood,480\nA2,hood,480\n")
        .crew("name,trades,speed\nAda,dents,0.01\nBo,dents,1\n");
    answered(&pair, &[], Exit::Done, "after 2 working days");
    answered(
        &Site::new("stock,panel,dime\nA1,hood,480\n").crew("name,trades,speed\nAda,dents,0.001\n"),
        &[],
        Exit::Problems,
        "expected a pace from 0.01 to 100",
    );
}

#[test]
fn days_far_away_are_answered() {
    let site = || Site::new("stock,panel,dime\nA1,hood,30\n");
    let due = |day: &str| site().vehicles(&format!("stock,due\nA1,{day}\n"));
    answered(&due("9999-12-31"), &[], Exit::Done, "1 of 1 kept");
    answered(&due("0001-01-01"), &[], Exit::Done, "528");
    let arrives = site().vehicles("stock,arrives\nA1,9999-12-31\n");
    answered(
        &arrives,
        &[],
        Exit::Problems,
        "Car A1 or its parts come so late",
    );
    let late =
        Site::new("stock,panel,dime\nA1,hood,30\n").hours("closed = [3000-01-01, 3000-01-02]");
    answered(&late, &["--from", "9999-12-31"], Exit::Done, "3000-01-");
    answered(&site(), &["--from", "9999-12-31"], Exit::Done, "3000-01-01");
    answered(&site(), &["--from", "0001-01-01"], Exit::Done, "2026-06-15");
    let crew = "name,trades,from,to\nAda,dents,,9999-12-31\nBo,dents,9999-01-01,\n";
    answered(&site().crew(crew), &[], Exit::Done, "after 1 working day");
    let gone = "name,trades,to\nAda,dents,2020-01-01\n";
    answered(&site().crew(gone), &[], Exit::Problems, "There is no plan");
    let nothing = "name,trades\nAda,\n";
    answered(
        &site().crew(nothing),
        &[],
        Exit::Problems,
        "Nobody can do dents of car A1",
    );
}

#[test]
fn nothing_to_do_is_a_plan_too() {
    let site = Site::new("stock,panel,dime\nA1,hood,0\n");
    answered(&site, &[], Exit::Done, "Nothing is left to do.");
    let json = site.json(&[]);
    assert_eq!((&json["days"], &json["bound_days"]), (&0.into(), &0.into()));
    // One minute a day: 300 days, and every part of them is written.
    let mut tiny = Site::new("stock,panel,dime\nA1,hood,300\n");
    tiny.hours = tiny.hours.replace("16:00", "08:01");
    assert_eq!(tiny.table(&[]).len(), 300);
}

/// Wrong usage is said as such.
#[test]
fn wrong_usage_is_said() {
    let folder = Site::new("stock,panel,dime\nA1,hood,3\n").folder();
    for (more, said) in [
        (
            &["--person", "Adda"][..],
            "no Adda in the crew list; probably Ada",
        ),
        (&["--from", "15.6.2026"], "--from"),
        (&["--day", "tomorrow"], "--day"),
        (&["--rounds", "3", "--seconds", "1"], "cannot be used with"),
        (&["--seconds=-1"], "seconds"),
        (&["--seconds", "nan"], "seconds"),
        (&["--instance", "a.json"], "cannot be used with"),
    ] {
        let ran = hailyard(&[&["plan", &folder.arg()], more].concat());
        assert_eq!(ran.exit, Exit::Usage, "{}{}", ran.out, ran.err);
        assert!(ran.err.contains(said), "{said}: {}", ran.err);
    }
    let ran = hailyard(&["plan", &folder.arg(), "--day", "2026-07-01"]);
    assert!(
        ran.out.contains("Nothing is planned on Wed 2026-07-01."),
        "{}",
        ran.out
    );
    let ran = hailyard(&["plan", &folder.arg(), "--person", "ada"]);
    assert!(ran.out.contains("work of Ada"), "{}", ran.out);
}
